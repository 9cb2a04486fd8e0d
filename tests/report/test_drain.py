"""The drain in short and as data."""

from __future__ import annotations

import json
import re
from dataclasses import replace

import pytest

from tankwright.report.drain import json_drain, summary_drain
from tankwright.systems.drain import solve_drain

from ..systems.drain_rooms import (
    LITRE_PER_HOUR,
    LITRE_PER_MINUTE,
    given,
    hose_left_in,
    make_room,
    make_run,
    pulled,
    with_events,
)

ROOM = with_events(make_room(4), hose_left_in("T2", 13 * LITRE_PER_MINUTE), pulled("T1"))
RESULT = solve_drain(ROOM, {f"T{i}": 4 * LITRE_PER_HOUR for i in range(1, 5)}, {"T1": 4e-3})


def test_the_summary_is_short_and_names_its_numbers():
    lines = summary_drain(ROOM, RESULT)
    assert 3 <= len(lines) <= 6
    for line in lines:
        assert set(re.findall(r"\{(\w+)\}", line.text)) <= {name for name, _ in line.numbers}


def test_a_room_without_drains_still_has_a_summary():
    empty = make_room(1, tanks=())
    assert summary_drain(empty, solve_drain(empty, {}, {}))


def test_what_was_not_worked_out_is_in_the_summary_and_in_the_data():
    broken = replace(ROOM, drains=(replace(make_run(4), bore=given(0.0)),))
    result = solve_drain(broken, {}, {})
    assert any("not worked out" in line.text for line in summary_drain(broken, result))
    assert json_drain(broken, result)["not_computed"]


def test_the_data_can_be_written_and_carries_its_units_in_its_names():
    data = json.loads(json.dumps(json_drain(ROOM, RESULT), allow_nan=False))
    tank = data["tanks"]["T1"]
    assert tank["inflow_l_per_min"] == pytest.approx(4 / 60)
    assert round(tank["freeboard_volume_l"], 6) == 5.4
    assert round(tank["blocked_time_to_spill_min"]) == 81
    run = data["runs"]["main"]
    assert [case["kind"] for case in run["cases"]] == [
        "feed",
        "dump",
        "feed and dump",
        "dump",
        "feed and dump",
    ]
    assert len(run["cases"][0]["segments"]) == 4
    assert (
        run["cases"][0]["segments"][-1]["flow_l_per_min"] > run["cases"][0]["segments"][0]["flow_l_per_min"]
    )
    assert run["cases"][1]["spills_l_per_min"]["T2"] > 1
    assert run["cases"][3]["emptying"]["T1"]["time_min"] > 1
