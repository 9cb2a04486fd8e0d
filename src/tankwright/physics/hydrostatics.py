"""Water standing, and water running back: pressure at a depth, an airline that siphons, a tank that
empties."""

from __future__ import annotations

import math

from tankwright.physics.constants import STANDARD_GRAVITY, WATER_DENSITY, WATER_KINEMATIC_VISCOSITY
from tankwright.physics.numerics import integral
from tankwright.physics.pipes import hose_drain_flow
from tankwright.physics.ranges import require
from tankwright.units import (
    CubicMetrePerSecond,
    Dimensionless,
    KilogramPerCubicMetre,
    Metre,
    Pascal,
    Second,
    SquareMetre,
    SquareMetrePerSecond,
)

SMALL_TUBE_MINOR_LOSS = 5.0
"""Losses of a small tube's ends without the exit. Source: fitted to measured flow in a 2 m tube of 1/8 in,
with the bore fitted too (teaching data of Cornell University, AguaClara); take the result as good to 20
%."""


def water_pressure(depth: Metre, *, density: KilogramPerCubicMetre = WATER_DENSITY) -> Pascal:
    """Pressure over the atmosphere at a depth of still water: what air must overcome to leave a diffuser
    there.

    Inputs:
        depth: depth below the water surface; 0 to 100
        density: density of the water; 500 to 2000

    Source: hydrostatics, density times gravity times depth.

    >>> round(water_pressure(0.30))
    2937
    """
    require("depth", depth, 0.0, 100.0, "m")
    require("density", density, 500.0, 2000.0, "kg/m**3")
    return density * STANDARD_GRAVITY * depth


def siphon_back_flow(
    *,
    head: Metre,
    inner_diameter: Metre,
    length: Metre,
    minor_loss: Dimensionless = SMALL_TUBE_MINOR_LOSS,
    kinematic_viscosity: SquareMetrePerSecond = WATER_KINEMATIC_VISCOSITY,
) -> CubicMetrePerSecond:
    """Flow of water running back through an open, primed airline when the air stops.

    An upper bound: an air stone, a tap or a check valve slows or stops it.

    Inputs:
        head: height of the tank's water above the far end of the tube; 0 to 20
        inner_diameter: bore of the tube; 5e-4 to 0.05
        length: length of the tube; 0 to 1000
        minor_loss: sum of the loss coefficients of its ends and fittings, without the exit; 0 to 1e4
        kinematic_viscosity: viscosity over density; 1e-8 to 1e-2

    Source: `hose_drain_flow` for a smooth tube; it follows the laminar law in small tubes.

    >>> round(siphon_back_flow(head=0.5, inner_diameter=0.004, length=2.0) * 60000, 2)  # L/min
    0.51
    """
    require("head", head, 0.0, 20.0, "m")
    require("inner_diameter", inner_diameter, 5e-4, 0.05, "m")
    require("length", length, 0.0, 1000.0, "m")
    require("minor_loss", minor_loss, 0.0, 1e4, "1")
    return hose_drain_flow(
        head=head,
        inner_diameter=inner_diameter,
        length=length,
        minor_loss=minor_loss,
        kinematic_viscosity=kinematic_viscosity,
    )


def time_to_drain(
    *,
    surface_area: SquareMetre,
    upper_head: Metre,
    lower_head: Metre,
    inner_diameter: Metre,
    length: Metre,
    minor_loss: Dimensionless = 2.8,
    kinematic_viscosity: SquareMetrePerSecond = WATER_KINEMATIC_VISCOSITY,
) -> Second:
    """Time for a straight-sided tank to run down through a full hose, from one water level to another.

    Heads are counted from the free end of the hose. The lower head cannot be nothing: the last film takes
    for ever.

    Inputs:
        surface_area: area of the water surface; 1e-4 to 1e4
        upper_head: height of the water at the start above the free end of the hose; 0.001 to 20
        lower_head: height of the water at the end above the free end of the hose; 0.001 to 20
        inner_diameter: bore of the hose; 5e-4 to 1
        length: length of the hose; 0 to 1000
        minor_loss: sum of the loss coefficients of fittings, without the exit, in velocity heads; 0 to 1e4
        kinematic_viscosity: viscosity over density; 1e-8 to 1e-2

    Source: area over `hose_drain_flow`, summed over the fall of the level.

    >>> hose = {"inner_diameter": 0.013, "length": 1.5}
    >>> seconds = time_to_drain(surface_area=0.18, upper_head=0.9, lower_head=0.7, **hose)
    >>> round(seconds / 60, 1)  # 36 L, minutes
    3.0
    """
    require("surface_area", surface_area, 1e-4, 1e4, "m**2")
    require("upper_head", upper_head, 0.001, 20.0, "m")
    require("lower_head", lower_head, 0.001, 20.0, "m")
    require("lower_head", lower_head, 0.001, upper_head, "m")

    def seconds_per_log(log_head: float) -> float:
        head = math.exp(log_head)
        flow = hose_drain_flow(
            head=min(head, 20.0),
            inner_diameter=inner_diameter,
            length=length,
            minor_loss=minor_loss,
            kinematic_viscosity=kinematic_viscosity,
        )
        return surface_area * head / flow

    return integral(seconds_per_log, math.log(lower_head), math.log(upper_head))
