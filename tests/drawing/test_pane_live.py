"""The pane whose hole is taken by hand: seen from outside, its measures where the plan says them, its handle true."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from tankwright.drawing.pane_live import (
    WIDTH,
    Cell,
    LiveHole,
    LivePane,
    draw_live_pane,
    measured_down,
    measured_from,
    said_pane,
)

HOLE = LiveHole(across=0.1, down=0.06, diameter=0.03, flange=0.045)
PANE = LivePane(
    kind="long", pane="right", width=0.6, height=0.3, water=0.04, cells=(), held=HOLE, worst_at=(0.3, 0.0)
)


def attribute(svg: str, name: str) -> str:
    found = re.search(rf'{name}="([^"]*)"', svg)
    assert found, name
    return found[1]


def numbers(svg: str, name: str) -> list[float]:
    return [float(one) for one in attribute(svg, name).split()]


def test_the_handle_carries_what_a_script_needs_to_move_it() -> None:
    svg = draw_live_pane(PANE, "metric", movable=True)
    scale = float(attribute(svg, "data-scale"))
    left, top, width, height = numbers(svg, "data-edges")
    assert width == pytest.approx(0.6 * scale, abs=0.01)
    assert height == pytest.approx(0.3 * scale, abs=0.01)
    assert left + width / 2 == pytest.approx(WIDTH / 2, abs=0.01)
    assert numbers(svg, "data-room") == pytest.approx([0.015, 0.585, 0.015, 0.285])
    assert numbers(svg, "data-place") == pytest.approx([0.1, 0.06])
    assert numbers(svg, "data-ways") == [1, 1]
    assert top > 0
    assert 'role="group"' in svg, "what holds a handle is no mere picture"
    assert "arrow keys; 10 cm from the front, 60 mm below the rim" in svg


def centre_of_the_hole(svg: str) -> tuple[float, float]:
    """The centre of the circle the handle is taken by."""
    found = re.search(r'class="target"[^>]*><circle cx="([\d.]+)" cy="([\d.]+)"', svg)
    assert found
    return float(found[1]), float(found[2])


def test_from_outside_the_back_and_the_left_end_are_mirrored_and_the_base_lies_on_its_back_edge() -> None:
    places = {}
    for pane in ("back", "left", "right", "base"):
        svg = draw_live_pane(replace(PANE, pane=pane), "metric", movable=True)
        left, top, width, height = numbers(svg, "data-edges")
        x, y = centre_of_the_hole(svg)
        places[pane] = (round((x - left) / width, 3), round((y - top) / height, 3))
        ways = numbers(svg, "data-ways")
        assert ways == [-1 if pane in ("back", "left") else 1, -1 if pane == "base" else 1]
    assert places["right"] == (0.167, 0.2)
    assert places["back"] == places["left"] == (0.833, 0.2)
    assert places["base"] == (0.167, 0.8)


def test_who_may_not_edit_gets_no_handle() -> None:
    svg = draw_live_pane(PANE, "metric", movable=False)
    assert "tabindex" not in svg
    assert 'role="img"' in svg


def test_a_place_that_is_tried_shows_the_one_of_the_plan_behind_it() -> None:
    tried = replace(PANE, tried=replace(HOLE, across=0.3))
    svg = draw_live_pane(tried, "metric", movable=True)
    assert "was-there" in svg
    assert numbers(svg, "data-place") == pytest.approx([0.1, 0.06]), "what stands in the plan"
    assert attribute(svg, "data-across") == "0.30000"
    assert "30 cm" in svg


def test_measures_are_told_in_the_readers_units() -> None:
    assert ">10 cm<" in draw_live_pane(PANE, "metric", movable=True)
    assert " in<" in draw_live_pane(PANE, "US", movable=True)


def test_cells_have_the_colour_of_their_use_and_hatching_where_the_hole_may_not_be() -> None:
    cells = (
        Cell(across=(0.0, 0.3), down=(0.0, 0.3), use=0.3, kept_out=True),
        Cell(across=(0.3, 0.6), down=(0.0, 0.3), use=1.1),
        Cell(across=(0.0, 0.1), down=(0.0, 0.1), use=None),
    )
    svg = draw_live_pane(replace(PANE, cells=cells), "metric", movable=True)
    assert "var(--d-use-2)" in svg
    assert "var(--d-use-6)" in svg
    assert "pane-hatch" in svg


def test_nothing_lies_outside_the_page_at_any_shape_of_pane() -> None:
    for width, height in ((0.3, 0.3), (2.4, 0.3), (0.2, 0.8), (0.6, 0.32)):
        pane = replace(
            PANE, width=width, height=height, held=replace(HOLE, across=width / 2, down=height / 3)
        )
        svg = draw_live_pane(pane, "metric", movable=True)
        page = numbers(svg, "viewBox")
        for tag, along, across in re.findall(r'<(circle|text) c?x="([\d.-]+)" c?y="([\d.-]+)"', svg):
            assert 0 <= float(along) <= page[2], tag
            assert 0 <= float(across) <= page[3], tag


def test_a_kind_with_signs_of_markup_stays_text() -> None:
    svg = draw_live_pane(replace(PANE, kind='<b data-hit>"'), "metric", movable=True)
    assert "<b data-hit" not in svg


def test_panes_and_their_measures_have_words() -> None:
    assert [said_pane(pane) for pane in ("front", "left", "base")] == ["front pane", "left end", "base"]
    assert [measured_from(pane) for pane in ("back", "base", "left")] == ["left", "left", "front"]
    assert [measured_down(pane) for pane in ("back", "base")] == ["below the rim", "from the back"]
