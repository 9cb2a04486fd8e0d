"""What a hole does to a bent pane, against thin-plate theory, and the printed limits of place."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankwright.physics.hole_stress import (
    greatest_hole_diameter,
    hole_edge_factor,
    hole_stress,
    hole_stress_factor,
    least_hole_diameter,
    least_hole_to_corner,
    least_hole_to_edge,
    least_hole_to_hole,
    usual_hole_to_edge,
)
from tankwright.physics.plates_levy import levy_plate
from tankwright.plates.model import Plate, RoundHole
from tankwright.plates.solver import solve_plate

stresses = st.floats(-20e6, 20e6)
factors = st.floats(1.7, 3.0)


def test_the_factor_at_a_hole_of_seven_thicknesses() -> None:
    # 1.79 + 0.25/7.39 + 0.81/50 - 0.26/344, worked by hand
    assert hole_stress_factor(diameter=0.035, thickness=0.005) == pytest.approx(1.83927, abs=2e-5)


def test_a_wide_hole_in_a_thin_plate_has_the_factor_of_thin_plate_theory() -> None:
    """(5 + 3 nu) / (3 + nu), J. N. Goodier (1936); from memory."""
    theory = (5 + 3 * 0.3) / (3 + 0.3)
    assert hole_stress_factor(diameter=1.0, thickness=0.002) == pytest.approx(theory, abs=0.003)


def test_a_pin_hole_comes_to_that_of_a_pulled_plate() -> None:
    assert hole_stress_factor(diameter=1e-4, thickness=0.2) == pytest.approx(3.0, abs=0.025)


@given(first=st.floats(0.001, 0.2), second=st.floats(0.001, 0.2))
def test_a_wider_hole_raises_less(first: float, second: float) -> None:
    small, wide = sorted((first, second))
    assert (
        hole_stress_factor(diameter=wide, thickness=0.006)
        <= hole_stress_factor(diameter=small, thickness=0.006) + 1e-12
    )


@given(stress=st.floats(0.0, 20e6), factor=factors)
def test_bending_alike_both_ways_doubles_whatever_the_thickness(stress: float, factor: float) -> None:
    assert hole_stress(first_stress=stress, second_stress=stress, factor=factor) == pytest.approx(2 * stress)


@given(stress=stresses, factor=factors)
def test_bending_one_way_is_raised_by_the_factor(stress: float, factor: float) -> None:
    assert hole_stress(first_stress=stress, second_stress=0.0, factor=factor) == pytest.approx(
        factor * abs(stress)
    )


@given(first=stresses, second=stresses, factor=st.floats(1.7, 2.0))
def test_the_rim_all_round_never_passes_it(first: float, second: float, factor: float) -> None:
    """Round the rim the stress goes as mean + swing cos 2a for each bending, on one face; the other has it reversed."""
    worst = hole_stress(first_stress=first, second_stress=second, factor=factor)
    rim = [
        first * (1 - (factor - 1) * math.cos(2 * a)) + second * (1 + (factor - 1) * math.cos(2 * a))
        for a in (math.pi * turn / 90 for turn in range(180))
    ]
    assert max(abs(one) for one in rim) == pytest.approx(worst, rel=1e-9, abs=1e-6)


@given(first=stresses, second=stresses, factor=factors)
def test_order_and_face_do_not_matter(first: float, second: float, factor: float) -> None:
    worst = hole_stress(first_stress=first, second_stress=second, factor=factor)
    assert worst == hole_stress(first_stress=second, second_stress=first, factor=factor)
    assert worst == hole_stress(first_stress=-first, second_stress=-second, factor=factor)


def test_bending_against_each_other_is_worse_than_bending_one_way() -> None:
    one_way = hole_stress(first_stress=5e6, second_stress=0.0, factor=2.3)
    assert hole_stress(first_stress=5e6, second_stress=-3e6, factor=2.3) > one_way


@pytest.mark.parametrize("share", [0.2, 0.35, 0.5, 0.75, 1.0, 1.5, 2.5])
@pytest.mark.parametrize("diameter", [0.02, 0.05])
def test_near_a_free_edge_a_hole_raises_as_finite_elements_say(share: float, diameter: float) -> None:
    """A long pane at mid-length: bent along its free top, hardly across it."""
    pane = {
        "length": 1.2,
        "height": 0.45,
        "thickness": 0.008,
        "stiffness": 70e9,
        "poisson": 0.23,
        "head": 0.45,
    }
    x, y = 0.6, 0.45 - diameter / 2 - share * diameter
    found = solve_plate(Plate(**pane, holes=(RoundHole(x=x, y=y, diameter=diameter),))).holes[0].stress
    plain = levy_plate(**pane, top="free")
    thin = (5 + 3 * 0.23) / (3 + 0.23)
    rims = (plain.stresses_at(x, y + up * diameter / 2) for up in (-1, 0, 1))
    far = max(hole_stress(first_stress=one, second_stress=other, factor=thin) for one, other in rims)
    assert found / far == pytest.approx(hole_edge_factor(clear=share * diameter, diameter=diameter), rel=0.02)


@given(first=st.floats(1e-4, 1.0), second=st.floats(1e-4, 1.0))
def test_more_glass_beside_a_hole_is_never_worse(first: float, second: float) -> None:
    near, far = sorted((first, second))
    more, less = (hole_edge_factor(clear=clear, diameter=0.035) for clear in (near, far))
    assert more >= less >= 1.0


def test_the_printed_limits_of_place_for_a_pane_of_6_mm() -> None:
    limits = [
        limit(thickness=0.006)
        for limit in (least_hole_diameter, least_hole_to_edge, least_hole_to_hole, least_hole_to_corner)
    ]
    assert limits == pytest.approx([0.006, 0.012, 0.012, 0.036])
    assert greatest_hole_diameter(narrow_side=0.38) == pytest.approx(0.38 / 3)
    assert usual_hole_to_edge(diameter=0.035) == 0.035
