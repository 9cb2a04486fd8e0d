"""What follows from events, brought up to date for what a write touched: things, numbers held, conflicts, due dates."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import Any

from sqlalchemy import Connection, and_, delete, insert, literal_column, select

from tankwright.husbandry.ledger import Shortage
from tankwright.husbandry.records import Event
from tankwright.husbandry.register import ConflictFound, Task
from tankwright.logbook.ids import micros, moment
from tankwright.logbook.rows import events_of
from tankwright.logbook.schema import DUE, EVENT, THING, VOIDED
from tankwright.logbook.series import Series, keep_series, series_of
from tankwright.logbook.things import (
    ADAPTERS,
    NAMING,
    Sort,
    Thing,
    belongs_to,
    is_closed,
    label_of,
    named_by,
    thing_from,
    thing_of,
)


def standing() -> Any:
    """The condition that an event was not voided and is no voiding itself."""
    return and_(EVENT.c.kind != "voided", EVENT.c.id.not_in(select(VOIDED.c.event)))


def naming(name: str) -> Any:
    """The condition that an event names a thing. Said so that the index, which leaves out those that name none, is
    used."""
    return and_(EVENT.c.thing == name, EVENT.c.thing != literal_column("''"))


def follow(
    connection: Connection, events: Sequence[Event], voided: Sequence[Event] = ()
) -> tuple[ConflictFound, ...]:
    """Bring all that follows up to date after `events` were written, which void `voided`; the conflicts that are new or
    other than before."""
    touched = [*events, *voided]
    for sort, name in sorted({named for one in touched if (named := thing_of(one)) is not None}):
        keep_thing(connection, sort, name)
    found = []
    for series in sorted({one for event in touched for one in series_of(event)}):
        found += [_conflict(series, one) for one in keep_series(connection, series, events, voided)]
    for task in sorted(
        {named_by(one) for one in touched if one.kind in {"task_set", "task_done", "task_stopped"}}
    ):
        keep_due(connection, task)
    return tuple(found)


def _conflict(series: Series, one: Shortage) -> ConflictFound:
    return ConflictFound(
        stock=series[0], place=series[1], since=moment(one.since), least=one.least, event=one.event,
        until=None if one.until is None else moment(one.until),
    )  # fmt: skip


def naming_events(connection: Connection, sort: Sort, name: str) -> tuple[Event, ...]:
    """The events that stand and say what a thing is."""
    query = select(EVENT).where(naming(name), EVENT.c.kind.in_(sorted(NAMING)), standing())
    rows = connection.execute(query).fetchall()
    return tuple(one for one in events_of(connection, rows) if thing_of(one) == (sort, name))


def keep_thing(connection: Connection, sort: Sort, name: str) -> None:
    """Make a thing anew from the events that name it."""
    connection.execute(delete(THING).where(THING.c.sort == sort, THING.c.id == name))
    thing = thing_from(naming_events(connection, sort, name))
    if thing is not None:
        connection.execute(insert(THING), [thing_row(sort, name, thing)])


def thing_row(sort: Sort, name: str, thing: Thing) -> dict[str, Any]:
    """A thing as a row."""
    return {
        "sort": sort, "id": name, "label": label_of(thing), "of": belongs_to(thing), "closed": is_closed(thing),
        "data": ADAPTERS[sort].dump_python(thing, mode="json"),
    }  # fmt: skip


def keep_due(connection: Connection, task: str) -> None:
    """When a task is due next: its days after it was done last, at once when it never was."""
    connection.execute(delete(DUE).where(DUE.c.task == task))
    row = connection.execute(select(THING.c.data).where(THING.c.sort == "task", THING.c.id == task)).first()
    if row is None:
        return
    thing: Task = ADAPTERS["task"].validate_python(row.data)
    due = due_row(connection, thing)
    if due is not None:
        connection.execute(insert(DUE), [due])


def due_row(connection: Connection, task: Task) -> dict[str, Any] | None:
    """When a task is due, as a row; None for one that was stopped."""
    if task.stopped is not None:
        return None
    last = connection.execute(
        select(EVENT.c.happened)
        .where(naming(task.id), EVENT.c.kind == "task_done", standing())
        .order_by(EVENT.c.happened.desc())
        .limit(1)
    ).scalar()
    days = timedelta(days=task.every_days) // timedelta(microseconds=1)
    due = _since(task.opened) if last is None else last + days
    return {"task": task.id, "due": due, "last": last}


def _since(opened: datetime | None) -> int:
    return 0 if opened is None else micros(opened)
