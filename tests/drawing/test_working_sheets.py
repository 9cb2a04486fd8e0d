"""Every sheet to build by, of every example, on its paper: nothing outside, no text over another, the bar true."""

from __future__ import annotations

import importlib.util
import sys
from dataclasses import replace
from functools import lru_cache
from pathlib import Path
from types import ModuleType
from typing import Any
from xml.etree import ElementTree as ET

import pytest

from tankwright.drawing.air_schematic import air_schematics
from tankwright.drawing.drain_heights import drain_heights
from tankwright.drawing.drill_sheet import drill_sheets
from tankwright.drawing.feed_schematic import feed_schematics
from tankwright.drawing.fronts_dimensioned import dimensioned_fronts
from tankwright.drawing.glass_order import glass_order
from tankwright.drawing.labels import tank_cards, tank_labels
from tankwright.drawing.model import Drawing, Text
from tankwright.drawing.paper import PAPERS
from tankwright.drawing.plan_dimensioned import dimensioned_plans
from tankwright.drawing.strength_sheets import floor_sheets, pane_sheets, rack_sheets
from tankwright.drawing.svg import to_svg
from tankwright.drawing.valve_map import valve_map
from tankwright.drawing.working_sheets import SHEETS, SheetName, Wanted, working_sheets
from tankwright.origin import Known, Origin
from tankwright.room.model import Room
from tankwright.study import Study, work_out
from tankwright.workspace.opened import Opened, open_plan

EXAMPLES = Path(__file__).parents[2] / "examples"
NOTES = ("2026-10-01", "revision 41", "page 1 of 20")


def _checks() -> ModuleType:
    """The checks beside this file; the tests are imported by path, so they are no package."""
    name = "tests_drawing_sheet_checks"
    if name not in sys.modules:
        spec = importlib.util.spec_from_file_location(name, Path(__file__).parent / "sheet_checks.py")
        assert spec is not None
        assert spec.loader is not None
        sys.modules[name] = importlib.util.module_from_spec(spec)
        spec.loader.exec_module(sys.modules[name])
    return sys.modules[name]


checks = _checks()


@lru_cache(maxsize=4)
def _opened(name: str) -> Opened:
    return open_plan(EXAMPLES / f"{name}.toml")


def _to_come(room: Room) -> Room:
    """None of its tanks stands yet, and whoever sells the glass drills it."""
    return replace(
        room,
        tanks=tuple(
            replace(tank, state="wished", hole=tank.hole and replace(tank.hole, to_order=True))
            for tank in room.tanks
        ),
    )


def _annealed(room: Room) -> Room:
    """Every tank of annealed glass of a known thickness, so that its panes can be worked out."""
    return replace(
        room,
        tanks=tuple(
            replace(
                tank, temper="annealed", toughened=(), glass_side=Known(0.01, Origin.GIVEN),
                glass_base=Known(0.01, Origin.GIVEN),
            )
            for tank in room.tanks
        ),
    )  # fmt: skip


def _all(name: str, paper: Any) -> dict[str, tuple[Drawing, ...]]:
    opened = _opened(name)
    room, study = opened.room, opened.study
    assert room is not None
    assert study is not None
    kinds = frozenset(tank.kind for tank in room.tanks[::7])
    lan = "http://fishroom.local:8321"
    made = {
        "plan": dimensioned_plans(study, paper=paper, notes=NOTES, plan_name=f"{name}.toml"),
        "drill": drill_sheets(room, paper=paper, notes=NOTES, plan_name=f"{name}.toml"),
        "glass": glass_order(_to_come(room), kinds, paper=paper, notes=NOTES),
        "valves": valve_map(room, paper=paper, notes=NOTES, plan_name=f"{name}.toml"),
        "drain": drain_heights(study, paper=paper, notes=NOTES, plan_name=f"{name}.toml"),
        "air": air_schematics(study, paper=paper, notes=NOTES, plan_name=f"{name}.toml"),
        "feed": feed_schematics(study, paper=paper, notes=NOTES, plan_name=f"{name}.toml"),
    }
    if name in ("cellar", "cellar_mended"):  # what is bought ready made, or toughened, says no panes
        made["panes"] = pane_sheets(study, paper=paper, notes=NOTES, plan_name=f"{name}.toml")
    made["racks"] = rack_sheets(study, paper=paper, notes=NOTES, plan_name=f"{name}.toml")
    made["feet"] = floor_sheets(study, paper=paper, notes=NOTES, plan_name=f"{name}.toml")
    if name != "hall":
        made["fronts"] = dimensioned_fronts(room, paper=paper, notes=NOTES, plan_name=f"{name}.toml")
        made["labels"] = tank_labels(room, paper=paper, base_url=lan, notes=NOTES)
        made["cards"] = tank_cards(room, paper=paper, base_url=lan, notes=NOTES)
    return made


@pytest.mark.parametrize(
    ("name", "paper"),
    [
        ("cellar", "A3"), ("cellar_mended", "A4"), ("cellar_mended", "A3"), ("garage", "Letter"), ("garage", "Tabloid"),
        ("hall", "A1"),
    ],
)  # fmt: skip
def test_every_sheet_keeps_to_its_page_and_its_texts_apart(name: str, paper: str) -> None:
    for what, sheets in _all(name, paper).items():
        assert sheets, what
        for sheet in sheets:
            assert checks.faults(sheet) == [], sheet.title
            assert (sheet.width, sheet.height) in (PAPERS[paper], PAPERS[paper][::-1])  # type: ignore[index]
            assert set(NOTES) <= set(checks.said(sheet))
            ET.fromstring(to_svg(sheet))


def test_what_is_to_scale_has_a_bar_of_100_mm() -> None:
    made = _all("cellar_mended", "A3")
    for what in ("plan", "drill", "valves", "drain", "fronts", "labels", "cards", "panes", "racks", "feet"):
        for sheet in made[what]:
            if "what each stops" not in sheet.title:
                assert checks.bar_length(sheet) == 100.0, sheet.title
    for what in ("air", "feed", "glass"):
        assert {checks.bar_length(sheet) for sheet in made[what]} == {None}


def test_what_is_not_to_scale_says_so() -> None:
    made = _all("cellar_mended", "A3")
    for sheet in (*made["air"], *made["feed"]):
        assert any("NOT to scale" in text for text in checks.said(sheet))


def test_the_checks_find_what_is_wrong() -> None:
    texts = (
        Text(at=(5.0, 5.0), text="one", size=3.0, colour="#000000"),
        Text(at=(6.0, 5.5), text="two", size=3.0, colour="#000000"),
        Text(at=(48.0, 9.0), text="beyond", size=3.0, colour="#000000"),
        Text(at=(20.0, 9.0), text="dust", size=0.5, colour="#000000"),
    )
    wrong = Drawing(width=50.0, height=10.0, scale=1.0, title="", description="", parts=texts)
    assert len(checks.outside(wrong)) == 1
    assert len(checks.overlapping(wrong)) == 1
    assert checks.unwritten(wrong) == ["dust"]
    assert checks.bar_length(wrong) is None


@pytest.mark.parametrize("name", SHEETS)
def test_an_empty_room_leaves_no_sheet_that_cannot_be_drawn(name: SheetName) -> None:
    empty = work_out(Room(title="", display="metric", spaces=(), racks=(), tanks=()), frozenset())
    for sheet in working_sheets(empty, name, Wanted(paper="A4")):
        assert checks.faults(sheet) == []


@pytest.mark.parametrize("name", SHEETS)
def test_long_names_and_nothing_computed_keep_to_the_page(name: SheetName) -> None:
    room = _opened("garage").room
    assert room is not None
    long = "<b>name</b> " + "x" * 70
    there = {rack.id: f"{long}{rack.id}" for rack in room.racks}
    room = replace(
        room, title=long * 3,
        racks=tuple(replace(rack, id=there[rack.id], kind=long) for rack in room.racks),
        tanks=tuple(
            replace(tank, id=f"{long} {tank.id}", kind=f"{long} {tank.kind}", rack=there[tank.rack], zone=long)
            for tank in room.tanks
        ),
        drains=tuple(replace(run, id=f"{long} {run.id}", outfall=long) for run in room.drains),
        feeds=tuple(replace(run, id=long, source=long) for run in room.feeds),
        airs=tuple(replace(run, id=long) for run in room.airs),
    )  # fmt: skip
    wanted = Wanted(
        paper="Letter", notes=(long, long, long), plan_name=long, base_url="http://fishroom.local:8321"
    )
    study = Study(room=_to_come(room) if name == "glass" else room)
    if name in ("panes", "racks", "feet"):  # these draw nothing but what was worked out
        assert working_sheets(study, name, wanted) == ()
        study = work_out(_annealed(room), frozenset({"glass", "racks"}))
    sheets = working_sheets(study, name, wanted)
    assert sheets
    for sheet in sheets:
        assert checks.outside(sheet) == []
        assert checks.overlapping(sheet) == []
        ET.fromstring(to_svg(sheet))
