"""The water tests of a logbook gathered: struck out is not there, tasks tell the rhythm, noted feed goes first."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Final

import pytest

from tankwright.husbandry.facts import Tally, came, water_tested
from tankwright.husbandry.records import Draft, Event, Observed
from tankwright.logbook.outcome import By, Recorded
from tankwright.workspace.log import RoomLog
from tankwright.workspace.log_waters import LOOKED_BACK, WaterTests, water_tests
from tankwright.workspace.opened import Opened, open_plan

NOW: Final = datetime(2026, 8, 20, 12, tzinfo=UTC)
EXAMPLE: Final = Path(__file__).parent.parent.parent / "examples" / "cellar_mended.toml"


@pytest.fixture(scope="module")
def opened() -> Opened:
    return open_plan(EXAMPLE)


@pytest.fixture
def log(tmp_path: Path, opened: Opened) -> RoomLog:
    return RoomLog(tmp_path / "plan.toml", now=lambda: NOW, room=lambda: opened.room)


def at(log: RoomLog, tank: str) -> str:
    place = log.place(tank)
    assert place is not None
    return place.id


def record(log: RoomLog, *drafts: Draft) -> tuple[Event, ...]:
    outcome = log.book.record(drafts, By(who="Ada"))
    assert isinstance(outcome, Recorded), outcome
    return outcome.events


def enter(log: RoomLog, tank: str, days_ago: float, quantity: str, value: float, unit: str = "mg/L") -> Event:
    seen = (Observed(quantity=quantity, value=value, unit=unit),)
    (event,) = record(log, water_tested(at(log, tank), NOW - timedelta(days=days_ago), seen))
    return event


def gathered(log: RoomLog, opened: Opened, **narrowed: str) -> WaterTests:
    assert opened.room is not None
    return water_tests(log, opened.room, opened.study, NOW, **narrowed)


def test_a_test_that_was_struck_out_does_not_count(log: RoomLog, opened: Opened) -> None:
    enter(log, "A3", 8, "no2", 0.0)
    wrong = enter(log, "A3", 1, "no2", 5.0)
    assert gathered(log, opened).of("A3", "no2").judged.standing == "past hazard"  # type: ignore[union-attr] - there
    log.book.void(wrong.id, By(who="Ada"), reason="read in the wrong light")
    one = gathered(log, opened).of("A3", "no2")
    assert one is not None
    assert (one.judged.standing, len(one.series.readings)) == ("inside", 1)


def test_only_tanks_that_stand_are_told_as_never_tested(log: RoomLog, opened: Opened) -> None:
    enter(log, "A3", 1, "ph", 7.0, "")
    assert opened.room is not None
    stand = {tank.id for tank in opened.room.tanks if tank.state == "stands"}
    assert set(gathered(log, opened).never) == stand - {"A3"}


def test_a_task_tells_how_often_a_test_is_made(log: RoomLog, opened: Opened) -> None:
    for days_ago in (40, 33, 26):
        enter(log, "A3", days_ago, "ph", 7.0, "")
    assert gathered(log, opened).of("A3", "ph").old  # type: ignore[union-attr] - there
    record(log, Draft(
        kind="task_set", happened=NOW - timedelta(days=50), place=at(log, "A3"),
        details={"task": "t", "label": "pH", "every_days": 28.0, "quantity": "ph"},
    ))  # fmt: skip
    assert not gathered(log, opened).of("A3", "ph").old  # type: ignore[union-attr] - there


def test_feed_that_was_noted_goes_before_the_plans(log: RoomLog, opened: Opened) -> None:
    for days_ago, value in ((21, 6.0), (14, 5.0), (7, 4.0), (1, 3.0)):
        enter(log, "A3", days_ago, "kh", value, "°dH")
    planned = gathered(log, opened).of("A3", "kh")
    record(log, *(
        Draft(kind="fed", happened=NOW - timedelta(days=day, hours=1), place=at(log, "A3"), details={"grams": 0.05})
        for day in range(13)
    ))  # fmt: skip
    noted = gathered(log, opened).of("A3", "kh")
    assert planned is not None
    assert noted is not None
    assert planned.fall is not None
    assert noted.fall is not None
    assert planned.fall.used is not None
    assert noted.fall.used is not None
    assert noted.fall.used[1] < planned.fall.used[0], "a tenth of what the plan feeds"


def test_a_line_is_told_by_the_tanks_its_fish_are_in(log: RoomLog, opened: Opened) -> None:
    record(
        log,
        Draft(kind="line_opened", happened=NOW - timedelta(days=9), line="l", details={"name": "Blue", "species": "x"}),
        Draft(kind="stock_opened", happened=NOW - timedelta(days=9), stock="s", line="l",
              details={"label": "S1", "kind": "group"}),
        came("arrived", "s", at(log, "A4"), Tally(number=8), NOW - timedelta(days=9)),
    )  # fmt: skip
    for tank in ("A3", "A4"):
        enter(log, tank, 1, "ph", 7.0, "")
    assert {one.tank for one in gathered(log, opened, line="l").verdicts} == {"A4"}
    assert gathered(log, opened, line="nobody").verdicts == ()


def test_tests_of_long_ago_are_looked_at_for_one_tank_alone(log: RoomLog, opened: Opened) -> None:
    long_ago = LOOKED_BACK.days + 30.0
    enter(log, "A3", long_ago, "ph", 7.0, "")
    enter(log, "A3", 1, "ph", 7.0, "")
    assert len(gathered(log, opened).of("A3").series.readings) == 1  # type: ignore[union-attr] - there
    assert len(gathered(log, opened, tank="A3").of("A3").series.readings) == 2  # type: ignore[union-attr] - there


def test_without_a_book_there_is_nothing_and_none_is_made(tmp_path: Path, opened: Opened) -> None:
    log = RoomLog(tmp_path / "other.toml", now=lambda: NOW, room=lambda: opened.room)
    assert gathered(log, opened).verdicts == ()
    assert list(tmp_path.iterdir()) == []
