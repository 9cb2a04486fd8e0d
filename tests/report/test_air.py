"""The air in short and as JSON."""

from __future__ import annotations

import json

import pytest

from tankwright.report.air import json_air, summary_air
from tankwright.systems.air import solve_air

from ..systems.air_rooms import make_ring, make_tank, turned

ROOM = make_ring(tuple(make_tank(f"A{i}") for i in range(5)), taps=20, open_spare=2, height=0.7)


def test_the_summary_names_pump_worst_tank_settings_and_run_back():
    lines = summary_air(ROOM, solve_air(ROOM))
    assert len(lines) == 4
    assert "pump piston works at" in lines[0].text
    assert all(name in line.text for line in lines for name in [f"{{{key}}}" for key, _ in line.numbers])


def test_the_summary_says_what_was_not_computed():
    room = make_ring((make_tank("A1"),), taps=4, pumps=())
    assert summary_air(room, solve_air(room))[0].text == "air ring was not computed"


def test_the_json_holds_every_tap_and_the_solved_network_and_can_be_written():
    result = solve_air(ROOM)
    told = json.loads(json.dumps(json_air(ROOM, result), allow_nan=False))
    run = told["runs"][0]
    assert [tap["tank"] for tap in run["taps"] if tap["tank"]] == [f"A{i}" for i in range(5)]
    flow = run["taps"][0]["flow_l_per_min"]
    assert flow == pytest.approx(result.runs[0].taps[0].flow * 60_000)
    outlets = sum(outlet["flow_l_per_min"] for outlet in run["network"]["outlets"])
    assert outlets == pytest.approx(run["total_flow_l_per_min"])
    assert run["network"]["status"] == "converged"
    assert told["tanks"]["A0"]["wanted_l_per_min"] == pytest.approx(1.0)
    assert run["run_back"][0]["volume_l"] > 0
    assert run["set_taps"]["network"]["nodes"]


def test_the_json_and_the_summary_say_how_far_taps_stand_open():
    room = turned(ROOM, {"A0": 0.6, "A1": 0.0})
    result = solve_air(room)
    (run,) = json_air(room, result)["runs"]  # type: ignore[misc]
    assert {tap["tank"]: tap["stands_open_share"] for tap in run["taps"] if tap["tank"]} == {
        "A0": 0.6, "A2": 1.0, "A3": 1.0, "A4": 1.0,
    }  # fmt: skip
    assert run["shut_taps"] == [{"id": "tap 4", "tank": "A1"}]
    assert json_air(room, result)["tanks_without_air"] == ["A1"]
    line = summary_air(room, result)[1]
    assert "{count} tanks' taps, {turned} of them turned back, the rest fully open; least at A0" in line.text
    assert dict(line.numbers)["turned"].value == 1.0
    assert "tanks' taps, fully open; " in summary_air(ROOM, solve_air(ROOM))[1].text
