"""Which feed runs when: programs by the clock, what shuts or opens them, and vats that run empty."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from tankwright.faults.electric import dead_feeds, power_is_cut
from tankwright.faults.water_feeds import Bringing
from tankwright.room.model import FeedRun, ProgramRun, Room
from tankwright.units import CubicMetre, CubicMetrePerSecond, Second

DAY: Final[Second] = 86_400.0
WEEK: Final[Second] = 7.0 * DAY

Span = tuple[Second, Second]


@dataclass(frozen=True, slots=True, kw_only=True)
class Emptied:
    """A vat that has nothing more to give from a time on."""

    vat: str
    time: Second


def spans(programs: Iterable[ProgramRun], clock: Second, begin: Second, end: Second) -> tuple[Span, ...]:
    """When a feed runs, in seconds from a time of day, between two moments. Where programs overlap it is one run.

    A program of fewer than seven runs a week is taken to run on the first day, and at even distances after: which
    days it keeps is not said, and this is the one that brings water soonest.

    >>> night = ProgramRun(start=7200.0, duration=3600.0, runs_a_week=7.0)
    >>> spans((night,), 3600.0, 0.0, 86_400.0)
    ((3600.0, 7200.0),)
    >>> spans((night,), 9000.0, -3600.0, 86_400.0)
    ((-1800.0, 1800.0), (84600.0, 86400.0))
    """
    found = []
    for one in programs:
        if one.duration <= 0.0 or one.runs_a_week <= 0.0:
            continue
        period = WEEK / one.runs_a_week
        first = (one.start - clock) % DAY
        if first - DAY + one.duration > 0.0:
            first -= DAY
        number = math.ceil((begin - first - one.duration) / period)
        while first + number * period < end:
            at = first + number * period
            found.append((max(at, begin), min(at + one.duration, end)))
            number += 1
    return merged(found)


def merged(found: Iterable[Span]) -> tuple[Span, ...]:
    """Spans in order, those that touch made one."""
    whole: list[Span] = []
    for begin, end in sorted(one for one in found if one[1] > one[0]):
        if whole and begin <= whole[-1][1]:
            whole[-1] = (whole[-1][0], max(whole[-1][1], end))
        else:
            whole.append((begin, end))
    return tuple(whole)


def running(room: Room, run: FeedRun, clock: Second, begin: Second, end: Second) -> tuple[Span, ...]:
    """When a feed of a room runs with what is broken there, but for a vat running empty or a wet floor."""
    broken = room.broken
    if run.source_kind == "water point" and any(
        one.kind == "mains off" and one.what in (run.source, "") for one in broken
    ):
        return ()
    if run.id in dead_feeds(room) or (power_is_cut(room) and run.off_without_power):
        return ()
    endless = any(one.kind in ("feed valve", "vat pump") and one.what == run.id for one in broken)
    found = ((begin, end),) if endless or not run.programs else spans(run.programs, clock, begin, end)
    if run.shuts_after is None:
        return found
    longest = run.shuts_after.value
    return tuple((start, min(stop, start + longest)) for start, stop in found)


def shut_by_volume(one: Bringing, when: Sequence[Span]) -> tuple[Span, ...]:
    """Each run cut short where a valve shuts after so much water."""
    most = one.run.shuts_after_volume
    if most is None or one.total <= 0.0:
        return tuple(when)
    longest = most.value / one.total
    return tuple((begin, min(end, begin + longest)) for begin, end in when)


def vats_emptied(
    feeds: Sequence[tuple[Bringing, Sequence[Span]]], stored: Mapping[str, CubicMetre]
) -> tuple[list[tuple[Span, ...]], tuple[Emptied, ...]]:
    """The runs of every feed cut short where its vat is empty, and when each vat was."""
    emptied = []
    for vat, volume in stored.items():
        time = _emptied([(one, when) for one, when in feeds if one.run.source == vat], volume)
        if time is not None:
            emptied.append(Emptied(vat=vat, time=time))
    ends = {one.vat: one.time for one in emptied}
    cut = [cut_at(when, ends.get(one.run.source, math.inf)) for one, when in feeds]
    return cut, tuple(emptied)


def cut_at(when: Sequence[Span], end: Second) -> tuple[Span, ...]:
    """Spans up to a time and none after it."""
    return tuple((begin, min(stop, end)) for begin, stop in when if begin < end)


def _emptied(feeds: Sequence[tuple[Bringing, Sequence[Span]]], volume: CubicMetre) -> Second | None:
    """When feeds that draw together have drawn a volume; None when they do not."""
    edges: list[tuple[Second, CubicMetrePerSecond]] = []
    for one, when in feeds:
        for begin, end in when:
            edges += [(begin, one.total), (end, -one.total)]
    edges.sort()
    if volume <= 0.0 and edges:
        return edges[0][0]
    drawn, flow, last = 0.0, 0.0, 0.0
    for time, change in edges:
        here = flow * (time - last)
        if flow > 0.0 and drawn + here >= volume:
            return last + (volume - drawn) / flow
        drawn, flow, last = drawn + here, flow + change, time
    return None
