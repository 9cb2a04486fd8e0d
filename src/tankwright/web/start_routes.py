"""The one write of the first run: the answers, or the sample room, become the first plan."""

from __future__ import annotations

from collections.abc import Mapping
from urllib.parse import urlencode

from anyio import to_thread
from fastapi import FastAPI, Request
from starlette.responses import PlainTextResponse, RedirectResponse, Response

from tankwright.plan.answers import answers_from
from tankwright.plan.template import commented_plan
from tankwright.web.access import may, who
from tankwright.web.first_run import answers_in, mistakes_before_writing, sample_plan
from tankwright.web.forms import fields_of
from tankwright.web.page import FieldError
from tankwright.web.shared import Shared
from tankwright.workspace.outcomes import Applied


def add_start_routes(app: FastAPI, shared: Shared) -> None:
    """`POST /begin`: answers as fields, or `sample`; `key` so that pressing twice writes once."""

    @app.post("/begin", include_in_schema=False)
    async def _begin(request: Request) -> Response:
        fields = await fields_of(request, most=50, longest=10_000)
        return await to_thread.run_sync(_begun, shared, request, fields)


def _begun(shared: Shared, request: Request, fields: Mapping[str, str]) -> Response:
    person = who(request.scope)
    if person is None or not may(person, "edit"):
        return PlainTextResponse("Your name may not begin a plan.", 403)
    given = answers_in(fields)
    wrong: dict[str, str] = {}
    if fields.get("sample"):
        text = sample_plan()
    else:
        wrong = mistakes_before_writing(given)
        text = "" if wrong else commented_plan(answers_from(given))
    if not wrong:
        outcome = shared.live.begin(text, who=person.name, key=fields.get("key", "")[:80])
        if isinstance(outcome, Applied):
            return RedirectResponse("/", 303)
        first = outcome.findings[0] if not hasattr(outcome, "theirs") and outcome.findings else None
        said = f"{first.subject} {first.text}" if first else "somebody else began this plan meanwhile"
        wrong = {"begin": said}
    errors = {name: FieldError(typed=given.get(name, ""), text=text) for name, text in wrong.items()}
    asked = urlencode(given)
    return shared.page(request, "/start" + (f"?{asked}" if asked else ""), errors, 422)
