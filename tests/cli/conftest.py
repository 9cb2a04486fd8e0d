"""The program called as a user calls it, in a folder of its own."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from tankwright.cli.main import main

Run = Callable[..., Result]


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Run:
    """Call tankwright with these words; anything but a plain exit code fails the test with its traceback.

    No fault is known of an earlier test: what `check` says hangs on those that are kept.
    """
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("tankwright.workspace.fault_store.cache_folder", lambda: tmp_path / ".cache")

    def call(*words: str, typed: str | None = None) -> Result:
        result = CliRunner().invoke(main, list(words), input=typed, prog_name="tankwright")
        if result.exception is not None and not isinstance(result.exception, SystemExit):
            raise result.exception
        assert "Traceback" not in result.output
        return result

    return call


@pytest.fixture
def check(run: Run, tmp_path: Path) -> Run:
    """Write a text as plan.toml and check it."""

    def call(text: str | bytes, *flags: str) -> Result:
        raw = text if isinstance(text, bytes) else text.encode("utf-8")
        (tmp_path / "plan.toml").write_bytes(raw)
        return run("check", "plan.toml", "--no-assumptions", *flags)

    return call
