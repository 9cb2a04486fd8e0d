"""Air under a little pressure: how much denser it is, and what volume it has when free."""

from __future__ import annotations

from tankwright.physics.constants import STANDARD_PRESSURE
from tankwright.physics.ranges import require
from tankwright.units import CubicMetrePerSecond, Dimensionless, Kelvin, Pascal


def density_ratio(
    gauge_pressure: Pascal, *, atmospheric_pressure: Pascal = STANDARD_PRESSURE
) -> Dimensionless:
    """Density of air under pressure over that of free air at the same temperature.

    Inputs:
        gauge_pressure: pressure over the atmosphere; -5e4 to 1e6
        atmospheric_pressure: absolute pressure of the surrounding air; 5e4 to 1.1e5

    Source: Boyle's law.

    >>> round(density_ratio(5000.0), 3)
    1.049
    """
    require("gauge_pressure", gauge_pressure, -5e4, 1e6, "Pa")
    require("atmospheric_pressure", atmospheric_pressure, 5e4, 1.1e5, "Pa")
    require("gauge_pressure", gauge_pressure, -0.9 * atmospheric_pressure, 1e6, "Pa")
    return (atmospheric_pressure + gauge_pressure) / atmospheric_pressure


def free_air_flow(
    *,
    flow: CubicMetrePerSecond,
    gauge_pressure: Pascal,
    temperature: Kelvin = 293.15,
    free_temperature: Kelvin = 293.15,
    atmospheric_pressure: Pascal = STANDARD_PRESSURE,
) -> CubicMetrePerSecond:
    """Volume flow that air measured under pressure has once it is free.

    Inputs:
        flow: volume flow as measured under pressure; 0 to 100
        gauge_pressure: pressure over the atmosphere where it was measured; -5e4 to 1e6
        temperature: air temperature where it was measured; 223.15 to 373.15
        free_temperature: temperature of the free air; 223.15 to 373.15
        atmospheric_pressure: absolute pressure of the surrounding air; 5e4 to 1.1e5

    Source: ideal gas law.

    >>> round(free_air_flow(flow=1e-3, gauge_pressure=20e3) * 60000, 1)  # L/min
    71.8
    """
    require("flow", flow, 0.0, 100.0, "m**3/s")
    require("temperature", temperature, 223.15, 373.15, "K")
    require("free_temperature", free_temperature, 223.15, 373.15, "K")
    ratio = density_ratio(gauge_pressure, atmospheric_pressure=atmospheric_pressure)
    return flow * ratio * free_temperature / temperature
