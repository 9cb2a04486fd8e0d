"""Tables as data: CSV in UTF-8, and one XLSX workbook with a sheet each. Quantities are numbers, their unit stands in
the heading."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from typing import Final

from tankwright.dimensions import DIMENSIONS
from tankwright.display import unit_steps, words
from tankwright.documents.model import Cell, Measured, Table, said
from tankwright.finding import Number
from tankwright.units import convert

_FORMULA: Final = ("=", "+", "-", "@", "\t", "\r")
_LONGEST_NAME: Final = 31  # of a sheet, by the format
_WIDEST: Final = 60

Plain = str | int | float | None


def csv_of(table: Table, display: str) -> str:
    """A table as CSV; a text that a spreadsheet would take for a formula is quoted by an apostrophe.

    >>> from tankwright.documents.model import columns
    >>> one = Table(title="", columns=columns("piece", "long"), rows=(("main 1", Number(0.9, "length")),))
    >>> csv_of(one, "metric")
    'piece,"long, cm"\\nmain 1,90\\n'
    """
    written = io.StringIO()
    writer = csv.writer(written, lineterminator="\n")
    heads, rows = _plain(table, display)
    writer.writerow(heads)
    for row in rows:
        writer.writerow([_harmless(cell) if isinstance(cell, str) else _short(cell) for cell in row])
    return written.getvalue()


def workbook_of(tables: Sequence[Table], display: str) -> bytes:
    """Tables as one XLSX workbook, the first row of each sheet kept in sight."""
    from openpyxl import Workbook  # noqa: PLC0415 - only whoever wants a workbook waits for it
    from openpyxl.styles import Font  # noqa: PLC0415 - as above
    from openpyxl.utils import get_column_letter  # noqa: PLC0415 - as above

    book = Workbook()
    book.remove(book.active)
    names: set[str] = set()
    for table in tables:
        sheet = book.create_sheet(_name(table.title or table.file, names))
        heads, rows = _plain(table, display)
        lines: list[list[Plain]] = [list(heads), *rows]
        for down, row in enumerate(lines, start=1):
            for across, value in enumerate(row, start=1):
                cell = sheet.cell(row=down, column=across)
                cell.value = value
                if isinstance(value, str):
                    cell.data_type = "s"  # never a formula, whatever it begins with
                if down == 1:
                    cell.font = Font(bold=True)
        for across in range(1, len(heads) + 1):
            longest = max((len(str(row[across - 1] or "")) for row in lines), default=8)
            sheet.column_dimensions[get_column_letter(across)].width = min(longest + 2, _WIDEST)
        sheet.freeze_panes = "A2"
    if not names:
        book.create_sheet("empty")
    kept = io.BytesIO()
    book.save(kept)
    return kept.getvalue()


def _plain(table: Table, display: str) -> tuple[list[str], list[list[Plain]]]:
    """Heads and rows as they are written; a column that is there to be written in by hand and says no unit is not."""
    kept = [
        place for place, column in enumerate(table.columns)
        if not column.write or any(row[place] is not None for row in table.rows)
    ]  # fmt: skip
    table = replace(
        table, columns=tuple(table.columns[place] for place in kept),
        rows=tuple(tuple(row[place] for place in kept) for row in table.rows),
    )  # fmt: skip
    heads: list[str] = []
    units: list[tuple[str, str] | None] = []
    for place, column in enumerate(table.columns):
        numbers = [row[place] for row in table.rows]
        unit = _unit(numbers, display)
        heads.append(column.name if unit is None or not unit[1] else f"{column.name}, {unit[1]}")
        units.append(unit)
    rows = [
        [_value(cell, unit, display) for cell, unit in zip(row, units, strict=True)] for row in table.rows
    ]
    return heads, rows


def _unit(cells: Sequence[Cell], display: str) -> tuple[str, str] | None:
    """The unit of a column and how it is written: that of its largest; None for kinds told in words."""
    if any(isinstance(one, Measured) and len(one.sides) == 1 for one in cells):
        return ("in", "in") if display == "US" else ("mm", "mm")
    numbers = [one for one in cells if isinstance(one, Number)]
    if not numbers:
        return None
    dimension = numbers[0].dimension
    steps = unit_steps(dimension, display)
    if not steps or any(one.dimension != dimension for one in numbers):
        return None
    largest = max(abs(one.value) for one in numbers)
    _, unit, label = next((step for step in steps if largest < step[0]), steps[-1])
    return unit, label


def _value(cell: Cell, unit: tuple[str, str] | None, display: str) -> Plain:
    if isinstance(cell, Measured):
        if len(cell.sides) > 1 or unit is None:
            return said(cell, display)
        return float(f"{convert(cell.sides[0], 'm', unit[0]):.7g}")
    if isinstance(cell, Decimal):
        return float(cell)
    if not isinstance(cell, Number):
        return float(f"{cell:.7g}") if isinstance(cell, float) else cell
    if unit is None or all(unit[0] != step[1] for step in unit_steps(cell.dimension, display)):
        return words(cell, display)  # of another kind than the rest of its column
    return float(f"{convert(cell.value, DIMENSIONS[cell.dimension].si_unit, unit[0]):.7g}")


def _short(value: Plain) -> Plain:
    return int(value) if isinstance(value, float) and value.is_integer() and abs(value) < 1e15 else value


def _harmless(text: str) -> str:
    return f"'{text}" if text.startswith(_FORMULA) else text


def _name(title: str, taken: set[str]) -> str:
    """A name a sheet may have, and has alone."""
    plain = re.sub(r"[\[\]:*?/\\']", " ", title).strip()[:_LONGEST_NAME] or "table"
    name, number = plain, 2
    while name.casefold() in taken:
        end = f" {number}"
        name, number = plain[: _LONGEST_NAME - len(end)] + end, number + 1
    taken.add(name.casefold())
    return name
