"""Puddles: printed depths of mercury on glass and water on wax, printed surface tensions, and what holds between."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankwright.physics.puddles import WATER_SURFACE_TENSION, puddle_depth, water_surface_tension
from tankwright.physics.ranges import OutsideValidRange


# The two worked examples that texts on surface tension print with their inputs, from memory: mercury on glass
# 487 dyn/cm, 13.5 g/cm3, 140 degrees, 0.36 cm; water on paraffin 72 dyn/cm, 1.0 g/cm3, 107 degrees, 0.44 cm.
@pytest.mark.parametrize(
    ("tension", "density", "angle", "centimetres"),
    [(0.487, 13500.0, 140.0, 0.36), (0.072, 1000.0, 107.0, 0.44)],
)
def test_a_puddle_is_as_deep_as_printed(
    tension: float, density: float, angle: float, centimetres: float
) -> None:
    depth = puddle_depth(contact_angle=math.radians(angle), surface_tension=tension, density=density)
    assert round(depth * 100, 2) == centimetres


# IAPWS R1-76(2014), table 1, from memory, mN/m
@pytest.mark.parametrize(
    ("celsius", "tension"),
    [(0.01, 75.65), (10, 74.22), (20, 72.74), (25, 71.97), (30, 71.19), (50, 67.94), (100, 58.91)],
)
def test_the_surface_tension_of_water_is_as_printed(celsius: float, tension: float) -> None:
    assert round(water_surface_tension(celsius + 273.15) * 1000, 2) == tension


def test_the_plain_constant_is_the_value_at_20_degrees() -> None:
    assert round(water_surface_tension(293.15), 5) == WATER_SURFACE_TENSION


@given(st.floats(0.0, math.pi), st.floats(0.0, math.pi))
def test_what_wets_less_stands_deeper_and_never_deeper_than_two_capillary_lengths(
    one: float, other: float
) -> None:
    low, high = sorted((one, other))
    assert (
        puddle_depth(contact_angle=low)
        <= puddle_depth(contact_angle=high)
        <= puddle_depth(contact_angle=math.pi)
    )


@given(st.floats(0.0, math.pi))
def test_half_angle_and_cosine_say_the_same(angle: float) -> None:
    tension, density = 0.07, 1000.0
    printed = math.sqrt(2 * tension * (1 - math.cos(angle)) / (density * 9.80665))
    depth = puddle_depth(contact_angle=angle, surface_tension=tension, density=density)
    assert depth == pytest.approx(printed, abs=1e-9)  # 1 - cos loses its digits near nothing


def test_what_no_puddle_has_is_refused() -> None:
    with pytest.raises(OutsideValidRange):
        puddle_depth(contact_angle=4.0)
    with pytest.raises(OutsideValidRange):
        water_surface_tension(260.0)
