"""The cuts that part a sheet into its pieces, each from edge to edge of what is on the bench; or that there are none.

Rectangles are in whole tenths of a millimetre with the kerf added over and to the right of each piece, so that two
pieces a kerf apart touch. A line may be cut when no rectangle reaches over it.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple


class Box(NamedTuple):
    """A rectangle from its lower left corner."""

    x: int
    y: int
    width: int
    height: int


class Line(NamedTuple):
    """A cut: where, and between what, along the other axis."""

    upright: bool
    at: int
    start: int
    end: int


class Parted(NamedTuple):
    """The cuts in their order, and the boxes that are left over."""

    cuts: tuple[Line, ...]
    rest: tuple[Box, ...]


def part(sheet: Box, boxes: Sequence[Box]) -> Parted | None:
    """The cuts that set every box free; None where no line runs from edge to edge without going through a box.

    >>> part(Box(0, 0, 10, 5), [Box(0, 0, 4, 5), Box(4, 0, 6, 2)])
    Parted(cuts=(Line(upright=True, at=4, start=0, end=5), Line(upright=False, at=2, start=4, end=10)), \
rest=(Box(x=4, y=2, width=6, height=3),))
    >>> wheel = [Box(0, 0, 2, 1), Box(2, 0, 1, 2), Box(1, 2, 2, 1), Box(0, 1, 1, 2), Box(1, 1, 1, 1)]
    >>> part(Box(0, 0, 3, 3), wheel) is None
    True
    """
    cuts: list[Line] = []
    rest: list[Box] = []
    bench: list[tuple[Box, list[Box]]] = [(sheet, list(boxes))]
    while bench:
        area, inside = bench.pop()
        if not inside:
            rest.append(area)
            continue
        if len(inside) == 1 and inside[0] == area:
            continue
        found = _cut(area, inside)
        if found is None:
            return None
        cuts.append(found)
        first, second = _sides(area, found)
        low = [box for box in inside if (box.x if found.upright else box.y) < found.at]
        bench += [(second, [box for box in inside if box not in low]), (first, low)]
    return Parted(tuple(cuts), tuple(rest))


def _cut(area: Box, inside: Sequence[Box]) -> Line | None:
    """The cut that goes through nothing. Of several, the one that leaves the most in one piece: an offcut worth
    keeping; else the shortest, which is the easiest to saw or to snap."""
    lines = [
        Line(True, at, area.y, area.y + area.height)
        for at in _gaps(area.x, area.x + area.width, [(box.x, box.x + box.width) for box in inside])
    ]
    lines += [
        Line(False, at, area.x, area.x + area.width)
        for at in _gaps(area.y, area.y + area.height, [(box.y, box.y + box.height) for box in inside])
    ]
    if not lines:
        return None

    def worth(line: Line) -> tuple[int, int, bool, int]:
        empty = 0
        for side in _sides(area, line):
            if not any(_within(box, side) for box in inside):
                empty = max(empty, side.width * side.height)
        return -empty, line.end - line.start, line.upright, line.at

    return min(lines, key=worth)


def _within(box: Box, side: Box) -> bool:
    return side.x <= box.x < side.x + side.width and side.y <= box.y < side.y + side.height


def _gaps(start: int, end: int, spans: list[tuple[int, int]]) -> list[int]:
    """Where a line lies between spans: at the end of what is before it, or the beginning of the first."""
    spans = sorted(spans)
    found = [spans[0][0]] if spans[0][0] > start else []
    reached = start
    for number, (_, far) in enumerate(spans):
        reached = max(reached, far)
        following = spans[number + 1][0] if number + 1 < len(spans) else end
        if reached <= following and reached < end:
            found.append(reached)
    return found


def _sides(area: Box, line: Line) -> tuple[Box, Box]:
    if line.upright:
        wide = line.at - area.x
        return (
            Box(area.x, area.y, wide, area.height),
            Box(line.at, area.y, area.width - wide, area.height),
        )
    tall = line.at - area.y
    return Box(area.x, area.y, area.width, tall), Box(area.x, line.at, area.width, area.height - tall)
