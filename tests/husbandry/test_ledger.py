"""The number held of one stock in one place: counts pin, guesses have bounds, what is missing is told."""

from __future__ import annotations

from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankwright.husbandry.ledger import Folded, Step, fold, guess_bounds, held_after


def flow(at: int, quantity: int, low: int | None = None, high: int | None = None) -> Step:
    return Step(kind="flow", at=at, recorded=at, event=f"e{at}", quantity=quantity, low=low, high=high)


def count(at: int, quantity: int) -> Step:
    return Step(kind="count", at=at, recorded=at, event=f"e{at}", quantity=quantity)


def guess(at: int, quantity: int, low: int | None = None, high: int | None = None) -> Step:
    return Step(kind="estimate", at=at, recorded=at, event=f"e{at}", quantity=quantity, low=low, high=high)


def derived(folded: Folded) -> list[tuple[str, int]]:
    return [(one.account, one.quantity) for one in folded.derived]


def test_a_count_pins_the_number_held_whatever_was_said_before() -> None:
    steps = [flow(1, 40), flow(2, -3), count(3, 30), flow(4, -1)]
    folded = fold(steps)
    assert (folded.held, folded.low, folded.high) == (29, 29, 29)
    assert derived(folded) == [("lost", 7)]


def test_a_death_typed_in_later_takes_its_fish_from_the_lost_and_leaves_todays_number() -> None:
    before = fold([flow(1, 40), count(5, 30)])
    after = fold([flow(1, 40), flow(3, -4), count(5, 30)])
    assert (before.held, derived(before)) == (30, [("lost", 10)])
    assert (after.held, derived(after)) == (30, [("lost", 6)])


def test_the_first_count_of_guessed_fry_is_a_wrong_guess_as_far_as_its_bounds_go_and_a_loss_beyond() -> None:
    fry = flow(1, 200, 150, 260)
    assert derived(fold([fry, count(9, 170)])) == [("estimate", 30)]
    assert derived(fold([fry, count(9, 150)])) == [("estimate", 50)]
    assert derived(fold([fry, count(9, 120)])) == [("estimate", 50), ("lost", 30)]
    assert derived(fold([fry, count(9, 300)])) == [("estimate", -60), ("found", -40)]


def test_the_second_count_knows_no_guess_any_more() -> None:
    assert derived(fold([flow(1, 200, 150, 260), count(5, 170), count(9, 165)])) == [
        ("estimate", 30),
        ("lost", 5),
    ]


def test_a_guess_without_bounds_is_taken_to_be_right_to_half_and_double() -> None:
    assert guess_bounds(201, None, None) == (100, 402)
    folded = fold([guess(1, 200)])
    assert (folded.held, folded.low, folded.high) == (200, 100, 400)
    assert derived(folded) == [
        ("estimate", -100),
        ("found", -100),
    ]  # at least a hundred are there that nobody knew of


def test_a_guess_that_agrees_with_a_count_says_nothing_new() -> None:
    folded = fold([flow(1, 40), guess(3, 45, 35, 60)])
    assert (folded.held, folded.estimated, folded.derived) == (40, False, ())


def test_a_guess_that_a_known_number_does_not_fit_counts_as_seen() -> None:
    folded = fold([flow(1, 40), guess(3, 20, 15, 25)])
    assert (folded.held, folded.low, folded.high) == (20, 15, 25)
    assert derived(folded) == [("estimate", 5), ("lost", 15)]


def test_taking_more_than_was_guessed_and_no_more_than_its_most_shows_that_the_guess_was_low() -> None:
    folded = fold([flow(1, 200, 150, 260), flow(2, -230)])
    assert (folded.held, folded.shortages) == (0, ())
    assert derived(folded) == [("estimate", -30)]


def test_taking_more_than_the_most_that_was_guessed_is_a_shortage_of_what_is_over() -> None:
    folded = fold([flow(1, 200, 150, 260), flow(2, -270)])
    assert folded.held == -10
    assert [(one.since, one.until, one.least) for one in folded.shortages] == [(2, None, -10)]


def test_the_least_of_a_guess_is_never_below_nothing() -> None:
    folded = fold([flow(1, 200, 150, 260), flow(2, -180)])
    assert (folded.low, folded.held, folded.high) == (0, 20, 80)


def test_when_the_last_of_guessed_fish_went_the_guess_is_over() -> None:
    folded = fold([flow(1, 200, 150, 260), flow(2, -200)])
    assert (folded.low, folded.held, folded.high) == (0, 0, 0)


def test_a_shortage_has_its_window_and_ends_with_what_mends_it() -> None:
    folded = fold([flow(1, 5), flow(3, -7), flow(4, -1), flow(8, 10)])
    assert folded.held == 7
    assert [(one.since, one.until, one.least, one.event) for one in folded.shortages] == [(3, 8, -3, "e3")]


def test_within_one_moment_nothing_is_short() -> None:
    out = Step(kind="flow", at=5, recorded=1, event="a", quantity=-4)
    come = Step(kind="flow", at=5, recorded=2, event="b", quantity=4)
    assert fold([out, come]).shortages == ()


def test_a_count_of_none_ends_since_and_a_later_fish_begins_it_anew() -> None:
    assert fold([flow(1, 5), count(3, 0)]).since is None
    assert fold([flow(1, 5), count(3, 0), flow(7, 2)]).since == 7


STEPS = st.lists(
    st.one_of(
        st.builds(
            lambda q, a, b: (flow, (q, q - a, q + b)), st.integers(-20, 30), st.integers(0, 9), st.integers(0, 9)
        ),
        st.builds(lambda q: (flow, (q,)), st.integers(-20, 30)),
        st.builds(lambda q: (count, (q,)), st.integers(0, 40)),
        st.builds(
            lambda q, a, b: (guess, (q, max(q - a, 0), q + b)), st.integers(0, 40), st.integers(0, 9), st.integers(0, 9)
        ),
    ),
    max_size=14,
).map(lambda made: [make(at, *numbers) for at, (make, numbers) in enumerate(made, 1)])  # fmt: skip


@given(STEPS, st.integers(0, 14))
def test_folding_in_two_goes_is_folding_in_one(steps: list[Step], cut: int) -> None:
    first = fold(steps[:cut])
    second = fold(steps[cut:], first)
    whole = fold(steps)
    assert (second.held, second.low, second.high, second.since) == (
        whole.held,
        whole.low,
        whole.high,
        whole.since,
    )
    assert first.derived + second.derived == whole.derived
    done = tuple(one for one in first.shortages if one.until is not None)
    assert done + second.shortages == whole.shortages


@given(STEPS)
def test_what_flowed_less_what_is_derived_is_what_is_held(steps: list[Step]) -> None:
    folded = fold(steps)
    flowed = sum(one.quantity for one in steps if one.kind == "flow")
    assert folded.held == flowed - sum(one.quantity for one in folded.derived)


@given(STEPS)
def test_bounds_hold_the_number_and_are_below_nothing_only_in_a_shortage(steps: list[Step]) -> None:
    for _, after in held_after(steps):
        assert after.low <= after.held <= after.high
        assert (after.held < 0) == (after.short is not None)
        assert after.low >= 0 or not after.estimated


@given(st.lists(STEPS.filter(bool).map(lambda steps: steps[0]), max_size=5))
def test_the_order_in_which_steps_come_to_the_book_does_not_matter(firsts: list[Step]) -> None:
    steps = [
        Step(kind=one.kind, at=at, recorded=at, event=f"e{at}", quantity=one.quantity, low=one.low, high=one.high)
        for at, one in enumerate(firsts)
    ]  # fmt: skip
    whole = fold(steps)
    assert all(fold(order) == whole for order in permutations(steps))


@st.composite
def _truths(draw: st.DrawFn) -> tuple[list[Step], int]:
    """What was said of fish that really were there, guesses with bounds that hold the truth; and how many are left."""
    there, steps = 0, []
    for at in range(1, draw(st.integers(1, 12))):
        what = draw(st.sampled_from(("come", "go", "count", "guess")))
        under, over, off = draw(st.integers(0, 9)), draw(st.integers(0, 9)), draw(st.integers(-9, 9))
        if what == "come":
            came = draw(st.integers(1, 40))
            said = min(max(came + off, came - under, 0), came + over)
            steps.append(flow(at, said, max(came - under, 0), came + over))
            there += came
        elif what == "go":
            # one is always left behind: that the last of a guess went is taken for the end of all
            gone = draw(st.integers(0, max(there - 1, 0)))
            there -= gone
            steps.append(flow(at, -gone))
        elif what == "count":
            steps.append(count(at, there))
        else:
            said = min(max(there + off, there - under, 0), there + over)
            steps.append(guess(at, said, max(there - under, 0), there + over))
    return steps, there


@given(_truths())
def test_bounds_that_are_true_stay_true_and_nothing_is_said_to_be_lost(truth: tuple[list[Step], int]) -> None:
    steps, there = truth
    over = False
    for step, after in held_after(steps):
        over = over or (step.kind == "flow" and step.quantity < 0 and after.held == 0)
    if over:
        return  # fewer were said to be there than went: the book takes the rest for gone, until they are counted
    folded = fold(steps)
    assert folded.low <= there <= folded.high
    assert not any(one.account in {"lost", "found"} for one in folded.derived)
    assert folded.shortages == ()


@pytest.mark.parametrize("quantity", [0, 1, 10_000_000])
def test_numbers_of_any_size_are_kept(quantity: int) -> None:
    assert fold([flow(1, quantity), count(2, quantity)]).held == quantity
