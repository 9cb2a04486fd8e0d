"""Where a hole may be: every reason that keeps it out, and the water its elbow then holds."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from tankwright.physics.elbows import elbow_level
from tankwright.systems.glass_full_model import KEPT_OUT_WORDS, HoleSurroundings
from tankwright.systems.glass_model import PaneCase
from tankwright.systems.glass_panes import panes_of
from tankwright.systems.glass_places import (
    holds_the_level,
    kept_out,
    levels_at,
    nearest_and_farthest,
    surroundings,
    uprights_before,
)

from .glass_rooms import case_of, glass_room, hole_at

CLEAR = HoleSurroundings(reach=0.034, bore=0.016, level=0.332)


def back(**changes: str) -> PaneCase:
    return case_of("back", **changes)[0]


def test_a_place_in_the_clear_is_allowed() -> None:
    assert kept_out(back(), CLEAR, 0.12, 0.30) == ()


def test_one_diameter_of_glass_is_left_to_each_edge() -> None:
    case = back()
    assert "edge" in kept_out(case, CLEAR, 0.048, 0.20)
    assert kept_out(case, CLEAR, 0.0535 - 0.003, 0.31) == ()
    assert "edge" in kept_out(case, CLEAR, 0.2, case.height - 0.050)
    assert "edge" in kept_out(case, CLEAR, case.length - 0.040, 0.20)
    assert "edge" in kept_out(case, CLEAR, 0.2, 0.050)


def test_the_range_named_is_where_the_edges_allow() -> None:
    case = back()
    left, right, low, high = nearest_and_farthest(case, 0.0175)
    for x, y in ((left, low), (right, high)):
        assert "edge" not in kept_out(case, CLEAR, x, y)
    for x, y in ((left - 0.001, 0.2), (right + 0.001, 0.2), (0.2, low - 0.001), (0.2, high + 0.001)):
        assert "edge" in kept_out(case, CLEAR, x, y)


def test_a_small_hole_keeps_off_the_corner_by_six_thicknesses() -> None:
    small = replace(back(), holes=(hole_at(0.1, 0.3, diameter=0.008),))
    assert "corner" in kept_out(small, CLEAR, 0.016, small.height - 0.018)
    assert "corner" not in kept_out(small, CLEAR, 0.2, small.height - 0.018)


def test_no_hole_goes_behind_an_upright() -> None:
    around = replace(CLEAR, uprights=((0.2, 0.245),))
    assert "upright" in kept_out(back(), around, 0.22, 0.30)
    assert "upright" in kept_out(back(), around, 0.2 - 0.024, 0.30)  # the flange, 50 mm
    assert kept_out(back(), around, 0.2 - 0.026, 0.30) == ()


def test_a_flange_lies_flat_off_the_silicone() -> None:
    wide = replace(back(), holes=(hole_at(0.1, 0.3, flange=0.110),))
    assert "flange" in kept_out(wide, CLEAR, 0.065, 0.25)
    assert "flange" not in kept_out(wide, CLEAR, 0.070, 0.25)
    assert "flange" in kept_out(wide, CLEAR, 0.2, wide.height - 0.054)


def test_a_cross_brace_is_in_the_way_under_its_strip_only_and_a_strip_all_round_everywhere() -> None:
    cross = back(kind='top = "braced"\nbrace = { kind = "cross", width = "60 mm", thickness = "40 mm" }')
    assert "brace" in kept_out(cross, CLEAR, 0.297, 0.32)
    assert kept_out(cross, CLEAR, 0.150, 0.32) == ()
    assert "brace" not in kept_out(cross, CLEAR, 0.297, 0.25)
    euro = back(kind='top = "braced"\nbrace = { kind = "euro", width = "60 mm", thickness = "40 mm" }')
    assert "brace" in kept_out(euro, CLEAR, 0.150, 0.32)


def test_a_hose_needs_room_outside() -> None:
    assert "hose" in kept_out(back(), replace(CLEAR, hose=0.02), 0.12, 0.30)
    assert kept_out(back(), replace(CLEAR, hose=0.08), 0.12, 0.30) == ()
    assert kept_out(back(), replace(CLEAR, hose=None), 0.12, 0.30) == ()


def test_two_holes_keep_a_diameter_apart() -> None:
    case = back()
    two = replace(case, holes=(case.holes[0], hole_at(0.3, 0.3)))
    assert "another hole" in kept_out(two, CLEAR, 0.3 - 0.069, 0.3, 0)
    assert kept_out(two, CLEAR, 0.3 - 0.071, 0.3, 0) == ()
    assert "another hole" in kept_out(two, CLEAR, two.holes[0].x + 0.05, two.holes[0].y, 1)


def test_an_elbow_must_be_able_to_hold_the_water_over_the_bed() -> None:
    around = replace(CLEAR, floor=0.15)
    assert "level" in kept_out(back(), around, 0.12, 0.10)
    assert "level" not in kept_out(back(), around, 0.12, 0.14)


@pytest.mark.parametrize("angle", [0.0, 0.5, 1.0, math.pi / 2])
def test_what_the_elbow_holds_lies_between_the_levels_named(angle: float) -> None:
    case, y = back(), 0.30
    found = levels_at(case, CLEAR, y)
    assert found is not None
    low, high = found
    level = elbow_level(hole_height=y, reach=0.034, bore=0.016, angle=angle)
    assert high - 1e-9 <= case.height - level <= low + 1e-9
    if angle == 0.0:
        assert case.height - level == pytest.approx(high)
    if angle == math.pi / 2:
        assert case.height - level == pytest.approx(low)


def test_the_wanted_level_is_held_from_where_the_elbow_reaches_it() -> None:
    case = back()
    assert holds_the_level(case, CLEAR, 0.304)
    assert not holds_the_level(case, CLEAR, 0.25)
    assert not holds_the_level(case, CLEAR, 0.35)
    assert holds_the_level(case, replace(CLEAR, reach=None), 0.25)


def test_the_room_says_what_stands_round_a_pane() -> None:
    room = glass_room()
    (case,) = (one for one in panes_of(room).cases if one.pane == "back")
    around = surroundings(room, case)
    assert (around.reach, around.bore) == (0.034, 0.016)
    assert around.level == case.head
    assert around.hose is not None
    assert around.uprights_known
    assert around.uprights == ()
    again = surroundings(room, replace(case, holes=(*case.holes, hole_at(0.4, 0.3))), 1)
    assert again.reach is None, "only one hole has the elbow"


def test_uprights_stand_where_they_shade_any_of_the_tanks() -> None:
    # tanks at 10 to 70 and 71 to 131 cm along the rack; the upright at 60 to 64.5 shades the first, 120 the second
    room = glass_room(uprights='["60 cm", "120 cm"]')
    (case,) = (one for one in panes_of(room).cases if one.pane == "back")
    assert uprights_before(room, case) == (
        (pytest.approx(0.487), pytest.approx(0.532)),
        (pytest.approx(0.497), pytest.approx(0.542)),
    )
    hole = 'hole = { pane = "back", diameter = "35 mm", from_left = "51 cm", below_rim = "70 mm", flange = "50 mm" }'
    behind = glass_room(uprights='["60 cm", "120 cm"]', hole=hole)
    (case,) = (one for one in panes_of(behind).cases if one.pane == "back")
    assert "upright" in kept_out(case, surroundings(behind, case), case.holes[0].x, case.holes[0].y)


@pytest.mark.parametrize("pane", ["left", "right"])
def test_an_end_on_tank_has_its_drilled_end_before_the_uprights(pane: str) -> None:
    hole = f'hole = {{ pane = "{pane}", diameter = "35 mm", from_left = "12 cm", below_rim = "70 mm" }}'
    uprights = '["0 cm", "20 cm", "195.5 cm"]'
    room = glass_room(hole=hole, standing=", end_on = true", uprights=uprights, ids="A1")
    (case,) = (one for one in panes_of(room).cases if one.pane == pane)
    ((start, end),) = uprights_before(room, case)
    # the tank stands from 10 to 50 cm along the rack; its front is to the left before its left end, else to the right
    outside = (0.10, 0.145) if pane == "left" else (0.255, 0.30)
    assert (start, end) == (pytest.approx(outside[0] - 0.006), pytest.approx(outside[1] - 0.006))
    tank = room.tank("A1")
    assert tank.hole is not None
    clearance = uprights_before(room, case)[0]
    middle = case.holes[0].x
    # the same distance as the hole has in the room's own frame
    upright_at = room.racks[0].box.x0 + 0.2225
    assert abs(sum(clearance) / 2 - middle) == pytest.approx(abs(tank.hole.centre[0] - upright_at), abs=1e-6)


def test_a_pane_that_looks_along_its_rack_has_no_upright_before_it() -> None:
    hole = 'hole = { pane = "left", diameter = "35 mm", from_left = "12 cm", below_rim = "70 mm" }'
    room = glass_room(hole=hole, uprights='["0 cm", "20 cm", "195.5 cm"]')
    (case,) = (one for one in panes_of(room).cases if one.pane == "left")
    assert uprights_before(room, case) == ()


def test_every_reason_has_its_words() -> None:
    assert all(KEPT_OUT_WORDS.values())
