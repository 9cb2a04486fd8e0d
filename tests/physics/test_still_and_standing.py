"""Water standing and running back, what a tank weighs, and what its circuits carry."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankwright.physics.circuits import (
    continuous_share,
    current_from_power,
    energy_used,
    led_inrush_count,
    running_cost,
)
from tankwright.physics.constants import (
    air_density,
    air_dynamic_viscosity,
    air_kinematic_viscosity,
    water_density,
    water_dynamic_viscosity,
)
from tankwright.physics.hydrostatics import siphon_back_flow, time_to_drain, water_pressure
from tankwright.physics.pipes import hose_drain_flow
from tankwright.physics.ranges import OutsideValidRange
from tankwright.physics.weights import box_volume, glass_weight, pane_weight, tank_weight, water_volume

PUBLISHED = Path(__file__).parent.parent / "published"
FOOT, INCH, PSI = 0.3048, 0.0254, 6894.757


def water_rows() -> list[dict[str, str]]:
    lines = (PUBLISHED / "water_properties.csv").read_text(encoding="utf-8").splitlines()[1:]
    return list(csv.DictReader(lines))


@pytest.mark.parametrize("row", water_rows())
def test_water_matches_the_standard_tables(row: dict[str, str]) -> None:
    temperature = float(row["temperature_c"]) + 273.15
    for key, ours in (
        ("density_kg_per_m3", water_density(temperature)),
        ("viscosity_mpa_s", water_dynamic_viscosity(temperature) * 1000),
    ):
        digits = len(row[key].partition(".")[2])
        assert round(ours, digits) == float(row[key])


def test_water_is_heaviest_at_four_degrees() -> None:
    at_four = water_density(277.13)
    assert at_four > water_density(275.15)
    assert at_four > water_density(279.15)
    assert at_four == pytest.approx(999.97, abs=0.005)


def test_air_matches_the_standard_atmosphere() -> None:
    # U.S. Standard Atmosphere, 1976, sea level, 288.15 K: 1.2250 kg/m3, 1.7894e-5 Pa s, 1.4607e-5 m2/s
    assert round(air_density(288.15), 4) == 1.2250
    assert round(air_dynamic_viscosity(288.15) * 1e5, 4) == 1.7894
    assert round(air_kinematic_viscosity(288.15) * 1e5, 4) == 1.4607


@pytest.mark.parametrize(("depth_cm", "kilopascal"), [(20, 1.958), (30, 2.937), (40, 3.916), (50, 4.894)])
def test_pressure_under_water_worked_by_hand(depth_cm: float, kilopascal: float) -> None:
    assert round(water_pressure(depth_cm / 100) / 1000, 3) == kilopascal


def test_the_printed_blower_sum() -> None:
    # A diffuser maker's technical bulletin: 12 ft of water and 3.5 ft of losses are 15.5 ft, 6.71 psi
    assert round(water_pressure(15.5 * FOOT) / PSI, 2) == pytest.approx(
        6.71, abs=0.0101
    )  # theirs is 2.31 ft a psi


def test_an_airline_siphons_back_by_the_hose_law() -> None:
    flows = [siphon_back_flow(head=h, inner_diameter=0.004, length=2.0) * 60000 for h in (0.3, 1.2)]
    assert 0.3 < flows[0] < flows[1] < 0.9  # "0.4 to 0.8 L/min", worked with Blasius' friction factor
    assert siphon_back_flow(head=0.3, inner_diameter=0.004, length=2.0) == hose_drain_flow(
        head=0.3, inner_diameter=0.004, length=2.0, minor_loss=5.0
    )


@given(st.floats(0.1, 1), st.floats(0.02, 0.9), st.floats(0.004, 0.03))
def test_draining_in_two_steps_takes_as_long_as_in_one(upper: float, cut: float, bore: float) -> None:
    lower = 0.01
    middle = lower + cut * (upper - lower)
    tank = {"surface_area": 0.2, "inner_diameter": bore, "length": 1.5}
    whole = time_to_drain(upper_head=upper, lower_head=lower, **tank)
    parts = time_to_drain(upper_head=upper, lower_head=middle, **tank) + time_to_drain(
        upper_head=middle, lower_head=lower, **tank
    )
    assert whole == pytest.approx(parts, rel=2e-3)  # kinks at Re 2000 and 4000


def test_a_short_fall_drains_at_its_mean_flow() -> None:
    seconds = time_to_drain(
        surface_area=0.18, upper_head=0.801, lower_head=0.800, inner_diameter=0.013, length=1.5
    )
    flow = hose_drain_flow(head=0.8005, inner_diameter=0.013, length=1.5)
    assert seconds == pytest.approx(0.18 * 0.001 / flow, rel=1e-6)


def test_water_cannot_drain_upwards() -> None:
    with pytest.raises(OutsideValidRange) as caught:
        time_to_drain(surface_area=0.2, upper_head=0.1, lower_head=0.2, inner_diameter=0.013, length=1.0)
    assert caught.value.quantity == "lower_head"


@pytest.mark.parametrize(
    ("inches", "litres"),
    [((20, 10, 12), 39.3), ((24, 12, 12), 56.6), ((24, 12, 16), 75.5), ((30, 12, 12), 70.8),
     ((30, 12, 18), 106.2),
     ((36, 18, 12), 127.4), ((36, 18, 16), 169.9), ((48, 12, 16), 151.0)],
)  # fmt: skip
def test_outside_litres_of_common_tanks(inches: tuple[int, int, int], litres: float) -> None:
    # Common sizes of US tanks, common practice; litres worked by hand
    length, depth, height = (side * INCH for side in inches)
    assert round(box_volume(length=length, depth=depth, height=height) * 1000, 1) == litres


def test_a_glass_box_weighs_its_five_panes() -> None:
    sides = {"length": 0.6, "depth": 0.3, "height": 0.3}
    box = glass_weight(side_thickness=0.005, base_thickness=0.008, **sides)
    panes = (
        pane_weight(width=0.6, height=0.3, thickness=0.008)
        + 2 * pane_weight(width=0.6, height=0.292, thickness=0.005)
        + 2 * pane_weight(width=0.29, height=0.292, thickness=0.005)
    )
    assert box == pytest.approx(panes, rel=1e-12)


def test_a_tank_weighs_its_parts_and_wet_gravel_more_than_water() -> None:
    outside = {"length": 0.6, "depth": 0.3, "side_thickness": 0.005}
    tank = {"height": 0.3, "base_thickness": 0.005, "water_height": 0.25, **outside}
    bare = tank_weight(**tank)
    water = 998.2 * water_volume(water_height=0.25, **outside)
    assert bare == pytest.approx(glass_weight(height=0.3, base_thickness=0.005, **outside) + water)
    with_gravel = tank_weight(substrate_height=0.03, **tank)
    assert with_gravel - bare == pytest.approx((2000 - 998.2) * 0.59 * 0.29 * 0.03)


def test_a_tank_worked_by_hand() -> None:
    # 90 x 45 x 45 cm of 8 mm, water 39 cm: floor .884 x .434 = .383656 m2; glass 2500 x
    # (.18225 - .169575952) = 31.685 kg; water .383656 x .39 x 998.2 = 149.356 kg
    ours = tank_weight(
        length=0.9, depth=0.45, height=0.45, side_thickness=0.008, base_thickness=0.008, water_height=0.39
    )
    assert round(ours, 2) == 181.04


@pytest.mark.parametrize(
    ("change", "quantity"),
    [({"water_height": 0.4}, "water_height"), ({"substrate_height": 0.3}, "substrate_height"),
     ({"side_thickness": 0.09, "depth": 0.1}, "side_thickness")],
)  # fmt: skip
def test_a_tank_that_cannot_be_is_refused(change: dict[str, float], quantity: str) -> None:
    tank = {
        "length": 0.6, "depth": 0.3, "height": 0.3, "side_thickness": 0.005, "base_thickness": 0.005,
        "water_height": 0.25,
    }  # fmt: skip
    with pytest.raises(OutsideValidRange) as caught:
        tank_weight(**(tank | change))
    assert caught.value.quantity == quantity


@pytest.mark.parametrize(("volts", "amperes", "watts"), [(120, 15, 1440), (120, 20, 1920)])
def test_the_printed_continuous_loads_fill_their_breaker(volts: float, amperes: float, watts: float) -> None:
    # NEC 210.20(A) as commonly worked: 15 A at 120 V carries 1440 W continuously, 20 A 1920 W
    current = current_from_power(power=watts, voltage=volts)
    assert continuous_share(continuous_current=current, other_current=0.0, rated_current=amperes) == 1.0


def test_the_printed_steady_count_of_lamps() -> None:
    # A maker's planning example: 75 W at 230 V on 16 A, grouping .87: 49 lamps, 42 after grouping
    each = current_from_power(power=75.0, voltage=230.0)
    assert int(16 / each) == 49
    assert int(16 / each * 0.87) == 42


def test_inrush_counts_whole_lamps() -> None:
    assert led_inrush_count(rated_current=10.0, peak_current=20.0) == 2.0
    assert led_inrush_count(rated_current=10.0, peak_current=20.1) == 1.0
    assert led_inrush_count(rated_current=10.0, peak_current=50.0) == 0.0


def test_a_year_of_a_pump_costs_what_the_meter_says() -> None:
    year = 365 * 86400.0
    assert energy_used(power=71.0, running_share=1.0, duration=year) / 3.6e6 == pytest.approx(621.96)
    cost = running_cost(power=71.0, running_share=1.0, duration=year, price=0.30 / 3.6e6)
    assert cost == pytest.approx(186.588)
