"""The electrical side in short and as data, always with the caution."""

from __future__ import annotations

import json

import pytest

from tankwright.display import render_summary
from tankwright.report.power import CAUTION, json_power, summary_power
from tankwright.systems.power import solve_power

from ..systems.plain_rooms import make_board, make_load, make_room, powered

ROOM = powered(make_board("a", make_load(count=6), make_load("air pump", 71.0, does="air", hours=24.0)))


def test_the_summary_gives_the_whole_the_fullest_and_the_caution():
    lines = summary_power(ROOM, solve_power(ROOM))
    shown = render_summary("power", lines)
    assert 3 <= len(lines) <= 6
    assert "179 W with everything on" in shown
    assert "the air stops when device life trips, with light" in shown
    assert lines[-1].text == CAUTION


def test_a_plan_without_power_says_not_computed_and_the_caution():
    room = make_room()
    lines = summary_power(room, solve_power(room))
    assert lines[0].text.startswith("not computed")
    assert lines[-1].text == CAUTION


def test_the_data_says_its_units_and_what_stops():
    data = json.loads(json.dumps(json_power(ROOM, solve_power(ROOM)), allow_nan=False))
    (board,) = data["boards"]
    assert board["power_w"] == pytest.approx(6 * 18 + 71)
    assert board["energy_kwh_per_day"] == pytest.approx(6 * 0.018 * 10 + 0.071 * 24)
    assert {stop["kind"] for stop in data["stops"]} == {"board", "breaker", "device"}
    assert data["caution"] == CAUTION
