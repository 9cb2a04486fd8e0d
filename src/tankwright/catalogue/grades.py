"""Grades of timber, boards and steel: what a code lets them carry, with its edition and source."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from tankwright.units import KilogramPerCubicMetre, Pascal


@dataclass(frozen=True, slots=True, kw_only=True)
class Grade:
    """One grade. Strengths are characteristic (5 %) values for EN 338 and AS 1720.1, yield for steel, and
    reference design values of allowable-stress design for NDS; `route` says which. None: not known, not computed.
    """

    name: str
    route: Literal["EN 338", "AS 1720.1", "NDS", "steel", "board", "own"]
    bending: Pascal | None = None
    shear: Pascal | None = None
    compression: Pascal | None = None
    compression_across: Pascal | None = None
    stiffness: Pascal | None = None
    stiffness_low: Pascal | None = None
    density: KilogramPerCubicMetre | None = None
    source: str = ""
