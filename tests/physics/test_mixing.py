"""Batch and drip, tanks in a row, cold water: printed shares, worked examples, conserved heat and water."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankwright.physics.mixing import (
    WATER_HEAT_CAPACITY,
    cold_fill_temperature,
    drip_efficiency,
    drip_over_batch,
    drip_temperature_drop,
    inflow_for_replacement,
    remaining_after_changes,
    remaining_after_turnovers,
    steady_drip_temperature,
    water_replaced,
)
from tankwright.physics.ranges import OutsideValidRange

ZERO = 273.15
L_PER_H = 1 / 3.6e6


# Worked apart: (1 - e^-x) / x
@pytest.mark.parametrize(
    ("turnovers", "share"), [(0.10, 0.952), (0.25, 0.885), (0.50, 0.787), (1.0, 0.632), (2.0, 0.432)]
)
def test_a_drip_throws_some_new_water_away(turnovers: float, share: float) -> None:
    assert round(drip_efficiency(turnovers=turnovers), 3) == share
    replaced = water_replaced(inflow_volume=turnovers, tank_volume=1.0)
    assert drip_efficiency(turnovers=turnovers) == pytest.approx(replaced / turnovers)


def test_half_the_water_takes_half_a_tank_at_a_stroke_and_seven_tenths_by_drip() -> None:
    assert round(inflow_for_replacement(replaced_share=0.5, tank_volume=1.0), 3) == 0.693
    assert drip_over_batch(replaced_share=0.5) * 0.5 == pytest.approx(0.693, abs=0.0005)


@given(st.floats(1e-6, 0.999))
def test_a_drip_never_needs_less_than_a_change_at_a_stroke(share: float) -> None:
    assert drip_over_batch(replaced_share=share) >= 1.0


@given(st.floats(0.0, 1.0), st.integers(0, 30))
def test_changes_at_a_stroke_multiply(share: float, changes: int) -> None:
    left = 1.0
    for _ in range(changes):
        left *= 1.0 - share
    assert remaining_after_changes(changed_share=share, changes=changes) == pytest.approx(left)


@pytest.mark.parametrize(("tanks", "left"), [(1, 0.3679), (2, 0.7358), (3, 0.9197), (5, 0.9963)])
def test_old_water_in_the_last_of_a_row_of_tanks(tanks: int, left: float) -> None:
    # Poisson table at a mean of 1, cumulative: 0.3679, 0.7358, 0.9197, 0.9810, 0.9963
    assert round(remaining_after_turnovers(turnovers=1.0, tanks_in_row=tanks), 4) == left


@given(st.floats(0.0, 100.0), st.integers(1, 99))
def test_a_longer_row_holds_more_and_a_longer_run_less(turnovers: float, tanks: int) -> None:
    here = remaining_after_turnovers(turnovers=turnovers, tanks_in_row=tanks)
    assert 0.0 <= here <= remaining_after_turnovers(turnovers=turnovers, tanks_in_row=tanks + 1) <= 1.0
    assert remaining_after_turnovers(turnovers=turnovers / 2, tanks_in_row=tanks) >= here - 1e-12


def test_one_tank_of_a_row_is_a_tank() -> None:
    alone = 1.0 - water_replaced(inflow_volume=0.7, tank_volume=1.0)
    assert remaining_after_turnovers(turnovers=0.7) == pytest.approx(alone)
    with pytest.raises(OutsideValidRange):
        remaining_after_turnovers(turnovers=0.7, tanks_in_row=2.5)


@pytest.mark.parametrize(("tank", "source", "share", "mixed"), [(26, 15, 0.25, 23.25), (26, 10, 0.30, 21.2)])
def test_a_cold_fill(tank: float, source: float, share: float, mixed: float) -> None:
    filled = cold_fill_temperature(
        tank_temperature=tank + ZERO, source_temperature=source + ZERO, changed_share=share
    )
    assert filled - ZERO == pytest.approx(mixed)


def drop_after(hours: float, *, flow: float = 4.0, loss: float = 7.0, power: float = 20.0) -> float:
    return drip_temperature_drop(
        tank_temperature=26 + ZERO, source_temperature=10 + ZERO, room_temperature=24 + ZERO,
        inflow=flow * L_PER_H, tank_volume=0.054, time=hours * 3600, heat_loss=loss, heater_power=power,
    )  # fmt: skip


def test_a_long_drip_ends_at_the_steady_temperature() -> None:
    steady = steady_drip_temperature(
        inflow=4.0 * L_PER_H, source_temperature=10 + ZERO, room_temperature=24 + ZERO, heat_loss=7.0,
        heater_power=20.0,
    )  # fmt: skip
    assert 26 + ZERO - drop_after(2000.0) == pytest.approx(steady, abs=1e-9)
    assert 10 + ZERO < steady < 26 + ZERO


def test_a_drip_without_loss_cools_as_it_replaces() -> None:
    replaced = water_replaced(inflow_volume=0.020, tank_volume=0.054)
    assert drop_after(5.0, loss=0.0, power=0.0) == pytest.approx(16.0 * replaced)


def test_the_closed_form_is_what_small_steps_make_of_it() -> None:
    temperature, step = 26.0, 1.0
    for _ in range(3 * 3600):
        gained = WATER_HEAT_CAPACITY * 4.0 * L_PER_H * (10 - temperature) + 7.0 * (24 - temperature) + 20.0
        temperature += step * gained / (WATER_HEAT_CAPACITY * 0.054)
    # steps of a second in some hours: 1e-4 of the drop
    assert drop_after(3.0) == pytest.approx(26.0 - temperature, rel=3e-4)


def test_no_drip_and_no_loss_warm_straight() -> None:
    risen = -drop_after(1.0, flow=0.0, loss=0.0, power=62.7)
    assert risen == pytest.approx(62.7 * 3600 / (WATER_HEAT_CAPACITY * 0.054))
    assert math.isclose(risen, 1.0, rel_tol=0.005)  # 1.16 Wh a litre and degree, the rule of heaters
