"""`tankwright tests`: what it says of the logbook's water tests, and how it leaves."""

from __future__ import annotations

import json
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from tankwright.cli.main import main
from tankwright.husbandry.facts import water_tested
from tankwright.husbandry.records import Observed
from tankwright.logbook.outcome import By
from tankwright.workspace.log import RoomLog
from tankwright.workspace.opened import open_plan

EXAMPLE = Path(__file__).parent.parent.parent / "examples" / "cellar_mended.toml"


@pytest.fixture
def plan(tmp_path: Path) -> Path:
    path = tmp_path / "plan.toml"
    path.write_text(EXAMPLE.read_text("utf-8"), "utf-8")
    return path


def put(plan: Path, tank: str, quantity: str, value: float, unit: str = "mg/L") -> None:
    room = open_plan(plan).room
    log = RoomLog(plan, room=lambda: room)
    book = log.book
    place = log.place(tank)
    assert place is not None
    seen = (Observed(quantity=quantity, value=value, unit=unit),)
    book.record([water_tested(place.id, datetime.now(UTC) - timedelta(hours=5), seen)], By(who="Ada"))


def run(*words: str) -> Result:
    return CliRunner().invoke(main, ["tests", *words])


def test_a_plan_without_a_logbook_is_told_so_and_gets_none(plan: Path) -> None:
    found = run(str(plan))
    assert found.exit_code == 2
    assert "no logbook yet" in found.stderr
    assert sorted(one.name for one in plan.parent.iterdir()) == ["plan.toml"]


def test_what_is_past_its_limit_is_told_with_what_to_do_and_the_rest_is_counted(plan: Path) -> None:
    put(plan, "A3", "no2", 2.0)
    put(plan, "A4", "no2", 0.0)
    found = run(str(plan))
    assert found.exit_code == 1
    assert "TREND-01" in found.stdout
    assert "feed nothing" in found.stdout
    assert "1 of 2 tests are within their limits" in found.stdout
    assert "never tested: A1, A2" in found.stdout
    assert "A4" in run(str(plan), "--all").stdout


def test_one_tank_is_told_in_full_and_what_is_well_leaves_with_nothing(plan: Path) -> None:
    put(plan, "A3", "no2", 2.0)
    put(plan, "A4", "no2", 0.0)
    found = run(str(plan), "A4")
    assert found.exit_code == 0
    assert "TREND-13" in found.stdout
    assert "A3" not in found.stdout


def test_all_of_it_is_json(plan: Path) -> None:
    put(plan, "A3", "no2", 2.0)
    put(plan, "A3", "no3", 10.0, "spoons")
    told = json.loads(run(str(plan), "--json").stdout)
    (one,) = told["verdicts"]
    assert (one["tank"], one["quantity"], one["standing"]) == ("A3", "no2", "past hazard")
    assert one["sentence"]["code"] == "TREND-01"
    assert one["tests"][0]["value"] == {"value": 0.002, "unit": "kg/m**3", "kind": "concentration"}
    assert [found["code"] for found in told["unread"]] == ["TREND-15"]
    assert "A1" in told["never_tested"]


@pytest.mark.parametrize(
    ("words", "said"), [(("Z9",), 'no tank "Z9"'), (("--of", "colour"), '"colour" is no test of water')]
)
def test_what_is_not_there_is_told(plan: Path, words: tuple[str, ...], said: str) -> None:
    put(plan, "A3", "no2", 0.0)
    found = run(str(plan), *words)
    assert found.exit_code == 2
    assert said in found.stderr


def test_a_broken_book_is_told_and_left_as_it_is(plan: Path) -> None:
    put(plan, "A3", "no2", 0.0)
    book = plan.parent / "plan.tankwright" / "logbook.sqlite"
    for more in ("-wal", "-shm"):
        book.with_name(book.name + more).unlink(missing_ok=True)
    book.write_bytes(b"this is no database, but it is somebody's file" * 40)
    found = run(str(plan))
    assert found.exit_code == 2
    assert found.stderr
    assert book.read_bytes().startswith(b"this is no database")


def test_the_layer_of_the_last_tests_is_drawn_where_there_is_a_logbook(plan: Path) -> None:
    target = plan.parent / "tests.svg"
    words = ["draw", str(plan), "--layer", "tests", "--out", str(target)]
    before = CliRunner().invoke(main, words)
    assert before.exit_code == 2
    assert "no logbook yet" in before.stderr
    put(plan, "A3", "no2", 2.0)
    assert CliRunner().invoke(main, words).exit_code == 0
    assert "nitrite 2 mg/L: past what harms fish" in target.read_text("utf-8")
