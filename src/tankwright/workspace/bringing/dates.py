"""Dates as people write them: in which order a whole column has day and month, and which rows contradict it."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from typing import Final, Literal

from tankwright.workspace.bringing.tables import Cell

DayOrder = Literal["day first", "month first", "year first"]
ORDERS: Final[tuple[DayOrder, ...]] = ("day first", "month first", "year first")

_PARTS: Final = re.compile(r"^(\d{1,4})[-./ ](\d{1,2})[-./ ](\d{1,4})(?:[ T]+(\d{1,2}):(\d{2})(?::\d{2})?)?$")
_NAMED: Final = re.compile(r"^(\d{1,2})[-. ]*([A-Za-z]{3,9})\.?[-., ]*(\d{2,4})(?:[ T]+(\d{1,2}):(\d{2}))?$")
_MONTHS: Final = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_CENTURY: Final = 70  # two digits from here on are of the last century


@dataclass(frozen=True, slots=True, kw_only=True)
class ColumnOrder:
    """What a column of dates says of its own order. `order` None: nothing proves one, so it must be told.

    `for_day` and `for_month` count the cells that prove the day, or the month, stands first: with both above nothing
    the column is of two minds.
    """

    order: DayOrder | None
    for_day: int = 0
    for_month: int = 0

    @property
    def of_two_minds(self) -> bool:
        """True when some cells can only be read one way and some only the other."""
        return self.for_day > 0 and self.for_month > 0


def column_order(cells: Iterable[Cell]) -> ColumnOrder:
    """In which order a column has its dates, as far as its own cells prove it.

    >>> column_order(["3/4/2026", "17/4/2026"]).order, column_order(["3/4/2026"]).order
    ('day first', None)
    >>> column_order(["17/4/2026", "4/17/2026"]).of_two_minds
    True
    """
    day = month = year = unsure = 0
    for cell in cells:
        match = _PARTS.match(cell.strip()) if isinstance(cell, str) else None
        if match is None:
            continue
        first, second = int(match[1]), int(match[2])
        if len(match[1]) == 4:
            year += 1
        elif first > 12 >= second:
            day += 1
        elif second > 12 >= first:
            month += 1
        elif first != second:
            unsure += 1
    if day and month:
        return ColumnOrder(order=None, for_day=day, for_month=month)
    if day or month:
        return ColumnOrder(order="day first" if day else "month first", for_day=day, for_month=month)
    return ColumnOrder(order=None if unsure else "year first")


def read_date(cell: Cell, order: DayOrder | None) -> datetime | None:
    """The moment a cell names, without a time zone, at noon when it says no hour; None when it names none, or when
    day and month could be either and no order is told.

    >>> read_date("3.4.26", "day first").isoformat(), read_date("3 Apr 2026 18:30", None).isoformat()
    ('2026-04-03T12:00:00', '2026-04-03T18:30:00')
    >>> read_date("3/4/2026", None), read_date("31/2/2026", "day first")
    (None, None)
    """
    if isinstance(cell, datetime):
        return cell if cell.time() != datetime.min.time() else cell.replace(hour=12)
    text = cell.strip()
    named = _NAMED.match(text)
    if named is not None:
        month = next((at for at, name in enumerate(_MONTHS, 1) if named[2].lower().startswith(name)), 0)
        return _made(named[3], month, int(named[1]), named[4], named[5])
    match = _PARTS.match(text)
    if match is None:
        return None
    first, second, third, hour, minute = match.groups()
    if len(first) == 4:
        return _made(first, int(second), int(third), hour, minute)
    a, b = int(first), int(second)
    if order == "month first" or (order is None and b > 12 >= a):
        return _made(third, a, b, hour, minute)
    if order == "day first" or (order is None and (a > 12 or a == b)):
        return _made(third, b, a, hour, minute)
    return None


def _made(year: str, month: int, day: int, hour: str | None, minute: str | None) -> datetime | None:
    full = int(year)
    if len(year) <= 2:
        full += 2000 if full < _CENTURY else 1900
    try:
        made = date(full, month, day)
        return datetime(made.year, made.month, made.day, int(hour or 12), int(minute or 0))
    except ValueError:
        return None
