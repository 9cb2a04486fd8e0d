"""The guide to the build book: what it shows is what the program says, and each command works."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest
from click.testing import CliRunner

from tankwright.cli.main import main

ROOT = Path(__file__).parent.parent
GUIDE = (ROOT / "docs" / "how-to" / "print-the-build-book.md").read_text("utf-8")
COMMANDS = re.findall(r"^tankwright book .*$", GUIDE, re.MULTILINE)


def run(command: str) -> str:
    result = CliRunner().invoke(main, shlex.split(command)[1:], prog_name="tankwright")
    assert result.exit_code == 0, result.output
    return result.output


def test_every_command_of_the_guide_runs_and_says_what_is_shown(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("tankwright.workspace.fault_store.cache_folder", lambda: tmp_path / ".cache")
    plan = (ROOT / "tests" / "plan" / "good_plan.toml").read_text("utf-8")
    (tmp_path / "plan.toml").write_text(plan, "utf-8")
    assert len(COMMANDS) == 5
    shown = re.findall(r"^```text\n(.*?)^```", GUIDE, re.DOTALL | re.MULTILINE)
    assert run(COMMANDS[0]) == shown[0]
    for command in COMMANDS[1:]:
        assert run(command).startswith("Wrote ")
    written = {one.name for one in tmp_path.rglob("*.*")}
    assert {
        "plan-book.pdf",
        "plan-drill.pdf",
        "plan-labels.pdf",
        "book.pdf",
        "tables.xlsx",
        "plan.dxf",
    } <= written
