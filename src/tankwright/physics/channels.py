"""A sloped round pipe running part full under an open water surface: capacity, depth, speed, critical
depth."""

from __future__ import annotations

import math

from tankwright.physics.constants import STANDARD_GRAVITY, WATER_KINEMATIC_VISCOSITY
from tankwright.physics.numerics import root
from tankwright.physics.ranges import OutsideValidRange, require
from tankwright.units import (
    CubicMetrePerSecond,
    Dimensionless,
    Metre,
    MetrePerSecond,
    SquareMetre,
    SquareMetrePerSecond,
)

PLASTIC_MANNING_N = 0.009
"""Clean plastic pipe. Source: V. T. Chow (1959), Open-Channel Hydraulics, table 5-6, from memory; 0.011 for
design."""

FULLEST_DEPTH_SHARE = 0.9381813
"""Depth over bore at which a part-full round pipe carries most, with a constant n: where A R^(2/3) peaks."""

STANDARD_ROUGHNESS = 1.0e-3
"""m, operational roughness of EN 12056-2 capacities. Source: EN 12056-2:2000, annex B, from memory."""


def part_full_area(*, inner_diameter: Metre, depth_share: Dimensionless) -> SquareMetre:
    """Area of the water in a round pipe running part full.

    Inputs:
        inner_diameter: bore of the pipe; 0.005 to 5
        depth_share: depth of the water over the bore; 0 to 1

    Source: geometry of the circle; V. T. Chow (1959), Open-Channel Hydraulics, appendix A.

    >>> round(part_full_area(inner_diameter=1.0, depth_share=0.5), 4)
    0.3927
    """
    _require_section(inner_diameter, depth_share)
    return _area(_half_angle(depth_share)) * inner_diameter**2


def part_full_radius(*, inner_diameter: Metre, depth_share: Dimensionless) -> Metre:
    """Hydraulic radius of a round pipe running part full: area of the water over the wetted wall.

    Inputs:
        inner_diameter: bore of the pipe; 0.005 to 5
        depth_share: depth of the water over the bore; 0 to 1

    Source: geometry of the circle; V. T. Chow (1959), Open-Channel Hydraulics, appendix A.

    >>> round(part_full_radius(inner_diameter=1.0, depth_share=0.8), 4)
    0.3042
    """
    _require_section(inner_diameter, depth_share)
    return _radius(_half_angle(depth_share)) * inner_diameter


def part_full_width(*, inner_diameter: Metre, depth_share: Dimensionless) -> Metre:
    """Width of the open water surface in a round pipe running part full.

    Inputs:
        inner_diameter: bore of the pipe; 0.005 to 5
        depth_share: depth of the water over the bore; 0 to 1

    Source: geometry of the circle; V. T. Chow (1959), Open-Channel Hydraulics, appendix A.

    >>> round(part_full_width(inner_diameter=1.0, depth_share=0.1), 3)
    0.6
    """
    _require_section(inner_diameter, depth_share)
    return 2.0 * math.sqrt(max(depth_share * (1.0 - depth_share), 0.0)) * inner_diameter


def open_channel_velocity(
    *,
    inner_diameter: Metre,
    slope: Dimensionless,
    depth_share: Dimensionless,
    manning_n: Dimensionless = PLASTIC_MANNING_N,
) -> MetrePerSecond:
    """Mean speed of even flow in a sloped round pipe running part full, by Manning's formula.

    Inputs:
        inner_diameter: bore of the pipe; 0.005 to 5
        slope: fall over length; 0 to 0.5
        depth_share: depth of the water over the bore; 0 to 1
        manning_n: Manning's roughness, 0.009 clean plastic, 0.011 for design; 0.005 to 0.1

    Source: R. Manning's formula as in V. T. Chow (1959), Open-Channel Hydraulics.

    >>> round(open_channel_velocity(inner_diameter=0.036, slope=0.01, depth_share=0.5), 2)
    0.48
    """
    _require_section(inner_diameter, depth_share)
    _require_manning(slope, manning_n)
    return _radius_power(inner_diameter, depth_share) * math.sqrt(slope) / manning_n


def part_full_flow(
    *,
    inner_diameter: Metre,
    slope: Dimensionless,
    depth_share: Dimensionless,
    manning_n: Dimensionless = PLASTIC_MANNING_N,
) -> CubicMetrePerSecond:
    """Even flow in a sloped round pipe running part full, by Manning's formula.

    Inputs:
        inner_diameter: bore of the pipe; 0.005 to 5
        slope: fall over length; 0 to 0.5
        depth_share: depth of the water over the bore; 0 to 1
        manning_n: Manning's roughness, 0.009 clean plastic, 0.011 for design; 0.005 to 0.1

    Source: R. Manning's formula as in V. T. Chow (1959), Open-Channel Hydraulics.

    >>> round(part_full_flow(inner_diameter=0.0525, slope=0.01, depth_share=0.5) * 60000, 1)  # L/min
    40.2
    """
    _require_section(inner_diameter, depth_share)
    _require_manning(slope, manning_n)
    return _manning_flow(inner_diameter, depth_share) * math.sqrt(slope) / manning_n


def full_bore_flow(
    *, inner_diameter: Metre, slope: Dimensionless, manning_n: Dimensionless = PLASTIC_MANNING_N
) -> CubicMetrePerSecond:
    """Flow of a sloped round pipe that just runs full without pressure, by Manning's formula.

    Inputs:
        inner_diameter: bore of the pipe; 0.005 to 5
        slope: fall over length; 0 to 0.5
        manning_n: Manning's roughness, 0.009 clean plastic, 0.011 for design; 0.005 to 0.1

    Source: R. Manning's formula as in V. T. Chow (1959), Open-Channel Hydraulics.

    >>> round(full_bore_flow(inner_diameter=0.0525, slope=0.01) * 60000, 1)  # L/min
    80.3
    """
    return part_full_flow(inner_diameter=inner_diameter, slope=slope, depth_share=1.0, manning_n=manning_n)


def part_full_flow_colebrook(
    *,
    inner_diameter: Metre,
    slope: Dimensionless,
    depth_share: Dimensionless,
    roughness: Metre = STANDARD_ROUGHNESS,
    kinematic_viscosity: SquareMetrePerSecond = WATER_KINEMATIC_VISCOSITY,
) -> CubicMetrePerSecond:
    """Even turbulent flow in a sloped round pipe running part full, by Colebrook and White on the hydraulic
    diameter.

    Inputs:
        inner_diameter: bore of the pipe; 0.005 to 5
        slope: fall over length; 0 to 0.5
        depth_share: depth of the water over the bore; 0 to 1
        roughness: height of the wall roughness, 1 mm for EN 12056-2, 0.06 mm for clean plastic; 1e-7 to 0.01
        kinematic_viscosity: viscosity over density; 1e-8 to 1e-2

    Source: C. F. Colebrook (1939) with four hydraulic radii as the diameter, the form EN 12056-2 rests on.

    >>> dn100 = {"inner_diameter": 0.096, "kinematic_viscosity": 1.31e-6}
    >>> round(part_full_flow_colebrook(slope=0.01, depth_share=0.5, **dn100) * 1000, 1)  # L/s
    2.5
    """
    _require_section(inner_diameter, depth_share)
    require("slope", slope, 0.0, 0.5, "1")
    require("roughness", roughness, 1e-7, 0.01, "m")
    require("kinematic_viscosity", kinematic_viscosity, 1e-8, 1e-2, "m**2/s")
    if slope == 0.0 or depth_share == 0.0:
        return 0.0
    half = _half_angle(depth_share)
    hydraulic = 4.0 * _radius(half) * inner_diameter
    require("roughness", roughness, 0.0, hydraulic, "m")
    driven = math.sqrt(2.0 * STANDARD_GRAVITY * hydraulic * slope)
    inside = roughness / (3.7 * hydraulic) + 2.51 * kinematic_viscosity / (hydraulic * driven)
    velocity = -2.0 * driven * math.log10(inside)
    require("reynolds", velocity * hydraulic / kinematic_viscosity, 2300.0, 1e9, "1")
    return velocity * _area(half) * inner_diameter**2


def part_full_depth(
    *,
    flow: CubicMetrePerSecond,
    inner_diameter: Metre,
    slope: Dimensionless,
    manning_n: Dimensionless = PLASTIC_MANNING_N,
) -> Metre:
    """Depth of even flow in a sloped round pipe: the inverse of `part_full_flow`.

    The lower of the two depths, up to 0.938 of the bore where the pipe carries most. A flow beyond that
    capacity cannot run under an open surface and is refused: the pipe would surcharge.

    Inputs:
        flow: volume flow; 0 to 100
        inner_diameter: bore of the pipe; 0.005 to 5
        slope: fall over length; 1e-6 to 0.5
        manning_n: Manning's roughness, 0.009 clean plastic, 0.011 for design; 0.005 to 0.1

    Source: R. Manning's formula as in V. T. Chow (1959), Open-Channel Hydraulics, solved for the depth.

    >>> round(part_full_depth(flow=0.4e-3, inner_diameter=0.040, slope=0.01) * 1000, 2)  # mm
    22.73
    """
    require("flow", flow, 0.0, 100.0, "m**3/s")
    require("inner_diameter", inner_diameter, 0.005, 5.0, "m")
    require("slope", slope, 1e-6, 0.5, "1")
    require("manning_n", manning_n, 0.005, 0.1, "1")
    if flow == 0.0:
        return 0.0
    wanted = flow * manning_n / math.sqrt(slope)
    most = _manning_flow(inner_diameter, FULLEST_DEPTH_SHARE)
    if wanted > most:
        raise OutsideValidRange("flow", flow, 0.0, flow * most / wanted, "m**3/s")
    share = root(lambda y: _manning_flow(inner_diameter, y) - wanted, 0.0, FULLEST_DEPTH_SHARE)
    return share * inner_diameter


def critical_depth(*, flow: CubicMetrePerSecond, inner_diameter: Metre) -> Metre:
    """Depth at which a flow in a round pipe has the least energy, as where it drops freely from the end.

    Where Q^2 T = g A^3. Refused when the flow has no critical depth below 99.9 % of the bore.

    Inputs:
        flow: volume flow; 0 to 100
        inner_diameter: bore of the pipe; 0.005 to 5

    Source: V. T. Chow (1959), Open-Channel Hydraulics, chapter 4.

    >>> round(critical_depth(flow=1e-3, inner_diameter=0.050) * 1000, 1)  # mm
    38.5
    """
    require("flow", flow, 0.0, 100.0, "m**3/s")
    require("inner_diameter", inner_diameter, 0.005, 5.0, "m")
    if flow == 0.0:
        return 0.0
    wanted = flow / math.sqrt(STANDARD_GRAVITY * inner_diameter**5)
    most = _critical_flow(0.999)
    if wanted > most:
        raise OutsideValidRange("flow", flow, 0.0, flow * most / wanted, "m**3/s")
    return root(lambda share: _critical_flow(share) - wanted, 0.0, 0.999) * inner_diameter


def _require_section(inner_diameter: float, depth_share: float) -> None:
    require("inner_diameter", inner_diameter, 0.005, 5.0, "m")
    require("depth_share", depth_share, 0.0, 1.0, "1")


def _require_manning(slope: float, manning_n: float) -> None:
    require("slope", slope, 0.0, 0.5, "1")
    require("manning_n", manning_n, 0.005, 0.1, "1")


def _half_angle(depth_share: float) -> float:
    """Half the angle the wetted wall spans at the centre, 0 to pi."""
    return 2.0 * math.asin(math.sqrt(min(depth_share, 1.0)))


def _area(half_angle: float) -> float:
    """Area of the water over the square of the bore; a series where the difference would cancel."""
    if half_angle < 0.02:
        cube = half_angle**3
        return cube / 6.0 * (1.0 - half_angle**2 / 5.0)
    return (half_angle - math.sin(half_angle) * math.cos(half_angle)) / 4.0


def _radius(half_angle: float) -> float:
    return _area(half_angle) / half_angle if half_angle > 0.0 else 0.0


def _radius_power(inner_diameter: float, depth_share: float) -> float:
    return math.pow(_radius(_half_angle(depth_share)) * inner_diameter, 2.0 / 3.0)


def _manning_flow(inner_diameter: float, depth_share: float) -> float:
    area = _area(_half_angle(depth_share)) * inner_diameter**2
    return area * _radius_power(inner_diameter, depth_share)


def _critical_flow(depth_share: float) -> float:
    """Flow over the root of g D^5 for which a depth is critical."""
    if depth_share <= 0.0:
        return 0.0
    width = 2.0 * math.sqrt(depth_share * (1.0 - depth_share))
    return math.sqrt(_area(_half_angle(depth_share)) ** 3 / width)
