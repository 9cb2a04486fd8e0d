"""How old fish are on a day, and the classes a census puts ages in."""

from __future__ import annotations

from datetime import date
from typing import Final

from tankwright.husbandry.register import Stock

CLASSES: Final = ((30, "to 30 days"), (60, "31 to 60 days"), (90, "61 to 90 days"), (182, "91 to 182 days"),
                  (365, "183 to 365 days"))  # fmt: skip
"""Ages in days up to which a class goes, with its name. Common practice, no source: reports ask for 30 and 60 days."""
OLDER: Final = "over 365 days"
NOT_KNOWN: Final = "age not known"
AGES: Final = (*(name for _, name in CLASSES), OLDER, NOT_KNOWN)
"""All classes, youngest first."""


def age_days(stock: Stock, day: date) -> int | None:
    """Days since a stock was born, None when nobody knows or it was not born yet.

    >>> from datetime import UTC, datetime
    >>> born = Stock(id="s", label="S", kind="brood", opened=datetime(2026, 5, 1, tzinfo=UTC), born=date(2026, 5, 1))
    >>> age_days(born, date(2026, 6, 1)), age_days(born, date(2026, 4, 1))
    (31, None)
    """
    if stock.born is None or stock.born > day:
        return None
    return (day - stock.born).days


def age_class(days: int | None) -> str:
    """The class of an age.

    >>> age_class(30), age_class(31), age_class(4000), age_class(None)
    ('to 30 days', '31 to 60 days', 'over 365 days', 'age not known')
    """
    if days is None:
        return NOT_KNOWN
    return next((name for most, name in CLASSES if days <= most), OLDER)
