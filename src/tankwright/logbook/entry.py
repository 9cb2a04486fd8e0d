"""What is wrong with drafts before they are recorded, held against what the book knows. All of it in one pass."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta
from typing import Final

from sqlalchemy import Connection, select

from tankwright.finding import Finding
from tankwright.husbandry.kinds import shape_faults
from tankwright.husbandry.records import Event
from tankwright.logbook.entry_names import label_faults, name_faults
from tankwright.logbook.entry_numbers import closing_faults, number_faults
from tankwright.logbook.entry_things import thing_faults, things_after, unopened_faults
from tankwright.logbook.refusing import problem
from tankwright.logbook.rows import events_of
from tankwright.logbook.schema import EVENT, VOIDED

FUTURE: Final = "LOG-03"
NO_EVENT: Final = "LOG-05"
VOID_OF_VOID: Final = "LOG-06"
VOIDED_ALREADY: Final = "LOG-07"

AHEAD: Final = timedelta(minutes=5)
"""How far ahead a clock may be before its time is not believed; our choice, no source."""


def entry_faults(
    connection: Connection, events: Sequence[Event], now: datetime, *, checked: bool = True
) -> Iterator[Finding]:
    """All that is wrong with events that are about to be recorded. Without `checked` only what can never be: what was
    made elsewhere and is put together with this book later is kept, and what cannot have been is listed as conflict."""
    broken = False
    for event in events:
        for fault in shape_faults(event):
            broken = True
            yield fault
        if event.happened.tzinfo is not None and event.happened - now > AHEAD:
            yield problem(FUTURE, event, "lies ahead of now", subject="moment", wanted="a moment that has been",
                          found=event.happened.isoformat(timespec="minutes"))  # fmt: skip
    voided = _voided(connection, events)
    yield from _void_faults(connection, events, voided)
    if checked:
        yield from name_faults(connection, events)
    if broken:
        return  # what follows takes events to be well formed
    things, faults = things_after(connection, events, voided)
    yield from faults
    if checked and not faults:
        yield from label_faults(connection, things)
        yield from thing_faults(connection, events, things)
        yield from unopened_faults(connection, voided, things)
        yield from closing_faults(connection, events, voided)
        yield from number_faults(connection, events, voided)


def _voided(connection: Connection, events: Sequence[Event]) -> tuple[Event, ...]:
    ids = sorted({event.voids for event in events if event.voids})
    if not ids:
        return ()
    return events_of(connection, connection.execute(select(EVENT).where(EVENT.c.id.in_(ids))).fetchall())


def _void_faults(
    connection: Connection, events: Sequence[Event], voided: Sequence[Event]
) -> Iterator[Finding]:
    there = {event.id: event for event in voided}
    gone = set(
        connection.execute(select(VOIDED.c.event).where(VOIDED.c.event.in_(sorted(there)))).scalars()
        if there else ()
    )  # fmt: skip
    times = Counter(event.voids for event in events if event.voids)
    for event in events:
        if not event.voids:
            continue
        if event.voids not in there:
            yield problem(NO_EVENT, event, "names an event the book does not have", found=event.voids)
        elif there[event.voids].kind == "voided":
            yield problem(
                VOID_OF_VOID, event, "would void a voiding", wanted="a new event that says what is so"
            )
        elif event.voids in gone:
            yield problem(VOIDED_ALREADY, event, "names an event that was voided before", found=event.voids)
        elif times[event.voids] > 1:
            times[event.voids] -= 1
            yield problem(
                VOIDED_ALREADY, event, "voids an event that is voided here already", found=event.voids
            )
