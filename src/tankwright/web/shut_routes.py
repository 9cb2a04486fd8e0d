"""The writes of quarantine, `POST /quarantine/...`: shut off, open again, tools made, used, cleaned, hands washed."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Final

from anyio import to_thread
from fastapi import FastAPI, Request
from starlette.responses import PlainTextResponse, RedirectResponse, Response

from tankwright.display import sentence
from tankwright.finding import Finding, Severity
from tankwright.husbandry.contacts import HANDS
from tankwright.husbandry.quarantine import release_findings
from tankwright.husbandry.records import Draft, Plain
from tankwright.logbook.outcome import By, NoLogbookError, Refused
from tankwright.plan.ids import IdsError, expand_ids
from tankwright.web.access import may, who
from tankwright.web.forms import fields_of, key_with
from tankwright.web.login import local_path
from tankwright.web.page import FieldError
from tankwright.web.shared import Shared
from tankwright.workspace.contact_work import plan_times
from tankwright.workspace.quarantine_work import shut_room

Make = Callable[[Shared, Mapping[str, str]], "Sequence[Draft] | Finding"]
MOST_DAYS: Final = 3650.0
MOST_HOURS: Final = 24.0 * 365
NOT_READ: Final = "SHUT-12"


def add_shut_routes(app: FastAPI, shared: Shared) -> None:
    """`POST /quarantine/{form}`: shut (tanks, days), release (quarantine, reason), tool (label, hours, zone), used
    (tool, tank), cleaned (tool, how), washed. All lead back to the page they came from."""

    @app.post("/quarantine/{form}", include_in_schema=False)
    async def _written(request: Request, form: str) -> Response:
        fields = await fields_of(request, most=20, longest=10_000)
        return await to_thread.run_sync(_write, shared, request, form, fields)


def _write(shared: Shared, request: Request, form: str, fields: Mapping[str, str]) -> Response:
    person = who(request.scope)
    if person is None or not may(person, "enter"):
        return PlainTextResponse("Your name may not make entries.", 403)
    make = _FORMS.get(form)
    if make is None:
        return PlainTextResponse("There is no such form.", 404)
    back = local_path(fields.get("back", "") or "/quarantine")
    name = f"release-{fields.get('quarantine', '')[:60]}" if form == "release" else form
    key = key_with(fields.get("key", "")[:80], {**fields, "key": "", "form": form})
    try:
        if key and shared.log.book.by_key(key) is not None:  # sent twice: it stands
            return RedirectResponse(back, 303)
        drafts = make(shared, fields)
        if isinstance(drafts, Finding):
            return _told(shared, request, back, name, fields, drafts)
        outcome = shared.log.book.record(drafts, By(who=person.name, key=key))
    except (NoLogbookError, OSError):
        not_kept = _wrong(
            "could not be kept: the logbook cannot be written", "a disk with room that may be written"
        )
        return _told(shared, request, back, name, fields, not_kept, status=503)
    if isinstance(outcome, Refused):
        return _told(shared, request, back, name, fields, outcome.findings[0])
    shared.hub.announce(shared.live.snapshot.number)
    return RedirectResponse(back, 303)


def _told(
    shared: Shared,
    request: Request,
    back: str,
    name: str,
    fields: Mapping[str, str],
    wrong: Finding,
    *,
    status: int = 422,
) -> Response:
    room = shared.live.snapshot.good.room if shared.live.snapshot.good else None
    text = sentence(wrong.text, wrong.numbers, room.display if room else "metric")
    error = FieldError(
        typed="", text=f"{wrong.subject} {text}".strip(), wanted=wrong.wanted or wrong.remedy, attempt=wrong.attempt,
        sent=dict(fields),
    )  # fmt: skip
    return shared.page(request, back, {f"shut:{name}": error}, status)


def _wrong(text: str, wanted: str, subject: str = "") -> Finding:
    return Finding(code=NOT_READ, severity=Severity.PROBLEM, subject=subject, text=text, wanted=wanted)


def _number(text: str, most: float) -> float | None:
    """A number above nothing as it was typed; None for what is none."""
    try:
        number = float(text.strip().replace(",", "."))
    except ValueError:
        return None
    return number if 0.0 < number <= most else None


def _shut(shared: Shared, fields: Mapping[str, str]) -> Sequence[Draft] | Finding:
    days = _number(fields.get("days", ""), MOST_DAYS)
    if days is None:
        return _wrong(f'"{fields.get("days", "")[:30]}" is no number of days', "days, such as 30")
    book = shared.log.book
    try:
        names = expand_ids(fields.get("tanks", ""))
    except IdsError as wrong:
        return _wrong(wrong.text, "tanks, such as Q1..Q4, A3", "the list of tanks")
    places = {name: book.place_labelled(name) for name in names}
    missing = [name for name, place in places.items() if place is None]
    if missing or not places:
        said = f"has no tank {', '.join(missing[:5])}" if missing else "is told of no tank"
        return _wrong(said, "tanks of the plan, such as Q1..Q4, A3", "the room")
    shut = {place for one in book.quarantines() if one.released is None for place in one.places}
    twice = [name for name, place in places.items() if place is not None and place.id in shut]
    if twice:
        return _wrong("is shut off already", "tanks that are open", f"tank {', '.join(twice[:5])}")
    ids = tuple(place.id for place in places.values() if place is not None)
    details: dict[str, Plain] = {"quarantine": shared.log.new_id(), "places": ids, "least_days": days}
    return [Draft(kind="quarantine_opened", happened=shared.log.now(), details=details)]


def _release(shared: Shared, fields: Mapping[str, str]) -> Sequence[Draft] | Finding:
    good = shared.live.snapshot.good
    name, reason = fields.get("quarantine", "")[:60], fields.get("reason", "").strip()[:400]
    if good is None or good.room is None:
        return _wrong(
            "cannot be read just now, so its water is not known", "a plan without mistakes", "the plan"
        )
    now = shared.log.now()
    opened = next((one.opened for one in shared.log.book.quarantines() if one.id == name), None)
    times = plan_times(
        shared.live.revisions(2000), shared.live.text_at, good.room, shared.live.path, opened or now
    )
    found = shut_room(shared.log, good.room, times, now)
    clock = (
        next((one for one in found.open if one.quarantine.id == name), None) if found is not None else None
    )
    if clock is None:
        return _wrong("is not shut off any more", "one that is shut off", "this quarantine")
    refused = [one for one in release_findings(clock, reason) if one.severity is Severity.PROBLEM]
    if refused:
        return refused[0]
    return [Draft(kind="quarantine_released", happened=now, reason=reason, details={"quarantine": name})]


def _tool(shared: Shared, fields: Mapping[str, str]) -> Sequence[Draft] | Finding:
    label, hours = fields.get("label", "").strip()[:80], _number(fields.get("hours", ""), MOST_HOURS)
    if not label:
        return _wrong("has no name", "a name, such as green net", "the new tool")
    if hours is None:
        return _wrong(f'"{fields.get("hours", "")[:30]}" is no number of hours', "hours, such as 24")
    if any(one.label == label for one in shared.log.book.tools()):
        return _wrong("is there already", "another name", label)
    details: dict[str, Plain] = {
        "tool": shared.log.new_id(),
        "label": label,
        "wet_hours": hours,
        "zone": fields.get("zone", "")[:80],
    }
    return [Draft(kind="tool_made", happened=shared.log.now(), details=details)]


def _used(shared: Shared, fields: Mapping[str, str]) -> Sequence[Draft] | Finding:
    place = shared.log.book.place_labelled(fields.get("tank", "")[:200])
    if place is None:
        return _wrong(
            "has no such tank" if fields.get("tank") else "is told of no tank", "a tank", "the room"
        )
    details = {"tool": fields.get("tool", "")[:60]}
    return [Draft(kind="tool_used", happened=shared.log.now(), place=place.id, details=details)]


def _cleaned(shared: Shared, fields: Mapping[str, str]) -> Sequence[Draft] | Finding:
    details = {"tool": fields.get("tool", "")[:60], "how": fields.get("how", "").strip()[:200]}
    return [Draft(kind="tool_cleaned", happened=shared.log.now(), details=details)]


def _washed(shared: Shared, fields: Mapping[str, str]) -> Sequence[Draft] | Finding:
    """Every tool disinfected and hands washed; hands are a tool from the first time on."""
    del fields
    now = shared.log.now()
    tools = shared.log.book.tools()
    drafts = []
    if all(one.id != HANDS for one in tools):
        made: dict[str, Plain] = {"tool": HANDS, "label": "hands", "wet_hours": 1.0, "zone": ""}
        drafts.append(Draft(kind="tool_made", happened=now, details=made))
    for name in dict.fromkeys((*(one.id for one in tools), HANDS)):
        drafts.append(
            Draft(kind="tool_cleaned", happened=now, details={"tool": name, "how": "washed, disinfected"})
        )
    return drafts


_FORMS: Final[Mapping[str, Make]] = {
    "shut": _shut, "release": _release, "tool": _tool, "used": _used, "cleaned": _cleaned, "washed": _washed,
}  # fmt: skip
