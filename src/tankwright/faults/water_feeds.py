"""What a feed with something broken on it brings into each tank and onto the floor while it runs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from tankwright.faults.model import Array
from tankwright.origin import Known, derived
from tankwright.physics.ranges import OutsideValidRange
from tankwright.room.assumed import assumed
from tankwright.room.model import FeedOutletPlace, FeedRun, Place, Room
from tankwright.room.model_broken import Broken
from tankwright.study import Study
from tankwright.systems.feed_network import solve_feed_network
from tankwright.systems.run_network import LEAST_LENGTH
from tankwright.units import Metre

OPEN_LINE: Final = "open line at "
HEIGHTS: Final = 7
"""Levels of a source tank at which its feed by gravity is solved; straight between them."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Bringing:
    """What one feed gives while it runs: by tank and by space (onto its floor), m3/s."""

    run: FeedRun
    tanks: Array
    floor: Array

    @property
    def total(self) -> float:
        """All of it."""
        return float(self.tanks.sum() + self.floor.sum())


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ByGravity:
    """A feed out of a tank, over the height of that tank's surface: one row a height."""

    heights: Array
    tanks: Array
    floor: Array


def bringing(study: Study, run: FeedRun, broken: Sequence[Broken]) -> Bringing | str:
    """What a feed gives with the things broken that touch it; or why that is not known.

    The healthy answer is the study's own; only a feed that is not healthy is solved again.
    """
    here = [one for one in broken if touches(one, run)]
    if not here:
        return _as_studied(study, run)
    return _solved(study.room, _broken_run(study.room, run, here))


def by_gravity(
    study: Study, run: FeedRun, broken: Sequence[Broken], low: Metre, high: Metre
) -> ByGravity | str:
    """What a tank feeds by gravity with its surface at some heights."""
    heights = np.linspace(low, high, HEIGHTS)
    ill = _broken_run(study.room, run, [one for one in broken if touches(one, run)])
    rows = []
    for height in heights:
        x, y, _ = run.source_place
        solved = _solved(study.room, replace(ill, source_place=(x, y, float(height))))
        if isinstance(solved, str):
            return solved
        rows.append(solved)
    return ByGravity(
        heights=heights,
        tanks=np.array([one.tanks for one in rows]),
        floor=np.array([one.floor for one in rows]),
    )


def touches(one: Broken, run: FeedRun) -> bool:
    """Whether something broken changes what a feed gives while it runs."""
    if one.kind in ("feed line", "feed outlet"):
        return one.what == run.id
    return one.kind == "mains pressure" and run.source_kind == "water point" and one.what == run.source


def space_at(room: Room, place: Place) -> int:
    """Which space a point stands in; the nearest where it stands in none."""

    def outside(index: int) -> float:
        box = room.spaces[index].box
        x, y = place[0], place[1]
        return max(box.x0 - x, 0.0, x - box.x1) + max(box.y0 - y, 0.0, y - box.y1)

    return min(range(len(room.spaces)), key=outside)


def _as_studied(study: Study, run: FeedRun) -> Bringing | str:
    solved = next((one for one in study.feed.runs if one.run == run.id), None) if study.feed else None
    if solved is None:
        missing = dict(study.feed.not_computed) if study.feed else {}
        return missing.get(f"feed {run.id}", "its flow is not known")
    order = {tank.id: index for index, tank in enumerate(study.room.tanks)}
    tanks = np.zeros(len(order))
    for outlet in solved.outlets:
        if outlet.tank in order:
            tanks[order[outlet.tank]] += outlet.flow
    return Bringing(run=run, tanks=tanks, floor=np.zeros(len(study.room.spaces)))


def _solved(room: Room, run: FeedRun) -> Bringing | str:
    try:
        solved = solve_feed_network(room, run)
    except (OutsideValidRange, ArithmeticError) as odd:
        return f"what it gives when broken could not be worked out: {odd}"
    if isinstance(solved, str):
        return solved
    order = {tank.id: index for index, tank in enumerate(room.tanks)}
    tanks, floor = np.zeros(len(order)), np.zeros(len(room.spaces))
    for place in run.outlets:
        flow = max(0.0, solved.solution.outlet_flows.get(place.id, 0.0))
        if place.tank in order:
            tanks[order[place.tank]] += flow
        else:
            floor[space_at(room, place.place)] += flow
    return Bringing(run=run, tanks=tanks, floor=floor)


def _broken_run(room: Room, run: FeedRun, here: Sequence[Broken]) -> FeedRun:
    for one in here:
        if one.kind == "mains pressure":
            most = run.source_flow
            run = replace(
                run,
                source_pressure=replace(run.source_pressure, value=run.source_pressure.value * one.left),
                source_flow=None if most is None else replace(most, value=most.value * one.left**0.5),
            )
        elif one.kind == "feed line":
            run = replace(
                run, outlets=(*run.outlets, _open_end(room, run, run.inlet if one.at == "inlet" else one.at))
            )
        elif one.kind == "feed outlet":
            run = replace(
                run,
                outlets=tuple(
                    _fallen_off(room, place) if place.id == one.at else place for place in run.outlets
                ),
            )
    return run


def _open_end(room: Room, run: FeedRun, node: str) -> FeedOutletPlace:
    """The manifold off its fitting: a pipe of its own bore, open to the room."""
    bores = [pipe.bore for pipe in run.pipes if node in (pipe.start, pipe.end)] or [
        one.bore for one in run.pipes
    ]
    bore = max(bores, key=lambda one: one.value, default=assumed(room, "feed.bore"))
    place = dict(run.nodes).get(node, run.source_place)
    return _tube(f"{OPEN_LINE}{node}", node, "", place, bore)


def _fallen_off(room: Room, place: FeedOutletPlace) -> FeedOutletPlace:
    """An outlet gone, its tube left open over the same tank."""
    bore = place.bore or assumed(room, "feed.tube_bore")
    return _tube(place.id, place.node, place.tank, place.place, bore, place.length)


def _tube(
    name: str, node: str, tank: str, place: Place, bore: Known, length: Known | None = None
) -> FeedOutletPlace:
    nothing = derived(0.0)
    return FeedOutletPlace(
        id=name,
        node=node,
        tank=tank,
        place=place,
        gap=nothing,
        kind="small tube",
        rate=nothing,
        at_pressure=nothing,
        exponent=nothing,
        variation=nothing,
        bore=bore,
        length=length or derived(LEAST_LENGTH),
    )
