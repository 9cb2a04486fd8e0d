"""Holes, drippers, mixing and air: small laws against printed tables, hand work and the fluids library."""

from __future__ import annotations

import csv
import math
from pathlib import Path

import fluids
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankwright.physics.emitters import (
    christiansen_factor,
    emission_uniformity,
    emitter_exponent,
    emitter_flow,
)
from tankwright.physics.gases import density_ratio, free_air_flow
from tankwright.physics.mixing import inflow_for_replacement, time_to_spill, water_replaced
from tankwright.physics.orifices import orifice_expansibility, orifice_flow
from tankwright.physics.ranges import OutsideValidRange

PUBLISHED = Path(__file__).parent.parent / "published"
FOOT, INCH = 0.3048, 0.0254
GPM = 231 * INCH**3 / 60
L_PER_H, L_PER_MIN = 1 / 3.6e6, 1 / 60000


def published(name: str) -> list[dict[str, float]]:
    lines = (PUBLISHED / name).read_text(encoding="utf-8").splitlines()[1:]
    return [{key: float(value) for key, value in row.items()} for row in csv.DictReader(lines)]


def hole_flow_gpm(row: dict[str, float]) -> float:
    drop = 998.2 * 9.80665 * row["head_ft"] * FOOT
    return orifice_flow(pressure_drop=drop, diameter=row["hole_in"] * INCH, coefficient=0.60) / GPM


@pytest.mark.parametrize("row", published("perforation_flow_minnesota.csv"))
def test_holes_flow_as_minnesota_prints(row: dict[str, float]) -> None:
    assert hole_flow_gpm(row) == pytest.approx(
        row["flow_gpm"], rel=0.02
    )  # the print wanders by 2 % about 0.60


@pytest.mark.parametrize("row", published("perforation_flow_new_jersey.csv"))
def test_holes_flow_as_new_jersey_prints(row: dict[str, float]) -> None:
    assert hole_flow_gpm(row) == pytest.approx(row["flow_gpm"], rel=0.02)  # likewise


@pytest.mark.parametrize(
    ("diameter", "flows"),
    [(0.5, (0.21, 0.29, 0.41)), (0.8, (0.53, 0.75, 1.06)), (1.0, (0.83, 1.17, 1.65)),
     (1.5, (1.86, 2.63, 3.72)),
     (2.0, (3.3, 4.7, 6.6)), (3.0, (7.4, 10.5, 14.9))],
)  # fmt: skip
def test_air_through_a_tap_worked_by_hand(diameter: float, flows: tuple[float, ...]) -> None:
    for drop, flow in zip((500.0, 1000.0, 2000.0), flows, strict=True):
        dense = 1.204 * 106.0 / 101.325  # air before the tap at 106 kPa, as the table was worked
        ours = orifice_flow(pressure_drop=drop, diameter=diameter / 1000, density=dense) / L_PER_MIN
        assert ours == pytest.approx(flow, rel=0.01, abs=0.006)  # two or three figures, density to 1 %


@given(st.floats(0, 0.25), st.floats(9e4, 2e5), st.floats(0, 0.75))
def test_expansibility_equals_that_of_fluids(lost_share: float, inlet: float, ratio: float) -> None:
    drop = lost_share * inlet * 0.999999
    ours = orifice_expansibility(pressure_drop=drop, inlet_pressure=inlet, diameter_ratio=ratio)
    theirs = fluids.flow_meter.orifice_expansibility(D=1.0, Do=ratio, P1=inlet, P2=inlet - drop, k=1.4)
    assert ours == pytest.approx(theirs, rel=1e-9)


def test_an_emitter_gives_its_nominal_flow_at_its_nominal_pressure() -> None:
    for exponent in (0.0, 0.05, 0.5, 1.0):
        flow = emitter_flow(
            pressure=1e5,
            nominal_flow=4 * L_PER_H,
            nominal_pressure=1e5,
            exponent=exponent,
            minimum_pressure=5e4,
        )
        assert flow == pytest.approx(4 * L_PER_H)


@given(st.floats(10, 1e6), st.floats(1.0001, 3), st.floats(0.01, 1.2), st.floats(0, 3e5))
def test_more_pressure_gives_more_from_an_emitter(
    pressure: float, factor: float, exponent: float, minimum: float
) -> None:
    law = {"nominal_flow": 1e-6, "nominal_pressure": 1e5, "exponent": exponent, "minimum_pressure": minimum}
    less = emitter_flow(pressure=pressure / 3, **law)
    assert emitter_flow(pressure=pressure / 3 * factor, **law) > less


def test_a_compensating_dripper_holds_its_flow_until_its_least_pressure() -> None:
    law = {"nominal_flow": 4 * L_PER_H, "nominal_pressure": 1e5, "exponent": 0.0, "minimum_pressure": 8e4}
    assert emitter_flow(pressure=3e5, **law) == emitter_flow(pressure=8e4, **law) == 4 * L_PER_H
    assert emitter_flow(pressure=2e4, **law) == pytest.approx(2 * L_PER_H)
    assert emitter_flow(pressure=0.0, **law) == 0.0


@given(st.floats(0.0, 1.1), st.floats(100, 1e5), st.floats(1.5, 9))
def test_the_exponent_is_found_again_from_two_points(exponent: float, pressure: float, factor: float) -> None:
    law = {"nominal_flow": 1e-6, "nominal_pressure": 1e5, "exponent": exponent}
    first, second = (emitter_flow(pressure=p, **law) for p in (pressure, pressure * factor))
    found = emitter_exponent(
        first_flow=first, first_pressure=pressure, second_flow=second, second_pressure=pressure * factor
    )
    assert found == pytest.approx(exponent, abs=1e-9)


def test_one_pressure_gives_no_exponent() -> None:
    with pytest.raises(OutsideValidRange):
        emitter_exponent(first_flow=1e-6, first_pressure=1e5, second_flow=2e-6, second_pressure=1e5)


def test_emission_uniformity_by_hand() -> None:
    # 100 (1 - 1.27 v / sqrt(n)) qmin / qavg, Keller and Karmeli (1974); v .05, n 1, qmin/qavg .9970: 93.4 %
    eu = emission_uniformity(coefficient_of_variation=0.05, minimum_flow=0.9970e-6, mean_flow=1e-6)
    assert round(100 * eu, 1) == 93.4
    four = emission_uniformity(
        coefficient_of_variation=0.05, minimum_flow=0.9970e-6, mean_flow=1e-6, emitters_per_plant=4
    )
    assert round(100 * four, 1) == 96.5
    even = emission_uniformity(coefficient_of_variation=0.0, minimum_flow=1e-6, mean_flow=1e-6)
    assert even == 1.0


def test_a_least_flow_above_the_mean_is_refused() -> None:
    with pytest.raises(OutsideValidRange) as caught:
        emission_uniformity(coefficient_of_variation=0.05, minimum_flow=1.1e-6, mean_flow=1e-6)
    assert caught.value.quantity == "minimum_flow"


@pytest.mark.parametrize(
    ("outlets", "factors"),
    [
        (2, (0.650, 0.639, 0.625)),
        (5, (0.469, 0.457, 0.440)),
        (10, (0.415, 0.402, 0.385)),
        (100, (0.369, 0.356, 0.338)),
    ],
)
def test_christiansens_factor_against_the_exact_sum(outlets: int, factors: tuple[float, ...]) -> None:
    for exponent, printed in zip((1.75, 1.852, 2.0), factors, strict=True):
        ours = christiansen_factor(outlets=outlets, flow_exponent=exponent)
        exact = sum(k**exponent for k in range(1, outlets + 1)) / outlets ** (exponent + 1)
        assert round(ours, 3) == pytest.approx(printed, abs=1e-9)
        assert ours == pytest.approx(exact, abs=1.5e-3)  # the series leaves out its higher terms
    assert christiansen_factor(outlets=1) == 1.0


def test_a_drip_replaces_less_than_it_brings() -> None:
    # 10 % a day is half the water in a week; 20 % is 75 %; a whole tank in a day 63 %: 1 - exp(-q)
    shares = [water_replaced(inflow_volume=v, tank_volume=1.0) for v in (0.7, 1.4, 1.0)]
    assert [round(100 * share) for share in shares] == [50, 75, 63]


@given(st.floats(0, 0.9999), st.floats(1e-3, 10))
def test_the_inflow_for_a_share_replaces_that_share(share: float, volume: float) -> None:
    inflow = inflow_for_replacement(replaced_share=share, tank_volume=volume)
    assert water_replaced(inflow_volume=inflow, tank_volume=volume) == pytest.approx(share, abs=1e-12)


@given(st.floats(0, 5), st.floats(0, 5))
def test_replacing_twice_is_replacing_in_one_go(first: float, second: float) -> None:
    kept = [1 - water_replaced(inflow_volume=v, tank_volume=1.0) for v in (first, second, first + second)]
    assert kept[0] * kept[1] == pytest.approx(kept[2], abs=1e-12)


def test_freeboard_buys_the_minutes_it_holds() -> None:
    # 3 cm over 60 x 30 cm is 5.4 L: 81 min at 4 L/h, 40 min at 8 L/h
    minutes = [time_to_spill(freeboard_volume=5.4e-3, inflow=q * L_PER_H) / 60 for q in (4.0, 8.0)]
    assert minutes == pytest.approx([81.0, 40.5])


@pytest.mark.parametrize(
    ("gauge", "ratio"), [(1e3, 1.010), (2e3, 1.020), (5e3, 1.049), (1e4, 1.099), (2e4, 1.197), (5e4, 1.493)]
)
def test_air_under_pressure_is_denser_by_boyles_law(gauge: float, ratio: float) -> None:
    assert round(density_ratio(gauge), 3) == ratio
    assert free_air_flow(flow=1e-3, gauge_pressure=gauge) == pytest.approx(1e-3 * density_ratio(gauge))


def test_warm_air_measured_is_less_air_when_cold() -> None:
    cold = free_air_flow(flow=1e-3, gauge_pressure=0.0, temperature=313.15, free_temperature=293.15)
    assert cold == pytest.approx(1e-3 * 293.15 / 313.15)
    assert not math.isclose(cold, 1e-3)
