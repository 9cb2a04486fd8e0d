"""Flow through a small round hole: a dripper's hole, a tap a little open, a hole in an air pipe."""

from __future__ import annotations

import math

from tankwright.physics.constants import STANDARD_PRESSURE, WATER_DENSITY
from tankwright.physics.ranges import require
from tankwright.units import CubicMetrePerSecond, Dimensionless, KilogramPerCubicMetre, Metre, Pascal

SHARP_ORIFICE_COEFFICIENT = 0.62
"""Sharp-edged hole with full contraction. Source: textbook value; printed hole tables lie between 0.60 and
0.62."""

AIR_ISENTROPIC_EXPONENT = 1.4


def orifice_flow(
    *,
    pressure_drop: Pascal,
    diameter: Metre,
    density: KilogramPerCubicMetre = WATER_DENSITY,
    coefficient: Dimensionless = SHARP_ORIFICE_COEFFICIENT,
    expansibility: Dimensionless = 1.0,
) -> CubicMetrePerSecond:
    """Flow through a small round hole, at the density on the side it comes from.

    Inputs:
        pressure_drop: pressure before the hole less pressure behind it; 0 to 1e7
        diameter: diameter of the hole; 1e-5 to 1
        density: density of the fluid before the hole; 0.1 to 2000
        coefficient: discharge coefficient; 0.1 to 1
        expansibility: factor for a gas that expands on the way, 1 for a liquid (see orifice-expansibility);
            0.6 to 1

    Source: Torricelli's law with a discharge coefficient, textbook form.

    >>> round(orifice_flow(pressure_drop=1000.0, diameter=0.002, density=1.204) * 60000, 1)  # air, L/min
    4.8
    """
    require("pressure_drop", pressure_drop, 0.0, 1e7, "Pa")
    require("diameter", diameter, 1e-5, 1.0, "m")
    require("density", density, 0.1, 2000.0, "kg/m**3")
    require("coefficient", coefficient, 0.1, 1.0, "1")
    require("expansibility", expansibility, 0.6, 1.0, "1")
    velocity = math.sqrt(2.0 * pressure_drop / density)
    return coefficient * expansibility * math.pi / 4.0 * diameter**2 * velocity


def orifice_expansibility(
    *,
    pressure_drop: Pascal,
    inlet_pressure: Pascal = STANDARD_PRESSURE,
    diameter_ratio: Dimensionless = 0.0,
    isentropic_exponent: Dimensionless = AIR_ISENTROPIC_EXPONENT,
) -> Dimensionless:
    """Factor by which a gas flows less through a hole than a liquid would, because it expands on the way.

    Valid while no more than a quarter of the absolute inlet pressure is lost.

    Inputs:
        pressure_drop: pressure before the hole less pressure behind it; 0 to 2.5e5
        inlet_pressure: absolute pressure before the hole; 5e4 to 1e6
        diameter_ratio: diameter of the hole over the bore of the pipe; 0 to 0.75
        isentropic_exponent: ratio of specific heats, 1.4 for air; 1.05 to 1.7

    Source: ISO 5167-2:2003, orifice plates.

    >>> round(orifice_expansibility(pressure_drop=2000.0, inlet_pressure=106e3), 4)
    0.9953
    """
    require("pressure_drop", pressure_drop, 0.0, 2.5e5, "Pa")
    require("inlet_pressure", inlet_pressure, 5e4, 1e6, "Pa")
    require("diameter_ratio", diameter_ratio, 0.0, 0.75, "1")
    require("isentropic_exponent", isentropic_exponent, 1.05, 1.7, "1")
    require("pressure_drop", pressure_drop, 0.0, 0.25 * inlet_pressure, "Pa")
    left = 1.0 - pressure_drop / inlet_pressure
    shape = 0.351 + 0.256 * diameter_ratio**4 + 0.93 * diameter_ratio**8
    return 1.0 - shape * (1.0 - math.pow(left, 1.0 / isentropic_exponent))


def blockage_loss(*, open_share: Dimensionless) -> Dimensionless:
    """Velocity heads of the whole bore lost where a pipe is partly blocked, as by a plate with a sharp round hole.

    Contraction of the jet and its widening behind the plate together; turbulent flow.

    Inputs:
        open_share: area of the hole over that of the bore; 0.02 to 1

    Source: I. E. Idelchik, Handbook of Hydraulic Resistance, thin orifice in a straight pipe (diagram 4-15),
    from memory.

    >>> round(blockage_loss(open_share=0.5), 2)
    4.0
    """
    require("open_share", open_share, 0.02, 1.0, "1")
    shut = 1.0 - open_share
    return ((shut + math.sqrt(shut / 2.0)) / open_share) ** 2
