"""The number held of one stock in one place, kept in step with what stands: read, added to, folded anew."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Sequence
from typing import Any, Final

from sqlalchemy import Connection, and_, delete, insert, select, update

from tankwright.husbandry.ledger import Derived, Folded, Running, Shortage, Step, StepKind, in_order
from tankwright.husbandry.records import Event
from tankwright.logbook.ids import micros
from tankwright.logbook.schema import BALANCE, CONFLICT, DERIVED, HELD

Series = tuple[str, str]
"""A stock and a place."""

Key = tuple[int, int, str]
"""What puts steps in order: happened, recorded, event."""

SEEN: Final[dict[str, StepKind]] = {"counted": "count", "estimated": "estimate"}
"""Kinds of events that say how many there are."""

_NUMBER: Final[dict[StepKind, int]] = {"flow": 0, "count": 1, "estimate": 1}


def series_of(event: Event) -> set[Series]:
    """The series whose number held an event says something of."""
    touched = {(one.stock, one.place) for one in event.flows if one.account == "held"}
    return touched | ({(event.stock, event.place)} if event.kind in SEEN else set())


def by_series(events: Iterable[Event]) -> dict[Series, list[Event]]:
    """Events under each series they say something of, in their order."""
    of: dict[Series, list[Event]] = {}
    for event in events:
        for series in series_of(event):
            of.setdefault(series, []).append(event)
    return of


def steps_of_event(event: Event, series: Series) -> list[Step]:
    """What an event says of the number held of a series: what flows, put together, then what was seen."""
    at, recorded = micros(event.happened), micros(event.recorded)
    seen = next((one for one in event.observed if one.quantity == "count" and one.value is not None), None)
    value = None if seen is None or seen.value is None else round(seen.value)
    low = None if seen is None or seen.low is None else round(seen.low)
    high = None if seen is None or seen.high is None else round(seen.high)
    flows = [
        one.quantity for one in event.flows if one.account == "held" and (one.stock, one.place) == series
    ]
    steps = []
    if flows:
        least, most = flow_bounds(sum(flows), value, low, high)
        steps.append(
            Step(kind="flow", at=at, recorded=recorded, event=event.id, quantity=sum(flows), low=least, high=most)
        )  # fmt: skip
    kind = SEEN.get(event.kind)
    if kind is not None and (event.stock, event.place) == series and value is not None:
        steps.append(
            Step(kind=kind, at=at, recorded=recorded, event=event.id, quantity=value, low=low, high=high)
        )
    return steps


def flow_bounds(
    quantity: int, value: int | None, low: int | None, high: int | None
) -> tuple[int | None, int | None]:
    """The bounds of what flows by the guess its event was entered with; none when that guess is of another number.

    >>> flow_bounds(30, 30, 25, 40), flow_bounds(-30, 30, 25, 40), flow_bounds(12, 30, 25, 40)
    ((25, 40), (-40, -25), (None, None))
    """
    if value is None or abs(quantity) != value or (low is None and high is None):
        return None, None
    least, most = (value if low is None else low), (value if high is None else high)
    return (least, most) if quantity >= 0 else (-most, -least)


def steps_of_series(connection: Connection, series: Series, without: Collection[str] = ()) -> list[Step]:
    """All that stands and says something of the number held of a series, in order; events of `without` left out."""
    rows = connection.execute(
        select(HELD.c.sort, HELD.c.happened, HELD.c.recorded, HELD.c.event, HELD.c.quantity, HELD.c.low, HELD.c.high)
        .where(HELD.c.stock == series[0], HELD.c.place == series[1])
        .order_by(HELD.c.happened, HELD.c.recorded, HELD.c.event, HELD.c.number)
    )  # fmt: skip
    return in_order(
        Step(kind=row.sort, at=row.happened, recorded=row.recorded, event=row.event, quantity=row.quantity,
             low=row.low, high=row.high)
        for row in rows if row.event not in without
    )  # fmt: skip


def known_of(connection: Connection, series: Series) -> tuple[Folded, Key | None]:
    """What is known of a series now, its lasting shortage with it, and what was said last; None for nothing ever."""
    stock, place = series
    row = connection.execute(
        select(BALANCE).where(BALANCE.c.stock == stock, BALANCE.c.place == place)
    ).first()
    if row is None:
        return Folded(), None
    short: tuple[Shortage, ...] = ()
    if row.held < 0:
        lasts = connection.execute(
            select(CONFLICT).where(CONFLICT.c.stock == stock, CONFLICT.c.place == place, CONFLICT.c.until.is_(None))
        ).fetchall()  # fmt: skip
        short = tuple(
            Shortage(since=one.since, until=None, least=one.least, event=one.event) for one in lasts
        )
    folded = Folded(held=row.held, low=row.low, high=row.high, since=row.since, shortages=short)
    return folded, (row.last, row.last_recorded, row.last_event)


def keep_series(
    connection: Connection, series: Series, events: Sequence[Event], voided: Sequence[Event] = ()
) -> tuple[Shortage, ...]:
    """Bring a series up to date after `events` of it were written, and `voided` of it do not hold any more; the
    shortages that are new or other.

    What comes after all that was said before is added; anything else is folded anew from the beginning.
    """
    steps = in_order(step for event in events for step in steps_of_event(event, series))
    known, last = known_of(connection, series)
    gone = [event.id for event in voided]
    if not gone and (last is None or not steps or _key(steps[0]) > last):
        return _add(connection, series, known, steps, new=last is None)
    return _anew(connection, series, steps, gone)


def _key(step: Step) -> Key:
    return step.at, step.recorded, step.event


def _add(
    connection: Connection, series: Series, known: Folded, steps: Sequence[Step], *, new: bool
) -> tuple[Shortage, ...]:
    if not steps:
        return ()
    stock, place = series
    rows, folded = follow_steps(series, steps, known)
    connection.execute(insert(HELD), rows)
    values = _balance(folded, steps[-1])
    if new:
        values |= {"stock": stock, "place": place, "first": steps[0].at}
        connection.execute(insert(BALANCE), [values])
    else:
        connection.execute(
            update(BALANCE).where(BALANCE.c.stock == stock, BALANCE.c.place == place).values(**values)
        )
    _insert(connection, DERIVED, derived_rows(series, folded.derived))
    if folded.shortages or known.shortages:
        connection.execute(
            delete(CONFLICT).where(CONFLICT.c.stock == stock, CONFLICT.c.place == place, CONFLICT.c.until.is_(None))
        )  # fmt: skip
        _insert(connection, CONFLICT, conflict_rows(series, folded.shortages))
    return tuple(one for one in folded.shortages if one not in known.shortages)


def _anew(
    connection: Connection, series: Series, steps: Sequence[Step], gone: Sequence[str]
) -> tuple[Shortage, ...]:
    stock, place = series
    whole = (HELD.c.stock == stock, HELD.c.place == place)
    stood = {_row_key(row): row for row in map(_plain, connection.execute(select(HELD).where(*whole)))}
    before = connection.execute(
        select(CONFLICT).where(CONFLICT.c.stock == stock, CONFLICT.c.place == place)
    ).fetchall()
    every = in_order([*steps_of_series(connection, series, gone), *steps])
    rows, folded = follow_steps(series, every)
    new = {_row_key(row): row for row in rows}
    for key in [key for key, row in stood.items() if new.get(key) != row]:
        happened, recorded, event, number = key
        connection.execute(
            delete(HELD).where(*whole, HELD.c.happened == happened, HELD.c.recorded == recorded,
                               HELD.c.event == event, HELD.c.number == number)
        )  # fmt: skip
    _insert(connection, HELD, [row for key, row in new.items() if stood.get(key) != row])
    for table in (BALANCE, CONFLICT, DERIVED):
        connection.execute(delete(table).where(and_(table.c.stock == stock, table.c.place == place)))
    if every:
        first = {"stock": stock, "place": place, "first": every[0].at}
        connection.execute(insert(BALANCE), [first | _balance(folded, every[-1])])
    _insert(connection, DERIVED, derived_rows(series, folded.derived))
    _insert(connection, CONFLICT, conflict_rows(series, folded.shortages))
    known = {(row.since, row.until, row.least, row.event) for row in before}
    return tuple(one for one in folded.shortages if (one.since, one.until, one.least, one.event) not in known)


def _plain(row: Any) -> dict[str, Any]:
    return dict(row._mapping)


def _row_key(row: dict[str, Any]) -> tuple[int, int, str, int]:
    return row["happened"], row["recorded"], row["event"], row["number"]


def follow_steps(
    series: Series, steps: Iterable[Step], known: Folded | None = None
) -> tuple[list[dict[str, Any]], Folded]:
    """Rows of what is held after each of the steps, which are in order, and what all of them say."""
    running = Running() if known is None else Running(known)
    rows = []
    for one in steps:
        running.take(one.kind, one.at, one.event, one.quantity, one.low, one.high)
        rows.append({
            "stock": series[0], "place": series[1], "happened": one.at, "recorded": one.recorded, "event": one.event,
            "number": _NUMBER[one.kind], "sort": one.kind, "quantity": one.quantity, "low": one.low, "high": one.high,
            "held": running.held, "held_low": running.low, "held_high": running.high, "since": running.since,
        })  # fmt: skip
    return rows, running.folded()


def _balance(folded: Folded, last: Step) -> dict[str, Any]:
    return {
        "held": folded.held, "low": folded.low, "high": folded.high, "since": folded.since, "last": last.at,
        "last_recorded": last.recorded, "last_event": last.event,
    }  # fmt: skip


def derived_rows(series: Series, derived: Iterable[Derived]) -> list[dict[str, Any]]:
    """What follows from counts as rows, one for each event and account."""
    sums: Counter[tuple[str, str, int]] = Counter()
    for one in derived:
        sums[one.event, one.account, one.at] += one.quantity
    return [
        {"event": event, "account": account, "stock": series[0], "place": series[1], "quantity": quantity,
         "happened": at}
        for (event, account, at), quantity in sums.items() if quantity
    ]  # fmt: skip


def conflict_rows(series: Series, shortages: Iterable[Shortage]) -> list[dict[str, Any]]:
    """What cannot have been as rows; of those that began at one moment the one that lasted longest."""
    rows = {
        one.since: {"stock": series[0], "place": series[1], "since": one.since, "until": one.until,
                    "least": one.least, "event": one.event}
        for one in shortages
    }  # fmt: skip
    return list(rows.values())


def _insert(connection: Connection, table: Any, rows: Sequence[dict[str, Any]]) -> None:
    if rows:
        connection.execute(insert(table), list(rows))
