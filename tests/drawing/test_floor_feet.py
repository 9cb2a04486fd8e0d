"""A floor from above: every foot with its force, the joists under it, what is hollow."""

from __future__ import annotations

import importlib.util
import sys
from dataclasses import replace
from pathlib import Path
from types import ModuleType

import pytest

from tankwright.drawing.colour import AMOUNT, TEAL, step_for
from tankwright.drawing.floor_feet import CAUTION, draw_floor_feet
from tankwright.drawing.model import Circle, Drawing, Group, Polyline, walk


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


def _drawn(*, display: str = "metric", joists: bool = False, over: str = "") -> Drawing:
    room, floor = cases.floor_of(rooms.cellar_like(), joists=joists, over=over)
    return draw_floor_feet(replace(room, display=display), floor)


@pytest.mark.parametrize("display", ["metric", "US"])
@pytest.mark.parametrize("joists", [False, True])
def test_nothing_lies_outside_the_page_or_over_another_text(display: str, joists: bool) -> None:
    assert checks.faults(_drawn(display=display, joists=joists, over="stair well")) == []


def test_every_foot_is_a_disc_with_its_force() -> None:
    drawing = _drawn()
    said = checks.said(drawing)
    for force in ("400 N", "800 N", "1.2 kN", "1.6 kN"):
        assert said.count(force) == 4  # one a rack
    discs = sorted(
        (one.radius, one.look.fill)
        for one in walk(drawing.parts)
        if isinstance(one, Circle) and one.look.fill
    )
    assert len(discs) == 16
    for share, (radius, fill) in zip((0.25, 0.5, 0.75, 1.0), discs[::4], strict=True):
        assert radius == pytest.approx(discs[-1][0] * share**0.5)
        assert fill == step_for(share, AMOUNT).fill


def test_a_foot_over_a_void_has_the_sign_of_a_problem_and_is_said() -> None:
    drawing = _drawn(joists=True, over="stair well")
    signs = [one for one in walk(drawing.parts) if isinstance(one, Group) and "mark" in one.classes]
    assert [one.title for one in signs] == ["over stair well"]
    said = " ".join(checks.said(drawing))
    assert "Rack A: the back foot of upright 2 stands over stair well." in said
    assert "stair well" in checks.said(drawing)


def test_joists_that_carry_feet_stand_out_with_their_number() -> None:
    drawing = _drawn(joists=True)
    loaded = [
        one for one in walk(drawing.parts)
        if isinstance(one, Polyline) and one.look.stroke == TEAL and one.look.dash
    ]  # fmt: skip
    assert len(loaded) == 5
    said = checks.said(drawing)
    assert {"2", "3", "4", "5", "6"} <= set(said)
    told = " ".join(said)
    assert "Of 5 joists under feet the most is asked of these:" in told
    assert "Joist 6: the racks alone bend it by 1.2 kN m" in told
    assert "joists every 400 mm, north-south" in told


def test_it_is_a_screening_and_says_what_nobody_said() -> None:
    said = " ".join(checks.said(_drawn()))
    assert "Nobody has said what this floor may carry." in said
    assert CAUTION.split(":")[0] in said
    assert "as someone licensed said: 2 kPa" in " ".join(checks.said(_drawn(joists=True)))


def test_a_rack_whose_feet_are_not_known_says_so() -> None:
    room, floor = cases.floor_of(rooms.cellar_like())
    drawing = draw_floor_feet(room, replace(floor, feet=()))
    assert checks.said(drawing).count("feet not known") == 4
    assert checks.faults(drawing) == []


def test_a_floor_of_no_room_is_refused() -> None:
    room, floor = cases.floor_of(rooms.cellar_like())
    with pytest.raises(ValueError, match="no room is called 'loft'"):
        draw_floor_feet(room, replace(floor, space="loft"))
