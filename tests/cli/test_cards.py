"""`tankwright cards`: two files, one page each, with or without the faults."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from tankwright.cli.main import main

EXAMPLE = Path(__file__).parents[2] / "examples" / "garage.toml"


def test_it_writes_both_cards(tmp_path: Path) -> None:
    out = tmp_path / "cards"
    told = CliRunner().invoke(main, ["cards", str(EXAMPLE), "--no-faults", "--out", str(out)])
    assert told.exit_code == 0
    assert told.output == f"Wrote garage_door.html and garage_absence.html into {out}\n"
    door = (out / "garage_door.html").read_text("utf-8")
    assert "Garage fish room" in door
    assert "Not worked out yet: run tankwright faults PLAN" in door
    assert "garage.toml, 20" in door
    assert "While I am away" in (out / "garage_absence.html").read_text("utf-8")


def test_it_puts_its_files_beside_where_it_is_called(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    assert CliRunner().invoke(main, ["cards", str(EXAMPLE), "--no-faults"]).exit_code == 0
    assert {file.name for file in (tmp_path / "garage-cards").iterdir()} == {
        "garage_door.html", "garage_absence.html"
    }  # fmt: skip


def test_a_plan_with_mistakes_gets_no_card(tmp_path: Path) -> None:
    plan = tmp_path / "plan.toml"
    plan.write_text("this is no plan", "utf-8")
    told = CliRunner().invoke(main, ["cards", str(plan), "--out", str(tmp_path / "out")])
    assert told.exit_code == 2
    assert not (tmp_path / "out").exists()
