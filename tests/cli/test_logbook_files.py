"""`tankwright export`, `import` and `restore`: the logbook goes out, comes in, is put back."""

from __future__ import annotations

import csv
import shutil
import sqlite3
from datetime import UTC, datetime
from pathlib import Path

import pytest

from tankwright.husbandry.facts import Tally, came, died
from tankwright.husbandry.records import Draft
from tankwright.logbook.backups import backups_of
from tankwright.logbook.store import By, Logbook, Recorded

from .conftest import Run

AT = datetime(2026, 3, 1, tzinfo=UTC)
CELLAR = Path(__file__).parents[2] / "examples" / "cellar.toml"


@pytest.fixture
def room(tmp_path: Path) -> Path:
    """A plan with a small book beside it."""
    shutil.copy(CELLAR, tmp_path / "room.toml")
    book = opened(tmp_path / "room.toml")
    drafts = [
        Draft(kind="place_opened", happened=AT, place="p", details={"label": "A1", "kind": "tank"}),
        Draft(kind="stock_opened", happened=AT, stock="s", details={"label": "Reds", "kind": "group"}),
        came("arrived", "s", "p", Tally(number=9), AT),
    ]
    assert isinstance(book.record(drafts, By(who="Ada")), Recorded)
    book.close()
    return tmp_path / "room.toml"


def opened(plan: Path) -> Logbook:
    folder = plan.with_suffix(".tankwright")
    folder.mkdir(exist_ok=True)
    return Logbook(folder / "logbook.sqlite")


def more(plan: Path, number: int) -> None:
    book = opened(plan)
    assert isinstance(
        book.record([died("s", "p", number, AT.replace(day=2))], By(who="Ada"), checked=False), Recorded
    )
    book.close()


def held(plan: Path) -> list[int]:
    book = opened(plan)
    found = [one.held for one in book.holdings()]
    book.close()
    return found


def test_a_book_goes_out_and_into_another_plan(run: Run, room: Path, tmp_path: Path) -> None:
    out = run("export", "room.toml", "book.zip")
    assert out.exit_code == 0
    assert "Wrote 3 events and 0 pictures into book.zip" in out.output
    assert "sealed 3:" in out.output
    shutil.copy(CELLAR, tmp_path / "other.toml")
    preview = run("import", "other.toml", "book.zip", "--preview")
    assert (preview.exit_code, preview.output.strip()) == (
        0,
        "3 of 3 events would come in, 0 were there before",
    )
    taken = run("import", "other.toml", "book.zip")
    assert (taken.exit_code, taken.output.strip()) == (0, "3 of 3 events came in, 0 were there before")
    assert run("export", "other.toml", "again.zip").exit_code == 0
    assert (tmp_path / "again.zip").read_bytes() == (tmp_path / "book.zip").read_bytes()
    assert (
        run("import", "other.toml", "book.zip").output.strip() == "0 of 3 events came in, 3 were there before"
    )


def test_what_cannot_have_been_after_an_import_is_listed(run: Run, room: Path, tmp_path: Path) -> None:
    shutil.copy(CELLAR, tmp_path / "other.toml")
    run("export", "room.toml", "book.zip")
    run("import", "other.toml", "book.zip")
    more(room, 6)
    more(tmp_path / "other.toml", 5)
    run("export", "room.toml", "book.zip")
    taken = run("import", "other.toml", "book.zip")
    assert taken.exit_code == 1
    assert "Reds in A1: 2 more were taken than there were, from 2026-03-02 00:00 (UTC)" in taken.output


def test_the_tables_are_written(run: Run, room: Path, tmp_path: Path) -> None:
    assert run("export", "room.toml", "--csv", "tables").exit_code == 0
    with (tmp_path / "tables" / "balances.csv").open(encoding="utf-8", newline="") as table:
        assert [(row["stock name"], row["place name"], row["held"]) for row in csv.DictReader(table)] == [
            ("Reds", "A1", "9")
        ]
    assert not list((tmp_path / "tables").glob(".*"))


def test_a_seal_on_paper_is_compared(run: Run, room: Path) -> None:
    seal = run("export", "room.toml", "book.zip").output.split("sealed ")[1].strip()
    assert run("export", "room.toml", "--seal", seal).exit_code == 0
    wrong = run("export", "room.toml", "--seal", f"3:{'0' * 64}")
    assert wrong.exit_code == 1
    assert "LOG-32" in wrong.output
    for bad in ("3", ":", "x:y", "3:"):
        assert run("export", "room.toml", "--seal", bad).exit_code == 2


def test_a_book_that_was_changed_from_outside_still_goes_out_and_says_so(run: Run, room: Path) -> None:
    with sqlite3.connect(room.with_suffix(".tankwright") / "logbook.sqlite") as book:
        book.execute("DROP TRIGGER flow_no_update")
        book.execute("UPDATE flow SET quantity = quantity * 2")
    book.close()
    out = run("export", "room.toml", "book.zip")
    assert out.exit_code == 1
    assert "number 3" in out.output
    assert run("import", "room.toml", "book.zip").exit_code == 2


def test_nothing_else_is_written_over(run: Run, room: Path, tmp_path: Path) -> None:
    before = room.read_bytes()
    assert run("export", "room.toml", "room.toml").exit_code == 2
    assert room.read_bytes() == before
    assert run("export", "room.toml").exit_code == 2
    assert run("export", "room.toml", "nowhere/book.zip").exit_code == 2


@pytest.mark.parametrize(
    "words", [("export", "none.toml", "x.zip"), ("import", "none.toml", "x.zip"), ("restore", "none.toml")]
)
def test_a_plan_that_is_not_there_is_told(run: Run, words: tuple[str, ...], tmp_path: Path) -> None:
    outcome = run(*words)
    assert outcome.exit_code == 2
    assert "no such plan" in outcome.output
    assert list(tmp_path.iterdir()) == []


def test_a_plan_without_a_book_has_none_to_write(run: Run, tmp_path: Path) -> None:
    shutil.copy(CELLAR, tmp_path / "room.toml")
    outcome = run("export", "room.toml", "book.zip")
    assert outcome.exit_code == 2
    assert "nothing was recorded" in outcome.output
    assert [one.name for one in tmp_path.iterdir()] == ["room.toml"]
    assert "no backups" in run("restore", "room.toml").output


def test_an_export_cut_in_half_is_refused_and_the_book_stays(run: Run, room: Path, tmp_path: Path) -> None:
    run("export", "room.toml", "book.zip")
    content = (tmp_path / "book.zip").read_bytes()
    (tmp_path / "cut.zip").write_bytes(content[: len(content) // 2])
    outcome = run("import", "room.toml", "cut.zip")
    assert outcome.exit_code == 2
    assert "LOG-35" in outcome.output
    assert held(room) == [9]


def test_a_backup_is_put_back(run: Run, room: Path) -> None:
    book = opened(room)
    assert book.back_up() == ()
    path = book.path
    assert path is not None
    book.close()
    more(room, 4)
    listed = run("restore", "room.toml")
    (backup,) = backups_of(path)
    assert listed.output.strip() == f"{backup.path.name}  3 events"
    told = run("import", "room.toml", str(backup.path))
    assert told.exit_code == 2
    assert "tankwright restore" in told.output
    done = run("restore", "room.toml", backup.path.name)
    assert done.exit_code == 0
    assert "3 events" in done.output
    assert "before-restore" in done.output
    assert held(room) == [9]
    assert run("restore", "room.toml", "none.sqlite").exit_code == 2


def test_a_book_of_a_newer_program_is_told(run: Run, room: Path) -> None:
    with sqlite3.connect(room.with_suffix(".tankwright") / "logbook.sqlite") as book:
        book.execute("UPDATE alembic_version SET version_num = '9001'")
    book.close()
    outcome = run("export", "room.toml", "book.zip")
    assert outcome.exit_code == 2
    assert "9001" in outcome.output
    assert "LOG-11" in outcome.output
