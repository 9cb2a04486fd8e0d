"""What follows from events, brought up to date for what a write touched: things, numbers held, conflicts, due dates."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from datetime import datetime, timedelta
from typing import Any, Final

from sqlalchemy import Connection, and_, delete, insert, literal_column, select

from tankwright.husbandry.ledger import Shortage
from tankwright.husbandry.records import Event
from tankwright.husbandry.register import ConflictFound, Task
from tankwright.logbook.ids import micros, moment
from tankwright.logbook.rows import bare_event
from tankwright.logbook.schema import DUE, EVENT, THING, VOIDED
from tankwright.logbook.series import Series, by_series, keep_series
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

_AT_ONCE: Final = 400
_NAMES_ONE: Final = EVENT.c.thing != literal_column("''")


def standing() -> Any:
    """The condition that an event was not voided and is no voiding itself."""
    return and_(EVENT.c.kind != "voided", EVENT.c.id.not_in(select(VOIDED.c.event)))


def naming(name: str) -> Any:
    """The condition that an event names a thing. Said so that the index, which leaves out those that name none, is
    used."""
    return and_(EVENT.c.thing == name, _NAMES_ONE)


def follow(
    connection: Connection, events: Sequence[Event], voided: Sequence[Event] = ()
) -> tuple[ConflictFound, ...]:
    """Bring all that follows up to date after `events` were written, which void `voided`; the conflicts that are new or
    other than before."""
    touched = [*events, *voided]
    keep_things(connection, sorted({named for one in touched if (named := thing_of(one)) is not None}))
    found = []
    new, gone = by_series(events), by_series(voided)
    for series in sorted(new.keys() | gone.keys()):
        short = keep_series(connection, series, new.get(series, []), gone.get(series, []))
        found += [_conflict(series, one) for one in short]
    tasks = {named_by(one) for one in touched if one.kind in {"task_set", "task_done", "task_stopped"}}
    keep_due(connection, sorted(tasks))
    return tuple(found)


def _conflict(series: Series, one: Shortage) -> ConflictFound:
    return ConflictFound(
        stock=series[0], place=series[1], since=moment(one.since), least=one.least, event=one.event,
        until=None if one.until is None else moment(one.until),
    )  # fmt: skip


def naming_events(
    connection: Connection, named: Collection[tuple[Sort, str]]
) -> dict[tuple[Sort, str], list[Event]]:
    """The events that stand and say what things are."""
    found: dict[tuple[Sort, str], list[Event]] = {one: [] for one in named}
    names = sorted({name for _, name in named})
    for start in range(0, len(names), _AT_ONCE):
        part = names[start : start + _AT_ONCE]
        query = select(EVENT).where(
            EVENT.c.thing.in_(part), _NAMES_ONE, EVENT.c.kind.in_(sorted(NAMING)), standing()
        )
        for event in map(bare_event, connection.execute(query)):
            one = thing_of(event)
            if one in found:
                found[one].append(event)
    return found


def keep_things(connection: Connection, named: Collection[tuple[Sort, str]]) -> None:
    """Make things anew from the events that name them."""
    rows = []
    for (sort, name), events in naming_events(connection, named).items():
        connection.execute(delete(THING).where(THING.c.sort == sort, THING.c.id == name))
        thing = thing_from(events)
        if thing is not None:
            rows.append(thing_row(sort, name, thing))
    if rows:
        connection.execute(insert(THING), rows)


def thing_row(sort: Sort, name: str, thing: Thing) -> dict[str, Any]:
    """A thing as a row."""
    return {
        "sort": sort, "id": name, "label": label_of(thing), "of": belongs_to(thing), "closed": is_closed(thing),
        "data": ADAPTERS[sort].dump_python(thing, mode="json"),
    }  # fmt: skip


def keep_due(connection: Connection, names: Collection[str]) -> None:
    """When tasks are due next."""
    if not names:
        return
    connection.execute(delete(DUE).where(DUE.c.task.in_(names)))
    query = select(THING.c.data).where(THING.c.sort == "task", THING.c.id.in_(names))
    tasks: list[Task] = [ADAPTERS["task"].validate_python(row.data) for row in connection.execute(query)]
    rows = due_rows(connection, tasks)
    if rows:
        connection.execute(insert(DUE), rows)


def due_rows(connection: Connection, tasks: Collection[Task]) -> list[dict[str, Any]]:
    """When tasks are due, as rows: their days after they were done last, at once when they never were; none for those
    that were stopped."""
    going = {task.id: task for task in tasks if task.stopped is None}
    if not going:
        return []
    task, done = EVENT.alias("task"), EVENT.alias("done")
    last = (
        select(done.c.happened)
        .where(done.c.thing == task.c.thing, done.c.thing != literal_column("''"), done.c.kind == "task_done",
               done.c.id.not_in(select(VOIDED.c.event)))
        .order_by(done.c.happened.desc())
        .limit(1)
        .scalar_subquery()
    )  # fmt: skip
    query = (
        select(task.c.thing, last.label("last"))
        .where(task.c.thing.in_(list(going)), task.c.thing != literal_column("''"), task.c.kind == "task_set")
        .distinct()
    )
    found = {row.thing: row.last for row in connection.execute(query)}
    rows = []
    for name, one in going.items():
        days = timedelta(days=one.every_days) // timedelta(microseconds=1)
        at = found.get(name)
        rows.append({"task": name, "due": _since(one.opened) if at is None else at + days, "last": at})
    return rows


def _since(opened: datetime | None) -> int:
    return 0 if opened is None else micros(opened)
