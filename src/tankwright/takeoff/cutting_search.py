"""The last gap: a constraint search (CP-SAT) that starts from the best plan known and from the bound."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from tankwright.takeoff.cutting_bounds import whole_bound
from tankwright.takeoff.cutting_model import Answer, Job, Work

if TYPE_CHECKING:
    from ortools.sat.python.cp_model import CpModel, IntVar

_MOST_CHOICES: Final = 20_000  # sticks times lengths: beyond it the search only spends time


@dataclass(frozen=True, slots=True, kw_only=True)
class Searched:
    """The best answer known now, the bound, and whether it was looked for at all."""

    answer: Answer
    bound: int
    tried: bool


def search(job: Job, known: Answer, bound: int, work: Work) -> Searched:
    """Look for a cheaper plan than `known`, or prove that there is none.

    Each stick is a slot that may be of any stock, or not used. A proof counts only when there are as many slots as
    any cheaper plan could use. The same job is searched in the same way each time.
    """
    now = job.cost(known)
    used = sum(known.values())
    on_hand = sum(count for count, cost in zip(job.counts, job.costs, strict=True) if count and not cost)
    ever = (now - 1) // min(cost for cost in job.costs if cost) + min(on_hand, sum(job.demand))
    slots = max(min(ever, _MOST_CHOICES // len(job.lengths)), used)
    if slots * len(job.lengths) > _MOST_CHOICES or work.left() <= 0:
        return Searched(answer=known, bound=bound, tried=False)
    return _searched(job, known, bound, work, (slots, ever))


def _searched(job: Job, known: Answer, bound: int, work: Work, sizes: tuple[int, int]) -> Searched:
    from ortools.sat.python import cp_model  # noqa: PLC0415 - heavy, and hardly any job comes so far

    slots, ever = sizes
    model = cp_model.CpModel()
    stocks, lengths = range(len(job.sizes)), range(len(job.lengths))
    is_of = [[model.new_bool_var("") for _ in stocks] for _ in range(slots)]
    has = [
        [
            model.new_int_var(0, min(job.demand[one], max(job.sizes) // job.lengths[one]), "")
            for one in lengths
        ]
        for _ in range(slots)
    ]
    for slot in range(slots):
        model.add(sum(is_of[slot]) <= 1)
        model.add(
            sum(job.lengths[one] * has[slot][one] for one in lengths)
            <= sum(job.sizes[stock] * is_of[slot][stock] for stock in stocks)
        )
    for one in lengths:
        model.add(
            sum(has[slot][one] for slot in range(slots)) == job.demand[one]
        )  # a surplus piece is left off
    for stock, count in enumerate(job.counts):
        if count is not None:
            model.add(sum(is_of[slot][stock] for slot in range(slots)) <= count)
    rank = [sum((stock + 1) * is_of[slot][stock] for stock in stocks) for slot in range(slots)]
    for slot in range(slots - 1):
        model.add(rank[slot] >= rank[slot + 1])  # sticks may be told in any order: one of them is enough
    whole = sum(job.costs[stock] * is_of[slot][stock] for slot in range(slots) for stock in stocks)
    model.add(whole >= bound)
    model.add(whole <= job.cost(known))
    model.minimize(whole)
    _hint(model, known, is_of, has)
    solver = cp_model.CpSolver()
    solver.parameters.random_seed = 1
    solver.parameters.num_workers = 2
    solver.parameters.interleave_search = (
        True  # workers take turns in a fixed order: the same answer each time
    )
    solver.parameters.max_time_in_seconds = work.left()
    status = solver.solve(model)
    answer = known
    if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        found: Answer = {}
        for slot in range(slots):
            way = {one: solver.value(has[slot][one]) for one in lengths}
            filled = tuple((one, many) for one, many in way.items() if many)
            if filled:
                stock = next(stock for stock in stocks if solver.value(is_of[slot][stock]))
                found[stock, filled] = found.get((stock, filled), 0) + 1
        answer = min(known, found, key=job.rank)
        if slots >= ever:
            bound = max(bound, whole_bound(solver.best_objective_bound))
    return Searched(answer=answer, bound=min(bound, job.cost(answer)), tried=True)


def _hint(model: CpModel, known: Answer, is_of: list[list[IntVar]], has: list[list[IntVar]]) -> None:
    """Start from the best plan known, its sticks in the order that the model asks for."""
    sticks = [(stock, dict(way)) for (stock, way), times in known.items() for _ in range(times)]
    sticks.sort(key=lambda stick: -stick[0])
    for slot, (kinds, pieces) in enumerate(zip(is_of, has, strict=True)):
        stock, way = sticks[slot] if slot < len(sticks) else (-1, {})
        for place, variable in enumerate(kinds):
            model.add_hint(variable, place == stock)
        for one, variable in enumerate(pieces):
            model.add_hint(variable, way.get(one, 0))
