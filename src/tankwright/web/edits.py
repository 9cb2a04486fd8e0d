"""What a form sends: a change of the plan, made of the form's fields, and what its answer is."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Final

from tankwright.display import sentence, words
from tankwright.finding import Finding, Number, Severity
from tankwright.plan.changes import (
    AddRow,
    Change,
    MoveRack,
    MoveTank,
    RemoveRow,
    SetRaw,
    SetTap,
    SetText,
    SetValue,
    TurnElbow,
)
from tankwright.plan.changes_begin import Begin
from tankwright.plan.changes_build import AddDelivery, SetDaysOff
from tankwright.plan.changes_buy import AddSold
from tankwright.plan.changes_dump import AddDumpEvent
from tankwright.plan.changes_glass import MoveHole
from tankwright.plan.changes_life import AddStock, AddWater, SetMix, SetTransmittance
from tankwright.plan.changes_moves import CANNOT_STAND_THERE
from tankwright.plan.changes_racks import AddSag, AddVoid, SetJoists, TakeBearers
from tankwright.plan.changes_taps import SetTaps
from tankwright.plan.editing import quoted
from tankwright.units import QuantityError, parse_quantity
from tankwright.web.page import FieldError
from tankwright.web.pointer import from_pointer
from tankwright.workspace.arrange_work import proposed
from tankwright.workspace.live import Applied, Conflict, LivePlan, Outcome, Refused

Fields = Mapping[str, str]

_MOST_REASONS: Final = 3  # why an edit is refused, beside its field
_CLOCK: Final = re.compile(r"(\d{1,2})[:.h](\d{2})", re.ASCII)
_PLAIN: Final = re.compile(r"\d{1,6}(\.\d{1,6})?", re.ASCII)


_FORGOTTEN: Final = Finding(
    code="WISH-13", severity=Severity.PROBLEM, subject="", text="that proposal is not known any more",
    remedy="search again, then take it",
)  # fmt: skip


class BadFormError(ValueError):
    """A form without a field it needs, or with one that cannot be read: not what our pages send."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """One form sent: what to do, on which number of the plan, under which key, by whom, from which page."""

    fields: Fields
    base: int
    key: str
    who: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What came of it: `status` 200, 409 or 422, the errors by field, and the number of the plan now."""

    status: int
    number: int
    errors: Mapping[str, FieldError]


def _number(fields: Fields, name: str) -> float:
    text = _needed(fields, name)
    try:
        value = float(text.replace(",", ".").strip().removesuffix("%").strip())
    except ValueError:
        raise BadFormError(f'"{name}" is not a number') from None
    if not math.isfinite(value) or abs(value) > 1e6:
        raise BadFormError(f'"{name}" is out of range')
    return value


def _needed(fields: Fields, name: str) -> str:
    if name not in fields:
        raise BadFormError(f'the form has no "{name}"')
    return fields[name]


def _rack(fields: Fields) -> Change:
    at = (_number(fields, "x"), _number(fields, "y")) if fields.get("x") else None
    off = _number(fields, "off") if fields.get("off") else None
    along = _number(fields, "along") if fields.get("along") else 0.0
    return MoveRack(_needed(fields, "rack"), along=along, off=off, at=at)


def _dump(fields: Fields) -> Change:
    """An event for a drain: a filling hose left in a tank, or standpipes pulled."""
    drain, typed = _needed(fields, "drain"), _needed(fields, "typed")
    if fields.get("kind") != "hose":
        return AddDumpEvent(drain=drain, pulled=typed)
    tank = _needed(fields, "tank")
    if not tank:
        raise BadFormError("no tank is chosen")
    return AddDumpEvent(drain=drain, hose_in=tank, flow=typed)


def _elbow(fields: Fields) -> Change:
    """An elbow's turn as it was typed: a bare number is degrees. What is no angle is refused by the plan, in words."""
    tank, typed = _needed(fields, "tank"), fields.get("typed", fields.get("angle", "")).strip()
    plain = typed.replace(",", ".").removeprefix("-")
    try:
        angle = parse_quantity(f"{typed} deg" if _PLAIN.fullmatch(plain) else typed, "angle").value
    except QuantityError:
        return SetValue(("tank", tank, "overflow", "angle"), typed)
    return TurnElbow(tank, angle=angle)


def _hole(fields: Fields) -> Change:
    """A hole elsewhere in its pane: moved by hand, in metres, or both its measures as they were typed."""
    kind, number = _needed(fields, "kind"), int(_number(fields, "number"))
    if number not in range(100):
        raise BadFormError('"number" is out of range')
    if "x" in fields:
        return MoveHole(kind, _number(fields, "x"), _number(fields, "y"), number)
    return MoveHole(kind, _needed(fields, "across"), _needed(fields, "down"), number)


def _tap(fields: Fields) -> Change:
    """One tap: a bare number is per cent of its open area, "" is fully open, all else is read as the plan reads it."""
    tank, typed = _needed(fields, "tank"), fields.get("typed", fields.get("opening", "")).strip()
    try:
        opening = float(typed.replace(",", ".")) / 100
    except ValueError:
        return SetValue(("tank", tank, "air_opening"), typed)
    return SetTap(tank, opening=opening)


def _taps(fields: Fields) -> Change:
    """Many taps: "A1=34.2" a line, in per cent, and the rings whose spare taps are shut, one a line."""
    openings = []
    for pair in _needed(fields, "openings").split("\n"):
        tank, _, opening = pair.strip().rpartition("=")
        if pair.strip():
            openings.append((tank, _number({"opening": opening}, "opening") / 100))
    shut = (run.strip() for run in fields.get("shut", "").split("\n"))
    return SetTaps(openings=tuple(openings), shut_spare=tuple(run for run in shut if run))


def _begin(fields: Fields) -> Change:
    system = _needed(fields, "system")
    if system == "air":
        return Begin("air")
    if system == "feed":
        return Begin("feed")
    raise BadFormError(f'"{system}" cannot be begun')


def _program(fields: Fields) -> Change:
    """One more program of a feed, of three fields as they were typed."""
    minutes = _needed(fields, "minutes").strip().replace(",", ".")
    shown = minutes if _PLAIN.fullmatch(minutes) else quoted(minutes)
    clock = _CLOCK.fullmatch(_needed(fields, "start").strip())
    start = quoted(f"{clock[1]:0>2}:{clock[2]}" if clock else _needed(fields, "start").strip())
    days = quoted(_needed(fields, "days").strip())
    row = f"{{ start = {start}, minutes = {shown}, days = {days} }}"
    return AddRow(from_pointer(_needed(fields, "path")), row)


def _point(fields: Fields) -> Change:
    """One more point of a pump's curve, of two fields as they were typed."""
    pressure, flow = (quoted(_needed(fields, name).strip()) for name in ("pressure", "flow"))
    return AddRow(from_pointer(_needed(fields, "path")), f"[{pressure}, {flow}]")


def _stock(fields: Fields) -> Change:
    """One more row of stock, of four fields as they were typed."""
    names = ("tanks", "species", "count", "each")
    return AddStock(**{name: _needed(fields, name) for name in names})


def _sold(fields: Fields) -> Change:
    """How an article is sold, of six fields as they were typed."""
    names = ("article", "sold_in", "pack", "price", "have", "offcuts")
    return AddSold(**{name: _needed(fields, name) for name in names})


def _void(fields: Fields) -> Change:
    """A place no foot may stand over, of six fields as they were typed."""
    x, y, across, deep = (_needed(fields, name) for name in ("x", "y", "across", "deep"))
    return AddVoid(room=_needed(fields, "room"), name=_needed(fields, "name"), at=(x, y), size=(across, deep))


def _mix(fields: Fields) -> Change:
    """What a water is mixed of: the fields "of:tap", "of:pure" ... as they were typed."""
    shares = {name.removeprefix("of:"): typed for name, typed in fields.items() if name.startswith("of:")}
    return SetMix(name=_needed(fields, "name"), shares=shares)


CHANGES: Final[Mapping[str, Callable[[Fields], Change]]] = {
    "value": lambda fields: SetValue(from_pointer(_needed(fields, "path")), _needed(fields, "typed")),
    "raw": lambda fields: SetRaw(from_pointer(_needed(fields, "path")), _needed(fields, "typed")),
    "text": lambda fields: SetText(_needed(fields, "typed").replace("\r\n", "\n")),
    "add": lambda fields: AddRow(from_pointer(_needed(fields, "path")), _needed(fields, "typed")),
    "remove": lambda fields: RemoveRow(from_pointer(_needed(fields, "path")), int(_number(fields, "index"))),
    "dump": _dump,
    "rack": _rack,
    "tank": lambda fields: MoveTank(_needed(fields, "tank"), from_left=_number(fields, "from_left")),
    "elbow": _elbow,
    "hole": _hole,
    "tap": _tap,
    "taps": _taps,
    "begin": _begin,
    "stock": _stock,
    "water": lambda fields: AddWater(name=_needed(fields, "name"), comes_from=_needed(fields, "comes_from")),
    "mix": _mix,
    "transmittance": lambda fields: SetTransmittance(
        room=_needed(fields, "room"), part=_needed(fields, "part"), typed=_needed(fields, "typed")
    ),
    "sold": _sold,
    "bearers": lambda fields: TakeBearers(_needed(fields, "kind"), fields.get("section", "")),
    "sag": lambda fields: AddSag(
        **{name: _needed(fields, name) for name in ("rack", "shelf", "bearer", "sag")},
        measured=fields.get("measured", ""),
        days=fields.get("days", ""),
    ),
    "joists": lambda fields: SetJoists(
        **{name: _needed(fields, name) for name in ("room", "section", "every", "run")},
        span=fields.get("span", ""),
    ),
    "void": _void,
    "program": _program,
    "point": _point,
    "days_off": lambda fields: SetDaysOff(
        first=_needed(fields, "first"), last=fields.get("last", ""), off=fields.get("off") != "no"
    ),
    "delivery": lambda fields: AddDelivery(what=_needed(fields, "what"), takes=_needed(fields, "takes")),
}
"""Every change a form can ask for, by its name."""


def field_of(fields: Fields) -> str:
    """The field an error of this form belongs to: what the template names its `data-field`."""
    change = fields.get("change", "")
    if change == "dump":
        return f"dump:{fields.get('kind', '')}:{fields.get('drain', '')}"
    return fields.get("path") or f"{change}:{fields.get('tank') or fields.get('rack') or ''}".rstrip(":")


def carry_out(live: LivePlan, asked: Asked) -> Answer:
    """Do what a form asks. Raises BadFormError for a form no page of ours sends."""
    return _answer(perform(live, asked), asked.fields)


def perform(live: LivePlan, asked: Asked) -> Outcome:
    """The same with the outcome as the plan gives it: the one road of the forms and of the API."""
    fields = asked.fields
    name = _needed(fields, "change")
    base, key, person = asked.base, asked.key, asked.who
    if name == "undo":
        return live.undo(base=base, key=key, who=person)
    if name == "redo":
        return live.redo(base=base, key=key, who=person)
    if name == "restore":
        return live.restore(int(_number(fields, "number")), base=base, key=key, who=person)
    if name == "rack" and (outside := _outside(live, fields)) is not None:
        return Refused(snapshot=live.snapshot, findings=(outside,))
    if (
        name == "text" and "\r\n" in live.snapshot.text
    ):  # a browser's field has its own ends of lines, the file keeps its
        typed = _needed(fields, "typed").replace("\r\n", "\n").replace("\n", "\r\n")
        return live.edit(SetText(typed), base=base, key=key, who=person)
    if name == "arrangement":
        proposal = proposed(_needed(fields, "mark"), int(_number(fields, "number")))
        if proposal is None:
            return Refused(snapshot=live.snapshot, findings=(_FORGOTTEN,))
        return live.edit(proposal.change, base=base, key=key, who=person)
    if name in CHANGES:
        return live.edit(CHANGES[name](fields), base=base, key=key, who=person)
    raise BadFormError(f'there is no change "{name}"')


def _outside(live: LivePlan, fields: Fields) -> Finding | None:
    """Why a rack cannot be put there: it would stand outside its room. None where nothing is known against it."""
    room = live.snapshot.good.room if live.snapshot.good else None
    rack = next((one for one in room.racks if one.id == fields.get("rack")), None) if room else None
    space = next((one for one in room.spaces if rack and one.id == rack.room), None) if room else None
    if room is None or rack is None or space is None:
        return None
    box, walls = rack.box, space.box
    level = rack.facing in ("north", "south")
    reaches = {
        "along": (walls.x1 - walls.x0 - (box.x1 - box.x0))
        if level
        else (walls.y1 - walls.y0 - (box.y1 - box.y0)),
        "x": walls.x1 - walls.x0 - (box.x1 - box.x0),
        "y": walls.y1 - walls.y0 - (box.y1 - box.y0),
    }
    for name, reach in reaches.items():
        if fields.get(name) and not -1e-3 <= _number(fields, name) <= reach + 1e-3:
            most = words(Number(max(reach, 0.0), "length"), room.display)
            asked = words(Number(_number(fields, name), "length"), room.display)
            return Finding(
                code=CANNOT_STAND_THERE, severity=Severity.PROBLEM, subject=f"rack {rack.id}", found=asked,
                text=f"would stand outside {space.id}", wanted=f"a place between 0 and {most}", attempt=most,
            )  # fmt: skip
    return None


def _said(finding: Finding, display: str) -> str:
    said = sentence(finding.text, finding.numbers, display)
    return f"{finding.subject}: {said}" if finding.subject else said


def _answer(outcome: Outcome, fields: Fields) -> Answer:
    number = outcome.snapshot.number
    if isinstance(outcome, Applied):
        return Answer(status=200, number=number, errors={})
    typed = fields.get("typed", fields.get("angle", fields.get("opening", "")))
    if isinstance(outcome, Conflict):
        error = FieldError(typed=outcome.yours, text="somebody else changed the plan meanwhile",
                           theirs=outcome.theirs, sent=fields)  # fmt: skip
        return Answer(status=409, number=number, errors={field_of(fields): error})
    room = outcome.snapshot.good.room if outcome.snapshot.good else None
    display = room.display if room else "metric"
    first = outcome.findings[0] if outcome.findings else None
    if first is None:
        error = FieldError(typed=typed, text="that cannot be done here", sent=fields)
    else:
        said = [_said(one, display) for one in outcome.findings[:_MOST_REASONS]]
        if len(outcome.findings) > _MOST_REASONS:
            said.append(f"and {len(outcome.findings) - _MOST_REASONS} more")
        alone = len(outcome.findings) == 1
        error = FieldError(
            typed=typed or first.found, text="; ".join(said), wanted=first.wanted if alone else "",
            attempt=first.attempt if alone else "", sent=fields,
        )  # fmt: skip
    return Answer(status=422, number=number, errors={field_of(fields): error})
