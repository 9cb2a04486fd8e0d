"""What stands still without power: by board, circuit, device and in a cut, and what a backup keeps."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from tankwright.faults.backup import backup_lasts
from tankwright.faults.breaking import broken_room
from tankwright.faults.electric import (
    EMPTY,
    dead_boards,
    dead_feeds,
    dead_heaters,
    dead_lights,
    dead_loads,
    dead_pumps,
    dead_room_coolers,
    dead_room_heaters,
    hangs_nowhere,
    kept_loads,
    power_is_cut,
)
from tankwright.origin import Known, Origin
from tankwright.room.model import BoardPlace, LoadPlace, Room
from tankwright.room.model_broken import Broken, BrokenKind
from tankwright.systems.power import solve_power

from .broken_rooms import example

CUT = Broken(kind="power", what="")


def ill(name: str, *broken: Broken) -> Room:
    return broken_room(example(name), broken)


def with_loads(room: Room, *boards: tuple[str, str, tuple[LoadPlace, ...]]) -> Room:
    """The room with these boards more: (name, circuit, loads)."""
    assert room.power is not None
    usual = room.power.boards[0]
    more = tuple(
        replace(usual, id=name, circuit=circuit, rack=None, loads=loads) for name, circuit, loads in boards
    )
    return replace(room, power=replace(room.power, boards=(*room.power.boards, *more)))


def load(does: str, watts: float, serves: tuple[str, ...] = (), **more: object) -> LoadPlace:
    power = Known(watts, Origin.GIVEN)
    plain = LoadPlace(name=does, power=power, count=1, does=does, hours=24.0, serves=serves, pump=None)
    return replace(plain, **more)  # type: ignore[arg-type]


@pytest.mark.parametrize("name", ["cellar", "cellar_mended", "garage"])
def test_what_is_dead_is_what_the_power_page_says_stops(name: str) -> None:
    room = example(name)
    if room.power is not None and room.power.backup is not None:
        room = replace(room, power=replace(room.power, backup=None))
    kinds: dict[str, BrokenKind] = {"board": "board", "breaker": "circuit", "device": "device"}
    for stop in solve_power(room).stops:
        dead = dead_loads(broken_room(room, (Broken(kind=kinds[stop.kind], what=stop.id),)))
        assert tuple(one.name for _, one in dead) == stop.loads
        assert {one.does for _, one in dead} == {what for what, _ in stop.does}


def test_one_device_takes_air_heat_and_light_with_it() -> None:
    room = ill("cellar", Broken(kind="device", what="one RCD"))
    assert dead_pumps(room) == {"piston80"}
    assert dead_room_heaters(room) == {"cellar"}
    assert dead_lights(room) == {"A lights", "B lights", "C lights", "D lights"}
    assert not power_is_cut(room)


def test_a_circuit_takes_only_its_own() -> None:
    room = ill("cellar", Broken(kind="circuit", what="light"))
    assert [board.id for board in dead_boards(room)] == ["A lights", "B lights", "C lights", "D lights"]
    assert (dead_pumps(room), dead_room_heaters(room)) == (frozenset(), frozenset())


def test_nothing_is_dead_in_a_healthy_room() -> None:
    for name in ("cellar", "cellar_mended", "garage", "hall"):
        room = example(name)
        dead = (
            dead_boards,
            dead_loads,
            dead_pumps,
            dead_heaters,
            dead_room_heaters,
            dead_room_coolers,
            dead_feeds,
        )
        assert [len(one(room)) for one in dead] == [0] * len(dead)
        assert backup_lasts(room) == math.inf


def test_a_cut_stops_what_no_board_is_said_to_carry_too() -> None:
    assert dead_pumps(ill("hall", CUT)) == {"blower"}, "no boards in that plan at all"
    garage = ill("garage", CUT)
    assert (dead_room_heaters(garage), dead_room_coolers(garage)) == ({"garage"}, {"garage"})
    mended = ill("cellar_mended", CUT)
    assert dead_heaters(mended) == {life.tank for life in example("cellar_mended").lives if life.heater}


def test_what_hangs_nowhere_is_told() -> None:
    subjects = [subject for subject, _ in hangs_nowhere(example("garage"))]
    assert subjects == ["heating of garage", "cooling of garage"]
    assert hangs_nowhere(example("cellar")) == ()
    assert [subject for subject, _ in hangs_nowhere(example("hall"))] == ["power"]


def test_a_room_heater_on_a_rack_is_not_taken_for_the_heaters_of_its_tanks() -> None:
    room = ill("cellar_mended", Broken(kind="board", what="room heat"))
    assert dead_heaters(room) == frozenset()
    assert "cellar" in dead_room_heaters(room)


def test_heaters_in_tanks_die_with_the_load_that_serves_them() -> None:
    room = with_loads(example("cellar_mended"), ("heaters", "life", (load("heat", 50.0, ("A1", "A2")),)))
    dead = broken_room(room, (Broken(kind="board", what="heaters"),))
    assert dead_heaters(dead) == {"A1", "A2"}
    assert dead_room_heaters(dead) == frozenset()


# --- feeds ------------------------------------------------------------------------------------------------------


def test_a_vat_stands_still_with_its_pump() -> None:
    assert dead_feeds(ill("garage", Broken(kind="circuit", what="general"))) == {"vat"}
    assert dead_feeds(ill("garage", Broken(kind="circuit", what="air"))) == frozenset()


@pytest.mark.parametrize(("shuts", "dead"), [(True, {"drip"}), (False, set())])
def test_a_timer_valve_stands_as_the_plan_says_without_power(shuts: bool, dead: set[str]) -> None:
    room = example("cellar")
    room = replace(room, feeds=tuple(replace(feed, off_without_power=shuts) for feed in room.feeds))
    assert dead_feeds(broken_room(room, (CUT,))) == dead
    assert dead_feeds(broken_room(room, (Broken(kind="circuit", what="life"),))) == frozenset()


def test_a_valve_that_hangs_on_a_board_shuts_with_it() -> None:
    room = with_loads(example("cellar"), ("valve", "life", (load("feed", 5.0),)))
    assert dead_feeds(broken_room(room, (Broken(kind="board", what="valve"),))) == {"drip"}


# --- a backup ---------------------------------------------------------------------------------------------------


def test_a_backup_that_takes_over_by_itself_keeps_the_air_until_it_is_empty() -> None:
    cut = ill("cellar_mended", CUT)
    assert [one.name for _, one in kept_loads(cut)] == ["air pump", "quarantine air pump"]
    assert dead_pumps(cut) == frozenset()
    # 80 W / 0.88 + 6 W = 96.9 W, 8.076 A at 12 V; aged to 0.8 and at 15 °C 0.97: 77.6 Ah of 100 Ah;
    # 20 h x (77.6 Ah / (8.076 A x 20 h))^1.15 = 8.61 h, half of which one takes out
    assert backup_lasts(cut) / 3600.0 == pytest.approx(4.304, abs=0.001)
    empty = ill("cellar_mended", CUT, EMPTY)
    assert dead_pumps(empty) == {"piston80", "small12"}
    assert backup_lasts(empty) == math.inf


def test_it_takes_over_from_a_tripped_circuit_too() -> None:
    room = ill("cellar_mended", Broken(kind="circuit", what="life"))
    assert dead_pumps(room) == frozenset()
    assert kept_loads(room) != ()


def test_a_backup_somebody_must_start_keeps_nothing_while_nobody_is_there() -> None:
    room = example("cellar_mended")
    assert room.power is not None
    assert room.power.backup is not None
    slow = replace(room.power, backup=replace(room.power.backup, by_itself=False))
    cut = broken_room(replace(room, power=slow), (CUT,))
    assert dead_pumps(cut) == {"piston80", "small12"}
    assert backup_lasts(cut) == math.inf


def test_an_empty_battery_alone_cuts_nothing() -> None:
    room = ill("cellar_mended", EMPTY)
    assert not power_is_cut(room)
    assert dead_pumps(room) == frozenset()


def test_one_load_of_a_board_can_be_kept_alone() -> None:
    room = example("cellar_mended")
    assert room.power is not None
    assert room.power.backup is not None
    alone = replace(room.power.backup, boards=(), loads=(("air", "quarantine air pump"),))
    cut = broken_room(replace(room, power=replace(room.power, backup=alone)), (CUT,))
    assert dead_pumps(cut) == {"piston80"}


def test_boards_keep_their_order_whatever_broke_first() -> None:
    parts = (Broken(kind="board", what="C lights"), Broken(kind="board", what="A lights"))
    boards: list[BoardPlace] = list(dead_boards(ill("cellar", *parts)))
    assert [board.id for board in boards] == ["A lights", "C lights"]
