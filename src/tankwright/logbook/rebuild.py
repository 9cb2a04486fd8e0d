"""All that follows from what was recorded, made anew from nothing; or compared with what stands, and nothing written.

Made for millions of events: rows go by as plain tuples, in the order of their series, and are never all in memory.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Any, Final, NamedTuple

from pydantic import ValidationError
from sqlalchemy import Connection, Table, and_, delete, func, insert, literal, null, select, union_all

from tankwright.husbandry.ledger import Folded, Running
from tankwright.husbandry.register import Task
from tankwright.logbook.following import due_rows, standing, thing_row
from tankwright.logbook.rows import bare_event
from tankwright.logbook.schema import (
    BALANCE,
    CONFLICT,
    DERIVED,
    DUE,
    EVENT,
    FLOW,
    FOLLOWS,
    HELD,
    OBSERVED,
    THING,
    VOIDED,
)
from tankwright.logbook.series import SEEN, Series, conflict_rows, derived_rows, flow_bounds
from tankwright.logbook.things import ADAPTERS, NAMING, Sort, thing_from, thing_of

_AT_ONCE: Final = 20_000
_AT_ONCE_READ: Final = 10_000
_TASKS_AT_ONCE: Final = 400

Progress = Callable[[int, int], None]
"""Told how many of how many flows and counts are done."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """A row that follows from the events and does not stand, or stands and does not follow."""

    table: str
    stands: tuple[Any, ...] | None
    follows: tuple[Any, ...] | None


class _Said(NamedTuple):
    """A step as it is read: what puts it in order, then what it says."""

    stock: str
    place: str
    happened: int
    recorded: int
    event: str
    number: int
    part: int
    seen: int | None
    sort: str
    quantity: int | None
    value: float | None
    low: float | None
    high: float | None


@dataclass(frozen=True, slots=True)
class _Made:
    """All rows of one series, in the order of their tables' columns."""

    series: Series
    held: list[tuple[Any, ...]]
    balance: tuple[Any, ...]
    derived: list[tuple[Any, ...]]
    conflicts: list[tuple[Any, ...]]


def rebuild(connection: Connection, progress: Progress | None = None) -> None:
    """Throw away all that follows and make it anew, in the transaction that is open."""
    for table in FOLLOWS:
        connection.execute(delete(table))
    voids = [{"event": event, "by": by} for event, by in _every_void(connection)]
    if voids:
        connection.execute(insert(VOIDED), voids)
    held, balance = _Writer(connection, HELD), _Writer(connection, BALANCE)
    derived, conflicts = _Writer(connection, DERIVED), _Writer(connection, CONFLICT)
    for made in _every_series(connection, progress):
        held.add(made.held)
        balance.add([made.balance])
        derived.add(made.derived)
        conflicts.add(made.conflicts)
    for writer in (held, balance, derived, conflicts):
        writer.flush()
    things = list(_every_thing(connection))
    for start in range(0, len(things), _AT_ONCE):
        connection.execute(insert(THING), things[start : start + _AT_ONCE])
    due = list(_every_due(connection, things))
    if due:
        connection.execute(insert(DUE), due)


def audit(
    connection: Connection, progress: Progress | None = None, most: int = 100
) -> tuple[Difference, ...]:
    """Where what stands is other than what follows from the events, at most so many; nothing is written."""
    found: list[Difference] = []
    for one in _differences(connection, progress):
        found.append(one)
        if len(found) >= most:
            break
    return tuple(found)


def _differences(connection: Connection, progress: Progress | None) -> Iterator[Difference]:
    voids = sorted(_every_void(connection), key=repr)
    yield from _compared(VOIDED, _sorted(connection.execute(select(VOIDED))), voids)
    beside = {table: _Beside(connection, table) for table in (HELD, BALANCE, DERIVED, CONFLICT)}
    for made in _every_series(connection, progress):
        for table, rows in (
            (HELD, made.held), (BALANCE, [made.balance]), (DERIVED, made.derived), (CONFLICT, made.conflicts),
        ):  # fmt: skip
            yield from beside[table].compare(made.series, rows)
    for one in beside.values():
        yield from one.rest()
    things = list(_every_thing(connection))
    plain = [tuple(row[column.name] for column in THING.columns) for row in things]
    yield from _compared(THING, _sorted(connection.execute(select(THING))), sorted(plain, key=repr))
    due = [tuple(row[column.name] for column in DUE.columns) for row in _every_due(connection, things)]
    yield from _compared(DUE, _sorted(connection.execute(select(DUE))), sorted(due, key=repr))


def _sorted(rows: Iterable[Any]) -> list[tuple[Any, ...]]:
    return sorted((tuple(row) for row in rows), key=repr)


def _compared(
    table: Table, stand: Sequence[tuple[Any, ...]], follow: Sequence[tuple[Any, ...]]
) -> Iterator[Difference]:
    if stand == follow:
        return
    there, wanted = {repr(one): one for one in stand}, {repr(one): one for one in follow}
    for key in sorted(there.keys() | wanted.keys()):
        if key not in there or key not in wanted:
            yield Difference(table=table.name, stands=there.get(key), follows=wanted.get(key))


class _Beside:
    """The rows of a table as they stand, one series after another, to be held beside what follows."""

    def __init__(self, connection: Connection, table: Table) -> None:
        self.table = table
        self.at = [table.columns.keys().index(name) for name in ("stock", "place")]
        order = [table.c.stock, table.c.place]
        order += [one for one in table.primary_key.columns if one.name not in {"stock", "place"}]
        rows = _streamed(connection, select(table).order_by(*order))
        self.groups = groupby(rows, key=lambda row: (row[self.at[0]], row[self.at[1]]))
        self.next = self._step()

    def _step(self) -> tuple[Series, list[tuple[Any, ...]]] | None:
        group = next(self.groups, None)
        return None if group is None else (group[0], [tuple(row) for row in group[1]])

    def compare(self, series: Series, rows: Sequence[tuple[Any, ...]]) -> Iterator[Difference]:
        """What differs up to a series."""
        while self.next is not None and self.next[0] < series:
            yield from _compared(self.table, self.next[1], [])
            self.next = self._step()
        mine: list[tuple[Any, ...]] = []
        if self.next is not None and self.next[0] == series:
            mine = self.next[1]
            self.next = self._step()
        if mine != list(rows):
            yield from _compared(self.table, mine, rows)

    def rest(self) -> Iterator[Difference]:
        """What stands beyond the last series."""
        while self.next is not None:
            yield from _compared(self.table, self.next[1], [])
            self.next = self._step()


class _Writer:
    """Rows gathered until there are enough of them to be written in one go."""

    def __init__(self, connection: Connection, table: Table) -> None:
        self.connection = connection
        mark = "?" if connection.dialect.paramstyle == "qmark" else "%s"
        names = ", ".join(f'"{one.name}"' for one in table.columns)
        marks = ", ".join([mark] * len(table.columns))
        self.text = f'INSERT INTO "{table.name}" ({names}) VALUES ({marks})'
        self.rows: list[tuple[Any, ...]] = []

    def add(self, rows: Sequence[tuple[Any, ...]]) -> None:
        """Take rows."""
        self.rows += rows
        if len(self.rows) >= _AT_ONCE:
            self.flush()

    def flush(self) -> None:
        """Write what was taken."""
        if self.rows:
            self.connection.exec_driver_sql(self.text, self.rows)
            self.rows = []


def _every_void(connection: Connection) -> list[tuple[str, str]]:
    """Events that do not hold, each with what voids it: of several, which two books may have, the first."""
    query = (
        select(EVENT.c.voids, EVENT.c.id)
        .where(EVENT.c.kind == "voided")
        .order_by(EVENT.c.recorded, EVENT.c.id)
    )
    first: dict[str, str] = {}
    for event, by in connection.execute(query):
        first.setdefault(event, by)
    return list(first.items())


def _streamed(connection: Connection, query: Any) -> Iterator[Any]:
    """Rows of a query, some thousands at a time."""
    # said of this question only: a connection that streams all it is asked cannot write many rows in one go
    options = {"stream_results": True, "yield_per": _AT_ONCE_READ}
    result = connection.execute(query, execution_options=options)
    for part in result.partitions():
        yield from part


def _steps(connection: Connection) -> Iterator[Any]:
    """All that stands and says something of a number held, in the order of series and of time."""
    gone = select(EVENT.c.voids).where(EVENT.c.kind == "voided")
    flows = (
        select(FLOW.c.stock, FLOW.c.place, FLOW.c.happened, FLOW.c.recorded, FLOW.c.event, literal(0).label("number"),
               FLOW.c.number.label("part"), OBSERVED.c.number.label("seen"), literal("flow").label("sort"),
               FLOW.c.quantity, OBSERVED.c.value, OBSERVED.c.low, OBSERVED.c.high)
        .outerjoin(OBSERVED, and_(OBSERVED.c.event == FLOW.c.event, OBSERVED.c.quantity == "count",
                                  OBSERVED.c.value.is_not(None)))
        .where(FLOW.c.account == "held", FLOW.c.event.not_in(gone))
    )  # fmt: skip
    seen = (
        select(OBSERVED.c.stock, OBSERVED.c.place, OBSERVED.c.happened, EVENT.c.recorded, OBSERVED.c.event,
               literal(1), literal(0), OBSERVED.c.number, EVENT.c.kind, null(), OBSERVED.c.value, OBSERVED.c.low,
               OBSERVED.c.high)
        .select_from(EVENT)
        .join(OBSERVED, OBSERVED.c.event == EVENT.c.id)
        .where(EVENT.c.kind.in_(tuple(SEEN)), EVENT.c.id.not_in(gone), OBSERVED.c.quantity == "count",
               OBSERVED.c.value.is_not(None))
    )  # fmt: skip
    both = union_all(flows, seen).subquery()
    order = (both.c.stock, both.c.place, both.c.happened, both.c.recorded, both.c.event, both.c.number, both.c.part,
             both.c.seen)  # fmt: skip
    return _streamed(connection, select(both).order_by(*order))


def _every_series(connection: Connection, progress: Progress | None) -> Iterator[_Made]:
    total = 0
    if progress is not None:
        held = select(func.count()).select_from(FLOW).where(FLOW.c.account == "held")
        total = int(connection.execute(held).scalar_one())
    done = told = 0
    for series, rows in groupby(_steps(connection), key=lambda row: (row[0], row[1])):
        made = _made(series, rows)
        done += len(made.held)
        if progress is not None and done - told >= _AT_ONCE:
            told = done
            progress(min(done, total), total)
        yield made
    if progress is not None:
        progress(total, total)


def _made(series: Series, rows: Iterable[Any]) -> _Made:
    stock, place = series
    running = Running()
    held: list[tuple[Any, ...]] = []
    first = last = None
    for step in _whole(rows):
        _, _, at, recorded, event, number, kind, quantity, low, high = step
        running.take(kind, at, event, quantity, low, high)
        held.append((stock, place, at, recorded, event, number, kind, quantity, low, high, running.held, running.low,
                     running.high, running.since))  # fmt: skip
        first = first or step
        last = step
    if first is None or last is None:
        raise ValueError(series)
    folded: Folded = running.folded()
    balance = (stock, place, folded.held, folded.low, folded.high, folded.since, first[2], *last[2:5])
    return _Made(
        series, held, balance, _in_columns(DERIVED, derived_rows(series, folded.derived)),
        _in_columns(CONFLICT, conflict_rows(series, folded.shortages)),
    )  # fmt: skip


def _in_columns(table: Table, rows: Iterable[dict[str, Any]]) -> list[tuple[Any, ...]]:
    """Rows of one series as tuples, in the order of the table's key."""
    names = [one.name for one in table.primary_key.columns if one.name not in {"stock", "place"}]
    return [
        tuple(row[column.name] for column in table.columns)
        for row in sorted(rows, key=lambda row: [row[name] for name in names])
    ]


def _whole(rows: Iterable[Any]) -> Iterator[tuple[Any, ...]]:
    """Steps out of rows: what flows in one event put together, of several counts in one event the first."""
    wait: list[Any] | None = None
    value = low = high = None
    part = -1
    for row in rows:
        if wait is not None and row[4] == wait[4] and row[5] == wait[5]:
            if row[5] == 0 and row[6] != part:
                wait[7] += row[9]
                part = row[6]
            continue
        if wait is not None:
            yield _bounded(wait, value, low, high)
        stock, place, at, recorded, event, number, part, _, sort, quantity, value, low, high = row
        kind = sort if number == 0 else SEEN[sort]
        wait = [stock, place, at, recorded, event, number, kind, quantity if number == 0 else round(value)]
    if wait is not None:
        yield _bounded(wait, value, low, high)


def _bounded(step: list[Any], value: float | None, low: float | None, high: float | None) -> tuple[Any, ...]:
    if low is None and high is None:
        return (*step, None, None)
    least, most = None if low is None else round(low), None if high is None else round(high)
    if step[5] == 0:
        least, most = flow_bounds(step[7], None if value is None else round(value), least, most)
    return (*step, least, most)


def _every_thing(connection: Connection) -> Iterator[dict[str, Any]]:
    query = (
        select(EVENT).where(EVENT.c.kind.in_(sorted(NAMING)), standing())
        .order_by(EVENT.c.thing, EVENT.c.happened, EVENT.c.recorded, EVENT.c.id)
    )  # fmt: skip
    for _, rows in groupby(_streamed(connection, query), key=lambda row: row.thing):
        of: dict[tuple[Sort, str], list[Any]] = {}
        for event in map(bare_event, rows):
            named = thing_of(event)
            if named is not None:
                of.setdefault(named, []).append(event)
        for (sort, name), events in of.items():
            try:
                thing = thing_from(events)
            except (ValidationError, TypeError, ValueError):
                continue  # an older version let it pass; it is in the events, and no thing follows from it
            if thing is not None:
                yield thing_row(sort, name, thing)


def _every_due(connection: Connection, things: Sequence[dict[str, Any]]) -> Iterator[dict[str, Any]]:
    tasks: list[Task] = [
        ADAPTERS["task"].validate_python(row["data"]) for row in things if row["sort"] == "task"
    ]
    for start in range(0, len(tasks), _TASKS_AT_ONCE):
        yield from due_rows(connection, tasks[start : start + _TASKS_AT_ONCE])
