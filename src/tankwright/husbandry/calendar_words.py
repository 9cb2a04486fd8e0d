"""Days and dates in words, as a keeper says them."""

from __future__ import annotations

import math
from datetime import date
from typing import Final

_MONTHS: Final = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def days_words(days: float) -> str:
    """A time in whole days, or hours where it is less than one; infinite is no end.

    >>> days_words(0.2), days_words(1.2), days_words(12.0), days_words(0.01), days_words(float("inf"))
    ('5 h', '1 day', '12 days', 'under an hour', 'no end')
    """
    if math.isinf(days):
        return "no end"
    if days < 1.0:
        hours = round(24.0 * max(days, 0.0))
        return f"{hours} h" if hours else "under an hour"
    whole = math.floor(days)
    return "1 day" if whole == 1 else f"{whole} days"


def days_range(low: float, high: float) -> str:
    """From so many to so many days.

    >>> days_range(12.4, 31.0), days_range(12.4, float("inf")), days_range(3.0, 3.4)
    ('12 to 31 days', '12 days or more', '3 days')
    """
    if math.isinf(low):
        return "no end"
    if math.isinf(high):
        return f"{days_words(low)} or more"
    first, last = math.floor(low), math.floor(high)
    return days_words(max(low, 1.0)) if first == last else f"{first} to {last} days"


def date_words(day: date) -> str:
    """A day of the calendar.

    >>> date_words(date(2026, 11, 3))
    '3 Nov 2026'
    """
    return f"{day.day} {_MONTHS[day.month - 1]} {day.year}"
