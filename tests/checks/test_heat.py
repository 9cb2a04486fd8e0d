"""What is said of warmth and damp: a shed that holds says little, each fault is told once, with a remedy."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest

from tankwright.catalogue.assumptions import ASSUMPTIONS
from tankwright.checks.heat import check_heat
from tankwright.display import sentence
from tankwright.finding import Finding, Severity
from tankwright.room.model import Room
from tankwright.systems.heat import solve_heat
from tankwright.weather.model import WeatherYear
from tankwright.workspace.opened import open_plan

from ..systems.heat_rooms import shed, weather

ROOT = Path(__file__).parents[2]
GOOD = {
    "wall": "0.2", "leak": "0.3", "kind": 'lid = "glass"', "gradient": "0.1", "count": "2",
    "climate": 'heat_to = "25.3 °C"\nheater = { power = "2000 W" }',
}  # fmt: skip
MILD = weather(-8.0, 22.0, swing=4.0)


def said(room: Room, year: WeatherYear | None = MILD) -> dict[str, Finding]:
    found = check_heat(room, solve_heat(room, year, {}))
    return {finding.code: finding for finding in found}


def words(finding: Finding) -> str:
    return " ".join(
        sentence(text, finding.numbers) for text in (finding.text, finding.reason, finding.remedy)
    )


def test_a_warm_shed_has_nothing_but_notes() -> None:
    found = said(shed(**GOOD), weather(17.0, 22.0))
    assert {one.severity for one in found.values()} <= {Severity.NOTE}
    assert "made up for a test" in found["HEAT-02"].text


def test_a_plan_that_says_nothing_is_told_what_to_write() -> None:
    opened = open_plan(ROOT / "examples" / "hall.toml")
    codes = [one for one in opened.findings if one.code.startswith("HEAT-")]
    assert [one.code for one in codes] == ["HEAT-01"]
    assert codes[0].severity is Severity.NOT_COMPUTED
    assert "[climate]" in codes[0].remedy


@pytest.mark.parametrize(
    ("power", "severity"), [("300 W", Severity.PROBLEM), ("1000 W", Severity.WARNING), ("1800 W", None)]
)
def test_a_room_heater_is_held_against_the_design_cold(power: str, severity: Severity | None) -> None:
    # 18.5 + 5 W/K and a little evaporation over 33 K: some 850 W
    room = shed(**GOOD | {"climate": f'heat_to = "25.3 °C"\nheater = {{ power = "{power}" }}'})
    finding = said(room).get("HEAT-04")
    assert (finding.severity if finding else None) is severity


def test_a_temperature_nothing_holds_is_a_problem() -> None:
    finding = said(shed(**GOOD | {"climate": 'heat_to = "25 °C"'}))["HEAT-04"]
    assert finding.severity is Severity.PROBLEM
    assert "nothing is said that heats it" in words(finding)


def test_a_verdict_inside_the_band_of_what_is_assumed_says_so() -> None:
    room = shed(**GOOD | {"climate": 'heat_to = "25.3 °C"\nheater = { power = "1000 W" }'})
    climate = room.climate
    assert climate is not None
    space = climate.spaces[0]
    loose = replace(space, air_change=ASSUMPTIONS["climate.air_change"].known())
    finding = said(replace(room, climate=replace(climate, spaces=(loose,))))["HEAT-04"]
    assert "the verdict waits for them" in words(finding)
    assert "climate.air_change" in finding.rests_on


def test_tanks_nothing_heats_are_a_problem_with_two_ways_out() -> None:
    finding = said(shed(**GOOD | {"climate": ""}))["HEAT-07"]
    assert finding.severity is Severity.PROBLEM
    assert len(finding.places) == 4
    assert "HEAT-06" not in said(shed(**GOOD | {"climate": ""}))
    assert words(finding).count(" W") + words(finding).count(" kW") >= 2


def test_a_frozen_tank_is_told_as_frozen() -> None:
    finding = said(shed(**GOOD | {"climate": ""}), weather(-20.0, 22.0))["HEAT-21"]
    assert finding.severity is Severity.PROBLEM
    assert "breaks glass" in finding.reason
    assert "HEAT-21" not in said(shed(**GOOD))


def test_a_cold_bottom_row_is_told_with_the_heater_it_needs() -> None:
    room = shed(**GOOD | {"gradient": "3", "climate": 'heat_to = "25 °C"\nheater = { power = "3000 W" }'})
    found = said(room)
    assert set(found["HEAT-06"].places) == {"L1", "L2"}
    assert "on a low shelf" in found["HEAT-06"].text


def test_a_row_that_may_be_warm_enough_waits_for_two_thermometers() -> None:
    room = shed(**GOOD | {"climate": 'heat_to = "24 °C"\nheater = { power = "3000 W" }'})
    climate = room.climate
    assert climate is not None
    guessed = replace(climate.spaces[0], gradient=ASSUMPTIONS["climate.gradient"].known())
    finding = said(replace(room, climate=replace(climate, spaces=(guessed,))))["HEAT-06"]
    assert "thermometers in a top and a bottom tank decide" in finding.reason
    assert "climate.gradient" in finding.rests_on


def test_a_hot_top_row_is_told_with_the_cooler_it_needs() -> None:
    hot = weather(-8.0, 31.0, swing=4.0)
    finding = said(shed(**GOOD), hot)["HEAT-09"]
    assert finding.severity is Severity.PROBLEM
    assert "a cooler of about" in words(finding)
    cooled = GOOD["climate"] + '\ncool_to = "25.5 °C"\ncooler = { cooling = "5000 W" }'
    assert "HEAT-09" not in said(shed(**GOOD | {"climate": cooled}), hot)


def test_a_small_cooler_is_told_with_both_kinds_of_heat() -> None:
    cooled = GOOD["climate"] + '\ncool_to = "26 °C"\ncooler = { cooling = "60 W" }'
    finding = said(shed(**GOOD | {"climate": cooled}), weather(-8.0, 33.0, swing=4.0))["HEAT-14"]
    assert finding.severity is Severity.PROBLEM
    assert {"dry", "wet"} <= dict(finding.numbers).keys()


def heated(power: str, holds: str = "25 °C", more: str = "") -> dict[str, str]:
    kind = f'lid = "glass"\nheater = {{ power = "{power}", holds = "{holds}"{more} }}'
    return GOOD | {"climate": 'heat_to = "18 °C"\nheater = { power = "3000 W" }', "kind": kind}


@pytest.mark.parametrize(
    ("power", "severity"), [("20 W", Severity.PROBLEM), ("55 W", Severity.WARNING), ("150 W", None)]
)
def test_tank_heaters_are_held_against_what_the_tank_loses(power: str, severity: Severity | None) -> None:
    # about 7 W/K over 6.5 K and 4 W of evaporation
    finding = said(shed(**heated(power))).get("HEAT-05")
    assert (finding.severity if finding else None) is severity


def test_a_heater_that_would_cook_its_tank_is_told_with_hours_and_two_smaller_ones() -> None:
    finding = said(shed(**heated("150 W")), weather(-8.0, 24.0))["HEAT-08"]
    assert "past 31 °C after" in words(finding)  # 4 K over the 27 °C its zone wants at most
    two = said(shed(**heated("75 W", more=", count = 2")), weather(-8.0, 24.0))
    one = dict(finding.numbers)["half"].value
    again = dict(two["HEAT-08"].numbers)["final"].value if "HEAT-08" in two else one
    assert again == pytest.approx(one, abs=0.3)


def test_a_setting_below_the_coldest_possible_holds_nothing() -> None:
    finding = said(shed(**heated("150 W", "18 °C") | {"climate": GOOD["climate"]}))["HEAT-12"]
    assert "a setting below the coldest possible" in finding.reason
    assert len(finding.places) == 4


def test_a_cold_moist_room_drips_and_grows_mould() -> None:
    room = shed(
        wall="2.5", leak="0.1", count="3",
        climate='heat_to = "25 °C"\nheater = { power = "9000 W" }',
        assume='"climate.bubbling" = "1.5"',
    )  # fmt: skip
    found = said(room)
    assert "wall" in words(found["HEAT-10"])
    assert found["HEAT-11"].severity in {Severity.WARNING, Severity.PROBLEM}
    assert "not a survey" in found["HEAT-10"].reason
    assert "W/(m" in words(found["HEAT-11"])  # the U-value that would do
    assert not {"HEAT-10", "HEAT-11"} & said(shed(**GOOD)).keys()


def test_a_small_dehumidifier_is_told_in_kilograms() -> None:
    damp = weather(-8.0, 24.0, 0.9)
    drier = 'dehumidifier = { removes = "0.5 L/day", holds = 0.5 }'
    finding = said(shed(climate=GOOD["climate"] + "\n" + drier), damp)["HEAT-16"]
    assert finding.severity is Severity.WARNING
    assert re.search(r"takes out \d+ g a day where .* asks for [\d.]+ kg", words(finding))
    without = said(shed(climate=GOOD["climate"]), damp)["HEAT-16"]
    assert without.severity is Severity.NOTE


def test_a_fan_that_wets_the_room_names_its_months() -> None:
    fan = GOOD["climate"] + '\nventilation = { flow = "60 m3/h" }'
    finding = said(shed(climate=fan), weather(-8.0, 25.0, 0.9))["HEAT-17"]
    assert "August" in finding.text
    assert "January" not in finding.text


def test_a_power_cut_names_the_first_tank_and_its_hours() -> None:
    finding = said(shed(**GOOD), weather(17.0, 22.0))["HEAT-18"]
    assert finding.severity is Severity.NOTE
    assert re.search(r"to .* in \d+ h", words(finding))
    assert said(shed(**GOOD))["HEAT-18"].severity is Severity.WARNING  # a light shed at -8 °C with four tanks


def test_a_heater_of_the_power_plan_that_no_table_tells_of_is_told() -> None:
    power = """
[power]
voltage = "230 V"
[power.circuits]
c = { breaker = "16 A" }
[[power.boards]]
id = "b"
circuit = "c"
outlets = 4
loads = [{ name = "oil heater", power = "1500 W", does = "heat" }]
"""
    assert "oil heater" in said(shed(**GOOD | {"climate": ""}, more=power))["HEAT-20"].subject
    assert "HEAT-20" not in said(shed(**GOOD, more=power))


@pytest.mark.parametrize("name", ["cellar", "cellar_mended", "garage"])
def test_every_verdict_has_reason_remedy_and_numbers_that_fit(name: str) -> None:
    opened = open_plan(ROOT / "examples" / f"{name}.toml")
    assert opened.room is not None
    assert opened.study is not None
    assert opened.study.heat is not None
    places = {tank.id for tank in opened.room.tanks} | {space.id for space in opened.room.spaces}
    for finding in check_heat(opened.room, opened.study.heat):
        assert finding.reason
        assert finding.remedy
        assert "{" not in words(finding)
        assert set(finding.rests_on) <= ASSUMPTIONS.keys()
        assert set(finding.places) <= places


def test_the_first_cellar_shows_its_faults() -> None:
    opened = open_plan(ROOT / "examples" / "cellar.toml")
    found = {one.code: one.severity for one in opened.findings if one.code.startswith("HEAT-")}
    assert found["HEAT-04"] is Severity.PROBLEM
    assert found["HEAT-07"] is Severity.PROBLEM
    mended = open_plan(ROOT / "examples" / "cellar_mended.toml")
    assert not [
        one for one in mended.findings if one.code.startswith("HEAT-") and one.severity is Severity.PROBLEM
    ]


def test_a_fan_that_runs_a_part_of_the_day_brings_that_part_of_the_damp() -> None:
    climate = GOOD["climate"] + '\nventilation = {{ flow = "60 m3/h", hours = {} }}'
    muggy = weather(5.0, 30.0, humidity=0.9)
    whole, part = (
        said(
            shed(**GOOD | {"climate": climate.replace("{{", "{").replace("}}", "}").replace("{}", hours)}),
            muggy,
        )
        for hours in ("24", "6")
    )
    brought = [found["HEAT-17"].value.value for found in (whole, part) if found["HEAT-17"].value is not None]
    assert brought[1] == pytest.approx(brought[0] / 4.0, rel=0.05)  # the room itself is a little drier then


def test_a_cooler_sees_the_wants_of_every_zone_its_tanks_stand_in() -> None:
    """Alike tanks of two zones are one vessel; the stricter zone decides what the air may be."""
    more = """
[[rack]]
id = "S"
kind = "two"
room = "shed"
wall = "south"
from_west = "50 cm"
zone = "cool"
shelf.1 = [{ kind = "sixty", ids = "C1..C2", from_left = "2 cm" }]
shelf.2 = [{ kind = "sixty", ids = "D1..D2", from_left = "2 cm" }]
[zone.cool]
wants = { temperature = ["24 °C", "26 °C"] }
"""
    alone, both = (solve_heat(shed(**GOOD, more=one), MILD, {}).spaces[0].cool_air for one in ("", more))
    assert both == pytest.approx(alone - 1.0)
