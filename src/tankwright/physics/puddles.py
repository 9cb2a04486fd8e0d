"""Water lying on a level floor: how thin it spreads before its own skin holds it together."""

from __future__ import annotations

import math

from tankwright.physics.constants import STANDARD_GRAVITY, WATER_DENSITY
from tankwright.physics.ranges import require
from tankwright.units import (
    Kelvin,
    KilogramPerCubicMetre,
    Metre,
    NewtonPerMetre,
    Radian,
)

WATER_SURFACE_TENSION = 0.07274
"""N/m at 20 °C. Source: IAPWS R1-76(2014), as `water_surface_tension` gives it."""


def water_surface_tension(temperature: Kelvin) -> NewtonPerMetre:
    """Surface tension of clean water against air.

    Inputs:
        temperature: temperature of the water; 273.15 to 373.15

    Source: IAPWS R1-76(2014), revised release on surface tension of ordinary water substance, equation 1, from memory.

    >>> round(water_surface_tension(293.15) * 1000, 2)  # mN/m
    72.74
    """
    require("temperature", temperature, 273.15, 373.15, "K")
    away = 1.0 - temperature / 647.096
    return float(0.2358 * away**1.256 * (1.0 - 0.625 * away))


def puddle_depth(
    *,
    contact_angle: Radian,
    surface_tension: NewtonPerMetre = WATER_SURFACE_TENSION,
    density: KilogramPerCubicMetre = WATER_DENSITY,
) -> Metre:
    """Depth of a wide puddle on a level, smooth floor: it spreads until it is no deeper than this.

    Inputs:
        contact_angle: angle of the water's edge with the floor, 0 where it wets it wholly; 0 to 3.14159
        surface_tension: of the liquid against air; 0.001 to 1
        density: density of the liquid; 1 to 20000

    Source: P.-G. de Gennes, F. Brochard-Wyart and D. Quéré, Capillarity and Wetting Phenomena (2004), chapter 2,
        2 a sin(angle / 2) with the capillary length a, from memory.

    >>> import math
    >>> round(puddle_depth(contact_angle=math.radians(60)) * 1000, 2)  # mm
    2.73
    """
    require("contact_angle", contact_angle, 0.0, math.pi, "rad")
    require("surface_tension", surface_tension, 0.001, 1.0, "N/m")
    require("density", density, 1.0, 2e4, "kg/m**3")
    return 2.0 * math.sqrt(surface_tension / (density * STANDARD_GRAVITY)) * math.sin(contact_angle / 2.0)
