"""The way a drain takes behind the racks to its outfall, when its owner has not drawn it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tankwright.room.frames import Flat
from tankwright.room.model import Space, Wall
from tankwright.room.racks import Stand
from tankwright.room.walls import Loop, loop_of
from tankwright.units import Metre

OFF_WALL = 0.04
"""m from a wall to the middle of a pipe where no rack says otherwise. Source: common practice, no source."""

BEHIND_ISLAND = 0.03
"""m from an island's back to the middle of a pipe. Source: common practice, no source."""

ONE_LINE = 0.5
"""m between the backs of two islands that one pipe serves."""


@dataclass(frozen=True, slots=True)
class _Island:
    """The back of an island, or of two back to back."""

    first: Flat
    last: Flat


@dataclass(frozen=True, slots=True)
class _Wall:
    """The stretch of the loop behind a rack, from low to high against the clock."""

    low: Metre
    high: Metre

    def middle(self) -> Metre:
        return (self.low + self.high) / 2.0


def drain_loop(space: Space, stands: Sequence[Stand]) -> Loop:
    """The loop a drain follows in a room: in the middle of the gap behind the racks of each wall."""
    gaps: dict[Wall, Metre] = {}
    for stand in stands:
        if stand.wall is not None and stand.space is space:
            gaps[stand.wall] = min(gaps.get(stand.wall, 1.0), max(stand.behind, 0.0) / 2.0)
    return loop_of(space, OFF_WALL, gaps)


def route_behind(stands: Sequence[Stand], outfall: Flat) -> list[Flat]:
    """Corners of the derived run, highest first: behind each rack in the order given, then to the outfall."""
    points: list[Flat] = []
    groups: list[list[Stand]] = []
    for stand in stands:
        if groups and groups[-1][0].space is stand.space:
            groups[-1].append(stand)
        else:
            groups.append([stand])
    for index, group in enumerate(groups):
        last = index + 1 == len(groups)
        goal = outfall if last else _back_middle(groups[index + 1][0])
        _through_room(points, group, goal)
    points.append(outfall)
    return points


def _through_room(points: list[Flat], group: Sequence[Stand], goal: Flat) -> None:
    loop = drain_loop(group[0].space, group)
    stops = _stops(group, loop)
    here: Metre | None = None
    for index, stop in enumerate(stops):
        following = stops[index + 1] if index + 1 < len(stops) else None
        if isinstance(stop, _Island):
            target = _flat_of(following, loop) if following else goal
            reference = points[-1] if points else None
            if here is not None:
                nearer = _nearer_end(stop, loop.point(here))
                place = loop.nearest(*nearer)
                points += loop.way(here, place, loop.shorter(here, place))
                here, reference = None, nearer
            first_is_start = (
                _far(stop.first, target) >= _far(stop.last, target)
                if reference is None
                else _far(stop.first, reference) <= _far(stop.last, reference)
            )
            points += [stop.first, stop.last] if first_is_start else [stop.last, stop.first]
            continue
        aim = loop.nearest(*(_flat_of(following, loop) if following else goal))
        if here is None and points:
            here = loop.nearest(*points[-1])
            points.append(loop.point(here))
        here = _along_rack(points, loop, stop, here, aim, is_last=following is None)
    if here is not None:
        end = loop.nearest(*goal)
        points += loop.way(here, end, loop.shorter(here, end))


def _along_rack(
    points: list[Flat], loop: Loop, stop: _Wall, here: Metre | None, aim: Metre, *, is_last: bool
) -> Metre:
    """Pass behind a rack; returns where on the loop the run then is."""
    aim_inside = stop.low <= aim <= stop.high
    if here is None:
        low_is_farther = aim - stop.low >= stop.high - aim
        from_low = low_is_farther if aim_inside else loop.shorter(stop.middle(), aim) > 0
        here = stop.low if from_low else stop.high
        points.append(loop.point(here))
    elif stop.low <= here <= stop.high:
        from_low = loop.shorter(here, aim) > 0
    else:
        from_low = loop.shorter(here, stop.middle()) > 0
        near = stop.low if from_low else stop.high
        points += loop.way(here, near, 1 if from_low else -1)
        here = near
    end = aim if aim_inside and is_last else (stop.high if from_low else stop.low)
    if end != here:
        points += loop.way(here, end, loop.shorter(here, end) if aim_inside else (1 if from_low else -1))
    return end


def _stops(group: Sequence[Stand], loop: Loop) -> list[_Wall | _Island]:
    stops: list[_Wall | _Island] = []
    for stand in group:
        length = stand.place.length
        if stand.wall is not None:
            ends = [loop.on_wall(stand.wall, *stand.frame.point(along, 0.0)) for along in (0.0, length)]
            stops.append(_Wall(min(ends), max(ends)))
            continue
        back = _Island(stand.frame.point(0.0, -BEHIND_ISLAND), stand.frame.point(length, -BEHIND_ISLAND))
        before = stops[-1] if stops else None
        merged = _merged(before, back) if isinstance(before, _Island) else None
        if merged is not None:
            stops[-1] = merged
        else:
            stops.append(back)
    return stops


def _merged(one: _Island, other: _Island) -> _Island | None:
    """One line for two islands that stand back to back or end to end; None when they do not."""
    along = 0 if abs(one.last[0] - one.first[0]) > abs(one.last[1] - one.first[1]) else 1
    across = 1 - along
    if abs(other.last[across] - other.first[across]) > 1e-9:
        return None
    if abs(other.first[across] - one.first[across]) > ONE_LINE:
        return None
    low = min(one.first[along], one.last[along], other.first[along], other.last[along])
    high = max(one.first[along], one.last[along], other.first[along], other.last[along])
    middle = (one.first[across] + other.first[across]) / 2.0
    ends = ((low, middle), (high, middle)) if along == 0 else ((middle, low), (middle, high))
    return _Island(*ends)


def _nearer_end(stop: _Island, point: Flat) -> Flat:
    return stop.first if _far(stop.first, point) <= _far(stop.last, point) else stop.last


def _flat_of(stop: _Wall | _Island | None, loop: Loop) -> Flat:
    if isinstance(stop, _Wall):
        return loop.point(stop.middle())
    if stop is None:
        return loop.point(0.0)
    return ((stop.first[0] + stop.last[0]) / 2.0, (stop.first[1] + stop.last[1]) / 2.0)


def _back_middle(stand: Stand) -> Flat:
    return stand.frame.point(stand.place.length / 2.0, 0.0)


def _far(one: Flat, other: Flat) -> float:
    return (one[0] - other[0]) ** 2 + (one[1] - other[1]) ** 2
