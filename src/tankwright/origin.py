"""Where a value comes from: given by the owner, measured in the room, derived, or assumed over a band.

A guess must never look like a fact, so every physical input of the room is a `Known`: the number in SI units
and how it is known.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum


class Origin(StrEnum):
    """How a value is known."""

    GIVEN = "given"
    MEASURED = "measured"
    DERIVED = "derived"
    ASSUMED = "assumed"


@dataclass(frozen=True, slots=True)
class Known:
    """One number in SI units and how it is known.

    `line` is the line of the plan it was read from (None when the plan does not say it).
    `key` names the assumption (`catalogue.assumptions`) when the value is assumed; `band` is then its range.

    >>> Known(0.006, Origin.GIVEN, line=12).value
    0.006
    """

    value: float
    origin: Origin
    line: int | None = None
    measured_on: date | None = None
    key: str = ""
    band: tuple[float, float] | None = None
    reason: str = ""

    @property
    def is_assumed(self) -> bool:
        """True when the value is a default nobody has confirmed."""
        return self.origin is Origin.ASSUMED


def derived(value: float, reason: str = "") -> Known:
    """A value worked out from others, for example from the position of a rack.

    >>> derived(1.5, "along the wall").origin
    <Origin.DERIVED: 'derived'>
    """
    return Known(value, Origin.DERIVED, reason=reason)
