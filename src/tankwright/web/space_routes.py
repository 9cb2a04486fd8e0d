"""Rules of fry space as their page sends them, kept whole or not at all."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from anyio import to_thread
from fastapi import FastAPI, Request
from starlette.datastructures import UploadFile
from starlette.responses import PlainTextResponse, RedirectResponse, Response

from tankwright.finding import Finding
from tankwright.web.access import may, who
from tankwright.web.forms import Fields, form_of, whole
from tankwright.web.page import FieldError
from tankwright.web.pages.space import FORM
from tankwright.web.shared import Shared
from tankwright.workspace.fry_rules import typed_rules, write_rules

_MOST: Final = 5000
_LONGEST: Final = 400


def add_space_routes(app: FastAPI, shared: Shared) -> None:
    """`POST /space/rules` with the fields of `typed_rules`, a `tank` for each that may hold fry out of `offered` ones,
    a `set` for each there is and a `raise` for each whose spawns are raised. Sent twice it is the same as once."""

    @app.post("/space/rules", include_in_schema=False)
    async def _rules(request: Request) -> Response:
        person = who(request.scope)
        if person is None or not may(person, "edit"):
            return PlainTextResponse("Your name may not change rules.", 403)
        async with form_of(request, most=_MOST, longest=_LONGEST) as form:
            pairs = [
                (name, whole(one)) for name, one in form.multi_items() if not isinstance(one, UploadFile)
            ]
        return await to_thread.run_sync(_kept, shared, request, pairs)


def _kept(shared: Shared, request: Request, pairs: Sequence[tuple[str, str]]) -> Response:
    fields = Fields(pairs)
    tanks = [value for name, value in pairs if name == "tank"]
    raised = {value for name, value in pairs if name == "raise"}
    left_out = [value for name, value in pairs if name == "set" and value not in raised]
    every = fields["offered"] == str(len(tanks))  # all that are free: those that will be, too
    kept = typed_rules(fields, None if every else tanks, left_out)
    wrong = kept if isinstance(kept, tuple) else None
    if wrong is None and not isinstance(kept, tuple):
        trouble = write_rules(shared.log.folder, kept)
        if trouble is None:
            shared.hub.announce(shared.live.snapshot.number)
            return RedirectResponse("/space?kept=1#rules", 303)
        return shared.page(request, "/space", {f"{FORM}form": _error(trouble, fields)}, 503)
    errors = {f"{FORM}{one.subject}": _error(one, fields) for one in wrong or ()}
    return shared.page(request, "/space", errors, 422)


def _error(one: Finding, fields: Fields) -> FieldError:
    return FieldError(
        typed=fields[one.subject], text=one.text, wanted=one.wanted, attempt=one.attempt, sent=fields
    )
