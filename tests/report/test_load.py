"""The weights in short and as data, always with the caution."""

from __future__ import annotations

import json

import pytest

from tankwright.display import render_summary
from tankwright.report.load import CAUTION, json_load, summary_load
from tankwright.systems.load import solve_load

from ..systems.plain_rooms import make_room


def test_the_summary_gives_the_whole_the_heaviest_and_the_caution():
    room = make_room()
    result = solve_load(room)
    lines = summary_load(room, result)
    shown = render_summary("load", lines)
    assert 3 <= len(lines) <= 6
    assert "heaviest rack" in shown
    assert lines[-1].text == CAUTION
    assert "{" not in shown


def test_an_empty_plan_has_a_summary_with_the_caution():
    room = make_room(tanks="")
    assert summary_load(room, solve_load(room))[-1].text == CAUTION


def test_the_data_adds_up_and_says_its_units():
    room = make_room()
    data = json.loads(json.dumps(json_load(room, solve_load(room)), allow_nan=False))
    tank = data["tanks"][0]
    parts = tank["glass_kg"] + tank["water_kg"] + tank["substrate_kg"] + tank["fittings_kg"]
    assert tank["mass_kg"] == pytest.approx(parts)
    assert sum(tank["panes_kg"]) == pytest.approx(tank["glass_kg"])
    assert sum(one["mass_kg"] for one in data["tanks"]) == pytest.approx(data["racks"][0]["tanks_kg"])
    assert data["total_kg"] == pytest.approx(data["racks"][0]["mass_kg"])
    assert data["caution"] == CAUTION
