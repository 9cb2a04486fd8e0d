"""Moments on an axis: counted in seconds of UTC, told in the reader's own time, clock changes and all."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta, tzinfo
from typing import Final

EARLIEST: Final = datetime(1900, 1, 1, tzinfo=UTC).timestamp()
LATEST: Final = datetime(2400, 1, 1, tzinfo=UTC).timestamp()
"""Outside these a number is no moment of a room; see `is_moment`."""

_MONTHS: Final = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_DAY: Final = 86400.0
# Distances between ticks: seconds for those within a day, days, months. Own choice.
_CLOCK: Final = (60.0, 300.0, 900.0, 1800.0, 3600.0, 3 * 3600.0, 6 * 3600.0, 12 * 3600.0)
_DAYS: Final = (1, 2, 7, 14)
_MONTH_STEPS: Final = (1, 3, 6, 12, 24, 60, 120, 240, 600, 1200)


def is_moment(seconds: float) -> bool:
    """Whether a number can be told as a date.

    >>> is_moment(1.7e9), is_moment(float("nan")), is_moment(1e300)
    (True, False, False)
    """
    return EARLIEST <= seconds < LATEST


def local(seconds: float, zone: tzinfo) -> datetime:
    """A moment by the reader's clock; moments no calendar knows are told as the nearest it knows."""
    kept = min(max(seconds, EARLIEST), LATEST) if seconds == seconds else EARLIEST  # noqa: PLR0124 - not a number
    return datetime.fromtimestamp(kept, UTC).astimezone(zone)


def moment_words(seconds: float, zone: tzinfo = UTC) -> str:
    """A moment to the minute.

    >>> moment_words(1_700_000_000.0)
    '14 Nov 2023, 22:13'
    """
    at = local(seconds, zone)
    return f"{_date(at)} {at.year}, {at.hour:02d}:{at.minute:02d}"


def time_ticks(low: float, high: float, most: int, zone: tzinfo) -> tuple[tuple[float, str], ...]:
    """At most about `most` moments between two, round by the reader's clock, with what is written at them.

    The date stands at midnights, the year at its start; the first tick tells the most, since nothing stands before it.

    >>> [label for _, label in time_ticks(0.0, 2 * 86400.0, 5, UTC)]
    ['1 Jan 1970', '12:00', '2 Jan', '12:00', '3 Jan']
    """
    span = max(high - low, 60.0)
    most = max(most, 2)
    for step in _CLOCK:
        if span / step <= most:
            return _labelled(_by_clock(low, high, step, zone), zone, clock=True)
    for days in _DAYS:
        if span / (days * _DAY) <= most:
            return _labelled(_by_days(low, high, days, zone), zone, clock=False)
    for months in _MONTH_STEPS:
        if span / (months * 30.44 * _DAY) <= most or months == _MONTH_STEPS[-1]:
            return _labelled(_by_months(low, high, months, zone), zone, clock=False)
    return ()


def _seconds(wall: datetime, zone: tzinfo) -> float:
    return wall.replace(tzinfo=zone).timestamp()


def _by_clock(low: float, high: float, step: float, zone: tzinfo) -> Iterator[float]:
    """Round times of day; an hour the clock skips or repeats gives one tick, or none."""
    day = local(low, zone).replace(hour=0, minute=0, second=0, microsecond=0, tzinfo=None)
    last = float("-inf")
    while _seconds(day, zone) <= high:
        for count in range(round(_DAY / step)):
            wall = day + timedelta(seconds=count * step)
            at = _seconds(wall, zone)
            there = local(at, zone).replace(tzinfo=None)
            if low <= at <= high and at > last and there == wall:
                last = at
                yield at
        day += timedelta(days=1)


def _by_days(low: float, high: float, days: int, zone: tzinfo) -> Iterator[float]:
    """Midnights; weeks begin on Mondays, other steps are counted from a fixed day so that they stay put."""
    day = local(low, zone).replace(hour=0, minute=0, second=0, microsecond=0, tzinfo=None)
    while _seconds(day, zone) <= high:
        at = _seconds(day, zone)
        if (day.toordinal() - 1) % days == 0 and at >= low:  # day 1 of the calendar was a Monday
            yield at
        day += timedelta(days=1)


def _by_months(low: float, high: float, months: int, zone: tzinfo) -> Iterator[float]:
    start = local(low, zone)
    count = start.year * 12 + start.month - 1
    while True:
        year, month = divmod(count, 12)
        at = _seconds(datetime(year, month + 1, 1), zone)
        if at > high:
            return
        if count % months == 0 and at >= low:
            yield at
        count += 1


def _labelled(moments: Iterator[float], zone: tzinfo, *, clock: bool) -> tuple[tuple[float, str], ...]:
    made: list[tuple[float, str]] = []
    year = 0
    for seconds in moments:
        at = local(seconds, zone)
        midnight = at.hour == at.minute == 0
        if not made:
            told = f"{_date(at)} {at.year}" if midnight else f"{_date(at)}, {at.hour:02d}:{at.minute:02d}"
        elif clock and not midnight:
            told = f"{at.hour:02d}:{at.minute:02d}"
        else:
            told = _date(at) if at.year == year else f"{_date(at)} {at.year}"
        year = at.year
        made.append((seconds, told))
    return tuple(made)


def _date(at: datetime) -> str:
    return f"{at.day} {_MONTHS[at.month - 1]}"
