"""One test sheet in a hand: one point a screen, what should come, and the verdict on what was read."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from tankwright.building.comparing import Comparison
from tankwright.building.point import TestPoint
from tankwright.building.readings import in_unit
from tankwright.web.page import FieldError, Page, View
from tankwright.web.proof_sheets import (
    Proof,
    Sheet,
    as_fine,
    band_words,
    expected_words,
    number_told,
    proof_of,
    said_off,
    sheet_path,
    step_of,
    typed_of,
    verdict_words,
)
from tankwright.workspace.readings_book import StoredReading


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One point of the sheet. `low` to `high` is what can be, `fine` within tolerance, `assumed` in what the plan only
    assumes, all in the unit of the sheet; `down` and `up` are what − and + lead to without scripts; `next` is where one
    goes from here."""

    point: TestPoint
    place: str
    one: Comparison
    stored: StoredReading | None
    typed: str
    expected: str
    band: str
    verdict: str
    step: float
    usual: str
    low: float
    high: float
    fine: tuple[float, float]
    assumed: tuple[float, float]
    down: str
    up: str
    said_off: tuple[str, str]
    next: str
    next_place: str
    error: FieldError | None


def show(view: View) -> Mapping[str, object]:
    """All points of the sheet, the one the address asks for open, else the first that was not read."""
    proof = proof_of(view)
    name = view.params["sheet"]
    sheets = proof.sheets if proof is not None else ()
    at = next((number for number, one in enumerate(sheets) if one.name == name), None)
    sheet = sheets[at] if at is not None else None
    after = sheets[at + 1] if at is not None and at + 1 < len(sheets) else None
    rows = _rows(view, proof, sheet, after) if proof is not None and sheet is not None else []
    asked = next((key.removeprefix("reading:") for key in view.errors if key.startswith("reading:")), "")
    asked = asked or view.query.get("kind", "")
    first = next((row.point.id for row in rows if row.stored is None), rows[0].point.id if rows else "")
    return {
        "proof": proof, "sheet": sheet, "after": after, "rows": rows,
        "kind": asked if any(row.point.id == asked for row in rows) else first,
    }  # fmt: skip


def _rows(view: View, proof: Proof, sheet: Sheet, after: Sheet | None) -> list[Row]:
    compared = {one.point.id: one for one in proof.comparisons}
    rows = []
    for number, point in enumerate(sheet.points):
        beyond = sheet.points[number + 1] if number + 1 < len(sheet.points) else None
        to = sheet_path(sheet.name, beyond.id) if beyond else after.path if after else "/proof"
        place = _place(beyond) if beyond else f"{after.title} {after.where}".strip() if after else ""
        rows.append(_row(view, compared[point.id], proof.standing.get(point.id), to, place))
    return rows


def _place(point: TestPoint) -> str:
    return point.tank or (point.places[0] if point.places else point.id)


def _row(view: View, one: Comparison, stored: StoredReading | None, to: str, place: str) -> Row:
    point = one.point
    error = view.errors.get(f"reading:{point.id}")
    step = step_of(point)
    asked = view.query.get("value", "")[:80] if view.query.get("kind") == point.id else ""
    typed = error.typed if error else asked or (typed_of(stored, point) if stored else "")
    start = _number(typed, in_unit(point.value, point.dimension, point.unit))
    low, high = (in_unit(each, point.dimension, point.unit) for each in (point.least, point.most))
    tolerance = point.tolerance
    band = point.band or (point.value, point.value)
    fine = (point.least if point.ceiling else point.value - tolerance, point.value + tolerance)
    assumed = fine if point.ceiling else (band[0] - tolerance, band[1] + tolerance)
    return Row(
        point=point, place=_place(point), one=one, stored=stored, typed=typed, expected=expected_words(point),
        band=band_words(point), verdict=verdict_words(one), step=step, usual=number_told(point, point.value),
        low=low, high=high, fine=_in_unit(point, fine), assumed=_in_unit(point, assumed),
        down=as_fine(max(low, (round(start / step) - 1) * step), step).replace("−", "-"),
        up=as_fine(min(high, (round(start / step) + 1) * step), step).replace("−", "-"),
        said_off=said_off(point), next=to, next_place=place, error=error,
    )  # fmt: skip


def _in_unit(point: TestPoint, ends: tuple[float, float]) -> tuple[float, float]:
    low, high = (in_unit(one, point.dimension, point.unit) for one in ends)
    return low, high


def _number(text: str, otherwise: float) -> float:
    try:
        value = float(text.replace(",", "."))
    except ValueError:
        return otherwise
    return value if abs(value) < 1e12 else otherwise


PAGE = Page(
    name="proof_sheet",
    path="/proof/{sheet}",
    title="Wet test",
    template="proof_sheet.html",
    show=show,
)
