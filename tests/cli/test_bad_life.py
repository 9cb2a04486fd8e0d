"""Water, fish and warmth that cannot be, from the text to what `check` says: a code, a number, what to do."""

from __future__ import annotations

import json
import re
from pathlib import Path

import jsonschema
import pytest

SCHEMA = json.loads(
    (Path(__file__).parents[2] / "src/tankwright/report/check.schema.json").read_text(encoding="utf-8")
)

ROOM = """[room.shed]
size = { length = "3 m", width = "3 m", height = "2.2 m" }
[tank_kind.box]
outside = ["60 cm", "30 cm", "30 cm"]
glass = { sides = "6 mm", base = "8 mm" }
substrate = { depth = "2 cm" }
[rack_kind.k]
length = "1 m"
depth = "40 cm"
shelves = ["60 cm"]
[[rack]]
id = "A"
kind = "k"
room = "shed"
wall = "north"
from_west = "10 cm"
shelf.1 = [{ kind = "box", ids = "A1" }]
[water_point.tap]
room = "shed"
[water.tap]
ph = 7.5
general_hardness = "4 °dH"
carbonate_hardness = "3 °dH"
[[stock]]
tanks = "A1"
species = "Danio rerio"
count = 4
each = "0.5 g"
[climate]
[climate.room.shed]
heat_to = "24 °C"
heater = { power = "3 kW" }
[zone.main]
wants = { temperature = ["23 °C", "26 °C"] }
"""


def changed(*pairs: tuple[str, str]) -> str:
    text = ROOM
    for old, new in pairs:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    return text


def finding(output: str, code: str) -> str:
    """All that is said under a code, its lines as one."""
    found = re.search(rf"^\S+ [\w ]+  {code}  (.*?)(?=^\S|\Z)", output, re.MULTILINE | re.DOTALL)
    assert found, output
    return " ".join(found[1].split())


def test_the_room_itself_is_worked_out(check) -> None:
    result = check(ROOM, "--all")
    for code in ("WATER-70", "OXYGEN-04", "HEAT-01", "HEAT-12", "WATER-09"):
        assert code not in result.output


def test_a_tank_that_holds_no_water_is_worked_out_by_no_system_and_each_says_why(check) -> None:
    result = check(changed(('depth = "2 cm"', 'depth = "29 cm"')), "--all")
    assert result.exit_code in (0, 1)
    assert finding(result.output, "WATER-70").startswith("tank A1: was not worked out: it holds no water")
    assert "tank A1: has no time without air worked out" in finding(result.output, "OXYGEN-04")
    assert "tank A1: was not worked out" in finding(result.output, "HEAT-01")


def test_the_same_comes_as_json_without_a_number_that_is_none(check) -> None:
    result = check(changed(('depth = "2 cm"', 'depth = "29 cm"')), "--json")
    codes = {one["code"] for one in json.loads(result.output)["findings"]}
    assert codes >= {"WATER-70", "OXYGEN-04", "HEAT-01"}
    assert not re.search(r"\b(NaN|Infinity)\b", result.output)


def test_a_set_point_below_the_coldest_the_tank_ever_gets_is_said_to_do_nothing(check) -> None:
    heater = '[tank_kind.box]\nheater = { power = "50 W", holds = "12 °C" }'
    told = finding(check(changed(("[tank_kind.box]", heater)), "--all").output, "HEAT-12")
    assert "12 °C" in told
    assert "A1" in told


def test_a_room_heater_set_below_what_the_house_keeps_is_no_heater_for_the_tanks(check) -> None:
    result = check(changed(('heat_to = "24 °C"', 'heat_to = "5 °C"')), "--all")
    assert "below what is wanted" in finding(result.output, "HEAT-06")


def test_a_target_that_no_blend_reaches_says_which_bound_and_by_how_much(check) -> None:
    wants = 'wants = { general_hardness = ["20 °dH", "30 °dH"], temperature'
    told = finding(check(changed(("wants = { temperature", wants)), "--all").output, "WATER-09")
    assert "general hardness at least 20 °dH, and the nearest has 4 °dH, 16 °dH off" in told


@pytest.mark.parametrize(
    ("weather", "code"),
    [("../x.epw", "WEATHER-21"), ("nowhere.epw", "WEATHER-01"), ("plan.toml", "WEATHER-04")],
)
def test_weather_that_cannot_be_read_is_a_problem_and_the_rest_is_worked_out(
    weather: str, code: str, check
) -> None:
    result = check(changed(("[climate]\n", f'[climate]\nweather = "{weather}"\n')), "--all")
    assert result.exit_code == 1
    assert finding(result.output, code)
    assert "HEAT-01" in result.output
    assert re.search(r"^  water +tap: 4 °dH general", result.output, re.MULTILINE)


def test_a_species_of_no_table_is_noted_with_the_nearest_and_nothing_else_is_lost(check) -> None:
    result = check(changed(("Danio rerio", "Danio rerioo")), "--all")
    assert '"Danio rerio"' in finding(result.output, "LAYOUT-140")
    assert re.search(r"^  oxygen ", result.output, re.MULTILINE)


def test_ammonia_in_water_beyond_the_criteria_is_held_against_what_harms(check) -> None:
    text = changed(
        ('carbonate_hardness = "3 °dH"', 'carbonate_hardness = "37 °dH"'), ("count = 4", "count = 60")
    )
    told = finding(check(text, "--all").output, "WATER-51")
    assert "pH 9" in told
    assert "there the gas harms from" in told
    assert "month's mean" not in told
    assert re.search(r"keeps \S+ below", told)


def test_a_span_without_an_end_is_null_in_the_json_and_the_schema_has_it(check) -> None:
    feed = (
        '[feed.drip]\nfrom = "tap"\noutlet = { kind = "tap" }\nprogram = [{ start = "02:00", minutes = 1 }]\n'
    )
    for text in (
        ROOM,
        ROOM + feed,
        changed(("count = 4", "count = 0")) + feed,
        ROOM.replace('each = "0.5 g"\n', ""),
    ):
        whole = json.loads(check(text, "--json").output)
        error = next(jsonschema.Draft202012Validator(SCHEMA).iter_errors(whole), None)
        assert error is None, f"{list(error.absolute_path)}: {error.message[:200]}"
