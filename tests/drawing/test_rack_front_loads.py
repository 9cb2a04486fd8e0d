"""A rack under its tanks: shares with their colours, sags as much larger as the picture says, forces at its feet."""

from __future__ import annotations

import importlib.util
import sys
from dataclasses import replace
from pathlib import Path
from types import ModuleType
from xml.etree import ElementTree as ET

import pytest

from tankwright.drawing.colour import USE, WOOD, contrast, step_for
from tankwright.drawing.model import Drawing, Polyline, Rectangle, Text, walk
from tankwright.drawing.rack_front_loads import CAUTION, draw_rack_loads
from tankwright.drawing.svg import to_svg
from tankwright.room.model import RackPlace, Room


def _beside(name: str) -> ModuleType:
    """A file beside this one; the tests are imported by path, so they are no package."""
    called = f"tests_drawing_{name}"
    if called not in sys.modules:
        spec = importlib.util.spec_from_file_location(called, Path(__file__).parent / f"{name}.py")
        assert spec is not None
        assert spec.loader is not None
        sys.modules[called] = importlib.util.module_from_spec(spec)
        spec.loader.exec_module(sys.modules[called])
    return sys.modules[called]


cases, checks, rooms = _beside("strength_cases"), _beside("sheet_checks"), _beside("rooms")
ROOM: Room = rooms.cellar_like()
MASSES = {tank.id: 57.4 for tank in ROOM.tanks}


def _rack(name: str = "A") -> RackPlace:
    return next(one for one in ROOM.racks if one.id == name)


def _drawn(rack: RackPlace | None = None, **changes: object) -> Drawing:
    place = rack or _rack()
    return draw_rack_loads(ROOM, place, replace(cases.strength(place), **changes), MASSES)


def _bearers(drawing: Drawing) -> list[Polyline]:
    fills = {step.fill for step in USE} | {WOOD}
    return [
        one for one in walk(drawing.parts)
        if isinstance(one, Polyline) and one.closed and one.look.fill in fills and len(one.points) > 8
    ]  # fmt: skip


@pytest.mark.parametrize("name", ["A", "C", "D", "Q"])
@pytest.mark.parametrize("display", ["metric", "US"])
def test_nothing_lies_outside_the_page_or_over_another_text(name: str, display: str) -> None:
    rack = _rack(name)
    drawing = draw_rack_loads(replace(ROOM, display=display), rack, cases.strength(rack), MASSES)
    assert checks.faults(drawing) == []
    ET.fromstring(to_svg(drawing))


def test_bearers_have_the_colour_and_the_number_of_what_they_use() -> None:
    drawing = _drawn()
    said = checks.said(drawing)
    for share in (0.33, 0.99, 1.54):  # the back one of two, which uses a tenth more
        assert sum(one.look.fill == step_for(share, USE).fill for one in _bearers(drawing)) == 2
        assert f"{share * 100:.0f} % bending, bearer 2 of 2" in said


def test_a_sag_is_drawn_as_many_times_larger_as_the_picture_says() -> None:
    drawing = _drawn()
    text = " ".join(checks.said(drawing))
    larger = int(text.split("Sags are drawn ")[1].split(" times")[0])
    assert larger > 1
    top = _bearers(drawing)[0].points[:11]
    bowed = max(y for _, y in top) - top[0][1]
    assert bowed == pytest.approx(0.0024 * 1000 / drawing.scale * larger)
    assert "sags 2.4 mm, 4.32 mm later" in checks.said(drawing)


def test_a_sag_never_reaches_through_the_floor() -> None:
    rack = replace(_rack(), shelves=(0.1, 0.92, 1.54))
    drawing = draw_rack_loads(ROOM, rack, cases.strength(rack, sag=0.004), MASSES)
    floor = max(
        one.points[0][1] for one in walk(drawing.parts) if isinstance(one, Polyline) and one.look.width == 0.6
    )
    said = " ".join(checks.said(drawing))
    assert "Sags are drawn 10 times as large" in said
    assert said.count("(drawn 2 times)") == 2  # of the lowest shelf, in both bays
    for bearer in _bearers(drawing):
        assert max(y for _, y in bearer.points) <= floor


def test_every_tank_is_there_with_its_mass() -> None:
    said = checks.said(_drawn())
    for tank in ROOM.tanks:
        assert (tank.id in said) == (tank.rack == "A")
    assert said.count("57.4 kg") == sum(tank.rack == "A" for tank in ROOM.tanks)
    missing = draw_rack_loads(ROOM, _rack(), cases.strength(_rack()), {})
    assert not any("57.4 kg" in one for one in checks.said(missing))


def test_what_comes_down_at_every_foot_is_told() -> None:
    said = checks.said(_drawn())
    for upright in range(3):
        assert (
            f"front {900 + 300 * upright} N" in said or f"front {(900 + 300 * upright) / 1000:g} kN" in said
        )
    assert said.count("24 % buckling") == 3


def test_what_was_not_judged_is_hatched_and_said() -> None:
    rack = _rack()
    drawing = draw_rack_loads(ROOM, rack, cases.strength(rack, (None,)), MASSES)
    said = " ".join(checks.said(drawing))
    assert "Not computed: nothing says what it is built of." in said
    assert "not computed, bearer" in said
    assert not any(one.look.fill in {step.fill for step in USE} for one in _bearers(drawing))
    assert checks.faults(drawing) == []


def test_tipping_leaning_and_a_section_that_would_do_are_told() -> None:
    said = " ".join(checks.said(_drawn(leans=True, would_hold="45x95 C24")))
    assert "begins to tip it: 120 N with only that shelf full, 310 N as it stands" in said
    assert "Nothing keeps it from leaning sideways" in said
    assert "45x95 C24" in said
    assert "sways 34 N" in said
    assert CAUTION.split(".")[0] in said
    assert "is not said" in " ".join(checks.said(_drawn(leans=None)))


def test_the_scale_is_true() -> None:
    rack = _rack()
    drawing = draw_rack_loads(ROOM, rack, cases.strength(rack), MASSES, scale=25)
    assert drawing.scale == 25
    tank = next(one for one in ROOM.tanks if one.rack == "A")
    assert any(
        isinstance(one, Rectangle)
        and (one.width, one.height) == pytest.approx((tank.length * 40, tank.height * 40))
        for one in walk(drawing.parts)
    )


def test_writing_is_ink_on_paper() -> None:
    for one in walk(_drawn().parts):
        if isinstance(one, Text) and one.text:
            assert contrast(one.colour, "#fbfbf8") >= 4.5
