"""A breeding report: parents, the spawn that is taken for theirs, numbers at their days, the water then."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest
from tests.husbandry.happenings import as_events, day

from tankwright.husbandry.brood_report import WATER_BEFORE, BroodReport, Test, brood_report, water_then
from tankwright.husbandry.facts import Tally, came, counted, spawned
from tankwright.husbandry.records import Draft
from tankwright.husbandry.register import BreedingSet, OriginShare, Stock

SETS = {"pair": BreedingSet(id="pair", members=(), opened=day(-50), label="the pair")}
BROOD = Stock(
    id="b", label="B", kind="brood", opened=day(5), born=day(5).date(), origin=(OriginShare(breeding_set="pair"),)
)  # fmt: skip
BORN = came(
    "born",
    "b",
    "nursery",
    Tally(number=40, low=30, high=50, method="by eye"),
    day(5),
    details={"set": "pair"},
)
EGGS = Tally(number=60, low=50, high=80)


def spawn(at: float, eggs: Tally | None = EGGS) -> Draft:
    return spawned("a", day(at), breeding_set="pair", eggs=eggs, method="pair")


def report(*drafts: Draft, stock: Stock = BROOD, now: float = 100) -> BroodReport:
    return brood_report(stock, SETS, as_events(sorted(drafts, key=lambda one: one.happened)), day(now))


def test_the_last_spawn_before_it_was_born_is_taken_and_said_to_be_so() -> None:
    found = report(spawn(-20), spawn(1), spawn(8), BORN)
    assert found.spawn is not None
    assert found.spawn.happened == day(1)
    assert (found.spawn_known, found.days_to_hatch) == ("the last before", 4.0)
    assert found.parents == (SETS["pair"],)
    assert found.share is not None
    assert (round(found.share.share, 3), round(found.share.low, 3), found.share.high) == (0.667, 0.375, 1.0)


def test_a_spawn_written_down_with_the_birth_is_that_of_the_brood() -> None:
    events = [replace(one, batch="both") for one in as_events([spawn(5), BORN])]
    assert brood_report(BROOD, SETS, events, day(9)).spawn_known == "as born"


def test_no_spawn_is_made_up() -> None:
    for drafts in ((BORN,), (spawn(-60), BORN), (spawn(9), BORN)):
        found = report(*drafts)
        assert (found.spawn, found.spawn_known, found.eggs, found.share) == (None, "not known", None, None)


def test_numbers_are_counted_or_between_counts_or_not_known() -> None:
    found = report(BORN, counted("b", "nursery", 30, day(35)), counted("b", "nursery", 20, day(75)))
    at_30, at_60 = found.numbers
    assert (at_30.how, at_30.number) == ("counted", 30)
    assert at_60.how == "between counts"
    assert at_60.number == pytest.approx(30 - 10 * 30 / 40)
    assert (at_60.low, at_60.high) == (20, 30)
    late = report(BORN, counted("b", "nursery", 30, day(35)))
    assert (late.numbers[1].how, late.numbers[1].number) == ("not known", None)
    assert report(BORN, now=20).numbers[0].why == "that day is still to come"


def test_a_brood_of_which_nobody_knows_when_it_was_born_has_no_numbers() -> None:
    found = report(stock=replace(BROOD, born=None, origin=()))
    assert [one.why for one in found.numbers] == ["nobody knows when it was born"] * 2
    assert found.origin is None


def seen(quantity: str, at: float, value: float | None, unit: str = "") -> Test:
    return Test(quantity=quantity, happened=day(at), value=value, unit=unit)


def test_the_water_is_the_last_test_before_and_the_ends_after() -> None:
    rows = water_then(
        [seen("ph", -9, 7.0), seen("ph", -2, 7.2), seen("ph", 5, 7.6), seen("ph", 9, 6.9), seen("kh", 3, 4.0, "°dH")],
        day(0), day(30),
    )  # fmt: skip
    ph, kh = rows
    assert (ph.before, ph.days_before, ph.tests, ph.least, ph.most) == (7.2, 2.0, 2, 6.9, 7.6)
    assert (kh.before, kh.days_before, kh.tests, kh.unit) == (None, None, 1, "°dH")


def test_water_of_long_ago_and_readings_without_a_number_are_left_out() -> None:
    old = -WATER_BEFORE / timedelta(days=1) - 1
    assert water_then([seen("ph", old, 7.0), seen("ph", 3, None), seen("ph", 99, 7.0)], day(0), day(30)) == ()
