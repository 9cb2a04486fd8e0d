"""What annealed float glass may bear for years, by two published routes.

Neither route was written for drilled tanks: EN 16612 is for panes that fill an opening in a building, the American
practice leaves out aquaria and drilled glass. They bracket what glass is worked with; they do not permit it.
"""

from __future__ import annotations

import math
from statistics import NormalDist

from tankwright.physics.ranges import require
from tankwright.units import Dimensionless, Pascal, Second

CAUTION = (
    "Screening only. Drilled annealed glass under standing water lies outside the scope of the published standards of "
    "glass: the tank maker's rating, the local code and an engineer stand before these figures."
)

EN_CHARACTERISTIC = 45e6
"""Pa, bending strength of annealed float glass. Source: EN 16612:2019, read at second hand."""

EN_PERMANENT = 0.29
"""The duration factor of a permanent load, 50 years. Source: EN 16612:2019, read at second hand."""

EN_MATERIAL = 1.8
"""Partial factor of annealed glass. Source: EN 16612:2019, read at second hand; the Institution of Structural
Engineers' guide has 1.6."""

EN_PERMANENT_LOAD = 1.35
"""What a permanent load is multiplied with before it is compared with a design strength. Source: EN 1990, table
A1.2(B), from memory."""

SHORT_SURFACE = 23.3e6
"""Pa, annealed glass away from its edges for 3 seconds, 8 panes of 1000 breaking. Source: NCSEA Engineering Structural
Glass Design Guide after ASTM E1300, as an open-source library of structural glass has it."""

SHORT_EDGE = 18.3e6
"""Pa, the same at an edge that is cut clean. Source: as `SHORT_SURFACE`."""

ANNEALED_VARIATION = 0.22
"""Coefficient of variation of the strength of annealed glass. Source: as `SHORT_SURFACE`."""

FATIGUE_EXPONENT = 16.0
"""Static fatigue: strength falls with the sixteenth root of the time. Source: ASTM E1300 and EN 16612 alike."""

SHORT_PROBABILITY = 0.008
SHORT_DURATION = 3.0

FIFTY_YEARS = 50.0 * 365.25 * 86400.0
"""s, what both routes call a permanent load."""

_HOUR = 3600.0


def glass_duration_factor_en(*, duration: Second) -> Dimensionless:
    """What is left of the strength of annealed glass under a load that stays so long.

    The standard rounds: it prints 0.29 for a permanent load, where the formula gives 0.294 for 50 years.

    Inputs:
        duration: how long the load stays; 5 to 1.6e9

    Source: EN 16612:2019, 0.663 t^(-1/16) with t in hours, from memory; agrees with its printed factors from 5 seconds
    to 3 months as read at second hand.

    >>> round(glass_duration_factor_en(duration=5 * 3600.0), 2)
    0.6
    """
    require("duration", duration, 5.0, 1.6e9, "s")
    return min(1.0, 0.663 * math.pow(duration / _HOUR, -1.0 / FATIGUE_EXPONENT))


def glass_design_strength_en(
    *,
    edge_factor: Dimensionless = 1.0,
    surface_factor: Dimensionless = 1.0,
    duration_factor: Dimensionless = EN_PERMANENT,
    characteristic: Pascal = EN_CHARACTERISTIC,
    material_factor: Dimensionless = EN_MATERIAL,
    load_factor: Dimensionless = 1.0,
) -> Pascal:
    """Design bending strength of annealed glass by the European route.

    The stress it is compared with must come from a factored load, a permanent one times 1.35. Give that as
    `load_factor` to compare with the stress of the weight as it is.

    Inputs:
        edge_factor: 1.0 away from edges or polished, 0.9 seamed, 0.8 as cut or drilled; 0.5 to 1
        surface_factor: of the surface, 1.0 for float glass as made; 0.1 to 1
        duration_factor: what the time leaves of the strength, 0.29 for water that stays; 0.2 to 1
        characteristic: bending strength of the glass, 45 MPa for annealed float; 1e6 to 2e8
        material_factor: partial factor of the material; 1 to 3
        load_factor: partial factor of the load, 1 when the load has it already; 1 to 2

    Source: EN 16612:2019, ke ksp kmod f_gk / gamma, read at second hand; the load factor of EN 1990.

    >>> round(glass_design_strength_en() / 1e6, 2), round(glass_design_strength_en(edge_factor=0.8) / 1e6, 2)
    (7.25, 5.8)
    >>> round(glass_design_strength_en(edge_factor=0.8, load_factor=1.35) / 1e6, 1)
    4.3
    """
    require("edge_factor", edge_factor, 0.5, 1.0, "1")
    require("surface_factor", surface_factor, 0.1, 1.0, "1")
    require("duration_factor", duration_factor, 0.2, 1.0, "1")
    require("characteristic", characteristic, 1e6, 2e8, "Pa")
    require("material_factor", material_factor, 1.0, 3.0, "1")
    require("load_factor", load_factor, 1.0, 2.0, "1")
    return edge_factor * surface_factor * duration_factor * characteristic / (material_factor * load_factor)


def glass_design_strength_duration(
    *,
    short_strength: Pascal = SHORT_SURFACE,
    probability: Dimensionless = 0.001,
    duration: Second = FIFTY_YEARS,
    variation: Dimensionless = ANNEALED_VARIATION,
) -> Pascal:
    """Stress that annealed glass may bear for a time, with so many of a number of panes breaking: the American route.

    Inputs:
        short_strength: for 3 seconds with 8 of 1000 breaking, 23.3 MPa on the surface, 18.3 MPa at an edge; 1e6 to 1e8
        probability: share of panes that break; 1e-4 to 0.1
        duration: how long the load stays; 3 to 1.6e9
        variation: coefficient of variation of the strength; 0 to 0.25

    Source: NCSEA Engineering Structural Glass Design Guide after ASTM E1300, appendix on stress at a chosen probability
    and duration; normal distribution, sixteenth root of the time.

    >>> round(glass_design_strength_duration(short_strength=18.3e6, duration=3.0) / 1e6, 3)
    12.464
    >>> round(glass_design_strength_duration() / 1e6, 1)
    4.5
    """
    require("short_strength", short_strength, 1e6, 1e8, "Pa")
    require("probability", probability, 1e-4, 0.1, "1")
    require("duration", duration, SHORT_DURATION, 1.6e9, "s")
    require("variation", variation, 0.0, 0.25, "1")
    rarer = _share_of_mean(probability, variation) / _share_of_mean(SHORT_PROBABILITY, variation)
    return short_strength * rarer * math.pow(duration / SHORT_DURATION, -1.0 / FATIGUE_EXPONENT)


def _share_of_mean(probability: float, variation: float) -> float:
    return 1.0 + variation * NormalDist().inv_cdf(probability)
