"""What is due, told: lines of text, JSON, and a calendar file with one whole day for each kind of work."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import datetime, timedelta
from typing import Any, Final

from tankwright.husbandry.rounds import DueItem, Upcoming, range_words

_MOST_PLACES: Final = 200
ROOM: Final = "room"


def due_lines(items: Sequence[DueItem], labels: Mapping[str, str]) -> Iterator[str]:
    """One line a task, in the order of the round.

    >>> list(due_lines([], {}))
    []
    """
    for one in items:
        place = labels.get(one.task.place, "") or ROOM
        told = [f"{place:<8} {one.task.label}"]
        usual = range_words(one.task)
        if usual:
            told.append(f"usually {usual}")
        match one.state:
            case "late":
                told.append(f"{one.days_late} day{'s' if one.days_late != 1 else ''} late")
            case "held" if one.held_until is not None:
                told.append(f"waits until {one.held_until.isoformat()} for another of its rotation")
            case "later":
                told.append(f"due {one.day.isoformat()}")
            case _:
                told.append("due")
        if one.task.by:
            told.append(f"by {one.task.by}")
        yield "; ".join(told)


def json_due(items: Sequence[DueItem], labels: Mapping[str, str]) -> list[dict[str, Any]]:
    """The same as data: `place` is null for the room, `last` null for never.

    >>> json_due([], {})
    []
    """
    return [
        {
            "task": one.task.id, "place": labels.get(one.task.place) if one.task.place else None,
            "label": one.task.label, "kind": one.task.kind, "state": one.state, "due": one.day.isoformat(),
            "days_late": one.days_late, "last": None if one.last is None else one.last.isoformat(),
            "waits_until": None if one.held_until is None else one.held_until.isoformat(),
            "reads": one.task.quantity or None, "unit": one.task.unit or None, "low": one.task.low,
            "high": one.task.high, "by": one.task.by or None,
        }
        for one in items
    ]  # fmt: skip


def calendar_of_due(coming: Iterable[Upcoming], *, title: str, room: str, stamp: datetime) -> bytes:
    """The text of an iCalendar file (RFC 5545): a whole day for each kind of work on each day, which blocks no time.

    `room` names the room for good, in every event's identity; `stamp` is now, with its zone. An event keeps its
    identity, so that a calendar that takes the file in again makes no second ones.
    """
    import icalendar  # noqa: PLC0415 - takes a quarter of a second, and only this asks for it

    calendar = icalendar.Calendar()
    calendar.add("prodid", "-//tankwright//due//EN")
    calendar.add("version", "2.0")
    calendar.add("x-wr-calname", title)
    name = _plain(room) or "room"
    sequence = int(stamp.timestamp()) // 60 % 2**31
    for one in coming:
        event = icalendar.Event()
        event.add(
            "uid",
            f"due-{one.day.isoformat()}-{_plain(f'{one.kind} {one.label} {one.range}')}@{name}.tankwright",
        )
        event.add("dtstamp", stamp)
        event.add("sequence", sequence)
        tanks = [place for place in one.places if place]
        count = f" ({len(tanks)} tank{'s' if len(tanks) != 1 else ''})" if tanks else ""
        event.add("summary", one.label + count)
        told = [f"Usually {one.range}." if one.range else "", ", ".join(tanks[:_MOST_PLACES]), one.by]
        description = "\n".join(text for text in told if text)
        if description:
            event.add("description", description)
        event.add("categories", "due")
        event.add("dtstart", one.day)
        event.add("dtend", one.day + timedelta(days=1))
        event.add("transp", "TRANSPARENT")
        calendar.add_component(event)
    return bytes(calendar.to_ical())


def _plain(text: str) -> str:
    return re.sub(r"[^a-z0-9]+", "-", text.casefold()).strip("-")
