"""`tankwright book`: the whole, one sheet, everything into a folder; and what is said when it cannot be."""

from __future__ import annotations

import errno
import os
from pathlib import Path
from typing import Final

import pytest

from tankwright.documents.entries import ENTRIES

from .conftest import Run

EXAMPLES: Final = Path(__file__).parent.parent.parent / "examples"
SMALL: Final = """
title = "Two tanks"
[room.shed]
size = { length = "3 m", width = "2 m", height = "2.2 m" }
[tank_kind.cube]
outside = ["30 cm", "30 cm", "30 cm"]
glass = { sides = "5 mm", base = "5 mm", temper = "annealed" }
hole = { pane = "back", diameter = "29 mm", from_left = "75 mm", below_rim = "65 mm" }
overflow = { elbow_reach = "30 mm", water_below_rim = "40 mm", bore = "16 mm" }
[rack_kind.low]
length = "100 cm"
depth = "40 cm"
shelves = ["60 cm"]
[[rack]]
id = "A"
kind = "low"
room = "shed"
wall = "north"
from_west = "50 cm"
shelf.1 = [{ kind = "cube", ids = "A1..A2" }]
"""


@pytest.fixture
def plan(tmp_path: Path) -> Path:
    place = tmp_path / "plan.toml"
    place.write_text(SMALL, "utf-8")
    return place


def leftovers(folder: Path) -> list[str]:
    return [one.name for one in folder.rglob("*") if one.name.endswith((".new", ".unfinished"))]


def test_a_sheet_alone_is_written_beside_the_plan(run: Run, plan: Path) -> None:
    result = run("book", "plan.toml", "--sheet", "drill")
    assert result.exit_code == 0
    assert result.output == "Wrote plan-drill.pdf\n"
    assert (plan.parent / "plan-drill.pdf").read_bytes().startswith(b"%PDF")


def test_the_list_names_every_sheet(run: Run, plan: Path) -> None:
    said = run("book", plan.name, "--list").output
    assert all(f"  {one.name:<12} {one.title}\n" in said for one in ENTRIES)


def test_everything_goes_into_one_folder(run: Run, plan: Path) -> None:
    result = run("book", plan.name, "--into", "out", "--date", "2027-02-01")
    assert result.exit_code == 0
    written = {str(one.relative_to(plan.parent / "out")) for one in (plan.parent / "out").rglob("*.*")}
    assert {
        "book.pdf",
        "drill.pdf",
        "labels.pdf",
        "tables.xlsx",
        "plan.dxf",
        "fronts.dxf",
        "drill.dxf",
    } <= written
    assert "tables/parts-by-shop.csv" in written
    assert leftovers(plan.parent) == []


def test_an_unknown_sheet_is_named_with_the_nearest_one(run: Run, plan: Path) -> None:
    result = run("book", plan.name, "--sheet", "dril")
    assert result.exit_code == 2
    assert 'There is no sheet "dril"; perhaps "drill". --list names them.' in result.output


def test_a_plan_with_mistakes_has_no_book_and_says_where_they_are(run: Run, plan: Path) -> None:
    plan.write_text(SMALL.replace('kind = "low"', 'kind = "lo"'), "utf-8")
    result = run("book", plan.name)
    assert result.exit_code == 2
    assert "lo" in result.output
    assert not (plan.parent / "plan-book.pdf").exists()


def test_a_plan_that_is_not_there_is_said(run: Run) -> None:
    result = run("book", "nowhere.toml")
    assert result.exit_code == 2
    assert "nowhere.toml" in result.output


def test_a_plan_without_tanks_has_a_book_of_cover_and_plan(run: Run, plan: Path) -> None:
    plan.write_text(SMALL[: SMALL.index("[tank_kind")], "utf-8")
    assert [line.split()[0] for line in run("book", plan.name, "--list").output.splitlines()] == [
        "cover",
        "plan",
    ]
    result = run("book", plan.name)
    assert result.exit_code == 0
    assert (plan.parent / "plan-book.pdf").exists()


def test_an_output_that_cannot_be_written_is_said_with_its_reason(run: Run, plan: Path) -> None:
    (plan.parent / "file").write_text("", "utf-8")
    one = run("book", plan.name, "--sheet", "drill", "--out", "file/book.pdf")
    assert one.exit_code == 2
    assert one.output.startswith("file/book.pdf could not be written: ")
    many = run("book", plan.name, "--sheet", "drill", "--into", "file")
    assert many.exit_code == 2
    assert many.output.startswith("file could not be written: ")


def _full(*_: object) -> None:
    raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


def test_on_a_full_disk_the_old_book_stays_whole(
    run: Run, plan: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    old = plan.parent / "plan-drill.pdf"
    old.write_bytes(b"the old one")
    monkeypatch.setattr(Path, "write_bytes", _full)
    result = run("book", plan.name, "--sheet", "drill")
    assert result.exit_code == 2
    assert result.output == "plan-drill.pdf could not be written: no space left on device\n"
    assert old.read_bytes() == b"the old one"
    assert leftovers(plan.parent) == []


def test_a_disk_that_fills_half_way_leaves_the_old_folder_as_it_was(
    run: Run, plan: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    out = plan.parent / "out"
    out.mkdir()
    (out / "book.pdf").write_bytes(b"the old one")
    written: list[str] = []
    whole = Path.write_bytes

    def some(self: Path, data: bytes) -> int:
        if len(written) == 3:
            whole(self, data[:10])
            _full()
        written.append(self.name)
        return whole(self, data)

    monkeypatch.setattr(Path, "write_bytes", some)
    result = run("book", plan.name, "--sheet", "drill", "--into", "out")
    assert result.exit_code == 2
    assert "out could not be written: no space left on device" in result.output
    assert len(written) == 3
    assert (out / "book.pdf").read_bytes() == b"the old one"
    assert [one.name for one in out.rglob("*") if one.is_file()] == ["book.pdf"]
