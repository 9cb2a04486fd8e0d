"""The build as a calendar file: an event an evening, and one on the day a wait is over.

Times are local without a zone, as the clock on the wall where one builds shows them. An event keeps its identity when
the build is planned anew, so that whoever takes the file in again moves events and gets no second ones.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Final
from urllib.parse import quote

from tankwright.building.model import Schedule, Slot, Task
from tankwright.finding import Number
from tankwright.units import Second

if TYPE_CHECKING:
    import icalendar

Say = Callable[[str, tuple[tuple[str, Number], ...]], str]
"""Fills the numbers of a text in the reader's units."""

LONG_WAIT: Final[Second] = 12 * 3600.0
"""Waits at least so long have a day of their own in the calendar."""


def calendar_file(
    schedule: Schedule,
    tasks: Iterable[Task],
    *,
    title: str,
    room: str,
    stamp: datetime,
    sequence: int,
    say: Say,
) -> bytes:
    """The text of an iCalendar file (RFC 5545).

    `room` names the room for good, in every event's identity; `stamp` is now, with its zone; `sequence` grows with
    every revision, so that the newer of two files counts.
    """
    import icalendar  # noqa: PLC0415 - takes a quarter of a second, and only this file asks for it

    by_id = {task.id: task for task in tasks}
    calendar = icalendar.Calendar()
    calendar.add("prodid", "-//tankwright//build order//EN")
    calendar.add("version", "2.0")
    calendar.add("x-wr-calname", title)
    marked = _Marked(room=room, stamp=stamp, sequence=sequence)
    for slot in schedule.slots:
        for event in _events(slot, by_id[slot.task], marked, say):
            calendar.add_component(event)
    return bytes(calendar.to_ical())


class _Marked:
    """What every event of a file carries."""

    def __init__(self, *, room: str, stamp: datetime, sequence: int) -> None:
        self.room = re.sub(r"[^a-z0-9]+", "-", room.casefold()).strip("-") or "room"
        self.stamp, self.sequence = stamp, sequence

    def event(self, key: str, texts: Mapping[str, str]) -> icalendar.Event:
        import icalendar  # noqa: PLC0415 - as above

        event = icalendar.Event()
        event.add("uid", f"{quote(key, safe=':')}@{self.room}.tankwright")
        event.add("dtstamp", self.stamp)
        event.add("sequence", self.sequence)
        for name, text in texts.items():
            if text:
                event.add(name, text)
        return event


def _events(slot: Slot, task: Task, marked: _Marked, say: Say) -> Iterable[icalendar.Event]:
    told = [say(task.how, task.numbers)]
    if task.hold_point:
        told.append("Before going on: " + say(task.hold_point, task.numbers))
    if task.people > 1:
        told.insert(0, f"{task.people} people.")
    for number, (start, end) in enumerate(slot.spans, 1):
        part = f" ({number} of {len(slot.spans)})" if len(slot.spans) > 1 else ""
        event = marked.event(
            f"{task.id}.{number}",
            {"summary": task.title + part, "description": "\n".join(told), "categories": task.group},
        )
        event.add("dtstart", start)
        event.add("dtend", end)
        yield event
    if not slot.done and (slot.ready - slot.end).total_seconds() >= LONG_WAIT:
        day = slot.ready.date()
        event = marked.event(
            f"{task.id}.over",
            {"summary": f"{task.title}: the wait is over ({task.wait.why})", "categories": task.group},
        )
        event.add("dtstart", day)
        event.add("dtend", day + timedelta(days=1))
        event.add("transp", "TRANSPARENT")
        yield event
