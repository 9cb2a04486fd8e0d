"""What was where at a moment of the past, as far as is known today."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy import ColumnElement, Connection, or_, select

from tankwright.husbandry.register import Holding
from tankwright.logbook.ids import micros, moment
from tankwright.logbook.schema import BALANCE, HELD


def holdings_then(connection: Connection, at: datetime) -> tuple[Holding, ...]:
    """How many of which stock were where, by place and stock.

    Of every series that could have had fish then, the last thing said of it is looked up; nothing is added up.
    """
    until = micros(at)

    def last(column: ColumnElement[Any]) -> ColumnElement[Any]:
        # of the series at hand, by its key: a join would be answered by reading all that was ever said
        query = select(column).where(
            HELD.c.stock == BALANCE.c.stock, HELD.c.place == BALANCE.c.place, HELD.c.happened <= until
        )
        order = (HELD.c.happened, HELD.c.recorded, HELD.c.event, HELD.c.number)
        return query.order_by(*(one.desc() for one in order)).limit(1).scalar_subquery()

    query = (
        select(BALANCE.c.stock, BALANCE.c.place, last(HELD.c.held).label("held"), last(HELD.c.held_low).label("low"),
               last(HELD.c.held_high).label("high"), last(HELD.c.since).label("since"))
        .where(
            BALANCE.c.first <= until,
            # all gone, and nothing said since: there was none
            or_(BALANCE.c.held != 0, BALANCE.c.high != 0, BALANCE.c.last > until),
        )
        .order_by(BALANCE.c.place, BALANCE.c.stock)
    )  # fmt: skip
    return tuple(
        Holding(stock=row.stock, place=row.place, held=row.held, low=row.low, high=row.high,
                estimated=row.low != row.high, since=None if row.since is None else moment(row.since))
        for row in connection.execute(query) if row.held or row.high
    )  # fmt: skip
