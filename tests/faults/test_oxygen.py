"""Oxygen through a fault: against what the study says of standing air, and against an integrator."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from tankwright.faults.oxygen import oxygen_course
from tankwright.faults.pieces import pieces_of
from tankwright.physics.oxygen import oxygen_saturation, reaeration_coefficient
from tankwright.physics.respiration import respiration_when_warmed
from tankwright.room.model_broken import Broken
from tankwright.systems.oxygen import levels_without_air

from .life_rooms import harms_at, lived, still_water, study_of, warmth_of

STUDY = study_of("cellar.toml")
PUMP = Broken(kind="air pump", what="piston80")


def test_with_the_pump_dead_and_nothing_else_changed_the_times_are_those_of_the_study() -> None:
    assert STUDY.oxygen is not None
    life = lived(STUDY, PUMP)
    counted = 0
    for row in STUDY.oxygen.tanks:
        assert row.trouble is not None
        assert row.steady is not None
        found = harms_at(life, "oxygen", row.tank)
        times = (row.trouble.low, row.trouble.value, row.trouble.high)
        if min(times) <= 0.0 or min(times) > life.times[-1]:  # without air as it is, or never
            assert not found
            continue
        (harm,) = found
        for when, known in zip((harm.earliest, harm.time, harm.latest), times, strict=True):
            assert when == pytest.approx(known if known <= life.times[-1] else math.inf, rel=1e-9)
        counted += 1
    assert counted > 20


def test_the_levels_are_those_of_the_study_over_the_whole_band() -> None:
    assert STUDY.oxygen is not None
    life = lived(STUDY, PUMP)
    for name in ("A3", "C3", "D6"):
        row = STUDY.oxygen.tank(name)
        assert row is not None
        for found, known in zip(
            life.oxygen[:, :, life.tanks.index(name)],
            levels_without_air(row, life.times.tolist()),
            strict=True,
        ):
            assert found == pytest.approx(known, rel=1e-9)


def test_a_tank_that_keeps_its_air_stays_as_it_was_at_both_ends_of_the_band() -> None:
    life = lived(STUDY, Broken(kind="heater off", what="A3"), warmth=warmth_of(STUDY, {}))
    column = life.tanks.index("A3")
    assert life.oxygen[:, :, column] == pytest.approx(life.oxygen[1, 0, column], rel=1e-9)


def test_a_tank_that_loses_part_of_its_air_has_part_of_the_band() -> None:
    fallen, dead = lived(STUDY, Broken(kind="air tap", what="ring", at="ring.tap 18")), lived(STUDY, PUMP)
    column = fallen.tanks.index("A3")
    some, whole = (np.ptp(life.oxygen[:, -1, column]) for life in (fallen, dead))
    assert 0.0 < some < 0.2 * whole
    assert not harms_at(fallen, "oxygen", "A3")
    assert harms_at(fallen, "oxygen", "D6")  # whose tap it is


def test_cooling_water_running_out_and_new_water_coming_in_are_followed_as_an_integrator_does() -> None:
    assert STUDY.oxygen is not None
    assert STUDY.room.laws is not None
    row = STUDY.oxygen.tank("C3")
    assert row is not None
    assert row.demand is not None
    demand, surface, wanted = row.demand, row.surface, row.temperature.value
    horizon, drip = 80_000.0, 1e-7
    warm, share = np.linspace(wanted, wanted - 9.0, 41), np.linspace(1.0, 0.4, 41)
    water = still_water(STUDY, rows=41, horizon=horizon, flows={"drip": drip}, shares={"C3": share})
    life = lived(STUDY, PUMP, water=water, warmth=warmth_of(STUDY, {"C3": warm}, horizon=horizon))
    still, pressure = STUDY.room.laws.still.value, STUDY.oxygen.pressure

    def balance(time: float, level: np.ndarray) -> list[float]:
        at = wanted - 9.0 * time / horizon
        volume = row.volume * (1.0 - 0.6 * time / horizon)
        taken = reaeration_coefficient(water_temperature=at, still_transfer=still) * surface + drip
        used = respiration_when_warmed(respiration=demand.fish, old_temperature=wanted, new_temperature=at)
        return [
            (taken * (oxygen_saturation(at, pressure=pressure) - level[0]) - used - demand.filter) / volume
        ]

    start = float(life.oxygen[1, 0, life.tanks.index("C3")])
    assert row.steady is not None
    assert start == pytest.approx(row.steady.value, rel=1e-9)
    run = solve_ivp(
        balance, (0.0, horizon), [start], rtol=1e-9, atol=1e-12, t_eval=[20_000.0, 40_000.0, horizon]
    )
    found = np.interp([20_000.0, 40_000.0, horizon], life.times, life.oxygen[1, :, life.tanks.index("C3")])
    assert found == pytest.approx(run.y[0], rel=1e-3)  # pieces hold the mean temperature of a quarter kelvin


def test_warmer_water_is_in_trouble_sooner() -> None:
    times = []
    for over in (-3.0, 0.0, 3.0):
        warm = np.linspace(297.15, 297.15 + over, 5)
        life = lived(STUDY, PUMP, warmth=warmth_of(STUDY, {"C3": warm}, horizon=216_000.0))
        times.append(harms_at(life, "oxygen", "C3")[0].time)
    assert times[0] > times[1] > times[2]


def test_beyond_what_is_published_the_level_is_not_known_and_told() -> None:
    life = lived(
        STUDY,
        Broken(kind="heater on", what="A3"),
        warmth=warmth_of(STUDY, {"A3": np.linspace(297.15, 320.0, 30)}),
    )
    level = life.oxygen[1, :, life.tanks.index("A3")]
    assert np.isfinite(level[0])
    assert np.isnan(level[-1])
    assert any("A3" in subject and "temperatures" in reason for subject, reason in life.not_computed)


def test_air_that_is_not_known_gives_no_level() -> None:
    names = tuple(tank.id for tank in STUDY.room.tanks)
    still = (np.full(len(names), 0.05), np.zeros(len(names)), np.full(len(names), 297.15))
    course = oxygen_course(STUDY, pieces_of(names, still, still_water(STUDY), None), {})
    assert np.isnan(course.level[1, -1, names.index("A3")])
    assert not np.isfinite(course.level[1, -1]).any()
