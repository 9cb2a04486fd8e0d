"""The map of a hole: each place in the colour of its share, what keeps it out, where the least is asked."""

from __future__ import annotations

import importlib.util
import sys
from dataclasses import replace
from pathlib import Path
from types import ModuleType

import pytest

from tankwright.display import words
from tankwright.drawing.colour import TEAL, USE, step_for
from tankwright.drawing.hole_map import LETTERS, draw_hole_map
from tankwright.drawing.model import Circle, Drawing, Group, Hatching, Rectangle, Text, walk
from tankwright.finding import Number
from tankwright.systems.glass_full_model import KEPT_OUT_WORDS, HoleMap


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


def _map(**changes: object) -> HoleMap:
    found: HoleMap = cases.hole_map(cases.pane())
    return replace(found, **changes)  # type: ignore[arg-type]  # a test's own words


def _groups(drawing: Drawing) -> list[Group]:
    return [one for one in walk(drawing.parts) if isinstance(one, Group)]


@pytest.mark.parametrize("display", ["metric", "US"])
@pytest.mark.parametrize("name", ["back", "front", "left", "base"])
def test_nothing_lies_outside_the_page(name: str, display: str) -> None:
    case = cases.pane((0.9, 0.38, 0.006) if name != "left" else (0.38, 0.38, 0.006), name)
    drawing = draw_hole_map(cases.hole_map(case), display=display)
    assert checks.outside(drawing) == []
    assert checks.unwritten(drawing) == []


def test_every_place_that_is_free_has_its_share_in_its_colour() -> None:
    found = _map()
    cells = {
        (one.parts[0].look.fill, one.parts[1].text)
        for one in _groups(draw_hole_map(found))
        if len(one.parts) == 2 and isinstance(one.parts[0], Rectangle) and isinstance(one.parts[1], Text)
    }
    for spot in found.spots:
        if spot.allowed and spot.use is not None:
            told = words(Number(spot.use, "share")).removesuffix(" %")
            assert (step_for(spot.use, USE).fill, told) in cells


def test_places_that_are_kept_out_are_hatched_with_the_letter_and_the_words_of_their_reason() -> None:
    found = _map()
    drawing = draw_hole_map(found)
    reasons = {one.kept_out[0] for one in found.spots if one.kept_out}
    assert reasons == {"edge", "upright", "level"}
    letters = {
        text.text
        for group in _groups(drawing)
        for text in group.parts
        if isinstance(text, Text) and any(isinstance(one, Hatching) for one in group.parts)
    }
    assert letters == {LETTERS[one] for one in reasons}
    said = " ".join(checks.said(drawing))
    assert all(KEPT_OUT_WORDS[one] in said for one in reasons)


def test_every_reason_has_a_letter_of_its_own() -> None:
    assert set(LETTERS) == set(KEPT_OUT_WORDS)
    assert len(set(LETTERS.values())) == len(LETTERS)


def test_the_best_place_and_the_present_one_are_told_as_they_are_drilled() -> None:
    found = _map()
    assert found.best is not None
    said = " ".join(checks.said(draw_hole_map(found)))
    assert "The hole now: 75 mm from the left as seen from the tank's front, 70 mm below the rim" in said
    assert "The least is asked of the glass: " in said
    assert found.best.use is not None
    assert f"{words(Number(found.best.use, 'share'))} of the strength" in said
    assert "Its elbow turned holds the water" in said


def test_the_present_place_is_drawn_mirrored_on_the_back_pane() -> None:
    found = _map(best=None, best_any_level=None)
    drawing = draw_hole_map(found)
    scale = drawing.scale
    ring = next(
        one for one in walk(drawing.parts)
        if isinstance(one, Circle) and one.radius == pytest.approx(14.5 / scale) and one.look.fill
    )  # fmt: skip
    pane = next(
        one
        for one in walk(drawing.parts)
        if isinstance(one, Rectangle) and one.width == pytest.approx(900 / scale)
    )
    assert ring.centre == pytest.approx((pane.x + pane.width - 75 / scale, pane.y + 70 / scale))
    assert "No place of the grid is free" in " ".join(checks.said(drawing))


def test_a_hole_that_is_where_it_should_be_is_told_once() -> None:
    found = _map()
    drawing = draw_hole_map(replace(found, present=found.best))
    said = " ".join(checks.said(drawing))
    assert "The hole now, and nowhere is less asked of the glass" in said
    assert "The least is asked of the glass: " not in said
    assert sum(isinstance(one, Circle) and one.look.stroke == TEAL for one in walk(drawing.parts)) == 1


def test_what_is_not_known_is_said() -> None:
    said = " ".join(checks.said(draw_hole_map(_map())))
    assert "for nut, elbow and hose is not known" in said
    failed = " ".join(checks.said(draw_hole_map(_map(status="hole outside the pane", spots=(), best=None))))
    assert "Not computed: hole outside the pane." in failed
