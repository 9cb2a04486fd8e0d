"""Feed to ammonia to nitrate: printed factors, worked examples, and what a mass balance must always hold."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankwright.physics.nitrification import (
    alkalinity_for_nitrification,
    ammonia_from_feed,
    change_for_nitrate,
    nitrate_after,
    nitrate_after_changes,
    nitrate_before_change,
    nitrate_from_nitrogen,
    nitrification_capacity,
    nitrification_rate,
    oxygen_for_nitrification,
    steady_ammonia,
    steady_nitrate,
)
from tankwright.physics.ranges import OutsideValidRange

DAY, WEEK = 86400.0, 604800.0
MG_L = 1e-3
loads = st.floats(1e-12, 1e-6)


def test_ten_grams_of_food_a_day() -> None:
    # Timmons and Ebeling, Recirculating Aquaculture, from memory: 10 g/d at 45 % protein x 0.092 = 0.414 g/d
    assert round(ammonia_from_feed(feed=0.010 / DAY, protein_share=0.45) * DAY * 1000, 3) == 0.414
    assert pytest.approx(0.16 * 0.80 * 0.80 * 0.90, abs=0.0005) == 0.092  # the parts it is said to be made of


def test_the_printed_factors_of_nitrification() -> None:
    # 4.57 and 7.14 in every textbook; 7.145 by today's molar masses, so the last digit of 7.14 is cut, not rounded
    assert round(oxygen_for_nitrification(nitrogen=1e-6) * 1e6, 2) == 4.57
    assert alkalinity_for_nitrification(nitrogen=1e-6) * 1e6 == pytest.approx(7.14, abs=0.006)
    assert round(nitrate_from_nitrogen(nitrogen=1e-3) * 1000, 3) == 4.427


def test_a_milligram_of_nitrogen_costs_two_fifths_of_a_degree_of_hardness() -> None:
    german_degree = 0.01785  # kg/m3 as CaCO3
    assert round(alkalinity_for_nitrification(nitrogen=1e-6) / 1e-6 * MG_L / german_degree, 2) == 0.40


def test_at_little_ammonia_a_third_of_the_capacity_works() -> None:
    assert nitrification_rate(capacity=3e-6, ammonia=0.5 * MG_L) == pytest.approx(1e-6)


def test_warmth_helps_a_film_little() -> None:
    at = [nitrification_capacity(media_volume=1e-3, rate=1e-6, temperature=t) for t in (288.15, 298.15)]
    assert at[1] == 1e-9
    assert at[0] == pytest.approx(1e-9 / 1.03**10)


@given(loads, st.floats(0.0, 1e-6), st.floats(1e-4, 5e-3), st.floats(1e-9, 1e-4), st.floats(0.0, 0.01))
def test_what_is_made_is_what_leaves_once_ammonia_is_steady(
    load: float, capacity: float, half: float, inflow: float, source: float
) -> None:
    ammonia = steady_ammonia(
        load=load, capacity=capacity, half_saturation=half, inflow=inflow, source_ammonia=source
    )
    filtered = capacity * ammonia / (half + ammonia)
    assert load + inflow * source == pytest.approx(filtered + inflow * ammonia, rel=1e-6)


def test_without_a_drip_a_filter_that_is_too_small_never_settles() -> None:
    assert steady_ammonia(load=0.5e-6, capacity=1e-6) == pytest.approx(1.0 * MG_L)
    assert steady_ammonia(load=0.0, capacity=0.0) == 0.0
    with pytest.raises(OutsideValidRange) as caught:
        steady_ammonia(load=1e-6, capacity=1e-6)
    assert caught.value.quantity == "load"


# 10 mg/L a week: 25 % weekly swings 40 to 30, 50 % 20 to 10; a drip of half a tank a week holds 20
@pytest.mark.parametrize(("share", "peak", "after"), [(0.25, 40.0, 30.0), (0.5, 20.0, 10.0)])
def test_weekly_changes_settle_between_a_peak_and_a_low(share: float, peak: float, after: float) -> None:
    rise = 10 * MG_L
    assert nitrate_before_change(rise=rise, changed_share=share) / MG_L == pytest.approx(peak)
    low = nitrate_after_changes(rise=rise, changed_share=share, changes=500.0)
    assert low / MG_L == pytest.approx(after)


def test_a_drip_holds_nitrate_at_load_over_flow() -> None:
    load, drip = 10 * MG_L * 0.1 / WEEK, 0.05 / WEEK
    steady = steady_nitrate(load=load, inflow=drip)
    assert steady / MG_L == pytest.approx(20.0)
    late = nitrate_after(start_nitrate=0.0, load=load, tank_volume=0.1, time=60 * WEEK, inflow=drip)
    assert late == pytest.approx(steady, rel=1e-9)


@given(
    st.floats(0.0, 0.1), st.floats(1e-3, 1.0), st.integers(0, 20), st.floats(0.0, 0.2), st.floats(0.0, 0.1)
)
def test_changes_one_by_one_are_the_closed_form(
    rise: float, share: float, changes: int, start: float, source: float
) -> None:
    nitrate = start
    for _ in range(changes):
        nitrate = (nitrate + rise) * (1.0 - share) + source * share
    closed = nitrate_after_changes(
        rise=rise, changed_share=share, changes=changes, start_nitrate=start, source_nitrate=source
    )
    assert closed == pytest.approx(nitrate, rel=1e-9, abs=1e-12)


def test_without_a_change_nitrate_rises_straight() -> None:
    after = nitrate_after(start_nitrate=5 * MG_L, load=1e-9, tank_volume=0.1, time=3 * WEEK)
    assert after == pytest.approx(5 * MG_L + 1e-9 * 3 * WEEK / 0.1)


@given(loads, st.floats(1e-4, 0.5), st.floats(0.0, 0.9))
def test_the_change_for_a_target_reaches_it(load: float, target: float, part: float) -> None:
    inflow = change_for_nitrate(load=load, target_nitrate=target, source_nitrate=target * part)
    if 1e-12 <= inflow <= 1.0:
        steady = steady_nitrate(load=load, inflow=inflow, source_nitrate=target * part)
        assert steady == pytest.approx(target, rel=1e-9)


@pytest.mark.parametrize("source", [20 * MG_L, 30 * MG_L])
def test_no_change_reaches_a_target_the_source_is_not_below(source: float) -> None:
    with pytest.raises(OutsideValidRange) as caught:
        change_for_nitrate(load=1e-9, target_nitrate=20 * MG_L, source_nitrate=source)
    assert caught.value.quantity == "target_nitrate"
