"""A small room with something of everything in it, and one whose upper tank feeds the tanks below by gravity."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from tankwright.plan.reading import read_plan_text
from tankwright.room.layout import lay_out
from tankwright.study import Study, work_out
from tankwright.workspace.opened import open_text

TANKS = """
[people]
looks = ["06:45", "18:30"]
longest_absence = "30 h"
[room.cellar]
size = { length = "3 m", width = "3 m", height = "2.2 m" }
doors = [{ wall = "west", from_south = "1 m", width = "0.8 m", swing = "out" }]
[tank_kind.cube]
outside = ["40 cm", "30 cm", "32 cm"]
glass = { sides = "5 mm", base = "5 mm", temper = "annealed" }
hole = { pane = "back", diameter = "29 mm", from_left = "75 mm", below_rim = "70 mm" }
overflow = { kind = "elbow", elbow_reach = "34 mm", water_below_rim = "42 mm", bore = "16 mm" }
[rack_kind.two]
length = "130 cm"
depth = "40 cm"
shelves = ["30 cm", "110 cm"]
[[rack]]
id = "A"
kind = "two"
room = "cellar"
wall = "north"
from_west = "1 m"
off_wall = "8 cm"
shelf.1 = [{ kind = "cube", ids = "L1..L2" }]
shelf.2 = [{ kind = "cube", ids = "U1" }]
[outfall.gully]
room = "cellar"
at = ["2.9 m", "2.9 m"]
height = "10 cm"
[drain.main]
to = "gully"
behind = ["A"]
bore = "50 mm"
fall = "1:60"
vented = true
hose = { bore = "13 mm" }
[water_point.tap]
room = "cellar"
at = ["0.1 m", "2.9 m"]
pressure = "3 bar"
flow = "12 L/min"
"""

EVERYTHING = """
[feed.drip]
from = "tap"
bore = "13 mm"
outlet = { kind = "tap", rate = "6 L/h", at_pressure = "1 bar", bore = "4 mm" }
filters = [{ name = "carbon", loss = "0.1 bar", at_flow = "5 L/min", carbon = true }]
program = [{ start = "02:00", minutes = 60 }]
tanks = "L1..L2"
[vat.barrel]
room = "cellar"
at = ["0.5 m", "0.5 m"]
volume = "60 L"
pump = "lift"
[pump.lift]
curve = [["0 kPa", "10 L/min"], ["20 kPa", "7 L/min"], ["40 kPa", "0 L/min"]]
power = "20 W"
[feed.mixed]
from = "barrel"
bore = "13 mm"
outlet = { kind = "small tube", bore = "2 mm", length = "1 m" }
program = [{ start = "09:00", minutes = 3 }]
tanks = "U1"
[water.tap]
winter = "8 °C"
summer = "16 °C"
ph = 7.4
general_hardness = "10 °dH"
carbonate_hardness = "6 °dH"
chlorine = "0.3 mg/L"
disinfectant = "chlorine"
nitrate = "5 mg/L"
[zone.main.wants]
temperature = ["22 °C", "26 °C"]
[[stock]]
tanks = "L1..L2"
count = 20
each = "1 g"
[climate]
weather = "Greensboro"
[climate.room.cellar]
heat_to = "20 °C"
heater = { power = "1 kW" }
[air.ring]
pump = "blower"
around = "cellar"
height = "0.7 m"
bore = "16 mm"
taps = 6
[pump.blower]
curve = [["0 kPa", "40 L/min"], ["20 kPa", "10 L/min"]]
power = "30 W"
height = "50 cm"
[power]
voltage = "230 V"
circuits = { life = { breaker = "10 A", rcd = "30 mA", device = "one" }, light = { breaker = "10 A", device = "two" } }
[[power.boards]]
id = "pumps"
circuit = "life"
outlets = 4
height = "1.9 m"
[[power.boards.loads]]
name = "air pump"
power = "30 W"
does = "air"
pump = "blower"
[[power.boards.loads]]
name = "vat pump"
power = "20 W"
does = "pump"
pump = "lift"
[[power.boards]]
id = "lamps"
circuit = "light"
outlets = 4
height = "1.9 m"
[[power.boards.loads]]
name = "lamp"
power = "10 W"
does = "light"
hours = 10
[[power.boards.loads]]
name = "heaters"
power = "100 W"
count = 3
does = "heat"
"""

GRAVITY = """
[feed.down]
from = "U1"
bore = "13 mm"
outlet = { kind = "tap", rate = "6 L/h", at_pressure = "1 kPa", bore = "4 mm" }
program = [{ start = "02:00", minutes = 60 }]
tanks = "L1..L2"
"""


@cache
def everything() -> Study:
    """Vat, pump, tap, carbon, air, heaters, power, light, climate and fish."""
    kind = TANKS.replace(
        'bore = "16 mm" }', 'bore = "16 mm" }\nheater = { power = "100 W", holds = "24 °C" }'
    )
    study = open_text(Path("whole.toml"), kind + EVERYTHING).study
    assert study is not None
    return study


@cache
def by_gravity() -> Study:
    """The upper tank is the reservoir of the two below."""
    read = read_plan_text(TANKS + GRAVITY, "gravity.toml")
    assert read.plan is not None, [(one.line, one.text) for one in read.findings]
    room = lay_out(read.plan).room
    assert room is not None
    return work_out(room)
