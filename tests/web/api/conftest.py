"""What the tests of the API share."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from .caller import SMALL, Caller


@pytest.fixture
def plan(tmp_path: Path) -> Callable[[str], Path]:
    """A plan file with a text of the test's own."""

    def call(text: str) -> Path:
        path = tmp_path / "plan.toml"
        path.write_text(text, "utf-8")
        return path

    return call


@pytest.fixture
def small(plan: Callable[[str], Path]) -> Caller:
    """A program over the small room."""
    return Caller(plan(SMALL))
