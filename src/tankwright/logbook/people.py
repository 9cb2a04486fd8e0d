"""Who wrote in a logbook and on how many days, from when to when: asked of the database, not of every entry."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from itertools import pairwise
from typing import Any, Final

from sqlalchemy import func, select

from tankwright.logbook.engine import reading
from tankwright.logbook.ids import micros, moment
from tankwright.logbook.queries import Queries
from tankwright.logbook.schema import EVENT

_DAY: Final = 86_400 * 1_000_000
PROGRAM: Final = "plan"
"""By whom the program itself writes what the plan says of tanks."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Wrote:
    """Somebody's entries: how many, on how many days (of UTC), the first and the last that happened."""

    who: str
    entries: int
    days: int
    first: datetime
    last: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """How a book was kept in a time: days of UTC with an entry of a person, and the longest stretch of days without
    one, with the day before it. `first` and `last` are days with entries; None for none."""

    days: int
    first: date | None
    last: date | None
    longest_gap: int = 0
    gap_after: date | None = None


def people_who_wrote(
    book: Queries, *, since: datetime | None = None, until: datetime | None = None
) -> tuple[Wrote, ...]:
    """Everybody who wrote, by name; what the program wrote by itself is left out."""
    day = EVENT.c.happened // _DAY
    query = select(
        EVENT.c.who, func.count(), func.count(day.distinct()), func.min(EVENT.c.happened), func.max(EVENT.c.happened)
    ).group_by(EVENT.c.who)  # fmt: skip
    with reading(book.engine) as connection:
        rows = connection.execute(_within(query, since, until).order_by(EVENT.c.who)).fetchall()
    return tuple(
        Wrote(who=who, entries=entries, days=days, first=moment(first), last=moment(last))
        for who, entries, days, first, last in rows
    )


def how_kept(book: Queries, *, since: datetime | None = None, until: datetime | None = None) -> Kept:
    """On which days somebody wrote, and for how long nobody did."""
    day = EVENT.c.happened // _DAY
    query = _within(select(day).distinct(), since, until).order_by(day)
    with reading(book.engine) as connection:
        days = [moment(int(row[0]) * _DAY).date() for row in connection.execute(query)]
    if not days:
        return Kept(days=0, first=None, last=None)
    gaps = [((later - earlier) // timedelta(days=1) - 1, earlier) for earlier, later in pairwise(days)]
    longest, after = max(gaps, key=lambda gap: gap[0], default=(0, None))
    return Kept(
        days=len(days),
        first=days[0],
        last=days[-1],
        longest_gap=longest,
        gap_after=after if longest else None,
    )


def _within(query: Any, since: datetime | None, until: datetime | None) -> Any:
    query = query.where(EVENT.c.who != PROGRAM)
    if since is not None:
        query = query.where(EVENT.c.happened >= micros(since))
    return query if until is None else query.where(EVENT.c.happened <= micros(until))
