"""Cuts to scale: each way to cut a stick one bar, its pieces with length and mark, the rest hatched, over pages.

What does not fit into its piece is numbered from the left and told under the bar. All bars have one scale.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import groupby
from typing import Final

from tankwright.display import printable
from tankwright.drawing.colour import FAINT, INK, PAPER, QUIET, WOOD
from tankwright.drawing.measured import MEASURED_IN, measured_off
from tankwright.drawing.model import (
    Drawing,
    Group,
    Hatching,
    Look,
    Rectangle,
    Shape,
    Text,
    fitting_size,
    line,
    lines_of,
    shifted,
    text_width,
)
from tankwright.drawing.paper import MARGIN, PAPERS, Paper, foot
from tankwright.takeoff.cutting_model import Cut, CutPlan, Pattern
from tankwright.units import Metre

_BAR: Final = 8.0  # mm tall
_HEAD: Final = 4.6  # mm over a bar for what is cut, and how often
_KEY: Final = 3.2  # mm from line to line under a bar
_BETWEEN: Final = 3.0
_TOP: Final = 19.0  # mm of title and legend
_SIZE, _LEAST, _KEY_SIZE = 2.6, 1.7, 2.2
_MOST_KEYS: Final = 24  # lines under one bar
_SCALES: Final = {
    "metric": (1, 2, 2.5, 5, 10, 15, 20, 25, 30, 40, 50, 75, 100, 150, 200, 250, 500, 1000, 2500, 5000),
    "US": (1, 2, 3, 4, 6, 8, 12, 16, 24, 32, 48, 96, 192, 480, 960, 1920, 3840, 5760),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class _Sheet:
    """What all bars of a plan share."""

    plan: CutPlan
    scale: float
    inner: float
    display: str

    def mm(self, length: Metre) -> float:
        """A length on paper."""
        return length * 1000.0 / self.scale

    def said(self, length: Metre) -> str:
        """A length as it is measured off."""
        return measured_off(length, self.display, fine=True)


def cut_diagrams(
    plan: CutPlan,
    *,
    title: str,
    paper: Paper = "A4",
    display: str = "metric",
    notes: tuple[str, str] | None = ("", ""),
    together: bool = False,
) -> tuple[Drawing, ...]:
    """The sheets of a plan of cuts, lying; none of a plan without cuts. `notes` are date and revision for the
    foot, None where a book writes its own. With `together` sticks cut at the same places are one bar, with all marks
    of their pieces.

    >>> cut_diagrams(CutPlan(objective="sticks", kerf=0.003, trim=0.0), title="Pipes")
    ()
    """
    if not plan.patterns:
        return ()
    wide, tall = PAPERS[paper]
    inner = wide - 2 * MARGIN
    longest = max(one.stock.length for one in plan.patterns)
    scale = next(
        (one for one in _SCALES[display] if longest * 1000.0 / one <= inner), longest * 1000.0 / inner
    )
    sheet = _Sheet(plan=plan, scale=scale, inner=inner, display=display)
    pages: list[list[Shape]] = []
    y = tall
    for number, pattern in enumerate(_alike(plan.patterns) if together else plan.patterns, 1):
        block, height = _block(sheet, pattern, number)
        if y + height > tall - MARGIN - 2.0:
            pages.append(list(_top(sheet, title)))
            y = MARGIN + _TOP
        pages[-1].append(shifted(block, MARGIN, y))
        y += height + _BETWEEN
    return tuple(
        _page(
            shapes, (wide, tall), sheet, title,
            ("", "", "") if notes is None else (*notes, f"page {number} of {len(pages)}"),
        )
        for number, shapes in enumerate(pages, 1)
    )  # fmt: skip


def _alike(patterns: Sequence[Pattern]) -> list[Pattern]:
    ways: dict[tuple[object, ...], list[Pattern]] = {}
    for one in patterns:
        lengths = tuple(round(piece.length, 6) for piece in one.pieces)
        ways.setdefault((one.stock, lengths, round(one.rest, 6)), []).append(one)
    made = []
    for same in ways.values():
        labels = zip(*([piece.label for piece in one.pieces] for one in same), strict=True)
        pieces = tuple(
            replace(piece, label=", ".join(dict.fromkeys(label for label in of if label)))
            for piece, of in zip(same[0].pieces, labels, strict=True)
        )
        made.append(replace(same[0], pieces=pieces, times=sum(one.times for one in same)))
    return made


def _page(
    shapes: list[Shape], size: tuple[float, float], sheet: _Sheet, title: str, notes: tuple[str, str, str]
) -> Drawing:
    ground = Rectangle(x=0, y=0, width=size[0], height=size[1], look=Look(fill=PAPER))
    return Drawing(
        width=size[0], height=size[1], scale=sheet.scale, title=f"{title}: cuts",
        description=f"Each way to cut a stick as a bar at 1:{sheet.scale:g}. {MEASURED_IN[sheet.display]}.",
        parts=(ground, *shapes, *foot(notes, size, bar=True)),
    )  # fmt: skip


def _top(sheet: _Sheet, title: str) -> Iterator[Shape]:
    """Title, what is bought, and what the marks mean."""
    title = printable(f"{title}: cuts")
    size = fitting_size(title, sheet.inner, most=4.2, bold=True)
    yield Text(at=(MARGIN, MARGIN + 4.2), text=title, size=size, colour=INK, bold=True)
    yield line((MARGIN, MARGIN + 6.4), (MARGIN + sheet.inner, MARGIN + 6.4), Look(stroke=INK, width=0.4))
    plan = sheet.plan
    proved = "proved optimal" if plan.proved_optimal else "not proved optimal"
    said = (
        f"1:{sheet.scale:g}, {MEASURED_IN[sheet.display]}; a dark line is a saw cut of {sheet.said(plan.kerf)}, "
        f"hatched is left over; {proved}"
    )
    if plan.trim:
        said += f"; pale, {sheet.said(plan.trim)} trimmed off the ends"
    said += "; numbered from the left what does not fit"
    yield Text(
        at=(MARGIN, MARGIN + 11.2), text=said, size=fitting_size(said, sheet.inner, most=2.5), colour=QUIET
    )


def _block(sheet: _Sheet, pattern: Pattern, number: int) -> tuple[Group, float]:
    """One way to cut: a heading, the bar, what did not fit; from (0, 0), and how tall it is."""
    stock = pattern.stock
    name = stock.name or sheet.said(stock.length)
    name = f"offcut {name}" if stock.offcut else name
    heading = printable(f"Cut {number}: {pattern.times} × {name}, rest {sheet.said(pattern.rest)}")
    size = fitting_size(heading, sheet.inner, most=3.0, bold=True)
    parts: list[Shape] = [Text(at=(0.0, 3.2), text=heading, size=size, colour=INK, bold=True)]
    x = 0.0 if stock.offcut else sheet.mm(sheet.plan.trim)
    whole, saw = sheet.mm(stock.length), sheet.mm(sheet.plan.kerf)
    if x > 0.0:
        parts.append(Rectangle(x=0.0, y=_HEAD, width=x, height=_BAR, look=Look(fill=FAINT)))
    keyed: list[tuple[int, Cut]] = []
    for place, piece in enumerate(pattern.pieces, 1):
        width = min(sheet.mm(piece.length), whole - x)
        parts.append(Rectangle(x=x, y=_HEAD, width=width, height=_BAR, look=Look(fill=WOOD)))
        written = _written(sheet, piece, x, width)
        if not written:
            keyed.append((place, piece))
            written = _numbered(place, x, width)
        parts += written
        x += width
        cut = min(saw, whole - x)
        if cut > 0.0:
            parts.append(Rectangle(x=x, y=_HEAD, width=cut, height=_BAR, look=Look(fill=INK)))
        x += cut
    if whole - x > 0.05:
        parts += _rest(sheet, pattern.rest, x, whole - x)
    outline = Look(stroke=INK, width=0.25)
    parts.append(Rectangle(x=0.125, y=_HEAD, width=max(whole - 0.25, 0.1), height=_BAR, look=outline))
    y = _HEAD + _BAR + 0.4
    for told in _key(sheet, keyed):
        y += _KEY
        parts.append(Text(at=(0.0, y - 0.8), text=told, size=_KEY_SIZE, colour=INK))
    group = Group(
        parts=tuple(parts), id=f"cut-{number}", title=f"{pattern.times} times {name}", classes=("cut",)
    )
    return group, y


def _written(sheet: _Sheet, piece: Cut, x: float, width: float) -> list[Shape]:
    """Length over mark within a piece; nothing when one of them does not fit."""
    said, label = sheet.said(piece.length), printable(piece.label)
    room, middle = width - 1.0, x + width / 2
    large = fitting_size(said, room, most=_SIZE, least=_LEAST, bold=True)
    small = fitting_size(label, room, most=2.3, least=_LEAST)
    if not large or (label and not small):
        return []
    shapes: list[Shape] = [
        Text(
            at=(middle, _HEAD + (3.3 if label else 5.0)),
            text=said,
            size=large,
            colour=INK,
            anchor="middle",
            bold=True,
        )
    ]
    if label:
        shapes.append(Text(at=(middle, _HEAD + 6.7), text=label, size=small, colour=INK, anchor="middle"))
    return shapes


def _numbered(place: int, x: float, width: float) -> list[Shape]:
    """The number of a piece; nothing when even that does not fit: the key counts from the left."""
    size = fitting_size(str(place), width - 0.4, most=2.2, least=1.3)
    if not size:
        return []
    at = (x + width / 2, _HEAD + 4.8)
    return [Text(at=at, text=str(place), size=size, colour=QUIET, anchor="middle")]


def _rest(sheet: _Sheet, rest: Metre, x: float, width: float) -> list[Shape]:
    """What is left over, hatched, with its length where that fits."""
    shapes: list[Shape] = [Hatching(x=x, y=_HEAD, width=width, height=_BAR)]
    said = sheet.said(rest)
    size = fitting_size(said, width - 2.0, most=_SIZE, least=_LEAST)
    if size:
        wide = text_width(said, size) + 1.0
        left = x + (width - wide) / 2
        shapes.append(Rectangle(x=left, y=_HEAD + 2.2, width=wide, height=3.6, look=Look(fill=PAPER)))
        shapes.append(
            Text(at=(x + width / 2, _HEAD + 5.0), text=said, size=size, colour=INK, anchor="middle")
        )
    return shapes


def _key(sheet: _Sheet, keyed: Sequence[tuple[int, Cut]]) -> list[str]:
    """The pieces that did not fit, in lines: number, length, mark; those alike that follow each other together."""
    runs: list[list[tuple[int, Cut]]] = []
    for _, same in groupby(enumerate(keyed), key=lambda one: (one[1][0] - one[0], one[1][1])):
        runs.append([one for _, one in same])
    lines: list[str] = []
    for number, run in enumerate(runs):
        (first, piece), (last, _) = run[0], run[-1]
        places = str(first) if first == last else f"{first} to {last}"
        said = printable(f"{places}: {sheet.said(piece.length)} {piece.label}".rstrip())
        longer = f"{lines[-1]};  {said}" if lines else said
        if lines and text_width(longer, _KEY_SIZE) <= sheet.inner:
            lines[-1] = longer
        elif len(lines) == _MOST_KEYS:
            lines[-1] = f"and {len(runs) - number} more, see the cut list"
            break
        else:
            broken = lines_of(said, sheet.inner, _KEY_SIZE)
            lines += [_shortened(one, sheet.inner) for one in broken[: _MOST_KEYS - len(lines)]]
    return lines


def _shortened(text: str, width: float) -> str:
    """A text cut off where it is too long for a line."""
    while text_width(text, _KEY_SIZE) > width:
        text = f"{text[:-2]}…"
    return text
