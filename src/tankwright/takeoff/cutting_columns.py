"""Column generation: ways to cut a stick are found as they are worth it, and the bound is proved in whole numbers.

The linear program over all ways to cut is solved with the few that matter; its prices of the pieces tell which way
would help next (a knapsack), until none does. Any prices at all give a true bound, so they are rounded to whole numbers
and the knapsack is solved exactly: no tolerance of a solver stands in what is said to be proved.

Source: P. C. Gilmore and R. E. Gomory (1961), Operations Research 9, 849-859; the bound from any prices is that of
A. A. Farley (1990), Operations Research 38, 922-923; both from memory.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from fractions import Fraction
from math import ceil
from typing import Any, Final

from tankwright.takeoff.cutting_bounds import whole_bound
from tankwright.takeoff.cutting_heuristics import cheapest_sticks, quick_answer, trimmed
from tankwright.takeoff.cutting_model import Answer, Filled, Job, Work

Column = tuple[int, Filled]
_MOST_CELLS: Final = (
    60_000_000  # parts of a stick times pieces of a knapsack: what fits the memory of a small machine
)
_MOST_ROUNDS: Final = 3000
_WORTH: Final = 1e-9  # a way to cut that helps less than this share of a stick is none


@dataclass(frozen=True, slots=True, kw_only=True)
class Relaxed:
    """What column generation found: the bound, the columns, how often the linear program takes each.

    The bound stands on `prices`, one a length, and on `rents`, one a stock, in parts of 1 / `scale`: no way to cut is
    worth more in prices than its stock costs with its rent, and the bound is what all pieces are worth without the
    rents of all stock there is.
    """

    prices: tuple[int, ...]
    rents: tuple[int, ...]
    scale: int
    whole: int
    columns: tuple[Column, ...] = ()
    amounts: tuple[float, ...] = ()

    @property
    def bound(self) -> Fraction:
        """What no plan can be under."""
        return Fraction(self.whole, self.scale)


def too_large(job: Job) -> bool:
    """True when its knapsacks would not fit into memory."""
    return (max(job.sizes) + 1) * sum(1 for _ in _parts(job)) > _MOST_CELLS


def relaxed(job: Job, start: Iterable[Column], work: Work, enough: int) -> Relaxed:
    """Solve the linear program over all ways to cut, from some to start with; ends early once the bound, rounded
    up, is `enough` or time is up. The bound holds whenever it ends."""
    import numpy as np  # noqa: PLC0415 - heavy, and many jobs are proved without
    from scipy.optimize import linprog  # noqa: PLC0415 - heavy, as above

    columns = list(dict.fromkeys([*start, *_plain_columns(job)]))
    known = set(columns)
    limited = [place for place, count in enumerate(job.counts) if count is not None]
    goal = -np.array([*job.demand, *(-(job.counts[place] or 0) for place in limited)], float)
    scale = 2**40 // max(job.costs)
    best = Relaxed(prices=(0,) * len(job.demand), rents=(0,) * len(job.sizes), scale=scale, whole=0)
    amounts = np.zeros(len(columns))
    for step in range(_MOST_ROUNDS):
        costs = np.array([job.costs[stock] for stock, _ in columns], float)
        found = linprog(costs, A_ub=matrix_of(job, columns, limited), b_ub=goal, method="highs")
        if not found.success:
            break
        amounts = found.x
        prices = -found.ineqlin.marginals
        whole = [int(price * scale) if price > 0 else 0 for price in prices[: len(job.demand)]]
        values, filled = _knapsack(job, whole)
        best = max(best, _proved(job, whole, values, scale), key=lambda one: one.whole)
        if step % 20 == 0:
            work.tell(f"bound {float(best.bound):.6g}")
        rents = dict(zip(limited, prices[len(job.demand) :], strict=True))
        new = []
        for stock, (value, way) in enumerate(zip(values, filled, strict=True)):
            gain = value / scale - rents.get(stock, 0.0) - job.costs[stock]
            if way and gain > _WORTH * max(1, job.costs[stock]) and (stock, way) not in known:
                new.append((stock, way))
        if not new or ceil(best.bound) >= enough or work.left() <= 0:
            break
        known.update(new)
        columns.extend(new)
    amounts = np.concatenate([amounts, np.zeros(len(columns) - len(amounts))])
    return replace(best, columns=tuple(columns), amounts=tuple(float(one) for one in amounts))


def _proved(job: Job, prices: list[int], values: list[int], scale: int) -> Relaxed:
    """A true bound from any prices of the pieces, in whole numbers.

    Prices are lowered until no way to cut an endless stock is worth more than it costs; what a stock of which there
    are only so many is worth over its cost is its rent.
    """
    share = Fraction(1)
    for value, cost, count in zip(values, job.costs, job.counts, strict=True):
        if count is None and value:
            share = min(share, Fraction(cost * scale, value))
    lowered = tuple(int(share * price) for price in prices)
    rents = tuple(
        0 if count is None else max(0, ceil(share * value) - cost * scale)
        for value, cost, count in zip(values, job.costs, job.counts, strict=True)
    )
    whole = sum(price * many for price, many in zip(lowered, job.demand, strict=True))
    whole -= sum(rent * (count or 0) for rent, count in zip(rents, job.counts, strict=True))
    return Relaxed(prices=lowered, rents=rents, scale=scale, whole=whole)


def _plain_columns(job: Job) -> Iterable[Column]:
    """Each length by itself on each stock: with these there is always a solution."""
    for place, length in enumerate(job.lengths):
        for stock, size in enumerate(job.sizes):
            many = min(job.demand[place], size // length)
            if many:
                yield stock, ((place, many),)


def matrix_of(job: Job, columns: list[Column], limited: list[int]) -> Any:  # scipy has no types
    """How many of each length, and of each limited stock, a column has: below no more than minus the demand."""

    from scipy.sparse import csr_matrix  # noqa: PLC0415 - heavy, and many jobs are proved without

    entries = [
        (place, number, -float(many)) for number, (_, way) in enumerate(columns) for place, many in way
    ]
    row_of = {stock: len(job.demand) + row for row, stock in enumerate(limited)}
    entries += [(row_of[stock], number, 1.0) for number, (stock, _) in enumerate(columns) if stock in row_of]
    rows, across, values = zip(*entries, strict=True)
    return csr_matrix((values, (rows, across)), shape=(len(job.demand) + len(limited), len(columns)))


def _parts(job: Job) -> Iterable[tuple[int, int]]:
    """(place of a length, how many): each count up to what a stick holds as a sum of parts of 1, 2, 4 ..."""
    for place, (length, demand) in enumerate(zip(job.lengths, job.demand, strict=True)):
        left, part = min(demand, max(job.sizes) // length), 1
        while left > 0:
            part = min(part, left)
            yield place, part
            left -= part
            part *= 2


def _knapsack(job: Job, prices: list[int]) -> tuple[list[int], list[Filled]]:
    """The most that the pieces on one stick of each stock can be worth, and which they are; exact."""
    import numpy as np  # noqa: PLC0415 - heavy, and many jobs are proved without

    parts = [(place, many) for place, many in _parts(job) if prices[place]]
    best = np.zeros(max(job.sizes) + 1, np.int64)
    taken = np.zeros((len(parts), len(best)), bool)
    for row, (place, many) in enumerate(parts):
        width = job.lengths[place] * many
        with_it = best[:-width] + prices[place] * many
        np.greater(with_it, best[width:], out=taken[row, width:])
        np.maximum(with_it, best[width:], out=best[width:])
    ways = []
    for size in job.sizes:
        way: dict[int, int] = {}
        for row in range(len(parts) - 1, -1, -1):
            place, many = parts[row]
            if taken[row, size]:
                way[place] = way.get(place, 0) + many
                size -= job.lengths[place] * many  # noqa: PLW2901 - what is left of the stick, walking back
        ways.append(tuple(sorted(way.items())))
    return [int(best[size]) for size in job.sizes], ways


# --- whole sticks -----------------------------------------------------------------------------------------------


def rounded(job: Job, found: Relaxed) -> Answer | None:
    """The linear program's amounts rounded down, and the rest of the pieces cut as the portfolio does."""
    made: Answer = {}
    left = list(job.demand)
    stock_left = list(job.counts)
    for (stock, way), amount in zip(found.columns, found.amounts, strict=True):
        times = min([int(amount + 1e-6), *(left[place] // many for place, many in way)])
        held = stock_left[stock]
        if held is not None:
            times = min(times, held)
            stock_left[stock] = held - times
        if times > 0:
            made[stock, way] = made.get((stock, way), 0) + times
            for place, many in way:
                left[place] -= many * times
    places = [place for place, many in enumerate(left) if many]
    if not places:
        return made
    rest = quick_answer(
        Job(
            lengths=tuple(job.lengths[place] for place in places),
            demand=tuple(left[place] for place in places),
            sizes=job.sizes, costs=job.costs, counts=tuple(stock_left),
        )
    )  # fmt: skip
    if rest is None:
        return None
    for (stock, way), times in rest.items():
        key = (stock, tuple((places[place], many) for place, many in way))
        made[key] = made.get(key, 0) + times
    return made


def best_of_columns(
    job: Job, columns: tuple[Column, ...], work: Work, within: tuple[int, int]
) -> tuple[Answer | None, int]:
    """The cheapest whole numbers of some ways to cut (HiGHS), with a cost from `within` to there; None when none was
    found in time. And what no plan of these ways can be under; over the end of `within` when there is none."""
    import numpy as np  # noqa: PLC0415 - heavy, and many jobs are proved without
    from scipy.optimize import Bounds, LinearConstraint, milp  # noqa: PLC0415 - heavy, as above

    limited = [place for place, count in enumerate(job.counts) if count is not None]
    goal = -np.array([*job.demand, *(-(job.counts[place] or 0) for place in limited)], float)
    costs = np.array([job.costs[stock] for stock, _ in columns], float)
    most = [
        max(-(-job.demand[place] // many) for place, many in way) for _, way in columns
    ]  # more would only be surplus
    found = milp(
        costs, integrality=np.ones(len(columns)), bounds=Bounds(0.0, np.array(most, float)),
        constraints=[
            LinearConstraint(matrix_of(job, list(columns), limited), ub=goal),
            LinearConstraint(costs[None, :], lb=float(within[0]), ub=float(within[1])),
        ],
        options={"time_limit": max(work.left(), 0.1), "mip_rel_gap": 0.0},
    )  # fmt: skip
    infeasible = found.status == 2
    bound = within[1] + 1 if infeasible else within[0]
    if found.mip_dual_bound is not None and np.isfinite(found.mip_dual_bound):
        bound = max(bound, min(whole_bound(float(found.mip_dual_bound)), within[1] + 1))
    if found.x is None:
        return None, bound
    answer = {
        column: round(times) for column, times in zip(columns, found.x, strict=True) if round(times) > 0
    }
    made = cheapest_sticks(job, trimmed(job, answer))
    return (made if _holds(job, made) else None), bound


def _holds(job: Job, answer: Answer) -> bool:
    """True when every piece is cut and no stock is used up twice: a solver's word is looked after."""
    got = [0] * len(job.demand)
    used = [0] * len(job.sizes)
    for (stock, way), times in answer.items():
        used[stock] += times
        for place, many in way:
            got[place] += many * times
    enough = all(many >= wanted for many, wanted in zip(got, job.demand, strict=True))
    return enough and all(
        count is None or many <= count for many, count in zip(used, job.counts, strict=True)
    )


def bound_of(found: Relaxed) -> int:
    """The bound of column generation as a whole number.

    >>> bound_of(Relaxed(prices=(), rents=(), scale=4, whole=1809))
    453
    """
    return ceil(found.bound)
