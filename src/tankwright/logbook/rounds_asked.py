"""What rounds ask of a book: tasks of rotations, some tasks with when they are due, printed sheets."""

from __future__ import annotations

from collections.abc import Collection
from datetime import datetime
from typing import Any, Final

from sqlalchemy import Select, func, select

from tankwright.husbandry.records import Event
from tankwright.husbandry.register import DueTask, Task
from tankwright.logbook.engine import reading
from tankwright.logbook.following import standing
from tankwright.logbook.ids import micros, moment
from tankwright.logbook.queries import Queries
from tankwright.logbook.rows import events_of
from tankwright.logbook.schema import DUE, EVENT, THING

_AT_ONCE: Final = 500
_FIELDS: Final = frozenset(Task.__dataclass_fields__)


def _tasks() -> Select[Any]:
    return (
        select(THING.c.data, DUE.c.due, DUE.c.last)
        .join(THING, (THING.c.id == DUE.c.task) & (THING.c.sort == "task"))
        .order_by(DUE.c.due, DUE.c.task)
    )


def _asked(book: Queries, query: Select[Any]) -> tuple[DueTask, ...]:
    with reading(book.engine) as connection:
        return tuple(
            DueTask(task=_task(data), due=moment(due), last=None if last is None else moment(last))
            for data, due, last in connection.execute(query)
        )


def _task(data: dict[str, Any]) -> Task:
    """A task as the book wrote it, taken as it is: a hall has thousands, and each was checked when it was written."""
    said = {name: one for name, one in data.items() if name in _FIELDS}
    said["weekdays"] = tuple(said.get("weekdays") or ())
    for name in ("opened", "stopped"):
        if said.get(name) is not None:
            said[name] = datetime.fromisoformat(said[name])
    return Task(**said)


def tasks_due(book: Queries, until: datetime) -> tuple[DueTask, ...]:
    """Work due until then, what waits longest first."""
    return _asked(book, _tasks().where(DUE.c.due <= micros(until)))


def rotating_tasks(book: Queries) -> tuple[DueTask, ...]:
    """Every task of a rotation, due or not."""
    return _asked(book, _tasks().where(func.coalesce(THING.c.data["rotation"].as_string(), "") != ""))


def tasks_by_litres(book: Queries) -> tuple[DueTask, ...]:
    """Every task that is due by litres, due or not: a feed that gives more than it did makes it due sooner."""
    return _asked(book, _tasks().where(func.coalesce(THING.c.data["feed"].as_string(), "") != ""))


def tasks_at(book: Queries, place: str) -> tuple[DueTask, ...]:
    """Every task of a place (the room itself: ""), due or not."""
    return _asked(book, _tasks().where(THING.c.of == place))


def tasks_named(book: Queries, ids: Collection[str]) -> tuple[DueTask, ...]:
    """Tasks by their ids, those that were stopped left out."""
    wanted = sorted(set(ids))
    found: list[DueTask] = []
    for start in range(0, len(wanted), _AT_ONCE):
        found += _asked(book, _tasks().where(DUE.c.task.in_(wanted[start : start + _AT_ONCE])))
    return tuple(found)


def printed_sheets(book: Queries, *, limit: int = 50) -> tuple[Event, ...]:
    """The sheets printed last, newest first."""
    query = (
        select(EVENT)
        .where(EVENT.c.kind == "sheet_printed", standing())
        .order_by(EVENT.c.serial.desc())
        .limit(limit)
    )
    with reading(book.engine) as connection:
        return events_of(connection, connection.execute(query).fetchall())


def printed_sheet(book: Queries, number: int) -> Event | None:
    """The event of a sheet's printing by its number."""
    query = select(EVENT).where(
        EVENT.c.kind == "sheet_printed", EVENT.c.details["sheet"].as_integer() == number, standing()
    )
    with reading(book.engine) as connection:
        return next(iter(events_of(connection, connection.execute(query).fetchall())), None)


def next_sheet_number(book: Queries) -> int:
    """The number of the next sheet; a number is never used again."""
    query = select(func.max(EVENT.c.details["sheet"].as_integer())).where(EVENT.c.kind == "sheet_printed")
    with reading(book.engine) as connection:
        return int(connection.execute(query).scalar() or 0) + 1


def sheet_cells(book: Queries, number: int) -> tuple[Event, ...]:
    """What was typed in of a sheet: events whose keys name its cells, those voided since left out."""
    query = select(EVENT).where(
        EVENT.c.key >= f"sheet/{number}/", EVENT.c.key < f"sheet/{number}0", standing()
    )
    with reading(book.engine) as connection:
        return events_of(connection, connection.execute(query.order_by(EVENT.c.serial)).fetchall())
