"""Refusals of the API as problem objects, each kind of them known by its name.

Sources: RFC 9457, problem details for HTTP APIs (application/problem+json); RFC 6585 for status 428.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Final

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.responses import Response
from starlette.routing import BaseRoute, Match, Route
from starlette.types import Scope

from tankwright.display import sentence
from tankwright.finding import Finding
from tankwright.logbook.outcome import NoLogbookError
from tankwright.units import clip
from tankwright.web.refusals import words_of_trouble

MEDIA: Final = "application/problem+json"
UNREADABLE: Final = "API-01"


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """One kind of refusal: its status, its title, and what it means to whoever asked."""

    status: int
    title: str
    means: str


KINDS: Final[Mapping[str, Kind]] = {
    "no-key": Kind(
        status=400, title="No usable Idempotency-Key",
        means="A write needs the header Idempotency-Key: 8 to 80 printable signs without a blank, new for each "
        "change and the same when it is sent again.",
    ),
    "no-number": Kind(
        status=400, title="If-Match names no revision",
        means='If-Match must be one number of the plan in quotes, as the ETag of the plan gives it: "41".',
    ),
    "not-json": Kind(status=400, title="Not JSON", means="The body cannot be read as JSON."),
    "not-known": Kind(
        status=401, title="Nobody is logged in",
        means="Post name and password to /login as a form, and send the cookie it gives.",
    ),
    "not-allowed": Kind(
        status=403, title="Not allowed", means="Your part may not do this; a keeper can change that in the settings."
    ),
    "not-found": Kind(status=404, title="Not found", means="There is nothing at this address."),
    "no-plan": Kind(
        status=404, title="No plan yet",
        means='Nothing is worked out before there is a plan; PUT its text with If-Match: "0".',
    ),
    "not-worked-out": Kind(
        status=404, title="Not worked out",
        means="The plan has mistakes, so that there is no room to show; they are listed.",
    ),
    "wrong-method": Kind(status=405, title="Not in this way", means="The header Allow says what can be done here."),
    "old-revision": Kind(
        status=409, title="Made from an old revision",
        means="Somebody changed the plan meanwhile and nothing of yours was done. `yours` is what you wanted, `theirs` "
        "what stands there now, `number` the revision to send it to again.",
    ),
    "too-large": Kind(status=413, title="Too much at once", means="At most 2.5 MB can be sent at once."),
    "unreadable": Kind(
        status=422, title="Cannot be read", means="A field is missing, unknown or of a wrong kind; each is listed."
    ),
    "refused": Kind(
        status=422, title="Refused",
        means="The change cannot stand and nothing was done: each mistake says what was found, what is wanted and "
        "what to try.",
    ),
    "key-used": Kind(
        status=422, title="The key belongs to another change",
        means="This Idempotency-Key was sent before with something else, which was done; take a new key.",
    ),
    "no-base": Kind(
        status=428, title="No If-Match",
        means='A change of the plan needs the header If-Match with the number it was made from: "41".',
    ),
    "own-fault": Kind(
        status=500, title="A fault of the program", means="It is the program's own; please report what you sent."
    ),
    "not-stored": Kind(
        status=503, title="Not stored", means="The disk would not take it and nothing was done; try again in a moment."
    ),
    "no-logbook": Kind(
        status=503, title="No logbook", means="The logbook cannot be opened or read; the detail says why."
    ),
}  # fmt: skip
"""Every kind of refusal, by the name at the end of its `type`."""


@dataclass(slots=True)
class ProblemError(Exception):
    """A request that is refused: why, with its mistakes and whatever else belongs into the answer."""

    kind: str
    detail: str = ""
    mistakes: Sequence[Mapping[str, object]] = ()
    more: Mapping[str, object] = field(default_factory=dict)
    headers: Mapping[str, str] = field(default_factory=dict)


def problem_type(kind: str) -> str:
    """The `type` of a kind: where it is explained.

    >>> problem_type("old-revision")
    '/api#old-revision'
    """
    return f"/api#{kind}"


def answer(problem: ProblemError) -> Response:
    """A refusal as a response."""
    kind = KINDS[problem.kind]
    body: dict[str, object] = {
        "type": problem_type(problem.kind),
        "title": kind.title,
        "status": kind.status,
        "detail": problem.detail or kind.means,
    }
    if problem.mistakes:
        body["mistakes"] = list(problem.mistakes)
    body.update(problem.more)
    return Response(json.dumps(body), kind.status, dict(problem.headers), media_type=MEDIA)


def mistake(finding: Finding, display: str) -> dict[str, object]:
    """A finding about a text or a change, in words of the reader's units."""
    return {
        "code": finding.code,
        "severity": finding.severity.value,
        "subject": finding.subject,
        "text": sentence(finding.text, finding.numbers, display),
        "found": finding.found,
        "wanted": finding.wanted,
        "try": finding.attempt,
        "line": finding.line,
    }


def mistakes(findings: Iterable[Finding], display: str) -> list[dict[str, object]]:
    """The same of several."""
    return [mistake(one, display) for one in findings]


def unreadable(
    where: str, text: str, *, found: str = "", wanted: str = "", attempt: str = ""
) -> ProblemError:
    """One field of a request that will not do."""
    return ProblemError(
        "unreadable", mistakes=[_field(where, text, found=found, wanted=wanted, attempt=attempt)]
    )


def _field(where: str, text: str, *, found: str, wanted: str, attempt: str = "") -> dict[str, object]:
    return {
        "code": UNREADABLE, "severity": "problem", "subject": where, "text": text, "found": found,
        "wanted": wanted, "try": attempt, "line": None,
    }  # fmt: skip


def _of_validation(error: RequestValidationError) -> ProblemError:
    if any(one["type"] == "json_invalid" for one in error.errors()):
        return ProblemError("not-json")
    return ProblemError("unreadable", mistakes=[_wrong(one) for one in error.errors()[:20]])


def _wrong(one: Mapping[str, Any]) -> dict[str, object]:
    where = ".".join(str(step) for step in one["loc"])
    limits = one.get("ctx") or {}
    wanted = ", ".join(f"{name} {value}" for name, value in limits.items() if name != "error")
    found = "nothing" if one["type"] == "missing" else clip(str(one.get("input")), 60)
    return _field(clip(where, 80), clip(str(one["msg"]), 200), found=found, wanted=wanted)


def _of_http(error: HTTPException) -> ProblemError:
    kind = {401: "not-known", 403: "not-allowed", 405: "wrong-method", 413: "too-large"}.get(
        error.status_code, "not-found" if error.status_code == 404 else "not-json"
    )
    return ProblemError(kind, headers=error.headers or {})


def _methods(routes: Sequence[BaseRoute], scope: Scope) -> str:
    """All that can be done at a path, over all routes that share it."""
    found = (one for one in routes if isinstance(one, Route) and one.matches(scope)[0] is not Match.NONE)
    return ", ".join(sorted({method for one in found for method in one.methods or ()}))


def answer_with_problems(api: FastAPI, routes: Sequence[BaseRoute]) -> None:
    """Have every refusal of an app be a problem object; `routes` are all it has."""

    @api.exception_handler(ProblemError)
    async def _own(_: Request, error: ProblemError) -> Response:
        return answer(error)

    @api.exception_handler(RequestValidationError)
    async def _validation(_: Request, error: RequestValidationError) -> Response:
        return answer(_of_validation(error))

    @api.exception_handler(HTTPException)
    async def _http(request: Request, error: HTTPException) -> Response:
        problem = _of_http(error)
        methods = _methods(routes, request.scope)
        if problem.kind == "wrong-method" and methods:
            problem.headers = {"Allow": methods}
        return answer(problem)

    @api.exception_handler(NoLogbookError)
    async def _no_logbook(_: Request, error: NoLogbookError) -> Response:
        return answer(ProblemError("no-logbook", "; ".join(words_of_trouble(one) for one in error.findings)))

    @api.exception_handler(Exception)
    async def _fault(_: Request, error: Exception) -> Response:  # noqa: ARG001 - the server logs it
        return answer(ProblemError("own-fault"))
