"""Panes seen from outside: which way they are mirrored, and the glass a tank is glued from."""

from __future__ import annotations

import pytest

from tankwright.plan.reading import read_plan_text
from tankwright.room.layout import lay_out
from tankwright.room.model import Room
from tankwright.takeoff.panes import cut_panes, finished_pane, kinds_of, sides_of

PLAN = """
[room.cellar]
size = {{ length = "5 m", width = "4 m", height = "2.2 m" }}

[tank_kind.drilled]
outside = ["600 mm", "300 mm", "320 mm"]
glass = {{ sides = "5 mm", base = "6 mm", temper = "annealed" }}
hole = {{ pane = "{pane}", diameter = "30 mm", from_left = "{across} mm", {far}, flange = "46 mm" }}

[rack_kind.two]
length = "150 cm"
depth = "70 cm"
shelves = ["20 cm"]

[[rack]]
id = "R"
kind = "two"
room = "cellar"
wall = "north"
from_west = "50 cm"
shelf.1 = [{{ kind = "drilled", ids = "T1..T2", end_on = {turned} }}]
"""


def _room(pane: str, *, across: float = 75.0, turned: bool = False) -> Room:
    far = 'from_back = "60 mm"' if pane == "base" else 'below_rim = "70 mm"'
    read = read_plan_text(
        PLAN.format(pane=pane, across=across, far=far, turned=str(turned).lower()), "panes.toml"
    )
    assert read.plan is not None, read.findings
    return lay_out(read.plan).room


# By hand, tank 600 long, 300 deep, 320 high, hole 75 from the left (from the front on an end), 70 below the rim or
# 60 from the back. Behind it one's left hand is at the tank's right: 600 - 75. At its left end one's left hand is at
# its back: 300 - 75; at its right end at its front: 75. Turned over forwards left stays left, the back is nearest.
BY_HAND = {"back": (525.0, 250.0), "left": (225.0, 250.0), "right": (75.0, 250.0), "base": (75.0, 60.0)}


@pytest.mark.parametrize("turned", [False, True])
@pytest.mark.parametrize("pane", BY_HAND)
def test_a_hole_is_where_one_sees_it_from_outside(pane: str, turned: bool) -> None:
    tank = _room(pane, turned=turned).tanks[0]
    assert tank.hole is not None
    made = finished_pane(tank, tank.hole.pane)
    assert made.hole is not None
    assert (made.hole.across * 1000, made.hole.up * 1000) == pytest.approx(BY_HAND[pane])


def test_clear_glass_is_told_to_the_edges_as_they_are_seen() -> None:
    pane = finished_pane(_room("back").tanks[0], "back")
    clear = {name: round(value * 1000, 6) for name, value in pane.edges}
    assert clear == {"left": 510.0, "right": 60.0, "lower": 235.0, "upper": 55.0}


def test_a_pane_without_a_hole_has_no_clear_edges() -> None:
    pane = finished_pane(_room("back").tanks[0], "front")
    assert (pane.hole, pane.edges) == (None, ())


def test_a_tank_turned_on_its_shelf_has_the_panes_of_its_kind() -> None:
    straight, turned = (_room("back", turned=way).tanks[0] for way in (False, True))
    assert sides_of(straight) == pytest.approx(sides_of(turned))
    assert sides_of(turned) == pytest.approx((0.6, 0.3, 0.32))


# By hand: base 600 x 300; front and back 600 x (320 - 6); ends (300 - 2 * 5) x (320 - 6).
def test_five_panes_are_cut_with_the_base_under_the_walls_and_the_ends_between() -> None:
    panes = {one.pane: one for one in cut_panes(_room("back").tanks[0])}
    sizes = {name: (round(one.width * 1000, 6), round(one.height * 1000, 6)) for name, one in panes.items()}
    assert sizes == {
        "base": (600.0, 300.0), "front": (600.0, 314.0), "back": (600.0, 314.0), "left": (290.0, 314.0),
        "right": (290.0, 314.0),
    }  # fmt: skip
    hole = panes["back"].hole
    assert hole is not None
    assert (hole.across * 1000, hole.up * 1000) == pytest.approx((525.0, 244.0))


def test_a_hole_in_an_end_moves_with_the_glass_the_end_loses() -> None:
    panes = {one.pane: one for one in cut_panes(_room("right").tanks[0])}
    hole = panes["right"].hole
    assert hole is not None
    assert (hole.across * 1000, hole.up * 1000) == pytest.approx((70.0, 244.0))


def test_the_glass_of_the_cut_panes_is_the_glass_of_the_tank() -> None:
    tank = _room("back").tanks[0]
    glass = sum(one.width * one.height * one.thickness.value for one in cut_panes(tank))
    length, depth, height = sides_of(tank)
    inside = (length - 2 * 0.005) * (depth - 2 * 0.005) * (height - 0.006)
    assert glass == pytest.approx(length * depth * height - inside, rel=1e-12)


def test_a_hole_the_plan_does_not_place_is_told_as_guessed() -> None:
    unsaid = PLAN.replace('from_left = "{across} mm", ', "")
    read = read_plan_text(unsaid.format(pane="back", far='below_rim = "71 mm"', turned="false"), "panes.toml")
    assert read.plan is not None
    room = lay_out(read.plan).room
    guessed, said = (
        finished_pane(one.tanks[0], "back", one.assumed).hole for one in (room, _room("back", across=60.0))
    )
    assert guessed is not None
    assert said is not None
    assert (guessed.guessed, said.guessed) == (True, False)


def test_each_kind_is_met_once() -> None:
    room = _room("back")
    assert [tank.id for tank in kinds_of(room)] == ["T1"]
