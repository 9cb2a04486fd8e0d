"""Gravity, and what water and air weigh and how they flow at a temperature.

The plain constants are the values at 20 °C that the other formulas take when nothing better is known.
"""

from __future__ import annotations

import math

from tankwright.physics.ranges import require
from tankwright.units import (
    Kelvin,
    KilogramPerCubicMetre,
    Pascal,
    PascalSecond,
    SquareMetrePerSecond,
)

STANDARD_GRAVITY = 9.80665
"""m/s2, standard acceleration of free fall. Source: 3rd General Conference on Weights and Measures (1901)."""

STANDARD_PRESSURE = 101325.0
"""Pa, standard atmosphere. Source: ISO 2533."""

WATER_DENSITY = 998.2
"""kg/m3 at 20 °C. Source: Kell (1975), as `water_density` gives it, to one decimal."""

WATER_KINEMATIC_VISCOSITY = 1.004e-6
"""m2/s at 20 °C. Source: standard tables (1.002 mPa s over 998.2 kg/m3)."""

AIR_GAS_CONSTANT = 287.053
"""J/(kg K), dry air. Source: U.S. Standard Atmosphere, 1976 (8314.32 J/(kmol K) over 28.9644 kg/kmol)."""

ICE_POINT = 273.15
"""K, 0 °C."""


def water_density(temperature: Kelvin) -> KilogramPerCubicMetre:
    """Density of pure air-free water under one atmosphere.

    Inputs:
        temperature: water temperature; 273.15 to 373.15

    Source: G. S. Kell (1975), Journal of Chemical and Engineering Data 20(1), 97-105.

    >>> round(water_density(293.15), 3)
    998.204
    """
    require("temperature", temperature, 273.15, 373.15, "K")
    t = temperature - ICE_POINT
    top = 999.83952 + t * (
        16.945176 + t * (-7.9870401e-3 + t * (-46.170461e-6 + t * (105.56302e-9 - 280.54253e-12 * t)))
    )
    return top / (1 + 16.879850e-3 * t)


def water_dynamic_viscosity(temperature: Kelvin) -> PascalSecond:
    """Dynamic viscosity of pure water under one atmosphere.

    Inputs:
        temperature: water temperature; 273.15 to 373.15

    Source: J. Kestin, M. Sokolov and W. A. Wakeham (1978), Journal of Physical and Chemical Reference
    Data 7(3), 941-948, with 1.002 mPa s at 20 °C; coefficients from memory, checked against printed tables.

    >>> round(water_dynamic_viscosity(298.15) * 1000, 4)  # mPa s
    0.8902
    """
    require("temperature", temperature, 273.15, 373.15, "K")
    below = 20.0 - (temperature - ICE_POINT)
    exponent = below / (temperature - ICE_POINT + 96.0) * (1.2364 - 1.37e-3 * below + 5.7e-6 * below**2)
    return 1.002e-3 * math.exp(exponent * math.log(10.0))


def water_kinematic_viscosity(temperature: Kelvin) -> SquareMetrePerSecond:
    """Kinematic viscosity of pure water under one atmosphere.

    Inputs:
        temperature: water temperature; 273.15 to 373.15

    Source: dynamic viscosity over density; see `water_dynamic_viscosity` and `water_density`.

    >>> round(water_kinematic_viscosity(293.15) * 1e6, 3)  # mm2/s
    1.004
    """
    return water_dynamic_viscosity(temperature) / water_density(temperature)


def air_density(temperature: Kelvin, *, pressure: Pascal = STANDARD_PRESSURE) -> KilogramPerCubicMetre:
    """Density of dry air as an ideal gas.

    Inputs:
        temperature: air temperature; 223.15 to 373.15
        pressure: absolute pressure; 1e4 to 1e6

    Source: ideal gas law, gas constant of the U.S. Standard Atmosphere, 1976; within 0.1 % near one
    atmosphere.

    >>> round(air_density(293.15), 3)
    1.204
    """
    require("temperature", temperature, 223.15, 373.15, "K")
    require("pressure", pressure, 1e4, 1e6, "Pa")
    return pressure / (AIR_GAS_CONSTANT * temperature)


def air_dynamic_viscosity(temperature: Kelvin) -> PascalSecond:
    """Dynamic viscosity of air; the pressure hardly matters.

    Inputs:
        temperature: air temperature; 223.15 to 373.15

    Source: Sutherland's formula with the constants of the U.S. Standard Atmosphere, 1976.

    >>> round(air_dynamic_viscosity(288.15) * 1e5, 4)
    1.7894
    """
    require("temperature", temperature, 223.15, 373.15, "K")
    return 1.458e-6 * temperature * math.sqrt(temperature) / (temperature + 110.4)


def air_kinematic_viscosity(
    temperature: Kelvin, *, pressure: Pascal = STANDARD_PRESSURE
) -> SquareMetrePerSecond:
    """Kinematic viscosity of dry air.

    Inputs:
        temperature: air temperature; 223.15 to 373.15
        pressure: absolute pressure; 1e4 to 1e6

    Source: dynamic viscosity over density; see `air_dynamic_viscosity` and `air_density`.

    >>> round(air_kinematic_viscosity(288.15) * 1e5, 4)
    1.4607
    """
    return air_dynamic_viscosity(temperature) / air_density(temperature, pressure=pressure)
