"""How high water stands at a time of day in a healthy room: at the lip, and over it where a feed runs or just ran."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Final

import numpy as np

from tankwright.faults.model import Setting
from tankwright.faults.water_follow import Follower, Inflow
from tankwright.faults.water_supply import supplies_of
from tankwright.faults.water_ways import Vessel, Vessels
from tankwright.study import Study
from tankwright.units import Metre, Second

DAY: Final[Second] = 86_400.0
KEPT: Final = 4
"""Studies whose routine is kept; a run through all faults of a room asks for one again and again."""


@dataclass(slots=True, eq=False)
class _Routine:
    study: Study
    vessels: tuple[Vessel, ...]
    missing: tuple[tuple[str, str], ...]
    levels: dict[Second, tuple[Metre, ...]] = field(default_factory=dict)


_routines: list[_Routine] = []


def levels_at(study: Study, clock: Second) -> Sequence[Metre]:
    """The level of every tank at a time of day, a day of routine behind it."""
    routine = _routine(study)
    if clock not in routine.levels:
        routine.levels[clock] = _followed(routine, clock)
    return routine.levels[clock]


def healthy_vessels(study: Study) -> tuple[tuple[Vessel, ...], tuple[tuple[str, str], ...]]:
    """Every tank with all its ways out, and what of that is not known: made once for a study."""
    routine = _routine(study)
    return routine.vessels, routine.missing


def _routine(study: Study) -> _Routine:
    for one in _routines:
        if one.study is study:
            return one
    healthy = Vessels(study=study, room=replace(study.room, broken=()))
    made = _Routine(study, healthy.all(), tuple(healthy.missing))
    _routines.append(made)
    del _routines[:-KEPT]
    return made


def _followed(routine: _Routine, clock: Second) -> tuple[Metre, ...]:
    study = routine.study
    day = Setting(clock=clock, horizon=DAY)
    supplies = supplies_of(study, replace(study.room, broken=()), day, None)
    fed, nothing = supplies.fed(), np.zeros(len(supplies.edges) - 1)
    levels = []
    for index, vessel in enumerate(routine.vessels):
        level = min(max(vessel.tank.level, vessel.bottom), vessel.tank.rim)
        if fed[:, index].any():
            follower = Follower(vessel=vessel, level=level)
            follower.follow(Inflow(edges=supplies.edges, fed=fed[:, index], other=nothing))
            level = follower.level
        levels.append(level)
    return tuple(levels)
