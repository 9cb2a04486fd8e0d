"""Five forms of evaporation beside each other, against print, and as a step in time needs them."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from hypothesis import given
from hypothesis import strategies as st

from tankwright.physics.evaporation import (
    latent_heat,
    pool_evaporation_ashrae,
    pool_evaporation_bower_saylor,
    pool_evaporation_engineering,
    pool_evaporation_shah,
    pool_evaporation_smith,
)
from tankwright.physics.heat_arrays import (
    moist_air_densities,
    saturation_pressures,
    saturation_slopes,
    shah_coefficients,
    shah_rates,
    vapour_pressures,
)
from tankwright.physics.numerics import root
from tankwright.physics.ranges import OutsideValidRange

ZERO, PER_HOUR, STANDARD = 273.15, 3600.0, 101325.0
PUBLISHED = Path(__file__).parent.parent / "published"
with (PUBLISHED / "evaporation_side_by_side.csv").open(encoding="utf-8") as _table:
    ROWS = [{key: float(value) for key, value in row.items()} for row in csv.DictReader(list(_table)[1:])]
FORMS = {
    "shah": pool_evaporation_shah,
    "ashrae": pool_evaporation_ashrae,
    "smith": pool_evaporation_smith,
    "engineering": pool_evaporation_engineering,
}
WATER, AIR, HUMIDITY = st.floats(285.0, 320.0), st.floats(282.0, 308.0), st.floats(0.28, 0.95)


def conditions(row: dict[str, float]) -> dict[str, float]:
    return {
        "water_temperature": row["water_c"] + ZERO,
        "air_temperature": row["air_c"] + ZERO,
        "relative_humidity": row["humidity"],
    }


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row['water_c']:.0f}/{row['air_c']:.0f}")
@pytest.mark.parametrize("name", FORMS)
def test_a_form_gives_what_it_gives_elsewhere(name: str, row: dict[str, float]) -> None:
    rate = FORMS[name](**conditions(row)) * PER_HOUR
    assert rate == pytest.approx(row[name], abs=0.00055)  # three decimals


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row['water_c']:.0f}/{row['air_c']:.0f}")
def test_tanks_of_a_laboratory_support_shah(row: dict[str, float]) -> None:
    rate = pool_evaporation_bower_saylor(width=0.42, **conditions(row)) * PER_HOUR
    assert rate == pytest.approx(row["bower_saylor"], abs=0.0015)  # properties of air from another source
    assert rate == pytest.approx(
        pool_evaporation_shah(**conditions(row)) * PER_HOUR, rel=0.13
    )  # the two differ


def test_a_printed_pool_loses_what_is_printed() -> None:
    # a worked example of a web handbook: 500 m2, humidity ratios 0.02 and 0.0098, 0.5 m/s of wind: 0.049 kg/s
    full, held = vapour_pressures(0.02, STANDARD), vapour_pressures(0.0098, STANDARD)
    water = root(lambda t: float(saturation_pressures(t)) - full, 290.0, 305.0)
    humidity = float(held / saturation_pressures(298.15))
    rate = pool_evaporation_engineering(
        water_temperature=water, air_temperature=298.15, relative_humidity=humidity, air_speed=0.5
    )
    assert round(rate * 500, 3) == 0.049


def test_water_does_not_boil_when_it_evaporates() -> None:
    # 2257 kJ/kg of boiling water, found in print, is 8 % too little at 26 °C
    assert latent_heat(299.15) / 2257e3 == pytest.approx(1.081, abs=0.001)


@pytest.mark.parametrize("celsius", [1, 10, 20, 26, 30, 40, 49])
def test_the_latent_heat_is_that_of_water(celsius: float) -> None:
    theirs = PropsSI("H", "T", celsius + ZERO, "Q", 1, "Water") - PropsSI(
        "H", "T", celsius + ZERO, "Q", 0, "Water"
    )
    assert latent_heat(celsius + ZERO) == pytest.approx(theirs, rel=3e-4)  # a straight line beside a curve


def test_shah_counts_a_weak_draught_15_per_cent_more() -> None:
    # Shah (2002): the factor stands where the difference of densities is below 0.02 kg/m3
    held = 0.6 * float(saturation_pressures(298.15))

    def draught(water: float) -> float:
        at_water = moist_air_densities(water, saturation_pressures(water), STANDARD)
        return float(moist_air_densities(298.15, held, STANDARD) - at_water)

    low, high = 299.0, 303.0
    for _ in range(60):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if draught(middle) < 0.02 else (low, middle)
    below, above = (
        shah_coefficients(low, 298.15, held, STANDARD),
        shah_coefficients(high, 298.15, held, STANDARD),
    )
    assert float(below / above) == pytest.approx(1.15, rel=1e-9)


@given(WATER, AIR, HUMIDITY)
def test_shah_is_the_larger_of_its_two_parts(water: float, air: float, humidity: float) -> None:
    held = humidity * float(saturation_pressures(air))
    difference = float(saturation_pressures(water)) - held
    rate = pool_evaporation_shah(water_temperature=water, air_temperature=air, relative_humidity=humidity)
    slow_air = 5e-5 / PER_HOUR * difference
    assert (rate >= slow_air * (1 - 1e-12)) if difference >= 0 else rate < 0
    assert rate == pytest.approx(float(shah_rates(water, air, held, STANDARD)), rel=1e-12)


@given(st.sampled_from(sorted(FORMS)), st.floats(282.0, 290.0), st.floats(1.0, 15.0))
def test_nothing_evaporates_when_the_pressures_are_equal(name: str, water: float, warmer: float) -> None:
    humidity = float(saturation_pressures(water) / saturation_pressures(water + warmer))
    rate = FORMS[name](water_temperature=water, air_temperature=water + warmer, relative_humidity=humidity)
    assert abs(rate) < 1e-15


@pytest.mark.parametrize("name", FORMS)
def test_moist_air_condenses_on_cold_water(name: str) -> None:
    assert FORMS[name](water_temperature=285.15, air_temperature=300.15, relative_humidity=0.8) < 0.0


@given(name=st.sampled_from(sorted(FORMS)), water=WATER, air=AIR, humidity=st.floats(0.28, 0.9))
def test_moister_air_takes_less(name: str, water: float, air: float, humidity: float) -> None:
    # not across the step of Shah's factor, which moister air can only climb down: it lifts the rate there
    here = {"water_temperature": water, "air_temperature": air}
    drier = FORMS[name](relative_humidity=humidity, **here)
    moister = FORMS[name](relative_humidity=humidity + 0.01, **here)
    if name != "shah":
        assert moister < drier
    else:
        assert moister < drier + 0.16 * abs(drier)


def test_a_room_of_tanks_gives_what_each_tank_gives() -> None:
    waters = np.array([295.15, 298.15, 299.15, 301.15])
    held = 0.6 * float(saturation_pressures(297.15))
    each = [
        pool_evaporation_shah(water_temperature=float(water), air_temperature=297.15, relative_humidity=0.6)
        for water in waters
    ]
    assert shah_rates(waters, 297.15, held, STANDARD) == pytest.approx(each, rel=1e-12)


@given(WATER, AIR, HUMIDITY)
def test_the_coefficient_for_a_step_is_positive_and_gives_the_rate(
    water: float, air: float, humidity: float
) -> None:
    held = humidity * saturation_pressures(air)
    coefficient = shah_coefficients(water, air, held, STANDARD)
    assert 0.0 < float(coefficient) < 1e-6
    assert float(saturation_slopes(water)) > 0.0
    assert float(coefficient * (saturation_pressures(water) - held)) == float(
        shah_rates(water, air, held, STANDARD)
    )


def test_a_frozen_coefficient_steps_towards_the_wet_bulb_and_never_past_it() -> None:
    # a thin sheet of water in an hour, hardly any heat capacity: an explicit step would run away
    air, held, water = 299.15, 0.5 * float(saturation_pressures(299.15)), 303.15
    for _ in range(50):
        per_pascal = float(shah_coefficients(water, air, held, STANDARD)) * latent_heat(water)
        slope, pressure = float(saturation_slopes(water)), float(saturation_pressures(water))
        store = 100.0 / 3600.0  # J/(m2 K) over an hour
        lost = per_pascal * (pressure - held) + 6.0 * (water - air)
        water -= lost / (store + per_pascal * slope + 6.0)
        assert 280.0 < water < 303.15
    assert lost == pytest.approx(0.0, abs=1e-6)


def test_a_layer_of_cold_air_on_the_water_is_outside_the_laboratory() -> None:
    with pytest.raises(OutsideValidRange) as caught:
        pool_evaporation_bower_saylor(
            water_temperature=290.15, air_temperature=305.15, relative_humidity=0.3, width=0.3
        )
    assert caught.value.quantity == "density_difference"
