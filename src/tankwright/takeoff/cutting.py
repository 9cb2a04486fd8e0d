"""Cutting pieces from stock lengths: the cheapest plan there is, or how far from it this one may be.

The steps go from quick to slow, and the first that proves the plan ends it: a portfolio of plain ways to cut, bounds
by length and by the mix of stock, column generation, the best whole numbers of its columns, a constraint search.
"""

from __future__ import annotations

from collections import Counter, deque
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from math import gcd
from typing import Final

from tankwright.finding import Finding, Severity
from tankwright.takeoff.cutting_bounds import beside_bound, cheapest_mix, length_bound
from tankwright.takeoff.cutting_columns import best_of_columns, bound_of, relaxed, rounded, too_large
from tankwright.takeoff.cutting_heuristics import quick_answer
from tankwright.takeoff.cutting_mistakes import mistakes_of, not_enough, not_proved, told_rounding
from tankwright.takeoff.cutting_mix import dived_from, quickly_from
from tankwright.takeoff.cutting_model import (
    Answer,
    Cut,
    CutPlan,
    Filled,
    Job,
    Objective,
    Pattern,
    Piece,
    Stock,
    Work,
    in_ten_thousandths,
    off_grid,
    on_grid,
)
from tankwright.takeoff.cutting_search import search
from tankwright.takeoff.cutting_worth import worthwhile
from tankwright.units import Metre, Second

_MOST_UNITS: Final = 400_000  # along a stick; a finer grid is made coarser
_TENTH: Final = 800  # units of the grid in a tenth of a millimetre
_FIRST: Final = 0.5
"""Share of the time that is kept back when the known ways to cut are tried first."""

_MISSING: Final = 1000  # how many times the dearest stick a stick that is not on hand weighs


def cut(
    pieces: Sequence[Piece],
    stocks: Sequence[Stock],
    *,
    kerf: Metre,
    trim: Metre = 0.0,
    seconds: Second = 10.0,
    clock: Callable[[], float] | None = None,
    progress: Callable[[str], None] | None = None,
) -> CutPlan:
    """Cut all pieces at the least cost; without prices from the least bought length (of one stock: fewest sticks).

    `kerf` is the width of a saw cut, `trim` what comes off each bought stick before the first piece, both ends and
    their cuts together; an offcut is taken as it is, costs nothing and is used first among equals. After `seconds` of
    `clock` the best plan so far is told with its gap. What cannot be done is told in `findings`, and there are no
    `patterns` then.

    >>> plan = cut([Piece(length=1.2, count=5)], [Stock(length=2.5)], kerf=0.003)
    >>> plan.sticks, plan.lower_bound, plan.proved_optimal
    (3, 3.0, True)
    """
    objective = _objective(stocks)
    wrong = mistakes_of(pieces, stocks, kerf, trim)
    if any(one.severity is Severity.PROBLEM for one in wrong):
        return CutPlan(objective=objective, kerf=kerf, trim=trim, findings=wrong)
    task = _Task(pieces, stocks, kerf, trim, objective)
    began = 0.0 if clock is None else clock()
    answer, bound, how = _solved(task.job, Work(until=began + seconds, clock=clock, progress=progress))
    return task.plan(answer, bound, how, wrong)


def _objective(stocks: Sequence[Stock]) -> Objective:
    bought = [stock for stock in stocks if not stock.offcut]
    if bought and all(stock.price is not None for stock in bought):
        return "cost"
    return "sticks" if len({stock.length for stock in bought}) <= 1 else "length"


def _solved(job: Job, work: Work) -> tuple[Answer, int, str]:
    """The best answer, the bound, and which step proved it ("" where none did)."""
    known = quick_answer(job)
    assert known is not None, "there is always a stock without end"

    def better(other: Answer | None) -> Answer:
        assert known is not None
        return known if other is None else min(known, other, key=job.rank)

    bound = max(length_bound(job), beside_bound(job))
    if job.cost(known) <= bound:
        return known, bound, "the length of the pieces"
    if len(job.sizes) > 1:
        work.tell("mix of stock")
        mix = cheapest_mix(job, work, bound)
        bound = mix.bound
        if mix.counts and job.cost(known) > bound:
            known = better(quickly_from(job, mix.counts))
        if job.cost(known) <= bound:
            return known, bound, "the mix of stock"
    if not too_large(job):
        work.tell("ways to cut")
        found = relaxed(job, known, work, job.cost(known))
        bound = max(bound, bound_of(found))
        known = better(rounded(job, found))
        if job.cost(known) > bound:
            work.tell("cutting the cheapest mix")
            mix = cheapest_mix(job, work, bound)
            bound = mix.bound
            short = replace(work, until=work.until - work.left() * _FIRST)
            known = better(dived_from(job, mix.counts, found.columns, short) if mix.counts else None)
        if job.cost(known) > bound:
            work.tell("whole sticks")
            short = replace(work, until=work.until - work.left() * _FIRST)
            known = better(best_of_columns(job, found.columns, short, (bound, job.cost(known)))[0])
        while job.cost(known) > bound and work.left() > 0:
            work.tell(f"is there a plan of {bound} of {job.cost(known)}")
            ways = worthwhile(job, found, bound, work)
            answer, least = best_of_columns(job, ways, work, (bound, bound)) if ways else (None, bound)
            known = better(answer)
            if least <= bound:
                break
            bound = least
        if job.cost(known) <= bound:
            return known, bound, "column generation"
    work.tell("search for the last gap")
    last = search(job, known, bound, work)
    return last.answer, last.bound, "search" if job.cost(last.answer) <= last.bound else ""


class _Task:
    """A job with the names of what it was made from."""

    def __init__(
        self, pieces: Sequence[Piece], stocks: Sequence[Stock], kerf: Metre, trim: Metre, objective: Objective
    ) -> None:
        self.kerf, self.trim, self.objective = kerf, trim, objective
        self.marks: dict[Metre, deque[str]] = {}
        for one in pieces:
            self.marks.setdefault(one.length, deque()).extend([one.label] * one.count)
        self.stocks = [one for one in stocks if one.count != 0]
        self.missing = all(one.count is not None for one in self.stocks)
        if self.missing:
            longest = max(self.stocks, key=lambda one: one.length)
            self.stocks.append(replace(longest, count=None, offcut=False, price=longest.price))
        saw, off = on_grid(kerf), on_grid(trim)
        self.lengths = sorted(self.marks, reverse=True)
        long = [on_grid(length) + saw for length in self.lengths]
        wide = [on_grid(one.length) + saw - (0 if one.offcut else off) for one in self.stocks]
        self.unit = gcd(*long, *wide)
        self.coarse = max(wide) // self.unit > _MOST_UNITS
        if self.coarse:
            self.unit = max(_TENTH, -(-max(wide) // _MOST_UNITS))
        costs = [self._cost(one) for one in self.stocks]
        self.cost_unit = gcd(*costs) or 1
        if self.missing:
            costs[-1] = max(*costs, 1) * _MISSING * max(1, len(costs))
        self.job = Job(
            lengths=tuple(-(-length // self.unit) for length in long),
            demand=tuple(len(self.marks[length]) for length in self.lengths),
            sizes=tuple(size // self.unit for size in wide),
            costs=tuple(cost // self.cost_unit for cost in costs),
            counts=tuple(one.count for one in self.stocks),
        )

    def _cost(self, stock: Stock) -> int:
        if stock.offcut:
            return 0
        if self.objective == "cost":
            return in_ten_thousandths(stock.price or 0.0)
        return 1 if self.objective == "sticks" else on_grid(stock.length)

    def plan(self, answer: Answer, bound: int, how: str, told: tuple[Finding, ...]) -> CutPlan:
        """The plan of an answer, with the owner's names, or why there is none."""
        job = self.job
        empty = CutPlan(objective=self.objective, kerf=self.kerf, trim=self.trim)
        if self.missing:
            last = len(self.stocks) - 1
            more = sum(times for (stock, _), times in answer.items() if stock == last)
            if more:
                return replace(empty, findings=(*told, not_enough(self.stocks[last], more)))
        value, least = job.cost(answer) * self.cost_unit, bound * self.cost_unit
        proved = value <= least
        unit = {"cost": 1e-4, "sticks": 1.0, "length": off_grid(1)}[self.objective]
        patterns = tuple(self._patterns(answer))
        bought = [one for one in patterns if not one.stock.offcut]
        plan = replace(
            empty,
            patterns=patterns,
            sticks=sum(one.times for one in bought),
            offcuts=sum(one.times for one in patterns if one.stock.offcut),
            length=_tidy(sum(one.times * one.stock.length for one in bought)),
            cost=_tidy(value * unit) if self.objective == "cost" else None,
            value=_tidy(value * unit),
            lower_bound=_tidy(min(least, value) * unit),
            proved_optimal=proved,
            how=how,
        )
        notes = (() if proved else (not_proved(plan),)) + (
            (told_rounding(off_grid(self.unit)),) if self.coarse else ()
        )
        return replace(plan, findings=told + notes)

    def _patterns(self, answer: Answer) -> Iterator[Pattern]:
        """Sticks with their marks. A mark goes on one place of a pattern as long as it lasts, so that sticks that
        are cut alike are marked alike too, as far as can be."""
        marks = {length: deque(row) for length, row in self.marks.items()}
        made: Counter[tuple[int, tuple[Cut, ...]]] = Counter()
        for (stock, filled), times in sorted(answer.items(), key=self._order):
            places = [
                [Cut(length=length, label=marks[length].popleft()) for _ in range(times)]
                for place, many in filled
                for length in [self.lengths[place]] * many
            ]
            made.update((stock, cuts) for cuts in zip(*places, strict=True))
        for (stock, cuts), times in made.items():
            yield self._pattern(self.stocks[stock], cuts, times)

    def _order(self, one: tuple[tuple[int, Filled], int]) -> tuple[bool, int, int, Filled]:
        (stock, filled), times = one
        return self.stocks[stock].offcut, -self.job.sizes[stock], -times, filled

    def _pattern(self, stock: Stock, cuts: tuple[Cut, ...], times: int) -> Pattern:
        saw = on_grid(self.kerf)
        whole, cut_off = on_grid(stock.length), sum(on_grid(one.length) for one in cuts)
        rest = whole - cut_off - saw * len(cuts) - (0 if stock.offcut else on_grid(self.trim))
        return Pattern(
            stock=stock, pieces=cuts, times=times,
            rest=_tidy(off_grid(max(rest, 0))), waste=_tidy(off_grid(whole - cut_off)),
        )  # fmt: skip


def _tidy(value: float) -> float:
    """Without the last bits of a binary sum."""
    return float(f"{value:.12g}")
