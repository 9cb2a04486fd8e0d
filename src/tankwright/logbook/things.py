"""Places, lines, stocks, sets, tasks, tools and quarantines as they follow from the events that name them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime
from functools import lru_cache
from typing import Any, Final, Literal

from pydantic import TypeAdapter

from tankwright.husbandry.records import Draft, Event
from tankwright.husbandry.register import BreedingSet, Line, Place, Quarantine, Stock, Task, Tool

Sort = Literal["place", "line", "stock", "set", "task", "tool", "quarantine"]
Thing = Place | Line | Stock | BreedingSet | Task | Tool | Quarantine

OPENS: Final[dict[str, Sort]] = {
    "place_opened": "place", "line_opened": "line", "stock_opened": "stock", "set_made": "set", "task_set": "task",
    "tool_made": "tool", "quarantine_opened": "quarantine",
}  # fmt: skip
_CHANGES: Final[dict[str, Sort]] = {
    "place_changed": "place", "line_changed": "line", "stock_changed": "stock",
}  # fmt: skip
_CLOSES: Final[dict[str, tuple[Sort, str]]] = {
    "place_closed": ("place", "closed"), "stock_closed": ("stock", "closed"), "set_ended": ("set", "ended"),
    "task_stopped": ("task", "stopped"), "quarantine_released": ("quarantine", "released"),
}  # fmt: skip
_MOMENT: Final = TypeAdapter(datetime)
NAMING: Final = frozenset({*OPENS, *_CHANGES, *_CLOSES})
"""Kinds of events that things follow from."""

_OWN_KEY: Final[dict[Sort, str]] = {
    "set": "set", "task": "task", "tool": "tool", "quarantine": "quarantine"
}  # fmt: skip
_NAMED_KEYS: Final = ("task", "tool", "set", "quarantine", "culture")
ADAPTERS: Final[dict[Sort, TypeAdapter[Any]]] = {
    "place": TypeAdapter(Place), "line": TypeAdapter(Line), "stock": TypeAdapter(Stock),
    "set": TypeAdapter(BreedingSet), "task": TypeAdapter(Task), "tool": TypeAdapter(Tool),
    "quarantine": TypeAdapter(Quarantine),
}  # fmt: skip


def thing_of(event: Draft) -> tuple[Sort, str] | None:
    """Which thing an event says something of; None for events of no thing.

    A place event names it by its place, a stock event by its stock, a set by the id in its details.
    """
    sort = OPENS.get(event.kind) or _CHANGES.get(event.kind)
    if sort is None:
        closes = _CLOSES.get(event.kind)
        if closes is None:
            return None
        sort = closes[0]
    own = _OWN_KEY.get(sort)
    if own is not None:
        return sort, str(event.details.get(own, ""))
    return sort, {"place": event.place, "line": event.line, "stock": event.stock}[sort]


def named_by(event: Draft) -> str:
    """The id of the one thing an event is about besides its place, stock and line: a task, a tool, a set, a quarantine,
    a culture; for an event of the register the thing it tells of. "" when there is none."""
    named = thing_of(event)
    if named is not None:
        return named[1]
    return next((str(event.details[key]) for key in _NAMED_KEYS if event.details.get(key)), "")


def thing_from(events: Iterable[Event]) -> Thing | None:
    """A thing as the events that name it say, in the order they happened; None when none of them opens it.

    Raises ValueError (pydantic's) for details that are of another kind than the thing's.
    """
    said: dict[str, Any] = {}
    sort: Sort | None = None
    for event in sorted(events, key=lambda one: (one.happened, one.recorded, one.id)):
        details = {key: value for key, value in event.details.items() if key not in _OWN_KEY.values()}
        if event.kind in OPENS:
            sort = OPENS[event.kind]
            named = thing_of(event)
            said |= details | {"id": named[1] if named else "", "opened": said.get("opened", event.happened)}
            if sort == "stock" and event.line:
                said["line"] = event.line
            if sort == "task":
                said["place"] = event.place
            if sort == "quarantine":
                said["reason"] = event.reason
            if sort == "tool":
                del said["opened"]
        elif event.kind in _CHANGES:
            said |= details
        elif event.kind in _CLOSES:
            said[_CLOSES[event.kind][1]] = event.happened
            if event.kind == "quarantine_released":
                said["reason"] = event.reason
    if sort is None:
        return None
    made: Thing = ADAPTERS[sort].validate_python(_plain(said))
    return made


def _plain(value: Any) -> Any:
    if isinstance(value, Mapping):
        return {key: _plain(one) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return tuple(_plain(one) for one in value)
    return value


def label_of(thing: Thing) -> str:
    """What its keeper calls it."""
    if isinstance(thing, Line):
        return thing.name
    return "" if isinstance(thing, Quarantine) else thing.label


def belongs_to(thing: Thing) -> str:
    """The line of a stock, the place of a task; "" for all else."""
    if isinstance(thing, Stock):
        return thing.line
    return thing.place if isinstance(thing, Task) else ""


def is_closed(thing: Thing) -> bool:
    """True when it is at its end."""
    ends: tuple[datetime | None, ...]
    match thing:
        case Place() | Stock():
            ends = (thing.closed,)
        case BreedingSet():
            ends = (thing.ended,)
        case Task():
            ends = (thing.stopped,)
        case Quarantine():
            ends = (thing.released,)
        case _:
            ends = ()
    return any(end is not None for end in ends)


def closed_at(sort: Sort, data: Mapping[str, Any]) -> datetime | None:
    """When a thing came to its end, from its row; None while it is there."""
    key = {
        "place": "closed",
        "stock": "closed",
        "set": "ended",
        "task": "stopped",
        "quarantine": "released",
    }.get(sort)
    value = data.get(key) if key else None
    return None if value is None else _MOMENT.validate_python(value)


@lru_cache(maxsize=100_000)
def thing_said(sort: Sort, text: str) -> Thing:
    """A thing from its row's text. Things never change once they are made, so one text is read once."""
    made: Thing = ADAPTERS[sort].validate_json(text)
    return made
