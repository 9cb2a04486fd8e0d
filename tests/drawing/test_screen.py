"""The live drawing: links for every tank, handles for a script, nothing on top of anything."""

from __future__ import annotations

import importlib.util
import math
import re
import sys
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations
from pathlib import Path
from types import ModuleType
from xml.etree import ElementTree as ET

import pytest

from tankwright.drawing.handles import where
from tankwright.drawing.layers import draw_results
from tankwright.drawing.legend import STEP_WORDS, legend, worded_steps
from tankwright.drawing.model import Bounds, text_width
from tankwright.drawing.results import LAYERS, DrawnMark, DrawnResults, DrawnTank, Layer
from tankwright.drawing.screen import WIDTH, ScreenDrawing, draw_screen
from tankwright.finding import Severity
from tankwright.origin import Known, Origin
from tankwright.room.model import OverflowPlace, Room, Tank
from tankwright.workspace.opened import Opened, open_plan

EXAMPLES = Path(__file__).parents[2] / "examples"


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


def _known(value: float) -> Known:
    return Known(value, Origin.GIVEN)


def _with_elbow(tank: Tank, angle: float = math.radians(30)) -> Tank:
    elbow = OverflowPlace(
        kind="elbow", lip=tank.level, angle=angle, reach=_known(0.034), bore=_known(0.016),
        open_share=_known(0.6), level_known=_known(tank.level),
    )  # fmt: skip
    return replace(tank, overflow=elbow)


def _small(**changes: object) -> Room:
    room: Room = rooms.small_room()
    return replace(room, tanks=tuple(_with_elbow(tank) for tank in room.tanks), **changes)


def _address(name: str) -> str:
    return f"/?layer=air&at={name}"


def _drawn(
    room: Room | None = None, chosen: str = "", layer: str = "air", movable: bool = True
) -> ScreenDrawing:
    return draw_screen(
        room or _small(), rooms.small_results(layer), link=_address, chosen=chosen, movable=movable
    )


def _cellar() -> Opened:
    return open_plan(EXAMPLES / "cellar.toml")


def _links(svg: str, kind: str = "tank") -> dict[str, ET.Element]:
    found = ET.fromstring(svg).iter("a")
    return {link.get("data-place", ""): link for link in found if kind in link.get("class", "").split()}


@pytest.mark.parametrize("view", ["plan", "fronts"])
def test_every_tank_is_a_link_named_with_its_result(view: str) -> None:
    links = _links(getattr(_drawn(), view))
    assert sorted(links) == ["A1", "A2", "A3", "A4", "A5"]
    assert links["A2"].get("aria-label") == "A2, 87 % of the air it needs"
    assert links["A5"].get("aria-label") == "A5, not computed"
    assert links["A2"].get("href") == "/?layer=air&at=A2"


@pytest.mark.parametrize("view", ["plan", "fronts"])
def test_the_chosen_tank_is_marked_and_no_other(view: str) -> None:
    links = _links(getattr(_drawn(chosen="A3"), view))
    assert [name for name, link in links.items() if "chosen" in link.get("class", "").split()] == ["A3"]
    assert [name for name, link in links.items() if link.get("aria-current")] == ["A3"]


def test_a_chosen_rack_is_marked_in_plan_and_fronts() -> None:
    drawn = _drawn(chosen="A")
    for svg in (drawn.plan, drawn.fronts):
        assert "chosen" in _links(svg, "name")["A"].get("class", "").split()
    assert "aria-current" not in _drawn(chosen="").plan


def test_a_rack_carries_its_place_in_metres_where_it_is_drawn() -> None:
    root = ET.fromstring(_drawn().plan)
    scale, x0, y1 = (float(root.get(f"data-{name}", "")) for name in ("scale", "x0", "y1"))
    rack = next(one for one in root.iter("g") if one.get("data-rack") == "A")
    assert rack.get("data-wall") == "north"
    west, south, east, north = (float(side) for side in rack.get("data-box", "").split())
    assert (west, south, east, north) == (0.2, 1.45, 2.1, 1.9)
    box = next(rack.iter("rect"))
    left, top, width, height = (float(box.get(name, "")) for name in ("x", "y", "width", "height"))
    seen = (x0 + left / scale, y1 - (top + height) / scale, x0 + (left + width) / scale, y1 - top / scale)
    assert seen == pytest.approx(
        (west, south, east, north), abs=0.001
    )  # a hundredth of a unit, 0.2 mm and less


def test_an_island_names_no_wall() -> None:
    room = _small()
    room = replace(room, racks=(replace(room.racks[0], island=True),))
    assert "data-wall" not in _drawn(room).plan
    assert where(room, room.racks[0]) == "20 cm from the west wall, 145 cm from the south wall"


def test_a_room_carries_its_walls_and_what_stands_in_the_way() -> None:
    space = next(one for one in ET.fromstring(_drawn().plan).iter("g") if one.get("data-space") == "shed")
    assert space.get("data-box") == "0 0 2.6 2"
    assert space.get("data-blocks") == "2.3 0 2.45 0.15"


def test_every_rack_has_a_grip_that_says_where_it_stands_and_holds_no_link() -> None:
    root = ET.fromstring(_drawn().plan)
    grips = [one for one in root.iter("g") if one.get("class") == "grip"]
    assert [grip.get("data-grip") for grip in grips] == ["A"]
    said = "Rack A: drag it, or move it with the arrow keys; 20 cm from the west wall"
    assert (grips[0].get("role"), grips[0].get("tabindex"), grips[0].get("aria-label")) == (
        "button",
        "0",
        said,
    )
    for element in root.iter():
        if element.get("role") in ("button", "slider") or element.get("tabindex"):
            assert not list(element.iter("a"))
    target = next(grips[0].iter("rect"))
    assert float(target.get("width", "")) * 1000 / WIDTH >= 24  # dots on a page 1000 wide


def test_what_may_not_be_moved_has_neither_grip_nor_handle() -> None:
    drawn = _drawn(chosen="A3", movable=False)
    assert "grip" not in drawn.plan
    assert "turner" not in drawn.fronts


def test_the_chosen_tanks_elbow_can_be_turned_and_says_its_angle() -> None:
    root = ET.fromstring(_drawn(chosen="A3").fronts)
    (turner,) = [one for one in root.iter("g") if "turner" in one.get("class", "").split()]
    assert (turner.get("data-tank"), turner.get("data-angle")) == ("A3", "30.0")
    assert (turner.get("role"), turner.get("aria-valuenow"), turner.get("aria-valuemax")) == (
        "slider",
        "30",
        "90",
    )
    x, y = (float(part) for part in turner.get("data-at", "").split())
    knob = next(turner.iter("circle"))
    across, up = float(knob.get("cx", "")) - x, y - float(knob.get("cy", ""))
    aside = int(turner.get("data-aside", ""))
    assert math.degrees(math.atan2(aside * across, up)) == pytest.approx(
        30, abs=0.5
    )  # from hundredths of a unit


def test_an_elbow_is_drawn_up_to_the_water() -> None:
    tank = _with_elbow(rooms.small_room().tanks[0], 0.0)
    hole = tank.hole
    assert hole is not None
    level = hole.centre[2] + 0.034
    tank = replace(tank, level=level, rim=level + 0.03)
    root = ET.fromstring(_drawn(replace(_small(), tanks=(tank,)), layer="load").fronts)
    link = next(root.iter("a"))
    surface, arm = (
        re.fullmatch(r"M(\S+) (\S+)([hv])(\S+)", path.get("d", "")) for path in link.findall("path")
    )
    assert surface is not None
    assert arm is not None
    assert (surface[3], arm[3]) == ("h", "v")
    assert float(arm[2]) + float(arm[4]) == pytest.approx(float(surface[2]), abs=0.02)


def test_findings_leave_their_sign_with_its_words() -> None:
    for svg in (_drawn().plan, _drawn().fronts):
        root = ET.fromstring(svg)
        said = Counter(use.findtext("title") for use in root.iter("use"))
        assert said["AIR-01"] == said["AIR-02"] == said["AIR-03"] == said["LOAD-01"] == 1


@pytest.mark.parametrize("layer", LAYERS)
def test_nothing_on_the_page_clashes_or_needs_a_style_or_a_script(layer: Layer) -> None:
    opened = _cellar()
    assert opened.room is not None
    assert opened.study is not None
    results = draw_results(opened.study, opened.findings, layer)
    drawn = draw_screen(opened.room, results, link=_address, chosen="B3")
    ids: Counter[str] = Counter()
    for svg in (drawn.plan, drawn.fronts, *(item.swatch for item in drawn.legend)):
        for element in ET.fromstring(svg).iter():
            assert element.tag not in ("style", "script")
            assert not [key for key in element.attrib if key == "style" or key.startswith("on")]
            if element.get("id"):
                ids[element.get("id", "")] += 1
    assert [name for name, count in ids.items() if count > 1] == []


def test_markup_in_names_is_escaped() -> None:
    nasty = '"><b onload="x()">'
    room = _small(title=nasty)
    tank = replace(room.tanks[0], id=nasty)
    results = replace(
        rooms.small_results(),
        tanks=(DrawnTank(id=nasty, share=1.0, figure=nasty, detail=nasty, title=nasty),),
        marks=(DrawnMark(place=nasty, severity=Severity.WARNING, title=nasty),),
    )
    drawn = draw_screen(replace(room, tanks=(tank,)), results, link=_address, chosen=nasty)
    for svg in (drawn.plan, drawn.fronts):
        assert not list(ET.fromstring(svg).iter("b"))
        assert nasty in _links(svg)


def test_every_figure_stands_in_the_fronts_of_the_cellar() -> None:
    opened = _cellar()
    assert opened.room is not None
    assert opened.study is not None
    results = draw_results(opened.study, opened.findings, "air")
    links = _links(draw_screen(opened.room, results, link=_address).fronts)
    for drawn in results.tanks:
        assert [text.text for text in links[drawn.id].iter("text")][:2] == [drawn.id, drawn.figure]


def _texts(svg: str) -> Iterator[tuple[str, Bounds, float]]:
    """Every text of a drawing with the room it takes and its size; a face's letters are narrower than thought."""

    def walk(element: ET.Element, size: str, anchor: str, weight: str) -> Iterator[tuple[str, Bounds, float]]:
        size, anchor = element.get("font-size", size), element.get("text-anchor", anchor)
        weight = element.get("font-weight", weight)
        if element.tag == "text":
            x, y, tall = float(element.get("x", "")), float(element.get("y", "")), float(size)
            wide = 0.8 * text_width(element.text or "", tall, bold=weight == "bold")
            left = {"start": 0.0, "middle": -wide / 2, "end": -wide}[anchor]
            if element.get("transform"):  # reads upwards
                box = (x - 0.7 * tall, y - left - wide, x, y - left)
            else:
                box = (x + left, y - 0.7 * tall, x + left + wide, y)
            yield element.text or "", box, tall
        for child in element:
            yield from walk(child, size, anchor, weight)

    yield from walk(ET.fromstring(svg), "", "", "")


@pytest.mark.parametrize("layer", LAYERS)
@pytest.mark.parametrize("plan", ["cellar", "cellar_mended", "garage"])
def test_no_writing_stands_on_other_writing(plan: str, layer: Layer) -> None:
    opened = open_plan(EXAMPLES / f"{plan}.toml")
    assert opened.room is not None
    assert opened.study is not None
    drawn = draw_screen(opened.room, draw_results(opened.study, opened.findings, layer), link=_address)
    for svg in (drawn.plan, drawn.fronts):
        for (first, one, _), (second, other, _) in combinations(_texts(svg), 2):
            apart = one[2] <= other[0] or other[2] <= one[0] or one[3] <= other[1] or other[3] <= one[1]
            assert apart, f"{first} on {second}"


@pytest.mark.parametrize("plan", ["cellar", "garage"])
def test_writing_can_be_read_on_a_page_a_thousand_dots_wide(plan: str) -> None:
    opened = open_plan(EXAMPLES / f"{plan}.toml")
    assert opened.room is not None
    assert opened.study is not None
    drawn = draw_screen(opened.room, draw_results(opened.study, opened.findings, "air"), link=_address)
    for svg in (drawn.plan, drawn.fronts):
        smallest = min(_texts(svg), key=lambda text: text[2])
        assert smallest[2] * 1000 / WIDTH >= 9.0, smallest[0]


def _sixty() -> tuple[Room, DrawnResults]:
    """The cellar with 22 more tanks, each with a figure and a sign."""
    opened = _cellar()
    assert opened.room is not None
    assert opened.study is not None
    results = draw_results(opened.study, opened.findings, "air")
    twins = opened.room.tanks[:22]
    room = replace(
        opened.room, tanks=(*opened.room.tanks, *(replace(tank, id=f"{tank.id}x") for tank in twins))
    )
    tanks = [replace(drawn, id=f"{tank.id}x") for tank in twins if (drawn := results.tank(tank.id))]
    marks = [replace(found, place=f"{tank.id}x") for tank in twins if (found := results.mark(tank.id))]
    return room, replace(results, tanks=(*results.tanks, *tanks), marks=(*results.marks, *marks))


def test_sixty_tanks_take_less_than_90_kb() -> None:
    room, results = _sixty()
    assert len(room.tanks) == 60
    drawn = draw_screen(room, results, link=_address, chosen="B3")
    assert len((drawn.plan + drawn.fronts).encode()) < 90_000


def test_fronts_are_wrapped_to_the_page_in_walking_order() -> None:
    drawn = draw_screen(rooms.cellar_like(), rooms.small_results(), link=_address)
    names = [
        link.get("data-place")
        for link in ET.fromstring(drawn.fronts).iter("a")
        if link.get("class") == "name"
    ]
    assert names == ["A", "B", "C", "D", "Q"]
    for svg in (drawn.plan, drawn.fronts):
        _, _, width, height = (float(part) for part in ET.fromstring(svg).get("viewBox", "").split())
        assert width == WIDTH
        assert height > 0


def test_a_hall_is_wider_than_the_page_rather_than_too_small_to_read() -> None:
    room = rooms.small_room()
    hall = replace(room, spaces=(replace(room.spaces[0], box=replace(room.spaces[0].box, x1=35.0)),))
    drawn = draw_screen(hall, rooms.small_results(), link=_address)
    root = ET.fromstring(drawn.plan)
    assert drawn.pages == 3
    assert root.get("class", "").split()[-2:] == ["wide", "wide-3"]
    assert float(root.get("viewBox", "").split()[2]) == drawn.pages * WIDTH


def test_a_room_without_anything_draws_nothing() -> None:
    empty = Room(title="Shed", display="metric", spaces=(), racks=(), tanks=())
    drawn = draw_screen(empty, DrawnResults(layer="air", scale="enough"), link=_address)
    assert (drawn.plan, drawn.fronts, drawn.legend) == ("", "", ())


@pytest.mark.parametrize("layer", LAYERS)
def test_a_legend_has_at_most_five_lines_and_words_for_every_colour(layer: Layer) -> None:
    opened = _cellar()
    assert opened.study is not None
    results = draw_results(opened.study, opened.findings, layer)
    items = legend(results)
    assert 1 <= sum(item.kind == "line" for item in items) <= 5
    colours = [item.words for item in items if item.kind == "colour"]
    assert colours == [*(words for _, words in worded_steps(results)), *(["no data"] if colours else [])]
    for item in items:
        assert item.words
        assert ET.fromstring(item.swatch).get("aria-hidden") == "true"


@pytest.mark.parametrize("layer", list(STEP_WORDS))
def test_a_layers_own_words_fit_its_scale(layer: Layer) -> None:
    scale = "amount" if layer == "load" else "enough"
    said = worded_steps(DrawnResults(layer=layer, scale=scale))  # type: ignore[arg-type]
    own = STEP_WORDS[layer]
    assert len(own) == (4 if layer == "load" else 6)
    assert tuple(words for _, words in said) == tuple(words for words in own if words)


def test_drawing_twice_gives_the_same_page() -> None:
    assert _drawn() == _drawn()
