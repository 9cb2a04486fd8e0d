"""Heat from a tank to still room air: through its panes, and dry from its open water."""

from __future__ import annotations

import math

from tankwright.physics.constants import STANDARD_GRAVITY, air_kinematic_viscosity
from tankwright.physics.ranges import require
from tankwright.units import (
    Dimensionless,
    JoulePerKilogram,
    Kelvin,
    KilogramPerSecond,
    Metre,
    SquareMetreKelvinPerWatt,
    Watt,
    WattPerKelvin,
    WattPerSquareMetre,
    WattPerSquareMetreKelvin,
)

_STEFAN_BOLTZMANN = 5.670374e-8  # W/(m2 K4), CODATA 2018
_AIR_PRANDTL = 0.707  # near room temperature, standard tables
_GLASS_CONDUCTIVITY = 1.0  # W/(m K), soda-lime glass, EN 572-1; from memory
_WATER_FILM = 200.0  # W/(m2 K), slow water along a pane; common practice, no source


def vertical_plate_nusselt(
    *, rayleigh: Dimensionless, prandtl: Dimensionless = _AIR_PRANDTL
) -> Dimensionless:
    """Heat that rises along a warm upright plate over what still air alone would conduct.

    Inputs:
        rayleigh: Rayleigh number over the height of the plate; 0.1 to 1e12
        prandtl: Prandtl number of the fluid; 0.01 to 1000

    Source: S. W. Churchill and H. H. S. Chu (1975), International Journal of Heat and Mass Transfer 18, 1323-1329.

    >>> round(vertical_plate_nusselt(rayleigh=0.69 * 2.63e9, prandtl=0.69), 2)
    147.16
    """
    require("rayleigh", rayleigh, 0.1, 1e12, "1")
    require("prandtl", prandtl, 0.01, 1000.0, "1")
    fluid = (1.0 + (0.492 / prandtl) ** (9 / 16)) ** (8 / 27)
    return float((0.825 + 0.387 * rayleigh ** (1 / 6) / fluid) ** 2)


def pane_convection(
    *, height: Metre, surface_temperature: Kelvin, air_temperature: Kelvin
) -> WattPerSquareMetreKelvin:
    """Heat from an upright pane to still air, or back, per square metre and kelvin, without radiation.

    Inputs:
        height: height of the pane; 0.05 to 3
        surface_temperature: temperature of its outer face; 263.15 to 333.15
        air_temperature: temperature of the room air; 263.15 to 333.15

    Source: see vertical-plate-nusselt; conductivity of air 0.0263 W/(m K) at 300 K, as T^0.86, fitted to standard
    tables.

    >>> round(pane_convection(height=0.35, surface_temperature=299.15, air_temperature=295.15), 1)
    2.7
    """
    require("height", height, 0.05, 3.0, "m")
    require("surface_temperature", surface_temperature, 263.15, 333.15, "K")
    require("air_temperature", air_temperature, 263.15, 333.15, "K")
    film = 0.5 * (surface_temperature + air_temperature)
    difference = max(
        abs(surface_temperature - air_temperature), 1e-3
    )  # at none the film is as at almost none
    viscosity = air_kinematic_viscosity(film)
    grashof = STANDARD_GRAVITY * difference / film * height**3 / viscosity**2
    conductivity = 0.0263 * (film / 300.0) ** 0.86
    return float(vertical_plate_nusselt(rayleigh=_AIR_PRANDTL * grashof) * conductivity / height)


def radiation_coefficient(
    *, surface_temperature: Kelvin, surrounding_temperature: Kelvin, emissivity: Dimensionless = 0.9
) -> WattPerSquareMetreKelvin:
    """Heat radiated between a surface and the room around it per square metre and kelvin.

    Inputs:
        surface_temperature: temperature of the surface; 223.15 to 373.15
        surrounding_temperature: temperature of the room's surfaces; 223.15 to 373.15
        emissivity: 0.9 for glass and paint, 0.95 for water; 0 to 1

    Source: law of Stefan and Boltzmann, for a small body in a large room.

    >>> round(radiation_coefficient(surface_temperature=299.15, surrounding_temperature=295.15), 1)
    5.4
    """
    require("surface_temperature", surface_temperature, 223.15, 373.15, "K")
    require("surrounding_temperature", surrounding_temperature, 223.15, 373.15, "K")
    require("emissivity", emissivity, 0.0, 1.0, "1")
    a, b = surface_temperature, surrounding_temperature
    return emissivity * _STEFAN_BOLTZMANN * (a * a + b * b) * (a + b)


def pane_transmittance(
    *,
    height: Metre,
    glass_thickness: Metre,
    water_temperature: Kelvin,
    air_temperature: Kelvin,
    insulation_resistance: SquareMetreKelvinPerWatt = 0.0,
    water_film: WattPerSquareMetreKelvin = _WATER_FILM,
) -> WattPerSquareMetreKelvin:
    """Heat from a tank's water through a pane to still room air per square metre and kelvin, its U-value.

    Inputs:
        height: height of the pane; 0.05 to 3
        glass_thickness: thickness of the glass; 0.002 to 0.05
        water_temperature: temperature of the water; 273.15 to 323.15
        air_temperature: temperature of air and walls of the room; 263.15 to 323.15
        insulation_resistance: resistance of a board on the pane, see layer-resistance; 0 to 10
        water_film: heat from the water to the glass; 20 to 5000

    Source: resistances in a row, with pane-convection and radiation-coefficient at the face that results.

    >>> tank = {"height": 0.35, "glass_thickness": 0.006, "water_temperature": 299.15, "air_temperature": 295.15}
    >>> round(pane_transmittance(**tank), 1)
    7.3
    >>> round(pane_transmittance(insulation_resistance=0.025 / 0.0355, **tank), 1)  # 25 mm of foam
    1.2
    """
    require("height", height, 0.05, 3.0, "m")
    require("glass_thickness", glass_thickness, 0.002, 0.05, "m")
    require("water_temperature", water_temperature, 273.15, 323.15, "K")
    require("air_temperature", air_temperature, 263.15, 323.15, "K")
    require("insulation_resistance", insulation_resistance, 0.0, 10.0, "m**2*K/W")
    require("water_film", water_film, 20.0, 5000.0, "W/(m**2*K)")
    inside = 1.0 / water_film + glass_thickness / _GLASS_CONDUCTIVITY + insulation_resistance
    face = water_temperature
    transmittance = 0.0
    for _ in range(
        30
    ):  # the film hardly feels the face: each turn brings it nearer by a factor of three or more
        film = pane_convection(height=height, surface_temperature=face, air_temperature=air_temperature)
        film += radiation_coefficient(surface_temperature=face, surrounding_temperature=air_temperature)
        transmittance = 1.0 / (inside + 1.0 / film)
        face = air_temperature + transmittance / film * (water_temperature - air_temperature)
    return transmittance


def water_surface_dry_loss(
    *,
    water_temperature: Kelvin,
    air_temperature: Kelvin,
    width: Metre = 0.3,
    emissivity: Dimensionless = 0.95,
) -> WattPerSquareMetre:
    """Heat that open water gives to a still room by radiation and moving air, without evaporation.

    Negative when the room is warmer: the cold air then lies on the water and takes little.

    Inputs:
        water_temperature: temperature of the water; 273.15 to 323.15
        air_temperature: temperature of air and walls of the room; 263.15 to 323.15
        width: width of the surface, which counts for water colder than the air; 0.05 to 10
        emissivity: emissivity of water; 0 to 1

    Source: law of Stefan and Boltzmann, and ASHRAE Fundamentals for flat plates in air: 1.52 dT^(1/3) over a warm
    one, 0.59 (dT/L)^(1/4) over a cold one, W/(m2 K); from memory.

    >>> round(water_surface_dry_loss(water_temperature=305.37, air_temperature=288.71))
    159
    """
    require("water_temperature", water_temperature, 273.15, 323.15, "K")
    require("air_temperature", air_temperature, 263.15, 323.15, "K")
    require("width", width, 0.05, 10.0, "m")
    difference = water_temperature - air_temperature
    film = 1.52 * math.cbrt(difference) if difference > 0.0 else 0.59 * (-difference / width) ** 0.25
    film += radiation_coefficient(
        surface_temperature=water_temperature, surrounding_temperature=air_temperature, emissivity=emissivity
    )
    return film * difference


def tank_heat_loss(
    *,
    dry_loss: WattPerKelvin,
    water_temperature: Kelvin,
    room_temperature: Kelvin,
    evaporation: KilogramPerSecond = 0.0,
    latent_heat: JoulePerKilogram = 2.44e6,
) -> Watt:
    """Heat a tank needs to stay as it is in a room that stays as it is.

    Inputs:
        dry_loss: sum of areas times their U-values; 0 to 1e6
        water_temperature: temperature of the water; 273.15 to 323.15
        room_temperature: temperature of the room; 223.15 to 323.15
        evaporation: water that evaporates from it; 0 to 10
        latent_heat: heat a kilogram of it takes along, see latent-heat; 2.3e6 to 2.6e6

    Source: heat balance.

    >>> round(tank_heat_loss(dry_loss=7.0, water_temperature=299.15, room_temperature=295.15, evaporation=5e-6))
    40
    """
    require("dry_loss", dry_loss, 0.0, 1e6, "W/K")
    require("water_temperature", water_temperature, 273.15, 323.15, "K")
    require("room_temperature", room_temperature, 223.15, 323.15, "K")
    require("evaporation", evaporation, 0.0, 10.0, "kg/s")
    require("latent_heat", latent_heat, 2.3e6, 2.6e6, "J/kg")
    return dry_loss * (water_temperature - room_temperature) + latent_heat * evaporation
