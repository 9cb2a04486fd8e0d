"""Racks under their tanks, beside what is worked out by hand; what comes down is what stands on them."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tankwright.catalogue.strength import allowed_stresses, post_capacity
from tankwright.physics.constants import STANDARD_GRAVITY as G
from tankwright.systems.load import solve_load
from tankwright.systems.racks import solve_racks
from tankwright.systems.racks_loads import Grid, Standing, patches_of, shares_over, upright_loads
from tankwright.systems.racks_sags import YEARS
from tankwright.systems.racks_sections import sections_that_hold

from .rack_rooms import TIMBER, only_rack, rack_room, solved

THREE = TIMBER.replace("board =", "bearers_under = 3, board =")


def bearers(strength, shelf=1):
    return [one for one in strength.beams if one.part == "bearer" and one.shelf == shelf]


def use(beam, check):
    return next(one for one in beam.uses if one.check == check)


# --- a bearer by hand ------------------------------------------------------------------------------------------------


def test_a_bearer_is_as_worked_out_by_hand():
    """Two tanks of 100 kg from 0.2 to 1.8 m of a span of 2 m, half on each of two bearers: 613 N/m over 1.6 m."""
    front, back = bearers(only_rack())
    weight = 200.0 * G / 2.0
    assert front.span == pytest.approx(2.0)
    assert [(p.start, p.end, p.tank) for p in front.patches if p.tank] == [(0.2, 1.0, "A1"), (1.0, 1.8, "A2")]
    assert front.reactions == pytest.approx((weight / 2.0, weight / 2.0), rel=1e-4)
    # an even load over the middle c of a span L: W (L / 4 - c / 8)
    assert front.moment == pytest.approx(weight * (2.0 / 4.0 - 1.6 / 8.0), rel=1e-4)
    assert (back.moment, *back.reactions) == pytest.approx((front.moment, *front.reactions))
    modulus = 0.05 * 0.1**2 / 6.0
    assert use(front, "bending").demand == pytest.approx(front.moment / modulus)
    assert use(front, "shear").demand == pytest.approx(1.5 * front.shear / (0.05 * 0.1))


def test_what_a_bearer_may_bear_is_that_of_its_grade_for_good():
    front = bearers(only_rack())[0]
    allowed = allowed_stresses(front.member.grade, front.member.section, service_class=2)
    assert use(front, "bending").allowed == allowed.bending
    # EN 1995-1-1: kmod 0.6, gammaM 1.3, 1.35 on weight that stays; kh (150/100)^0.2
    assert allowed.bending == pytest.approx(0.6 * 24e6 / 1.3 / 1.35 * 1.5**0.2, rel=1e-3)


def test_sag_grows_with_creep_and_is_held_beside_a_share_of_the_span():
    front = bearers(only_rack())[0]
    assert front.sag_later == pytest.approx(1.8 * front.sag_now)  # 1 + kdef of service class 2
    assert use(front, "sag").allowed == pytest.approx(2.0 / 300.0)
    wet = bearers(only_rack(built=TIMBER.replace("service_class = 2", "service_class = 3")))[0]
    assert (wet.sag_now, wet.sag_later) == pytest.approx((front.sag_now, 3.0 * front.sag_now))
    # bending alone would be 5/384-like of this load; the board's shear adds a little and takes nothing
    weight, inertia = 200.0 * G / 2.0, 0.05 * 0.1**3 / 12.0
    c, span = 1.6, 2.0
    by_bending = weight / (384.0 * 11e9 * inertia) * (8.0 * span**3 - 4.0 * span * c**2 + c**3)
    assert by_bending < front.sag_now < 1.1 * by_bending


def test_a_bearer_on_a_block_is_judged_where_it_rests():
    front = bearers(only_rack(built=TIMBER.replace("board =", 'bearers_rest = "block", board =')))[0]
    assert use(front, "bearing").demand == pytest.approx(front.reactions[0] / (0.05 * 0.030))
    assert not [one for one in bearers(only_rack())[0].uses if one.check == "bearing"]


def test_an_upright_in_the_middle_halves_the_span():
    two = bearers(only_rack(uprights='["0 cm", "100 cm", "200 cm"]'))
    assert [one.span for one in two] == pytest.approx([1.0] * 4)
    assert max(one.moment for one in two) < bearers(only_rack())[0].moment / 2.0


# --- more than two bearers -------------------------------------------------------------------------------------------


@given(
    st.integers(2, 7),
    st.floats(-0.2, 1.2),
    st.floats(0.02, 1.0),
    st.sampled_from(["soft board", "stiff tank"]),
)
def test_bearers_share_a_load_with_nothing_lost_and_its_middle_kept(count, start, width, way):
    places = tuple(index / (count - 1) for index in range(count))
    shares = shares_over(places, (start, start + width), way)
    assert sum(shares) == pytest.approx(1.0)
    middle = sum(share * place for share, place in zip(shares, places, strict=True))
    assert middle == pytest.approx(start + width / 2.0, abs=1e-9)


def test_three_bearers_are_judged_by_the_worse_of_two_ways_to_share():
    """Of a tank of 30 cm over bearers at 2.5, 20 and 37.5 cm a soft board brings the middle one more than a third."""
    strength = only_rack(built=THREE)
    outer, middle, last = (one.moment for one in bearers(strength))
    alone = bearers(only_rack())[0].moment * 2.0
    soft = shares_over((0.025, 0.2, 0.375), (0.05, 0.35))
    assert middle == pytest.approx(alone * soft[1], rel=1e-4)
    assert outer == last == pytest.approx(alone / 3.0, rel=1e-4)
    assert soft[1] > 1.0 / 3.0 > soft[0]


def test_a_middle_bearer_rests_on_pieces_from_front_to_back():
    strength = only_rack(built=THREE)
    ends = [one for one in strength.beams if one.part == "end piece" and one.shelf == 1]
    middle = bearers(strength)[1]
    assert len(ends) == 2
    assert sum(ends[0].reactions) == pytest.approx(middle.reactions[0], rel=1e-5)
    assert ends[0].moment == pytest.approx(middle.reactions[0] * 0.35 / 4.0, rel=1e-4)
    assert not [one for one in only_rack().beams if one.part == "end piece"]


# --- what comes down -------------------------------------------------------------------------------------------------


@settings(max_examples=60)
@given(
    st.lists(
        st.tuples(st.floats(-0.1, 1.9), st.floats(0.05, 1.0), st.floats(0.0, 0.3), st.floats(1.0, 900.0)), max_size=5
    ),
    st.sampled_from([(0.0, 2.0), (0.02, 1.0, 1.98), (0.3, 0.9, 1.7)]),
)  # fmt: skip
def test_what_comes_to_the_uprights_is_what_stands_on_the_shelf(loads, uprights):
    grid = Grid(uprights=uprights, bearers=(0.025, 0.375))
    standing = [
        Standing(tank="t", weight=weight, along=(at, at + wide), deep=(deep, deep + 0.1))
        for at, wide, deep, weight in loads
    ]
    total = sum(one.weight for one in standing)
    come = upright_loads(grid, standing)
    assert sum(come.values()) == pytest.approx(total, abs=1e-9)
    carried = sum(
        patch.load * (patch.end - patch.start)
        for bay in range(len(grid.spans))
        for bearer in range(2)
        for patch in patches_of(grid, bay, bearer, standing, "soft board")
    )
    assert carried <= total + 1e-4  # places are rounded to a millionth of a millimetre


@pytest.mark.parametrize("built", [TIMBER, THREE, ""])
def test_the_feet_of_a_rack_bring_all_of_its_weight(built):
    room = rack_room(built=built)
    result = solved(room)
    strength, floor = result.racks[0], result.floors[0]
    total = 20.0 + sum(one.total for one in _loads(room))
    assert sum(one.force for one in strength.posts) == pytest.approx(total * G)
    assert sum(one.force for one in floor.feet) == pytest.approx(total * G)
    assert floor.average == pytest.approx(total * G / 12.0)
    assert floor.heaviest_footprint == pytest.approx(total * G / (2.05 * 0.4))


def _loads(room):
    return solve_load(room).tanks


def test_a_tank_at_the_front_leans_on_the_front_uprights():
    tanks = 'shelf.1 = [{ kind = "box", ids = "A1..A2", from_left = "22.5 cm", gap = "0 cm", off_back = "10 cm" }]'
    posts = {(one.upright, one.side): one.force for one in only_rack(tanks=tanks).posts}
    # its middle lies 15 cm behind the front, the bearers' middles 2.5 and 37.5
    assert posts[0, "front"] == pytest.approx(100.0 * G * (0.375 - 0.15) / 0.35, rel=1e-4)
    assert posts[0, "front"] == pytest.approx(posts[1, "front"])


def test_an_end_on_tank_stands_on_the_bearers_with_its_long_side():
    tanks = (
        'shelf.1 = [{ kind = "box", ids = "A1", from_left = "87.5 cm", end_on = true, off_back = "-0 cm" }]'
    )
    front = bearers(only_rack(tanks=tanks.replace(', off_back = "-0 cm"', "")))[0]
    (patch,) = [one for one in front.patches if one.tank]
    assert (patch.start, patch.end) == (0.85, 1.15)


# --- uprights --------------------------------------------------------------------------------------------------------


def test_an_upright_is_held_at_its_shelves():
    strength = only_rack(
        tanks='shelf.2 = [{ kind = "box", ids = "A1..A2", from_left = "22.5 cm", gap = "0 cm" }]'
    )
    post = strength.posts[0]
    assert (strength.leans, post.free_length, post.loose_length) == (
        False,
        pytest.approx(0.6),
        pytest.approx(0.6),
    )
    capacity = post_capacity(post.member.grade, post.member.section, free_length=0.6, service_class=2)
    assert post.worst.allowed == pytest.approx(capacity.force)
    assert post.worst.share == pytest.approx(post.force / capacity.force, rel=1e-5)


def test_an_upright_of_a_frame_that_may_lean_counts_twice_its_height():
    loose = only_rack(tied="tied_to_wall = false", built=TIMBER.replace(', brace = "9 mm plywood"', ""))
    post = loose.posts[0]
    assert (loose.leans, post.loose_length) == (True, pytest.approx(0.8))
    capacity = post_capacity(
        post.member.grade, post.member.section, free_length=0.8, free_length_wide=0.4, service_class=2
    )
    assert post.worst.allowed == pytest.approx(capacity.force)


@pytest.mark.parametrize(
    ("tied", "brace", "leans"),
    [
        ("tied_to_wall = true", False, False),
        ("tied_to_wall = false", True, False),
        ("tied_to_wall = false", False, True),
        ("", False, None),
        ("", True, False),
    ],
)
def test_what_keeps_a_frame_from_leaning(tied, brace, leans):
    built = TIMBER if brace else TIMBER.replace(', brace = "9 mm plywood"', "")
    strength = only_rack(tied=tied, built=built)
    assert strength.leans is leans
    assert strength.sway_push == pytest.approx(200.0 * G / 200.0, rel=1e-4)


def test_tipping_is_the_weight_times_half_the_depth_over_the_height():
    strength = only_rack(
        tanks='shelf.1 = [{ kind = "box", ids = "A1" }]\nshelf.2 = [{ kind = "box", ids = "A2" }]'
    )
    assert strength.tip_full == pytest.approx(200.0 * G * 0.2 / 1.0, rel=1e-4)
    assert strength.tip_worst == pytest.approx(100.0 * G * 0.2 / 1.0, rel=1e-4)


# --- water lines and sags read ---------------------------------------------------------------------------------------


def test_a_tank_in_the_middle_of_its_bearers_stays_level_and_one_beside_does_not():
    strength = only_rack()
    tilts = {one.tank: one for one in strength.tilts}
    front = bearers(strength)[0]
    assert tilts["A1"].now == pytest.approx(tilts["A2"].now)
    at = {round(x, 3): w for x, w in front.curve}
    assert tilts["A1"].now == pytest.approx(at[1.0] - _between(front.curve, 0.2), rel=1e-6)
    assert tilts["A1"].later == pytest.approx(1.8 * tilts["A1"].now)
    alone = only_rack(tanks='shelf.1 = [{ kind = "box", ids = "A1", from_left = "62.5 cm" }]')
    assert alone.tilts[0].now == pytest.approx(0.0, abs=1e-9)


def _between(curve, x):
    (a, low), (b, high) = next(pair for pair in pairwise(curve) if pair[0][0] <= x <= pair[1][0])
    return low + (high - low) * (x - a) / (b - a)


def test_a_sag_read_is_held_beside_the_one_worked_out_for_its_load_and_age():
    front = bearers(only_rack())[0]

    def read(sag):
        (one,) = only_rack(rack=f"sag = [{sag}]").readings
        return one

    assert read('{ shelf = 1, sag = "3 mm" }').expected == pytest.approx(front.sag_later)
    assert not read('{ shelf = 1, sag = "3 mm" }').aged
    fresh = read('{ shelf = 1, sag = "3 mm", days = "0 days" }')
    assert (fresh.expected, fresh.aged) == (pytest.approx(front.sag_now), True)
    half = read('{ shelf = 1, sag = "3 mm", days = "0 days", carries = "100 kg" }')
    assert half.expected == pytest.approx(front.sag_now / 2.0, rel=1e-3)
    month = read('{ shelf = 1, sag = "3 mm", days = "30 days" }')
    crept = (30 * 86400.0 / YEARS) ** 0.2
    assert month.expected == pytest.approx(front.sag_now * (1.0 + 0.8 * crept))
    assert month.share == pytest.approx(0.003 / month.expected)


# --- what is not known -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("built", "said"),
    [
        ('timber = { uprights = "50x100 C24" }', "nothing says what its bearers are"),
        ('timber = { uprights = "50x100 C24", bearers = "50x100" }', "no grade is known of its bearers"),
        ('timber = { uprights = "50x100", bearers = "50x100 C24" }', "no grade is known of its uprights"),
        (
            'timber = { uprights = "50x100 C24", bearers = "a plank" }',
            "the section of its bearers cannot be read",
        ),
    ],
)
def test_what_is_not_known_is_said_and_never_judged(built, said):
    room = rack_room(built=built)
    result = solved(room)
    found = [(reason, remedy) for subject, reason, remedy in result.not_computed if subject == "rack A"]
    assert any(reason.startswith(said) for reason, _ in found)
    assert all(remedy for _, remedy in found)
    strength = result.racks[0]
    if "bearers" in said:
        assert not [one for beam in bearers(strength) for one in beam.uses]
        assert not strength.judged
    else:
        assert not [one for post in strength.posts for one in post.uses]
    assert sum(one.force for one in strength.posts) > 0.0


def test_a_rack_nobody_describes_is_not_judged_but_its_feet_are_there():
    strength = only_rack(built="")
    assert (strength.judged, strength.beams, strength.leans, strength.worst) == (False, (), False, None)
    assert len(strength.posts) == 4


def test_a_makers_rating_judges_a_bought_rack():
    strength = only_rack(built='made_of = "bought steel shelving"', kind='shelf_rating = "400 kg"')
    assert (strength.judged, strength.rated_share) == (True, pytest.approx(0.5))


def test_a_tank_past_the_last_upright_is_said():
    room = rack_room(uprights='["0 cm", "100 cm"]')
    assert any("A2 stands out past its last upright" in reason for _, reason, _ in solved(room).not_computed)


def test_a_board_not_made_for_the_damp_is_said_and_not_judged():
    room = rack_room(built=TIMBER.replace("18 mm plywood", "18 mm OSB").replace("= 2", "= 3"))
    boards = [one for one in solved(room).racks[0].beams if one.part == "board"]
    assert boards
    assert not [one for board in boards for one in board.uses]
    assert any("board" in reason for _, reason, _ in solved(room).not_computed)


# --- what section would do -------------------------------------------------------------------------------------------


def test_sections_are_tried_in_the_place_of_a_racks_bearers():
    room = rack_room(built=TIMBER.replace('bearers = "50x100 C24"', 'bearers = "45x70 C24"'))
    masses = {"A1": 300.0, "A2": 300.0}
    tried = sections_that_hold(room, room.racks[0], masses, ("45x70", "45x95 C24", "nonsense", "45x195 C24"))
    assert [one.section.wide for one in tried] == [0.07, 0.095, 0.195]
    assert [one.holds for one in tried] == [False, False, True]
    shares = [one.strength.share for one in tried]
    assert shares == sorted(shares, reverse=True)
    strength = solve_racks(room, masses).racks[0]
    assert max(use(one, "bending").share for one in bearers(strength)) == pytest.approx(
        tried[0].strength.share
    )
    assert strength.would_hold.endswith("C24")
    mended = rack_room(built=TIMBER.replace('bearers = "50x100 C24"', f'bearers = "{strength.would_hold}"'))
    assert solve_racks(mended, masses).racks[0].would_hold == ""


def test_nothing_is_tried_for_a_rack_that_is_not_built_here():
    room = rack_room(built="")
    assert sections_that_hold(room, room.racks[0], {}, ("45x95 C24",)) == ()


# --- properties ------------------------------------------------------------------------------------------------------


@settings(max_examples=25, deadline=None)
@given(st.floats(10.0, 300.0), st.floats(1.0, 100.0))
def test_more_weight_never_asks_less(mass, more):
    room = rack_room(built=THREE)
    light = solve_racks(room, {"A1": mass, "A2": mass}).racks[0]
    heavy = solve_racks(room, {"A1": mass + more, "A2": mass}).racks[0]
    for before, after in zip(light.beams, heavy.beams, strict=True):
        assert after.moment >= before.moment - 1e-6
    for before, after in zip(light.posts, heavy.posts, strict=True):
        assert after.force >= before.force - 1e-9


def test_a_rack_is_the_same_from_the_other_side():
    """Tanks put mirrored along the front mirror what comes to the uprights."""
    left = only_rack(tanks='shelf.1 = [{ kind = "box", ids = "A1", from_left = "10 cm" }]')
    right = only_rack(tanks='shelf.1 = [{ kind = "box", ids = "A1", from_left = "115 cm" }]')
    forces = [{(one.upright, one.side): one.force for one in strength.posts} for strength in (left, right)]
    assert forces[0][0, "front"] == pytest.approx(forces[1][1, "front"])
    assert bearers(left)[0].moment == pytest.approx(bearers(right)[0].moment)


def test_racks_do_not_change_with_the_order_of_tanks():
    room = rack_room()
    turned = replace(room, tanks=tuple(reversed(room.tanks)))
    forces = [[one.force for one in solved(each).racks[0].posts] for each in (room, turned)]
    assert forces[0] == pytest.approx(forces[1])
