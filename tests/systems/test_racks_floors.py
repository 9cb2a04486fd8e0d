"""Floors under racks: feet where they stand, voids, joists beside what is worked out by hand."""

from __future__ import annotations

import pytest

from tankwright.physics.constants import STANDARD_GRAVITY as G

from .rack_rooms import TIMBER, rack_room, solved

JOISTS = 'joists = {{ section = "45 mm x 195 mm C24", every = "{every}", run = "{run}" }}'


def floor_of(**changes):
    room = rack_room(**{"floor": "timber", **changes})
    return solved(room, **{tank.id: 100.0 for tank in room.tanks}).floors[0]


def test_a_foot_stands_under_its_upright():
    """The rack's back is 10 cm off the north wall of 3 m; it faces south, its left end is 50 cm from the west."""
    feet = {(one.upright, one.side): one for one in floor_of().feet}
    assert len(feet) == 4
    # uprights of 50 x 100 mm, seen from their thin side
    assert (feet[0, "back"].x, feet[0, "back"].y) == pytest.approx((0.525, 2.85))
    assert (feet[1, "front"].x, feet[1, "front"].y) == pytest.approx((2.525, 2.55))
    assert all(one.over == "" for one in feet.values())


@pytest.mark.parametrize(
    ("at", "over"),
    [
        ('["50 cm", "2.75 m"]', ["back"]),
        ('["50 cm", "2.45 m"]', ["front"]),
        ('["60 cm", "2.4 m"]', []),  # between the uprights a void is no matter of the feet
        ('["40 cm", "2.40 m"]', ["front"]),
        ('["30 cm", "2.40 m"]', []),  # it ends where the foot begins
    ],
)
def test_a_foot_over_a_void_is_named(at, over):
    floor = floor_of(room=f'voids = [{{ name = "hatch", at = {at}, size = ["20 cm", "20 cm"] }}]')
    assert [one.side for one in floor.feet if one.over == "hatch"] == over


def test_feet_that_do_not_match_the_uprights_are_not_placed_and_said():
    room = rack_room(
        kind="legs = 6", room='voids = [{ name = "pit", at = ["1 m", "1 m"], size = ["1 m", "1 m"] }]'
    )
    result = solved(room)
    assert result.floors[0].feet == ()
    assert any("feet do not match its uprights" in reason for _, reason, _ in result.not_computed)


def test_the_limit_someone_gave_is_the_design_of_its_joists():
    floor = floor_of(room='floor_limit = "3 kPa"\n' + JOISTS.format(every="50 cm", run="north-south"))
    assert (floor.limit.value, floor.design.value) == pytest.approx((3000.0, 3000.0))
    assert floor.joists[0].design_moment == pytest.approx(3000.0 * 0.5 * 3.0**2 / 8.0)
    assert floor_of().design.key == "racks.floor_design"


def test_a_foot_between_joists_comes_to_both_by_the_lever_rule():
    """Feet at 0.525 and 2.525 m from the west, joists every 50 cm from the west wall: nineteen parts in twenty to
    those at 0.5 and 2.5 m, the rest to the next.
    """
    floor = floor_of(room=JOISTS.format(every="50 cm", run="north-south"))
    loads = {
        one.index: sum(each.load * (each.end - each.start) for each in one.patches) for one in floor.joists
    }
    assert sorted(loads) == [1, 2, 5, 6]
    feet = sum(one.force for one in floor.feet)
    assert sum(loads.values()) == pytest.approx(feet)
    assert loads[1] == pytest.approx(0.95 * feet / 2.0)
    assert [one.at for one in floor.joists] == pytest.approx([0.5, 1.0, 2.5, 3.0])


def test_the_moment_of_a_joist_is_as_worked_out_by_hand():
    """Two feet on one joist across the room of 3 m: at 2.55 and 2.85 m from the south, each as long as an upright."""
    floor = floor_of(room=JOISTS.format(every="52.5 cm", run="north-south"))
    joist = next(one for one in floor.joists if one.index == 1)
    foot = floor.feet[0].force
    right = foot * (2.55 + 2.85) / 3.0
    # the worst lies under the front foot, 10 cm long, where the shear passes nothing
    left = 2.0 * foot - right
    into = left / (foot / 0.1)
    assert joist.moment == pytest.approx(left * (2.5 + into) - foot / 0.1 * into**2 / 2.0)
    assert joist.sag_now > 0.0


def test_joists_along_the_rack_carry_its_front_or_its_back():
    floor = floor_of(room=JOISTS.format(every="60 cm", run="east-west"))
    assert {one.span for one in floor.joists} == {4.0}
    carried = sum(each.load * (each.end - each.start) for one in floor.joists for each in one.patches)
    assert carried == pytest.approx(sum(one.force for one in floor.feet))


def test_a_joist_of_no_grade_has_moments_but_no_sag():
    said = JOISTS.format(every="50 cm", run="north-south").replace(" C24", "")
    floor = floor_of(room=said)
    assert floor.joists[0].moment > 0.0
    assert floor.joists[0].sag_now is None


def test_a_room_without_racks_has_no_floor_to_tell_of():
    room = rack_room(room="")
    assert [one.space for one in solved(room).floors] == ["cellar"]
    other = '\n[room.attic]\nsize = { length = "3 m", width = "3 m", height = "2 m" }\n'
    assert [one.space for one in solved(rack_room(rack=other)).floors] == ["cellar"]


def test_what_stands_in_a_room_is_told_over_its_whole_floor():
    room = rack_room(built=TIMBER, mass="40 kg")
    floor = solved(room, **{tank.id: 100.0 for tank in room.tanks}).floors[0]
    assert floor.average == pytest.approx(240.0 * G / (4.0 * 3.0))
    assert (floor.heaviest_rack, floor.limit) == ("A", None)
