"""When breeding sets spawn, and which of them have gone quiet by their own measure."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import pairwise
from statistics import mean, median, stdev
from typing import Final, Literal

from tankwright.husbandry.brood_course import DAY
from tankwright.husbandry.records import Event
from tankwright.husbandry.register import BreedingSet

SAME_SPAWN: Final = 1.0
"""Days within which two sightings are one spawn: many lay over some hours, and two people look. Own choice."""
FEWEST: Final = 3
"""Intervals from which on a set has a measure of its own. Own choice."""
QUIET_LEVEL: Final = 0.95
"""A set is quiet when its next spawn would have come by now in so many cases. Own choice."""
LEAST_SPREAD: Final = 0.2
"""Of the logarithms of intervals at least: who laid every seventh day is not quiet on the eighth. Own choice."""
MONTH: Final = 30.44  # days

Rhythm = Literal["usual", "quiet", "not known", "never", "ended"]


@dataclass(frozen=True, slots=True, kw_only=True)
class SetRhythm:
    """How a set spawns. Days; `usual` is the middle of its intervals, `late` the interval after which it is quiet.

    `rhythm` "not known": too few intervals to say. `since` counts from the last spawn, or from when the set was made.
    """

    breeding_set: str
    spawns: int
    intervals: tuple[float, ...]
    since: float
    last: datetime | None
    usual: float | None
    late: float | None
    rhythm: Rhythm

    @property
    def months(self) -> float:
        """Months since the last spawn."""
        return self.since / MONTH


def set_of(event: Event) -> str:
    """The breeding set an event is of; "" for none."""
    told = event.details.get("set")
    return told if isinstance(told, str) else ""


def spawns_of(events: Iterable[Event], breeding_set: str) -> tuple[Event, ...]:
    """The spawns of a set in their order; of two within a day the first, or that with its eggs told."""
    seen = sorted(
        (one for one in events if one.kind == "spawned" and set_of(one) == breeding_set),
        key=lambda one: (one.happened, one.serial),
    )
    kept: list[Event] = []
    for one in seen:
        if kept and one.happened - kept[-1].happened <= timedelta(days=SAME_SPAWN):
            if one.observed and not kept[-1].observed:
                kept[-1] = one
            continue
        kept.append(one)
    return tuple(kept)


def rhythm_of(one: BreedingSet, events: Iterable[Event], now: datetime) -> SetRhythm:
    """How a set spawns, and whether it has gone quiet by its own intervals.

    Quiet: longer without a spawn than the upper end for one more interval, from the logarithms of those seen (Student's
    t, so few intervals make it late), and longer than the longest of them. Source: prediction limit of a normal sample,
    from memory; that intervals are spread like that is an assumption.
    """
    spawns = spawns_of(events, one.id)
    days = tuple(
        (later.happened - earlier.happened).total_seconds() / DAY for earlier, later in pairwise(spawns)
    )
    last = spawns[-1].happened if spawns else None
    since = ((one.ended or now) - (last or one.opened)).total_seconds() / DAY
    late = _late(days)
    rhythm: Rhythm
    if one.ended is not None and one.ended <= now:
        rhythm = "ended"
    elif last is None:
        rhythm = "never"
    elif late is None:
        rhythm = "not known"
    else:
        rhythm = "quiet" if since > late else "usual"
    return SetRhythm(
        breeding_set=one.id, spawns=len(spawns), intervals=days, since=since, last=last,
        usual=median(days) if days else None, late=late, rhythm=rhythm,
    )  # fmt: skip


def _late(days: Sequence[float]) -> float | None:
    if len(days) < FEWEST:
        return None
    logs = [math.log(max(one, SAME_SPAWN)) for one in days]
    from scipy.special import stdtrit  # noqa: PLC0415 - slow to load, and not always needed

    wide = (
        float(stdtrit(len(logs) - 1, QUIET_LEVEL))
        * max(stdev(logs), LEAST_SPREAD)
        * math.sqrt(1 + 1 / len(logs))
    )
    return max(math.exp(mean(logs) + wide), *days)
