"""`tankwright fit`: proposals in words, as JSON and drawn; one of them written into the plan."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from xml.etree import ElementTree

import pytest
from click.testing import CliRunner, Result

from tankwright.cli.main import main
from tankwright.workspace.opened import open_plan

SHED = """title = "Shed"

[room.shed]
size = { length = "4 m", width = "3 m", height = "2.2 m" }
doors = [{ wall = "south", from_west = "20 cm", width = "70 cm", swing = "out", hinged = "west" }]

[tank_kind.cube]
outside = ["30 cm", "30 cm", "30 cm"]
glass = { sides = "5 mm", base = "5 mm", temper = "annealed" }

[rack_kind.plain]
length = "100 cm"
depth = "40 cm"
shelves = ["40 cm", "110 cm"]
height = "150 cm"
"""
FEW = ("--places", "80", "--proposals", "2", "--work", "4")


def run(*words: object) -> Result:
    return CliRunner().invoke(main, ["fit", *[str(word) for word in words]])


@pytest.fixture
def plan(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("COLUMNS", "110")
    place = tmp_path / "shed.toml"
    place.write_text(SHED, "utf-8")
    return place


def test_proposals_are_told_with_their_racks_and_how_good_the_best_is(plan: Path) -> None:
    told = run(plan, *FEW)
    assert told.exit_code == 0
    assert "most tanks: 48; proved: no arrangement on the places tried is better" in told.output
    assert "Proposal 1" in told.output
    assert "from west: 3 cube | 3 cube" in told.output
    assert "It is a screening" in told.output
    assert "WISH-08" not in told.output
    assert "WISH-08" in run(plan, *FEW, "--all").output
    assert plan.read_text("utf-8") == SHED


def test_json_has_every_proposal_with_units_in_its_keys(plan: Path) -> None:
    told = json.loads(run(plan, *FEW, "--json").stdout)
    assert told["proved"] is True
    assert told["bound"] == told["proposals"][0]["tanks"] == 48
    first = told["proposals"][0]
    assert first["meets_the_wish"] is True
    assert sum(len(row["ids"]) for rack in first["racks"] for shelf in rack["shelves"] for row in shelf) == 48
    assert first["water_l"] == pytest.approx(48 * 22.4, rel=0.05)
    assert {finding["code"] for finding in told["findings"]} == {"WISH-01", "WISH-08"}


def test_another_aim_than_the_plan_s_may_be_asked_for(plan: Path) -> None:
    told = json.loads(run(plan, *FEW, "--best", "litres", "--json").stdout)
    assert told["best"] == "litres"
    assert told["bound"] == pytest.approx(told["proposals"][0]["water_l"], rel=1e-3)


def test_a_proposal_is_written_into_the_plan(plan: Path) -> None:
    told = run(plan, *FEW, "--take", "2")
    assert told.exit_code == 0
    assert "Wrote proposal 2 into shed.toml" in told.output
    opened = open_plan(plan)
    assert opened.mistakes == ()
    assert opened.room is not None
    assert len(opened.room.tanks) >= 24
    assert plan.read_text("utf-8").startswith(SHED)


def test_a_proposal_there_is_none_of_is_not_written(plan: Path) -> None:
    told = run(plan, *FEW, "--take", "9")
    assert told.exit_code == 2
    assert "There is no proposal 9" in told.output
    assert plan.read_text("utf-8") == SHED


def test_every_proposal_is_drawn(plan: Path, tmp_path: Path) -> None:
    assert run(plan, *FEW, "--svg", tmp_path / "out").exit_code == 0
    drawn = sorted((tmp_path / "out").iterdir())
    assert [place.name for place in drawn] == ["shed_fit_1.svg", "shed_fit_2.svg"]
    for place in drawn:
        assert ElementTree.fromstring(place.read_text("utf-8")).tag.endswith("svg")
        assert "48" in place.read_text("utf-8") or place.name.endswith("2.svg")


def test_a_wish_that_cannot_be_met_ends_with_1_and_the_bound(plan: Path) -> None:
    plan.write_text(SHED + '[wish]\ntanks = [{ kind = "cube", at_least = 100 }]\n', "utf-8")
    told = run(plan, *FEW)
    assert told.exit_code == 1
    words = " ".join(told.output.split())
    assert "cannot be had 100 times: no arrangement on the places tried holds more than 48" in words
    assert "short of the wish by 52 cube" in told.output


def test_a_plan_that_does_not_read_ends_with_2(plan: Path) -> None:
    plan.write_text(SHED + '[wish]\ntanks = [{ kind = "cubes" }]\n', "utf-8")
    told = run(plan, *FEW)
    assert told.exit_code == 2
    assert 'did you mean "cube"?' in told.output


def test_a_stop_writes_nothing(plan: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def stopped(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("tankwright.cli.fit.worked_out_arrangements", stopped)
    told = run(plan, "--take", "1")
    assert told.exit_code == 130
    assert "Stopped; nothing was written" in told.output
    assert plan.read_text("utf-8") == SHED


INTERRUPTED = """
import os, signal, sys
from tankwright.arranging import program
from tankwright.cli.main import main

looks = []

def tell(*_):
    looks.append(1)
    os.kill(os.getpid(), signal.SIGINT)  # as Ctrl-C, in the midst of the search

program._LOOK = 0.5  # the search itself has begun by then, and with it what it hears signals by
watched = program._watched
program._watched = lambda solver, model, _: watched(solver, model, tell)
try:
    main(sys.argv[1:])
finally:
    assert looks
"""


def test_ctrl_c_in_the_midst_of_the_search_ends_it_in_good_order(plan: Path) -> None:
    plan.write_text(SHED + "[wish]\nislands = true\n", "utf-8")  # a long search
    words = [sys.executable, "-c", INTERRUPTED, "fit", str(plan), "--work", "60"]
    ended = subprocess.run(words, capture_output=True, text=True, timeout=120, check=False)
    assert (ended.returncode, ended.stderr.strip()) == (130, "Stopped; nothing was written.")
    assert plan.read_text("utf-8") == SHED + "[wish]\nislands = true\n"
