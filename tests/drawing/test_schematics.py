"""Schematics, the drain's heights, the map of what to turn off: they say what was worked out, and what was not."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from tankwright.display import words
from tankwright.drawing.air_schematic import air_schematics
from tankwright.drawing.drain_heights import drain_heights
from tankwright.drawing.feed_schematic import feed_schematics
from tankwright.drawing.measured import measured_off
from tankwright.drawing.model import Drawing, Group, Text, walk
from tankwright.drawing.valve_map import shutoffs, valve_map
from tankwright.finding import Number
from tankwright.origin import Known, Origin
from tankwright.study import Study
from tankwright.workspace.opened import open_plan

EXAMPLES = Path(__file__).parents[2] / "examples"


def _study(name: str) -> Study:
    study = open_plan(EXAMPLES / f"{name}.toml").study
    assert study is not None
    return study


STUDY = _study("cellar_mended")
GARAGE = _study("garage")


def _said(sheets: tuple[Drawing, ...]) -> list[str]:
    return [one.text for sheet in sheets for one in walk(sheet.parts) if isinstance(one, Text)]


def _group(sheets: tuple[Drawing, ...], place: str) -> list[str]:
    for sheet in sheets:
        for one in walk(sheet.parts):
            if isinstance(one, Group) and one.place == place:
                return [part.text for part in one.parts if isinstance(part, Text)]
    raise AssertionError(place)


def test_each_tank_has_its_tap_its_depth_its_air_and_its_setting() -> None:
    assert STUDY.air is not None
    sheets = air_schematics(STUDY, paper="A4")
    for run in STUDY.air.runs:
        for tap in (one for one in run.taps if one.tank is not None):
            assert tap.tank is not None
            said = _group(sheets, tap.tank)
            assert f"gets {words(Number(tap.flow, 'air_flow'))}" in said
            assert tap.opening is not None
            assert f"SET {words(Number(tap.opening, 'share'))}" in said


def test_taps_are_numbered_along_the_ring_and_closed_ones_told_together() -> None:
    ring = next(one for one in STUDY.room.airs if one.id == "ring")
    number = next(index for index, tap in enumerate(ring.taps, start=1) if tap.tank == "A1")
    sheets = tuple(one for one in air_schematics(STUDY) if "air run ring" in one.title)
    assert _group(sheets, "A1")[0] == str(number)
    shut = [text for text in _said(sheets) if "–" in text and text.replace("–", "").isdigit()]
    counted = sum(int(last) - int(first) + 1 for first, last in (one.split("–") for one in shut))
    single = sum(text == "closed" for text in _said(sheets)) - len(shut)
    assert counted + single == sum(tap.tank is None and not tap.open for tap in ring.taps)


def test_an_open_spare_tap_is_told() -> None:
    assert _said(air_schematics(GARAGE, paper="Letter")).count("spare, OPEN") == sum(
        tap.tank is None and tap.open for run in GARAGE.room.airs for tap in run.taps
    )


def test_air_that_was_not_computed_has_no_figures() -> None:
    said = " ".join(_said(air_schematics(replace(STUDY, air=None))))
    assert "NOT COMPUTED" in said
    assert "gets" not in said
    assert "SET" not in said


def test_the_feed_has_its_filters_in_their_order_and_every_outlet() -> None:
    sheets = feed_schematics(STUDY, paper="A3")
    said = _said(sheets)
    order = [
        said.index(name)
        for name in ("water point tap", "sediment", "carbon", "timer valve", "regulator", "manifold")
    ]
    assert order == sorted(order)
    tanks = {outlet.tank for run in STUDY.room.feeds for outlet in run.outlets}
    assert tanks <= set(said)
    assert "2 L/h" in _group(sheets, "A1")


def test_a_feed_that_was_not_computed_says_so_at_every_outlet() -> None:
    said = _said(feed_schematics(replace(STUDY, feed=None), paper="A3"))
    assert said.count("not computed") == sum(len(run.outlets) for run in STUDY.room.feeds)


def test_every_node_of_every_drain_has_its_height() -> None:
    sheets = drain_heights(STUDY, paper="A4")
    for run, sheet in zip(STUDY.room.drains, sheets, strict=True):
        said = _said((sheet,))
        for node in run.nodes:
            assert measured_off(node.place[2]) in said
            assert measured_off(node.chainage) in said
            assert not node.tanks or ", ".join(node.tanks) in said


def test_heights_that_rest_on_an_assumed_fall_say_so() -> None:
    run = STUDY.room.drains[0]
    fall = Known(1 / 60, Origin.ASSUMED, key="drain.fall", band=(0.01, 0.025))
    room = replace(STUDY.room, drains=(replace(run, fall=fall),))
    assert "FALL IS ASSUMED" in " ".join(_said(drain_heights(replace(STUDY, room=room))))
    assert "FALL IS ASSUMED" not in " ".join(_said(drain_heights(STUDY)))


def test_a_long_drain_goes_on_and_loses_no_node() -> None:
    run = STUDY.room.drains[0]
    nodes = tuple(
        replace(
            run.nodes[0],
            id=f"n{index}",
            chainage=0.1 * index,
            place=(0.0, 0.0, 1.0 - 0.001 * index),
            tanks=(f"T{index}",),
        )
        for index in range(150)
    )
    room = replace(STUDY.room, drains=(replace(run, nodes=nodes),))
    sheets = drain_heights(replace(STUDY, room=room, drain=None), paper="A4")
    assert len(sheets) > 2
    assert {f"T{index}" for index in range(150)} <= set(_said(sheets))
    assert "the water in it was not computed" in " ".join(_said(sheets))


def test_everything_to_turn_off_is_numbered_or_lettered_once() -> None:
    things = shutoffs(STUDY.room)
    names = [one.name for one in things]
    assert len(set(names)) == len(names)
    assert {
        "water point tap",
        "feed drip: timer valve",
        "breaker life",
        "board air",
        "pump piston80: its plug",
    } <= set(names)
    said = _said(valve_map(STUDY.room, paper="A3"))
    placed = sum(one.place is not None for one in things)
    for tag in range(1, placed + 1):
        assert said.count(str(tag)) == 2  # on the plan and in the list
    for index in range(len(things) - placed):
        assert said.count("ABCDEFGHIJ"[index]) >= 1


def test_a_breaker_stops_the_boards_on_its_circuit() -> None:
    life = next(one for one in shutoffs(STUDY.room) if one.name == "breaker life")
    assert life.stops == "boards air"


def test_a_list_too_long_for_the_plan_is_on_a_sheet_of_its_own() -> None:
    power = STUDY.room.power
    assert power is not None
    many = tuple(replace(power.boards[0], id=f"b{index}") for index in range(60))
    sheets = valve_map(replace(STUDY.room, power=replace(power, boards=many)), paper="A4")
    assert len(sheets) > 1
    assert {f"board b{index}" for index in range(60)} <= set(_said(sheets))


def test_a_room_with_nothing_to_turn_off_says_so() -> None:
    bare = replace(STUDY.room, feeds=(), pumps=(), airs=(), drains=(), power=None)
    assert "The plan names nothing to turn off." in _said(valve_map(bare))


@pytest.mark.parametrize("study", [STUDY, GARAGE])
def test_a_reserve_pump_is_told_as_off(study: Study) -> None:
    pumps = tuple(replace(pump, reserve=True) for pump in study.room.pumps)
    found = [one.normal for one in shutoffs(replace(study.room, pumps=pumps)) if one.name.startswith("pump ")]
    assert found
    assert set(found) == {"off, in reserve"}
