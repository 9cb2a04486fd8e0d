"""What can be wrong in what a plan says of alarms, second ways out, cut-offs and reserves, each told word for word."""

from __future__ import annotations

from pathlib import Path

import pytest

from tankwright.display import render_mistake
from tankwright.finding import Severity
from tankwright.plan.models import Alarm, Battery, Reserve, SecondOverflow
from tankwright.plan.reading import read_plan_text
from tankwright.plan.shape import fields_by_key

GOOD_PLAN = (Path(__file__).parent / "good_plan.toml").read_text(encoding="utf-8").rstrip() + "\n\n"
FIRST = GOOD_PLAN.count("\n") + 1
ALARM = '[[alarm]]\nid = "wet"\nwatches = "floor water"\nreaches = "me"\n'
PLACES = "a tank, rack or vat: A1, A2, A3, A4 or A"

# what is added, its line that is told (1 is its first), what is said, found, wanted, try
MISTAKES = {
    "a key that is not known": (
        ALARM + "louder = true\n", 5,
        'alarm wet: has a key "louder" that is not known  [PLAN-010]', "louder = true",
        "one of id, watches, where, depth, too_high, too_low, too_cold, too_warm, pressure_under, reaches,"
        " within, battery_backed ... (13 in all)", "",
    ),
    "a threshold of something else": (
        ALARM + 'too_warm = "30 °C"\n', 5,
        "alarm wet: watches floor water, which too_warm says nothing of  [PLAN-024]",
        'watches = "floor water", too_warm = "30 °C"', "depth", 'watches = "temperature"',
    ),
    "a power alarm with a threshold": (
        ALARM.replace("floor water", "power") + 'depth = "2 mm"\n', 5,
        "alarm wet: watches power, which depth says nothing of  [PLAN-024]",
        'watches = "power", depth = "2 mm"', "no threshold", 'watches = "floor water"',
    ),
    "an alarm that reaches nobody": (
        '[[alarm]]\nid = "wet"\nwatches = "power"\n', 1, 'alarm wet: has no "reaches"  [PLAN-021]',
        "[[alarm]]", "reaches: who hears of it, wherever they are", 'reaches = "..."',
    ),
    "something no alarm watches": (
        ALARM.replace("floor water", "flor water"), 3,
        'alarm wet: watches "flor water" is not one of the words it takes  [PLAN-020]', 'watches = "flor water"',
        '"floor water", "level", "temperature", "air pressure" or "power"', 'watches = "floor water"',
    ),
    "a room that is not there": (
        ALARM + 'where = "celar"\n', 5,
        'alarm wet: where "celar" is no room of this plan; did you mean "cellar"?  [PLAN-030]',
        'where = "celar"', 'a room: cellar', 'where = "cellar"',
    ),
    "a tank that is not there": (
        ALARM.replace("floor water", "level") + 'where = "A9"\n', 5,
        'alarm wet: where "A9" is no tank, rack or vat of this plan; did you mean "A"?  [PLAN-030]',
        'where = "A9"', PLACES, 'where = "A"',
    ),
    "an alarm on a board that is not there": (
        ALARM + 'board = "lift"\n', 5,
        'alarm wet: board "lift" is no board of this plan; did you mean "left"?  [PLAN-030]', 'board = "lift"',
        'a board: left', 'board = "left"',
    ),
    "two alarms of one name": (
        ALARM + ALARM, 6, f'alarm wet: id "wet" is already taken (line {FIRST + 1})  [PLAN-031]', 'id = "wet"',
        "an id of its own", "",
    ),
    "a reserve of nothing": (
        '[power.backup]\nkeeps = ["left"]\n', 1,
        "the plan: power.backup has neither a battery nor a generator  [PLAN-024]", "[power.backup]",
        "battery, or generator", 'backup = { generator = "2 kW" }',
    ),
    "a reserve of what is not there": (
        '[power.backup]\ngenerator = "2 kW"\nkeeps = ["lamp"]\n', 3,
        'the plan: power.backup.keeps "lamp" is no board or load of this plan  [PLAN-030]',
        'keeps = ["lamp"]', 'a board or load: left or pump', "",
    ),
    "a capacity in watt hours": (
        '[power.backup]\nbattery = { capacity = "100 Wh" }\n', 2,
        'the plan: power.backup.battery.capacity "100 Wh" is an energy, not a charge  [PLAN-015]',
        'capacity = "100 Wh"', 'a charge with its unit: "100 Ah" or "4.5 Ah"', "",
    ),
    "a second way out into nothing": (
        '[tank.A3]\nsecond_overflow = { to = "gutter" }\n', 2,
        'tank A3: second_overflow.to "gutter" is not one of the words it takes  [PLAN-020]', 'to = "gutter"',
        '"own hose", "drain" or "floor"', "",
    ),
}  # fmt: skip


@pytest.mark.parametrize(
    ("added", "line", "said", "found", "wanted", "attempt"), MISTAKES.values(), ids=MISTAKES
)
def test_a_mistake_is_told_with_its_line_and_what_to_try(
    added: str, line: int, said: str, found: str, wanted: str, attempt: str
) -> None:
    findings = read_plan_text(GOOD_PLAN + added, "cellar.toml").findings
    rows = [f"cellar.toml:{FIRST + line - 1}: {said}", f"    found   {found}", f"    wanted  {wanted}"]
    told = "\n".join([*rows, f"    try     {attempt}"] if attempt else rows)
    assert [render_mistake(one, "cellar.toml") for one in findings] == [told]


def test_every_mistake_of_an_alarm_comes_in_one_pass() -> None:
    added = ALARM + 'where = "attic"\nboard = "lift"\nwithin = "-1 h"\nlouder = 1\n'
    codes = [one.code for one in read_plan_text(GOOD_PLAN + added, "cellar.toml").findings]
    assert codes == ["PLAN-030", "PLAN-030", "PLAN-016", "PLAN-010"]


@pytest.mark.parametrize("where", ["A", "A1", "A1..A3", "A1, A4"])
def test_an_alarm_may_watch_a_rack_or_some_tanks(where: str) -> None:
    added = ALARM.replace("floor water", "level") + f'where = "{where}"\n'
    assert read_plan_text(GOOD_PLAN + added, "cellar.toml").findings == ()


@pytest.mark.parametrize(
    "value", ["0", "-1", '""', '"x"', "[]", "{}", "true", '"1e400 Ah"', '"4 mm"', "2026-09-12"]
)
def test_no_value_of_any_key_raises(value: str) -> None:
    for heading, table in (
        ("[[alarm]]", Alarm), ("[power.backup]", Reserve), ("[power.backup.battery]", Battery),
        ("[tank_kind.long90.second_overflow]", SecondOverflow),
    ):  # fmt: skip
        for key in fields_by_key(table):
            read = read_plan_text(f"{GOOD_PLAN}{heading}\n{key} = {value}\n", "any.toml")
            assert (read.plan is None) == any(one.severity is Severity.PROBLEM for one in read.findings)
