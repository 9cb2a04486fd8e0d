"""What was written down wrongly put right: the event is voided with a reason, and what is so stands in its place."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from typing import TYPE_CHECKING, Final

from tankwright.husbandry.kinds import SHAPES
from tankwright.husbandry.records import Draft, Event, Flow
from tankwright.logbook.outcome import Recorded, Refused
from tankwright.workspace.keeping import Hand, checked_number, do, wrong_value
from tankwright.workspace.naming import NO_SUCH, WrongError
from tankwright.workspace.outcomes import trouble

if TYPE_CHECKING:
    from tankwright.logbook.store import Logbook

_FIELDS: Final = tuple(Draft.__dataclass_fields__)
NUMBERED: Final = frozenset({"born", "arrived", "died", "culled", "left", "moved", "counted", "estimated"})
"""Kinds of events that are of a number of fish, which alone may have been wrong."""


def event_asked(book: Logbook, name: str) -> Event:
    """The event of that id, or with that number. Raises WrongError for none, and for one that was voided."""
    from tankwright.logbook.listing import event_numbered, voided_by  # noqa: PLC0415 - brings the database along

    asked = name.strip()
    event = event_numbered(book, int(asked)) if asked.isdecimal() and len(asked) < 16 else book.event(asked)
    if event is None:
        raise WrongError(
            trouble(NO_SUCH, "logbook", "has no such event", found=asked[:40], wanted="one of those listed")
        )
    if event.kind == "voided":
        raise WrongError(wrong_value(
            "entry", "cannot be struck out or changed: it strikes out another itself", found=asked[:40],
            wanted="a new entry that says what is so",
        ))  # fmt: skip
    if event.id in voided_by(book, [event.id]):
        raise WrongError(
            wrong_value("event", "was voided before", found=asked[:40], wanted="one that still holds")
        )
    return event


def struck(hand: Hand, name: str, reason: str) -> Recorded | Refused:
    """An event does not hold, with all that was recorded together with it; why must be said."""
    from tankwright.logbook.listing import in_batch, voided_by  # noqa: PLC0415 - brings the database along

    def make(book: Logbook, _: datetime) -> list[Draft]:
        event = event_asked(book, name)
        together = in_batch(book, event.batch) or (event,)
        gone = voided_by(book, (one.id for one in together))
        return [
            _voiding(hand, one, reason)
            for one in reversed(together)
            if one.kind != "voided" and one.id not in gone
        ]

    return do(hand, make)


def corrected(
    hand: Hand, name: str, reason: str, *, number: int | None = None, note: str | None = None,
    happened: datetime | None = None,
) -> Recorded | Refused:  # fmt: skip
    """An event holds with another number of fish, another note or another moment; all else stays as it was."""

    def make(book: Logbook, _: datetime) -> list[Draft]:
        event = event_asked(book, name)
        instead = Draft(**{name: getattr(event, name) for name in _FIELDS})
        if number is not None:
            instead = _numbered(instead, number)
        if note is not None:
            instead = replace(instead, note=note)
        if happened is not None:
            instead = replace(instead, happened=happened)
        return [_voiding(hand, event, reason), instead]

    return do(hand, make)


def _voiding(hand: Hand, event: Event, reason: str) -> Draft:
    if not reason.strip():
        raise WrongError(
            wrong_value("entry", "is struck out for no reason", wanted="a few words why it does not hold")
        )
    return Draft(kind="voided", happened=hand.log.now(), voids=event.id, reason=reason, place=event.place,
                 stock=event.stock, line=event.line)  # fmt: skip


def _numbered(draft: Draft, number: int) -> Draft:
    """The same with another number of fish. Raises WrongError for what is of no number."""
    if draft.kind not in NUMBERED:
        raise WrongError(
            wrong_value(
                "entry", f'"{SHAPES[draft.kind].says}" is of no number of fish', wanted="a note or a moment"
            )
        )
    checked_number(number, "event", least=0 if draft.kind == "counted" else 1)
    flows = tuple(
        Flow(
            stock=one.stock,
            account=one.account,
            place=one.place,
            quantity=number if one.quantity > 0 else -number,
        )
        for one in draft.flows
    )
    seen = tuple(
        replace(one, value=float(number), low=None, high=None) if one.quantity in {"count", "dead"} else one
        for one in draft.observed
    )
    return replace(draft, flows=flows, observed=seen)
