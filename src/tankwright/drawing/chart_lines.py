"""Lines of a chart: told apart by dash and weight as well as colour, named at their ends, every value to be asked."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from tankwright.drawing.chart_frame import SMALL, TEXT, Plot, ground, overlaps
from tankwright.drawing.chart_model import Chart, Line, Mark
from tankwright.drawing.chart_scale import Scale, usable, value_words
from tankwright.drawing.chart_thin import PlacedPoint, extremes, thinned
from tankwright.drawing.colour import BLOCK, ENOUGH, FAINT, INK, PAPER, QUIET, TEAL, WATER, WOOD, Colour
from tankwright.drawing.model import (
    Bounds,
    Circle,
    Group,
    Look,
    Point,
    Polyline,
    Shape,
    Text,
    bounds,
    fitting_size,
    line,
    text_width,
)

PIXEL: Final = 25.4 / 96  # mm, as a style sheet counts them
_FINGER: Final = 3.5  # mm between values one can point at
FEW: Final = 60  # points of a chart up to which each is shown as a dot
DOT: Final = 3.0  # mm of the plot that each point needs to be shown as one
_CAP: Final = 0.7  # mm: half the foot of a range
_EDGE, _SAMPLE = 0.8, 6.7  # mm: where a row of names begins, and a sample of a line with its gap
_LEAST_HIDDEN: Final = 2.0  # mm of other lines a name at a line's end may stand on
_LOOKS: Final[tuple[tuple[Colour, float, tuple[float, ...]], ...]] = (
    (TEAL, 0.6, ()),
    (INK, 0.4, (2.0, 0.9)),
    (ENOUGH[5].fill, 0.5, (0.01, 1.1)),
    (ENOUGH[1].fill, 0.45, (2.4, 0.8, 0.4, 0.8)),
    (QUIET, 0.3, ()),
    (ENOUGH[0].fill, 0.7, (0.8, 0.8)),
)
"""Colour, weight and dash of the first line, the second ...: they differ in grey too."""


_RIBBONS: Final[tuple[Colour, ...]] = (WATER, BLOCK, WOOD)
"""Grounds of the bands of the first line, the second ...; their edges tell them apart where they cross."""


def look_of(index: int) -> Look:
    """How the line of that number looks; after the last the first comes again."""
    colour, width, dash = _LOOKS[index % len(_LOOKS)]
    return Look(stroke=colour, width=width, dash=dash, round_ends=True)


@dataclass(frozen=True, slots=True)
class Drawn:
    """A line on the page: its runs between gaps, and the points one can ask."""

    line: Line
    index: int
    runs: tuple[tuple[PlacedPoint, ...], ...]

    @property
    def end(self) -> Point | None:
        """Where it ends to the right, be that its last point or its first."""
        if not self.runs:
            return None
        first, last = self.runs[0][0][0], self.runs[-1][-1][0]
        return first if first[0] > last[0] else last


def placed(chart: Chart, x: Scale, y: Scale) -> tuple[Drawn, ...]:
    """The lines on the page, each thinned to the pixels of its runs. What lies beyond the axes parts a run."""
    made: list[Drawn] = []
    (left, right), (lowest, highest) = x.reach, y.reach
    for index, one in enumerate(chart.lines):
        runs: list[list[PlacedPoint]] = [[]]
        for number, point in enumerate(one.points):
            value = point.y
            if value is not None and left <= point.x <= right and lowest <= value <= highest:
                runs[-1].append(((x.at(point.x), y.at(value)), number))
            elif runs[-1]:
                runs.append([])
        made.append(Drawn(one, index, tuple(thinned(run, PIXEL) for run in runs if run)))
    return tuple(made)


def draw_line(drawn: Drawn) -> Group:
    """A line; a point alone between two gaps is a dot."""
    look = look_of(drawn.index)
    parts: list[Shape] = []
    for run in drawn.runs:
        if len(run) == 1:
            parts.append(Circle(centre=run[0][0], radius=0.7, look=Look(fill=look.stroke)))
        else:
            parts.append(Polyline(points=tuple(point for point, _ in run), look=look))
    return Group(parts=tuple(parts), classes=("line",), title=drawn.line.name, place=drawn.line.place)


def draw_ribbons(
    lines: Sequence[Drawn], x: Scale, y: Scale
) -> tuple[tuple[Shape, ...], tuple[Polyline, ...]]:
    """The bands of lines that have one: quiet grounds to be painted under everything, and thin edges over them."""
    grounds: list[Shape] = []
    edges: list[Polyline] = []
    lowest, highest = y.reach

    def at(across: float, value: float) -> Point:
        return (x.at(across), y.at(min(max(value, lowest), highest)))

    for drawn in lines:
        if drawn.line.ranges == "bars":
            continue
        look = look_of(drawn.index)
        for run in drawn.runs:
            points = [drawn.line.points[number] for _, number in run]
            banded = [
                (one.x, one.low, one.high) for one in points if one.low is not None and one.high is not None
            ]
            if len(banded) < 2:
                continue
            under = tuple(at(across, low) for across, low, _ in banded)
            over = tuple(at(across, high) for across, _, high in banded)
            ground = _RIBBONS[drawn.index % len(_RIBBONS)]
            grounds.append(Polyline(points=(*under, *reversed(over)), closed=True, look=Look(fill=ground)))
            edge = Look(stroke=look.stroke, width=0.15, dash=look.dash, round_ends=bool(look.dash))
            edges.extend(Polyline(points=side, look=edge) for side in (under, over))
    return tuple(grounds), tuple(edges)


def draw_bars_of(drawn: Drawn, x: Scale, y: Scale) -> Iterator[Shape]:
    """The range of each point as an upright bar with a foot and a head, for a line whose ranges are bars."""
    if drawn.line.ranges != "bars":
        return
    lowest, highest = y.reach
    look = Look(stroke=look_of(drawn.index).stroke, width=0.3)
    for run in drawn.runs:
        for _, number in run:
            point = drawn.line.points[number]
            if point.low is None or point.high is None or point.high <= point.low:
                continue
            at = x.at(point.x)
            ends = tuple(y.at(min(max(end, lowest), highest)) for end in (point.low, point.high))
            yield line((at, ends[0]), (at, ends[1]), look)
            yield from (line((at - _CAP, end), (at + _CAP, end), look) for end in ends)


def draw_points(drawn: Drawn, x: Scale, y: Scale, *, dots: bool) -> Iterator[Group]:
    """A spot for each value that can be told from its neighbours, with its words; `data-at` is its number. The spots
    are seen as `dots` where there are few of them; else they are only there to be asked."""
    few = dots
    colour = look_of(drawn.index).stroke
    look = Look(fill=PAPER, stroke=colour, width=0.3) if few else Look()
    for run in drawn.runs:
        for centre, number in run if few else extremes(run, _FINGER):
            point = drawn.line.points[number]
            told = f"{value_words(point.y or 0.0, y.axis)} at {value_words(point.x, x.axis)}"
            if point.low is not None and point.high is not None:
                told += f", from {value_words(point.low, y.axis)} to {value_words(point.high, y.axis)}"
            title = point.title or (f"{drawn.line.name}: {told}" if drawn.line.name else told)
            yield Group(
                parts=(Circle(centre=centre, radius=0.6 if few else 1.2, look=look),), classes=("point",),
                title=title, place=point.place,
                data=(("data-line", str(drawn.index)), ("data-at", str(number))),
            )  # fmt: skip


# --- names --------------------------------------------------------------------------------------------


def direct_labels(lines: Sequence[Drawn], plot: Plot, width: float) -> tuple[Shape, ...] | None:
    """Each line's name at its right end; None when one has no room there without standing far off or on a line."""
    wanted = sorted(
        ((one.end[0], one.end[1], one) for one in lines if one.end is not None and one.line.name),
        key=lambda item: item[1],
    )  # fmt: skip
    apart = TEXT * 1.2
    if len(wanted) * apart > plot.height + apart:
        return None
    heights = [y for _, y, _ in wanted]
    for _ in range(4 * len(heights) + 1):  # neighbours push each other apart until they stand clear
        for index in range(len(heights) - 1):
            gap = apart - (heights[index + 1] - heights[index])
            if gap > 1e-6:
                heights[index] -= gap / 2
                heights[index + 1] += gap / 2
        for index, height in enumerate(heights):
            lowest = plot.bottom - TEXT / 2 - apart * (len(heights) - 1 - index)  # clear of the axis
            heights[index] = min(max(height, plot.top + apart * index), lowest)
    shapes: list[Shape] = []
    for (x, y, one), height in zip(wanted, heights, strict=True):
        if abs(height - y) > 4 * apart:
            return None
        text = Text(
            at=(x + 1.6, height + TEXT * 0.34), text=one.line.name, size=TEXT, colour=INK, bold=one.index == 0
        )
        if bounds(text)[2] > width:
            return None
        if abs(height - y) > 0.8:
            shapes.append(line((x + 0.3, y), (x + 1.5, height), Look(stroke=FAINT, width=0.2)))
        if x < plot.right - 1:
            if hidden(bounds(text), lines) > _LEAST_HIDDEN:
                return None
            shapes.append(ground(text))
        shapes.append(text)
    return tuple(shapes)


def legend(lines: Sequence[Drawn], top: float, *, most: float) -> tuple[tuple[Shape, ...], float]:
    """Names beside samples of their lines, in rows `most` mm wide from `top` down; and the height they take."""
    shapes: list[Shape] = []
    x, y = _EDGE, top
    for one in lines:
        if not one.line.name:
            continue
        name = one.line.name
        size = fitting_size(name, most - _EDGE - _SAMPLE, most=TEXT)
        wide = _SAMPLE + text_width(name, size)
        if x > _EDGE and x + wide > most:
            x, y = _EDGE, y + TEXT * 1.5
        shapes.append(line((x, y), (x + _SAMPLE - 1.2, y), look_of(one.index)))
        shapes.append(Text(at=(x + _SAMPLE, y + TEXT * 0.34), text=name, size=size, colour=INK))
        x += wide + 3.0
    return tuple(shapes), (y - top + TEXT * 1.5 if shapes else 0.0)


# --- marks --------------------------------------------------------------------------------------------


def draw_marks(
    marks: Sequence[Mark], lines: Sequence[Drawn], x: Scale, y: Scale, plot: Plot, taken: list[Bounds]
) -> Iterator[Group]:
    """Events as upright lines with their names over the plot; points of their own as rings with their names."""
    last = -1e9
    for number, mark in sorted(enumerate(marks), key=lambda item: item[1].x):
        if not usable(mark.x, x.axis) or not x.holds(mark.x):
            continue
        at = x.at(mark.x)
        data = (("data-mark", str(number)),)
        when = value_words(mark.x, x.axis)
        if mark.y is None or not usable(mark.y, y.axis):
            parts: list[Shape] = [
                line((at, plot.top - 0.6), (at, plot.bottom), Look(stroke=INK, width=0.25, dash=(0.6, 0.8))),
                Polyline(points=((at - 0.9, plot.top - 2.0), (at + 0.9, plot.top - 2.0), (at, plot.top - 0.4)),
                         closed=True, look=Look(fill=INK)),
            ]  # fmt: skip
            wide = text_width(mark.name, SMALL)
            left = min(max(at - wide / 2, plot.left), max(plot.right - wide, plot.left))
            if left > last and left + wide <= plot.right + 1e-9:
                last = left + wide + 1.5
                parts.append(Text(at=(left, plot.top - 2.6), text=mark.name, size=SMALL, colour=INK))
            title = mark.title or f"{mark.name}, {when}"
            yield Group(parts=tuple(parts), classes=("event",), title=title, place=mark.place, data=data)
        elif y.holds(mark.y):
            spot = (at, y.at(mark.y))
            title = mark.title or f"{mark.name}: {value_words(mark.y, y.axis)} at {when}"
            parts = [
                line((plot.left, spot[1]), spot, Look(stroke=QUIET, width=0.2, dash=(0.8, 0.8))),
                line(spot, (at, plot.bottom), Look(stroke=QUIET, width=0.2, dash=(0.8, 0.8))),
                Circle(centre=spot, radius=1.3, look=Look(fill=PAPER, stroke=INK, width=0.5)),
            ]
            text = _beside(mark, spot, lines, plot, taken)
            if text is not None:
                taken.append(bounds(text))
                parts.extend((ground(text), text))
            yield Group(parts=tuple(parts), classes=("spot",), title=title, place=mark.place, data=data)


def _beside(
    mark: Mark, spot: Point, lines: Sequence[Drawn], plot: Plot, taken: Sequence[Bounds]
) -> Text | None:
    """The name of a point in that corner beside it where it hides least of the lines; None where none has room."""
    if not mark.name:
        return None
    x, y = spot
    best: tuple[float, Text] | None = None
    for right in (True, False):
        for rise in (-1.6, TEXT + 1.2, -1.6 - 2 * TEXT, 3 * TEXT + 1.2):
            text = Text(
                at=(x + (2.0 if right else -2.0), y + rise), text=mark.name, size=TEXT, colour=INK,
                anchor="start" if right else "end", bold=True,
            )  # fmt: skip
            box = bounds(text)
            inside = (
                box[0] >= plot.left and box[2] <= plot.right and box[1] >= plot.top and box[3] <= plot.bottom
            )
            if not inside or any(overlaps(box, other) for other in taken):
                continue
            cost = hidden(box, lines) + 0.01 * abs(rise)
            if best is None or cost < best[0]:
                best = (cost, text)
    return best[1] if best else None


def hidden(box: Bounds, lines: Sequence[Drawn]) -> float:
    """How many millimetres of the lines a box would cover."""
    return sum(covered(box, [point for point, _ in run]) for one in lines for run in one.runs)


def covered(box: Bounds, points: Sequence[Point]) -> float:
    """How many millimetres of a line through points a box would cover, to the millimetre.

    >>> covered((0.0, 0.0, 4.5, 1.0), ((0.0, 0.5), (10.0, 0.5)))
    5.0
    """
    count = 0.0
    for first, second in pairwise(points):
        if max(first[0], second[0]) < box[0] or min(first[0], second[0]) > box[2]:
            continue
        steps = max(1, min(200, math.ceil(math.dist(first, second))))
        for step in range(steps + 1):
            share = step / steps
            at = (first[0] + (second[0] - first[0]) * share, first[1] + (second[1] - first[1]) * share)
            count += box[0] <= at[0] <= box[2] and box[1] <= at[1] <= box[3]
    return count
