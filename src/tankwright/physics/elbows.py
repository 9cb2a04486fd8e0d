"""The elbow of an overflow: turning it sets the water level."""

from __future__ import annotations

import math

from tankwright.physics.ranges import require
from tankwright.units import Metre, Radian


def elbow_level(*, hole_height: Metre, reach: Metre, bore: Metre, angle: Radian) -> Metre:
    """Height of still water behind an elbow that is turned `angle` from straight up.

    The mouth is a disc; water leaves at its lowest point. Turned past sideways, the mouth hangs below the way
    through the wall of the tank, whose own lower edge then sets the level.

    Inputs:
        hole_height: centre of the hole; the result is measured from the same zero; -10 to 10
        reach: from the hole's centre to the middle of the mouth; 0 to 1
        bore: inner diameter of the mouth; 0.001 to 0.2
        angle: how far it is turned, 0 straight up, pi/2 sideways; 0 to 3.141592653589793

    Source: geometry of a tilted disc.

    >>> round(elbow_level(hole_height=0.3, reach=0.034, bore=0.016, angle=0.0), 4)
    0.334
    >>> round(elbow_level(hole_height=0.3, reach=0.034, bore=0.016, angle=math.pi / 2), 4)
    0.292
    """
    _require_elbow(hole_height, reach, bore)
    require("angle", angle, 0.0, math.pi, "rad")
    turned = min(angle, math.pi / 2.0)
    return hole_height + reach * math.cos(turned) - bore / 2.0 * math.sin(turned)


def elbow_angle(*, hole_height: Metre, reach: Metre, bore: Metre, level: Metre) -> Radian:
    """How far an elbow must be turned from straight up for still water to stand at `level`.

    Inputs:
        hole_height: centre of the hole; -10 to 10
        reach: from the hole's centre to the middle of the mouth; 0 to 1
        bore: inner diameter of the mouth; 0.001 to 0.2
        level: height of the still water, between the mouth's lowest and highest; -11 to 11

    Source: inverse of the geometry of a tilted disc: R cos(angle + phi), R = sqrt(reach² + (bore/2)²).

    >>> round(math.degrees(elbow_angle(hole_height=0.3, reach=0.034, bore=0.016, level=0.328)), 1)
    23.5
    """
    _require_elbow(hole_height, reach, bore)
    require("level", level, -11.0, 11.0, "m")
    radius = bore / 2.0
    slack = 1e-12  # the two ends themselves, after rounding of the sum
    require("level", level, hole_height - radius - slack, hole_height + reach + slack, "m")
    span = math.hypot(reach, radius)
    share = min(max((level - hole_height) / span, -1.0), 1.0)
    return min(max(math.acos(share) - math.atan2(radius, reach), 0.0), math.pi / 2.0)


def _require_elbow(hole_height: Metre, reach: Metre, bore: Metre) -> None:
    require("hole_height", hole_height, -10.0, 10.0, "m")
    require("reach", reach, 0.0, 1.0, "m")
    require("bore", bore, 0.001, 0.2, "m")
