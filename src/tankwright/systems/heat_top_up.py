"""Evaporation held to what was measured: litres of top-up in a room whose drip was off, instead of a law with its band.

The law's evaporation is multiplied by one number for the room, so that at rest in the month of the measurement (the
whole year, where its day is not said) as much evaporates as was topped up. Seasons and measures then follow the law.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Final

import numpy as np

from tankwright.physics.constants import WATER_DENSITY
from tankwright.room.model import Room
from tankwright.systems.heat_build import BuiltSpace, build_spaces, drive_of
from tankwright.systems.heat_days import at_rest, mean_drive
from tankwright.units import Dimensionless, KilogramPerSecond
from tankwright.weather.model import DAYS_IN_MONTH, HOURS, WeatherYear

LEAST: Final = 0.02
MOST: Final = 10.0
"""Times the law's evaporation within which a top-up is believed: the published formulas differ by 2.5, lids by 10."""

ROUNDS: Final = 8
CLOSE: Final = 1e-3


def fitted_to_top_up(room: Room, weather: WeatherYear, daily_inflow: Mapping[str, float]) -> Room:
    """The room with each space's evaporation held to its measured top-up; as it is where none was measured."""
    climate = room.climate
    if climate is None or all(space.top_up is None for space in climate.spaces):
        return room
    factors = {
        built.id: _factor(built, built.climate.top_up.value * WATER_DENSITY)
        for built in build_spaces(room, weather, daily_inflow)
        if built.climate.top_up is not None and built.groups
    }
    spaces = tuple(
        replace(one, evaporation=factors.get(one.space, one.evaporation)) for one in climate.spaces
    )
    return replace(room, climate=replace(climate, spaces=spaces))


def _factor(built: BuiltSpace, measured: KilogramPerSecond) -> Dimensionless:
    """How many times the law's evaporation was topped up; a room dampens its own evaporation, so it is sought."""
    known = built.climate.top_up
    drive = mean_drive(
        drive_of(built, _hours(known.measured_on.month if known is not None and known.measured_on else None))
    )
    factor = 1.0
    for _ in range(ROUNDS):
        vessels = tuple(
            replace(one, open_surface=one.open_surface * factor) for one in built.heat_room.vessels
        )
        rest = at_rest(built, drive, room=replace(built.heat_room, vessels=vessels))
        gone = float(rest.run.evaporation[-1])
        if not gone > 0.0 or abs(gone - measured) <= CLOSE * measured:
            break
        factor = min(max(factor * measured / gone, LEAST), MOST)
    return factor


def _hours(month: int | None) -> np.ndarray[tuple[int], np.dtype[np.int64]]:
    if month is None:
        return np.arange(HOURS)
    first = 24 * sum(DAYS_IN_MONTH[: month - 1])
    return np.arange(first, first + 24 * DAYS_IN_MONTH[month - 1])
