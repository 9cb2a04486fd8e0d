"""Water leaving a tank over an overflow: an upward lip, a sideways mouth, and when a falling pipe begins to
siphon."""

from __future__ import annotations

import math

from tankwright.physics.constants import STANDARD_GRAVITY
from tankwright.physics.numerics import integral, root
from tankwright.physics.ranges import OutsideValidRange, require
from tankwright.units import CubicMetrePerSecond, Dimensionless, Metre

EN_WEIR_COEFFICIENT = 0.4546
"""Design value: Q [l/s] = D h^1.5 / 7500 in mm. Source: EN 12056-3:2000, from memory."""

EN_ORIFICE_COEFFICIENT = 0.606
"""Design value: Q [l/s] = D^2 h^0.5 / 15000 in mm. Source: EN 12056-3:2000, from memory."""

SHARP_CREST_COEFFICIENT = 0.60
"""Clean sharp edge, weir or orifice. Source: textbook value; the same 0.60 stands behind the orifice tables
of N.J. Admin. Code 7:9A-9.7."""

SELF_VENTING_LIMIT = 0.3
"""V / sqrt(g D) below which a falling pipe breathes quietly. Source: P. D. Hills, Chemical Engineering,
5 September 1983."""


def lip_overflow(
    *,
    head: Metre,
    diameter: Metre,
    weir_coefficient: Dimensionless = EN_WEIR_COEFFICIENT,
    orifice_coefficient: Dimensionless = EN_ORIFICE_COEFFICIENT,
    open_share: Dimensionless = 1.0,
) -> CubicMetrePerSecond:
    """Flow over the upward-facing round lip of a standpipe or raised elbow that drains freely.

    The lesser of a weir around the rim and an orifice of the bore. Surface tension is not counted: below
    about 3 mm of head water may stand higher than this says.

    Inputs:
        head: height of the still water above the lip; 0 to 2
        diameter: inner diameter of the lip; 0.002 to 2
        weir_coefficient: discharge coefficient as a weir, 0.4546 for design, 0.60 for a clean sharp edge;
            0.2 to 0.8
        orifice_coefficient: discharge coefficient as an orifice; 0.2 to 1
        open_share: part of the rim or bore a strainer leaves open; 0.001 to 1

    Source: EN 12056-3:2000 outlet formulas (coefficients from memory) in the textbook weir and orifice form.

    >>> round(lip_overflow(head=0.010, diameter=0.025) * 60000, 2)  # L/min
    6.32
    """
    require("head", head, 0.0, 2.0, "m")
    weir, orifice = _lip_factors(diameter, weir_coefficient, orifice_coefficient, open_share)
    return min(weir * head * math.sqrt(head), orifice * math.sqrt(head))


def lip_head(
    *,
    flow: CubicMetrePerSecond,
    diameter: Metre,
    weir_coefficient: Dimensionless = EN_WEIR_COEFFICIENT,
    orifice_coefficient: Dimensionless = EN_ORIFICE_COEFFICIENT,
    open_share: Dimensionless = 1.0,
) -> Metre:
    """Height of water above an upward-facing round lip that a flow needs: the inverse of `lip_overflow`.

    Inputs:
        flow: volume flow over the lip; 0 to 10
        diameter: inner diameter of the lip; 0.002 to 2
        weir_coefficient: discharge coefficient as a weir, 0.4546 for design, 0.60 for a clean sharp edge;
            0.2 to 0.8
        orifice_coefficient: discharge coefficient as an orifice; 0.2 to 1
        open_share: part of the rim or bore a strainer leaves open; 0.001 to 1

    Source: EN 12056-3:2000 outlet formulas (coefficients from memory), solved for the head. A head above 2
    m is refused.

    >>> round(lip_head(flow=6.32 / 60000, diameter=0.025) * 1000, 1)  # mm
    10.0
    """
    require("flow", flow, 0.0, 10.0, "m**3/s")
    weir, orifice = _lip_factors(diameter, weir_coefficient, orifice_coefficient, open_share)
    head = max(math.pow(flow / weir, 2.0 / 3.0), (flow / orifice) ** 2)
    require("head", head, 0.0, 2.0, "m")
    return head


def sideways_overflow(
    *,
    head: Metre,
    diameter: Metre,
    coefficient: Dimensionless = SHARP_CREST_COEFFICIENT,
    open_share: Dimensionless = 1.0,
) -> CubicMetrePerSecond:
    """Flow into a round mouth that faces sideways, part or fully under water, and drains freely.

    The Torricelli velocity at each depth, summed over the wetted part of the circle; it passes without a
    step into the drowned orifice (within 1 % of the centre-head formula once the head is 1.5 diameters).

    Inputs:
        head: height of the still water above the lowest point of the mouth; 0 to 2
        diameter: inner diameter of the mouth; 0.002 to 2
        coefficient: discharge coefficient; 0.2 to 1
        open_share: part of the mouth a strainer leaves open; 0.001 to 1

    Source: circular sharp-crested weir integral, textbook form, coefficient 0.60.

    >>> round(sideways_overflow(head=0.010, diameter=0.025) * 60000, 2)  # L/min
    1.77
    """
    require("head", head, 0.0, 2.0, "m")
    _require_mouth(diameter, coefficient, open_share)
    return open_share * _sideways(head, diameter, coefficient)


def sideways_head(
    *,
    flow: CubicMetrePerSecond,
    diameter: Metre,
    coefficient: Dimensionless = SHARP_CREST_COEFFICIENT,
    open_share: Dimensionless = 1.0,
) -> Metre:
    """Height of water above the lowest point of a sideways mouth that a flow needs: inverse of
    `sideways_overflow`.

    Inputs:
        flow: volume flow into the mouth; 0 to 10
        diameter: inner diameter of the mouth; 0.002 to 2
        coefficient: discharge coefficient; 0.2 to 1
        open_share: part of the mouth a strainer leaves open; 0.001 to 1

    Source: circular sharp-crested weir integral, textbook form, solved for the head. A head above 2 m is
    refused.

    >>> round(sideways_head(flow=1.77 / 60000, diameter=0.025) * 1000, 1)  # mm
    10.0
    """
    require("flow", flow, 0.0, 10.0, "m**3/s")
    _require_mouth(diameter, coefficient, open_share)
    if flow == 0.0:
        return 0.0
    wanted = flow / open_share
    most = _sideways(2.0, diameter, coefficient)
    if wanted > most:
        raise OutsideValidRange("flow", flow, 0.0, most * open_share, "m**3/s")
    return root(lambda head: _sideways(head, diameter, coefficient) - wanted, 0.0, 2.0)


def self_venting_flow(
    diameter: Metre, *, froude_limit: Dimensionless = SELF_VENTING_LIMIT
) -> CubicMetrePerSecond:
    """Largest flow a falling pipe takes while air can still rise past the water, so that it runs without
    gulping.

    Inputs:
        diameter: inner diameter of the falling pipe; 0.002 to 2
        froude_limit: largest V over the root of g D, 0.3 for quiet, 1.0 where it runs full and siphons;
            0.01 to 3

    Source: P. D. Hills, Chemical Engineering, 5 September 1983.

    >>> round(self_venting_flow(0.025) * 60000, 2)  # L/min
    4.37
    """
    require("diameter", diameter, 0.002, 2.0, "m")
    require("froude_limit", froude_limit, 0.01, 3.0, "1")
    return froude_limit * math.sqrt(STANDARD_GRAVITY * diameter) * math.pi / 4.0 * diameter**2


def outlet_froude_number(*, flow: CubicMetrePerSecond, diameter: Metre) -> Dimensionless:
    """How near a falling pipe is to siphoning: below 0.3 quiet, 0.3 to 1 drawing air in gulps, above 1
    running full.

    Velocity as if the pipe ran full over the root of g D; not its square, which some pages print.

    Inputs:
        flow: volume flow; 0 to 10
        diameter: inner diameter of the falling pipe; 0.002 to 2

    Source: P. D. Hills, Chemical Engineering, 5 September 1983.

    >>> round(outlet_froude_number(flow=36.0 / 3600, diameter=0.180), 3)
    0.296
    """
    require("flow", flow, 0.0, 10.0, "m**3/s")
    require("diameter", diameter, 0.002, 2.0, "m")
    return flow / (math.pi / 4.0 * diameter**2) / math.sqrt(STANDARD_GRAVITY * diameter)


def _lip_factors(
    diameter: float, weir_coefficient: float, orifice_coefficient: float, open_share: float
) -> tuple[float, float]:
    require("diameter", diameter, 0.002, 2.0, "m")
    require("weir_coefficient", weir_coefficient, 0.2, 0.8, "1")
    require("orifice_coefficient", orifice_coefficient, 0.2, 1.0, "1")
    require("open_share", open_share, 0.001, 1.0, "1")
    fall = math.sqrt(2.0 * STANDARD_GRAVITY) * open_share
    weir = 2.0 / 3.0 * weir_coefficient * fall * math.pi * diameter
    orifice = orifice_coefficient * math.pi / 4.0 * diameter**2 * fall
    return weir, orifice


def _require_mouth(diameter: float, coefficient: float, open_share: float) -> None:
    require("diameter", diameter, 0.002, 2.0, "m")
    require("coefficient", coefficient, 0.2, 1.0, "1")
    require("open_share", open_share, 0.001, 1.0, "1")


def _sideways(head: float, diameter: float, coefficient: float) -> float:
    # The integral of 2 sqrt(y (D - y)) sqrt(h - y) over the wetted height is the same in h and D. With
    # y = lesser * sin^2 the square roots at both ends vanish and the quadrature converges fast.
    lesser, greater = min(head, diameter), max(head, diameter)

    def strip(angle: float) -> float:
        return math.sin(2.0 * angle) ** 2 * math.sqrt(greater - lesser * math.sin(angle) ** 2)

    area_and_root = lesser**2 * integral(strip, 0.0, math.pi / 2.0)
    return coefficient * math.sqrt(2.0 * STANDARD_GRAVITY) * area_and_root
