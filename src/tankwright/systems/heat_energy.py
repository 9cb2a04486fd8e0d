"""A year of one space added up: energy by month and use, water lost, hours in which it is too warm, cold or damp.

All is taken from a run of the thermal engine, hour by hour or in shorter steps; nothing is solved here.
Energies in J of what is paid for; months are twelve numbers, January first.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

import numpy as np

from tankwright.physics.heat_arrays import saturation_pressures, vapour_pressures
from tankwright.thermal.model import HeatRoom, Numbers
from tankwright.thermal.run import RoomRun
from tankwright.units import Dimensionless, Joule, JoulePerKelvin, Kelvin, Watt
from tankwright.weather.model import DAYS_IN_MONTH, HOURS

Months = tuple[float, ...]
"""Twelve numbers, January first."""

DAMP: Final = (0.75, 0.80)
"""Relative humidities of the room's air above which hours are counted: wood and paper begin to go mouldy between."""

_HOUR: Final = 3600.0
_ENDS: Final = np.cumsum(DAYS_IN_MONTH)[:-1] * 24


class Use(StrEnum):
    """What energy is used for."""

    ROOM = "room heating"
    TANKS = "tank heating"
    COOLING = "cooling"
    DRYING = "drying the air"
    LIGHTS = "lights"
    AIR = "air pumps"
    PUMPS = "other pumps"
    OTHER = "everything else"


@dataclass(frozen=True, slots=True, kw_only=True)
class Machines:
    """What the machines of a space take for what they move: a heater 1 J for 1 J, a cooler less."""

    heating: Dimensionless = 1.0
    cooling: Dimensionless = 3.0


def monthly_sums(hours: Numbers) -> Months:
    """Twelve sums of one number an hour.

    >>> monthly_sums(np.ones(8760))[:3]
    (744.0, 672.0, 744.0)
    """
    return tuple(float(part.sum()) for part in np.split(np.asarray(hours, dtype=float), _ENDS))


def monthly_means(hours: Numbers) -> Months:
    """Twelve means of one number an hour."""
    return tuple(float(part.mean()) for part in np.split(np.asarray(hours, dtype=float), _ENDS))


def monthly_ends(hours: Numbers) -> tuple[Months, Months]:
    """The lowest and the highest of each month."""
    parts = np.split(np.asarray(hours, dtype=float), _ENDS)
    return tuple(float(one.min()) for one in parts), tuple(float(one.max()) for one in parts)


def hourly(values: Numbers) -> Numbers:
    """One number an hour from one a step: means of the steps of each hour."""
    if len(values) == HOURS:
        return values
    mean: Numbers = values.reshape(HOURS, len(values) // HOURS, *values.shape[1:]).mean(axis=1)
    return mean


def every_day(power: Watt, hours_a_day: float) -> Months:
    """J a month of something that takes so much power for so many hours of every day.

    >>> every_day(10.0, 12.0)[1] / 3.6e6  # kWh in February
    3.36
    """
    return tuple(power * hours_a_day * _HOUR * days for days in DAYS_IN_MONTH)


def run_energies(room: HeatRoom, run: RoomRun, machines: Machines) -> tuple[tuple[Use, Months], ...]:
    """What heats, cools and dries, by month; uses the room has nothing for are 0 all year."""
    counts = np.array([vessel.count for vessel in room.vessels], dtype=float)
    warm, cold = np.maximum(run.plant_heat, 0.0), np.maximum(-run.plant_heat, 0.0)
    return (
        (Use.ROOM, monthly_sums(hourly(warm) * _HOUR / machines.heating)),
        (Use.TANKS, monthly_sums(hourly(run.vessel_heating) @ counts * _HOUR)),
        (Use.COOLING, monthly_sums(hourly(cold) * _HOUR / machines.cooling)),
        (Use.DRYING, monthly_sums(hourly(run.drying) * _HOUR * room.plant.drying_energy)),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Damp:
    """What water does in the air: kg by month evaporated from the tanks, taken out by a dryer and fallen out where
    air could hold no more; hours of the year with the air above each humidity of `DAMP`."""

    evaporated: Months
    dried: Months
    fog: Months
    hours_over: tuple[float, ...]
    most: Dimensionless
    mean: Dimensionless


def run_damp(room: HeatRoom, run: RoomRun) -> Damp:
    """The year's water in the air."""
    share = vapour_pressures(run.humidity, room.air.pressure) / saturation_pressures(run.air)
    relative = np.asarray(share, dtype=float)
    per = len(relative) / HOURS
    return Damp(
        evaporated=monthly_sums(hourly(run.evaporation) * _HOUR),
        dried=monthly_sums(hourly(run.drying) * _HOUR),
        fog=monthly_sums(hourly(run.fog) * _HOUR),
        hours_over=tuple(float((relative > limit + 1e-9).sum() / per) for limit in DAMP),
        most=float(relative.max()),
        mean=float(relative.mean()),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Warmth:
    """The year's temperature of one kind of tank or of the air: by month the mean and both ends, and hours outside
    what is wanted (None where nothing is)."""

    mean: Months
    lowest: Months
    highest: Months
    hours_below: float | None
    hours_above: float | None
    degree_hours_below: float = 0.0
    degree_hours_above: float = 0.0


_JUST: Final = 0.05
"""K that a thermostat holding just the end of a range may be off before an hour counts as outside it."""


def warmth(temperature: Numbers, low: Kelvin | None = None, high: Kelvin | None = None) -> Warmth:
    """How warm something was over the year, one number a step.

    >>> warmth(np.full(8760, 295.0), 296.0, 299.0).hours_below
    8760.0
    """
    per = len(temperature) / HOURS
    below = None if low is None else np.maximum(low - _JUST - temperature, 0.0)
    above = None if high is None else np.maximum(temperature - high - _JUST, 0.0)
    each = hourly(temperature)
    lowest, highest = monthly_ends(each)
    return Warmth(
        mean=monthly_means(each),
        lowest=lowest,
        highest=highest,
        hours_below=None if below is None else float((below > 0.0).sum() / per),
        hours_above=None if above is None else float((above > 0.0).sum() / per),
        degree_hours_below=0.0 if below is None else float(below.sum() / per),
        degree_hours_above=0.0 if above is None else float(above.sum() / per),
    )


def water_heat(water: Numbers, arriving: Numbers, capacity_a_day: JoulePerKelvin) -> tuple[Months, Joule]:
    """Heat that fresh water takes to come from its temperature to the tank's, J by month and in the year; where it
    arrives warmer it is less than nothing. `capacity_a_day` is heat capacity of what runs in each day.

    >>> round(water_heat(np.full(8760, 300.0), np.full(8760, 290.0), 4.18e6)[1] / 3.6e6, 1)
    4238.1
    """
    flow = capacity_a_day / 86400.0 * (hourly(water) - arriving) * _HOUR
    months = monthly_sums(flow)
    return months, sum(months)
