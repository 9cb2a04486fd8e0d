"""What happened as pages list it: each event in words, struck through when it was voided, with who, when and why."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING, Final

from tankwright.husbandry.records import Event
from tankwright.workspace.event_words import event_words
from tankwright.workspace.keeping_mending import NUMBERED

if TYPE_CHECKING:
    from tankwright.logbook.store import Logbook

LATER: Final = timedelta(minutes=10)
"""From when on an entry counts as typed in later; our choice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Happened:
    """One thing that happened, as a row. `number` is its number of fish where that alone can be corrected; `why`,
    `struck_by` and `struck_at` are of one that was struck out. `revision` is of an edit of the plan."""

    at: datetime
    says: str
    who: str
    event: str = ""
    serial: int = 0
    kind: str = ""
    place: str = ""
    recorded: datetime | None = None
    device: str = ""
    photo: str = ""
    is_numbered: bool = False
    why: str = ""
    struck_by: str = ""
    struck_at: datetime | None = None
    revision: int | None = None

    @property
    def is_late(self) -> bool:
        """True when it was typed in some time after it happened."""
        return self.recorded is not None and self.recorded - self.at > LATER


def shown(book: Logbook, events: Iterable[Event]) -> tuple[Happened, ...]:
    """Events as rows."""
    from tankwright.logbook.listing import labels_of, voided_by  # noqa: PLC0415 - brings the database along

    kept = list(events)
    labels = labels_of(book, kept)
    gone = voided_by(book, (one.id for one in kept))
    rows = []
    for one in kept:
        voiding = gone.get(one.id)
        rows.append(
            Happened(
                at=one.happened, says=event_words(one, labels), who=one.who, event=one.id, serial=one.serial,
                kind=one.kind, place=labels.get(one.place, ""), recorded=one.recorded, device=one.device,
                photo=str(one.details.get("photo") or ""), is_numbered=one.kind in NUMBERED,
                why="" if voiding is None else voiding.reason,
                struck_by="" if voiding is None else voiding.who,
                struck_at=None if voiding is None else voiding.recorded,
            )
        )  # fmt: skip
    return tuple(rows)


def day_of(text: str) -> date | None:
    """A day as an address has it; None for what is none.

    >>> day_of("2026-08-02"), day_of("soon")
    (datetime.date(2026, 8, 2), None)
    """
    try:
        return date.fromisoformat(text.strip()[:10])
    except ValueError:
        return None
