"""The invented life of the demo: it balances, has something for every page, and is never put over a real one."""

from __future__ import annotations

import shutil
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from tankwright.workspace.demo_life import live_in
from tankwright.workspace.log import RoomLog
from tankwright.workspace.opened import lay_plan

CELLAR = Path(__file__).parents[2] / "examples" / "cellar.toml"
LAST = datetime(2026, 8, 2, 20, 0, tzinfo=UTC)


@pytest.fixture(scope="module")
def plan(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("lived_in") / "cellar.toml"
    shutil.copy(CELLAR, path)
    room = lay_plan(path).room
    assert room is not None
    assert live_in(path, room, LAST) > 3000
    return path


def test_every_fish_of_it_is_somewhere(plan: Path) -> None:
    book = RoomLog(plan).book
    total = sum(one.quantity for one in book.moved())
    held = sum(one.quantity for one in book.moved(accounts=("held",)))
    corrected = sum(one.quantity for one in book.moved() if one.derived)
    assert (
        total == corrected
    )  # what was recorded sums to nothing; a count moves the held number by its opposite
    assert sum(one.held for one in book.holdings()) == held - corrected
    assert book.conflicts() == ()


def test_it_has_something_for_every_page(plan: Path) -> None:
    book = RoomLog(plan).book
    assert len(book.lines()) == 5
    assert {one.kind for one in book.stocks()} == {"brood", "group", "individual"}
    assert len(book.readings(quantities=("kh",))) > 300
    assert [one.label for one in book.tools()] == ["Green net"]
    assert {one.kind for one in book.events()} >= {
        "spawned",
        "born",
        "counted",
        "left",
        "treated",
        "incident",
        "paid",
    }


def test_a_life_that_is_there_stays(plan: Path) -> None:
    room = lay_plan(plan).room
    assert room is not None
    before = RoomLog(plan).book.count_events()
    assert live_in(plan, room, LAST + timedelta(days=1)) == 0
    assert RoomLog(plan).book.count_events() == before
