"""Working time: evenings, weekends, days off, and its two ways of counting."""

from __future__ import annotations

import math
from datetime import date, datetime

from hypothesis import given
from hypothesis import strategies as st

from tankwright.building.calendar import DAY, LONGEST, Calendar, Week

HOUR = 3600.0
FRIDAY = date(2026, 12, 4)
WEEK = Week(evening=2 * HOUR, weekend=5 * HOUR, evening_from=19 * HOUR, weekend_from=9 * HOUR)


def test_work_runs_over_the_evening_into_the_weekend_and_past_days_off() -> None:
    plain = Calendar(FRIDAY, WEEK, ())
    assert plain.moment(plain.after_work(0.0, 2 * HOUR)) == datetime(2026, 12, 4, 21)
    assert plain.moment(plain.after_work(0.0, 3 * HOUR)) == datetime(2026, 12, 5, 10)
    off = Calendar(FRIDAY, WEEK, (date(2026, 12, 5), date(2026, 12, 6)))
    assert off.moment(off.after_work(0.0, 3 * HOUR)) == datetime(2026, 12, 7, 20)


def test_a_long_day_begins_early_enough_to_end_before_midnight() -> None:
    long = Calendar(
        FRIDAY, Week(evening=20 * HOUR, weekend=30 * HOUR, evening_from=19 * HOUR, weekend_from=9 * HOUR), ()
    )
    assert long.window_of(FRIDAY) == (4 * HOUR, DAY)
    assert long.window_of(date(2026, 12, 5)) == (DAY, 2 * DAY)


def test_a_week_without_time_has_no_window_and_never_ends() -> None:
    empty = Calendar(FRIDAY, Week(evening=0.0, weekend=0.0, evening_from=0.0, weekend_from=0.0), ())
    assert empty.window_after(0.0) is None
    assert math.isinf(empty.after_work(0.0, 1.0))
    assert empty.after_work(5.0, 0.0) == 5.0


def test_it_ends_with_the_years_it_looks_ahead_and_with_all_years() -> None:
    plain = Calendar(FRIDAY, WEEK, ())
    assert math.isinf(plain.after_work(0.0, LONGEST * DAY))
    last = Calendar(date.max, WEEK, ())
    assert math.isinf(last.after_work(0.0, 1.0))


@given(st.floats(0.0, 60 * DAY), st.floats(60.0, 200 * HOUR))
def test_forward_and_back_again_is_the_same_working_time(at: float, work: float) -> None:
    plain = Calendar(FRIDAY, WEEK, ())
    end = plain.after_work(at, work)
    assert plain.worked(end) - plain.worked(at) == _about(work)
    begin = plain.before_work(end, work)
    assert plain.worked(begin) == _about(plain.worked(at))


class _about(float):  # noqa: N801 - reads as a word
    """Within a tenth of a second: moments are sums of floats of many days."""

    def __eq__(self, other: object) -> bool:
        return isinstance(other, float) and abs(float(self) - float(other)) < 0.1

    __hash__ = float.__hash__
