import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankwright.physics.elbows import elbow_angle, elbow_level
from tankwright.physics.ranges import OutsideValidRange

reaches = st.floats(0.01, 0.2)
bores = st.floats(0.005, 0.05)


def test_an_upright_elbow_holds_water_its_reach_above_the_hole() -> None:
    assert elbow_level(hole_height=0.31, reach=0.034, bore=0.016, angle=0.0) == pytest.approx(0.344)


def test_a_sideways_elbow_holds_water_at_the_bottom_of_its_mouth() -> None:
    level = elbow_level(hole_height=0.31, reach=0.034, bore=0.016, angle=math.pi / 2)
    assert level == pytest.approx(0.302)


def test_half_way_round_the_level_is_the_low_edge_of_a_tilted_disc() -> None:
    # worked by hand: 0.034 cos 45 - 0.008 sin 45 = 0.026 / sqrt 2 = 0.018385
    level = elbow_level(hole_height=0.0, reach=0.034, bore=0.016, angle=math.pi / 4)
    assert level == pytest.approx(0.018385, abs=1e-6)


def test_an_elbow_that_hangs_down_cannot_empty_the_tank_below_its_own_hole() -> None:
    for angle in (2.0, 2.5, math.pi):
        assert elbow_level(hole_height=0.31, reach=0.034, bore=0.016, angle=angle) == pytest.approx(0.302)


@given(reach=reaches, bore=bores, angle=st.floats(0.0, math.pi / 2), height=st.floats(0.05, 3.0))
def test_the_angle_for_a_level_gives_that_level_back(
    reach: float, bore: float, angle: float, height: float
) -> None:
    level = elbow_level(hole_height=height, reach=reach, bore=bore, angle=angle)
    again = elbow_angle(hole_height=height, reach=reach, bore=bore, level=level)
    assert elbow_level(hole_height=height, reach=reach, bore=bore, angle=again) == pytest.approx(
        level, abs=1e-9
    )
    # the level hardly changes with the angle near upright, so the angle comes back less sharply than the level
    assert again == pytest.approx(angle, abs=1e-5)


@given(reach=reaches, bore=bores, low=st.floats(0.0, math.pi), high=st.floats(0.0, math.pi))
def test_turning_an_elbow_down_never_raises_the_water(
    reach: float, bore: float, low: float, high: float
) -> None:
    low, high = sorted((low, high))
    upper = elbow_level(hole_height=1.0, reach=reach, bore=bore, angle=low)
    lower = elbow_level(hole_height=1.0, reach=reach, bore=bore, angle=high)
    assert lower <= upper + 1e-12


@pytest.mark.parametrize("level", [0.291, 0.335])
def test_a_level_no_angle_can_give_is_refused(level: float) -> None:
    with pytest.raises(OutsideValidRange):
        elbow_angle(hole_height=0.3, reach=0.034, bore=0.016, level=level)


def test_an_angle_past_straight_down_is_refused() -> None:
    with pytest.raises(OutsideValidRange):
        elbow_level(hole_height=0.3, reach=0.034, bore=0.016, angle=3.2)
