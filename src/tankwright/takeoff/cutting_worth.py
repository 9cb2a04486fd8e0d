"""Every way to cut a stick that a plan of a given cost could use: if these make no such plan, there is none.

By the prices of column generation each way to cut costs at least what it is worth; the difference adds to the bound
whenever it is used. So a way whose difference is over the gap between the bound and that cost is in no such plan, and
where the gap is small few ways are left. Only full ways count: a piece too many does no harm.
"""

from __future__ import annotations

from typing import Any, Final

from tankwright.takeoff.cutting_columns import Column, Relaxed
from tankwright.takeoff.cutting_model import Job, Work

_MOST_CELLS: Final = 12_000_000
_MOST_WAYS: Final = 30_000
_MOST_STEPS: Final = 1_500_000
_MOST_LENGTHS: Final = 300


def worthwhile(job: Job, found: Relaxed, most: int, work: Work) -> tuple[Column, ...] | None:
    """All full ways to cut that a plan that costs at most `most` could use; None where they are too many."""
    count = len(job.lengths)
    if count > _MOST_LENGTHS or (count + 1) * (max(job.sizes) + 1) > _MOST_CELLS:
        return None
    slack = most * found.scale - found.whole
    worth = _worth_from(job, found.prices)
    lister = _Lister(job, found, worth, work)
    for stock in range(len(job.sizes)):
        least = job.costs[stock] * found.scale + found.rents[stock] - slack
        if not lister.list_ways(stock, least):
            return None
    return tuple(lister.ways)


def _worth_from(job: Job, prices: tuple[int, ...]) -> list[Any]:  # arrays of whole numbers
    """For each length: the most that it and the shorter ones are worth in so much of a stick."""
    import numpy as np  # noqa: PLC0415 - heavy, and hardly any job comes so far

    longest = max(job.sizes)
    worth = [np.zeros(longest + 1, np.int64)]
    for place in range(len(job.lengths) - 1, -1, -1):
        best, left, part = worth[-1].copy(), min(job.demand[place], longest // job.lengths[place]), 1
        while left > 0:
            part = min(part, left)
            width = job.lengths[place] * part
            np.maximum(best[width:], best[:-width] + prices[place] * part, out=best[width:])
            left -= part
            part *= 2
        worth.append(best)
    return worth[::-1]


class _Lister:
    """Walks down the lengths, the longest first, and turns back where what is left cannot be worth enough."""

    def __init__(self, job: Job, found: Relaxed, worth: list[Any], work: Work) -> None:
        self.job, self.prices, self.worth, self.work = job, found.prices, worth, work
        self.ways: list[Column] = []
        self.steps = 0

    def list_ways(self, stock: int, least: int) -> bool:
        """List the ways of one stock that are worth at least so much; False when they are too many."""
        job = self.job
        stack: list[tuple[int, int, int, tuple[tuple[int, int], ...]]] = [(0, job.sizes[stock], 0, ())]
        while stack:
            place, room, worth, taken = stack.pop()
            self.steps += 1
            if self.steps > _MOST_STEPS or len(self.ways) > _MOST_WAYS:
                return False
            if self.steps % 4096 == 0 and self.work.left() <= 0:
                return False
            if worth + int(self.worth[place][room]) < least:
                continue
            if place == len(job.lengths):
                if taken and self._is_full(room, taken):
                    self.ways.append((stock, taken))
                continue
            length, price = job.lengths[place], self.prices[place]
            for many in range(min(job.demand[place], room // length) + 1):
                more = (*taken, (place, many)) if many else taken
                stack.append((place + 1, room - many * length, worth + many * price, more))
        return True

    def _is_full(self, room: int, taken: tuple[tuple[int, int], ...]) -> bool:
        """True when no other piece fits."""
        of = dict(taken)
        return not any(
            length <= room and of.get(place, 0) < self.job.demand[place]
            for place, length in enumerate(self.job.lengths)
        )
