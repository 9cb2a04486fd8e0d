"""The chain of seals: every event is sealed over the one before, so that a change behind the book's back shows.

It shows whoever did not make all later seals anew as well. Against that stands the newest seal on paper.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import timedelta
from typing import Final

from sqlalchemy import Connection, select

from tankwright.finding import Finding
from tankwright.husbandry.records import Event
from tankwright.logbook.codec import FIRST_SEAL, seal_of
from tankwright.logbook.outcome import trouble
from tankwright.logbook.rows import events_of
from tankwright.logbook.schema import EVENT

BROKEN: Final = "LOG-32"
_AT_ONCE: Final = 2_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Verified:
    """What a look at all seals gave. `seal` is that of the newest event: written on paper with its serial, it shows
    later that nothing before it was changed. `broken` is the first serial that is not as it was recorded, None when
    all are. `back` are serials recorded by a clock that stood before that of the event before."""

    events: int
    serial: int
    seal: str
    broken: int | None = None
    back: tuple[int, ...] = ()
    findings: tuple[Finding, ...] = ()


def in_serial_order(connection: Connection, *, after: int = 0) -> Iterator[Event]:
    """All events in the order they came to the book, a few thousand in memory at a time."""
    while True:
        rows = connection.execute(
            select(EVENT).where(EVENT.c.serial > after).order_by(EVENT.c.serial).limit(_AT_ONCE)
        ).fetchall()
        yield from events_of(connection, rows)
        if len(rows) < _AT_ONCE:
            return
        after = rows[-1].serial


def verified(connection: Connection, *, serial: int = 0, seal: str = "") -> Verified:
    """Every seal made anew and compared; and the one of `serial` with `seal` from paper."""
    before, events = FIRST_SEAL, 0
    last: Event | None = None
    back: list[int] = []
    for event in in_serial_order(connection):
        events += 1
        why = ""
        if event.serial != events:
            why = f"number {events} is not there"
        elif seal_of(event, before) != event.hash:
            why = "it does not say what it said when it was recorded, or one before it was taken out"
        elif event.serial == serial and event.hash != seal:
            why = "its seal is not the one on paper"
        if why:
            return Verified(
                events=events, serial=last.serial if last else 0, seal=before, broken=events, back=tuple(back),
                findings=(_broken(events, why),),
            )  # fmt: skip
        if last is not None and last.recorded - event.recorded > timedelta():
            back.append(event.serial)
        before, last = event.hash, event
    if serial > events:
        return Verified(
            events=events, serial=events, seal=before, broken=events + 1, back=tuple(back),
            findings=(_broken(events + 1, f"the paper names number {serial}, which is not there"),),
        )  # fmt: skip
    return Verified(events=events, serial=events, seal=before, back=tuple(back))


def _broken(serial: int, why: str) -> Finding:
    return trouble(
        BROKEN, f"was changed from outside at number {serial}: {why}", found=f"number {serial}",
        wanted="what was recorded",
        remedy="compare with a backup or an export of before; what stands before that number is as it was",
    )  # fmt: skip
