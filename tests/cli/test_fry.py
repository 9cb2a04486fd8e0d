"""Fry space from the command line."""

from __future__ import annotations

import json
import shutil
from datetime import UTC, datetime
from pathlib import Path

import pytest

from tankwright.workspace.demo_life import live_in
from tankwright.workspace.opened import lay_plan

from .conftest import Run

EXAMPLES = Path(__file__).parents[2] / "examples"


@pytest.fixture(scope="module")
def lived(tmp_path_factory: pytest.TempPathFactory) -> Path:
    plan = tmp_path_factory.mktemp("lived") / "cellar.toml"
    shutil.copy(EXAMPLES / "cellar.toml", plan)
    room = lay_plan(plan).room
    assert room is not None
    live_in(plan, room, datetime.now(UTC).replace(microsecond=0))
    return plan


def test_weeks_are_told_with_their_band_and_how_past_ones_did(run: Run, lived: Path) -> None:
    result = run("fry", str(lived), "--all")
    assert result.exit_code in {0, 1}
    assert "week of       tanks               too few in" in result.output
    assert "of 12 past weeks, each forecast 6 weeks before" in result.output
    assert "not what will come" in result.output
    assert "FRY-07" in result.output


def test_json_gives_the_same_twice(run: Run, lived: Path) -> None:
    first, second = (json.loads(run("fry", str(lived), "--json", "--past", "0").output) for _ in range(2))
    assert first["past"] is None
    assert len(first["weeks"]) == 13
    assert [week["tanks_middle"] for week in first["weeks"]] == [
        week["tanks_middle"] for week in second["weeks"]
    ]
    assert first["rates"]


def test_without_a_logbook_nothing_is_told_and_none_made(run: Run, tmp_path: Path) -> None:
    plan = tmp_path / "cellar.toml"
    shutil.copy(EXAMPLES / "cellar.toml", plan)
    result = run("fry", str(plan))
    assert result.exit_code == 2
    assert "has no logbook yet" in result.output
    assert [one.name for one in tmp_path.iterdir()] == ["cellar.toml"]
    assert run("fry", str(tmp_path / "none.toml")).exit_code == 2
