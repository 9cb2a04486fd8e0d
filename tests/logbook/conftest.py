"""Books to test: a new one in a file, and the same in a PostgreSQL server that the tests start themselves."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from tankwright.logbook.store import Logbook

from .books import Clock
from .servers import Server, running_server


@pytest.fixture(scope="session")
def server() -> Iterator[Server]:
    """One server for all tests of a worker, started for the first that asks."""
    with running_server() as running:
        yield running


@pytest.fixture
def database(server: Server) -> str:
    """The address of an empty database."""
    return server.new_database()


@pytest.fixture
def clock() -> Clock:
    """A clock that goes on by a second with every look."""
    return Clock()


@pytest.fixture(params=["sqlite", "postgresql"])
def where(request: pytest.FixtureRequest, tmp_path: Path) -> Path | str:
    """A place for a book that is not there yet, of either sort."""
    return tmp_path / "logbook.sqlite" if request.param == "sqlite" else request.getfixturevalue("database")


@pytest.fixture
def book(where: Path | str, clock: Clock) -> Iterator[Logbook]:
    """A new book, of either sort."""
    opened = Logbook(where, now=clock)
    yield opened
    opened.close()


@pytest.fixture
def file_book(tmp_path: Path, clock: Clock) -> Iterator[Logbook]:
    """A new book in a file."""
    opened = Logbook(tmp_path / "logbook.sqlite", now=clock)
    yield opened
    opened.close()
