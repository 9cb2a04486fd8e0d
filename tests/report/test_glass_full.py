"""Full checks of panes in JSON: the caution first, no number where nothing was solved, units in the key names."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from tankwright.report.glass import CAUTION
from tankwright.report.glass_full import json_full
from tankwright.systems.glass_full import full_check, map_of
from tankwright.systems.glass_places import surroundings
from tankwright.workspace.opened import open_plan

EXAMPLES = Path(__file__).parents[2] / "examples"


@pytest.fixture(scope="module")
def cube() -> Any:
    """The back pane of the smallest tank of an example, screened, and its room."""
    opened = open_plan(EXAMPLES / "cellar_mended.toml")
    assert opened.study is not None
    assert opened.study.glass is not None
    return opened.study.glass.of("cube30", "back")[0], opened.room


def test_a_pane_stands_with_its_quick_screening_and_what_its_supports_push_back(cube: Any) -> None:
    screen, _ = cube
    full = full_check(screen.case, screen.strengths, screen)
    told = json.loads(json.dumps(json_full((full,)), allow_nan=False))
    assert told["caution"] == CAUTION
    (pane,) = told["panes"]
    assert pane["worst_mpa"] == pytest.approx(full.worst / 1e6, abs=1e-4)
    assert pane["quick"]["worst_mpa"] == pytest.approx(screen.worst / 1e6, abs=1e-4)
    assert pane["holes"][0]["across_mm"] == 75.0
    assert pane["holes"][0]["down_mm"] == 65.0
    assert pane["engine"]["reaction_n"] == pytest.approx(pane["engine"]["load_n"], rel=1e-6)


def test_a_pane_that_was_not_solved_has_no_numbers_but_says_why(cube: Any) -> None:
    screen, _ = cube
    case = replace(screen.case, holes=(replace(screen.case.holes[0], y=screen.case.height),))
    full = full_check(case, screen.strengths)
    told = json.loads(json.dumps(json_full((full,)), allow_nan=False))["panes"][0]
    if full.solved:  # a hole that runs off its pane is left out of it
        assert told["holes"] == []
    else:
        assert told["status"]
        assert "worst_mpa" not in told


def test_a_map_says_of_each_place_why_the_hole_may_not_be_there(cube: Any) -> None:
    screen, room = cube
    made = map_of(screen.case, screen.strengths, surroundings(room, screen.case, 0), (), 0)
    told = json.loads(json.dumps(json_full((), (made,)), allow_nan=False))["maps"][0]
    assert told["diameter_mm"] == 29.0
    assert told["best"] is None
    assert len(told["spots"]) == len(made.spots) > 10
    assert all(spot["worst_mpa"] is None and "not worked out" in spot["kept_out"] for spot in told["spots"])
    assert told["spots"][0]["water_below_rim_mm"] is not None
