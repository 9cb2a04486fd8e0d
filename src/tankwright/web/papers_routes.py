"""Papers as files: `GET /papers/<what>.pdf`, `.csv` (with `table`) and `.zip`, for the choices in the address."""

from __future__ import annotations

import re
from typing import Final, Literal
from urllib.parse import urlencode

from fastapi import FastAPI, Request
from starlette.responses import PlainTextResponse, RedirectResponse, Response

from tankwright.documents.kept import packed
from tankwright.documents.papers.all import Made
from tankwright.documents.papers.asked import FIELDS, WHATS
from tankwright.documents.papers.kept import Wanted
from tankwright.web.access import may, who
from tankwright.web.shared import Shared

_MEDIA: Final = {"pdf": "application/pdf", "csv": "text/csv; charset=utf-8", "zip": "application/zip"}


def add_papers_routes(app: FastAPI, shared: Shared) -> None:
    """What cannot be made leads to the page, which says what is wrong; what takes long too, to be asked for there."""

    @app.api_route("/papers/{what}.{ending}", methods=["GET", "HEAD"], include_in_schema=False)
    def _file(request: Request, what: str, ending: Literal["pdf", "csv", "zip"]) -> Response:
        person = who(request.scope)
        if person is None or not may(person, "look"):
            return PlainTextResponse("Your name may not open this.", 403)
        if what not in WHATS:
            return PlainTextResponse("There is no such paper.", 404)
        said = {"what": what, **{name: request.query_params.get(name, "")[:200] for name in FIELDS}}
        page = f"/papers?{urlencode({name: value for name, value in said.items() if value})}"
        wanted = shared.papers.wanted(said)
        if not isinstance(wanted, Wanted):
            return shared.page(request, f"{page}&asked=1", {}, 422)
        made = shared.papers.known(wanted)
        if made is None and not shared.papers.is_quick:
            return RedirectResponse(f"{page}&asked=1", 303)
        made = made or shared.papers.make(wanted, shared.live.snapshot.good)
        return _answer(made, what, ending, request.query_params.get("table", ""))


def _answer(made: Made, what: str, ending: str, table: str) -> Response:
    name = what
    if ending == "csv":
        if table not in made.tables:
            return PlainTextResponse("There is no such table in this paper.", 404)
        raw, name = made.tables[table].encode("utf-8"), table
    elif ending == "zip":
        raw = packed(
            {f"{what}.pdf": made.pdf, **{f"{one}.csv": text.encode() for one, text in made.tables.items()}}
        )
    else:
        raw = made.pdf
    plain = re.sub(r"[^a-z-]", "", name)
    return Response(raw, media_type=_MEDIA[ending], headers={
        "Content-Disposition": f'{"inline" if ending == "pdf" else "attachment"}; filename="{plain}.{ending}"',
        "Cache-Control": "private, no-cache",
    })  # fmt: skip
