"""What comes of writing to a logbook, and what is said when there is none to write to. Loads no database."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from tankwright.finding import Finding, Severity
from tankwright.husbandry.records import Event
from tankwright.husbandry.register import ConflictFound

NOT_KEPT: Final = "LOG-09"
NO_LOGBOOK: Final = "LOG-10"
NEWER: Final = "LOG-11"
ONLY_READ: Final = "LOG-12"
HELD: Final = "LOG-13"


@dataclass(frozen=True, slots=True, kw_only=True)
class By:
    """Who records: `key` is a text of the sender's own for one submission, so that it may be sent again."""

    who: str
    device: str = ""
    key: str = ""
    offset: int = 0
    plan_revision: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Recorded:
    """The events stand. `repeated`: their key had come before, and these were recorded then. `conflicts` are those
    that these events made: what cannot have been."""

    events: tuple[Event, ...]
    repeated: bool = False
    conflicts: tuple[ConflictFound, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Refused:
    """Nothing was recorded; why."""

    findings: tuple[Finding, ...]


class NoLogbookError(Exception):
    """The logbook cannot be had; `findings` say why and what to do. What is in it was not touched."""

    def __init__(self, *findings: Finding) -> None:
        super().__init__("; ".join(f"{one.subject} {one.text}" for one in findings))
        self.findings = findings


def trouble(
    code: str, text: str, *, subject: str = "logbook", found: str = "", wanted: str = "", remedy: str = "",
    severity: Severity = Severity.PROBLEM,
) -> Finding:  # fmt: skip
    """A finding about the book itself.

    >>> trouble(NO_LOGBOOK, "is no database", found="a picture").code
    'LOG-10'
    """
    return Finding(
        code=code, severity=severity, subject=subject, text=text, found=found, wanted=wanted, remedy=remedy
    )
