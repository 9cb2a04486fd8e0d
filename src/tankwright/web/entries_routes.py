"""The writes of the phone pages: `POST /enter`, from a form as from the queue, and the last entries as a page part."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, replace
from typing import Final

from anyio import to_thread
from fastapi import FastAPI, Request
from starlette.responses import JSONResponse, PlainTextResponse, RedirectResponse, Response

from tankwright.display import sentence
from tankwright.finding import Finding
from tankwright.logbook import outcome
from tankwright.web.access import Person, may, who
from tankwright.web.deeding import DEEDS, Done, carry_out, take_back
from tankwright.web.entering import UNDO, Kept, Sent, enter
from tankwright.web.forms import fields_of, key_with
from tankwright.web.login import local_path
from tankwright.web.page import FieldError
from tankwright.web.shared import Shared
from tankwright.workspace.disk import utcnow
from tankwright.workspace.entries import NOT_KEPT, Entry, read_value

_PARTS: Final = {"key": 80, "tank": 200, "kind": 40, "value": 80, "note": 4000, "happened": 60, "undoes": 80}
"""The fields of an entry and the most signs of each that are read."""
NOT_NOW: Final = frozenset(
    {NOT_KEPT, outcome.NOT_KEPT, outcome.NO_LOGBOOK, outcome.NEWER, outcome.ONLY_READ, outcome.HELD}
)
"""What may be taken at another try: nothing is wrong with what was sent."""

_NEEDS_ITS_SUBJECT: Final = (
    "is ", "has ", "takes ", "says ", "cannot ", "would ", "lies ", "names ", "needs ", "was ", "moves ", "still ",
)  # fmt: skip


def add_entries_routes(app: FastAPI, shared: Shared) -> None:
    """`POST /enter` with key, kind, tank, value, note, happened, undoes and, for a form, the page to go back to.

    A form is led back to its page; a queue, which accepts JSON, is told what became of its entry: 200 it stands, 422
    it never will, 403 not by this name, 503 not now.
    """

    @app.post("/enter", include_in_schema=False)
    async def _enter(request: Request) -> Response:
        fields = await fields_of(request, most=40, longest=40_000)
        return await to_thread.run_sync(_entered, shared, request, fields)

    @app.get("/t/{tank}/entries", include_in_schema=False)
    def _entries(request: Request) -> Response:
        return shared.page(request, request.url.path.removesuffix("/entries"), {}, part="entries.html")


def _entered(shared: Shared, request: Request, fields: Mapping[str, str]) -> Response:
    asks_json = "application/json" in request.headers.get("accept", "")
    person = who(request.scope)
    if person is None or not may(person, "enter"):
        said = "Your name may not make entries."
        return JSONResponse({"text": said}, 403) if asks_json else PlainTextResponse(said, 403)
    back = local_path(fields.get("back", ""))
    sent = _sent(fields)
    undone = (
        take_back(shared.log, sent.key, sent.undoes, who=person.name) if _is_of_a_deed(shared, sent) else None
    )
    if undone is not None or sent.kind in DEEDS:
        done = undone or carry_out(shared.log, {**fields, "key": _key_of(fields, sent, asks_json)}, who=person.name,
                                   now=utcnow())  # fmt: skip
        return _answered(shared, request, fields, sent, done)
    if not asks_json and _means_another(shared.entries.by_key(sent.key), sent):
        sent = replace(sent, key=key_with(sent.key, {**asdict(sent), "key": ""}))
    kept = _take(shared, sent, person)
    if isinstance(kept, Kept):
        if not kept.repeated:  # an open page of the same tank looks again
            shared.hub.announce(shared.live.snapshot.number)
        return _told(kept) if asks_json else RedirectResponse(_with(back, sent), 303)
    return _refused(shared, request, fields, sent, kept)


def _refused(
    shared: Shared, request: Request, fields: Mapping[str, str], sent: Sent, kept: Finding
) -> Response:
    asks_json = "application/json" in request.headers.get("accept", "")
    status = 503 if kept.code in NOT_NOW else 422
    room = shared.live.snapshot.good.room if shared.live.snapshot.good else None
    said = sentence(kept.text, kept.numbers, room.display if room else "metric")
    if said.startswith(_NEEDS_ITS_SUBJECT):
        said = f"{kept.subject} {said}"
    if asks_json:
        return JSONResponse({"text": said, "wanted": kept.wanted}, status)
    typed = fields.get("note" if sent.kind == "note" else "value", "")
    error = FieldError(typed=typed, text=said, wanted=kept.wanted, attempt=kept.attempt, sent=fields)
    page = local_path(fields.get("page", fields.get("back", "")))
    return shared.page(request, page, {f"enter:{sent.kind}": error}, status)


def _is_of_a_deed(shared: Shared, sent: Sent) -> bool:
    """True for the taking back of what no entry is."""
    return sent.kind == UNDO and bool(sent.undoes) and shared.entries.by_key(sent.undoes) is None


def _key_of(fields: Mapping[str, str], sent: Sent, asks_json: bool) -> str:
    """The key of a deed; a form that is gone back to and filled in anew means another one."""
    said = {name: text for name, text in fields.items() if name not in {"key", "back", "page", "happened"}}
    return sent.key if asks_json else key_with(sent.key, said)


def _answered(
    shared: Shared, request: Request, fields: Mapping[str, str], sent: Sent, done: Done | Finding
) -> Response:
    """What becomes of a deed."""
    if isinstance(done, Finding):
        return _refused(shared, request, fields, sent, done)
    if not done.outcome.repeated:
        shared.hub.announce(shared.live.snapshot.number)
    first = done.outcome.events[0]
    if "application/json" in request.headers.get("accept", ""):
        return JSONResponse(
            {"id": first.serial, "key": sent.key, "repeated": done.outcome.repeated, "said": done.said}
        )
    return RedirectResponse(
        _with(local_path(fields.get("back", "")), replace(sent, key=first.key or sent.key)), 303
    )


def _sent(fields: Mapping[str, str]) -> Sent:
    read = {name: fields.get(name, "")[:most] for name, most in _PARTS.items()}
    return Sent(
        key=read["key"], tank=read["tank"], kind=read["kind"], typed=read["value"], note=read["note"],
        happened=read["happened"], undoes=read["undoes"],
    )  # fmt: skip


def _means_another(before: Entry | None, sent: Sent) -> bool:
    """True when an entry was stored under this key that says something else: its form was sent, gone back to, and
    filled in anew. (A queue has a key for each tap, so there the first one stands whatever comes later.)"""
    if before is None or sent.kind == UNDO or before.undoes is not None:
        return False
    if (before.tank, before.kind, before.note) != (sent.tank.strip(), sent.kind, sent.note.strip()):
        return True
    read = read_value(before.kind, sent.typed)
    return not isinstance(read, Finding) and read != (before.value, before.unit)


def _take(shared: Shared, sent: Sent, person: Person) -> Kept | Finding:
    good = shared.live.snapshot.good
    return enter(shared.entries, good.room if good is not None else None, sent, who=person.name)


def _told(kept: Kept) -> Response:
    return JSONResponse(
        {"id": kept.entry.id, "key": kept.entry.key, "repeated": kept.repeated, "said": kept.said}
    )


def _with(back: str, sent: Sent) -> str:
    """The page to go back to, which shows what was done and offers to take it back."""
    path, _, asked = back.partition("?")
    name, key = ("undone", sent.undoes) if sent.kind == UNDO else ("done", sent.key)
    kept_parts = [part for part in asked.split("&") if part and not part.startswith(("done=", "undone="))]
    more = [*kept_parts, f"{name}={key}"] if key.isalnum() else kept_parts
    return f"{path}?{'&'.join(more)}" if more else path
