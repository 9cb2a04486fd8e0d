"""The writes of the wet test: `POST /reading`, from a form as from the queue, sheets as CSV, and fitted values into
the plan."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import UTC, datetime
from hashlib import sha256
from typing import Final
from urllib.parse import quote

from anyio import to_thread
from fastapi import FastAPI, Request
from starlette.datastructures import UploadFile
from starlette.responses import JSONResponse, PlainTextResponse, RedirectResponse, Response

from tankwright.building.point import TestPoint
from tankwright.building.points import expected_points
from tankwright.building.readings import read_readings
from tankwright.display import sentence
from tankwright.finding import Finding
from tankwright.web.access import Person, may, who
from tankwright.web.forms import fields_of, form_of, key_with, whole
from tankwright.web.login import local_path
from tankwright.web.page import FieldError
from tankwright.web.proof_sheets import BACK, UPLOAD, WRITE
from tankwright.web.shared import Shared
from tankwright.workspace.disk import utc_from_text, utcnow
from tankwright.workspace.live import Applied, Conflict
from tankwright.workspace.outcomes import trouble
from tankwright.workspace.proof_work import fit_mark, known_fit
from tankwright.workspace.readings_book import NO_READING, NOT_KEPT, ReadingsBook, Told
from tankwright.workspace.readings_text import NO_POINT, filled_sheet, read_typed

LARGEST: Final = 1_000_000
MOST_SAID: Final = 60
"""Mistakes of a file that are told at once; a table of another kind has thousands."""
_PARTS: Final = {"key": 80, "point": 200, "kind": 40, "value": 80, "note": 400, "happened": 60, "undoes": 80}
_LEADS: Final = ("is ", "was ", "has ")
CHANGED: Final = "the plan or the readings changed since this fit was made; nothing was written"


def add_proof_routes(app: FastAPI, shared: Shared) -> None:
    """`POST /reading` (key, kind "reading" or "undo", point, value, note, happened, undoes), `GET` and `POST
    /readings.csv`, `POST /readings/write` and `POST /readings/take-back`.

    A form is led back to its page; a queue, which accepts JSON, is told what became of its reading: 200 it stands, 422
    it never will, 403 not by this name, 503 not now.
    """

    @app.post("/reading", include_in_schema=False)
    async def _reading(request: Request) -> Response:
        fields = await fields_of(request, most=40, longest=40_000)
        return await to_thread.run_sync(_read, shared, request, fields)

    @app.api_route("/readings.csv", methods=["GET", "HEAD"], include_in_schema=False)
    def _sheet(request: Request) -> Response:
        return _filled(shared, request)

    @app.post("/readings.csv", include_in_schema=False)
    async def _upload(request: Request) -> Response:
        async with form_of(request, most=20, longest=10_000, files=1) as form:
            key = next(
                (whole(value) for name, value in form.items() if name == "key" and isinstance(value, str)), ""
            )
            file = next((value for _, value in form.multi_items() if isinstance(value, UploadFile)), None)
            raw = b"" if file is None else await file.read(LARGEST + 1)
        return await to_thread.run_sync(_uploaded, shared, request, raw, key[:80])

    @app.post("/readings/write", include_in_schema=False)
    async def _write(request: Request) -> Response:
        fields = await fields_of(request, most=20, longest=10_000)
        return await to_thread.run_sync(_written, shared, request, fields)

    @app.post("/readings/take-back", include_in_schema=False)
    async def _take_back(request: Request) -> Response:
        fields = await fields_of(request, most=20, longest=10_000)
        return await to_thread.run_sync(_file_taken_back, shared, request, fields)


def _allowed(request: Request, deed: str) -> Person | None:
    person = who(request.scope)
    return person if person is not None and may(person, deed) else None


def _points(shared: Shared) -> dict[str, TestPoint]:
    good = shared.live.snapshot.good
    if good is None or good.study is None:
        return {}
    return {point.id: point for point in expected_points(good.study)}


def _words(shared: Shared, finding: Finding, *, named: bool = False) -> str:
    good = shared.live.snapshot.good
    said = sentence(finding.text, finding.numbers, good.room.display if good and good.room else "metric")
    return f"{finding.subject} {said}" if named or said.startswith(_LEADS) else said


# --- one reading -----------------------------------------------------------------------------------------------------


def _read(shared: Shared, request: Request, fields: Mapping[str, str]) -> Response:
    asks_json = "application/json" in request.headers.get("accept", "")
    person = _allowed(request, "enter")
    if person is None:
        said = "Your name may not enter readings."
        return JSONResponse({"text": said}, 403) if asks_json else PlainTextResponse(said, 403)
    sent = {name: fields.get(name, "")[:most] for name, most in _PARTS.items()}
    key = sent["key"] if asks_json else key_with(sent["key"], {**sent, "key": "", "happened": ""})
    kept = _undo(shared, sent, key, person) if sent["kind"] == "undo" else _keep(shared, sent, key, person)
    if kept is None:
        shared.hub.announce(shared.live.snapshot.number)  # every open sheet looks again
        if asks_json:
            return JSONResponse({"key": sent["key"]})
        return RedirectResponse(local_path(fields.get("back", "") or "/proof"), 303)
    said = _words(shared, kept)
    status = 503 if kept.code == NOT_KEPT else 422
    if asks_json:
        return JSONResponse({"text": said, "wanted": kept.wanted}, status)
    error = FieldError(typed=sent["value"], text=said, wanted=kept.wanted, attempt=kept.attempt, sent=fields)
    page = local_path(fields.get("page", "") or fields.get("back", "") or "/proof")
    return shared.page(request, page, {f"reading:{sent['point']}": error}, status)


def _keep(shared: Shared, sent: Mapping[str, str], key: str, person: Person) -> Finding | None:
    if not key.strip():
        return trouble(
            NO_READING, "reading", "has no key", wanted="a text of its sender's own, another each time"
        )
    book = ReadingsBook(shared.live.path)
    if book.by_key(key) is not None:
        return None
    point = _points(shared).get(sent["point"])
    if point is None:
        return trouble(NO_POINT, f'point "{sent["point"][:40]}"', "is no test point of this plan")
    moment = _moment(sent["happened"])
    if moment is None:
        return trouble(NO_READING, "reading", "has no moment that can be read", wanted="2026-08-02T07:15:00Z")
    read = read_typed(point, sent["value"])
    if isinstance(read, Finding):
        return read
    one = Told(
        key=key,
        point=point.id,
        typed=sent["value"],
        value=read[0],
        unit=read[1],
        happened=moment,
        note=sent["note"],
    )
    stored = book.add([one], who=person.name)
    return stored if isinstance(stored, Finding) else None


def _undo(shared: Shared, sent: Mapping[str, str], key: str, person: Person) -> Finding | None:
    book = ReadingsBook(shared.live.path)
    if book.by_key(key) is not None:
        return None
    taken = book.by_key(sent["undoes"])
    if taken is None:
        return trouble(NO_READING, "reading", "is not there to take back")
    return book.take_back([taken], key=key, who=person.name)


def _moment(text: str) -> datetime | None:
    """The moment a sender named; now when none is named, None when it is none."""
    if not text.strip():
        return utcnow()
    try:
        return utc_from_text(text.strip())
    except (ValueError, OverflowError):
        return None


# --- whole sheets ----------------------------------------------------------------------------------------------------


def _filled(shared: Shared, request: Request) -> Response:
    if _allowed(request, "look") is None:
        return PlainTextResponse("Your name may not open this.", 403)
    points = _points(shared)
    good = shared.live.snapshot.good
    if good is None or good.room is None or not points:
        return PlainTextResponse("There is nothing to measure yet.", 404)
    text = filled_sheet(points.values(), ReadingsBook(shared.live.path).standing())
    name = re.sub(r"[^A-Za-z0-9]+", "-", good.room.title).strip("-")[:60] or "room"
    return Response("\ufeff" + text, media_type="text/csv; charset=utf-8", headers={
        "Content-Disposition": f'attachment; filename="{name}-wet-test.csv"', "Cache-Control": "private, no-cache",
    })  # fmt: skip


def _uploaded(shared: Shared, request: Request, raw: bytes, key: str) -> Response:
    person = _allowed(request, "enter")
    if person is None:
        return PlainTextResponse("Your name may not enter readings.", 403)
    if len(raw) > LARGEST:
        return _refused(shared, request, [trouble("PROOF-02", "the readings", "are larger than 1 MB")], 0, "")
    batch = sha256(f"{key}\0".encode("utf-8", "replace") + raw).hexdigest()[:16]
    points = _points(shared)
    read = read_readings(raw.decode("utf-8", "replace").replace("\x00", ""), points.values())
    book = ReadingsBook(shared.live.path)
    standing = book.standing()
    told = []
    for one in read.readings:
        before = standing.get(one.point)
        if before is not None and before.value == one.value and before.unit == one.unit:
            continue  # the sheet as it was taken from here
        happened = (
            utcnow() if one.on is None else datetime(one.on.year, one.on.month, one.on.day, 12, tzinfo=UTC)
        )
        if before is not None:
            happened = max(happened, before.happened)  # what is brought now counts
        told.append(
            Told(key=f"{batch}.{one.line}", point=one.point, typed=f"{one.value:g}", value=one.value, unit=one.unit,
                 happened=happened, note=one.note)
        )  # fmt: skip
    stored = book.add(told, who=person.name) if told else ()
    if isinstance(stored, Finding):
        return _refused(shared, request, [stored], 0, "")
    if stored:
        shared.hub.announce(shared.live.snapshot.number)
    if read.findings:
        return _refused(shared, request, read.findings, len(stored), batch)
    return RedirectResponse(f"/proof?taken={len(stored)}&batch={batch}#csv", 303)


def _refused(
    shared: Shared, request: Request, findings: list[Finding] | tuple[Finding, ...], taken: int, batch: str
) -> Response:
    """The page with every mistake of a file; the readings that could be read stand."""
    errors = {
        f"{UPLOAD}:{number}": FieldError(
            typed=one.found, text=f"{f'line {one.line}: ' if one.line else ''}{_words(shared, one, named=True)}",
            wanted=one.wanted, attempt=one.attempt,
        )
        for number, one in enumerate(findings[:MOST_SAID])
    }  # fmt: skip
    if len(findings) > MOST_SAID:
        errors[f"{UPLOAD}:more"] = FieldError(typed="", text=f"and {len(findings) - MOST_SAID} more")
    back = f"/proof?taken={taken}&batch={batch}"
    return shared.page(request, back, errors, 503 if findings[0].code == NOT_KEPT else 422)


def _file_taken_back(shared: Shared, request: Request, fields: Mapping[str, str]) -> Response:
    person = _allowed(request, "enter")
    if person is None:
        return PlainTextResponse("Your name may not enter readings.", 403)
    batch, book = fields.get("batch", "")[:40], ReadingsBook(shared.live.path)
    mine = [one for one in book.all() if batch and one.key.startswith(f"{batch}.") and one.undoes is None]
    wrong = book.take_back(mine, key=f"back-{batch}", who=person.name)
    if wrong is not None:
        error = FieldError(typed="", text=_words(shared, wrong, named=True))
        return shared.page(request, "/proof", {BACK: error}, 503 if wrong.code == NOT_KEPT else 422)
    shared.hub.announce(shared.live.snapshot.number)
    return RedirectResponse(f"/proof?back={len(mine)}#csv", 303)


# --- into the plan ---------------------------------------------------------------------------------------------------


def _written(shared: Shared, request: Request, fields: Mapping[str, str]) -> Response:
    person = _allowed(request, "edit")
    if person is None:
        return PlainTextResponse("Your name may not change the plan.", 403)
    base, key = fields.get("base", ""), fields.get("key", "")
    if not (base.isascii() and base.isdigit() and len(base) < 10 and key.strip()):
        return PlainTextResponse('This form cannot be read: it has no "base" or no "key".', 400)
    snapshot = shared.live.snapshot
    good = snapshot.good
    mark = fields.get("mark", "")
    fit = known_fit(mark)
    known = good is not None and mark == fit_mark(good, ReadingsBook(shared.live.path).standing())
    if (
        fit is None
        or fit.change is None
        or fit.fitted is None
        or not known
        or snapshot.good is not snapshot.read
    ):
        again = [one for one in shared.live.revisions(limit=1) if fit and fit.change and one.key == key]
        if again:
            return RedirectResponse("/proof?written=1#fit", 303)
        return shared.page(
            request, "/proof", {WRITE: FieldError(typed="", text=CHANGED, wanted="a new fit")}, 409
        )
    outcome = shared.live.edit(fit.change, base=int(base), key=key, who=person.name)
    if isinstance(outcome, Applied):
        return RedirectResponse(f"/proof?written={quote(str(len(fit.fitted.values)))}#fit", 303)
    if isinstance(outcome, Conflict):
        return shared.page(
            request, "/proof", {WRITE: FieldError(typed="", text=CHANGED, wanted="a new fit")}, 409
        )
    said = (
        "; ".join(_words(shared, one, named=True) for one in outcome.findings[:3])
        or "that cannot be done here"
    )
    return shared.page(request, "/proof", {WRITE: FieldError(typed="", text=said)}, 422)
