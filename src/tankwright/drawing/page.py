"""A working sheet: its heading, what is said under it, the room that is left for the drawing, its foot."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from tankwright.drawing.colour import INK, PAPER, QUIET
from tankwright.drawing.model import (
    Drawing,
    Look,
    Rectangle,
    Shape,
    Text,
    fitting_size,
    line,
    lines_of,
)
from tankwright.drawing.paper import MARGIN, PAPERS, Paper, foot

Notes = tuple[str, str, str]
"""Date, revision and page, as they are written along the foot."""

NO_NOTES: Final[Notes] = ("", "", "")
_SAID: Final = 2.6  # mm
_LINE: Final = 3.6


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """A sheet to be filled: its size, its heading, and the lines under it. Upright when `upright`."""

    paper: Paper
    title: str
    said: tuple[str, ...] = ()
    notes: Notes = NO_NOTES
    upright: bool = False

    @property
    def size(self) -> tuple[float, float]:
        """Width and height in mm."""
        wide, tall = PAPERS[self.paper]
        return (tall, wide) if self.upright else (wide, tall)

    @property
    def lines(self) -> tuple[str, ...]:
        """What is said, broken to the width of the page."""
        inner = self.size[0] - 2 * MARGIN
        return tuple(row for text in self.said if text for row in lines_of(text, inner, _SAID))

    @property
    def top(self) -> float:
        """Where the drawing may begin."""
        return MARGIN + 10.5 + _LINE * len(self.lines) + 1.5

    @property
    def bottom(self) -> float:
        """Where the drawing must have ended."""
        return self.size[1] - MARGIN - 1.5

    @property
    def left(self) -> float:
        """Where the drawing may begin from the left."""
        return MARGIN

    @property
    def right(self) -> float:
        """Where it must have ended."""
        return self.size[0] - MARGIN

    def drawn(
        self, parts: Sequence[Shape], *, scale: float = 1.0, about: str = "", bar: bool = False
    ) -> Drawing:
        """The whole sheet with these shapes on it; `bar` for what is drawn to scale."""
        wide, tall = self.size
        inner = wide - 2 * MARGIN
        size = fitting_size(self.title, inner, most=5.2, bold=True)
        shapes: list[Shape] = [
            Rectangle(x=0, y=0, width=wide, height=tall, look=Look(fill=PAPER)),
            Text(at=(MARGIN, MARGIN + 5.2), text=self.title, size=size, colour=INK, bold=True),
            line((MARGIN, MARGIN + 7.4), (MARGIN + inner, MARGIN + 7.4), Look(stroke=INK, width=0.5)),
        ]
        for number, row in enumerate(self.lines):
            at = (MARGIN, MARGIN + 11.0 + _LINE * number)
            shapes.append(Text(at=at, text=row, size=fitting_size(row, inner, most=_SAID), colour=QUIET))
        return Drawing(
            width=wide, height=tall, scale=scale, title=self.title, description=about or " ".join(self.said),
            parts=(*shapes, *parts, *foot(self.notes, (wide, tall), bar=bar)),
        )  # fmt: skip


def written(
    text: str,
    at: tuple[float, float],
    width: float,
    *,
    size: float = 2.4,
    colour: str = INK,
    bold: bool = False,
) -> tuple[tuple[Shape, ...], float]:
    """A text broken to a width, its first baseline at a point; and the baseline that comes after it.

    >>> shapes, after = written("one two three", (0.0, 0.0), 12.0, size=2.6)
    >>> len(shapes), round(after, 2)
    (2, 7.02)
    """
    x, y = at
    shapes: list[Shape] = []
    for row in lines_of(text, width, size, bold=bold):
        fitted = fitting_size(row, width, most=size, bold=bold)
        shapes.append(Text(at=(x, y), text=row, size=fitted, colour=colour, bold=bold))
        y += 1.35 * size
    return tuple(shapes), y


def numbered(title: str, number: int, of: int) -> str:
    """A title with its number where it has more sheets than one.

    >>> numbered("Fronts", 1, 1), numbered("Fronts", 2, 3)
    ('Fronts', 'Fronts, sheet 2 of 3')
    """
    return title if of == 1 else f"{title}, sheet {number} of {of}"
