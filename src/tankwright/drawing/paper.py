"""Paper: its sizes, and what stands along the foot of a printed sheet."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final, Literal

from tankwright.drawing.colour import INK, PAPER, QUIET
from tankwright.drawing.model import Drawing, Group, Look, Rectangle, Shape, Text, fitting_size, line, shifted

Paper = Literal["A4", "A3", "A2", "A1", "Letter", "Tabloid", "ANSI C"]
PAPERS: Final[dict[Paper, tuple[float, float]]] = {
    "A4": (297, 210), "A3": (420, 297), "A2": (594, 420), "A1": (841, 594),
    "Letter": (279.4, 215.9), "Tabloid": (431.8, 279.4), "ANSI C": (558.8, 431.8),
}  # fmt: skip
"""Width and height of a sheet lying down, in mm.

Source: ISO 216 for the A sizes; ANSI/ASME Y14.1 sizes A (8.5 by 11 in), B (11 by 17 in) and C (17 by 22 in),
from memory.
"""

MARGIN: Final = 10.0
HUNDRED: Final = 100.0  # mm; the bar to hold a ruler against
_BAR: Final = 1.2  # mm tall, between what is drawn and the notes


def foot(notes: tuple[str, str, str], page: tuple[float, float], *, bar: bool = False) -> Iterator[Shape]:
    """Date, revision and page number along the foot of a sheet, in its margin; with a bar of 100 mm on paper."""
    wide, tall = page
    if bar:
        yield hundred_bar(MARGIN, tall - MARGIN + 0.8)
    room = (wide - 2 * MARGIN) / 3 - 2.0
    places: tuple[tuple[float, Literal["start", "middle", "end"]], ...] = (
        (MARGIN, "start"), (wide / 2, "middle"), (wide - MARGIN, "end"),
    )  # fmt: skip
    for note, (x, anchor) in zip(notes, places, strict=True):
        if note:
            size = fitting_size(note, room, most=2.5)
            yield Text(at=(x, tall - MARGIN / 2), text=note, size=size, colour=QUIET, anchor=anchor)


def hundred_bar(x: float, y: float) -> Group:
    """A bar that measures 100 mm on paper, so that a ruler tells whether the printer kept the scale.

    >>> hundred_bar(10.0, 200.0).parts[0].width
    100.0
    """
    parts: list[Shape] = [
        Rectangle(x=x, y=y, width=HUNDRED, height=_BAR, look=Look(fill=PAPER, stroke=INK, width=0.0))
    ]
    parts += [
        Rectangle(x=x + start, y=y, width=10.0, height=_BAR, look=Look(fill=INK))
        for start in range(0, 100, 20)
    ]
    parts += [
        line((x, y + down), (x + HUNDRED, y + down), Look(stroke=INK, width=0.1))
        for down in (0.05, _BAR - 0.05)
    ]
    said = "100 mm on paper: measure it before you trust the scale"
    parts.append(Text(at=(x + HUNDRED + 1.5, y + _BAR), text=said, size=1.9, colour=QUIET))
    return Group(parts=tuple(parts), id="hundred", classes=("hundred",), title=said)


def laid_on(drawing: Drawing, size: tuple[float, float], notes: tuple[str, str, str]) -> Drawing:
    """A drawing in the middle of the upper part of a sheet, with its foot. It must fit (`fits`).

    >>> small = Drawing(width=50, height=40, scale=20, title="", description="")
    >>> laid_on(small, PAPERS["A4"], ("", "", "page 1 of 1")).width
    297
    """
    wide, tall = size
    x = max((wide - drawing.width) / 2, 0.0)
    ground = Rectangle(x=0, y=0, width=wide, height=tall, look=Look(fill=PAPER))
    parts = (ground, *(shifted(shape, x, 0.0) for shape in drawing.parts), *foot(notes, size, bar=True))
    return Drawing(
        width=wide, height=tall, scale=drawing.scale, title=drawing.title, description=drawing.description,
        parts=parts,
    )  # fmt: skip


def fits(drawing: Drawing, size: tuple[float, float]) -> bool:
    """True when a drawing lies within a sheet of that size.

    >>> fits(Drawing(width=300, height=40, scale=20, title="", description=""), PAPERS["A4"])
    False
    """
    return drawing.width <= size[0] + 1e-6 and drawing.height <= size[1] + 1e-6
