"""What the app answers when it cannot answer as asked: plain words, and nothing of its insides."""

from __future__ import annotations

from typing import Final

from fastapi import FastAPI
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from tankwright.logbook.outcome import NoLogbookError
from tankwright.web.refusals import answer_body, words_of_trouble

_WORDS: Final = {
    400: ("This form cannot be read", "Go back and send it again"),
    404: ("Nothing here", "There is nothing at this address."),
    405: ("Not in this way", "This address answers, but not to what was asked of it."),
    413: ("Too much at once", "At most 2.5 MB can be sent at once, and nothing of it was kept."),
}
_OWN: Final = "A fault of the program"
_OWN_WORDS: Final = (
    "It could not answer this. What was saved before is kept. Go back and try again; if it happens again, report what "
    "you did."
)
_NO_LOGBOOK: Final = "The logbook cannot be opened"
_ALL_ELSE: Final = "The plan and all that is worked out from it still open."


def answer_faults(app: FastAPI) -> None:
    """Have every refusal and every fault of the app's own be told in words a reader can use."""

    @app.exception_handler(HTTPException)
    async def _refused(request: Request, error: HTTPException) -> Response:
        title, words = _WORDS.get(error.status_code, ("Not done", "This cannot be done here."))
        if error.status_code == 400 and error.detail:
            words = f"{words}: {error.detail}"
        return _told(request, error.status_code, title, words, dict(error.headers or {}))

    @app.exception_handler(RequestValidationError)
    async def _unreadable(request: Request, _: RequestValidationError) -> Response:
        return _told(request, 400, _WORDS[400][0], _WORDS[400][1] + ".")

    @app.exception_handler(NoLogbookError)
    async def _no_logbook(request: Request, error: NoLogbookError) -> Response:
        return _told(request, 503, _NO_LOGBOOK, " ".join((*map(words_of_trouble, error.findings), _ALL_ELSE)))

    @app.exception_handler(Exception)
    async def _fault(request: Request, _: Exception) -> Response:  # the server logs what it was
        return _told(request, 500, _OWN, _OWN_WORDS)


def _told(
    request: Request, status: int, title: str, words: str, headers: dict[str, str] | None = None
) -> Response:
    media, body = answer_body(request.scope, status, title, words)
    return Response(body, status, {**(headers or {}), "content-type": media})
