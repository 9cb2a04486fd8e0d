"""The calendar file, read back."""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import Any

import icalendar

from tankwright.building.ical import calendar_file
from tankwright.building.marks import Mark
from tankwright.building.model import Schedule

from .build_rooms import SATURDAY, Site, example

NOW = datetime(2026, 12, 1, 8, tzinfo=UTC)


def events(of: Site, made: Schedule, sequence: int = 0) -> dict[str, Any]:
    raw = calendar_file(
        made, of.tasks, title="Cellar: build", room="My Cellar", stamp=NOW, sequence=sequence,
        say=lambda text, _: text,
    )  # fmt: skip
    read = icalendar.Calendar.from_ical(raw)
    made_events = list(read.walk("VEVENT"))
    by_uid = {str(one["uid"]): one for one in made_events}
    assert len(by_uid) == len(made_events)
    return by_uid


def test_every_evening_of_work_is_an_event_at_its_local_time_and_comes_back_as_it_was() -> None:
    of = example("cellar_mended.toml")
    made = of.schedule()
    found = events(of, made)
    for slot in made.slots:
        for number, (start, end) in enumerate(slot.spans, 1):
            key = slot.task.replace(" ", "%20")
            event = found[f"{key}.{number}@my-cellar.tankwright"]
            assert (event.decoded("dtstart"), event.decoded("dtend")) == (start, end)
            assert event.decoded("dtstart").tzinfo is None
            assert "TZID" not in event["dtstart"].params
    titles = {task.id: task.title for task in of.tasks}
    assert str(found["survey:cellar.1@my-cellar.tankwright"]["summary"]) == titles["survey:cellar"]
    assert "Before going on" in str(found["survey:cellar.1@my-cellar.tankwright"]["description"])


def test_a_long_wait_is_a_day_of_its_own() -> None:
    of = example("cellar_mended.toml")
    made = of.schedule()
    found = events(of, made)["order.tanks.over@my-cellar.tankwright"]
    assert found.decoded("dtstart") == made.slot("order.tanks").ready.date()
    assert isinstance(found.decoded("dtstart"), date)
    assert not isinstance(found.decoded("dtstart"), datetime)


def test_replanned_events_keep_their_names_and_count_up_and_what_is_done_is_gone() -> None:
    of = example("cellar_mended.toml")
    before = events(of, of.schedule())
    marks = (Mark(task="survey:cellar", done_on=SATURDAY),)
    after = events(of, of.schedule(date(2026, 12, 12), *marks), sequence=1)
    moved = before.keys() & after.keys()
    assert len(moved) > 100
    assert {int(after[one]["sequence"]) for one in moved} == {1}
    assert any(before[one].decoded("dtstart") != after[one].decoded("dtstart") for one in moved)
    assert not [one for one in after if one.startswith("survey:cellar")]


def test_lines_are_no_longer_than_the_standard_allows() -> None:
    of = example("garage.toml")
    raw = calendar_file(
        of.schedule(), of.tasks, title="ä" * 90, room="", stamp=NOW, sequence=0, say=lambda text, _: text
    )
    assert max(len(line) for line in raw.split(b"\r\n")) <= 75
    assert b"@room.tankwright" in raw
