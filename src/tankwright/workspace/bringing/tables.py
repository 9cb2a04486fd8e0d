"""A table out of a CSV or XLSX file, each cell as text or date, each row with its number in the file."""

from __future__ import annotations

import csv
import io
import zipfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import Any, Final

from tankwright.finding import Finding, Severity
from tankwright.units import clip

NO_TABLE: Final = "TAKE-01"
TOO_LARGE: Final = "TAKE-02"
MERGED: Final = "TAKE-03"

MOST_ROWS: Final = 250_000
MOST_COLUMNS: Final = 80
MOST_BYTES: Final = 60_000_000
_UNPACKED: Final = 600_000_000  # what an XLSX file may come to; one made to burst comes to far more
_ENCODINGS: Final = ("utf-8-sig", "cp1252")

Cell = str | datetime
"""What a cell says: a text without blanks at its ends, or the moment of a cell that is a date."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """The first row that has words is the head; `rows` follow it, each with its number in the file, from 1.

    `sheets` are the names of all sheets of a workbook, `sheet` that which was read.
    """

    name: str
    head: tuple[str, ...]
    rows: tuple[tuple[int, tuple[Cell, ...]], ...]
    sheet: str = ""
    sheets: tuple[str, ...] = ()
    told: tuple[Finding, ...] = ()


def read_table(name: str, content: bytes, *, sheet: str = "") -> Table | Finding:
    """The table of a file, by what is in it rather than by what it is called.

    Merged cells are read as their first one, and told. Empty rows are left out.

    >>> table = read_table("tests.csv", b"Date;Tank;pH\\n2026-08-02;A3;7,2\\n")
    >>> table.head, table.rows
    (('Date', 'Tank', 'pH'), ((2, ('2026-08-02', 'A3', '7,2')),))
    """
    if len(content) > MOST_BYTES:
        return _fault(
            TOO_LARGE, name, f"is larger than {MOST_BYTES // 1_000_000} MB", wanted="a file in parts"
        )
    if content[:2] == b"PK":
        return _workbook(name, content, sheet)
    if content[:8] == bytes.fromhex("d0cf11e0a1b11ae1"):
        return _fault(
            NO_TABLE, name, "is a workbook of the old kind", wanted="the same saved as .xlsx or .csv"
        )
    return _text(name, content)


def _text(name: str, content: bytes) -> Table | Finding:
    text = None
    for encoding in _ENCODINGS:
        try:
            text = content.decode(encoding)
            break
        except UnicodeDecodeError:
            continue
    if text is None or "\x00" in text:
        return _fault(NO_TABLE, name, "is no text", wanted="a table as .csv or .xlsx")
    lines = text[:20_000].splitlines()[:30]
    delimiter = max(";\t,", key=lambda sign: sum(line.count(sign) for line in lines))
    try:
        rows = [
            (number, tuple(cell.strip() for cell in row))
            for number, row in enumerate(csv.reader(io.StringIO(text, newline=""), delimiter=delimiter), 1)
        ]
    except csv.Error as error:
        return _fault(
            NO_TABLE, name, f"cannot be read as a table: {error}", wanted="a table as .csv or .xlsx"
        )
    return _made(name, rows)


def _workbook(name: str, content: bytes, sheet: str) -> Table | Finding:
    import openpyxl  # noqa: PLC0415 - half a second, and most never bring a workbook
    from openpyxl.utils.exceptions import InvalidFileException  # noqa: PLC0415 - as above

    try:
        with zipfile.ZipFile(io.BytesIO(content)) as packed:
            if sum(one.file_size for one in packed.infolist()) > _UNPACKED:
                return _fault(TOO_LARGE, name, "comes to more than can be read", wanted="a file in parts")
        book = openpyxl.load_workbook(io.BytesIO(content), read_only=True, data_only=True)
    except (zipfile.BadZipFile, InvalidFileException, KeyError, ValueError, OSError, EOFError) as error:
        return _fault(
            NO_TABLE, name, f"cannot be read as a workbook: {clip(str(error))}", wanted="a whole .xlsx file"
        )
    sheets = tuple(one.title for one in book.worksheets)
    if sheet and sheet not in sheets:
        return _fault(NO_TABLE, name, f'has no sheet "{clip(sheet)}"', wanted=", ".join(sheets))
    if not sheets:
        return _fault(NO_TABLE, name, "has no sheet with cells", wanted="a table")
    chosen = book[sheet or sheets[0]]
    rows = [
        (number, tuple(_cell(cell) for cell in row[:MOST_COLUMNS]))
        for number, row in enumerate(chosen.iter_rows(max_row=MOST_ROWS + 10, values_only=True), 1)
    ]
    merged = _merged(content, chosen.title)
    told = (
        Finding(
            code=MERGED, severity=Severity.WARNING, subject=clip(name), found=", ".join(merged[:5]),
            text=f"has {len(merged)} merged cells; only the first cell of each holds its value",
            remedy="part them and write the value into every row it is of",
        ),
    ) if merged else ()  # fmt: skip
    return _made(name, rows, sheet=chosen.title, sheets=sheets, told=told)


def _merged(content: bytes, sheet: str) -> list[str]:
    """The ranges of merged cells of a sheet: read-only mode does not tell them, so its XML is asked."""
    from xml.etree import ElementTree  # noqa: PLC0415 - only for workbooks

    import openpyxl  # noqa: PLC0415 - loaded already

    book = openpyxl.load_workbook(io.BytesIO(content), read_only=True)
    path = str(getattr(book[sheet], "_worksheet_path", ""))
    if not path:
        return []
    found = []
    with zipfile.ZipFile(io.BytesIO(content)) as packed, packed.open(path) as part:
        for _, element in ElementTree.iterparse(part):
            if element.tag.endswith("}mergeCell"):
                found.append(element.get("ref", ""))
            elif element.tag.endswith("}row"):
                element.clear()
    return found


def _cell(value: Any) -> Cell:
    if value is None:
        return ""
    if isinstance(value, datetime):
        return value
    if isinstance(value, date):
        return datetime.combine(value, time())
    if isinstance(value, float) and value.is_integer() and abs(value) < 1e15:
        return str(int(value))
    return str(value).strip()


def _made(
    name: str, rows: Sequence[tuple[int, tuple[Cell, ...]]], *, sheet: str = "", sheets: tuple[str, ...] = (),
    told: tuple[Finding, ...] = (),
) -> Table | Finding:  # fmt: skip
    full = [(number, row) for number, row in rows if any(row)]
    if len(full) < 2:
        return _fault(NO_TABLE, name, "has no row under its head", wanted="a head and at least one row")
    if len(full) > MOST_ROWS:
        return _fault(TOO_LARGE, name, f"has more than {MOST_ROWS} rows", wanted="a file in parts")
    start = next((at for at, (_, row) in enumerate(full[:20]) if _is_head(row)), 0)
    head = full[start][1]
    width = max(at for at, cell in enumerate(head, 1) if cell)
    names = tuple(_head_name(cell, at) for at, cell in enumerate(head[:width], 1))
    return Table(
        name=clip(name), head=_told_apart(names), sheet=sheet, sheets=sheets, told=told,
        rows=tuple((number, _wide(row, width)) for number, row in full[start + 1 :]),
    )  # fmt: skip


def _is_head(row: tuple[Cell, ...]) -> bool:
    """A head has words in two cells at least, none of them a date: titles over a table have one."""
    words = [cell for cell in row if isinstance(cell, str) and any(sign.isalpha() for sign in cell)]
    return len(words) >= 2 and not any(isinstance(cell, datetime) for cell in row)


def _head_name(cell: Cell, at: int) -> str:
    return " ".join(str(cell).split()) if cell else f"column {at}"


def _told_apart(names: Sequence[str]) -> tuple[str, ...]:
    def made() -> Iterator[str]:
        seen: dict[str, int] = {}
        for name in names:
            seen[name] = seen.get(name, 0) + 1
            yield name if seen[name] == 1 else f"{name} ({seen[name]})"

    return tuple(made())


def _wide(row: tuple[Cell, ...], width: int) -> tuple[Cell, ...]:
    return (*row[:width], *([""] * (width - len(row))))


def _fault(code: str, name: str, text: str, *, wanted: str) -> Finding:
    return Finding(code=code, severity=Severity.PROBLEM, subject=clip(name), text=text, wanted=wanted)
