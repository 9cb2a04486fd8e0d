"""What all tests share: the pace, and a cache of weather that is theirs and not the user's."""

from __future__ import annotations

import gc
from collections.abc import Iterator

import pytest
from hypothesis import settings

settings.register_profile(
    "unhurried", deadline=None
)  # a machine at work must not fail an example for its time
settings.load_profile("unhurried")


def pytest_configure(config: pytest.Config) -> None:
    """Look for garbage cycles seldom: what thousands of tests keep was looked through again and again."""
    gc.set_threshold(100_000, 20, 50)


@pytest.fixture(scope="session", autouse=True)
def _own_cache(tmp_path_factory: pytest.TempPathFactory, worker_id: str) -> Iterator[None]:
    """A year is read once for all workers of a run, and nothing is written into the user's own cache."""
    base = tmp_path_factory.getbasetemp()
    shared = base if worker_id == "master" else base.parent
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_CACHE_HOME", str(shared / "cache"))
        yield
