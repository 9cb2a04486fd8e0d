"""Which tanks have to be followed together: those on a drain that is blocked, or that brings more than it can take."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final

import numpy as np

from tankwright.faults.drain_flows import DrainFlows, drain_flows
from tankwright.faults.drain_running import RunningDrain
from tankwright.faults.model import WaterCourse
from tankwright.faults.water_follow import Follower, Inflow
from tankwright.faults.water_group import Group
from tankwright.faults.water_still import still_drain
from tankwright.physics.ranges import OutsideValidRange
from tankwright.room.model import DrainRun, Room
from tankwright.room.model_broken import Broken
from tankwright.systems.drain_tanks import Way

KEPT: Final = 32
"""Drains that are kept as they were made last: most faults leave all of them as they are."""


def groups_of(
    room: Room,
    followers: Sequence[Follower],
    inflows: Sequence[Inflow],
    start: WaterCourse | None,
    missing: list[tuple[str, str]],
) -> list[Group]:
    """The groups of a room, with what already stands in their drains; none where every drain runs free."""
    ways = {one.vessel.way.tank: one.vessel.way for one in followers if one.vessel.way is not None}
    order = {one.vessel.tank.id: index for index, one in enumerate(followers)}
    groups = []
    for run in room.drains:
        if not any(way.drain == run.id for way in ways.values()):
            continue
        try:
            flows = _drain(room, run, ways)
        except OutsideValidRange as outside:
            missing.append((f"drain {run.id}", f"taken as free: {outside}"))
            continue
        indices = tuple(order[tank] for tank in flows.tanks)
        stood = 0.0 if start is None else float(start.drains[-1][start.drains_named.index(run.id)])
        most = np.array([_most(followers[index], inflows[index]) for index in indices])
        running = RunningDrain(flows)
        still = still_drain(flows)
        if still is None and running.free(most):
            continue
        followed = still or running
        groups.append(
            Group(
                flows=followed,
                indices=indices,
                vessels=tuple(followers[index].vessel for index in indices),
                levels=np.array([followers[index].level for index in indices]),
                stored=followed.spread(stood),
            )
        )
    return groups


def _most(follower: Follower, inflow: Inflow) -> float:
    """The most a tank can send over its lip: what runs in, no more than its overflow takes with water at the rim."""
    vessel = follower.vessel
    over = sum(float(sink.law.flow(vessel.tank.rim)) for sink in vessel.sinks if sink.to == "drain")
    film = sum(float(sink.law.flow(follower.level)) for sink in vessel.sinks if sink.to == "drain")
    return min(max(float((inflow.fed + inflow.other).max()), film), over)


_Key = tuple[DrainRun, tuple[object, ...], tuple[Broken, ...], tuple[Way, ...]]

_drains: list[tuple[_Key, DrainFlows]] = []


def _drain(room: Room, run: DrainRun, ways: Mapping[str, Way]) -> DrainFlows:
    """A drain made once for the same pipe, outfall, blocks and hoses. Raises OutsideValidRange."""
    blocks = tuple(one for one in room.broken if one.kind in ("drain", "outfall"))
    key = (run, room.outfalls, blocks, tuple(way for way in ways.values() if way.drain == run.id))
    for known, flows in _drains:
        if known[0] is run and known[1] is room.outfalls and known[2:] == key[2:]:
            return flows
    made = drain_flows(room, run, ways)
    _drains.append((key, made))
    del _drains[:-KEPT]
    return made
