"""`glass`: every pane in full, maps, pictures, exit codes, kinds that are none, a run that was stopped."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tankwright.systems import glass_map
from tankwright.workspace import glass_work

from .conftest import Run

CUBES = """
title = "Cubes"
[room.shed]
size = { length = "3 m", width = "2 m", height = "2.2 m" }
[tank_kind.cube]
outside = ["30 cm", "30 cm", "30 cm"]
glass = { sides = "5 mm", base = "5 mm", temper = "annealed" }
hole = { pane = "back", diameter = "29 mm", from_left = "75 mm", below_rim = "65 mm", flange = "45 mm" }
overflow = { elbow_reach = "30 mm", water_below_rim = "40 mm", bore = "16 mm" }
[tank_kind.plain]
outside = ["30 cm", "20 cm", "20 cm"]
glass = { sides = "4 mm", base = "4 mm", temper = "annealed" }
[rack_kind.low]
length = "120 cm"
depth = "40 cm"
shelves = ["60 cm"]
[[rack]]
id = "A"
kind = "low"
room = "shed"
wall = "north"
from_west = "50 cm"
shelf.1 = [{ kind = "cube", ids = "A1..A2" }, { kind = "plain", ids = "A3" }]
"""


@pytest.fixture
def plan(run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The plan, in the folder the commands run in; maps of a few places, nothing known of another test."""
    monkeypatch.setenv("COLUMNS", "110")
    monkeypatch.setattr(glass_work, "_PANES", glass_work._Memory(40))
    monkeypatch.setattr(glass_work, "_MAPS", glass_work._Memory(12))
    whole = glass_map.map_places
    monkeypatch.setattr(glass_map, "map_places", lambda *about: whole(*about)[:6] + whole(*about)[-1:])
    path = tmp_path / "plan.toml"
    path.write_text(CUBES, "utf-8")
    return path


def test_every_pane_of_every_kind_is_told_quick_and_in_full(plan: Path, run: Run) -> None:
    shown = run("glass", "plan.toml", "--workers", "1")
    assert shown.exit_code == 0
    lines = shown.stdout.splitlines()
    assert "engineer" in lines[2]
    assert {"cube", "plain"} <= set(lines)
    (back,) = (line for line in lines if line.startswith("  back pane") and "hole" in line)
    assert back.split()[2:6] == ["5", "mm", "1.98", "MPa"]
    assert "at the rim of its hole" in back
    assert sum(line.startswith(("  front", "  back", "  left", "  right", "  base")) for line in lines) == 10


def test_one_kind_alone_with_its_map(plan: Path, run: Run) -> None:
    shown = run("glass", "plan.toml", "cube", "--map", "--workers", "1")
    assert shown.exit_code == 0
    assert "plain" not in shown.stdout
    assert "cube, back pane: where its hole could go" in shown.stdout
    assert "now   75 mm from the left, 65 mm below the rim" in shown.stdout
    assert "  best  " in shown.stdout


def test_json_holds_panes_and_maps_and_nothing_else_is_on_the_output(plan: Path, run: Run) -> None:
    shown = run("glass", "plan.toml", "--map", "--json", "--workers", "1", "--svg", "pictures")
    told = json.loads(shown.stdout)
    assert {one["kind"] for one in told["panes"]} == {"cube", "plain"}
    assert all(one["status"] == "solved" for one in told["panes"])
    assert told["maps"][0]["present"]["across_mm"] == 75.0
    pictures = sorted(one.name for one in (plan.parent / "pictures").iterdir())
    assert "stress-cube-back.svg" in pictures
    assert "holes-cube-back-1.svg" in pictures
    assert len(pictures) == 11


def test_a_second_run_goes_on_from_what_is_kept_beside_the_plan(
    plan: Path, run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = run("glass", "plan.toml", "--workers", "1").stdout
    assert list((plan.parent / "plan.tankwright" / "glass").iterdir())
    monkeypatch.setattr(glass_work, "_PANES", glass_work._Memory(40))

    def no_more(_: object) -> None:
        raise AssertionError("it is kept")

    monkeypatch.setattr(glass_work, "check_pane", no_more)
    assert run("glass", "plan.toml", "--workers", "1").stdout == first


def test_a_pane_over_its_strength_or_not_known_is_exit_code_1(plan: Path, run: Run) -> None:
    plan.write_text(
        CUBES.replace('from_left = "75 mm"', 'from_left = "15 cm"').replace('"5 mm"', '"3 mm"'), "utf-8"
    )
    assert run("glass", "plan.toml", "cube", "--workers", "1").exit_code == 1
    plan.write_text(CUBES.replace('base = "4 mm", temper = "annealed"', 'base = "4 mm"'), "utf-8")
    shown = run("glass", "plan.toml", "--workers", "1")
    assert shown.exit_code == 1
    assert "annealed or toughened" in shown.stdout
    assert run("glass", "plan.toml", "cube", "--workers", "1").exit_code == 0, "of the cubes all is known"


def test_a_kind_that_is_none_is_told_with_those_that_stand(plan: Path, run: Run) -> None:
    shown = run("glass", "plan.toml", "cubes")
    assert shown.exit_code == 2
    assert 'no tank of this room is of a kind "cubes"' in shown.output
    assert "cube or plain" in shown.output
    assert 'try     tankwright glass plan.toml "cube"' in shown.output


def test_a_plan_that_cannot_be_read_is_exit_code_2(plan: Path, run: Run) -> None:
    plan.write_text(CUBES.replace('"3 m"', '"3"'), "utf-8")
    shown = run("glass", "plan.toml")
    assert shown.exit_code == 2
    assert "PLAN-" in shown.stdout


def test_stopped_half_way_it_says_that_what_is_done_is_kept(
    plan: Path, run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    def stop(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(glass_work, "check_pane", stop)
    shown = run("glass", "plan.toml", "--workers", "1")
    assert shown.exit_code == 130
    assert "kept" in shown.output


def test_a_hole_nobody_measured_has_no_map_and_that_is_told(plan: Path, run: Run) -> None:
    plan.write_text(CUBES.replace('diameter = "29 mm", ', ""), "utf-8")
    shown = run("glass", "plan.toml", "cube", "--map", "--workers", "1")
    assert shown.exit_code == 1
    assert "measure your fitting" in shown.stdout
