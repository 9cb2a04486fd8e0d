"""The build book as files: `GET /book/book.pdf`, `/book/book.zip`, `/book/<sheet>.pdf`, for the papers asked for."""

from __future__ import annotations

import re
from typing import Final, Literal

from fastapi import FastAPI, Request
from starlette.responses import PlainTextResponse, RedirectResponse, Response

from tankwright.documents.entries import ENTRIES
from tankwright.documents.kept import State
from tankwright.web.access import may, who
from tankwright.web.pages.book import papers_of
from tankwright.web.shared import Shared

WHOLE: Final = "book"
_MEDIA: Final = {"pdf": "application/pdf", "zip": "application/zip"}


def add_book_routes(app: FastAPI, shared: Shared) -> None:
    """Each file has the state of plan, build and paper as its ETag. What is not made yet leads to the page of the
    book, where it can be asked for."""

    @app.api_route("/book/{name}.{ending}", methods=["GET", "HEAD"], include_in_schema=False)
    def _file(request: Request, name: str, ending: Literal["pdf", "zip"], papers: str = "") -> Response:
        person = who(request.scope)
        if person is None or not may(person, "look"):
            return PlainTextResponse("Your name may not open this.", 403)
        if name != WHOLE and (ending != "pdf" or all(one.name != name for one in ENTRIES)):
            return PlainTextResponse("There is no such sheet.", 404)
        good = shared.live.snapshot.good
        display = good.room.display if good is not None and good.room is not None else "metric"
        chosen = papers_of(papers, display)
        state = shared.books.state(good, chosen)
        if state is None:
            return RedirectResponse("/book", 303)
        tag = f'"{state.mark}-{name}-{ending}"'
        if request.headers.get("if-none-match") == tag:
            return Response(status_code=304, headers={"ETag": tag, "Cache-Control": "private, no-cache"})
        raw = _made(shared, state, name, ending)
        if raw is None:
            return RedirectResponse(f"/book?papers={chosen}", 303)
        return Response(raw, media_type=_MEDIA[ending], headers={
            "Content-Disposition": f'{"inline" if ending == "pdf" else "attachment"}; '
            f'filename="{_file_name(state, name)}.{ending}"',
            "ETag": tag, "Cache-Control": "private, no-cache",
        })  # fmt: skip


def _made(shared: Shared, state: State, name: str, ending: str) -> bytes | None:
    if name != WHOLE:
        return shared.books.sheet(state, name)
    known = shared.books.known(state)
    if known is None:
        return None
    return known.pdf if ending == "pdf" else known.packed()


def _file_name(state: State, name: str) -> str:
    title = state.opened.room.title if state.opened.room is not None else ""
    plain = re.sub(r"[^A-Za-z0-9]+", "-", title).strip("-")[:60] or "room"
    number = re.sub(r"[^A-Za-z0-9]+", "-", state.asked.revision)
    return f"{plain}-{name}-{number}"
