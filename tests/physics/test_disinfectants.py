"""Chlorine: the field guide's factors, theory as their bounds, and how a drip of untreated water builds up."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from tankwright.physics.disinfectants import (
    AGENTS,
    CHLORINE_LIMIT,
    ammonia_from_chloramine,
    ascorbate_dose,
    carbon_life,
    chlorine_in_dripped_tank,
    thiosulfate_dose,
    time_to_chlorine,
)
from tankwright.physics.ranges import OutsideValidRange
from tankwright.physics.water_arrays import approached, time_to_approach

DAY, HOUR, MG_L = 86400.0, 3600.0, 1e-3
TENTH_A_DAY = 0.006 / DAY  # of 60 L


# AWWA field guide, Disinfection of Pipelines and Storage Facilities, Table 7-2, mg an mg of chlorine at pH 7
@pytest.mark.parametrize(
    ("name", "printed"),
    [("sodium bisulfite", 1.61), ("sodium metabisulfite", 1.47), ("sodium sulfite", 1.96),
     ("sodium thiosulfate", 1.9), ("calcium thiosulfate", 1.22), ("ascorbic acid", 2.5), ("sodium ascorbate", 2.8)],
)  # fmt: skip
def test_the_field_guide_lies_within_the_bounds_of_theory(name: str, printed: float) -> None:
    agent = AGENTS[name]
    assert agent.field == printed
    assert agent.least <= printed <= agent.most


def test_the_bounds_of_thiosulfate() -> None:
    # crystals with five waters, by molar masses: 0.875 to sulfate, 7.00 to tetrathionate
    assert round(AGENTS["sodium thiosulfate"].least, 3) == 0.875
    assert round(AGENTS["sodium thiosulfate"].most, 2) == 7.00
    assert round(AGENTS["ascorbic acid"].least, 3) == 2.484


def test_doses_for_a_hundred_litres_at_two_milligrams() -> None:
    water = {"chlorine": 2 * MG_L, "water_volume": 0.1}
    assert thiosulfate_dose(**water) * 1e6 == pytest.approx(380)
    assert thiosulfate_dose(**water, per_chlorine=7.0) * 1e6 == pytest.approx(1400)
    assert ascorbate_dose(**water) * 1e6 == pytest.approx(560)
    assert ascorbate_dose(**water, per_chlorine=2.5) * 1e6 == pytest.approx(500)


@pytest.mark.parametrize(("strength", "covers"), [(0.03, 5.0), (0.10, 15.0)])
def test_the_drop_in_a_sampling_bottle_covers_what_the_standard_says(strength: float, covers: float) -> None:
    # Standard Methods: 0.1 mL of 3 % thiosulfate in 120 mL covers 5 mg/L, of 10 % covers 15 mg/L
    in_bottle = strength * 1e-4  # kg, as 0.1 mL of 1 kg/L
    needed = thiosulfate_dose(chlorine=covers * MG_L, water_volume=120e-6)
    most = thiosulfate_dose(chlorine=covers * MG_L, water_volume=120e-6, per_chlorine=7.0)
    assert needed < in_bottle < most


def test_chloramine_leaves_its_ammonia() -> None:
    assert round(ammonia_from_chloramine(chloramine=1 * MG_L) / MG_L, 3) == 0.198
    assert round(ammonia_from_chloramine(chloramine=3 * MG_L) / MG_L, 2) == 0.59


# 2 mg/L dripped at a tenth of the tank a day: 0.02 mg/L in 2.4 h, 0.05 mg/L in 6 h
@pytest.mark.parametrize(("limit", "hours"), [(0.02, 2.4), (0.05, 6.0)])
def test_untreated_water_builds_up_within_hours(limit: float, hours: float) -> None:
    water = {"inflow": TENTH_A_DAY, "tank_volume": 0.06, "source_chlorine": 2 * MG_L}
    reached = time_to_chlorine(**water, limit=limit * MG_L) / HOUR
    assert reached == pytest.approx(hours, abs=0.1)  # 6 h is 6.08 h
    there = chlorine_in_dripped_tank(**water, time=reached * HOUR)
    assert there == pytest.approx(limit * MG_L, rel=1e-9)


@given(
    st.floats(0.01, 5.0), st.floats(0.1, 5.0), st.floats(0.0, 20.0), st.floats(0.0, 2.0), st.floats(0.001, 3.0)
)  # fmt: skip
def test_the_time_is_when_the_tank_reads_the_limit_or_there_is_none(
    turnover: float, source: float, decay: float, demand: float, limit: float
) -> None:
    water = {
        "inflow": turnover * 0.06 / DAY, "tank_volume": 0.06, "source_chlorine": source * MG_L,
        "decay": decay / DAY, "demand": demand * MG_L,
    }  # fmt: skip
    settled = max(source - demand, 0.0) * turnover / (turnover + decay)
    assume(abs(settled - limit) > 1e-3 * limit)
    if limit > settled:
        with pytest.raises(OutsideValidRange) as caught:
            time_to_chlorine(**water, limit=limit * MG_L)
        assert caught.value.quantity == "limit"
    else:
        time = time_to_chlorine(**water, limit=limit * MG_L)
        assert chlorine_in_dripped_tank(**water, time=time) == pytest.approx(limit * MG_L, rel=1e-6)


def test_decay_and_demand_only_help() -> None:
    water = {"inflow": TENTH_A_DAY, "tank_volume": 0.06, "source_chlorine": 2 * MG_L, "time": 6 * HOUR}
    worst = chlorine_in_dripped_tank(**water)
    assert chlorine_in_dripped_tank(**water, decay=1 / DAY) < worst
    assert chlorine_in_dripped_tank(**water, demand=1 * MG_L) == pytest.approx(worst / 2)
    assert chlorine_in_dripped_tank(**water, demand=3 * MG_L) == 0.0


def test_with_no_drip_chlorine_only_fades() -> None:
    left = chlorine_in_dripped_tank(
        inflow=0.0, tank_volume=0.06, source_chlorine=2 * MG_L, time=DAY, decay=1 / DAY,
        start_chlorine=1 * MG_L,
    )  # fmt: skip
    assert left == pytest.approx(MG_L * np.exp(-1.0))


def test_many_tanks_at_once() -> None:
    turnover = np.array([0.0, 0.1, 0.5]) / DAY
    decay = np.array([0.0, 1e3, 0.0]) / DAY
    times = time_to_approach(0.0, turnover * 2 * MG_L, turnover + decay, CHLORINE_LIMIT)
    assert np.isinf(times[:2]).all()
    assert approached(0.0, turnover * 2 * MG_L, turnover + decay, times[2])[2] == pytest.approx(
        CHLORINE_LIMIT
    )


def test_carbon_lasts_by_what_it_takes() -> None:
    filter_ = {"carbon_volume": 1e-3, "capacity": 100.0}
    assert carbon_life(**filter_, chlorine=1 * MG_L, used_share=1.0) == pytest.approx(100.0)
    assert carbon_life(**filter_, chlorine=2 * MG_L) == pytest.approx(25.0)
