"""Tests of water as ranges: what a kit, a card and a meter say, in whatever unit they were written."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankwright.husbandry.facts import water_tested
from tankwright.husbandry.records import Observed
from tankwright.husbandry.register import Holding, Stock
from tankwright.husbandry.water_quantities import NAMES, QUANTITIES, in_si, quantity_called, range_of
from tankwright.husbandry.water_readings import places_of_line, reads_of, usual_gap, water_series

from .happenings import FIRST, as_events, day
from .waters import noted, readings, series_of


def test_every_quantity_has_units_that_are_read_and_names_that_lead_to_it() -> None:
    for one in QUANTITIES.values():
        assert one.told(one.to_si(7.0)) == pytest.approx(7.0)
        assert quantity_called(one.key.upper()) is one
    assert {quantity_called(name) for name in NAMES} == set(QUANTITIES.values())


@given(
    st.sampled_from(sorted(QUANTITIES)),
    st.floats(0.0, 60.0),
    st.sampled_from(["", "double", "meter", "card"]),
)
def test_a_reading_lies_in_its_range_and_no_range_is_empty(key: str, value: float, method: str) -> None:
    low, high = range_of(QUANTITIES[key], value, method=method)
    assert low <= value <= high or value == 0.0
    assert low < high
    assert key == "temperature" or low >= 0.0


def test_the_fields_of_a_card_leave_no_gap() -> None:
    for one in QUANTITIES.values():
        spans = [range_of(one, field) for field in one.fields]
        for (_, high), (low, _) in pairwise(spans[1:]):
            assert high == pytest.approx(low)


def test_nothing_seen_is_a_range_and_not_nothing() -> None:
    assert range_of(QUANTITIES["no2"], 0.0) == (0.0, 0.05)
    assert range_of(QUANTITIES["kh"], 0.0) == (0.0, 1.0)


def test_a_reading_between_the_fields_of_a_card_was_read_by_a_finer_way() -> None:
    assert range_of(QUANTITIES["no3"], 12.0) == (9.5, 14.5)
    assert range_of(QUANTITIES["no3"], 12.0, method="photometer") == (11.0, 13.0)


def test_a_drop_is_the_same_in_any_unit() -> None:
    degrees = readings("kh", [(0, 4.0)])[0]
    event = as_events([water_tested("p", FIRST, (Observed(quantity="alkalinity", value=71.39, unit="ppm"),))])
    (series,), _ = water_series(reads_of(event))
    assert series.quantity.key == "kh", "alkalinity and carbonate hardness are one series"
    assert series.readings[0].high == pytest.approx(degrees.high, rel=1e-3)
    assert series.readings[0].low == pytest.approx(degrees.low, rel=1e-3)


def test_bounds_that_were_noted_go_before_those_of_the_kit() -> None:
    seen = (
        Observed(quantity="no3", value=20.0, unit="mg/L", low=18.0, high=22.0),
        Observed(quantity="no2", value=None, high=0.05),
    )
    (nitrite, nitrate), _ = water_series(reads_of(as_events([water_tested("p", FIRST, seen)])))
    assert (nitrate.last.low, nitrate.last.high) == pytest.approx((0.018, 0.022))
    assert (nitrite.last.value, nitrite.last.high) == pytest.approx((5e-5, 5e-5))
    assert nitrite.last.low == 0.0


@pytest.mark.parametrize(
    ("seen", "told"),
    [
        (Observed(quantity="no3", value=20.0, unit="furlong"), "furlong"),
        (Observed(quantity="no3", value=20.0, unit="°C"), "°C"),
        (Observed(quantity="ph", value=72.0), "72"),
        (Observed(quantity="ph", value=math.nan), "nan"),
        (Observed(quantity="temperature", value=250.0, unit="°C"), "250 °C"),
    ],
)
def test_what_cannot_be_read_is_told_and_left_out(seen: Observed, told: str) -> None:
    good = Observed(quantity="gh", value=8.0, unit="°dH")
    found, wrong = water_series(reads_of(as_events([water_tested("p", FIRST, (seen, good))])))
    assert [one.quantity.key for one in found] == ["gh"]
    assert [one.code for one in wrong] == ["TREND-15"]
    assert told in wrong[0].text


def test_what_is_no_test_of_water_is_passed_over() -> None:
    assert water_series(
        reads_of(as_events([water_tested("p", FIRST, (Observed(quantity="count", value=3.0),))]))
    ) == ((), ())


def test_series_are_in_the_order_of_time_whatever_order_they_come_in() -> None:
    drafts = noted("ph", [(5, 7.2), (1, 7.0), (3, 7.1)])
    one = series_of(drafts)[0]
    assert [reading.value for reading in one.readings] == [7.0, 7.1, 7.2]
    assert one.days() == (0.0, 2.0, 4.0)
    assert one.last.value == 7.2
    assert [reading.value for reading in one.since(day(3))] == [7.1, 7.2]


def test_the_usual_gap_is_the_middle_one_and_two_tests_of_a_day_are_one() -> None:
    assert usual_gap(readings("ph", [(0, 7.0), (7, 7.0), (7.2, 7.0), (14, 7.0), (60, 7.0)])) == 7.0
    assert usual_gap(readings("ph", [(0, 7.0), (0.1, 7.0)])) is None


def test_the_water_of_a_line_is_that_of_the_places_its_fish_are_in() -> None:
    stocks = [
        Stock(id=name, label=name, kind="group", line=line, opened=FIRST)
        for name, line in (("a", "x"), ("b", "y"))
    ]
    held = [
        Holding(stock=stock, place=place, held=n, low=n, high=n)
        for stock, place, n in (("a", "p", 3), ("a", "q", 0), ("b", "r", 2))
    ]
    assert places_of_line("x", stocks, held) == ("p",)


def test_units_of_another_kind_have_no_number() -> None:
    with pytest.raises(ValueError, match="kg"):
        in_si(1.0, "kg", "temperature")
