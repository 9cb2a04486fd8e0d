"""Pipes in the plan: drain solid and as wide as it is full, air ring dashed with its taps, feed dotted."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise
from typing import Final

from tankwright.drawing.colour import AMBER, GREY, INK, PAPER, QUIET, TEAL, WINE, mark
from tankwright.drawing.flow_view import ARROW_EVERY, arrowhead, flow_labels, flow_lines, stretches
from tankwright.drawing.frame import Frame
from tankwright.drawing.model import (
    Bounds,
    Circle,
    Group,
    Look,
    Point,
    Polyline,
    Rectangle,
    Shape,
    Text,
    bounds,
    fitting_size,
    line,
    text_width,
)  # fmt: skip
from tankwright.drawing.results import DrawnResults, DrawnSegment
from tankwright.drawing.svg import identifier
from tankwright.room.model import AirRun, DrainRun, FeedRun, PipeRun, Place, PumpPlace, Room

AIR_DASH: Final = (2.4, 1.2)
FEED_DASH: Final = (0.01, 1.3)


def drain_width(full: float) -> float:
    """Width in mm of a drain's line by how full it is, from 0.6 dry to 2.6 full."""
    return 0.6 + 2.0 * min(max(full, 0.0), 1.0)


def drain_colour(full: float | None, live: bool) -> str:
    """Colour of a drain's line: ink where only shown, else teal to half full, amber above, wine near full."""
    if full is None:
        return GREY if live else INK
    if not live:
        return INK
    return TEAL if full <= 0.5 else AMBER if full < 0.8 else WINE


def draw_pipes(room: Room, results: DrawnResults, frame: Frame) -> tuple[Shape, ...]:
    """The pipes that belong to the layer; the layout layer shows all of them, quietly."""
    layer = results.layer
    shapes: list[Shape] = []
    taken = _in_the_way(room, frame)
    if layer in ("layout", "feed"):
        shapes.extend(_feed(run, room, results, frame, taken) for run in room.feeds)
    if layer in ("layout", "air"):
        pumps = {pump.id: pump for pump in room.pumps}
        shapes.extend(_air(run, pumps, results, frame, taken) for run in room.airs)
    if layer in ("layout", "drain"):
        shapes.extend(_drain(run, results, frame) for run in room.drains)
    return tuple(shapes)


def _flat(place: Place, frame: Frame) -> Point:
    return frame.at(place[0], place[1])


def _drain(run: DrainRun, results: DrawnResults, frame: Frame) -> Group:
    live = results.layer == "drain"
    told: dict[tuple[str, str], DrawnSegment] = {
        (segment.start, segment.end): segment for segment in results.segments if segment.drain == run.id
    }
    points = [_flat(node.place, frame) for node in run.nodes]
    parts: list[Shape] = []
    labels: list[Shape] = []
    for index in range(len(points) - 1):
        known = told.get((run.nodes[index].id, run.nodes[index + 1].id))
        full = known.full if known else None
        width = drain_width(full or 0.0)
        dash = (1.0, 0.8) if live and full is None else ()
        look = Look(stroke=drain_colour(full, live), width=width, dash=dash, round_ends=not dash)
        parts.append(line(points[index], points[index + 1], look))
        if live and known is not None and known.label:
            ends = _beside(points, index, known.label)
            labels.extend(_pill(*ends, known.label, look.stroke))
    colour = TEAL if live else INK
    parts.extend(_arrows(points, colour, 1.1))
    if live:
        parts.extend(
            Circle(centre=point, radius=0.7, look=Look(fill=PAPER, stroke=colour, width=0.3))
            for node, point in zip(run.nodes, points, strict=True) if node.tanks
        )  # fmt: skip
    parts.extend(labels)
    parts.extend(_flag(run.id, points[0] if points else (0.0, 0.0), results))
    how = "derived" if run.derived else "as drawn"
    return Group(parts=tuple(parts), id=identifier("drain", run.id), layer="drain", place=run.id,
                 title=f"drain {run.id} to {run.outfall}, {how}")  # fmt: skip


def _air(
    run: AirRun, pumps: dict[str, PumpPlace], results: DrawnResults, frame: Frame, taken: list[Bounds]
) -> Group:
    live = results.layer == "air"
    colour = TEAL if live else QUIET
    parts: list[Shape] = []
    look = Look(stroke=colour, width=0.7 if live else 0.4, dash=AIR_DASH)
    parts.extend(_run_lines(run.pipes, look, results, frame, live))
    parts.extend(_taps(run, colour, frame))
    start = next((place for name, place in run.nodes if name == run.inlet), None)
    for pump in (pumps[name] for name in run.pumps if name in pumps):
        place = pump.place or start
        if place is not None:
            shown = tuple(_pump(pump, _flat(place, frame), colour, results))
            taken.extend(bounds(one) for one in shown)
            parts.extend(shown)
    if live:
        parts.extend(flow_labels(run.pipes, results.pipes, frame, taken, colour))
    parts.extend(_flag(run.id, _flat(start, frame) if start else (0.0, 0.0), results))
    return Group(parts=tuple(parts), id=identifier("air", run.id), layer="air", place=run.id,
                 title=f"air run {run.id}, {len(run.taps)} taps")  # fmt: skip


def _taps(run: AirRun, colour: str, frame: Frame) -> Iterator[Shape]:
    """Ticks across the pipe, short and thin for a tap without a tank; those that look alike one after another."""
    ways = _directions(run.pipes)
    for tap in sorted(run.taps, key=lambda tap: (tap.tank is not None, tap.open)):
        x, y = _flat(tap.place, frame)
        dx, dy = ways.get(tap.node, (1.0, 0.0))
        long = 1.1 if tap.tank is not None else 0.6
        tick = Look(stroke=colour if tap.open else GREY, width=0.3 if tap.tank is not None else 0.2)
        yield line((x + dy * long, y + dx * long), (x - dy * long, y - dx * long), tick)


def _feed(run: FeedRun, room: Room, results: DrawnResults, frame: Frame, taken: list[Bounds]) -> Group:
    live = results.layer == "feed"
    colour = TEAL if live else QUIET
    look = Look(stroke=colour, width=0.8 if live else 0.5, dash=FEED_DASH, round_ends=True)
    parts: list[Shape] = [*_run_lines(run.pipes, look, results, frame, live)]
    source = _flat(run.source_place, frame)
    parts.append(Circle(centre=source, radius=1.5, look=Look(fill=PAPER, stroke=INK, width=0.4)))
    parts.append(Circle(centre=source, radius=0.6, look=Look(fill=INK)))
    rows = [run.source, *(flow for name, flow in results.sources if name == run.id)]
    half = max(text_width(row, 2.3) for row in rows) / 2
    x = source[0]
    for space in room.spaces:  # a tap often is on a wall; its name stays inside
        left, top, width, height = frame.corner(space.box)
        if left <= x <= left + width and top <= source[1] <= top + height and width > 2 * half + 2:
            x = min(max(x, left + half + 1), left + width - half - 1)
    written = [
        Text(at=(x, source[1] + 4.0 + 2.8 * index), text=row, size=2.3, colour=INK, anchor="middle")
        for index, row in enumerate(rows)
    ]
    taken.extend(bounds(row) for row in written)
    taken.append((source[0] - 1.7, source[1] - 1.7, source[0] + 1.7, source[1] + 1.7))
    parts.extend(written)
    if live:
        parts.extend(flow_labels(run.pipes, results.pipes, frame, taken, colour))
    parts.extend(_flag(run.id, (source[0] + 3.0, source[1]), results))
    return Group(parts=tuple(parts), id=identifier("feed", run.id), layer="feed", place=run.id,
                 title=f"feed {run.id} from {run.source}, {len(run.outlets)} outlets")  # fmt: skip


def _run_lines(
    pipes: tuple[PipeRun, ...], look: Look, results: DrawnResults, frame: Frame, live: bool
) -> Iterator[Shape]:
    """The pipes, all alike; or, on their own layer with known flows, each as wide as its flow."""
    shares = {pipe.id: pipe.share for pipe in results.pipes} if live else {}
    made = stretches(pipes, shares, frame)
    if shares:
        yield from flow_lines(made, look)
    else:
        yield from (line(one.start, one.end, look) for one in made)


def _in_the_way(room: Room, frame: Frame) -> list[Bounds]:
    """What a label in the plan must not hide: racks (but for their frame) and what stands in the way."""
    boxes: list[Bounds] = []
    for box, spare in (
        *((rack.box, 0.4) for rack in room.racks),
        *((box, 0.0) for space in room.spaces for _, box in space.obstacles),
    ):
        x, y, width, height = frame.corner(box)
        boxes.append((x + spare, y + spare, x + width - spare, y + height - spare))
    return boxes


def _directions(pipes: tuple[PipeRun, ...]) -> dict[str, Point]:
    """At every node the direction of a pipe that ends there, as |dx|, |dy|."""
    ways: dict[str, Point] = {}
    for pipe in pipes:
        for first, second in pairwise(pipe.path):
            run = math.dist(first[:2], second[:2])
            if run > 1e-9:
                way = abs(second[0] - first[0]) / run, abs(second[1] - first[1]) / run
                ways.setdefault(pipe.start, way)
                ways.setdefault(pipe.end, way)
                break
    return ways


def _pump(pump: PumpPlace, at: Point, colour: str, results: DrawnResults) -> Iterator[Shape]:
    x, y = at
    yield Circle(centre=at, radius=2.2, look=Look(fill=PAPER, stroke=colour, width=0.5))
    points = ((x - 1.0, y - 1.4), (x - 1.0, y + 1.4), (x + 1.7, y))
    yield Polyline(points=points, closed=True, look=Look(fill=colour))
    told = dict(results.sources).get(pump.id, "")
    label = f"{pump.id} (reserve)" if pump.reserve else f"{pump.id}  {told}".strip()
    size = fitting_size(label, 30, most=2.3)
    middle = (x + 1.6 + text_width(label, size) / 2, y - 2.8)
    text = Text(at=middle, text=label, size=size, colour=INK, anchor="middle")
    left, top, right, bottom = bounds(text)  # on its own ground: a pump often stands at a wall
    ground = Look(fill=PAPER, stroke=colour, width=0.2)
    yield Rectangle(x=left - 0.5, y=top - 0.2, width=right - left + 1, height=bottom - top + 0.4, look=ground)
    yield text
    yield from _flag(pump.id, (x - 0.4, y - 2.2), results)


def _arrows(points: list[Point], colour: str, size: float) -> Iterator[Shape]:
    """Arrowheads along a run, at its middle when it is short."""
    total = sum(math.dist(a, b) for a, b in pairwise(points))
    count = max(1, round(total / ARROW_EVERY)) if total > 6 else 0
    for number in range(count):
        place = _along(points, total * (number + 0.5) / count)
        if place is not None:
            yield arrowhead(place[0], place[1], size, colour)


def _along(points: list[Point], distance: float) -> tuple[Point, Point] | None:
    for first, second in pairwise(points):
        run = math.dist(first, second)
        if run > 1e-9 and distance <= run:
            way = ((second[0] - first[0]) / run, (second[1] - first[1]) / run)
            return (first[0] + way[0] * distance, first[1] + way[1] * distance), way
        distance -= run
    return None


def _beside(points: list[Point], index: int, label: str) -> tuple[Point, Point]:
    """Where the label of a segment goes: on it; beside it, on the side of the rest of the run, when the
    segment is too short to be seen under it.
    """
    first, second = points[index], points[index + 1]
    run = math.dist(first, second)
    if run >= text_width(label, 2.2, bold=True) + 8 or run == 0.0:
        return first, second
    far = max(points, key=lambda point: math.dist(point, second))
    normal = (-(second[1] - first[1]) / run, (second[0] - first[0]) / run)
    side = (far[0] - first[0]) * normal[0] + (far[1] - first[1]) * normal[1]
    aside = math.copysign(4.2, side)
    back = (
        text_width(label, 2.2, bold=True) / 2 + 0.8
    )  # and off its end, where an outfall or another run may be
    x = normal[0] * aside - back * normal[1]
    y = normal[1] * aside + back * normal[0]
    return (first[0] + x, first[1] + y), (second[0] + x, second[1] + y)


def _pill(first: Point, second: Point, label: str, colour: str) -> Iterator[Shape]:
    """A label on a pipe, on its own small ground, along the pipe."""
    x, y = (first[0] + second[0]) / 2, (first[1] + second[1]) / 2
    long, tall = text_width(label, 2.2, bold=True) + 1.6, 3.2
    level = abs(second[0] - first[0]) >= abs(second[1] - first[1])
    wide, high = (long, tall) if level else (tall, long)
    ground = Look(fill=PAPER, stroke=colour, width=0.3)
    yield Rectangle(x=x - wide / 2, y=y - high / 2, width=wide, height=high, look=ground, radius=1.0)
    at, turn = ((x, y + 0.8), 0.0) if level else ((x + 0.8, y), 270.0)
    yield Text(at=at, text=label, size=2.2, colour=INK, anchor="middle", bold=True, turn=turn)


def _flag(place: str, at: Point, results: DrawnResults) -> Iterator[Shape]:
    found = results.mark(place)
    if found is not None:
        yield mark(found.severity, (at[0] - 1.6, at[1] - 1.6), 2.6, found.title)
