"""The first weeks of a new filter: ammonia, then nitrite, as a band over its seed and how fast it grows."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache
from typing import Final

from tankwright.origin import Known
from tankwright.physics.nitrifier_growth import (
    DAY,
    NITRIFIERS_FAST,
    NITRIFIERS_SLOW,
    NitrifierCourse,
    nitrifier_course,
    nitrifiers_measured_at,
)
from tankwright.systems.water_life_model import FirstWeeks, Span, TankNitrogen, span_of

LIMIT: Final = 0.25e-3
"""kg/m3 of nitrogen below which ammonia and nitrite count as gone, what drop tests show. Common practice, no
source."""

_MIDDLE: Final = nitrifiers_measured_at(298.15)
_LOOKED_AHEAD: Final = (60.0 * DAY, 120.0 * DAY, 240.0 * DAY)
_LEAST, _MOST = 1e-9, 6e-8
_COLDEST, _WARMEST = 283.15, 306.15
_KINDS: Final = {"slow": NITRIFIERS_SLOW, "middle": _MIDDLE, "fast": NITRIFIERS_FAST}


def solve_first_weeks(
    tanks: Sequence[TankNitrogen], seed: Known, missing: list[tuple[str, str]]
) -> FirstWeeks | None:
    """The first weeks of the tank with the most feed for its water; None where no tank is fed, or too little to tell.
    What is fed beyond any published course goes to `missing`.

    It is fed in full from its first day, without fish to suffer it: the dose is what its feed would come to.
    """
    fed = [one for one in tanks if one.from_feed.value / one.volume >= _LEAST and _grows(one)]
    missing += [
        (f"tank {one.tank}", "its first weeks: more feed for its water than any published course of a new filter")
        for one in fed if one.from_feed.value / one.volume > _MOST
    ]  # fmt: skip
    fed = [one for one in fed if one.from_feed.value / one.volume <= _MOST]
    if not fed:
        return None
    worst = max(fed, key=lambda one: one.from_feed.value / one.volume)
    dose, temperature, seeds = worst.from_feed.value / worst.volume, worst.temperature.value, span_of(seed)
    dose = float(f"{dose:.2e}")  # so that a small change of another value finds the course again
    early = _course(dose, seeds.high, temperature, "fast")
    middle = _course(dose, seeds.value, temperature, "middle")
    late = _course(dose, seeds.low, temperature, "slow")
    return FirstWeeks(
        tank=worst.tank, dose=dose, temperature=temperature, seed=seed, limit=LIMIT, early=early, middle=middle,
        late=late, days=Span(low=early.cycled_at, value=middle.cycled_at, high=late.cycled_at),
    )  # fmt: skip


def _grows(one: TankNitrogen) -> bool:
    return _COLDEST <= one.temperature.value <= _WARMEST


@lru_cache(maxsize=64)
def _course(dose: float, seed: float, temperature: float, kind: str) -> NitrifierCourse:
    """A course as long as it takes, kept: the same for the same numbers, and a room asks for it at every edit."""
    for duration in _LOOKED_AHEAD:
        course = nitrifier_course(
            dose=dose, seed=seed, temperature=temperature, duration=duration, limit=LIMIT, kinds=_KINDS[kind]
        )
        if not math.isinf(course.cycled_at) and course.cycled_at < duration / 1.5:
            break
    return course
