"""Tables sent to be brought in: `POST /bring` (a file), what its owner says of it, taking it in, taking it back."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path, PurePath
from shutil import rmtree
from tempfile import mkdtemp
from typing import Final

from anyio import to_thread
from fastapi import FastAPI, Request
from starlette.background import BackgroundTask
from starlette.datastructures import UploadFile
from starlette.responses import FileResponse, PlainTextResponse, RedirectResponse, Response

from tankwright.web.access import Person, may, who
from tankwright.web.forms import fields_of, form_of, whole
from tankwright.web.page import FieldError
from tankwright.web.pages.bring import TAKE
from tankwright.web.shared import Shared
from tankwright.workspace.bringing.bring import take_back
from tankwright.workspace.bringing.shelf import Shelf
from tankwright.workspace.bringing.tables import MOST_BYTES

_SAID: Final = ("sort", "order", "places")


def add_bring_routes(app: FastAPI, shared: Shared) -> None:
    """`POST /bring` with a file; `POST /bring/say` with `of` and what its columns are; `POST /bring/take`;
    `POST /bring/back` with `of` and a reason; `GET /bring/logbook.zip`, the whole book.

    All need the right to change the room."""

    @app.post("/bring", include_in_schema=False)
    async def _send(request: Request) -> Response:
        if _allowed(request) is None:
            return _no()
        async with form_of(request, most=20, longest=10_000, files=1) as form:
            file = next((value for _, value in form.multi_items() if isinstance(value, UploadFile)), None)
            raw = b"" if file is None else await file.read(MOST_BYTES + 1)
            name = PurePath(whole(file.filename or "")).name if file is not None else ""
        return await to_thread.run_sync(_kept, shared, request, name, raw)

    @app.api_route("/bring/logbook.zip", methods=["GET", "HEAD"], include_in_schema=False)
    def _whole(request: Request) -> Response:
        return _book(shared, request)

    @app.post("/bring/say", include_in_schema=False)
    async def _say(request: Request) -> Response:
        fields = await fields_of(request, most=200, longest=10_000)
        return await to_thread.run_sync(_said, shared, request, fields)

    @app.post("/bring/take", include_in_schema=False)
    async def _take(request: Request) -> Response:
        fields = await fields_of(request, most=20, longest=10_000)
        return await to_thread.run_sync(_taken, shared, request, fields)

    @app.post("/bring/back", include_in_schema=False)
    async def _back(request: Request) -> Response:
        fields = await fields_of(request, most=20, longest=10_000)
        return await to_thread.run_sync(_taken_back, shared, request, fields)


def _allowed(request: Request) -> Person | None:
    person = who(request.scope)
    return person if person is not None and may(person, "edit") else None


def _book(shared: Shared, request: Request) -> Response:
    """The whole logbook as one file, made anew for each who asks and gone once it was sent."""
    from tankwright.logbook.exchange import export_book  # noqa: PLC0415 - its database is loaded when it is needed

    if _allowed(request) is None:
        return PlainTextResponse("Your name may not take the logbook out.", 403)
    if not shared.log.is_there:
        return _wrong(
            shared, request, "/bring", "There is no logbook yet: nothing was recorded", "an entry", 404
        )
    folder = Path(mkdtemp(prefix="tankwright-"))
    try:
        export_book(shared.log.book, shared.log.pictures, folder / "logbook.zip")
    except BaseException:
        rmtree(folder, ignore_errors=True)
        raise
    return FileResponse(
        folder / "logbook.zip", media_type="application/zip", filename="logbook.zip",
        background=BackgroundTask(rmtree, folder, ignore_errors=True),
    )  # fmt: skip


def _no() -> Response:
    return PlainTextResponse("Your name may not bring tables in.", 403)


def _wrong(
    shared: Shared, request: Request, page: str, text: str, wanted: str, status: int = 422
) -> Response:
    return shared.page(request, page, {"table": FieldError(typed="", text=text, wanted=wanted)}, status)


def _kept(shared: Shared, request: Request, name: str, raw: bytes) -> Response:
    if _allowed(request) is None:
        return _no()
    if not raw:
        return _wrong(
            shared, request, "/bring", "No file was chosen, or it is empty", "a table as .csv or .xlsx"
        )
    if len(raw) > MOST_BYTES:
        return _wrong(
            shared, request, "/bring", "The file is too large", f"at most {MOST_BYTES // 1_000_000} MB"
        )
    try:
        sent = Shelf(shared.log).put(name, raw)
    except OSError as error:
        said = f"The file could not be kept: {error.strerror or 'its name cannot be stored'}"
        return _wrong(shared, request, "/bring", said, "a disk with room that may be written", 503)
    return RedirectResponse(f"/bring?of={sent.id}", 303)


def _said(shared: Shared, request: Request, fields: Mapping[str, str]) -> Response:
    if _allowed(request) is None:
        return _no()
    shelf = Shelf(shared.log)
    sent = shelf.get(fields.get("of", ""))
    if sent is None:
        return RedirectResponse("/bring?of=gone", 303)
    said = {key: one[:60] for key, one in fields.items() if key in _SAID or key.startswith("column ")}
    try:
        changed = shelf.say(sent, said, sheet=fields.get("sheet", "")[:200])
    except OSError as error:
        said_so = f"What you said could not be kept: {error.strerror}"
        return _wrong(shared, request, f"/bring?of={sent.id}", said_so, "a disk that may be written", 503)
    return RedirectResponse(f"/bring?of={changed.id}", 303)


def _taken(shared: Shared, request: Request, fields: Mapping[str, str]) -> Response:
    person = _allowed(request)
    if person is None:
        return _no()
    shelf = Shelf(shared.log)
    sent = shelf.get(fields.get("of", ""))
    if sent is None:
        return RedirectResponse("/bring?of=gone", 303)
    try:
        shelf.taken_by(sent, person.name)
    except OSError as error:
        said = f"Nothing could be kept: {error.strerror}"
        return _wrong(shared, request, f"/bring?of={sent.id}", said, "a disk that may be written", 503)
    snapshot = shared.live.snapshot
    shared.jobs.start(f"{TAKE}:{sent.id}", snapshot.good_number or snapshot.number)
    return RedirectResponse(f"/bring?of={sent.id}", 303)


def _taken_back(shared: Shared, request: Request, fields: Mapping[str, str]) -> Response:
    person = _allowed(request)
    if person is None:
        return _no()
    reason = fields.get("reason", "").strip()[:400]
    page = f"/bring?of={fields.get('of', '')[:40]}"
    mark = fields.get("mark", "")
    if not reason:
        return _wrong(shared, request, page, "It says no reason", "a few words why all of it does not hold")
    outcome = take_back(shared.log, mark[:40], who=person.name, reason=reason) if mark.isalnum() else 0
    if not isinstance(outcome, int):
        return _wrong(shared, request, page, outcome.text, outcome.wanted, 503)
    shared.hub.announce(shared.live.snapshot.number)
    return RedirectResponse(f"{page}&back={outcome}", 303)
