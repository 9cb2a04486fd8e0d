"""The oxygen in short and as data: worst first, units in the names, nothing endless in it."""

from __future__ import annotations

import json

import pytest

from tankwright.display import render_summary
from tankwright.report.oxygen import json_oxygen, summary_oxygen
from tankwright.systems.oxygen import solve_oxygen

from ..systems.oxygen_rooms import oxygen_room

STOCK = (
    '[[stock]]\ntanks = "A1"\ncount = 60\neach = "1 g"\n[[stock]]\ntanks = "A2"\ncount = 3\neach = "1 g"\n'
)


def test_the_summary_names_the_first_tank_in_trouble_and_those_without_a_time():
    room = oxygen_room(STOCK)
    shown = render_summary("oxygen", summary_oxygen(room, solve_oxygen(room, {"A1": 2e-5, "A2": 2e-5})))
    assert "first in trouble when the air stops: A1" in shown
    assert "2 tanks without a time" in shown
    assert "a screening" in shown
    assert "{" not in shown


def test_the_data_is_worst_first_and_says_where_a_time_never_comes():
    room = oxygen_room(STOCK)
    result = solve_oxygen(room, {"A1": 2e-5, "A2": 2e-5})
    data = json.loads(json.dumps(json_oxygen(room, result), allow_nan=False))
    tanks = data["tanks"]
    assert [one["tank"] for one in tanks] == ["A1", "A2", "A3", "A4"]
    assert tanks[0]["demand_mg_per_h"] == pytest.approx(
        tanks[0]["demand_of_fish_mg_per_h"] + tanks[0]["demand_of_filter_and_mulm_mg_per_h"]
    )
    assert tanks[0]["fish_g"] == pytest.approx(60.0)
    assert tanks[1]["falls"] == "no"
    assert tanks[1]["time_to_trouble_h"] == {"low": None, "value": None, "high": None}
    assert (tanks[2]["falls"], tanks[2]["time_to_trouble_h"], tanks[2]["fish_are_assumed"]) == (
        "not computed",
        None,
        True,
    )
    assert data["trouble_level_mg_per_l"] == pytest.approx(3.0)
    assert {one["span"] for one in tanks[2]["holds"]} == {"between looks", "absence"}
