"""A plan from one mix of stock and nothing else: when the mix costs what no plan can be under, such a plan is the best.

Where sticks can only be had in few prices the cheapest mix is often dearer than the bound of column generation, and
the question is no more what to buy but how to cut it. That is answered by diving: what the linear program takes whole
is fixed, then what it takes most of, and the rest is solved again.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Final

from tankwright.takeoff.cutting_columns import Column, Relaxed, relaxed
from tankwright.takeoff.cutting_heuristics import quick_answer
from tankwright.takeoff.cutting_model import Answer, Job, Work

_SPARE: Final = 3  # how many times the dearest stick a stick beyond the mix weighs while it is looked for
_WHOLE: Final = 1e-6  # what is missing to a whole number in a solver's arithmetic


def quickly_from(job: Job, counts: tuple[int, ...]) -> Answer | None:
    """A plan from so many of each stock by the plain ways to cut; None when they find none.

    >>> quickly_from(Job(lengths=(6, 4), demand=(1, 1), sizes=(10,), costs=(1,), counts=(None,)), (1,))
    {(0, ((0, 1), (1, 1))): 1}
    """
    return _within(job, quick_answer(_limited(job, counts)))


def dived_from(job: Job, counts: tuple[int, ...], columns: Iterable[Column], work: Work) -> Answer | None:
    """A plan from so many of each stock by diving; None when it ends with a stick beyond them, or late."""
    limited, work = _limited(job, counts), replace(work, progress=None)
    left, stock_left = list(limited.demand), list(limited.counts)
    made: Answer = {}
    pool = list(columns)
    while any(left):
        if work.left() <= 0:
            return None
        places = [place for place, many in enumerate(left) if many]
        of = {place: number for number, place in enumerate(places)}
        rest = Job(
            lengths=tuple(job.lengths[place] for place in places),
            demand=tuple(left[place] for place in places),
            sizes=limited.sizes, costs=limited.costs, counts=tuple(stock_left),
        )  # fmt: skip
        start = [
            (stock, tuple((of[place], min(many, left[place])) for place, many in way if left[place]))
            for stock, way in pool
        ]
        found = relaxed(rest, [one for one in start if one[1]], work, enough=_never(rest))
        pool = [(stock, _named(way, places)) for stock, way in found.columns]
        fixed = _fixed(rest, found)
        if not fixed:
            return None
        for (stock, way), times in fixed.items():
            named = _named(way, places)
            made[stock, named] = made.get((stock, named), 0) + times
            for place, many in named:
                left[place] -= many * times
            held = stock_left[stock]
            stock_left[stock] = held if held is None else held - times
    return _within(job, made)


def _limited(job: Job, counts: tuple[int, ...]) -> Job:
    """The job with so many of each stock, all offcuts, and a dear spare without end, so that there is always a plan."""
    many = tuple(
        held if held is not None and not cost else count
        for held, cost, count in zip(job.counts, job.costs, counts, strict=True)
    )
    return Job(
        lengths=job.lengths, demand=job.demand, sizes=(*job.sizes, max(job.sizes)),
        costs=(*job.costs, _SPARE * max(job.costs)), counts=(*many, None),
    )  # fmt: skip


def _never(job: Job) -> int:
    """More than any bound of the job."""
    return (sum(job.demand) + 1) * max(job.costs)


def _named(way: Iterable[tuple[int, int]], places: list[int]) -> tuple[tuple[int, int], ...]:
    return tuple((places[place], many) for place, many in way)


def _within(job: Job, answer: Answer | None) -> Answer | None:
    """The answer when it takes no spare."""
    spare = len(job.sizes)
    return None if answer is None or any(stock == spare for stock, _ in answer) else answer


def _fixed(job: Job, found: Relaxed) -> Answer:
    """What is fixed next: all that is taken whole; when nothing is, one of what is taken most of."""
    left, stock_left = list(job.demand), list(job.counts)
    taken = [
        (amount, way) for amount, way in zip(found.amounts, found.columns, strict=True) if amount > _WHOLE
    ]
    taken.sort(key=lambda one: (-(one[0] % 1.0), -job.used(one[1][1])))
    fixed: Answer = {}
    for amount, (stock, way) in taken:
        held = stock_left[stock]
        most = min(left[place] // many for place, many in way)
        times = min(int(amount + _WHOLE), most if held is None else min(most, held))
        if times > 0:
            fixed[stock, way] = times
            stock_left[stock] = held if held is None else held - times
            for place, many in way:
                left[place] -= many * times
    if fixed:
        return fixed
    for _, (stock, way) in taken:
        if stock_left[stock] != 0 and all(left[place] >= many for place, many in way):
            return {(stock, way): 1}
    return {}
