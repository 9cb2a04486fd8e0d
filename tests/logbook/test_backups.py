"""Backups: one a day, before every upgrade, looked over before they count, fourteen of a sort kept, put back."""

from __future__ import annotations

import sqlite3
from datetime import timedelta
from pathlib import Path

import pytest

from tankwright.logbook import backups
from tankwright.logbook.backups import KEPT, back_up_before, backups_of, look_at, restore
from tankwright.logbook.outcome import NoLogbookError
from tankwright.logbook.store import Logbook
from tankwright.logbook.versions import HEAD

from .books import ADA, Clock, after, begin, done, follows, live, ph, said


def test_the_first_asking_of_a_day_makes_a_backup_and_the_next_does_not(
    file_book: Logbook, clock: Clock
) -> None:
    begin(file_book)
    assert file_book.back_up() == ()
    done(file_book.record([ph("a", 7.0, after(1))], ADA))
    assert file_book.back_up() == ()
    assert file_book.path is not None
    (made,) = backups_of(file_book.path)
    assert (made.day, made.events, made.why) == (f"{clock.at:%Y-%m-%d}", 7, "")
    assert look_at(made.path) == (HEAD, 7)


def test_a_day_on_which_nothing_was_recorded_makes_no_backup(file_book: Logbook, clock: Clock) -> None:
    assert file_book.back_up() == ()
    begin(file_book)
    file_book.back_up()
    clock.at += timedelta(days=1)
    file_book.back_up()
    assert file_book.path is not None
    assert len(backups_of(file_book.path)) == 1
    done(file_book.record([ph("a", 7.0, after(1))], ADA))
    file_book.back_up()
    assert len(backups_of(file_book.path)) == 2


def test_fourteen_of_a_sort_are_kept_the_newest(file_book: Logbook, clock: Clock) -> None:
    begin(file_book)
    path = file_book.path
    assert path is not None
    for _ in range(KEPT + 6):
        clock.at += timedelta(days=1)
        done(file_book.record([ph("a", 7.0, after(1))], ADA))
        file_book.back_up()
    back_up_before(path, "0001", clock())
    found = backups_of(path)
    daily = [one for one in found if not one.why]
    assert len(daily) == KEPT
    assert daily[0].events == file_book.count_events()
    assert [one.why.startswith("before-0001") for one in found if one.why] == [True]
    names = {one.name for one in (path.parent / "backups").iterdir()}
    assert len(names) == KEPT + 1


def test_what_is_not_ours_in_the_folder_of_backups_is_left_alone(file_book: Logbook, clock: Clock) -> None:
    begin(file_book)
    path = file_book.path
    assert path is not None
    (path.parent / "backups").mkdir()
    mine = path.parent / "backups" / "logbook-of-last-summer.sqlite"
    mine.write_text("mine")
    for _ in range(KEPT + 2):
        clock.at += timedelta(days=1)
        done(file_book.record([ph("a", 7.0, after(1))], ADA))
        file_book.back_up()
    assert mine.read_text() == "mine"


def test_a_backup_is_whole_while_another_writes(file_book: Logbook, clock: Clock) -> None:
    begin(file_book)
    path = file_book.path
    assert path is not None
    other = Logbook(path, now=clock)
    with other.engine.connect() as holding:
        holding.execution_options(writes=True)
        with holding.begin():
            assert file_book.back_up() == ()
    (made,) = backups_of(path)
    assert look_at(made.path) == (HEAD, 7)
    other.close()


def test_a_backup_that_cannot_be_made_is_told_and_leaves_nothing(
    file_book: Logbook, monkeypatch: pytest.MonkeyPatch
) -> None:
    begin(file_book)
    path = file_book.path
    assert path is not None

    def full(_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(backups.os, "fsync", full)
    (finding,) = file_book.back_up()
    assert (finding.code, finding.severity.value) == ("LOG-31", "warning")
    assert "No space" in finding.found
    assert list((path.parent / "backups").iterdir()) == []


def test_a_backup_put_back_is_the_book_as_it_was_and_what_stood_is_kept(
    file_book: Logbook, clock: Clock
) -> None:
    begin(file_book)
    live(file_book, 15)
    path = file_book.path
    assert path is not None
    file_book.back_up()
    (backup,) = backups_of(path)
    before = said(file_book)
    live(file_book, 30, seed=2)
    later = file_book.count_events()
    events, kept = restore(backup.path, path, clock())  # with the book still open
    assert events == backup.events
    assert said(file_book) == before
    follows(file_book)
    assert kept is not None
    assert look_at(kept) == (HEAD, later)
    restore(kept, path, clock())
    assert file_book.count_events() == later
    follows(file_book)


@pytest.mark.parametrize("damage", ["header", "middle", "cut"])
def test_a_damaged_book_is_moved_aside_and_a_backup_put_in_its_place(
    damage: str, tmp_path: Path, clock: Clock
) -> None:
    path = tmp_path / "logbook.sqlite"
    book = Logbook(path, now=clock)
    begin(book)
    live(book, 40)
    book.back_up()
    before = said(book)
    book.close()
    content = path.read_bytes()
    broken = {
        "header": b"x" * 100 + content[100:],
        "middle": content[:4096] + b"\xff" * (len(content) - 4096),
        "cut": content[: len(content) // 2],
    }[damage]
    path.write_bytes(broken)
    (backup,) = backups_of(path)
    _, aside = restore(backup.path, path, clock())
    assert aside is not None
    assert aside.read_bytes() == broken
    again = Logbook(path, now=clock)
    assert said(again) == before
    follows(again)
    again.close()


def test_a_book_that_is_gone_is_made_from_a_backup(file_book: Logbook, tmp_path: Path, clock: Clock) -> None:
    begin(file_book)
    file_book.back_up()
    assert file_book.path is not None
    (backup,) = backups_of(file_book.path)
    events, aside = restore(backup.path, tmp_path / "new" / "logbook.sqlite", clock())
    assert (events, aside) == (7, None)
    again = Logbook(tmp_path / "new" / "logbook.sqlite")
    follows(again)
    with again.engine.connect() as connection:
        assert connection.exec_driver_sql("PRAGMA journal_mode").scalar() == "wal"
    again.close()


def test_what_is_no_backup_is_not_put_back(file_book: Logbook, tmp_path: Path, clock: Clock) -> None:
    begin(file_book)
    path = file_book.path
    assert path is not None
    before = said(file_book)
    newer = tmp_path / "newer.sqlite"
    restore(path, newer, clock())
    with sqlite3.connect(newer) as one:
        one.execute("UPDATE alembic_version SET version_num = '9001'")
    one.close()
    songs = tmp_path / "songs.sqlite"
    with sqlite3.connect(songs) as one:
        one.execute("CREATE TABLE songs (title TEXT)")
    one.close()
    (tmp_path / "text").write_text("no database")
    (tmp_path / "cut.sqlite").write_bytes(path.read_bytes()[:5000])
    for name in ("newer.sqlite", "songs.sqlite", "text", "cut.sqlite", "not there", "."):
        with pytest.raises(NoLogbookError) as caught:
            restore(tmp_path / name, path, clock())
        assert caught.value.findings[0].code == "LOG-34", name
    assert said(file_book) == before


def test_an_older_backup_is_brought_up_to_date_when_it_is_opened(tmp_path: Path, clock: Clock) -> None:
    old = tmp_path / "old.sqlite"
    with sqlite3.connect(old) as one:
        one.executescript((Path(__file__).parent / "older" / "0001.sql").read_text("utf-8"))
    one.close()
    path = tmp_path / "logbook.sqlite"
    restore(old, path, clock())
    book = Logbook(path, now=clock)
    follows(book)
    book.close()


def test_a_server_makes_no_backups_of_its_own(database: str) -> None:
    book = Logbook(database)
    begin(book)
    assert book.back_up() == ()
    book.close()
