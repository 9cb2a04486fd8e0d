"""What carries the room's weight, as it is built: braces of glass, sections of timber and steel, joists. Frozen.

None where the plan does not say it; nothing here is guessed.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from tankwright.catalogue.grades import Grade
from tankwright.catalogue.sections import BoardName, Section
from tankwright.origin import Known
from tankwright.units import Kilogram, Metre, Second


@dataclass(frozen=True, slots=True, kw_only=True)
class BracePlace:
    """Glass that braces the top of a tank: `count` cross strips evenly spaced, or strips along the whole rim."""

    kind: Literal["cross", "euro"]
    count: int
    width: Known
    thickness: Known


@dataclass(frozen=True, slots=True, kw_only=True)
class GlassLaws:
    """What every pane is worked out with: Pa, Poisson's ratio, and the tensions it is let bear for years."""

    stiffness: Known
    poisson: Known
    working_surface: Known
    working_edge: Known


@dataclass(frozen=True, slots=True, kw_only=True)
class Member:
    """One kind of bar of a rack: what its owner wrote, and what the catalogue or the owner knows of it.

    `section` is None where the text could not be read, `grade` where none is named or known.
    """

    text: str
    section: Section | None
    grade: Grade | None


@dataclass(frozen=True, slots=True, kw_only=True)
class SagReading:
    """One sag a straight edge showed. `carries` is None for the plan's own weight."""

    shelf: int
    bearer: Literal["front", "middle", "back"]
    sag: Known
    carries: Kilogram | None
    days: Second | None


@dataclass(frozen=True, slots=True, kw_only=True)
class RackBuilt:
    """What a rack is built of. `material` is the table it was said in; `read_off` is True where it was read off a
    sentence, which can be misread.
    """

    material: Literal["timber", "steel"]
    uprights: Member | None = None
    bearers: Member | None = None
    bearers_under: int = 2
    cross: Member | None = None
    cross_every: Known | None = None
    board: BoardName | None = None
    board_grade: Grade | None = None
    brace: Literal["diagonal", "board", "none"] = "none"
    service_class: Known | None = None
    bearers_rest: Literal["bracket", "notch", "block"] | None = None
    read_off: bool = False
    line: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class JoistsPlace:
    """Joists under a floor. `start` and `end` bound their span along the way they run, in the plan's frame."""

    member: Member
    every: Known
    run: Literal["north-south", "east-west"]
    start: Metre
    end: Metre
    line: int | None = None
