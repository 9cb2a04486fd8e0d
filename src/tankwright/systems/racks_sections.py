"""What section would do for the bearers of a rack: each that is offered, tried in their place under the same tanks."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

from tankwright.catalogue.grades import Grade, find_grade
from tankwright.catalogue.sections import Section, read_section
from tankwright.physics.ranges import OutsideValidRange
from tankwright.room.model import RackBuilt, RackPlace, Room
from tankwright.room.model_structure import Member
from tankwright.systems.racks_beams import Laws, bearers_of, laws_of
from tankwright.systems.racks_loads import Grid, Standing, grid_of, shelves_of
from tankwright.systems.racks_model import Use
from tankwright.units import Kilogram

STRENGTH: Final = ("bending", "shear", "bearing")

USUAL: Final[dict[str, tuple[str, ...]]] = {
    "EN 338": ("45x70", "45x95", "45x120", "45x145", "45x170", "45x195", "45x220"),
    "AS 1720.1": ("70x35", "90x35", "90x45", "120x45", "140x45", "190x45", "240x45"),
    "NDS": ("2x3", "2x4", "2x6", "2x8", "2x10", "2x12"),
    "steel": (
        "30 mm x 30 mm x 2 mm", "40 mm x 40 mm x 2 mm", "50 mm x 30 mm x 2 mm", "60 mm x 40 mm x 2 mm",
        "80 mm x 40 mm x 3 mm", "100 mm x 50 mm x 3 mm",
    ),
}  # fmt: skip
"""Sizes that timber yards and steel dealers usually keep, smallest first. Source: common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SectionTried:
    """One section in place of a rack's bearers: `strength` is its worst share of what it may bear, `sag` of what it
    may sag after years; None where it could not be judged. `holds` only says that neither share is over 1.
    """

    section: Section
    grade: Grade
    strength: Use | None
    sag: Use | None

    @property
    def holds(self) -> bool:
        """Judged, and within both."""
        return (
            self.strength is not None
            and self.strength.share <= 1.0
            and self.sag is not None
            and self.sag.share <= 1.0
        )


def sections_that_hold(
    room: Room, rack: RackPlace, masses: Mapping[str, Kilogram], candidates: Iterable[str]
) -> tuple[SectionTried, ...]:
    """Each candidate that can be read ("45x95 C24") tried as the bearers of a rack, in their order; `holds` tells which
    would do. One without a grade is tried in the grade of the rack's own. Empty where the rack is not built here.
    """
    built = rack.built
    if built is None:
        return ()
    shelves = shelves_of(room, rack, masses)
    own = built.bearers.grade if built.bearers else None
    laws = laws_of(room)
    found = []
    for text in candidates:
        section = read_section(text)
        if section is None:
            continue
        grade = find_grade(section.grade) if section.grade else own
        if grade is None:
            continue
        grid = grid_of(rack, built.bearers_under, section.thin)
        if grid is not None:
            found.append(
                tried(
                    rack,
                    replace(built, bearers=Member(text=text, section=section, grade=grade)),
                    grid,
                    shelves,
                    laws,
                )
            )
    return tuple(found)


def tried(
    rack: RackPlace, built: RackBuilt, grid: Grid, shelves: Mapping[int, Sequence[Standing]], laws: Laws
) -> SectionTried:
    """The bearers a rack would have, judged."""
    try:
        uses = [use for beam in bearers_of(rack, built, grid, shelves, laws) for use in beam.uses]
    except OutsideValidRange:
        uses = []  # what cannot be worked out does not pass
    member = built.bearers
    if member is None or member.section is None or member.grade is None:
        raise ValueError("a section that is tried has its sizes and its grade")
    return SectionTried(
        section=member.section,
        grade=member.grade,
        strength=max((one for one in uses if one.check in STRENGTH), key=lambda one: one.share, default=None),
        sag=max((one for one in uses if one.check == "sag"), key=lambda one: one.share, default=None),
    )


def usual_that_holds(
    rack: RackPlace, built: RackBuilt, shelves: Mapping[int, Sequence[Standing]], laws: Laws
) -> str:
    """The smallest of the usual sizes in the grade of a rack's bearers that would do; "" where none does."""
    member = built.bearers
    if member is None or member.grade is None:
        return ""
    for text in USUAL.get(member.grade.route, ()):
        whole = f"{text} {member.grade.name}"
        section = read_section(whole)
        grid = grid_of(rack, built.bearers_under, section.thin) if section else None
        if section is None or grid is None:
            continue
        other = replace(built, bearers=Member(text=whole, section=section, grade=member.grade))
        if tried(rack, other, grid, shelves, laws).holds:
            return whole
    return ""
