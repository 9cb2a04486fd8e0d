"""Ways to every rack: what is shut in is found, and what must be left open holds for every answer that has its ways."""

from __future__ import annotations

import numpy as np
import pytest

from tankwright.arranging.model import Place
from tankwright.arranging.places import Floor, doors_of, front_of, places_for
from tankwright.arranging.walkable import Walking
from tankwright.room.layout import lay_out
from tankwright.room.ways import widest_ways
from tankwright.systems.layout import STANDING_ROOM

from .small_rooms import plan_of, small_room

AISLE = 0.61


def walking(size: tuple[float, float] = (3.4, 3.0), *, most: int = 60) -> Walking:
    text = small_room(size=(*size, 2.2))
    room = lay_out(plan_of(text)).room
    assert room is not None
    floor = Floor(space=room.spaces[0], kept=(), aisle=AISLE, off_wall=0.08, quantum=0.001, islands=True)
    found = places_for(floor, list(plan_of(text).rack_kind.items()), most)
    return Walking(space=room.spaces[0], kept=(), way=AISLE, places=found.places)


def ways_by_the_layout(here: Walking, racks: list[int]) -> list[bool]:
    """Whether each rack can be walked to, by the search the checks use."""
    places = [here.places[rack] for rack in racks]
    doors = [(door.start, door.end) for door in doors_of(here.space)]
    goals = [front_of(one.box, one.facing, STANDING_ROOM) for one in places]
    ways = widest_ways(here.space.box, [one.box for one in places], doors, goals)
    return [way > 0 and way + ways.cell >= AISLE - 1e-9 for way in ways.widths]


def apart(places: list[Place]) -> bool:
    return all(
        min(a.box.x1, b.box.x1) <= max(a.box.x0, b.box.x0) or min(a.box.y1, b.box.y1) <= max(a.box.y0, b.box.y0)
        for number, a in enumerate(places) for b in places[number + 1 :]
    )  # fmt: skip


def answers(here: Walking, many: int) -> list[list[int]]:
    """Sets of racks that do not stand in each other, whether they can be walked to or not."""
    chance = np.random.default_rng(7)
    found = []
    while len(found) < many:
        chosen: list[int] = []
        for rack in chance.permutation(len(here.places)).tolist():
            if apart([here.places[one] for one in (*chosen, rack)]):
                chosen.append(rack)
            if len(chosen) == 5:
                break
        found.append(sorted(chosen))
    return found


def test_racks_are_shut_in_exactly_when_the_layout_finds_no_way() -> None:
    here = walking()
    seen = set()
    for racks in answers(here, 60):
        whole = all(ways_by_the_layout(here, racks))
        assert (here.openings(racks) == []) is whole
        seen.add(whole)
    assert seen == {True, False}


def test_what_must_be_left_open_is_broken_by_the_answer_and_kept_by_every_one_that_has_its_ways() -> None:
    here = walking()
    every = answers(here, 60)
    good = [racks for racks in every if not here.openings(racks)]
    told = [(racks, opening) for racks in every for opening in here.openings(racks)]
    assert good
    assert told
    for racks, opening in told:
        assert not kept(opening.needing, opening.gaps, racks)
        assert all(kept(opening.needing, opening.gaps, other) for other in good)


def kept(needing: tuple[int, ...], gaps: tuple[tuple[int, ...], ...], racks: list[int]) -> bool:
    needed = not set(needing).isdisjoint(racks)
    return not needed or any(set(gap).isdisjoint(racks) for gap in gaps)


def test_the_racks_that_are_left_can_be_walked_to_and_so_can_any_set_along_their_ways() -> None:
    here = walking()
    for racks in answers(here, 20):
        left = here.most_walkable(racks)
        assert set(left) <= set(racks)
        assert here.openings(left) == []
        along = here.along_ways_to(left)
        assert set(left) <= along
        for other in answers(here, 10):
            assert here.openings([rack for rack in other if rack in along]) == []


def test_without_a_door_nothing_is_asked() -> None:
    text = small_room().replace("doors = [", "windows = [] # [")
    room = lay_out(plan_of(text)).room
    assert room is not None
    floor = Floor(space=room.spaces[0], kept=(), aisle=AISLE, off_wall=0.08, quantum=0.001)
    found = places_for(floor, list(plan_of(text).rack_kind.items()), 60).places
    assert Walking(space=room.spaces[0], kept=(), way=AISLE, places=found).openings([0, 1]) == []


@pytest.mark.parametrize("way", [0.4, 0.61, 0.8])
def test_a_wider_way_is_asked_for_no_oftener_than_a_narrower_one(way: float) -> None:
    here = walking()
    wide = Walking(space=here.space, kept=(), way=way + 0.1, places=here.places)
    narrow = Walking(space=here.space, kept=(), way=way, places=here.places)
    for racks in answers(here, 20):
        assert not narrow.openings(racks) or wide.openings(racks)
