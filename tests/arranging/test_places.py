"""Places for racks: free of all that does not move, and among them those at which a row of racks just fits."""

from __future__ import annotations

import math
from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankwright.arranging.conflicts import at_most_one, conflict_pairs
from tankwright.arranging.places import Floor, Places, places_for
from tankwright.room.layout import lay_out
from tankwright.room.model import Box, OutfallPlace, Space

from .small_rooms import plan_of, small_room


def floor_of(text: str, *, aisle: float = 0.61, islands: bool = False, keep: tuple[str, ...] = ()) -> Floor:
    room = lay_out(plan_of(text)).room
    assert room is not None
    kept = tuple(rack for rack in room.racks if rack.id in keep)
    return Floor(space=room.spaces[0], kept=kept, aisle=aisle, off_wall=0.08, quantum=0.001, islands=islands)


def places(text: str, floor: Floor, most: int = 400) -> Places:
    return places_for(floor, list(plan_of(text).rack_kind.items()), most)


def share(first: Box, second: Box) -> bool:
    wide = min(first.x1, second.x1) - max(first.x0, second.x0)
    deep = min(first.y1, second.y1) - max(first.y0, second.y0)
    return wide > 0.001 and deep > 0.001


def test_every_place_has_its_aisle_inside_the_room_and_leaves_door_and_obstacle_free() -> None:
    text = small_room(
        room='obstacles = [{ name = "boiler", at = ["2.4 m", "1.9 m"], size = ["50 cm", "40 cm"] }]'
    )
    floor = floor_of(text, islands=True)
    found = places(text, floor)
    room = floor.space.box
    boiler = floor.space.obstacles[0][1]
    door = Box(x0=0.2, y0=0.0, z0=0.0, x1=0.9, y1=0.61, z1=0.0)
    assert {place.wall for place in found.places} >= {"north", "east", None}
    for place in found.places:
        for need in (place.box, place.front):
            assert need.x0 >= room.x0 - 1e-6
            assert need.x1 <= room.x1 + 1e-6
            assert need.y0 >= room.y0 - 1e-6
            assert need.y1 <= room.y1 + 1e-6
            assert not share(need, boiler)
        assert not share(place.box, door)
        across = place.facing in ("north", "south")
        deep = place.front.y1 - place.front.y0 if across else place.front.x1 - place.front.x0
        assert deep == pytest.approx(0.61)


def test_a_door_that_opens_in_keeps_its_swing_free() -> None:
    out = small_room(size=(2.6, 2.4, 2.2))
    into = out.replace('swing = "out"', 'swing = "in"')
    swings, free = (
        {one.along for one in places(text, floor_of(text, aisle=0.3)).places if one.wall == "west"}
        for text in (into, out)
    )
    assert swings < free
    assert min(free) == pytest.approx(0.3, abs=0.05)
    assert (
        min(swings) > 0.6
    )  # the leaf is 70 cm and hinged 20 cm from the corner, the rack begins 8 cm off the wall


@pytest.mark.parametrize("racks", [2, 3])
def test_a_row_of_racks_that_just_fits_a_wall_is_among_the_places(racks: int) -> None:
    text = small_room(size=(racks * 1.0 + (racks - 1) * 0.02, 3.0, 2.2))
    found = places(text, floor_of(text))
    starts = sorted(round(place.along or 0.0, 3) for place in found.places if place.wall == "north")
    assert {round(number * 1.02, 3) for number in range(racks)} <= set(starts)


def test_a_rack_that_stays_keeps_its_aisle() -> None:
    rack = '[[rack]]\nid = "A"\nkind = "plain"\nroom = "shed"\nwall = "north"\nfrom_west = "0 cm"\noff_wall = "8 cm"\n'
    text = small_room(more=rack)
    floor = floor_of(text, keep=("A",), islands=True)
    box = floor.kept[0].box
    before = Box(x0=box.x0, y0=box.y0 - 0.61, z0=0.0, x1=box.x1, y1=box.y0, z1=0.0)
    for place in places(text, floor).places:
        assert not share(place.box, box)
        assert not share(place.box, before)
        assert not share(place.front, box)


def test_a_rack_taller_than_a_sloping_ceiling_stands_where_the_ceiling_is_high() -> None:
    text = small_room(room='ceiling_slope = { towards = "north", height = "1.2 m" }')
    found = places(text, floor_of(text))
    assert found.places
    assert all(place.wall != "north" for place in found.places)
    assert all(place.ceiling >= 1.5 for place in found.places)


def test_a_low_beam_is_the_ceiling_of_the_places_under_it() -> None:
    beam = 'beams = [{ name = "duct", at = ["0 m", "1.5 m"], size = ["3 m", "90 cm"], underside = "1.6 m" }]'
    found = places(small_room(room=beam), floor_of(small_room(room=beam)))
    north = [place for place in found.places if place.wall == "north"]
    assert north
    assert {place.ceiling for place in north} == {1.6}


def test_the_drain_lies_higher_the_farther_a_place_is_from_the_outfall_round_the_walls() -> None:
    text = small_room(size=(5.0, 3.0, 2.2))
    floor = floor_of(text)
    outfall = OutfallPlace(id="o", room="shed", place=(4.96, 0.5, -0.02), to="sewer, trapped", capacity=None)
    drained = Floor(
        space=floor.space, kept=(), aisle=0.61, off_wall=0.08, quantum=0.001, outfall=outfall, fall=0.02
    )
    north = [place for place in places(text, drained).places if place.wall == "north"]
    far, near = min(north, key=lambda one: one.box.x0), max(north, key=lambda one: one.box.x0)
    assert far.drain is not None
    assert near.drain is not None
    # from the rack's east end (1 m) along the north wall, 4 cm off it, then down the east wall to the outfall
    assert far.drain == pytest.approx(-0.02 + 0.02 * ((5.0 - 0.04 - 1.0) + (3.0 - 0.04 - 0.5)), abs=1e-6)
    assert near.drain < far.drain


def test_the_grid_grows_coarser_until_there_are_few_enough_places() -> None:
    text = small_room(size=(9.0, 7.0, 2.2))
    fine, coarse = (places(text, floor_of(text), most) for most in (400, 60))
    assert len(coarse.places) <= 60
    assert coarse.step > fine.step


# --- what cannot both be -----------------------------------------------------------------------------------------


@given(
    size=st.tuples(st.floats(2.2, 4.5), st.floats(2.0, 3.5)), aisle=st.floats(0.3, 0.8), islands=st.booleans(),
)  # fmt: skip
def test_the_groups_say_every_pair_that_cannot_be_and_no_other(
    size: tuple[float, float], aisle: float, islands: bool
) -> None:
    text = small_room(size=(round(size[0], 2), round(size[1], 2), 2.2))
    found = places(text, floor_of(text, aisle=aisle, islands=islands), most=50).places
    told = {pair for group in at_most_one(found) for pair in combinations(sorted(group), 2)}
    assert told == conflict_pairs(found)


def test_two_racks_that_face_each_other_share_one_aisle() -> None:
    text = small_room(size=(3.0, 1.57, 2.2))  # two racks of 40 cm, 8 cm behind each, 61 cm between
    found = places(text, floor_of(text)).places
    pairs = conflict_pairs(found)
    north = [
        number for number, place in enumerate(found) if place.wall == "north" and (place.along or 0) >= 1.9
    ]
    south = [
        number for number, place in enumerate(found) if place.wall == "south" and (place.along or 0) >= 1.9
    ]
    assert north
    assert south
    assert all((min(a, b), max(a, b)) not in pairs for a in north for b in south)


def test_nothing_is_in_a_group_without_places() -> None:
    assert at_most_one(()) == []
    space = Space(id="r", box=Box(x0=0, y0=0, z0=0, x1=0.5, y1=0.5, z1=2), floor="slab")
    floor = Floor(space=space, kept=(), aisle=0.6, off_wall=0.08, quantum=0.001)
    assert places_for(floor, list(plan_of(small_room()).rack_kind.items()), 100).places == ()
    assert math.isfinite(places_for(floor, [], 100).step)
