"""Air and feed of whole plans: the first cellar has faults to be found, the mended one has none."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tankwright.checks.air import check_air
from tankwright.checks.feed import check_feed
from tankwright.explain.air import workings_air
from tankwright.explain.feed import workings_feed
from tankwright.finding import Severity
from tankwright.plan.reading import read_plan_file
from tankwright.report.air import json_air
from tankwright.report.feed import json_feed
from tankwright.room.layout import lay_out
from tankwright.room.model import Room
from tankwright.systems.air import solve_air
from tankwright.systems.feed import solve_feed

EXAMPLES = Path(__file__).parents[2] / "examples"


def room_of(name: str) -> Room:
    plan = read_plan_file(str(EXAMPLES / f"{name}.toml")).plan
    assert plan is not None
    room = lay_out(plan).room
    assert room is not None
    return room


def problems(room: Room) -> set[str]:
    found = (*check_air(room, solve_air(room)), *check_feed(room, solve_feed(room)))
    return {one.code for one in found if one.severity is Severity.PROBLEM}


def test_the_first_cellar_has_silent_tanks_run_back_a_shared_quarantine_and_no_air_gap():
    assert {"AIR-02", "AIR-07", "AIR-12", "FEED-05"} <= problems(room_of("cellar"))


def test_the_mended_cellar_has_no_problem_in_air_or_feed():
    room = room_of("cellar_mended")
    assert problems(room) == set()
    assert solve_air(room).not_computed == ()
    assert solve_feed(room).not_computed == ()


@pytest.mark.parametrize("name", ["cellar", "cellar_mended", "garage"])
def test_everything_about_air_and_feed_can_be_written_as_json_and_explained_once(name):
    room = room_of(name)
    air, feed = solve_air(room), solve_feed(room)
    told = json.loads(json.dumps({**json_air(room, air), "feed": json_feed(room, feed)}, allow_nan=False))
    assert {run["network"]["status"] for run in told["runs"]} == {"converged"}
    assert len(told["tanks"]) == len(air.tanks)
    names = [working.name for working in (*workings_air(room, air), *workings_feed(room, feed))]
    assert len(names) == len(set(names))
