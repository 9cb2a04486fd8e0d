"""An event of the logbook in a few words, as its keeper would say it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Final

from tankwright.display import figures
from tankwright.husbandry.kinds import SHAPES
from tankwright.husbandry.records import Event, Observed

Labels = Mapping[str, str]
"""What places, stocks, lines and sets are called, by their ids."""

_READ: Final = {"ph": "pH", "gh": "GH", "kh": "KH", "no2": "NO₂", "no3": "NO₃", "nh4": "NH₄", "temperature": "",
                "count": "", "length": "length", "mass": "mass"}  # fmt: skip
_GONE: Final = {"died": "died", "culled": "culled", "sold": "sold", "given": "given away", "used": "used",
                "escaped": "escaped"}  # fmt: skip


def event_words(event: Event, labels: Labels) -> str:
    """What an event says, with the names of its fish and of where they went; its own place is left out.

    >>> from datetime import UTC, datetime
    >>> at = datetime(2026, 8, 2, tzinfo=UTC)
    >>> from tankwright.husbandry.facts import died
    >>> draft = died("s", "p", 2, at, cause="old age")
    >>> event = Event(kind=draft.kind, happened=at, place="p", stock="s", flows=draft.flows, details=draft.details,
    ...               id="e", serial=1, recorded=at, who="Ada")
    >>> event_words(event, {"s": "Tetras"})
    '2 Tetras died (old age)'
    """
    said = _SAID.get(event.kind, _plain)(event, labels)
    return f"{said}. {event.note}" if event.note and said != event.note else said


def number_of(event: Event) -> int:
    """How many fish an event is of: what came, went or was counted."""
    moved = max((abs(one.quantity) for one in event.flows), default=0)
    if moved:
        return moved
    seen = next((one.value for one in event.observed if one.quantity in {"count", "dead"}), None)
    return 0 if seen is None else round(seen)


def reading_words(one: Observed) -> str:
    """A value as it was read: its name, its number, its unit.

    >>> reading_words(Observed(quantity="kh", value=4.0, unit="°dH"))
    'KH 4 °dH'
    """
    name = _READ.get(one.quantity, one.quantity)
    if one.value is None and one.low is None and one.high is None:
        return f"{name} not read".strip()
    if one.value is None:
        low, high = ("" if end is None else figures(end, 4) for end in (one.low, one.high))
        number = f"{low} to {high}" if low and high else (f"over {low}" if low else f"under {high}")
    else:
        number = figures(one.value, 4)
        if one.quantity == "ph" and "." not in number:
            number += ".0"
    return " ".join(part for part in (name, number, one.unit) if part)


def _fish(event: Event, labels: Labels) -> str:
    return labels.get(event.stock, "") or "fish"


def _plain(event: Event, _: Labels) -> str:
    if event.kind == "noted":
        return event.note or "A picture"
    said = SHAPES[event.kind].says
    return said[:1].upper() + said[1:]


def _came(event: Event, labels: Labels) -> str:
    seen = next((one for one in event.observed if one.quantity == "count"), None)
    number = str(number_of(event))
    if seen is not None and seen.low is not None and seen.high is not None and seen.low != seen.high:
        number = f"about {number} ({seen.low:g} to {seen.high:g})"
    verb = {"born": "born", "arrived": "came", "found": "found"}[event.kind]
    whence = str(event.details.get("from") or "")
    of = labels.get(str(event.details.get("set") or ""), "")
    more = f" from {whence}" if whence else (f", of {of}" if of else "")
    return f"{number} {_fish(event, labels)} {verb}{more}{_money(event)}"


def _went(event: Event, labels: Labels) -> str:
    account = next((one.account for one in event.flows if one.account != "held"), event.kind)
    verb = _GONE.get(account, _GONE.get(event.kind, "gone"))
    cause, to = (str(event.details.get(key) or "") for key in ("cause", "to"))
    more = f" ({cause})" if cause else ""
    more += f" to {to}" if to else ""
    if event.details.get("unassigned"):
        return f"{number_of(event)} fish {verb}, of which stock nobody said"
    return f"{number_of(event)} {_fish(event, labels)} {verb}{more}{_money(event)}"


def _moved(event: Event, labels: Labels) -> str:
    there = labels.get(str(event.details.get("to") or ""), "elsewhere")
    here = labels.get(event.place, "")
    return f"{number_of(event)} {_fish(event, labels)} moved from {here} to {there}"


def _regrouped(event: Event, labels: Labels) -> str:
    gave = [f"{-one.quantity} {labels.get(one.stock, 'fish')}" for one in event.flows if one.quantity < 0]
    got = [labels.get(one.stock, "fish") for one in event.flows if one.quantity > 0]
    return f"{' and '.join(gave)} counted as {' and '.join(got)}"


def _counted(event: Event, labels: Labels) -> str:
    seen = next((one for one in event.observed if one.quantity == "count"), None)
    if seen is None or seen.value is None:
        return f"{_fish(event, labels)} counted"
    if event.kind == "counted":
        return f"{_fish(event, labels)} counted: {seen.value:g}"
    bounds = f", {seen.low:g} to {seen.high:g}" if seen.low is not None and seen.high is not None else ""
    return f"{_fish(event, labels)}: about {seen.value:g}{bounds}"


def _spawned(event: Event, labels: Labels) -> str:
    of = labels.get(str(event.details.get("set") or ""), "") or labels.get(event.stock, "")
    eggs = next((one for one in event.observed if one.quantity == "eggs" and one.value is not None), None)
    return f"Spawn{f' of {of}' if of else ''}{f', {eggs.value:g} eggs' if eggs is not None else ''}"


def _read(event: Event, labels: Labels) -> str:
    told = ", ".join(reading_words(one) for one in event.observed) or "nothing read"
    return f"{_fish(event, labels)}: {told}" if event.kind == "measured" else told


def _care(event: Event, labels: Labels) -> str:
    match event.kind:
        case "fed":
            food = str(event.details.get("food") or "")
            return f"Fed{f' {food}' if food else ''}"
        case "looked":
            return "Looked, all well"
        case "treated":
            dose = str(event.details.get("dose") or "")
            return f"Treated with {event.details.get('with')}{f', {dose}' if dose else ''}"
        case "cleaned":
            return f"{event.details.get('what')} cleaned or changed"
        case "task_done":
            return f"Done: {labels.get(str(event.details.get('task') or ''), 'work')}"
        case "incident":
            return f"Incident: {event.details.get('what') or 'a picture'}"
        case _:
            amount = event.details.get("amount")
            return f"{event.details.get('what')}: {amount} {event.details.get('currency')}"


def _named(event: Event, labels: Labels) -> str:
    if event.kind == "set_made":
        return f"{event.details.get('label') or 'Fish'} put together to breed"
    if event.kind == "set_ended":
        return f"{labels.get(str(event.details.get('set') or ''), 'Fish')} parted"
    own = {"place": event.place, "line": event.line, "stock": event.stock}[event.kind.split("_")[0]]
    name = str(event.details.get("label") or event.details.get("name") or labels.get(own, ""))
    verb = {"opened": "is in the book", "changed": "changed", "closed": "is at its end"}[
        event.kind.split("_")[1]
    ]
    return f"{name} {verb}".strip()


def _money(event: Event) -> str:
    price = event.details.get("price")
    return "" if price is None else f", {price:g} {event.details.get('currency') or ''}".rstrip()


_SAID: Final[dict[str, Callable[[Event, Labels], str]]] = {
    "arrived": _came, "born": _came, "found": _came, "died": _went, "culled": _went, "left": _went,
    "moved": _moved, "regrouped": _regrouped, "counted": _counted, "estimated": _counted, "spawned": _spawned,
    "tested": _read, "measured": _read, "fed": _care, "looked": _care, "treated": _care, "cleaned": _care,
    "task_done": _care, "incident": _care, "paid": _care, "set_made": _named, "set_ended": _named,
    "place_opened": _named, "place_changed": _named, "place_closed": _named, "line_opened": _named,
    "line_changed": _named, "stock_opened": _named, "stock_changed": _named, "stock_closed": _named,
}  # fmt: skip
