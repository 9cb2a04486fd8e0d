"""Racks and floors answer for any room that can be laid out or made by hand, however odd, and never raise."""

from __future__ import annotations

import json
import math
from dataclasses import replace

import pytest

from tankwright.checks.racks import check_racks
from tankwright.display import render_finding, render_working
from tankwright.explain.racks import workings_racks
from tankwright.report.racks import json_racks, summary_racks
from tankwright.room.model import Box, Room
from tankwright.systems.racks import solve_racks

from .plain_rooms import given
from .rack_rooms import TIMBER, rack_room

POINT = Box(x0=0, y0=0, z0=0, x1=0, y1=0, z1=0)
JOISTS = 'joists = {{ section = "45 mm x 195 mm C24", every = "{every}", run = "north-south" }}'


def with_rack(**changes: object) -> Room:
    room = rack_room()
    return replace(room, racks=(replace(room.racks[0], **changes),))  # type: ignore[arg-type]


def with_tank(**changes: object) -> Room:
    room = rack_room()
    return replace(room, tanks=(replace(room.tanks[0], **changes), *room.tanks[1:]))  # type: ignore[arg-type]


ODD = {
    "nothing": Room(title="", display="metric", spaces=(), racks=(), tanks=()),
    "no spaces": replace(rack_room(), spaces=()),
    "no tanks": replace(rack_room(), tanks=()),
    "a rack of no depth": with_rack(depth=0.0, box=POINT),
    "no uprights, no shelves, no feet": with_rack(uprights=(), shelves=(), legs=given(0.0)),
    "one upright": with_rack(uprights=((0.7, 0.75),)),
    "uprights in one place": with_rack(uprights=((0.7, 0.75), (0.7, 0.75))),
    "uprights a hair apart": with_rack(uprights=((0.7, 0.75), (0.7001, 0.7501))),
    "a rack without weight": with_rack(mass=given(0.0)),
    "a shelf under the ceiling of a hall": with_rack(shelves=(0.4, 29.0)),
    "a shelf on the floor": with_rack(shelves=(0.0,)),
    "a tank on a shelf that is not there": with_tank(shelf=9),
    "a tank of no size": with_tank(box=POINT, length=0.0, depth=0.0),
    "a tank far beside its rack": with_tank(box=Box(x0=-9, y0=0, z0=0, x1=-8, y1=1, z1=1)),
    "ten bearers in 12 cm of depth": rack_room(built=TIMBER.replace("board =", "bearers_under = 10, board =")),
    "a void as large as the room": rack_room(
        room='voids = [{ name = "pit", at = ["0 m", "0 m"], size = ["4 m", "3 m"] }]'
    ),
    "joists side by side": rack_room(room=JOISTS.format(every="1 cm"), floor="timber"),
    "joists wider apart than the room": rack_room(room=JOISTS.format(every="9 m"), floor="timber"),
    "one joist": rack_room(room=JOISTS.format(every="2.9 m"), floor="timber"),
    "matchsticks": rack_room(built=TIMBER.replace("50x100", "1x2 mm").replace("1x2 mm C24", "1 mm x 2 mm C24")),
    "posts of tree trunks": rack_room(built=TIMBER.replace("50x100", "900x900")),
}  # fmt: skip


BESIDE = {"a tank far beside its rack", "a tank of no size"}
"""Their tank stands before the rack or behind it, so that it lifts the other side."""


@pytest.mark.parametrize("name", ODD)
@pytest.mark.parametrize("mass", [0.0, 100.0, 1e6])
def test_an_odd_room_is_answered(name: str, mass: float) -> None:
    room = ODD[name]
    result = solve_racks(room, {tank.id: mass for tank in room.tanks})
    for finding in check_racks(room, result):
        assert render_finding(finding, "plan.toml")
    assert summary_racks(room, result)
    for working in workings_racks(room, result):
        assert render_working(working)
    told = json.dumps(json_racks(room, result), allow_nan=False)
    assert told
    for one in result.racks:
        assert all(math.isfinite(use.share) and use.share >= 0.0 for beam in one.beams for use in beam.uses)
        if name not in BESIDE:
            assert all(post.force >= -1e-6 for post in one.posts)


def test_an_upright_longer_than_the_formula_reaches_is_said_and_not_judged() -> None:
    room = rack_room(
        shelves='["40 cm", "25 m"]', tied="", built=TIMBER.replace(', brace = "9 mm plywood"', ""),
        tanks='shelf.2 = [{ kind = "box", ids = "A1" }]',
    )  # fmt: skip
    result = solve_racks(room, {"A1": 100.0})
    assert not [use for post in result.racks[0].posts for use in post.uses]
    assert any("uprights were not judged" in reason for _, reason, _ in result.not_computed)


def test_joists_that_joists_cannot_be_are_said() -> None:
    room = rack_room(room=JOISTS.format(every="9 m"), floor="timber")
    result = solve_racks(room, {"A1": 100.0, "A2": 100.0})
    assert result.floors[0].joists == ()
    assert any("joists of cellar" in reason for _, reason, _ in result.not_computed)
