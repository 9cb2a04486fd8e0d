"""When there is time to work: evenings, weekends, days off; and moments counted in working time.

A calendar counts seconds from midnight before its first day, as the clock on the wall shows them.
"""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Final

from tankwright.units import Second

DAY: Final[Second] = 86_400.0
LONGEST: Final = 20 * 365
"""Days a calendar looks ahead. A build that takes longer is told so, not searched for an end."""
_SATURDAY: Final = 5
_SEASON: Final = 120  # days looked ahead at a time


@dataclass(frozen=True, slots=True, kw_only=True)
class Week:
    """Working time: how long, and from when (s after midnight), on weekdays and on Saturdays and Sundays."""

    evening: Second
    weekend: Second
    evening_from: Second
    weekend_from: Second


class Calendar:
    """The working time of a build.

    >>> week = Week(evening=7200.0, weekend=0.0, evening_from=68400.0, weekend_from=32400.0)
    >>> calendar = Calendar(date(2026, 12, 4), week, not_on=())  # a Friday
    >>> calendar.moment(calendar.after_work(0.0, 3 * 3600.0))  # an hour is left for Monday
    datetime.datetime(2026, 12, 7, 20, 0)
    """

    def __init__(self, first: date, week: Week, not_on: Collection[date]) -> None:
        self.first = first
        self.week = week
        self._free = frozenset(not_on)
        self._starts: list[Second] = []
        self._ends: list[Second] = []
        self._worked: list[Second] = []  # before each window
        self._days = min(LONGEST, (date.max - first).days)
        self._looked = 0
        self._total = 0.0

    def _look_on(self) -> bool:
        """Look a season further; False when there are no more days."""
        until = min(self._looked + _SEASON, self._days)
        for number in range(self._looked, until):
            window = self._window(number)
            if window is not None:
                self._starts.append(window[0])
                self._ends.append(window[1])
                self._worked.append(self._total)
                self._total += window[1] - window[0]
        more = until > self._looked
        self._looked = until
        return more

    def _look_until(self, at: Second) -> None:
        while self._looked * DAY <= at and self._look_on():
            pass

    def _window(self, number: int) -> tuple[Second, Second] | None:
        day = self.first + timedelta(days=number)
        weekend = day.weekday() >= _SATURDAY
        long = self.week.weekend if weekend else self.week.evening
        begins = self.week.weekend_from if weekend else self.week.evening_from
        if long <= 0 or day in self._free:
            return None
        begins = max(0.0, min(begins, DAY - long))  # a long day begins early enough to end before midnight
        return number * DAY + begins, number * DAY + min(begins + long, DAY)

    def moment(self, at: Second) -> datetime:
        """That second as the clock on the wall shows it; the end of all days for what lies beyond them."""
        last = (date.max - self.first).days * DAY
        return datetime.combine(self.first, time()) + timedelta(seconds=round(min(at, last)))

    def second(self, day: date) -> Second:
        """Midnight before that day."""
        return (day - self.first).days * DAY

    def window_of(self, day: date) -> tuple[Second, Second] | None:
        """The working time of that day, None on a day without."""
        return self._window((day - self.first).days)

    def window_after(self, at: Second) -> tuple[Second, Second] | None:
        """The rest of the window that runs at that second, or the next one; None when none comes."""
        self._look_until(at)
        while (place := bisect_right(self._ends, at)) == len(self._ends):
            if not self._look_on():
                return None
        return max(at, self._starts[place]), self._ends[place]

    def worked(self, until: Second) -> Second:
        """Working time that has passed by then.

        >>> week = Week(evening=7200.0, weekend=0.0, evening_from=68400.0, weekend_from=0.0)
        >>> Calendar(date(2026, 12, 4), week, ()).worked(DAY)
        7200.0
        """
        self._look_until(until)
        place = bisect_right(self._starts, until) - 1
        if place < 0:
            return 0.0
        return self._worked[place] + min(until, self._ends[place]) - self._starts[place]

    def after_work(self, at: Second, work: Second) -> Second:
        """The first moment by which so much has been worked since then; infinity when there is not so much time."""
        if work <= 0:
            return at
        wanted = self.worked(at) + work
        while wanted > self._total + 1e-6:
            if not self._look_on():
                return math.inf
        place = bisect_left(self._worked, wanted - 1e-6) - 1
        return self._starts[place] + wanted - self._worked[place]

    def before_work(self, at: Second, work: Second) -> Second:
        """The latest moment at which so much work must begin to be over by then; less than 0 when there is not
        so much time before."""
        if work <= 0:
            return at
        wanted = self.worked(at) - work
        if wanted < -1e-6:
            return wanted
        place = max(bisect_right(self._worked, wanted + 1e-6) - 1, 0)
        return self._starts[place] + max(wanted - self._worked[place], 0.0)
