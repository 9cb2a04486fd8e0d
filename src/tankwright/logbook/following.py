"""What follows from events, brought up to date for what a write touched: things, numbers held, conflicts, due dates."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import timedelta
from typing import Any, Final

from sqlalchemy import Connection, Select, and_, delete, func, insert, select

from tankwright.husbandry.ledger import Folded, Step, StepKind, fold
from tankwright.husbandry.records import Event
from tankwright.husbandry.register import Task
from tankwright.logbook.ids import micros
from tankwright.logbook.rows import events_of
from tankwright.logbook.schema import BALANCE, CONFLICT, DERIVED, DUE, EVENT, FLOW, OBSERVED, THING, VOIDED
from tankwright.logbook.things import (
    ADAPTERS,
    NAMING,
    Sort,
    Thing,
    belongs_to,
    is_closed,
    label_of,
    thing_from,
    thing_of,
)

Series = tuple[str, str]
"""A stock and a place."""

_SEEN: Final[dict[str, StepKind]] = {"counted": "count", "estimated": "estimate"}


def standing() -> Any:
    """The condition that an event was not voided and is no voiding itself."""
    return and_(EVENT.c.kind != "voided", EVENT.c.id.not_in(select(VOIDED.c.event)))


def series_of(event: Event) -> set[Series]:
    """The series whose number held an event says something of."""
    touched = {(one.stock, one.place) for one in event.flows if one.account == "held"}
    return touched | ({(event.stock, event.place)} if event.kind in _SEEN else set())


def steps_of_event(event: Event, series: Series) -> list[Step]:
    """What an event says of the number held of a series."""
    at, recorded = micros(event.happened), micros(event.recorded)
    seen = next((one for one in event.observed if one.quantity == "count"), None)
    low = None if seen is None or seen.low is None else round(seen.low)
    high = None if seen is None or seen.high is None else round(seen.high)
    steps = [
        Step(kind="flow", at=at, recorded=recorded, event=event.id, quantity=one.quantity,
             low=low if one.quantity > 0 else None, high=high if one.quantity > 0 else None)
        for one in event.flows if one.account == "held" and (one.stock, one.place) == series
    ]  # fmt: skip
    kind = _SEEN.get(event.kind)
    if (
        kind is not None
        and (event.stock, event.place) == series
        and seen is not None
        and seen.value is not None
    ):
        steps.append(
            Step(
                kind=kind,
                at=at,
                recorded=recorded,
                event=event.id,
                quantity=round(seen.value),
                low=low,
                high=high,
            )
        )
    return steps


def steps_of_series(connection: Connection, series: Series) -> list[Step]:
    """All that stands and says something of the number held of a series."""
    stock, place = series
    flows = connection.execute(
        select(
            FLOW.c.event, FLOW.c.quantity, FLOW.c.happened, EVENT.c.recorded, OBSERVED.c.low, OBSERVED.c.high
        )
        .join(EVENT, EVENT.c.id == FLOW.c.event)
        .outerjoin(OBSERVED, and_(OBSERVED.c.event == FLOW.c.event, OBSERVED.c.quantity == "count"))
        .where(FLOW.c.stock == stock, FLOW.c.place == place, FLOW.c.account == "held", standing())
    )
    steps = [
        Step(kind="flow", at=row.happened, recorded=row.recorded, event=row.event, quantity=row.quantity,
             low=None if row.low is None or row.quantity < 0 else round(row.low),
             high=None if row.high is None or row.quantity < 0 else round(row.high))
        for row in flows
    ]  # fmt: skip
    seen = connection.execute(
        select(OBSERVED.c.event, OBSERVED.c.value, OBSERVED.c.low, OBSERVED.c.high, OBSERVED.c.happened,
               EVENT.c.recorded, EVENT.c.kind)
        .join(EVENT, EVENT.c.id == OBSERVED.c.event)
        .where(OBSERVED.c.stock == stock, OBSERVED.c.place == place, OBSERVED.c.quantity == "count",
               EVENT.c.kind.in_(tuple(_SEEN)), standing())
    )  # fmt: skip
    steps += [
        Step(kind=_SEEN[row.kind], at=row.happened, recorded=row.recorded, event=row.event, quantity=round(row.value),
             low=None if row.low is None else round(row.low), high=None if row.high is None else round(row.high))
        for row in seen if row.value is not None
    ]  # fmt: skip
    return steps


def keep_series(connection: Connection, series: Series, folded: Folded) -> None:
    """Write what a series says now in place of what it said."""
    stock, place = series
    for table in (BALANCE, CONFLICT, DERIVED):
        connection.execute(delete(table).where(table.c.stock == stock, table.c.place == place))
    if folded.held or folded.estimated:
        connection.execute(insert(BALANCE), [{
            "stock": stock, "place": place, "held": folded.held, "low": folded.low, "high": folded.high,
            "since": folded.since,
        }])  # fmt: skip
    if folded.derived:
        connection.execute(insert(DERIVED), [
            {"event": one.event, "account": one.account, "stock": stock, "place": place, "quantity": one.quantity,
             "happened": one.at}
            for one in folded.derived
        ])  # fmt: skip
    if folded.shortages:
        connection.execute(insert(CONFLICT), [
            {"stock": stock, "place": place, "since": one.since, "until": one.until, "least": one.least,
             "event": one.event}
            for one in folded.shortages
        ])  # fmt: skip


def follow(connection: Connection, events: Sequence[Event], voided: Sequence[Event] = ()) -> None:
    """Bring all that follows up to date after `events` were written, which void `voided`."""
    touched = [*events, *voided]
    for sort, name in sorted({named for one in touched if (named := thing_of(one)) is not None}):
        keep_thing(connection, sort, name)
    for series in sorted({one for event in touched for one in series_of(event)}):
        keep_series(connection, series, fold(steps_of_series(connection, series)))
    tasks = {
        str(one.details["task"]) for one in touched if one.kind in {"task_set", "task_done", "task_stopped"}
    }
    for task in sorted(tasks):
        keep_due(connection, task)


def keep_thing(connection: Connection, sort: Sort, name: str) -> Thing | None:
    """Make a thing anew from the events that name it."""
    connection.execute(delete(THING).where(THING.c.sort == sort, THING.c.id == name))
    query = _about(sort, name).where(EVENT.c.kind.in_(sorted(NAMING)), standing())
    rows = connection.execute(query).fetchall()
    thing = thing_from(one for one in events_of(connection, rows) if thing_of(one) == (sort, name))
    if thing is not None:
        connection.execute(insert(THING), [{
            "sort": sort, "id": name, "label": label_of(thing), "of": belongs_to(thing), "closed": is_closed(thing),
            "data": ADAPTERS[sort].dump_python(thing, mode="json"),
        }])  # fmt: skip
    return thing


def _about(sort: Sort, name: str) -> Select[Any]:
    query = select(EVENT)
    if sort == "place":
        return query.where(EVENT.c.place == name)
    if sort == "stock":
        return query.where(EVENT.c.stock == name)
    if sort == "line":
        return query.where(EVENT.c.line == name)
    return query.where(EVENT.c.details[sort].as_string() == name)


def keep_due(connection: Connection, task: str) -> None:
    """When a task is due next: its days after it was done last, at once when it never was."""
    connection.execute(delete(DUE).where(DUE.c.task == task))
    row = connection.execute(select(THING.c.data).where(THING.c.sort == "task", THING.c.id == task)).first()
    if row is None:
        return
    thing: Task = ADAPTERS["task"].validate_python(row.data)
    if thing.stopped is not None:
        return
    last = connection.execute(
        select(func.max(EVENT.c.happened)).where(
            EVENT.c.kind == "task_done", EVENT.c.details["task"].as_string() == task, standing()
        )
    ).scalar()
    opened = micros(thing.opened) if thing.opened is not None else 0
    days = timedelta(days=thing.every_days) // timedelta(microseconds=1)
    due = opened if last is None else last + days
    connection.execute(insert(DUE), [{"task": task, "due": due, "last": last}])


def newest_of(connection: Connection, series: Iterable[Series]) -> dict[Series, int]:
    """The moment of the newest thing said of each series, for those of which anything was said."""
    found: dict[Series, int] = {}
    for stock, place in series:
        at = connection.execute(select(func.max(_moments(stock, place).c.at))).scalar()
        if at is not None:
            found[stock, place] = at
    return found


def _moments(stock: str, place: str) -> Any:
    flows = select(FLOW.c.happened.label("at")).where(
        FLOW.c.stock == stock, FLOW.c.place == place, FLOW.c.account == "held"
    )
    seen = select(OBSERVED.c.happened.label("at")).where(
        OBSERVED.c.stock == stock, OBSERVED.c.place == place, OBSERVED.c.quantity == "count"
    )
    return flows.union_all(seen).subquery()
