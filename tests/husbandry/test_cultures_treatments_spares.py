"""Beside the round: hatches by their water, withdrawals that hold fish back, doses that thin, spares that run short."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankwright.husbandry.cultures import FOODS, SHRIMP, cultures, ended, shrimp_hatch, started
from tankwright.husbandry.facts import left
from tankwright.husbandry.kinds import shape_faults
from tankwright.husbandry.records import Draft
from tankwright.husbandry.spares import counted_spares, spare_findings, spares
from tankwright.husbandry.treatments import (
    dilution_findings,
    dose_left,
    leaving_findings,
    treated,
    treatments,
    withheld,
)

from .happenings import as_events, day

# --- live food -------------------------------------------------------------------------------------------------------


# Source: limits of FAO Fisheries Technical Paper 361 (1996): 25 to 28 °C, never above 33; 5 to 35 g/L of salt, none
# above about 85; at most 2 g/L of cysts, 5 below 20 L.
@pytest.mark.parametrize(("water", "ready", "worst"), [
    ({}, (18.0, 24.0), None), ({"celsius": 26.5, "salt": 25.0, "cysts": 2.0}, (18.0, 24.0), None),
    ({"celsius": 25.0}, (18.0, 24.0), None), ({"celsius": 28.0}, (18.0, 24.0), None),
    ({"celsius": 33.0}, (18.0, 24.0), "note"), ({"celsius": 33.1}, None, "problem"),
    ({"celsius": 24.9}, (24.0, 48.0), "note"), ({"celsius": 19.0}, None, "not computed"),
    ({"salt": 4.0}, (18.0, 24.0), "warning"), ({"salt": 36.0}, (18.0, 24.0), "warning"),
    ({"salt": 90.0}, None, "problem"),
    ({"cysts": 5.0}, (18.0, 24.0), None), ({"cysts": 5.1}, (18.0, 24.0), "warning"),
    ({"cysts": 2.1, "litres": 20.0}, (18.0, 24.0), "warning"),
])  # fmt: skip
def test_a_hatch_is_timed_by_its_water_and_beyond_what_is_known_no_time_is_told(
    water: dict[str, float], ready: tuple[float, float] | None, worst: str | None
) -> None:
    hatch = shrimp_hatch(**water)  # type: ignore[arg-type]
    assert hatch.ready == ready
    assert [one.severity.value for one in hatch.findings] == ([] if worst is None else [worst])
    assert {one.code for one in hatch.findings} <= {"ROUND-08"}


def test_a_culture_goes_from_not_yet_to_past_its_best() -> None:
    (one,) = cultures(as_events([started("c", SHRIMP, day(0), ready=(18.0, 24.0), lasts=8.0)]))
    hours = [0, 17, 18, 23, 24, 32, 33]
    assert [one.state(day(hour / 24)) for hour in hours] == [
        "not yet", "not yet", "may be ready", "may be ready", "ready", "ready", "past its best",
    ]  # fmt: skip


def test_a_culture_without_a_known_time_has_no_state_and_one_that_ended_is_gone() -> None:
    begun = started("c", SHRIMP, day(0)), started("d", "microworms", day(0), ready=(72.0, 168.0))
    assert all(shape_faults(one) == () for one in begun)
    assert [(one.id, one.state(day(1))) for one in cultures(as_events(begun))] == [
        ("c", None),
        ("d", "not yet"),
    ]
    assert cultures(as_events([begun[0], ended("c", SHRIMP, day(1))])) == ()


def test_every_food_has_times_that_can_be_and_says_whose_they_are() -> None:
    for one in FOODS:
        assert 0 < one.ready[0] <= one.ready[1]
        assert one.lasts > 0
        assert one.source


# --- treatments ------------------------------------------------------------------------------------------------------


def course(**more: object) -> Draft:
    return treated("p", "x", day(0), **{"days": 5, "withdrawal_days": 10, **more})  # type: ignore[arg-type]


def test_nothing_leaves_until_course_and_withdrawal_are_over() -> None:
    (one,) = treatments(as_events([course()]))
    assert [one.state(day(n)) for n in (0, 4.9, 5, 14.9, 15)] == [
        "running",
        "running",
        "withdrawal",
        "withdrawal",
        "over",
    ]
    for when, held in ((1, True), (14, True), (15, False)):
        found = list(leaving_findings([left("s", "p", 2, day(when), "sold")], [one]))
        assert [each.code for each in found] == (["ROUND-09"] if held else [])
    assert list(leaving_findings([left("s", "q", 2, day(1), "sold")], [one])) == [], "of another tank"
    assert withheld([one], day(-1), place="p") == (), "before it began"


def test_a_treatment_of_one_stock_holds_back_that_one_wherever_it_is() -> None:
    (one,) = treatments(as_events([course(stock="s")]))
    assert withheld([one], day(1), place="q", stock="s") == (one,)
    assert withheld([one], day(1), place="p", stock="t") == ()


def test_a_withdrawal_nobody_said_is_not_taken_for_none() -> None:
    (one,) = treatments(as_events([course(withdrawal_days=None)]))
    assert one.free is None
    assert one.state(day(1)) == "running"


@given(st.lists(st.floats(0, 1), max_size=6), st.floats(0, 2), st.floats(0, 30))
def test_a_dose_only_ever_gets_less_and_in_whatever_order(
    shares: list[float], drip: float, days: float
) -> None:
    told = dose_left(shares, drip, days)
    assert 0.0 <= told <= 1.0
    assert dose_left(reversed(shares), drip, days) == pytest.approx(told)
    assert dose_left([*shares, 0.5], drip, days) == pytest.approx(0.5 * told)


def test_a_dose_by_hand() -> None:
    assert dose_left([0.25, 0.25]) == pytest.approx(0.5625)
    assert dose_left([], 0.1, 7) == pytest.approx(math.exp(-0.7))
    with pytest.raises(ValueError, match="share"):
        dose_left([1.2])


def test_a_water_change_in_the_midst_of_a_course_is_told_with_what_is_left() -> None:
    change = Draft(kind="cleaned", happened=day(1), place="p", details={"what": "water", "share": 0.5})
    before = Draft(kind="cleaned", happened=day(-1), place="p", details={"what": "water", "share": 0.9})
    events = as_events([before, course(), change])
    (one,) = dilution_findings(treatments(events), events, day(2))
    assert (one.code, "50 %" in one.text) == ("ROUND-12", True)
    assert list(dilution_findings(treatments(events), events, day(6))) == [], "the course is over"


# --- spares ----------------------------------------------------------------------------------------------------------


def test_the_last_count_counts_and_a_least_number_stays_until_another_is_said() -> None:
    counts = [counted_spares("drippers", 8, day(0), least=6), counted_spares("drippers", 5, day(1)),
              counted_spares("carbon", 1, day(0))]  # fmt: skip
    assert all(shape_faults(one) == () for one in counts)
    found = spares(as_events(counts))
    assert [(one.what, one.kept, one.least, one.is_short) for one in found] == [
        ("drippers", 5, 6, True), ("carbon", 1, None, False),
    ]  # fmt: skip
    assert [one.code for one in spare_findings(found)] == ["ROUND-10"]


def test_a_part_of_which_none_is_kept_and_none_wanted_leaves_the_list() -> None:
    assert (
        spares(as_events([counted_spares("x", 2, day(0), least=1), counted_spares("x", 0, day(1), least=0)]))
        == ()
    )
