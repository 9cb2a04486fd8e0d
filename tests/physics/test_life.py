"""Weights of fish, hatching of their eggs and of brine shrimp, against print."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankwright.physics.life import (
    ZEBRAFISH_BASE_TEMPERATURE,
    artemia_cysts,
    artemia_hatch,
    hatch_time,
    length_weight,
)
from tankwright.physics.ranges import OutsideValidRange

HOUR, ICE = 3600.0, 273.15


def hours_by_kimmel(at_standard: float, celsius: float) -> float:
    heat_sum = at_standard * HOUR / 0.055
    return hatch_time(celsius + ICE, heat_sum=heat_sum) / HOUR


def test_the_printed_example_of_the_zebrafish() -> None:
    # Kimmel et al. (1995): the 20-somite stage, 19 h at 28.5 °C, takes 23.6 h at 25 °C and 15 h at 33 °C
    assert round(hours_by_kimmel(19, 25), 1) == 23.6
    assert round(hours_by_kimmel(19, 33)) == 15


@pytest.mark.parametrize(("celsius", "first", "last"), [(28.5, 48, 72), (26, 56, 84), (25, 60, 89)])
def test_zebrafish_hatch_within_the_published_hours(celsius: float, first: float, last: float) -> None:
    # the same: hatching at 48 to 72 h at 28.5 °C; the others by its equation
    assert round(hours_by_kimmel(48, celsius)) == first
    assert round(hours_by_kimmel(72, celsius)) == last
    assert first < hatch_time(celsius + ICE) / HOUR < last


def test_the_zebrafish_as_a_heat_sum() -> None:
    # the same equation stands still at 0.57 / 0.055 = 10.36 °C; 48 to 72 h are 36 to 55 degree-days over it
    assert round(ZEBRAFISH_BASE_TEMPERATURE - ICE, 2) == 10.36
    days = hatch_time(301.15) / 86400
    assert 36 < days * (301.15 - ZEBRAFISH_BASE_TEMPERATURE) < 55


@given(st.floats(20, 29.9), st.floats(5, 15))
def test_any_other_fish_has_its_own_two_constants(celsius: float, base: float) -> None:
    own = {"base_temperature": base + ICE, "heat_sum": 5e6, "coldest": 293.15, "warmest": 303.15}
    here = hatch_time(celsius + ICE, **own)
    assert here * (celsius - base) == pytest.approx(5e6)
    assert hatch_time(celsius + 0.1 + ICE, **own) < here


@pytest.mark.parametrize("celsius", [24.9, 33.1])
def test_zebrafish_are_refused_outside_the_temperatures_measured(celsius: float) -> None:
    with pytest.raises(OutsideValidRange) as caught:
        hatch_time(celsius + ICE)
    assert caught.value.quantity == "water_temperature"
    assert (caught.value.low, caught.value.high) == (298.15, 306.15)


def test_eggs_that_would_stand_still_are_refused() -> None:
    with pytest.raises(OutsideValidRange) as caught:
        hatch_time(299.15, base_temperature=300.15)
    assert caught.value.quantity == "base_temperature"


def test_a_fish_of_ten_centimetres_weighs_its_condition() -> None:
    # Froese (2006): mean condition factor K = 100 a L^(b - 3), and K = 100 W / L^3 in g and cm
    for a, b in ((0.01, 3.04), (0.00533, 3.136), (0.02, 2.9)):
        weight = length_weight(0.10, coefficient=a, exponent=b) * 1000
        assert 100 * weight / 10**3 == pytest.approx(100 * a * 10 ** (b - 3))


@given(st.floats(0.001, 1.9), st.floats(1.001, 1.05), st.floats(2.5, 3.5))
def test_a_longer_fish_is_heavier_by_its_power(length: float, times: float, exponent: float) -> None:
    ratio = length_weight(length * times, exponent=exponent) / length_weight(length, exponent=exponent)
    assert ratio == pytest.approx(times**exponent)


@pytest.mark.parametrize("exponent", [2.49, 3.51])
def test_shapes_outside_those_expected_of_fish_are_refused(exponent: float) -> None:
    # Froese (2006): 2.5 < b < 3.5
    with pytest.raises(OutsideValidRange):
        length_weight(0.05, exponent=exponent)


def test_crowding_of_brine_shrimp_eggs_as_printed() -> None:
    # FAO Fisheries Technical Paper 361: up to 5 g/L below 20 L, at most 2 g/L in larger vessels
    assert artemia_cysts(0.001) == pytest.approx(0.005)
    assert artemia_cysts(0.0199) == pytest.approx(0.0995)
    assert artemia_cysts(0.020) == pytest.approx(0.040)


def test_a_gram_of_good_eggs_gives_the_printed_number() -> None:
    # Treece (2000): 200 to 300 thousand a gram
    gram = {"cysts": 1e-3, "water_volume": 1e-3, "water_temperature": 300.15, "salinity": 20.0}
    assert 200e3 <= artemia_hatch(**gram) <= 300e3
    assert artemia_hatch(**(gram | {"cysts": 2e-3})) == 2 * artemia_hatch(**gram)


@pytest.mark.parametrize(
    ("change", "quantity"),
    [({"water_temperature": 297.15}, "water_temperature"), ({"water_temperature": 306.2}, "water_temperature"),
     ({"salinity": 0.0}, "salinity"), ({"salinity": 85.0}, "salinity"), ({"cysts": 5.1e-3}, "cysts"),
     ({"cysts": 0.05, "water_volume": 0.020}, "cysts")],
)  # fmt: skip
def test_eggs_set_up_against_the_printed_conditions_are_refused(
    change: dict[str, float], quantity: str
) -> None:
    gram = {"cysts": 1e-3, "water_volume": 1e-3, "water_temperature": 300.15, "salinity": 20.0}
    with pytest.raises(OutsideValidRange) as caught:
        artemia_hatch(**(gram | change))
    assert caught.value.quantity == quantity
