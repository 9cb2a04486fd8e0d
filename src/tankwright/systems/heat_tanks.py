"""Each tank's warmth: the heater it needs, one that sticks, its coldest and hottest hour, its course without power."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np

from tankwright.physics.conduction import cooling_time_constant, heater_size
from tankwright.physics.heat_arrays import saturation_pressures, saturation_slopes
from tankwright.room.model import ZonePlace
from tankwright.room.model_water import TankLife, Wanted
from tankwright.systems.heat_build import BuiltSpace, evaporation_of
from tankwright.systems.heat_days import Rest, brought_by_new_water, heat_to_hold, vapour_of
from tankwright.systems.heat_groups import TankGroup
from tankwright.systems.heat_model import CutCourse, SpaceDay, StuckHeater, TankHeat, WeekCourse
from tankwright.thermal.model import Numbers
from tankwright.units import Kelvin, Second, Watt, WattPerKelvin

MARGIN: Final = 1.25
"""Factor on a heater's size. Source: 1.25 to 1.5 common practice, no source."""

WARM_UP_RISE: Final[Kelvin] = 3.0
WARM_UP_TIME: Final[Second] = 24 * 3600.0
"""A heater must also bring a tank up by 3 K in a day, after a large change of water. Common practice, no source."""

LETHAL: Final[Kelvin] = 307.15
"""34 °C: fish of warm waters die within hours to days. Source: common practice, no source."""

OVER_WANTED: Final[Kelvin] = 4.0
"""Above the highest a zone wants: where harm is taken to begin. Source: common practice, no source."""

UNDER_WANTED: Final[Kelvin] = 2.0
"""Under what a tank is to have, where its zone says no lowest. Source: common practice, no source."""

CUT_FALL: Final[Kelvin] = 4.0
"""A fall that counts where the zone says no lowest temperature. Source: common practice, no source."""

CUT_LEAST: Final[Kelvin] = 2.0
"""A smaller fall does not count, even below what is wanted. Source: common practice, no source."""

_TURNS: Final = 40
_ABSURD: Final[Kelvin] = 368.15


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Runs:
    """What was run for a space; the tanks are read off it."""

    built: BuiltSpace
    cold: SpaceDay
    cold_rest: Rest
    sized: Rest
    by_tanks: Rest | None
    hot: SpaceDay
    hot_rest: Rest
    winter: WeekCourse
    summer: WeekCourse
    cut: CutCourse
    loss: WattPerKelvin


def tanks_of(
    runs: Runs, lives: Mapping[str, TankLife], zones: Mapping[str, ZonePlace], tank_zones: Mapping[str, str]
) -> Iterator[TankHeat]:
    """A row for every tank of the space."""
    built = runs.built
    if not built.groups:
        return
    needs = _needs(runs)
    stuck, halved = _stuck_ends(runs, 1.0), _stuck_ends(runs, 0.5)
    coldest, hottest = runs.winter.water.min(axis=0), runs.summer.water.max(axis=0)
    evaporation = _evaporation(runs)
    aims: dict[tuple[int, Kelvin], Watt] = {}
    for number, group in enumerate(built.groups):
        vessel = group.vessel
        for tank in group.tanks:
            life = lives[tank]
            zone = zones.get(tank_zones[tank])
            wants = zone.wants.temperature if zone is not None and zone.wants is not None else None
            low, high = _ends(wants)
            limit = high + OVER_WANTED if high is not None else life.wanted_temperature.value + OVER_WANTED
            start = float(runs.cut.water[0, number])
            cut_limit = _cut_limit(start, low)
            need = max(float(needs[number]), 0.0)
            aim = low if low is not None else life.wanted_temperature.value - UNDER_WANTED
            if (number, aim) not in aims:
                aims[number, aim] = float(_needs(runs, np.full(len(built.groups), aim))[number])
            short = aims[number, aim]
            yield TankHeat(
                tank=tank, space=built.id, group=number, height=group.height, covered=group.covered,
                wanted=life.wanted_temperature, low=low, high=high,
                capacity=vessel.capacity, dry_loss=vessel.to_air,
                time_constant=cooling_time_constant(heat_capacity=vessel.capacity, loss=vessel.to_air),
                evaporation=float(evaporation[number]),
                holds=life.heater.holds.value if life.heater is not None else None,
                need=need, size=_size(group, need),
                aim=aim, aim_size=_size(group, max(short, 0.0)), aim_air=runs.sized.state.air + short / vessel.to_air,
                cold_sized=runs.sized.state.water[number],
                has=vessel.heater_power if life.heater is not None else None,
                count=life.heater.count if life.heater is not None else 0,
                room_air=runs.cold.air + vessel.air_offset,
                cold_design=runs.cold.water[number],
                coldest=float(coldest[number]), hottest=float(hottest[number]),
                hot_hours=float((runs.summer.water[:, number] > _too_hot(life, high)).sum()),
                stuck=_stuck(runs, group, life, float(stuck[number]), float(halved[number]), min(limit, LETHAL)),
                cut_limit=cut_limit, cut_time=_crossing(runs.cut, number, cut_limit),
            )  # fmt: skip


def _ends(wants: Wanted | None) -> tuple[Kelvin | None, Kelvin | None]:
    return (None, None) if wants is None else (wants[0].value, wants[1].value)


def _too_hot(life: TankLife, high: Kelvin | None) -> Kelvin:
    return high if high is not None else life.wanted_temperature.value + OVER_WANTED


def _needs(runs: Runs, water: Numbers | None = None) -> Numbers:
    """Heat each group's tank needs in the design cold to have a temperature (None: what it is to be held at), every
    heater there as large as it must be.

    A tank without a heater is asked what it would need: in a room nothing heats, in the air that heaters in all
    tanks would make.
    """
    built = runs.built
    wanted = np.array([group.holds for group in built.groups]) if water is None else water
    alone = runs.by_tanks if runs.by_tanks is not None and built.climate.heat_to is None else runs.sized
    has = np.array([group.vessel.heater_power > 0.0 for group in built.groups])
    return np.where(has, heat_to_hold(built, runs.sized, wanted), heat_to_hold(built, alone, wanted))


def _size(group: TankGroup, need: Watt) -> Watt:
    """With warm-up and margin; nothing where the room alone keeps the tank warm."""
    if need <= 0.0:
        return 0.0
    vessel = group.vessel
    # the need has evaporation and new water in it: as a loss for the one kelvin to a room at 1 K below
    return heater_size(
        water_temperature=group.holds, room_temperature=group.holds - 1.0, loss=max(need, 1e-3),
        heat_capacity=vessel.capacity, start_temperature=group.holds - WARM_UP_RISE, warm_up_time=WARM_UP_TIME,
        margin=MARGIN,
    )  # fmt: skip


def _evaporation(runs: Runs) -> Numbers:
    built, rest = runs.built, runs.cold_rest
    water = np.array(rest.state.water)
    near = rest.state.air + np.array([group.vessel.air_offset for group in built.groups])
    vapour = vapour_of(built, rest.state)
    coefficient = evaporation_of(built)(water, near, np.full_like(near, vapour))
    surface = np.array([group.vessel.open_surface for group in built.groups])
    return np.asarray(surface * coefficient * (saturation_pressures(water) - vapour))


# --- a heater that sticks -----------------------------------------------------------------------------------------


def _stuck_ends(runs: Runs, share: float) -> Numbers:
    """Where each group's tank ends with one heater (or a `share` of it) on for good, on the hottest day."""
    built, state = runs.built, runs.hot_rest.state
    vessels = built.heat_room.vessels
    power = share * np.array([_one_heater(built, group) for group in built.groups])
    cooled = built.heat_room.plant.cooling_power > runs.hot.cooled > 0.0
    rise = 0.0 if cooled else power / max(runs.loss, 1.0)  # what it adds to the room's air
    near = state.air + np.array([v.air_offset for v in vessels]) + rise
    vapour = vapour_of(built, state)
    link = np.array([v.to_air for v in vessels])
    surface = np.array([v.open_surface for v in vessels]) * built.heat_room.latent_heat
    flow = np.array([v.flow for v in vessels])
    water = np.array(state.water)
    law = evaporation_of(built)
    for _ in range(_TURNS):
        wet = surface * law(water, near, np.full_like(near, vapour))
        brought = brought_by_new_water(built, runs.hot_rest.drive, water)
        rest = power + brought - link * (water - near) - wet * (saturation_pressures(water) - vapour)
        step = rest / (link + flow + wet * saturation_slopes(water))
        water = np.minimum(water + step, _ABSURD)
        if float(np.abs(step).max()) < 1e-4:
            break
    return water


def _one_heater(built: BuiltSpace, group: TankGroup) -> Watt:
    life = next(life for life in built.room.lives if life.tank == group.tanks[0])
    return life.heater.power.value if life.heater is not None else 0.0


def _stuck(
    runs: Runs, group: TankGroup, life: TankLife, final: Kelvin, halved: Kelvin, limit: Kelvin
) -> StuckHeater | None:
    if life.heater is None:
        return None
    power = life.heater.power.value
    rate = power / group.vessel.capacity
    start = max(group.holds, runs.hot.water[runs.built.groups.index(group)])
    to_limit: Second | None = None
    if final > limit:
        to_limit = 0.0
        if start < limit:
            slowness = (final - start) / rate
            to_limit = -slowness * float(np.log1p(-(limit - start) / (final - start)))
    return StuckHeater(power=power, rate=rate, final=final, halved=halved, limit=limit, to_limit=to_limit)


# --- without power ------------------------------------------------------------------------------------------------


def _cut_limit(start: Kelvin, low: Kelvin | None) -> Kelvin:
    return start - CUT_FALL if low is None else min(low, start - CUT_LEAST)


def _crossing(cut: CutCourse, number: int, limit: Kelvin) -> Second | None:
    """When a tank falls to a temperature, between two steps in proportion; None when it does not."""
    course = cut.water[:, number]
    below = np.flatnonzero(course <= limit)
    if not len(below):
        return None
    after = int(below[0])
    if after == 0:
        return 0.0
    first, then = float(course[after - 1]), float(course[after])
    share = (first - limit) / (first - then)
    return float(cut.times[after - 1] + share * (cut.times[after] - cut.times[after - 1]))
