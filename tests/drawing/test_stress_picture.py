"""The picture of a pane's stress: the right way round, its peaks where they are, its numbers those of the engine."""

from __future__ import annotations

import importlib.util
import math
import sys
from dataclasses import replace
from functools import cache
from pathlib import Path
from types import ModuleType
from xml.etree import ElementTree as ET

import pytest

from tankwright.display import words
from tankwright.drawing.colour import INK, USE, step_for
from tankwright.drawing.model import Circle, Drawing, Group, Polyline, Rectangle, Text, walk
from tankwright.drawing.pane_view import CAUTION, PaneView
from tankwright.drawing.stress_picture import BENT, draw_plain_stress, draw_stress
from tankwright.drawing.svg import to_svg
from tankwright.finding import Number
from tankwright.systems.glass_full_model import FullPane
from tankwright.systems.glass_model import PaneCase


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


cases, checks = _beside("strength_cases"), _beside("sheet_checks")
MID = ((0.45, 0.055, 0.035),)
PANES: dict[str, PaneCase] = {
    "corner hole": cases.pane(),
    "hole in the middle": cases.pane((0.9, 0.45, 0.008), "front", MID),
    "two holes": cases.pane(holes=((0.075, 0.07, 0.029), (0.4, 0.09, 0.029))),
    "plain left end": cases.pane((0.38, 0.38, 0.006), "left", ()),
    "held top": cases.pane((1.2, 0.5, 0.01), holes=((0.1, 0.08, 0.04),), held="held"),
    "base": cases.pane((0.9, 0.38, 0.008), "base", ()),
    "small": cases.pane((0.3, 0.3, 0.005), "back", ((0.075, 0.065, 0.029),)),
    "tall": cases.pane((0.3, 0.9, 0.01), "right", ((0.1, 0.065, 0.029),)),
}


@cache
def _full(name: str) -> FullPane:
    made: FullPane = cases.full(PANES[name])
    return made


@cache
def _drawn(name: str, display: str = "metric") -> Drawing:
    return draw_stress(_full(name), display=display)


@pytest.mark.parametrize("display", ["metric", "US"])
@pytest.mark.parametrize("name", list(PANES))
def test_nothing_lies_outside_the_page_or_over_another_text(name: str, display: str) -> None:
    assert checks.faults(_drawn(name, display)) == []
    screen = _full(name).screen
    assert screen is not None
    assert checks.faults(draw_plain_stress(screen, display=display)) == []


@pytest.mark.parametrize("name", list(PANES))
def test_every_peak_is_told_with_its_stress_and_its_share(name: str) -> None:
    full, said = _full(name), " ".join(checks.said(_drawn(name)))
    for hole in full.holes:
        assert (
            f"{words(Number(hole.stress, 'stress'))} at the hole's rim: {words(Number(hole.use, 'share'))}"
            in said
        )
    if full.surface_at[1] < full.case.height * 0.999:
        surface = words(Number(full.surface / 4.5e6, "share"))
        assert f"{words(Number(full.surface, 'stress'))} away from" in said
        assert f"{surface} of the 4.5 MPa" in said
    else:  # the free edge asks more of the glass and is told instead
        assert "away from" not in said.split("flange")[0]
    if full.edge > 0.0:
        assert f"{words(Number(full.edge, 'stress'))} along the free top edge" in said
    assert CAUTION.split(". ")[0] in said
    assert words(Number(full.sag, "length")) in said


def test_the_screening_stands_beside_the_full_check() -> None:
    full = _full("hole in the middle")
    assert full.screen is not None
    said = " ".join(checks.said(_drawn("hole in the middle")))
    assert f"quick screening of the same pane: {words(Number(full.screen.plain, 'stress'))}" in said
    assert f"{words(Number(full.screen.holes[0].stress, 'stress'))} at the hole's rim" in said


def test_the_back_pane_is_mirrored_as_on_the_drill_sheet_and_the_front_is_not() -> None:
    case = PANES["corner hole"]
    view = PaneView(case=case, left=0.0, top=0.0, scale=10.0)
    hole = case.holes[0]
    assert view.at(hole.x, hole.y) == pytest.approx((90.0 - 7.5, 7.0))
    front = PaneView(case=replace(case, pane="front"), left=0.0, top=0.0, scale=10.0)
    assert front.at(hole.x, hole.y) == pytest.approx((7.5, 7.0))
    said = checks.said(_drawn("corner hole"))
    assert said.index("the tank's right") < said.index("the tank's left")


def test_a_base_is_seen_from_underneath_with_its_back_below() -> None:
    view = PaneView(case=PANES["base"], left=0.0, top=0.0, scale=10.0)
    assert view.at(0.0, 0.0)[1] < view.at(0.0, 0.3)[1]
    assert "the tank's back" in checks.said(_drawn("base"))


def test_the_hole_is_a_ring_of_its_size_where_it_is_drilled() -> None:
    drawing = _drawn("corner hole")
    scale = drawing.scale
    pane = next(
        one for one in walk(drawing.parts)
        if isinstance(one, Rectangle) and one.width == pytest.approx(900.0 / scale)
    )  # fmt: skip
    rings = [
        one for one in walk(drawing.parts)
        if isinstance(one, Circle) and one.look.stroke == INK and one.radius == pytest.approx(14.5 / scale)
    ]  # fmt: skip
    assert rings[0].centre[0] == pytest.approx(pane.x + pane.width - 75.0 / scale)
    assert rings[0].centre[1] == pytest.approx(pane.y + 70.0 / scale)


@pytest.mark.parametrize("name", list(PANES))
def test_the_field_fills_the_pane_between_its_supports_with_the_colours_of_its_stress(name: str) -> None:
    full, drawing = _full(name), _drawn(name)
    field = next(one for one in walk(drawing.parts) if isinstance(one, Group) and one.id.startswith("field-"))
    fills = {one.look.fill for one in field.parts if isinstance(one, Polyline)}
    worst = step_for(float(full.solution.stress.max()) / 4.5e6, USE)
    assert worst.fill in fills or full.holes  # a peak at a rim may be smaller than a spot worth drawing
    first = field.parts[0]
    assert isinstance(first, Polyline)
    xs, ys = zip(*first.points, strict=True)
    assert max(xs) - min(xs) == pytest.approx(full.case.length * 1000 / drawing.scale, abs=0.01)
    assert max(ys) - min(ys) == pytest.approx(full.case.height * 1000 / drawing.scale, abs=0.01)


def test_a_pane_that_was_not_solved_is_drawn_bare_and_says_so() -> None:
    full = replace(_full("corner hole"), status="two holes overlap")
    drawing = draw_stress(full)
    said = " ".join(checks.said(drawing))
    assert "Not computed: two holes overlap." in said
    assert "% of the" not in said
    assert not any(isinstance(one, Group) and one.id.startswith("field-") for one in walk(drawing.parts))
    assert checks.faults(drawing) == []


def test_a_pane_that_bends_too_far_says_that_its_picture_is_another() -> None:
    full = replace(_full("corner hole"), linear=False)
    assert BENT.split(":")[0] in " ".join(checks.said(draw_stress(full)))
    assert BENT.split(":")[0] not in " ".join(checks.said(_drawn("corner hole")))


def test_the_bar_marks_both_strengths_at_their_height() -> None:
    drawing = _drawn("corner hole")
    texts = {one.text: one.at[1] for one in walk(drawing.parts) if isinstance(one, Text)}
    assert texts["surface"] == pytest.approx(texts["100 %"])
    assert texts["edge, hole"] == pytest.approx(texts["80 %"])  # 3.6 of 4.5


def test_what_the_rim_is_raised_by_over_the_field_is_said() -> None:
    full = _full("corner hole")
    raised = replace(full, holes=(replace(full.holes[0], thickness_factor=1.06),))
    told = " ".join(checks.said(draw_stress(raised)))
    assert "At the rim 6 % more is told than the field shows" in told
    assert "more is told than" not in " ".join(checks.said(draw_stress(full)))
    assert checks.faults(draw_stress(raised)) == []


def test_the_file_is_small_and_the_same_twice() -> None:
    first, second = (to_svg(draw_stress(_full("two holes"))) for _ in range(2))
    assert first == second
    assert len(first) < 60_000
    ET.fromstring(first)


def test_a_kind_named_in_markup_does_no_harm() -> None:
    nasty = '<b onload="x()">&"'
    full = replace(_full("corner hole"), case=replace(PANES["corner hole"], kind=nasty))
    root = ET.fromstring(to_svg(draw_stress(full)))
    assert not [element for element in root.iter() if element.tag.endswith("}b")]


def test_colours_of_peaks_are_those_of_their_share() -> None:
    full, drawing = _full("hole in the middle"), _drawn("hole in the middle")
    share = max(one.use for one in full.holes)
    assert math.isclose(share, full.use)
    swatches = [
        one.look.fill for one in walk(drawing.parts)
        if isinstance(one, Rectangle) and (one.width, one.height) == (5.0, 3.2)
    ]  # fmt: skip
    assert swatches[0] == step_for(share, USE).fill
