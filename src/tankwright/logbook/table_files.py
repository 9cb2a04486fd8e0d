"""The book as tables anybody can open: one CSV a subject, UTF-8, moments in UTC, names beside ids."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterator, Sequence
from datetime import datetime
from typing import Any, Final

from sqlalchemy import Connection, select

from tankwright.logbook.chain import in_serial_order
from tankwright.logbook.codec import compact, frozen
from tankwright.logbook.engine import reading
from tankwright.logbook.ids import moment
from tankwright.logbook.queries import Queries
from tankwright.logbook.schema import BALANCE, CONFLICT, DERIVED, DUE, FLOW, OBSERVED, THING, VOIDED
from tankwright.logbook.things import ADAPTERS, Sort

_FORMULA: Final = ("=", "+", "-", "@", "\t", "\r")
_MANY: Final[dict[Sort, str]] = {
    "place": "places", "line": "lines", "stock": "stocks", "set": "sets", "task": "tasks", "tool": "tools",
    "quarantine": "quarantines",
}  # fmt: skip

Rows = Iterator[Sequence[Any]]


def tables_of(book: Queries) -> Iterator[tuple[str, Iterator[str]]]:
    """The name of each file and its lines, one after the other: each must be read to its end before the next.

    Raises NoLogbookError when the book cannot be read.
    """
    with reading(book.engine) as connection:
        names = _names(connection)
        for name, make in _TABLES.items():
            yield f"{name}.csv", _lines(make(connection, names))
        for sort, many in _MANY.items():
            yield f"{many}.csv", _lines(_things(connection, sort))


Names = dict[str, str]


def _names(connection: Connection) -> Names:
    return {row.id: row.label for row in connection.execute(select(THING.c.id, THING.c.label))}


def _events(connection: Connection, names: Names) -> Rows:
    yield ("serial", "id", "kind", "happened", "recorded", "who", "device", "place", "place name", "stock",
           "stock name", "line", "line name", "note", "reason", "voids", "voided by", "batch", "plan revision",
           "details", "seal")  # fmt: skip
    voided = {row.event: row.by for row in connection.execute(select(VOIDED))}
    for one in in_serial_order(connection):
        yield (one.serial, one.id, one.kind, one.happened, one.recorded, one.who, one.device, one.place,
               names.get(one.place, ""), one.stock, names.get(one.stock, ""), one.line, names.get(one.line, ""),
               one.note, one.reason, one.voids, voided.get(one.id, ""), one.batch, one.plan_revision,
               compact(one.details) if one.details else "", one.hash)  # fmt: skip


def _flows(connection: Connection, names: Names) -> Rows:
    yield "event", "number", "happened", "stock", "stock name", "place", "place name", "account", "quantity"
    for row in connection.execute(select(FLOW).order_by(FLOW.c.happened, FLOW.c.event, FLOW.c.number)):
        yield (row.event, row.number, moment(row.happened), row.stock, names.get(row.stock, ""), row.place,
               names.get(row.place, ""), row.account, row.quantity)  # fmt: skip


def _observations(connection: Connection, names: Names) -> Rows:
    yield ("event", "number", "happened", "place", "place name", "stock", "stock name", "quantity", "value", "low",
           "high", "unit", "method")  # fmt: skip
    query = select(OBSERVED).order_by(OBSERVED.c.happened, OBSERVED.c.event, OBSERVED.c.number)
    for row in connection.execute(query):
        yield (row.event, row.number, moment(row.happened), row.place, names.get(row.place, ""), row.stock,
               names.get(row.stock, ""), row.quantity, row.value, row.low, row.high, row.unit, row.method)  # fmt: skip


def _balances(connection: Connection, names: Names) -> Rows:
    yield "stock", "stock name", "place", "place name", "held", "at least", "at most", "since"
    query = select(BALANCE).where((BALANCE.c.held != 0) | (BALANCE.c.high != 0))
    for row in connection.execute(query.order_by(BALANCE.c.place, BALANCE.c.stock)):
        yield (row.stock, names.get(row.stock, ""), row.place, names.get(row.place, ""), row.held, row.low, row.high,
               None if row.since is None else moment(row.since))  # fmt: skip


def _derived(connection: Connection, names: Names) -> Rows:
    yield "event", "happened", "stock", "stock name", "place", "place name", "account", "quantity"
    query = select(DERIVED).order_by(DERIVED.c.happened, DERIVED.c.event, DERIVED.c.stock, DERIVED.c.account)
    for row in connection.execute(query):
        yield (row.event, moment(row.happened), row.stock, names.get(row.stock, ""), row.place,
               names.get(row.place, ""), row.account, row.quantity)  # fmt: skip


def _conflicts(connection: Connection, names: Names) -> Rows:
    yield "stock", "stock name", "place", "place name", "since", "until", "least", "event"
    for row in connection.execute(
        select(CONFLICT).order_by(CONFLICT.c.since, CONFLICT.c.stock, CONFLICT.c.place)
    ):
        yield (row.stock, names.get(row.stock, ""), row.place, names.get(row.place, ""), moment(row.since),
               None if row.until is None else moment(row.until), row.least, row.event)  # fmt: skip


def _due(connection: Connection, names: Names) -> Rows:
    yield "task", "task name", "due", "last done"
    for row in connection.execute(select(DUE).order_by(DUE.c.due, DUE.c.task)):
        yield (
            row.task,
            names.get(row.task, ""),
            moment(row.due),
            None if row.last is None else moment(row.last),
        )


_TABLES: Final[dict[str, Callable[[Connection, Names], Rows]]] = {
    "events": _events, "flows": _flows, "observations": _observations, "balances": _balances,
    "lost_and_found": _derived, "conflicts": _conflicts, "due": _due,
}  # fmt: skip


def _things(connection: Connection, sort: Sort) -> Rows:
    columns = list(ADAPTERS[sort].json_schema()["properties"])
    yield columns
    query = select(THING.c.data).where(THING.c.sort == sort).order_by(THING.c.label, THING.c.id)
    for row in connection.execute(query):
        yield [_joined(row.data.get(name)) for name in columns]


def _joined(value: Any) -> Any:
    """A list or a table within a thing as JSON; nothing for an empty one."""
    if isinstance(value, list | dict):
        return compact(frozen(value)) if value else None
    return value


def _lines(rows: Rows) -> Iterator[str]:
    for row in rows:
        written = io.StringIO()
        csv.writer(written, lineterminator="\n").writerow([_cell(one) for one in row])
        yield written.getvalue()


def _cell(value: Any) -> Any:
    """A value as a cell; a text that a spreadsheet would take for a formula is quoted by an apostrophe."""
    if isinstance(value, datetime):
        return value.isoformat().replace("+00:00", "Z")
    if isinstance(value, str) and value.startswith(_FORMULA):
        return f"'{value}"
    return value
