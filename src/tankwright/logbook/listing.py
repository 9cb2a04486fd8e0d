"""Events as they are listed: by the order they came to the book, by what they are of, with what voids them."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from datetime import datetime
from typing import Any, Final

from sqlalchemy import Select, literal_column, or_, select, union

from tankwright.husbandry.records import Event, Kind
from tankwright.logbook.engine import reading
from tankwright.logbook.flowed import in_place
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
    # with a place its events are few; without one they are read from the newest on, until there are enough
    kind = EVENT.c.kind if place is not None or limit is None else EVENT.c.kind.concat("")
    query = select(EVENT).where(kind.in_(tuple(kinds))).order_by(EVENT.c.serial.desc())
    if before is not None:
        query = query.where(EVENT.c.serial < before)
    if place is not None:
        query = query.where(EVENT.c.place == place)
    if limit is not None:
        query = query.limit(limit)
    with reading(book.engine) as connection:
        return events_of(connection, connection.execute(query).fetchall())


def voided_numbers(book: Queries, serials: Iterable[int]) -> frozenset[int]:
    """Of the numbers of some events those of events that were voided."""
    wanted = sorted(set(serials))
    found: set[int] = set()
    with reading(book.engine) as connection:
        for start in range(0, len(wanted), _AT_ONCE):
            part = wanted[start : start + _AT_ONCE]
            query = (
                select(EVENT.c.serial)
                .join(VOIDED, VOIDED.c.event == EVENT.c.id)
                .where(EVENT.c.serial.in_(part))
            )
            found |= {row.serial for row in connection.execute(query)}
    return frozenset(found)


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
            select(EVENT)
            .where(EVENT.c.batch == batch, EVENT.c.batch != literal_column("''"))
            .order_by(EVENT.c.serial)
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
    narrowed: list[Any] = [EVENT.c.kind != "voided"]
    if kinds:
        narrowed.append(EVENT.c.kind.in_(tuple(kinds)))
    if but:
        narrowed.append(EVENT.c.kind.not_in(tuple(but)))
    if who:
        narrowed.append(EVENT.c.who == who)
    if since is not None:
        narrowed.append(EVENT.c.happened >= micros(since))
    if until is not None:
        narrowed.append(EVENT.c.happened < micros(until))
    if only_standing:
        narrowed.append(EVENT.c.id.not_in(select(VOIDED.c.event)))
    if place and stocks is not None:  # found by the place, then held against the stocks
        named = tuple(stocks)
        through = select(FLOW.c.event).where(FLOW.c.stock.in_(named))
        of = [EVENT.c.stock.in_(named), EVENT.c.id.in_(through), *([EVENT.c.line == line] if line else [])]
        narrowed.append(or_(*of))
    # each way by itself and no longer than what is shown: with an "or" the whole book would be read
    found = [way.where(*narrowed).limit(skip + limit).subquery() for way in _ways(place, stocks, line)]
    every = union(*(select(one.c.id) for one in found)).subquery()
    query = select(EVENT).where(EVENT.c.id.in_(select(every.c.id)))
    query = query.order_by(EVENT.c.happened.desc(), EVENT.c.serial.desc()).offset(skip).limit(limit)
    with reading(book.engine) as connection:
        return events_of(connection, connection.execute(query).fetchall())


def _ways(place: str, stocks: Collection[str] | None, line: str) -> list[Select[Any]]:
    """The ways in which events of something are found, each in the order of an index, the newest first."""
    own = select(EVENT.c.id).order_by(EVENT.c.happened.desc(), EVENT.c.id.desc())
    through = (
        select(EVENT.c.id)
        .select_from(FLOW)
        .join(EVENT, EVENT.c.id == FLOW.c.event)
        .order_by(FLOW.c.happened.desc(), FLOW.c.event.desc())
        .distinct()
    )
    if place:
        return [own.where(EVENT.c.place == place), through.where(in_place(place))]
    if stocks is not None:
        named = tuple(stocks)
        ways = [own.where(EVENT.c.stock.in_(named)), through.where(FLOW.c.stock.in_(named))]
        return [*ways, own.where(EVENT.c.line == line)] if line else ways
    return [own.where(EVENT.c.line == line) if line else own]


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
