"""The forms around the round: `POST /due/task`, `/due/take` and `/due/stores`."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Final
from urllib.parse import urlencode

from anyio import to_thread
from fastapi import FastAPI, Request
from starlette.datastructures import UploadFile
from starlette.responses import PlainTextResponse, RedirectResponse, Response

from tankwright.finding import Finding
from tankwright.husbandry.proposals import task_draft, tasks_of
from tankwright.husbandry.records import Draft
from tankwright.logbook.outcome import NOT_KEPT, By, NoLogbookError, Recorded, Refused
from tankwright.web.access import Person, may, who
from tankwright.web.forms import Fields, form_of, key_with, whole
from tankwright.web.page import FieldError
from tankwright.web.pages.due_work import alike_by, proposals_of
from tankwright.web.shared import Shared
from tankwright.workspace.disk import utcnow
from tankwright.workspace.outcomes import trouble
from tankwright.workspace.round_forms import BAD, read_store, read_task

Do = Callable[[Shared, "Fields", list[str], Person], Response | Mapping[str, Finding]]
WORK: Final = "/due/work"
STORES: Final = "/due/stores"


def add_due_forms_routes(app: FastAPI, shared: Shared) -> None:
    """`POST /due/task` (do "set" or "stop") and `/due/take` (kind, feed) need the right to change the plan: they say
    what others are to do. `POST /due/stores` (form "culture", "culture-end", "treatment", "spares") needs that to enter
    what happened."""

    @app.post("/due/task", include_in_schema=False)
    async def _task(request: Request) -> Response:
        return await _sent(shared, request, "edit", WORK, _set)

    @app.post("/due/take", include_in_schema=False)
    async def _take(request: Request) -> Response:
        return await _sent(shared, request, "edit", WORK, _taken)

    @app.post("/due/stores", include_in_schema=False)
    async def _stores(request: Request) -> Response:
        return await _sent(shared, request, "enter", STORES, _stored)


async def _sent(shared: Shared, request: Request, deed: str, page: str, do: Do) -> Response:
    person = who(request.scope)
    if person is None or not may(person, deed):
        return PlainTextResponse("Your name may not do this.", 403)
    async with form_of(request, most=60, longest=20_000) as form:
        many = [(name, whole(one)) for name, one in form.multi_items() if not isinstance(one, UploadFile)]
    fields = Fields(many)
    days = [one for name, one in many if name == "weekday"]
    return await to_thread.run_sync(_answer, shared, request, page, do, fields, days, person)


def _answer(
    shared: Shared, request: Request, page: str, do: Do, fields: Fields, days: list[str], person: Person
) -> Response:
    try:
        came = do(shared, fields, days, person)
    except NoLogbookError as error:
        came = {"": error.findings[0]}
    if isinstance(came, Response):
        shared.hub.announce(shared.live.snapshot.number)
        return came
    form = fields["form"] or "task"
    sent = {**fields, "weekdays": " ".join(days)}
    errors = {
        f"{form}:{name}" if name else form: FieldError(
            typed=fields.get(name, "")[:400], text=one.text if name else f"{one.subject} {one.text}",
            wanted=one.wanted, sent=Fields(sent),
        )
        for name, one in came.items()
    }  # fmt: skip
    later = any(one.code == NOT_KEPT for one in came.values())
    asked = f"{page}?change={fields['task']}" if fields["task"] and fields["do"] == "set" else page
    return shared.page(request, asked, errors, 503 if later else 422)


def _record(
    shared: Shared, drafts: tuple[Draft, ...], fields: Fields, person: Person
) -> Mapping[str, Finding] | None:
    said = {name: one for name, one in fields.items() if name not in ("key", "back")}
    by = By(who=person.name, key=key_with(fields["key"], said))
    came: Recorded | Refused = shared.log.book.record(drafts, by)
    return None if isinstance(came, Recorded) else {"": came.findings[0]}


def _led(page: str, **said: str) -> Response:
    return RedirectResponse(f"{page}?{urlencode({name: one for name, one in said.items() if one})}", 303)


def _set(shared: Shared, fields: Fields, days: list[str], person: Person) -> Response | Mapping[str, Finding]:
    book, now = shared.log.book, utcnow()
    tasks = {one.id: one for one in book.tasks()}
    known = tasks.get(fields["task"])
    if fields["task"] and known is None:
        return {"": trouble(BAD, "work", "is not in the list any more", wanted="work of the list")}
    if fields["do"] == "stop":
        if known is None:
            return {"": trouble(BAD, "work", "is not named", wanted="work of the list")}
        alike = [one for one in tasks.values() if alike_by(one) == alike_by(known)]
        drafts = tuple(
            Draft(kind="task_stopped", happened=now, place=one.place, details={"task": one.id})
            for one in alike
        )
        return _record(shared, drafts, fields, person) or _led(WORK, stopped=known.label)
    came = read_task(fields, days, book.places(), known, shared.log.new_id, now)
    if isinstance(came, Mapping):
        return came
    return _record(shared, came, fields, person) or _led(WORK, kept=str(came[0].details["label"]))


def _taken(shared: Shared, fields: Fields, _: list[str], person: Person) -> Response | Mapping[str, Finding]:
    good = shared.live.snapshot.good
    proposed = proposals_of(good) if good is not None else ()
    one = next((one for one in proposed if one.kind == fields["kind"] and one.feed == fields["feed"]), None)
    if one is None:
        return {"": trouble(BAD, "work", "is none that the plan proposes", wanted="work of the list")}
    book = shared.log.book
    places = {place.label: place.id for place in book.places()}
    known = {(task.kind, task.place, task.label) for task in book.tasks()}
    ids = {number: shared.log.new_id() for number in range(len(one.wanted))}
    new = [task for task in tasks_of(one, places, ids) if (task.kind, task.place, task.label) not in known]
    if not new:
        return _led(WORK, taken=one.label)
    now = utcnow()
    wrong = _record(shared, tuple(task_draft(task, now) for task in new), fields, person)
    return wrong or _led(WORK, taken=one.label)


def _stored(shared: Shared, fields: Fields, _: list[str], person: Person) -> Response | Mapping[str, Finding]:
    came = read_store(fields, shared.log.book.places(), shared.log.new_id, utcnow())
    if isinstance(came, Mapping):
        return came
    draft, told = came
    what = str(draft.details.get("what", draft.details.get("with", "")))
    return _record(shared, (draft,), fields, person) or _led(STORES, kept=what, told=told)
