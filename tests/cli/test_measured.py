"""`tankwright expected` and `tankwright measured`: the sheet out, the readings in, the plan made true."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path
from random import Random

import pytest
from click.testing import CliRunner, Result

from tankwright.building.measurable import measurable
from tankwright.building.points import expected_points
from tankwright.building.readings import in_unit
from tankwright.cli.main import main
from tankwright.plan.reading import read_plan_text
from tankwright.room.layout import lay_out
from tankwright.study import work_out
from tankwright.workspace.measured_work import take_through
from tankwright.workspace.opened import open_plan

EXAMPLE = Path(__file__).parents[2] / "examples" / "cellar_mended.toml"
HIDDEN = {"air.tap_share": 0.85, "feed.rate_share": 0.9, "pump.flow_share": 0.88}


def run(*words: object) -> Result:
    return CliRunner().invoke(main, [str(word) for word in words])


@pytest.fixture(scope="module")
def rows() -> list[str]:
    """Readings of the cellar as it hides itself, air and drips alone, with noise."""
    plan = read_plan_text(EXAMPLE.read_text("utf-8"), "x").plan
    assert plan is not None
    rooms = [lay_out(plan, trial).room for trial in ({}, HIDDEN)]
    systems = frozenset({"air", "feed"})
    said, true = (work_out(room, systems, walk_through=False) for room in rooms if room is not None)
    truth = {one.id: one.value for one in measurable(true)}
    chance, made = Random(1), ["point,value,date,who,note"]
    for one in expected_points(said):
        if one.kind in ("air", "drip", "pump pressure"):
            value = truth[one.id] + chance.gauss(0.0, one.tolerance / 2.0)
            made.append(f"{one.id},{in_unit(value, one.dimension, one.unit):.4g} {one.unit},,,")
    return made


@pytest.fixture
def plan(tmp_path: Path) -> Path:
    place = tmp_path / "room.toml"
    place.write_bytes(EXAMPLE.read_bytes())
    return place


def test_readings_are_compared_fitted_and_written_and_comments_stay(plan: Path, rows: list[str]) -> None:
    sheet = plan.with_name("read.csv")
    sheet.write_text("\n".join(rows), "utf-8")
    first = run("measured", plan, sheet, "--write", "--date", "2026-11-28")
    assert first.exit_code == 1, first.output
    assert "PROOF-21" in first.output
    assert "pump.flow_share" in first.output
    text = plan.read_text("utf-8")
    before = EXAMPLE.read_text("utf-8")
    assert text.startswith(before.rstrip("\n"))
    assert "feed.rate_share = { value = " in text
    assert "measured = 2026-11-28" in text
    again = run("measured", plan, sheet, "--json")
    told = json.loads(again.output)
    off = [one for one in told["points"] if one["read"] is not None and one["outcome"] != "within"]
    assert len(off) < 0.12 * (
        len(rows) - 1
    )  # a tolerance is 95 %: about one in twenty is beyond it by chance
    assert told["fitted"]["misfit_before"] < 1.3
    assert [one["code"] for one in told["patterns"] if one["code"] in ("PROOF-21", "PROOF-22")] == []


def test_without_write_the_plan_is_left_as_it_is(plan: Path, rows: list[str]) -> None:
    sheet = plan.with_name("read.csv")
    sheet.write_text("\n".join(rows[:12]), "utf-8")
    run("measured", plan, sheet)
    assert plan.read_bytes() == EXAMPLE.read_bytes()


def test_the_sheet_that_is_written_is_one_that_is_read(plan: Path) -> None:
    sheet = plan.with_name("sheet.csv")
    assert run("expected", plan, "--csv", sheet).exit_code == 0
    empty = run("measured", plan, sheet)
    assert empty.exit_code == 2
    assert "PROOF-01" in empty.output
    points = json.loads(run("expected", plan, "--json").output)
    assert {one["point"] for one in points} == {
        line.split(",")[0] for line in sheet.read_text("utf-8").splitlines()[1:]
    }


@pytest.mark.parametrize(
    ("content", "told"),
    [(b"", "PROOF-01"), (b"\xff\xfe\x00", "PROOF-02"), (b"point,value\nA3.level,44", "PROOF-07")],
)
def test_bad_readings_are_told_and_nothing_is_written(plan: Path, content: bytes, told: str) -> None:
    sheet = plan.with_name("read.csv")
    sheet.write_bytes(content)
    result = run("measured", plan, sheet, "--write")
    assert result.exit_code == 2
    assert told in result.output
    assert plan.read_bytes() == EXAMPLE.read_bytes()


def test_a_file_that_is_not_there_and_a_broken_plan_are_told(plan: Path) -> None:
    assert run("measured", plan, plan.with_name("none.csv")).exit_code == 2
    plan.write_text("title = ", "utf-8")
    assert run("measured", plan, plan).exit_code == 2
    assert run("expected", plan).exit_code == 2


def test_the_guide_shows_what_is_printed(plan: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    guide = (Path(__file__).parents[2] / "docs" / "how-to" / "prove-it-wet.md").read_text("utf-8")
    sheet = plan.with_name("wet_test.csv")
    sheet.write_text(guide.split("```csv\n")[1].split("```")[0], "utf-8")
    monkeypatch.setenv("COLUMNS", "110")
    printed = run("measured", plan, sheet, "--date", "2026-11-28").output
    for line in guide.split("```text\n")[1].split("```")[0].splitlines():
        assert line in printed


def test_a_fall_told_as_a_ratio_is_compared_like_any_other(plan: Path) -> None:
    sheet = plan.with_name("read.csv")
    sheet.write_text("point,value\ndrain main.fall,1:60\n", "utf-8")
    result = run("measured", plan, sheet, "--all")
    assert result.exit_code == 0, result.output
    assert "within  1.67 %  1.67 %    0 %" in result.output


def test_a_reading_its_expected_value_and_its_tolerance_stand_in_one_unit(plan: Path) -> None:
    sheet = plan.with_name("read.csv")
    sheet.write_text("point,value\nA1.drip,20 mL/min\n", "utf-8")
    line = next(one for one in run("measured", plan, sheet).output.splitlines() if "A1.drip  low" in one)
    assert line.count("mL/min") == 4


def test_what_should_come_is_told_in_the_unit_of_the_sheet_and_never_below_nothing(plan: Path) -> None:
    lines = run("expected", plan).output.splitlines()
    assert next(one for one in lines if one.startswith("  A1.drip ")).count("mL/min") == 3
    depth = next(one for one in lines if ".depth " in one and "south" in one)
    assert " 0 mm " in depth
    assert max(map(len, lines)) <= 110


def test_a_sheet_of_nothing_but_repeats_is_told_short(plan: Path) -> None:
    sheet = plan.with_name("read.csv")
    sheet.write_text("point,value\n" + "A1.level,40 mm\n" * 300, "utf-8")
    result = run("measured", plan, sheet)
    assert result.output.count("PROOF-05") == 50
    assert "and 249 more such lines" in result.output


def test_fitting_tells_how_far_it_is(plan: Path, rows: list[str]) -> None:
    opened, seen = open_plan(plan), list[tuple[int, int]]()
    taken = take_through(opened, "\n".join(rows[:30]), date(2026, 11, 28), lambda *far: seen.append(far))
    assert taken.fitted is not None
    assert [done for done, _ in seen] == list(range(1, taken.fitted.evaluations + 1))
    assert all(done < of for done, of in seen)


def test_a_large_room_is_told_that_its_fit_takes_minutes_before_it_begins(
    plan: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("tankwright.cli.measured.MOST_TANKS", 10)
    sheet = plan.with_name("read.csv")
    sheet.write_text("point,value\nA1.level,41 mm\n", "utf-8")
    result = run("measured", plan, sheet)
    assert "that takes minutes" in result.stderr
    assert "Readings" not in result.output.split("that takes minutes", maxsplit=1)[0]
