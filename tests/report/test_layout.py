"""The layout in short and as data."""

from __future__ import annotations

import json

from tankwright.display import render_summary
from tankwright.report.layout import json_layout, summary_layout
from tankwright.systems.layout import solve_layout

from ..systems.plain_rooms import make_room


def test_the_summary_names_the_narrowest_things():
    room = make_room()
    lines = summary_layout(room, solve_layout(room))
    shown = render_summary("layout", lines)
    assert 3 <= len(lines) <= 6
    assert "4 tanks on 1 rack in 1 room" in shown
    assert "narrowest aisle 2 m, before rack A" in shown
    assert "least freeboard 40 mm" in shown
    assert "{" not in shown


def test_the_summary_of_a_room_without_tanks_is_still_said():
    room = make_room(tanks="")
    assert "0 tanks" in render_summary("layout", summary_layout(room, solve_layout(room)))


def test_the_data_is_plain_and_every_length_says_its_unit():
    room = make_room()
    data = json.loads(json.dumps(json_layout(room, solve_layout(room)), allow_nan=False))
    assert data["aisles"][0]["width_m"] == 2.0
    assert data["aisles"][0]["from_xy_m"] == [1.25, 2.0]
    assert [tank["tank"] for tank in data["tanks"]] == ["A1", "A2", "A3", "A4"]
    for row in data["tanks"] + data["racks"]:
        numbers = [key for key, value in row.items() if isinstance(value, float)]
        assert numbers
        assert all(key.endswith("_m") for key in numbers)
