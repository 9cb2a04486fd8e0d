"""The layout worked out: clearances, overlaps, aisles, ways, doors, holes."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given as hypothesis_given
from hypothesis import settings
from hypothesis import strategies as st

from tankwright.room.boxes import overlap, overlapping_pairs
from tankwright.room.model import Box, Room
from tankwright.systems.layout import solve_layout

from .plain_rooms import make_room, with_hole, with_tank

ISLANDS = """
[rack_kind.low]
length = "150 cm"
depth = "40 cm"
shelves = ["40 cm"]

[[rack]]
id = "N"
kind = "low"
room = "cellar"
at = ["80 cm", "{north}"]
facing = "north"

[[rack]]
id = "S"
kind = "low"
room = "cellar"
at = ["80 cm", "{south}"]
facing = "south"
"""


def test_an_empty_plan_gives_an_empty_layout():
    result = solve_layout(Room(title="", display="metric", spaces=(), racks=(), tanks=()))
    assert (result.racks, result.tanks, result.aisles, result.clashes, result.doors) == ((), (), (), (), ())


def test_the_aisle_is_measured_from_the_front_to_the_opposite_wall():
    (aisle,) = solve_layout(make_room()).aisles
    assert aisle.width == pytest.approx(2.5 - 0.1 - 0.4)
    assert (aisle.to, aisle.start, aisle.end) == (
        "wall",
        pytest.approx((1.25, 2.0)),
        pytest.approx((1.25, 0.0)),
    )


def test_an_obstacle_ahead_narrows_the_aisle_and_one_beside_does_not():
    ahead = 'obstacles = [{ name = "post", at = ["1 m", "1 m"], size = ["20 cm", "30 cm"] }]'
    beside = 'obstacles = [{ name = "post", at = ["2.5 m", "1 m"], size = ["20 cm", "30 cm"] }]'
    (narrow,) = solve_layout(make_room(room=ahead)).aisles
    (free,) = solve_layout(make_room(room=beside)).aisles
    assert (narrow.width, narrow.to) == (pytest.approx(0.7), "post")
    assert (free.width, free.to) == (pytest.approx(2.0), "wall")


def test_two_racks_that_face_each_other_share_one_aisle():
    room = make_room(width="5 m", more=ISLANDS.format(north="2.5 m", south="2.1 m"))
    aisles = {aisle.racks: aisle for aisle in solve_layout(room).aisles}
    assert set(aisles) == {("A", "N"), ("S",)}
    assert aisles["A", "N"].width == pytest.approx(4.5 - 2.9)
    assert aisles["S",].width == pytest.approx(2.1)


def test_the_owners_own_aisle_is_asked_for_instead_of_the_assumption():
    (aisle,) = solve_layout(make_room(room='aisle = "90 cm"')).aisles
    assert (aisle.needed.value, aisle.needed.is_assumed) == (0.9, False)


def test_islands_that_overlap_are_found_with_the_depth_of_the_overlap():
    room = make_room(width="5 m", more=ISLANDS.format(north="2.45 m", south="2.1 m"))
    (clash,) = solve_layout(room).clashes
    assert (clash.kind, {clash.first, clash.second}, clash.depth) == (
        "racks",
        {"N", "S"},
        pytest.approx(0.05),
    )


def test_a_tank_pushed_into_its_neighbour_is_found_once():
    room = make_room()
    box = room.tank("A2").box
    moved = with_tank(room, "A2", box=replace(box, x0=box.x0 - 0.03, x1=box.x1 - 0.03))
    (clash,) = solve_layout(moved).clashes
    assert (clash.kind, clash.first, clash.second, clash.depth) == ("tanks", "A1", "A2", pytest.approx(0.02))


block = st.tuples(*[st.integers(0, 12)] * 3, *[st.integers(1, 5)] * 3)


@settings(max_examples=60, deadline=None)
@hypothesis_given(st.lists(block, max_size=12))
def test_the_sweep_finds_the_same_overlaps_as_comparing_all_pairs(blocks):
    boxes = [Box(x0=x, y0=y, z0=z, x1=x + a, y1=y + b, z1=z + c) for x, y, z, a, b, c in blocks]
    plain = [
        (i, j, overlap(boxes[i], boxes[j]))
        for i in range(len(boxes)) for j in range(i + 1, len(boxes)) if overlap(boxes[i], boxes[j]) > 0
    ]  # fmt: skip
    assert overlapping_pairs(boxes) == plain


def test_a_tank_past_its_racks_end_is_measured():
    room = make_room(tanks='shelf.1 = [{ kind = "box", ids = "A1..A2", from_left = "35 cm" }]')
    fits = {fit.tank: fit for fit in solve_layout(room).tanks}
    assert fits["A1"].past_rack == 0.0
    assert fits["A2"].past_rack == pytest.approx(0.35 + 0.6 + 0.01 + 0.6 - 1.5)


def test_a_tank_past_its_racks_depth_is_measured():
    room = make_room(
        tanks='shelf.1 = [{ kind = "box", ids = "A1", from_left = "10 cm", off_back = "18 cm" }]'
    )
    assert solve_layout(room).tanks[0].past_rack == pytest.approx(0.08)


def test_the_ceiling_slopes_evenly_to_its_low_wall():
    room = make_room(room='ceiling_slope = { towards = "north", height = "1.2 m" }')
    (rack,) = solve_layout(room).racks
    assert rack.ceiling == "sloping ceiling"
    assert rack.past_ceiling == pytest.approx(1.5 - (1.2 + 1.2 * 0.1 / 2.5))
    tank = next(fit for fit in solve_layout(room).tanks if fit.tank == "A3")
    back = room.tank("A3").box.y1
    assert tank.clear_above == pytest.approx(1.2 + 1.2 * (2.5 - back) / 2.5 - 1.25)


def test_a_beam_lowers_what_is_over_a_tank():
    beam = 'beams = [{ name = "duct", at = ["0 m", "2 m"], size = ["3 m", "30 cm"], underside = "1.35 m" }]'
    result = solve_layout(make_room(room=beam))
    fits = {fit.tank: fit for fit in result.tanks}
    assert fits["A3"].clear_above == pytest.approx(0.10)
    assert result.racks[0].past_ceiling == pytest.approx(0.15)


@pytest.mark.parametrize(("hinged", "strikes"), [("west", True), ("east", False)])
def test_a_door_leaf_strikes_what_its_quarter_circle_covers(hinged, strikes):
    door = f'{{ wall = "south", from_west = "1 m", width = "80 cm", swing = "in", hinged = "{hinged}" }}'
    post = 'obstacles = [{ name = "post", at = ["1.3 m", "72 cm"], size = ["10 cm", "10 cm"] }]'
    # From the west hinge the post's near corner is hypot(0.3, 0.72) = 0.78 m away, from the east one 0.82 m.
    (fit,) = solve_layout(make_room(door=door, room=post)).doors
    assert bool(fit.swept) is strikes
    assert fit.perhaps_swept == ()


def test_a_door_hinged_nobody_knows_where_may_strike():
    door = '{ wall = "south", from_west = "1 m", width = "80 cm", swing = "in" }'
    post = 'obstacles = [{ name = "post", at = ["1.3 m", "72 cm"], size = ["10 cm", "10 cm"] }]'
    room = make_room(door=door, room=post)
    unknown = replace(
        room.spaces[0], openings=tuple(replace(one, hinge=None) for one in room.spaces[0].openings)
    )
    (fit,) = solve_layout(replace(room, spaces=(unknown,))).doors
    assert (fit.swept, fit.perhaps_swept) == ((), ("post",))


@pytest.mark.parametrize("swing", ["out", "slides"])
def test_a_door_that_opens_out_or_slides_strikes_nothing_inside(swing):
    door = f'{{ wall = "south", from_west = "1 m", width = "80 cm", swing = "{swing}", hinged = "west" }}'
    post = 'obstacles = [{ name = "post", at = ["1.3 m", "10 cm"], size = ["10 cm", "10 cm"] }]'
    (fit,) = solve_layout(make_room(door=door, room=post)).doors
    assert fit.swept == fit.perhaps_swept == ()


def test_the_way_is_as_wide_as_the_gap_it_passes():
    # A cupboard across the room leaves 70 cm along the east wall.
    wall = 'obstacles = [{ name = "cupboard", at = ["0 m", "1 m"], size = ["2.3 m", "20 cm"] }]'
    (fit,) = solve_layout(make_room(room=wall)).racks
    assert fit.way is not None
    assert 0.7 - fit.way_step <= fit.way <= 0.7 + 1e-9


def test_a_rack_walled_off_has_no_way_and_one_without_a_door_is_not_judged():
    wall = 'obstacles = [{ name = "cupboard", at = ["0 m", "1 m"], size = ["3 m", "20 cm"] }]'
    assert solve_layout(make_room(room=wall)).racks[0].way == 0.0
    closed = solve_layout(make_room(door=""))
    assert closed.racks[0].way is None
    assert [subject for subject, _ in closed.not_computed] == ["room cellar"]


def test_reach_counts_the_setback_and_the_far_lower_corner():
    room = make_room(tanks='shelf.1 = [{ kind = "box", ids = "A1", from_left = "10 cm", off_back = "2 cm" }]')
    (fit,) = solve_layout(room).tanks
    assert fit.reach_back == pytest.approx(0.08 + 0.30)
    assert fit.reach_corner == pytest.approx(math.hypot(0.08 + 0.29, 0.295))


def test_an_end_on_tank_has_its_short_side_to_the_aisle():
    room = make_room(tanks='shelf.1 = [{ kind = "box", ids = "A1", from_left = "10 cm", end_on = true }]')
    tank = room.tank("A1")
    assert (tank.length, tank.depth) == (0.3, 0.6)
    assert solve_layout(room).tanks[0].past_rack == pytest.approx(0.2)


@pytest.mark.parametrize(
    ("changes", "way_out"),
    [
        ({}, "front"),
        ({"tanks": 'shelf.1 = [{ kind = "box", ids = "A1", from_left = "0 cm" }]'}, "front after neighbours"),
        ({"width": "70 cm", "tanks": 'shelf.2 = [{ kind = "box", ids = "A1", from_left = "0 cm" }]'}, "up"),
        ({"width": "70 cm"}, "none"),
    ],
)
def test_a_tank_comes_out_the_easiest_way_there_is(changes, way_out):
    assert solve_layout(make_room(**changes)).tanks[0].way_out == way_out


def test_a_hole_behind_an_upright_has_a_clearance_below_zero():
    room = make_room(tanks='shelf.1 = [{ kind = "box", ids = "A1", from_left = "0 cm" }]')
    (hole,) = solve_layout(room).holes
    assert hole.upright_clearance == pytest.approx(0.15 - 0.0225 - 0.045)
    close = with_hole(room, "A1", centre=(0.5 + 0.05, *room.tank("A1").hole.centre[1:]))
    assert solve_layout(close).holes[0].upright_clearance == pytest.approx(0.05 - 0.0225 - 0.045)


def test_without_a_flange_the_hole_itself_is_measured():
    room = with_hole(make_room(), "A1", flange=None)
    first = solve_layout(room).holes[0]
    assert (first.flange_known, first.upright_clearance) == (
        False,
        pytest.approx(0.10 + 0.15 - 0.015 - 0.045),
    )


def test_room_behind_a_back_hole_ends_at_the_wall():
    (hole, *_) = solve_layout(make_room()).holes
    assert hole.room_at_hole == pytest.approx(0.10 + 0.05)


def test_a_tank_without_its_rack_or_room_is_named_and_not_judged():
    room = make_room()
    bare = replace(room, racks=(), spaces=())
    result = solve_layout(bare)
    assert {subject for subject, _ in result.not_computed} == {f"tank A{n}" for n in (1, 2, 3, 4)}
    assert all(fit.way_out == "not known" and fit.front_clear is None for fit in result.tanks)


def test_a_mirrored_room_has_the_same_measures():
    north, south = make_room(), make_room()
    mirrored = replace(
        south,
        racks=tuple(replace(r, box=_flip(r.box), facing="north") for r in south.racks),
        tanks=tuple(replace(t, box=_flip(t.box), facing="north") for t in south.tanks),
    )
    one, other = solve_layout(north), solve_layout(mirrored)
    assert one.aisles[0].width == pytest.approx(other.aisles[0].width)
    for first, second in zip(one.tanks, other.tanks, strict=True):
        assert first.front_clear == pytest.approx(second.front_clear)
        assert first.reach_back == pytest.approx(second.reach_back)


def _flip(box: Box) -> Box:
    return replace(box, y0=2.5 - box.y1, y1=2.5 - box.y0)


def test_the_owners_own_reach_and_height_stand_before_the_assumptions():
    own = '[assume]\n"reach.arm" = "72 cm"\n"reach.clear_above" = "10 cm"'
    result = solve_layout(make_room(more=own))
    assert (result.arm.value, result.clear_needed.value) == (0.72, 0.10)
    assert not result.arm.is_assumed
