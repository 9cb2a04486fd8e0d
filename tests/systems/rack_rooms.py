"""Small rooms with racks that are built here, for the tests of racks and of the floor under them."""

from __future__ import annotations

from typing import Any

from tankwright.plan.reading import read_plan_text
from tankwright.room.layout import lay_out
from tankwright.room.model import Room
from tankwright.systems.load import solve_load
from tankwright.systems.racks import solve_racks
from tankwright.systems.racks_model import RacksResult, RackStrength

PLAN = """
[room.cellar]
size = {{ length = "4 m", width = "3 m", height = "2.4 m" }}
floor = "{floor}"
{room}

[tank_kind.box]
outside = ["80 cm", "30 cm", "30 cm"]
glass = {{ sides = "5 mm", base = "5 mm", temper = "annealed" }}
empty_mass = "10 kg"

[rack_kind.plain]
length = "{length}"
depth = "40 cm"
shelves = {shelves}
height = "150 cm"
mass = "{mass}"
uprights_at = {uprights}
upright_width = "50 mm"
{built}
{kind}

[[rack]]
id = "A"
kind = "plain"
room = "cellar"
wall = "north"
from_west = "50 cm"
off_wall = "10 cm"
{tied}
{tanks}
{rack}
"""

TIMBER = (
    'timber = { uprights = "50x100 C24", bearers = "50x100 C24", board = "18 mm plywood", brace = "9 mm plywood",'
    " service_class = 2 }"
)
USUAL = {
    "floor": "slab",
    "room": "",
    "length": "205 cm",
    "shelves": '["40 cm", "100 cm"]',
    "mass": "20 kg",
    "uprights": '["0 cm", "200 cm"]',
    "built": TIMBER,
    "kind": "",
    "tied": "tied_to_wall = true",
    "tanks": 'shelf.1 = [{ kind = "box", ids = "A1..A2", from_left = "22.5 cm", gap = "0 cm" }]',
    "rack": "",
}
"""Uprights 200 cm apart from middle to middle; two tanks of 80 cm on the lower shelf, in the middle of its depth."""


def rack_room(**changes: str) -> Room:
    """The usual room with some of its text changed."""
    read = read_plan_text(PLAN.format(**{**USUAL, **changes}), "test.toml")
    assert read.plan is not None, [finding.text for finding in read.findings]
    room = lay_out(read.plan).room
    assert room is not None
    return room


def solved(room: Room, **masses: float) -> RacksResult:
    """The racks under what the tanks weigh, or under masses said instead."""
    weighed = {one.tank: one.total for one in solve_load(room).tanks}
    return solve_racks(room, {**weighed, **masses})


def only_rack(**changes: Any) -> RackStrength:
    """Rack A of the usual room, each tank of it weighing 100 kg, the rack itself next to nothing."""
    room = rack_room(**{"mass": "1 g", **changes})
    return solved(room, **{tank.id: 100.0 for tank in room.tanks}).racks[0]
