"""Pictures of the logbook: `POST /t/{tank}/photo` with what went wrong and a note, `GET /photo/{name}`."""

from __future__ import annotations

from anyio import to_thread
from fastapi import FastAPI, Request
from starlette.datastructures import UploadFile
from starlette.responses import PlainTextResponse, RedirectResponse, Response

from tankwright.display import sentence
from tankwright.finding import Finding
from tankwright.logbook.outcome import Refused
from tankwright.logbook.pictures import LARGEST, TYPES
from tankwright.web.access import may, who
from tankwright.web.forms import form_of, whole
from tankwright.web.page import FieldError
from tankwright.web.pages.tank import tank_path
from tankwright.web.shared import Shared
from tankwright.workspace.keeping import Hand
from tankwright.workspace.keeping_seen import noted, went_wrong

FIELD = "photo"


def add_photo_routes(app: FastAPI, shared: Shared) -> None:
    """A picture comes as a form with "key", "what", "note" and the file "photo", which may be left out."""

    @app.post("/t/{tank}/photo", include_in_schema=False)
    async def _photo(request: Request, tank: str) -> Response:
        person = who(request.scope)
        if person is None or not may(person, "enter"):
            return PlainTextResponse("Your name may not make entries.", 403)
        async with form_of(request, most=20, longest=10_000, files=1) as form:
            said = {name: whole(value)[:400] for name, value in form.items() if isinstance(value, str)}
            file = next((value for _, value in form.multi_items() if isinstance(value, UploadFile)), None)
            raw = b"" if file is None else await file.read(LARGEST + 1)
        return await to_thread.run_sync(
            _kept, shared, request, tank.replace("%2F", "/"), said, raw, person.name
        )

    @app.api_route("/photo/{name}", methods=["GET", "HEAD"], include_in_schema=False)
    def _show(request: Request, name: str) -> Response:
        person = who(request.scope)
        if person is None or not may(person, "look"):
            return PlainTextResponse("Your name may not open this.", 403)
        content = shared.log.pictures.get(name)
        if content is None:
            return PlainTextResponse("There is no such picture.", 404)
        return Response(content, media_type=TYPES[name.rpartition(".")[2]], headers={
            "Cache-Control": "private, max-age=31536000, immutable"
        })  # fmt: skip


def _kept(
    shared: Shared, request: Request, tank: str, said: dict[str, str], raw: bytes, person: str
) -> Response:
    hand = Hand(log=shared.log, who=person, key=said.get("key", "")[:80], note=said.get("note", "").strip())
    name = shared.log.pictures.keep(raw) if raw else ""
    wrong = name if isinstance(name, Finding) else None
    if wrong is None and isinstance(name, str):
        what = said.get("what", "").strip()
        outcome = went_wrong(hand, tank, what, photo=name) if what else noted(hand, tank, photo=name)
        if not isinstance(outcome, Refused):
            shared.hub.announce(shared.live.snapshot.number)
            return RedirectResponse(
                tank_path(tank) + (f"?done={hand.key}" if hand.key.isalnum() else ""), 303
            )
        wrong = outcome.findings[0]
    text = "" if wrong is None else f"{wrong.subject} {sentence(wrong.text, wrong.numbers, 'metric')}"
    error = FieldError(typed="", text=text, wanted="" if wrong is None else wrong.wanted, sent=said)
    return shared.page(request, tank_path(tank, "/fish?deed=photo"), {FIELD: error}, 422)
