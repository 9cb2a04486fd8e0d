"""What flowed between accounts, with what follows from counts."""

from __future__ import annotations

from collections.abc import Collection
from datetime import datetime
from typing import Any, Final

from sqlalchemy import Connection, and_, literal_column, select

from tankwright.husbandry.balance_sheet import Moved
from tankwright.husbandry.records import Account
from tankwright.logbook.following import standing
from tankwright.logbook.ids import micros, moment
from tankwright.logbook.schema import DERIVED, EVENT, FLOW

_AT_ONCE: Final = 400


def in_place(place: str) -> Any:
    """The condition that a flow is of a place. Said so that the index, which leaves out those of none, is used."""
    return and_(FLOW.c.place == place, FLOW.c.place != literal_column("''"))


def flowed(
    connection: Connection, *, stock: str | None = None, place: str | None = None, accounts: Collection[Account] = (),
    since: datetime | None = None, until: datetime | None = None,
) -> tuple[Moved, ...]:  # fmt: skip
    """Everything that flowed, and what follows from counts, in the order it happened."""
    found: list[Moved] = []
    for table in (FLOW, DERIVED):
        query = _query(table)
        if stock is not None:
            query = query.where(table.c.stock == stock)
        if place is not None:
            query = query.where(table.c.place == place, table.c.place != literal_column("''"))
        if accounts:
            query = query.where(table.c.account.in_(tuple(accounts)))
        if since is not None:
            query = query.where(table.c.happened >= micros(since))
        if until is not None:
            query = query.where(table.c.happened <= micros(until))
        found += _moved(connection, table, query)
    return _in_order(found)


def flowed_around(
    connection: Connection, stocks: Collection[str], places: Collection[str]
) -> tuple[Moved, ...]:
    """All flows of events that touch any of these stocks or places, and what follows from their counts."""
    if not stocks and not places:
        return flowed(connection)
    found: list[Moved] = []
    derived: set[Moved] = set()
    for name, names in (("stock", stocks), ("place", places)):
        for part in _parts(names):
            touching = select(FLOW.c.event).where(
                FLOW.c[name].in_(part), FLOW.c[name] != literal_column("''")
            )
            known = {one.event for one in found}
            flows = _moved(connection, FLOW, _query(FLOW).where(FLOW.c.event.in_(touching)))
            found += [one for one in flows if one.event not in known]
            derived |= set(_moved(connection, DERIVED, _query(DERIVED).where(DERIVED.c[name].in_(part))))
    return _in_order([*found, *derived])


def _parts(names: Collection[str]) -> list[tuple[str, ...]]:
    every = sorted(names)
    return [tuple(every[start : start + _AT_ONCE]) for start in range(0, len(every), _AT_ONCE)]


def _query(table: Any) -> Any:
    if table is FLOW:
        return select(FLOW).join(EVENT, EVENT.c.id == FLOW.c.event).where(standing())
    return select(table)


def _moved(connection: Connection, table: Any, query: Any) -> list[Moved]:
    return [
        Moved(event=row.event, stock=row.stock, place=row.place, account=row.account, quantity=row.quantity,
              happened=moment(row.happened), derived=table is DERIVED)
        for row in connection.execute(query)
    ]  # fmt: skip


def _in_order(found: Collection[Moved]) -> tuple[Moved, ...]:
    return tuple(
        sorted(
            found, key=lambda one: (one.happened, one.event, one.derived, one.stock, one.place, one.account)
        )
    )
