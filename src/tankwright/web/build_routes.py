"""The build's own routes: `POST /build/mark`, from a form as from the queue, and its files."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import UTC, date
from typing import Final
from urllib.parse import parse_qsl, quote, urlencode

from anyio import to_thread
from fastapi import FastAPI, Request
from starlette.responses import JSONResponse, PlainTextResponse, RedirectResponse, Response

from tankwright.building.ical import calendar_file
from tankwright.building.marks import Mark
from tankwright.display import printable, sentence
from tankwright.finding import Finding
from tankwright.report.build import csv_build
from tankwright.web import clock
from tankwright.web.access import Person, may, who
from tankwright.web.build_marking import Sent, tick
from tankwright.web.build_site import Build, build_of
from tankwright.web.forms import fields_of, key_with
from tankwright.web.login import local_path
from tankwright.web.page import FieldError
from tankwright.web.shared import Shared
from tankwright.workspace.build_marks import NOT_KEPT
from tankwright.workspace.disk import utcnow

_PARTS: Final = {"key": 80, "task": 200, "do": 10, "on": 40, "note": 4000, "happened": 60}
"""The fields of a tick and the most signs of each that are read."""


def add_build_routes(app: FastAPI, shared: Shared) -> None:
    """`POST /build/mark` with key, task, do, on, note, happened and, for a form, the page to go back to; `GET
    /build.ics` and `GET /build.csv`.

    A form is led back to its page; a queue, which accepts JSON, is told what became of its tick: 200 it stands, 422
    it never will, 403 not by this name, 503 not now.
    """

    @app.post("/build/mark", include_in_schema=False)
    async def _mark(request: Request) -> Response:
        fields = await fields_of(request, most=40, longest=40_000)
        return await to_thread.run_sync(_marked, shared, request, fields)

    @app.api_route("/build.ics", methods=["GET", "HEAD"], include_in_schema=False)
    def _calendar(request: Request) -> Response:
        return _file(shared, request, "ics")

    @app.api_route("/build.csv", methods=["GET", "HEAD"], include_in_schema=False)
    def _table(request: Request) -> Response:
        return _file(shared, request, "csv")


def _marked(shared: Shared, request: Request, fields: Mapping[str, str]) -> Response:
    asks_json = "application/json" in request.headers.get("accept", "")
    person = who(request.scope)
    if person is None or not may(person, "enter"):
        said = "Your name may not tick tasks."
        return JSONResponse({"text": said}, 403) if asks_json else PlainTextResponse(said, 403)
    back = local_path(fields.get("back", "") or "/build")
    sent = _sent(fields, from_a_form=not asks_json)
    kept = _take(shared, sent, person)
    if not isinstance(kept, Finding):
        shared.hub.announce(shared.live.snapshot.number)  # every open page of the build looks again
        if asks_json:
            return JSONResponse(
                {"task": kept.task, "done_on": kept.done_on.isoformat(), "undone": kept.undone}
            )
        return RedirectResponse(_with(back, sent), 303)
    said = (
        f"{kept.subject} {kept.text}"
        if kept.subject == "tick" and kept.text.startswith("has ")
        else kept.text
    )
    if asks_json:
        return JSONResponse({"text": said, "wanted": kept.wanted}, 503 if kept.code == NOT_KEPT else 422)
    error = FieldError(typed=sent.on, text=said, wanted=kept.wanted, attempt=kept.attempt, sent=fields)
    return shared.page(request, back, {f"mark:{sent.task}": error}, 503 if kept.code == NOT_KEPT else 422)


def _sent(fields: Mapping[str, str], *, from_a_form: bool) -> Sent:
    read = {name: fields.get(name, "")[:most] for name, most in _PARTS.items()}
    key = read.pop("key")
    return Sent(key=key_with(key, read) if from_a_form else key, **read)


def _take(shared: Shared, sent: Sent, person: Person) -> Mark | Finding:
    today = clock.today()
    build = _build(shared, today)
    known = build.site.by_id if build is not None else {}
    return tick(shared.marks, known, sent, who=person.name, today=today)


def _build(shared: Shared, today: date) -> Build | None:
    return build_of(shared.live.snapshot, shared.made_once, shared.marks, today)


def _with(back: str, sent: Sent) -> str:
    """The page to go back to, which shows what was done and offers to take it back."""
    path, _, asked = back.partition("?")
    kept = [(name, value) for name, value in parse_qsl(asked) if name not in ("done", "undone")]
    return f"{path}?{urlencode([*kept, (sent.do, sent.task)], quote_via=quote)}"


def _file(shared: Shared, request: Request, kind: str) -> Response:
    person = who(request.scope)
    if person is None or not may(person, "look"):
        return PlainTextResponse("Your name may not open this.", 403)
    snapshot = shared.live.snapshot
    build = _build(shared, clock.today())
    if build is None or snapshot.good is None or snapshot.good.room is None:
        return PlainTextResponse("There is nothing to build yet.", 404)
    if kind == "csv":
        raw, media = csv_build(build.plan, build.site.tasks).encode("utf-8"), "text/csv; charset=utf-8"
    else:
        display = snapshot.good.room.display
        raw = calendar_file(
            build.plan, build.site.tasks, title=f"{snapshot.good.room.title}: build order", room=shared.live.path.stem,
            stamp=utcnow().astimezone(UTC), sequence=snapshot.number + build.revision,
            say=lambda text, numbers: printable(sentence(text, numbers, display)),
        )  # fmt: skip
        media = "text/calendar; charset=utf-8"
    name = re.sub(r"[^A-Za-z0-9]+", "-", snapshot.good.room.title).strip("-")[:60] or "room"
    return Response(raw, media_type=media, headers={
        "Content-Disposition": f'attachment; filename="{name}-build.{kind}"', "Cache-Control": "private, no-cache",
    })  # fmt: skip
