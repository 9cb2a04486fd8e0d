"""Flow in pressure pipes seen from above: lines as wide as their flow, arrowheads, a few numbers beside them."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from tankwright.drawing.colour import INK, PAPER
from tankwright.drawing.frame import Frame
from tankwright.drawing.model import Bounds, Look, Point, Polyline, Rectangle, Shape, Text, line, text_width
from tankwright.drawing.results import DrawnPipe
from tankwright.room.model import PipeRun

WIDTHS: Final = ((0.05, 0.35), (0.25, 0.6), (0.6, 0.95), (math.inf, 1.4))
"""Up to this share of the largest flow of the run, this width in mm. Own choice: four steps the eye tells apart."""

ARROW_EVERY: Final = 28.0  # mm between arrowheads
_SHORTEST_WITH_ARROW: Final = 4.0
_LEAST_SHARE: Final = 1e-3  # of the run's largest; less has no direction worth drawing
_SAME: Final = 0.05  # mm; lines nearer than this lie on each other
_LABEL: Final = 2.0
_STEP: Final = 1.5  # mm a label is moved on to look for a free spot
_REACH: Final = 36.0  # mm it is moved at most
_ASIDE: Final = 3.0  # mm beside the line, where the line itself is taken
_REPEAT: Final = 60.0  # mm within which the same number is not said again


def flow_width(share: float) -> float:
    """Width in mm of a pipe's line by its share of the largest flow of its run; the sign does not matter.

    >>> flow_width(1.0), flow_width(-0.5), flow_width(0.0)
    (1.4, 0.95, 0.35)
    """
    return next(width for most, width in WIDTHS if abs(share) <= most)


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """A straight piece of the plan with one flow; it runs from `start` to `end` when `share` is positive."""

    start: Point
    end: Point
    share: float

    @property
    def length(self) -> float:
        """Length in mm."""
        return math.dist(self.start, self.end)


def stretches(pipes: Iterable[PipeRun], shares: dict[str, float], frame: Frame) -> tuple[Stretch, ...]:
    """The pipes as straight pieces on the page. Where several lie above each other, the largest flow is kept;
    pieces in a row with the same width and direction are joined."""
    lines: dict[tuple[bool, int], list[tuple[float, float, float]]] = {}
    made: list[Stretch] = []
    for pipe in pipes:
        share = shares.get(pipe.id, 0.0)
        for first, second in pairwise(frame.at(place[0], place[1]) for place in pipe.path):
            level, upright = abs(first[1] - second[1]) < _SAME, abs(first[0] - second[0]) < _SAME
            if level and upright:
                continue
            if not level and not upright:
                made.append(Stretch(start=first, end=second, share=share))
                continue
            along, across = (0, 1) if level else (1, 0)
            low, high, signed = first[along], second[along], share
            if low > high:
                low, high, signed = high, low, -share
            lines.setdefault((level, round(first[across] * 10)), []).append((low, high, signed))
    for (level, tenths), pieces in lines.items():
        at = tenths / 10
        for low, high, share in _joined(pieces):
            ends = ((low, at), (high, at)) if level else ((at, low), (at, high))
            made.append(Stretch(start=ends[0], end=ends[1], share=share))
    return tuple(made)


def _joined(pieces: list[tuple[float, float, float]]) -> Iterator[tuple[float, float, float]]:
    """Intervals without overlap, the largest flow kept, neighbours of one look joined."""
    cuts: list[float] = []
    for place in sorted(place for low, high, _ in pieces for place in (low, high)):
        if not cuts or place - cuts[-1] > _SAME:
            cuts.append(place)
    last: tuple[float, float, float] | None = None
    for low, high in pairwise(cuts):
        middle = (low + high) / 2
        here = [share for start, end, share in pieces if start < middle < end]
        if not here:
            continue
        share = max(here, key=abs)
        if last is not None and low - last[1] <= _SAME and _look(last[2]) == _look(share):
            last = (last[0], high, max(last[2], share, key=abs))
            continue
        if last is not None:
            yield last
        last = (low, high, share)
    if last is not None:
        yield last


def _look(share: float) -> tuple[float, int]:
    way = 0 if abs(share) < _LEAST_SHARE else int(math.copysign(1, share))
    return flow_width(share), way


def flow_lines(made: Iterable[Stretch], look: Look) -> Iterator[Shape]:
    """Each stretch as a line in the given look, as wide as its flow; then the arrowheads over all of them."""
    known = sorted(made, key=lambda one: flow_width(one.share))  # the widest over the others
    for one in known:
        wide = Look(
            stroke=look.stroke, width=flow_width(one.share), dash=look.dash, round_ends=look.round_ends
        )
        yield line(one.start, one.end, wide)
    for one in known:
        yield from _heads(one, look.stroke)


def _heads(one: Stretch, colour: str) -> Iterator[Shape]:
    if abs(one.share) < _LEAST_SHARE or one.length < _SHORTEST_WITH_ARROW:
        return
    first, second = (one.start, one.end) if one.share > 0 else (one.end, one.start)
    way = ((second[0] - first[0]) / one.length, (second[1] - first[1]) / one.length)
    count = max(1, round(one.length / ARROW_EVERY))
    size = 0.75 + 0.3 * flow_width(one.share)
    for number in range(count):
        far = one.length * (number + 0.5) / count
        yield arrowhead((first[0] + way[0] * far, first[1] + way[1] * far), way, size, colour)


def arrowhead(at: Point, way: Point, size: float, colour: str) -> Polyline:
    """A small arrowhead about a point, in the direction of a unit vector."""
    (x, y), (dx, dy) = at, way
    tip = (x + dx * size * 1.4, y + dy * size * 1.4)
    left = (x - dx * size - dy * size, y - dy * size + dx * size)
    right = (x - dx * size + dy * size, y - dy * size - dx * size)
    return Polyline(points=(tip, left, right), closed=True, look=Look(fill=colour, stroke=PAPER, width=0.15))


def flow_labels(
    pipes: Iterable[PipeRun], drawn: Iterable[DrawnPipe], frame: Frame, taken: list[Bounds], colour: str
) -> Iterator[Shape]:
    """A number at every pipe that is to tell its flow, on it or beside it where nothing is `taken` yet, moved
    along the line if need be: it then tells the flow there. None where there is no room, or where the same
    number stands close by. What is placed is added to `taken`.
    """
    known = {pipe.id: pipe for pipe in drawn}
    legs = [
        _Leg(start=first, end=second, share=known[pipe.id].share, label=known[pipe.id].label)
        for pipe in pipes
        if pipe.id in known
        for first, second in pairwise(frame.at(place[0], place[1]) for place in pipe.path)
        if math.dist(first, second) > _SAME
    ]
    paths = {pipe.id: pipe.path for pipe in pipes}
    placed: list[tuple[str, Point]] = []
    for pipe in (pipe for pipe in known.values() if pipe.told and pipe.id in paths):
        points = [frame.at(place[0], place[1]) for place in paths[pipe.id]]
        pairs = [pair for pair in pairwise(points) if math.dist(*pair) > _SAME]
        if not pairs:
            continue
        first, second = max(pairs, key=lambda pair: math.dist(*pair))
        if pipe.share < 0:
            first, second = second, first
        found = _spot(first, second, legs, taken, placed)
        if found is not None:
            box, label = found
            taken.append(box)
            placed.append((label, _middle(box)))
            yield from _plate(box, label, colour, level=_is_level(first, second))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Leg:
    start: Point
    end: Point
    share: float
    label: str

    def carries(self, point: Point) -> bool:
        """True when the point lies on it."""
        (x0, y0), (x1, y1), (x, y) = self.start, self.end, point
        if (x < x0 - _SAME and x < x1 - _SAME) or (x > x0 + _SAME and x > x1 + _SAME):
            return False
        if (y < y0 - _SAME and y < y1 - _SAME) or (y > y0 + _SAME and y > y1 + _SAME):
            return False
        apart = math.dist(self.start, point) + math.dist(point, self.end) - math.dist(self.start, self.end)
        return apart < _SAME


def _middle(box: Bounds) -> Point:
    return (box[0] + box[2]) / 2, (box[1] + box[3]) / 2


def _is_level(first: Point, second: Point) -> bool:
    return abs(second[0] - first[0]) >= abs(second[1] - first[1])


def _spot(
    first: Point, second: Point, legs: list[_Leg], taken: list[Bounds], placed: list[tuple[str, Point]]
) -> tuple[Bounds, str] | None:
    """A free box and what it tells: at the middle of a leg, then on along its line, then beside it."""
    run = math.dist(first, second)
    way = ((second[0] - first[0]) / run, (second[1] - first[1]) / run)
    level = _is_level(first, second)
    for far in _outwards(run / 2):
        on = (first[0] + way[0] * far, first[1] + way[1] * far)
        under = [leg for leg in legs if leg.carries(on)]
        if not under:
            continue
        label = max(under, key=lambda leg: abs(leg.share)).label
        if any(text == label and math.dist(on, at) < _REPEAT for text, at in placed):
            return None
        long, tall = text_width(label, _LABEL, bold=True) + 1.2, _LABEL * 1.3
        ends = ((on[0] + way[0] * side, on[1] + way[1] * side) for side in (-long / 2, long / 2))
        if not all(any(leg.carries(end) for leg in legs) for end in ends):
            continue  # it would hang over the end of the pipe, or round a corner
        wide, high = (long, tall) if level else (tall, long)
        for aside in (0.0, _ASIDE, -_ASIDE):
            x, y = on[0] - way[1] * aside, on[1] + way[0] * aside
            box = (x - wide / 2, y - high / 2, x + wide / 2, y + high / 2)
            if not any(_overlap(box, other) for other in taken):
                return box, label
    return None


def _outwards(middle: float) -> Iterator[float]:
    """Distances along a line: the middle, then in steps downstream and upstream of it."""
    yield middle
    for number in range(1, int(_REACH / _STEP) + 1):
        yield middle + number * _STEP
        if number * _STEP < middle:
            yield middle - number * _STEP


def _overlap(first: Bounds, second: Bounds) -> bool:
    return first[0] < second[2] and second[0] < first[2] and first[1] < second[3] and second[1] < first[3]


def _plate(box: Bounds, label: str, colour: str, *, level: bool) -> Iterator[Shape]:
    left, top, right, bottom = box
    ground = Look(fill=PAPER, stroke=colour, width=0.2)
    yield Rectangle(x=left, y=top, width=right - left, height=bottom - top, look=ground, radius=0.8)
    x, y, shift = (left + right) / 2, (top + bottom) / 2, _LABEL * 0.36
    at, turn = ((x, y + shift), 0.0) if level else ((x + shift, y), 270.0)
    yield Text(at=at, text=label, size=_LABEL, colour=INK, anchor="middle", bold=True, turn=turn)
