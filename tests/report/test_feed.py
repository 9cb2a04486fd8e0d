"""The feed in short and as JSON."""

from __future__ import annotations

import json

import pytest

from tankwright.report.feed import json_feed, summary_feed
from tankwright.systems.feed import solve_feed

from ..systems.feed_rooms import carbon, make_feed, make_tanks

ROOM = make_feed(make_tanks(4), regulated=1.5e5, filters=(carbon(),))


def test_the_summary_names_pressure_litres_and_shares():
    lines = summary_feed(ROOM, solve_feed(ROOM))
    assert len(lines) == 3
    assert "held by its regulator" in lines[0].text
    assert dict(lines[1].numbers)["daily"].value == pytest.approx(0.016, rel=1e-6)
    assert "A0" in lines[2].text


def test_the_summary_says_what_was_not_computed():
    room = make_feed(make_tanks(1), vat=100, pump="nobody")
    assert summary_feed(room, solve_feed(room))[0].text == "feed drip was not computed"


def test_the_json_holds_every_outlet_and_tank_and_can_be_written():
    result = solve_feed(ROOM)
    told = json.loads(json.dumps(json_feed(ROOM, result), allow_nan=False))
    run = told["runs"][0]
    assert len(run["outlets"]) == 4
    assert run["outlets"][0]["flow_l_per_h"] == pytest.approx(4.0, rel=1e-6)
    assert sum(outlet["flow_l_per_min"] for outlet in run["network"]["outlets"]) == pytest.approx(4 * 4 / 60)
    assert told["tanks"]["A0"]["volume_a_day_l"] == pytest.approx(4.0, rel=1e-6)
    assert told["sources"][0]["most_flow_l_per_min"] == pytest.approx(13.0)


def test_a_vat_level_with_its_manifold_feeds_by_gravity_and_a_tube_has_no_rated_flow():
    tube = {"kind": "small tube", "bore": 0.002, "length": 1.0}
    room = make_feed(make_tanks(3), vat=100, source_height=1.5, manifold=1.5, outlet=tube)
    line = summary_feed(room, solve_feed(room))[0]
    assert "by gravity, at {least} to {most} before the outlets" in line.text
    assert 0.0 < dict(line.numbers)["least"].value <= dict(line.numbers)["most"].value
    assert json_feed(room, solve_feed(room))["runs"][0]["outlets"][0]["rate_l_per_h"] is None
