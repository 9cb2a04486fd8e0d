"""The wet test of the built room: what should be measured where, what was read, what that points to, and the values the
readings put in the place of assumed ones."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import groupby
from typing import Final

from tankwright.building.comparing import Comparison, Outcome, worst_first
from tankwright.building.patterns import explain
from tankwright.building.points import MOST_TANKS
from tankwright.catalogue.assumption import Assumption
from tankwright.finding import Severity
from tankwright.web.page import Page, View
from tankwright.web.proof_sheets import (
    BACK,
    UPLOAD,
    WRITE,
    Proof,
    Sheet,
    expected_words,
    is_off,
    proof_of,
    sheet_path,
    told,
    verdict_words,
)
from tankwright.workspace.jobs import Job
from tankwright.workspace.measured_work import Measured
from tankwright.workspace.proof_work import fit_mark, known_fit

BANDS: Final = "proof"
FIT: Final = "fit"
SHOWN: Final = 30
"""Readings shown at once, worst first; a hall has two thousand."""
_LAYERS: Final = {
    "level": "drain", "drip": "feed", "feed pressure": "feed", "air": "air", "spare air": "air",
    "pump pressure": "air", "ring pressure": "air", "drain time": "drain", "depth": "drain", "fall": "drain",
    "rise": "heat", "trip": "power",
}  # fmt: skip
_WORKINGS: Final = {"drip": "feed", "air": "air"}
"""The working that tells how the value of a point at a tank comes about, after the tank's name."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetRow:
    """One sheet in the list: how many of its points were read, and how many of those are off."""

    sheet: Sheet
    of: int
    read: int
    off: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadRow:
    """One reading in words. `state` is how it stands: "low", "high", "assumed" or "within"."""

    one: Comparison
    place: str
    room: str
    sheet: str
    expected: str
    read: str
    verdict: str
    state: str
    working: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FitRow:
    """A value the readings determine, in the reader's units."""

    row: Assumption
    before: str
    band: str
    value: str
    interval: str
    in_band: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptRow:
    """A value they do not determine: why, and the sheet of the point that would tell it."""

    row: Assumption
    value: str
    why: str
    would: str
    would_path: str


def show(view: View) -> Mapping[str, object]:
    """Everything of the wet test as it stands."""
    proof = proof_of(view)
    fit, job, stale = _fit(view, proof)
    read = tuple(one for one in worst_first(proof.comparisons) if one.reading is not None) if proof else ()
    sheet_by_point = {point.id: sheet for sheet in proof.sheets for point in sheet.points} if proof else {}
    patterns = explain(proof.comparisons) if proof is not None and read else ()
    at = _start(view, len(read))
    return {
        "proof": proof,
        "holds": _holds(proof), "rows": [_read_row(view, one, sheet_by_point) for one in read[at : at + SHOWN]],
        "count": len(read), "start": at, "most": SHOWN,
        "patterns": patterns,
        "bands_kind": BANDS, "bands_job": _job(view, BANDS), "many": _many(view),
        "fit_kind": FIT, "fit_job": job, "fit": fit, "stale": stale,
        "fit_mark": _mark(view, proof),
        "fitted": _fit_rows(view, fit), "kept": _kept_rows(view, fit, sheet_by_point),
        "told": tuple((word, one) for word, one in _verdicts(fit)),
        "wrong": [error for key, error in view.errors.items() if key.startswith(f"{UPLOAD}:") or key == BACK],
        "write_error": view.errors.get(WRITE),
        "taken": _count(view, "taken"), "back": _count(view, "back"), "written": _count(view, "written"),
        "batch": view.query.get("batch", "")[:40] if view.query.get("batch", "").isalnum() else "",
    }  # fmt: skip


def _count(view: View, name: str) -> int | None:
    asked = view.query.get(name, "")
    return int(asked) if asked.isascii() and asked.isdigit() and len(asked) < 6 else None


def _start(view: View, count: int) -> int:
    start = max((_count(view, "from") or 1) - 1, 0)
    return start - start % SHOWN if start < count else 0


def _many(view: View) -> bool:
    return view.room is not None and len(view.room.tanks) > MOST_TANKS


def _holds(proof: Proof | None) -> list[tuple[str, list[tuple[str, list[SheetRow]]]]]:
    """The sheets by hold point, within each by what is measured."""
    if proof is None:
        return []
    compared = {one.point.id: one for one in proof.comparisons}
    rows = []
    for sheet in proof.sheets:
        here = [compared[point.id] for point in sheet.points]
        rows.append(
            SheetRow(
                sheet=sheet, of=len(here), read=sum(one.reading is not None for one in here),
                off=sum(is_off(one) for one in here),
            )
        )  # fmt: skip
    return [
        (when, [(title, list(same)) for title, same in groupby(of_hold, key=lambda row: row.sheet.title)])
        for when, of_hold in groupby(rows, key=lambda row: row.sheet.when)
    ]


def _read_row(view: View, one: Comparison, sheets: Mapping[str, Sheet]) -> ReadRow:
    point = one.point
    assert one.reading is not None
    layer = _LAYERS[point.kind]
    state = "within" if one.outcome is Outcome.WITHIN else "assumed" if one.assumed else one.outcome.value
    working = f"{point.tank}.{_WORKINGS[point.kind]}" if point.tank and point.kind in _WORKINGS else ""
    return ReadRow(
        one=one, place=point.tank or (point.places[0] if point.places else ""),
        room=view.url("/", at=point.tank, layer=layer) if point.tank else view.url("/", layer=layer),
        sheet=sheet_path(sheets[point.id].name, point.id), expected=expected_words(point),
        read=told(point, one.reading.value), verdict=verdict_words(one), state=state, working=working,
    )  # fmt: skip


def _job(view: View, kind: str) -> Job | None:
    """The newest work of that kind on this state of the plan."""
    jobs = view.jobs.list() if view.jobs is not None else ()
    return next((job for job in jobs if job.kind == kind and job.number == view.snapshot.good_number), None)


def _mark(view: View, proof: Proof | None) -> str:
    good = view.snapshot.good
    return fit_mark(good, proof.standing) if good is not None and proof is not None else ""


def _fit(view: View, proof: Proof | None) -> tuple[Measured | None, Job | None, bool]:
    """The fit of this plan and these readings; where it is not known the newest there is, which then is stale."""
    job = _job(view, FIT)
    known = known_fit(_mark(view, proof))
    if known is not None:
        return known, job, False
    for before in view.jobs.list() if view.jobs is not None else ():
        if before.kind == FIT and isinstance(before.result, Measured):
            return before.result, job, True
    return None, job, False


def _fit_rows(view: View, fit: Measured | None) -> list[FitRow]:
    values = fit.fitted.values if fit is not None and fit.fitted is not None else ()
    rows = []
    for one in values:
        before, low, high, value, from_, to = (
            view.words(each, one.row.dimension)
            for each in (one.before, one.row.low, one.row.high, one.value, one.low, one.high)
        )
        rows.append(
            FitRow(
                row=one.row, before=before, band=f"{low} to {high}", value=value, interval=f"{from_} to {to}",
                in_band=one.in_band,
            )
        )  # fmt: skip
    return rows


def _kept_rows(view: View, fit: Measured | None, sheets: Mapping[str, Sheet]) -> list[KeptRow]:
    kept = fit.fitted.kept if fit is not None and fit.fitted is not None else ()
    return [
        KeptRow(
            row=one.row, value=view.words(one.value, one.row.dimension), why=one.beside, would=one.would,
            would_path=sheet_path(sheets[one.would].name, one.would) if one.would in sheets else "",
        )
        for one in kept
    ]  # fmt: skip


def _verdicts(fit: Measured | None) -> list[tuple[str, object]]:
    """What the measured values do to the findings, without mere notes."""
    if fit is None:
        return []
    verdicts = fit.verdicts
    groups = (("goes", verdicts.gone), ("comes", verdicts.come), ("stands firmer", verdicts.firmer))
    return [(word, one) for word, found in groups for one in found if one.severity is not Severity.NOTE]


PAGE = Page(name="proof", path="/proof", title="Wet tests", template="proof.html", show=show, group="build")
