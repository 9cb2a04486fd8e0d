"""Remedies are made and the fault run again; what is written into the plan is what was tried."""

from __future__ import annotations

import re
from dataclasses import fields, is_dataclass
from functools import lru_cache
from typing import Any

import pytest

from tankwright.faults.listing import all_faults
from tankwright.faults.model import Fault
from tankwright.faults.remedies import remedied, remedies_for, together, tried
from tankwright.faults.remedy import Remedy
from tankwright.faults.simulate import outcome_of, worst_story
from tankwright.origin import Known
from tankwright.plan.changes_together import PutTogether
from tankwright.plan.reading import read_plan_text
from tankwright.room.layout import lay_out
from tankwright.room.model import Room
from tankwright.study import Study, work_out

PLAN = """
[people]
looks = ["06:45", "18:30"]
longest_absence = "60 h"
[room.cellar]
size = { length = "3 m", width = "3 m", height = "2.2 m" }
[tank_kind.cube]
outside = ["40 cm", "30 cm", "32 cm"]
glass = { sides = "5 mm", base = "5 mm", temper = "annealed" }
hole = { pane = "back", diameter = "29 mm", from_left = "75 mm", below_rim = "70 mm" }
overflow = { kind = "elbow", elbow_reach = "34 mm", water_below_rim = "42 mm", bore = "16 mm" }
heater = { power = "100 W", holds = "24 °C" }
[rack_kind.two]
length = "130 cm"
depth = "40 cm"
shelves = ["60 cm"]
[[rack]]
id = "A"
kind = "two"
room = "cellar"
wall = "north"
from_west = "1 m"
off_wall = "8 cm"
shelf.1 = [{ kind = "cube", ids = "A1..A2" }]
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
[feed.drip]
from = "tap"
bore = "13 mm"
outlet = { kind = "tap", rate = "6 L/h", at_pressure = "1 bar", bore = "4 mm" }
ends = "below rim"
air_gap = "6 cm"
program = [{ start = "02:00", minutes = 60 }]
[water.tap]
winter = "8 °C"
summer = "16 °C"
ph = 7.4
general_hardness = "10 °dH"
carbonate_hardness = "6 °dH"
chlorine = "0 mg/L"
disinfectant = "none"
nitrate = "5 mg/L"
[zone.main.wants]
temperature = ["22 °C", "26 °C"]
[[stock]]
tanks = "A1..A2"
count = 30
each = "1 g"
[climate.room.cellar]
heat_to = "20 °C"
heater = { power = "1 kW" }
[air.ring]
pump = "blower"
around = "cellar"
height = "0.7 m"
bore = "16 mm"
taps = 8
[pump.blower]
curve = [["0 kPa", "40 L/min"], ["20 kPa", "10 L/min"]]
power = "30 W"
height = "50 cm"
[power]
voltage = "230 V"
circuits = { life = { breaker = "10 A", rcd = "30 mA", device = "one" }, light = { breaker = "10 A", device = "one" } }
[[power.boards]]
id = "air"
circuit = "life"
outlets = 4
height = "1.9 m"
[[power.boards.loads]]
name = "air pump"
power = "30 W"
does = "air"
pump = "blower"
[[power.boards.loads]]
name = "lamp"
power = "10 W"
does = "light"
hours = 10
"""


@lru_cache(maxsize=8)
def study_of(text: str) -> Study:
    read = read_plan_text(text, "remedy.toml")
    assert read.plan is not None, [(one.line, one.text) for one in read.findings]
    room = lay_out(read.plan).room
    assert room is not None
    return work_out(room, walk_through=False)


@lru_cache(maxsize=1)
def faults() -> dict[str, Fault]:
    return {fault.name: fault for fault in all_faults(study_of(PLAN))}


def plain(thing: Any) -> Any:
    """A room as plain values: where a value stands in the plan, and how it is known, does not matter."""
    if isinstance(thing, Known):
        return plain(thing.value)
    if isinstance(thing, float):
        return round(thing, 6)
    if isinstance(thing, tuple):
        return tuple(plain(one) for one in thing)
    if is_dataclass(thing):
        left_out = {"line", "assumed", "own", "derived", "level_known", "weather_line", "reason"}
        return {
            one.name: plain(getattr(thing, one.name)) for one in fields(thing) if one.name not in left_out
        }
    return thing


def written(remedy: Remedy) -> Room:
    changed = PutTogether(remedy.puts).apply(PLAN)
    assert changed.text is not None, (remedy.attempt, [one.text for one in changed.findings])
    read = read_plan_text(changed.text, "remedied.toml")
    assert read.plan is not None, (remedy.attempt, [(one.text, one.found) for one in read.findings])
    room = lay_out(read.plan).room
    assert room is not None
    return room


WORST = (
    "overflow of A1 blocked",
    "feed drip stuck open",
    "feed drip off its fitting",
    "feed outlet of A1 fallen off",
    "mains off at tap",
    "heater of A1 stuck on",
    "heater of A1 stuck off",
    "air pump blower dead",
    "power cut",
    "circuit life dead",
    "board air dead",
    "device one tripped",
    "hand hose left in A2",
)


@pytest.mark.parametrize("name", WORST)
def test_what_a_remedy_writes_into_the_plan_is_the_room_that_was_tried(name: str) -> None:
    study = study_of(PLAN)
    story, before = worst_story(study, faults()[name])
    every = remedies_for(study, story, before)
    assert every
    for remedy in every:
        tried_room, laid = plain(remedy.change(study.room)), plain(written(remedy))
        for part, value in laid.items():
            assert tried_room[part] == value, (remedy.attempt, part)


@pytest.mark.parametrize("name", ["heater of A1 stuck on", "feed drip off its fitting", "mains off at tap"])
def test_only_what_helped_is_told_best_first(name: str) -> None:
    told = tried(study_of(PLAN), faults()[name])
    for one in told:
        assert one.helps
        assert one.before.first is not None
    ranks = [(not one.removes, not one.in_time, one.cost) for one in told]
    assert ranks == sorted(ranks)


def test_a_blocked_overflow_is_cured_by_a_second_way_out_a_float_or_shorter_runs() -> None:
    told = tried(study_of(PLAN), faults()["overflow of A1 blocked"])
    cures = [one.attempt for one in told if one.removes or one.in_time]
    for wanted in ("second_overflow", "float_cutoff", "minutes"):
        assert any(wanted in attempt for attempt in cures), cures


def test_a_cure_is_one_when_the_changed_plan_is_read_and_worked_out_from_the_start() -> None:
    fault = faults()["overflow of A1 blocked"]
    best = tried(study_of(PLAN), fault, enough=True)
    assert len(best) >= 1
    changed = PutTogether(best[0].puts).apply(PLAN).text
    assert changed is not None
    again = outcome_of(study_of(changed), fault)
    assert (again.first, again.before_look) == (best[0].after.first, best[0].after.before_look)


def test_two_remedies_made_together_are_both_made_and_their_numbers_told_apart() -> None:
    study = study_of(PLAN)
    story, before = worst_story(study, faults()["overflow of A1 blocked"])
    first, second = (
        next(one for one in remedies_for(study, story, before) if wanted in one.attempt)
        for wanted in ("float_cutoff", "second_overflow")
    )
    both = together(first, second)
    tank = both.change(study.room).tanks[0]
    assert tank.float_cutoff is not None
    assert tank.second_overflow is not None
    assert plain(both.change(study.room).tanks) == plain(written(both).tanks)
    names = [name for name, _ in both.numbers]
    assert len(set(names)) == len(names)
    assert set(names) == set(re.findall(r"{(\w+)}", both.words))


def test_water_that_runs_back_and_still_air_are_mended_together_for_less_than_another_pump() -> None:
    told = tried(study_of(PLAN), faults()["power cut"])
    cures = [one for one in told if one.removes or (one.in_time and one.before.before_look)]
    assert cures
    assert "check_valves" in cures[0].attempt or "backup" in cures[0].attempt


@pytest.mark.parametrize("name", WORST)
def test_every_number_of_the_words_is_there(name: str) -> None:
    study = study_of(PLAN)
    story, before = worst_story(study, faults()[name])
    for remedy in remedies_for(study, story, before):
        assert set(re.findall(r"{(\w+)}", remedy.words)) == {key for key, _ in remedy.numbers}
        assert remedy.attempt


def test_of_runs_so_and_so_short_only_the_longest_that_cures_is_told() -> None:
    told = tried(study_of(PLAN), faults()["overflow of A1 blocked"])
    assert len([one for one in told if "minutes" in one.attempt]) == 1


def test_no_way_out_through_what_is_blocked_is_proposed() -> None:
    study = study_of(PLAN.replace("vented = true", "vented = false"))
    for kind, what, ways in (("outfall", "gully", set()), ("drain", "main", {"own hose"})):
        for fault in all_faults(study):
            if (fault.broken[0].kind, fault.broken[0].what) == (kind, what):
                story, before = worst_story(study, fault)
                every = [one.attempt for one in remedies_for(study, story, before)]
                found = {to for one in every for to in ("own hose", "drain") if f'to = "{to}"' in one}
                assert found <= ways


def test_a_fault_that_does_no_harm_needs_no_remedy() -> None:
    study = study_of(PLAN)
    harmless = next(fault for fault in faults().values() if outcome_of(study, fault).first is None)
    assert tried(study, harmless) == ()


def test_a_remedy_that_is_there_already_is_not_tried_again() -> None:
    text = PLAN + '[tank.A1]\nsecond_overflow = { above_lip = "5 mm" }\nfloat_cutoff = "4 mm"\n'
    study = study_of(text)
    story, before = worst_story(study, faults()["overflow of A1 blocked"])
    for remedy in remedies_for(study, story, before):
        assert "second_overflow" not in remedy.attempt
        assert "float_cutoff" not in remedy.attempt


def test_a_remedy_that_changes_nothing_is_no_remedy() -> None:
    study = study_of(PLAN)
    idle = Remedy(words="", numbers=(), puts=(), cost=0, change=lambda room: room)
    assert remedied(study, idle) is None
