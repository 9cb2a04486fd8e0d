"""What is usual of a series of tests, and whether it has left it: robust centre and spread, a false-alarm budget.

Limits three standard deviations wide cry wolf in a room of sixty tanks. Here a room has a budget of false alarms a
year; its tests share it, and the limits follow. A centre and a spread of few tests are themselves uncertain, and that
widens the limits too: eight tests give wide ones, twenty give useful ones.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from statistics import median
from typing import Final

from tankwright.husbandry.control_charts import cusum, ewma

LEAST_BASELINE: Final = 8
MOST_BASELINE: Final = 26
LEFT_OUT: Final = 4
"""Tests the usual is taken from: at least, at most, and how many of the newest never are. Our choice, no source."""

BUDGET: Final = 6.0
"""False alarms a year the whole room may give: one in two months. Our choice, no source."""

WEIGHT: Final = 0.3
"""Weight of the newest test in the weighted mean. Source: NIST/SEMATECH e-Handbook, 6.3.2.4, its example."""

_CHARTS: Final = 2  # a test is looked at alone and in the weighted mean
_SLACK, _LIMIT = 0.5, 5.0  # of the sums; NIST/SEMATECH e-Handbook 6.3.2.3, usual


@dataclass(frozen=True, slots=True, kw_only=True)
class Usual:
    """What is usual: centre and spread of the `count` tests it is taken from, and the limits for one test and for the
    weighted mean, all in the unit of the tests. `chance` is that of a false alarm a test and chart."""

    count: int
    centre: float
    spread: float
    chance: float
    single: tuple[float, float]
    mean: tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Departure:
    """How the newest test stands to the usual: `jump` by itself, `drift` by the weighted mean; 1 above, -1 below, 0
    within. `since` is the place of the first test of it, as is likeliest; `lasting` that it is more than one wild test:
    the sums of departures signal, and did so before the newest. `means` are all weighted means after the baseline."""

    jump: int
    drift: int
    since: int | None
    lasting: bool
    means: tuple[float, ...]


def robust_spread(values: Sequence[float]) -> float:
    """1.4826 times the middle distance from the middle value: a standard deviation that a few wild values do not move.

    Source: F. R. Hampel (1974), Journal of the American Statistical Association 69, 383-393; from memory.

    >>> round(robust_spread((1.0, 2.0, 3.0, 4.0, 100.0)), 4)
    1.4826
    """
    middle = median(values)
    return 1.4826 * median(abs(value - middle) for value in values)


def false_alarm_chance(tests_a_year: float, budget: float = BUDGET) -> float:
    """The chance of a false alarm a test and chart may have, so that the room keeps its budget.

    >>> round(false_alarm_chance(60 * 4 * 52), 5)
    0.00024
    """
    return min(budget / max(_CHARTS * tests_a_year, 1.0), 0.05)


def false_alarms_a_year(tests_a_year: float, width: float) -> float:
    """False alarms a year of limits `width` standard deviations wide that are known without error.

    Source: normal distribution.

    >>> [round(false_alarms_a_year(60 * 4 * 52, width), 1) for width in (3.0, 3.5, 4.0)]
    [33.7, 5.8, 0.8]
    """
    return tests_a_year * math.erfc(width / math.sqrt(2.0))


@lru_cache(maxsize=256)
def _reach(count: int, chance: float) -> float:
    """How many robust spreads a value may lie off for its chance, given that the spread is of so few tests.

    A spread by the middle distance of n normal values scatters like one of 0.37 n + 0.5 degrees of freedom: found by
    simulation here for 8 to 80 values and chances of 1e-4 to 4e-3, within 3 %; the 0.37 is its known efficiency.
    """
    from scipy.special import stdtrit  # noqa: PLC0415 - heavy, and only a chart needs it

    return float(-stdtrit(0.37 * count + 0.5, chance / 2.0))


def usual_of(values: Sequence[float], chance: float, finest: float) -> Usual | None:
    """What is usual of a series, oldest first; None where too few tests stand before the newest four.

    `finest` is half a step of the kit: no spread is taken smaller, since readings hide what is. Source: Student's
    prediction interval, with the robust centre's variance of pi / 2 n; the degrees of freedom see `_reach`.

    >>> usual_of((1.0,) * 11, 1e-3, 0.5) is None
    True
    >>> found = usual_of((1.0,) * 24 + (2.0,), 1e-3, 0.5)
    >>> found.count, found.centre, found.spread
    (21, 1.0, 0.5)
    """
    count = min(len(values) - LEFT_OUT, MOST_BASELINE)
    if count < LEAST_BASELINE:
        return None
    taken = values[:count]
    centre, spread = median(taken), max(robust_spread(taken), finest)
    reach = _reach(count, chance) * spread
    off = math.pi / 2.0 / count
    single = reach * math.sqrt(1.0 + off)
    mean = reach * math.sqrt(WEIGHT / (2.0 - WEIGHT) + off)
    return Usual(
        count=count, centre=centre, spread=spread, chance=chance, single=(centre - single, centre + single),
        mean=(centre - mean, centre + mean),
    )  # fmt: skip


def departure(values: Sequence[float], usual: Usual) -> Departure:
    """How the newest of the tests stands to the usual of the same tests.

    >>> found = usual_of((1.0,) * 24 + (9.0,), 1e-3, 0.5)
    >>> stands = departure((1.0,) * 24 + (9.0,), found)
    >>> stands.jump, stands.drift, stands.since
    (1, 1, 24)
    """
    after = values[usual.count :]
    means = ewma(after, usual.centre, WEIGHT)
    newest, mean = (after[-1], means[-1]) if after else (usual.centre, usual.centre)
    jump, drift = _side(newest, usual.single), _side(mean, usual.mean)
    if not (jump or drift):
        return Departure(jump=0, drift=0, since=None, lasting=False, means=means)
    sums = cusum(after, usual.centre, _SLACK * usual.spread, _LIMIT * usual.spread)
    lasting = {len(after) - 1, len(after) - 2} <= set(sums.signals)
    since = usual.count + _begun(after, usual.centre)
    return Departure(jump=jump, drift=drift, since=since, lasting=lasting, means=means)


def _begun(after: Sequence[float], centre: float) -> int:
    """Where a shift to a new level likeliest began: where squared departures shrink most by one level from there on."""
    best, place, total = -1.0, len(after) - 1, 0.0
    for number in reversed(range(len(after))):
        total += after[number] - centre
        gain = total * total / (len(after) - number)
        if gain > best:
            best, place = gain, number
    return place


def _side(value: float, limits: tuple[float, float]) -> int:
    return -1 if value < limits[0] else 1 if value > limits[1] else 0
