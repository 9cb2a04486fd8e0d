"""The healthy room through one day that comes again and again: where every course of warmth starts, and what holds
wherever a fault changes nothing.

Settled once for each study and season; several hundred faults then share it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np

from tankwright.catalogue.assumptions import ASSUMPTIONS
from tankwright.faults.model import Array, Season
from tankwright.room.model import Room
from tankwright.study import Study
from tankwright.systems import heat_gains as gains
from tankwright.systems.heat_build import HOUR, BuiltSpace, build_spaces, drive_of, evaporation_of
from tankwright.systems.heat_days import for_each, hours_of_case
from tankwright.systems.heat_top_up import fitted_to_top_up
from tankwright.thermal.model import Drive, Numbers, RoomState
from tankwright.thermal.run import RoomRun, RunStatus, run_until_periodic
from tankwright.units import Kelvin
from tankwright.weather.model import HOURS

DAY: Final = 86_400.0
SUBSTEPS: Final = 2
"""Steps in an hour of the day that repeats."""

KEPT: Final = 6
"""Studies times seasons whose day is kept."""

_CLOCK: Final = np.arange(24)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Routine:
    """One space through the day that repeats. `drive` acts hour by hour from midnight. `hand` is the temperature of
    what a hose brings. The rows of `states` are half hours from midnight to midnight: air, walls, humidity, then the
    water of each group.
    """

    built: BuiltSpace
    drive: Drive
    run: RoomRun
    hand: Kelvin
    states: Array

    @property
    def settled(self) -> bool:
        """Whether the day came to repeat itself."""
        return self.run.status is RunStatus.SETTLED

    def rows(self, clock: Array) -> Array:
        """The states at some seconds after midnight, straight between half hours."""
        place = np.mod(np.asarray(clock, dtype=float), DAY) / (HOUR / SUBSTEPS)
        first = np.minimum(place.astype(int), len(self.states) - 2)
        share = (place - first)[..., None]
        return np.asarray(self.states[first] * (1.0 - share) + self.states[first + 1] * share)


class _Same:
    """A study as itself, so that what is kept for it need not compare rooms."""

    __slots__ = ("study",)

    def __init__(self, study: Study) -> None:
        self.study = study

    def __hash__(self) -> int:
        return id(self.study)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Same) and other.study is self.study


def routines(study: Study, season: Season) -> tuple[Routine, ...]:
    """Every space of the plan through its day; none where nothing is known of climate and weather."""
    return _routines(_Same(study), season)


@lru_cache(maxsize=KEPT)
def _routines(same: _Same, season: Season) -> tuple[Routine, ...]:
    return tuple(_routine(built, season) for built in _spaces(same))


@lru_cache(maxsize=4)
def _spaces(same: _Same) -> tuple[BuiltSpace, ...]:
    study = same.study
    if study.room.climate is None or study.weather is None:
        return ()
    inflow: Mapping[str, float] = (
        {one.tank: one.volume_a_day for one in study.feed.tanks} if study.feed is not None else {}
    )
    return build_spaces(fitted_to_top_up(study.room, study.weather, inflow), study.weather, inflow)


def _routine(built: BuiltSpace, season: Season) -> Routine:
    drive, hours = _day(built, season)
    run = run_until_periodic(
        built.heat_room, drive, substeps=SUBSTEPS, coefficient=evaporation_of(built), compiled=False
    )
    if run.status is RunStatus.SETTLED:
        rows = np.column_stack([run.air, run.mass, run.humidity, run.water])
        states = np.vstack([rows[-1:], rows])  # a day that repeats begins as it ends
    else:
        states = np.zeros((25, 3 + len(built.groups)))
    return Routine(built=built, drive=drive, run=run, hand=_hand(built, hours), states=states)


def _day(built: BuiltSpace, season: Season) -> tuple[Drive, gains.HourIndex]:
    """What acts through the day: that of the weather's coldest or hottest, or the mean of each clock hour over a
    year."""
    if season != "usual":
        hours = hours_of_case(built.weather, season)
        return drive_of(built, hours), hours
    hours = np.arange(HOURS)

    def by_clock(series: Numbers) -> Numbers:
        return np.asarray(series.reshape(-1, 24, *series.shape[1:]).mean(axis=0))

    return for_each(drive_of(built, hours), by_clock), hours


def _hand(built: BuiltSpace, hours: gains.HourIndex) -> Kelvin:
    """Water out of a hose is that of the first water of the plan that comes from somewhere."""
    water = next((one for one in built.room.waters if one.comes_from), None)
    winter = (water.winter if water is not None else None) or ASSUMPTIONS["water.winter"].known()
    summer = (water.summer if water is not None else None) or ASSUMPTIONS["water.summer"].known()
    return float(gains.water_through_the_year(built.weather, winter.value, summer.value, hours).mean())


def loads_heat_through_the_day(room: Room, space: str) -> Numbers:
    """W of all that is plugged in in a space, by clock hour."""
    return gains.loads_heat(room, space, _CLOCK)


def state_of(row: Array, groups: Array) -> RoomState:
    """A row of `Routine.states` with the water of some groups, as the engine takes it."""
    return RoomState(
        air=float(row[0]), mass=float(row[1]), slab=float(row[0]), humidity=float(row[2]),
        water=tuple(float(row[3 + group]) for group in groups),
    )  # fmt: skip


class MeanSeries:
    """The series of a drive of one day, as their exact means over any stretches of time."""

    __slots__ = ("_columns", "_drive", "_sums", "_table")

    def __init__(self, drive: Drive) -> None:
        self._drive = drive
        self._columns: list[tuple[str, int, int, bool]] = []
        tables: list[Numbers] = []
        width = 0
        for name in Drive.__dataclass_fields__:
            value = getattr(drive, name)
            if not isinstance(value, np.ndarray):
                continue
            wide = value.ndim == 2
            table = value if wide else value[:, None]
            tables.append(table)
            self._columns.append((name, width, width + table.shape[1], wide))
            width += table.shape[1]
        self._table = np.hstack(tables)
        self._sums = np.vstack([np.zeros(width), np.cumsum(self._table, axis=0)]) * HOUR

    def between(self, edges: Array) -> dict[str, Numbers]:
        """Each series' mean between every two edges, seconds after some midnight."""
        days, rest = np.divmod(edges, DAY)
        hour = np.minimum((rest / HOUR).astype(int), 23)
        into = (rest - hour * HOUR)[:, None]
        sums = days[:, None] * self._sums[-1] + self._sums[hour] + into * self._table[hour]
        means = np.diff(sums, axis=0) / np.diff(edges)[:, None]
        return {
            name: means[:, first:last] if wide else means[:, first]
            for name, first, last, wide in self._columns
        }
