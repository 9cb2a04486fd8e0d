"""Part-full pipes against printed tables, worked choices, and themselves."""

from __future__ import annotations

import csv
import math
from pathlib import Path

import fluids
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankwright.physics.channels import (
    FULLEST_DEPTH_SHARE,
    critical_depth,
    full_bore_flow,
    open_channel_velocity,
    part_full_area,
    part_full_depth,
    part_full_flow,
    part_full_flow_colebrook,
    part_full_radius,
    part_full_width,
)
from tankwright.physics.ranges import OutsideValidRange

PUBLISHED = Path(__file__).parent.parent / "published"
FOOT, INCH = 0.3048, 0.0254
GPM = 231 * INCH**3 / 60
L_PER_MIN = 1 / 60000


def published(name: str) -> list[dict[str, float]]:
    lines = (PUBLISHED / name).read_text(encoding="utf-8").splitlines()[1:]
    return [{key: float(value) for key, value in row.items()} for row in csv.DictReader(lines)]


@pytest.mark.parametrize("row", published("circular_section_swmm.csv"))
def test_section_matches_the_swmm_tables(row: dict[str, float]) -> None:
    y = row["depth_share"]
    area = part_full_area(inner_diameter=1.0, depth_share=y) / (math.pi / 4)
    radius = part_full_radius(inner_diameter=1.0, depth_share=y) / 0.25
    assert area == pytest.approx(row["area_over_full"], abs=2e-4)  # largest error of the printed table itself
    assert radius == pytest.approx(row["radius_over_full"], abs=1.3e-3)  # likewise


@pytest.mark.parametrize("row", published("circular_section_engineering_database.csv"))
def test_section_matches_the_engineering_database(row: dict[str, float]) -> None:
    y = row["depth_share"]
    area = part_full_area(inner_diameter=1.0, depth_share=y)
    radius = part_full_radius(inner_diameter=1.0, depth_share=y)
    assert round(area, 6) == pytest.approx(row["area_over_square"], abs=1.1e-6)
    assert round(radius, 6) == pytest.approx(row["radius_over_diameter"], abs=1.1e-6)


@pytest.mark.parametrize("row", published("circular_flow_chow.csv"))
def test_section_factor_matches_chow(row: dict[str, float]) -> None:
    ours = part_full_flow(inner_diameter=1.0, slope=0.01, depth_share=row["depth_share"], manning_n=0.1)
    assert round(ours, 4) == row["section_factor"]  # root of 0.01 over 0.1 is 1


@pytest.mark.parametrize("row", published("drain_capacities_en_12056.csv"))
def test_colebrook_gives_the_en_12056_capacities(row: dict[str, float]) -> None:
    flow = part_full_flow_colebrook(
        inner_diameter=0.096,
        slope=row["slope_percent"] / 100,
        depth_share=row["depth_share"],
        roughness=1.0e-3,
        kinematic_viscosity=1.31e-6,
    )
    assert flow * 1000 == pytest.approx(row["flow_l_per_s"], abs=0.051)  # 3.55 stands printed as 3.5


def test_the_worked_choice_of_din_1986_100_is_reached() -> None:
    # DIN 1986-100, worked example (IZEG Bonn, 2017): at 1.0 cm/m 3.71 l/s takes DN 100, 5.42 l/s DN 125.
    smaller, larger = (
        1000
        * part_full_flow_colebrook(
            inner_diameter=bore, slope=0.01, depth_share=0.7, roughness=1e-3, kinematic_viscosity=1.31e-6
        )
        for bore in (0.096, 0.113)
    )
    assert 3.71 < smaller < 5.42 < larger


@pytest.mark.parametrize("row", published("drain_capacities_catalogue.csv"))
def test_half_full_capacity_matches_a_makers_table(row: dict[str, float]) -> None:
    flow = part_full_flow(
        inner_diameter=row["inner_diameter_mm"] / 1000,
        slope=row["slope_percent"] / 100,
        depth_share=0.5,
        manning_n=0.009,
    )
    # 4 %: the table prints neither its bore nor its roughness, and two figures
    assert flow * 1000 == pytest.approx(row["flow_l_per_s"], rel=0.04)


def test_crane_7_26_part_full_pipe() -> None:
    # Crane TP-410, problem 7-26: 24 in cast iron two thirds full at 0.75 in/ft, e/D .00036: 24,500 US gpm.
    bore, share = 24 * INCH, 16 / 24
    hydraulic = 4 * part_full_radius(inner_diameter=bore, depth_share=share)
    flow = part_full_flow_colebrook(
        inner_diameter=bore,
        slope=0.75 / 12,
        depth_share=share,
        roughness=0.00036 * hydraulic,
        kinematic_viscosity=1.13e-6,
    )
    assert flow / GPM == pytest.approx(24500, rel=0.005)  # the print reads f off a chart


def test_the_printed_eight_inch_pipe() -> None:
    # A civil-engineering page: 8 in running full, n .013, S .005: .854 cfs at 2.448 ft/s
    pipe = {"inner_diameter": 8 * INCH, "slope": 0.005, "manning_n": 0.013}
    assert round(full_bore_flow(**pipe) / FOOT**3, 3) == pytest.approx(0.854, abs=0.0011)  # theirs has 1.486
    assert open_channel_velocity(depth_share=1.0, **pipe) / FOOT == pytest.approx(
        2.448, abs=0.002
    )  # likewise


@pytest.mark.parametrize(
    ("bore", "slope", "flow"),
    [
        (36.0, 1, 14.7),
        (40.9, 1.65, 26.5),
        (46.6, 2, 41.3),
        (52.5, 2.5, 63.5),
        (52.5, 1, 40.2),
        (84.0, 1, 141),
    ],
)
def test_half_full_capacities_worked_by_hand(bore: float, slope: float, flow: float) -> None:
    ours = part_full_flow(inner_diameter=bore / 1000, slope=slope / 100, depth_share=0.5, manning_n=0.009)
    assert float(f"{ours / L_PER_MIN:.3g}") == flow


def test_most_is_carried_a_little_below_full() -> None:
    pipe = {"inner_diameter": 0.05, "slope": 0.01}
    most = part_full_flow(depth_share=FULLEST_DEPTH_SHARE, **pipe)
    assert round(most / full_bore_flow(**pipe), 4) == 1.0757
    for nearby in (FULLEST_DEPTH_SHARE - 1e-3, FULLEST_DEPTH_SHARE + 1e-3):
        assert part_full_flow(depth_share=nearby, **pipe) < most
    assert open_channel_velocity(depth_share=0.8128, **pipe) / open_channel_velocity(
        depth_share=1.0, **pipe
    ) == pytest.approx(1.14, abs=5e-5)


@given(st.floats(0.001, 0.999), st.floats(0.01, 1))
def test_area_equals_that_of_fluids(share: float, bore: float) -> None:
    ours = part_full_area(inner_diameter=bore, depth_share=share)
    assert ours == pytest.approx(fluids.geometry.A_partial_circle(bore, share * bore), rel=1e-8)


@given(st.floats(0.01, 1), st.floats(1e-4, 0.3), st.floats(0.01, 1))
def test_velocity_equals_mannings_formula_of_fluids(bore: float, slope: float, share: float) -> None:
    radius = part_full_radius(inner_diameter=bore, depth_share=share)
    ours = open_channel_velocity(inner_diameter=bore, slope=slope, depth_share=share, manning_n=0.011)
    assert ours == pytest.approx(fluids.open_flow.V_Manning(Rh=radius, S=slope, n=0.011), rel=1e-12)


@given(st.floats(1e-6, 0.93), st.floats(0.01, 1), st.floats(1e-4, 0.3))
def test_the_depth_for_a_flow_gives_the_flow_back(share: float, bore: float, slope: float) -> None:
    flow = part_full_flow(inner_diameter=bore, slope=slope, depth_share=share)
    assert part_full_depth(flow=flow, inner_diameter=bore, slope=slope) == pytest.approx(
        share * bore, rel=1e-6
    )


@given(st.floats(0.001, 0.99), st.floats(0.01, 1))
def test_critical_depth_meets_its_own_condition(share: float, bore: float) -> None:
    area = part_full_area(inner_diameter=bore, depth_share=share)
    width = part_full_width(inner_diameter=bore, depth_share=share)
    flow = math.sqrt(9.80665 * area**3 / width)
    assert critical_depth(flow=flow, inner_diameter=bore) == pytest.approx(share * bore, rel=1e-9)


def test_the_section_is_smooth_where_the_series_takes_over() -> None:
    shares = [math.sin(0.01 * (1 + d)) ** 2 for d in (-1e-6, 1e-6)]
    small, large = (part_full_area(inner_diameter=1.0, depth_share=share) for share in shares)
    assert small < large
    assert small == pytest.approx(large, rel=1e-5)


def test_a_flow_beyond_the_capacity_is_refused_and_the_capacity_named() -> None:
    pipe = {"inner_diameter": 0.04, "slope": 0.01}
    capacity = part_full_flow(depth_share=FULLEST_DEPTH_SHARE, **pipe)
    assert part_full_depth(flow=capacity * 0.99999, **pipe) < 0.04
    with pytest.raises(OutsideValidRange) as caught:
        part_full_depth(flow=capacity * 1.001, **pipe)
    assert caught.value.quantity == "flow"
    assert caught.value.high == pytest.approx(capacity)
    with pytest.raises(OutsideValidRange):
        critical_depth(flow=1.0, inner_diameter=0.04)


def test_a_trickle_is_refused_by_the_turbulent_formula() -> None:
    with pytest.raises(OutsideValidRange) as caught:
        part_full_flow_colebrook(inner_diameter=0.04, slope=0.001, depth_share=0.02)
    assert caught.value.quantity in {"reynolds", "roughness"}


def test_still_water_and_empty_pipes() -> None:
    assert part_full_flow(inner_diameter=0.05, slope=0.0, depth_share=0.5) == 0.0
    assert part_full_flow(inner_diameter=0.05, slope=0.01, depth_share=0.0) == 0.0
    assert part_full_flow_colebrook(inner_diameter=0.05, slope=0.0, depth_share=0.5) == 0.0
    assert part_full_depth(flow=0.0, inner_diameter=0.05, slope=0.01) == 0.0
    assert critical_depth(flow=0.0, inner_diameter=0.05) == 0.0


def test_the_least_trickle_still_has_a_depth() -> None:
    # a chord rounded past zero once asked for the root of a negative depth here
    depth = part_full_depth(flow=1.7187859542780822e-20, inner_diameter=0.05898063027663567, slope=0.00197)
    assert 0.0 <= depth < 1e-6
