"""Water running into the round mouth of an elbow that is turned anywhere between straight up and sideways."""

from __future__ import annotations

import math

from tankwright.physics.numerics import root
from tankwright.physics.ranges import OutsideValidRange, require
from tankwright.physics.weirs import lip_overflow, sideways_overflow
from tankwright.units import CubicMetrePerSecond, Dimensionless, Metre, Radian

HIGHEST_HEAD = 2.0
"""m, as far as the lip and sideways formulas are stated."""


def tilted_overflow(
    *, head: Metre, diameter: Metre, angle: Radian, open_share: Dimensionless = 1.0
) -> CubicMetrePerSecond:
    """Flow into a round mouth turned by an angle from straight up, draining freely.

    The lesser of two: the lip as if it faced straight up, and the Torricelli velocity at each depth summed
    over the wetted part of the tilted circle. The latter equals the sideways mouth at head / sin(angle),
    times the root of sin(angle). At 90 degrees it is `sideways_overflow`, at 0 `lip_overflow`; between them
    it is our own blend, without a published test.

    Inputs:
        head: height of the still water above the lowest point of the mouth; 0 to 2
        diameter: inner diameter of the mouth; 0.002 to 2
        angle: turn from straight up, 0 up, pi/2 sideways; 0 to 1.5707963267948966
        open_share: part of the mouth a strainer leaves open; 0.001 to 1

    Source: circular sharp-crested weir integral, textbook form, coefficient 0.60, over a tilted circle;
    EN 12056-3:2000 for the lip, from memory.

    >>> round(tilted_overflow(head=0.010, diameter=0.025, angle=math.pi / 4) * 60000, 2)  # L/min
    2.81
    """
    require("head", head, 0.0, HIGHEST_HEAD, "m")
    require("angle", angle, 0.0, math.pi / 2, "rad")
    upward = lip_overflow(head=head, diameter=diameter, open_share=open_share)
    rise = math.sin(angle)
    if head >= HIGHEST_HEAD * rise:  # so nearly upright that the tilt no longer shows
        return upward
    reach = min(head / rise, HIGHEST_HEAD)
    through = math.sqrt(rise) * sideways_overflow(head=reach, diameter=diameter, open_share=open_share)
    return through if angle >= math.pi / 2 else min(upward, through)


def tilted_head(
    *, flow: CubicMetrePerSecond, diameter: Metre, angle: Radian, open_share: Dimensionless = 1.0
) -> Metre:
    """Height of water above the lowest point of a tilted mouth that a flow needs: inverse of
    `tilted_overflow`.

    Inputs:
        flow: volume flow into the mouth; 0 to 10
        diameter: inner diameter of the mouth; 0.002 to 2
        angle: turn from straight up, 0 up, pi/2 sideways; 0 to 1.5707963267948966
        open_share: part of the mouth a strainer leaves open; 0.001 to 1

    Source: `tilted_overflow` solved for the head. A head above 2 m is refused.

    >>> round(tilted_head(flow=2.81 / 60000, diameter=0.025, angle=math.pi / 4) * 1000, 1)  # mm
    10.0
    """
    require("flow", flow, 0.0, 10.0, "m**3/s")

    def excess(head: float) -> float:
        return tilted_overflow(head=head, diameter=diameter, angle=angle, open_share=open_share) - flow

    short = excess(HIGHEST_HEAD)
    if flow == 0.0:
        return 0.0
    if short < 0.0:
        raise OutsideValidRange("flow", flow, 0.0, flow + short, "m**3/s")
    high = 0.01
    while high < HIGHEST_HEAD and excess(high) < 0.0:
        high = min(2.0 * high, HIGHEST_HEAD)
    return root(excess, 0.0, high)
