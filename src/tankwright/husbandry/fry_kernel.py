"""Groups of fish into tanks, as a loop that can be compiled: how many tanks they take, and what does not fit.

A tank holds one group only; a group may have several tanks. Two ways are tried, and the better one counts: largest
group first, and those first that one tank alone can hold. Each takes the smallest tank that is large enough, else the
largest there is.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Whole = NDArray[np.int64]
    Floats = NDArray[np.float64]


def place_group(need: float, tanks: Floats, taken: Whole, mark: int) -> float:
    """Take tanks (sorted, smallest first) for one group; what is left over when none is free any more."""
    many = len(tanks)
    while need > 0.0:
        best = -1
        largest = -1
        for tank in range(many):
            if taken[tank] != mark:
                largest = tank
                if tanks[tank] >= need:
                    best = tank
                    break
        if best < 0:
            best = largest
        if best < 0:
            return need
        taken[best] = mark
        need -= tanks[best]
    return 0.0


def sum_groups(volume: Floats, first: int, groups: Whole, leave_out: Whole, work: Floats) -> None:
    """Add the cohorts from `first` on up into their groups."""
    for group in range(len(groups)):
        work[group] = 0.0
    for cohort in range(len(groups)):
        if leave_out[cohort] == 0:
            work[groups[cohort]] += volume[first + cohort]


def largest_first(work: Floats, order: Whole, groups: int) -> int:
    """Put the groups that need anything into `order`, largest first; how many they are."""
    count = 0
    for group in range(groups):
        if work[group] > 0.0:
            at = count
            while at > 0 and work[order[at - 1]] < work[group]:
                order[at] = order[at - 1]
                at -= 1
            order[at] = group
            count += 1
    return count


def place_some(
    work: Floats, order: Whole, count: int, tanks: Floats, taken: Whole, mark: int, least: float, most: float
) -> float:  # fmt: skip
    """Place the groups that need more than `least` and at most `most`, in their order; what found no tank."""
    over = 0.0
    for at in range(count):
        need = work[order[at]]
        if least < need <= most:
            over += place_group(need, tanks, taken, mark)
    return over


def tanks_beyond(over: float, typical: float) -> float:
    """So many tanks of typical size as hold what found none."""
    whole = float(int(over / typical))
    return whole + 1.0 if over > whole * typical else whole


def pack_all(  # noqa: PLR0913, PLR0917 - flat arrays are what the compiler takes
    volume: Floats, groups: Whole, leave_out: Whole, tanks: Floats, typical: float, work: Floats, order: Whole,
    taken: Whole, needed: Floats, short: Floats,
) -> None:  # fmt: skip
    """For every row of `volume` (a week of a draw; one column a cohort): tanks needed, and water that found none.

    `groups` numbers the group of each cohort, `leave_out` is 1 for cohorts that count as not there. Beyond the tanks
    there are, `needed` goes on in tanks of `typical` size. `work`, `order` and `taken` are room to work in.
    """
    cohorts = len(groups)
    largest = tanks[len(tanks) - 1] if len(tanks) > 0 else 0.0
    endless = 1e300
    mark = 0
    for row in range(len(needed)):
        sum_groups(volume, row * cohorts, groups, leave_out, work)
        count = largest_first(work, order, cohorts)
        for way in range(2):
            mark += 1
            if way == 0:
                over = place_some(work, order, count, tanks, taken, mark, 0.0, endless)
            else:
                over = place_some(work, order, count, tanks, taken, mark, 0.0, largest)
                over += place_some(work, order, count, tanks, taken, mark, largest, endless)
            total = tanks_beyond(over, typical)
            for tank in range(len(tanks)):
                if taken[tank] == mark:
                    total += 1.0
            if way == 0 or over < short[row] or (over == short[row] and total < needed[row]):
                short[row] = over
                needed[row] = total
