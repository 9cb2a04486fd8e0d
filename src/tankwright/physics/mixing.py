"""Fresh water dripped into a full tank that overflows: how much of the old is truly replaced, and when it
spills."""

from __future__ import annotations

import math

from tankwright.physics.ranges import require
from tankwright.units import CubicMetre, CubicMetrePerSecond, Dimensionless, Second


def water_replaced(*, inflow_volume: CubicMetre, tank_volume: CubicMetre) -> Dimensionless:
    """Share of the old water that has left a well mixed, overflowing tank once a volume has run in.

    Inputs:
        inflow_volume: volume of new water run in; 0 to 1e6
        tank_volume: volume of water in the tank; 1e-6 to 1e6

    Source: mass balance of a stirred tank, 1 - exp(-inflow / volume), textbook form.

    >>> round(water_replaced(inflow_volume=0.1, tank_volume=0.1), 3)  # a whole tank of new water
    0.632
    """
    require("inflow_volume", inflow_volume, 0.0, 1e6, "m**3")
    require("tank_volume", tank_volume, 1e-6, 1e6, "m**3")
    return -math.expm1(-inflow_volume / tank_volume)


def inflow_for_replacement(*, replaced_share: Dimensionless, tank_volume: CubicMetre) -> CubicMetre:
    """Volume to run into a well mixed, overflowing tank to replace a share of its water.

    Inputs:
        replaced_share: share of the old water to replace; 0 to 0.999999
        tank_volume: volume of water in the tank; 1e-6 to 1e6

    Source: mass balance of a stirred tank, textbook form, solved for the inflow.

    >>> round(inflow_for_replacement(replaced_share=0.5, tank_volume=0.1), 4)
    0.0693
    """
    require("replaced_share", replaced_share, 0.0, 0.999999, "1")
    require("tank_volume", tank_volume, 1e-6, 1e6, "m**3")
    return -tank_volume * math.log1p(-replaced_share)


def time_to_spill(*, freeboard_volume: CubicMetre, inflow: CubicMetrePerSecond) -> Second:
    """Time until a tank whose overflow is blocked runs over its rim.

    Inputs:
        freeboard_volume: room between the water and the lowest point of the rim; 0 to 1e6
        inflow: volume flow into the tank; 1e-12 to 10

    Source: volume over flow.

    >>> round(time_to_spill(freeboard_volume=5.4e-3, inflow=4 / 3.6e6) / 60)  # 3 cm at 4 L/h, minutes
    81
    """
    require("freeboard_volume", freeboard_volume, 0.0, 1e6, "m**3")
    require("inflow", inflow, 1e-12, 10.0, "m**3/s")
    return freeboard_volume / inflow
