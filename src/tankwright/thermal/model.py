"""What a room is made of to its heat: one air, one inner mass, perhaps a slab, and many vessels of water.

A vessel hangs on the air only. Temperatures in K, conductances in W/K, capacities in J/K. The air is mixed;
a shelf higher up sees `air_offset` more, which is the caller's assumption.

Left out: heat that water vapour carries apart from its latent heat, wet cold surfaces (only air above its
saturation drops its excess), radiation between vessels.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from tankwright.physics.constants import STANDARD_PRESSURE
from tankwright.units import (
    Dimensionless,
    JoulePerKelvin,
    JoulePerKilogram,
    Kelvin,
    Kilogram,
    KilogramPerSecond,
    Pascal,
    Second,
    SquareMetre,
    Watt,
    WattPerKelvin,
)

Numbers = NDArray[np.float64]

LATENT_HEAT = 2.44e6
"""Heat to evaporate water at about 26 °C, J/kg. Source: steam tables; not the 2.257e6 of boiling water."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Air:
    """The air of the room. `dry_mass` may be made larger for what else takes up moisture."""

    dry_mass: Kilogram
    capacity: JoulePerKelvin = 0.0
    to_outside: WattPerKelvin = 0.0
    pressure: Pascal = STANDARD_PRESSURE


@dataclass(frozen=True, slots=True, kw_only=True)
class Mass:
    """A heat store between the air and something beyond: walls (beyond: outside), a slab (beyond: ground)."""

    capacity: JoulePerKelvin = 0.0
    to_air: WattPerKelvin = 0.0
    to_beyond: WattPerKelvin = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Vessel:
    """A vessel of water, or `count` alike ones. `open_surface` is the water surface that evaporates, `flow` the heat
    that water running through it carries for a kelvin."""

    id: str
    capacity: JoulePerKelvin
    to_air: WattPerKelvin
    open_surface: SquareMetre = 0.0
    flow: WattPerKelvin = 0.0
    air_offset: Kelvin = 0.0
    set_point: Kelvin = 0.0
    heater_power: Watt = 0.0
    count: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Plant:
    """What holds the room: heater, cooler, dehumidifier. Powers are those given to or taken from the air.

    `drying_energy` is the electric energy per kg of water removed, which stays in the room with the latent
    heat. Without a `hysteresis` a thermostat is ideal: it gives just what holds the set point at the end of a
    step. With one, a heater is full on or off, switched half of it below and above the set point at the
    start of a step; that wants steps of some minutes.
    """

    heating_power: Watt = 0.0
    cooling_power: Watt = 0.0
    drying_rate: KilogramPerSecond = 0.0
    drying_energy: JoulePerKilogram = 0.0
    room_hysteresis: Kelvin | None = None
    vessel_hysteresis: Kelvin | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatRoom:
    """All of it together."""

    air: Air
    mass: Mass = field(default_factory=Mass)
    slab: Mass = field(default_factory=Mass)
    vessels: tuple[Vessel, ...] = ()
    plant: Plant = field(default_factory=Plant)
    latent_heat: JoulePerKilogram = LATENT_HEAT


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Drive:
    """What acts on the room, one value an interval (an hour, say) or one value for all.

    `ventilation` is the dry air exchanged, kg/s: it carries moisture. `ventilation_conductance` is the heat
    it carries, W/K: less than 1006 times that where heat is recovered. `mass_beyond_temperature` is what the
    walls' outer side sees (outside air where None; with sun on it, more). `power` is the share of every
    machine's power that is there: 0 while the mains are off. `vessel_gain` is heat into each single vessel,
    `inflow_temperature` of the water that runs into it, `evaporation_coefficient` in kg/(s m2 Pa); these may also be
    (vessels,), (intervals, 1) or (intervals, vessels).
    """

    interval: Second
    outside_temperature: Numbers
    outside_humidity: Numbers | float = 0.0
    mass_beyond_temperature: Numbers | float | None = None
    ground_temperature: Numbers | float = 283.15
    ventilation: Numbers | float = 0.0
    ventilation_conductance: Numbers | float = 0.0
    air_gain: Numbers | float = 0.0
    mass_gain: Numbers | float = 0.0
    slab_gain: Numbers | float = 0.0
    moisture_gain: Numbers | float = 0.0
    heating_set_point: Numbers | float = 0.0
    cooling_set_point: Numbers | float = 1e6
    humidity_limit: Numbers | float = 1.0
    power: Numbers | float = 1.0
    vessel_gain: Numbers | float = 0.0
    inflow_temperature: Numbers | float = 283.15
    evaporation_coefficient: Numbers | float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomState:
    """The room at one moment. `humidity` is kg of vapour per kg of dry air."""

    air: Kelvin
    mass: Kelvin
    slab: Kelvin
    humidity: Dimensionless
    water: tuple[Kelvin, ...]
    heater_on: bool = False
    cooler_on: bool = False
    vessel_heaters_on: tuple[bool, ...] = ()


def even_start(room: HeatRoom, temperature: Kelvin, *, humidity: Dimensionless = 0.008) -> RoomState:
    """A room that has the same temperature everywhere, and nothing switched on.

    >>> even_start(HeatRoom(air=Air(dry_mass=60.0)), 293.15).air
    293.15
    """
    return RoomState(
        air=temperature,
        mass=temperature,
        slab=temperature,
        humidity=humidity,
        water=(temperature,) * len(room.vessels),
        vessel_heaters_on=(False,) * len(room.vessels),
    )


def room_mistakes(room: HeatRoom) -> tuple[str, ...]:
    """What makes a room unsolvable, in words; none when it can be solved.

    >>> room_mistakes(HeatRoom(air=Air(dry_mass=0.0)))
    ('the air has no mass', 'the air has neither capacity nor a link')
    """
    found = []
    air = room.air
    if not air.dry_mass > 0.0:
        found.append("the air has no mass")
    links = [air.to_outside, room.mass.to_air, room.slab.to_air, *(v.to_air for v in room.vessels)]
    if not air.capacity + sum(links) > 0.0:
        found.append("the air has neither capacity nor a link")
    plant = room.plant
    sizes = [
        *(air.capacity, *links, room.mass.capacity, room.mass.to_beyond, room.slab.capacity),
        *(room.slab.to_beyond, plant.heating_power, plant.cooling_power, plant.drying_rate),
        *(size for v in room.vessels for size in (v.capacity, v.open_surface, v.heater_power)),
    ]
    if not all(np.isfinite(size) and size >= 0.0 for size in sizes):
        found.append("a size is negative or no number")
    found += [
        f"{v.id} has neither capacity nor a link" for v in room.vessels if not v.capacity + v.to_air > 0.0
    ]
    found += [f"{v.id} is there {v.count} times" for v in room.vessels if v.count < 1]
    return tuple(found)
