import pytest

RACK = """
[[rack]]
id = "A"
kind = "two"
room = "cellar"
wall = "north"
from_west = "1 m"
shelf.1 = [{ kind = "cube", ids = "A1..A3" }]
"""
POWER = """
[power]
circuits = { life = { breaker = "10 A", rcd = "30 mA", device = "main rcd" }, light = { breaker = "16 A" } }
boards = [
  { id = "lights", circuit = "light", outlets = 6, switched = true, rack = "A", height = "1.9 m", loads = [
      { name = "lamp", power = "18 W", count = 6, does = "light", hours = 10, serves = "A1..A3" } ] },
  { id = "air", circuit = "life", outlets = 4, loads = [{ name = "pump", power = "71 W", does = "air", pump = "p" }] },
]
[pump.p]
curve = [["0 kPa", "60 L/min"], ["20 kPa", "20 L/min"]]
"""


def test_boards_hang_on_circuits_and_loads_on_boards(lay):
    laid = lay(RACK + POWER)
    assert laid.findings == ()
    power = laid.room.power
    life, light = power.circuits
    assert (life.device, light.device, light.rcd) == ("main rcd", "light", None)
    lights, air = power.boards
    assert (lights.circuit, lights.rack, lights.height.value, lights.switched) == ("light", "A", 1.9, True)
    assert lights.loads[0].serves == ("A1", "A2", "A3")
    assert (lights.loads[0].count, lights.loads[0].power.value) == (6, 18.0)
    assert (air.loads[0].pump, air.rating.key, air.height.key) == (
        "p",
        "power.board_rating",
        "power.board_height",
    )
    assert power.voltage.key == "power.voltage"


def test_a_plan_without_power_has_none(lay):
    assert lay(RACK).room.power is None


def test_looks_are_seconds_in_order_and_an_absence_not_said_is_assumed(lay):
    room = lay(RACK + '[people]\nlooks = ["18:30", "06:45"]').room
    assert room.looks == (24300.0, 66600.0)
    assert room.longest_absence.key == "people.longest_absence"
    said = lay(RACK + '[people]\nlongest_absence = "60 h"').room
    assert said.longest_absence.value == pytest.approx(216000.0)


def test_racks_without_a_zone_are_in_the_main_one(lay):
    text = (
        RACK
        + "[zone.quarantine]\nquarantine = true\n"
        + RACK.replace('"A"', '"Q"')
        .replace('"A1..A3"', '"Q1"')
        .replace('from_west = "1 m"', 'from_west = "3 m"\nzone = "quarantine"')
    )
    room = lay(text).room
    assert [(one.id, one.quarantine) for one in room.zones] == [("quarantine", True), ("main", False)]
    assert [tank.zone for tank in room.tanks] == ["main", "main", "main", "quarantine"]
