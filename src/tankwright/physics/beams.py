"""Beams under weight: moment, shear, reactions and sag of the usual cases, and the stresses they cause.

Any other mix of patches and points is worked out by `beam_solver`.
"""

from __future__ import annotations

import math

from tankwright.physics.ranges import require
from tankwright.units import (
    CubicMetre,
    Metre,
    MetreToTheFourth,
    Newton,
    NewtonMetre,
    NewtonPerMetre,
    Pascal,
    SquareMetre,
)

CAUTION = (
    "Screening only. Joints, screws, knots and damage are not in it: a rack that carries tanks is for someone licensed "
    "to judge under local code."
)

_DEEPEST = (1.0 + math.sqrt(33.0)) / 16.0
TWO_SPAN_SAG = (_DEEPEST - 3.0 * _DEEPEST**3 + 2.0 * _DEEPEST**4) / 48.0
"""Of w L^4 / (E I), 0.42 of a bay from an outer support: where the slope, 1 - 9 x^2 + 8 x^3, is none. Source: beam
theory."""


def beam_moment(*, span: Metre, load: NewtonPerMetre = 0.0, middle_force: Newton = 0.0) -> NewtonMetre:
    """Largest bending moment of a beam on its two ends, under an even load and a force in the middle.

    Inputs:
        span: between the supports; 0.01 to 100
        load: spread evenly over the whole span; 0 to 1e6
        middle_force: one force in the middle of it; 0 to 1e7

    Source: beam theory, w L^2 / 8 + P L / 4.

    >>> beam_moment(span=6.0, load=45e3)  # 202.5 kN m in a worked example of EN 1993
    202500.0
    """
    require("span", span, 0.01, 100.0, "m")
    require("load", load, 0.0, 1e6, "N/m")
    require("middle_force", middle_force, 0.0, 1e7, "N")
    return load * span**2 / 8.0 + middle_force * span / 4.0


def beam_shear(*, span: Metre, load: NewtonPerMetre = 0.0, middle_force: Newton = 0.0) -> Newton:
    """Largest shear, and force on each support, of a beam on its two ends under an even load and a force in the middle.

    Inputs:
        span: between the supports; 0.01 to 100
        load: spread evenly over the whole span; 0 to 1e6
        middle_force: one force in the middle of it; 0 to 1e7

    Source: balance of forces, w L / 2 + P / 2.

    >>> beam_shear(span=6.0, load=45e3)
    135000.0
    """
    require("span", span, 0.01, 100.0, "m")
    require("load", load, 0.0, 1e6, "N/m")
    require("middle_force", middle_force, 0.0, 1e7, "N")
    return load * span / 2.0 + middle_force / 2.0


def beam_deflection(
    *,
    span: Metre,
    stiffness: Pascal,
    second_moment: MetreToTheFourth,
    load: NewtonPerMetre = 0.0,
    middle_force: Newton = 0.0,
) -> Metre:
    """Sag in the middle of a beam on its two ends, under an even load and a force in the middle; bending alone.

    Inputs:
        span: between the supports; 0.01 to 100
        stiffness: modulus of elasticity of the material; 1e8 to 1e12
        second_moment: of area, about the axis it bends on; 1e-12 to 1
        load: spread evenly over the whole span; 0 to 1e6
        middle_force: one force in the middle of it; 0 to 1e7

    Source: beam theory, 5 w L^4 / (384 E I) + P L^3 / (48 E I).

    >>> round(beam_deflection(span=1.2, stiffness=11e9, second_moment=3.215e-6, load=1000.0) * 1000, 2)  # mm
    0.76
    """
    require("span", span, 0.01, 100.0, "m")
    require("stiffness", stiffness, 1e8, 1e12, "Pa")
    require("second_moment", second_moment, 1e-12, 1.0, "m**4")
    require("load", load, 0.0, 1e6, "N/m")
    require("middle_force", middle_force, 0.0, 1e7, "N")
    bending_stiffness = stiffness * second_moment
    return (5.0 * load * span**4 / 384.0 + middle_force * span**3 / 48.0) / bending_stiffness


def beam_shear_deflection(
    *,
    span: Metre,
    shear_modulus: Pascal,
    area: SquareMetre,
    load: NewtonPerMetre = 0.0,
    middle_force: Newton = 0.0,
) -> Metre:
    """What shear adds to the sag in the middle of a beam of full rectangular section: some per cent of it for timber.

    Inputs:
        span: between the supports; 0.01 to 100
        shear_modulus: of the material, a sixteenth of E for softwood; 1e6 to 1e12
        area: of the section; 1e-6 to 10
        load: spread evenly over the whole span; 0 to 1e6
        middle_force: one force in the middle of it; 0 to 1e7

    Source: Timoshenko beam theory, 1.2 (w L^2 / 8 + P L / 4) / (G A).

    >>> round(beam_shear_deflection(span=1.2, shear_modulus=690e6, area=4.275e-3, load=1000.0) * 1000, 3)
    0.073
    """
    require("shear_modulus", shear_modulus, 1e6, 1e12, "Pa")
    require("area", area, 1e-6, 10.0, "m**2")
    return 1.2 * beam_moment(span=span, load=load, middle_force=middle_force) / (shear_modulus * area)


def two_span_moment(*, span: Metre, load: NewtonPerMetre) -> NewtonMetre:
    """Largest bending moment of one piece over three even supports under an even load: over the middle one.

    In the bays the moment is 9/16 of it.

    Inputs:
        span: from one support to the next; 0.01 to 100
        load: spread evenly over both bays; 0 to 1e6

    Source: beam theory, w L^2 / 8 over the middle support.

    >>> two_span_moment(span=1.0, load=800.0)
    100.0
    """
    require("span", span, 0.01, 100.0, "m")
    require("load", load, 0.0, 1e6, "N/m")
    return load * span**2 / 8.0


def two_span_middle_force(*, span: Metre, load: NewtonPerMetre) -> Newton:
    """Force on the middle support of one piece over three even supports: a quarter more than its share.

    Each outer support takes 0.375 of one bay's load.

    Inputs:
        span: from one support to the next; 0.01 to 100
        load: spread evenly over both bays; 0 to 1e6

    Source: beam theory, 1.25 w L.

    >>> two_span_middle_force(span=1.0, load=800.0)
    1000.0
    """
    require("span", span, 0.01, 100.0, "m")
    require("load", load, 0.0, 1e6, "N/m")
    return 1.25 * load * span


def two_span_deflection(
    *, span: Metre, stiffness: Pascal, second_moment: MetreToTheFourth, load: NewtonPerMetre
) -> Metre:
    """Largest sag in a bay of one piece over three even supports, both bays loaded evenly.

    Inputs:
        span: from one support to the next; 0.01 to 100
        stiffness: modulus of elasticity of the material; 1e8 to 1e12
        second_moment: of area, about the axis it bends on; 1e-12 to 1
        load: spread evenly over both bays; 0 to 1e6

    Source: beam theory, w L^4 / (184.6 E I), 0.42 of a bay from an outer support.

    >>> round(two_span_deflection(span=1.2, stiffness=11e9, second_moment=3.215e-6, load=1000.0) * 1000, 2)
    0.32
    """
    require("span", span, 0.01, 100.0, "m")
    require("stiffness", stiffness, 1e8, 1e12, "Pa")
    require("second_moment", second_moment, 1e-12, 1.0, "m**4")
    require("load", load, 0.0, 1e6, "N/m")
    return TWO_SPAN_SAG * load * span**4 / (stiffness * second_moment)


def bending_stress(*, moment: NewtonMetre, section_modulus: CubicMetre) -> Pascal:
    """Stress in the outermost fibre of a beam.

    Inputs:
        moment: bending moment there; 0 to 1e8
        section_modulus: of the section; 1e-10 to 1

    Source: beam theory, M / W.

    >>> round(bending_stress(moment=300.0, section_modulus=67.7e-6) / 1e6, 2)  # MPa
    4.43
    """
    require("moment", moment, 0.0, 1e8, "N*m")
    require("section_modulus", section_modulus, 1e-10, 1.0, "m**3")
    return moment / section_modulus


def shear_stress(*, shear: Newton, area: SquareMetre) -> Pascal:
    """Largest shear stress of a full rectangular section: half as much again as the mean.

    Inputs:
        shear: shear force there; 0 to 1e8
        area: of the section; 1e-6 to 10

    Source: beam theory, 1.5 V / A.

    >>> round(shear_stress(shear=600.0, area=4.275e-3) / 1e6, 3)
    0.211
    """
    require("shear", shear, 0.0, 1e8, "N")
    require("area", area, 1e-6, 10.0, "m**2")
    return 1.5 * shear / area


def bearing_stress(*, force: Newton, width: Metre, length: Metre) -> Pascal:
    """Pressure where a piece rests on another.

    Inputs:
        force: carried there; 0 to 1e8
        width: of the piece that rests; 0.001 to 10
        length: along it, of what it rests on; 0.001 to 10

    Source: definition, force over area.

    >>> round(bearing_stress(force=600.0, width=0.045, length=0.045) / 1e6, 3)
    0.296
    """
    require("force", force, 0.0, 1e8, "N")
    require("width", width, 0.001, 10.0, "m")
    require("length", length, 0.001, 10.0, "m")
    return force / (width * length)
