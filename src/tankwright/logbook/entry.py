"""What is wrong with drafts before they are recorded, held against what the book knows. All of it in one pass."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta
from typing import Final

from sqlalchemy import Connection, select

from tankwright.finding import Finding, Severity
from tankwright.husbandry.kinds import shape_faults
from tankwright.husbandry.ledger import fold
from tankwright.husbandry.records import Draft, Event
from tankwright.logbook.following import Series, newest_of, series_of, steps_of_event, steps_of_series
from tankwright.logbook.ids import micros
from tankwright.logbook.schema import EVENT, THING, VOIDED

FUTURE: Final = "LOG-03"
UNKNOWN: Final = "LOG-04"
NOT_SO_MANY: Final = "LEDGER-01"
NO_EVENT: Final = "LOG-05"
VOID_OF_VOID: Final = "LOG-06"
VOIDED_ALREADY: Final = "LOG-07"
TAKEN: Final = "LOG-08"

AHEAD: Final = timedelta(minutes=5)
"""How far ahead a clock may be before its time is not believed; our choice, no source."""

_OPENS_ITS_OWN: Final = {"place_opened": "place", "stock_opened": "stock", "line_opened": "line"}


def entry_faults(
    connection: Connection, events: Sequence[Event], now: datetime, *, checked: bool = True
) -> Iterator[Finding]:
    """All that is wrong with events that are about to be recorded. Without `checked` only what can never be: what was
    made elsewhere and is put together with this book later is kept, and what cannot have been is listed as conflict."""
    made = {(_OPENS_ITS_OWN[one.kind], getattr(one, _OPENS_ITS_OWN[one.kind])) for one in events
            if one.kind in _OPENS_ITS_OWN}  # fmt: skip
    for event in events:
        yield from shape_faults(event)
        if event.happened - now > AHEAD:
            yield _problem(FUTURE, event, "lies ahead of now", wanted="a moment that has been")
        if event.voids:
            yield from _void_faults(connection, event)
        if checked:
            yield from _unknown(connection, event, made)
    yield from _labels(connection, events)
    if checked:
        yield from _too_many(connection, events)


def _void_faults(connection: Connection, event: Event) -> Iterator[Finding]:
    row = connection.execute(select(EVENT.c.kind).where(EVENT.c.id == event.voids)).first()
    if row is None:
        yield _problem(NO_EVENT, event, "names an event the book does not have", found=event.voids)
    elif row.kind == "voided":
        yield _problem(
            VOID_OF_VOID, event, "would void a voiding", wanted="a new event that says what is so",
        )  # fmt: skip
    elif connection.execute(select(VOIDED.c.by).where(VOIDED.c.event == event.voids)).first() is not None:
        yield _problem(VOIDED_ALREADY, event, "names an event that was voided before", found=event.voids)


def _unknown(connection: Connection, event: Draft, made: set[tuple[str, str]]) -> Iterator[Finding]:
    places = {event.place, *(one.place for one in event.flows)} - {""}
    stocks = {event.stock, *(one.stock for one in event.flows)} - {""}
    named = [("place", name) for name in sorted(places)] + [("stock", name) for name in sorted(stocks)]
    named += [("line", event.line)] if event.line else []
    for sort, name in named:
        if (sort, name) not in made and connection.execute(
            select(THING.c.id).where(THING.c.sort == sort, THING.c.id == name)
        ).first() is None:  # fmt: skip
            yield _problem(UNKNOWN, event, f"names a {sort} the book does not have", found=name)


def _labels(connection: Connection, events: Sequence[Event]) -> Iterator[Finding]:
    """No two places, and no two stocks, that are open have one label."""
    for event in events:
        sort = {"place_opened": "place", "place_changed": "place", "stock_opened": "stock", "stock_changed": "stock",
                "line_opened": "line"}.get(event.kind)  # fmt: skip
        label = event.details.get("name" if sort == "line" else "label")
        if sort is None or not label:
            continue
        own = {"place": event.place, "stock": event.stock, "line": event.line}[sort]
        row = connection.execute(
            select(THING.c.id).where(
                THING.c.sort == sort, THING.c.label == label, THING.c.closed.is_(False), THING.c.id != own
            )
        ).first()
        if row is not None:
            yield _problem(TAKEN, event, f'would be a second {sort} called "{label}"', wanted="another name")


def _too_many(connection: Connection, events: Sequence[Event]) -> Iterator[Finding]:
    """Fish taken from where there are not so many: refused when entered as it happens; what is typed in later stands
    and is listed as a conflict."""
    touched: set[Series] = {one for event in events for one in series_of(event)}
    newest = newest_of(connection, touched)
    voids = {event.voids for event in events if event.voids}
    for series in sorted(touched):
        mine = [event for event in events if series in series_of(event)]
        if any(micros(event.happened) < newest.get(series, -1) for event in mine):
            continue
        before = [one for one in steps_of_series(connection, series) if one.event not in voids]
        there = fold(before)
        after = fold([*before, *(step for event in mine for step in steps_of_event(event, series))])
        if len(after.shortages) > len(there.shortages) and after.held < there.held:
            yield Finding(
                code=NOT_SO_MANY, severity=Severity.PROBLEM, subject=_label(connection, series),
                text=f"has {there.held} and cannot give {there.held - after.held}",
                found=str(there.held - after.held), wanted=f"at most {there.held}",
                remedy="count what is there and enter the count first", places=(series[1],),
            )  # fmt: skip


def _label(connection: Connection, series: Series) -> str:
    stock, place = series
    rows = connection.execute(
        select(THING.c.sort, THING.c.label).where(THING.c.id.in_((stock, place)))
    ).fetchall()
    labels = {row.sort: row.label for row in rows}
    return f"{labels.get('stock', stock)} in {labels.get('place', place)}"


def _problem(code: str, event: Draft, text: str, *, wanted: str = "", found: str = "") -> Finding:
    return Finding(
        code=code, severity=Severity.PROBLEM, subject=event.kind, text=text, wanted=wanted, found=found
    )
