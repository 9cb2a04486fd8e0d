"""A space at rest under a design weather: what it loses by part, what its heaters must give, two ways to heat it.

Losses here are literal: U times area from air to air, so that a reader can follow them by hand.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

import numpy as np

from tankwright.physics.heat_arrays import humidity_ratios, saturation_pressures, vapour_pressures
from tankwright.physics.layers import saturation_temperature_of_walls
from tankwright.room.model_climate import Surface
from tankwright.systems import heat_gains as gains
from tankwright.systems.heat_build import (
    AIR_HEAT,
    BuiltSpace,
    beyond,
    beyond_the_shell,
    drive_of,
    evaporation_of,
    house_air,
    outdoors,
)
from tankwright.systems.heat_model import CaseName, HeatingWays, HeatPart, SpaceDay
from tankwright.thermal.model import Drive, HeatRoom, Numbers, RoomState
from tankwright.thermal.run import STEADY, RoomRun, RunStatus, run_until_periodic, steady_room
from tankwright.units import Kelvin, Pascal, Watt
from tankwright.weather.model import WeatherYear

PLENTY: Watt = 1e7
"""W of a heater that is never too small: for finding what is needed."""

LEAPS = 12
"""Leaps to a rest before it is sought a day at a time."""

DRIEST_DESIGN = 0.95
"""Relative humidity that cold outdoor air has at most. Source: common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Rest:
    """A space at rest: what acted on it, and the run's one step."""

    drive: Drive
    run: RoomRun

    @property
    def state(self) -> RoomState:
        """Its temperatures and humidity."""
        return self.run.end

    @property
    def settled(self) -> bool:
        """Whether the answer is one to rely on."""
        return self.run.status is RunStatus.SETTLED


@lru_cache(maxsize=12)
def hours_of_case(weather: WeatherYear, case: CaseName) -> gains.HourIndex:
    """The hours whose means a case stands for."""
    if case == "coldest month":
        month = gains.month_outdoors(weather)
        return np.flatnonzero(month == month.min())
    day = weather.coldest_day if case == "coldest" else weather.hottest_day
    return day.first_hour + np.arange(24)


def for_each(drive: Drive, change: Callable[[Numbers], Numbers]) -> Drive:
    """A drive with every series of hours changed in one way."""
    series: dict[str, Any] = {
        name: change(value)
        for name in Drive.__dataclass_fields__
        if isinstance(value := getattr(drive, name), np.ndarray)
    }
    return replace(drive, **series)


def mean_drive(drive: Drive) -> Drive:
    """One interval with the means of many."""
    return for_each(drive, lambda series: np.asarray(series.mean(axis=0, keepdims=True)))


def drive_of_case(built: BuiltSpace, case: CaseName) -> Drive:
    """What acts on a space in a case. The design cold has no sun, no people and only loads that never stop."""
    hours = hours_of_case(built.weather, case)
    drive = mean_drive(drive_of(built, hours))
    if case != "coldest":
        return drive
    winter = built.weather.winter_design
    outside = np.array([winter]) if built.faces_outside else outdoors(built, hours[:1])
    always = [power for _, power, day in gains.loads_of(built.room, built.id) if day >= 24.0]
    full = DRIEST_DESIGN * saturation_pressures(winter)
    most = float(humidity_ratios(full, built.heat_room.air.pressure))
    held = built.climate.heat_to
    return replace(
        drive,
        outside_temperature=outside,
        outside_humidity=np.minimum(drive.outside_humidity, most),
        mass_beyond_temperature=beyond_the_shell(built, outside, house_of_case(built, case), None),
        air_gain=float(sum(always)),
        mass_gain=0.0,
        moisture_gain=0.0,
        heating_set_point=held.value if held is not None else 0.0,
    )


def house_of_case(built: BuiltSpace, case: CaseName) -> Numbers:
    """The mean of the house's air in the hours of a case."""
    return np.asarray(house_air(built, hours_of_case(built.weather, case)).mean(keepdims=True))


def at_rest(
    built: BuiltSpace, drive: Drive, room: HeatRoom | None = None, start: RoomState | None = None
) -> Rest:
    """The space (or a variant of its heat room) at rest under a drive of one interval, sought from `start`."""
    asked, law = room or built.heat_room, evaporation_of(built)
    if start is not None:  # from near by one leap is enough, and a quarter of the time
        leap = replace(drive, interval=STEADY)
        run = run_until_periodic(asked, leap, start=start, coefficient=law, within=1e-6, most_passes=LEAPS)
        if run.status is RunStatus.SETTLED:
            return Rest(drive=drive, run=run)
    return Rest(drive=drive, run=steady_room(asked, drive, coefficient=law, start=start))


def vapour_of(built: BuiltSpace, state: RoomState) -> Pascal:
    """The vapour pressure of the room's air."""
    return float(vapour_pressures(state.humidity, built.heat_room.air.pressure))


def heat_to_hold(built: BuiltSpace, rest: Rest, water: Numbers, air: Kelvin | None = None) -> Numbers:
    """W that each group's single tank needs to stay at a temperature in the air of that rest."""
    vessels = built.heat_room.vessels
    vapour = vapour_of(built, rest.state)
    near = (rest.state.air if air is None else air) + np.array([v.air_offset for v in vessels])
    dry = np.array([v.to_air for v in vessels]) * (water - near)
    coefficient = evaporation_of(built)(water, near, np.full_like(near, vapour))
    wet = np.array([v.open_surface for v in vessels]) * coefficient * (saturation_pressures(water) - vapour)
    return np.asarray(
        dry + built.heat_room.latent_heat * wet - brought_by_new_water(built, rest.drive, water)
    )


def brought_by_new_water(built: BuiltSpace, drive: Drive, water: Numbers) -> Numbers:
    """W that what drips in brings a single tank of each group at that temperature, negative where it cools it."""
    flow = np.array([vessel.flow for vessel in built.heat_room.vessels])
    return flow * (np.asarray(drive.inflow_temperature).reshape(-1)[: len(flow)] - water)


def day_of(built: BuiltSpace, case: CaseName, rest: Rest) -> SpaceDay:
    """What a rest says, its heat by part. `built` is the literal space it was made with."""
    state, run, drive = rest.state, rest.run, rest.drive
    vapour = vapour_of(built, state)
    flows = [HeatPart(name=name, heat=heat) for name, heat in _flows(built, case, rest)]
    heating = run.vessel_heating[0]
    plant = float(run.plant_heat[0])
    return SpaceDay(
        case=case,
        outside=float(np.asarray(drive.outside_temperature)[0]),
        house=float(house_of_case(built, case)[0]),
        outside_humidity=_one(drive.outside_humidity),
        air=state.air,
        humidity=state.humidity,
        relative_humidity=vapour / float(saturation_pressures(state.air)),
        dew_point=saturation_temperature_of_walls(max(vapour, 1.0)),
        losses=tuple(part for part in flows if part.heat > 0.0),
        gains=tuple(HeatPart(name=part.name, heat=-part.heat) for part in flows if part.heat < 0.0),
        water=state.water,
        tank_heating=tuple(float(one) for one in heating),
        room_heating=max(plant, 0.0),
        cooled=max(-plant, 0.0),
        evaporation=float(run.evaporation[0]),
        settled=rest.settled,
    )


def _one(value: Numbers | float | None) -> float:
    return float(np.asarray(value).reshape(-1)[0])


def _flows(built: BuiltSpace, case: CaseName, rest: Rest) -> list[tuple[str, float]]:
    """Heat that leaves, positive, and comes, negative; nothing is left out, so the sum is nought."""
    state, run, drive, room = rest.state, rest.run, rest.drive, built.heat_room
    outside, house = np.asarray(drive.outside_temperature), house_of_case(built, case)
    counts = np.array([v.count for v in room.vessels], dtype=float)
    flows = [
        (surface.id.removeprefix(f"{built.id} "), _loss(built, surface, state.air, outside, house))
        for surface in built.climate.surfaces
    ]
    sun_on_walls = 0.0
    if case != "coldest":
        taken = _one(drive.mass_beyond_temperature) - float(beyond_the_shell(built, outside, house, None)[0])
        sun_on_walls = taken * _opaque(built)
    gap = state.air - float(outside[0])
    leak, fan = built.leak * AIR_HEAT, built.fan * (1.0 - built.recovered) * AIR_HEAT
    vapour = float(run.evaporation[0] - run.drying[0] - run.fog[0])
    brought = float(brought_by_new_water(built, drive, np.array(state.water)) @ counts)
    plant = float(run.plant_heat[0])
    named = {
        "air that leaks in": leak * gap,
        "the fan": fan * gap,
        "evaporation, carried off as vapour": room.latent_heat * vapour,
        "new water": -brought,
        "sun on walls and roof": -sun_on_walls,
        "the room's heater": -max(plant, 0.0),
        "the cooler": max(-plant, 0.0),
        "heaters in tanks": -float(run.vessel_heating[0] @ counts),
        "the dehumidifier's own power": -room.plant.drying_energy * float(run.drying[0]),
        "lights, pumps, people and sun through windows": -_one(drive.air_gain) - _one(drive.mass_gain),
    }
    return [*flows, *((name, heat) for name, heat in named.items() if abs(heat) > 1e-9)]


def _loss(built: BuiltSpace, surface: Surface, air: Kelvin, outside: Numbers, house: Numbers) -> Watt:
    other = float(beyond(built, surface, outside, house)[0])
    return surface.transmittance.value * surface.area * (air - other)


def _opaque(built: BuiltSpace) -> float:
    """What the shell's store passes in the literal reading: all but the windows, W/K."""
    mass = built.heat_room.mass
    return mass.to_air * mass.to_beyond / (mass.to_air + mass.to_beyond) if mass.to_beyond > 0.0 else 0.0


# --- what heaters must give ---------------------------------------------------------------------------------------


def with_heaters(room: HeatRoom, *, heating: Watt | None = None, tanks: Numbers | None = None,
                 points: Numbers | None = None) -> HeatRoom:  # fmt: skip
    """The room with other heaters: `heating` W for its air, `tanks` W in each vessel, held at `points`."""
    plant = room.plant if heating is None else replace(room.plant, heating_power=heating)
    vessels = room.vessels
    if tanks is not None:
        vessels = tuple(
            replace(
                vessel, heater_power=float(power), set_point=vessel.set_point if points is None else float(at)
            )
            for vessel, power, at in zip(
                vessels, tanks, points if points is not None else np.zeros(len(vessels)), strict=True
            )
        )
    return replace(room, plant=plant, vessels=vessels)


def sized(built: BuiltSpace, cold: Rest) -> Rest:
    """The design cold with every heater there is as large as it needs to be."""
    room = built.heat_room
    has = np.array([PLENTY if vessel.heater_power > 0.0 else 0.0 for vessel in room.vessels])
    heats = PLENTY if built.climate.heat_to is not None else 0.0
    return at_rest(built, cold.drive, with_heaters(room, heating=heats, tanks=has), cold.state)


def heating_ways(built: BuiltSpace, cold: Rest) -> tuple[HeatingWays | None, Rest | None]:
    """All tanks as wanted by heaters in them alone, and by warm air alone; the rest of the first way too."""
    room = built.heat_room
    if not room.vessels:
        return None, None
    wanted = np.array([group.holds for group in built.groups])
    counts = np.array([vessel.count for vessel in room.vessels], dtype=float)
    none = np.zeros(len(wanted))
    heated = with_heaters(room, heating=0.0, tanks=np.full(len(wanted), PLENTY), points=wanted)
    by_tanks = at_rest(built, cold.drive, heated, cold.state)
    needed = heat_to_hold(built, by_tanks, wanted)
    links = np.array([vessel.to_air for vessel in room.vessels])
    air = by_tanks.state.air + float((needed / links).max())
    warm = replace(cold.drive, heating_set_point=air)
    by_room = at_rest(built, warm, with_heaters(room, heating=PLENTY, tanks=none), cold.state)
    return (
        HeatingWays(
            room_air=by_room.state.air,
            room_way=max(float(by_room.run.plant_heat[0]), 0.0),
            hottest_tank=max(by_room.state.water),
            tank_way=float(by_tanks.run.vessel_heating[0] @ counts),
            tank_way_air=by_tanks.state.air,
        ),
        by_tanks,
    )
