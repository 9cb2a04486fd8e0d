"""Pieces from stock lengths: published optima, plans against brute force, offcuts, prices, refusals."""

from __future__ import annotations

import csv
from collections import Counter
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tankwright.finding import Severity
from tankwright.takeoff.cutting import cut
from tankwright.takeoff.cutting_columns import relaxed
from tankwright.takeoff.cutting_model import CutPlan, Job, Piece, Stock, Work

PUBLISHED = Path(__file__).parents[1] / "published" / "cutting_instances.csv"


def instances() -> dict[str, tuple[int, int, list[tuple[int, int]]]]:
    """Name: stock, optimum, (length, count)."""
    found: dict[str, tuple[int, int, list[tuple[int, int]]]] = {}
    for row in csv.DictReader(PUBLISHED.read_text("utf-8").splitlines()[1:]):
        entry = found.setdefault(row["instance"], (int(row["stock"]), int(row["optimum"]), []))
        entry[2].append((int(row["length"]), int(row["count"])))
    return found


def in_millimetres(lengths: list[tuple[int, int]]) -> list[Piece]:
    return [Piece(length=length / 1000, count=count) for length, count in lengths]


def check_every_piece(plan: CutPlan, pieces: list[Piece]) -> None:
    """Each piece and its mark exactly once, no stick over its length, the sums right."""
    wanted: Counter[tuple[float, str]] = Counter()
    for one in pieces:
        wanted[one.length, one.label] += one.count
    got: Counter[tuple[float, str]] = Counter()
    for pattern in plan.patterns:
        stock, trim = pattern.stock, 0.0 if pattern.stock.offcut else plan.trim
        lengths = [one.length for one in pattern.pieces]
        for one in pattern.pieces:
            got[one.length, one.label] += pattern.times
        assert sum(lengths) + plan.kerf * (len(lengths) - 1) + trim <= stock.length + 1e-9
        assert pattern.waste == pytest.approx(stock.length - sum(lengths), abs=1e-9)
        left = stock.length - trim - sum(lengths) - plan.kerf * len(lengths)
        assert pattern.rest == pytest.approx(max(left, 0.0), abs=1e-9)
    assert got == wanted
    bought = [one for one in plan.patterns if not one.stock.offcut]
    assert plan.sticks == sum(one.times for one in bought)
    assert plan.length == pytest.approx(sum(one.times * one.stock.length for one in bought))
    assert plan.lower_bound <= plan.value
    assert plan.proved_optimal == (plan.lower_bound == plan.value)


@pytest.mark.parametrize("name", sorted(instances()))
def test_a_published_instance_is_proved_at_its_published_optimum(name: str) -> None:
    size, optimum, lengths = instances()[name]
    pieces = in_millimetres(lengths)
    plan = cut(pieces, [Stock(length=size / 1000)], kerf=0.0)
    assert (plan.sticks, plan.lower_bound, plan.proved_optimal) == (optimum, optimum, True)
    check_every_piece(plan, pieces)


def test_column_generation_reaches_the_published_bound_of_the_chvatal_instance() -> None:
    size, _, lengths = instances()["Chvatal"]
    job = Job(
        lengths=tuple(length for length, _ in lengths), demand=tuple(count for _, count in lengths),
        sizes=(size,), costs=(1,), counts=(None,),
    )  # fmt: skip
    bound = relaxed(job, (), Work(until=60.0), enough=10**9).bound
    assert bound <= 452.25  # a true bound, in whole numbers: never over it
    assert float(bound) == pytest.approx(452.25, abs=1e-8)


# --- any job ----------------------------------------------------------------------------------------------------

LENGTHS = st.lists(st.tuples(st.integers(20, 900), st.integers(1, 4)), min_size=1, max_size=6)


@settings(max_examples=60, deadline=None)
@given(
    LENGTHS, st.integers(0, 40), st.integers(0, 30), st.sampled_from(["plain", "two", "priced", "offcuts"])
)
def test_every_piece_is_cut_once_and_no_stick_is_overfull(
    lengths: list[tuple[int, int]], kerf: int, trim: int, kind: str
) -> None:
    pieces = [
        Piece(length=length / 1000, count=count, label=f"p{place % 3}")
        for place, (length, count) in enumerate(lengths)
    ]
    stocks = {
        "plain": [Stock(length=1.0)],
        "two": [Stock(length=1.0), Stock(length=0.6)],
        "priced": [Stock(length=1.0, price=5.0), Stock(length=0.6, price=3.3), Stock(length=1.5, price=7.0)],
        "offcuts": [Stock(length=1.0), Stock(length=0.45, count=2, offcut=True)],
    }[kind]
    plan = cut(pieces, stocks, kerf=kerf / 1000, trim=trim / 1000)
    assert [one.code for one in plan.findings if one.severity is Severity.PROBLEM] == []
    check_every_piece(plan, pieces)


def best_by_trying_all(lengths: tuple[int, ...], stocks: tuple[tuple[int, int], ...], kerf: int) -> int:
    """The least cost: every set of pieces on one stick is tried for the longest piece left."""

    @cache
    def least(left: tuple[int, ...]) -> int:
        if not left:
            return 0
        return min(
            cost + least(rest)
            for size, cost in stocks
            for taken, rest in sets_with(left[0], left[1:])
            if sum(taken) + kerf * (len(taken) - 1) <= size
        )

    return least(tuple(sorted(lengths, reverse=True)))


def sets_with(first: int, others: tuple[int, ...]) -> Iterator[tuple[tuple[int, ...], tuple[int, ...]]]:
    for chosen in range(1 << len(others)):
        taken = (first, *(one for place, one in enumerate(others) if chosen >> place & 1))
        yield taken, tuple(one for place, one in enumerate(others) if not chosen >> place & 1)


@settings(max_examples=40, deadline=None)
@given(
    st.lists(st.integers(15, 100), min_size=1, max_size=7),
    st.lists(st.tuples(st.integers(60, 130), st.integers(1, 9)), min_size=0, max_size=2),
    st.integers(0, 5),
)
def test_a_small_job_costs_what_trying_everything_finds(
    lengths: list[int], others: list[tuple[int, int]], kerf: int
) -> None:
    stocks = ((100, 7), *others)
    plan = cut(
        [Piece(length=one / 1000) for one in lengths],
        [Stock(length=size / 1000, price=float(cost)) for size, cost in stocks], kerf=kerf / 1000,
    )  # fmt: skip
    assert plan.proved_optimal
    assert plan.cost == best_by_trying_all(tuple(lengths), stocks, kerf)


def test_without_prices_the_bought_length_is_least() -> None:
    plan = cut([Piece(length=0.9, count=3)], [Stock(length=2.0), Stock(length=1.0)], kerf=0.003)
    assert (plan.objective, plan.length, plan.sticks, plan.proved_optimal) == ("length", 3.0, 2, True)


def test_the_dear_long_stick_is_left_in_the_shop() -> None:
    pieces = [Piece(length=1.9, count=4)]
    cheap = cut(pieces, [Stock(length=4.0, price=8.0), Stock(length=2.0, price=3.0)], kerf=0.003)
    assert [(one.stock.length, one.times) for one in cheap.patterns] == [(2.0, 4)]
    dear = cut(pieces, [Stock(length=4.0, price=5.0), Stock(length=2.0, price=3.0)], kerf=0.003)
    assert [(one.stock.length, one.times) for one in dear.patterns] == [(4.0, 2)]
    assert (dear.cost, dear.proved_optimal) == (10.0, True)


def test_the_saw_cut_takes_its_width_but_not_behind_the_last_piece() -> None:
    stock = [Stock(length=1.003)]
    assert cut([Piece(length=0.5, count=2)], stock, kerf=0.003).sticks == 1
    assert cut([Piece(length=0.5, count=2)], stock, kerf=0.0031).sticks == 2


def test_sixty_fourths_of_an_inch_fit_exactly() -> None:
    piece, stock = 0.0254 * (23 + 7 / 8), 0.0254 * (96 - 1 / 8)
    plan = cut([Piece(length=piece, count=4)], [Stock(length=stock)], kerf=0.0254 / 8)
    assert (plan.sticks, plan.patterns[0].rest) == (1, 0.0)


def test_trim_comes_off_bought_sticks_and_not_off_offcuts() -> None:
    pieces = [Piece(length=1.0, count=2)]
    stocks = [Stock(length=1.0, offcut=True, count=2)]
    assert cut(pieces, [*stocks, Stock(length=2.0)], kerf=0.0, trim=0.01).sticks == 0
    assert cut(pieces, [Stock(length=2.0)], kerf=0.0, trim=0.01).sticks == 2
    assert cut(pieces, [Stock(length=2.0)], kerf=0.0).sticks == 1


def test_offcuts_are_used_first_and_no_more_than_there_are() -> None:
    stocks = [Stock(length=3.0), Stock(length=1.1, count=2, offcut=True)]
    plan = cut([Piece(length=1.0, count=4)], stocks, kerf=0.003)
    assert (plan.offcuts, plan.sticks, plan.proved_optimal) == (2, 1, True)
    only_one = cut([Piece(length=1.0, count=1)], stocks, kerf=0.003)
    assert (only_one.offcuts, only_one.sticks) == (1, 0)


def test_more_offcuts_never_cost_more() -> None:
    pieces = [Piece(length=length / 1000, count=3) for length in (310, 455, 620, 780)]
    costs = [
        cut(pieces, [Stock(length=2.0), Stock(length=0.8, count=have, offcut=True)], kerf=0.003).value
        for have in range(5)
    ]
    assert costs == sorted(costs, reverse=True)


def test_sticks_that_are_cut_alike_are_marked_alike_where_they_can_be() -> None:
    pieces = [Piece(length=0.5, count=3, label="a"), Piece(length=0.5, count=3, label="b")]
    plan = cut(pieces, [Stock(length=1.0)], kerf=0.0)
    assert [(one.times, [piece.label for piece in one.pieces]) for one in plan.patterns] == [(3, ["a", "b"])]


def test_the_same_job_is_cut_the_same_way_each_time() -> None:
    size, _, lengths = instances()["Chvatal"]
    plans = [cut(in_millimetres(lengths), [Stock(length=size / 1000)], kerf=0.001) for _ in range(2)]
    assert plans[0] == plans[1]


def test_a_plan_that_is_not_proved_says_by_how_much_it_may_be_off() -> None:
    pieces = [Piece(length=0.4 + place * 0.0017, count=3) for place in range(40)]
    spent = iter(range(10**6))
    plan = cut(
        pieces, [Stock(length=2.44), Stock(length=3.05)], kerf=0.0032, seconds=1.0, clock=lambda: float(next(spent))
    )  # fmt: skip
    check_every_piece(plan, pieces)
    assert not plan.proved_optimal
    assert 0.0 < plan.gap < 0.05
    assert [one.code for one in plan.findings] == ["CUT-10"]
    assert plan.findings[0].numbers[0][1].value == plan.gap


def test_lengths_without_a_common_measure_are_rounded_the_safe_way_and_it_is_told() -> None:
    plan = cut([Piece(length=1 / 3, count=3)], [Stock(length=1.0)], kerf=1e-7)
    assert [one.code for one in plan.findings] == ["CUT-11"]
    assert plan.sticks == 2  # three thirds and two saw cuts are over a metre


def test_who_watches_is_told_the_steps() -> None:
    told: list[str] = []
    size, _, lengths = instances()["Chvatal"]
    cut(in_millimetres(lengths), [Stock(length=size / 1000)], kerf=0.0, progress=told.append)
    assert told[0] == "ways to cut"
