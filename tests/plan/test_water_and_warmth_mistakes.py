"""What can be wrong in what a plan says of water, fish, warmth and damp, each told word for word."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tankwright.display import render_mistake, sentence
from tankwright.finding import Finding, Severity
from tankwright.plan.models_climate import (
    Climate,
    Cooler,
    Dehumidifier,
    Heater,
    RoomClimate,
    Shell,
    ShellPart,
    TankHeater,
    Ventilation,
)
from tankwright.plan.models_water import OwnSpecies, Stock, Wants, Water
from tankwright.plan.reading import read_plan_text
from tankwright.plan.shape import fields_by_key
from tankwright.room.layout import lay_out

GOOD_PLAN = (Path(__file__).parent / "good_plan.toml").read_text(encoding="utf-8")
FIRST = GOOD_PLAN.count("\n") + 1
"""The line on which what a test adds begins."""

PH = "a pH from 0 to 14: 6.5 or 7.2"
HARDNESS = 'a hardness or alkalinity with its unit: "8 °dH", "140 mg/L" or "2.8 meq/L"'
CONCENTRATION = 'a concentration with its unit: "25 mg/L" or "25 ppm"'
ALONE = "a number, no words or unit beside it"
SHARE = 'a share: "40 %" or 0.4'
WALLS = "[room.cellar.shell]\nwalls = "
CELLAR = "[climate.room.cellar]\n"

# what is added, the line of it that is told (1 is its first), what is said, found, wanted, try
MISTAKES = {
    "a pH beyond the scale": (
        "[water.tap]\nph = 15\n", 2,
        'water tap: ph "15" is more than 14, where the scale ends  [PLAN-016]',
        "ph = 15", PH, "",
    ),
    "a pH below zero": (
        "[water.tap]\nph = -1\n", 2, 'water tap: ph "-1" must not be negative  [PLAN-016]', "ph = -1", PH, "",
    ),
    "a pH with its name before it": (
        '[water.tap]\nph = "pH 7.5"\n', 2,
        'water tap: ph "pH 7.5" is not a number with a unit  [PLAN-011]',
        'ph = "pH 7.5"', "a pH: 6.5 or 7.2", "ph = 7.5",
    ),
    "water too hot to be any, perhaps of another scale": (
        '[water.tap]\nsummer = "60 °C"\n', 2,
        "water tap: summer is no temperature of water fish live in  [PLAN-016]",
        'summer = "60 °C"', "0 to 50 °C, 32 to 122 °F", 'summer = "60 °F"',
    ),
    "hardness below zero": (
        '[water.tap]\ngeneral_hardness = "-3 °dH"\n', 2,
        'water tap: general_hardness "-3 °dH" must not be negative  [PLAN-016]',
        'general_hardness = "-3 °dH"', HARDNESS, "",
    ),
    "chlorine in a word": (
        '[water.tap]\nchlorine = "some"\n', 2,
        'water tap: chlorine "some" is not a number with a unit  [PLAN-011]',
        'chlorine = "some"', f"{CONCENTRATION}; no line at all while it is not known", "",
    ),
    "chlorine below what the kit can tell": (
        '[water.tap]\nchlorine = "< 0.1 mg/L"\n', 2,
        'water tap: chlorine "< 0.1 mg/L" is not a number with a unit  [PLAN-011]',
        'chlorine = "< 0.1 mg/L"', CONCENTRATION, 'chlorine = "0.1 mg/L"',
    ),
    "a misspelt disinfectant": (
        '[water.tap]\ndisinfectant = "chloramin"\n', 2,
        'water tap: disinfectant "chloramin" is not one of the words it takes  [PLAN-020]',
        'disinfectant = "chloramin"', '"chlorine", "chloramine", "none" or "not known"',
        'disinfectant = "chloramine"',
    ),
    "a mix of nine tenths": (
        '[water.tap]\n[water.pure]\n[water.soft]\nmix = { tap = "60 %", pure = "30 %" }\n', 4,
        "water soft: mix has shares that make 90 %, not 100 %  [PLAN-024]",
        'mix = { tap = "60 %", pure = "30 %" }', "shares that make 100 %",
        'mix = { tap = "60 %", pure = "40 %" }',
    ),
    "a mix of more than one part can mend": (
        '[water.tap]\n[water.pure]\n[water.soft]\nmix = { tap = "100 %", pure = "30 %" }\n', 4,
        "water soft: mix has shares that make 130 %, not 100 %  [PLAN-024]",
        'mix = { tap = "100 %", pure = "30 %" }', "shares that make 100 %", "",
    ),
    "a mix of an unknown water": (
        '[water.tap]\n[water.pure]\n[water.soft]\nmix = { tap = "60 %", puer = "40 %" }\n', 4,
        'water soft: mix names "puer", which is no water of this plan; did you mean "pure"?  [PLAN-030]',
        'puer = "40 %"', "a water: tap or pure", 'pure = "40 %"',
    ),
    "a mix of a mix": (
        '[water.tap]\n[water.pure]\nmix = { tap = "100 %" }\n[water.soft]\nmix = { pure = "100 %" }\n', 5,
        'water soft: mix.pure "pure" is itself a mix  [PLAN-033]',
        'pure = "100 %"', "waters as measured: tap", "",
    ),
    "a water of an unknown source": (
        '[water.well]\ncomes_from = ["tpa"]\n', 2,
        'water well: comes_from "tpa" is no water point or vat of this plan; did you mean "tap"?  [PLAN-030]',
        'comes_from = ["tpa"]', "a water point or vat: tap", '"tap"',
    ),
    "a price with its unit": (
        '[water.tap]\nprice = "4,10 EUR"\n', 2,
        'water tap: price is "4,10 EUR", not a number  [PLAN-018]',
        'price = "4,10 EUR"', ALONE, "price = 4.10",
    ),
    "a range the wrong way round": (
        "[zone.main]\nwants = { ph = [8.2, 6.8] }\n", 2,
        "zone main: wants.ph has its higher end first  [PLAN-024]",
        "ph = [8.2, 6.8]", "the lowest and the highest: [6.5, 7.2]", "ph = [6.8, 8.2]",
    ),
    "a range the wrong way round, with units": (
        '[zone.main]\nwants = { temperature = ["26 °C", "72 °F"] }\n', 2,
        "zone main: wants.temperature has its higher end first  [PLAN-024]",
        'temperature = ["26 °C", "72 °F"]', 'the lowest and the highest: ["23 °C", "26 °C"]',
        'temperature = ["72 °F", "26 °C"]',
    ),
    "a range of one value": (
        "[zone.main]\nwants = { ph = [6.8] }\n", 2,
        "zone main: wants.ph has 1 value, not 2  [PLAN-022]",
        "ph = [6.8]", "the lowest and the highest: [6.5, 7.2]", "ph = [6.5, 7.2]",
    ),
    "one value for a range": (
        '[zone.main]\nwants = { carbonate_hardness = "5 °dH" }\n', 2,
        "zone main: wants.carbonate_hardness is one value, not two  [PLAN-022]",
        'carbonate_hardness = "5 °dH"', 'the lowest and the highest: ["4 °dH", "12 °dH"]',
        'carbonate_hardness = ["4 °dH", "12 °dH"]',
    ),
    "stock of tanks that are not there": (
        '[[stock]]\ntanks = "A1..A9"\ncount = 4\n', 2,
        "stock, tanks A1..A9: tanks A5, A6, A7, A8 and A9 are no tanks of this plan  [PLAN-030]",
        'tanks = "A1..A9"', "tanks: A1, A2, A3 and A4", "",
    ),
    "stock of a tank that is not there": (
        '[[stock]]\ntanks = "A1, B2"\ncount = 4\n', 2,
        'stock, tanks A1, B2: tanks "B2" is no tank of this plan  [PLAN-030]',
        'tanks = "A1, B2"', "a tank: A1, A2, A3 or A4", "",
    ),
    "fewer fish than none": (
        '[[stock]]\ntanks = "A1"\ncount = -1\n', 3,
        "stock, tanks A1: count -1 is not at least 0  [PLAN-016]", "count = -1", "at least 0", "",
    ),
    "a count with a word": (
        '[[stock]]\ntanks = "A1"\ncount = "14 fish"\n', 3,
        'stock, tanks A1: count is "14 fish", not a whole number  [PLAN-018]',
        'count = "14 fish"', "a whole number, no words or unit beside it", "count = 14",
    ),
    "half a fish": (
        '[[stock]]\ntanks = "A1"\ncount = "2.5"\n', 3,
        'stock, tanks A1: count is "2.5", not a whole number  [PLAN-018]', 'count = "2.5"', "a whole number", "",
    ),
    "the mass of the fish said twice": (
        '[[stock]]\ntanks = "A1"\ncount = 4\nmass = "20 g"\n', 4,
        "stock, tanks A1: says mass and count: the mass of all its fish is said twice  [PLAN-024]",
        'count = 4, mass = "20 g"', "count and each (or length), or mass alone", 'count = 4 with each = "5 g"',
    ),
    "feed below nothing": (
        '[[stock]]\ntanks = "A1"\nfeed = "-1 g/day"\n', 3,
        'stock, tanks A1: feed "-1 g/day" must not be negative  [PLAN-016]',
        'feed = "-1 g/day"', 'a mass per time with its unit: "5 g/day" or "0.2 oz/day"', "",
    ),
    "a share that was meant in per cent": (
        '[[stock]]\ntanks = "A1"\nprotein = "45"\n', 3,
        'stock, tanks A1: protein "45" is more than the whole  [PLAN-016]',
        'protein = "45"', SHARE, 'protein = "45 %"',
    ),
    "a layer without a thickness": (
        WALLS + '{ layers = [{ material = "brick" }] }\n', 2,
        'room cellar, layer brick: has no "thickness"  [PLAN-021]',
        '{ material = "brick" }', "thickness: of the layer", 'thickness = "12 cm"',
    ),
    "layers and a transmittance": (
        WALLS + '{ layers = [{ material = "brick", thickness = "1 m" }], transmittance = "1 W/(m2 K)" }\n', 2,
        "room cellar: shell.walls says its layers and its transmittance: which of the two?  [PLAN-024]",
        'layers = [{ material = "brick", thickness = "1 m" }], transmittance = "1 W/(m2 …',
        "layers, or transmittance", "",
    ),
    "a transmittance without its unit": (
        WALLS + "{ transmittance = 0.3 }\n", 2,
        "room cellar: shell.walls.transmittance 0.3 has no unit  [PLAN-012]", "transmittance = 0.3",
        'a heat transmittance with its unit: "0.4 W/(m2 K)", "2.8 W/m2K" or "0.3 BTU/(h ft2 °F)"',
        'transmittance = "0.3 W/(m2 K)"',
    ),
    "heated above what it is cooled to": (
        CELLAR + 'heat_to = "27 °C"\ncool_to = "25 °C"\n', 3,
        "room cellar: is heated to more than it is cooled to: heater and cooler would work against each other"
        "  [PLAN-024]",
        'heat_to = "27 °C", cool_to = "25 °C"', "heat_to at or below cool_to", "",
    ),
    "a lost decimal point in degrees": (
        CELLAR + 'heat_to = "240 °C"\n', 2,
        "room cellar: heat_to is no temperature a room is kept at  [PLAN-016]",
        'heat_to = "240 °C"', "-40 to 60 °C, -40 to 140 °F", 'heat_to = "24 °C"',
    ),
    "the price of energy with its unit": (
        '[climate]\nenergy_price = "0.30 EUR/kWh"\n', 2,
        'the plan: climate.energy_price is "0.30 EUR/kWh", not a number  [PLAN-018]',
        'energy_price = "0.30 EUR/kWh"', ALONE, "energy_price = 0.30",
    ),
    "the climate of an unknown room": (
        '[climate.room.celar]\nheat_to = "24 °C"\n', 1,
        'room celar: "celar" is no room of this plan; did you mean "cellar"?  [PLAN-030]',
        "[climate.room.celar]", "a room: cellar", "[climate.room.cellar]",
    ),
    "warmer at night by a minus": (
        CELLAR + 'night_lower = "-2 K"\n', 2,
        "room cellar: night_lower must not be negative  [PLAN-016]", 'night_lower = "-2 K"', "zero or more", "",
    ),
    "more warmth given back than there is": (
        CELLAR + 'ventilation = { flow = "60 m3/h", recovery = "120 %" }\n', 2,
        'room cellar: ventilation.recovery "120 %" is more than the whole  [PLAN-016]',
        'recovery = "120 %"', SHARE, "",
    ),
    "a day of 25 hours": (
        CELLAR + 'ventilation = { flow = "60 m3/h", hours = 25 }\n', 2,
        "room cellar: ventilation.hours 25 is not at most 24  [PLAN-016]", "hours = 25", "at most 24", "",
    ),
    "a dehumidifier that takes nothing out": (
        CELLAR + 'dehumidifier = { holds = "60 %" }\n', 2,
        'room cellar: dehumidifier has no "removes"  [PLAN-021]', '{ holds = "60 %" }',
        "removes: water it takes out at its rating, such as 12 L/day", 'removes = "12 L/day"',
    ),
    "no heater at all": (
        CELLAR + 'heater = { power = "1 kW", count = 0 }\n', 2,
        "room cellar: heater.count 0 is not at least 1  [PLAN-016]", "count = 0", "at least 1", "",
    ),
    "a heater that is only its power": (
        CELLAR + 'heater = "1 kW"\n', 2,
        'room cellar: heater is "1 kW", not a table  [PLAN-018]',
        'heater = "1 kW"', "a table", 'heater = { power = "1 kW" }',
    ),
    "a tank heater without power": (
        '[tank.A1]\nheater = { power = "0 W" }\n', 2,
        "tank A1: heater.power must be more than zero  [PLAN-016]", 'power = "0 W"', "more than zero", "",
    ),
}  # fmt: skip


def message(line: int, said: str, found: str, wanted: str, attempt: str) -> str:
    rows = [("found", found), ("wanted", wanted), ("try", attempt)]
    told = [f"    {word:<8}{value}" for word, value in rows if value]
    return "\n".join([f"cellar.toml:{line}: {said}", *told])


@pytest.mark.parametrize("what", MISTAKES)
def test_it_is_told_with_its_line_and_what_to_try(what: str) -> None:
    added, line, said, found, wanted, attempt = MISTAKES[what]
    result = read_plan_text(f"{GOOD_PLAN}\n{added}", "cellar.toml")
    told = [render_mistake(one, "cellar.toml") for one in result.findings]
    assert told == [message(FIRST + line, said, found, wanted, attempt)]
    assert result.plan is None


@pytest.mark.parametrize(
    "what", [one for one, told in MISTAKES.items() if told[5] and " with " not in told[5]]
)
def test_what_it_says_to_try_is_then_read(what: str) -> None:
    added, _, _, found, _, attempt = MISTAKES[what]
    assert found in added
    if found.startswith("{"):  # a key that was missing goes in beside what is there
        attempt = f"{found.removesuffix(' }')}, {attempt} }}"
    elif " = " not in attempt and not attempt.startswith("["):  # one name of a list
        attempt = re.sub(r'"\w+"', attempt, found)
    assert read_plan_text(f"{GOOD_PLAN}\n{added.replace(found, attempt)}", "cellar.toml").findings == ()


def test_all_of_them_come_in_one_pass_in_the_order_of_the_lines() -> None:
    text = GOOD_PLAN + (
        "\n[water.tap]\nph = 15\nchlorine = \"some\"\n"
        '[zone.main]\nwants = { ph = [8.2, 6.8], temperature = ["24 °C"] }\n'
        '[[stock]]\ntanks = "A7"\ncount = -1\n'
        "[climate]\nenergy_price = \"0.30 EUR\"\n[climate.room.cellar]\nheat_to = \"240 °C\"\n"
    )  # fmt: skip
    findings = read_plan_text(text, "cellar.toml").findings
    assert [(one.line or 0) - FIRST for one in findings] == [2, 3, 5, 5, 7, 8, 10, 12]
    assert [one.code[-3:] for one in findings] == ["016", "011", "022", "024", "030", "016", "018", "016"]


@pytest.mark.parametrize(
    "typed", ['"7,5"', '"7.5"', "7.5", '"7.5 pH"', "{ value = 7.5, measured = 2026-09-12 }"]
)
def test_a_ph_is_read_however_it_is_written(typed: str) -> None:
    plan = read_plan_text(f"{GOOD_PLAN}\n[water.tap]\nph = {typed}\n", "x").plan
    assert plan is not None
    ph = plan.water["tap"].ph
    assert ph is not None
    assert ph.value == 7.5


def test_two_degrees_lower_at_night_are_two_kelvin() -> None:
    plan = read_plan_text(f'{GOOD_PLAN}\n{CELLAR}night_lower = "2 °C"\n', "x").plan
    assert plan is not None
    assert plan.climate is not None
    lower = plan.climate.room["cellar"].night_lower
    assert lower is not None
    assert lower.value == 2.0


# --- nothing that is typed there raises ---

TABLES = {
    "[water.tap]": Water,
    "[zone.main]\nwants": Wants,
    "[[stock]]\ntanks": Stock,
    '[species."Danio rerio"]': OwnSpecies,
    "[room.cellar.shell]": Shell,
    "[room.cellar.shell]\nwalls": ShellPart,
    "[climate]": Climate,
    "[climate.room.cellar]": RoomClimate,
    "[climate.room.cellar]\nheater": Heater,
    "[climate.room.cellar]\ncooler": Cooler,
    "[climate.room.cellar]\nventilation": Ventilation,
    "[climate.room.cellar]\ndehumidifier": Dehumidifier,
    "[tank.A1]\nheater": TankHeater,
}
KEYS = [(head, key) for head, table in TABLES.items() for key in fields_by_key(table) if key != "tanks"]
ODD = [
    "0", "-1", "1e400", "true", '""', '"some"', '"A1..A9"', "[]", "{}", "[1, 2, 3]", '["a", "b"]', '"NaN °C"', '"7 %"',
    '"-300 °C"', '"1e9 kW"', '"3 gal"', "1979-05-27", "{ value = 3 }", "{ value = [], measured = 1 }", "[{}]", "[[]]",
    '{ material = "brick" }', "07:32:00", '"\\u0000"', '"' + "x" * 500 + '"', '"2 mg/L"', '"24 °C"', '["24 °C", 3]',
]  # fmt: skip


@pytest.mark.parametrize(("head", "key"), KEYS, ids=lambda one: one.replace("\n", " "))
def test_whatever_a_key_is_given_is_read_or_told_at_its_line(head: str, key: str) -> None:
    for odd in ODD:
        heading, _, within = head.partition("\n")
        if within == "tanks":
            added = f'{heading}\ntanks = "A1"\n{key} = {odd}\n'
        elif within:
            added = f"{heading}\n{within} = {{ {key} = {odd} }}\n"
        else:
            added = f"{heading}\n{key} = {odd}\n"
        text = f"{GOOD_PLAN}\n{added}"
        result = read_plan_text(text, "cellar.toml")
        for one in result.findings:
            assert one.code.startswith("PLAN-")
            assert one.line is None or FIRST < one.line <= text.count("\n") + 1
            assert "Traceback" not in render_mistake(one, "cellar.toml")
        if result.plan is not None:
            lay_out(result.plan)
        else:
            assert result.findings


# --- what is read, and does not hold in the room ---


def laid(added: str, old: str = "", new: str = "") -> Finding:
    """The one thing laying out says of the good plan with something added, but for what it derives."""
    assert old in GOOD_PLAN
    result = read_plan_text(f"{GOOD_PLAN.replace(old, new)}\n{added}", "cellar.toml")
    assert result.plan is not None, result.findings
    (found,) = [one for one in lay_out(result.plan).findings if one.code != "LAYOUT-124"]
    return found


def test_a_species_the_table_does_not_have_is_a_note_with_the_nearest_name() -> None:
    note = laid('[[stock]]\ntanks = "A1"\nspecies = "Danio rero"\ncount = 4\n')
    assert (note.severity, note.subject, note.line) == (Severity.NOTE, "stock A1", FIRST + 1)
    assert note.text == 'names "Danio rero", a species the table does not have, so its water is not judged'
    assert note.remedy == 'write "Danio rerio", or say what it bears under [species."Danio rero"]'
    assert (note.found, note.attempt) == ('"Danio rero"', '"Danio rerio"')


def test_a_material_the_table_does_not_have_is_told_once_a_room_with_the_nearest_name() -> None:
    layers = '{ layers = [{ material = "brik", thickness = "12 cm" }, { material = "brick", thickness = "12 cm" }] }'
    told = laid(f"{WALLS}{layers}\n[climate]\n")
    assert (told.severity, told.subject, told.line) == (Severity.WARNING, "room cellar", FIRST + 2)
    assert told.text == 'has a layer of "brik", a material the table does not have; it is left out'
    assert told.remedy == 'write material = "brick", or say its own conductivity = "0.04 W/(m K)" beside it'


def test_a_window_larger_than_its_wall_is_told_with_both_areas() -> None:
    window = 'windows = [{ wall = "east", from_south = "0 m", size = ["4 m", "2 m"], sill = "0.1 m" }]\nobstacles ='
    told = laid("[climate]\n", "obstacles =", window)
    line = GOOD_PLAN[: GOOD_PLAN.index("obstacles")].count("\n") + 1
    assert (told.severity, told.subject, told.line) == (Severity.PROBLEM, "room cellar", line)
    assert (
        sentence(told.text, told.numbers)
        == "has 8 m² of doors and windows in its east wall, which is only 7.31 m²"
    )
    assert told.remedy == "correct the sizes of its doors and windows, or those of the room"


@pytest.mark.parametrize("floor", ["walls", "floor"])
def test_layers_no_formula_reaches_are_told_and_what_is_usual_stands_in(floor: str) -> None:
    thick = '{ to = "outside", layers = [{ material = "mineral wool", thickness = "9 m" }] }'
    told = laid(f"[room.cellar.shell]\n{floor} = {thick}\n[climate]\n")
    assert (told.code, told.severity, told.subject) == ("LAYOUT-145", Severity.NOT_COMPUTED, "room cellar")
    assert "lies outside 0 to 100 m**2*K/W" in told.text
    assert told.remedy == "correct its layers or the size of the room, or say its transmittance"


def test_a_shelf_over_any_ceiling_cannot_be() -> None:
    text = GOOD_PLAN.replace('"154 cm"]', '"1540 m"]')
    (told,) = read_plan_text(text, "cellar.toml").findings
    assert (told.code, told.text) == ("PLAN-036", 'shelves "1540 m" cannot be')
    assert told.wanted == "no more than 30 m over the floor"
