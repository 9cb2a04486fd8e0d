"""What comes due while the keeper is away, as a grid for a helper: a row a kind of work, a box on each day of it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from tankwright.husbandry.rounds import Upcoming
from tankwright.report.cards_words import runs_of, short

MOST_DAYS: Final = 14
"""Columns a page has room for."""
MOST_ROWS: Final = 20
_TANKS: Final = 70
_WORK: Final = 44


@dataclass(frozen=True, slots=True, kw_only=True)
class DueRow:
    """Work of one kind: where, its usual range, and on which of the days it is due."""

    work: str
    tanks: str
    range: str
    due: tuple[bool, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class DueGrid:
    """The days and the rows; `left_out` rows and `more_days` have no room on the page."""

    days: tuple[date, ...]
    rows: tuple[DueRow, ...]
    left_out: int = 0
    more_days: int = 0


def due_grid(coming: Iterable[Upcoming], first: date, last: date) -> DueGrid:
    """The grid of an absence; what is due most days stands first, so that the rare is not overlooked at the end.

    >>> look = Upcoming(day=date(2026, 8, 3), kind="look", label="Look", places=("A1", "A2", "A3"))
    >>> due_grid([look], date(2026, 8, 2), date(2026, 8, 3)).rows[0]
    DueRow(work='Look', tanks='A1..A3', range='', due=(False, True))
    """
    count = max(1, (last - first).days + 1)
    days = tuple(first + timedelta(days=n) for n in range(min(count, MOST_DAYS)))
    places: dict[tuple[str, str, str], dict[str, None]] = {}
    on: dict[tuple[str, str, str], set[date]] = {}
    for one in coming:
        if one.day not in days:
            continue
        key = (one.label, one.range, one.by)
        on.setdefault(key, set()).add(one.day)
        places.setdefault(key, {}).update(dict.fromkeys(place for place in one.places if place))
    rows = [
        DueRow(work=short(f"{label} ({by})" if by else label, _WORK), range=usual,
               tanks=short(runs_of(places[label, usual, by]), _TANKS), due=tuple(day in dates for day in days))
        for (label, usual, by), dates in on.items()
    ]  # fmt: skip
    rows.sort(key=lambda row: (-sum(row.due), row.work))
    return DueGrid(
        days=days, rows=tuple(rows[:MOST_ROWS]), left_out=max(0, len(rows) - MOST_ROWS),
        more_days=max(0, count - MOST_DAYS),
    )  # fmt: skip
