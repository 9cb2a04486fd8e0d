"""An invented room with a year of life, made once, and papers made of it."""

from __future__ import annotations

import atexit
import shutil
import tempfile
from collections.abc import Callable
from datetime import UTC, datetime
from functools import lru_cache
from pathlib import Path

import pytest

from tankwright.documents.model import Sheet
from tankwright.documents.papers.all import Made, make_paper, paper_of
from tankwright.documents.papers.asked import Asked, asked_for
from tankwright.documents.papers.source import PaperSource
from tankwright.workspace.demo_life import live_in
from tankwright.workspace.log import RoomLog
from tankwright.workspace.opened import Opened, open_plan

EXAMPLES = Path(__file__).parents[3] / "examples"
LAST = datetime(2027, 2, 1, 10, tzinfo=UTC)


class Lived:
    """The room: its plan, its logbook, and papers of it by what is said of them."""

    def __init__(self, plan: Path, opened: Opened) -> None:
        self.plan = plan
        self.opened = opened
        self.log = RoomLog(plan, now=lambda: LAST)

    def copied(self, folder: Path) -> Lived:
        """The same in another folder, to be written in."""
        self.log.book.close()
        shutil.copytree(self.plan.parent, folder, dirs_exist_ok=True)
        return Lived(folder / self.plan.name, self.opened)

    def source(self, what: str, **said: str) -> PaperSource:
        asked = asked_for(self.log.book, {"what": what, **said}, LAST)
        assert isinstance(asked, Asked), asked
        return PaperSource(
            self.log, asked, room=self.opened.room, study=self.opened.study, plan_name=self.plan.name,
            revision="plan 41", now=LAST,
        )  # fmt: skip

    def sheets(self, what: str, **said: str) -> tuple[Sheet, ...]:
        return paper_of(what).make(self.source(what, **said))

    def made(self, what: str, **said: str) -> Made:
        return made_once(what, tuple(sorted(said.items())))


@lru_cache(maxsize=1)
def room() -> Lived:
    folder = Path(tempfile.mkdtemp(prefix="tankwright-papers-"))
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    plan = Path(shutil.copy(EXAMPLES / "cellar.toml", folder))
    opened = open_plan(plan)
    assert opened.room is not None
    live_in(plan, opened.room, LAST)
    return Lived(plan, opened)


@lru_cache(maxsize=32)
def made_once(what: str, said: tuple[tuple[str, str], ...]) -> Made:
    return make_paper(room().source(what, **dict(said)))


@pytest.fixture(scope="session")
def lived() -> Callable[[], Lived]:
    return room
