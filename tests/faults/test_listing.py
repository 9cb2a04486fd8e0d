"""The list of faults: complete, in one order, every one with a name of its own that finds it again."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import pytest

from tankwright.faults.breakable import can_break
from tankwright.faults.listing import all_faults, find_fault, pairs, seasons_of
from tankwright.faults.model import Fault
from tankwright.faults.names import tanks_named
from tankwright.room.model import Room
from tankwright.study import Study

from .broken_rooms import example, studied

EXAMPLES = ("cellar", "cellar_mended", "garage", "hall")
NOTHING = Study(room=Room(title="", display="metric", spaces=(), racks=(), tanks=()))


def _names(study: Study) -> list[str]:
    return [fault.name for fault in all_faults(study)]


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_fault_can_break_and_bears_a_name_of_its_own(name: str) -> None:
    study = studied(name)
    faults = (*all_faults(study), *pairs(study))
    assert len({fault.name for fault in faults}) == len(faults)
    for fault in faults:
        assert fault.broken
        assert [can_break(study.room, part) for part in fault.broken] == [None] * len(fault.broken)


@pytest.mark.parametrize("name", EXAMPLES)
def test_the_list_is_always_the_same(name: str) -> None:
    study = studied(name)
    again = Study(room=replace(study.room))
    assert (all_faults(study), pairs(study)) == (all_faults(again), pairs(again))


@pytest.mark.parametrize("name", ["cellar", "cellar_mended", "garage"])
def test_every_name_finds_its_fault_whatever_its_case_and_spaces(name: str) -> None:
    study = studied(name)
    faults = (*all_faults(study), *pairs(study))
    for fault in faults[:: max(1, len(faults) // 60)]:
        assert find_fault(faults, fault.name) is fault
        assert find_fault(faults, f"  {fault.name.upper().replace(' ', '  ')} ") is fault


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_tank_is_tried_for_each_thing_it_has(name: str) -> None:
    study = studied(name)
    count = Counter(fault.group for fault in all_faults(study))
    room = study.room
    assert count["pane fails"] == count["hand hose left"] == len(room.tanks)
    assert count["overflow blocked"] == count["overflow half blocked"]
    assert count["overflow blocked"] == sum(tank.overflow is not None for tank in room.tanks)
    assert count["hose off its barb"] == sum(tank.hose is not None for tank in room.tanks)
    heated = sum(life.heater is not None for life in room.lives)
    assert (count["heater stuck on"], count["heater stuck off"]) == (heated, heated)
    assert count["drain blocked"] == sum(bool(node.tanks) for run in room.drains for node in run.nodes)
    assert count["outfall blocked"] == len(room.outfalls)
    taps = [tap for run in room.airs for tap in run.taps if tap.tank is not None]
    spare = sum(any(tap.tank is None for tap in run.taps) for run in room.airs)
    assert (count["tap fallen out"], count["diffuser clogged"]) == (len(taps) + spare, len(taps))


def test_the_first_plan_has_the_faults_its_owner_would_name() -> None:
    names = set(_names(studied("cellar")))
    assert {
        "overflow of A3 blocked", "overflow of A3 half blocked", "drain main blocked at A1",
        "drain south blocked at D3 and D6", "outfall floor_drain blocked", "feed drip stuck open",
        "feed drip off its fitting", "feed drip off its fitting in cellar", "feed outlet of A3 fallen off",
        "hand hose left in A3", "mains pressure doubled at tap", "mains off at tap", "air pump piston80 dead",
        "air line ring open at its pump", "air line ring open at D6", "tap of A3 fallen out",
        "spare tap of ring fallen out", "diffuser of A3 clogged", "power cut", "circuit life dead",
        "board A lights dead", "device one RCD tripped", "room heating of cellar fails", "carbon of drip spent",
        "chloramine in tap water", "pane of A3 fails", "hose of A3 off its barb", "lights of board A lights stuck on",
    } <= names  # fmt: skip


def test_what_cannot_be_is_not_listed() -> None:
    cellar = _names(studied("cellar"))
    assert not [name for name in cellar if "heater of" in name or "vat" in name or "cooling" in name]
    assert not [name for name in cellar if "second overflow" in name or "pure water" in name]
    garage = _names(studied("garage"))
    assert "vat pump of vat runs on" in garage
    assert not [name for name in garage if "mains" in name or "stuck open" in name]


def test_a_room_that_says_next_to_nothing_can_only_lose_its_power() -> None:
    assert _names(NOTHING) == ["power cut"]
    assert pairs(NOTHING) == ()


def test_a_feed_without_a_program_has_no_valve_that_could_stick() -> None:
    room = example("cellar")
    room = replace(room, feeds=tuple(replace(feed, programs=()) for feed in room.feeds))
    assert "feed drip stuck open" not in _names(Study(room=room))


def test_the_hose_gives_what_the_plan_says_it_gives_there() -> None:
    hoses = {
        fault.broken[0].what: fault.broken[0].flow
        for fault in all_faults(studied("cellar"))
        if fault.group == "hand hose left"
    }
    assert hoses["B6"] == pytest.approx(13 / 60000)
    assert hoses["D5"] == pytest.approx(6 / 60000)
    assert hoses["A1"] is None, "the most its water point gives"


# --- pairs ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", EXAMPLES)
def test_what_comes_together_has_a_cause_in_words(name: str) -> None:
    for fault in pairs(studied(name)):
        assert len(fault.broken) > 1
        assert len(fault.cause.split()) > 5
    assert all(fault.cause == "" and len(fault.broken) == 1 for fault in all_faults(studied(name)))


def test_the_mended_cellar_has_its_pairs() -> None:
    names = {fault.name: fault for fault in pairs(studied("cellar_mended"))}
    assert "surge kills every air pump on life" in names
    assert "hard freeze: mains off at tap, room heating of cellar fails" in names
    assert "main repaired: chloramine in tap water, pressure doubled at tap" in names
    every = names["overflows of every cube30 blocked"]
    kinds = {tank.id: tank.kind for tank in example("cellar_mended").tanks}
    assert {part.what for part in every.broken} == {tank for tank, kind in kinds.items() if kind == "cube30"}


def test_the_round_broken_off_is_tried_where_the_least_room_is_left() -> None:
    room = example("cellar")
    for fault in pairs(studied("cellar")):
        if fault.name.startswith("called away"):
            tank = room.tank(fault.broken[0].what)
            assert all(
                tank.freeboard_volume <= other.freeboard_volume
                for other in room.tanks
                if other.kind == tank.kind
            )


# --- seasons and names ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "seasons"),
    [
        ("room heating of cellar fails", ("coldest",)),
        ("cooling of cellar fails", ("hottest",)),
        ("heater of A1 stuck on", ("hottest",)),
        ("heater of A1 stuck off", ("coldest",)),
        ("lights of board A lights stuck on", ("hottest",)),
        ("power cut", ("coldest", "hottest")),
        ("device life tripped", ("coldest", "hottest")),
        ("feed drip stuck open", ("coldest",)),
        ("air pump piston80 dead", ("hottest",)),
        ("overflow of A3 blocked", ("usual",)),
        ("pane of A3 fails", ("usual",)),
        ("hard freeze: mains off at tap, room heating of cellar fails", ("coldest",)),
    ],
)
def test_each_fault_is_tried_in_the_weather_it_is_worst_in(name: str, seasons: tuple[str, ...]) -> None:
    study = studied("cellar_mended")
    fault = find_fault((*all_faults(study), *pairs(study)), name)
    assert isinstance(fault, Fault)
    assert seasons_of(fault) == seasons


def test_a_name_that_is_not_there_is_answered_with_the_nearest() -> None:
    faults = all_faults(studied("cellar"))
    near = find_fault(faults, "overflow of A33 blocked")
    assert isinstance(near, tuple)
    assert "overflow of A3 blocked" in near
    assert len(near) <= 5
    assert "air pump piston80 dead" in find_fault(faults, "air pump piston8 dead")
    assert find_fault(faults, "xyzzy") == ()
    assert find_fault(faults, "") == ()


def test_a_part_of_a_name_will_do_where_only_one_fault_has_it() -> None:
    faults = all_faults(studied("cellar"))
    found = find_fault(faults, "piston80")
    assert isinstance(found, Fault)
    assert found.name == "air pump piston80 dead"
    several = find_fault(faults, "A3")
    assert isinstance(several, tuple)
    assert all("A3" in name for name in several)


@pytest.mark.parametrize(
    ("ids", "words"),
    [
        (("A9", "A10", "A11"), "A9..A11"),
        (("A1", "A3"), "A1 and A3"),
        (("A1", "B2"), "A1 and B2"),
        (("big", "small"), "big and small"),
        (("R001-01", "R001-05", "R001-09"), "R001-01, R001-05 and R001-09"),
        ((), ""),
    ],
)
def test_tanks_that_stand_together_are_named_shortly(ids: tuple[str, ...], words: str) -> None:
    assert tanks_named(ids) == words
