"""Programs by the clock: how long a feed runs a week, between two looks, in an absence, and what runs at
once.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Final

from tankwright.room.model import ProgramRun
from tankwright.units import Second

DAY: Final[Second] = 86_400.0
WEEK: Final[Second] = 7 * DAY


def seconds_a_week(programs: Iterable[ProgramRun]) -> Second:
    """Time a feed runs in a week, never more than the week.

    >>> seconds_a_week((ProgramRun(start=7200.0, duration=3600.0, runs_a_week=7.0),)) / 3600
    7.0
    """
    return min(WEEK, sum(program.duration * program.runs_a_week for program in programs))


def longest_run(programs: Iterable[ProgramRun]) -> Second:
    """The longest single run."""
    return max((program.duration for program in programs), default=0.0)


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
