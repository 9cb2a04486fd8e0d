"""What is to be cut, and from what, as an owner writes it: a table of pieces in CSV, a stock such as "4 m@8.20".

Every mistake is told, each with its line; nothing is raised for what is written.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from tankwright.finding import Finding, Severity
from tankwright.takeoff.cutting_mistakes import LONGEST, MOST_PIECES
from tankwright.takeoff.cutting_model import Piece, Stock, on_grid
from tankwright.takeoff.table_text import LONGEST_CELL, NotATable, Row, read_amount, read_table, table_text
from tankwright.units import Metre, QuantityError, clip, parse_quantity

_NAMES: Final[Mapping[str, str]] = {
    "length": "length", "len": "length", "cut": "length", "size": "length",
    "count": "count", "qty": "count", "quantity": "count", "number": "count", "pieces": "count", "times": "count",
    "label": "label", "mark": "label", "name": "label",
}  # fmt: skip
"""What a column may be called, and what it is."""

_WANTED_LENGTH: Final = 'a length over 0 with its unit: "90 cm", "0.9 m" or "3 ft 2 1/2 in"'
_WANTED_COUNT: Final = "how many, a whole number from 1 up"
_WANTED_COLUMNS: Final = "the columns length, count and, if wanted, label"
_WANTED_STOCK: Final = 'a length, with its price if prices are known: "6 m" or "4 m@8.20"'
_WANTED_OFFCUT: Final = 'a length on hand, and how often it is there: "1.2 m" or "1.2 m x 3"'
_MOST_MISTAKES: Final = 100


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadPieces:
    """The pieces of a table and what is wrong with it. `unit` is the one that most lengths are written in."""

    pieces: tuple[Piece, ...] = ()
    unit: str = ""
    findings: tuple[Finding, ...] = ()


def read_pieces(raw: bytes, file_name: str) -> ReadPieces:
    """Read a table of pieces: columns length, count and label, parted by comma, semicolon or tab.

    The first line may name the columns, in any order; without it they are length, count, label. Without a count a
    piece is cut once.

    >>> read_pieces(b"label;length;count\\nmain;1,2 m;3", "pieces.csv").pieces
    (Piece(length=1.2, count=3, label='main', line=2),)
    """
    text = table_text(raw)
    if isinstance(text, NotATable):
        return ReadPieces(
            findings=(_told("CUT-02", file_name, text.text, wanted=text.wanted, line=text.line),)
        )
    first = next((line for line in text.split("\n") if line.strip()), "")
    sign = max(",;\t", key=first.count)
    cells = [cell.strip().strip('"').casefold() for cell in first.split(sign)]
    above = 0
    if not any(cell in _NAMES for cell in cells):
        text, above = sign.join(("length", "count", "label")) + "\n" + text, 1
    table = read_table(text)
    reader = _Reader(file_name, above, table.sign, {name: _NAMES.get(name, "") for name in table.columns})
    reader.look_at_columns(table.columns, table.line)
    for row in table.rows:
        if len(reader.findings) >= _MOST_MISTAKES:
            reader.add("CUT-02", "has more mistakes; these are the first", None)
            break
        reader.read(row)
    if table.broken is not None:
        reader.add("CUT-02", table.broken.text, table.broken.line, wanted=table.broken.wanted)
    if not table.rows and not reader.findings:
        reader.add("CUT-02", "holds no pieces", None, wanted=_WANTED_COLUMNS, attempt='"1.2 m, 4, main"')
    unit = max(reader.units, key=lambda one: reader.units[one], default="")
    return ReadPieces(pieces=tuple(reader.pieces), unit=unit, findings=tuple(reader.findings))


class _Reader:
    def __init__(self, file_name: str, above: int, sign: str, meaning: dict[str, str]) -> None:
        self.file_name, self.above, self.sign, self.meaning = file_name, above, sign, meaning
        self.pieces: list[Piece] = []
        self.units: dict[str, int] = {}
        self.findings: list[Finding] = []

    def add(
        self, code: str, text: str, line: int | None, *, found: str = "", wanted: str = "", attempt: str = ""
    ) -> None:
        line = None if line is None else max(line - self.above, 1)
        self.findings.append(
            _told(code, self.file_name, text, line=line, found=found, wanted=wanted, attempt=attempt)
        )

    def look_at_columns(self, columns: tuple[str, ...], line: int) -> None:
        meant = [self.meaning[name] for name in columns]
        if columns and "length" not in meant:
            self.add(
                "CUT-09", "has no column of lengths", line, found=", ".join(columns), wanted=_WANTED_COLUMNS
            )
        for what in ("length", "count", "label"):
            if meant.count(what) > 1:
                self.add("CUT-09", f"has two columns that could be the {what}", line, wanted=_WANTED_COLUMNS)
        unknown = [clip(name, 30) for name in columns if name and not self.meaning[name]]
        if unknown:
            text = f"has a column that is not read: {', '.join(unknown)}"
            self.findings.append(
                _told(
                    "CUT-09", self.file_name, text, severity=Severity.NOTE, line=line, wanted=_WANTED_COLUMNS
                )
            )

    def read(self, row: Row) -> None:
        cells = {self.meaning[name]: cell for name, cell in row.cells.items() if self.meaning[name]}
        if row.too_many:
            found = f"{row.too_many} more than there are columns"
            attempt = '"1,2 m" in quotes' if self.sign == "," else ""
            self.add("CUT-09", "has too many cells", row.line, found=found, attempt=attempt)
            return
        if any(len(cell) > LONGEST_CELL for cell in cells.values()):
            self.add("CUT-09", f"has a cell of more than {LONGEST_CELL} letters", row.line)
            return
        before = len(self.findings)
        length, count = self._length(cells.get("length", ""), row.line), self._count(cells, row.line)
        if len(self.findings) == before:
            line = row.line - self.above
            self.pieces.append(Piece(length=length, count=count, label=cells.get("label", ""), line=line))

    def _length(self, typed: str, line: int) -> Metre:
        if "length" not in self.meaning.values():
            return 0.0
        try:
            quantity = parse_quantity(typed, "length")
        except QuantityError as error:
            attempt = error.attempt.replace(' cm"', ' mm"') if error.code == "PLAN-012" else error.attempt
            self.add(
                "CUT-03",
                f"length {error.text}",
                line,
                found=error.found,
                wanted=_WANTED_LENGTH,
                attempt=attempt,
            )
            return 0.0
        if not 0 < quantity.value <= LONGEST or not on_grid(quantity.value):
            text = f"length {_quoted(typed)} is not over 0 and at most {LONGEST:g} m"
            self.add("CUT-03", text, line, found=_quoted(typed), wanted=_WANTED_LENGTH)
        self.units[quantity.unit_text] = self.units.get(quantity.unit_text, 0) + 1
        return quantity.value

    def _count(self, cells: Mapping[str, str], line: int) -> int:
        typed = cells.get("count", "")
        if not typed:
            return 1
        amount = read_amount(typed, self.sign)
        if amount is None or amount != amount.to_integral_value() or amount < 1:
            text = f"count {_quoted(typed)} is no whole number from 1 up"
            self.add("CUT-04", text, line, found=_quoted(typed), wanted=_WANTED_COUNT)
            return 1
        if amount > MOST_PIECES:
            text = f"count {_quoted(typed)} is more than {MOST_PIECES} pieces"
            self.add(
                "CUT-05", text, line, found=_quoted(typed), wanted=f"at most {MOST_PIECES} pieces in one job"
            )
            return 1
        return int(amount)


# --- stock and widths -------------------------------------------------------------------------------------------


def read_stock(typed: str) -> Stock | Finding:
    """A length that can be bought, with its price behind an @ if prices are known.

    >>> read_stock("4 m@8.20")
    Stock(length=4.0, name='4 m', price=8.2, count=None, offcut=False)
    """
    name, at, price = (part.strip() for part in typed.partition("@"))
    length = _read_length(name, "stock", typed, _WANTED_STOCK)
    if isinstance(length, Finding):
        return length
    if not at:
        return Stock(length=length, name=name)
    amount = read_amount(price, ";")
    if amount is None or not 0 < amount <= 10**6:
        text = f"{_quoted(typed)} has no price over 0 behind its @"
        return _told("CUT-06", "stock", text, found=_quoted(typed), wanted=_WANTED_STOCK)
    return Stock(length=length, name=name, price=float(amount))


def read_offcut(typed: str) -> Stock | Finding:
    """A length on hand, with how often it is there behind an x.

    >>> read_offcut("1.2 m x 3")
    Stock(length=1.2, name='1.2 m', price=None, count=3, offcut=True)
    """
    found = re.fullmatch(r"(.*\S)\s*[x×]\s*(\d{1,6})", typed.strip())
    name, count = (found[1], int(found[2])) if found else (typed.strip(), 1)
    length = _read_length(name, "offcut", typed, _WANTED_OFFCUT)
    if isinstance(length, Finding):
        return length
    if not 1 <= count <= MOST_PIECES:
        text = f"{_quoted(typed)}: from 1 to {MOST_PIECES} of it"
        return _told("CUT-06", "offcut", text, found=_quoted(typed), wanted=_WANTED_OFFCUT)
    return Stock(length=length, name=name, count=count, offcut=True)


WIDEST_CUT: Final[Metre] = 0.03
"""No saw for pipe or timber cuts wider; common practice, no source."""


def read_width(typed: str, what: str) -> Metre | Finding:
    """The width of a saw cut, or of what is trimmed off: nothing or more.

    >>> read_width("3 mm", "saw cut")
    0.003
    """
    wanted = f'how wide the {what} is: "3 mm" or "1/8 in"'
    try:
        width = parse_quantity(typed, "length").value
    except QuantityError as error:
        attempt = error.attempt.replace(' cm"', ' mm"')
        return _told("CUT-06", what, error.text, found=error.found, wanted=wanted, attempt=attempt)
    widest = WIDEST_CUT if what == "saw cut" else LONGEST
    if not 0 <= width <= widest:
        beyond = "any saw cuts" if what == "saw cut" else "any stick"
        return _told("CUT-06", what, f"{_quoted(typed)} is less than nothing, or more than {beyond}",
                     found=_quoted(typed), wanted=wanted)  # fmt: skip
    return width


def _read_length(name: str, subject: str, typed: str, wanted: str) -> Metre | Finding:
    try:
        length = parse_quantity(name, "length").value
    except QuantityError as error:
        attempt = error.attempt.replace(' cm"', ' m"') if error.code == "PLAN-012" else error.attempt
        return _told("CUT-06", subject, error.text, found=_quoted(typed), wanted=wanted, attempt=attempt)
    if not 0 < length <= LONGEST or not on_grid(length):
        text = f"{_quoted(typed)} is not over 0 and at most {LONGEST:g} m"
        return _told("CUT-06", subject, text, found=_quoted(typed), wanted=wanted)
    return length


def _quoted(typed: str) -> str:
    return f'"{clip(typed)}"'


def _told(
    code: str,
    subject: str,
    text: str,
    *,
    severity: Severity = Severity.PROBLEM,
    line: int | None = None,
    found: str = "",
    wanted: str = "",
    attempt: str = "",
) -> Finding:
    return Finding(
        code=code,
        severity=severity,
        subject=subject,
        text=text,
        line=line,
        found=found,
        wanted=wanted,
        attempt=attempt,
    )
