"""The steps by themselves: bounds are bounds, ways that are left out are not needed, the search proves what is left."""

from __future__ import annotations

from math import ceil

from hypothesis import given, settings
from hypothesis import strategies as st

from tankwright.takeoff.cutting_bounds import beside_bound, cheapest_mix, length_bound
from tankwright.takeoff.cutting_columns import best_of_columns, relaxed, rounded
from tankwright.takeoff.cutting_heuristics import fullest, longest_first, quick_answer
from tankwright.takeoff.cutting_mix import dived_from, quickly_from
from tankwright.takeoff.cutting_model import Answer, Job, Work
from tankwright.takeoff.cutting_search import search
from tankwright.takeoff.cutting_worth import worthwhile

WORK = Work(until=20.0)


@st.composite
def jobs(draw: st.DrawFn) -> Job:
    lengths = sorted(draw(st.sets(st.integers(3, 40), min_size=1, max_size=5)), reverse=True)
    demand = draw(st.lists(st.integers(1, 5), min_size=len(lengths), max_size=len(lengths)))
    others = draw(st.lists(st.tuples(st.integers(20, 60), st.integers(1, 12)), max_size=2))
    offcut = draw(st.lists(st.tuples(st.integers(10, 40), st.integers(1, 2)), max_size=1))
    sizes = [40, *(size for size, _ in others), *(size for size, _ in offcut)]
    costs = [7, *(cost for _, cost in others), *(0 for _ in offcut)]
    counts = [None, *(None for _ in others), *(count for _, count in offcut)]
    return Job(
        lengths=tuple(lengths),
        demand=tuple(demand),
        sizes=tuple(sizes),
        costs=tuple(costs),
        counts=tuple(counts),
    )


def holds(job: Job, answer: Answer) -> bool:
    got = [0] * len(job.demand)
    for (stock, filled), times in answer.items():
        assert job.used(filled) <= job.sizes[stock]
        for place, many in filled:
            got[place] += many * times
    return tuple(got) == job.demand


@settings(max_examples=40, deadline=None)
@given(jobs())
def test_no_step_makes_a_plan_under_any_bound_and_the_last_ones_agree(job: Job) -> None:
    quick = quick_answer(job)
    assert quick is not None
    assert holds(job, quick)
    found = relaxed(job, quick, WORK, enough=10**9)
    bounds = [length_bound(job), beside_bound(job), cheapest_mix(job, WORK).bound, ceil(found.bound)]
    best = search(job, quick, max(bounds), WORK)
    assert holds(job, best.answer)
    assert max(bounds) <= job.cost(best.answer) <= job.cost(quick)
    assert best.bound == job.cost(best.answer)
    near = rounded(job, found)
    assert near is not None
    assert holds(job, near)
    assert job.cost(near) >= job.cost(best.answer)
    ways = worthwhile(job, found, job.cost(best.answer), WORK)
    assert ways is not None
    answer, bound = best_of_columns(job, ways, WORK, (max(bounds), job.cost(best.answer)))
    assert answer is not None
    assert holds(job, answer)
    assert job.cost(answer) == job.cost(best.answer) == bound


@settings(max_examples=20, deadline=None)
@given(jobs())
def test_where_no_plan_is_as_cheap_as_wanted_that_is_proved(job: Job) -> None:
    quick = quick_answer(job)
    assert quick is not None
    least = job.cost(search(job, quick, 0, WORK).answer)
    found = relaxed(job, quick, WORK, enough=10**9)
    if least > ceil(found.bound):
        ways = worthwhile(job, found, least - 1, WORK)
        assert ways is not None
        answer, bound = best_of_columns(job, ways, WORK, (0, least - 1)) if ways else (None, least)
        assert answer is None
        assert bound == least


def test_the_fullest_stick_beats_taking_the_longest_each_time() -> None:
    job = Job(lengths=(6, 5, 4), demand=(1, 1, 2), sizes=(14,), costs=(1,), counts=(None,))
    order = [0, 1, 2]
    assert job.used(longest_first(job, [1, 1, 2], 14, order)) == 11
    assert job.used(fullest(job, [1, 1, 2], 14, order)) == 14


def test_a_search_without_time_changes_nothing() -> None:
    job = Job(lengths=(6, 5), demand=(3, 3), sizes=(11,), costs=(1,), counts=(None,))
    known = {(0, ((0, 1),)): 3, (0, ((1, 1),)): 3}
    late = search(job, known, 3, Work(until=0.0))
    assert (late.answer, late.bound, late.tried) == (known, 3, False)


def test_a_mix_that_holds_the_pieces_is_cut_and_one_that_does_not_is_not() -> None:
    job = Job(lengths=(9, 7, 5, 3), demand=(2, 2, 2, 2), sizes=(16, 10), costs=(5, 4), counts=(None, None))
    fitting = dived_from(job, (3, 0), (), WORK)
    assert fitting is not None
    assert holds(job, fitting)
    assert job.cost(fitting) == 15
    assert dived_from(job, (2, 1), (), WORK) is None
    assert quickly_from(job, (2, 1)) is None
    assert dived_from(job, (3, 0), (), Work(until=0.0)) is None
