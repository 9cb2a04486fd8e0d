"""`tankwright import` with a table of the owner's."""

from __future__ import annotations

import io
import shutil
from pathlib import Path

import openpyxl
import pytest

from tankwright.workspace.log import RoomLog

from .conftest import Run

CELLAR = Path(__file__).parents[2] / "examples" / "cellar.toml"
TESTS = "Date;Tank;pH;KH\n2026-03-04;A3;7,2;5\n2026-03-05;Z9;7;5\n2026-03-06;A4;soft;5\n"


@pytest.fixture
def room(tmp_path: Path) -> Path:
    shutil.copy(CELLAR, tmp_path / "room.toml")
    return tmp_path / "room.toml"


def read(room: Path) -> list[tuple[str, float | None]]:
    return [(one.quantity, one.value) for one in RoomLog(room).book.readings()]


def test_a_table_is_looked_at_first_and_recorded_then(run: Run, room: Path, tmp_path: Path) -> None:
    (tmp_path / "t.csv").write_text(TESTS, "utf-8")
    looked = run("import", "room.toml", "t.csv", "--preview")
    assert looked.exit_code == 1
    assert "1 of 3 rows understood, 1 to record" in looked.output
    assert "row 3 names a tank the room does not have; found: tank: Z9" in looked.output
    assert "row 4 has a ph that cannot be read; found: ph: soft" in looked.output
    assert read(room) == []
    assert run("import", "room.toml", "t.csv").exit_code == 1
    assert read(room) == [("ph", 7.2), ("kh", 5.0)]
    again = run("import", "room.toml", "t.csv")
    assert "Recorded: 0; there before: 1" in again.output
    assert len(read(room)) == 2


def test_what_was_guessed_wrong_is_said(run: Run, room: Path, tmp_path: Path) -> None:
    (tmp_path / "t.csv").write_text("A;B;C\n3/4/2026;A3;7\n", "utf-8")
    assert run("import", "room.toml", "t.csv").exit_code == 2
    told = run("import", "room.toml", "t.csv", "--column", "B=tank", "--column", "C=ph", "--column", "A=date",
               "--dates", "day first")  # fmt: skip
    assert (told.exit_code, read(room)) == (0, [("ph", 7.0)])


@pytest.mark.parametrize(
    ("column", "says"),
    [("Z=tank", 'no column is called "Z"; there are: A, B'), ("A=colour", 'a column cannot say "colour"')],
)
def test_a_column_there_is_none_of_is_told(
    run: Run, room: Path, tmp_path: Path, column: str, says: str
) -> None:
    (tmp_path / "t.csv").write_text("A;B\n2026-03-04;A3\n", "utf-8")
    refused = run("import", "room.toml", "t.csv", "--column", column)
    assert refused.exit_code == 2
    assert says in refused.output


def test_a_sheet_of_a_workbook_is_taken(run: Run, room: Path, tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    book.active.append(["Tank", "Species", "Count"])
    book.active.append(["A3", "Danio rerio", 12])
    book.create_sheet("Old").append(["a", "b"])
    held = io.BytesIO()
    book.save(held)
    (tmp_path / "t.xlsx").write_bytes(held.getvalue())
    assert run("import", "room.toml", "t.xlsx").exit_code == 0
    assert [one.held for one in RoomLog(room).book.holdings()] == [12]
    assert "Sheet, Old" in run("import", "room.toml", "t.xlsx", "--sheet", "New").output


@pytest.mark.parametrize("content", [b"", b"\x00\x01\x02", b"one line\n", b"PK\x03\x04 cut"])
def test_what_is_no_table_is_refused_and_nothing_written(
    run: Run, room: Path, tmp_path: Path, content: bytes
) -> None:
    (tmp_path / "t.csv").write_bytes(content)
    assert run("import", "room.toml", "t.csv").exit_code == 2
    assert not RoomLog(room).is_there or RoomLog(room).book.readings() == ()
