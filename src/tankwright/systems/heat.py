"""Warmth and damp: every space at rest on design days, through its coldest and hottest week, and without power."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

import numpy as np

from tankwright.room.model import Room
from tankwright.room.shell_sizes import floor_area
from tankwright.systems.heat_build import AIR_HEAT, BuiltSpace, beyond, build_spaces, literal
from tankwright.systems.heat_damp import airing_of, cold_surfaces, drying_of
from tankwright.systems.heat_days import (
    Rest,
    at_rest,
    day_of,
    drive_of_case,
    heating_ways,
    sized,
)
from tankwright.systems.heat_model import CaseName, ColdSurface, HeatResult, SpaceDay, SpaceHeat, TankHeat
from tankwright.systems.heat_tanks import Runs, tanks_of
from tankwright.systems.heat_top_up import fitted_to_top_up
from tankwright.systems.heat_weeks import cooling_of, power_cut, week_of
from tankwright.thermal.model import even_start
from tankwright.units import Kelvin, Watt
from tankwright.weather.model import WeatherYear

CASES: Final[tuple[CaseName, ...]] = ("coldest", "coldest month", "hottest")

COLDEST_ROOM: Final[Kelvin] = 253.15
HOTTEST_ROOM: Final[Kelvin] = 323.15
"""Rooms between which `physics.surfaces` answers."""

NO_CLIMATE: Final = "the plan has no [climate], so nothing is known of the shell, the weather and the heaters"
NO_WEATHER: Final = "the weather the plan names could not be read"

OVER_WANTED_ALLOWED: Final[Kelvin] = 2.0
"""Over what a tank is to have, where its zone says no highest: what a cooler is sized to keep under. Practice."""


def solve_heat(room: Room, weather: WeatherYear | None, daily_inflow: Mapping[str, float]) -> HeatResult:
    """The warmth and damp of every space and tank. `daily_inflow` is the new water of each tank, m3 a day.

    >>> empty = Room(title="", display="metric", spaces=(), racks=(), tanks=())
    >>> solve_heat(empty, None, {}).not_computed[0][0]
    'warmth and damp'
    """
    if room.climate is None or weather is None:
        reason = NO_CLIMATE if room.climate is None else NO_WEATHER
        return HeatResult(
            weather="", weather_source="", named=False, winter_design=0.0, spaces=(), tanks=(),
            not_computed=(("warmth and damp", reason),),
        )  # fmt: skip
    named = bool(room.climate.weather)
    room = fitted_to_top_up(room, weather, daily_inflow)
    lives = {life.tank: life for life in room.lives}
    zones = {zone.id: zone for zone in room.zones}
    tank_zones = {tank.id: tank.zone for tank in room.tanks}
    spaces: list[SpaceHeat] = []
    rows: dict[str, TankHeat] = {}
    missing: list[tuple[str, str]] = []
    for built in build_spaces(room, weather, daily_inflow):
        space, runs = _space(built)
        spaces.append(space)
        rows |= {row.tank: row for row in tanks_of(runs, lives, zones, tank_zones)}
        missing += _unsettled(space)
    missing += [
        (f"tank {tank.id}", "it holds no water, or stands in no space of the plan")
        for tank in room.tanks
        if tank.id not in rows
    ]
    return HeatResult(
        weather=weather.place,
        weather_source=weather.source,
        named=named,
        winter_design=weather.winter_design,
        spaces=tuple(spaces),
        tanks=tuple(rows[tank.id] for tank in room.tanks if tank.id in rows),
        topped_up=tuple(
            (one.space, one.top_up, one.evaporation)
            for one in (room.climate.spaces if room.climate is not None else ())
            if one.top_up is not None
        ),
        not_computed=tuple(missing),
    )


def _space(built: BuiltSpace) -> tuple[SpaceHeat, Runs]:
    plain = literal(built)
    rests: dict[CaseName, Rest] = {}
    state = even_start(plain.heat_room, built.climate.indoors.value)
    for case in CASES:  # each sought from the one before, which is nearer than outdoors
        rests[case] = at_rest(plain, drive_of_case(plain, case), start=state)
        state = rests[case].state
    days = tuple(day_of(plain, case, rests[case]) for case in CASES)
    cold, month, hot = days
    enough = sized(plain, rests["coldest"])
    ways, by_tanks = heating_ways(plain, rests["coldest"])
    winter, after = week_of(built, "coldest", rests["coldest month"].state)
    summer, _ = week_of(built, "hottest", rests["hottest"].state)
    weeks = (winter, summer)
    cut = power_cut(built, after)
    kept = built.climate
    heats = kept.heat_to is not None
    cool_air = _cool_air(built)
    there = cooling_of(built, cool_air)
    surfaces: tuple[ColdSurface, ...] = ()
    if all(COLDEST_ROOM < day.air < HOTTEST_ROOM for day in (cold, month)):
        surfaces = cold_surfaces(plain, cold, month)
    need = max(float(enough.run.plant_heat[0]), 0.0)
    loss = built.vent_link + sum(one.transmittance.value * one.area for one in kept.surfaces)
    store = built.heat_room.mass.capacity + sum(
        group.vessel.capacity * group.vessel.count for group in built.groups
    )
    space = SpaceHeat(
        space=built.id,
        tanks=tuple(group.tanks for group in built.groups),
        days=days,
        surfaces=surfaces,
        weeks=weeks,
        cut=cut,
        ways=ways,
        heat_need=need if heats else None,
        need_band=_need_band(plain, need, enough.state.air, cold),
        heat_to=kept.heat_to,
        heat_has=built.heat_room.plant.heating_power,
        cooling=there if kept.cool_to is None else cooling_of(built, kept.cool_to.value),
        cooling_there=there,
        cool_air=cool_air,
        drying=(drying_of(plain, month, rests["coldest month"]), drying_of(plain, hot, rests["hottest"])),
        airing=airing_of(built, days),
        loss=loss,
        store=store,
        time_constant=store / loss if loss > 0.0 else 0.0,
        assumed_walls=tuple(one.id for one in kept.surfaces if one.transmittance.is_assumed),
        floor_area=floor_area(built.place),
    )
    runs = Runs(
        built=plain, cold=cold, cold_rest=rests["coldest"], sized=enough, by_tanks=by_tanks, hot=hot,
        hot_rest=rests["hottest"], winter=weeks[0], summer=weeks[1], cut=cut, loss=loss,
    )  # fmt: skip
    return space, runs


def _need_band(built: BuiltSpace, need: Watt, air: Kelvin, cold: SpaceDay) -> tuple[Watt, Watt]:
    """The heat needed with what is not known of walls and leaks at the mild and at the cold end of its band."""
    low = high = need
    outside, house = np.array([cold.outside]), np.array([cold.house])
    for surface in built.climate.surfaces:
        if surface.transmittance.band is not None:
            gap = surface.area * (air - float(beyond(built, surface, outside, house)[0]))
            ends = sorted(gap * (end - surface.transmittance.value) for end in surface.transmittance.band)
            low, high = low + ends[0], high + ends[1]
    leak = built.climate.air_change
    if leak.band is not None and leak.value > 0.0:
        gap = built.leak / leak.value * AIR_HEAT * (air - cold.outside)
        ends = sorted(gap * (end - leak.value) for end in leak.band)
        low, high = low + ends[0], high + ends[1]
    return max(low, 0.0), high


def _cool_air(built: BuiltSpace) -> Kelvin:
    """Air in which the warmest shelf stays within what its zone wants, evaporation not counted."""
    highs = {zone.id: zone.wants.temperature[1].value for zone in built.room.zones
             if zone.wants is not None and zone.wants.temperature is not None}  # fmt: skip
    zones = {tank.id: tank.zone for tank in built.room.tanks}
    limits = [
        highs.get(zones[tank], group.holds + OVER_WANTED_ALLOWED) - group.vessel.air_offset
        for group in built.groups
        for tank in group.tanks
    ]
    return min(limits, default=300.15)


def _unsettled(space: SpaceHeat) -> list[tuple[str, str]]:
    """Runs that did not come to an end are said, never shown as fine."""
    found: list[tuple[str, bool]] = [(day.case, day.settled) for day in space.days]
    found += [(f"the {week.season} week", week.settled) for week in space.weeks]
    found.append(("the power cut", space.cut.settled))
    missing = [
        (
            f"room {space.space}, {name}",
            "the heat balance did not settle: its numbers are not to be relied on",
        )
        for name, settled in found
        if not settled
    ]
    if not all(COLDEST_ROOM < space.day(case).air < HOTTEST_ROOM for case in CASES[:2]):
        why = "its air lies outside -20 to 50 °C, where the standard ends"
        missing.append((f"room {space.space}, cold faces", why))
    return missing
