"""The lists of the parts as files: CSV of each, one workbook of all."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import Final

from fastapi import FastAPI, Request
from starlette.responses import PlainTextResponse, RedirectResponse, Response

from tankwright.documents.basket import basket_table
from tankwright.documents.data_files import csv_of, workbook_of
from tankwright.documents.model import Table
from tankwright.documents.parts import place_tables, shop_table
from tankwright.documents.price_form import price_form
from tankwright.web.access import may, who
from tankwright.web.shared import Shared
from tankwright.workspace.parts_work import WorkedParts, known_parts, mark_of

_SHEET: Final = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


def _all(worked: WorkedParts, display: str) -> list[Table]:
    basket = [basket_table(worked.basket)] if worked.basket is not None else []
    return [shop_table(worked.purchase, display), *place_tables(worked.purchase.takeoff), *basket]


def _places(worked: WorkedParts, display: str) -> str:
    return "".join(csv_of(table, display) for table in place_tables(worked.purchase.takeoff))


FILES: Final[Mapping[str, Callable[[WorkedParts, str], str | bytes | None]]] = {
    "parts.csv": lambda worked, display: csv_of(shop_table(worked.purchase, display), display),
    "parts-by-place.csv": _places,
    "parts.xlsx": lambda worked, display: workbook_of(_all(worked, display), display),
    "basket.csv": lambda worked, display: (
        None if worked.basket is None else csv_of(basket_table(worked.basket), display)
    ),
    "prices-to-fill-in.csv": lambda worked, display: csv_of(price_form(worked.purchase), display),
}
"""What can be taken home, by the last part of its address."""


def add_parts_routes(app: FastAPI, shared: Shared) -> None:
    """`GET /parts/<file>` for each of `FILES`; back to the page where nothing was counted yet."""

    @app.api_route("/parts/{name}", methods=["GET", "HEAD"], include_in_schema=False)
    def _file(request: Request, name: str) -> Response:
        person = who(request.scope)
        if person is None or not may(person, "look"):
            return PlainTextResponse("Your name may not open this.", 403)
        if name not in FILES:
            return PlainTextResponse("There is no such file.", 404)
        good = shared.live.snapshot.good
        mark = mark_of(good) if good is not None else ""
        worked = known_parts(mark) if mark else None
        if worked is None or good is None or good.room is None:
            return RedirectResponse("/parts", 303)
        made = FILES[name](worked, good.room.display)
        if made is None:
            return PlainTextResponse("There are no price lists, and so no basket.", 404)
        raw = made if isinstance(made, bytes) else made.encode("utf-8")
        media = _SHEET if name.endswith(".xlsx") else "text/csv; charset=utf-8"
        room = re.sub(r"[^A-Za-z0-9]+", "-", good.room.title).strip("-")[:60] or "room"
        return Response(raw, media_type=media, headers={
            "Content-Disposition": f'attachment; filename="{room}-{name}"', "Cache-Control": "private, no-cache",
        })  # fmt: skip
