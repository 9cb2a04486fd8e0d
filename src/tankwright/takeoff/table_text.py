"""A table as CSV, the way spreadsheets write it: comma, semicolon or tab, decimal comma, byte order mark.

What a price list, a list of needs or any other table of the owner's has in common. Whoever reads one says what its
columns mean; here are the rows with their lines, and what is wrong with a file that is no table.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from typing import Final

LARGEST: Final = 1_000_000
LONGEST_CELL: Final = 300
WANTED: Final = "a table in CSV, saved as UTF-8 text"
_OTHER_FILES: Final = (
    (b"%PDF", "a PDF"), (b"PK\x03\x04", "a packed file, such as a spreadsheet"), (b"\x89PNG", "a picture"),
    (b"\xff\xd8\xff", "a picture"), (b"GIF8", "a picture"), (b"\xd0\xcf\x11\xe0", "an old spreadsheet"),
    (b"\x1f\x8b", "a packed file"), (b"<", "a web page or an XML file"), (b"{", "a JSON file"),
)  # fmt: skip
_CURRENCY: Final = re.compile(r"[A-Z]{3}|[€£$¥]")


@dataclass(frozen=True, slots=True, kw_only=True)
class NotATable:
    """What a file is instead of a table, or where it stops being one."""

    text: str
    wanted: str
    line: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One row: its cells by the name of their column, stripped, and how many cells stand beyond the columns."""

    line: int
    cells: Mapping[str, str]
    too_many: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """Column names in small letters, the rows, the sign between cells, and where reading stopped, if it did."""

    columns: tuple[str, ...]
    rows: tuple[Row, ...]
    sign: str
    line: int = 1
    broken: NotATable | None = None


def table_text(raw: bytes) -> str | NotATable:
    """The text of a table, or what the file is instead: by what it holds, not by what it is called.

    >>> table_text(b"\\xef\\xbb\\xbfa;b\\r\\n1;2"), table_text(b"%PDF-1.4").text
    ('a;b\\n1;2', 'is a PDF, not a table in CSV')
    """
    if len(raw) > LARGEST:
        return NotATable(text=f"is larger than {LARGEST // 1_000_000} MB", wanted=WANTED)
    known = next((what for start, what in _OTHER_FILES if raw.lstrip().startswith(start)), None)
    if known is None and b"\x00" in raw:
        known = "no text"
    if known is not None:
        return NotATable(text=f"is {known}, not a table in CSV", wanted=WANTED)
    try:
        return raw.decode("utf-8-sig").replace("\r\n", "\n").replace("\r", "\n")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        text = f"is not UTF-8: byte {raw[error.start]:#04x} is no letter of it"
        return NotATable(text=text, wanted=WANTED, line=line)


def read_table(text: str) -> Table:
    """The rows of a table; the first line that is not empty names the columns. Raises for nothing it holds.

    >>> table = read_table("Item;Price\\nelbow;1,20\\n")
    >>> table.columns, dict(table.rows[0].cells), table.rows[0].line
    (('item', 'price'), {'item': 'elbow', 'price': '1,20'}, 2)
    """
    first = text.lstrip("\n").split("\n", 1)[0]
    sign = max(",;\t", key=first.count)
    reader = csv.reader((line + "\n" for line in text.split("\n")), delimiter=sign, strict=True)
    columns: tuple[str, ...] = ()
    named = 1
    rows: list[Row] = []
    broken = None
    try:
        for cells in reader:
            if not any(cell.strip() for cell in cells):
                continue
            if not columns:
                columns, named = tuple(cell.strip().casefold() for cell in cells), reader.line_num
                continue
            stripped = {name: cell.strip() for name, cell in zip(columns, cells, strict=False)}
            rows.append(Row(line=reader.line_num, cells=stripped, too_many=max(0, len(cells) - len(columns))))
    except csv.Error as error:
        line = min(reader.line_num, text.rstrip("\n").count("\n") + 1)
        broken = NotATable(text=f"cannot be read: {error}", wanted="one row a line", line=line)
    return Table(columns=columns, rows=tuple(rows), sign=sign, line=named, broken=broken)


def read_amount(typed: str, sign: str) -> Decimal | None:
    """A finite number of a cell, with a decimal comma where the comma does not part the cells or can mean nothing
    else; None when it is none.

    >>> read_amount("1 234,50", ";"), read_amount("1,20", ","), read_amount("1,234", ","), read_amount("dear", ",")
    (Decimal('1234.50'), Decimal('1.20'), None, None)
    """
    number = re.sub(r"[ \u00a0\u202f]", "", typed)
    if sign != "," or re.fullmatch(r"-?\d+,\d{1,2}", number):
        number = number.replace(",", ".")
    if not number.isascii() or "_" in number:
        return None
    try:
        value = Decimal(number)
    except InvalidOperation:
        return None
    return value if value.is_finite() else None


def is_currency(text: str) -> bool:
    """Three capitals, or a sign.

    >>> is_currency("EUR"), is_currency("£"), is_currency("euro")
    (True, True, False)
    """
    return _CURRENCY.fullmatch(text) is not None
