"""A broken room: what breaking sets, that it touches nothing else, and what is refused with words."""

from __future__ import annotations

from dataclasses import fields, replace
from typing import get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tankwright.faults.breakable import can_break
from tankwright.faults.breaking import WITHOUT_END, broken_room
from tankwright.faults.listing import all_faults, pairs
from tankwright.room.model import Room
from tankwright.room.model_broken import Broken, BrokenKind

from .broken_rooms import example, studied

TOUCHES: dict[BrokenKind, str] = {
    "overflow": "tanks", "outfall": "outfalls", "feed valve": "feeds", "vat pump": "feeds",
    "mains pressure": "feeds", "mains off": "feeds", "air pump": "airs", "power": "airs", "board": "airs",
    "circuit": "airs", "device": "airs", "air tap": "airs", "diffuser": "airs", "heater off": "lives",
    "room heater": "climate", "room cooler": "climate", "lights": "power", "carbon": "feeds",
    "chloramine": "waters",
}  # fmt: skip
"""The one field of the room each thing may change beside `broken`; what is not listed changes no other."""

ROOMS = ("cellar_mended", "garage")
EVERY = [
    (name, part)
    for name in ROOMS
    for part in dict.fromkeys(
        part for fault in (*all_faults(studied(name)), *pairs(studied(name))) for part in fault.broken
    )
]
ONE_OF_EACH = list({(name, part.kind): (name, part) for name, part in EVERY}.values())


def _changed(before: Room, after: Room) -> set[str]:
    return {one.name for one in fields(Room) if getattr(before, one.name) != getattr(after, one.name)}


def _owners(room: Room, field: str) -> dict[str, object]:
    """The things in a field of the room, by the name a fault calls them by."""
    if field == "climate":
        assert room.climate is not None
        return {kept.space: kept for kept in room.climate.spaces}
    if field == "power":
        assert room.power is not None
        return {board.id: board for board in room.power.boards}
    return {str(getattr(one, "tank", None) or one.id): one for one in getattr(room, field)}


@pytest.mark.parametrize(("name", "part"), ONE_OF_EACH, ids=lambda one: getattr(one, "kind", one))
def test_breaking_changes_what_it_says_and_nothing_else(name: str, part: Broken) -> None:
    room = example(name)
    ill = broken_room(room, (part,))
    assert ill.broken == (part,)
    assert _changed(room, ill) <= {"broken", TOUCHES.get(part.kind, "broken")}
    assert room.broken == (), "the room that was given is as it was"


@pytest.mark.parametrize(("name", "part"), ONE_OF_EACH, ids=lambda one: getattr(one, "kind", one))
def test_only_the_thing_named_is_changed(name: str, part: Broken) -> None:
    room = example(name)
    field = TOUCHES.get(part.kind)
    if field is None or part.kind in {
        "mains pressure",
        "mains off",
        "air pump",
        "power",
        "board",
        "circuit",
        "device",
    }:
        return  # these reach every feed of a water point or every line of a pump
    before, after = _owners(room, field), _owners(broken_room(room, (part,)), field)
    assert [key for key in before if before[key] != after[key]] in ([part.what], [])


@settings(max_examples=60)
@given(st.data())
def test_the_order_of_two_breakings_does_not_matter(data: st.DataObject) -> None:
    name = data.draw(st.sampled_from(ROOMS))
    mine = [part for room, part in EVERY if room == name]
    first, second = data.draw(st.sampled_from(mine)), data.draw(st.sampled_from(mine))
    room = example(name)
    either = broken_room(broken_room(room, (first,)), (second,))
    assert either == broken_room(broken_room(room, (second,)), (first,))
    assert either == broken_room(room, (second, first))


def test_the_same_thing_breaks_once() -> None:
    room, part = example("cellar"), Broken(kind="overflow", what="A3", left=0.5)
    once = broken_room(room, (part,))
    assert broken_room(once, (part, part)) == once


@pytest.mark.parametrize("kind", [kind for kind in get_args(BrokenKind) if kind != "power"])
def test_what_is_not_there_is_refused_with_words_and_changes_nothing(kind: BrokenKind) -> None:
    room = example("cellar_mended")
    part = Broken(kind=kind, what="Nowhere", at="Nowhere")
    why = can_break(room, part)
    assert why is not None
    assert '"Nowhere"' in why
    assert broken_room(room, (part,)) == room


@pytest.mark.parametrize(
    ("part", "why"),
    [
        (Broken(kind="drain", what="main", at="main.99"), 'there is no node of drain main "main.99"'),
        (Broken(kind="feed line", what="drip", at="x"), 'there is no node of feed drip "x"'),
        (Broken(kind="feed outlet", what="drip", at="x"), 'there is no outlet of feed drip "x"'),
        (Broken(kind="vat pump", what="drip"), "feed drip has no pump"),
        (Broken(kind="air tap", what="ring", at="x"), 'there is no tap of air line ring "x"'),
        (Broken(kind="ring pipe", what="ring", at="x"), 'there is no node of air line ring "x"'),
        (Broken(kind="heater on", what="A1"), "tank A1 has no heater"),
        (Broken(kind="second overflow", what="A1"), "tank A1 has no second overflow"),
        (Broken(kind="room heater", what="laundry"), 'nothing heats "laundry"'),
        (Broken(kind="room cooler", what="cellar"), 'nothing cools "cellar"'),
        (Broken(kind="lights", what="air"), "board air carries no light"),
        (Broken(kind="pane", what="A1", at="lid"), 'there is no pane "lid"'),
        (Broken(kind="mains off", what="well"), 'there is no water point "well" that feeds a tank'),
        (Broken(kind="overflow", what="A1", left=-1.0), "what is left of its way must be a number, 0 or more"),
        (Broken(kind="overflow", what="A1", left=float("nan")), "what is left of its way must be a number, 0 or more"),
    ],
)  # fmt: skip
def test_the_refusal_says_what_is_missing(part: Broken, why: str) -> None:
    assert can_break(example("cellar"), part) == why


def test_a_tank_without_overflow_or_hose_has_none_to_break() -> None:
    room = example("cellar")
    bare = replace(room.tank("A3"), overflow=None, hose=None)
    room = replace(room, tanks=tuple(bare if tank.id == "A3" else tank for tank in room.tanks))
    assert can_break(room, Broken(kind="overflow", what="A3")) == "tank A3 has no overflow"
    assert can_break(room, Broken(kind="hose", what="A3")) == "tank A3 has no hose"


# --- what fields say --------------------------------------------------------------------------------------------


def test_half_an_overflow_is_half_its_open_share() -> None:
    room = example("cellar")
    ill = broken_room(room, (Broken(kind="overflow", what="A3", left=0.5),)).tank("A3")
    healthy = room.tank("A3")
    assert ill.overflow is not None
    assert healthy.overflow is not None
    assert ill.overflow.open_share.value == 0.5 * healthy.overflow.open_share.value


def test_a_valve_that_does_not_shut_runs_all_day() -> None:
    ill = broken_room(example("cellar"), (Broken(kind="feed valve", what="drip"),))
    assert ill.feeds[0].programs == (WITHOUT_END,)


def test_twice_the_pressure_is_twice_the_pressure_before_the_regulator() -> None:
    room = example("cellar")
    ill = broken_room(room, (Broken(kind="mains pressure", what="tap", left=2.0),))
    assert ill.feeds[0].source_pressure.value == 2.0 * room.feeds[0].source_pressure.value
    assert ill.feeds[0].regulated_to == room.feeds[0].regulated_to


def test_a_dead_pump_is_gone_from_its_ring_however_it_died() -> None:
    room = example("cellar")
    for part in (
        Broken(kind="air pump", what="piston80"), Broken(kind="power", what=""), Broken(kind="board", what="air"),
        Broken(kind="circuit", what="life"), Broken(kind="device", what="one RCD"),
    ):  # fmt: skip
        assert broken_room(room, (part,)).airs[0].pumps == ()
    assert broken_room(room, (Broken(kind="circuit", what="light"),)).airs[0].pumps == ("piston80",)


def test_a_tap_that_fell_out_is_an_open_hole_of_its_bore() -> None:
    room = example("cellar")
    tap = next(one for one in room.airs[0].taps if one.tank == "A3")
    ill = broken_room(room, (Broken(kind="air tap", what="ring", at=tap.id),))
    hole = next(one for one in ill.airs[0].taps if one.id == tap.id)
    assert (hole.open, hole.tank, hole.bore) == (True, None, tap.bore)


def test_a_half_clogged_diffuser_loses_four_times_as_much() -> None:
    room = example("cellar")
    tap = next(one for one in room.airs[0].taps if one.tank == "A3")
    assert tap.diffuser_loss is not None
    ill = broken_room(room, (Broken(kind="diffuser", what="ring", at=tap.id, left=0.5),))
    clogged = next(one for one in ill.airs[0].taps if one.id == tap.id)
    assert clogged.diffuser_loss is not None
    assert clogged.diffuser_loss.value == 4.0 * tap.diffuser_loss.value


@pytest.mark.parametrize(("had", "left"), [(1, None), (2, 1)])
def test_one_heater_that_fails_leaves_the_others(had: int, left: int | None) -> None:
    room = example("cellar_mended")
    life = next(one for one in room.lives if one.heater is not None)
    assert life.heater is not None
    said = replace(life, heater=replace(life.heater, count=had))
    room = replace(room, lives=tuple(said if one is life else one for one in room.lives))
    ill = broken_room(room, (Broken(kind="heater off", what=life.tank),))
    heater = next(one for one in ill.lives if one.tank == life.tank).heater
    assert (None if heater is None else heater.count) == left
