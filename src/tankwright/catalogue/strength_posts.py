"""What a post of a grade may bear along itself, code by code."""

from __future__ import annotations

import math

from tankwright.catalogue.grades import Grade
from tankwright.catalogue.sections import Section
from tankwright.catalogue.strength_bars import size_nds, wall_holds, wet_nds
from tankwright.catalogue.strength_model import MOISTURE_AS, PERMANENT_DURATION, Factors
from tankwright.physics import columns
from tankwright.physics import timber_strength as timber


def crushing_stress(grade: Grade, section: Section, service_class: int) -> tuple[float | None, Factors, str]:
    """Stress a short post may bear along itself, what was counted, and why not if not."""
    strength = grade.compression
    if grade.route == "board":
        return None, (), f"{grade.name} is no post"
    if strength is None:
        return None, (), f"strength of {grade.name} in compression along it"
    if grade.route == "steel":
        if section.is_tube and not wall_holds(grade, section):
            return None, (), "its wall is so thin that it buckles by itself: outside this screening"
        return strength / timber.PERMANENT_LOAD_FACTOR, (("gammaM1", 1.0),), ""
    if grade.route == "AS 1720.1":
        if grade.capacity_factor is None:
            return None, (), f"capacity factor of {grade.name}"
        moisture = MOISTURE_AS[service_class - 1]
        stress = timber.working_stress_as(
            strength=strength, capacity_factor=grade.capacity_factor, other_factors=moisture
        )
        counted = (("phi", grade.capacity_factor), ("k1", timber.PERMANENT_DURATION_AS), ("k4", moisture))
        return stress, counted, ""
    if grade.route == "NDS":
        size = size_nds(grade, section)
        if size is None:
            return None, (), f"{grade.name} is not in the table for a section this large"
        wet = wet_nds(grade, size, service_class)["compression"]
        stress = timber.working_stress_nds(reference=strength, other_factors=size[1] * wet)
        return stress, (("CD", timber.PERMANENT_DURATION_NDS), ("CF", size[1]), ("CM", wet)), ""
    duration = PERMANENT_DURATION[grade.family][service_class - 1]
    if duration is None:
        return None, (), f"{grade.name} is not made for a room this damp"
    stress = timber.working_stress_en(strength=strength, duration_factor=duration)
    return stress, (("kmod", duration), ("gammaM", timber.MATERIAL_FACTOR_EN)), ""


def share_kept(
    grade: Grade, stress: float | None, slenderness: float, service_class: int
) -> tuple[float | None, str]:
    """Share of its crushing strength a post keeps, and why not if not."""
    strength = grade.compression
    if stress is None or strength is None:
        return None, ""
    if grade.route == "AS 1720.1":
        if grade.stiffness is None:
            return None, f"stiffness of {grade.name}"
        constant = timber.column_constant_as(stiffness=grade.stiffness, strength=strength)
        by_side = slenderness / math.sqrt(12.0)  # the code counts in sides of a rectangle
        return timber.stability_factor_as(slenderness=min(by_side, 500.0), material_constant=constant), ""
    if grade.route == "steel":
        stiffness = grade.stiffness or 210e9
        return columns.buckling_factor_steel_en(
            slenderness=min(slenderness, 500.0), yield_strength=strength, stiffness=stiffness
        ), ""
    if grade.stiffness_low is None:
        return None, f"5 % stiffness of {grade.name}"
    if grade.route == "NDS":
        by_side = slenderness / math.sqrt(12.0)
        if by_side > columns.LONGEST_NDS:
            return None, "it is longer than 50 times its side, more than its code lets a post be"
        wet = timber.WET_FACTORS_NDS["stiffness"] if service_class == 3 else 1.0
        return columns.column_stability_nds(
            slenderness=by_side, strength=stress, stiffness_low=grade.stiffness_low * wet
        ), ""
    if slenderness > 400.0:
        return None, "it is far too slender for a post"
    return columns.buckling_factor_timber_en(
        slenderness=slenderness, strength=strength, stiffness_low=grade.stiffness_low
    ), ""
