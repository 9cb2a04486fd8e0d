"""What an open plan answers: its state at one moment, and what became of an edit."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Final

from tankwright.finding import Finding, Severity
from tankwright.workspace.opened import Opened

GONE: Final = "LIVE-01"
NOT_STORED: Final = "LIVE-02"
NOTHING_TO_UNDO: Final = "LIVE-03"
NO_SUCH_REVISION: Final = "LIVE-04"
THERE_ALREADY: Final = "LIVE-05"
NO_TEXT: Final = "LIVE-06"
OWN_FAULT: Final = "LIVE-07"


@dataclass(frozen=True, slots=True, kw_only=True)
class Snapshot:
    """The plan at one revision, worked out. Number 0 and an empty text: there is no plan yet.

    `read` is what follows from the text. `good` is the newest revision that could be laid out, with its number:
    it is `read` itself unless the text is broken. `trouble` says what is wrong with the file right now, when it
    is gone or holds no text: then `text` is the last one known, and nothing is written.
    """

    number: int
    text: str
    hash: str
    at: datetime
    who: str
    what: str
    read: Opened
    good: Opened | None
    good_number: int | None
    undo_steps: int
    redo_steps: int
    trouble: Finding | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Applied:
    """The edit stands, as revision `number`. `repeated`: its key had come before, and nothing was done again."""

    snapshot: Snapshot
    number: int
    repeated: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Conflict:
    """The edit was made from another revision than the newest; nothing was changed. Both values, as written."""

    snapshot: Snapshot
    yours: str
    theirs: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Refused:
    """The edit cannot stand; nothing was changed, and the findings say why."""

    snapshot: Snapshot
    findings: tuple[Finding, ...]


Outcome = Applied | Conflict | Refused


def trouble(
    code: str, subject: str, text: str, *, wanted: str = "", attempt: str = "", found: str = ""
) -> Finding:
    """A finding about the plan's file or about what was asked, not about the room."""
    return Finding(
        code=code, severity=Severity.PROBLEM, subject=subject, text=text, wanted=wanted, attempt=attempt,
        found=found,
    )  # fmt: skip
