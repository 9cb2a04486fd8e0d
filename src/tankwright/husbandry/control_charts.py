"""Control charts of plain numbers: single values, weighted means, sums of departures; their limits as published."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import fmean
from typing import Final

MEAN_RANGE_OF_TWO: Final = 1.128
"""Mean range of two normal values, in standard deviations (d2). Source: NIST/SEMATECH e-Handbook, 6.3.2."""

MOST_RANGE_OF_TWO: Final = 3.267
"""Upper limit of the range of two, in mean ranges (D4). Source: NIST/SEMATECH e-Handbook, 6.3.2."""


@dataclass(frozen=True, slots=True, kw_only=True)
class IndividualsChart:
    """Limits of single values: centre, lower and upper limit, mean moving range and its upper limit."""

    centre: float
    lower: float
    upper: float
    mean_range: float
    most_range: float

    def outside(self, values: Sequence[float]) -> tuple[int, ...]:
        """Places of the values beyond a limit."""
        return tuple(place for place, value in enumerate(values) if not self.lower <= value <= self.upper)


def individuals_chart(values: Sequence[float], width: float = 3.0) -> IndividualsChart:
    """Shewhart's chart of single values: mean and `width` standard deviations, as the moving ranges tell them.

    Raises ValueError for fewer than two values.

    Source: NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2.

    >>> chart = individuals_chart((49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1))
    >>> round(chart.centre, 2), round(chart.mean_range, 4)
    (50.81, 1.8778)
    """
    if len(values) < 2:
        raise ValueError("a chart of single values needs two of them")
    mean_range = fmean(abs(later - earlier) for earlier, later in pairwise(values))
    centre, reach = fmean(values), width * mean_range / MEAN_RANGE_OF_TWO
    return IndividualsChart(
        centre=centre, lower=centre - reach, upper=centre + reach, mean_range=mean_range,
        most_range=MOST_RANGE_OF_TWO * mean_range,
    )  # fmt: skip


def ewma(values: Sequence[float], target: float, weight: float = 0.3) -> tuple[float, ...]:
    """Exponentially weighted means: each is `weight` of the new value and the rest of the mean before, from `target`.

    Source: NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.4.

    >>> [round(one, 2) for one in ewma((52.0, 47.0, 53.0), 50.0)]
    [50.6, 49.52, 50.56]
    """
    if not 0.0 < weight <= 1.0:
        raise ValueError(f"a weight of {weight:g} is none")
    means, mean = [], target
    for value in values:
        mean = weight * value + (1.0 - weight) * mean
        means.append(mean)
    return tuple(means)


def ewma_limits(target: float, spread: float, weight: float = 0.3, width: float = 3.0) -> tuple[float, float]:
    """Lower and upper limit of weighted means once many have gone in.

    Source: NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.4.

    >>> [round(one, 4) for one in ewma_limits(50.0, 2.0539)]
    [47.4116, 52.5884]
    """
    reach = width * spread * math.sqrt(weight / (2.0 - weight))
    return target - reach, target + reach


@dataclass(frozen=True, slots=True, kw_only=True)
class Cusum:
    """Sums of departures above and below a target, one pair a value; `signals` are the places of those past `limit`."""

    high: tuple[float, ...]
    low: tuple[float, ...]
    limit: float

    @property
    def signals(self) -> tuple[int, ...]:
        """Places where either sum is past the limit."""
        return tuple(
            place
            for place, (high, low) in enumerate(zip(self.high, self.low, strict=True))
            if high > self.limit or low > self.limit
        )

    @property
    def since(self) -> int | None:
        """The place from which on the newest signal's departures add up: the first after its sum was last nothing.
        None where the newest value is no signal."""
        if not self.signals or self.signals[-1] != len(self.high) - 1:
            return None
        sums = self.high if self.high[-1] > self.limit else self.low
        last = next((place for place in reversed(range(len(sums))) if sums[place] <= 0.0), -1)
        return last + 1


def cusum(values: Sequence[float], target: float, slack: float, limit: float) -> Cusum:
    """Sums of what lies farther than `slack` from a target, never below nothing; all in the unit of the values.

    Usual: a slack of half a standard deviation and a limit of four or five.

    Source: NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.3.

    >>> found = cusum((0.0, 2.0, 2.0), 0.0, 0.5, 2.5)
    >>> found.high, found.signals, found.since
    ((0.0, 1.5, 3.0), (2,), 1)
    """
    highs, lows = [], []
    high = low = 0.0
    for value in values:
        high = max(0.0, high + value - target - slack)
        low = max(0.0, low + target - slack - value)
        highs.append(high)
        lows.append(low)
    return Cusum(high=tuple(highs), low=tuple(lows), limit=limit)
