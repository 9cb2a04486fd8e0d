"""Drill sheets: true size, the right way round, and nothing certain that nobody measured."""

from __future__ import annotations

import csv
from dataclasses import replace
from pathlib import Path

import pytest

from tankwright.drawing.drill_sheet import drill_sheet
from tankwright.drawing.drill_words import DO_NOT_DRILL, TOLERANCE
from tankwright.drawing.model import Circle, Drawing, Polyline, Rectangle, Text, walk
from tankwright.origin import Known, Origin
from tankwright.takeoff.panes import PaneHole, TankPane

PUBLISHED = Path(__file__).parents[1] / "published" / "iso_2768_1.csv"


def _pane(**changes: object) -> TankPane:
    """The back of a tank 300 by 300 with a hole 75 from the right as seen and 65 below the rim."""
    pane = TankPane(
        kind="cube", pane="back", width=0.3, height=0.3, thickness=_known(0.005), toughened=False, temper="annealed",
        finished=True,
        hole=PaneHole(across=0.225, up=0.235, diameter=_known(0.029), flange=_known(0.045)),
    )  # fmt: skip
    return replace(pane, **changes)


def _known(value: float) -> Known:
    return Known(value, Origin.GIVEN)


def _said(drawing: Drawing) -> list[str]:
    return [one.text for one in walk(drawing.parts) if isinstance(one, Text)]


def _circles(drawing: Drawing) -> list[Circle]:
    return [one for one in walk(drawing.parts) if isinstance(one, Circle)]


def _unmeasured() -> PaneHole:
    diameter = Known(0.029, Origin.ASSUMED, key="hole.diameter", band=(0.024, 0.038))
    return PaneHole(across=0.225, up=0.235, diameter=diameter, flange=None)


def test_a_pane_that_fits_the_paper_is_drawn_whole_at_its_true_size() -> None:
    drawing = drill_sheet(_pane(), 8, "metric", paper="A2")
    pane = next(
        one for one in walk(drawing.parts) if isinstance(one, Rectangle) and one.width == pytest.approx(300.0)
    )
    flange, hole = _circles(drawing)
    assert pane.height == pytest.approx(300.0)
    assert (hole.radius, flange.radius) == pytest.approx((14.5, 22.5))
    assert hole.centre[0] - pane.x == pytest.approx(225.0)
    assert pane.y + pane.height - hole.centre[1] == pytest.approx(235.0)


def test_on_small_paper_the_corner_with_the_hole_is_true_and_the_pane_is_small() -> None:
    drawing = drill_sheet(_pane(), 8, "metric", paper="A4")
    hole = max(_circles(drawing), key=lambda one: one.look.stroke == "#14241f" and one.radius)
    assert hole.radius == pytest.approx(14.5)
    heavy = [one for one in walk(drawing.parts) if isinstance(one, Polyline) and one.look.width == 1.0]
    upright = [one for one in heavy if len(one.points) == 2 and one.points[0][0] == one.points[1][0]]
    level = [one for one in heavy if len(one.points) == 2 and one.points[0][1] == one.points[1][1]]
    assert upright[0].points[0][0] - hole.centre[0] == pytest.approx(75.0)  # its right edge, 75 to the right
    assert hole.centre[1] - level[0].points[0][1] == pytest.approx(65.0)  # its upper edge, 65 over it
    assert {"75", "65", "225", "235", "300"} <= set(_said(drawing))


def test_a_hole_far_from_every_end_is_true_all_the_same() -> None:
    hole = PaneHole(across=0.6, up=0.33, diameter=_known(0.029), flange=None)
    drawing = drill_sheet(_pane(width=1.2, height=0.4, hole=hole), 1, "metric")
    assert max(one.radius for one in _circles(drawing)) == pytest.approx(14.5)


def test_it_says_that_it_is_seen_from_outside_and_from_which_edges() -> None:
    text = " ".join(_said(drill_sheet(_pane(), 8, "metric")))
    assert "seen from OUTSIDE" in text
    assert (
        "the lower one (the tank's bottom) and the left one (the tank's right, named as from its front)"
        in text
    )
    assert "swapped against the front" in text


def test_a_diameter_nobody_measured_is_left_open() -> None:
    text = _said(drill_sheet(_pane(hole=_unmeasured()), 8, "metric"))
    assert any(
        "measure your fitting: body OD = ______" in one for one in text
    ) or "measure your fitting" in " ".join(text)
    assert not any("29" in one for one in text)
    dashed = [one for one in _circles(drill_sheet(_pane(hole=_unmeasured()), 8, "metric")) if one.look.dash]
    assert dashed


def test_a_place_nobody_said_is_not_shown_as_a_fact() -> None:
    hole = replace(_unmeasured(), guessed=True)
    assert "its place here is assumed" in " ".join(_said(drill_sheet(_pane(hole=hole), 8, "metric")))
    assert "assumed. Say it" not in " ".join(_said(drill_sheet(_pane(), 8, "metric")))


def test_a_toughened_pane_is_refused() -> None:
    assert DO_NOT_DRILL in _said(drill_sheet(_pane(toughened=True, temper="toughened"), 8, "metric"))
    assert DO_NOT_DRILL not in _said(drill_sheet(_pane(), 8, "metric"))


def test_glass_of_unknown_temper_is_to_be_made_sure_of() -> None:
    text = " ".join(_said(drill_sheet(_pane(temper="unknown"), 8, "metric")))
    assert "Is this pane toughened?" in text
    assert "I have made sure that this pane is annealed" in text


def test_it_says_that_stress_is_not_computed_and_how_near_is_near_enough() -> None:
    text = " ".join(_said(drill_sheet(_pane(), 8, "metric")))
    assert "stress in the glass at the hole is not computed here" in text
    assert "hole centre ±1 mm, diameter +1/−0 mm" in text


def test_tolerances_are_those_of_the_printed_table() -> None:
    rows = list(csv.DictReader(PUBLISHED.read_text("utf-8").splitlines()[1:]))
    medium = [(row["over"], row["up_to"], row["medium"]) for row in rows]
    assert medium == [("6", "30", "0.2"), ("30", "120", "0.3"), ("120", "400", "0.5"), ("400", "1000", "0.8")]
    for row in rows[1:3]:  # the distances of holes of usual tanks
        assert f"±{row['coarse']} mm from {row['over']} to {row['up_to']} mm" in TOLERANCE


def test_inches_come_with_their_millimetres() -> None:
    text = " ".join(_said(drill_sheet(_pane(), 8, "US", paper="Letter")))
    assert '⌀ 1 1/8" (29 mm)' in text
    assert '2 15/16" (75 mm)' in text


def test_a_pane_without_a_hole_has_no_drill_sheet() -> None:
    with pytest.raises(ValueError, match="no hole"):
        drill_sheet(_pane(hole=None), 8, "metric")
