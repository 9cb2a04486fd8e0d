"""Small rooms whose pipes can be counted by hand, and the examples."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from tankwright.finding import Severity
from tankwright.plan.models import Plan
from tankwright.plan.reading import read_plan_text
from tankwright.room.layout import lay_out
from tankwright.room.model import Room

EXAMPLES = Path(__file__).parents[2] / "examples"
NAMES = ("cellar", "cellar_mended", "garage", "hall")

ROOM = """
[room.cellar]
size = { length = "5 m", width = "4 m", height = "2.2 m" }

[tank_kind.cube]
outside = ["40 cm", "30 cm", "32 cm"]
glass = { sides = "5 mm", base = "6 mm", temper = "annealed" }
hole = { pane = "back", diameter = "29 mm", from_left = "20 cm", below_rim = "70 mm" }
overflow = { elbow_reach = "34 mm", water_below_rim = "42 mm", bore = "16 mm" }

[rack_kind.one]
length = "130 cm"
depth = "40 cm"
shelves = ["60 cm"]

[[rack]]
id = "N"
kind = "one"
room = "cellar"
wall = "north"
from_west = "1 m"
off_wall = "10 cm"
shelf.1 = [{ kind = "cube", ids = "N1..N3", gap = "1 cm", from_left = "4 cm" }]

[outfall.gully]
room = "cellar"
at = ["3 m", "3.95 m"]
height = "5 cm"
"""

DRAIN = """
[drain.main]
to = "gully"
behind = ["N"]
pipe = "{pipe}"
fall = "1:50"
vented = {vented}
hose = {{ bore = "13 mm", length = "80 cm" }}
"""

PUMP = """
[pump.piston]
curve = [["0 kPa", "60 L/min"], ["20 kPa", "25 L/min"]]
room = "cellar"
"""

AIR = (
    PUMP
    + """
[air.ring]
pump = "piston"
pipe = "25 mm ISO PN10"
height = "2 m"
path = [["1 m", "1 m"], ["4 m", "1 m"], ["4 m", "3 m"], ["1 m", "3 m"]]
lead = "80 cm"
taps = 10
tube = { bore = "4 mm", length = "1.5 m" }
adapters = [{ bore = "18 mm", note = "pump port to ring" }]
"""
)

FEED = """
[water_point.tap]
room = "cellar"
at = ["0.5 m", "3.96 m"]
height = "50 cm"
pressure = "3 bar"

[feed.drip]
from = "tap"
pipe = "{pipe}"
outlet = {{ kind = "{kind}", rate = "2 L/h", at_pressure = "1 bar" }}
"""


def read_room(text: str) -> tuple[Plan, Room]:
    """A plan given as text, laid out; it must read without a problem."""
    read = read_plan_text(text, "test.toml")
    assert [one for one in read.findings if one.severity is Severity.PROBLEM] == []
    assert read.plan is not None
    room = lay_out(read.plan).room
    assert room is not None
    return read.plan, room


@cache
def example(name: str) -> tuple[Plan, Room]:
    """An example of the program, laid out."""
    return read_room((EXAMPLES / f"{name}.toml").read_text("utf-8"))
