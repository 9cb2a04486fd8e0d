"""One tank of 60 L with an open surface of 60 x 30 cm, and rooms of it, for the tests of the oxygen."""

from __future__ import annotations

from dataclasses import replace

from tankwright.plan.reading import read_plan_text
from tankwright.room.layout import lay_out
from tankwright.room.model import Room

PLAN = """
[people]
looks = ["07:00", "19:00"]
longest_absence = "60 h"

[room.cellar]
size = {{ length = "3 m", width = "2.5 m", height = "2.4 m" }}
floor = "slab"

[tank_kind.box]
outside = ["60 cm", "30 cm", "36 cm"]
glass = {{ sides = "5 mm", base = "5 mm" }}
{kind}

[rack_kind.plain]
length = "150 cm"
depth = "40 cm"
shelves = ["40 cm", "95 cm"]

[[rack]]
id = "A"
kind = "plain"
room = "cellar"
wall = "north"
zone = "main"
shelf.1 = [{{ kind = "box", ids = "A1..A2" }}]
shelf.2 = [{{ kind = "box", ids = "A3..A4" }}]

[zone.main]
wants = {{ temperature = ["{warmth}", "{warmth}"] }}

[assume]
{assume}

{stock}
"""

STOCK = """[[stock]]
tanks = "A1..A4"
count = 40
each = "1 g"
feed = "0.8 g/day"
"""


def oxygen_room(
    stock: str = STOCK, *, assume: str = "", warmth: str = "26 °C", kind: str = "", exact: bool = False
) -> Room:
    """The room laid out; `exact` gives each tank 60 L under 0.18 m2 whatever its glass."""
    text = PLAN.format(stock=stock, assume=assume, warmth=warmth, kind=kind)
    read = read_plan_text(text, "oxygen.toml")
    assert read.plan is not None, [finding.text for finding in read.findings]
    room = lay_out(read.plan).room
    assert room is not None
    if not exact:
        return room
    tanks = tuple(replace(tank, water_volume=0.060, inside_area=0.18) for tank in room.tanks)
    return replace(room, tanks=tanks)
