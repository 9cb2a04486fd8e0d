"""The coldest and the hottest week hour by hour, a power cut on the coldest day, and the most a cooler must take."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import numpy as np

from tankwright.physics.heat_arrays import humidity_ratios, saturation_pressures, vapour_pressures
from tankwright.systems.heat_build import AIR_HEAT, BuiltSpace, drive_of, evaporation_of
from tankwright.systems.heat_days import PLENTY, hours_of_case
from tankwright.systems.heat_model import Cooling, CutCourse, Season, WeekCourse
from tankwright.thermal.model import Drive, Numbers, RoomState, even_start
from tankwright.thermal.run import RunStatus, run_room
from tankwright.units import Kelvin
from tankwright.weather.model import HOURS

WARM_UP: Final = 120
"""Hours run before a week, so that it hardly feels the start."""

WEEK: Final = 168
CUT_HOURS: Final = 72
STEPS_IN_CUT_HOUR: Final = 2

DAMP: Final = 0.60
"""Relative humidity a cooler's share of drying is worked out for. Source: US EPA mould course, from memory."""


def week_of(built: BuiltSpace, season: Season, start: RoomState) -> tuple[WeekCourse, RoomState]:
    """The coldest or hottest seven days of the year, as the space is, and what they leave behind."""
    weather = built.weather
    stretch = weather.coldest_week if season == "coldest" else weather.hottest_week
    hours = (stretch.first_hour - WARM_UP + np.arange(WARM_UP + WEEK)) % HOURS
    run = run_room(
        built.heat_room, drive_of(built, hours), start=start, coefficient=evaporation_of(built),
    )  # fmt: skip
    vapour = vapour_pressures(run.humidity, built.heat_room.air.pressure)
    kept = slice(WARM_UP, None)
    course = WeekCourse(
        season=season,
        first_hour=stretch.first_hour,
        mean_outside=stretch.mean,
        outside=np.asarray(weather.dry_bulb[hours[kept]]),
        air=run.air[kept],
        relative_humidity=np.asarray(vapour / saturation_pressures(run.air))[kept],
        water=run.water[kept],
        settled=run.status is RunStatus.SETTLED,
    )
    return course, run.end


def power_cut(built: BuiltSpace, start: RoomState) -> CutCourse:
    """From the end of the coldest week on, with the mains off; the coldest day comes again and again."""
    hours = np.tile(hours_of_case(built.weather, "coldest"), CUT_HOURS // 24)
    with_power = drive_of(built, hours)
    still = replace(
        with_power,
        power=0.0,
        ventilation=built.leak,
        ventilation_conductance=built.leak * AIR_HEAT,
        air_gain=_sun_in_air(built, with_power),
        moisture_gain=0.0,
    )
    room = built.heat_room
    dry = replace(room, vessels=tuple(replace(vessel, flow=0.0) for vessel in room.vessels))
    run = run_room(
        dry, still, start=start, substeps=STEPS_IN_CUT_HOUR,
        coefficient=evaporation_of(built),
    )  # fmt: skip
    return CutCourse(
        times=np.asarray(np.arange(len(run.air) + 1) * (run.step or 1.0), dtype=np.float64),
        outside=np.repeat(built.weather.dry_bulb[hours], STEPS_IN_CUT_HOUR),
        air=np.concatenate([[start.air], run.air]),
        water=np.vstack([np.array([start.water]), run.water]),
        settled=run.status is RunStatus.SETTLED,
    )


def _sun_in_air(built: BuiltSpace, drive: Drive) -> Numbers | float:
    """The part of the sun through windows that warms the air, without what is plugged in and without people."""
    links = built.links
    if links is None:
        return 0.0
    to_air, to_mass = links.gains(radiant=1.0)
    return np.asarray(drive.mass_gain * (to_air / to_mass)) if to_mass > 0.0 else 0.0


def cooling_of(built: BuiltSpace, holds: Kelvin) -> Cooling:
    """The hottest day twice over with a cooler that is never too small."""
    kept = built.climate
    hours = np.tile(hours_of_case(built.weather, "hottest"), 2)
    drive = replace(drive_of(built, hours), cooling_set_point=holds)
    room = built.heat_room
    cooled = replace(room, plant=replace(room.plant, cooling_power=PLENTY))
    run = run_room(
        cooled,
        drive,
        start=even_start(cooled, holds),
        coefficient=evaporation_of(built),
    )
    taken = -run.plant_heat[24:]
    most = int(taken.argmax())
    pressure = room.air.pressure
    damp = float(humidity_ratios(DAMP * saturation_pressures(holds), pressure))
    outside = np.asarray(drive.outside_humidity)[24:]
    brought = (
        run.evaporation[24:]
        + np.asarray(drive.moisture_gain)
        + np.asarray(drive.ventilation) * (outside - damp)
    )
    cooler = kept.cooler
    return Cooling(
        holds=holds,
        asked=kept.cool_to is not None,
        sensible=max(float(taken[most]), 0.0),
        latent=room.latent_heat * max(float(brought[most]), 0.0),
        has=cooler.rating.value * cooler.count if cooler is not None else None,
    )
