"""How oxygen runs down without air: against a table worked apart, an integrator, and what must always hold."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from tankwright.physics import oxygen_course
from tankwright.physics.oxygen import (
    mass_held_without_air,
    oxygen_level_after,
    oxygen_level_steady,
    oxygen_saturation,
    time_without_air,
)
from tankwright.physics.ranges import OutsideValidRange

HOUR, DAY = 3600.0, 86400.0
FULL = oxygen_saturation(299.15)  # 26 °C
RATE = 500e-6 / HOUR  # 500 mg of oxygen a kg and hour
SURFACE = {"surface_area": 0.18, "saturation_level": FULL}
TANK = {"tank_volume": 0.060, **SURFACE}
NEVER = math.inf

grams = st.floats(1, 500)
velocities = st.one_of(st.just(0.0), st.floats(0.01, 5).map(lambda metres: metres / DAY))
hours = st.floats(0.1, 100)


def lasts(mass: float, velocity: float, **changes: float) -> float:
    given_ = {"start_level": FULL, "lowest_level": 2e-3, **TANK} | changes
    return time_without_air(respiration=mass * RATE, transfer_velocity=velocity, **given_)


# Worked apart from this program: 60 L, 26 °C, 500 mg/kg/h, from saturation down to 2 mg/L. Columns: grams, hours at
# 0.6, 1.2 and 0.3 metres a day and with no surface at all, then steady mg/L at the first three.
@pytest.mark.parametrize(
    ("grams_held", "in_hours", "steady"),
    [(20, (NEVER, NEVER, NEVER, 36.7), (5.9, 7.0, 3.7)), (40, (NEVER, NEVER, 31.0, 18.3), (3.7, 5.9, None)),
     (80, (15.5, NEVER, None, 9.2), (None, 3.7, None)), (160, (5.6, 7.8, None, 4.6), (None, None, None))],
)  # fmt: skip
def test_the_table_of_a_sixty_litre_tank(
    grams_held: float, in_hours: tuple[float | None, ...], steady: tuple[float | None, ...]
) -> None:
    mass = grams_held / 1000
    for metres, wanted in zip((0.6, 1.2, 0.3, 0.0), in_hours, strict=True):
        if wanted is not None:
            assert round(lasts(mass, metres / DAY) / HOUR, 1) == wanted
    for metres, level in zip((0.6, 1.2, 0.3), steady, strict=True):
        if level is not None:
            ours = oxygen_level_steady(respiration=mass * RATE, transfer_velocity=metres / DAY, **SURFACE)
            assert round(ours * 1000, 1) == level


@pytest.mark.parametrize("metres", [0.0, 0.3, 0.6, 3.0])
@pytest.mark.parametrize(
    ("mass", "start"), [(0.08, FULL), (0.16, FULL), (0.04, 3e-3), (0.0, 1e-3), (0.1, 0.012)]
)
def test_an_integrator_runs_the_same_course(mass: float, start: float, metres: float) -> None:
    velocity, demand = metres / DAY, mass * RATE
    lasting = 4 * HOUR
    run = solve_ivp(
        lambda _, c: (velocity * 0.18 * (FULL - c) - demand) / 0.060, (0.0, lasting), [start],
        rtol=1e-10, atol=1e-14, max_step=60.0,
    )  # fmt: skip
    ours = oxygen_level_after(
        duration=lasting, respiration=demand, transfer_velocity=velocity, start_level=start, **TANK
    )
    assert ours == pytest.approx(max(run.y[0, -1], 0.0), rel=1e-8)


@given(grams, velocities)
def test_at_its_time_the_water_stands_at_its_level(mass: float, velocity: float) -> None:
    time = lasts(mass / 1000, velocity)
    if time > 1e7:
        return
    level = oxygen_level_after(
        duration=time, respiration=mass / 1000 * RATE, transfer_velocity=velocity, start_level=FULL, **TANK
    )
    assert level == pytest.approx(2e-3, rel=1e-6)


@given(hours, velocities)
def test_the_fish_a_tank_can_hold_last_exactly_so_long(time: float, velocity: float) -> None:
    held = mass_held_without_air(
        duration=time * HOUR, respiration_rate=RATE, transfer_velocity=velocity, lowest_level=2e-3, **TANK
    )
    level = oxygen_level_after(
        duration=time * HOUR, respiration=held * RATE, transfer_velocity=velocity, start_level=FULL, **TANK
    )
    assert level == pytest.approx(2e-3, rel=1e-9)
    assert lasts(held * 1.001, velocity) <= lasts(held, velocity)
    assert lasts(held * 0.999, velocity) >= time * HOUR * (1 - 1e-9)


@given(grams, velocities, st.floats(1, 2))
def test_more_fish_never_last_longer_and_more_water_or_surface_never_less(
    mass: float, velocity: float, times: float
) -> None:
    here = lasts(mass / 1000, velocity)
    more = here * (1 + 1e-12)
    less = here * (1 - 1e-12)
    assert lasts(mass / 1000 * times, velocity) <= more
    assert lasts(mass / 1000, velocity, tank_volume=0.06 * times) >= less
    assert lasts(mass / 1000, velocity * times) >= less
    assert lasts(mass / 1000, velocity, lowest_level=2e-3 * times) <= more
    assert lasts(mass / 1000, velocity, start_level=FULL / times) <= more


@given(st.floats(1, 60), st.floats(0.01, 5), st.floats(0.1, 6))
def test_what_came_in_and_what_was_stored_is_what_was_used(mass: float, metres: float, time: float) -> None:
    transfer, demand = metres / DAY * 0.18, mass / 1000 * RATE
    instants = np.linspace(0.0, time * HOUR, 401)
    levels = oxygen_course.level_after(
        duration=instants, transfer=transfer, volume=0.06, saturation=FULL, start=FULL, demand=demand
    )
    if levels[-1] <= 0.0:
        return
    came_in = np.trapezoid(transfer * (FULL - levels), instants)
    stored = 0.06 * (levels[0] - levels[-1])
    assert came_in + stored == pytest.approx(demand * time * HOUR, rel=1e-5)  # of the trapezium rule


@given(grams)
def test_a_surface_that_shrinks_away_ends_in_the_straight_line(mass: float) -> None:
    straight = 0.060 * (FULL - 2e-3) / (mass / 1000 * RATE)
    assert lasts(mass / 1000, 0.0) == pytest.approx(straight, rel=1e-12)
    assert lasts(mass / 1000, 1e-300) == pytest.approx(straight, rel=1e-12)
    assert lasts(mass / 1000, 1e-16) == pytest.approx(straight, rel=1e-5)


def test_two_spells_without_air_are_one_long_one() -> None:
    tank = {"respiration": 0.1 * RATE, "transfer_velocity": 0.6 / DAY, **TANK}
    middle = oxygen_level_after(duration=2 * HOUR, start_level=FULL, **tank)
    twice = oxygen_level_after(duration=3 * HOUR, start_level=middle, **tank)
    once = oxygen_level_after(duration=5 * HOUR, start_level=FULL, **tank)
    assert twice == pytest.approx(once, rel=1e-12)


def test_water_that_is_already_too_low_has_no_time_left_and_holds_no_fish() -> None:
    assert lasts(0.04, 0.6 / DAY, start_level=1.5e-3) == 0.0
    assert lasts(0.0, 0.6 / DAY, start_level=1.5e-3) == 0.0
    held = mass_held_without_air(
        duration=HOUR, respiration_rate=RATE, transfer_velocity=1e-5, lowest_level=0.01, **TANK
    )
    assert held == 0.0


def test_an_empty_tank_never_fails_and_a_crowded_one_ends_at_nothing_not_below() -> None:
    assert lasts(0.0, 0.0) == math.inf
    after = oxygen_level_after(
        duration=DAY, respiration=2 * RATE, transfer_velocity=1e-6, start_level=FULL, **TANK
    )
    assert after == 0.0
    assert oxygen_level_steady(respiration=2 * RATE, transfer_velocity=1e-6, **SURFACE) == 0.0


def test_just_at_the_balance_the_level_is_only_neared() -> None:
    velocity = 0.6 / DAY
    balanced = velocity * 0.18 * (FULL - 2e-3) / RATE
    assert lasts(balanced * (1 - 1e-12), velocity) == math.inf
    assert 50 * HOUR < lasts(balanced * (1 + 1e-9), velocity) < math.inf


def test_many_tanks_at_once_are_the_same_as_each_alone() -> None:
    volumes = np.linspace(0.01, 0.4, 600)
    velocity = np.where(np.arange(600) % 3 == 0, 0.0, 0.6 / DAY)
    demand = np.linspace(0.0, 0.3, 600) * RATE
    tanks = {"transfer": velocity * 0.18, "volume": volumes, "saturation": FULL, "start": FULL}
    times = oxygen_course.time_to_level(level=2e-3, demand=demand, **tanks)
    levels = oxygen_course.level_after(duration=HOUR, demand=demand, **tanks)
    for index in range(0, 600, 37):
        alone = {
            "respiration": float(demand[index]), "tank_volume": float(volumes[index]),
            "transfer_velocity": float(velocity[index]), "start_level": FULL, **SURFACE,
        }  # fmt: skip
        assert times[index] == time_without_air(lowest_level=2e-3, **alone)
        assert levels[index] == oxygen_level_after(duration=HOUR, **alone)
    assert times.shape == levels.shape == (600,)


@pytest.mark.parametrize(
    ("change", "quantity"),
    [({"tank_volume": 0.0}, "tank_volume"), ({"surface_area": -0.1}, "surface_area"),
     ({"saturation_level": 8.1}, "saturation_level"), ({"start_level": 8.1}, "start_level"),
     ({"lowest_level": 2.0}, "lowest_level")],
)  # fmt: skip
def test_milligrams_taken_for_kilograms_and_tanks_that_cannot_be_are_refused(
    change: dict[str, float], quantity: str
) -> None:
    with pytest.raises(OutsideValidRange) as caught:
        lasts(0.04, 0.6 / DAY, **change)
    assert caught.value.quantity == quantity
