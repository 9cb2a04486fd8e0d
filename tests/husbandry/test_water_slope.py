"""Slopes through ranges: those of the linear programs they stand for, and the table they were designed by."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from tankwright.husbandry.water_slope import Range, longest_straight, slopes_through


def kit(step: float, every: float, days: float, fall: float = 0.9, start: float = 90.0) -> list[Range]:
    """What a drop kit shows of an alkalinity that falls evenly."""
    found = []
    for number in range(int(days / every) + 1):
        day = number * every
        drops = math.ceil((start - fall * day) / step - 1e-12)
        found.append((day, (drops - 1) * step, drops * step))
    return found


@pytest.mark.parametrize(
    ("step", "every", "proved_on", "low", "high"),
    # worked out with two linear programs for a true fall of 90 - 0.9 t mg/L: step of the kit, days between tests, the
    # day a fall is proved, the slopes then
    [(8.93, 7.0, 14.0, -1.91, -0.64), (8.93, 1.0, 11.0, -0.99, -0.81), (4.46, 7.0, 7.0, -1.91, -0.64)],
)
def test_a_fall_is_proved_on_the_day_the_table_says(
    step: float, every: float, proved_on: float, low: float, high: float
) -> None:
    before = slopes_through(kit(step, every, proved_on - every))
    assert before.proved == ""
    then = slopes_through(kit(step, every, proved_on))
    assert then.proved == "falls"
    assert then.low <= -0.9 <= then.high
    assert (round(then.low, 2), round(then.high, 2)) == pytest.approx((low, high), abs=0.011)


ranges = st.lists(
    st.tuples(st.integers(0, 40), st.floats(0, 20), st.floats(0.1, 8)).map(
        lambda one: (float(one[0]), round(one[1], 2), round(one[1] + one[2], 2))
    ),
    min_size=2, max_size=9,
)  # fmt: skip


def programmed(rows: list[Range], cost: tuple[float, float]) -> float | None:
    """The least of a cost over all lines a + b t through ranges; None where there is no line."""
    above = [[1.0, day] for day, _, _ in rows]
    below = [[-1.0, -day] for day, _, _ in rows]
    bounds = [high for _, _, high in rows] + [-low for _, low, _ in rows]
    solved = linprog(cost, A_ub=above + below, b_ub=bounds, bounds=[(None, None)] * 2, method="highs")
    return None if solved.status == 2 else float(solved.fun) if solved.status == 0 else -math.inf


@settings(deadline=None, max_examples=150)
@given(ranges)
def test_slopes_are_those_of_two_linear_programs(rows: list[Range]) -> None:
    found = slopes_through(rows)
    least = programmed(rows, (0.0, 1.0))
    if least is None:
        assert not found.fit or found.high - found.low < 1e-6
        return
    if found.high - found.low < 1e-6:
        return  # a program and a division differ about a line that only just fits
    most = programmed(rows, (0.0, -1.0))
    assert most is not None
    assert found.low == pytest.approx(least, abs=1e-6)
    assert found.high == pytest.approx(-most, abs=1e-6)


@settings(deadline=None, max_examples=100)
@given(ranges, st.floats(0, 60))
def test_what_lines_reach_later_is_what_programs_say(rows: list[Range], more: float) -> None:
    found = slopes_through(rows)
    day = max(row[0] for row in rows) + more
    least, most = programmed(rows, (1.0, day)), programmed(rows, (-1.0, -day))
    if least is None or most is None or found.high - found.low < 1e-3 or len({row[0] for row in rows}) < 2:
        return
    low, high = found.at(day)
    assert (low, high) == pytest.approx((least, -most), abs=1e-4)


@settings(deadline=None, max_examples=100)
@given(ranges)
def test_the_newest_ranges_that_fit_a_line_fit_one_and_one_more_does_not(rows: list[Range]) -> None:
    found = longest_straight(rows)
    assert found.fit
    ordered = sorted(rows)
    assert list(found.ranges) == ordered[len(ordered) - len(found.ranges) :]
    if len(found.ranges) < len(ordered):
        assert not slopes_through(ordered[len(ordered) - len(found.ranges) - 1 :]).fit


def test_a_limit_is_reached_between_two_days_and_the_true_one_is_among_them() -> None:
    lines = slopes_through(kit(8.93, 7.0, 21.0))
    soonest, latest = lines.reaches(20.0)
    assert soonest <= (90.0 - 20.0) / 0.9 <= latest
    assert 21.0 < soonest < latest < math.inf


def test_a_level_line_never_reaches_a_limit_for_certain_and_one_past_it_has() -> None:
    level = slopes_through([(0.0, 40.0, 50.0), (7.0, 40.0, 50.0)])
    assert level.proved == ""
    assert level.reaches(20.0)[1] == math.inf
    low = slopes_through([(0.0, 10.0, 15.0), (7.0, 1.0, 5.0)])
    assert low.reaches(20.0)[0] > 7.0, "a line that falls away from what stands above it never comes to it"


def test_a_rise_is_proved_like_a_fall() -> None:
    rising = slopes_through([(day, -high, -low) for day, low, high in kit(8.93, 7.0, 21.0)])
    falling = slopes_through(kit(8.93, 7.0, 21.0))
    assert rising.proved == "rises"
    assert (rising.low, rising.high) == pytest.approx((-falling.high, -falling.low))
    assert rising.reaches(-20.0) == pytest.approx(falling.reaches(20.0))
