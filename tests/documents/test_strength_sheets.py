"""The sheets of glass, racks and floors: figures as they were worked out, side by side, and nothing that was not."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cache

import pytest

from tankwright.documents import source
from tankwright.documents.glass_check import glass_sheet
from tankwright.documents.loads import load_sheet
from tankwright.documents.model import Block, Paragraph, Sheet, Table
from tankwright.documents.rack_loads import rack_sheet
from tankwright.drawing.model import Drawing, Text, walk
from tankwright.drawing.paper import PAPERS
from tankwright.finding import Number
from tankwright.origin import Known, Origin
from tankwright.room.model import Box
from tankwright.room.model_structure import JoistsPlace, Member
from tankwright.study import Study, work_out
from tankwright.workspace.opened import open_plan

from .conftest import EXAMPLES, Made

Books = Callable[[str], Made]


@cache
def study_of(name: str) -> Study:
    study = open_plan(EXAMPLES / f"{name}.toml").study
    assert study is not None
    return study


def table(sheet: Sheet | None, title: str) -> Table:
    assert sheet is not None
    return next(one for one in sheet.blocks if isinstance(one, Table) and one.title == title)


def column(found: Table, name: str) -> list[object]:
    place = [one.name for one in found.columns].index(name)
    return [row[place] for row in found.rows]


def said(blocks: tuple[Block, ...]) -> str:
    return " ".join(
        one.text
        for block in blocks
        if isinstance(block, Drawing)
        for one in walk(block.parts)
        if isinstance(one, Text)
    )


def test_every_screened_pane_has_a_row_with_its_share() -> None:
    study = study_of("cellar")
    assert study.glass is not None
    panes = table(glass_sheet(study), "Panes")
    assert column(panes, "share") == [Number(one.use, "share") for one in study.glass.panes]
    assert set(column(panes, "in full")) == {None}


def test_a_book_has_every_pane_in_full_beside_its_screening(book_of: Books) -> None:
    made = book_of("cellar_mended")
    study = made.book.study
    assert study.glass is not None
    sheet = next(one for one in made.sheets if one.name == "glass-check")
    panes = table(sheet, "Panes")
    full = {(one.case.kind, one.case.pane): one for one in made.book.panes}
    assert len(full) == len(panes.rows) == len(study.glass.panes)
    for screen, cell in zip(study.glass.panes, column(panes, "in full"), strict=True):
        assert cell == Number(full[screen.case.kind, screen.case.pane].worst, "stress")
    assert "Worked out in full by finite elements" in said(sheet.blocks)
    drill = next(one for one in made.sheets if one.name == "drill")
    assert "in full not worked out" not in said(drill.blocks)
    assert "in full" in said(drill.blocks)


@pytest.mark.parametrize("make", [glass_sheet, rack_sheet, load_sheet])
def test_each_begins_by_saying_that_it_is_a_screening(make: Callable[[Study], Sheet | None]) -> None:
    sheet = make(study_of("cellar_mended"))
    assert sheet is not None
    first = sheet.blocks[0]
    assert isinstance(first, Paragraph)
    assert first.caution
    assert "screening" in first.text.casefold()


def test_what_could_not_be_computed_is_listed_with_what_to_do() -> None:
    study = study_of("garage")
    assert study.glass is not None
    assert study.glass.not_computed
    assert table(glass_sheet(study), "Not computed").rows == study.glass.not_computed
    assert study.racks is not None
    if study.racks.not_computed:
        assert table(rack_sheet(study), "Not computed").rows == study.racks.not_computed


def test_panes_alike_in_strength_stand_in_one_row() -> None:
    study = study_of("cellar")
    assert study.glass is not None
    routes = "What they are worked with, and by two published routes"
    assert column(table(glass_sheet(study), routes), "pane") == ["every pane"]
    first, *rest = study.glass.panes
    other = replace(first, strengths=replace(first.strengths, en_surface=1e6))
    mixed = replace(study, glass=replace(study.glass, panes=(other, *rest)))
    assert len(table(glass_sheet(mixed), routes).rows) == 2


def test_of_each_shelf_and_bay_the_bearer_that_uses_the_most_is_told() -> None:
    study = study_of("cellar_mended")
    assert study.racks is not None
    rows = table(rack_sheet(study), "Bearers and boards")
    for rack, shelf, bay, part, share in zip(
        *(column(rows, name) for name in ("rack", "shelf", "bay", "part", "uses")), strict=True
    ):
        uses = [
            beam.worst.share
            for one in study.racks.racks
            for beam in one.beams
            if (beam.rack, beam.shelf, beam.bay, beam.part) == (rack, shelf, bay, part) and beam.worst
        ]
        assert share == (Number(max(uses), "share") if uses else None)


def test_every_foot_has_a_row_and_together_they_carry_the_racks() -> None:
    study = study_of("cellar_mended")
    assert study.load is not None
    feet = table(load_sheet(study), "Feet")
    forces: dict[object, float] = {}
    for rack, force in zip(column(feet, "rack"), column(feet, "comes down"), strict=True):
        assert isinstance(force, Number)
        forces[rack] = forces.get(rack, 0.0) + force.value
    for one in study.load.racks:
        assert forces[one.rack] == pytest.approx(one.total * 9.80665, rel=1e-6)


def test_joists_are_set_beside_an_even_load_and_judged_by_nobody() -> None:
    room = study_of("cellar_mended").room
    space = room.spaces[0]
    joists = JoistsPlace(
        member=Member(text="not read", section=None, grade=None), every=Known(0.4, Origin.GIVEN),
        run="north-south", start=space.box.y0, end=space.box.y1,
    )  # fmt: skip
    hollow = (("stair well", Box(x0=0.0, y0=space.box.y1 - 1.0, z0=0.0, x1=4.0, y1=space.box.y1, z1=0.0)),)
    timber = replace(space, floor="timber", joists=joists, voids=hollow)
    study = work_out(replace(room, spaces=(timber, *room.spaces[1:])), frozenset({"load", "racks"}))
    sheet = load_sheet(study)
    rows = table(sheet, "Joists under feet")
    assert rows.rows
    assert set(column(rows, "sags")) == {None}  # nobody knows how stiff they are
    assert "stair well" in column(table(sheet, "Feet"), "stands over")
    assert sheet is not None
    assert "stands over stair well" in said(sheet.blocks)
    assert "A screening, not a verdict" in said(sheet.blocks)


def test_a_quick_sheet_waits_for_no_pane_and_shows_those_that_are_known(
    book_of: Books, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole = book_of("cellar_mended").book  # its panes are kept beside its plan from here on

    def never(*_: object) -> None:
        raise AssertionError("a pane was worked out")

    monkeypatch.setattr(source, "worked_out_glass", never)
    quick = source.Book(whole.opened, whole.asked, quick=True)
    assert {one.case for one in quick.panes} == {one.case for one in whole.panes}
    elsewhere = source.Book(
        replace(whole.opened, path=whole.opened.path.parent / "other.toml"), whole.asked, quick=True
    )
    assert len(elsewhere.panes) <= len(whole.panes)  # this process may know them still; it works none out


def test_a_study_without_them_has_none_of_these_sheets() -> None:
    study = replace(study_of("garage"), glass=None, racks=None)
    assert glass_sheet(study) is None
    assert rack_sheet(study) is None
    sheet = load_sheet(study)
    assert sheet is not None
    assert not any(isinstance(one, Drawing) for one in sheet.blocks)


def test_drawings_are_on_the_paper_asked_for() -> None:
    study = study_of("cellar_mended")
    for sheet in (glass_sheet(study, paper="Letter"), rack_sheet(study, paper="Letter")):
        assert sheet is not None
        for block in sheet.blocks:
            if isinstance(block, Drawing):
                assert (block.height, block.width) == PAPERS["Letter"]
