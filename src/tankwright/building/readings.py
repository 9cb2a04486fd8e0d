"""What was read in the room, from the CSV of the test sheet, and that sheet itself.

Every mistake is told in one pass; a row with one is left out, and nothing typed raises.
"""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Final

from tankwright.building.point import Reading, TestPoint
from tankwright.finding import Finding, Number, Severity
from tankwright.plan.suggest import listed, nearest
from tankwright.units import DIMENSIONS, QuantityError, clip, convert, parse_quantity

COLUMNS: Final = ("point", "what", "expected", "unit", "value", "date", "who", "note")
_MOST_ROWS: Final = 20_000
_DELIMITERS: Final = (";", "\t", ",")


@dataclass(frozen=True, slots=True, kw_only=True)
class Read:
    """The readings that could be read, and what is wrong with the rest."""

    readings: tuple[Reading, ...]
    findings: tuple[Finding, ...]


def test_sheet_csv(points: Iterable[TestPoint]) -> str:
    """The test sheet as CSV, to be filled in under `value`; what should come stands beside it.

    >>> test_sheet_csv(()).strip()
    'point,what,expected,unit,value,date,who,note'
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    for point in points:
        value = f"{in_unit(point.value, point.dimension, point.unit):.4g}"
        writer.writerow(
            (point.id, point.what, f"at most {value}" if point.ceiling else value, point.unit, "", "", "", "")
        )
    return out.getvalue()


test_sheet_csv.__test__ = False  # type: ignore[attr-defined] # the name is the trade's, not a test's


def _told_in(unit: str, point: TestPoint) -> str:
    """The unit a reading was told in; the sheet's, where what was told is no single one: "1:60", "1 ft 2 in"."""
    try:
        in_unit(0.0, point.dimension, unit)
    except ValueError:
        return point.unit
    return unit


def in_unit(value: float, dimension: str, unit: str) -> float:
    """An SI value in the unit a sheet is kept in."""
    return convert(
        value, DIMENSIONS[dimension].si_unit, unit, difference=dimension == "temperature_difference"
    )


def read_readings(text: str, points: Iterable[TestPoint], latest: date | None = None) -> Read:
    """The readings of a CSV with the columns point and value, and unit, date, who and note where they are there.

    A value may hold its unit ("34 mL/min"), or the column `unit` does. A row without a value was not read yet. A day
    after `latest` cannot have been.

    >>> read_readings("", ()).findings[0].code
    'PROOF-01'
    """
    known = {point.id: point for point in points}
    lines = text.removeprefix("\ufeff").splitlines()
    head = next((number for number, line in enumerate(lines) if line.strip()), None)
    if head is None:
        return Read(
            readings=(), findings=(_mistake("PROOF-01", "the readings", "there is nothing in it", None),)
        )
    delimiter = max(_DELIMITERS, key=lambda sign: (lines[head].count(sign), -_DELIMITERS.index(sign)))
    titles = [cell.strip().casefold() for cell in _cells(lines[head], delimiter)]
    missing = [name for name in ("point", "value") if name not in titles]
    if missing:
        told = _mistake(
            "PROOF-02", "the readings", f'has no column "{missing[0]}"', head + 1, found=clip(lines[head], 80),
            wanted="a first line with the columns point and value", attempt="point,value,date,who,note",
        )  # fmt: skip
        return Read(readings=(), findings=(told,))
    reader = _Reader(known, titles, delimiter, latest)
    for number, line in enumerate(lines[head + 1 : head + 1 + _MOST_ROWS], start=head + 2):
        if line.strip():
            reader.row(line, number)
    if len(lines) > head + 1 + _MOST_ROWS:
        reader.say(
            "PROOF-02", "the readings", f"has more than {_MOST_ROWS} rows; the rest was not read", head
        )
    if not reader.readings and not reader.findings:
        reader.say("PROOF-01", "the readings", "no value is filled in yet", head + 1)
    return Read(readings=tuple(reader.readings), findings=tuple(reader.findings))


def _cells(line: str, delimiter: str) -> list[str]:
    try:
        return next(csv.reader([line], delimiter=delimiter), [])
    except csv.Error:
        return line.split(delimiter)


class _Reader:
    """Goes through the rows and keeps what it makes of them."""

    def __init__(
        self, known: Mapping[str, TestPoint], titles: list[str], delimiter: str, latest: date | None
    ) -> None:
        self.latest = latest
        self.known = known
        self.folded = {_folded(name): name for name in known}
        self.titles = titles
        self.delimiter = delimiter
        self.readings: list[Reading] = []
        self.findings: list[Finding] = []
        self.lines: dict[str, int] = {}

    def say(
        self,
        code: str,
        subject: str,
        text: str,
        line: int | None,
        *,
        severity: Severity = Severity.PROBLEM,
        **told: str,
    ) -> None:
        self.findings.append(_mistake(code, subject, text, line, severity=severity, **told))

    def split(self, subject: str, found: str, line: int) -> None:
        """A row that a decimal comma has torn apart."""
        self.say(
            "PROOF-03", subject, "has more cells than there are columns", line, found=clip(found, 80),
            wanted="a decimal comma inside quotes, or a point", attempt='"1,8 L/min" or 1.8 L/min',
        )  # fmt: skip

    def row(self, line: str, number: int) -> None:
        cells = [cell.strip() for cell in _cells(line, self.delimiter)]
        if any(cells[len(self.titles) :]):
            self.split(f"row {number}", line, number)
            return
        row = dict(zip(self.titles, cells, strict=False))
        name, value = row.get("point", ""), row.get("value", "")
        if not value:
            return
        point = self.known.get(name) or self.known.get(self.folded.get(_folded(name), ""))
        if point is None:
            near = nearest(name, tuple(self.known))
            self.say(
                "PROOF-04", f'point "{clip(name, 40)}"', "is no test point of this plan", number,
                found=f'"{clip(name, 40)}"', wanted=listed(tuple(self.known)[:5]) if self.known else "no point at all",
                attempt=near or "",
            )  # fmt: skip
            return
        if point.id in self.lines:
            self.say(
                "PROOF-05", point.id, f"was read already in line {self.lines[point.id]}", number, found=clip(value, 40),
                wanted="one row a point: the mean of several readings, or the last",
            )  # fmt: skip
            return
        self.lines[point.id] = number
        on = self.day(row.get("date", ""), point.id, number)
        read = self.number(point, value, row.get("unit", ""), number)
        if read is not None:
            si, unit = read
            self.readings.append(
                Reading(
                    point=point.id,
                    value=si,
                    unit=unit,
                    line=number,
                    on=on,
                    who=clip(row.get("who", ""), 80),
                    note=clip(row.get("note", ""), 200),
                )
            )

    def day(self, text: str, point: str, number: int) -> date | None:
        if not text:
            return None
        try:
            day = date.fromisoformat(text)
            if self.latest is None or day <= self.latest:
                return day
            self.say(
                "PROOF-06", point, "has a date that is still to come; the reading counts without it", number,
                severity=Severity.WARNING, found=text, wanted=f"a day up to {self.latest}", attempt=f"{self.latest}",
            )  # fmt: skip
            return None
        except ValueError:
            self.say(
                "PROOF-06", point, "has a date that cannot be read; the reading counts without it", number,
                severity=Severity.WARNING, found=f'"{clip(text, 40)}"', wanted="year-month-day", attempt="2026-11-28",
            )  # fmt: skip
            return None

    def number(self, point: TestPoint, value: str, unit: str, line: int) -> tuple[float, str] | None:
        """The SI value and the unit it was told in; None, and a finding, for what is none."""
        bare = _plain_number(value)
        if bare is not None and self.delimiter == "," and unit[:1].isdigit():
            self.split(point.id, f"{value},{unit}", line)
            return None
        if bare is not None and not unit:
            self.say(
                "PROOF-07", point.id, f"{clip(value, 20)} has no unit", line, found=f'"{clip(value, 20)}"',
                wanted=DIMENSIONS[point.dimension].wanted, attempt=f"{clip(value, 20)} {point.unit}",
            )  # fmt: skip
            return None
        if bare is not None and not math.isfinite(bare):
            self.impossible(point, value, line)
            return None
        text = f"{value} {unit}" if bare is not None else value
        try:
            quantity = parse_quantity(text, point.dimension)
        except QuantityError as error:
            if value.lstrip()[:1] in ("-", "−"):
                self.impossible(point, text, line)
                return None
            self.say(
                "PROOF-08", point.id, error.text, line, found=error.found or f'"{clip(text, 40)}"',
                wanted=error.wanted or DIMENSIONS[point.dimension].wanted, attempt=error.attempt or "",
            )  # fmt: skip
            return None
        if not point.least <= quantity.value <= point.most:
            self.impossible(point, text, line)
            return None
        return quantity.value, unit if bare is not None else _told_in(quantity.unit_text, point)

    def impossible(self, point: TestPoint, text: str, line: int) -> None:
        self.findings.append(
            Finding(
                code="PROOF-09",
                severity=Severity.PROBLEM,
                subject=point.id,
                text=f'"{clip(text, 40)}" cannot be: it is from {{least}} to {{most}}',
                numbers=(
                    ("least", Number(point.least, point.dimension)),
                    ("most", Number(point.most, point.dimension)),
                ),
                line=line,
                places=point.places,
                found=f'"{clip(text, 40)}"',
                wanted=f"{point.what}; about {in_unit(point.value, point.dimension, point.unit):.3g} {point.unit}",
            )
        )


def _plain_number(text: str) -> float | None:
    """The number of a text without a unit, a decimal comma too; None for any other text."""
    try:
        return float(text.replace(",", ".") if text.count(",") == 1 and "." not in text else text)
    except ValueError:
        return None


def _folded(name: str) -> str:
    return "".join(name.casefold().split()).replace("_", "").replace("-", "")


def _mistake(
    code: str,
    subject: str,
    text: str,
    line: int | None,
    *,
    severity: Severity = Severity.PROBLEM,
    **told: str,
) -> Finding:
    return Finding(
        code=code, severity=severity, subject=subject, text=text, line=line, found=told.get("found", ""),
        wanted=told.get("wanted", ""), attempt=told.get("attempt", ""),
    )  # fmt: skip
