"""The emergency card and the absence sheet: from the plan and the study only, guesses marked, what is missing told."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from tankwright.display import sentence
from tankwright.faults.backup import power_cut_plan
from tankwright.faults.listing import all_faults, pairs
from tankwright.faults.model import Faults, Harm, HarmKind, Outcome
from tankwright.finding import Number
from tankwright.report.cards import CUT, DANGERS, NOT_YET, WORST, DoorCard, door_card
from tankwright.report.cards_absence import ROWS, AbsenceSheet, absence_sheet
from tankwright.report.cards_words import FIRST_ACTIONS, Part, first_action, place_line
from tankwright.report.model import SummaryLine
from tankwright.room.model import Room
from tankwright.study import Study
from tankwright.workspace.opened import open_plan

EXAMPLES = Path(__file__).parents[2] / "examples"
HOUR = 3600.0


@cache
def study_of(name: str) -> Study:
    study = open_plan(EXAMPLES / f"{name}.toml").study
    assert study is not None
    return study


def outcome(
    fault: str, group: str, kind: HarmKind | None, time: float = HOUR, early: float | None = None
) -> Outcome:
    soonest = time if early is None else early
    harm = None if kind is None else Harm(time=time, kind=kind, where="A1", earliest=soonest, latest=time)
    return Outcome(
        fault=fault, group=group, clock=0.0, season="usual", first=harm, seen=12 * HOUR, told="", gap=12 * HOUR,
        absence=60 * HOUR, floor=0.0, floor_absence=None, depth=0.0, finite=True, tanks=(), tanks_absence=(), fish=0.0,
    )  # fmt: skip


def faults(*outcomes: Outcome) -> Faults:
    return Faults(outcomes=outcomes, stated_gap=True)


MANY = faults(
    outcome("pane of A1 fails", "pane fails", "floor", 0.0),
    outcome("pane of A2 fails", "pane fails", "floor", 0.0),
    outcome("hand hose left in A3", "hand hose left", "floor", 300.0),
    outcome("power cut", "power cut", "oxygen", 9 * HOUR, early=5 * HOUR),
    outcome("device life tripped", "device tripped", "oxygen", 9 * HOUR),
    outcome("overflow of A3 blocked", "overflow blocked", "floor", 4 * HOUR),
    outcome("overflow of A3 half blocked", "overflow half blocked", "floor", 5 * HOUR),
    outcome("chloramine", "chloramine", "ammonia", 6 * HOUR),
    outcome("cooling of cellar fails", "cooling fails", "hot", 30 * HOUR),
    outcome("lights stuck on", "lights stuck on", None),
)


def told(part: Part) -> str:
    return "\n".join(sentence(line.text, line.numbers) for line in part.lines) or part.missing


def texts(card: DoorCard | AbsenceSheet) -> str:
    return repr(card)


# --- the door ----------------------------------------------------------------------------------------------------


def test_the_door_card_says_what_to_shut_and_where() -> None:
    card = door_card(study_of("cellar_mended"), None)
    assert told(card.water).splitlines() == [
        "Water point tap: laundry, east wall, north corner, 95 cm up: shut it",
        "Feed drip (34 tanks): shut its valve",
    ]
    assert told(card.outfalls).splitlines() == [
        "floor_drain: cellar, south wall, east corner (sewer, trapped)",
        "laundry_gully: laundry, north wall, west corner (sewer, trapped)",
    ]


def test_the_air_is_switched_off_last() -> None:
    boards = told(door_card(study_of("cellar_mended"), None).power).splitlines()
    assert boards[-1] == "LAST: air (air): rack A, 2.1 m up; trips with life"
    assert boards[0].startswith("A lights, B lights, C lights, D lights (lights): rack A, B, C, D")


def test_a_feed_with_a_pump_is_stopped_at_its_plug() -> None:
    assert "Feed vat (18 tanks): pull the plug of pump transfer" in told(
        door_card(study_of("garage"), None).water
    )


def test_a_place_is_told_by_walls_and_height() -> None:
    room = study_of("cellar_mended").room
    middle = place_line(room, "x", (2.6, 1.5, 1.0))
    assert (
        sentence(middle.text, middle.numbers)
        == "x: cellar, 150 cm off the south wall, 2.6 m from the east one, 100 cm up"
    )
    outside = place_line(room, "y", (-3.0, 0.0, 0.0))
    assert sentence(outside.text, outside.numbers) == "y: outside the rooms of the plan"


def test_alarms_say_whom_they_call_and_their_absence_is_told() -> None:
    card = door_card(study_of("cellar_mended"), None)
    assert told(card.told).splitlines()[0] == (
        "wet floor (cellar): the neighbour's and my telephone; there within 40 min"
    )
    assert told(door_card(study_of("garage"), None).told).startswith("No alarm in the plan")


def test_faults_that_are_not_worked_out_are_said_to_be() -> None:
    card = door_card(study_of("cellar_mended"), None)
    assert card.worst == ()
    assert card.worst_missing == NOT_YET
    assert "tankwright faults" in NOT_YET


def test_the_worst_five_are_of_five_kinds_in_their_order_with_the_soonest_time() -> None:
    card = door_card(study_of("cellar_mended"), MANY)
    assert [one.name for one in card.worst] == [
        "pane of A1 fails", "hand hose left in A3", "power cut", "overflow of A3 blocked", "chloramine"
    ]  # fmt: skip
    assert len(card.worst) == WORST
    harms = [sentence(one.harm.text, one.harm.numbers) for one in card.worst]
    assert harms[0] == "water on the floor at once"
    assert harms[2] == "oxygen down to the trouble level from 5 h"  # the early end of its band
    assert card.worst[1].action == FIRST_ACTIONS["hand hose left"]


def test_a_band_that_begins_before_the_fault_is_told_by_its_value() -> None:
    card = door_card(
        study_of("garage"), faults(outcome("power cut", "power cut", "cold", 2 * HOUR, early=0.0))
    )
    assert sentence(card.worst[0].harm.text, card.worst[0].harm.numbers) == "water too cold from 2 h"


def test_several_faults_at_once_come_after_single_ones() -> None:
    both = outcome("called away", "one cause, several faults", "floor", 10.0)
    card = door_card(study_of("garage"), faults(both, outcome("power cut", "power cut", "cold")))
    assert [one.name for one in card.worst] == ["power cut", "called away"]


def test_no_fault_with_harm_is_not_called_fine() -> None:
    card = door_card(study_of("cellar_mended"), faults(outcome("x", "lights stuck on", None)))
    assert card.worst == ()
    assert "not every fault can be thought of" in card.worst_missing


def test_every_kind_of_fault_of_the_examples_has_a_first_action_of_its_own() -> None:
    for name in ("cellar_mended", "garage"):
        study = study_of(name)
        groups = {one.group for one in (*all_faults(study), *pairs(study))}
        assert groups <= set(FIRST_ACTIONS)
    assert "Shut the water point" in first_action("a fault nobody has thought of")


def test_tanks_of_a_power_cut_stand_in_the_order_of_the_plan_for_one() -> None:
    study = study_of("cellar_mended")
    lines = told(door_card(study, None).order).splitlines()
    first = power_cut_plan(study, CUT).tanks[0]
    assert lines[0] == "B6..B8, C3..C5: oxygen from 18 h (breathe air too)"
    assert first.tank in ("B6", "B7", "B8", "C3", "C4", "C5")
    assert any(": cold from " in line for line in lines)
    assert lines[-1] == "Q3, Q4: hold, as far as followed"


def test_what_is_in_trouble_already_is_told_so() -> None:
    assert told(door_card(study_of("cellar"), None).order).splitlines()[0].endswith(": oxygen at once")


def test_a_battery_is_told_by_both_ends_of_its_band() -> None:
    study = study_of("cellar_mended")
    kept = power_cut_plan(study, CUT).choice("as the plan says")
    assert kept is not None
    assert kept.lasts is not None
    line = door_card(study, None).battery.lines[0]
    assert dict(line.numbers) == {
        "low": Number(kept.lasts.low, "duration"), "high": Number(kept.lasts.high, "duration")
    }  # fmt: skip
    assert told(door_card(study, None).battery).endswith("; takes over by itself")


def test_without_a_battery_it_says_what_one_would_take() -> None:
    lines = told(door_card(study_of("garage"), None).battery).splitlines()
    assert lines[0] == "None in the plan: air stops with the power."
    assert "for 12 h" in lines[1]
    assert "Ah at 12 V" in lines[1]


def test_the_door_card_warns_of_what_kills_and_calls_nothing_safe() -> None:
    card = door_card(study_of("cellar_mended"), MANY)
    assert card.dangers == DANGERS
    assert "socket" in card.dangers[0]
    assert "exhaust" in card.dangers[1]
    assert "screening" in card.caution
    for word in ("safe", "certified"):
        assert word not in texts(card).lower()


def test_a_long_list_says_how_many_it_leaves_out() -> None:
    study = study_of("garage")
    power = study.room.power
    assert power is not None
    boards = tuple(
        replace(
            power.boards[1], id=f"board {number}", height=replace(power.boards[1].height, value=0.1 * number)
        )
        for number in range(20)
    )
    room = replace(study.room, power=replace(power, boards=boards))
    lines = told(door_card(replace(study, room=room), None).power).splitlines()
    assert len(lines) == 6
    assert lines[-1] == "and 15 more: see the plan"


# --- while the keeper is away -------------------------------------------------------------------------------------


def test_the_sheet_has_a_column_for_every_visit() -> None:
    sheet = absence_sheet(study_of("cellar_mended"), None)  # 60 h are three days, two looks a day
    assert sheet.columns == 6
    assert not sheet.more
    assert [one.value / HOUR for one in sheet.visits] == [6.75, 18.5]
    assert sheet.rows == ROWS


def test_a_helper_who_comes_at_other_times_has_them_on_the_sheet() -> None:
    study = study_of("cellar_mended")
    sheet = absence_sheet(replace(study, room=replace(study.room, helper_looks=(9 * HOUR,))), None)
    assert sheet.columns == 3
    assert sheet.visits == (Number(9 * HOUR, "clock"),)


def test_a_mark_lies_between_the_water_and_the_base_for_every_kind_of_tank() -> None:
    for name in ("cellar_mended", "garage"):
        room = study_of(name).room
        sheet = absence_sheet(study_of(name), None)
        assert {row.kind for row in sheet.levels} == {tank.kind for tank in room.tanks}
        for row in sheet.levels:
            deep = min(tank.rim - tank.floor_inside for tank in room.tanks if tank.kind == row.kind)
            assert row.stands.value <= row.call_at.value < deep


def test_a_heater_nobody_measured_makes_a_mark_that_is_marked_as_a_guess() -> None:
    rows = {row.kind: row for row in absence_sheet(study_of("cellar_mended"), None).levels}
    assert rows["long90"].why == "heater uncovered"
    assert rows["long90"].assumed
    assert rows["cube30"].why == "half its water gone"
    assert not rows["cube30"].assumed


def test_every_tank_has_a_temperature_and_a_ration_and_guesses_are_marked() -> None:
    sheet = absence_sheet(study_of("cellar_mended"), None)
    zones = {row.zone: (row.low.value, row.high.value, row.assumed) for row in sheet.warmth}
    assert zones["main"] == (295.15, 299.15, False)
    rations = {row.tanks: row for row in sheet.feeding}
    assert rations["A1, A2, B1, B2"].most == Number(pytest.approx(0.5e-3), "mass")
    assert not rations["A1, A2, B1, B2"].assumed
    assert rations["Q1..Q4"].assumed
    assert absence_sheet(study_of("garage"), None).warmth[0].assumed


def test_a_tank_nobody_stocked_is_not_fed() -> None:
    study = study_of("cellar_mended")
    lives = tuple(replace(life, stock=None) if life.tank == "A1" else life for life in study.room.lives)
    sheet = absence_sheet(replace(study, room=replace(study.room, lives=lives)), None)
    assert next(row for row in sheet.feeding if row.most is None).tanks == "A1"


def test_the_sheet_says_what_runs_by_itself_and_what_to_leave_alone() -> None:
    sheet = absence_sheet(study_of("cellar_mended"), None)
    assert told(sheet.by_itself).splitlines()[0] == "Feed drip: 02:00 for 75 min, every day"
    assert any("Open and turn no tap" in one for one in sheet.leave)
    assert any(one == "Look at quarantine last, and touch nothing there." for one in sheet.leave)


def test_what_goes_wrong_is_told_with_the_time_there_is_once_faults_are_worked_out() -> None:
    study = study_of("cellar_mended")
    without = [sentence(one.text, one.numbers) for one in absence_sheet(study, None).first]
    assert without[1].endswith("then call.")
    with_them = [sentence(one.text, one.numbers) for one in absence_sheet(study, MANY).first]
    assert with_them[1].endswith("then call; at the worst there are 5 h.")
    assert absence_sheet(study, None).not_yet == NOT_YET
    assert absence_sheet(study, MANY).not_yet == ""


def test_what_a_page_has_no_room_for_is_counted() -> None:
    study = study_of("cellar_mended")
    tanks = tuple(replace(tank, kind=f"kind{number}") for number, tank in enumerate(study.room.tanks))
    sheet = absence_sheet(replace(study, room=replace(study.room, tanks=tanks)), None)
    assert len(sheet.levels) == 8
    assert sheet.left_out == len(tanks) - 8


def test_an_empty_room_has_cards_that_say_what_they_lack() -> None:
    study = Study(room=Room(title="", display="metric", spaces=(), racks=(), tanks=()))
    door, away = door_card(study, None), absence_sheet(study, None)
    for part in (door.water, door.power, door.outfalls, door.told, door.order, door.battery, away.by_itself):
        assert part.lines == ()
        assert part.missing
    assert away.absence_assumed
    assert away.columns == 2


def test_no_number_of_a_card_is_without_end() -> None:
    for name in ("cellar", "cellar_mended", "garage"):
        card = door_card(study_of(name), MANY)
        lines: list[SummaryLine] = [*card.order.lines, *card.battery.lines, *card.water.lines]
        lines += [one.harm for one in card.worst]
        assert all(math.isfinite(number.value) for line in lines for _, number in line.numbers)
