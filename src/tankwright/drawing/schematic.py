"""What a schematic, not to scale, is made of: a row of boxes, then a line unrolled with everything that hangs on it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final, Literal

from tankwright.drawing.colour import GLASS, GREY, INK, LINE, PAPER, QUIET, TEAL, WATER
from tankwright.drawing.model import (
    Drawing,
    Group,
    Look,
    Polyline,
    Rectangle,
    Shape,
    Text,
    fitting_size,
    line,
    lines_of,
    text_width,
)
from tankwright.drawing.page import Page, numbered
from tankwright.drawing.svg import identifier

_COLUMN: Final = (15.0, 26.0)  # mm, the least and the most one thing takes on the line
_BOX: Final = (40.0, 19.0)  # mm, the most a box of the head takes
_GAP: Final = 7.0
_SIZE: Final = 2.1
_LINE: Final = 2.75
_TANK: Final = (12.5, 6.5)


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """A box of the head: a pump, a filter, a source. `lines` say what is expected at it."""

    name: str
    lines: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Hanging:
    """One thing on the line: a tap or an outlet with its number, the tank under it and what is said of it.

    `over` begins a group and is written over the line. What is shut has no tank.
    """

    number: str
    state: Literal["open", "spare", "shut"]
    tank: str = ""
    lines: tuple[str, ...] = ()
    over: str = ""


def schematic(
    page: Page, head: Sequence[Block], hanging: Sequence[Hanging], *, look: Look, ends: str, about: str
) -> Iterator[Drawing]:
    """The sheets of one run: its head on the first, its line in as many rows as it takes; `ends` is how it ends."""
    wide = page.right - page.left
    widest = max((text_width(text, _SIZE) for one in hanging for text in one.lines), default=0.0)
    column = min(max(_COLUMN[0], widest + 1.4), _COLUMN[1])
    across = max(int((wide - 12.0) // column), 1)
    deepest = max((len(one.lines) for one in hanging), default=0)
    tall = 9.0 + 8.0 + 4.0 + _TANK[1] + 1.5 + deepest * _LINE + 5.0
    rows = [hanging[start : start + across] for start in range(0, len(hanging), across)]
    sheets: list[list[Shape]] = [[]]
    y = page.top + 2.0
    if head:
        sheets[-1].extend(_head(head, page, y))
        y += _BOX[1] + 9.0
    for number, row in enumerate(rows):
        if y + tall > page.bottom and sheets[-1]:
            sheets.append([])
            y = page.top + 2.0
        last = number == len(rows) - 1
        sheets[-1].extend(_row(row, page, y, look, column, first=number == 0, last=last, ends=ends))
        y += tall
    for number, shapes in enumerate(sheets, start=1):
        yield replace(page, title=numbered(page.title, number, len(sheets))).drawn(shapes, about=about)


def _head(blocks: Sequence[Block], page: Page, y: float) -> Iterator[Shape]:
    """Boxes in the order of the flow, an arrow from each to the next; the last arrow leads down to the line."""
    wide = min(_BOX[0], (page.right - page.left - _GAP * len(blocks)) / len(blocks))
    x, middle = page.left, y + _BOX[1] / 2
    for block in blocks:
        parts: list[Shape] = [
            Rectangle(x=x, y=y, width=wide, height=_BOX[1], look=Look(fill=GLASS, stroke=INK, width=0.35))
        ]
        size = fitting_size(block.name, wide - 3.0, most=2.7, bold=True)
        parts.append(Text(at=(x + 1.5, y + 3.8), text=block.name, size=size, colour=INK, bold=True))
        rows = [row for text in block.lines for row in lines_of(text, wide - 3.0, _SIZE)]
        for number, row in enumerate(rows[:5]):
            at = (x + 1.5, y + 7.0 + _LINE * number)
            parts.append(Text(at=at, text=row, size=fitting_size(row, wide - 3.0, most=_SIZE), colour=INK))
        yield Group(parts=tuple(parts), place=block.name, title=" ".join((block.name, *block.lines)))
        end = x + wide
        if block is not blocks[-1]:
            yield from _arrow((end, middle), (end + _GAP, middle))
        else:
            yield line((end, middle), (end + 3.0, middle), Look(stroke=INK, width=0.3))
            down = y + _BOX[1] + 4.0
            turn = ((end + 3.0, middle), (end + 3.0, down), (page.left, down))
            yield Polyline(points=turn, look=Look(stroke=INK, width=0.3))
            yield from _arrow((page.left, down), (page.left, y + _BOX[1] + 9.0 + 9.0))
        x += wide + _GAP


def _arrow(start: tuple[float, float], end: tuple[float, float]) -> Iterator[Shape]:
    (x0, y0), (x1, y1) = start, end
    yield line(start, end, Look(stroke=INK, width=0.3))
    run = ((x1 - x0) ** 2 + (y1 - y0) ** 2) ** 0.5 or 1.0
    dx, dy = (x1 - x0) / run, (y1 - y0) / run
    back = (x1 - 1.8 * dx, y1 - 1.8 * dy)
    points = (end, (back[0] - 0.7 * dy, back[1] + 0.7 * dx), (back[0] + 0.7 * dy, back[1] - 0.7 * dx))
    yield Polyline(points=points, closed=True, look=Look(fill=INK))


def _row(
    row: Sequence[Hanging],
    page: Page,
    y: float,
    look: Look,
    column: float,
    *,
    first: bool,
    last: bool,
    ends: str,
) -> Iterator[Shape]:
    """A stretch of the line with what hangs on it."""
    level = y + 9.0
    right = page.left + 4.0 + column * len(row)
    yield line((page.left, level), (right, level), look)
    note = "" if first else "goes on"
    yield Text(at=(page.left, level - 1.2), text=note, size=1.9, colour=QUIET)
    if last:
        size = fitting_size(ends, page.right - right - 1.5, most=1.9, least=1.2)
        over = (
            () if size else (Text(at=(page.right, y + 1.5), text=ends, size=1.9, colour=QUIET, anchor="end"),)
        )
        yield from over or (Text(at=(right + 1.0, level + 0.7), text=ends, size=size, colour=QUIET),)
        yield line((right, level - 1.2), (right, level + 1.2), Look(stroke=INK, width=0.3))
    else:
        yield from _arrow((right - 1.0, level), (right + 3.0, level))
    for number, one in enumerate(row):
        yield from _hanging(one, page.left + 4.0 + column * (number + 0.5), level, column)


def _hanging(one: Hanging, x: float, level: float, column: float) -> Iterator[Shape]:
    colour = {"open": TEAL, "spare": INK, "shut": GREY}[one.state]
    if one.over:
        yield line((x - 6.0, level - 4.2), (x - 6.0, level - 1.0), Look(stroke=INK, width=0.3))
        size = fitting_size(one.over, column - 3.0, most=2.8, bold=True)
        yield Text(at=(x - 5.2, level - 4.4), text=one.over, size=size, colour=INK, bold=True)
    number = fitting_size(one.number, column - 1.0, most=_SIZE, bold=True)
    parts: list[Shape] = [
        Text(at=(x, level - 1.2), text=one.number, size=number, colour=INK, anchor="middle", bold=True),
        line((x, level), (x, level + 3.0), Look(stroke=colour, width=0.35)),
        *_tap(x, level + 4.5, colour, shut=one.state == "shut"),
    ]
    y = level + 8.0
    if one.tank:
        parts.append(line((x, level + 6.0), (x, y + 4.0), Look(stroke=colour, width=0.35)))
        y += 4.0
        wide, tall = _TANK
        parts.append(
            Rectangle(
                x=x - wide / 2, y=y, width=wide, height=tall, look=Look(fill=WATER, stroke=LINE, width=0.35)
            )
        )
        size = fitting_size(one.tank, wide - 1.0, most=3.4, bold=True)
        at = (x, y + tall / 2 + 0.36 * size)
        parts.append(Text(at=at, text=one.tank, size=size, colour=INK, anchor="middle", bold=True))
        y += tall + 1.5
    for text in one.lines:
        y += _LINE
        size = fitting_size(text, column - 0.8, most=_SIZE)
        parts.append(Text(at=(x, y - 0.6), text=text, size=size, colour=INK, anchor="middle"))
    name = identifier("hangs", one.number, one.tank) if one.tank else ""
    yield Group(
        parts=tuple(parts), id=name, place=one.tank, title=" ".join((one.number, one.tank, *one.lines))
    )


def _tap(x: float, y: float, colour: str, *, shut: bool) -> Iterator[Shape]:
    """Two triangles tip to tip, filled when it is shut."""
    look = Look(fill=colour if shut else PAPER, stroke=colour, width=0.3)
    for way in (-1.0, 1.0):
        points = ((x, y), (x - 1.2, y + 1.5 * way), (x + 1.2, y + 1.5 * way))
        yield Polyline(points=points, closed=True, look=look)
