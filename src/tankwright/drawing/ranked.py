"""Bars lying one under the other, the longest first, each with the range it really lies in: what saves how much."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from tankwright.drawing.colour import AMOUNT, INK, LINE, PAPER, QUIET
from tankwright.drawing.model import (
    Drawing,
    Group,
    Look,
    Rectangle,
    Shape,
    Text,
    fitting_size,
    line,
    text_width,
)

_ROW: Final = 8.6  # mm
_BAR: Final = 3.0
_TEXT: Final = 2.7
_SIDE: Final = 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Ranked:
    """One bar. `told` is its value in words, `low` and `high` the ends of its range (None: none is known); `quiet`
    one is drawn empty: it is there, and not worth it."""

    name: str
    value: float
    told: str
    low: float | None = None
    high: float | None = None
    quiet: bool = False


def draw_ranked(
    title: str, rows: tuple[Ranked, ...], *, width: float = 73.0, empty: str = "nothing yet"
) -> Drawing:
    """The bars on a page as wide as that and as high as they need, each under its name; below zero they go left.

    >>> draw_ranked("saved", (Ranked(name="lids", value=2.0, told="2 kWh"),)).height
    8.6
    """
    height = _ROW * max(len(rows), 1)
    parts: list[Shape] = [Rectangle(x=0, y=0, width=width, height=height, look=Look(fill=PAPER))]
    if not rows:
        parts.append(Text(at=(width / 2, height / 2), text=empty, size=_TEXT, colour=QUIET, anchor="middle"))
        return Drawing(
            width=width, height=height, scale=1, title=title, description=empty, parts=tuple(parts)
        )
    ends = [end for row in rows for end in (row.value, row.low, row.high) if end is not None]
    low, high = min(0.0, *ends), max(0.0, *ends)
    span = (high - low) or 1.0

    def at(value: float) -> float:
        return _SIDE + (value - low) / span * (width - 2 * _SIDE)

    for number, row in enumerate(rows):
        parts.append(_row(row, number * _ROW, at, width))
    said = f"{len(rows)} bars, {rows[0].name} the longest"
    return Drawing(width=width, height=height, scale=1, title=title, description=said, parts=tuple(parts))


def _row(row: Ranked, top: float, at: Callable[[float], float], width: float) -> Group:
    words, middle = top + _TEXT + 0.6, top + _TEXT + 3.2
    zero, end = at(0.0), at(row.value)
    look = Look(fill=PAPER if row.quiet else AMOUNT[2].fill, stroke=LINE, width=0.2)
    colour = QUIET if row.quiet else INK
    told = fitting_size(row.told, width * 0.35, most=_TEXT)
    room = width - 2 * _SIDE - text_width(row.told, told, bold=True) - 1.5
    parts: list[Shape] = [
        Text(at=(_SIDE, words), text=row.name, colour=colour, size=fitting_size(row.name, room, most=_TEXT)),
        Text(at=(width - _SIDE, words), text=row.told, colour=colour, size=told, anchor="end", bold=not row.quiet),
        Rectangle(x=min(zero, end), y=middle - _BAR / 2, width=abs(end - zero), height=_BAR, look=look),
        line((zero, middle - _BAR / 2 - 0.4), (zero, middle + _BAR / 2 + 0.4), Look(stroke=INK, width=0.3)),
    ]  # fmt: skip
    if row.low is not None and row.high is not None and row.high > row.low:
        first, last = at(row.low), at(row.high)
        thick = Look(stroke=INK, width=0.4)
        parts.append(line((first, middle), (last, middle), thick))
        parts += [line((x, middle - 1.0), (x, middle + 1.0), thick) for x in (first, last)]
    return Group(parts=tuple(parts), classes=("column", "point"), title=f"{row.name}: {row.told}")
