"""Push on the floor and what tips a rack."""

from __future__ import annotations

import pytest

from tankwright.physics.beam_solver import simple_beam
from tankwright.physics.footing import (
    floor_pressure,
    joist_moment,
    load_on_nearest,
    slenderness_of_rack,
    sway_push,
    tipping_pull,
    tipping_share,
)
from tankwright.physics.ranges import OutsideValidRange

G = 9.80665


@pytest.mark.parametrize(
    ("mass", "length", "depth", "kilopascal"),
    [(57.4, 0.6, 0.3, 3.1), (107.2, 0.6, 0.45, 3.9), (191.6, 0.9, 0.45, 4.6)],
)
def test_tanks_on_their_footprints(mass: float, length: float, depth: float, kilopascal: float) -> None:
    # worked out apart from this program
    assert round(floor_pressure(force=mass * G, area=length * depth) / 1000, 1) == kilopascal


def test_a_rack_tips_where_the_share_is_one() -> None:
    pull = tipping_pull(weight=5200.0, reach=0.21, height=1.7)
    assert tipping_share(pull=pull, height=1.7, weight=5200.0, reach=0.21) == pytest.approx(1.0)
    assert tipping_pull(weight=5200.0, reach=0.21, height=3.4) == pytest.approx(pull / 2)


def test_the_pull_of_the_code_for_steel_racks_tips_a_common_rack() -> None:
    # ANSI/RMI MH16.1 takes 350 lb, 1.56 kN, at the top beam
    assert tipping_share(pull=1560.0, height=1.8, weight=6000.0, reach=0.225) > 1.0
    assert slenderness_of_rack(top_height=1.8, depth=0.3) == pytest.approx(6.0)


def test_a_frame_out_of_plumb_pushes_by_its_lean() -> None:
    assert sway_push(weight=8000.0, lean=0.01) == pytest.approx(80.0)


def test_a_joist_under_an_even_floor_is_a_plain_beam() -> None:
    answer = simple_beam(span=3.6, patches=((0.0, 3.6, 1500.0 * 0.45),), bending_stiffness=1e5)
    assert joist_moment(pressure=1500.0, spacing=0.45, span=3.6) == pytest.approx(answer.moment)


def test_a_foot_between_two_joists_shares_itself_between_them() -> None:
    assert load_on_nearest(force=800.0, distance=0.0, spacing=0.4) == 800.0
    assert load_on_nearest(force=800.0, distance=0.2, spacing=0.4) == pytest.approx(400.0)
    with pytest.raises(OutsideValidRange, match="distance"):
        load_on_nearest(force=800.0, distance=0.3, spacing=0.4)  # the other joist is nearer
