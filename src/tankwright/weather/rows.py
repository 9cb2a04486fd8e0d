"""The rows of a weather file made into hourly series, with every mistake in one pass."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tankwright.finding import Severity
from tankwright.weather.formats import Column, Layout
from tankwright.weather.mistakes import Mistakes
from tankwright.weather.model import DAYS_IN_MONTH, HOURS, Hours, hour_of_year, month_day_hour

LONGEST_GAP: Final = 6
"""Hours: a longer gap is not bridged by a straight line, since the day's own course would be lost."""

MOST_FILLED: Final = 438
"""Hours: with more than 5 % of a series made up it is not that year's weather any more."""

_LEAVE_EMPTY: Final = f"nothing in its place: up to {LONGEST_GAP} hours in a row are bridged"
_MONTHS: Final = ("January", "February", "March", "April", "May", "June", "July", "August", "September",
                  "October", "November", "December")  # fmt: skip


@dataclass(slots=True)
class _Series:
    """One value over the year while it is read: NaN where the file has none, and what it has that is no value."""

    hours: Hours = field(default_factory=lambda: np.full(HOURS, np.nan))
    unreadable: list[tuple[int, str]] = field(default_factory=list)
    beyond: list[tuple[int, str]] = field(default_factory=list)


def read_rows(lines: Sequence[str], layout: Layout, mistakes: Mistakes) -> dict[str, Hours]:
    """The series of a file by their field names, in SI; only worth having when `mistakes` do not refuse."""
    rows = [
        (at, _trimmed(layout, line))
        for at, line in enumerate(lines, 1)
        if at > layout.first_row and line.strip()
    ]
    if not rows:
        mistakes.add(
            "WEATHER-11",
            "has no hours",
            wanted=f"{HOURS} rows of hourly weather below its header",
            attempt="the file as it was downloaded",
        )
        return {}
    if not _widths_fit(rows, layout, mistakes):
        return {}
    usual = _usual_width(rows)
    series = [_Series() for _ in layout.columns]
    seen: dict[int, int] = {}
    leap_rows = 0
    for line, cells in rows:
        if len(cells) != usual:
            continue  # said already
        hour = _hour(line, cells, layout, mistakes)
        if hour is None:
            continue
        if hour < 0:
            leap_rows += 1
            continue
        if hour in seen:
            mistakes.add(
                "WEATHER-10",
                f"has the hour from {moment(hour)} twice: in line {seen[hour]} and here",
                line=line,
                wanted="each hour of the year once",
                attempt="take one of the two lines out; a file with several rows an hour cannot be used",
            )
            continue
        seen[hour] = line
        for number, column in enumerate(layout.columns):
            _take(series[number], line, hour, cells[layout.cell(number)], column)
    if leap_rows:
        mistakes.add(
            "WEATHER-14",
            "has a 29 February, which is left out: the year worked with has 365 days",
            severity=Severity.NOTE,
        )
    missing = np.ones(HOURS, dtype=bool)
    missing[list(seen)] = False
    _tell_missing_hours(missing, mistakes)
    return {
        column.value.field: _finished(one, column, layout.cell(number), missing, mistakes)
        for number, (one, column) in enumerate(zip(series, layout.columns, strict=True))
    }


def moment(hour: int) -> str:
    """An hour of the year in words.

    >>> moment(30)
    '2 January 06:00'
    """
    month, day, clock = month_day_hour(hour)
    return f"{day} {_MONTHS[month - 1]} {clock:02d}:00"


def _trimmed(layout: Layout, line: str) -> list[str]:
    cells = layout.cells(line)
    while (
        len(cells) > layout.widths[0] and not cells[-1].strip()
    ):  # a spreadsheet ends its lines with empty columns
        cells.pop()
    return cells


def _usual_width(rows: Sequence[tuple[int, list[str]]]) -> int:
    return Counter(len(cells) for _, cells in rows).most_common(1)[0][0]


def _widths_fit(rows: Sequence[tuple[int, list[str]]], layout: Layout, mistakes: Mistakes) -> bool:
    """Say which rows have too few or too many columns; False when the whole file has."""
    usual = _usual_width(rows)
    wanted = f"{layout.widths[0]} columns, as {layout.kind} has"
    if usual not in layout.widths:
        mistakes.add(
            "WEATHER-06",
            f"has {usual} columns in most rows",
            line=rows[0][0],
            found=f"{usual} columns",
            wanted=wanted,
            attempt="numbers with a decimal point, and the file as it was downloaded: a decimal comma or a "
            "removed column shifts all that follow",
        )
        return False
    if usual != layout.widths[0]:
        mistakes.add(
            "WEATHER-20",
            f"has {usual} columns in place of {layout.widths[0]}; the last {layout.widths[0] - usual} are taken "
            "as the missing ones, and none of those is used",
            severity=Severity.WARNING,
            attempt="look whether its coldest and hottest week are what they should be",
        )
    for line, cells in rows:
        if len(cells) != usual:
            mistakes.add(
                "WEATHER-06",
                "is cut short or has a comma too many",
                line=line,
                found=f"{len(cells)} columns",
                wanted=wanted,
                attempt="the file as it was downloaded",
            )
    return True


def _hour(line: int, cells: Sequence[str], layout: Layout, mistakes: Mistakes) -> int | None:
    """The hour of the year of a row, -1 for 29 February, None (and a mistake) for what is no hour."""
    try:
        month, day, hour = layout.clock(cells)
    except (ValueError, IndexError):
        month = day = hour = 0
    if (month, day) == (2, 29) and 1 <= hour <= 24:
        return -1
    if 1 <= month <= 12 and 1 <= day <= DAYS_IN_MONTH[month - 1] and 1 <= hour <= 24:
        return hour_of_year(month, day, hour - 1)
    mistakes.add(
        "WEATHER-09",
        "has no hour of the year here",
        line=line,
        found=",".join(cells[:5]),
        wanted="a month, a day and an hour from 1 to 24 (the hour that ends then)",
        attempt="the date and hour that stand between those of the rows around it",
    )
    return None


def _take(series: _Series, line: int, hour: int, text: str, column: Column) -> None:
    bare = text.strip()
    if not bare:
        return
    try:
        number = float(bare.replace(",", "."))
    except ValueError:
        number = math.nan
    if not math.isfinite(number) or "_" in bare:
        series.unreadable.append((line, bare))
        series.hours[hour] = 0.0  # refused in any case; not told a second time as a gap
        return
    if number in column.missing:
        return
    value = column.value
    number /= column.divisor
    if not value.least <= number <= value.most:
        series.beyond.append((line, bare))
    series.hours[hour] = number * value.scale + value.zero


def _finished(
    series: _Series, column: Column, cell: int, missing_hours: NDArray[np.bool_], mistakes: Mistakes
) -> Hours:
    """A series without gaps, when it can be had; what is wrong with it goes to the mistakes."""
    value, hours = column.value, series.hours
    wanted = f"a number from {value.least:g} to {value.most:g} {value.unit}"
    rows = HOURS - int(missing_hours.sum())
    wrong = len(series.unreadable) + len(series.beyond)
    absent = np.isnan(hours)
    if rows and (wrong * 2 > rows or absent.all()):
        mistakes.add(
            "WEATHER-17",
            f"has no believable {value.words} in most of its hours",
            found=(series.unreadable or series.beyond or [(0, "nothing")])[0][1],
            wanted=f"{value.words} in column {cell + 1}, {wanted}",
            attempt="another file of the place: a column is missing or shifted",
        )
        return hours
    for line, text in series.unreadable:
        mistakes.add("WEATHER-07", f"has no number for {value.words}", about=value.words, line=line, found=text,
                     wanted=wanted, attempt=_LEAVE_EMPTY)  # fmt: skip
    for line, text in series.beyond:
        mistakes.add("WEATHER-08", f"has a {value.words} that cannot be", about=value.words, line=line,
                     found=f"{text} {value.unit}", wanted=wanted, attempt=_LEAVE_EMPTY)  # fmt: skip
    _tell_gaps(absent, missing_hours, value.words, mistakes)
    if absent.all():
        return hours
    known = np.flatnonzero(~absent)
    filled = np.interp(np.arange(HOURS), known, hours[known], period=HOURS)
    if value.field == "relative_humidity":
        return _at_most_saturated(filled, mistakes)
    if value.field == "global_horizontal" and not wrong and not filled.any():
        mistakes.add(
            "WEATHER-17", "has no sun in the whole year", wanted=wanted, attempt="another file of the place"
        )
    return filled


def _at_most_saturated(humidity: Hours, mistakes: Mistakes) -> Hours:
    over = int((humidity > 1.0).sum())
    if over:
        mistakes.add(
            "WEATHER-18",
            f"has a relative humidity over 100 % in {over} hours, taken as 100 %",
            severity=Severity.NOTE,
        )
    return np.minimum(humidity, 1.0)


def _tell_missing_hours(missing: NDArray[np.bool_], mistakes: Mistakes) -> None:
    refused = mistakes.refuse
    for first, count in runs(missing):
        if count > LONGEST_GAP:
            mistakes.add(
                "WEATHER-11",
                f"has no {count} hours from {moment(first)} on: it has {HOURS - int(missing.sum())} of the "
                f"{HOURS} hours of a year",
                wanted=f"every hour of a year; gaps of up to {LONGEST_GAP} hours are bridged",
                attempt="a file of the whole year",
            )
        elif not refused:  # the hours of a row that could not be used are no gap of the file
            _tell_filled("values", first, count, mistakes)
    if missing.sum() > MOST_FILLED and not mistakes.refuse:
        _tell_too_many(int(missing.sum()), "values", mistakes)


def _tell_gaps(
    absent: NDArray[np.bool_], missing_hours: NDArray[np.bool_], words: str, mistakes: Mistakes
) -> None:
    for first, count in runs(absent):
        if missing_hours[np.arange(first, first + count) % HOURS].all():
            continue  # the hours themselves are missing: said once for all series
        if count > LONGEST_GAP:
            mistakes.add(
                "WEATHER-12",
                f"has no {words} for {count} hours from {moment(first)} on",
                about=words,
                wanted=f"a value in every hour; gaps of up to {LONGEST_GAP} hours are bridged",
                attempt="another file of the place",
            )
        else:
            _tell_filled(words, first, count, mistakes)
    own = int((absent & ~missing_hours).sum())
    if own > MOST_FILLED and not mistakes.refuse:
        _tell_too_many(own, words, mistakes)


def _tell_filled(words: str, first: int, count: int, mistakes: Mistakes) -> None:
    hours = "the hour" if count == 1 else f"{count} hours"
    mistakes.add(
        "WEATHER-13",
        f"has no {words} for {hours} from {moment(first)} on: filled by a straight line",
        severity=Severity.WARNING,
        about=words,
    )


def _tell_too_many(count: int, words: str, mistakes: Mistakes) -> None:
    mistakes.add(
        "WEATHER-12",
        f"has no {words} for {count} hours in all",
        about=words,
        wanted=f"at most {MOST_FILLED} hours to bridge, 5 % of the year",
        attempt="another file of the place",
    )


def runs(mask: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """Where a mask is true: first place and length of each run, the end of the year joined to its beginning.

    >>> runs(np.array([True, False, True, True, False, True]))
    [(2, 2), (5, 2)]
    """
    if mask.all():
        return [(0, mask.size)]
    turned = int(np.flatnonzero(~mask)[0])
    steps = np.diff(np.concatenate([[0], np.roll(mask, -turned).astype(np.int8), [0]]))
    starts, ends = np.flatnonzero(steps == 1), np.flatnonzero(steps == -1)
    found = [(int(a + turned) % mask.size, int(b - a)) for a, b in zip(starts, ends, strict=True)]
    return sorted(found)
