"""The first time a day that a room's book is asked for it is backed up; a folder that cannot be made is told."""

from __future__ import annotations

import threading
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from tankwright.husbandry.records import Draft
from tankwright.logbook.backups import backups_of
from tankwright.logbook.outcome import By, NoLogbookError
from tankwright.workspace.log import RoomLog


class Day:
    def __init__(self) -> None:
        self.at = datetime(2026, 8, 2, 7, tzinfo=UTC)

    def __call__(self) -> datetime:
        return self.at


def settle() -> None:
    for thread in threading.enumerate():
        if thread.name == "backup of the logbook":
            thread.join()


def test_each_day_on_which_the_book_is_asked_for_begins_with_a_backup(tmp_path: Path) -> None:
    day = Day()
    log = RoomLog(tmp_path / "plan.toml", now=day)
    for _ in range(3):
        for _ in range(3):
            log.book.record([Draft(kind="noted", happened=day.at, note="a day")], By(who="Ada"))
            settle()
        day.at += timedelta(days=1)
    assert [one.day for one in backups_of(log.path)] == [
        "2026-08-04",
        "2026-08-03",
    ]  # on the first nothing was there
    assert log.not_backed_up == ()
    log.book.close()


def test_a_backup_that_could_not_be_made_keeps_nobody_from_the_book(tmp_path: Path) -> None:
    day = Day()
    log = RoomLog(tmp_path / "plan.toml", now=day)
    log.book.record([Draft(kind="noted", happened=day.at, note="a day")], By(who="Ada"))
    settle()
    (log.folder / "backups").write_text("in the way")
    day.at += timedelta(days=1)
    assert log.book.count_events() == 1
    settle()
    assert [one.code for one in log.not_backed_up] == ["LOG-31"]
    log.book.close()


def test_a_folder_that_cannot_be_made_is_told(tmp_path: Path) -> None:
    (tmp_path / "plan.tankwright").write_text("in the way")
    log = RoomLog(tmp_path / "plan.toml")
    with pytest.raises(NoLogbookError):
        log.book  # noqa: B018 - it is opened by being asked for
