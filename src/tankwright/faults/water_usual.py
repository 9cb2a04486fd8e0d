"""Tanks that do what they always do: their course is worked out once for a time of day and used for every fault.

Most faults of a large room touch a tank or two. Between the rows of the course that is kept levels and volumes go
straight, as everybody who reads a course takes them to; so nothing is won or lost.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tankwright.faults.model import Array, Event, Setting
from tankwright.faults.water_follow import Followed, Follower, Inflow
from tankwright.faults.water_routine import healthy_vessels, levels_at
from tankwright.faults.water_rows import rows_of
from tankwright.faults.water_supply import supplies_of
from tankwright.faults.water_ways import Vessel
from tankwright.study import Study

KEPT: Final = 16
"""Beginnings for which the courses of healthy tanks are kept."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Course:
    """One healthy tank: its level at rows of time, and what came and went up to each of them, m3."""

    rows: Array
    level: Array
    fed: Array
    sinks: Array
    spilled: Array
    events: tuple[Event, ...]

    def counted(self, rows: Array) -> Followed:
        """As a follower counts, at other rows."""
        gaps = len(rows) - 1
        return Followed(
            level=np.interp(rows, self.rows, self.level),
            fed=np.diff(np.interp(rows, self.rows, self.fed)),
            other=np.zeros(gaps),
            sinks=np.array([np.diff(np.interp(rows, self.rows, one)) for one in self.sinks]).reshape(
                -1, gaps
            ),
            spilled=np.diff(np.interp(rows, self.rows, self.spilled)),
        )


@dataclass(slots=True)
class AsUsual(Follower):
    """Follows a tank that nothing touches, unless something runs into it after all."""

    usual: Usual | None = None
    index: int = 0
    inflow: Inflow | None = None
    _course: Course | None = None

    def follow(self, inflow: Inflow) -> None:
        """Taken from what is kept if the very inflow it always has comes."""
        if self.usual is None or inflow is not self.inflow:
            Follower.follow(self, inflow)
            return
        self._course = self.usual.course(self.index)
        self.events += self._course.events
        self.level = float(self._course.level[-1])

    def counted(self, rows: Array) -> Followed:
        """Levels at rows of time, and what went where between them."""
        return Follower.counted(self, rows) if self._course is None else self._course.counted(rows)


@dataclass(slots=True, eq=False)
class Usual:
    """The healthy tanks of a study from a time of day on, each followed when it is first asked for."""

    study: Study
    setting: Setting
    vessels: tuple[Vessel, ...]
    levels: Sequence[float]
    edges: Array
    fed: Array
    _courses: dict[int, Course] = field(default_factory=dict)

    def course(self, index: int) -> Course:
        """That of one tank."""
        if index not in self._courses:
            self._courses[index] = self._followed(index)
        return self._courses[index]

    def untouched(self, followers: Sequence[Follower], inflows: Sequence[Inflow]) -> NDArray[np.bool_]:
        """Which tanks begin as always, have every way out they always have, and get what they always get."""
        if not inflows:
            return np.zeros(0, dtype=bool)
        edges = np.union1d(self.edges, inflows[0].edges)
        middle = 0.5 * (edges[:-1] + edges[1:])
        fed = np.array([one.fed for one in inflows]).T[_at(inflows[0].edges, middle)]
        same = np.asarray((fed == self.fed[_at(self.edges, middle)]).all(axis=0))
        for index, (follower, inflow) in enumerate(zip(followers, inflows, strict=True)):
            same[index] &= follower.vessel is self.vessels[index] and follower.level == self.levels[index]
            same[index] &= not inflow.shut and not inflow.other.any()
        return same

    def _followed(self, index: int) -> Course:
        follower = Follower(vessel=self.vessels[index], level=self.levels[index])
        nothing = np.zeros(len(self.edges) - 1)
        follower.follow(Inflow(edges=self.edges, fed=self.fed[:, index], other=nothing))
        rows = rows_of(self.edges, ())
        found = follower.counted(rows)
        return Course(
            rows=rows,
            level=found.level,
            fed=_summed(found.fed),
            sinks=np.array([_summed(one) for one in found.sinks]),
            spilled=_summed(found.spilled),
            events=tuple(follower.events),
        )


_kept: list[Usual] = []


def as_usual(
    study: Study, setting: Setting, followers: Sequence[Follower], inflows: Sequence[Inflow]
) -> list[Follower]:
    """The followers, with those of tanks that nothing touches taken from the healthy room."""
    usual = _usual(study, setting)
    return [
        AsUsual(vessel=one.vessel, level=one.level, usual=usual, index=index, inflow=inflows[index])
        if same
        else one
        for index, (one, same) in enumerate(zip(followers, usual.untouched(followers, inflows), strict=True))
    ]


def _usual(study: Study, setting: Setting) -> Usual:
    for one in _kept:
        if one.study is study and (one.setting.clock, one.setting.horizon) == (
            setting.clock,
            setting.horizon,
        ):
            return one
    vessels, _ = healthy_vessels(study)
    supplies = supplies_of(study, replace(study.room, broken=()), setting, None)
    levels = [
        min(max(level, one.bottom), one.tank.rim)
        for one, level in zip(vessels, levels_at(study, setting.clock), strict=True)
    ]
    made = Usual(
        study=study, setting=setting, vessels=vessels, levels=levels, edges=supplies.edges, fed=supplies.fed()
    )
    _kept.append(made)
    del _kept[:-KEPT]
    return made


def _at(edges: Array, times: Array) -> NDArray[np.intp]:
    return np.clip(np.searchsorted(edges, times, side="right") - 1, 0, len(edges) - 2)


def _summed(volumes: Array) -> Array:
    return np.concatenate([[0.0], np.cumsum(volumes)])
