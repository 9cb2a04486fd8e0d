"""What the logbook says, on the drawing: nothing without a logbook, and what was never tested never looks well."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Final

import pytest

from tankwright.drawing.legend import LAYER_WORDS
from tankwright.drawing.results import LOG_LAYERS, DrawnResults
from tankwright.finding import Finding, Severity
from tankwright.husbandry.facts import water_tested
from tankwright.husbandry.records import Observed
from tankwright.logbook.store import By, Recorded
from tankwright.room.model import Room
from tankwright.workspace import log_layers
from tankwright.workspace.log import RoomLog
from tankwright.workspace.log_layers import LayerOfLog, layers_of_log, made_of_log
from tankwright.workspace.opened import open_plan

NOW: Final = datetime(2026, 8, 20, 12, tzinfo=UTC)
EXAMPLE: Final = Path(__file__).parent.parent.parent / "examples" / "cellar_mended.toml"


@pytest.fixture(scope="module")
def room() -> Room:
    opened = open_plan(EXAMPLE)
    assert opened.room is not None
    return opened.room


@pytest.fixture
def log(tmp_path: Path, room: Room) -> RoomLog:
    made = RoomLog(tmp_path / "plan.toml", now=lambda: NOW)
    assert made.follow_plan(room) == ()
    return made


def enter(log: RoomLog, tank: str, days_ago: float, *seen: Observed) -> None:
    place = log.place(tank)
    assert place is not None
    drafts = [water_tested(place.id, NOW - timedelta(days=days_ago), seen)]
    assert isinstance(log.book.record(drafts, By(who="Ada")), Recorded)


def test_a_room_without_a_logbook_has_no_layers_of_it_and_asking_makes_none(tmp_path: Path) -> None:
    log = RoomLog(tmp_path / "plan.toml")
    assert (log.is_there, layers_of_log(log)) == (False, ())
    assert list(tmp_path.iterdir()) == []


def test_layers_of_the_logbook_stand_in_the_order_of_the_switch_and_have_a_name(log: RoomLog) -> None:
    shown = layers_of_log(log)
    assert "tests" in shown
    assert list(shown) == [one for one in LOG_LAYERS if one in shown]
    assert all(LAYER_WORDS[one] for one in LOG_LAYERS)


def test_a_tank_that_was_never_tested_is_hatched_and_said_so(log: RoomLog, room: Room) -> None:
    results = made_of_log(log, room, "tests", NOW).results
    drawn = results.tank(room.tanks[0].id)
    assert drawn is not None
    assert (drawn.share, drawn.title) == (None, "its water was never tested")
    there = sum(tank.state == "stands" for tank in room.tanks)
    assert 0 < there < len(room.tanks)
    assert ("tanks that stand and were never tested", str(there)) in results.figures


def test_the_worst_of_the_newest_tests_is_what_a_tank_shows(log: RoomLog, room: Room) -> None:
    tank = room.tanks[0].id
    enter(log, tank, 9.0, Observed(quantity="no2", value=0.0, unit="mg/L"))
    enter(
        log, tank, 2.0, Observed(quantity="no2", value=1.0, unit="mg/L"), Observed(quantity="ph", value=7.2)
    )
    made = made_of_log(log, room, "tests", NOW)
    drawn = made.results.tank(tank)
    assert drawn is not None
    assert [one.code for one in made.findings] == ["TREND-01"]
    assert (drawn.share, drawn.figure, drawn.detail) == (0.0, "2 days", "nitrite 1 mg/L")
    assert drawn.title == "tested 2 days ago; nitrite 1 mg/L: past what harms fish"


def test_a_test_of_long_ago_does_not_look_well(log: RoomLog, room: Room) -> None:
    tank = room.tanks[0].id
    enter(log, tank, 60.0, Observed(quantity="no2", value=0.0, unit="mg/L"))
    drawn = made_of_log(log, room, "tests", NOW).results.tank(tank)
    assert drawn is not None
    assert drawn.share == 0.9
    assert drawn.title.endswith("and long ago")


def test_the_worst_finding_of_a_layer_is_marked_at_its_places(
    log: RoomLog, room: Room, monkeypatch: pytest.MonkeyPatch
) -> None:
    tank = room.tanks[0].id
    note = Finding(code="X-01", severity=Severity.NOTE, subject=tank, text="a note", places=(tank,))
    layer = LayerOfLog(
        facts=lambda *_: (note, replace(note, code="X-02", severity=Severity.WARNING)),
        draw=lambda *_: DrawnResults(layer="due"),
        findings=lambda facts: facts,
    )
    monkeypatch.setattr(log_layers, "LAYERS_OF_LOG", {"due": layer})
    made = made_of_log(log, room, "due", NOW)
    assert [one.code for one in made.findings] == ["X-02", "X-01"]
    mark = made.results.mark(tank)
    assert mark is not None
    assert mark.severity is Severity.WARNING
