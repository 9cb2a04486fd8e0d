"""What a disk and other programs may do to a book: cut it off at any instant, be full, refuse, hold it, write too."""

from __future__ import annotations

import os
import shutil
import sqlite3
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import text

from tankwright.logbook.engine import reading
from tankwright.logbook.outcome import NoLogbookError
from tankwright.logbook.store import By, Logbook

from .books import ADA, Clock, after, begin, codes, done, follows, live, ph, said

CHILD = Path(__file__).with_name("kill_child.py")


@pytest.mark.parametrize(("what", "times"), [("writing", 40), ("upgrading", 25), ("backing up", 25)])
def test_killed_at_any_instant_nothing_confirmed_is_lost_and_nothing_is_half_written(
    what: str, times: int, tmp_path: Path
) -> None:
    told = subprocess.run(
        [sys.executable, str(CHILD), what, str(tmp_path), str(times)],
        capture_output=True,
        text=True,
        check=False,
    )
    assert told.returncode == 0, told.stderr


FULL = """
import resource, sys
from pathlib import Path
sys.path.insert(0, {here!r})
from tankwright.logbook.store import Logbook, Recorded, Refused
from tankwright.husbandry.records import Draft
from tankwright.logbook.store import By
from datetime import UTC, datetime
at = datetime(2026, 3, 1, tzinfo=UTC)
book = Logbook(Path({path!r}))
kept = book.count_events()
room = sum(one.stat().st_size for one in Path({path!r}).parent.iterdir()) + 60_000
resource.setrlimit(resource.RLIMIT_FSIZE, (room, resource.RLIM_INFINITY))
outcome = None
for turn in range(2000):
    outcome = book.record([Draft(kind="noted", happened=at, note="x" * 400)], By(who="Ada"))
    if isinstance(outcome, Refused):
        break
    kept += 1
assert isinstance(outcome, Refused), "the disk was never full"
assert [one.code for one in outcome.findings] == ["LOG-09"], outcome
assert book.count_events() == kept, "what is there can still be read"
again = book.record([Draft(kind="noted", happened=at, note="x" * 400)], By(who="Ada"))
backup = book.back_up()
resource.setrlimit(resource.RLIMIT_FSIZE, (resource.RLIM_INFINITY, resource.RLIM_INFINITY))
assert isinstance(again, Refused)
outcome = book.record([Draft(kind="noted", happened=at, note="room again")], By(who="Ada"))
assert isinstance(outcome, Recorded), outcome
assert outcome.events[0].serial == kept + 1
assert book.verify().broken is None
print(kept, [one.code for one in backup])
"""


def test_a_full_disk_refuses_in_words_loses_nothing_and_goes_on_when_there_is_room(
    tmp_path: Path, clock: Clock
) -> None:
    path = tmp_path / "logbook.sqlite"
    book = Logbook(path, now=clock)
    begin(book)
    live(book, 30)
    before = book.count_events()
    book.close()
    words = FULL.format(here=str(Path(__file__).parent), path=str(path))
    told = subprocess.run([sys.executable, "-c", words], capture_output=True, text=True, check=False)
    assert told.returncode == 0, told.stderr
    kept, said_of_backup = told.stdout.strip().split(" ", 1)
    assert int(kept) > before
    assert said_of_backup in {"[]", "['LOG-31']"}
    again = Logbook(path, now=clock)
    assert again.count_events() == int(kept) + 1
    follows(again)
    again.close()
    assert not [one.name for one in tmp_path.rglob("*.unfinished")]


@pytest.fixture
def other_rights() -> Iterator[Path]:
    """A folder whose rights count also for a test that root runs."""
    folder = Path(tempfile.mkdtemp(prefix="tankwright-"))
    me = os.geteuid()
    try:
        if me == 0:
            os.chown(folder, 65534, 65534)
            os.seteuid(65534)
        yield folder
    finally:
        os.seteuid(me)
        folder.chmod(0o755)
        shutil.rmtree(folder)


def test_a_book_in_a_folder_that_may_only_be_read_can_be_looked_at(other_rights: Path, clock: Clock) -> None:
    path = other_rights / "logbook.sqlite"
    book = Logbook(path, now=clock)
    begin(book)
    live(book, 20)
    before = said(book)
    book.close()
    path.chmod(0o444)
    other_rights.chmod(0o555)
    looked = Logbook(path, now=clock)
    assert looked.read_only
    assert [one.code for one in looked.findings] == ["LOG-12"]
    assert said(looked) == before
    assert codes(looked.record([ph("a", 7.0, after(1))], ADA)) == ["LOG-12"]
    assert codes(looked.void(looked.events()[0].id, ADA, reason="no")) == ["LOG-12"]
    assert looked.back_up() == ()
    looked.close()
    assert [one.name for one in other_rights.iterdir()] == ["logbook.sqlite"]


def test_no_book_is_made_in_a_folder_that_may_only_be_read(other_rights: Path) -> None:
    other_rights.chmod(0o555)
    with pytest.raises(NoLogbookError) as caught:
        Logbook(other_rights / "logbook.sqlite")
    assert caught.value.findings[0].code == "LOG-12"
    assert list(other_rights.iterdir()) == []


def test_an_older_book_that_may_only_be_read_is_not_shown_as_one_of_today(other_rights: Path) -> None:
    path = other_rights / "logbook.sqlite"
    old = sqlite3.connect(path)
    old.executescript((CHILD.parent / "older" / "0001.sql").read_text("utf-8"))
    old.close()
    path.chmod(0o444)
    other_rights.chmod(0o555)
    with pytest.raises(NoLogbookError) as caught:
        Logbook(path)
    assert caught.value.findings[0].code == "LOG-12"
    assert "0001" in caught.value.findings[0].text


def test_a_file_that_may_not_be_read_is_told(other_rights: Path) -> None:
    path = other_rights / "logbook.sqlite"
    Logbook(path).close()
    path.chmod(0o000)
    with pytest.raises(NoLogbookError) as caught:
        Logbook(path)
    assert caught.value.findings[0].code == "LOG-10"


def test_a_folder_that_is_not_there_is_told(tmp_path: Path) -> None:
    with pytest.raises(NoLogbookError) as caught:
        Logbook(tmp_path / "nowhere" / "logbook.sqlite")
    assert caught.value.findings[0].code == "LOG-12"


def test_a_folder_in_the_place_of_the_book_is_told(tmp_path: Path) -> None:
    (tmp_path / "logbook.sqlite").mkdir()
    with pytest.raises(NoLogbookError) as caught:
        Logbook(tmp_path / "logbook.sqlite")
    assert caught.value.findings[0].code == "LOG-10"


def test_a_book_another_program_holds_can_be_read_and_says_why_it_is_not_written(
    where: Path | str, clock: Clock
) -> None:
    book = Logbook(where, now=clock, patience=0.2)
    begin(book)
    before = said(book)
    other = Logbook(where, now=clock)
    with other.engine.connect() as holding:
        holding.execution_options(writes=True)
        with holding.begin():
            if holding.dialect.name == "postgresql":
                holding.execute(text("SELECT pg_advisory_xact_lock(1952542315)"))
            assert codes(book.record([ph("a", 7.0, after(1))], ADA)) == ["LOG-13"]
            assert said(book) == before
    done(book.record([ph("a", 7.0, after(1))], ADA))
    follows(book)
    other.close()
    book.close()


WRITER = """
import sys
from pathlib import Path
from datetime import UTC, datetime, timedelta
from tankwright.husbandry.facts import Tally, came, died
from tankwright.logbook.store import By, Logbook, Recorded
where, who, times = sys.argv[1], sys.argv[2], int(sys.argv[3])
book = Logbook(where if "://" in where else Path(where), patience=60)
at = datetime(2026, 4, 1, tzinfo=UTC)
for turn in range(times):
    at += timedelta(minutes=1)
    drafts = [came("born", "s", "a", Tally(number=2), at), died("s", "a", 1, at)]
    outcome = book.record(drafts, By(who=who, key=f"{who}{turn}"))
    assert isinstance(outcome, Recorded), outcome
    again = book.record([died("s", "a", 1, at)], By(who="both", key=f"both{turn}"))
    assert isinstance(again, Recorded), again
"""


def test_two_programs_may_write_at_once_and_what_both_send_is_kept_once(
    where: Path | str, clock: Clock
) -> None:
    book = Logbook(where, now=clock)
    begin(book)
    before = book.count_events()
    writers = [
        subprocess.Popen(
            [sys.executable, "-c", WRITER, str(where), who, "25"], stderr=subprocess.PIPE, text=True
        )
        for who in ("Ada", "Bo")
    ]
    for one in writers:
        _, told = one.communicate(timeout=300)
        assert one.returncode == 0, told
    assert book.count_events() == before + 2 * 25 * 2 + 25
    assert [one.held for one in book.holdings(stock="s", place="a")] == [20 + 2 * 25 - 25]
    follows(book)
    book.close()


def test_a_reader_sees_one_state_while_another_writes(book: Logbook, where: Path | str, clock: Clock) -> None:
    begin(book)
    other = Logbook(where, now=clock)
    with reading(book.engine) as connection:
        count = connection.execute(text("SELECT count(*) FROM event")).scalar()
        done(other.record([ph("a", 7.0, after(1))], By(who="Bo")))
        assert connection.execute(text("SELECT count(*) FROM event")).scalar() == count
    assert book.count_events() == count + 1
    other.close()


def test_what_is_confirmed_is_on_the_disk(file_book: Logbook) -> None:
    with file_book.engine.connect() as connection:
        assert (
            connection.execute(text("PRAGMA synchronous")).scalar() == 2
        )  # FULL: the log is synced at every commit
        assert connection.execute(text("PRAGMA journal_mode")).scalar() == "wal"
