"""What a reader or a check has to say: one frozen record, its numbers kept apart from its words.

The sentence of a finding may name its numbers in braces; a view fills them in the reader's own units
(`display.words`), so no finding carries a rounded or converted figure inside its text.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Severity(StrEnum):
    """How much a finding matters, worst first."""

    PROBLEM = "problem"
    WARNING = "warning"
    NOTE = "note"
    NOT_COMPUTED = "not computed"


@dataclass(frozen=True, slots=True)
class Number:
    """A number in SI units with the dimension that says how a view may show it (see `units.DIMENSIONS`)."""

    value: float
    dimension: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One thing the tool has to say about the plan or the room.

    `code` is permanent (SYSTEM-NN, never reused). `subject` is the thing by its owner's name ("tank A3").
    `text` says what is so, with `{name}` where a number of `numbers` belongs. `reason` says why it matters,
    `remedy` what to do. `value` and `limit` are the two numbers compared, when there are two.
    `places` are ids of things in the room that a drawing can light. `rests_on` are keys of the assumptions
    the verdict stands on. `found`, `wanted` and `attempt` are for mistakes in the text of a plan.

    >>> Finding(code="DRAIN-01", severity=Severity.WARNING, subject="drain main", text="runs {depth} full",
    ...         numbers=(("depth", Number(0.8, "share")),)).code
    'DRAIN-01'
    """

    code: str
    severity: Severity
    subject: str
    text: str
    numbers: tuple[tuple[str, Number], ...] = ()
    value: Number | None = None
    limit: Number | None = None
    reason: str = ""
    remedy: str = ""
    source: str = ""
    line: int | None = None
    places: tuple[str, ...] = ()
    rests_on: tuple[str, ...] = ()
    found: str = ""
    wanted: str = ""
    attempt: str = ""
