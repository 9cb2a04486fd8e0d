"""Good cuts at once: several plain ways to fill sticks, each stick then made the cheapest that holds what is on it."""

from __future__ import annotations

from bisect import bisect_left, insort
from collections import Counter
from collections.abc import Callable, Iterator
from typing import Final

from tankwright.takeoff.cutting_model import Answer, Filled, Job

_MOST_PIECES: Final = 20_000  # of which each is placed by itself
_MOST_PARTS: Final = 240  # lengths times the halvings of their counts that are tried together on one stick
_MOST_BITS: Final = 300_000  # units along a stick for which every sum of pieces is known

Filling = Callable[[Job, list[int], int, list[int]], Filled]


def quick_answer(job: Job) -> Answer | None:
    """The best of the portfolio; None when the stock there is was not enough for any of them.

    >>> job = Job(lengths=(6, 4), demand=(1, 1), sizes=(10,), costs=(1,), counts=(None,))
    >>> quick_answer(job)
    {(0, ((0, 1), (1, 1))): 1}
    """
    return min((one for one in _answers(job) if one is not None), key=job.rank, default=None)


def _answers(job: Job) -> Iterator[Answer | None]:
    bases: list[int | None] = [place for place, count in enumerate(job.counts) if count is None]
    if len(job.sizes) > 1:
        bases.append(None)
    for order in _orders(job):
        for base in bases:
            for fill in (longest_first, fullest):
                yield _stick_by_stick(job, order, base, fill)
    if sum(job.demand) <= _MOST_PIECES:
        for base in bases:
            if base is not None:
                yield _best_fit(job, base)


def _orders(job: Job) -> Iterator[list[int]]:
    """Lengths in the orders in which they are tried: the longest first; those that fill most of the job first."""
    by_length = list(range(len(job.lengths)))
    by_bulk = sorted(by_length, key=lambda place: -job.lengths[place] * job.demand[place])
    yield by_length
    if by_bulk != by_length:
        yield by_bulk


# --- one stick after the other ----------------------------------------------------------------------------------


def _stick_by_stick(job: Job, order: list[int], base: int | None, fill: Filling) -> Answer | None:
    """Fill a stick, as often as the pieces last; offcuts first, then `base`, or by itself whichever pays best."""
    left, stock_left = list(job.demand), list(job.counts)
    made: Counter[tuple[int, Filled]] = Counter()

    def done(stock: int, filled: Filled) -> None:
        times = min(left[place] // many for place, many in filled)
        held = stock_left[stock]
        if held is not None:
            times = min(times, held)
            stock_left[stock] = held - times
        for place, many in filled:
            left[place] -= many * times
        made[stock, filled] += times

    for stock in sorted(range(len(job.sizes)), key=lambda place: job.sizes[place]):
        while not job.costs[stock] and stock_left[stock] and any(left):
            filled = fill(job, left, job.sizes[stock], order)
            if not filled:
                break
            done(stock, filled)
    while any(left):
        longest = next(place for place, many in enumerate(left) if many)
        able = [
            place
            for place, size in enumerate(job.sizes)
            if size >= job.lengths[longest] and stock_left[place] != 0
        ]
        if not able:
            return None
        tried = [base] if base in able else able
        choices = [(place, fill(job, left, job.sizes[place], order)) for place in tried]
        stock, filled = min(choices, key=lambda one: (job.costs[one[0]] / job.used(one[1]), one[0]))
        done(_cheapest(job, job.used(filled), stock_left, stock), filled)
    return dict(made)


def _cheapest(job: Job, used: int, stock_left: list[int | None], stock: int) -> int:
    """The cheapest stock there is that holds so much; `stock` itself when none is cheaper."""
    able = [place for place, size in enumerate(job.sizes) if size >= used and stock_left[place] != 0]
    return min(able, key=lambda place: (job.costs[place], job.sizes[place]), default=stock)


def longest_first(job: Job, left: list[int], size: int, order: list[int]) -> Filled:
    """Each length in turn, as many as fit: first fit decreasing, seen from one stick."""
    taken = []
    for place in order:
        many = min(left[place], size // job.lengths[place])
        if many:
            taken.append((place, many))
            size -= many * job.lengths[place]
    return tuple(sorted(taken))


def fullest(job: Job, left: list[int], size: int, order: list[int]) -> Filled:
    """The first length that fits, and then what fills the stick best: every sum of pieces is looked at.

    Sums are bits of one whole number, a shift adds a piece to all of them at once.
    """
    first = next((place for place in order if left[place] and job.lengths[place] <= size), None)
    if first is None:
        return ()
    room = size - job.lengths[first]
    if room > _MOST_BITS:
        return longest_first(job, left, size, order)
    mask = (1 << (room + 1)) - 1
    reach = [1]
    parts: list[tuple[int, int]] = []
    for place, many in _halved(job, left, first, room, order):
        grown = reach[-1] | (reach[-1] << (job.lengths[place] * many)) & mask
        parts.append((place, many))
        reach.append(grown)
        if grown >> room & 1:  # full to the end
            break
    at = reach[-1].bit_length() - 1
    taken: Counter[int] = Counter({first: 1})
    for step in range(len(parts), 0, -1):
        if not reach[step - 1] >> at & 1:
            place, many = parts[step - 1]
            taken[place] += many
            at -= job.lengths[place] * many
    return tuple(sorted(taken.items()))


def _halved(job: Job, left: list[int], first: int, room: int, order: list[int]) -> Iterator[tuple[int, int]]:
    """Each length in parts of 1, 2, 4 ... pieces, so that every count up to what is left is a sum of parts."""
    given = 0
    for place in order:
        many = min(left[place] - (place == first), room // job.lengths[place])
        part = 1
        while many > 0 and given < _MOST_PARTS:
            part = min(part, many)
            yield place, part
            given += 1
            many -= part
            part *= 2


# --- piece by piece ---------------------------------------------------------------------------------------------


def _best_fit(job: Job, base: int) -> Answer | None:
    """Each piece, the longest first, where it leaves least; a new stick only when it fits in none."""
    stock_left = list(job.counts)
    sticks: list[tuple[int, Counter[int]]] = []
    free: list[tuple[int, int]] = []  # what is free on a stick, the stick; sorted
    for stock, count in enumerate(job.counts):
        if not job.costs[stock] and count:
            for _ in range(min(count, sum(job.demand))):
                insort(free, (job.sizes[stock], len(sticks)))
                sticks.append((stock, Counter()))
    for place, length in enumerate(job.lengths):
        for _ in range(job.demand[place]):
            found = bisect_left(free, (length, -1))
            if found < len(free):
                room, stick = free.pop(found)
            else:
                fits = [one for one, size in enumerate(job.sizes) if size >= length and stock_left[one] != 0]
                fits = [one for one in fits if job.costs[one]]
                if not fits:
                    return None
                stock = base if base in fits else min(fits, key=lambda one: job.costs[one])
                held = stock_left[stock]
                stock_left[stock] = held if held is None else held - 1
                room, stick = job.sizes[stock], len(sticks)
                sticks.append((stock, Counter()))
            sticks[stick][1][place] += 1
            insort(free, (room - length, stick))
    made: Answer = {}
    for stock, taken in sticks:
        if taken:
            key = (stock, tuple(sorted(taken.items())))
            made[key] = made.get(key, 0) + 1
    return cheapest_sticks(job, made)


def cheapest_sticks(job: Job, answer: Answer) -> Answer:
    """Each bought stick made the cheapest that holds what is on it, as far as there are such.

    >>> job = Job(lengths=(4,), demand=(1,), sizes=(10, 5), costs=(3, 2), counts=(None, None))
    >>> cheapest_sticks(job, {(0, ((0, 1),)): 1})
    {(1, ((0, 1),)): 1}
    """
    stock_left = list(job.counts)
    for (stock, _), times in answer.items():
        held = stock_left[stock]
        stock_left[stock] = held if held is None else held - times
    made: Answer = {}
    for (stock, filled), times in sorted(answer.items(), key=lambda one: -job.costs[one[0][0]]):
        for _ in range(times):
            best = _cheapest(job, job.used(filled), stock_left, stock)
            if (job.costs[best], job.sizes[best]) >= (job.costs[stock], job.sizes[stock]):
                best = stock
            for place, step in ((stock, 1), (best, -1)):
                held = stock_left[place]
                stock_left[place] = held if held is None else held + step
            made[best, filled] = made.get((best, filled), 0) + 1
    return made


def trimmed(job: Job, answer: Answer) -> Answer:
    """The same without pieces beyond those asked for, and without empty sticks."""
    surplus = [-many for many in job.demand]
    for (_, filled), times in answer.items():
        for place, many in filled:
            surplus[place] += many * times
    made: Answer = {}
    for (stock, filled), times in answer.items():
        for _ in range(times):
            kept = []
            for place, many in filled:
                dropped = min(many, max(surplus[place], 0))
                surplus[place] -= dropped
                if many > dropped:
                    kept.append((place, many - dropped))
            if kept:
                key = (stock, tuple(kept))
                made[key] = made.get(key, 0) + 1
    return made
