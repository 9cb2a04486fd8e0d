"""Chlorine by the programs' clock: printed hours, an independent integrator, carbon, doses."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import settings as test_settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from tankwright.room.model import ProgramRun
from tankwright.systems.water import solve_water
from tankwright.systems.water_chlorine import DAY, chlorine_day, course_of_tanks, day_of
from tankwright.systems.water_life_model import WaterLife

from .water_rooms import DRIP, TAP, carbon_room, water_room

HOUR = 3600.0
STOCK = '[[stock]]\ntanks = "A1"\nfeed = "1 g/day"\n'


def program(start: float, hours: float) -> ProgramRun:
    return ProgramRun(start=start * HOUR, duration=hours * HOUR, runs_a_week=7.0)


def life_of(*parts: str, litres: float = 40.0) -> WaterLife:
    life = solve_water(water_room(*parts, litres=litres), DRIP).life
    assert life is not None
    return life


def carbon_life_of(tap: str) -> WaterLife:
    """The same room with carbon in its feed."""
    life = solve_water(carbon_room(tap, STOCK), DRIP).life
    assert life is not None
    return life


# --- the clock ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("limit", "hours", "decimals"), [(2e-5, 2.4, 1), (5e-5, 6.0, 0)])
def test_an_untreated_drip_comes_to_the_printed_levels_in_the_printed_hours(
    limit: float, hours: float, decimals: int
):
    """2 mg/L, 10 % a day, no decay: arithmetic of the trade notes, "2.4 h" and "6 h"."""
    day = day_of(((program(0.0, 24.0),),))
    assert day is not None
    course = course_of_tanks(day, np.array([[0.1 / DAY]]), np.array([2e-3]), 0.0)
    after, opened = course.harm(limit)
    assert round(float(after[0]) / HOUR, decimals) == hours
    assert float(opened[0]) == pytest.approx(float(after[0]))


TWO_FEEDS = ((program(22.5, 3.0), program(9.0, 0.5)), (program(0.5, 2.0),))
TURNOVERS = np.array([[2e-5, 0.0], [1e-5, 4e-5]])
BROUGHT = np.array([8e-4, 2e-4])


def change(time: float, level: float, tank: int, decay: float) -> float:
    """Chlorine of a tank a second, time counted from midnight."""
    slope = -decay * level
    for row, turnover, brought in zip(TWO_FEEDS, TURNOVERS[:, tank], BROUGHT, strict=True):
        if any((time - run.start) % DAY < run.duration for run in row):
            slope += turnover * (brought - level)
    return slope


@pytest.mark.parametrize("tank", [0, 1])
@pytest.mark.parametrize("decay", [0.02 / HOUR, 0.5 / HOUR])
def test_the_day_that_repeats_is_what_an_integrator_comes_to(tank: int, decay: float):
    day = day_of(TWO_FEEDS)
    assert day is not None
    settled = course_of_tanks(day, TURNOVERS, BROUGHT, decay).settled[tank]
    begins = day.begins
    days = 1 + math.ceil(16.0 / (decay * DAY))
    marks = np.concatenate(([0.0], np.cumsum(day.lengths)))
    level, start = 0.0, begins
    for _ in range(days):
        found = [level]
        for first, last in pairwise(marks):
            solved = solve_ivp(
                lambda time, y: [change(time, y[0], tank, decay)], (start + first, start + last - 1e-6), [found[-1]],
                rtol=1e-8, atol=1e-12,
            )  # fmt: skip
            found.append(float(solved.y[0, -1]))
        level = found[-1]
        start += DAY
    assert settled == pytest.approx(found, rel=1e-4, abs=1e-10)  # the integrator's own error over the days


@pytest.mark.parametrize("limit", [1e-5, 5e-5, 8e-5])
def test_the_first_crossing_is_where_stepping_from_clean_water_finds_it(limit: float):
    day, decay = day_of(TWO_FEEDS), 0.02 / HOUR
    assert day is not None
    after, opened = course_of_tanks(day, TURNOVERS, BROUGHT, decay).harm(limit)
    for tank in (0, 1):
        level, time, drip, step = 0.0, 0.0, 0.0, 10.0
        while level < limit and time < 60 * DAY:
            clock = day.begins + time + step / 2.0
            level += step * change(clock, level, tank, decay)
            is_open = any((clock - run.start) % DAY < run.duration for row in TWO_FEEDS for run in row)
            drip += step if is_open else 0.0
            time += step
        if time >= 60 * DAY:
            assert math.isinf(after[tank])
        else:
            assert after[tank] == pytest.approx(time, rel=2e-3, abs=30.0)  # steps of 10 s
            assert opened[tank] == pytest.approx(drip, rel=2e-3, abs=30.0)  # steps of 10 s


@test_settings(max_examples=40, deadline=None)
@given(
    turnover=st.floats(1e-7, 1e-3), brought=st.floats(1e-5, 5e-3), decay=st.floats(0.0, 1e-3),
    hours=st.floats(0.1, 23.0),
)  # fmt: skip
def test_more_decay_never_makes_more_chlorine_nor_harm_sooner(
    turnover: float, brought: float, decay: float, hours: float
):
    day = day_of(((program(3.0, hours),),))
    assert day is not None
    found = [
        course_of_tanks(day, np.array([[turnover]]), np.array([brought]), fading)
        for fading in (decay, 2 * decay + 1e-9)
    ]
    peaks = [float(course.settled.max()) for course in found]
    times = [float(course.harm(2e-5)[0][0]) for course in found]
    assert peaks[1] <= peaks[0] * (1 + 1e-9) <= brought * (1 + 2e-9)
    assert times[1] >= times[0] * (1 - 1e-9)
    assert math.isinf(times[0]) == (peaks[0] <= 2e-5)


# --- a room -------------------------------------------------------------------------------------------------------


def test_a_bare_drip_harms_and_its_chart_has_the_same_peak():
    life = life_of(TAP, STOCK)
    one = life.chlorine[0]
    assert one.fresh is None
    assert one.begins == 2 * HOUR
    assert one.bare.peak.low < one.bare.peak.value < one.bare.peak.high
    assert one.bare.harm.low <= one.bare.harm.value
    day = chlorine_day(water_room(TAP, STOCK, litres=40.0), life, one, fresh=False)
    assert max(value for _, _, value, _ in day) == pytest.approx(one.bare.peak.value)
    assert max(high for *_, high in day) == pytest.approx(one.bare.peak.high)
    assert day[0][0] == 0.0
    assert day[-1][0] == DAY
    assert [time for time, *_ in day] == sorted(time for time, *_ in day)


def test_fresh_carbon_takes_chlorine_and_lets_chloramine_through():
    chlorine = carbon_life_of(TAP).chlorine[0]
    assert chlorine.fresh is not None
    assert chlorine.fresh.peak.high == 0.0
    assert math.isinf(chlorine.fresh.harm.low)
    chloramine = carbon_life_of(TAP.replace('"chlorine"', '"chloramine"')).chlorine[0]
    assert chloramine.fresh is not None
    assert chloramine.fresh.peak.value == pytest.approx(
        0.5 * chloramine.bare.peak.value
    )  # the share assumed to pass
    unknown = carbon_life_of(TAP.replace('"chlorine"', '"not known"')).chlorine[0]
    assert unknown.fresh is not None
    assert unknown.fresh.peak.value == 0.0 < unknown.fresh.peak.high


def test_carbon_lasts_what_it_takes_over_litres_and_chlorine():
    carbon = carbon_life_of(TAP).carbons[0]
    assert carbon.volume_a_day == pytest.approx(0.016)  # four tanks, 4 L/h, an hour a day
    assert carbon.lasts.value / DAY == pytest.approx(20.0 / (16.0 * 0.3e-3))  # 20 g, 16 L a day, 0.3 mg/L
    assert carbon.lasts.low / DAY == pytest.approx(5.0 / (16.0 * 0.3e-3))


def test_a_batch_is_dosed_by_the_field_guide():
    """AWWA field guide, Table 7-2: 1.9 of thiosulfate and 2.8 of ascorbate a part of chlorine."""
    dose = life_of(TAP, STOCK).doses[0]
    assert dose.volume == 0.1
    assert dose.thiosulfate.value * 1e6 == pytest.approx(100 * 0.3 * 1.9)  # mg for 100 L at 0.3 mg/L
    assert dose.ascorbate.value * 1e6 == pytest.approx(100 * 0.3 * 2.8)
    assert dose.thiosulfate.low < dose.thiosulfate.value < dose.thiosulfate.high


def test_water_without_chlorine_builds_nothing_up_and_wants_no_dose():
    life = life_of(TAP.replace("0.3 mg/L", "0 mg/L"), STOCK)
    assert all(one.bare.peak.high == 0.0 and math.isinf(one.bare.harm.low) for one in life.chlorine)
    assert life.doses == ()
    assert life.carbons == ()


@pytest.mark.parametrize(
    ("days", "apart"), [("daily", 1.0), ("every second day", 2.0), ("weekly", 7.0), ("weekends", 1.0)]
)
def test_runs_lie_as_far_apart_as_the_program_says(days: str, apart: float):
    """One run an interval, open for T: peak = rise / (1 - exp(-(turnover + decay) T - decay (interval - T)))."""
    room = water_room(TAP, STOCK, litres=40.0)
    often = {"daily": 7.0, "every second day": 3.5, "weekly": 1.0, "weekends": 2.0}[days]
    runs = tuple(
        replace(run, programs=tuple(replace(one, runs_a_week=often) for one in run.programs))
        for run in room.feeds
    )
    life = solve_water(replace(room, feeds=runs), DRIP).life
    assert life is not None
    assert room.laws is not None
    decay, turnover, open_for = room.laws.chlorine_decay.value, 0.1 / HOUR, HOUR
    rate = turnover + decay
    rise = turnover * 0.3e-3 / rate * -math.expm1(-rate * open_for)
    peak = rise / -math.expm1(-rate * open_for - decay * (apart * DAY - open_for))
    one = life.chlorine[0]
    assert one.every == apart * DAY
    assert one.bare.peak.value == pytest.approx(peak, rel=1e-9)
    assert one.steady is (days != "weekends")
