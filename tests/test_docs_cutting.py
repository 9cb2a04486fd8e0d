"""The guide to cutting shows what the program says."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest
from click.testing import CliRunner

from tankwright.cli.main import main

GUIDE = Path(__file__).parent.parent / "docs" / "how-to" / "cut-pipe-and-timber.md"


def block(language: str) -> str:
    found = re.search(rf"^```{language}\n(.*?)^```", GUIDE.read_text("utf-8"), flags=re.MULTILINE | re.DOTALL)
    assert found is not None
    return found[1]


def test_the_run_that_is_shown_is_the_run_one_gets(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    Path("pieces.csv").write_text(block("csv"), "utf-8")
    typed = re.search(r"^tankwright cut .*", GUIDE.read_text("utf-8"), flags=re.MULTILINE)
    assert typed is not None
    told = CliRunner().invoke(main, shlex.split(typed[0])[1:])
    assert told.exit_code == 0
    assert told.output == block("text")
