"""The measures on plan and fronts are the room's own."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from tankwright.drawing.fronts_dimensioned import dimensioned_fronts
from tankwright.drawing.measures import front_measures, plan_measures, tank_stops, told_apart
from tankwright.drawing.model import Drawing, Group, Rectangle, Text, walk
from tankwright.drawing.plan_dimensioned import dimensioned_plans
from tankwright.room.model import Room
from tankwright.workspace.opened import Opened, open_plan

EXAMPLES = Path(__file__).parents[2] / "examples"
OPENED = {name: open_plan(EXAMPLES / f"{name}.toml") for name in ("cellar_mended", "garage")}


def _room(opened: Opened) -> Room:
    assert opened.room is not None
    return opened.room


def _said(drawing: Drawing) -> list[str]:
    return [one.text for one in walk(drawing.parts) if isinstance(one, Text)]


def test_the_chains_round_a_room_are_those_its_plan_says() -> None:
    room = _room(OPENED["cellar_mended"])
    found = {(one.side, one.what): one for one in plan_measures(room, room.spaces[0])}

    def mm(side: str, what: str) -> list[float]:
        return [round(length * 1000, 6) for length in found[side, what].lengths]  # type: ignore[index]

    # as written in examples/cellar_mended.toml: 5.2 m by 3.4 m, a door at 0.4 m, racks at 15 and 215 cm, 190 cm long
    assert mm("south", "room") == [5200.0]
    assert mm("west", "room") == [3400.0]
    assert mm("south", "openings") == [400.0, 800.0, 4000.0]
    assert mm("east", "openings") == [1200.0, 800.0, 1400.0]
    assert mm("north", "racks") == [150.0, 1900.0, 100.0, 1900.0, 1150.0]
    assert mm("west", "depth of racks") == [80.0, 450.0, 2340.0, 450.0, 80.0]
    assert mm("south", "depth of racks") == [4670.0, 450.0, 80.0]


@pytest.mark.parametrize("name", OPENED)
def test_every_chain_from_wall_to_wall_adds_up_to_the_room(name: str) -> None:
    room = _room(OPENED[name])
    for space in room.spaces:
        box = space.box
        for one in plan_measures(room, space):
            whole = box.x1 - box.x0 if one.side in ("north", "south") else box.y1 - box.y0
            assert sum(one.lengths) == pytest.approx(whole), one


def test_tiers_of_one_side_lie_one_outside_the_other() -> None:
    room = _room(OPENED["cellar_mended"])
    for side in ("north", "south", "east", "west"):
        tiers = [one.tier for one in plan_measures(room, room.spaces[0]) if one.side == side]
        assert tiers == list(range(len(tiers)))


def test_a_rack_that_stands_free_is_measured_from_two_walls() -> None:
    room = _room(OPENED["cellar_mended"])
    racks = tuple(replace(rack, island=True) if rack.id == "D" else rack for rack in room.racks)
    found = [one for one in plan_measures(replace(room, racks=racks), room.spaces[0]) if "free" in one.what]
    assert [one.side for one in found] == ["south", "west"]
    assert found[0].lengths[0] == pytest.approx(1.5)
    assert found[1].lengths[:2] == pytest.approx((0.08, 0.45))


def test_a_front_is_measured_by_its_shelves_and_uprights() -> None:
    rack = next(one for one in _room(OPENED["cellar_mended"]).racks if one.id == "A")
    found = {one.what: [round(length * 1000, 6) for length in one.lengths] for one in front_measures(rack)}
    assert found == {
        "uprights": [45.0, 1810.0, 45.0], "length": [1900.0], "shelves": [120.0, 620.0, 560.0, 500.0],
        "height": [1800.0],
    }  # fmt: skip


def test_tanks_are_measured_from_the_left_end_as_one_stands_before_the_rack() -> None:
    room = _room(OPENED["cellar_mended"])
    for facing_south, facing_north in (("A", "D"),):
        first, second = (
            next(one for one in room.racks if one.id == name) for name in (facing_south, facing_north)
        )
        assert [one[0] for one in tank_stops(room, first)[2]] == ["A3", "A4", "A5"]
        assert [one[0] for one in tank_stops(room, second)[2]] == ["D4", "D5", "D6"]
        assert tank_stops(room, second)[3][0][1:] == pytest.approx((0.05, 0.35))


def test_stops_closer_than_half_a_millimetre_are_one() -> None:
    assert told_apart((1.0, 1.0004, 1.001)) == (1.0, 1.001)


@pytest.mark.parametrize(("name", "figures"), [("cellar_mended", {"5200", "3400", "aisle 2340"}),
                                               ("garage", {"19' 8\"", "10' 6\"", "aisle 5' 10\""})])  # fmt: skip
def test_the_plan_says_the_rooms_measures_and_its_aisles(name: str, figures: set[str]) -> None:
    study = OPENED[name].study
    assert study is not None
    paper = "A3" if name == "cellar_mended" else "Tabloid"
    assert figures <= set(_said(dimensioned_plans(study, paper=paper)[0]))  # type: ignore[arg-type]


def test_a_rack_is_as_long_on_the_plan_as_its_scale_says() -> None:
    study = OPENED["cellar_mended"].study
    assert study is not None
    drawing = dimensioned_plans(study, paper="A3")[0]
    group = next(one for one in walk(drawing.parts) if isinstance(one, Group) and one.place == "A")
    box = next(one for one in group.parts if isinstance(one, Rectangle))
    assert (box.width, box.height) == pytest.approx((1900 / drawing.scale, 450 / drawing.scale))


def test_places_are_told_from_the_walls_of_their_own_room() -> None:
    study = OPENED["cellar_mended"].study
    assert study is not None
    laundry = dimensioned_plans(study, paper="A3")[1]
    assert "200 from west, 1700 from south" in _said(laundry)  # the gully, as the plan says it


def test_every_tank_of_every_rack_stands_on_a_front_with_its_place() -> None:
    room = _room(OPENED["cellar_mended"])
    said = [text for sheet in dimensioned_fronts(room, paper="A4") for text in _said(sheet)]
    assert {tank.id for tank in room.tanks} <= set(said)
    assert "45 – 945" in said
    assert "water 458" in said  # 120 shelf + 380 tank - 42 below the rim


def test_a_room_without_racks_has_no_fronts() -> None:
    assert dimensioned_fronts(replace(_room(OPENED["garage"]), racks=(), tanks=())) == ()
