"""What a bar of a grade and a section may bear for good, by the code its grade belongs to.

Everything is told for the weight as it is: factors on loads are already taken off, `load_factor` says by how much.
A strength the tables do not hold is None, with what is missing: never a guess.
"""

from __future__ import annotations

import math
from types import MappingProxyType
from typing import Final, Literal

from tankwright.catalogue.grades import Family, Grade, grade_at
from tankwright.catalogue.sections import Section
from tankwright.catalogue.strength_bars import allowed_as, allowed_en, allowed_nds, allowed_steel
from tankwright.catalogue.strength_model import Allowed, PostCapacity, nothing
from tankwright.catalogue.strength_posts import crushing_stress, share_kept
from tankwright.physics import timber_strength as timber
from tankwright.physics.ranges import require
from tankwright.units import Dimensionless, Metre, Pascal

__all__ = ["Allowed", "PostCapacity", "allowed_stresses", "later_factor", "post_capacity", "stiffness_in_use"]

CREEP: Final[MappingProxyType[Family, tuple[float | None, ...]]] = MappingProxyType(
    {
        "solid": (0.6, 0.8, 2.0),
        "plywood": (0.8, 1.0, 2.5),
        "OSB": (1.5, 2.25, None),
        "particleboard": (2.25, 3.0, None),
        "dry particleboard": (2.25, None, None),
        "MDF": (2.25, None, None),
        "steel": (0.0, 0.0, 0.0),
    }
)
"""kdef by service class. Source: EN 1995-1-1 table 3.2; solid timber and plywood as a public repository holds it,
the other boards from memory."""
CREEP_AS: Final = (1.0, 1.0, 2.0)
"""Added share of sag after a year and more. Source: AS 1720.1 table 2.4, j2 of 2 seasoned and 3 wet, from memory."""
CREEP_NDS: Final = (0.5, 0.5, 1.0)
"""Likewise. Source: NDS 3.5.2, 1.5 seasoned and 2.0 wet, from memory."""


def allowed_stresses(
    grade: Grade, section: Section, *, service_class: int, flat: bool = False, unheld_length: Metre = 0.0
) -> Allowed:
    """What a bar may bear as a bearer on edge, or on the `flat` as a board or slat does.

    `service_class` is 1 heated and dry, 2 damp air, 3 wet. `unheld_length` is how far its top edge runs without
    being held sideways; 0 where a board is screwed to it.

    >>> from tankwright.catalogue.grades import find_grade
    >>> from tankwright.catalogue.sections import read_section
    >>> allowed = allowed_stresses(find_grade("C24"), read_section("45x95"), service_class=2)
    >>> round(allowed.bending / 1e6, 2), round(allowed.shear / 1e6, 2), round(allowed.bearing / 1e6, 2)
    (8.99, 0.92, 0.85)
    """
    require("service_class", service_class, 1, 3, "1")
    depth = section.thin if flat else section.wide
    known = _at_size(grade, section)
    if known is None:
        return nothing(grade, f"{grade.name} is not in the table for a section this large")
    breadth = section.wide if flat else section.thin
    tilts = 0.0 if flat or breadth >= depth else unheld_length
    if grade.route == "steel":
        return allowed_steel(known, section)
    if grade.route == "AS 1720.1":
        return allowed_as(known, (breadth, depth), tilts, service_class)
    if grade.route == "NDS":
        return allowed_nds(known, section, tilts, service_class)
    return allowed_en(known, (breadth, depth), tilts, service_class)


def post_capacity(
    grade: Grade,
    section: Section,
    *,
    free_length: Metre,
    free_length_wide: Metre | None = None,
    service_class: int,
    off_centre: Metre = 0.0,
) -> PostCapacity:
    """What a post may carry that is held every `free_length` against bowing over its thin side, and every
    `free_length_wide` over its wide one (the same where not said).

    `off_centre` is how far from its middle the weight enters, towards its wide side; the bending this adds is counted
    in a straight line with the push, as EN 1995-1-1 6.3.2 does. Nothing else bends it.

    >>> from tankwright.catalogue.grades import find_grade
    >>> from tankwright.catalogue.sections import read_section
    >>> post = post_capacity(find_grade("C24"), read_section("45x95"), free_length=2.0, service_class=2)
    >>> round(post.force), post.bows, round(post.slenderness)
    (4176, 'thin', 154)
    """
    require("free_length", free_length, 0.01, 20.0, "m")
    wide_length = free_length if free_length_wide is None else free_length_wide
    require("free_length_wide", wide_length, 0.01, 20.0, "m")
    require("off_centre", off_centre, 0.0, 1.0, "m")
    allowed = allowed_stresses(grade, section, service_class=service_class)
    thin_radius = math.sqrt(section.second_moment_flat / section.area)
    wide_radius = math.sqrt(section.second_moment / section.area)
    thin_way, wide_way = free_length / thin_radius, wide_length / wide_radius
    bows: Literal["thin", "wide"] = "thin" if thin_way >= wide_way else "wide"
    slenderness = max(thin_way, wide_way)
    known = _at_size(grade, section)
    stress, factors, why = crushing_stress(known or grade, section, service_class)
    factor, too_slender = share_kept(known or grade, stress, slenderness, service_class)
    crushing = None if stress is None else stress * section.area
    force = None if crushing is None or factor is None else factor * crushing
    missing = tuple(filter(None, (why, too_slender)))
    if known is None:
        force, crushing, missing = None, None, allowed.missing
    if force is not None and off_centre:
        if allowed.bending is None:
            force, missing = None, (*missing, "its bending strength, for weight off its middle")
        else:
            force = 1.0 / (1.0 / force + off_centre / (section.section_modulus * allowed.bending))
    return PostCapacity(
        force=force,
        crushing=crushing,
        factor=factor if force is not None else None,
        slenderness=slenderness,
        bows=bows,
        load_factor=allowed.load_factor,
        route=allowed.route,
        code=allowed.code,
        factors=factors,
        missing=missing,
    )


def later_factor(grade: Grade, service_class: int) -> Dimensionless | None:
    """How many times its first sag a bar has sagged after years under weight that stays; None: not for that damp.

    >>> from tankwright.catalogue.grades import find_grade
    >>> [round(later_factor(find_grade(one), 2), 2) for one in ("C24", "MGP10", "SPF No.2", "S235", "plywood")]
    [1.8, 2.0, 1.5, 1.0, 2.0]
    """
    require("service_class", service_class, 1, 3, "1")
    if grade.route == "AS 1720.1":
        return 1.0 + CREEP_AS[service_class - 1]
    if grade.route == "NDS":
        return 1.0 + CREEP_NDS[service_class - 1]
    creep = CREEP[grade.family][service_class - 1]
    return None if creep is None else 1.0 + creep


def stiffness_in_use(grade: Grade, service_class: int) -> Pascal | None:
    """Mean modulus of elasticity to tell sag by: the grade's own, less where the NDS counts wet service."""
    if grade.stiffness is None:
        return None
    wet = grade.route == "NDS" and service_class == 3
    return grade.stiffness * (timber.WET_FACTORS_NDS["stiffness"] if wet else 1.0)


def _at_size(grade: Grade, section: Section) -> Grade | None:
    """A grade for a section as large as this: codes go by its wider side, and by a board's thickness."""
    return grade_at(grade, section.thin if grade.route == "board" else section.wide)
