"""The glass order: what is cut, what is drilled, and what must not be."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from tankwright.drawing.glass_order import glass_order, glass_table
from tankwright.drawing.model import Text, walk
from tankwright.origin import Known, Origin
from tankwright.room.model import Room, Tank
from tankwright.workspace.opened import open_plan

_opened = open_plan(Path(__file__).parents[2] / "examples" / "cellar_mended.toml").room
assert _opened is not None
ROOM = _opened


LONG = ROOM.tanks[0]


def _rows(kind: str, glued: frozenset[str] = frozenset(), room: Room = ROOM) -> list[tuple[str, ...]]:
    return [row for row in glass_table(room, glued).rows if row[0].split(",")[0] == kind]


def to_order(*tanks: Tank) -> Room:
    """The room with these tanks, their holes drilled by whoever sells the glass."""
    return replace(
        ROOM, tanks=tuple(replace(one, hole=one.hole and replace(one.hole, to_order=True)) for one in tanks)
    )


def test_a_kind_glued_here_has_five_panes_as_often_as_there_are_tanks_that_do_not_stand() -> None:
    rows = _rows("mid60", frozenset({"mid60"}))
    # D1 to D6 are wished for, the other 17 stand
    assert [(row[1], row[2]) for row in rows] == [
        (pane, "6") for pane in ("base", "front", "back", "left", "right")
    ]
    # 600 by 300 by 320 with sides and a base of 6, as the plan says
    assert [row[3:6] for row in rows] == [
        ("600", "300", "6"), ("600", "314", "6"), ("600", "314", "6"), ("288", "314", "6"), ("288", "314", "6"),
    ]  # fmt: skip
    assert rows[2][7:] == ("drilled here", "", "", "")


def test_a_hole_to_order_is_told_from_two_edges() -> None:
    rows = _rows("mid60", frozenset({"mid60"}), to_order(*ROOM.tanks))
    assert rows[2][7:] == ("29", "525", "244", "right, bottom")


def test_the_strips_of_a_rim_are_in_the_order() -> None:
    tanks = (replace(LONG, state="wished"), replace(LONG, state="ordered"), LONG)
    rows = _rows("long90", frozenset({"long90"}), replace(ROOM, tanks=tanks))[5:]
    # 900 by 380 with sides of 6: inside 888 by 368, strips of 60, so 368 - 120 between them; two of each in two tanks
    assert [row[1:6] for row in rows] == [
        ("rim, long", "4", "888", "60 (assumed)", "6"), ("rim, short", "4", "248", "60 (assumed)", "6"),
    ]  # fmt: skip


def test_a_bought_kind_has_its_pane_alone_and_that_only_when_the_seller_drills_it() -> None:
    new = replace(LONG, state="ordered")
    (row,) = _rows("long90", room=to_order(new, new, LONG))
    assert row[:5] == ("long90, bought whole", "back", "2", "900", "380")
    assert _rows("long90", room=replace(ROOM, tanks=(new,))) == []


def test_a_hole_nobody_measured_is_not_ordered_by_guess() -> None:
    tank = replace(LONG, state="ordered")
    assert tank.hole is not None
    hole = replace(
        tank.hole,
        to_order=True,
        diameter=Known(0.029, Origin.ASSUMED, key="hole.diameter", band=(0.024, 0.038)),
    )
    (row,) = glass_table(replace(ROOM, tanks=(replace(tank, hole=hole),)), frozenset()).rows
    assert row[7] == "measure your fitting"


def test_a_toughened_pane_is_drilled_before_or_never() -> None:
    tank = replace(LONG, state="wished", toughened=("back",), temper="toughened")
    room = to_order(tank)
    (bought,) = glass_table(room, frozenset()).rows
    assert bought[6] == "toughened: NOT to be drilled"
    glued = glass_table(room, frozenset({tank.kind})).rows
    assert [row[6] for row in glued if row[1] == "back"] == ["toughened: drilled BEFORE it is toughened"]


def test_the_order_says_which_way_it_is_seen() -> None:
    (sheet,) = glass_order(ROOM, frozenset({"mid60"}))
    said = " ".join(one.text for one in walk(sheet.parts) if isinstance(one, Text))
    assert "every pane from OUTSIDE the tank" in said


def test_without_glass_to_cut_or_drill_there_is_no_order() -> None:
    assert glass_order(replace(ROOM, tanks=(replace(LONG, state="wished", hole=None),))) == ()
    assert glass_order(replace(ROOM, tanks=(LONG,)), frozenset({LONG.kind})) == ()
