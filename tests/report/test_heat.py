"""Warmth and damp in short and as JSON."""

from __future__ import annotations

import json
from typing import Any

import pytest

from tankwright.display import sentence
from tankwright.report.heat import json_heat, summary_heat
from tankwright.room.model import Room
from tankwright.systems.heat import solve_heat
from tankwright.systems.heat_model import HeatResult

from ..systems.heat_rooms import shed, weather


def made() -> tuple[Room, HeatResult]:
    room = shed(climate='heat_to = "24 °C"\nheater = { power = "500 W" }', kind='heater = { power = "50 W" }')
    return room, solve_heat(room, weather(-5.0, 28.0, swing=4.0), {})


def test_the_summary_names_the_weather_the_heater_and_the_ends() -> None:
    room, result = made()
    told = [sentence(line.text, line.numbers) for line in summary_heat(room, result)]
    assert told[0] == "weather made up for a test"
    assert "its heater gives 500 W" in told[1]
    assert any(line.startswith("coldest tank ") for line in told)


def test_the_json_says_every_tank_in_degrees_and_watts() -> None:
    room, result = made()
    whole: dict[str, Any] = json.loads(json.dumps(json_heat(room, result)))
    assert [row["tank"] for row in whole["tanks"]] == [tank.id for tank in room.tanks]
    one, row = whole["tanks"][0], result.tanks[0]
    assert one["lowest_in_coldest_week_c"] == pytest.approx(row.coldest - 273.15)
    assert one["stuck_heater"]["rise_at_first_k_per_h"] == pytest.approx(50.0 / row.capacity * 3600.0)
    shed_ = whole["rooms"][0]
    assert len(shed_["weeks"][0]["air_c"]) == 168
    cold = shed_["design_days"][0]
    assert sum(part["heat_w"] for part in cold["losses"]) == pytest.approx(
        sum(part["heat_w"] for part in cold["gains"]), abs=0.01
    )
    assert shed_["ways_of_heating"]["by_air_kwh_per_day"] == pytest.approx(
        0.024 * shed_["ways_of_heating"]["by_air_w"]
    )


def test_what_was_not_worked_out_is_no_number() -> None:
    room = Room(title="", display="metric", spaces=(), racks=(), tanks=())
    whole = json_heat(room, solve_heat(room, None, {}))
    assert whole["winter_design_c"] is None
    assert whole["tanks"] == []
    assert whole["not_computed"]
