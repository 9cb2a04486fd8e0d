"""Programs by the clock: how long a feed runs a week, between two looks, in an absence, and what runs at
once.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from itertools import pairwise
from typing import Final

from tankwright.room.model import ProgramRun
from tankwright.units import Second

DAY: Final[Second] = 86_400.0
WEEK: Final[Second] = 7 * DAY


def seconds_a_week(programs: Iterable[ProgramRun]) -> Second:
    """Time a feed runs in a week. Where programs overlap it is counted once: those of the same days, or of every day,
    run at once; those of other days make each other's weeks longer.

    >>> night = ProgramRun(start=7200.0, duration=3600.0, runs_a_week=7.0)
    >>> later = ProgramRun(start=9000.0, duration=3600.0, runs_a_week=7.0)
    >>> seconds_a_week((night,)) / 3600, seconds_a_week((night, later)) / 3600
    (7.0, 10.5)
    """
    running = [one for one in programs if one.duration > 0.0 and one.runs_a_week > 0.0]
    marks = sorted(
        {0.0, DAY} | {edge % DAY for one in running for edge in (one.start, one.start + one.duration)}
    )
    week = 0.0
    for begins, ends in pairwise(marks):
        often = {one.runs_a_week for one in running if _runs_at(one, (begins + ends) / 2.0)}
        week += (ends - begins) * min(7.0, sum(often))
    return week


def longest_run(programs: Iterable[ProgramRun]) -> Second:
    """The longest time it runs without a break, as if all programs ran on one day; a day at most.

    >>> night = ProgramRun(start=7200.0, duration=3600.0, runs_a_week=7.0)
    >>> longest_run((night, ProgramRun(start=9000.0, duration=3600.0, runs_a_week=7.0))) / 3600
    1.5
    """
    runs = [(one.start % DAY, one.duration) for one in programs if one.duration > 0.0]
    longest, begins, ends = 0.0, 0.0, -1.0
    for start, duration in sorted((start + day, duration) for start, duration in runs for day in (0.0, DAY)):
        begins = start if start > ends else begins
        ends = max(ends, start + duration)
        longest = max(longest, ends - begins)
    return min(longest, DAY)


def between_looks(programs: Sequence[ProgramRun], looks: Sequence[Second]) -> Second:
    """The most a feed runs between two looks on a day on which every program runs; with no looks, in a day.

    >>> night = (ProgramRun(start=7200.0, duration=3600.0, runs_a_week=7.0),)
    >>> between_looks(night, (6 * 3600.0, 18 * 3600.0)) / 3600
    1.0
    """
    times = sorted({look % DAY for look in looks})
    if not times:
        return min(DAY, sum(program.duration for program in programs))
    most = 0.0
    for i, start in enumerate(times):
        end = times[i + 1] if i + 1 < len(times) else times[0] + DAY
        most = max(most, min(end - start, sum(_overlap(program, start, end) for program in programs)))
    return most


def in_absence(programs: Sequence[ProgramRun], absence: Second) -> Second:
    """The most a feed runs while nobody looks for a time: every run that may begin in it, whole.

    >>> night = (ProgramRun(start=7200.0, duration=3600.0, runs_a_week=7.0),)
    >>> in_absence(night, 60 * 3600.0) / 3600
    3.0
    """
    total = 0.0
    for program in programs:
        if program.runs_a_week > 0.0:
            total += program.duration * math.ceil(absence * program.runs_a_week / WEEK - 1e-9)
    return min(absence, total)


def most_at_once(feeds: Sequence[tuple[Sequence[ProgramRun], float]]) -> float:
    """The largest sum of flows of feeds that run at the same time of day, as if all days were alike.

    >>> early = (ProgramRun(start=0.0, duration=600.0, runs_a_week=7.0),)
    >>> late = (ProgramRun(start=900.0, duration=600.0, runs_a_week=7.0),)
    >>> most_at_once(((early, 1.0), (late, 2.0), (early, 0.5)))
    2.0
    """
    starts = {program.start % DAY for programs, _ in feeds for program in programs}
    return max(
        (
            sum(flow for programs, flow in feeds if any(_runs_at(program, start) for program in programs))
            for start in starts
        ),
        default=0.0,
    )


def _runs_at(program: ProgramRun, time: Second) -> bool:
    return (time - program.start) % DAY < program.duration


def _overlap(program: ProgramRun, start: Second, end: Second) -> Second:
    first = program.start % DAY
    return sum(
        max(0.0, min(end, first + shift + program.duration) - max(start, first + shift))
        for shift in (-DAY, 0.0, DAY)
    )
