"""A refusal of an event: what it is of, what was found, what was wanted."""

from __future__ import annotations

from tankwright.finding import Finding, Severity
from tankwright.husbandry.records import Draft


def problem(
    code: str, event: Draft, text: str, *, subject: str = "", wanted: str = "", found: str = "", remedy: str = "",
    places: tuple[str, ...] = (),
) -> Finding:  # fmt: skip
    """Why an event is not recorded; its subject is its kind when nothing else is said.

    >>> from datetime import UTC, datetime
    >>> problem("LOG-03", Draft(kind="looked", happened=datetime(2026, 8, 2, tzinfo=UTC)), "lies ahead").subject
    'looked'
    """
    return Finding(
        code=code, severity=Severity.PROBLEM, subject=subject or str(event.kind), text=text, found=found, wanted=wanted,
        remedy=remedy, places=places,
    )  # fmt: skip
