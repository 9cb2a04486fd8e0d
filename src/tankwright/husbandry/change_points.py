"""When a series changed: the split into stretches of one level each that costs least, found exactly."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import accumulate, pairwise
from statistics import median
from typing import Final

LEAST_STRETCH: Final = 4
"""Tests a level must last to be one. Our choice, no source."""


def change_points(
    values: Sequence[float], *, penalty: float | None = None, least: int = LEAST_STRETCH, finest: float = 0.0
) -> tuple[int, ...]:
    """Places where a new level begins: what makes squared departures from the levels plus `penalty` a level least.

    Without a `penalty` it is 3 s² ln n, with the spread s of the values from one to the next and at least `finest`.

    Source: optimal partitioning, B. Jackson and others (2005), IEEE Signal Processing Letters 12, 105-108; the penalty
    is our choice, after the Bayesian information criterion.

    >>> change_points((1.0, 1.1, 0.9, 1.0, 1.1, 5.0, 5.1, 4.9, 5.0, 5.1))
    (5,)
    >>> change_points((1.0, 1.1, 0.9))
    ()
    """
    count = len(values)
    if count < 2 * least:
        return ()
    if penalty is None:
        spread = max(step_spread(values), finest)
        penalty = 3.0 * spread * spread * math.log(count)
    middle = median(values)  # sums of squares of what is near nothing lose nothing
    sums = (0.0, *accumulate(value - middle for value in values))
    squares = (0.0, *accumulate((value - middle) ** 2 for value in values))
    best, came_from = [-penalty] + [math.inf] * count, [0] * (count + 1)
    for end in range(least, count + 1):
        for start in range(end - least + 1):
            if math.isinf(best[start]):
                continue
            total = sums[end] - sums[start]
            cost = best[start] + penalty + squares[end] - squares[start] - total * total / (end - start)
            if cost < best[end] - 1e-12 * abs(cost):
                best[end], came_from[end] = cost, start
    found, end = [], count
    while end > 0:
        end = came_from[end]
        if end > 0:
            found.append(end)
    return tuple(reversed(found))


def step_spread(values: Sequence[float]) -> float:
    """The standard deviation of single values as the middle step from one to the next tells it: levels do not move it.

    Source: normal distribution, middle of |x - y| is 0.6745 times the root of 2 standard deviations.

    >>> round(step_spread((0.0, 1.0, 0.0, 1.0)), 3)
    1.048
    """
    steps = [abs(later - earlier) for earlier, later in pairwise(values)]
    return median(steps) / (0.6745 * math.sqrt(2.0)) if steps else 0.0
