"""What stress timber may bear for good, by three codes: EN 1995-1-1, AS 1720.1 and the American NDS.

Water stands for years, so its weight is permanent in all three. A working stress here is what the weight as it is may
cause: the codes' factors on loads are already taken off, so the three can be set beside each other.
"""

from __future__ import annotations

import math
from types import MappingProxyType
from typing import Final

from tankwright.physics.ranges import require
from tankwright.units import Dimensionless, Metre, Pascal

CAUTION = (
    "Screening only. Knots, notches, joints, rot and hidden damage are not in it: a rack that carries tanks is for "
    "someone licensed to judge under local code."
)

PERMANENT_LOAD_FACTOR: Final = 1.35
"""On permanent weight alone. Source: EN 1990 6.4.3.2; AS/NZS 1170.0 4.2.2, from memory."""
MATERIAL_FACTOR_EN: Final = 1.3
"""Solid timber. Source: EN 1995-1-1 table 2.3."""
PERMANENT_DURATION_EN: Final = 0.6
"""Of solid timber in service classes 1 and 2; 0.5 in 3. Source: EN 1995-1-1 table 3.1."""
CRACK_FACTOR_EN: Final = 0.67
"""Share of a timber section's width that cracks leave for shear. Source: EN 1995-1-1 6.1.7, amendment A1."""
PERMANENT_DURATION_AS: Final = 0.57
"""Load of 50 years. Source: AS 1720.1 table 2.3, as used in HB 108-2013."""
PERMANENT_DURATION_NDS: Final = 0.9
"""Permanent load. Source: NDS table 2.3.2, from memory."""
LEAST_LOAD_RATIO_AS: Final = 0.25
"""Share of passing load from which AS 1720.1's material constants are told; less counts as this."""
WET_FACTORS_NDS: Final = MappingProxyType(
    {"bending": 0.85, "shear": 0.97, "compression_across": 0.67, "compression": 0.8, "stiffness": 0.9}
)
"""Of timber wetter than 19 % in use. Source: NDS Supplement, factors of table 4A, from memory."""


def size_factor_en(*, depth: Metre) -> Dimensionless:
    """How much stronger in bending a shallow piece of solid timber is than one of 150 mm, by EN 1995-1-1.

    Inputs:
        depth: in the direction it bends; 0.005 to 2

    Source: EN 1995-1-1 3.2, (150 mm / h)^0.2, at most 1.3, for up to 700 kg/m3.

    >>> round(size_factor_en(depth=0.095), 3), size_factor_en(depth=0.2)
    (1.096, 1.0)
    """
    require("depth", depth, 0.005, 2.0, "m")
    return min(max(math.pow(0.15 / depth, 0.2), 1.0), 1.3)


def working_stress_en(
    *,
    strength: Pascal,
    duration_factor: Dimensionless = PERMANENT_DURATION_EN,
    material_factor: Dimensionless = MATERIAL_FACTOR_EN,
    other_factors: Dimensionless = 1.0,
    load_factor: Dimensionless = PERMANENT_LOAD_FACTOR,
) -> Pascal:
    """Stress the weight as it is may cause for good, by EN 1995-1-1.

    Inputs:
        strength: characteristic (5 %) strength of the grade; 0 to 1e9
        duration_factor: kmod, 0.6 for permanent load on solid timber, 0.5 where it is wet; 0.1 to 1.1
        material_factor: 1.3 for solid timber, 1.2 for plywood and OSB; 1 to 2
        other_factors: size, cracks, tilting: the product of what else applies; 0.01 to 3
        load_factor: on the load, 1.35 for permanent weight, 1 to get the code's own design strength; 1 to 2

    Source: EN 1995-1-1 2.4.1, kmod k f / gammaM, over the load factor of EN 1990.

    >>> round(working_stress_en(strength=24e6, load_factor=1.0) / 1e6, 2)  # C24 in bending, design
    11.08
    """
    require("strength", strength, 0.0, 1e9, "Pa")
    require("duration_factor", duration_factor, 0.1, 1.1, "1")
    require("material_factor", material_factor, 1.0, 2.0, "1")
    require("other_factors", other_factors, 0.01, 3.0, "1")
    require("load_factor", load_factor, 1.0, 2.0, "1")
    return duration_factor * other_factors * strength / (material_factor * load_factor)


def tilting_factor_en(
    *, breadth: Metre, depth: Metre, free_length: Metre, strength: Pascal, stiffness_low: Pascal
) -> Dimensionless:
    """Share of its bending strength a tall thin bearer keeps before it tilts over sideways, by EN 1995-1-1.

    Loaded along its top edge, evenly; nothing holds that edge between the ends of the free length.

    Inputs:
        breadth: of the bearer, its thin side; 0.005 to 1
        depth: of it, in the direction it bends; 0.005 to 2
        free_length: between places where its top edge is held sideways; 0 to 20
        strength: characteristic bending strength; 1e6 to 1e8
        stiffness_low: 5 % modulus of elasticity along the grain; 1e9 to 3e10

    Source: EN 1995-1-1 6.3.3, critical stress 0.78 b^2 E / (h l), l = 0.9 L + 2 h.

    >>> bearer = {"strength": 24e6, "stiffness_low": 7.4e9}
    >>> tilting_factor_en(breadth=0.045, depth=0.095, free_length=1.2, **bearer)
    1.0
    >>> round(tilting_factor_en(breadth=0.038, depth=0.184, free_length=2.4, **bearer), 2)
    0.69
    """
    require("breadth", breadth, 0.005, 1.0, "m")
    require("depth", depth, 0.005, 2.0, "m")
    require("free_length", free_length, 0.0, 20.0, "m")
    require("strength", strength, 1e6, 1e8, "Pa")
    require("stiffness_low", stiffness_low, 1e9, 3e10, "Pa")
    if free_length == 0.0:
        return 1.0
    critical = 0.78 * breadth**2 * stiffness_low / (depth * (0.9 * free_length + 2.0 * depth))
    slenderness = math.sqrt(strength / critical)
    if slenderness <= 0.75:
        return 1.0
    return 1.56 - 0.75 * slenderness if slenderness <= 1.4 else 1.0 / slenderness**2


def working_stress_as(
    *,
    strength: Pascal,
    capacity_factor: Dimensionless,
    duration_factor: Dimensionless = PERMANENT_DURATION_AS,
    other_factors: Dimensionless = 1.0,
    load_factor: Dimensionless = PERMANENT_LOAD_FACTOR,
) -> Pascal:
    """Stress the weight as it is may cause for good, by AS 1720.1.

    Inputs:
        strength: characteristic strength of the grade; 0 to 1e9
        capacity_factor: 0.7 for MGP10 to F14 in a member whose loss brings others down, 0.9 where not; 0.3 to 1
        duration_factor: k1, 0.57 for 50 years; 0.3 to 1
        other_factors: moisture k4 and stability k12: the product of what else applies; 0.001 to 2
        load_factor: on the load, 1.35 for permanent weight, 1 to get the code's own design capacity; 1 to 2

    Source: AS 1720.1 3.2 to 3.4, phi k1 k4 k12 f', over the load factor of AS/NZS 1170.0.

    >>> round(working_stress_as(strength=17e6, capacity_factor=0.7) / 1e6, 2)  # MGP10 in bending
    5.02
    """
    require("strength", strength, 0.0, 1e9, "Pa")
    require("capacity_factor", capacity_factor, 0.3, 1.0, "1")
    require("duration_factor", duration_factor, 0.3, 1.0, "1")
    require("other_factors", other_factors, 0.001, 2.0, "1")
    require("load_factor", load_factor, 1.0, 2.0, "1")
    return capacity_factor * duration_factor * other_factors * strength / load_factor


def column_constant_as(
    *, stiffness: Pascal, strength: Pascal, passing_share: Dimensionless = LEAST_LOAD_RATIO_AS
) -> Dimensionless:
    """Material constant of seasoned timber as a column, by which AS 1720.1 scales slenderness.

    Inputs:
        stiffness: mean modulus of elasticity; 1e9 to 3e10
        strength: characteristic strength in compression along the grain; 1e6 to 1e8
        passing_share: passing over whole load, 0.25 for none; 0.25 to 1

    Source: AS 1720.1 appendix E, 11.39 (E / f'c)^-0.408 r^-0.074, from memory; gives the 0.86 of HB 108-2013 ex. 4.1.

    >>> round(column_constant_as(stiffness=10e9, strength=18e6, passing_share=1.0), 2)  # MGP10
    0.86
    """
    require("stiffness", stiffness, 1e9, 3e10, "Pa")
    require("strength", strength, 1e6, 1e8, "Pa")
    require("passing_share", passing_share, LEAST_LOAD_RATIO_AS, 1.0, "1")
    return float(11.39 * (stiffness / strength) ** -0.408 * passing_share**-0.074)


def beam_constant_as(
    *, stiffness: Pascal, strength: Pascal, passing_share: Dimensionless = LEAST_LOAD_RATIO_AS
) -> Dimensionless:
    """Material constant of seasoned timber as a beam, by which AS 1720.1 scales slenderness.

    Inputs:
        stiffness: mean modulus of elasticity; 1e9 to 3e10
        strength: characteristic bending strength; 1e6 to 1e8
        passing_share: passing over whole load, 0.25 for none; 0.25 to 1

    Source: AS 1720.1 appendix E, 14.71 (E / f'b)^-0.480 r^-0.061, from memory.

    >>> round(beam_constant_as(stiffness=10e9, strength=17e6), 2)
    0.75
    """
    require("stiffness", stiffness, 1e9, 3e10, "Pa")
    require("strength", strength, 1e6, 1e8, "Pa")
    require("passing_share", passing_share, LEAST_LOAD_RATIO_AS, 1.0, "1")
    return float(14.71 * (stiffness / strength) ** -0.480 * passing_share**-0.061)


def beam_slenderness_as(*, breadth: Metre, depth: Metre, free_length: Metre) -> Dimensionless:
    """Slenderness of a bearer whose top edge is held sideways at places only, by AS 1720.1.

    Inputs:
        breadth: of the bearer, its thin side; 0.005 to 1
        depth: of it, in the direction it bends; 0.005 to 2
        free_length: between those places; 0 to 20

    Source: AS 1720.1 3.2.3.2, S1 = 1.25 d / b (L / d)^0.5, from memory.

    >>> round(beam_slenderness_as(breadth=0.045, depth=0.09, free_length=1.2), 1)
    9.1
    """
    require("breadth", breadth, 0.005, 1.0, "m")
    require("depth", depth, 0.005, 2.0, "m")
    require("free_length", free_length, 0.0, 20.0, "m")
    return 1.25 * depth / breadth * math.sqrt(free_length / depth)


def stability_factor_as(*, slenderness: Dimensionless, material_constant: Dimensionless) -> Dimensionless:
    """Share of its strength a slender beam or post keeps before it gives way sideways, by AS 1720.1: k12.

    Inputs:
        slenderness: S1 of a beam, S3 or S4 of a post: its free length over its size that way; 0 to 500
        material_constant: of the timber as a beam or a column; 0.3 to 3

    Source: AS 1720.1 3.2.4 and 3.3.3.

    >>> round(stability_factor_as(slenderness=80.0, material_constant=0.86), 3)  # 0.042 in HB 108-2013 ex. 4.1
    0.042
    """
    require("slenderness", slenderness, 0.0, 500.0, "1")
    require("material_constant", material_constant, 0.3, 3.0, "1")
    scaled = slenderness * material_constant
    if scaled <= 10.0:
        return 1.0
    return 1.5 - 0.05 * scaled if scaled <= 20.0 else 200.0 / scaled**2


def working_stress_nds(
    *,
    reference: Pascal,
    duration_factor: Dimensionless = PERMANENT_DURATION_NDS,
    other_factors: Dimensionless = 1.0,
) -> Pascal:
    """Stress the weight as it is may cause for good, by allowable-stress design of the NDS.

    Inputs:
        reference: reference design value of the grade; 0 to 1e9
        duration_factor: 0.9 for permanent load, 1 across the grain; 0.9 to 2
        other_factors: size, wet service, stability: the product of what else applies; 0.001 to 3

    Source: NDS table 4.3.1.

    >>> round(working_stress_nds(reference=6.033e6, other_factors=1.5) / 1e6, 2)  # SPF No.2, 2x4, 875 psi
    8.14
    """
    require("reference", reference, 0.0, 1e9, "Pa")
    require("duration_factor", duration_factor, 0.9, 2.0, "1")
    require("other_factors", other_factors, 0.001, 3.0, "1")
    return duration_factor * other_factors * reference


def beam_stability_nds(
    *, breadth: Metre, depth: Metre, free_length: Metre, strength: Pascal, stiffness_low: Pascal
) -> Dimensionless:
    """Share of its bending strength a tall thin bearer keeps before it tilts over sideways, by the NDS: CL.

    Inputs:
        breadth: of the bearer, its thin side; 0.005 to 1
        depth: of it, in the direction it bends; 0.005 to 2
        free_length: between places where its top edge is held sideways; 0 to 20
        strength: bending design value with all other factors; 1e5 to 1e8
        stiffness_low: Emin of the grade; 1e9 to 3e10

    Source: NDS 3.3.3, even load, FbE = 1.2 Emin / RB^2, from memory; refused where RB is over 50.

    >>> wood = {"strength": 8.14e6, "stiffness_low": 3.516e9}
    >>> round(beam_stability_nds(breadth=0.0381, depth=0.0889, free_length=1.2, **wood), 3)
    0.983
    """
    require("breadth", breadth, 0.005, 1.0, "m")
    require("depth", depth, 0.005, 2.0, "m")
    require("free_length", free_length, 0.0, 20.0, "m")
    require("strength", strength, 1e5, 1e8, "Pa")
    require("stiffness_low", stiffness_low, 1e9, 3e10, "Pa")
    if free_length == 0.0 or depth <= breadth:
        return 1.0
    short = free_length < 7.0 * depth
    effective = 2.06 * free_length if short else 1.63 * free_length + 3.0 * depth
    slenderness = math.sqrt(effective * depth) / breadth
    require("slenderness", slenderness, 0.0, 50.0, "1")
    ratio = 1.2 * stiffness_low / slenderness**2 / strength
    half = (1.0 + ratio) / 1.9
    return half - math.sqrt(half**2 - ratio / 0.95)
