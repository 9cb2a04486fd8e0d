"""The hourly year of every space: ideal thermostats hour by hour, or ones that switch on and off every five minutes.

Energy goes by the standard's five links, where heat passes a wall's inner face first; a heater's size does not, it
is told elsewhere by U times area. The year is begun 60 days before the first of January, so that nothing of an
arbitrary start is left in it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Final, Literal

import numpy as np

from tankwright.room.model import Room, Tank
from tankwright.systems.heat_build import (
    BuiltSpace,
    arriving,
    build_spaces,
    drive_of,
    evaporation_of,
)
from tankwright.systems.heat_energy import (
    Damp,
    Machines,
    Months,
    Use,
    Warmth,
    every_day,
    hourly,
    run_damp,
    run_energies,
    warmth,
    water_heat,
)
from tankwright.systems.heat_gains import HourIndex
from tankwright.systems.heat_groups import DAY, WATER_HEAT
from tankwright.thermal.model import HeatRoom, Numbers, RoomState, even_start
from tankwright.thermal.run import RoomRun, RunStatus, run_room
from tankwright.units import CubicMetre, Dimensionless, Joule, Kelvin, KilogramPerSecond, Watt
from tankwright.weather.model import DAYS_IN_MONTH, HOURS, WeatherYear

WARM_UP_DAYS: Final = 60
FINE_STEPS: Final = 12
"""Steps an hour with thermostats that switch."""

SWITCHED: Final[Kelvin] = 1.0
"""Between switching a room's thermostat on and off. Source: common practice, no source."""

TANK_SWITCHED: Final[Kelvin] = 0.5
"""The same of a tank's heater. Source: common practice, no source."""

_HOURS: Final[HourIndex] = np.arange(HOURS)
_BEFORE: Final[HourIndex] = np.arange(HOURS - 24 * WARM_UP_DAYS, HOURS)
_YEAR_DAYS: Final = sum(DAYS_IN_MONTH)
_DOES: Final[Mapping[str, Use]] = {
    "light": Use.LIGHTS, "air": Use.AIR, "feed": Use.PUMPS, "pump": Use.PUMPS, "other": Use.OTHER,
}  # fmt: skip

Uses = tuple[tuple[Use, Months], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class RowYear:
    """The water of a zone's lowest or highest row of tanks. `low` and `high` are what the zone wants, None where it
    says nothing; hours below are those of the row's coldest tank, hours above those of its warmest."""

    space: str
    zone: str
    row: Literal["bottom", "top"]
    tanks: tuple[str, ...]
    low: Kelvin | None
    high: Kelvin | None
    water: Warmth


@dataclass(frozen=True, slots=True, kw_only=True)
class SpaceYear:
    """One space over a year. `settled` False: the engine found no answer, and nothing here may be relied on.

    `new_water` is the heat that fresh water takes on its way to its tank's temperature, J by month; it is a part of
    the heating, not beside it. `room_peak` and `tanks_peak` are the largest hourly heats, W. `heat_off` and
    `moisture_off` are the largest that a step leaves unaccounted for.
    """

    space: str
    settled: bool
    uses: Uses
    air: Warmth
    damp: Damp
    rows: tuple[RowYear, ...]
    new_water: Months
    room_peak: Watt
    tanks_peak: Watt
    heat_off: Watt
    moisture_off: KilogramPerSecond


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomYear:
    """All spaces of a plan over a year, and with them what is plugged in. `fresh_water` is what runs in, m3."""

    spaces: tuple[SpaceYear, ...]
    uses: Uses
    fresh_water: CubicMetre

    @property
    def settled(self) -> bool:
        """Whether every space has an answer."""
        return all(one.settled for one in self.spaces)

    def of(self, use: Use) -> Joule:
        """What one use takes in the year."""
        return sum(sum(months) for name, months in self.uses if name is use)

    @property
    def months(self) -> Months:
        """All uses together, by month."""
        return tuple(sum(part) for part in zip(*(months for _, months in self.uses), strict=True))

    @property
    def total(self) -> Joule:
        """All uses over the whole year."""
        return sum(sum(months) for _, months in self.uses)

    @property
    def new_water(self) -> Joule:
        """Heat that fresh water takes in the year."""
        return sum(sum(one.new_water) for one in self.spaces)

    @property
    def new_water_share(self) -> Dimensionless:
        """What share of all the heat that rooms and tanks are given goes into fresh water; 0 where none is given."""
        heat = self.of(Use.ROOM) + self.of(Use.TANKS)
        return self.new_water / heat if heat > 0.0 else 0.0

    @property
    def evaporated(self) -> float:
        """kg that all tanks lose in the year: what has to be topped up."""
        return sum(sum(one.damp.evaporated) for one in self.spaces)

    def hours_over(self, which: int) -> float:
        """Hours over one of the humidities of `DAMP`, of the dampest space that holds tanks."""
        return max((one.damp.hours_over[which] for one in self.spaces if one.rows), default=0.0)

    def row(self, space: str, zone: str, row: str) -> RowYear | None:
        """One row, None where there is none of these names."""
        rows = (one for part in self.spaces for one in part.rows)
        return next((one for one in rows if (one.space, one.zone, one.row) == (space, zone, row)), None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Strain:
    """How much longer and further one row is outside what it is to have: hours below, hours above, K h in all."""

    row: str
    below: float = 0.0
    above: float = 0.0
    kelvin_hours: float = 0.0


def strain(before: RoomYear, after: RoomYear) -> Strain:
    """What another year does to the row that suffers most by it, or, where none does, to the one that gains most."""
    found = []
    for one in (row for space in before.spaces for row in space.rows):
        then = after.row(one.space, one.zone, one.row)
        if then is None or one.low is None:
            continue
        was, now = one.water, then.water
        found.append(
            Strain(
                row=f"{one.row} row of {one.zone}",
                below=(now.hours_below or 0.0) - (was.hours_below or 0.0),
                above=(now.hours_above or 0.0) - (was.hours_above or 0.0),
                kelvin_hours=now.degree_hours_below + now.degree_hours_above
                - was.degree_hours_below - was.degree_hours_above,
            )
        )  # fmt: skip
    worst = max(found, key=lambda one: one.kelvin_hours, default=Strain(row=""))
    return worst if worst.kelvin_hours > 1.0 else min(found, key=lambda one: one.kelvin_hours, default=worst)


def room_year(
    room: Room, weather: WeatherYear, daily_inflow: Mapping[str, CubicMetre], *, fine: bool = False
) -> RoomYear:
    """The year of every space of a plan. `daily_inflow` is the new water of each tank, m3 a day.

    `fine` takes steps of five minutes and thermostats that switch on and off.
    """
    spaces = tuple(space_year(one, fine=fine) for one in build_spaces(room, weather, daily_inflow))
    return RoomYear(
        spaces=spaces,
        uses=(*_added(spaces), *plugged_in(room)),
        fresh_water=sum(daily_inflow.get(tank.id, 0.0) for tank in room.tanks) * _YEAR_DAYS,
    )


def plugged_in(room: Room) -> Uses:
    """What lights, pumps and the rest take by month; none where the plan names no boards.

    What heats or cools is left out: the thermostats tell what that takes.
    """
    if room.power is None:
        return ()
    found: dict[Use, list[Months]] = {}
    for board in room.power.boards:
        for load in board.loads:
            use = _DOES.get(load.does)
            if use is not None:
                found.setdefault(use, []).append(every_day(load.power.value * load.count, load.hours))
    return tuple(
        (use, tuple(map(sum, zip(*found[use], strict=True)))) for use in Use if use in found
    )  # in the order of the uses


def _added(spaces: tuple[SpaceYear, ...]) -> Uses:
    found: dict[Use, list[Months]] = {}
    for one in spaces:
        for use, months in one.uses:
            found.setdefault(use, []).append(months)
    return tuple((use, tuple(map(sum, zip(*months, strict=True)))) for use, months in found.items())


def space_year(built: BuiltSpace, *, fine: bool = False) -> SpaceYear:
    """The year of one space."""
    run = run_year(built, fine=fine)
    heat_room, kept = built.heat_room, built.climate
    counts = np.array([vessel.count for vessel in heat_room.vessels], dtype=float)
    cooler = kept.cooler
    heater = kept.heater
    machines = Machines(
        heating=heater.per_power.value if heater and heater.per_power else 1.0,
        cooling=cooler.per_power.value if cooler and cooler.per_power else 1.0,
    )
    return SpaceYear(
        space=built.id,
        settled=run.status is RunStatus.SETTLED,
        uses=run_energies(heat_room, run, machines),
        air=warmth(run.air),
        damp=run_damp(heat_room, run),
        rows=tuple(_rows(built, run)),
        new_water=_new_water(built, run),
        room_peak=float(np.maximum(hourly(run.plant_heat), 0.0).max()),
        tanks_peak=float((hourly(run.vessel_heating) @ counts).max()),
        heat_off=run.heat_imbalance,
        moisture_off=run.moisture_imbalance,
    )


def run_year(built: BuiltSpace, *, fine: bool = False) -> RoomRun:
    """A year of a space by the engine, hour by hour, or fine: every five minutes with thermostats that switch."""
    heat_room = _switched(built.heat_room) if fine else built.heat_room

    def run(hours: HourIndex, start: RoomState) -> RoomRun:
        return run_room(
            heat_room, drive_of(built, hours), start=start, coefficient=evaporation_of(built),
            substeps=FINE_STEPS if fine else 1, compiled=True,  # one of many years: loading the compiler is soon repaid
        )  # fmt: skip

    return run(_HOURS, run(_BEFORE, _start(built)).end)


def _switched(room: HeatRoom) -> HeatRoom:
    plant = replace(room.plant, room_hysteresis=SWITCHED, vessel_hysteresis=TANK_SWITCHED)
    return replace(room, plant=plant)


def _start(built: BuiltSpace) -> RoomState:
    """Tanks as they are to be, the rest as the air is held or as warm as the house."""
    air = built.climate.heat_to or built.climate.indoors
    start = even_start(built.heat_room, air.value)
    return replace(start, water=tuple(group.holds for group in built.groups))


def _new_water(built: BuiltSpace, run: RoomRun) -> Months:
    total = np.zeros(len(DAYS_IN_MONTH))
    comes_to = arriving(built, _HOURS)
    for number, group in enumerate(built.groups):
        if group.inflow > 0.0:
            a_day = group.inflow * DAY * WATER_HEAT * len(group.tanks)
            total += water_heat(run.water[:, number], comes_to[:, number], a_day)[0]
    return tuple(map(float, total))


# --- rows -----------------------------------------------------------------------------------------------


def _rows(built: BuiltSpace, run: RoomRun) -> Iterator[RowYear]:
    """The lowest and the highest row of each zone; a zone of one row has a bottom one only."""
    column = {tank: number for number, group in enumerate(built.groups) for tank in group.tanks}
    zones: dict[str, list[Tank]] = {}
    for tank in built.room.tanks:
        if tank.id in column:
            zones.setdefault(tank.zone, []).append(tank)
    for zone, tanks in zones.items():
        levels = sorted({tank.shelf for tank in tanks})
        yield _row(built, run, column, zone, "bottom", [one for one in tanks if one.shelf == levels[0]])
        if len(levels) > 1:
            yield _row(built, run, column, zone, "top", [one for one in tanks if one.shelf == levels[-1]])


def _row(
    built: BuiltSpace,
    run: RoomRun,
    column: Mapping[str, int],
    zone: str,
    row: Literal["bottom", "top"],
    tanks: list[Tank],
) -> RowYear:
    place = next((one for one in built.room.zones if one.id == zone), None)
    wants = place.wants.temperature if place is not None and place.wants is not None else None
    low, high = (wants[0].value, wants[1].value) if wants is not None else (None, None)
    columns = sorted({column[tank.id] for tank in tanks})
    water = run.water[:, columns]
    coldest: Numbers = water.min(axis=1)
    hottest: Numbers = water.max(axis=1)
    weights = [sum(column[tank.id] == one for tank in tanks) for one in columns]
    cold, warm = warmth(coldest, low, high), warmth(hottest, low, high)
    mean = warmth(water @ np.array(weights, dtype=float) / len(tanks))
    return RowYear(
        space=built.id, zone=zone, row=row, tanks=tuple(tank.id for tank in tanks), low=low, high=high,
        water=Warmth(
            mean=mean.mean, lowest=cold.lowest, highest=warm.highest,
            hours_below=cold.hours_below, hours_above=warm.hours_above,
            degree_hours_below=cold.degree_hours_below, degree_hours_above=warm.degree_hours_above,
        ),
    )  # fmt: skip
