"""Events as they are listed: by the order they came to the book, by what they are of, with what voids them."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from datetime import datetime
from typing import Any, Final

from sqlalchemy import or_, select

from tankwright.husbandry.records import Event, Kind
from tankwright.logbook.engine import reading
from tankwright.logbook.ids import micros
from tankwright.logbook.queries import Queries
from tankwright.logbook.rows import events_of
from tankwright.logbook.schema import EVENT, FLOW, THING, VOIDED

_AT_ONCE: Final = 500


def event_numbered(book: Queries, serial: int) -> Event | None:
    """The event with that place in the order they came to the book."""
    with reading(book.engine) as connection:
        rows = connection.execute(select(EVENT).where(EVENT.c.serial == serial)).fetchall()
        return next(iter(events_of(connection, rows)), None)


def newest_recorded(
    book: Queries, *, kinds: Collection[Kind], before: int | None = None, limit: int | None = None,
    place: str | None = None,
) -> tuple[Event, ...]:  # fmt: skip
    """Events of some kinds, voided ones too, the last recorded first; only those with serials below `before`."""
    query = select(EVENT).where(EVENT.c.kind.in_(tuple(kinds))).order_by(EVENT.c.serial.desc())
    if before is not None:
        query = query.where(EVENT.c.serial < before)
    if place is not None:
        query = query.where(EVENT.c.place == place)
    if limit is not None:
        query = query.limit(limit)
    with reading(book.engine) as connection:
        return events_of(connection, connection.execute(query).fetchall())


def events_named(book: Queries, ids: Iterable[str]) -> dict[str, Event]:
    """Events by their ids."""
    found: dict[str, Event] = {}
    wanted = sorted(set(ids))
    with reading(book.engine) as connection:
        for start in range(0, len(wanted), _AT_ONCE):
            part = wanted[start : start + _AT_ONCE]
            rows = connection.execute(select(EVENT).where(EVENT.c.id.in_(part))).fetchall()
            found |= {one.id: one for one in events_of(connection, rows)}
    return found


def voided_by(book: Queries, ids: Iterable[str]) -> dict[str, Event]:
    """Of some events those that were voided, each with the event that voids it."""
    wanted = sorted(set(ids))
    by: dict[str, str] = {}
    with reading(book.engine) as connection:
        for start in range(0, len(wanted), _AT_ONCE):
            part = wanted[start : start + _AT_ONCE]
            query = select(VOIDED.c.event, VOIDED.c.by).where(VOIDED.c.event.in_(part))
            by |= {row.event: row.by for row in connection.execute(query)}
    events = events_named(book, by.values())
    return {event: events[voiding] for event, voiding in by.items() if voiding in events}


def in_batch(book: Queries, batch: str) -> tuple[Event, ...]:
    """All events that were recorded in one submission, in their order."""
    if not batch:
        return ()
    with reading(book.engine) as connection:
        rows = connection.execute(
            select(EVENT).where(EVENT.c.batch == batch).order_by(EVENT.c.serial)
        ).fetchall()
        return events_of(connection, rows)


def happenings(  # noqa: PLR0913 - each narrows what is found
    book: Queries, *, place: str = "", stocks: Collection[str] | None = None, line: str = "",
    kinds: Collection[Kind] = (), but: Collection[Kind] = (), who: str = "", since: datetime | None = None,
    until: datetime | None = None, limit: int = 50, skip: int = 0, only_standing: bool = False,
) -> tuple[Event, ...]:  # fmt: skip
    """What happened, the newest first, voided events too and without the voidings; narrowed by whatever is given.

    A place or a stock finds what is of it and what brought fish into it.
    """
    query: Any = select(EVENT).where(EVENT.c.kind != "voided")
    if place:
        through = select(FLOW.c.event).where(FLOW.c.place == place)
        query = query.where(or_(EVENT.c.place == place, EVENT.c.id.in_(through)))
    if stocks is not None:
        through = select(FLOW.c.event).where(FLOW.c.stock.in_(tuple(stocks)))
        of = [EVENT.c.stock.in_(tuple(stocks)), EVENT.c.id.in_(through)]
        query = query.where(or_(*of, *([EVENT.c.line == line] if line else [])))
    elif line:
        query = query.where(EVENT.c.line == line)
    if kinds:
        query = query.where(EVENT.c.kind.in_(tuple(kinds)))
    if but:
        query = query.where(EVENT.c.kind.not_in(tuple(but)))
    if who:
        query = query.where(EVENT.c.who == who)
    if since is not None:
        query = query.where(EVENT.c.happened >= micros(since))
    if until is not None:
        query = query.where(EVENT.c.happened < micros(until))
    if only_standing:
        query = query.where(EVENT.c.id.not_in(select(VOIDED.c.event)))
    order = (EVENT.c.happened.desc(), EVENT.c.serial.desc())
    with reading(book.engine) as connection:
        rows = connection.execute(query.order_by(*order).offset(skip).limit(limit)).fetchall()
        return events_of(connection, rows)


def labels_of(book: Queries, events: Iterable[Event]) -> dict[str, str]:
    """What everything that some events name is called: places, stocks, lines, sets, by their ids."""
    wanted = sorted({name for event in events for name in _names(event)} - {""})
    found: dict[str, str] = {}
    with reading(book.engine) as connection:
        for start in range(0, len(wanted), _AT_ONCE):
            part = wanted[start : start + _AT_ONCE]
            query = select(THING.c.id, THING.c.label).where(THING.c.id.in_(part))
            found |= {row.id: row.label for row in connection.execute(query)}
    return found


def _names(event: Event) -> set[str]:
    details = {
        str(event.details.get(key) or "") for key in ("set", "task", "tool", "to", "quarantine", "line")
    }
    flows = {name for flow in event.flows for name in (flow.stock, flow.place)}
    return {event.place, event.stock, event.line} | details | flows
