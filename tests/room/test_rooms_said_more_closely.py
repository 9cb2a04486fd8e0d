"""What a keeper can say of the room besides the first sketch: shelves measured, taps shut, tees shared."""

import pytest

from tankwright.plan.models import Plan
from tankwright.room.layout import lay_out

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
