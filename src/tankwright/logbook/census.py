"""What was where at a moment of the past, as far as is known today."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import Connection, and_, func, or_, select

from tankwright.husbandry.register import Holding
from tankwright.logbook.ids import micros, moment
from tankwright.logbook.schema import BALANCE, HELD


def holdings_then(connection: Connection, at: datetime) -> tuple[Holding, ...]:
    """How many of which stock were where, by place and stock.

    Of every series that could have had fish then, the last thing said of it is looked up; nothing is added up.
    """
    until = micros(at)
    inner = HELD.alias("said")
    newest = (
        select(func.max(inner.c.happened))
        .where(inner.c.stock == BALANCE.c.stock, inner.c.place == BALANCE.c.place, inner.c.happened <= until)
        .scalar_subquery()
    )
    query = (
        select(HELD.c.stock, HELD.c.place, HELD.c.held, HELD.c.held_low, HELD.c.held_high, HELD.c.since)
        .select_from(BALANCE)
        .join(HELD, and_(HELD.c.stock == BALANCE.c.stock, HELD.c.place == BALANCE.c.place, HELD.c.happened == newest))
        .where(
            BALANCE.c.first <= until,
            # all gone, and nothing said since: there was none
            or_(BALANCE.c.held != 0, BALANCE.c.high != 0, BALANCE.c.last > until),
        )
        .order_by(HELD.c.place, HELD.c.stock, HELD.c.recorded, HELD.c.event, HELD.c.number)
    )  # fmt: skip
    last = {(row.place, row.stock): row for row in connection.execute(query)}  # the last of one moment counts
    return tuple(
        Holding(stock=row.stock, place=row.place, held=row.held, low=row.held_low, high=row.held_high,
                estimated=row.held_low != row.held_high, since=None if row.since is None else moment(row.since))
        for row in last.values() if row.held or row.held_high
    )  # fmt: skip
