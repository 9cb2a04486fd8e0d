"""The build order from the command line."""

from __future__ import annotations

import csv
import json
import re
import shlex
from pathlib import Path

import icalendar
import jsonschema
import pytest

from .conftest import Run

EXAMPLES = Path(__file__).parents[2] / "examples"
PLAN = "plan.toml"
SCHEMA = json.loads(
    (Path(__file__).parents[2] / "src" / "tankwright" / "report" / "build.schema.json").read_text("utf-8")
)
DAY = ("--today", "2026-12-05")


@pytest.fixture
def mended(tmp_path: Path) -> Path:
    """The mended cellar in a folder of its own, since marks are kept beside it."""
    (tmp_path / PLAN).write_text((EXAMPLES / "cellar_mended.toml").read_text("utf-8"), "utf-8")
    return tmp_path


def test_it_tells_the_end_each_day_and_the_critical_path(run: Run, mended: Path) -> None:
    result = run("build", PLAN, *DAY)
    assert result.exit_code == 0
    assert "proved with water and power on" in result.output
    assert "Sat 5 Dec 2026" in result.output
    assert "* Ask the electrician to come" in result.output
    assert "licensed people" in result.output
    assert "{" not in result.output
    assert not (mended / "plan.tankwright").exists()


def test_tonight_says_how_and_what_must_be_seen(run: Run, mended: Path) -> None:
    result = run("build", PLAN, *DAY, "--tonight")
    assert "Can be done today" in result.output
    assert "[survey:cellar]" in result.output
    assert "Before going on: " in result.output
    free = run("build", PLAN, "--today", "2026-12-24", "--tonight")
    assert "Nothing can be done on Thu 24 Dec 2026." in free.output


def test_a_mark_is_kept_beside_the_plan_and_taken_back(run: Run, mended: Path) -> None:
    def done(*words: str) -> list[str]:
        told = json.loads(run("build", PLAN, *DAY, "--json", *words).output)
        return [one["id"] for one in told["tasks"] if one["slot"]["done_on"]]

    assert done("--done", "survey:cellar", "--done", "survey:laundry") == ["survey:cellar", "survey:laundry"]
    assert done() == ["survey:cellar", "survey:laundry"]
    assert done("--undone", "survey:laundry") == ["survey:cellar"]


def test_a_task_that_is_none_is_told_with_one_like_it_and_nothing_is_kept(run: Run, mended: Path) -> None:
    result = run("build", PLAN, *DAY, "--done", "survey:cellar", "--done", "survey:celar")
    assert result.exit_code == 2
    assert 'perhaps "survey:cellar"' in result.output
    assert not (mended / "plan.tankwright").exists()


def test_json_holds_every_task_with_its_slot_and_its_numbers(run: Run, mended: Path) -> None:
    told = json.loads(run("build", PLAN, *DAY, "--json").output)
    assert told["critical_path"][0] == "order.electrician"
    assert len(told["tasks"]) > 100
    first = told["tasks"][0]
    assert first["labour_s"]["low"] <= first["labour_s"]["value"] <= first["labour_s"]["high"]
    assert first["slot"]["start"].startswith("2026-12-05T")
    assert told["earliest"] < told["finish"] < told["latest"]
    assert told["tonight"]


@pytest.mark.parametrize("name", ["cellar", "cellar_mended", "garage"])
def test_the_json_of_an_example_is_as_its_schema_says_and_names_what_each_task_takes(
    run: Run, tmp_path: Path, name: str
) -> None:
    (tmp_path / PLAN).write_text((EXAMPLES / f"{name}.toml").read_text("utf-8"), "utf-8")
    told = json.loads(run("build", PLAN, *DAY, "--json").output)
    jsonschema.validate(told, SCHEMA)
    assert any(one["materials"] for one in told["tasks"] if one["group"] == "order")


def test_the_json_without_a_calendar_is_as_its_schema_says_too(run: Run, mended: Path) -> None:
    text = (mended / PLAN).read_text("utf-8")
    never = text.replace('evening = "2 h"', 'evening = "0 h"').replace('weekend = "6 h"', 'weekend = "0 h"')
    (mended / PLAN).write_text(never, "utf-8")
    jsonschema.validate(json.loads(run("build", PLAN, *DAY, "--json").output), SCHEMA)


def test_files_are_written_and_can_be_read_again(run: Run, mended: Path) -> None:
    result = run("build", PLAN, *DAY, "--ics", "out/b.ics", "--csv", "out/b.csv", "--svg", "out/b.svg")
    assert result.exit_code == 0
    calendar = icalendar.Calendar.from_ical((mended / "out" / "b.ics").read_bytes())
    assert len(list(calendar.walk("VEVENT"))) > 100
    rows = list(csv.DictReader((mended / "out" / "b.csv").read_text("utf-8").splitlines()))
    assert len(rows) > 100
    assert rows[0]["critical"] == "yes"
    pages = sorted((mended / "out").glob("b_*.svg"))
    assert len(pages) > 2


def test_a_calendar_without_a_free_day_is_a_problem_and_still_lists_the_tasks(run: Run, mended: Path) -> None:
    text = (mended / PLAN).read_text("utf-8")
    never = text.replace('evening = "2 h"', 'evening = "0 h"').replace('weekend = "6 h"', 'weekend = "0 h"')
    assert never != text
    (mended / PLAN).write_text(never, "utf-8")
    result = run("build", PLAN, *DAY)
    assert result.exit_code == 1
    assert "BUILD-01" in result.output
    assert "no calendar" in result.output
    told = json.loads(run("build", PLAN, *DAY, "--json").output)
    assert (told["finish"], told["tasks"][0]["slot"]) == (None, None)
    assert run("build", PLAN, *DAY, "--csv", "b.csv", "--svg", "b.svg", "--ics", "b.ics").exit_code == 1
    assert len((mended / "b.csv").read_text("utf-8").splitlines()) > 100


def test_a_plan_that_cannot_be_read_and_a_folder_that_takes_nothing_are_told(run: Run, mended: Path) -> None:
    (mended / "broken.toml").write_text("title =", "utf-8")
    assert run("build", "broken.toml").exit_code == 2
    assert run("build", "missing.toml").exit_code == 2
    (mended / "out").write_text("a file", "utf-8")
    result = run("build", PLAN, *DAY, "--csv", "out/b.csv")
    assert result.exit_code == 2
    assert "could not be written" in result.output
    (mended / "plan.tankwright").write_text("a file", "utf-8")
    assert run("build", PLAN, *DAY, "--done", "survey:cellar").exit_code == 2


def test_a_day_that_is_none_is_refused(run: Run, mended: Path) -> None:
    assert run("build", PLAN, "--today", "2026-13-05").exit_code == 2


def test_the_runs_pasted_into_the_guide_are_what_the_program_says(run: Run, tmp_path: Path) -> None:
    root = Path(__file__).parents[2]
    guide = (root / "docs" / "how-to" / "build-in-order.md").read_text("utf-8")
    kept = re.findall(r"^```(\w*)\n(.*?)^```", guide, flags=re.MULTILINE | re.DOTALL)
    plan = (root / "tests" / "plan" / "good_plan.toml").read_text("utf-8")
    plan = re.sub(r'(ids = "A[^"]*")', r'\1, state = "wished"', plan)
    (tmp_path / PLAN).write_text("\n".join([plan, *(text for kind, text in kept if kind == "toml")]), "utf-8")
    said = ""
    shown = 0
    for kind, text in kept:
        if kind == "":
            said = "".join(run(*shlex.split(line)[1:]).output for line in text.splitlines())
        elif kind == "text":
            shown += 1
            pieces = [piece.strip("\n") for piece in text.split("  ...\n")]
            assert all(piece in said for piece in pieces), pieces
    assert shown == 2


def test_a_rack_named_like_a_formula_stays_text_in_the_table(run: Run, tmp_path: Path) -> None:
    plan = (Path(__file__).parents[2] / "tests" / "plan" / "good_plan.toml").read_text("utf-8")
    renamed = plan.replace('id = "A"', 'id = "=1+1"').replace('behind = ["A"]', 'behind = ["=1+1"]')
    (tmp_path / PLAN).write_text(renamed, "utf-8")
    assert run("build", PLAN, *DAY, "--csv", "b.csv").exit_code == 0
    cells = [cell for row in csv.reader((tmp_path / "b.csv").read_text("utf-8").splitlines()) for cell in row]
    assert "'=1+1" in cells
    assert not [cell for cell in cells if cell.startswith("=")]


def test_a_day_no_room_is_built_on_is_refused(run: Run, mended: Path) -> None:
    said = run("build", PLAN, "--today", "0001-01-01")
    assert said.exit_code == 2
    assert "a year from 2000 to 2199 is wanted" in said.output
