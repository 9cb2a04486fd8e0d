"""The numbers of a test sheet: every rung can be reached, most near ones in one touch, and words keep what was read."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankwright.web.water_tests import WaterTest, entry_words, water_tests
from tankwright.workspace.entries import SCALES, Entry, EntryKind, read_value

TESTS = (*water_tests("metric"), water_tests("US")[-1])
each = pytest.mark.parametrize("test", TESTS, ids=lambda test: test.name)
AT = datetime(2026, 8, 2, tzinfo=UTC)


def entry(kind: EntryKind, value: float | None = None, unit: str = "", note: str = "") -> Entry:
    return Entry(
        id=1,
        key="k",
        tank="A3",
        kind=kind,
        value=value,
        unit=unit,
        note=note,
        happened=AT,
        recorded=AT,
        who="Ada",
    )


@each
def test_a_ladder_goes_up_within_what_can_be_stored_and_the_usual_number_is_on_it(test: WaterTest) -> None:
    assert list(test.ladder) == sorted(set(test.ladder))
    assert SCALES[test.kind].low <= test.ladder[0]
    assert test.ladder[-1] <= SCALES[test.kind].high
    assert test.usual in test.ladder
    assert test.unit == "" or test.unit in SCALES[test.kind].units


@each
def test_every_number_shown_reads_back_as_itself(test: WaterTest) -> None:
    for value in test.ladder:
        assert read_value(test.kind, f"{test.words(value)} {test.unit}") == (value, test.unit)


@given(test=st.sampled_from(TESTS), value=st.floats(0, 200))
def test_steps_and_chips_are_other_numbers_of_the_ladder_nearest_first_to_the_steps(
    test: WaterTest, value: float
) -> None:
    down, up = test.steps(value)
    assert down is None or down < value
    assert up is None or up > value
    chips = test.chips(value)
    assert list(chips) == sorted(set(chips))
    assert len(chips) == 8
    assert not {value, down, up} & set(chips)
    assert set(chips) <= set(test.ladder)


def test_a_ph_within_half_a_unit_of_the_last_is_at_most_two_touches_away() -> None:
    ph = TESTS[0]
    for last in (6.0, 7.0, 7.4):
        reached = {last, *ph.steps(last), *ph.chips(last)}
        assert {round(last + tenth / 10, 1) for tenth in range(-5, 6)} <= reached


def test_a_temperature_is_told_in_the_readers_unit_whatever_it_was_read_in() -> None:
    metric, us = water_tests("metric")[-1], water_tests("US")[-1]
    assert metric.value_of(entry("temperature", 77.0, "°F")) == 25.0
    assert us.value_of(entry("temperature", 25.0, "°C")) == 77.0
    assert us.value_of(entry("temperature", 77.3, "°F")) == 77.3


@pytest.mark.parametrize(
    ("made", "words"),
    [
        (entry("ph", 7.0), "pH 7.0"),
        (entry("ph", 7.25), "pH 7.25"),
        (entry("gh", 8.0, "°dH"), "GH 8 °dH"),
        (entry("no2", 0.05, "mg/L"), "NO₂ 0.05 mg/L"),
        (entry("temperature", 25.0, "°C"), "25.0 °C"),
        (entry("spawn"), "Spawn"),
        (entry("spawn", 120.0), "Spawn: 120"),
        (entry("dead", 1.0), "Dead fish: 1"),
        (entry("looked", note="one hides"), "Looked, all well. one hides"),
        (entry("note", note="torn fin"), "torn fin"),
    ],
)
def test_an_entry_in_words(made: Entry, words: str) -> None:
    assert entry_words(made, "metric") == words
