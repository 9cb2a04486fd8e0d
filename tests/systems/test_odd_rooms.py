"""Layout, load and power answer for any room that can be laid out or made by hand, however odd, and never raise."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from tankwright.checks.layout import check_layout
from tankwright.checks.load import check_load
from tankwright.checks.power import check_power
from tankwright.explain.layout import workings_layout
from tankwright.explain.load import workings_load
from tankwright.explain.power import workings_power
from tankwright.report.layout import json_layout, summary_layout
from tankwright.report.load import json_load, summary_load
from tankwright.report.power import json_power, summary_power
from tankwright.room.model import Box, Room
from tankwright.systems.layout import solve_layout
from tankwright.systems.load import solve_load
from tankwright.systems.power import solve_power

from .plain_rooms import given, make_board, make_circuit, make_load, make_room, powered, with_hole, with_tank

POINT = Box(x0=0, y0=0, z0=0, x1=0, y1=0, z1=0)


def with_rack(**changes: object) -> Room:
    room = make_room()
    return replace(room, racks=(replace(room.racks[0], **changes),))  # type: ignore[arg-type]


def with_space(**changes: object) -> Room:
    room = make_room()
    return replace(room, spaces=(replace(room.spaces[0], **changes),))  # type: ignore[arg-type]


ODD = {
    "nothing": Room(title="", display="metric", spaces=(), racks=(), tanks=()),
    "no spaces": replace(make_room(), spaces=()),
    "no racks": replace(make_room(), racks=()),
    "a room of no size": with_space(box=POINT),
    "a slope in a room of no size": with_space(box=POINT, slope_towards="east", slope_height=1.0),
    "a rack of no depth": with_rack(depth=0.0, box=replace(make_room().racks[0].box, y0=2.4)),
    "a rack of no length, no feet and no uprights": with_rack(
        length=0.0, legs=given(0.0), uprights=(), shelves=()
    ),
    "a rack with one upright": with_rack(uprights=((0.7, 0.745),)),
    "uprights wider than the rack": with_rack(uprights=((0.0, 2.0), (0.5, 1.0))),
    "a tank on a shelf that is not there": with_tank(make_room(), "A1", shelf=9),
    "a tank of no size": with_tank(
        make_room(), "A1", box=POINT, length=0.0, depth=0.0, height=0.0, inside_area=0.0
    ),
    "glass thicker than its tank": with_tank(make_room(), "A1", glass_side=given(0.5), glass_base=given(0.5)),
    "water above the rim": with_tank(make_room(), "A1", level=9.0, freeboard=-8.0),
    "a hole with no edges told": with_hole(make_room(), "A1", edge_distances=()),
    "a board of nothing": powered(make_board("a", outlets=0, rating=given(0.0))),
    "no circuits": powered(make_board("a", make_load()), circuits=()),
    "a breaker of nothing": powered(make_board("a", make_load()), circuits=(make_circuit("life", 0.0),)),
    "no continuous share": powered(make_board("a", make_load()), share=0.0),
    "a board on a rack that is not there": powered(make_board("a", make_load(), rack="Z")),
}


@pytest.mark.parametrize("room", ODD.values(), ids=ODD.keys())
def test_odd_rooms_are_answered_shown_and_explained(room):
    layout, load, power = solve_layout(room), solve_load(room), solve_power(room)
    findings = [*check_layout(room, layout), *check_load(room, load), *check_power(room, power)]
    assert all(finding.code and finding.text for finding in findings)
    shown = [json_layout(room, layout), json_load(room, load), json_power(room, power)]
    assert json.dumps(shown, allow_nan=False)
    assert summary_layout(room, layout)
    assert summary_load(room, load)
    assert summary_power(room, power)
    workings = [*workings_layout(room, layout), *workings_load(room, load), *workings_power(room, power)]
    assert all(working.formula for working in workings)
