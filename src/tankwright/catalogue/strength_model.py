"""What a bar may bear, in words every code of timber and steel shares, and the factors those codes have by damp."""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType
from typing import Final, Literal

from tankwright.catalogue.grades import Family, Grade
from tankwright.physics import timber_strength as timber
from tankwright.units import Dimensionless, Newton, Pascal

By = Literal["limit state", "allowable stress"]
Factors = tuple[tuple[str, Dimensionless], ...]

EN: Final = "EN 1995-1-1"
STEEL: Final = "EN 1993-1-1"
AS: Final = "AS 1720.1"
NDS: Final = "NDS"

PERMANENT_DURATION: Final[MappingProxyType[Family, tuple[float | None, ...]]] = MappingProxyType(
    {
        "solid": (0.6, 0.6, 0.5),
        "plywood": (0.6, 0.6, 0.5),
        "OSB": (0.4, 0.3, None),
        "particleboard": (0.3, 0.2, None),
        "dry particleboard": (0.3, None, None),
        "MDF": (0.2, None, None),
        "steel": (1.0, 1.0, 1.0),
    }
)
"""kmod of permanent load by service class; None: not for that class. Source: EN 1995-1-1 table 3.1; solid timber as
a public repository holds it, boards from memory."""
MOISTURE_AS: Final = (1.0, 0.85, 0.7)
"""k4 of seasoned timber that stands at up to 15, 20 and 25 % moisture. Source: AS 1720.1 2.4.2.3, from memory."""
BOARD_FACTOR: Final[MappingProxyType[Family, float]] = MappingProxyType({"plywood": 1.2, "OSB": 1.2})
"""gammaM of boards that are not 1.3. Source: EN 1995-1-1 table 2.3, from memory."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Allowed:
    """Stresses the weight as it is may cause for good. `bearing` is across the grain, where a bar rests; None for
    steel, which timber crushes under first. `factors` are what was counted, by their code's names; `missing` says
    what could not be told, and why.
    """

    bending: Pascal | None
    shear: Pascal | None
    bearing: Pascal | None
    load_factor: Dimensionless
    route: By
    code: str
    factors: Factors = ()
    missing: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PostCapacity:
    """Weight a post on pins may carry for good; None where it could not be told, `missing` says why.

    `crushing` is the same with no bowing, `factor` the share bowing leaves, `slenderness` the free length over the
    radius of gyration the way it bows: towards its "thin" or its "wide" side.
    """

    force: Newton | None
    crushing: Newton | None
    factor: Dimensionless | None
    slenderness: Dimensionless
    bows: Literal["thin", "wide"]
    load_factor: Dimensionless
    route: By
    code: str
    factors: Factors = ()
    missing: tuple[str, ...] = ()


def nothing(grade: Grade, why: str) -> Allowed:
    """Nothing can be told, and why."""
    return Allowed(
        bending=None, shear=None, bearing=None, load_factor=_load_factor(grade), route=_by(grade),
        code=_code(grade), missing=(why,),
    )  # fmt: skip


def _by(grade: Grade) -> By:
    return "allowable stress" if grade.route == "NDS" else "limit state"


def _code(grade: Grade) -> str:
    return {"steel": STEEL, "AS 1720.1": AS, "NDS": NDS}.get(grade.route, EN)


def _load_factor(grade: Grade) -> float:
    return 1.0 if grade.route == "NDS" else timber.PERMANENT_LOAD_FACTOR


def named(grade: Grade, wanted: tuple[str, ...]) -> tuple[str, ...]:
    """What a grade's line of the table lacks, in words."""
    words = {
        "compression_across": "strength across the grain",
        "compression": "strength along it in compression",
    }
    lacking = (one for one in wanted if getattr(grade, one) is None)
    return tuple(f"{words.get(one, one + ' strength')} of {grade.name}" for one in lacking)
