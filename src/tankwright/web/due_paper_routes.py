"""Rounds on paper: `POST /due/paper` makes the pages, `/due/paper/<n>.pdf` prints them, `POST /due/paper/<n>` takes
them back."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Final

from anyio import to_thread
from fastapi import FastAPI, Request
from starlette.responses import PlainTextResponse, RedirectResponse, Response

from tankwright.documents.round_sheet import round_pdf
from tankwright.finding import Finding
from tankwright.husbandry.round_sheets import Cell, RoundSheet
from tankwright.logbook.outcome import By, NoLogbookError
from tankwright.web import clock
from tankwright.web.access import Person, may, who
from tankwright.web.due_routes import by_of
from tankwright.web.forms import Fields, fields_of
from tankwright.web.page import FieldError
from tankwright.web.pages.due_paper import WHOLE
from tankwright.web.shared import Shared
from tankwright.workspace.disk import utcnow
from tankwright.workspace.outcomes import trouble
from tankwright.workspace.round_paper import TypedSheet, print_round, sheet_numbered, type_back
from tankwright.workspace.round_work import due_of

_CELL: Final = re.compile(r"c(\d{1,3})-(\d{1,2})")
_MOST_PAGES: Final = 60
ASKED: Final = (
    "Nothing was kept yet: what is marked is unusual. Read it again; what is as read is kept next time."
)


def add_due_paper_routes(app: FastAPI, shared: Shared) -> None:
    """The pages are recorded when they are made, so that each can be typed back by its number."""

    @app.post("/due/paper", include_in_schema=False)
    async def _print(request: Request) -> Response:
        fields = await fields_of(request, most=10, longest=2000)
        return await to_thread.run_sync(_made, shared, request, fields)

    @app.api_route("/due/paper/{numbers}.pdf", methods=["GET", "HEAD"], include_in_schema=False)
    def _pdf(request: Request, numbers: str) -> Response:
        return _printed(shared, request, numbers)

    @app.post("/due/paper/{number}", include_in_schema=False)
    async def _typed(request: Request, number: str) -> Response:
        fields = await fields_of(request, most=500, longest=20_000)
        return await to_thread.run_sync(_taken, shared, request, number, fields)


def _allowed(request: Request, deed: str) -> Person | None:
    person = who(request.scope)
    return person if person is not None and may(person, deed) else None


def _made(shared: Shared, request: Request, fields: Fields) -> Response:
    person = _allowed(request, "enter")
    if person is None:
        return PlainTextResponse("Your name may not print rounds.", 403)
    good = shared.live.snapshot.good
    now = utcnow()
    try:
        due = due_of(shared.log, now, clock.day_of, study=good.study if good is not None else None)
        came = print_round(shared.log, due, By(who=person.name, key=fields["key"][:80]), now)
    except NoLogbookError as error:
        came = error.findings[0]
    if isinstance(came, Finding):
        said = FieldError(typed="", text=f"{came.subject} {came.text}", wanted=came.wanted)
        return shared.page(request, "/due/paper", {"paper": said}, 422)
    return RedirectResponse(f"/due/paper?printed={','.join(str(one.number) for one in came)}", 303)


def _printed(shared: Shared, request: Request, numbers: str) -> Response:
    if _allowed(request, "look") is None:
        return PlainTextResponse("Your name may not open this.", 403)
    wanted = [
        int(one)
        for one in numbers.split("-")[:_MOST_PAGES]
        if one.isascii() and one.isdigit() and len(one) < 7
    ]
    sheets = [one for number in wanted if (one := sheet_numbered(shared.log, number)) is not None]
    if not sheets:
        return PlainTextResponse("There is no page of that number.", 404)
    good = shared.live.snapshot.good
    room = good.room if good is not None else None
    raw = round_pdf(
        sheets, title=room.title if room is not None else "Fish room",
        paper="Letter" if room is not None and room.display == "US" else "A4",
    )  # fmt: skip
    name = f"round-{sheets[0].number}"
    return Response(raw, media_type="application/pdf", headers={
        "Content-Disposition": f'inline; filename="{name}.pdf"', "Cache-Control": "private, no-cache",
    })  # fmt: skip


def _taken(shared: Shared, request: Request, number: str, fields: Fields) -> Response:
    person = _allowed(request, "enter")
    if person is None:
        return PlainTextResponse("Your name may not type rounds in.", 403)
    known = number.isascii() and number.isdigit() and len(number) < 7
    sheet = sheet_numbered(shared.log, int(number)) if known else None
    if sheet is None:
        return PlainTextResponse("There is no page of that number.", 404)
    by = by_of(shared.settings, person, fields["initials"], "")
    written = _written(fields["written"])
    whole = by if isinstance(by, Finding) else written if isinstance(written, Finding) else None
    if whole is not None or isinstance(by, Finding) or isinstance(written, Finding):
        assert whole is not None
        return _again(shared, request, sheet, fields, TypedSheet(mistakes=((None, whole),)))
    cells = {
        (int(found[1]), int(found[2])): text[:80]
        for name, text in fields.items() if (found := _CELL.fullmatch(name)) is not None
    }  # fmt: skip
    try:
        came = type_back(
            shared.log, sheet, cells, written, by, now=utcnow(), sure=_sure(fields["sure"], cells)
        )
    except NoLogbookError as error:
        came = TypedSheet(mistakes=((None, error.findings[0]),))
    if came.kept:
        shared.hub.announce(shared.live.snapshot.number)
    if came.mistakes or came.asks or came.conflicts:
        return _again(shared, request, sheet, fields, came)
    return RedirectResponse(f"/due/paper/{sheet.number}?kept={came.kept}&before={came.before}", 303)


def _written(text: str) -> datetime | Finding:
    """The time written on a sheet, by the clock on the wall."""
    try:
        return datetime.fromisoformat(text.strip()).astimezone(UTC)
    except (ValueError, OverflowError, OSError):
        return trouble(
            "ROUND-05", "the time on the sheet", "cannot be read", wanted="2026-08-02T18:30", found=text[:40]
        )


def _sure(text: str, cells: Mapping[Cell, str]) -> list[Cell]:
    """Cells whose unusual number was asked about and stands as it did."""
    said = set(text.split(";"))
    return [cell for cell, typed in cells.items() if f"{cell[0]}-{cell[1]}={typed.strip()}" in said]


def _again(shared: Shared, request: Request, sheet: RoundSheet, fields: Fields, came: TypedSheet) -> Response:
    typed = {
        f"{cell[0]}-{cell[1]}": fields[f"c{cell[0]}-{cell[1]}"].strip() for cell, _ in came.asks
    }  # fmt: skip
    asked = ";".join(f"{name}={text}" for name, text in typed.items())
    sent = Fields({**fields, "asked": asked})
    whole = next((one for cell, one in came.mistakes if cell is None), None)
    text = (
        f"{whole.subject} {whole.text}"
        if whole is not None
        else ASKED
        if not came.mistakes and came.asks
        else ""
    )
    if not text:
        text = "Nothing was kept: see what is marked." if came.mistakes else "All else is kept."
    errors = {
        WHOLE: FieldError(typed="", text=text, wanted=whole.wanted if whole is not None else "", sent=sent)
    }
    for cell, one in (*((cell, one) for cell, one in came.mistakes if cell is not None), *came.asks):
        errors[f"sheet:{cell[0]}:{cell[1]}"] = FieldError(
            typed=one.found, text=one.text, wanted=one.wanted, sent=sent
        )
    for number, (_, one) in enumerate(came.conflicts):
        errors[f"conflict:{number}"] = FieldError(
            typed=one.found, text=f"{one.subject} {one.text}", sent=sent
        )
    return shared.page(request, f"/due/paper/{sheet.number}", errors, 409 if came.conflicts else 422)
