"""Moist air against the handbook, against psychrolib over the whole range, and against a real-gas program."""

from __future__ import annotations

import numpy as np
import psychrolib
import pytest
from CoolProp.CoolProp import HAPropsSI
from hypothesis import assume, given
from hypothesis import strategies as st

from tankwright.physics import moist_air
from tankwright.physics.constants import STANDARD_PRESSURE
from tankwright.physics.heat_arrays import (
    humidity_ratios,
    moist_air_densities,
    saturation_pressures,
    saturation_slopes,
    vapour_pressures,
)
from tankwright.physics.moist_air import (
    absolute_humidity,
    dew_point,
    humidity_ratio,
    moist_air_density,
    moist_air_enthalpy,
    moist_air_specific_volume,
    pressure_at_altitude,
    relative_humidity,
    relative_humidity_from_wet_bulb,
    saturation_vapour_pressure,
    vapour_pressure,
    wet_bulb,
)
from tankwright.physics.ranges import OutsideValidRange

ZERO = 273.15
TEMPERATURES = st.floats(240.0, 330.0)
HUMIDITIES = st.floats(0.02, 1.0)
PRESSURES = st.floats(6e4, 1.1e5)

# ASHRAE Fundamentals 2017, ch. 1, table 3 (°C, Pa). Table and equation are two fits of the same data
HANDBOOK_SATURATION = [(-20, 103.24), (-5, 401.74), (5, 872.6), (25, 3169.7), (50, 12351.3)]


@pytest.mark.parametrize(("celsius", "printed"), HANDBOOK_SATURATION)
def test_saturation_is_as_in_the_table_of_the_handbook(celsius: float, printed: float) -> None:
    # the handbook's own equation and table differ by up to 0.03 %
    assert saturation_vapour_pressure(celsius + ZERO) == pytest.approx(printed, rel=3e-4)


# ASHRAE Fundamentals 2017, ch. 1, table 1 (m, Pa)
@pytest.mark.parametrize(
    ("altitude", "printed"), [(-500, 107478), (0, 101325), (500, 95461), (1000, 89875), (4000, 61640)]
)
def test_the_pressure_at_an_altitude_is_as_in_the_table_of_the_handbook(
    altitude: float, printed: float
) -> None:
    assert pressure_at_altitude(altitude) == pytest.approx(printed, abs=1.0)  # the table is of whole pascals


def test_the_worked_example_of_the_handbook_comes_out() -> None:
    # ASHRAE Fundamentals, ch. 1, example 1: dry 40 °C, wet 20 °C, read off the chart at its precision; from memory
    humidity = relative_humidity_from_wet_bulb(temperature=313.15, wet_bulb_temperature=293.15)
    ratio = humidity_ratio(temperature=313.15, relative_humidity=humidity)
    assert round(humidity, 2) == 0.14
    assert ratio == pytest.approx(0.0065, abs=1.1e-4)  # chart
    assert moist_air_enthalpy(temperature=313.15, humidity_ratio=ratio) / 1000 == pytest.approx(
        56.7, abs=0.2
    )  # chart
    assert dew_point(temperature=313.15, relative_humidity=humidity) - ZERO == pytest.approx(
        7.0, abs=0.5
    )  # chart
    volume = moist_air_specific_volume(temperature=313.15, humidity_ratio=ratio)
    assert volume == pytest.approx(0.896, abs=0.0015)  # chart


@pytest.mark.parametrize(
    ("celsius", "humidity", "dew", "decimals"),
    [(25, 0.8, 21.309, 3), (26, 0.7, 20.106, 3), (26, 0.65, 18.91, 2), (20, 0.5, 9.27, 2)],
)
def test_dew_points_are_as_documented(celsius: float, humidity: float, dew: float, decimals: int) -> None:
    ours = dew_point(temperature=celsius + ZERO, relative_humidity=humidity) - ZERO
    assert ours == pytest.approx(dew, abs=0.51 * 10**-decimals)


def test_an_air_change_in_winter_carries_off_what_is_printed() -> None:
    # Hastings and Wall, Sustainable Solar Housing 2 (2007), eq. 10.2: 20 °C 60 % inside, 0 °C 70 % outside, g/m3
    inside = absolute_humidity(temperature=293.15, relative_humidity=0.6)
    outside = absolute_humidity(temperature=273.15, relative_humidity=0.7)
    assert round((inside - outside) * 1000, 1) == 7.0
    assert (inside - outside) * 30 * 1000 == pytest.approx(210, abs=2)  # "about 210 g/h" at 30 m3/h


@given(TEMPERATURES, HUMIDITIES, PRESSURES)
def test_closed_forms_equal_psychrolib(temperature: float, humidity: float, pressure: float) -> None:
    theirs, celsius = moist_air._handbook(), temperature - ZERO
    assume(
        abs(celsius - 0.01) > 1e-6
    )  # over ice and over water differ by 6e-9 where they meet; rounding picks one
    held = vapour_pressure(temperature=temperature, relative_humidity=humidity)
    ratio = humidity_ratio(temperature=temperature, relative_humidity=humidity, pressure=pressure)
    assert saturation_vapour_pressure(temperature) == pytest.approx(theirs.GetSatVapPres(celsius), rel=1e-10)
    assert held == pytest.approx(theirs.GetVapPresFromRelHum(celsius, humidity), rel=1e-10)
    assert ratio == pytest.approx(
        theirs.GetHumRatioFromRelHum(celsius, humidity, pressure), rel=1e-9, abs=1e-7
    )
    back = relative_humidity(temperature=temperature, humidity_ratio=ratio, pressure=pressure)
    assert back == pytest.approx(humidity, rel=1e-12)
    dense = moist_air_density(temperature=temperature, humidity_ratio=ratio, pressure=pressure)
    # psychrolib writes 0.621945 as 1/1.607858 here
    assert float(moist_air_densities(temperature, held, pressure)) == pytest.approx(dense, rel=1e-6)


def test_arrays_give_what_single_numbers_give() -> None:
    hours = np.linspace(240.0, 320.0, 101)
    assert saturation_pressures(hours) == pytest.approx(
        [saturation_vapour_pressure(t) for t in hours], rel=1e-14
    )
    held = 0.5 * saturation_pressures(hours)
    assert vapour_pressures(humidity_ratios(held, 9e4), 9e4) == pytest.approx(held, rel=1e-12)


@given(st.floats(230.0, 330.0).filter(lambda t: abs(t - 273.16) > 0.01))
def test_the_slope_is_that_of_the_curve(temperature: float) -> None:
    step = 1e-3
    rise = saturation_pressures(temperature + step) - saturation_pressures(temperature - step)
    assert float(saturation_slopes(temperature)) == pytest.approx(float(rise) / (2 * step), rel=1e-6)


@pytest.mark.parametrize("celsius", [5, 15, 25, 30])
@pytest.mark.parametrize("humidity", [0.3, 0.6, 0.9])
def test_a_real_gas_program_agrees(celsius: float, humidity: float) -> None:
    state = ("T", celsius + ZERO, "P", STANDARD_PRESSURE, "R", humidity)
    air = {"temperature": celsius + ZERO, "relative_humidity": humidity}
    ratio = humidity_ratio(**air)
    assert ratio == pytest.approx(HAPropsSI("W", *state), rel=5e-3)  # ideal gases carry 0.5 % less
    assert dew_point(**air) == pytest.approx(HAPropsSI("D", *state), abs=0.02)  # equation and table, as above
    assert wet_bulb(**air) == pytest.approx(HAPropsSI("B", *state), abs=0.06)  # the 0.5 % again
    volume = moist_air_specific_volume(temperature=celsius + ZERO, humidity_ratio=ratio)
    assert volume == pytest.approx(HAPropsSI("V", *state), rel=1e-3)  # ideal gases
    heat = moist_air_enthalpy(temperature=celsius + ZERO, humidity_ratio=ratio)
    assert heat == pytest.approx(HAPropsSI("H", *state), rel=8e-3)  # the 0.5 % again, on the latent part


@given(TEMPERATURES, HUMIDITIES, PRESSURES)
def test_dew_point_is_below_wet_bulb_is_below_dry(
    temperature: float, humidity: float, pressure: float
) -> None:
    dew = dew_point(temperature=temperature, relative_humidity=humidity)
    wet = wet_bulb(temperature=temperature, relative_humidity=humidity, pressure=pressure)
    # over ice the wet bulb of saturated air steps by less than 0.01 K
    assert dew - 0.01 <= wet <= temperature + 1e-6
    assert dew <= temperature + 1e-6


@given(st.floats(275.0, 330.0), st.floats(0.05, 0.98))
def test_moister_air_has_more_of_everything_but_weight(temperature: float, humidity: float) -> None:
    dry = {"temperature": temperature, "relative_humidity": humidity}
    moist = dry | {"relative_humidity": humidity + 0.02}
    for rising in (vapour_pressure, absolute_humidity, humidity_ratio, dew_point, wet_bulb):
        assert rising(**dry) < rising(**moist)  # type: ignore[operator]
    less, more = humidity_ratio(**dry), humidity_ratio(**moist)
    assert moist_air_density(temperature=temperature, humidity_ratio=more) < moist_air_density(
        temperature=temperature, humidity_ratio=less
    )


@given(st.floats(275.0, 330.0), st.floats(0.1, 1.0), PRESSURES)
def test_a_wet_thermometer_tells_the_humidity_back(
    temperature: float, humidity: float, pressure: float
) -> None:
    wet = wet_bulb(temperature=temperature, relative_humidity=humidity, pressure=pressure)
    back = relative_humidity_from_wet_bulb(
        temperature=temperature, wet_bulb_temperature=min(wet, temperature), pressure=pressure
    )
    assert back == pytest.approx(
        humidity, abs=1e-6 if abs(wet - ZERO) > 0.05 else 0.02
    )  # a step where ice begins


def test_what_no_air_can_be_is_refused() -> None:
    with pytest.raises(OutsideValidRange):
        relative_humidity(temperature=293.15, humidity_ratio=0.02)  # mist
    with pytest.raises(OutsideValidRange):
        relative_humidity_from_wet_bulb(temperature=293.15, wet_bulb_temperature=294.15)
    with pytest.raises(OutsideValidRange):
        relative_humidity_from_wet_bulb(temperature=313.15, wet_bulb_temperature=280.15)  # drier than dry
    assert vapour_pressure(temperature=293.15, relative_humidity=0.0) == 0.0


def test_units_set_by_others_do_not_change_ours() -> None:
    before = dew_point(temperature=298.15, relative_humidity=0.8)
    psychrolib.SetUnitSystem(psychrolib.IP)
    assert dew_point(temperature=298.15, relative_humidity=0.8) == before
