"""A filter growing in: the worked table of seeds, an independent integrator, and what must always hold."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from tankwright.physics.nitrifier_growth import (
    DAY,
    NITRIFIERS_FAST,
    NITRIFIERS_SLOW,
    Nitrifier,
    NitrifierCourse,
    integrate,
    nitrifier_course,
)
from tankwright.physics.nitrifiers import time_until_cycled
from tankwright.physics.ranges import OutsideValidRange

DOSE, WARM = 2e-3 / DAY, 299.15


def course_of(seed: float, kinds: tuple[Nitrifier, Nitrifier], days: float = 60.0) -> NitrifierCourse:
    return nitrifier_course(dose=DOSE, seed=seed, temperature=WARM, duration=days * DAY, kinds=kinds)


def test_growth_at_another_temperature() -> None:
    # worked apart: 0.376 and 0.531 1/d at 26 °C if measured at 30 °C, 0.945 and 0.962 if at 20 °C
    for kinds, expected in ((NITRIFIERS_SLOW, (0.376, 0.531)), (NITRIFIERS_FAST, (0.945, 0.962))):
        assert tuple(round(kind.growth_at(WARM, 1e12) * DAY, 3) for kind in kinds) == expected


# Worked apart, in whole days: 2 mg N/L a day at 26 °C, seed in kg/m3
@pytest.mark.parametrize(
    ("seed", "slow", "fast"), [(1e-4, 20, 6), (1e-5, 26, 11), (1e-6, 39, 17), (1e-7, 54, 23)]
)
def test_the_table_of_seeds(seed: float, slow: float, fast: float) -> None:
    for kinds, day in ((NITRIFIERS_SLOW, slow), (NITRIFIERS_FAST, fast)):
        # 0.6 for a table in days, some of them counted and some rounded (39 is 39.6 here, 26 is 25.7)
        assert course_of(seed, kinds).cycled_at / DAY == pytest.approx(day, abs=0.6)


@pytest.mark.parametrize(
    ("seed", "ammonia_day", "nitrite_day"), [(1e-5, 17, 23), (1e-6, 24, 33), (1e-7, 32, 47)]
)
def test_the_peaks_of_the_table(seed: float, ammonia_day: float, nitrite_day: float) -> None:
    course = course_of(seed, NITRIFIERS_SLOW)
    # whole days there, steps of half a day here
    assert course.ammonia_peak_at / DAY == pytest.approx(ammonia_day, abs=0.75)
    assert course.nitrite_peak_at / DAY == pytest.approx(nitrite_day, abs=0.75)


@pytest.mark.parametrize("kinds", [NITRIFIERS_SLOW, NITRIFIERS_FAST], ids=["slow", "fast"])
@pytest.mark.parametrize("seed", [1e-4, 1e-7])
def test_an_independent_integrator_agrees(seed: float, kinds: tuple[Nitrifier, Nitrifier]) -> None:
    first, second = kinds
    growths = [kind.growth_at(WARM, 7e-3) for kind in kinds]

    def change(_: float, y: np.ndarray) -> list[float]:
        grown = growths[0] * y[2] * y[0] / (first.half_saturation + y[0])
        after = growths[1] * y[3] * y[1] / (second.half_saturation + y[1])
        oxidised = grown / first.yielded
        return [
            DOSE - oxidised,
            oxidised - after / second.yielded,
            grown - first.decay * y[2],
            after - second.decay * y[3],
        ]

    course = course_of(seed, kinds)
    exact = solve_ivp(
        change, (0.0, 60 * DAY), [0.0, 0.0, seed, seed], method="LSODA", rtol=1e-9, atol=1e-15,
        t_eval=course.times,
    ).y  # fmt: skip
    # 0.005 mg/L where the peaks are 3 to 58 mg/L
    assert np.max(np.abs(exact[0] - course.ammonia)) < 5e-6
    assert np.max(np.abs(exact[1] - course.nitrite)) < 5e-6


@settings(max_examples=15, deadline=None)
@given(st.floats(0.2, 4.0), st.floats(-8.0, -4.0), st.floats(290.0, 304.0))
def test_nitrogen_is_kept_and_nothing_falls_below_nought(dose: float, seed: float, warm: float) -> None:
    course = nitrifier_course(dose=dose * 1e-3 / DAY, seed=10**seed, temperature=warm, duration=40 * DAY)
    total = np.array(course.ammonia) + course.nitrite + course.nitrate
    given_so_far = dose * 1e-3 * np.array(course.times) / DAY
    assert total == pytest.approx(given_so_far, abs=1e-6)  # 0.001 mg/L, the accuracy of the steps
    assert min(course.ammonia + course.nitrite + course.nitrate) >= 0.0
    assert course.times[-1] == 40 * DAY


def test_ammonia_peaks_before_nitrite() -> None:
    for seed in (1e-4, 1e-6):
        course = course_of(seed, NITRIFIERS_SLOW)
        assert course.ammonia_peak_at < course.nitrite_peak_at < course.cycled_at


def test_more_seed_and_more_warmth_are_sooner() -> None:
    seeds = [time_until_cycled(dose=DOSE, seed=seed, temperature=WARM) for seed in (1e-7, 1e-6, 1e-5, 1e-4)]
    assert seeds == sorted(seeds, reverse=True)
    warm = [
        time_until_cycled(dose=DOSE, seed=1e-5, temperature=t, limit=0.5e-3) for t in (294.15, 298.15, 302.15)
    ]
    assert warm == sorted(warm, reverse=True)


def test_a_filter_of_full_size_is_ready_at_once() -> None:
    assert time_until_cycled(dose=1e-3 / DAY, seed=1e-2, temperature=WARM) == 0.0


def test_cold_water_without_hope_is_refused() -> None:
    with pytest.raises(OutsideValidRange) as caught:
        time_until_cycled(dose=DOSE, seed=1e-5, temperature=284.15)
    assert caught.value.quantity == "time"


def test_media_too_small_for_the_dose_never_come_down() -> None:
    common = {"dose": DOSE, "seed": 1e-5, "temperature": WARM, "duration": 60 * DAY}
    assert nitrifier_course(**common, capacity=8 * DOSE).cycled_at < 60 * DAY
    assert math.isinf(nitrifier_course(**common, capacity=0.9 * DOSE).cycled_at)


def test_the_integrator_keeps_a_pendulum_swinging() -> None:
    times, states = integrate(lambda y: (y[1], -y[0]), (1.0, 0.0), 20.0, scale=(1.0, 1.0), accuracy=1e-8)
    for time, (place, speed) in zip(times, states, strict=True):
        assert place == pytest.approx(math.cos(time), abs=1e-5)
        assert speed == pytest.approx(-math.sin(time), abs=1e-5)
