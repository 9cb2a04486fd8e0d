"""Whatever a plan holds, the answer is words with a code and a line, never a traceback, never a silent "fine"."""

from __future__ import annotations

import json
import random
import re
import time
from pathlib import Path

import jsonschema
import pytest
from benchmarks.hall import hall_plan
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

EXAMPLES = Path(__file__).parents[2] / "examples"
MENDED = (EXAMPLES / "cellar_mended.toml").read_text(encoding="utf-8")
ROOM = '[room.shed]\nsize = { length = "3 m", width = "3 m", height = "2.2 m" }\n'
RACK = (
    '[rack_kind.k]\nlength = "1 m"\ndepth = "40 cm"\nshelves = ["60 cm"]\n'
    '[[rack]]\nid = "A"\nkind = "k"\nroom = "shed"\nwall = "north"\nfrom_west = "10 cm"\n'
)
PUMP = '[pump.p]\ncurve = [["0 kPa", "9 L/min"], ["9 kPa", "1 L/min"]]\n'
TANK = '[tank_kind.box]\noutside = ["60 cm", "30 cm", "30 cm"]\n'


SCHEMA = json.loads((EXAMPLES.parent / "src/tankwright/report/check.schema.json").read_text(encoding="utf-8"))


def as_described(whole: object) -> bool:
    """Whether an answer is as the schema of the JSON has it; the first place where it is not is told."""
    error = next(jsonschema.Draft202012Validator(SCHEMA).iter_errors(whole), None)
    assert error is None, f"{list(error.absolute_path)}: {error.message[:200]}"
    return True


def changed(*pairs: tuple[str, str], text: str = MENDED) -> str:
    """The mended cellar with parts replaced at their first place."""
    for old, new in pairs:
        assert old in text, old
        text = text.replace(old, new, 1)
    return text


def without(*tables: str, text: str = MENDED) -> str:
    """The mended cellar without whole tables and all below them."""
    kept, skip = [], False
    for line in text.splitlines():
        heading = re.match(r"\[+([^\]]+)\]+", line)
        if heading:
            skip = heading.group(1).split(".")[0] in tables
        if not skip:
            kept.append(line)
    return "\n".join(kept) + "\n"


def curve(points: str) -> str:
    """The mended cellar with another curve for its big pump."""
    return re.sub(r"(\[pump\.piston80\]\ncurve = ).*", rf"\g<1>{points}", MENDED, count=1)


UNREADABLE = {
    "a length without a unit": (changed(('["60 cm", "30 cm"', '["60", "30 cm"')), "PLAN-012"),
    "a size no room can hold": (changed(('["60 cm", "30 cm"', '["60 km", "30 cm"')), "PLAN-016"),
    "a size below zero": (changed(('["60 cm", "30 cm"', '["-60 cm", "30 cm"')), "PLAN-016"),
    "a room too small to be one": (changed(('length = "5.2 m"', 'length = "0.2 m"')), "PLAN-036"),
    "gallons of no country": (changed(('"13 L/min"', '"3 gal/min"')), "PLAN-013"),
    "a fall below zero": (changed(('fall = "1:60"', 'fall = "-1:60"')), "PLAN-016"),
    "a curve that rises": (curve('[["0 kPa", "60 L/min"], ["10 kPa", "70 L/min"]]'), "PLAN-037"),
    "a curve of one point": (curve('[["0 kPa", "60 L/min"]]'), "PLAN-037"),
    "a tank on two shelves": (changed(('ids = "A3..A5"', 'ids = "A1..A3"')), "PLAN-032"),
    "one id for two racks": (changed(('id = "B"', 'id = "A"')), "PLAN-031"),
    "an unknown kind of tank": (changed(('kind = "mid60"', 'kind = "mid6"')), "PLAN-030"),
    "an unknown kind of rack": (changed(('kind = "three_high"', 'kind = "thre_high"')), "PLAN-030"),
    "a drain behind one rack twice": (changed(('"A", "B", "C"]', '"A", "B", "A"]')), "PLAN-033"),
    "a drain that runs into itself": (changed(('to = "floor_drain"', 'to = "main"')), "PLAN-033"),
    "a misspelt key": (changed(("longest_absence", "longest_absense")), "PLAN-010"),
    "a key written twice": (
        changed(('display = "metric"', 'display = "metric"\ndisplay = "US"')),
        "PLAN-008",
    ),
    "a line that is no TOML": (changed(('display = "metric"', "display = metric")), "PLAN-007"),
    "air from a pump that is not there": (without("pump"), "PLAN-030"),
    "drains to outfalls that are not there": (without("outfall"), "PLAN-030"),
    "racks in rooms that are not there": (without("room"), "PLAN-030"),
    "drains behind racks that are not there": (without("rack"), "PLAN-030"),
    "no room at all": ('title = "Nowhere"\n', "LAYOUT-100"),
    "ten megabytes": ("# " + "x" * 10_000_000, "PLAN-003"),
    "a binary file": (bytes(range(256)) * 8, "PLAN-004"),
    "an empty file": ("", "PLAN-006"),
    "only comments": ("# nothing yet\n\n", "PLAN-006"),
    "another encoding": ('title = "K\xe4ller"\n'.encode("latin-1"), "PLAN-005"),
}


@pytest.mark.parametrize("what", UNREADABLE)
def test_a_plan_that_cannot_be_worked_out_is_answered_with_a_code_and_exit_2(what: str, check) -> None:
    text, code = UNREADABLE[what]
    result = check(text)
    assert f"[{code}]" in result.output, result.output
    assert "the room was not worked out" in result.output
    assert result.exit_code == 2


@pytest.mark.parametrize("what", UNREADABLE)
def test_the_same_comes_as_json(what: str, check) -> None:
    text, code = UNREADABLE[what]
    result = check(text, "--json")
    whole = json.loads(result.output)
    assert code in {finding["code"] for finding in whole["findings"]}
    assert "systems" not in whole
    assert as_described(whole)
    assert result.exit_code == 2


@pytest.mark.parametrize("words", [("explain",), ("draw",), ("verify",), ("demo",)])
def test_no_other_command_works_on_such_a_plan_or_writes_anything(
    words: tuple[str, ...], run, tmp_path
) -> None:
    (tmp_path / "plan.toml").write_text(changed(('["60 cm", "30 cm"', '["60", "30 cm"')), encoding="utf-8")
    result = run(*words, "plan.toml")
    assert "[PLAN-012]" in result.output
    assert result.exit_code == 2
    assert [path.name for path in tmp_path.iterdir()] == ["plan.toml"]


@pytest.mark.parametrize("command", ["check", "explain", "draw", "verify", "demo"])
def test_a_file_that_is_not_there_and_a_folder_are_answered(command: str, run, tmp_path) -> None:
    (tmp_path / "folder.toml").mkdir()
    for name, code in (("missing.toml", "PLAN-001"), ("folder.toml", "PLAN-002")):
        result = run(command, name)
        assert f"[{code}]" in result.output
        assert result.exit_code == 2


BAD_ROOMS = {
    "a tank taller than its shelf gap": (changed(('"30 cm", "32 cm"]', '"30 cm", "66 cm"]')), "LAYOUT-06"),
    "an outfall above the lowest lip": (
        re.sub(
            r'(\[outfall\.floor_drain\].*?\n)height = "[^"]*"',
            r'\1height = "1.2 m"',
            MENDED,
            count=1,
            flags=re.DOTALL,
        ),
        "DRAIN-23",
    ),
    "a drain that rises to its outfall": (
        changed(('behind = ["A", "B", "C"]', 'behind = ["A", "B", "C"]\ntop_height = "-20 cm"')),
        "DRAIN-20",
    ),
}


@pytest.mark.parametrize("what", BAD_ROOMS)
def test_a_room_that_will_not_do_is_worked_out_and_answered_with_exit_1(what: str, check) -> None:
    text, code = BAD_ROOMS[what]
    result = check(text)
    assert re.search(rf"problem\s+{code} ", result.output), result.output
    assert result.exit_code == 1


def test_a_curve_used_far_outside_its_points_is_marked_extrapolated(check) -> None:
    text = curve('[["0 kPa", "85 L/min"], ["0.5 kPa", "84 L/min"]]')
    assert "AIR-04" in check(text).output
    assert "extrapolated" in check(text).output
    whole = json.loads(check(text, "--json").output)
    pump = whole["systems"]["air"]["runs"][0]["pumps"][0]
    assert pump["extrapolated"] is True
    assert pump["pressure_kpa"] > 0.5


def test_every_mistake_of_a_file_comes_in_one_pass_word_for_word(check) -> None:
    text = (
        'title = "Shed"\n'
        "[room.shed]\n"
        'size = { length = "3 m", width = "3", height = "2.2 m" }\n'
        "[tank_kind.cube30]\n"
        'outside = ["30 cm", "30 cm", "54"]\n'
        "[water_point.tap]\n"
        'room = "shde"\n'
        'flow = "3 gal/min"\n'
        'presure = "3 bar"\n'
    )
    result = check(text)
    assert result.exit_code == 2
    assert result.output == EVERY_MISTAKE


EVERY_MISTAKE = """\
plan.toml:3: room shed: size.width "3" has no unit  [PLAN-012]
    found   width = "3"
    wanted  a length with its unit: "90 cm", "0.9 m" or "3 ft 2 1/2 in"
    try     width = "3 cm"
plan.toml:5: tank kind cube30: outside "54" has no unit  [PLAN-012]
    found   outside = ["30 cm", "30 cm", "54"]
    wanted  a length with its unit: "90 cm", "0.9 m" or "3 ft 2 1/2 in"
    try     outside = ["30 cm", "30 cm", "54 cm"]
plan.toml:7: water point tap: room "shde" is no room of this plan; did you mean "shed"?  [PLAN-030]
    found   room = "shde"
    wanted  a room: shed
    try     room = "shed"
plan.toml:8: water point tap: flow "3 gal/min" has a unit of two meanings: "gal", US or imperial?  [PLAN-013]
    found   flow = "3 gal/min"
    wanted  a flow with its unit: "60 L/h", "1.5 L/min" or "14 US gal/h"
    try     flow = "3 US gal/min" or "3 imp gal/min"
plan.toml:9: water point tap: has a key "presure" that is not known; did you mean "pressure"?  [PLAN-010]
    found   presure = "3 bar"
    wanted  one of room, at, height, pressure, flow or fitting
    try     pressure = "3 bar"

5 mistakes; the room was not worked out.
"""


LEFT_OUT = {
    "air": (without("air"), {"air"}),
    "feed": (without("feed"), {"feed"}),
    "drain": (without("drain"), {"drain"}),
    "power": (without("power"), {"power"}),
    "air and pumps": (without("air", "pump", "power"), {"air", "power"}),
    "everything but racks": (
        without("air", "pump", "power", "feed", "drain"),
        {"air", "feed", "drain", "power"},
    ),
    "one tank without a hole": (
        ROOM + RACK + 'shelf.1 = [{ kind = "box", ids = "A1" }]\n' + TANK,
        {"air", "feed", "drain", "power"},
    ),
}


@pytest.mark.parametrize("what", LEFT_OUT)
def test_a_system_the_plan_leaves_out_is_said_to_be_not_computed(what: str, check) -> None:
    text, systems = LEFT_OUT[what]
    result = check(text)
    assert result.exit_code in (0, 1)
    for system in systems:
        assert re.search(rf"not computed\s+(STUDY-02|POWER-16)\s+{system}: was not worked out", result.output)
        assert re.search(rf"^  {system}\s+not computed", result.output, flags=re.MULTILINE)


@pytest.mark.parametrize(
    "text",
    [
        ROOM,
        ROOM + RACK,
        ROOM + RACK + "shelf.1 = []\n",
        ROOM + RACK + 'shelf.1 = [{ kind = "box", ids = "A1" }]\n' + TANK,
        ROOM + TANK,
        ROOM + PUMP,
        ROOM + PUMP + '[air.ring]\npump = "p"\n',
        ROOM + RACK + 'shelf.1 = [{ kind = "box", ids = "A1" }]\n' + TANK + PUMP + '[air.ring]\npump = "p"\n',
        ROOM + '[outfall.o]\nroom = "shed"\nat = ["1 m", "1 m"]\nheight = "0 m"\n[drain.d]\nto = "o"\n',
        ROOM + '[water_point.w]\nroom = "shed"\n[feed.f]\nfrom = "w"\noutlet = { kind = "tap" }\n',
        ROOM + "[power]\n",
        ROOM + "[people]\n",
    ],
)
@pytest.mark.parametrize("flags", [(), ("--json",)])
def test_a_plan_with_almost_nothing_in_it_is_worked_out(text: str, flags: tuple[str, ...], check) -> None:
    result = check(text, *flags)
    assert result.exit_code in (0, 1)
    if "--json" in flags:
        assert as_described(json.loads(result.output))
    else:
        assert "not computed" in result.output


@pytest.mark.parametrize("command", [("explain",), ("draw", "--layer", "all"), ("verify",), ("demo",)])
def test_the_other_commands_work_on_a_bare_room_too(command: tuple[str, ...], run, tmp_path) -> None:
    for text in (ROOM, ROOM + RACK, ROOM + RACK + 'shelf.1 = [{ kind = "box", ids = "A1" }]\n' + TANK):
        (tmp_path / "plan.toml").write_text(text, encoding="utf-8")
        assert run(*command, "plan.toml").exit_code == 0


def test_a_hall_of_two_thousand_tanks_is_worked_out_in_well_under_a_minute(check) -> None:
    started = time.perf_counter()
    result = check(hall_plan(2000), "--json")
    assert time.perf_counter() - started < 40.0
    whole = json.loads(result.output)
    assert len(whole["tanks"]) == 2000
    assert all(whole["systems"][system] for system in ("layout", "load", "air", "feed", "drain"))


NONSENSE = [
    '"1e9 km"',
    '"0 m"',
    '""',
    "0",
    "-1",
    "[]",
    "{}",
    '"A1..A99999"',
    "true",
    '"NaN cm"',
    '"1:0"',
    "1e400",
    '"-40 °C"',
    '"1e5 mg/L"',
    "[9, 3]",
]


LIFE = re.compile(r"\[+(water|zone|stock|species|climate|room\.\w+\.shell)\b")


def lines_of_life(lines: list[str]) -> list[int]:
    """The lines of the tables of water, fish, warmth and damp."""
    heading = ""
    found = []
    for number, line in enumerate(lines):
        heading = line if line.startswith("[") else heading
        if LIFE.match(heading):
            found.append(number)
    return found


@pytest.mark.parametrize("seed", range(100))
def test_no_damage_to_an_example_raises(seed: int, check) -> None:
    dice = random.Random(seed)
    name = dice.choice(["cellar", "cellar_mended", "garage"])
    lines = (EXAMPLES / f"{name}.toml").read_text(encoding="utf-8").splitlines()
    for _ in range(dice.choice([1, 1, 2, 5, 15])):
        among = (
            lines_of_life(lines) if seed % 5 > 2 else range(len(lines))
        )  # two of five where fish and walls stand
        at = dice.choice(among)
        way = dice.randrange(5)
        if way == 0:
            del lines[at]
        elif way == 1:
            lines[at] = re.sub(r'"[^"]*"', dice.choice(NONSENSE), lines[at], count=1)
        elif way == 2:
            lines[at] = re.sub(r"\d+", lambda _: str(dice.choice([0, 1, 3, 40, 999, 100000])), lines[at])
        elif way == 3:
            lines.insert(at, dice.choice(lines))
        else:
            cut = dice.randrange(len(lines[at]) + 1)
            lines[at] = lines[at][:cut]
    result = check("\n".join(lines), "--json")
    assert result.exit_code in (0, 1, 2)
    assert as_described(json.loads(result.output))


def test_a_hole_far_off_its_pane_is_said_and_laid_out_all_the_same(check) -> None:
    result = check(changed(("below_rim = ", 'below_rim = "25 m", from_back = ')))
    assert "LAYOUT-111" in result.output
    assert result.exit_code == 1


QUANTITY = re.compile(r'"(\d[\d.,/ ]*) ?([a-zA-Z/%°µ][a-zA-Z0-9/%°µ() ]*)"')


@pytest.mark.parametrize("name", ["cellar", "cellar_mended", "garage"])
@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(place=st.floats(0.0, 1.0), number=st.sampled_from(["0.001", "0.1", "37", "1000", "0"]))
def test_no_quantity_of_any_size_raises_or_gives_a_number_that_is_none(
    name: str, place: float, number: str, check
) -> None:
    text = (EXAMPLES / f"{name}.toml").read_text(encoding="utf-8")
    spots = list(QUANTITY.finditer(text))
    spot = spots[min(int(place * len(spots)), len(spots) - 1)]
    result = check(f'{text[: spot.start()]}"{number} {spot.group(2)}"{text[spot.end() :]}', "--json")
    whole = json.loads(result.output)
    for finding in whole["findings"]:
        for one in finding["numbers"].values():
            assert abs(one["value"]) < 1e12, (spot.group(0), number, finding)


def test_a_name_cannot_send_orders_to_the_terminal(run, tmp_path) -> None:
    escape = '"\\u001b[31mred\\u0007'
    text = changed(
        ('title = "', f"title = {escape}"), ('name = "filling hose left in B6', f"name = {escape} B6")
    )
    (tmp_path / "plan.toml").write_text(text, encoding="utf-8")
    for words in (("check", "plan.toml", "--all"), ("explain", "plan.toml"), ("verify", "plan.toml")):
        shown = run(*words).output
        assert "red" in shown
        assert not re.search(r"[\x00-\x09\x0b-\x1f\x7f]", shown.replace("\r\n", "\n"))
