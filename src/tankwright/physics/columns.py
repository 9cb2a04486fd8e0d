"""Posts: how much weight an upright bears before it crushes or bows out sideways.

A real rack's upright is loaded at its side, by a bracket; that bends it as well, and is not in these formulas.
"""

from __future__ import annotations

import math
from typing import Final

from tankwright.physics.ranges import require
from tankwright.physics.timber_strength import (
    MATERIAL_FACTOR_EN,
    PERMANENT_DURATION_AS,
    PERMANENT_DURATION_EN,
    PERMANENT_DURATION_NDS,
    PERMANENT_LOAD_FACTOR,
    column_constant_as,
    stability_factor_as,
    working_stress_as,
    working_stress_en,
    working_stress_nds,
)
from tankwright.units import Dimensionless, Metre, MetreToTheFourth, Newton, Pascal, SquareMetre

CAUTION = (
    "Screening only. A post that leans, is notched or is loaded at its side bears less: a rack that carries tanks is "
    "for someone licensed to judge under local code."
)

STRAIGHTNESS_EN: Final = 0.2
"""Of solid timber. Source: EN 1995-1-1 6.3.2 (6.29)."""
COLD_FORMED_TUBE: Final = 0.49
"""Imperfection of buckling curve c. Source: EN 1993-1-1 tables 6.1 and 6.2."""
LONGEST_NDS: Final = 50.0
"""Free length over the thinner side. Source: NDS 3.7.1.4."""


def radius_of_gyration(*, second_moment: MetreToTheFourth, area: SquareMetre) -> Metre:
    """How far from its middle a section's area lies, as buckling counts it.

    Inputs:
        second_moment: of area, about the axis it bows over; 1e-12 to 1
        area: of the section; 1e-6 to 10

    Source: definition, (I / A)^0.5; a rectangle has 0.289 of its side.

    >>> round(radius_of_gyration(second_moment=0.75, area=9.0), 4)
    0.2887
    """
    require("second_moment", second_moment, 1e-12, 1.0, "m**4")
    require("area", area, 1e-6, 10.0, "m**2")
    return math.sqrt(second_moment / area)


def euler_load(*, stiffness: Pascal, second_moment: MetreToTheFourth, free_length: Metre) -> Newton:
    """Weight at which a perfectly straight post on pins bows out; a real one gives way below it.

    Inputs:
        stiffness: modulus of elasticity; 1e8 to 1e12
        second_moment: of area, about the axis it bows over; 1e-12 to 1
        free_length: between places where it is held; 0.01 to 50

    Source: L. Euler (1744), pi^2 E I / L^2.

    >>> round(euler_load(stiffness=11e9, second_moment=7.21e-7, free_length=2.0))
    19569
    """
    require("stiffness", stiffness, 1e8, 1e12, "Pa")
    require("second_moment", second_moment, 1e-12, 1.0, "m**4")
    require("free_length", free_length, 0.01, 50.0, "m")
    return math.pi**2 * stiffness * second_moment / free_length**2


def buckling_factor_timber_en(
    *,
    slenderness: Dimensionless,
    strength: Pascal,
    stiffness_low: Pascal,
    straightness: Dimensionless = STRAIGHTNESS_EN,
) -> Dimensionless:
    """Share of its crushing strength a timber post keeps, by EN 1995-1-1: kc.

    Inputs:
        slenderness: free length over radius of gyration; 0 to 400
        strength: characteristic strength in compression along the grain; 1e6 to 1e8
        stiffness_low: 5 % modulus of elasticity along the grain; 1e9 to 3e10
        straightness: 0.2 for solid timber, 0.1 for glued; 0.05 to 0.5

    Source: EN 1995-1-1 6.3.2, equations 6.21 to 6.29.

    >>> round(buckling_factor_timber_en(slenderness=147.0, strength=21e6, stiffness_low=7.4e9), 3)
    0.149
    """
    require("slenderness", slenderness, 0.0, 400.0, "1")
    require("strength", strength, 1e6, 1e8, "Pa")
    require("stiffness_low", stiffness_low, 1e9, 3e10, "Pa")
    require("straightness", straightness, 0.05, 0.5, "1")
    relative = slenderness / math.pi * math.sqrt(strength / stiffness_low)
    if relative <= 0.3:
        return 1.0
    half = 0.5 * (1.0 + straightness * (relative - 0.3) + relative**2)
    return 1.0 / (half + math.sqrt(half**2 - relative**2))


def column_stability_nds(
    *, slenderness: Dimensionless, strength: Pascal, stiffness_low: Pascal
) -> Dimensionless:
    """Share of its crushing strength a post of sawn lumber keeps, by the NDS: CP.

    Inputs:
        slenderness: free length over the side it bows towards; 0 to 50
        strength: compression design value along the grain, with all factors but this; 1e5 to 1e8
        stiffness_low: Emin of the grade; 1e9 to 3e10

    Source: NDS 3.7.1, FcE = 0.822 Emin / (l / d)^2, c = 0.8.

    >>> round(column_stability_nds(slenderness=31.5, strength=8.207e6, stiffness_low=3.516e9), 3)
    0.324
    """
    require("slenderness", slenderness, 0.0, LONGEST_NDS, "1")
    require("strength", strength, 1e5, 1e8, "Pa")
    require("stiffness_low", stiffness_low, 1e9, 3e10, "Pa")
    if slenderness < 1e-6:
        return 1.0
    ratio = 0.822 * stiffness_low / slenderness**2 / strength
    half = (1.0 + ratio) / 1.6
    return (ratio / 0.8) / (half + math.sqrt(half**2 - ratio / 0.8))


def buckling_factor_steel_en(
    *,
    slenderness: Dimensionless,
    yield_strength: Pascal,
    stiffness: Pascal = 210e9,
    imperfection: Dimensionless = COLD_FORMED_TUBE,
) -> Dimensionless:
    """Share of its yield force a steel post keeps, by EN 1993-1-1: chi.

    Inputs:
        slenderness: free length over radius of gyration; 0 to 500
        yield_strength: of the steel; 1e8 to 1e9
        stiffness: modulus of elasticity; 5e10 to 3e11
        imperfection: of the buckling curve, 0.49 for cold-formed tube, 0.21 for hot-finished; 0.1 to 0.8

    Source: EN 1993-1-1 6.3.1.2.

    >>> round(buckling_factor_steel_en(slenderness=93.9, yield_strength=235e6), 2)  # curve c at 1.0
    0.54
    """
    require("slenderness", slenderness, 0.0, 500.0, "1")
    require("yield_strength", yield_strength, 1e8, 1e9, "Pa")
    require("stiffness", stiffness, 5e10, 3e11, "Pa")
    require("imperfection", imperfection, 0.1, 0.8, "1")
    relative = slenderness / math.pi * math.sqrt(yield_strength / stiffness)
    if relative <= 0.2:
        return 1.0
    half = 0.5 * (1.0 + imperfection * (relative - 0.2) + relative**2)
    return 1.0 / (half + math.sqrt(half**2 - relative**2))


def timber_post_en(
    *,
    side: Metre,
    other_side: Metre,
    free_length: Metre,
    strength: Pascal,
    stiffness_low: Pascal,
    duration_factor: Dimensionless = PERMANENT_DURATION_EN,
    load_factor: Dimensionless = PERMANENT_LOAD_FACTOR,
) -> Newton:
    """Weight a rectangular timber post on pins may carry for good, by EN 1995-1-1.

    Inputs:
        side: the one it bows towards, the thinner unless a board holds it; 0.01 to 1
        other_side: of its section; 0.01 to 1
        free_length: between places where it is held; 0.01 to 20
        strength: characteristic strength in compression along the grain; 1e6 to 1e8
        stiffness_low: 5 % modulus of elasticity along the grain; 1e9 to 3e10
        duration_factor: kmod, 0.6 for permanent load, 0.5 where it is wet; 0.1 to 1.1
        load_factor: on the load, 1.35 for permanent weight, 1 to get the code's own design capacity; 1 to 2

    Source: EN 1995-1-1 6.3.2, kc kmod fc A / gammaM, over the load factor of EN 1990.

    >>> c24 = {"strength": 21e6, "stiffness_low": 7.4e9}
    >>> round(timber_post_en(side=0.045, other_side=0.095, free_length=2.0, load_factor=1.0, **c24))
    5637
    """
    require("side", side, 0.01, 1.0, "m")
    require("other_side", other_side, 0.01, 1.0, "m")
    require("free_length", free_length, 0.01, 20.0, "m")
    factor = buckling_factor_timber_en(
        slenderness=free_length / side * math.sqrt(12.0), strength=strength, stiffness_low=stiffness_low
    )
    return (
        working_stress_en(
            strength=strength,
            duration_factor=duration_factor,
            material_factor=MATERIAL_FACTOR_EN,
            load_factor=load_factor,
        )
        * factor
        * side
        * other_side
    )


def timber_post_as(
    *,
    side: Metre,
    other_side: Metre,
    free_length: Metre,
    strength: Pascal,
    stiffness: Pascal,
    capacity_factor: Dimensionless,
    duration_factor: Dimensionless = PERMANENT_DURATION_AS,
    load_factor: Dimensionless = PERMANENT_LOAD_FACTOR,
) -> Newton:
    """Weight a rectangular post of seasoned timber on pins may carry for good, by AS 1720.1.

    Inputs:
        side: the one it bows towards, the thinner unless a board holds it; 0.01 to 1
        other_side: of its section; 0.01 to 1
        free_length: between places where it is held; 0.01 to 20
        strength: characteristic strength in compression along the grain; 1e6 to 1e8
        stiffness: mean modulus of elasticity; 1e9 to 3e10
        capacity_factor: 0.7 for MGP10 to F14 in a member whose loss brings others down, 0.9 where not; 0.3 to 1
        duration_factor: k1, 0.57 for 50 years; 0.3 to 1
        load_factor: on the load, 1.35 for permanent weight, 1 to get the code's own design capacity; 1 to 2

    Source: AS 1720.1 3.3, phi k1 k12 f'c A, over the load factor of AS/NZS 1170.0.

    >>> mgp10 = {"strength": 18e6, "stiffness": 10e9, "capacity_factor": 0.7}
    >>> round(timber_post_as(side=0.045, other_side=0.09, free_length=1.2, **mgp10))
    6607
    """
    require("side", side, 0.01, 1.0, "m")
    require("other_side", other_side, 0.01, 1.0, "m")
    require("free_length", free_length, 0.01, 20.0, "m")
    constant = column_constant_as(stiffness=stiffness, strength=strength)
    factor = stability_factor_as(slenderness=free_length / side, material_constant=constant)
    stress = working_stress_as(
        strength=strength,
        capacity_factor=capacity_factor,
        duration_factor=duration_factor,
        load_factor=load_factor,
    )
    return stress * factor * side * other_side


def timber_post_nds(
    *,
    side: Metre,
    other_side: Metre,
    free_length: Metre,
    reference: Pascal,
    stiffness_low: Pascal,
    other_factors: Dimensionless = 1.0,
) -> Newton:
    """Weight a rectangular post of sawn lumber on pins may carry for good, by allowable-stress design of the NDS.

    Inputs:
        side: the one it bows towards, the thinner unless a board holds it; 0.01 to 1
        other_side: of its section; 0.01 to 1
        free_length: between places where it is held, up to 50 sides; 0.01 to 20
        reference: reference design value in compression along the grain; 1e6 to 1e8
        stiffness_low: Emin of the grade; 1e9 to 3e10
        other_factors: size and wet service, 1.15 for a dry 2x4; 0.1 to 2

    Source: NDS 3.6.3 and 3.7.1, duration factor 0.9.

    >>> spf = {"reference": 7.929e6, "stiffness_low": 3.516e9, "other_factors": 1.15}
    >>> round(timber_post_nds(side=0.0381, other_side=0.0889, free_length=1.2, **spf))
    9005
    """
    require("side", side, 0.01, 1.0, "m")
    require("other_side", other_side, 0.01, 1.0, "m")
    require("free_length", free_length, 0.01, 20.0, "m")
    require("reference", reference, 1e6, 1e8, "Pa")
    require("other_factors", other_factors, 0.1, 2.0, "1")
    stress = working_stress_nds(
        reference=reference, duration_factor=PERMANENT_DURATION_NDS, other_factors=other_factors
    )
    slenderness = free_length / side
    factor = column_stability_nds(slenderness=slenderness, strength=stress, stiffness_low=stiffness_low)
    return stress * factor * side * other_side


def steel_post_en(
    *,
    area: SquareMetre,
    second_moment: MetreToTheFourth,
    free_length: Metre,
    yield_strength: Pascal,
    stiffness: Pascal = 210e9,
    imperfection: Dimensionless = COLD_FORMED_TUBE,
    load_factor: Dimensionless = PERMANENT_LOAD_FACTOR,
) -> Newton:
    """Weight a steel post on pins may carry, by EN 1993-1-1; its wall must not be so thin that it buckles by itself.

    Inputs:
        area: of the metal; 1e-6 to 1
        second_moment: of area, about the axis it bows over; 1e-12 to 1
        free_length: between places where it is held; 0.01 to 20
        yield_strength: of the steel; 1e8 to 1e9
        stiffness: modulus of elasticity; 5e10 to 3e11
        imperfection: of the buckling curve, 0.49 for cold-formed tube, 0.21 for hot-finished; 0.1 to 0.8
        load_factor: on the load, 1.35 for permanent weight, 1 to get the code's own design capacity; 1 to 2

    Source: EN 1993-1-1 6.3.1, chi A fy, material factor 1, over the load factor of EN 1990.

    >>> tube = {"area": 2.94e-4, "second_moment": 6.94e-8}  # 40 x 40 x 2 mm
    >>> round(steel_post_en(free_length=1.2, yield_strength=235e6, **tube))
    32871
    """
    require("area", area, 1e-6, 1.0, "m**2")
    require("free_length", free_length, 0.01, 20.0, "m")
    require("load_factor", load_factor, 1.0, 2.0, "1")
    radius = radius_of_gyration(second_moment=second_moment, area=area)
    factor = buckling_factor_steel_en(
        slenderness=free_length / radius,
        yield_strength=yield_strength,
        stiffness=stiffness,
        imperfection=imperfection,
    )
    return factor * yield_strength * area / load_factor
