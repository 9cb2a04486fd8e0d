"""The test sheet of a room before anything is read: what to measure where, how, and what should come."""

from __future__ import annotations

import heapq
import math
from collections.abc import Mapping
from typing import Final

from tankwright.building.how_to_measure import WAYS
from tankwright.building.measurable import RESTS_ON, measurable
from tankwright.building.point import Measurable, TestPoint
from tankwright.building.trying import Tries
from tankwright.plan.models import Plan
from tankwright.room.model import AirRun, FeedRun, Room, Tank
from tankwright.study import Study
from tankwright.units import Metre

MOST_TANKS: Final = 120
"""Rooms above so many tanks are given no bands: their many solves would take minutes."""


def expected_points(study: Study, plan: Plan | None = None) -> tuple[TestPoint, ...]:
    """Every test point of a worked-out room, in the order one walks.

    With its `plan` each has a band: the room worked out with each assumption it rests on at both ends of its own band,
    the moves of all added as the independent things they are.

    >>> expected_points(Study(room=Room(title="", display="metric", spaces=(), racks=(), tanks=())))
    ()
    """
    room = study.room
    things = measurable(study)
    in_use = {known.key for known in (*room.assumed, *room.own)}
    bands = _bands(plan, study, things) if plan is not None and len(room.tanks) <= MOST_TANKS else {}
    tanks = {tank.id: tank for tank in room.tanks}
    runs: tuple[FeedRun | AirRun, ...] = (*room.feeds, *room.airs)
    ways = {run.id: _ways(run) for run in runs}
    return tuple(_point(one, room, tanks, ways, in_use, bands.get(one.id)) for one in things)


def _point(
    one: Measurable,
    room: Room,
    tanks: Mapping[str, Tank],
    ways: Mapping[str, Mapping[str, Metre]],
    in_use: set[str],
    band: tuple[float, float] | None,
) -> TestPoint:
    way, tank = WAYS[one.kind], tanks.get(one.tank)
    return TestPoint(
        id=one.id,
        kind=one.kind,
        what=way.what.replace("{place}", one.place),
        how=way.how,
        value=one.value,
        dimension=one.dimension,
        band=band,
        tolerance=one.tolerance,
        least=one.least,
        most=one.most,
        unit=way.us if room.display == "US" else way.unit,
        when=way.when,
        needs=way.needs,
        caution=way.caution,
        source=way.source,
        ceiling=one.kind == "trip",
        places=(one.place,) if one.place else (),
        rests_on=tuple(key for key in RESTS_ON[one.kind] if key in in_use),
        run=one.run,
        tank=one.tank,
        rack=tank.rack if tank else "",
        along=ways.get(one.run, {}).get(one.node),
        beside=_beside(tank) if tank else None,
    )


def _beside(tank: Tank) -> Metre:
    """Where a tank's middle stands along the front of its rack, growing to the right of whoever looks at it."""
    x, y, _ = tank.box.middle
    return {"south": x, "north": -x, "east": y, "west": -y}[tank.facing]


def _ways(run: FeedRun | AirRun) -> dict[str, Metre]:
    """The shortest way of pipe from the inlet of a run to each of its nodes."""
    beside: dict[str, list[tuple[str, Metre]]] = {}
    for pipe in run.pipes:
        beside.setdefault(pipe.start, []).append((pipe.end, pipe.length))
        beside.setdefault(pipe.end, []).append((pipe.start, pipe.length))
    found: dict[str, Metre] = {}
    heap = [(0.0, run.inlet)]
    while heap:
        way, node = heapq.heappop(heap)
        if node in found:
            continue
        found[node] = way
        for other, length in beside.get(node, ()):
            if other not in found:
                heapq.heappush(heap, (way + max(length, 1e-9), other))
    return found


def _bands(plan: Plan, study: Study, things: tuple[Measurable, ...]) -> dict[str, tuple[float, float]]:
    """Lowest and highest each quantity may be by what the plan assumes."""
    tries = Tries(plan, study)
    wanted = {key for one in things for key in RESTS_ON[one.kind]}
    down: dict[str, float] = {}
    up: dict[str, float] = {}
    for known in study.room.assumed:
        if known.key not in wanted or known.band is None:
            continue
        lows: dict[str, float] = {}
        highs: dict[str, float] = {}
        for end in known.band:
            if end != known.value:
                for name, value in tries.values({known.key: end}).items():
                    lows[name] = min(lows.get(name, 0.0), value - tries.base.get(name, value))
                    highs[name] = max(highs.get(name, 0.0), value - tries.base.get(name, value))
        for name, move in lows.items():
            down[name] = math.hypot(down.get(name, 0.0), move)
            up[name] = math.hypot(up.get(name, 0.0), highs[name])
    return {
        one.id: (
            max(one.least, one.value - down.get(one.id, 0.0)),
            min(one.most, one.value + up.get(one.id, 0.0)),
        )
        for one in things
    }
