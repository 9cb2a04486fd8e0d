"""Who notices a fault, how soon: looks by the clock, alarms on the course of water, warmth, air and power."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from tankwright.faults.breaking import broken_room
from tankwright.faults.floor import floor_area, floor_depth, least_depth
from tankwright.faults.model import Event, Fault, Setting, WarmthCourse, WaterCourse
from tankwright.faults.noticing import (
    absence_of,
    calls_at,
    gap_from,
    longest_gap,
    next_look,
    noticed,
    wets_sensor,
    worst_clocks,
)
from tankwright.plan.reading import read_plan_text
from tankwright.room.layout import lay_out
from tankwright.room.model import Room
from tankwright.room.model_broken import Broken, BrokenKind
from tankwright.study import Study, work_out

HOUR = 3600.0
PLAN = """
[people]
{looks}
longest_absence = "60 h"
[room.cellar]
size = {{ length = "5 m", width = "4 m", height = "2.2 m" }}
[tank_kind.cube]
outside = ["40 cm", "30 cm", "32 cm"]
hole = {{ pane = "back" }}
[rack_kind.two]
length = "130 cm"
depth = "40 cm"
shelves = ["30 cm"]
[[rack]]
id = "A"
kind = "two"
room = "cellar"
wall = "north"
from_west = "1 m"
shelf.1 = [{{ kind = "cube", ids = "A1..A2" }}]
[water_point.tap]
room = "cellar"
at = ["1 m", "1 m"]
[feed.drip]
from = "tap"
outlet = {{ kind = "compensating dripper", rate = "4 L/h" }}
program = [{{ start = "02:00", minutes = 60 }}, {{ start = "12:00", minutes = 5 }}]
[climate]
[air.ring]
pump = "p"
around = "cellar"
[pump.p]
curve = [["0 kPa", "60 L/min"], ["20 kPa", "20 L/min"]]
height = "2.1 m"
[power]
circuits = {{ life = {{ breaker = "10 A", device = "one" }}, other = {{ breaker = "10 A", device = "two" }} }}
boards = [
  {{ id = "air", circuit = "life", outlets = 2, loads = [{{ name = "pump", power = "71 W", pump = "p" }}] }},
  {{ id = "call", circuit = "other", outlets = 2, loads = [{{ name = "box", power = "5 W" }}] }},
]
{more}
"""
LOOKS = 'looks = ["06:45", "18:30"]'


def study_of(more: str = "", looks: str = LOOKS, only: frozenset[str] = frozenset()) -> Study:
    read = read_plan_text(PLAN.format(more=more, looks=looks), "test.toml")
    assert read.plan is not None, [one.text for one in read.findings]
    room = lay_out(read.plan).room
    assert room is not None
    return work_out(room, only, walk_through=False)


def alarm(watches: str, more: str = "") -> str:
    return f'[[alarm]]\nid = "one"\nwatches = "{watches}"\nreaches = "me"\nwithin = "30 min"\n{more}\n'


def course(room: Room, *, rise: float = 0.0, floor: float = 0.0) -> WaterCourse:
    """An hour after the other for a day: every tank's surface rises, m/h, and water comes on the floor, m3/h."""
    times = np.arange(25.0) * HOUR
    hours = np.arange(25.0)
    tanks = tuple(tank.id for tank in room.tanks)
    level = np.array([tank.level for tank in room.tanks])[None, :] + rise * hours[:, None]
    none, two = np.zeros((25, 0)), np.zeros((25, len(tanks)))
    return WaterCourse(
        times=times, tanks=tanks, spaces=("cellar",), outfalls=(), vats_named=(), drains_named=(), sources=(),
        level=level, volume=two, by_feed={}, hand=two[1:], floor=floor * hours[:, None], spilled=two, gone=none,
        vats=none, drains=none, came=none, backwards=none,
    )  # fmt: skip


def warmth(room: Room, falls: float) -> WarmthCourse:
    hours = np.arange(25.0)
    start = np.array([life.wanted_temperature.value for life in room.lives])
    return WarmthCourse(
        times=hours * HOUR, tanks=tuple(tank.id for tank in room.tanks), spaces=("cellar",),
        water=start[None, :] - falls * hours[:, None], air=293.15 - falls * hours[:, None],
    )  # fmt: skip


def ill(study: Study, *parts: Broken) -> Room:
    return broken_room(study.room, parts)


def part(kind: BrokenKind, what: str = "", at: str = "") -> Broken:
    return Broken(kind=kind, what=what, at=at)


def seen(study: Study, room: Room, clock: float = 18.5 * HOUR, **courses: float) -> tuple[float, str]:
    water = course(room, rise=courses.get("rise", 0.0), floor=courses.get("floor", 0.0))
    fallen = warmth(room, courses.get("falls", 0.0))
    return noticed(study, room, Setting(clock=clock, horizon=60 * HOUR), water, fallen)


# --- looks --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("clock", "hours"), [(6.75, 11.75), (18.5, 12.25), (0.0, 6.75), (23.0, 7.75), (18.0, 0.5)]
)
def test_the_next_look_is_the_first_after_the_moment_over_midnight_too(clock: float, hours: float) -> None:
    assert next_look((6.75 * HOUR, 18.5 * HOUR), clock * HOUR) == pytest.approx(hours * HOUR)


def test_one_look_a_day_is_a_day_from_itself_and_no_look_is_none() -> None:
    assert next_look((HOUR,), HOUR) == 24 * HOUR
    assert longest_gap((HOUR,)) == 24 * HOUR
    assert (next_look((), HOUR), longest_gap(())) == (None, None)


def test_without_looks_a_gap_is_assumed_or_said_for_the_whole_room() -> None:
    assert gap_from(study_of(looks=""), 5.0) == 24 * HOUR
    assert gap_from(study_of('[assume]\npeople.look_gap = "8 h"\n', looks=""), 5.0) == 8 * HOUR


def test_a_helper_shortens_the_absence() -> None:
    assert absence_of(study_of().room) == 60 * HOUR
    assert absence_of(study_of(looks='helper_looks = ["12:00"]').room) == 24 * HOUR


@pytest.mark.parametrize(
    ("kind", "what", "clocks"),
    [
        ("pane", "A1", [18.5]),
        ("air pump", "p", [18.5]),
        ("room heater", "cellar", [18.5, 6.75]),
        ("overflow", "A1", [18.5, 6.75, 2 - 1 / 60, 12 - 1 / 60]),
    ],
)
def test_a_fault_is_tried_after_looks_and_before_the_programs_it_waits_for(
    kind: BrokenKind, what: str, clocks: list[float]
) -> None:
    fault = Fault(name="x", group="x", broken=(part(kind, what),))
    assert [one / HOUR for one in worst_clocks(study_of(), fault)] == pytest.approx(clocks)


def test_of_looks_without_a_program_after_them_only_the_longest_gap_is_tried() -> None:
    study = study_of(looks='looks = ["06:45", "08:00", "09:00", "11:00", "18:30"]')
    fault = Fault(name="x", group="x", broken=(part("overflow", "A1"),))
    assert [one / HOUR for one in worst_clocks(study, fault)][:2] == [18.5, 11.0]
    assert len(worst_clocks(study, fault)) == 4


def test_without_looks_there_is_still_a_moment_to_try() -> None:
    fault = Fault(name="x", group="x", broken=(part("pane", "A1"),))
    assert worst_clocks(study_of(looks=""), fault) == (20 * HOUR,)


# --- alarms -------------------------------------------------------------------------------------------------------


def test_without_an_alarm_the_next_look_notices() -> None:
    study = study_of()
    assert seen(study, study.room, rise=0.01) == (12.25 * HOUR, "")


def test_a_level_alarm_calls_when_water_crosses_its_threshold_between_two_rows() -> None:
    study = study_of(alarm("level", 'where = "A2"\ntoo_high = "15 mm"'))
    assert seen(study, study.room, rise=0.01) == (pytest.approx(2.0 * HOUR), "one")  # 1.5 h and half an hour
    assert seen(study, study.room, rise=-0.01) == (12.25 * HOUR, "")


def test_an_alarm_later_than_the_look_tells_nobody_anything_new() -> None:
    study = study_of(alarm("level", 'too_high = "15 mm"'))
    assert seen(study, study.room, rise=0.001) == (12.25 * HOUR, "")


def test_a_low_level_is_a_threshold_of_its_own() -> None:
    study = study_of(alarm("level", 'too_low = "30 mm"'))
    assert seen(study, study.room, rise=-0.01) == (pytest.approx(3.5 * HOUR), "one")
    assert seen(study, study.room, rise=0.05) == (12.25 * HOUR, "")


def test_a_floor_alarm_calls_when_the_water_stands_as_deep_as_its_sensor() -> None:
    study = study_of(alarm("floor water", 'depth = "5 mm"'))
    time, told = seen(study, study.room, floor=0.02)
    assert told == "one"
    assert floor_depth(study.room, "cellar", 0.02 * (time / HOUR - 0.5)) == pytest.approx(0.005)
    assert seen(study, study.room, floor=1e-9) == (12.25 * HOUR, "")


def test_a_sensor_in_the_way_of_a_film_is_reached_when_an_assumed_share_of_the_floor_is_wet() -> None:
    room = study_of().room
    whole = least_depth(room) * floor_area(room, "cellar")
    assert (
        wets_sensor(room, "cellar", 0.001) == wets_sensor(room, "cellar", 0.002) == pytest.approx(0.5 * whole)
    )
    own = study_of('[assume]\nalarm.wet_share = "10 %"\n').room
    assert wets_sensor(own, "cellar", 0.002) == pytest.approx(0.1 * whole)


def test_a_sensor_over_the_sill_of_the_door_is_never_reached() -> None:
    text = PLAN.replace('height = "2.2 m" }}\n', 'height = "2.2 m" }}\n{door}', 1)
    assert "{door}" in text
    door = 'doors = [{ wall = "south", from_west = "1 m", width = "80 cm" }]\n'
    read = read_plan_text(text.format(door=door, more="", looks=LOOKS), "test.toml")
    assert read.plan is not None
    room = lay_out(read.plan).room
    assert room is not None
    assert math.isinf(wets_sensor(room, "cellar", 0.5))
    assert math.isfinite(wets_sensor(study_of().room, "cellar", 0.5))


def test_temperatures_are_held_against_what_is_said_or_what_each_tank_is_to_have() -> None:
    study = study_of(alarm("temperature"))
    assert seen(study, study.room, falls=1.0) == (pytest.approx(2.5 * HOUR), "one")
    assert seen(study, study.room, falls=-1.0) == (pytest.approx(2.5 * HOUR), "one")
    room = study_of(alarm("temperature", 'where = "cellar"\ntoo_cold = "17 °C"')).room
    assert seen(study, room, falls=1.0) == (pytest.approx(3.5 * HOUR), "one")


def test_a_power_alarm_without_a_battery_is_silent_in_the_cut_it_is_for() -> None:
    for battery, told in (("true", "one"), ("false", "")):
        study = study_of(alarm("power", f"battery_backed = {battery}"))
        assert seen(study, ill(study, part("power")))[1] == told


def test_a_power_alarm_of_a_circuit_or_board_calls_for_it_alone() -> None:
    study = study_of(alarm("power", 'where = "life"'))
    assert seen(study, ill(study, part("circuit", "life"))) == (0.5 * HOUR, "one")
    assert seen(study, ill(study, part("device", "one")))[1] == "one"
    assert seen(study, ill(study, part("board", "air")))[1] == ""
    assert seen(study, ill(study, part("circuit", "other")))[1] == ""
    board = study_of(alarm("power", 'where = "air"'))
    assert seen(board, ill(board, part("board", "air")))[1] == "one"


def test_an_alarm_is_silent_once_its_own_board_is_dead_and_not_before() -> None:
    study = study_of(alarm("level", 'too_high = "15 mm"\nboard = "call"'))
    room = ill(study, part("circuit", "other"))
    water = course(room, rise=0.01)
    (one,) = room.alarms
    assert calls_at(study, room, one, water, None) is None
    late = (Event(time=2 * HOUR, what="trips", where="other"),)
    assert calls_at(study, room, one, water, None, late) == pytest.approx(1.5 * HOUR)
    early = (Event(time=1 * HOUR, what="trips", where="other"),)
    assert calls_at(study, room, one, water, None, early) is None
    assert calls_at(study, ill(study, part("circuit", "life")), one, water, None) == pytest.approx(1.5 * HOUR)


def test_an_air_alarm_calls_when_the_pump_is_dead_or_the_line_open() -> None:
    study = study_of(alarm("air pressure", "battery_backed = true"), only=frozenset({"air"}))
    assert seen(study, ill(study, part("air pump", "p"))) == (0.5 * HOUR, "one")
    assert seen(study, ill(study, part("power")))[1] == "one"
    run = study.room.airs[0]
    assert seen(study, ill(study, part("ring pipe", run.id, run.inlet)))[1] == "one"
    assert seen(study, study.room) == (12.25 * HOUR, "")


def test_the_soonest_of_several_alarms_tells() -> None:
    second = alarm("level", 'too_high = "5 mm"').replace('"one"', '"two"')
    study = study_of(alarm("level", 'too_high = "15 mm"') + second)
    assert seen(study, study.room, rise=0.01) == (pytest.approx(1.0 * HOUR), "two")


def test_a_course_without_warmth_has_no_alarm_of_warmth() -> None:
    study = study_of(alarm("temperature"))
    (one,) = study.room.alarms
    assert calls_at(study, replace(study.room), one, course(study.room), None) is None
