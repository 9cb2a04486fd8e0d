"""A rack's front for a thumb: every tank a link that can be hit, on its shelf, in the order one sees."""

from __future__ import annotations

from pathlib import Path

import pytest

from tankwright.drawing.model import Drawing, Group, Rectangle
from tankwright.drawing.rack_cells import STEP, WIDTH, draw_rack_cells, steps_over
from tankwright.drawing.results import DrawnMark
from tankwright.finding import Severity
from tankwright.room.boxes import along_span
from tankwright.room.model import RackPlace, Room
from tankwright.workspace.opened import open_plan

EXAMPLES = Path(__file__).parent.parent.parent / "examples"
_LEAST_ON_A_NARROW_PHONE = 48.0  # dots; "cells of at least 48 px"


@pytest.fixture(scope="module", params=["cellar", "garage", "hall"])
def room(request: pytest.FixtureRequest) -> Room:
    found = open_plan(EXAMPLES / f"{request.param}.toml").room
    assert found is not None
    return found


def draw(room: Room, rack: RackPlace, marks: dict[str, DrawnMark] | None = None) -> Drawing:
    return draw_rack_cells(
        room, rack, link=lambda tank: f"/t/{tank.id}", said=lambda tank: f"{tank.id}, said", marks=marks or {}
    )


def cells(drawing: Drawing) -> dict[str, Rectangle]:
    found = {}
    for part in drawing.parts:
        if isinstance(part, Group) and part.place:
            glass = part.parts[0]
            assert isinstance(glass, Rectangle)
            found[part.place] = glass
    return found


def test_every_tank_is_a_named_link_no_smaller_than_a_thumb_needs_even_on_a_narrow_phone(room: Room) -> None:
    narrow = 336 / WIDTH  # a phone 360 dots wide with its margins
    for rack in room.racks:
        drawing = draw(room, rack)
        found = cells(drawing)
        assert set(found) == {tank.id for tank in room.tanks if tank.rack == rack.id}
        for part in drawing.parts:
            if isinstance(part, Group) and part.place:
                assert part.link == f"/t/{part.place}"
                assert part.title == f"{part.place}, said"
        for cell in found.values():
            assert min(cell.width, cell.height) * narrow >= _LEAST_ON_A_NARROW_PHONE


def test_cells_stand_beside_each_other_inside_the_drawing_as_one_sees_them(room: Room) -> None:
    for rack in room.racks:
        drawing = draw(room, rack)
        found = cells(drawing)
        for shelf in range(1, len(rack.shelves) + 1):
            row = sorted((tank for tank in room.tanks if (tank.rack, tank.shelf) == (rack.id, shelf)),
                         key=lambda tank: along_span(rack.box, rack.facing, tank.box)[0])  # fmt: skip
            right = 0.0
            for tank in row:
                cell = found[tank.id]
                assert cell.x >= right
                right = cell.x + cell.width
            assert right <= drawing.width
        heights = [
            {
                round(found[tank.id].y + found[tank.id].height, 6)
                for tank in room.tanks
                if (tank.rack, tank.shelf) == (rack.id, shelf)
            }
            for shelf in range(1, len(rack.shelves) + 1)
        ]
        floors = [floor for row_floors in heights for floor in row_floors]
        assert all(len(row_floors) <= 1 for row_floors in heights), "a shelf is level"
        assert floors == sorted(floors, reverse=True), "the lowest shelf is the lowest in the drawing"
        assert steps_over(drawing) == (drawing.width - WIDTH) / STEP


def test_a_finding_is_a_sign_on_its_cell() -> None:
    room = open_plan(EXAMPLES / "cellar.toml").room
    assert room is not None
    rack = room.racks[0]
    mark = DrawnMark(place="A3", severity=Severity.WARNING, title="warning")
    signed = [
        part.place
        for part in draw(room, rack, {"A3": mark}).parts
        if isinstance(part, Group) and any(isinstance(one, Group) and one.sign for one in part.parts)
    ]
    assert signed == ["A3"]


def test_a_front_that_no_phone_is_wide_enough_for_gets_wider_by_whole_steps(tmp_path: Path) -> None:
    (tmp_path / "plan.toml").write_text(
        '[room.r]\nsize = { length = "4 m", width = "2 m", height = "2.4 m" }\n'
        '[tank_kind.t]\noutside = ["15 cm", "30 cm", "20 cm"]\n'
        '[rack_kind.k]\nlength = "190 cm"\ndepth = "40 cm"\nshelves = ["30 cm", "90 cm"]\n'
        '[[rack]]\nid = "A"\nkind = "k"\nroom = "r"\nwall = "north"\n'
        'shelf.1 = [{ kind = "t", ids = "A1..A12" }]\n',
        "utf-8",
    )
    room = open_plan(tmp_path / "plan.toml").room
    assert room is not None
    drawing = draw(room, room.racks[0])
    assert drawing.width == WIDTH + 4 * STEP
    assert steps_over(drawing) == 4
    assert len(cells(drawing)) == 12
