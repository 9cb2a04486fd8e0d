"""Small rooms for the tests of layout, load and power, laid out from short plans."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from tankwright.origin import Known, Origin
from tankwright.plan.reading import read_plan_text
from tankwright.room.layout import lay_out
from tankwright.room.model import BoardPlace, CircuitPlace, LoadPlace, PowerRoom, Room, Tank

HOLE = """hole = { pane = "back", diameter = "30 mm", from_left = "15 cm", below_rim = "70 mm", flange = "45 mm" }
overflow = { elbow_reach = "34 mm", water_below_rim = "40 mm", bore = "16 mm" }"""

TANKS = """shelf.1 = [{ kind = "box", ids = "A1..A2", from_left = "10 cm" }]
shelf.2 = [{ kind = "box", ids = "A3..A4", from_left = "10 cm" }]"""

PLAN = """
[room.cellar]
size = {{ length = "{length}", width = "{width}", height = "2.4 m" }}
floor = "{floor}"
doors = [{door}]
{room}

[tank_kind.box]
outside = ["60 cm", "30 cm", "30 cm"]
glass = {{ sides = "5 mm", base = "5 mm", temper = "{temper}" }}
{hole}

[rack_kind.plain]
length = "150 cm"
depth = "40 cm"
shelves = {shelves}
height = "150 cm"
mass = "25 kg"
uprights_at = ["0 cm", "145.5 cm"]
upright_width = "45 mm"
{rack_kind}

[[rack]]
id = "A"
kind = "plain"
room = "cellar"
wall = "north"
from_west = "50 cm"
off_wall = "10 cm"
{tied}
{tanks}
{more}
"""

USUAL = {
    "length": "3 m",
    "width": "2.5 m",
    "floor": "slab",
    "door": '{ wall = "south", from_west = "1 m", width = "90 cm", swing = "out", hinged = "west" }',
    "room": "",
    "temper": "annealed",
    "hole": HOLE,
    "shelves": '["40 cm", "95 cm"]',
    "rack_kind": 'shelf_rating = "300 kg"',
    "tied": "tied_to_wall = true",
    "tanks": TANKS,
    "more": "",
}
"""A room in which every check of the layout and the load keeps silent, or says only what it always says."""


def make_room(**changes: str) -> Room:
    """The usual room with some of its text changed."""
    text = PLAN.format(**{**USUAL, **changes})
    read = read_plan_text(text, "test.toml")
    assert read.plan is not None, [finding.text for finding in read.findings]
    return lay_out(read.plan).room


def with_tank(room: Room, name: str, **changes: Any) -> Room:
    """The same room with one tank changed."""
    return replace(room, tanks=tuple(replace(t, **changes) if t.id == name else t for t in room.tanks))


def with_hole(room: Room, name: str, **changes: Any) -> Room:
    """The same room with one tank's hole changed."""
    hole = room.tank(name).hole
    assert hole is not None
    return with_tank(room, name, hole=replace(hole, **changes))


def given(value: float) -> Known:
    """A value the owner gave."""
    return Known(value, Origin.GIVEN)


def one_tank(**changes: Any) -> Tank:
    """The first tank of the usual room."""
    return replace(make_room().tank("A1"), **changes)


def make_load(name: str = "light", power: float = 18.0, **changes: Any) -> LoadPlace:
    """One load of 18 W for ten hours a day unless said otherwise."""
    arguments: dict[str, Any] = {
        "name": name, "power": given(power), "count": 1, "does": "light", "hours": 10.0, "serves": (), "pump": None,
    }  # fmt: skip
    return LoadPlace(**{**arguments, **changes})


def make_board(name: str = "board", *loads: LoadPlace, **changes: Any) -> BoardPlace:
    """A board of six outlets and 10 A above the water of rack A."""
    arguments: dict[str, Any] = {
        "id": name, "circuit": "life", "outlets": 6, "rating": given(10.0), "switched": False, "rack": "A",
        "height": given(2.0), "drip_loop": None, "loads": loads,
    }  # fmt: skip
    return BoardPlace(**{**arguments, **changes})


def make_power(
    *boards: BoardPlace,
    voltage: float = 230.0,
    share: float = 0.8,
    circuits: tuple[CircuitPlace, ...] | None = None,
) -> PowerRoom:
    """A supply with one 10 A circuit behind a 30 mA device unless said otherwise."""
    usual = (CircuitPlace(id="life", breaker=given(10.0), rcd=given(0.030), device="life"),)
    return PowerRoom(
        voltage=given(voltage), continuous_share=given(share), circuits=usual if circuits is None else circuits,
        boards=boards,
    )  # fmt: skip


def make_circuit(
    name: str, breaker: float = 10.0, rcd: float | None = 0.030, device: str = ""
) -> CircuitPlace:
    """A circuit; its device is its own unless said otherwise."""
    return CircuitPlace(
        id=name, breaker=given(breaker), rcd=None if rcd is None else given(rcd), device=device or name
    )


def powered(*boards: BoardPlace, **changes: Any) -> Room:
    """The usual room with these boards."""
    return replace(make_room(), power=make_power(*boards, **changes))
