"""The book's sheets: which a plan has, in which order, what they say together and what they leave room for."""

from __future__ import annotations

import io
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pypdf
import pytest

from tankwright.documents.book import book_pdf, sheets_of, whole_pdf
from tankwright.documents.entries import ENTRIES, PARTS, entries
from tankwright.documents.model import Table
from tankwright.documents.source import Asked, Book
from tankwright.drawing.model import Drawing
from tankwright.workspace.opened import open_plan

from .conftest import EXAMPLES, Made

Books = Callable[[str], Made]


def table(made: Made, sheet: str, title: str) -> Table:
    return next(
        block for one in made.sheets if one.name == sheet for block in one.blocks
        if isinstance(block, Table) and block.title == title
    )  # fmt: skip


def test_names_of_sheets_are_one_each_and_every_part_has_some() -> None:
    assert len({one.name for one in ENTRIES}) == len(ENTRIES)
    assert [*dict.fromkeys(one.part for one in ENTRIES)] == list(PARTS)
    assert all(one.purpose for one in ENTRIES)


def test_the_contents_lead_to_every_sheet(book_of: Books) -> None:
    made = book_of("cellar_mended")
    reader = pypdf.PdfReader(io.BytesIO(made.pdf))
    first = reader.pages[0].extract_text()
    assert [one.title for one in reader.outline] == [sheet.title for sheet in made.sheets]
    assert all(sheet.title in first for sheet in made.sheets[1:])
    assert reader.metadata is not None
    assert reader.metadata.title == "Cellar fish room"


def test_parts_alike_stand_in_one_line_and_are_counted_the_same(book_of: Books) -> None:
    made = book_of("cellar_mended")
    (sheet,) = (one for one in made.sheets if one.name == "parts-by-place")
    short = [block for block in sheet.blocks if isinstance(block, Table)]
    assert sum(len(one.rows) for one in short) < sum(len(one.rows) for one in sheet.data) / 2
    for few, many in zip(short, sheet.data, strict=True):
        counts = [
            sum(row[[column.name for column in one.columns].index("count")] for row in one.rows)  # type: ignore[misc] # counts
            for one in (few, many)
        ]
        assert counts[0] == counts[1], few.title


def test_what_comes_before_a_task_is_told_by_its_number(book_of: Books) -> None:
    order = table(book_of("cellar_mended"), "build-order", "What is done in which order")
    for row in order.rows:
        before = str(row[8] or "").replace(" to ", ", ").split(", ")
        assert all(int(one) < int(str(row[0])) for one in before if one), row


def test_test_points_are_told_in_the_unit_they_are_read_in_with_room_to_write(book_of: Books) -> None:
    made = book_of("cellar_mended")
    drip = next(
        block for one in made.sheets if one.name == "test-sheets" for block in one.blocks
        if isinstance(block, Table) and block.title.endswith(": drip")
    )  # fmt: skip
    assert drip.columns[2].name == "expected, mL/min"
    assert [column.name for column in drip.columns if column.write] == ["read", "ok"]
    value = drip.rows[0][2]
    assert isinstance(value, float)
    assert 5.0 < value < 500.0


def test_drill_sheets_are_drawn_at_true_scale(book_of: Books) -> None:
    (sheet,) = (one for one in book_of("cellar_mended").sheets if one.name == "drill")
    assert all(isinstance(block, Drawing) and block.scale == 1.0 for block in sheet.blocks)


def test_the_basket_has_a_sheet_where_there_are_price_lists_alone(book_of: Books) -> None:
    assert all(sheet.name != "basket" for sheet in book_of("cellar_mended").sheets)


def test_sheets_are_made_when_asked_for_alone_and_counted(tmp_path: Path) -> None:
    book = Book(open_plan(EXAMPLES / "cellar_mended.toml"), Asked(today=date(2027, 2, 1), revision="plan 1"))
    told: list[tuple[int, int]] = []
    pdf = book_pdf(book, ("plan", "valves"), lambda done, of: told.append((done, of)))
    assert len(pypdf.PdfReader(io.BytesIO(pdf)).pages) == 3
    assert told[0][0] == 0
    assert told[-1][0] == told[-1][1]
    assert "worked" not in vars(book)


def test_work_that_is_stopped_stops_between_two_sheets() -> None:
    book = Book(open_plan(EXAMPLES / "cellar_mended.toml"), Asked(today=date(2027, 2, 1), revision="plan 1"))

    def stop(done: int, _of: int) -> None:
        if done == 2:
            raise InterruptedError

    with pytest.raises(InterruptedError):
        sheets_of(book, (), stop)


def test_a_room_without_tanks_has_cover_and_plan(tmp_path: Path) -> None:
    plan = tmp_path / "p.toml"
    plan.write_text(
        'title = "<b>#$*"\n[room.shed]\nsize = { length = "3 m", width = "2 m", height = "2.2 m" }\n'
    )
    book = Book(open_plan(plan), Asked(today=date(2027, 2, 1), revision="as it stands"))
    assert [one.name for one in entries(book.room)] == ["cover", "plan"]
    pdf = whole_pdf(book, sheets_of(book))
    assert "<b>#$*" in pypdf.PdfReader(io.BytesIO(pdf)).pages[0].extract_text()


def test_a_plan_that_was_not_worked_out_has_no_book(tmp_path: Path) -> None:
    plan = tmp_path / "p.toml"
    plan.write_text("room = 3")
    with pytest.raises(ValueError, match="has no book"):
        Book(open_plan(plan), Asked(today=date(2027, 2, 1), revision=""))
