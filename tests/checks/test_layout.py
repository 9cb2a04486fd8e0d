"""What the tool says of a layout: each code when it must speak, and silence when all is well."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tankwright.checks.layout import check_layout
from tankwright.display import render_finding, sentence
from tankwright.finding import Finding, Severity
from tankwright.room.model import Room
from tankwright.systems.layout import solve_layout

from ..systems.plain_rooms import HOLE, given, make_room, with_hole, with_tank

BOX = '{{ kind = "box", ids = "{ids}", from_left = "{left}" }}'


def judged(room: Room) -> dict[str, Finding]:
    return {finding.code: finding for finding in check_layout(room, solve_layout(room))}


def said(finding: Finding) -> str:
    return sentence(finding.text, finding.numbers)


def shelf(ids: str, left: str) -> str:
    return f"shelf.1 = [{BOX.format(ids=ids, left=left)}]"


def test_a_good_room_is_met_with_silence():
    assert judged(make_room()) == {}


def test_a_rack_through_a_wall_is_a_problem_and_its_tanks_are_not_said_again():
    room = make_room(length="1.8 m")
    finding = judged(room)["LAYOUT-01"]
    assert (finding.severity, finding.subject, said(finding)) == (
        Severity.PROBLEM, "rack A", "stands 20 cm through a wall of its room"
    )  # fmt: skip
    assert [f.subject for f in check_layout(room, solve_layout(room)) if f.code == "LAYOUT-01"] == ["rack A"]


def test_a_rack_taller_than_a_sloping_ceiling_is_a_problem():
    finding = judged(make_room(room='ceiling_slope = { towards = "north", height = "1.3 m" }'))["LAYOUT-02"]
    assert finding.severity is Severity.PROBLEM
    assert "sloping ceiling" in said(finding)


def test_a_tank_into_a_beam_is_a_problem_of_its_own():
    beam = 'beams = [{ name = "duct", at = ["0 m", "2 m"], size = ["3 m", "30 cm"], underside = "1.20 m" }]'
    room = make_room(room=beam)
    findings = [f for f in check_layout(room, solve_layout(room)) if f.code == "LAYOUT-02"]
    assert [f.subject for f in findings] == ["rack A", "tanks A3 and A4"]
    assert said(findings[1]) == "run into the duct by 50 mm at the most (A3)"


def test_a_rack_in_a_chimney_is_a_problem():
    chimney = 'obstacles = [{ name = "chimney", at = ["1.9 m", "2.2 m"], size = ["50 cm", "30 cm"] }]'
    finding = judged(make_room(room=chimney))["LAYOUT-03"]
    assert (finding.severity, said(finding)) == (Severity.PROBLEM, "runs 10 cm into chimney")
    assert finding.places == ("A", "chimney")


def test_two_tanks_in_one_place_are_a_problem():
    room = make_room()
    box = room.tank("A2").box
    finding = judged(with_tank(room, "A2", box=replace(box, x0=box.x0 - 0.04, x1=box.x1 - 0.04)))["LAYOUT-04"]
    assert (finding.severity, finding.subject, said(finding)) == (
        Severity.PROBLEM, "tank A1", "runs 30 mm into tank A2"
    )  # fmt: skip


def test_glass_past_the_rack_is_a_warning_for_millimetres_and_a_problem_for_more():
    assert judged(make_room(tanks=shelf("A1..A2", "29.3 cm")))["LAYOUT-05"].severity is Severity.WARNING
    finding = judged(make_room(tanks=shelf("A1..A2", "35 cm")))["LAYOUT-05"]
    assert (finding.severity, finding.subject) == (Severity.PROBLEM, "tank A2")


@pytest.mark.parametrize(
    ("second", "severity"),
    [("68 cm", Severity.PROBLEM), ("72 cm", Severity.PROBLEM), ("77 cm", Severity.WARNING)],
)
def test_a_tank_taller_than_its_gap_is_a_problem_unless_a_thinner_shelf_would_let_it_in(second, severity):
    finding = judged(make_room(shelves=f'["40 cm", "{second}"]'))["LAYOUT-06"]
    assert (finding.severity, finding.places) == (severity, ("A1", "A2"))
    assert finding.rests_on == ("rack.shelf_thickness",)
    assert "shelf 2 of A" in said(finding)


def test_a_door_that_strikes_a_rack_is_a_problem():
    door = '{ wall = "north", from_west = "1.9 m", width = "90 cm", swing = "in", hinged = "east" }'
    finding = judged(make_room(door=door))["LAYOUT-07"]
    assert (finding.severity, said(finding)) == (Severity.PROBLEM, "strikes rack A as it opens")


def test_a_door_hinged_nobody_knows_where_is_a_warning():
    door = '{ wall = "south", from_west = "1 m", width = "80 cm", swing = "in" }'
    post = 'obstacles = [{ name = "post", at = ["1.3 m", "72 cm"], size = ["10 cm", "10 cm"] }]'
    room = make_room(door=door, room=post)
    openings = tuple(replace(opening, hinge=None) for opening in room.spaces[0].openings)
    unknown = replace(room, spaces=(replace(room.spaces[0], openings=openings),))
    assert judged(unknown)["LAYOUT-07"].severity is Severity.WARNING


@pytest.mark.parametrize(("width", "severity"), [("28 cm", Severity.PROBLEM), ("38 cm", Severity.WARNING)])
def test_a_door_too_narrow_for_the_widest_tank(width, severity):
    door = f'{{ wall = "south", from_west = "1 m", width = "{width}", swing = "slides" }}'
    assert judged(make_room(door=door))["LAYOUT-08"].severity is severity


@pytest.mark.parametrize(
    ("width", "own", "severity", "rests"),
    [
        ("1.12 m", "", None, ()),
        ("1.08 m", "", Severity.WARNING, ("aisle.least",)),
        ("1.00 m", "", Severity.PROBLEM, ("aisle.least",)),
        ("1.12 m", 'aisle = "70 cm"', Severity.PROBLEM, ()),
    ],
)
def test_an_aisle_is_judged_against_the_owners_or_the_assumed_one(width, own, severity, rests):
    finding = judged(make_room(width=width, room=own)).get("LAYOUT-09")
    assert (finding.severity if finding else None) == severity
    assert (finding.rests_on if finding else ()) == rests


def test_a_rack_behind_a_cupboard_is_a_problem_and_behind_a_tight_gap_a_warning():
    closed = 'obstacles = [{ name = "cupboard", at = ["0 m", "90 cm"], size = ["3 m", "20 cm"] }]'
    finding = judged(make_room(room=closed))["LAYOUT-10"]
    assert (finding.severity, said(finding)) == (Severity.PROBLEM, "cannot be walked to from a door")
    tight = 'obstacles = [{ name = "cupboard", at = ["0 m", "90 cm"], size = ["2.48 m", "20 cm"] }]'
    finding = judged(make_room(room=tight))["LAYOUT-10"]
    assert (finding.severity, finding.rests_on) == (Severity.WARNING, ("aisle.least",))


def test_a_room_without_a_door_is_not_judged_rather_than_fine():
    findings = judged(make_room(door=""))
    assert findings["LAYOUT-25"].severity is Severity.NOT_COMPUTED
    assert "LAYOUT-10" not in findings


@pytest.mark.parametrize(("gap", "severity"), [("83", Severity.WARNING), ("92", Severity.NOTE), ("95", None)])
def test_room_for_a_hand_over_the_rim(gap, severity):
    finding = judged(make_room(shelves=f'["40 cm", "{gap} cm"]')).get("LAYOUT-11")
    assert (finding.severity if finding else None) == severity


def test_a_back_pane_out_of_reach_is_a_warning_and_a_far_corner_a_note():
    room = make_room()
    far = with_tank(room, "A1", depth=0.62)
    assert judged(far)["LAYOUT-12"].severity is Severity.WARNING
    deep = with_tank(room, "A1", rim=room.tank("A1").rim + 0.3)
    assert judged(deep)["LAYOUT-12"].severity is Severity.NOTE
    assert judged(deep)["LAYOUT-12"].rests_on == ("reach.arm",)


def test_a_tank_with_no_way_out_is_a_warning_and_one_behind_an_upright_a_note():
    stuck = judged(make_room(width="70 cm"))["LAYOUT-13"]
    assert (stuck.severity, stuck.places) == (Severity.WARNING, ("A1", "A2"))
    assert judged(make_room(tanks=shelf("A1", "0 cm")))["LAYOUT-13"].severity is Severity.NOTE


def test_a_hole_behind_an_upright_is_a_problem():
    finding = judged(make_room(tanks=shelf("A1", "-0 cm"), hole=HOLE.replace("15 cm", "6 cm")))["LAYOUT-14"]
    assert finding.severity is Severity.PROBLEM
    assert said(finding) == "has a hole or flange behind an upright, by 7.5 mm at the most (A1)"


def test_a_hole_near_an_upright_with_an_unknown_flange_is_a_warning():
    hole = HOLE.replace("15 cm", "7 cm").replace(', flange = "45 mm"', "")
    assert judged(make_room(tanks=shelf("A1", "0 cm"), hole=hole))["LAYOUT-14"].severity is Severity.WARNING


@pytest.mark.parametrize(
    ("edge", "severity"),
    [(-0.002, Severity.PROBLEM), (0.009, Severity.PROBLEM), (0.0101, Severity.WARNING), (0.030, None)],
)
def test_a_hole_keeps_two_thicknesses_and_one_diameter_from_the_edge(edge, severity):
    room = with_hole(make_room(), "A1", edge_distances=(("top", edge), ("left", 0.2)))
    finding = judged(room).get("LAYOUT-15")
    assert (finding.severity if finding else None) == severity


def test_a_hole_narrower_than_its_glass_is_a_warning():
    room = with_hole(make_room(), "A1", diameter=given(0.010), pane_thickness=given(0.012))
    assert judged(room)["LAYOUT-16"].severity is Severity.WARNING


def test_a_toughened_pane_is_never_drilled():
    assert judged(make_room(temper="toughened"))["LAYOUT-17"].severity is Severity.PROBLEM
    one = judged(with_tank(make_room(), "A2", toughened=("back",)))["LAYOUT-17"]
    assert (one.places, said(one)) == (("A2",), "has its hole in a toughened pane")


def test_an_unknown_temper_is_a_warning_once_for_all():
    finding = judged(make_room(temper="unknown"))["LAYOUT-18"]
    assert (finding.severity, finding.subject) == (Severity.WARNING, "tanks A1, A2, A3 and 1 more")


@pytest.mark.parametrize(
    ("freeboard", "severity"),
    [(-0.005, Severity.PROBLEM), (0.0, Severity.PROBLEM), (0.014, Severity.WARNING), (0.015, None)],
)
def test_water_stays_fifteen_millimetres_below_the_rim(freeboard, severity):
    room = with_tank(make_room(), "A1", freeboard=freeboard)
    finding = judged(room).get("LAYOUT-19")
    assert (finding.severity if finding else None) == severity


def test_a_lip_below_the_floor_of_its_tank_is_a_problem():
    room = make_room()
    dry = with_tank(room, "A1", level=room.tank("A1").floor_inside)
    assert "not at all" in said(judged(dry)["LAYOUT-19"])


def test_an_undrilled_tank_on_a_drained_rack_is_a_note():
    drains = """
[outfall.gully]
room = "cellar"
at = ["2.9 m", "2.4 m"]
height = "-3 cm"

[drain.main]
to = "gully"
behind = ["A"]
"""
    room = make_room(more=drains)
    assert "LAYOUT-20" not in judged(room)
    finding = judged(with_tank(room, "A1", hole=None, overflow=None, hose=None))["LAYOUT-20"]
    assert (finding.severity, finding.subject) == (Severity.NOTE, "tank A1")


def test_more_than_six_tanks_to_the_square_metre_is_a_note():
    room = make_room()
    many = tuple(replace(room.tank("A1"), id=f"X{n}") for n in range(46))
    finding = judged(replace(room, tanks=many))["LAYOUT-21"]
    assert finding.value is not None
    assert (finding.severity, round(finding.value.value, 2)) == (Severity.NOTE, 6.13)


@pytest.mark.parametrize(
    ("top", "severity"), [("125", None), ("135", Severity.NOTE), ("160", Severity.WARNING)]
)
def test_rims_above_eye_level(top, severity):
    finding = judged(make_room(shelves=f'["40 cm", "{top} cm"]')).get("LAYOUT-22")
    assert (finding.severity if finding else None) == severity


def test_a_drilled_back_close_to_the_wall_is_a_warning():
    room = make_room(tanks='shelf.1 = [{ kind = "box", ids = "A1", from_left = "10 cm", off_back = "0 cm" }]')
    assert "LAYOUT-23" not in judged(room)
    rack, tank = room.racks[0], room.tank("A1")
    close = replace(
        room,
        racks=(replace(rack, box=replace(rack.box, y0=rack.box.y0 + 0.06, y1=rack.box.y1 + 0.06)),),
        tanks=(replace(tank, box=replace(tank.box, y0=tank.box.y0 + 0.06, y1=tank.box.y1 + 0.06)),),
    )
    moved = with_hole(close, "A1", centre=(tank.hole.centre[0], tank.box.y1 + 0.06, tank.hole.centre[2]))
    assert judged(moved)["LAYOUT-23"].severity is Severity.WARNING


@pytest.mark.parametrize(
    "changes",
    [
        {"width": "70 cm", "temper": "unknown", "door": ""},
        {"shelves": '["40 cm", "68 cm"]', "length": "1.8 m"},
        {"room": 'ceiling_slope = { towards = "north", height = "1.1 m" }', "temper": "toughened"},
        {"tanks": ""},
        {"hole": ""},
    ],
)
def test_every_finding_can_be_shown_and_names_what_to_do(changes):
    room = make_room(**changes)
    for finding in check_layout(room, solve_layout(room)):
        shown = render_finding(finding, "test.toml")
        assert "{" not in shown
        assert finding.remedy
        assert finding.reason


def test_fifty_millimetres_behind_a_pane_are_not_short_of_fifty():
    room = make_room(tanks='shelf.1 = [{ kind = "box", ids = "A1", from_left = "10 cm", off_back = "0 cm" }]')
    result = solve_layout(room)
    hole = replace(result.holes[0], room_at_hole=0.35 - 0.3)
    assert hole.room_at_hole < 0.05  # by the last bit of a float
    codes = {finding.code for finding in check_layout(room, replace(result, holes=(hole,)))}
    assert "LAYOUT-23" not in codes
