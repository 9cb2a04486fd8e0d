"""A level followed in closed form, against closed solutions and against a fine numerical one."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from tankwright.faults.water_laws import Law, added, mouth_law, overflow_law, root_law, siphon_law, tube_law
from tankwright.faults.water_path import path
from tankwright.physics.hydrostatics import SMALL_TUBE_MINOR_LOSS, siphon_back_flow, time_to_drain
from tankwright.physics.mouths import tilted_overflow
from tankwright.physics.pipes import hose_drain_flow
from tankwright.systems.drain_tanks import Way

AREA = 0.18
WAY = Way(
    tank="t", drain="d", node="n", lip=0.30, rim=0.34, level=0.30, bore=0.025, angle=math.pi / 2, open_share=1.0,
    hose_bore=0.011, hose_length=1.5, hose_end=-0.40, mouth_flow=1e-3, inside_area=AREA, low=0.0,
)  # fmt: skip


def test_a_tank_with_a_hole_empties_as_torricelli_says() -> None:
    hole, coefficient = math.pi / 4 * 0.02**2, 0.61
    full = coefficient * hole * math.sqrt(2 * 9.80665 * 0.5)
    law = added([root_law(full, 0.5, 0.0, 0.5)], 0.0, 0.5)
    seconds = 2 * AREA / (coefficient * hole * math.sqrt(2 * 9.80665)) * (math.sqrt(0.4) - math.sqrt(0.05))
    # A chord of the root lies below it by 3e-6 of it on the mean: the nodes are half a percent apart.
    assert path(law, AREA, 0.4, 0.0).when(0.05) == pytest.approx(seconds, rel=1e-5)


def test_a_tank_runs_down_its_hose_in_the_time_of_the_closed_integral() -> None:
    law = added([tube_law(0.013, 1.5, 2.8)], 0.0, 1.0)
    known = time_to_drain(surface_area=AREA, upper_head=0.9, lower_head=0.1, inner_diameter=0.013, length=1.5)
    assert path(law, AREA, 0.9, 0.0).when(0.1) == pytest.approx(known, rel=1e-5)


def test_a_tank_with_no_way_out_is_full_after_freeboard_over_inflow() -> None:
    law = added([], 0.0, 0.34)
    way = path(law, AREA, 0.30, 2e-6)
    assert way.when(0.34) == pytest.approx(AREA * 0.04 / 2e-6, rel=1e-12)
    assert float(way.level(AREA * 0.02 / 2e-6)) == pytest.approx(0.32, rel=1e-12)


def test_a_textbook_siphon_between_two_levels_takes_the_head_on_its_far_end() -> None:
    tube = tube_law(0.004, 2.0, SMALL_TUBE_MINOR_LOSS)
    law = siphon_law(tube, exit_height=-0.2, stops_at=0.1)
    flow = siphon_back_flow(head=0.5, inner_diameter=0.004, length=2.0)
    assert float(law.flow(0.3)) == pytest.approx(flow, rel=1e-5)
    assert float(law.flow(0.0999)) == 0.0
    seconds = time_to_drain(
        surface_area=AREA, upper_head=0.5, lower_head=0.3, inner_diameter=0.004, length=2.0, minor_loss=5.0
    )
    assert path(added([law], 0.0, 0.34), AREA, 0.3, 0.0).when(0.1 + 1e-7) == pytest.approx(seconds, rel=1e-5)


@pytest.mark.parametrize("inflow", [0.0, 2e-6, 4e-5])
@pytest.mark.parametrize("begin", [0.30, 0.303, 0.32])
def test_an_overflow_settles_as_a_fine_numerical_solution_does(begin: float, inflow: float) -> None:
    law = added([overflow_law(WAY)], 0.0, WAY.rim)
    times = np.array([1.0, 10.0, 60.0, 600.0, 3600.0])

    def change(_: float, level: np.ndarray) -> np.ndarray:
        return np.asarray((inflow - law.flow(level)) / AREA)

    fine = solve_ivp(change, (0.0, 3600.0), [begin], "Radau", times, rtol=1e-10, atol=1e-12).y[0]
    np.testing.assert_allclose(path(law, AREA, begin, inflow).level(times), fine, rtol=0.0, atol=2e-9)


@given(
    begin=st.floats(0.0, 0.34),
    inflow=st.floats(0.0, 5e-5),
    seconds=st.floats(0.0, 1e5),
    share=st.floats(0.01, 0.99),
)
def test_a_level_is_where_it_is_said_to_be_when_it_gets_there(
    begin: float, inflow: float, seconds: float, share: float
) -> None:
    law = added([overflow_law(WAY)], 0.0, WAY.rim)
    way = path(law, AREA, begin, inflow)
    there = float(way.level(seconds))
    middle = begin + share * (there - begin)
    time = way.when(middle)
    if abs(there - begin) > 1e-9:
        assert time <= seconds * (1 + 1e-9) + 1e-9
        assert float(way.level(time)) == pytest.approx(middle, abs=1e-11)
    assert 0.0 <= there <= WAY.rim


def test_two_halves_of_a_time_make_the_whole() -> None:
    law = added([overflow_law(WAY)], 0.0, WAY.rim)
    once = float(path(law, AREA, 0.31, 3e-6).level(1000.0))
    half = float(path(law, AREA, 0.31, 3e-6).level(400.0))
    assert float(path(law, AREA, half, 3e-6).level(600.0)) == pytest.approx(once, abs=1e-13)


@pytest.mark.parametrize("head", [1e-5, 3e-4, 0.002, 0.012, 0.03, 0.2])
@pytest.mark.parametrize("angle", [0.0, 0.7, math.pi / 2])
def test_the_table_of_a_mouth_is_the_formula_it_was_made_from(head: float, angle: float) -> None:
    table = float(mouth_law(0.025, angle, 0.5).flow(head))
    # Straight between nodes half a percent apart, and between two samples where weir turns orifice.
    assert table == pytest.approx(
        tilted_overflow(head=head, diameter=0.025, angle=angle, open_share=0.5), rel=3e-3
    )


def test_the_table_of_a_hose_is_the_formula_it_was_made_from() -> None:
    for head in (1e-4, 0.003, 0.05, 0.7, 2.0):
        table = float(tube_law(0.011, 1.2, 2.8).flow(head))
        # Samples a tenth apart miss the turns of the friction law between laminar and turbulent by so much.
        assert table == pytest.approx(hose_drain_flow(head=head, inner_diameter=0.011, length=1.2), rel=1e-4)


def test_an_overflow_takes_what_the_lesser_of_mouth_and_hose_takes() -> None:
    law = overflow_law(WAY)
    for surface in (0.301, 0.31, 0.325, 0.34):
        mouth = tilted_overflow(head=surface - 0.30, diameter=0.025, angle=math.pi / 2)
        assert float(law.flow(surface)) == pytest.approx(min(mouth, WAY.hose_flow(surface)), rel=1e-4)


def test_a_law_adds_its_ways_and_keeps_their_corners() -> None:
    one = Law(heights=np.array([0.1, 0.2]), flows=np.array([0.0, 1.0]))
    two = Law(heights=np.array([0.15, 0.2]), flows=np.array([0.0, 3.0]))
    both = added([one, two], 0.0, 0.3)
    np.testing.assert_allclose(both.flow(np.array([0.1, 0.15, 0.2, 0.3])), [0.0, 0.5, 4.0, 4.0])
    assert set(both.heights) == {0.0, 0.1, 0.15, 0.2, 0.3}
    assert float(both.slope(0.17)) == pytest.approx(70.0)
