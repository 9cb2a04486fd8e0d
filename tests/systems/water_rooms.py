"""One rack of four small tanks with a feed from a tap, and what its plan says of waters, zones and fish."""

from __future__ import annotations

from dataclasses import replace

from tankwright.plan.reading import read_plan_text
from tankwright.room.layout import lay_out
from tankwright.room.model import Room

PLAN = """
[people]
looks = ["07:00", "19:00"]

[room.cellar]
size = {{ length = "3 m", width = "2.5 m", height = "2.4 m" }}
floor = "slab"

[water_point.tap]
room = "cellar"
at = ["0.2 m", "0.2 m"]
pressure = "3 bar"

[tank_kind.box]
outside = ["60 cm", "30 cm", "36 cm"]
glass = {{ sides = "5 mm", base = "5 mm" }}

[rack_kind.plain]
length = "150 cm"
depth = "40 cm"
shelves = ["40 cm", "95 cm"]

[[rack]]
id = "A"
kind = "plain"
room = "cellar"
wall = "north"
shelf.1 = [{{ kind = "box", ids = "A1..A2" }}]
shelf.2 = [{{ kind = "box", ids = "A3..A4" }}]

[climate]
currency = "EUR"

[feed.drip]
from = "tap"
outlet = {{ kind = "compensating dripper", rate = "4 L/h" }}
program = [{{ start = "02:00", minutes = 60, days = "daily" }}]
racks = ["A"]
{feed}
{more}
"""

TAP = """[water.tap]
winter = "10 °C"
summer = "18 °C"
ph = 7.3
general_hardness = { value = "16 °dH" }
carbonate_hardness = "12 °dH"
conductivity = "600 µS/cm"
nitrate = "20 mg/L"
chlorine = "0.3 mg/L"
disinfectant = "chlorine"
price = 4
"""
PURE = """[water.pure]
comes_from = []
winter = "18 °C"
summer = "18 °C"
ph = 6.0
general_hardness = "0 °dH"
carbonate_hardness = "0.5 °dH"
conductivity = "15 µS/cm"
nitrate = "1 mg/L"
chlorine = "0 mg/L"
disinfectant = "none"
price = 14
"""
DRIP = {"drip": dict.fromkeys(("A1", "A2", "A3", "A4"), 4.0 / 3.6e6)}
LITRE = 1e-3


def water_room(*parts: str, feed: str = "", litres: float | None = None) -> Room:
    """The room laid out with these parts of a plan; `feed` is more of its feed, `litres` gives each tank just so much
    water."""
    read = read_plan_text(PLAN.format(feed=feed, more="\n".join(parts)), "test.toml")
    assert read.plan is not None, [finding.text for finding in read.findings]
    room = lay_out(read.plan).room
    assert room is not None
    if litres is None:
        return room
    return replace(room, tanks=tuple(replace(tank, water_volume=litres * LITRE) for tank in room.tanks))


CARBON = 'filters = [{ name = "carbon", loss = "0.1 bar", at_flow = "5 L/min", carbon = true }]'


def carbon_room(*parts: str) -> Room:
    """The same room with a carbon filling in its feed."""
    return water_room(*parts, feed=CARBON)


def wants(text: str, zone: str = "main") -> str:
    """What a zone wants."""
    return f"[zone.{zone}]\nwants = {{ {text} }}\n"


def stock(species: str, tanks: str = "A1..A4", count: int = 10) -> str:
    """Fish of a species in some tanks."""
    return f'[[stock]]\ntanks = "{tanks}"\nspecies = "{species}"\ncount = {count}\neach = "1 g"\n'
