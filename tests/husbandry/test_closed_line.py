"""Closed lines: printed sizes, regular systems, the recursion over stocks and sets, and what holds in between."""

from __future__ import annotations

import csv
import itertools
import math
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankwright.husbandry.closed_line import (
    LineState,
    closed_line,
    effective_size,
    generations_left,
    least_breeders,
    next_generation,
    rotation,
    state_of,
)
from tankwright.husbandry.kinship import kinships
from tankwright.husbandry.pedigree import pedigree_of
from tankwright.husbandry.tagged import tagged

from .families import founder, made, member, stock

PRINTED = Path(__file__).parent.parent / "published" / "effective_size_usfws.csv"
FISH = st.integers(1, 40)


@pytest.mark.parametrize("row", list(csv.DictReader(PRINTED.read_text("utf-8").splitlines()[1:])), ids=str)
def test_the_formula_is_the_printed_one(row: dict[str, str]) -> None:
    found = effective_size(int(row["males"]), int(row["females"]))
    if row["effective_size"]:
        assert f"{found.formula_size:.2f}" == row["effective_size"]
    if row["loss_percent"]:
        assert f"{100 * found.formula_loss:g}" == row["loss_percent"]


@pytest.mark.parametrize(
    ("males", "females", "loss", "formula"),
    [(25, 25, 0.0099, 0.0100), (5, 5, 0.0475, 0.0500), (1, 4, 0.1324, 0.1562), (1, 1, 0.1910, 0.2500)],
)
def test_the_formula_overstates_the_loss_of_small_sets(
    males: int, females: int, loss: float, formula: float
) -> None:
    """The loss of one pair, 0.191, is Wright's for brother with sister: 1 - (1 + sqrt 5) / 4."""
    found = effective_size(males, females)
    assert found.loss == pytest.approx(loss, abs=5e-5)
    assert found.formula_loss == pytest.approx(formula, abs=5.1e-5)


def test_brother_with_sister_loses_what_wright_says() -> None:
    assert effective_size(1, 1).loss == pytest.approx(1 - (1 + math.sqrt(5)) / 4, abs=1e-12)


@pytest.mark.parametrize(
    ("males", "females", "after"),
    [
        (2, 4, (0.364, 0.592, 0.832)),
        (5, 5, (0.218, 0.387, 0.623)),
        (10, 10, (0.117, 0.219, 0.390)),
        (25, 25, (0.049, 0.095, 0.181)),
    ],
)
def test_closed_lines_after_5_10_and_20_generations(
    males: int, females: int, after: tuple[float, ...]
) -> None:
    """Worked apart from this program."""
    states = closed_line(males, females, 20)
    assert tuple(round(states[n].inbreeding, 3) for n in (5, 10, 20)) == after


@given(FISH, FISH)
def test_a_line_of_stocks_and_sets_goes_the_same_way(males: int, females: int) -> None:
    stocks = [founder("g0", kind="brood", kinship=0.0)]
    sets = []
    for n in range(5):
        sets.append(made(f"s{n}", member(f"g{n}", "m", males), member(f"g{n}", "f", females)))
        stocks.append(stock(f"g{n + 1}", f"s{n}"))
    found = kinships(pedigree_of(stocks, sets))
    for n, state in enumerate(closed_line(males, females, 4)):
        own, within = found.inbreeding(f"g{n + 1}"), found.within(f"g{n + 1}")
        assert own is not None
        assert within is not None
        assert own.value == pytest.approx(state.inbreeding, abs=1e-12)
        assert within.value == pytest.approx(state.kinship, abs=1e-12)


@given(FISH, FISH)
def test_the_loss_is_where_a_long_line_settles(males: int, females: int) -> None:
    states = closed_line(males, females, 60)
    last, before = 1 - states[-1].kinship, 1 - states[-2].kinship
    assert 1 - last / before == pytest.approx(effective_size(males, females).loss, rel=1e-6)


@given(FISH, FISH)
def test_more_breeders_lose_less_and_inbreeding_never_falls(males: int, females: int) -> None:
    assert effective_size(males + 1, females).loss <= effective_size(males, females).loss + 1e-12
    states = closed_line(males, females, 12)
    assert all(a.inbreeding <= b.inbreeding + 1e-12 for a, b in itertools.pairwise(states))


@given(FISH, FISH, st.floats(0.05, 0.9))
def test_the_generation_after_those_that_are_left_is_over_the_limit(
    males: int, females: int, limit: float
) -> None:
    state = next_generation(LineState(), males, females)
    left = generations_left(state, males, females, limit=limit)
    assert left is not None
    states = closed_line(males, females, left + 1)
    assert states[left].inbreeding <= limit + 1e-9
    assert states[left + 1].inbreeding > limit


def test_twenty_five_of_each_keep_within_one_in_a_hundred() -> None:
    assert (least_breeders(0.01), least_breeders(0.005)) == (25, 50)


@pytest.mark.parametrize(
    ("lines", "printed"),
    [
        (2, [0, 0.125, 0.1875, 0.25, 0.3125]),
        (4, [0, 0.0625, 0.0938, 0.125, 0.1562]),
        (6, [0, 0.0625, 0.0938, 0.1211, 0.1465]),
    ],
)
def test_rotation_of_pairs(lines: int, printed: list[float]) -> None:
    """Worked apart from this program."""
    assert [one.inbreeding for one in rotation(lines, 4)] == pytest.approx(printed, abs=5.1e-5)


@pytest.mark.parametrize(("lines", "males", "females"), [(1, 2, 3), (2, 1, 1), (3, 2, 1), (5, 1, 4)])
def test_rotation_goes_as_stocks_and_sets_do(lines: int, males: int, females: int) -> None:
    stocks = [founder(f"l{k}g0", kind="brood", kinship=0.0) for k in range(lines)]
    sets = []
    for n in range(5):
        for k in range(lines):
            come = k if n == 0 else (k - 1) % lines  # the first broods are of founders of their own line
            sets.append(
                made(f"l{k}s{n}", member(f"l{come}g{n}", "m", males), member(f"l{k}g{n}", "f", females))
            )
            stocks.append(stock(f"l{k}g{n + 1}", f"l{k}s{n}"))
    found = kinships(pedigree_of(stocks, sets))
    for n, state in enumerate(rotation(lines, 3, males=males, females=females)):
        own, within = found.inbreeding(f"l0g{n + 2}"), found.within(f"l0g{n + 2}")
        assert own is not None
        assert within is not None
        assert own.value == pytest.approx(state.inbreeding, abs=1e-12)
        assert within.value == pytest.approx(state.kinship, abs=1e-12)


@pytest.mark.parametrize("size", [8, 16, 24])
def test_a_ring_of_neighbours_loses_what_kimura_and_crow_say(size: int) -> None:
    """Circular mating, M. Kimura and J. F. Crow (1963), Genetical Research 4: about (pi / (2 N + 4))^2 at last."""
    sires, dams = [-1] * size, [-1] * size
    generations = 16 * size
    for n in range(generations):
        for k in range(size):  # each has two young, one with either neighbour
            sires.append(n * size + k)
            dams.append(n * size + (k + 1) % size)
    inbred = tagged(sires, dams).inbreeding[::size]
    loss = 1 - (1 - inbred[-1]) / (1 - inbred[-2])
    assert loss == pytest.approx((math.pi / (2 * size + 4)) ** 2, rel=0.03)  # they call it the leading term


@pytest.mark.parametrize(
    "call", [lambda: effective_size(0, 3), lambda: closed_line(2, 0, 3), lambda: rotation(0, 2)]
)
def test_sets_that_have_no_young_are_refused(call: object) -> None:
    with pytest.raises(ValueError, match="have no young"):
        call()  # type: ignore[operator] - one of the above


@pytest.mark.parametrize("share", [0.0, 1.0, -0.1])
def test_a_loss_that_is_no_share_is_refused(share: float) -> None:
    with pytest.raises(ValueError, match="a share a generation"):
        least_breeders(share)


def test_a_line_that_is_not_computed_has_no_state() -> None:
    assert state_of(None, None) is None
