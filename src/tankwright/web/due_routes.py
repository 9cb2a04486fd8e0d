"""Work ticked off: `POST /due/done`, from a form as from the queue, and what is due as a calendar file."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final
from urllib.parse import parse_qsl, quote, urlencode

from anyio import to_thread
from fastapi import FastAPI, Request
from starlette.datastructures import UploadFile
from starlette.responses import JSONResponse, PlainTextResponse, RedirectResponse, Response

from tankwright.finding import Finding
from tankwright.logbook.outcome import NOT_KEPT, By, NoLogbookError, Recorded, Refused
from tankwright.report.due import calendar_of_due
from tankwright.web import clock
from tankwright.web.access import Person, may, who
from tankwright.web.forms import form_of, key_with, whole
from tankwright.web.login import local_path
from tankwright.web.page import FieldError
from tankwright.web.shared import Shared
from tankwright.workspace.disk import utc_from_text, utcnow
from tankwright.workspace.outcomes import trouble
from tankwright.workspace.round_work import Asks, do_tasks, take_back, upcoming_of
from tankwright.workspace.settings import SettingsBook

AHEAD: Final = timedelta(minutes=1)
"""How far ahead a phone's clock may be before its time is not believed; our choice, no source."""
DAYS: Final = 60
"""How far a calendar file looks ahead."""
_MOST: Final = 2000
NOTHING_YET: Final = (
    "Nothing was kept yet: see what is marked; what is as read is kept when you send it once more."
)
NO_KEY: Final = "ROUND-03"
WHO: Final = "ROUND-13"


@dataclass(frozen=True, slots=True, kw_only=True)
class Sent:
    """What came: the fields, the ticked tasks, the numbers by their tasks."""

    fields: Mapping[str, str]
    ticked: tuple[str, ...]
    typed: tuple[tuple[str, str], ...]

    def get(self, name: str, most: int = 200) -> str:
        """A field as typed, "" when there is none."""
        return self.fields.get(name, "")[:most]


def add_due_routes(app: FastAPI, shared: Shared) -> None:
    """`POST /due/done` (key, kind "done" or "undo", tasks, value, sure, note, happened, undoes, initials; a form of
    the desk: task, many, and v:<task>) and `GET /due.ics`.

    A form is led back to its page; a queue, which accepts JSON, is told what became of its tap: 200 it stands, 422
    it never will, 403 not by this name, 503 not now.
    """

    @app.post("/due/done", include_in_schema=False)
    async def _done(request: Request) -> Response:
        async with form_of(request, most=_MOST, longest=40_000) as form:
            many = [(name, whole(one)) for name, one in form.multi_items() if not isinstance(one, UploadFile)]
        fields = dict(many)
        ticked = [one for name, one in many if name == "task"] + fields.get("tasks", "").split()
        typed = [(name[2:], one[:80]) for name, one in many if name.startswith("v:") and one.strip()]
        sent = Sent(fields=fields, ticked=tuple(one[:80] for one in ticked), typed=tuple(typed))
        return await to_thread.run_sync(_answer, shared, request, sent)

    @app.api_route("/due.ics", methods=["GET", "HEAD"], include_in_schema=False)
    def _calendar(request: Request) -> Response:
        return _file(shared, request)


def _answer(shared: Shared, request: Request, sent: Sent) -> Response:
    asks_json = "application/json" in request.headers.get("accept", "")
    person = who(request.scope)
    if person is None or not may(person, "enter"):
        said = "Your name may not tick off work."
        return JSONResponse({"text": said}, 403) if asks_json else PlainTextResponse(said, 403)
    try:
        came = _done(shared, sent, person, asks_json=asks_json)
    except NoLogbookError as error:
        came = Trouble(errors={"due": error.findings[0]}, later=True)
    back = local_path(sent.get("back", 2000) or "/due")
    if not isinstance(came, Trouble):
        shared.hub.announce(shared.live.snapshot.number)  # every open page of the round looks again
        if asks_json:
            return JSONResponse({"key": sent.get("key", 80)})
        return RedirectResponse(_with(back, came), 303)
    first = next(iter(came.errors.values()))
    status = 503 if came.later else 422
    if asks_json:
        return JSONResponse({"text": f"{first.subject} {first.text}", "wanted": first.wanted}, status)
    again = dict(sent.fields) | {"asked": came.asked, "ticked": " ".join(sent.ticked)}
    typed = dict(sent.typed)
    errors = {
        field: FieldError(
            typed=typed.get(field.removeprefix("due:"), sent.get("value", 80)), text=_words(one, field),
            wanted=one.wanted, sent=again,
        )
        for field, one in came.errors.items()
    }  # fmt: skip
    if not sent.get("tasks", 40_000):  # the form of the desk: what was ticked and typed stands there again
        errors.setdefault("due", FieldError(typed="", text=NOTHING_YET, sent=again))
    return shared.page(request, local_path(sent.get("page", 2000) or back), errors, status)


def _words(one: Finding, field: str) -> str:
    return one.text if field.startswith("due:") else f"{one.subject} {one.text}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Trouble:
    """Nothing was kept: what is wrong by field; `asked` are the unusual numbers that were asked about, to be sent
    along when they are as read; `later` when it may be sent again."""

    errors: Mapping[str, Finding]
    asked: str = ""
    later: bool = False


Kept = tuple[str, str, int]
"""What is shown of it: "done" or "undone", its key, how many tasks."""


def _done(shared: Shared, sent: Sent, person: Person, *, asks_json: bool) -> Kept | Trouble:
    key = sent.get("key", 80)
    if not key.strip():
        return Trouble(
            errors={"due": trouble(NO_KEY, "work", "has no key", wanted="a text of its sender's own")}
        )
    by = by_of(shared.settings, person, sent.get("initials", 12), key)
    if isinstance(by, Finding):
        return Trouble(errors={"due": by})
    now = utcnow()
    if sent.get("kind") == "undo":
        came = take_back(shared.log, sent.get("undoes", 80), by, now)
        return _told(came) or ("undone", sent.get("undoes", 80), 1)
    happened = _moment(sent.get("happened", 60), now)
    if happened is None:
        return Trouble(errors={"due": trouble(NO_KEY, "work", "has no moment that can be read",
                                              wanted="2026-08-02T07:15:00Z")})  # fmt: skip
    if sent.get("tasks", 40_000):
        return _one(shared, sent, by, happened)
    if not asks_json:
        said = dict(sent.typed) | {"task": " ".join(sent.ticked)}
        by = By(who=by.who, device=by.device, key=key_with(key, said))
    return _many(shared, sent, by, happened)


def _one(shared: Shared, sent: Sent, by: By, happened: datetime) -> Kept | Trouble:
    """A tap of the phone: ticks, or one number."""
    typed = sent.get("value", 80)
    sure = bool(sent.get("sure", 80).strip()) and _same(sent.get("sure", 80), typed)
    came = do_tasks(
        shared.log, sent.ticked, by, happened=happened, typed=typed, sure=sure, note=sent.get("note", 2000)
    )
    if isinstance(came, Asks):
        return Trouble(errors={f"due:{sent.ticked[0]}": came.finding}, asked=typed)
    if isinstance(came, Refused) and len(sent.ticked) == 1 and came.findings[0].code != NOT_KEPT:
        return Trouble(errors={f"due:{sent.ticked[0]}": came.findings[0]})
    return _told(came) or ("done", by.key, len(sent.ticked))


def _many(shared: Shared, sent: Sent, by: By, happened: datetime) -> Kept | Trouble:
    """A form of the desk: everything in one submission, or nothing and all that is wrong."""
    from tankwright.workspace.round_desk import do_many  # noqa: PLC0415 - only the desk sends so much

    came = do_many(shared.log, sent.ticked, sent.typed, by, happened=happened, sure=sent.get("sure", 40_000))
    if isinstance(came, Mapping):
        asked = ";".join(f"{name}={one}" for name, one in sent.typed)
        return Trouble(errors={f"due:{name}": one for name, one in came.items()}, asked=asked)
    return _told(came) or ("done", by.key, len(sent.ticked) + len(sent.typed))


def _told(came: Recorded | Refused) -> Trouble | None:
    if isinstance(came, Recorded):
        return None
    return Trouble(errors={"due": came.findings[0]}, later=came.findings[0].code == NOT_KEPT)


def by_of(settings: SettingsBook, person: Person, initials: str, key: str) -> By | Finding:
    """Who did it: the name that is logged in, or, on a tablet that several share, whose initials were given; then the
    name that is logged in is the device."""
    wanted = initials.strip()
    if not wanted:
        return By(who=person.name, key=key)
    named = settings.current.initialled(wanted)
    if named is None:
        return trouble(WHO, "initials", f'"{wanted[:12]}" are of nobody in the list', found=wanted[:12],
                       wanted=", ".join(settings.current.all_initials().values()) or "a list of people")  # fmt: skip
    return By(who=named.name, device=person.name, key=key)


def _same(one: str, other: str) -> bool:
    def read(text: str) -> str:
        return re.sub(r"[^\d.-]", "", text.replace(",", "."))

    return read(one) == read(other)


def _moment(text: str, now: datetime) -> datetime | None:
    """The moment a sender named, now where it lies ahead; None when it is none."""
    if not text.strip():
        return now
    try:
        moment = utc_from_text(text.strip())
    except (ValueError, OverflowError):
        return None
    return now if moment - now > AHEAD else moment


def _with(back: str, came: Kept) -> str:
    """The page to go back to, which shows what was done and offers to take it back."""
    path, _, asked = back.partition("?")
    kept = [
        (name, one) for name, one in parse_qsl(asked) if name not in ("done", "undone", "n", "task", "value")
    ]
    what, key, count = came
    return f"{path}?{urlencode([*kept, (what, key), ('n', str(count))], quote_via=quote)}"


def _file(shared: Shared, request: Request) -> Response:
    person = who(request.scope)
    if person is None or not may(person, "look"):
        return PlainTextResponse("Your name may not open this.", 403)
    good = shared.live.snapshot.good
    room = good.room if good is not None else None
    now, today = utcnow(), clock.today()
    study = good.study if good is not None else None
    coming = upcoming_of(shared.log, clock.day_of, today, today + timedelta(days=DAYS), study=study)
    raw = calendar_of_due(
        coming,
        title=f"{room.title if room is not None else 'Fish room'}: due",
        room=shared.live.path.stem,
        stamp=now,
    )
    name = re.sub(r"[^A-Za-z0-9]+", "-", room.title if room is not None else "room").strip("-")[:60] or "room"
    return Response(raw, media_type="text/calendar; charset=utf-8", headers={
        "Content-Disposition": f'attachment; filename="{name}-due.ics"', "Cache-Control": "private, no-cache",
    })  # fmt: skip
