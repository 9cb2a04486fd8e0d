"""Pipes, pumps and boards of a room seen from aslant, as blocks as thin as they are."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from itertools import pairwise
from typing import Final

from tankwright.drawing.colour import INK, PAPER, QUIET, TEAL, Colour, mark
from tankwright.drawing.flow_view import flow_width
from tankwright.drawing.model import Circle, Group, Look, Polyline, Shape
from tankwright.drawing.orbit_parts import Painter, Thing, block
from tankwright.drawing.orbit_view import View
from tankwright.drawing.pipes_view import AIR_DASH, FEED_DASH, drain_colour, drain_width
from tankwright.drawing.results import DrawnResults
from tankwright.drawing.svg import identifier
from tankwright.room.frames import box_between, frame_of
from tankwright.room.model import AirRun, Box, DrainRun, FeedRun, PipeRun, Place, PumpPlace, Room

_THICK: Final = 0.004  # m, half the side of the block that stands for a pipe in the painter's order
_THINNER: Final = 0.8  # of the widths in the plan: here pipes pass before coloured glass
_LONGEST: Final = 1.0  # m, of a pipe that runs neither level nor upright nor along a wall
_SAME: Final = 1e-6


def piping_things(room: Room, results: DrawnResults, view: View) -> Iterator[Thing]:
    """The pipes that belong to the layer; the layout layer shows all of them, quietly."""
    layer = results.layer
    shares = {pipe.id: pipe.share for pipe in results.pipes}
    if layer in ("layout", "feed"):
        for feed in room.feeds:
            yield from _feed(feed, results, shares, view)
    if layer in ("layout", "air"):
        pumps = {pump.id: pump for pump in room.pumps}
        for air in room.airs:
            yield from _air(air, pumps, results, shares, view)
    if layer in ("layout", "drain"):
        for drain in room.drains:
            yield from _drain(drain, results, view)
    if layer == "power":
        yield from _boards(room, results, view)


def _air(
    run: AirRun, pumps: dict[str, PumpPlace], results: DrawnResults, shares: dict[str, float], view: View
) -> Iterator[Thing]:
    live = results.layer == "air"
    colour = TEAL if live else QUIET
    look = Look(stroke=colour, width=0.5 if live else 0.3, dash=AIR_DASH)
    yield from _lines(run.pipes, look, shares if live else {}, f"air run {run.id}", run.id, view)
    start = next((place for name, place in run.nodes if name == run.inlet), None)
    for pump in (pumps[name] for name in run.pumps if name in pumps):
        place = pump.place or start
        if place is not None:
            yield Thing(_around(place, 0.06), _pump(pump, place, colour, results, view), may_cut=False)


def _feed(run: FeedRun, results: DrawnResults, shares: dict[str, float], view: View) -> Iterator[Thing]:
    live = results.layer == "feed"
    look = Look(stroke=TEAL if live else QUIET, width=0.7 if live else 0.45, dash=FEED_DASH, round_ends=True)
    yield from _lines(run.pipes, look, shares if live else {}, f"feed {run.id}", run.id, view)
    place = run.source_place

    def source(_: Box) -> tuple[Shape, ...]:
        at = view.at(*place)
        parts = (
            Circle(centre=at, radius=1.2, look=Look(fill=PAPER, stroke=INK, width=0.35)),
            Circle(centre=at, radius=0.5, look=Look(fill=INK)),
        )
        return (Group(parts=parts, place=run.source, title=f"{run.source}, feeds {run.id}"),)

    yield Thing(_around(place, 0.04), source, may_cut=False)


def _drain(run: DrainRun, results: DrawnResults, view: View) -> Iterator[Thing]:
    live = results.layer == "drain"
    known = {(one.start, one.end): one.full for one in results.segments if one.drain == run.id}
    lift = run.bore.value / 2
    pieces: list[tuple[Place, Place, Look]] = []
    for first, second in pairwise(run.nodes):
        full = known.get((first.id, second.id))
        unknown = live and full is None
        look = Look(
            stroke=drain_colour(full, live), width=drain_width(full or 0.0) * _THINNER,
            dash=(1.0, 0.8) if unknown else (), round_ends=not unknown,
        )  # fmt: skip
        ends = [(node.place[0], node.place[1], node.place[2] + lift) for node in (first, second)]
        pieces.append((ends[0], ends[1], look))
    yield from _painted(pieces, f"drain {run.id} to {run.outfall}", run.id, view)


def _lines(
    pipes: Iterable[PipeRun], look: Look, shares: dict[str, float], title: str, place: str, view: View
) -> Iterator[Thing]:
    pieces: list[tuple[Place, Place, Look]] = []
    for pipe in pipes:
        own = look
        if pipe.id in shares:
            width = flow_width(shares[pipe.id]) * _THINNER
            own = Look(stroke=look.stroke, width=width, dash=look.dash, round_ends=look.round_ends)
        pieces.extend((first, second, own) for first, second in pairwise(pipe.path))
    yield from _painted(pieces, title, place, view)


def _painted(
    pieces: Iterable[tuple[Place, Place, Look]], title: str, place: str, view: View
) -> Iterator[Thing]:
    for start, end, look in _joined(pieces):
        slanting = sum(abs(b - a) > _SAME for a, b in zip(start, end, strict=True)) > 1
        count = max(1, math.ceil(math.dist(start, end) / _LONGEST)) if slanting else 1
        for index in range(count):
            first, second = (_between(start, end, step / count) for step in (index, index + 1))
            yield Thing(_hull(first, second), _line(first, second, look, title, place, view))


def _joined(pieces: Iterable[tuple[Place, Place, Look]]) -> Iterator[tuple[Place, Place, Look]]:
    """Pieces that run on in one direction with one look, as one line, so that its dashes run through."""
    last: tuple[Place, Place, Look] | None = None
    for start, end, look in pieces:
        if math.dist(start, end) < _SAME:
            continue
        if last is not None and last[2] == look and math.dist(last[1], start) < _SAME:
            whole = math.dist(last[0], end)
            if math.dist(last[0], last[1]) + math.dist(start, end) - whole < _SAME:
                last = (last[0], end, look)
                continue
        if last is not None:
            yield last
        last = (start, end, look)
    if last is not None:
        yield last


def _line(first: Place, second: Place, look: Look, title: str, place: str, view: View) -> Painter:
    def paint(piece: Box) -> tuple[Shape, ...]:
        ends = _within(first, second, piece)
        points = tuple(view.at(*end) for end in ends)
        return (Group(parts=(Polyline(points=points, look=look),), place=place, title=title),)

    return paint


def _within(first: Place, second: Place, piece: Box) -> tuple[Place, Place]:
    """The part of a line that runs through a piece of its block."""
    low, high = 0.0, 1.0
    sides = ((piece.x0, piece.x1), (piece.y0, piece.y1), (piece.z0, piece.z1))
    for a, b, (begin, end) in zip(first, second, sides, strict=True):
        if abs(b - a) > _SAME:
            cuts = sorted(((begin - a) / (b - a), (end - a) / (b - a)))
            low, high = max(low, cuts[0]), min(high, cuts[1])
    if high <= low:
        return first, second
    return _between(first, second, low), _between(first, second, high)


def _between(first: Place, second: Place, share: float) -> Place:
    return (
        first[0] + (second[0] - first[0]) * share,
        first[1] + (second[1] - first[1]) * share,
        first[2] + (second[2] - first[2]) * share,
    )


def _hull(first: Place, second: Place) -> Box:
    low = [min(pair) - _THICK for pair in zip(first, second, strict=True)]
    high = [max(pair) + _THICK for pair in zip(first, second, strict=True)]
    return Box(x0=low[0], y0=low[1], z0=low[2], x1=high[0], y1=high[1], z1=high[2])


def _around(place: Place, half: float) -> Box:
    x, y, z = place
    return Box(x0=x - half, y0=y - half, z0=z - half, x1=x + half, y1=y + half, z1=z + half)


def _pump(pump: PumpPlace, place: Place, colour: Colour, results: DrawnResults, view: View) -> Painter:
    def paint(_: Box) -> tuple[Shape, ...]:
        x, y = view.at(*place)
        points = ((x - 0.9, y - 1.2), (x - 0.9, y + 1.2), (x + 1.4, y))
        parts: list[Shape] = [
            Circle(centre=(x, y), radius=1.9, look=Look(fill=PAPER, stroke=colour, width=0.4)),
            Polyline(points=points, closed=True, look=Look(fill=colour)),
        ]
        flag = results.mark(pump.id)
        if flag is not None:
            parts.append(mark(flag.severity, (x - 1.8, y - 1.8), 2.2, flag.title))
        told = dict(results.sources).get(pump.id, "reserve" if pump.reserve else "")
        title = ", ".join(part for part in (f"pump {pump.id}", told) if part)
        return (
            Group(parts=tuple(parts), id=identifier("orbit", "pump", pump.id), place=pump.id, title=title),
        )

    return paint


def _boards(room: Room, results: DrawnResults, view: View) -> Iterator[Thing]:
    """Power boards on the fronts of their racks, at the height of their sockets."""
    if room.power is None:
        return
    told = dict(results.boards)
    for rack in room.racks:
        frame = frame_of(rack.box.x0, rack.box.y0, rack.box.x1, rack.box.y1, rack.facing)
        here = [board for board in room.power.boards if board.rack == rack.id]
        for index, board in enumerate(here):
            width = min(0.4, rack.length)
            start = max(0.0, min(0.05 + index * 0.45, rack.length - width))
            middle = rack.box.z0 + board.height.value
            ends = frame.point(start, rack.depth), frame.point(start + width, rack.depth + 0.03)
            title = f"board {board.id}  {told.get(board.id, '')}".strip()
            box = box_between(*ends, middle - 0.03, middle + 0.03)

            def paint(piece: Box, title: str = title, name: str = board.id) -> tuple[Shape, ...]:
                parts: list[Shape] = list(block(piece, view, PAPER, Look(stroke=TEAL, width=0.3)))
                flag = results.mark(name)
                if flag is not None:
                    at = view.at(*piece.middle)
                    parts.append(mark(flag.severity, at, 2.2, flag.title))
                return (
                    Group(parts=tuple(parts), id=identifier("orbit", "board", name), place=name, title=title),
                )

            yield Thing(box, paint, may_cut=False)
