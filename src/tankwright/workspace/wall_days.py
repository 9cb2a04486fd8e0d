"""Days by the clock on the wall as moments: their first, their last; days no clock can tell are the nearest it can."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from typing import Final

_FIRST: Final = date(1900, 1, 1)
_LAST: Final = date(9990, 1, 1)
"""Between these every zone of the world can be reckoned; no event lies outside."""


def begin_of(day: date) -> datetime:
    """The first moment of a day by the clock of the house.

    >>> begin_of(date(2026, 8, 2)).date(), begin_of(date(1, 1, 1)).year, begin_of(date(9999, 12, 31)).year
    (datetime.date(2026, 8, 2), 1900, 9990)
    """
    return datetime.combine(min(max(day, _FIRST), _LAST), time.min).astimezone()


def end_of(day: date) -> datetime:
    """The last moment of a day by the clock of the house.

    >>> end_of(date(2026, 8, 2)).date(), end_of(date(1, 1, 1)).year
    (datetime.date(2026, 8, 2), 1900)
    """
    next_day = min(max(day, _FIRST), _LAST) + timedelta(days=1)
    return datetime.combine(next_day, time.min).astimezone() - timedelta(microseconds=1)


def wall_moment(moment: datetime) -> datetime:
    """A moment by the clock of the house, which says no zone, with its zone.

    >>> wall_moment(datetime(2026, 8, 2, 7, 15)).tzinfo is None, wall_moment(datetime(1, 1, 1)).year
    (False, 1900)
    """
    if not _FIRST <= moment.date() <= _LAST:
        return begin_of(moment.date())
    return moment.astimezone()
