"""The glass order: what is cut, what is drilled, and what must not be."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from tankwright.drawing.glass_order import glass_order, glass_table
from tankwright.drawing.model import Text, walk
from tankwright.origin import Known, Origin
from tankwright.workspace.opened import open_plan

_opened = open_plan(Path(__file__).parents[2] / "examples" / "cellar_mended.toml").room
assert _opened is not None
ROOM = _opened


def _rows(kind: str, glued: frozenset[str] = frozenset()) -> list[tuple[str, ...]]:
    return [row for row in glass_table(ROOM, glued).rows if row[0].split(",")[0] == kind]


def test_a_kind_glued_here_has_five_panes_as_often_as_there_are_tanks() -> None:
    rows = _rows("mid60", frozenset({"mid60"}))
    count = str(sum(tank.kind == "mid60" for tank in ROOM.tanks))
    assert [(row[1], row[2]) for row in rows] == [
        (pane, count) for pane in ("base", "front", "back", "left", "right")
    ]
    # 600 by 300 by 320 with sides of 5 and a base of 6, as the plan says
    assert [row[3:6] for row in rows] == [
        ("600", "300", "6"), ("600", "314", "5"), ("600", "314", "5"), ("290", "314", "5"), ("290", "314", "5"),
    ]  # fmt: skip
    assert rows[2][7:] == ("29", "525", "244", "right, bottom")


def test_a_bought_kind_has_its_drilled_pane_alone() -> None:
    (row,) = _rows("long90")
    assert row[:5] == ("long90, bought whole", "back", "7", "900", "380")


def test_a_hole_nobody_measured_is_not_ordered_by_guess() -> None:
    tank = ROOM.tanks[0]
    assert tank.hole is not None
    hole = replace(tank.hole, diameter=Known(0.029, Origin.ASSUMED, key="hole.diameter", band=(0.024, 0.038)))
    (row,) = glass_table(replace(ROOM, tanks=(replace(tank, hole=hole),)), frozenset()).rows
    assert row[7] == "measure your fitting"


def test_a_toughened_pane_is_drilled_before_or_never() -> None:
    tank = replace(ROOM.tanks[0], toughened=("back",), temper="toughened")
    room = replace(ROOM, tanks=(tank,))
    (bought,) = glass_table(room, frozenset()).rows
    assert bought[6] == "toughened: NOT to be drilled"
    glued = glass_table(room, frozenset({tank.kind})).rows
    assert [row[6] for row in glued if row[1] == "back"] == ["toughened: drilled BEFORE it is toughened"]


def test_the_order_says_which_way_it_is_seen() -> None:
    (sheet,) = glass_order(ROOM, frozenset({"mid60"}))
    said = " ".join(one.text for one in walk(sheet.parts) if isinstance(one, Text))
    assert "every pane from OUTSIDE the tank" in said


def test_without_glass_to_cut_or_drill_there_is_no_order() -> None:
    assert glass_order(replace(ROOM, tanks=(replace(ROOM.tanks[0], hole=None),))) == ()
