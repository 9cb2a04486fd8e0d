"""How many fish to test, and what could still be so after none was ill: exact counts, print, what holds in between."""

from __future__ import annotations

import csv
import math
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankwright.husbandry.disinfection import FACTS, facts_about
from tankwright.husbandry.freedom import (
    chance_to_find,
    could_still_be,
    fish_to_test,
    fish_to_test_formula,
)

PUBLISHED = Path(__file__).parent.parent / "published" / "sample_sizes.csv"
SHARES = {"half": 0.5, "quarter": 0.25, "tenth": 0.1, "twentieth": 0.05, "fiftieth": 0.02, "hundredth": 0.01}
ROWS = [
    (int(row["group"]), SHARES[name], int(row[name]))
    for row in csv.DictReader(PUBLISHED.read_text("utf-8").splitlines()[1:])
    for name in SHARES
]


def exactly_missed(group: int, ill: int, tested: int) -> Fraction:
    return Fraction(math.comb(group - ill, tested), math.comb(group, tested))


@pytest.mark.parametrize(("group", "share", "wanted"), ROWS)
def test_the_number_to_test_is_the_printed_one(group: int, share: float, wanted: int) -> None:
    assert fish_to_test(group, share=share).fish == wanted


@pytest.mark.parametrize(("group", "share", "wanted"), [row for row in ROWS if row[0] > 20])
def test_the_printed_formula_rounded_up_gives_the_same_but_in_the_smallest_group(
    group: int, share: float, wanted: int
) -> None:
    assert math.ceil(fish_to_test_formula(group, fish_to_test(group, share=share).ill)) == wanted


@pytest.mark.parametrize(("fish", "share"), [(30, 0.10), (60, 0.05), (150, 0.02)])
def test_the_usual_thirty_sixty_and_hundred_and_fifty_find_a_tenth_a_twentieth_a_fiftieth(
    fish: int, share: float
) -> None:
    """Practice of inspections, quoted in de Blas and others (2020), Frontiers in Veterinary Science 7, 253."""
    wanted = fish_to_test(1_000_000, share=share).fish
    assert wanted is not None
    assert wanted in {fish, fish - 1}  # the practice rounds 29, 59, 149 to the next ten


@pytest.mark.parametrize(("group", "ill", "sensitivity", "fish"), [(200, 10, 0.8, 64), (100, 10, 0.6, 43)])
def test_a_test_that_misses_asks_for_more_fish(group: int, ill: int, sensitivity: float, fish: int) -> None:
    assert fish_to_test(group, ill=ill, sensitivity=sensitivity).fish == fish


@pytest.mark.parametrize(("tested", "percent"), [(10, "26"), (20, "14"), (30, "9.5"), (60, "4.9")])
def test_what_could_still_be_after_none_was_ill_is_the_printed_percentage(tested: int, percent: str) -> None:
    digits = len(percent.partition(".")[2])
    assert f"{100 * could_still_be(tested).share:.{digits}f}" == percent


@given(st.integers(1, 60), st.data())
def test_the_number_to_test_is_the_least_that_will_do(group: int, data: st.DataObject) -> None:
    ill = data.draw(st.integers(1, group))
    fish = fish_to_test(group, ill=ill).fish
    assert fish is not None
    assert exactly_missed(group, ill, fish) <= Fraction(1, 20)
    assert fish == 1 or exactly_missed(group, ill, fish - 1) > Fraction(1, 20)


@given(st.integers(1, 60), st.data())
def test_chances_are_the_whole_fractions(group: int, data: st.DataObject) -> None:
    ill, tested = data.draw(st.integers(1, group)), data.draw(st.integers(0, group))
    assert chance_to_find(group, ill, tested) == pytest.approx(
        float(1 - exactly_missed(group, ill, tested)), abs=1e-12
    )


@given(st.integers(2, 40), st.floats(0.05, 0.999), st.data())
def test_a_poorer_test_never_finds_more(group: int, sensitivity: float, data: st.DataObject) -> None:
    ill, tested = data.draw(st.integers(1, group)), data.draw(st.integers(1, group))
    found = chance_to_find(group, ill, tested, sensitivity)
    assert found <= chance_to_find(group, ill, tested) + 1e-12
    one_by_one = sum(
        math.comb(ill, k)
        * math.comb(group - ill, tested - k)
        / math.comb(group, tested)
        * (1 - (1 - sensitivity) ** k)
        for k in range(max(0, tested - group + ill), min(ill, tested) + 1)
    )
    assert found == pytest.approx(one_by_one, abs=1e-9)


@given(st.integers(1, 50), st.data())
def test_one_more_ill_fish_than_could_still_be_would_have_been_found(group: int, data: st.DataObject) -> None:
    tested = data.draw(st.integers(1, group))
    ill = could_still_be(tested, group=group).ill
    assert ill is not None
    assert ill == 0 or exactly_missed(group, ill, tested) > Fraction(1, 20)
    assert ill == group or exactly_missed(group, ill + 1, tested) <= Fraction(1, 20)


@given(st.integers(1, 200), st.integers(0, 5), st.floats(0.3, 1.0))
def test_more_found_or_a_poorer_test_leaves_more_that_could_be(
    tested: int, positive: int, sensitivity: float
) -> None:
    positive = min(positive, tested)
    here = could_still_be(tested, positive=positive, sensitivity=sensitivity).share
    assert 0.0 < here <= 1.0
    assert here >= could_still_be(tested, positive=positive).share
    if positive:
        assert here >= could_still_be(tested, positive=positive - 1, sensitivity=sensitivity).share


def test_a_share_that_is_no_whole_number_of_fish_says_so() -> None:
    odd, even = fish_to_test(50, share=0.05), fish_to_test(100, share=0.05)
    assert (odd.ill, odd.rounded, even.ill, even.rounded) == (2, True, 5, False)
    assert fish_to_test(12, share=0.1).number_instead
    assert not fish_to_test(12, ill=1).number_instead


def test_a_test_that_misses_too_many_has_no_number_that_will_do() -> None:
    hopeless = fish_to_test(10, ill=1, sensitivity=0.5)
    assert hopeless.fish is None
    assert hopeless.detects == pytest.approx(0.5)


@pytest.mark.parametrize("call", [
    lambda: fish_to_test(0, ill=1), lambda: fish_to_test(10, ill=11), lambda: fish_to_test(10),
    lambda: fish_to_test(10, share=0.1, ill=1), lambda: fish_to_test(10, share=1.5),
    lambda: fish_to_test(10, ill=1, confidence=1.0), lambda: fish_to_test(10, ill=1, sensitivity=0.0),
    lambda: chance_to_find(10, 1, 11), lambda: could_still_be(5, positive=6), lambda: could_still_be(5, group=4),
    lambda: could_still_be(5, sensitivity=0.0), lambda: fish_to_test_formula(10, 0),
    lambda: could_still_be(0, positive=1),
])  # fmt: skip
def test_what_cannot_be_is_refused(call: object) -> None:
    with pytest.raises(ValueError, match=r"\w"):
        call()  # type: ignore[operator]


def test_nobody_tested_says_nothing() -> None:
    assert could_still_be(0).share == 1.0
    assert could_still_be(0, group=7).ill == 7


def test_every_fact_of_disinfecting_has_a_source_and_none_calls_anything_safe() -> None:
    for one in FACTS:
        assert one.source
        assert "safe" not in one.text.lower()
    assert facts_about() == FACTS
