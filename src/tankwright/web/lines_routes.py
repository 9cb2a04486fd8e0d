"""The writes of the pages of lines: `POST /lines/set` records that fish are put together."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from anyio import to_thread
from fastapi import FastAPI, Request
from starlette.responses import PlainTextResponse, RedirectResponse, Response

from tankwright.display import sentence
from tankwright.finding import Finding
from tankwright.logbook.outcome import NOT_KEPT, By, Refused
from tankwright.web.access import may, who
from tankwright.web.forms import fields_of, key_with
from tankwright.web.login import local_path
from tankwright.web.page import FieldError
from tankwright.web.shared import Shared
from tankwright.workspace.log_lines import MOST_MEMBERS, make_set

_NAMES: Final = ("stock", "sex", "count", "low", "high")


def add_lines_routes(app: FastAPI, shared: Shared) -> None:
    """`POST /lines/set` with key, label, back and, for each fish, stock1, sex1, count1, low1, high1 and so on. Back at
    the page when it stands; the page with what is wrong when it does not, and nothing recorded."""

    @app.post("/lines/set", include_in_schema=False)
    async def _set(request: Request) -> Response:
        fields = await fields_of(request, most=80, longest=2_000)
        return await to_thread.run_sync(_made, shared, request, fields)


def _made(shared: Shared, request: Request, fields: Mapping[str, str]) -> Response:
    person = who(request.scope)
    if person is None or not may(person, "enter"):
        return PlainTextResponse("Your name may not put fish together.", 403)
    back = local_path(fields.get("back", "") or "/lines")
    said = {name: fields.get(name, "")[:200] for name in ("label", *_fields())}
    key = key_with(fields.get("key", "")[:80], said)
    outcome = make_set(shared.log, said, By(who=person.name, key=key))
    if isinstance(outcome, Refused):
        told = "; ".join(_words(one) for one in outcome.findings)
        wanted = next((one.wanted for one in outcome.findings if one.wanted), "")
        status = 503 if any(one.code == NOT_KEPT for one in outcome.findings) else 422
        error = FieldError(typed="", text=told, wanted=wanted, sent=said)
        return shared.page(request, back, {"set": error}, status)
    if not outcome.repeated:
        shared.hub.announce(shared.live.snapshot.number)
    return RedirectResponse(f"{back.partition('?')[0]}?made=1#made", 303)


def _fields() -> tuple[str, ...]:
    return tuple(f"{name}{number}" for number in range(1, MOST_MEMBERS + 1) for name in _NAMES)


def _words(one: Finding) -> str:
    return f"{one.subject} {sentence(one.text, one.numbers)}"
