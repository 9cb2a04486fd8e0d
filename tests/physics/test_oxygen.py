"""Oxygen that water holds, and what surface and bubbles bring."""

from __future__ import annotations

import csv
from pathlib import Path

import gsw
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankwright.physics.oxygen import (
    STILL_WATER_TRANSFER,
    bubble_transfer,
    oxygen_from_bubbles,
    oxygen_saturation,
    reaeration_coefficient,
    surface_transfer,
)
from tankwright.physics.ranges import OutsideValidRange

PUBLISHED = Path(__file__).parent.parent / "published"
ICE, ATMOSPHERE, MG_PER_L, DAY = 273.15, 101325.0, 1e-3, 86400.0


def published(name: str) -> list[dict[str, str]]:
    return list(csv.DictReader((PUBLISHED / name).read_text(encoding="utf-8").splitlines()[1:]))


@pytest.mark.parametrize(
    "row", published("oxygen_standard_methods.csv") + published("oxygen_en_25814.csv"), ids=str
)
def test_fresh_water_holds_what_the_standards_print(row: dict[str, str]) -> None:
    printed = row["oxygen_mg_per_l"]
    digits = len(printed.partition(".")[2])
    ours = oxygen_saturation(float(row["temperature_c"]) + ICE) / MG_PER_L
    if row["temperature_c"] in ("5", "21"):  # the equation gives 12.7710 and 8.91501: half a digit and a
        assert ours == pytest.approx(
            float(printed), abs=0.0051 if digits == 2 else 0.00101
        )  # digit from print
    else:
        assert round(ours, digits) == float(printed)


# Worked apart from this program with the published equation and the form of the US Geological Survey for pressure
@pytest.mark.parametrize(
    ("celsius", "at_700", "at_600", "brackish"),
    [(0, 13.461, 11.526, 13.729), (10, 10.387, 8.884, 10.657), (20, 8.358, 7.134, 8.622),
     (26, 7.451, 6.348, 7.712), (35, 6.369, 5.401, 6.624)],
)  # fmt: skip
def test_thin_air_and_salt_leave_less(celsius: float, at_700: float, at_600: float, brackish: float) -> None:
    water = celsius + ICE
    for mercury, level in ((700, at_700), (600, at_600)):
        ours = oxygen_saturation(water, pressure=mercury / 760 * ATMOSPHERE)
        assert round(ours / MG_PER_L, 3) == level
    assert round(oxygen_saturation(water, salinity=9.0) / MG_PER_L, 3) == brackish


@pytest.mark.parametrize("salinity", [0, 5, 9, 20, 35, 40])
@pytest.mark.parametrize("celsius", range(0, 41, 4))
def test_the_oceanographers_toolbox_agrees(celsius: int, salinity: int) -> None:
    density = float(gsw.rho_t_exact(gsw.SR_from_SP(salinity), celsius, 0))
    theirs = float(gsw.O2sol_SP_pt(salinity, celsius)) * 31.9988e-9 * density
    ours = oxygen_saturation(celsius + ICE, salinity=float(salinity))
    assert ours == pytest.approx(theirs, rel=3.1e-4)  # theirs is a refit: Garcia and Gordon (1992)


@pytest.mark.parametrize(
    "pascal", [95461.0, 89875.0]
)  # ASHRAE Fundamentals 2017, ch. 1, table 1: 500, 1000 m
def test_on_a_hill_the_oxygen_follows_the_dry_part_of_the_air(pascal: float) -> None:
    vapour = 3169.7  # Pa at 25 °C, the same chapter, table 3
    dry = (pascal - vapour) / (ATMOSPHERE - vapour)
    ours = oxygen_saturation(298.15, pressure=pascal) / oxygen_saturation(298.15)
    assert ours == pytest.approx(dry, rel=1e-4)  # air is not quite an ideal gas


@given(st.floats(0, 39), st.floats(0.1, 1), st.floats(0, 39), st.floats(0.5, 1.05))
def test_warm_salt_and_high_water_always_holds_less(
    celsius: float, more: float, salinity: float, atmospheres: float
) -> None:
    water, pressure = celsius + ICE, atmospheres * ATMOSPHERE
    here = oxygen_saturation(water, pressure=pressure, salinity=salinity)
    assert oxygen_saturation(water + more, pressure=pressure, salinity=salinity) < here
    assert oxygen_saturation(water, pressure=pressure, salinity=salinity + more) < here
    assert oxygen_saturation(water, pressure=pressure + more * 5000, salinity=salinity) > here


@pytest.mark.parametrize(
    ("inputs", "quantity"),
    [({"water_temperature": 273.1}, "water_temperature"), ({"water_temperature": 313.2}, "water_temperature"),
     ({"water_temperature": 298.15, "salinity": 41.0}, "salinity"),
     ({"water_temperature": 298.15, "pressure": 0.49 * ATMOSPHERE}, "pressure"),
     ({"water_temperature": 298.15, "pressure": 1.11 * ATMOSPHERE}, "pressure")],
)  # fmt: skip
def test_saturation_is_refused_where_it_was_not_measured(inputs: dict[str, float], quantity: str) -> None:
    with pytest.raises(OutsideValidRange) as caught:
        oxygen_saturation(**inputs)
    assert caught.value.quantity == quantity


def test_the_floor_of_still_water() -> None:
    # Chin (2006): reaeration is never less than 0.6 m/d over the depth, at 20 °C; 0.3 m deep: 2 a day
    at_twenty = reaeration_coefficient(water_temperature=ICE + 20)
    assert at_twenty == STILL_WATER_TRANSFER
    assert at_twenty / 0.3 * DAY == pytest.approx(2.0)
    assert reaeration_coefficient(water_temperature=ICE + 30) / at_twenty == pytest.approx(1.025**10)


@given(st.floats(0, 0.012), st.floats(1e-9, 1e-3), st.floats(0.01, 10))
def test_the_surface_pulls_towards_saturation(level: float, velocity: float, area: float) -> None:
    moved = surface_transfer(
        transfer_velocity=velocity, surface_area=area, saturation_level=8e-3, oxygen_level=level
    )
    assert (moved > 0) == (level < 8e-3)
    assert (moved < 0) == (level > 8e-3)


def test_a_sponge_filter_worked_by_hand() -> None:
    # 60 L/h of air holds 60e-3 x 1.2041 x 0.2315 kg = 16.72 g of oxygen; 0.75 % of it is 125.4 mg
    air = {"air_flow": 60e-3 / 3600, "depth": 0.3}
    empty = oxygen_from_bubbles(water_temperature=ICE + 20, oxygen_level=0.0, **air)
    assert round(empty * 3.6e9, 1) == 125.4
    # at 7 mg/L and 26 °C x 1.024^6 x (8.1136 - 7) / 9.0924 = 0.1412
    near_full = oxygen_from_bubbles(water_temperature=ICE + 26, oxygen_level=7e-3, **air)
    assert near_full / empty == pytest.approx(0.1412, abs=5e-5)


@given(st.floats(0, 40), st.floats(0, 0.012))
def test_bubbles_are_one_more_surface(celsius: float, level: float) -> None:
    air = {"air_flow": 1e-5, "depth": 0.3, "water_temperature": celsius + ICE}
    brought = oxygen_from_bubbles(oxygen_level=level, **air)
    saturation = oxygen_saturation(celsius + ICE)
    assert brought == pytest.approx(bubble_transfer(**air) * (saturation - level), rel=1e-12, abs=1e-20)


def test_deeper_and_finer_bubbles_bring_more() -> None:
    air = {"air_flow": 1e-5, "water_temperature": 298.15}
    assert bubble_transfer(depth=0.4, **air) == pytest.approx(2 * bubble_transfer(depth=0.2, **air))
    fine = bubble_transfer(depth=0.4, efficiency_per_depth=0.065, **air)
    assert fine == pytest.approx(2.6 * bubble_transfer(depth=0.4, **air))
    assert bubble_transfer(depth=0.0, **air) == 0.0
