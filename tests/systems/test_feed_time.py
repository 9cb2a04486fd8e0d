"""Programs by the clock: overlaps counted once, breaks that are none, days that are not the same."""

from __future__ import annotations

import pytest

from tankwright.room.model import ProgramRun
from tankwright.systems.feed_time import DAY, WEEK, longest_run, seconds_a_week

HOUR = 3600.0


def program(start: float, hours: float, often: float = 7.0) -> ProgramRun:
    return ProgramRun(start=start * HOUR, duration=hours * HOUR, runs_a_week=often)


@pytest.mark.parametrize(
    ("programs", "hours"),
    [
        ([program(2, 1)], 7.0),
        ([program(2, 1), program(2, 1)], 7.0),
        ([program(2, 1), program(2.5, 1)], 10.5),
        ([program(23.5, 1.5), program(0.5, 1)], 14.0),  # past midnight, half an hour of it shared
        ([program(2, 1), program(2, 1, 1.0)], 7.0),  # the weekly run is one of the daily ones
        ([program(2, 1, 5.0), program(2, 1, 2.0)], 7.0),  # weekdays and weekends
        ([program(2, 1, 5.0), program(2.5, 1, 5.0)], 7.5),
        ([program(0, 24)], 168.0),
        ([program(3, 24), program(9, 5)], 168.0),
        ([program(2, 1, 0.0)], 0.0),
        ([], 0.0),
    ],
)
def test_what_runs_at_once_is_counted_once(programs: list[ProgramRun], hours: float):
    assert seconds_a_week(programs) / HOUR == pytest.approx(hours)
    assert seconds_a_week(programs) <= WEEK


@pytest.mark.parametrize(
    ("programs", "hours"),
    [
        ([program(2, 1)], 1.0),
        ([program(2, 1), program(2.5, 1)], 1.5),
        ([program(2, 1), program(3, 1)], 2.0),
        ([program(2, 1), program(4, 0.5)], 1.0),
        ([program(23.5, 1.5), program(0.5, 1)], 2.0),
        ([program(0.5, 1), program(23.5, 1.5)], 2.0),
        ([program(0, 24)], 24.0),
        ([], 0.0),
    ],
)
def test_programs_that_meet_are_one_run(programs: list[ProgramRun], hours: float):
    assert longest_run(programs) / HOUR == pytest.approx(hours)
    assert longest_run(programs) <= DAY
