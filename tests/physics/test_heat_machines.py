"""Dehumidifiers, heat pumps and air conditioners off their labels: tables worked apart from this program."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankwright.physics.heat_arrays import dehumidifier_ratios, heating_ratios
from tankwright.physics.heat_machines import (
    air_conditioner_capacity_ratio,
    air_conditioner_efficiency_ratio,
    dehumidifier_capacity_ratio,
    dehumidifier_efficiency_ratio,
    dehumidifier_part_load_factor,
    heat_pump_capacity_ratio,
    heat_pump_efficiency_ratio,
)
from tankwright.physics.ranges import OutsideValidRange

ZERO = 273.15


def from_fahrenheit(degrees: float) -> float:
    return (degrees - 32) / 1.8 + ZERO


# Winkler et al. (2011): °C, %, capacity and efficiency over the rating
DRYING = [
    (20, 60, 0.718, 0.826), (22, 60, 0.800, 0.880), (24, 60, 0.880, 0.928), (24, 65, 0.988, 1.026),
    (26, 50, 0.726, 0.760), (26, 60, 0.960, 0.971), (26, 70, 1.179, 1.158), (28, 70, 1.265, 1.192),
]  # fmt: skip


@pytest.mark.parametrize(("celsius", "percent", "capacity", "efficiency"), DRYING)
def test_a_dehumidifier_follows_the_curves_of_the_laboratory(
    celsius: float, percent: float, capacity: float, efficiency: float
) -> None:
    air = {"air_temperature": celsius + ZERO, "relative_humidity": percent / 100}
    assert round(dehumidifier_capacity_ratio(**air), 3) == capacity
    assert round(dehumidifier_efficiency_ratio(**air), 3) == efficiency


def test_a_dehumidifier_is_near_its_label_at_the_conditions_of_the_label() -> None:
    # 26.7 °C and 60 %: the fitted curve passes within 2 % of 1
    label = {"air_temperature": 26.7 + ZERO, "relative_humidity": 0.6}
    assert dehumidifier_capacity_ratio(**label) == pytest.approx(1.0, abs=0.02)
    assert dehumidifier_efficiency_ratio(**label) == pytest.approx(1.0, abs=0.02)
    assert (dehumidifier_part_load_factor(0.0), dehumidifier_part_load_factor(1.0)) == (0.9, 1.0)


# Cutler et al. (2013), inside and outside in °F (70/47 is the label) and °C: capacity, COP over the label
HEATING = [
    (from_fahrenheit(70), from_fahrenheit(47), 0.996, 1.006), (from_fahrenheit(70), from_fahrenheit(17), 0.631, 0.742),
    (24 + ZERO, ZERO, 0.789, 0.814), (24 + ZERO, -5 + ZERO, 0.684, 0.737), (26 + ZERO, ZERO, 0.780, 0.772),
    (26 + ZERO, -10 + ZERO, 0.578, 0.630), (26 + ZERO, from_fahrenheit(47), 0.973, 0.892),
]  # fmt: skip


@pytest.mark.parametrize(("indoor", "outdoor", "capacity", "efficiency"), HEATING)
def test_a_heat_pump_follows_the_curves_of_the_laboratory(
    indoor: float, outdoor: float, capacity: float, efficiency: float
) -> None:
    air = {"indoor_temperature": indoor, "outdoor_temperature": outdoor}
    # the last digit: the table rounds the rating's 21.1 and 8.3 °C its own way
    assert heat_pump_capacity_ratio(**air) == pytest.approx(capacity, abs=0.0011)
    assert heat_pump_efficiency_ratio(**air) == pytest.approx(efficiency, abs=0.0011)


# the same report, wet bulb inside and dry bulb outside: capacity, energy per cold over the label
COOLING = [
    (from_fahrenheit(67), from_fahrenheit(95), 0.991, 1.011), (from_fahrenheit(67), from_fahrenheit(82), 1.059, 0.813),
    (20 + ZERO, 30 + ZERO, 1.059, 0.850), (22 + ZERO, 35 + ZERO, 1.091, 0.908),
]  # fmt: skip


@pytest.mark.parametrize(("wet", "outdoor", "capacity", "energy"), COOLING)
def test_an_air_conditioner_follows_the_curves_of_the_laboratory(
    wet: float, outdoor: float, capacity: float, energy: float
) -> None:
    air = {"indoor_wet_bulb": wet, "outdoor_temperature": outdoor}
    # as above: at the label itself the table reads .991 where the curve gives .9916
    assert air_conditioner_capacity_ratio(**air) == pytest.approx(capacity, abs=0.0011)
    assert 1 / air_conditioner_efficiency_ratio(**air) == pytest.approx(energy, abs=0.0011)


@given(st.floats(288.2, 304.0), st.floats(0.4, 0.78))
def test_moist_warm_air_gives_more_water(temperature: float, humidity: float) -> None:
    here = {"air_temperature": temperature, "relative_humidity": humidity}
    assert dehumidifier_capacity_ratio(**here) < dehumidifier_capacity_ratio(
        **(here | {"relative_humidity": humidity + 0.02})
    )
    assert dehumidifier_capacity_ratio(**here) < dehumidifier_capacity_ratio(
        **(here | {"air_temperature": temperature + 1.0})
    )


@given(st.floats(288.2, 300.0), st.floats(255.2, 290.0))
def test_cold_outside_and_warm_inside_cost_heat(indoor: float, outdoor: float) -> None:
    here = {"indoor_temperature": indoor, "outdoor_temperature": outdoor}
    milder = here | {"outdoor_temperature": outdoor + 1.0}
    warmer = here | {"indoor_temperature": indoor + 1.0}
    assert heat_pump_capacity_ratio(**here) < heat_pump_capacity_ratio(**milder)
    assert heat_pump_efficiency_ratio(**here) < heat_pump_efficiency_ratio(**milder)
    assert heat_pump_efficiency_ratio(**here) > heat_pump_efficiency_ratio(**warmer)


def test_a_year_of_hours_gives_what_each_hour_gives() -> None:
    rooms = np.array([290.0, 295.0, 299.15])
    capacity, efficiency = dehumidifier_ratios(rooms, 0.6)
    for index, room in enumerate(rooms):
        air = {"air_temperature": float(room), "relative_humidity": 0.6}
        assert dehumidifier_capacity_ratio(**air) == np.asarray(capacity)[index]
        assert dehumidifier_efficiency_ratio(**air) == np.asarray(efficiency)[index]
    assert np.shape(heating_ratios(rooms, 273.15)[0]) == (3,)


def test_cold_dry_air_is_refused_where_the_curve_falls_below_nothing() -> None:
    with pytest.raises(OutsideValidRange) as caught:
        dehumidifier_capacity_ratio(air_temperature=283.15, relative_humidity=0.4)
    assert caught.value.quantity == "capacity_ratio"
    with pytest.raises(OutsideValidRange):  # a dry bulb where a wet one belongs
        air_conditioner_capacity_ratio(indoor_wet_bulb=299.15, outdoor_temperature=308.15)
