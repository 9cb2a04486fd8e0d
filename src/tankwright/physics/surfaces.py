"""Cold surfaces in a warm, moist room: how cold they are, where water drips from them and where mould may grow.

Vapour pressures here follow the form of EN ISO 13788, on which the printed limits rest; it differs from the handbook
of `moist_air` by less than 0.1 K of dew point in any room.
"""

from __future__ import annotations

from tankwright.physics.layers import saturation_pressure_of_walls, saturation_temperature_of_walls
from tankwright.physics.ranges import require
from tankwright.units import Dimensionless, Kelvin, SquareMetreKelvinPerWatt, WattPerSquareMetreKelvin

CAUTION = (
    "A screening for damp and mould, not a survey: a building's designer or a licensed surveyor decides."
)

MOULD_HUMIDITY = 0.8
"""Relative humidity at a surface, lasting for days, above which mould may grow. Source: EN ISO 13788."""

CORNER_SURFACE = 0.25
"""m2 K/W, inner surface resistance in corners and behind furniture, for mould. Source: EN ISO 13788."""


def inner_surface_temperature(
    *,
    inner_temperature: Kelvin,
    outer_temperature: Kelvin,
    transmittance: WattPerSquareMetreKelvin,
    inner_surface_resistance: SquareMetreKelvinPerWatt = CORNER_SURFACE,
) -> Kelvin:
    """Temperature of the inner face of a wall, pane or door.

    Inputs:
        inner_temperature: temperature of the room air; 253.15 to 323.15
        outer_temperature: temperature of the air on the other side; 223.15 to 323.15
        transmittance: heat from air to air per square metre and kelvin, its U-value; 0 to 7
        inner_surface_resistance: 0.25 in corners and behind racks, 0.13 on open walls and panes; 0.05 to 0.35

    Source: EN ISO 13788: the surface takes the share U Rsi of the difference.

    >>> face = inner_surface_temperature(inner_temperature=299.15, outer_temperature=273.15, transmittance=0.3)
    >>> round(face - 273.15, 2)
    24.05
    """
    factor = temperature_factor(
        transmittance=transmittance, inner_surface_resistance=inner_surface_resistance
    )
    require("inner_temperature", inner_temperature, 253.15, 323.15, "K")
    require("outer_temperature", outer_temperature, 223.15, 323.15, "K")
    return outer_temperature + factor * (inner_temperature - outer_temperature)


def temperature_factor(
    *,
    transmittance: WattPerSquareMetreKelvin,
    inner_surface_resistance: SquareMetreKelvinPerWatt = CORNER_SURFACE,
) -> Dimensionless:
    """How near the inner face of a wall comes to the room: 1 as warm as the room, 0 as cold as outside.

    Inputs:
        transmittance: heat from air to air per square metre and kelvin, its U-value; 0 to 7
        inner_surface_resistance: 0.25 in corners and behind racks, 0.13 on open walls and panes; 0.05 to 0.35

    Source: EN ISO 13788, fRsi = 1 - U Rsi; resistances from memory. A U-value of more than 1/Rsi, as of single
    glass, cannot stand beside that Rsi and is refused.

    >>> round(temperature_factor(transmittance=0.80369), 5)
    0.79908
    """
    require("transmittance", transmittance, 0.0, 7.0, "W/(m**2*K)")
    require("inner_surface_resistance", inner_surface_resistance, 0.05, 0.35, "m**2*K/W")
    require("transmittance", transmittance, 0.0, 1.0 / inner_surface_resistance, "W/(m**2*K)")
    return 1.0 - transmittance * inner_surface_resistance


def surface_limit_temperature(
    *,
    air_temperature: Kelvin,
    relative_humidity: Dimensionless,
    surface_humidity: Dimensionless = MOULD_HUMIDITY,
) -> Kelvin:
    """Temperature below which a surface becomes moister than a limit in a room's air.

    Inputs:
        air_temperature: temperature of the room air; 253.15 to 323.15
        relative_humidity: relative humidity of the room air; 0.01 to 1
        surface_humidity: 0.8 for mould, 1 for drops; 0.3 to 1

    Source: EN ISO 13788, 5.3 and annex E; from memory.

    >>> round(surface_limit_temperature(air_temperature=299.15, relative_humidity=0.65) - 273.15, 2)
    22.53
    """
    require("air_temperature", air_temperature, 253.15, 323.15, "K")
    require("relative_humidity", relative_humidity, 0.01, 1.0, "1")
    require("surface_humidity", surface_humidity, 0.3, 1.0, "1")
    held = relative_humidity * saturation_pressure_of_walls(air_temperature)
    return saturation_temperature_of_walls(held / surface_humidity)


def temperature_factor_needed(
    *,
    inner_temperature: Kelvin,
    relative_humidity: Dimensionless,
    outer_temperature: Kelvin,
    surface_humidity: Dimensionless = MOULD_HUMIDITY,
) -> Dimensionless:
    """Least temperature factor with which the inner face of a wall stays drier than a limit.

    Below 0 any wall will do; above 1 none will, and only drier air helps.

    Inputs:
        inner_temperature: temperature of the room air, warmer than outside; 253.15 to 323.15
        relative_humidity: relative humidity of the room air; 0.01 to 1
        outer_temperature: temperature of the air on the other side; 223.15 to 323.15
        surface_humidity: 0.8 for mould, 1 for drops; 0.3 to 1

    Source: EN ISO 13788, 5.3; from memory.

    >>> room = {"inner_temperature": 293.15, "relative_humidity": 0.5}
    >>> round(temperature_factor_needed(outer_temperature=268.15, **room), 3)  # DIN 4108-2 asks for 0.70
    0.705
    """
    require("inner_temperature", inner_temperature, 253.15, 323.15, "K")
    limit = surface_limit_temperature(
        air_temperature=inner_temperature,
        relative_humidity=relative_humidity,
        surface_humidity=surface_humidity,
    )
    require("outer_temperature", outer_temperature, 223.15, 323.15, "K")
    require("outer_temperature", outer_temperature, 223.15, inner_temperature - 0.1, "K")
    return (limit - outer_temperature) / (inner_temperature - outer_temperature)


def surface_relative_humidity(
    *, surface_temperature: Kelvin, air_temperature: Kelvin, relative_humidity: Dimensionless
) -> Dimensionless:
    """Relative humidity of a room's air where it touches a surface; more than 1 means that it drips.

    Inputs:
        surface_temperature: temperature of the surface; 223.15 to 323.15
        air_temperature: temperature of the room air; 253.15 to 323.15
        relative_humidity: relative humidity of the room air; 0 to 1

    Source: EN ISO 13788, annex E: the vapour pressure of the room over what the surface can hold.

    >>> humidity = surface_relative_humidity(
    ...     surface_temperature=285.75, air_temperature=293.15, relative_humidity=0.5
    ... )
    >>> round(humidity, 2)
    0.8
    """
    require("surface_temperature", surface_temperature, 223.15, 323.15, "K")
    require("air_temperature", air_temperature, 253.15, 323.15, "K")
    require("relative_humidity", relative_humidity, 0.0, 1.0, "1")
    held = relative_humidity * saturation_pressure_of_walls(air_temperature)
    return held / saturation_pressure_of_walls(surface_temperature)
