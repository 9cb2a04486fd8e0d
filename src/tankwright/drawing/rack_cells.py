"""A rack's front for a thumb: shelf over shelf, each tank a cell wide enough to be hit, in the order one sees them.

Lengths and heights are in one proportion, except that no cell gets smaller than `least`; so it is no drawing to scale.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from typing import Final

from tankwright.drawing.colour import GLASS, INK, LINE, QUIET, TEAL, WATER, WOOD, mark
from tankwright.drawing.model import Drawing, Group, Look, Rectangle, Shape, Text, fitting_size, line
from tankwright.drawing.results import DrawnMark
from tankwright.room.boxes import along_span
from tankwright.room.model import RackPlace, Room, Tank

WIDTH: Final = 340.0
"""Dots a phone has beside its margins: a front this wide or narrower is shown as wide as the phone."""

STEP: Final = 85.0
"""A wider front is so many dots wider, or twice or three times as many, so that a style sheet can know its width."""

_LEAST: Final = 52.0  # dots; 48 are asked, and a narrower phone shows all a little smaller
_TALLEST: Final = 84.0
_BETWEEN: Final = 4.0
_SHELF: Final = 6.0
_UNDER: Final = 8.0  # dots between two shelves' tanks besides the shelf
_EMPTY: Final = 22.0
_SIGN: Final = 13.0
_NAME: Final = 21.0


def draw_rack_cells(
    room: Room,
    rack: RackPlace,
    *,
    link: Callable[[Tank], str],
    said: Callable[[Tank], str],
    marks: Mapping[str, DrawnMark],
) -> Drawing:
    """The front of a rack in dots of a phone (not in mm), each tank a link.

    `link` gives a tank's address and `said` what it is called in full; `marks` are the signs, by the id of the tank.
    The drawing is `WIDTH` wide, or wider by whole `STEP`s where a shelf holds more tanks than fit beside each other.
    """
    tanks = [tank for tank in room.tanks if tank.rack == rack.id]
    rows = [
        _row(rack, [tank for tank in tanks if tank.shelf == shelf])
        for shelf in range(len(rack.shelves), 0, -1)
    ]
    loose = [tank for tank in tanks if not 1 <= tank.shelf <= len(rack.shelves)]
    if loose:
        rows.append(_row(rack, loose))
    scale = (WIDTH - 2 * _BETWEEN) / max(rack.length, 0.1)
    needed = max((_needed(row, scale) for row in rows), default=0.0) + 2 * _BETWEEN
    width = WIDTH + STEP * max(math.ceil((needed - WIDTH) / STEP - 1e-9), 0)
    parts: list[Shape] = []
    top = 1.0
    for row in rows:
        height = max((_height(tank, scale) for tank in row), default=_EMPTY)
        floor = top + height
        for tank, start, wide in _places(rack, row, scale, width):
            tall = _height(tank, scale)
            cell = (start, floor - tall, wide, tall)
            parts.append(_cell(tank, cell, link(tank), said(tank), marks.get(tank.id)))
        if not row:
            parts.append(
                Text(at=(width / 2, floor - 6), text="empty", size=12, colour=QUIET, anchor="middle")
            )
        shelf = Look(fill=WOOD, stroke=LINE, width=0.6)
        parts.append(Rectangle(x=0.5, y=floor, width=width - 1, height=_SHELF, look=shelf))
        top = floor + _SHELF + _UNDER
    title = f"Front of rack {rack.id}"
    return Drawing(
        width=width, height=top - _UNDER + 1, scale=1.0, title=title, description="", parts=tuple(parts)
    )


def steps_over(drawing: Drawing) -> int:
    """How many `STEP`s a front is wider than a phone."""
    return round((drawing.width - WIDTH) / STEP)


def _row(rack: RackPlace, tanks: Sequence[Tank]) -> list[Tank]:
    """The tanks of a shelf from left to right; of two behind each other the front one first."""
    return sorted(tanks, key=lambda tank: (round(along_span(rack.box, rack.facing, tank.box)[0], 2), tank.id))


def _wide(tank: Tank, scale: float) -> float:
    return max(tank.length * scale, _LEAST)


def _height(tank: Tank, scale: float) -> float:
    return min(max(tank.height * scale, _LEAST), _TALLEST)


def _needed(row: Sequence[Tank], scale: float) -> float:
    return sum(_wide(tank, scale) + _BETWEEN for tank in row) - _BETWEEN if row else 0.0


def _places(
    rack: RackPlace, row: Sequence[Tank], scale: float, width: float
) -> list[tuple[Tank, float, float]]:
    """Where each cell of a shelf begins and how wide it is: at its own place where there is room, else pushed aside."""
    found: list[tuple[Tank, float, float]] = []
    free, left = _BETWEEN, _needed(row, scale)
    for tank in row:
        wide = _wide(tank, scale)
        own = along_span(rack.box, rack.facing, tank.box)[0] * scale + _BETWEEN
        start = max(free, min(own, width - _BETWEEN - left))
        found.append((tank, start, wide))
        free = start + wide + _BETWEEN
        left -= wide + _BETWEEN
    return found


def _cell(
    tank: Tank, cell: tuple[float, float, float, float], link: str, said: str, flag: DrawnMark | None
) -> Group:
    x, y, wide, tall = cell
    dash = () if tank.state == "stands" else (4.0, 3.0)
    surface = y + tall * 0.16
    parts: list[Shape] = [
        Rectangle(
            x=x, y=y, width=wide, height=tall, look=Look(fill=GLASS, stroke=LINE, width=1.2, dash=dash)
        ),
        Rectangle(
            x=x + 0.6, y=surface, width=wide - 1.2, height=y + tall - surface - 0.6, look=Look(fill=WATER)
        ),
        line((x + 0.6, surface), (x + wide - 0.6, surface), Look(stroke=TEAL, width=1.0)),
    ]
    size = fitting_size(tank.id, wide - 8, most=_NAME, bold=True)
    middle = (surface + y + tall) / 2
    parts.append(
        Text(
            at=(x + wide / 2, middle + size * 0.36),
            text=tank.id,
            size=size,
            colour=INK,
            anchor="middle",
            bold=True,
        )
    )
    if flag is not None:
        parts.append(mark(flag.severity, (x + wide - _SIGN * 0.72, y + _SIGN * 0.72), _SIGN, flag.title))
    return Group(parts=tuple(parts), classes=("tank",), place=tank.id, link=link, title=said)
