"""What a bar of a grade may bear as a bearer or a board, code by code."""

from __future__ import annotations

import math
from typing import Final

from tankwright.catalogue.grades import Grade
from tankwright.catalogue.sections import Section
from tankwright.catalogue.size_names import INCH
from tankwright.catalogue.strength_model import (
    AS,
    BOARD_FACTOR,
    EN,
    MOISTURE_AS,
    NDS,
    PERMANENT_DURATION,
    STEEL,
    Allowed,
    named,
    nothing,
)
from tankwright.physics import columns
from tankwright.physics import timber_strength as timber
from tankwright.units import Metre, parse_in_unit

_SIZES_NDS: Final = ((3.5, 1.5, 1.15), (4.5, 1.4, 1.1), (5.5, 1.3, 1.1), (7.25, 1.2, 1.05), (9.25, 1.1, 1.0),
                     (11.25, 1.0, 1.0), (math.inf, 0.9, 0.9))  # fmt: skip
"""Size factors by the deepest section in inches: bending, compression. Source: NDS Supplement table 4A."""
_STUD_SIZES_NDS: Final = ((3.5, 1.1, 1.05), (5.5, 1.0, 1.0))
"""Of stud grade; deeper ones are not stud grade. Source: NDS Supplement table 4A, from memory."""
_DRY_ENOUGH_NDS: Final = {"bending": 1150.0, "compression": 750.0}
"""psi with the size factor, up to which wet service costs nothing. Source: NDS Supplement table 4A, from memory."""


def allowed_en(grade: Grade, sides: tuple[Metre, Metre], tilts: Metre, service_class: int) -> Allowed:
    """By EN 1995-1-1; `sides` are breadth and depth as it bends, `tilts` how long its top edge runs unheld."""
    duration = PERMANENT_DURATION[grade.family][service_class - 1]
    if duration is None:
        return nothing(grade, f"{grade.name} is not made for a room this damp")
    breadth, depth = sides
    board = grade.route == "board"
    size = 1.0 if board else timber.size_factor_en(depth=depth)
    cracks = 1.0 if board else timber.CRACK_FACTOR_EN
    material = BOARD_FACTOR.get(grade.family, timber.MATERIAL_FACTOR_EN)
    tilting = 1.0
    untold: tuple[str, ...] = ()
    if tilts and grade.bending and grade.stiffness_low:
        tilting = timber.tilting_factor_en(
            breadth=breadth, depth=depth, free_length=tilts, strength=grade.bending,
            stiffness_low=grade.stiffness_low,
        )  # fmt: skip
    elif tilts:
        untold = (f"5 % stiffness of {grade.name}, for tilting over",)

    def stress(strength: float | None, other: float) -> float | None:
        if strength is None:
            return None
        return timber.working_stress_en(
            strength=strength, duration_factor=duration, material_factor=material, other_factors=other
        )

    return Allowed(
        bending=None if untold else stress(grade.bending, size * tilting),
        shear=stress(grade.shear, cracks),
        bearing=stress(grade.compression_across, 1.0),
        load_factor=timber.PERMANENT_LOAD_FACTOR,
        route="limit state",
        code=EN,
        factors=(
            ("kmod", duration), ("gammaM", material), ("kh", size), ("kcr", cracks), ("kcrit", tilting),
        ),
        missing=(*named(grade, ("bending", "shear") + (() if board else ("compression_across",))), *untold),
    )  # fmt: skip


def allowed_as(grade: Grade, sides: tuple[Metre, Metre], tilts: Metre, service_class: int) -> Allowed:
    """By AS 1720.1; `sides` and `tilts` as above."""
    breadth, depth = sides
    moisture = MOISTURE_AS[service_class - 1]
    phi = grade.capacity_factor
    if phi is None:
        return nothing(grade, f"capacity factor of {grade.name}")
    steady = 1.0
    if tilts and grade.bending and grade.stiffness:
        steady = timber.stability_factor_as(
            slenderness=timber.beam_slenderness_as(breadth=breadth, depth=depth, free_length=tilts),
            material_constant=timber.beam_constant_as(stiffness=grade.stiffness, strength=grade.bending),
        )

    def stress(strength: float | None, other: float, lasting: float) -> float | None:
        if strength is None:
            return None
        return timber.working_stress_as(
            strength=strength, capacity_factor=phi, duration_factor=lasting, other_factors=other
        )

    k1 = timber.PERMANENT_DURATION_AS
    return Allowed(
        bending=stress(grade.bending, moisture * steady, k1),
        shear=stress(grade.shear, moisture, k1),
        bearing=stress(grade.compression_across, moisture, k1),
        load_factor=timber.PERMANENT_LOAD_FACTOR,
        route="limit state",
        code=AS,
        factors=(("phi", phi), ("k1", k1), ("k4", moisture), ("k12", steady)),
        missing=named(grade, ("bending", "shear", "compression_across")),
    )


def allowed_nds(grade: Grade, section: Section, tilts: Metre, service_class: int) -> Allowed:
    """By allowable-stress design of the NDS; `tilts` as above."""
    size = size_nds(grade, section)
    if size is None:
        return nothing(grade, f"{grade.name} is not in the table for a section this large")
    wet = wet_nds(grade, size, service_class)
    lasting = timber.PERMANENT_DURATION_NDS

    def stress(reference: float | None, other: float, duration: float) -> float | None:
        if reference is None:
            return None
        return timber.working_stress_nds(reference=reference, duration_factor=duration, other_factors=other)

    bending = stress(grade.bending, size[0] * wet["bending"], lasting)
    steady = 1.0
    untold: tuple[str, ...] = ()
    if tilts and bending is not None and grade.stiffness_low:
        effective = 1.63 * tilts + 3.0 * section.wide
        if effective * section.wide > (columns.LONGEST_NDS * section.thin) ** 2:
            untold = ("it is too tall and thin for its code while nothing holds its top edge",)
        else:
            steady = timber.beam_stability_nds(
                breadth=section.thin, depth=section.wide, free_length=tilts, strength=bending,
                stiffness_low=grade.stiffness_low * wet["stiffness"],
            )  # fmt: skip
    return Allowed(
        bending=None if bending is None or untold else bending * steady,
        shear=stress(grade.shear, wet["shear"], lasting),
        bearing=stress(grade.compression_across, wet["compression_across"], 1.0),
        load_factor=1.0,
        route="allowable stress",
        code=NDS,
        factors=(("CD", lasting), ("CF", size[0]), ("CM", wet["bending"]), ("CL", steady)),
        missing=(*named(grade, ("bending", "shear", "compression_across")), *untold),
    )


def size_nds(grade: Grade, section: Section) -> tuple[float, float] | None:
    """Size factors of bending and compression; None for a section deeper than its grade is made."""
    table = _STUD_SIZES_NDS if "Stud" in grade.name else _SIZES_NDS
    inches = section.wide / INCH
    return next(((bend, push) for deepest, bend, push in table if inches <= deepest + 0.02), None)


def wet_nds(grade: Grade, size: tuple[float, float], service_class: int) -> dict[str, float]:
    """Factors of wet service, all 1 where it is dry; weak grades lose nothing in bending and compression."""
    if service_class < 3:
        return dict.fromkeys(timber.WET_FACTORS_NDS, 1.0)
    wet = dict(timber.WET_FACTORS_NDS)
    psi = parse_in_unit("1 psi", "Pa")
    for name, factor in zip(("bending", "compression"), size, strict=True):
        reference = getattr(grade, name)
        if reference is not None and reference * factor <= _DRY_ENOUGH_NDS[name] * psi:
            wet[name] = 1.0
    return wet


def allowed_steel(grade: Grade, section: Section) -> Allowed:
    """By EN 1993-1-1, elastic."""
    if grade.bending is None:
        return nothing(grade, f"yield strength of {grade.name}")
    if section.is_tube and not wall_holds(grade, section):
        return nothing(grade, "its wall is so thin that it buckles by itself: outside this screening")
    stress = grade.bending / timber.PERMANENT_LOAD_FACTOR
    return Allowed(
        bending=stress, shear=stress / math.sqrt(3.0), bearing=None, load_factor=timber.PERMANENT_LOAD_FACTOR,
        route="limit state", code=STEEL, factors=(("gammaM0", 1.0),),
    )  # fmt: skip


def wall_holds(grade: Grade, section: Section) -> bool:
    """A tube's flat sides, pushed evenly, are no wider than 42 walls of S235.

    Source: EN 1993-1-1 table 5.2, class 3.
    """
    stretch = math.sqrt(235e6 / (grade.bending or 235e6))
    return section.wide - 3.0 * section.wall <= 42.0 * stretch * section.wall
