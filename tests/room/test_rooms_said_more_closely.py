"""What a keeper can say of the room besides the first sketch: shelves measured, taps shut, tees shared."""

import tomllib

import pytest

from tankwright.checks.air import check_air
from tankwright.checks.drain import check_drain
from tankwright.checks.feed import check_feed
from tankwright.checks.layout import check_layout
from tankwright.finding import Severity
from tankwright.plan.models import Plan
from tankwright.plan.reading import read_plan_text
from tankwright.room.layout import lay_out
from tankwright.study import work_out
from tankwright.systems.air import solve_air
from tankwright.systems.layout import solve_layout

from .conftest import KINDS, ROOM

RACK = """
[[rack]]
id = "A"
kind = "%s"
room = "cellar"
wall = "north"
from_west = "1 m"
shelf.1 = [{ kind = "cube", ids = "A1..A3" }]
"""
THICK = """
[rack_kind.thick]
length = "130 cm"
depth = "40 cm"
shelves = ["30 cm", "90 cm"]
shelf_thickness = "12 cm"
"""


def test_a_shelf_whose_thickness_is_said_is_not_assumed(lay):
    room = lay(THICK + RACK % "thick").room
    assert room.tank("A1").clear_above == pytest.approx(0.90 - 0.12 - 0.62)
    assert "rack.shelf_thickness" not in {one.key for one in room.assumed}
    assert "rack.shelf_thickness" in {one.key for one in lay(RACK % "two").room.assumed}


def test_a_verdict_on_a_shelf_that_is_said_does_not_rest_on_the_assumption_for_another(lay):
    second = (RACK % "two").replace('"A"', '"B"').replace("A1..A3", "B1..B3").replace("north", "south")
    low = THICK.replace("90 cm", "70 cm")
    room = lay(low + RACK % "thick" + second).room
    (finding,) = [one for one in check_layout(room, solve_layout(room)) if one.code == "LAYOUT-06"]
    assert "rack.shelf_thickness" in {one.key for one in room.assumed}
    assert (finding.places, finding.rests_on) == (("A1", "A2", "A3"), ())


def test_what_is_said_under_assume_knows_its_line(lay):
    text = RACK % "two" + '[outfall.o]\nroom = "cellar"\nat = ["4 m", "1 m"]\nheight = "-5 cm"\n'
    text += '[drain.d]\nto = "o"\n[assume]\n"drain.fall" = "1:40"\nhose.bore = "13 mn"\nno.such = "1"\n'
    laid = lay(text)
    fall = laid.room.drains[0].fall
    lines = {one.subject: one.line for one in laid.findings}
    assert fall.line is not None
    assert lines["assumption hose.bore"] == fall.line + 1
    assert lines["assumption no.such"] == fall.line + 2


def test_what_is_said_under_assume_in_code_has_no_line_and_is_read_all_the_same():
    room = {"a": {"size": {"length": "5 m", "width": "4 m", "height": "2 m"}}}
    laid = lay_out(Plan.model_validate({"room": room, "assume": {"hose.bore": "13"}}))
    assert [(one.code, one.line) for one in laid.findings] == [("LAYOUT-123", None)]


def test_sockets_on_the_wall_are_told_from_a_loose_board(lay):
    text = """
[power]
circuits = { heat = { breaker = "16 A" } }
boards = [{ id = "wall", circuit = "heat", outlets = 2, fixed = true }, { id = "loose", circuit = "heat", outlets = 4 }]
"""
    boards = lay(RACK % "two" + text).room.power.boards
    assert [(one.id, one.fixed) for one in boards] == [("wall", True), ("loose", False)]


GULLY = '[outfall.gully]\nroom = "cellar"\nat = ["4.9 m", "0.1 m"]\nheight = "-5 cm"\nto = "sewer, trapped"\n'
GARDEN = '[outfall.garden]\nroom = "cellar"\nat = ["4.9 m", "3.9 m"]\nheight = "%s"\nto = "garden"\n'
EIGHT = """
[tank_kind.small]
outside = ["15 cm", "30 cm", "32 cm"]
hole = { pane = "back", diameter = "29 mm", from_left = "75 mm", below_rim = "70 mm" }
overflow = { elbow_reach = "34 mm", water_below_rim = "42 mm", bore = "16 mm" }
[[rack]]
id = "A"
kind = "two"
room = "cellar"
wall = "north"
from_west = "1 m"
shelf.1 = [{ kind = "small", ids = "A1..A8", gap = "1 cm" }]
"""


def test_three_tanks_join_in_one_tee_and_five_in_another(lay):
    text = GULLY + EIGHT + '[drain.d]\nto = "gully"\nbehind = ["A"]\n'
    apart, joined = lay(text).room, lay(text + 'tees = ["A1..A3", "A4..A8"]\n').room
    tees = [node for node in joined.drains[0].nodes if node.tanks]
    assert [set(node.tanks) for node in tees] == [{"A1", "A2", "A3"}, {"A4", "A5", "A6", "A7", "A8"}]
    assert tees[0].place[0] == pytest.approx(joined.tank("A2").hole.centre[0])
    assert tees[1].place[0] == pytest.approx(joined.tank("A6").hole.centre[0])
    assert tees[0].place[2] > tees[1].place[2]
    assert joined.tank("A2").hose.length.value == pytest.approx(apart.tank("A2").hose.length.value, rel=1e-3)
    assert joined.tank("A4").hose.length.value > 1.05 * apart.tank("A4").hose.length.value
    assert joined.tank("A4").hose.node == tees[1].id


def test_a_tank_named_for_no_tee_keeps_one_of_its_own(lay):
    laid = lay(GULLY + EIGHT + '[drain.d]\nto = "gully"\nbehind = ["A"]\ntees = ["A1..A3", "A5, A6"]\n')
    assert laid.findings == ()
    tees = [set(node.tanks) for node in laid.room.drains[0].nodes if node.tanks]
    assert tees == [{"A1", "A2", "A3"}, {"A4"}, {"A5", "A6"}, {"A7"}, {"A8"}]


def test_tanks_named_for_two_tees_or_without_a_hose_here_are_said(lay):
    undrilled = '[tank_kind.plain]\noutside = ["30 cm", "30 cm", "30 cm"]\n'
    text = undrilled + GULLY + EIGHT + 'shelf.2 = [{ kind = "plain", ids = "P1" }]\n'
    laid = lay(text + '[drain.d]\nto = "gully"\nbehind = ["A"]\ntees = ["A1..A3", "A3..A5, P1"]\n')
    found = {one.code: one for one in laid.findings}
    assert (found["LAYOUT-128"].places, found["LAYOUT-129"].places) == (("P1",), ("A3",))
    tees = [set(node.tanks) for node in laid.room.drains[0].nodes if node.tanks]
    assert {"A1", "A2", "A3"} in tees
    assert {"A4", "A5"} in tees


def test_a_tee_of_tanks_that_stand_nowhere_is_said_by_the_reader_and_by_the_layout(lay):
    text = ROOM + KINDS + GULLY + EIGHT + '[drain.d]\nto = "gully"\nbehind = ["A"]\ntees = ["A1", "Z9"]\n'
    findings = read_plan_text(text, "test.toml").findings
    assert [(one.code, "Z9" in one.text) for one in findings] == [("PLAN-030", True)]
    plan = Plan.model_validate(tomllib.loads(text))
    assert [(one.code, one.found) for one in lay_out(plan).findings] == [("LAYOUT-106", "Z9")]


def test_a_drain_that_can_be_turned_to_the_garden_says_where_it_is_worked_out_to(lay):
    text = GULLY + GARDEN % "-20 cm" + EIGHT + '[drain.d]\nto = "gully"\nbehind = ["A"]\nor_to = "garden"\n'
    laid = lay(text)
    (note,) = laid.findings
    assert (note.code, note.severity) == ("LAYOUT-130", Severity.NOTE)
    assert "ends at outfall gully" in note.text
    (run,) = laid.room.drains
    assert (run.outfall, run.turned_to) == ("gully", "garden")


def test_a_drain_turned_to_where_it_ends_anyway_is_said(lay):
    laid = lay(GULLY + EIGHT + '[drain.d]\nto = "gully"\nbehind = ["A"]\nor_to = "gully"\n')
    assert [one.code for one in laid.findings] == ["LAYOUT-131"]
    assert laid.room.drains[0].turned_to is None


@pytest.mark.parametrize(
    ("height", "severity"),
    [("60 cm", Severity.PROBLEM), ("-20 cm", None)],
)
def test_an_other_outfall_above_the_drain_is_a_problem_and_one_below_it_is_none(lay, height, severity):
    text = GULLY + GARDEN % height + EIGHT + '[drain.d]\nto = "gully"\nbehind = ["A"]\nor_to = "garden"\n'
    room = lay(text).room
    found = [
        one for one in check_drain(room, work_out(room, walk_through=False).drain) if one.code == "DRAIN-36"
    ]
    assert [one.severity for one in found] == ([severity] if severity else [])


def test_an_other_outfall_a_little_below_the_drain_is_a_warning(lay):
    text = GULLY + GARDEN % "%s" + EIGHT + '[drain.d]\nto = "gully"\nbehind = ["A"]\nor_to = "garden"\n'
    invert = lay(text % "0 cm").room.drains[0].nodes[-2].place[2]
    room = lay(text % f"{1000 * invert - 5:.1f} mm").room
    (finding,) = [
        one for one in check_drain(room, work_out(room, walk_through=False).drain) if one.code == "DRAIN-36"
    ]
    assert finding.severity is Severity.WARNING
    assert dict(finding.numbers)["drop"].value == pytest.approx(0.005, abs=1e-4)


def test_racks_whose_taps_are_shut_off_have_closed_taps_and_no_air(lay):
    text = RACK % "two" + (RACK % "two").replace('"A"', '"B"').replace("A1..A3", "B1..B3").replace(
        "north", "south"
    )
    text += '[pump.p]\ncurve = [["0 kPa", "60 L/min"], ["20 kPa", "20 L/min"]]\n'
    text += '[air.ring]\npump = "p"\naround = "cellar"\nisolated = ["B"]\n'
    laid = lay(text)
    (note,) = laid.findings
    assert (note.code, note.severity, note.places) == ("LAYOUT-132", Severity.NOTE, ("B1", "B2", "B3"))
    taps = {tap.tank: tap.open for tap in laid.room.airs[0].taps if tap.tank}
    assert taps == {"A1": True, "A2": True, "A3": True, "B1": False, "B2": False, "B3": False}
    found = {one.code: one for one in check_air(laid.room, solve_air(laid.room))}
    assert found["AIR-13"].places == ("B1", "B2", "B3")


def test_a_rack_shut_off_that_the_ring_does_not_serve_is_said(lay):
    text = RACK % "two" + "[zone.other]\n" + (RACK % "two").replace('"A"', '"B"').replace("A1..A3", "B1..B3")
    text = text.replace(
        'wall = "north"\nfrom_west = "1 m"\nshelf.1 = [{ kind = "cube", ids = "B',
        'wall = "south"\nzone = "other"\nfrom_west = "1 m"\nshelf.1 = [{ kind = "cube", ids = "B',
    )
    text += '[pump.p]\ncurve = [["0 kPa", "60 L/min"], ["20 kPa", "20 L/min"]]\n'
    laid = lay(text + '[air.ring]\npump = "p"\naround = "cellar"\nzones = ["main"]\nisolated = ["B"]\n')
    assert [(one.code, one.severity) for one in laid.findings] == [("LAYOUT-133", Severity.WARNING)]


RESERVOIR = 'shelf.2 = [{ kind = "cube", ids = "R1" }]\n'
BY_TUBE = '[feed.f]\nfrom = "R1"\noutlet = { kind = "small tube", bore = "4 mm", length = "60 cm" }\n'
ONCE = 'program = [{ start = "08:00", minutes = 10 }]\n'


def test_a_tank_above_another_is_its_reservoir(lay):
    laid = lay(RACK % "two" + RESERVOIR + BY_TUBE + 'tanks = "A1"\n' + ONCE)
    (note,) = laid.findings
    assert (note.code, note.severity, note.places) == ("LAYOUT-134", Severity.NOTE, ("R1",))
    (feed,) = laid.room.feeds
    above = laid.room.tank("R1")
    assert (feed.source_kind, feed.source_place[2], feed.vat_volume.value) == (
        "tank",
        above.level,
        above.water_volume,
    )
    assert [one.tank for one in feed.outlets] == ["A1"]
    (run,) = work_out(laid.room, walk_through=False).feed.runs
    assert run.total_flow > 0.0


def test_what_a_reservoir_gives_grows_with_its_height(lay):
    def flow(upper):
        kind = THICK.replace("90 cm", upper)
        room = lay(kind + RACK % "thick" + RESERVOIR + BY_TUBE + 'tanks = "A1"\n' + ONCE).room
        (run,) = work_out(room, walk_through=False).feed.runs
        return run.total_flow

    assert flow("130 cm") > flow("90 cm") > 0.0


def test_a_reservoir_lower_than_the_tank_it_is_to_feed_gives_nothing_and_that_is_said(lay):
    low = (RACK % "two").replace("A1..A3", "R1") + 'shelf.2 = [{ kind = "cube", ids = "A1" }]\n'
    room = lay(low + BY_TUBE + 'tanks = "A1"\n' + ONCE).room
    solved = work_out(room, walk_through=False).feed
    found = {one.code: one for one in check_feed(room, solved)}
    assert solved.runs[0].total_flow == 0.0
    assert (found["FEED-03"].severity, found["FEED-03"].places) == (Severity.PROBLEM, ("A1",))


def test_a_reservoir_that_is_emptied_by_one_days_program_is_a_problem(lay):
    text = RACK % "two" + RESERVOIR + BY_TUBE + 'tanks = "A1"\n'
    room = lay(text + 'program = [{ start = "08:00", minutes = 1400 }]\n').room
    found = {one.code: one for one in check_feed(room, work_out(room, walk_through=False).feed)}
    assert (found["FEED-09"].subject, found["FEED-09"].severity) == ("tank R1", Severity.PROBLEM)


def test_a_reservoir_gets_nothing_from_itself(lay):
    room = lay(RACK % "two" + RESERVOIR + BY_TUBE + ONCE).room
    assert {one.tank for one in room.feeds[0].outlets} == {"A1", "A2", "A3"}
    laid = lay(RACK % "two" + RESERVOIR + BY_TUBE + 'tanks = "A1, R1"\n' + ONCE)
    assert {one.code for one in laid.findings} == {"LAYOUT-134", "LAYOUT-135"}
    assert [one.tank for one in laid.room.feeds[0].outlets] == ["A1"]


def test_a_quarantine_tank_as_reservoir_of_others_is_said(lay):
    zone = "[zone.main]\n[zone.sick]\nquarantine = true\n"
    sick = (
        (RACK % "two")
        .replace('"A"', '"Q"')
        .replace('"north"', '"south"')
        .replace(
            'shelf.1 = [{ kind = "cube", ids = "A1..A3" }]',
            'zone = "sick"\nshelf.2 = [{ kind = "cube", ids = "R1" }]',
        )
    )
    room = lay(zone + RACK % "two" + sick + BY_TUBE + 'tanks = "A1"\n' + ONCE).room
    found = {one.code: one for one in check_feed(room, work_out(room, walk_through=False).feed)}
    assert found["FEED-14"].places == ("R1",)


def test_a_feed_from_nothing_that_is_there_is_said_by_the_reader(lay):
    text = ROOM + KINDS + RACK % "two" + BY_TUBE
    assert [one.code for one in read_plan_text(text, "test.toml").findings] == ["PLAN-030"]


def test_a_drain_drawn_as_one_point_at_its_outfall_is_said_and_left_out(lay):
    text = GULLY + EIGHT + '[drain.d]\nto = "gully"\nbehind = ["A"]\npath = [["4.9 m", "0.1 m"]]\n'
    laid = lay(text + 'top_height = "1 m"\n')
    assert [one.code for one in laid.findings] == ["LAYOUT-136"]
    assert laid.room.drains == ()
