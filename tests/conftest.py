"""What all tests share: nothing but the pace."""

from __future__ import annotations

import gc

import pytest
from hypothesis import settings

settings.register_profile(
    "unhurried", deadline=None
)  # a machine at work must not fail an example for its time
settings.load_profile("unhurried")


def pytest_configure(config: pytest.Config) -> None:
    """Look for garbage cycles seldom: what thousands of tests keep was looked through again and again."""
    gc.set_threshold(100_000, 20, 50)
