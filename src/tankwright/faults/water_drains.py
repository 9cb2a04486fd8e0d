"""Which tanks have to be followed together: those on a drain that is blocked, or that brings more than it can take."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from tankwright.faults.drain_flows import drain_flows
from tankwright.faults.model import WaterCourse
from tankwright.faults.water_follow import Follower, Inflow
from tankwright.faults.water_group import Group
from tankwright.faults.water_still import still_drain
from tankwright.physics.ranges import OutsideValidRange
from tankwright.room.model import Room


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
            flows = drain_flows(room, run, ways)
        except OutsideValidRange as outside:
            missing.append((f"drain {run.id}", f"taken as free: {outside}"))
            continue
        indices = tuple(order[tank] for tank in flows.tanks)
        stood = 0.0 if start is None else float(start.drains[-1][start.drains_named.index(run.id)])
        most = np.array([_most(followers[index], inflows[index]) for index in indices])
        if flows.free(most):
            continue
        followed = still_drain(flows) or flows
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
