"""What hangs on the supply, counted once however often the plan names it."""

from __future__ import annotations

import pytest

from tankwright.finding import Severity
from tankwright.takeoff.counted import Counted
from tankwright.takeoff.counting_power import count_power

from .part_rooms import codes, counts, example, needs, small_room

POWER = """[power]
voltage = "230 V"
{panel}
[power.circuits]
life = {{ breaker = "10 A", rcd = "30 mA" }}
light = {{ breaker = "16 A" }}
[[power.boards]]
id = "b"
circuit = "life"
{rack}
outlets = 4
height = "2 m"
loads = [{loads}]
[[power.boards]]
id = "c"
circuit = "life"
{rack}
outlets = 2
height = "1.5 m"
switched = true
fixed = true
{more}
"""


def powered(loads: str = "", kind: str = "", more: str = "", **changes: str) -> Counted:
    said = {"panel": "", "rack": "", "loads": loads, "more": more, **changes}
    return count_power(*small_room(kind=kind, more=POWER.format(**said)))


def test_the_mended_cellar_is_counted_once() -> None:
    found = counts(count_power(*example("cellar_mended")))
    assert found["18 W light"] == 6 + 6 + 4 + 6
    assert found["power board, 6 outlets"] == 4
    assert found["power board, 2 outlets"] == found["outlets on the wall, 2"] == 1
    assert found["timer switch"] == 4
    # a load "room heater" of 1500 W is the two of 750 W the climate has; "air pump" is the pump itself
    assert found["room heater 750 W"] == 2
    assert found["pump piston80"] == found["pump small12"] == 1
    assert not {"room heater", "air pump", "quarantine air pump"} & set(found)
    assert found["battery 100 Ah 12 V"] == found["inverter with charger"] == 1
    assert found["floor water alarm"] == found["power alarm"] == 1
    assert found["breaker 10 A with residual current device 30 mA"] == 2


@pytest.mark.parametrize("name", ["cellar", "cellar_mended", "garage", "hall"])
def test_pumps_and_boards_of_an_example_are_those_of_its_room(name: str) -> None:
    plan, room = example(name)
    counted = count_power(plan, room)
    pumps = [need for need in counted.needs if need.article.startswith("pump ")]
    assert [need.places for need in pumps] == [(pump.id,) for pump in room.pumps]
    boards = [
        need.places[0] for need in counted.needs if need.article.startswith(("power board", "outlets on"))
    ]
    assert boards == ([board.id for board in room.power.boards] if room.power else [])


def test_a_load_that_is_no_other_thing_is_counted_as_itself() -> None:
    counted = powered(
        '{ name = "tank heater", power = "50 W", count = 3, does = "heat" }, { name = "radio", power = "5 W" }'
    )
    assert counts(counted)["tank heater"] == 3
    assert needs(counted, "radio")[0].places == ("b",)
    assert "PART-65" not in codes(counted)


def test_a_heater_of_a_tank_is_counted_with_its_tank() -> None:
    heated = 'heater = { power = "50 W" }'
    load = '{ name = "tank heaters", power = "50 W", count = 3, does = "heat", serves = "A1..A3" }'
    counted = powered(load, heated)
    assert "tank heaters" not in counts(counted)
    (same,) = [one for one in counted.findings if one.code == "PART-65"]
    assert "tank heaters" in same.text
    assert "PART-66" not in codes(counted)


def test_heaters_of_tanks_without_an_outlet_are_told() -> None:
    loads = '{ name = "light", power = "20 W", count = 6, does = "light" }'
    counted = powered(loads, 'heater = { power = "50 W", count = 2 }')
    (told,) = [one for one in counted.findings if one.code == "PART-66"]
    assert (told.severity, told.places) == (Severity.WARNING, ("A1", "A2", "A3"))
    assert {name: number.value for name, number in told.numbers} == {"heaters": 6.0, "free": 0.0}
    assert "PART-66" not in codes(powered("", 'heater = { power = "50 W", count = 2 }'))


def test_a_cable_runs_square_from_the_panel_to_a_board_and_on_to_the_next() -> None:
    panel = 'panel = { room = "cellar", at = ["0 m", "0 m"], height = "1.2 m" }'
    plan, room = small_room(more=POWER.format(panel=panel, rack='rack = "A"', loads="", more=""))
    x, y, _ = room.racks[0].box.middle
    first, second = needs(count_power(plan, room), "cable for a circuit of 10 A")
    assert first.length == pytest.approx(1.15 * (x + y + 0.8))
    assert second.length == pytest.approx(1.15 * 0.5)
    assert second.where == "circuit life, from board b to board c"
    assert first.rests_on == ("buy.cable_slack",)
    # a clip every 25 cm: 57.5 cm take three
    assert needs(count_power(plan, room), "cable clip")[1].count == 3


@pytest.mark.parametrize(
    ("panel", "rack", "code"),
    [
        ("", 'rack = "A"', "PART-62"),
        ('panel = { room = "attic", at = ["0 m", "0 m"], height = "1 m" }', 'rack = "A"', "PART-62"),
        ('panel = { room = "cellar", at = ["0 m", "0 m"], height = "1 m" }', "", "PART-63"),
    ],
)
def test_a_cable_without_a_beginning_or_an_end_is_not_counted_and_told(
    panel: str, rack: str, code: str
) -> None:
    counted = powered(panel=panel, rack=rack)
    assert {one.severity for one in counted.findings if one.code == code} == {Severity.NOT_COMPUTED}
    assert not [article for article in counted.articles if article.kind == "cable"]
    assert "PART-64" in codes(counted)


def test_circuits_that_share_a_device_take_one() -> None:
    text = POWER.format(panel="", rack="", loads="", more="").replace(
        'light = { breaker = "16 A" }', 'light = { breaker = "10 A", rcd = "30 mA", device = "life" }'
    )
    counted = count_power(*small_room(more=text))
    (need,) = needs(counted, "breaker 10 A with residual current device 30 mA")
    assert (need.count, need.places) == (1, ("life", "light"))


def test_a_plan_without_power_is_told_and_its_pumps_are_still_counted() -> None:
    pump = '[pump.p]\ncurve = [["0 kPa", "60 L/min"], ["20 kPa", "20 L/min"]]'
    counted = count_power(*small_room(more=pump))
    assert counts(counted) == {"pump p": 1}
    (finding,) = counted.findings
    assert (finding.code, finding.severity) == ("PART-61", Severity.NOT_COMPUTED)


def test_a_pump_of_air_has_a_kit_nobody_needs_yet() -> None:
    plan, room = example("garage")
    counted = count_power(plan, room)
    kits = {article.key for article in counted.articles if article.key.startswith("diaphragm kit")}
    assert kits == {"diaphragm kit for pump linear60"}
    assert not kits & set(counts(counted))


def test_a_fan_of_a_room_read_in_feet_is_named_in_cubic_feet() -> None:
    climate = '[climate.room.cellar]\nventilation = { flow = "60 cfm" }\ncooler = { cooling = "3 kW" }'
    found = counts(count_power(*small_room(display="US", more=climate)))
    assert {"fan 60 cfm", "cooler 3000 W"} <= set(found)
