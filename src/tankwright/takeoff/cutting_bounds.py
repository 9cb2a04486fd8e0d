"""What no plan of cuts can be under: by the length alone, by what fits beside what, by the mix of stock."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from itertools import accumulate
from math import ceil
from typing import Final

from tankwright.takeoff.cutting_model import Job, Work

_MOST_ROWS: Final = 60  # of lengths that are counted in the mix


def length_bound(job: Job) -> int:
    """At least so much, because the pieces and their saw cuts have so much length; offcuts on hand cost nothing.

    >>> length_bound(Job(lengths=(6, 4), demand=(2, 1), sizes=(10,), costs=(1,), counts=(None,)))
    2
    """
    whole = sum(length * many for length, many in zip(job.lengths, job.demand, strict=True))
    dearness = sorted(
        (Fraction(cost, size), size if count is None else size * count, count is None)
        for size, cost, count in zip(job.sizes, job.costs, job.counts, strict=True)
    )
    bound = Fraction(0)
    for each, room, endless in dearness:
        taken = whole if endless else min(whole, room)
        bound += each * taken
        whole -= taken
        if not whole:
            break
    return ceil(bound)


def beside_bound(job: Job) -> int:
    """Of one endless stock: pieces over half of it never share a stick, and what else fits beside them is counted.

    Source: the bound L2 of S. Martello and P. Toth (1990), Knapsack Problems, ch. 8, from memory.

    >>> beside_bound(Job(lengths=(6, 5), demand=(2, 1), sizes=(10,), costs=(1,), counts=(None,)))
    3
    """
    if job.counts != (None,):
        return 0
    size, best = job.sizes[0], 0
    many = (0, *accumulate(job.demand))
    long = (0, *accumulate(length * count for length, count in zip(job.lengths, job.demand, strict=True)))

    def longer(than: int) -> int:
        """How many lengths, the longest first, are over that."""
        return next((place for place, length in enumerate(job.lengths) if length <= than), len(job.lengths))

    half = longer(size // 2)
    for least in {length for length in job.lengths if 2 * length <= size} | {0}:
        alone, small = longer(size - least), longer(least - 1)
        spare = (many[half] - many[alone]) * size - (long[half] - long[alone])
        over = max(0, long[small] - long[half] - spare)
        best = max(best, many[half] + ceil(Fraction(over, size)))
    return best * job.costs[0]


@dataclass(frozen=True, slots=True, kw_only=True)
class Mix:
    """The cheapest mix of stock: what no plan can be under, and how many of each, where a mix was found in time."""

    bound: int
    counts: tuple[int, ...] = ()


def cheapest_mix(job: Job, work: Work, least: int = 0) -> Mix:
    """The cheapest mix of stock, of `least` at least, that could hold the pieces if they were of wax.

    It is long enough as a whole; long enough where only the longer stock will do; and has places enough for the
    pieces of each length and over.
    """
    if len(job.sizes) == 1 and job.counts == (None,):
        bound = max(least, length_bound(job))
        return Mix(bound=bound, counts=(-(-bound // job.costs[0]),))
    import numpy as np  # noqa: PLC0415 - heavy, and one stock needs none of it
    from scipy.optimize import Bounds, LinearConstraint, milp  # noqa: PLC0415 - heavy, as above

    sizes = job.sizes
    rows: list[list[int]] = []
    needed: list[int] = []
    for over in {0, *sizes} - {max(sizes)}:
        rows.append([size if size > over else 0 for size in sizes])
        needed.append(
            sum(length * many for length, many in zip(job.lengths, job.demand, strict=True) if length > over)
        )
    counted = list(accumulate(job.demand))
    step = -(-len(job.lengths) // _MOST_ROWS)
    for place in range(0, len(job.lengths), step):
        rows.append([size // job.lengths[place] for size in sizes])
        needed.append(counted[place])
    most = [np.inf if count is None else count for count in job.counts]
    found = milp(
        np.array(job.costs, float), integrality=np.ones(len(sizes)), bounds=Bounds(0.0, np.array(most, float)),
        constraints=[
            LinearConstraint(np.array(rows, float), lb=np.array(needed, float)),
            LinearConstraint(np.array([job.costs], float), lb=float(least)),
        ],
        options={"time_limit": max(min(work.left(), 2.0), 0.1), "mip_rel_gap": 0.0},
    )  # fmt: skip
    dual = found.mip_dual_bound
    bound = whole_bound(float(dual)) if dual is not None and np.isfinite(dual) else 0
    counts = () if found.x is None else tuple(round(one) for one in found.x)
    return Mix(bound=max(bound, least), counts=counts)


def whole_bound(bound: float) -> int:
    """The next whole number up, unless it is over the bound by no more than a solver's arithmetic is off.

    >>> whole_bound(47.266), whole_bound(48.0000000001)
    (48, 48)
    """
    return ceil(bound - 1e-6 * max(1.0, abs(bound)))
