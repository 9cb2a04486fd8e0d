"""Whole sheets: true scale, nothing cut off, everything named."""

from __future__ import annotations

import importlib.util
import re
import sys
from collections import Counter
from dataclasses import replace
from pathlib import Path
from types import ModuleType
from xml.etree import ElementTree as ET

import pytest

from tankwright.drawing.model import Drawing, Group, Hatching, Polyline, Rectangle, Text, bounds, walk
from tankwright.drawing.results import LAYERS, DrawnResults, DrawnTank
from tankwright.drawing.sheet import PAPERS, draw_room
from tankwright.drawing.svg import to_svg
from tankwright.room.model import Room


def _rooms() -> ModuleType:
    """The hand-made rooms beside this file; the tests are imported by path, so they are no package."""
    name = "tests_drawing_rooms"
    if name not in sys.modules:
        spec = importlib.util.spec_from_file_location(name, Path(__file__).parent / "rooms.py")
        assert spec is not None
        assert spec.loader is not None
        sys.modules[name] = importlib.util.module_from_spec(spec)
        spec.loader.exec_module(sys.modules[name])
    return sys.modules[name]


rooms = _rooms()
GOLDEN = Path(__file__).parents[1] / "golden" / "small_room_air.svg"
SVG = "{http://www.w3.org/2000/svg}"


def _sheets() -> list[tuple[str, Drawing]]:
    made = []
    for layer in LAYERS:
        results = rooms.small_results(layer)
        made.append((f"small {layer}", draw_room(rooms.small_room(), results)))
        made.append((f"small US {layer}", draw_room(rooms.small_room("US"), results)))
    for paper in PAPERS:
        made.append((f"cellar {paper}", draw_room(rooms.cellar_like(), rooms.small_results(), paper=paper)))
    made.append(("cellar", draw_room(rooms.cellar_like(), rooms.small_results())))
    made.append(("cellar 1:200", draw_room(rooms.cellar_like(), rooms.small_results(), scale=200)))
    return made


SHEETS = _sheets()
each_sheet = pytest.mark.parametrize("drawing", [one for _, one in SHEETS], ids=[name for name, _ in SHEETS])


@each_sheet
def test_nothing_lies_outside_the_page(drawing: Drawing) -> None:
    for shape in walk(drawing.parts):
        left, top, right, bottom = bounds(shape)
        assert left >= -1e-6, shape
        assert top >= -1e-6, shape
        assert right <= drawing.width + 1e-6, shape
        assert bottom <= drawing.height + 1e-6, shape


@each_sheet
def test_the_file_is_xml_with_unique_ids(drawing: Drawing) -> None:
    root = ET.fromstring(to_svg(drawing))
    ids = Counter(element.get("id") for element in root.iter() if element.get("id"))
    assert [name for name, count in ids.items() if count > 1] == []
    assert not list(root.iter(f"{SVG}script"))


@each_sheet
def test_every_text_has_a_size_and_a_colour(drawing: Drawing) -> None:
    for shape in walk(drawing.parts):
        if isinstance(shape, Text) and shape.text:
            assert shape.size > 0, shape
            assert re.fullmatch(r"#[0-9a-f]{6}", shape.colour)


@pytest.mark.parametrize("scale", [10, 25, 50])
def test_the_scale_bar_measures_one_metre(scale: int) -> None:
    drawing = draw_room(rooms.small_room(), rooms.small_results(), scale=scale)
    bar = next(one for one in walk(drawing.parts) if isinstance(one, Group) and one.id == "scale-bar")
    ground = bar.parts[0]
    assert isinstance(ground, Rectangle)
    assert ground.width == pytest.approx(1000 / scale, rel=1e-12)


def test_the_us_scale_bar_measures_three_feet() -> None:
    drawing = draw_room(rooms.small_room("US"), rooms.small_results(), scale=24)
    bar = next(one for one in walk(drawing.parts) if isinstance(one, Group) and one.id == "scale-bar")
    ground = bar.parts[0]
    assert isinstance(ground, Rectangle)
    assert ground.width == pytest.approx(914.4 / 24, rel=1e-12)


def test_a_tank_is_as_wide_on_the_sheet_as_its_scale_says() -> None:
    root = ET.fromstring(to_svg(draw_room(rooms.small_room(), rooms.small_results(), scale=25)))
    front = next(one for one in root.iter(f"{SVG}g") if one.get("id") == "front-A1")
    box = next(iter(front.iter(f"{SVG}rect")))
    assert float(box.get("width", "")) == pytest.approx(900 / 25, abs=0.001)  # svg keeps thousandths of a mm
    assert float(box.get("height", "")) == pytest.approx(380 / 25, abs=0.001)


@pytest.mark.parametrize("scale", [20, 100, 500])
def test_every_tank_stands_in_plan_and_front_with_its_id_written(scale: int) -> None:
    room: Room = rooms.cellar_like()
    drawing = draw_room(room, rooms.small_results(), scale=scale)
    groups = {one.id: one for one in walk(drawing.parts) if isinstance(one, Group)}
    for tank in room.tanks:
        for view in ("plan", "front"):
            group = groups[f"{view}-{tank.id}"]
            assert group.place == tank.id
            written = [one.text for one in walk(group.parts) if isinstance(one, Text)]
            assert any(text.split()[0] == tank.id for text in written)


def test_a_tank_is_read_out_with_its_result() -> None:
    svg = to_svg(draw_room(rooms.small_room(), rooms.small_results()))
    assert svg.count("<title>A2, 87 % of the air it needs</title>") == 2
    assert svg.count("<title>A5, not computed</title>") == 2


def test_markup_in_names_is_escaped() -> None:
    nasty = '<b onload="x()">&"'
    room = rooms.small_room(title=nasty)
    tank = replace(room.tanks[0], id=nasty)
    results = replace(
        rooms.small_results(),
        tanks=(DrawnTank(id=nasty, share=1.0, figure=nasty, detail=nasty, title=nasty),),
        figures=((nasty, nasty),),
        about=nasty,
    )
    svg = to_svg(draw_room(replace(room, tanks=(tank, *room.tanks[1:])), results, plan_name=nasty))
    root = ET.fromstring(svg)
    assert not [element for element in root.iter() if element.tag.endswith("}b")]
    assert nasty in (root.findtext(f"{SVG}title") or "")


def test_characters_that_xml_forbids_do_not_break_the_file() -> None:
    ET.fromstring(to_svg(draw_room(rooms.small_room(title="a\x00b\x1b\ud800"), rooms.small_results())))


def test_tanks_that_are_not_computed_are_hatched() -> None:
    drawing = draw_room(rooms.small_room(), rooms.small_results())
    groups = {one.id: one for one in walk(drawing.parts) if isinstance(one, Group)}

    def hatched(name: str) -> int:
        return sum(isinstance(one, Hatching) for one in groups[name].parts)

    for view in ("front", "plan"):
        assert (hatched(f"{view}-A5"), hatched(f"{view}-A2")) == (1, 0)
    root = ET.fromstring(to_svg(drawing))
    lines = {one.get("id"): len(list(one.iter(f"{SVG}polyline"))) for one in root.iter(f"{SVG}g")}
    assert lines["front-A5"] > lines["front-A2"] + 5
    assert lines["plan-A5"] > lines["plan-A2"] + 5


def test_an_empty_room_still_makes_a_sheet() -> None:
    empty = Room(title="Shed", display="metric", spaces=(), racks=(), tanks=())
    root = ET.fromstring(to_svg(draw_room(empty, DrawnResults(layer="air", scale="enough"))))
    assert "No room is described yet." in [element.text for element in root.iter(f"{SVG}text")]


@pytest.mark.parametrize("paper", list(PAPERS))
def test_a_sheet_is_as_large_as_the_paper_asked_for(paper: str) -> None:
    drawing = draw_room(rooms.small_room(), rooms.small_results(), paper=paper)  # type: ignore[arg-type]
    assert (drawing.width, drawing.height) in (PAPERS[paper], PAPERS[paper][::-1])  # type: ignore[index]


def test_only_the_layer_asked_for_shows_its_pipes() -> None:
    def pipes(layer: str) -> set[str]:
        root = ET.fromstring(to_svg(draw_room(rooms.small_room(), rooms.small_results(layer))))
        return {one.get("id", "") for one in root.iter(f"{SVG}g")} & {"drain-main", "air-ring", "feed-drip"}

    assert pipes("air") == {"air-ring"}
    assert pipes("drain") == {"drain-main"}
    assert pipes("feed") == {"feed-drip"}
    assert pipes("load") == set()
    assert pipes("layout") == {"drain-main", "air-ring", "feed-drip"}


def test_a_fuller_drain_is_drawn_wider() -> None:
    root = ET.fromstring(to_svg(draw_room(rooms.small_room(), rooms.small_results("drain"))))
    drain = next(one for one in root.iter(f"{SVG}g") if one.get("id") == "drain-main")
    lines = [one for one in drain if one.tag == f"{SVG}polyline"]
    empty, full, unknown = (float(one.get("stroke-width", "")) for one in lines)
    assert empty < full
    assert unknown < full
    assert lines[2].get("stroke-dasharray")  # what was not computed is not drawn as a sound line


def test_drawing_twice_gives_the_same_file() -> None:
    first, second = (to_svg(draw_room(rooms.cellar_like(), rooms.small_results())) for _ in range(2))
    assert first == second


def test_the_small_room_looks_as_it_did() -> None:
    svg = to_svg(draw_room(rooms.small_room(), rooms.small_results(), plan_name="small.toml"))
    assert svg == GOLDEN.read_text(encoding="utf-8"), (
        f"if the change is meant, look at it and rewrite {GOLDEN.name}"
    )


def test_fronts_stand_in_the_order_one_walks_past_them() -> None:
    drawing = draw_room(rooms.cellar_like(), rooms.small_results())
    order = [
        one.place
        for one in walk(drawing.parts)
        if isinstance(one, Group) and one.id.startswith("front-rack-")
    ]
    assert order == ["A", "B", "C", "D", "Q"]


@pytest.mark.parametrize("towards", ["north", "west", "east"])
def test_a_sloping_ceiling_is_a_line_over_the_fronts_and_a_note_in_the_plan(towards: str) -> None:
    plain = rooms.small_room()
    space = replace(plain.spaces[0], slope_towards=towards, slope_height=1.0, beams=())
    drawing = draw_room(replace(plain, spaces=(space,)), rooms.small_results("load"))
    written = [one.text for one in walk(drawing.parts) if isinstance(one, Text)]
    assert f"2.2 m high, 100 cm at the {towards} wall, slab" in written
    front = next(one for one in walk(drawing.parts) if isinstance(one, Group) and one.id == "front-rack-A")
    dashed = [one for one in front.parts if isinstance(one, Polyline) and one.look.dash]
    floor = max(bounds(one)[3] for one in front.parts if isinstance(one, Polyline) and one.look.width == 0.6)
    heights = [(floor - 0.3 - y) * drawing.scale / 1000 for _, y in dashed[0].points]
    west = 1.0 + (space.box.z1 - 1.0) * 0.2 / 2.6
    rise = (space.box.z1 - 1.0) / 2.6 * 1.9
    wanted = {
        "north": (1.0 + (space.box.z1 - 1.0) * 0.1 / 2.0,) * 2,
        "west": (west, west + rise),
        "east": (1.0 + 1.2 * 2.4 / 2.6, 1.0 + 1.2 * 0.5 / 2.6),
    }[towards]
    assert heights == pytest.approx(wanted, abs=1e-9)


def test_a_level_ceiling_draws_no_line() -> None:
    drawing = draw_room(rooms.small_room(), rooms.small_results("load"))
    assert not any(isinstance(one, Text) and one.text == "sloping ceiling" for one in walk(drawing.parts))


def test_date_revision_and_page_stand_along_the_foot_of_a_sheet() -> None:
    notes = {"date": "2026-10-01", "revision": "revision 41", "page": "page 1 of 3"}
    drawing = draw_room(rooms.small_room(), rooms.small_results(), paper="A3", **notes)
    plain = draw_room(rooms.small_room(), rooms.small_results(), paper="A3")
    assert (drawing.width, drawing.height, drawing.scale) == (plain.width, plain.height, plain.scale)
    foot = [one for one in walk(drawing.parts) if isinstance(one, Text) and one.text in notes.values()]
    assert [one.text for one in foot] == list(notes.values())
    lowest = max(bounds(one)[3] for one in walk(plain.parts) if isinstance(one, Text))
    for one in foot:
        left, top, right, bottom = bounds(one)
        assert top > lowest
        assert left >= 10 - 1e-6
        assert right <= drawing.width - 10 + 1e-6
        assert bottom < drawing.height


def test_a_long_note_at_the_foot_keeps_to_its_third() -> None:
    drawing = draw_room(rooms.small_room(), rooms.small_results(), date="x" * 400, page="page 1 of 1")
    (note,) = [one for one in walk(drawing.parts) if isinstance(one, Text) and one.text == "x" * 400]
    assert bounds(note)[2] < drawing.width / 2
