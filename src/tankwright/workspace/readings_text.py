"""Readings as they are typed and as they are carried: one field of a form, or the whole test sheet as CSV."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Final

from tankwright.building.point import TestPoint
from tankwright.building.readings import COLUMNS, in_unit, read_readings, test_sheet_csv
from tankwright.finding import Finding
from tankwright.units import clip
from tankwright.workspace.outcomes import trouble
from tankwright.workspace.readings_book import StoredReading

NO_POINT: Final = "PROOF-04"
NO_VALUE: Final = "PROOF-08"
_FORMULA: Final = ("=", "+", "-", "@")


def read_typed(point: TestPoint, typed: str) -> tuple[float, str] | Finding:
    """What was typed at a point as its SI value and unit, or what is wrong with it.

    A bare number is in the unit of the sheet, which stands beside the field.
    """
    text = clip(" ".join(typed.split()), 80)
    if not text:
        return trouble(
            NO_VALUE, point.id, "no number was typed", wanted=f"the number that was read, in {point.unit}"
        )
    row = io.StringIO()
    csv.writer(row).writerow((point.id, text, point.unit if _is_bare(text) else ""))
    read = read_readings(f"point,value,unit\n{row.getvalue()}", (point,))
    if read.readings:
        return read.readings[0].value, read.readings[0].unit
    return replace(read.findings[0], line=None)


def _is_bare(text: str) -> bool:
    try:
        float(text.replace(",", "."))
    except ValueError:
        return False
    return True


def filled_sheet(points: Iterable[TestPoint], standing: Mapping[str, StoredReading]) -> str:
    """The test sheet as CSV with what was read so far; a text a spreadsheet would take for a formula is quoted."""
    every = tuple(points)
    rows = list(csv.reader(io.StringIO(test_sheet_csv(every), newline="")))
    unit, value, day, who, note = (COLUMNS.index(one) for one in ("unit", "value", "date", "who", "note"))
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(rows[0])
    for point, row in zip(every, rows[1:], strict=True):
        one = standing.get(point.id)
        if one is not None and one.value is not None:
            row[unit] = one.unit
            row[value] = f"{in_unit(one.value, point.dimension, one.unit):.9g}"
            row[day] = one.happened.astimezone().date().isoformat()
            row[who], row[note] = _harmless(one.who), _harmless(one.note)
        writer.writerow(row)
    return out.getvalue()


def _harmless(text: str) -> str:
    return f"'{text}" if text.startswith(_FORMULA) else text
