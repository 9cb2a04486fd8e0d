"""Tables out of files: CSV of any country, workbooks, and what is none."""

from __future__ import annotations

import io
from datetime import datetime

import openpyxl
import pytest

from tankwright.finding import Finding
from tankwright.workspace.bringing.tables import Table, read_table


def table(content: bytes, **more: str) -> Table:
    read = read_table("people.csv", content, **more)
    assert isinstance(read, Table), read
    return read


def workbook(rows: list[list[object]], merge: str = "") -> bytes:
    book = openpyxl.Workbook()
    sheet = book.active
    for row in rows:
        sheet.append(row)
    if merge:
        sheet.merge_cells(merge)
    held = io.BytesIO()
    book.save(held)
    return held.getvalue()


@pytest.mark.parametrize("sign", [",", ";", "\t"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "cp1252"])
def test_any_sign_between_cells_and_any_usual_alphabet_is_read(sign: str, encoding: str) -> None:
    text = f"Tank{sign}Größe\r\nA3{sign}12\r\n\r\nB1{sign}7\r\n"
    read = table(text.encode(encoding))
    assert read.head == ("Tank", "Größe")
    assert read.rows == ((2, ("A3", "12")), (4, ("B1", "7")))


def test_a_title_over_the_table_is_no_head() -> None:
    assert table(b"My tests 2026\n\nDate,Tank,pH\n2026-08-02,A3,7.2\n").head == ("Date", "Tank", "pH")


def test_columns_of_one_name_and_of_none_are_told_apart() -> None:
    assert table(b"Tank,,pH,pH\nA3,x,7,8\n").head == ("Tank", "column 2", "pH", "pH (2)")


def test_short_rows_are_filled_and_long_ones_cut() -> None:
    assert table(b"Tank,pH\nA3\nB1,7,left over\n").rows == ((2, ("A3", "")), (3, ("B1", "7")))


def test_a_workbook_gives_its_dates_as_dates_and_whole_numbers_as_they_look() -> None:
    read = table(
        workbook(
            [["Date", "Tank", "n"], [datetime(2026, 8, 2), "A3", 7.0], [None, None, None], ["x", "B1", 7.5]]
        )
    )
    assert read.rows == ((2, (datetime(2026, 8, 2), "A3", "7")), (4, ("x", "B1", "7.5")))
    assert read.sheets == ("Sheet",)


def test_merged_cells_are_told_with_their_range() -> None:
    read = table(workbook([["Date", "Tank"], ["2026-08-02", "A3"], ["", "A4"]], merge="A2:A3"))
    assert [one.code for one in read.told] == ["TAKE-03"]
    assert read.told[0].found == "A2:A3"


@pytest.mark.parametrize(
    ("content", "code"),
    [
        (b"", "TAKE-01"),
        (b"Tank,pH\n", "TAKE-01"),
        (b"\x00\x01\x02\x03", "TAKE-01"),
        (b"PK\x03\x04 cut off", "TAKE-01"),
        (workbook([["Tank", "pH"], ["A3", 7]])[:900], "TAKE-01"),
        (bytes.fromhex("d0cf11e0a1b11ae1") + b"old", "TAKE-01"),
        (b"a,b\n" + b"1,2\n" * 250_001, "TAKE-02"),
    ],
)
def test_what_is_no_table_is_told_and_never_raises(content: bytes, code: str) -> None:
    read = read_table("people.csv", content)
    assert isinstance(read, Finding)
    assert read.code == code
    assert read.wanted


def test_a_sheet_there_is_none_of_is_told_with_those_there_are() -> None:
    read = read_table("w.xlsx", workbook([["Tank", "pH"], ["A3", 7]]), sheet="Fish")
    assert isinstance(read, Finding)
    assert read.wanted == "Sheet"
