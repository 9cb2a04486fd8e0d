"""Tables as data: numbers as numbers under a heading with their unit, texts never formulas, all of it read back."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from decimal import Decimal
from typing import Any, Final

import ezdxf
import openpyxl
import pytest
from ezdxf import recover
from hypothesis import given, settings
from hypothesis import strategies as st
from icalendar import Calendar

from tankwright.documents.book import data_files, tables_in
from tankwright.documents.data_files import csv_of, workbook_of
from tankwright.documents.model import Column, Measured, Table, columns
from tankwright.finding import Number

from .conftest import Made

Books = Callable[[str], Made]
EXAMPLES: Final = ("cellar_mended", "garage")
MIXED: Final = Table(
    title="Pieces", file="pieces",
    columns=(*columns("piece", "long", "flow", "count", "cost EUR", "bar", "sides"), Column(name="read", write=20.0)),
    rows=(
        ("=1+1", Number(0.9, "length"), Number(0.002, "flow"), 3, Decimal("3.50"), Measured((0.6045,)),
         Measured((1.2, 0.4)), None),
        ("@sum(A1)", Number(2.4, "length"), None, 4, None, Measured((2.0,)), None, None),
    ),
)  # fmt: skip


def lines_of(text: str) -> list[list[str]]:
    return list(csv.reader(io.StringIO(text)))


def cells_of(raw: bytes) -> dict[str, list[list[Any]]]:
    book = openpyxl.load_workbook(io.BytesIO(raw))
    return {sheet.title: [list(row) for row in sheet.iter_rows()] for sheet in book.worksheets}


def test_numbers_are_numbers_and_their_unit_stands_in_the_heading() -> None:
    heads, first, second = lines_of(csv_of(MIXED, "metric"))
    assert heads == ["piece", "long, m", "flow, L/min", "count", "cost EUR", "bar, mm", "sides"]
    assert first == ["'=1+1", "0.9", "120", "3", "3.5", "604.5", "1200 × 400 mm"]
    assert second == ["'@sum(A1)", "2.4", "", "4", "", "2000", ""]


def test_us_readers_have_their_own_units() -> None:
    heads, first, _ = lines_of(csv_of(MIXED, "US"))
    assert heads[5] == "bar, in"
    assert float(first[5]) == pytest.approx(0.6045 / 0.0254, rel=1e-6)


def test_a_workbook_holds_the_same_numbers_and_no_formula() -> None:
    (rows,) = cells_of(workbook_of([MIXED], "metric")).values()
    assert [cell.value for cell in rows[1]] == ["=1+1", 0.9, 120, 3, 3.5, 604.5, "1200 × 400 mm"]
    assert [cell.data_type for cell in rows[1]] == ["s", "n", "n", "n", "n", "n", "s"]
    assert all(cell.data_type != "f" for row in rows for cell in row)
    assert rows[2][2].value is None


def test_sheets_of_one_name_in_a_workbook_are_told_apart() -> None:
    tables = [Table(title="a/b*[c] " * 6, columns=columns("x"), rows=((1,),)) for _ in range(3)]
    names = list(cells_of(workbook_of(tables, "metric")))
    assert len(set(names)) == 3
    assert all(len(name) <= 31 for name in names)


@settings(max_examples=40, deadline=None)
@given(text=st.text(alphabet=st.characters(blacklist_categories=("Cs", "Cc")), max_size=30))
def test_any_text_comes_back_and_is_never_executed(text: str) -> None:
    table = Table(title="t", file="t", columns=columns("x", "y"), rows=((text, "end"),))
    read = lines_of(csv_of(table, "metric"))[1][0]
    assert read.removeprefix("'") == text.removeprefix("'")
    assert not read.startswith(("=", "+", "-", "@"))
    (rows,) = cells_of(workbook_of([table], "metric")).values()
    assert (rows[1][0].value or "") == text
    assert rows[1][0].data_type != "f"


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_table_of_a_book_is_a_file_of_its_own_that_can_be_read(name: str, book_of: Books) -> None:
    made = book_of(name)
    tables = tables_in(made.sheets)
    assert len({table.file for table in tables}) == len(tables) > 10
    files = data_files(made.book, made.sheets)
    sheets = cells_of(files["tables.xlsx"])
    assert len(sheets) == len(tables)
    for table in tables:
        lines = lines_of(files[f"tables/{table.file}.csv"].decode("utf-8"))
        assert len(lines) == len(table.rows) + 1
        assert len({len(line) for line in lines}) == 1, table.file
        for place, column in enumerate(lines[0]):
            if column.startswith("expected") or column in ("count", "buy", "needed"):
                for line in lines[1:]:
                    float(line[place])


@pytest.mark.parametrize("name", EXAMPLES)
def test_the_calendar_and_the_drawings_for_cad_can_be_read(name: str, book_of: Books) -> None:
    made = book_of(name)
    files = data_files(made.book, made.sheets)
    events = Calendar.from_ical(files["build.ics"].decode("utf-8")).walk("VEVENT")
    assert len(events) >= len(made.book.tasks) / 2
    for drawing in ("plan.dxf", "fronts.dxf", "drill.dxf"):
        document, audit = recover.read(io.BytesIO(files[drawing]))
        assert audit.errors == []
        assert isinstance(document, ezdxf.document.Drawing)
        assert any(one.dxftype() == "DIMENSION" for one in document.modelspace())
