"""Heat through a cellar wall that stands in the ground."""

from __future__ import annotations

import math

from tankwright.physics.ranges import require
from tankwright.units import Metre, SquareMetreKelvinPerWatt, WattPerMetreKelvin, WattPerSquareMetreKelvin

INNER_AND_OUTER: float = 0.17
"""m2 K/W, 0.13 inside and 0.04 outside. Source: EN ISO 6946, from memory."""


def basement_wall_transmittance(
    *,
    depth: Metre,
    wall_resistance: SquareMetreKelvinPerWatt,
    floor_thickness: Metre,
    ground_conductivity: WattPerMetreKelvin = 1.5,
) -> WattPerSquareMetreKelvin:
    """Heat through a wall in the ground per square metre and kelvin to the yearly mean outdoors.

    Inputs:
        depth: of the floor below the ground; 0.1 to 10
        wall_resistance: sum of the resistances of the wall's layers; 0 to 100
        floor_thickness: metres of ground that hold back as much as wall edge and floor do; 0.01 to 50
        ground_conductivity: heat conductivity of the ground; 0.5 to 5

    Source: EN ISO 13370, heated basement, from memory.

    >>> round(basement_wall_transmittance(depth=2.0, wall_resistance=0.15, floor_thickness=0.6), 2)
    0.86
    """
    require("depth", depth, 0.1, 10.0, "m")
    require("wall_resistance", wall_resistance, 0.0, 100.0, "m**2*K/W")
    require("floor_thickness", floor_thickness, 0.01, 50.0, "m")
    require("ground_conductivity", ground_conductivity, 0.5, 5.0, "W/(m*K)")
    wall = ground_conductivity * (INNER_AND_OUTER + wall_resistance)
    beside_floor = min(
        wall, floor_thickness
    )  # where the wall holds more back than the floor, the floor counts
    slope = 1.0 + 0.5 * beside_floor / (beside_floor + depth)
    return 2.0 * ground_conductivity / (math.pi * depth) * slope * math.log(depth / wall + 1.0)
