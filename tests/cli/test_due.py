"""What is due, from the command line."""

from __future__ import annotations

import json
from datetime import UTC, datetime, timedelta
from pathlib import Path

import icalendar
import pytest

from tankwright.husbandry.proposals import task_draft
from tankwright.husbandry.register import Task
from tankwright.logbook.outcome import By
from tankwright.workspace.log import RoomLog
from tankwright.workspace.opened import open_plan

from .conftest import Run

EXAMPLES = Path(__file__).parents[2] / "examples"


@pytest.fixture
def plan(tmp_path: Path) -> Path:
    path = tmp_path / "plan.toml"
    path.write_text((EXAMPLES / "cellar_mended.toml").read_text("utf-8"), "utf-8")
    return path


def put(plan: Path, *, ago: float = 0.0) -> None:
    room = open_plan(plan).room
    log = RoomLog(plan, room=lambda: room)
    there = {one.label: one.id for one in log.book.places()}
    at = datetime.now(UTC) - timedelta(days=ago)
    tasks = [Task(id=f"t{name}", label="Look", place=there[name], kind="look") for name in ("A2", "A1", "Q1")]
    warm = {"quantity": "temperature", "unit": "°C", "low": 22.0, "high": 26.0}
    tasks.append(Task(id="warm", label="Temperature", place=there["A1"], every_days=7, **warm))  # type: ignore[arg-type]
    log.book.record([task_draft(one, at) for one in tasks], By(who="Ada"))


def test_nothing_yet_is_said_and_makes_no_book(run: Run, plan: Path) -> None:
    result = run("due", "plan.toml")
    assert result.exit_code == 0
    assert "Nothing is due." in result.output
    assert not (plan.parent / "plan.tankwright").exists()


def test_it_lists_the_round_in_its_order_and_ends_with_one_when_something_is_late(
    run: Run, plan: Path
) -> None:
    put(plan)
    result = run("due", "plan.toml")
    assert result.exit_code == 0
    lines = [line.split() for line in result.output.splitlines()[1:]]
    assert sorted(line[0] for line in lines[:3]) == ["A1", "A1", "A2"]
    assert lines[3][0] == "Q1", "the quarantine comes last"
    assert "usually 22 to 26 °C" in result.output
    put_late = run("due", "plan.toml", "--until", "2099-01-01")
    assert put_late.exit_code == 0


def test_late_work_ends_with_one(run: Run, plan: Path) -> None:
    put(plan, ago=2)
    result = run("due", "plan.toml")
    assert result.exit_code == 1
    assert "2 days late" in result.output


def test_the_same_as_data(run: Run, plan: Path) -> None:
    put(plan)
    told = json.loads(run("due", "plan.toml", "--json").output)
    assert sorted(one["place"] for one in told) == ["A1", "A1", "A2", "Q1"]
    warm = next(one for one in told if one["reads"])
    assert (warm["unit"], warm["low"], warm["high"], warm["last"]) == ("°C", 22.0, 26.0, None)


def test_the_calendar_goes_into_a_file(run: Run, plan: Path) -> None:
    put(plan)
    result = run("due", "plan.toml", "--ics", "--json")
    assert json.loads(result.stdout)
    calendar = icalendar.Calendar.from_ical((plan.parent / "plan-due.ics").read_bytes())
    assert "Look (3 tanks)" in {str(one["summary"]) for one in calendar.walk("VEVENT")}


def test_a_plan_that_cannot_be_read_ends_with_two(run: Run, plan: Path) -> None:
    plan.write_text("room =", "utf-8")
    assert run("due", "plan.toml").exit_code == 2
    assert run("due", "plan.toml", "--until", "soon").exit_code == 2


def test_a_book_that_is_none_ends_with_two_and_says_what_to_do(run: Run, plan: Path) -> None:
    (plan.parent / "plan.tankwright").mkdir()
    (plan.parent / "plan.tankwright" / "logbook.sqlite").write_text("no book", "utf-8")
    result = run("due", "plan.toml")
    assert result.exit_code == 2
    assert "LOG-" in result.output
