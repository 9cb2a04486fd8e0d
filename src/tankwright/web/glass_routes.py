"""What a pane comes to while a hand moves its hole: `GET /glass/hole`, a small piece of the page of glass."""

from __future__ import annotations

from urllib.parse import quote, urlencode

from fastapi import FastAPI, Request
from starlette.responses import PlainTextResponse, Response

from tankwright.web.access import may, who
from tankwright.web.shared import Shared

LONGEST = 200


def add_glass_routes(app: FastAPI, shared: Shared) -> None:
    """`GET /glass/hole?kind=&pane=&hole=&x=&y=`: the screening with the hole there, x from the left and y below the rim
    (on a base from the back), in metres. Nothing is written."""

    @app.api_route("/glass/hole", methods=["GET", "HEAD"], include_in_schema=False)
    def _hole(
        request: Request, kind: str = "", pane: str = "", hole: str = "0", x: str = "", y: str = ""
    ) -> Response:
        person = who(request.scope)
        if person is None or not may(person, "look"):
            return PlainTextResponse("Your name may not open this.", 403)
        asked = {"kind": kind, "pane": pane, "hole": hole, "x": x, "y": y}
        if not x or not y or any(len(one) > LONGEST for one in asked.values()):
            return PlainTextResponse("Say a kind of tank, a pane and a place in metres.", 400)
        address = f"/glass?{urlencode(asked, quote_via=quote)}"
        return shared.page(request, address, {}, part="glass_tried.html")
