"""Braces, edges, beds and further holes of a kind of tank: laid out, and said where they cannot be."""

from __future__ import annotations

import pytest

from tankwright.finding import Severity
from tankwright.origin import Origin
from tankwright.room.layout import LaidOut
from tankwright.room.model import Tank

from .conftest import Lay

PLAN = """
[tank_kind.long]
outside = ["90 cm", "40 cm", "40 cm"]
glass = {{ sides = "8 mm", base = "8 mm", temper = "annealed"{glass} }}
hole = {{ pane = "back", diameter = "30 mm", from_left = "{left}", below_rim = "{below}", flange = "45 mm" }}
{kind}

[rack_kind.two]
length = "130 cm"
depth = "40 cm"
shelves = ["30 cm", "90 cm"]
uprights_at = ["0 cm", "126 cm"]
upright_width = "40 mm"

[[rack]]
id = "A"
kind = "two"
room = "cellar"
wall = "north"
from_west = "20 cm"
shelf.1 = [{{ kind = "long", ids = "A1"{standing} }}]
"""
CROSS = 'top = "braced"\nbrace = { kind = "cross", width = "60 mm" }'


def laid(
    lay: Lay,
    kind: str = "",
    *,
    left: str = "10 cm",
    below: str = "70 mm",
    glass: str = "",
    standing: str = "",
) -> LaidOut:
    text = PLAN.format(kind=kind, left=left, below=below, glass=glass, standing=standing)
    return lay(text, with_kinds=False)


def tank(found: LaidOut) -> Tank:
    assert found.room is not None
    return found.room.tank("A1")


def codes(found: LaidOut) -> list[str]:
    return [one.code for one in found.findings if one.severity in (Severity.PROBLEM, Severity.WARNING)]


def test_nothing_said_of_brace_edges_and_bed_is_nothing_known(lay: Lay) -> None:
    one = tank(laid(lay))
    assert (one.brace, one.base_on, one.edges, one.more_holes) == (None, None, None, ())


def test_a_brace_edges_and_a_bed_are_laid_out_as_said(lay: Lay) -> None:
    found = laid(lay, CROSS + '\nbase_on = "bed"', glass=', edges = "seamed"')
    one = tank(found)
    assert codes(found) == []
    assert one.brace is not None
    assert (one.brace.kind, one.brace.count, one.brace.width.value) == ("cross", 1, pytest.approx(0.06))
    assert (one.base_on, one.edges) == ("bed", "seamed")


def test_a_strip_whose_thickness_is_not_said_is_as_thick_as_the_sides(lay: Lay) -> None:
    brace = tank(laid(lay, CROSS)).brace
    assert brace is not None
    assert brace.thickness.value == pytest.approx(0.008)
    assert "not said" in brace.thickness.reason
    own = tank(
        laid(lay, 'top = "braced"\nbrace = { kind = "euro", width = "6 cm", thickness = "10 mm" }')
    ).brace
    assert own is not None
    assert own.thickness.value == pytest.approx(0.010)
    assert own.thickness.origin is Origin.GIVEN


def test_a_brace_on_a_tank_that_is_not_braced_is_asked_about(lay: Lay) -> None:
    found = laid(lay, 'top = "open"\nbrace = { kind = "cross", width = "60 mm" }')
    assert codes(found) == ["LAYOUT-148"]
    assert tank(found).brace is not None


def test_further_holes_stand_where_they_are_drilled(lay: Lay) -> None:
    more = 'more_holes = [{ pane = "back", diameter = "20 mm", from_left = "70 cm", below_rim = "9 cm" }]'
    found = laid(lay, more)
    one = tank(found)
    assert codes(found) == []
    assert one.hole is not None
    (second,) = one.more_holes
    assert second.centre[2] == pytest.approx(0.30 + 0.40 - 0.09)
    assert abs(second.centre[0] - one.hole.centre[0]) == pytest.approx(0.60)
    assert dict(second.edge_distances)["left"] == pytest.approx(0.69)


def test_a_further_hole_turns_with_its_tank(lay: Lay) -> None:
    more = 'more_holes = [{ pane = "right", diameter = "20 mm", from_left = "10 cm", below_rim = "9 cm" }]'
    (hole,) = tank(laid(lay, more, standing=", end_on = true")).more_holes
    assert dict(hole.edge_distances)["front"] == pytest.approx(0.09)


def test_a_further_hole_without_a_place_is_left_out_and_said(lay: Lay) -> None:
    found = laid(lay, 'more_holes = [{ pane = "base", diameter = "20 mm", from_left = "70 cm" }]')
    assert codes(found) == ["LAYOUT-149"]
    assert "from_back" in next(one.remedy for one in found.findings if one.code == "LAYOUT-149")
    assert tank(found).more_holes == ()


def test_holes_that_run_into_each_other_are_said(lay: Lay) -> None:
    near = 'more_holes = [{ pane = "back", diameter = "30 mm", from_left = "12 cm", below_rim = "80 mm" }]'
    assert codes(laid(lay, near)) == ["LAYOUT-150"]
    far = 'more_holes = [{ pane = "back", diameter = "30 mm", from_left = "14 cm", below_rim = "80 mm" }]'
    assert codes(laid(lay, far)) == []
    other_pane = (
        'more_holes = [{ pane = "left", diameter = "30 mm", from_left = "10 cm", below_rim = "70 mm" }]'
    )
    assert codes(laid(lay, other_pane)) == []


def test_a_further_hole_off_its_pane_is_said(lay: Lay) -> None:
    off = 'more_holes = [{ pane = "back", diameter = "30 mm", from_left = "89 cm", below_rim = "80 mm" }]'
    assert codes(laid(lay, off)) == ["LAYOUT-111"]


def test_a_hole_through_the_brace_is_said(lay: Lay) -> None:
    assert codes(laid(lay, CROSS, left="45 cm", below="20 mm")) == ["LAYOUT-151"]
    assert codes(laid(lay, CROSS, left="20 cm", below="20 mm")) == []
    euro = 'top = "braced"\nbrace = { kind = "euro", width = "60 mm" }'
    assert codes(laid(lay, euro, left="20 cm", below="20 mm")) == ["LAYOUT-151"]
    assert codes(laid(lay, euro, left="20 cm", below="40 mm")) == []
