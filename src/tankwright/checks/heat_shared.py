"""What the verdicts on warmth and damp have in common: what they stand on, how their numbers are shown."""

from __future__ import annotations

from collections.abc import Iterable
from math import ceil, floor
from typing import Final

from tankwright.checks.grouping import rests_of_all
from tankwright.finding import Number
from tankwright.origin import Known
from tankwright.physics.constants import ICE_POINT
from tankwright.room.model import Room
from tankwright.room.model_climate import SpaceClimate
from tankwright.systems.heat_model import SpaceHeat, TankHeat

MONTHS: Final = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
    "December",
)  # fmt: skip


def shell_rests(room: Room, space: str) -> tuple[str, ...]:
    """The assumptions about a space's shell and leaks."""
    kept = room.climate.space(space) if room.climate is not None else None
    if room.climate is None or kept is None:
        return ()
    knowns: list[Known | None] = [surface.transmittance for surface in kept.surfaces]
    house = any(surface.faces == "indoors" for surface in kept.surfaces)
    return rests_of_all([*knowns, kept.air_change, kept.indoors if house else None])


def tank_rests(room: Room, space: str) -> tuple[str, ...]:
    """The assumptions that decide between a tank and the air of its space."""
    kept = room.climate.space(space) if room.climate is not None else None
    if room.climate is None or kept is None:
        return ()
    coat = room.laws.wall_coat if room.laws is not None else None
    return rests_of_all([kept.gradient, room.climate.covered, room.climate.bubbling, coat])


def all_rests(room: Room, space: str) -> tuple[str, ...]:
    """Both."""
    return tuple(dict.fromkeys((*shell_rests(room, space), *tank_rests(room, space))))


def damp_rests(room: Room, space: str) -> tuple[str, ...]:
    """The assumptions about how moist the air gets."""
    kept = room.climate.space(space) if room.climate is not None else None
    if room.climate is None or kept is None:
        return ()
    return rests_of_all([kept.air_change, room.climate.covered, room.climate.bubbling, kept.people_hours])


def space_line(room: Room, space: str) -> int | None:
    """The line of the plan on which a space's climate stands, or the space itself."""
    kept = room.climate.space(space) if room.climate is not None else None
    line = kept.line if kept is not None else None
    return line or next((one.line for one in room.spaces if one.id == space), None)


def tanks_in(space: SpaceHeat) -> int:
    """How many tanks a space holds."""
    return sum(len(names) for names in space.tanks)


FAR: Final = 3.0
"""K outside what is wanted from which on it is a problem, not a warning. Common practice, no source."""

SLACK: Final = 0.25
"""K within which a temperature counts as kept. Common practice, no source."""

SPARE: Final = 1.25
"""Heaters are bought a quarter larger than the design cold asks. Common practice, no source."""


def kelvin(value: float) -> Number:
    """A temperature of a finding."""
    return Number(value, "temperature")


def difference(value: float) -> Number:
    """A difference of temperature of a finding."""
    return Number(value, "temperature_difference")


def watt(value: float) -> Number:
    """A power of a finding."""
    return Number(value, "power")


def to_buy(value: float) -> Number:
    """A power to buy, rounded up: to 5 W, to 50 W from 500 W on, so that what is read is enough.

    >>> [to_buy(one).value for one in (41.2, 446.3, 2583.0)]
    [45.0, 450.0, 2600.0]
    """
    step = 5.0 if value < 500.0 else 50.0
    return Number(step * ceil(value / step - 1e-9), "power")


def at_least(value: float) -> Number:
    """A temperature to set, rounded up to half a kelvin.

    >>> at_least(297.2).value - 273.15
    24.5
    """
    return Number(ICE_POINT + ceil(2.0 * (value - ICE_POINT) - 1e-6) / 2.0, "temperature")


def at_most(value: float) -> Number:
    """A temperature to set, rounded down to half a kelvin."""
    return Number(ICE_POINT + floor(2.0 * (value - ICE_POINT) + 1e-6) / 2.0, "temperature")


def climate_of(room: Room, space: SpaceHeat) -> SpaceClimate | None:
    """How a space is kept."""
    return room.climate.space(space.space) if room.climate is not None else None


def a_day(rate: float) -> Number:
    """Water that a rate comes to in a day."""
    return Number(rate * 86400.0, "mass")


def wanted_rests(rows: Iterable[TankHeat]) -> tuple[str, ...]:
    """The assumption about what tanks are to have, where their zone says nothing."""
    return rests_of_all([row.wanted for row in rows if row.low is None])


def by_gradient(room: Room, space: SpaceHeat, row: TankHeat, temperature: float) -> float:
    """A temperature of a tank where the air is as even from floor to ceiling as it may be."""
    kept = room.climate.space(space.space) if room.climate is not None else None
    if (
        kept is None
        or not kept.gradient.is_assumed
        or kept.gradient.band is None
        or kept.gradient.value <= 0.0
    ):
        return temperature
    offset = row.room_air - space.day("coldest").air
    return temperature - offset * (1.0 - kept.gradient.band[0] / kept.gradient.value)


THERMOMETERS: Final = (
    "; how much warmer the air is higher up is assumed, and with as little as it may be this tank would do:"
    " thermometers in a top and a bottom tank decide"
)
