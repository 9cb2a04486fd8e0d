"""A book is opened: a new one, one of today, an older, a newer, and what is none."""

from __future__ import annotations

import sqlite3
import subprocess
import sys
import threading
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import text

from tankwright.logbook import migrations, opening
from tankwright.logbook.backups import backups_of
from tankwright.logbook.engine import engine_for, writing
from tankwright.logbook.outcome import NoLogbookError
from tankwright.logbook.schema import METADATA
from tankwright.logbook.store import Logbook
from tankwright.logbook.versions import HEAD, KNOWN

from .books import ADA, Clock, begin, codes, done, follows, live, ph, place, said

OLDER = Path(__file__).parent / "older"


def refused(where: Path | str) -> str:
    with pytest.raises(NoLogbookError) as caught:
        Logbook(where)
    (finding,) = caught.value.findings
    assert finding.found
    assert finding.wanted
    return finding.code


def test_the_steps_on_the_disk_are_the_versions_that_are_known() -> None:
    script = ScriptDirectory(str(Path(migrations.__file__).parent))
    assert tuple(step.revision for step in script.walk_revisions())[::-1] == KNOWN
    assert script.get_current_head() == HEAD


def test_the_steps_make_the_tables_the_program_reads(book: Logbook) -> None:
    with book.engine.connect() as connection:
        assert compare_metadata(MigrationContext.configure(connection), METADATA) == []


def test_a_book_is_still_there_when_it_is_opened_again(where: Path | str, clock: Clock) -> None:
    book = Logbook(where, now=clock)
    begin(book)
    before = said(book)
    book.close()
    again = Logbook(where, now=clock)
    assert said(again) == before
    follows(again)
    again.close()


@pytest.mark.parametrize("version", KNOWN[:-1])
def test_a_book_in_a_file_of_an_older_version_keeps_all_that_is_in_it(
    version: str, tmp_path: Path, clock: Clock
) -> None:
    path = tmp_path / "logbook.sqlite"
    with sqlite3.connect(path) as old:
        old.executescript((OLDER / f"{version}.sql").read_text("utf-8"))
        rows = {
            table: old.execute(f"SELECT count(*) FROM {table}").fetchone()[0] for table in ("event", "flow")
        }
        kept = old.execute("SELECT id, kind, happened, note, hash FROM event ORDER BY serial").fetchall()
        balances = old.execute("SELECT stock, place, held FROM balance WHERE held ORDER BY 1, 2").fetchall()
    old.close()
    book = Logbook(path, now=clock)
    with book.engine.connect() as now:
        for table, count in rows.items():
            assert now.execute(text(f"SELECT count(*) FROM {table}")).scalar() == count
        read = now.execute(
            text("SELECT id, kind, happened, note, hash FROM event ORDER BY serial")
        ).fetchall()
        assert [tuple(row) for row in read] == kept
    assert [(one.stock, one.place, one.held) for one in book.holdings(stock="s")] == [
        one for one in balances if one[0] == "s"
    ]
    follows(book)
    done(book.record([ph("a", 7.1, clock())], ADA))
    (backup,) = backups_of(path)
    assert backup.why.startswith(f"before-{version}")
    with sqlite3.connect(backup.path) as copy:
        assert copy.execute("SELECT version_num FROM alembic_version").fetchone() == (version,)
        assert copy.execute("SELECT count(*) FROM event").fetchone()[0] == rows["event"]
    copy.close()
    book.close()


@pytest.mark.parametrize("version", KNOWN[:-1])
def test_a_book_on_a_server_of_an_older_version_is_brought_up_to_date(version: str, database: str) -> None:
    engine = engine_for(database)
    with writing(engine) as connection:
        opening.migrate(connection, "", to=version)
    engine.dispose()
    book = Logbook(database)
    begin(book)
    follows(book)
    with book.engine.connect() as connection:
        assert compare_metadata(MigrationContext.configure(connection), METADATA) == []
    book.close()


def test_a_step_that_fails_leaves_the_older_book_as_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "logbook.sqlite"
    with sqlite3.connect(path) as old:
        old.executescript((OLDER / "0001.sql").read_text("utf-8"))
    old.close()

    def fails(*_: object) -> None:
        raise OSError("the disk is gone")

    monkeypatch.setattr("tankwright.logbook.rebuild.rebuild", fails)
    with pytest.raises(OSError, match="gone"):
        Logbook(path)
    monkeypatch.undo()
    with sqlite3.connect(path) as old:
        assert old.execute("SELECT version_num FROM alembic_version").fetchone() == ("0001",)
        assert "thing" not in {row[1] for row in old.execute("PRAGMA table_info(event)")}
    old.close()
    follows(Logbook(path))


def test_what_cannot_be_backed_up_is_not_brought_up_to_date(tmp_path: Path) -> None:
    path = tmp_path / "logbook.sqlite"
    with sqlite3.connect(path) as old:
        old.executescript((OLDER / "0001.sql").read_text("utf-8"))
    old.close()
    (tmp_path / "backups").write_text("in the way")
    assert refused(path) == "LOG-31"
    with sqlite3.connect(path) as old:
        assert old.execute("SELECT version_num FROM alembic_version").fetchone() == ("0001",)
    old.close()


def test_a_book_of_a_newer_program_is_left_as_it_is(tmp_path: Path) -> None:
    path = tmp_path / "logbook.sqlite"
    Logbook(path).close()
    with sqlite3.connect(path) as newer:
        newer.execute("UPDATE alembic_version SET version_num = '9001'")
    newer.close()
    before = path.read_bytes()
    assert refused(path) == "LOG-11"
    assert path.read_bytes() == before
    assert backups_of(path) == ()


def test_a_newer_book_on_a_server_is_left_as_it_is(database: str) -> None:
    book = Logbook(database)
    with book.engine.begin() as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = '9001'"))
    assert refused(database) == "LOG-11"
    assert codes(book.record([place("a")], ADA)) == ["LOG-11"]  # a program that had it open before
    book.close()


@pytest.mark.parametrize(
    "content", [b"title = 'a plan'\n", b"SQLite format 2\x00", b"\x00" * 5000, b"PK\x03\x04"]
)
def test_a_file_that_is_no_database_is_left_as_it_is(content: bytes, tmp_path: Path) -> None:
    path = tmp_path / "logbook.sqlite"
    path.write_bytes(content)
    assert refused(path) == "LOG-10"
    assert path.read_bytes() == content


def test_the_database_of_something_else_is_left_as_it_is(tmp_path: Path) -> None:
    path = tmp_path / "logbook.sqlite"
    with sqlite3.connect(path) as other:
        other.execute("CREATE TABLE songs (title TEXT)")
    other.close()
    before = path.read_bytes()
    assert refused(path) == "LOG-10"
    assert path.read_bytes() == before


def test_a_table_of_our_name_on_a_server_is_not_written_into(database: str) -> None:
    engine = engine_for(database)
    with engine.begin() as connection:
        connection.execute(text("CREATE TABLE event (what TEXT)"))
    engine.dispose()
    assert refused(database) == "LOG-10"


def test_a_database_whose_middle_was_overwritten_is_told_of_when_it_is_read(
    tmp_path: Path, clock: Clock
) -> None:
    path = tmp_path / "logbook.sqlite"
    book = Logbook(path, now=clock)
    begin(book)
    live(book, 60)
    book.close()
    size = path.stat().st_size
    with path.open("r+b") as file:
        file.seek(4096)
        file.write(b"\xff" * (size - 4096))
    with pytest.raises(NoLogbookError) as caught:
        Logbook(path).events()
    assert caught.value.findings[0].code == "LOG-10"


def test_a_server_that_does_not_answer_is_told(tmp_path: Path) -> None:
    assert refused(f"postgresql+psycopg://keeper@/room?host={tmp_path}") == "LOG-10"


@pytest.mark.parametrize(
    "address", ["nonsense", "postgresql+nothing://x/y", "oracle://x/y", "postgresql://x:y:z/"]
)
def test_an_address_that_is_none_is_told(address: str) -> None:
    assert refused(address) == "LOG-10"


def test_an_empty_file_is_a_book_that_was_never_begun(tmp_path: Path) -> None:
    path = tmp_path / "logbook.sqlite"
    path.touch()
    book = Logbook(path)
    begin(book)
    book.close()


@pytest.mark.parametrize("name", ["a b#c?d=e%20.sqlite", "quote'\".sqlite", "größe ☃.sqlite"])
def test_a_file_may_be_called_anything(name: str, tmp_path: Path, clock: Clock) -> None:
    book = Logbook(tmp_path / name, now=clock)
    begin(book)
    assert book.back_up() == ()
    assert (tmp_path / name).exists()
    book.close()


def test_many_may_make_the_same_book_at_once(where: Path | str, clock: Clock) -> None:
    outcomes: list[object] = []

    def opens() -> None:
        try:
            book = Logbook(where, now=clock)
            outcomes.append(book.count_events())
            book.close()
        except Exception as error:  # told below
            outcomes.append(error)

    threads = [threading.Thread(target=opens) for _ in range(6)]
    for one in threads:
        one.start()
    for one in threads:
        one.join()
    assert outcomes == [0] * 6


@pytest.mark.parametrize("words", ["check", "draw"])
def test_who_asks_for_no_book_loads_no_database(words: str) -> None:
    script = (
        f"import sys, importlib; importlib.import_module('tankwright.cli.{words}'); import tankwright.web.app; "
        "print([name for name in ('sqlalchemy', 'alembic', 'psycopg') if name in sys.modules])"
    )
    told = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert told.stdout.strip() == "[]"


def test_a_book_of_today_is_opened_without_the_steps(tmp_path: Path) -> None:
    path = tmp_path / "logbook.sqlite"
    Logbook(path).close()
    script = (
        "import sys; from pathlib import Path; from tankwright.logbook.store import Logbook; "
        f"Logbook(Path({str(path)!r})).close(); print('alembic' in sys.modules)"
    )
    told = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert told.stdout.strip() == "False"
