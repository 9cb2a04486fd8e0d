"""Water on a floor: litres worked by hand, moments found on the very course, plugs reached and what they trip."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankwright.faults.breaking import broken_room
from tankwright.faults.electric import EMPTY
from tankwright.faults.floor import (
    SPILL,
    consequences,
    crossing,
    floor_area,
    floor_depth,
    floor_harms,
    floor_takes,
    least_depth,
    leaves_by_door,
    wet_area,
)
from tankwright.origin import Known, Origin
from tankwright.room.model import Box, Room, Space
from tankwright.room.model_broken import Broken
from tankwright.study import Study

from .broken_rooms import course, example

L = 1e-3


def known(value: float) -> Known:
    return Known(value, Origin.GIVEN)


def bare(**changes: object) -> Room:
    """A room of 3 m by 2 m without a door."""
    box = Box(x0=0.0, y0=0.0, z0=0.0, x1=3.0, y1=2.0, z1=2.4)
    space = replace(Space(id="cellar", box=box, floor="slab"), **changes)  # type: ignore[arg-type]
    return Room(title="", display="metric", spaces=(space,), racks=(), tanks=())


def with_board(room: Room, name: str, **changes: object) -> Room:
    """The room with one board changed."""
    assert room.power is not None
    boards = tuple(replace(one, **changes) if one.id == name else one for one in room.power.boards)  # type: ignore[arg-type]
    return replace(room, power=replace(room.power, boards=boards))


# --- how wide, how deep -----------------------------------------------------------------------------------------


def test_the_floor_of_the_cellar_is_what_stands_free_of_it() -> None:
    # 5.2 m x 3.4 m, a chimney of 0.5 m x 0.4 m, legs of 45 mm square: six each under A, B, C, D, four under E
    assert floor_area(example("cellar"), "cellar") == pytest.approx(5.2 * 3.4 - 0.5 * 0.4 - 28 * 0.045**2)
    assert floor_area(example("cellar"), "laundry") == pytest.approx(2.1 * 1.8 - 4 * 0.045**2)


def test_a_tank_on_the_floor_takes_its_place_and_one_on_a_rack_does_not() -> None:
    room = example("cellar")
    tank = room.tank("A1")
    low = replace(tank, box=replace(tank.box, z0=0.0))
    on_floor = replace(room, tanks=tuple(low if one is tank else one for one in room.tanks))
    assert floor_area(room, "cellar") - floor_area(on_floor, "cellar") == pytest.approx(0.9 * 0.38)


def test_ten_litres_wet_under_four_square_metres() -> None:
    # 2 x sqrt(0.07274 / (998.2 x 9.80665)) x sin(30.08 degrees) = 2.7324 mm; 10 L over that
    assert least_depth(bare()) == pytest.approx(2.7324e-3, rel=1e-4)
    assert wet_area(bare(), "cellar", 10 * L) == pytest.approx(3.660, rel=1e-3)
    assert floor_depth(bare(), "cellar", 10 * L) == least_depth(bare())


def test_sixty_litres_on_six_square_metres_stand_a_centimetre_deep() -> None:
    assert wet_area(bare(), "cellar", 60 * L) == 6.0
    assert floor_depth(bare(), "cellar", 60 * L) == pytest.approx(0.010)
    assert floor_depth(bare(), "cellar", 0.0) == 0.0
    assert floor_depth(bare(), "attic", 60 * L) == 0.0


def test_a_door_lets_it_run_elsewhere_above_its_threshold() -> None:
    room = example("cellar")
    assert leaves_by_door(room, "cellar") == pytest.approx(0.005 * floor_area(room, "cellar"))
    assert floor_depth(room, "cellar", 40.0) == 0.005
    assert leaves_by_door(bare(), "cellar") == math.inf


def test_what_the_owner_says_of_the_floor_is_taken() -> None:
    high = replace(example("cellar"), own=(replace(known(0.03), key="floor.threshold"),))
    assert floor_depth(high, "cellar", 40.0) == 0.03
    wet = replace(bare(), own=(replace(known(math.pi / 2), key="floor.contact_angle"),))
    assert least_depth(wet) == pytest.approx(3.855e-3, rel=1e-3)  # sqrt(2) capillary lengths of 2.726 mm


@given(st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_the_spread_holds_all_the_water_and_more_of_it_is_never_shallower(one: float, other: float) -> None:
    room = bare()
    low, high = sorted((one, other))
    assert floor_depth(room, "cellar", low) <= floor_depth(room, "cellar", high)
    assert wet_area(room, "cellar", low) <= wet_area(room, "cellar", high) <= floor_area(room, "cellar")
    assert wet_area(room, "cellar", high) * floor_depth(room, "cellar", high) == pytest.approx(high)


# --- floor drains -----------------------------------------------------------------------------------------------


def test_a_floor_drain_takes_what_is_assumed_of_a_trapped_one() -> None:
    assert floor_takes(example("cellar")) == {"cellar": 4.0e-4, "laundry": 4.0e-4}


def test_an_outfall_above_the_floor_takes_nothing_off_it() -> None:
    assert floor_takes(example("hall")) == {"hall": 0.0}


def test_a_stated_capacity_is_the_most_it_takes() -> None:
    room = example("cellar")
    slow = tuple(replace(one, capacity=known(1e-4)) for one in room.outfalls)
    assert floor_takes(replace(room, outfalls=slow))["cellar"] == 1e-4


@pytest.mark.parametrize("left", [0.0, 0.5])
def test_a_blocked_floor_drain_takes_what_is_left_of_it(left: float) -> None:
    ill = broken_room(example("cellar"), (Broken(kind="outfall", what="floor_drain", left=left),))
    assert floor_takes(ill) == {"cellar": left * 4.0e-4, "laundry": 4.0e-4}


# --- harm -------------------------------------------------------------------------------------------------------


def test_half_a_litre_over_the_rim_is_water_on_the_floor_at_the_very_moment() -> None:
    room = example("cellar")
    # nothing for an hour, then 4 L/h for an hour: half a litre after 7.5 minutes of it
    water = course(
        room, [0.0, 3600.0, 7200.0], spilled={"A3": [0.0, 0.0, 4 * L]}, floor={"cellar": [0.0, 0.0, 4 * L]}
    )
    (harm,) = floor_harms(Study(room=room), room, water)
    assert (harm.kind, harm.where, harm.value) == ("floor", "A3", SPILL)
    assert harm.time == harm.earliest == harm.latest == pytest.approx(3600.0 + 450.0)


def test_less_than_half_a_litre_is_a_splash() -> None:
    room = example("cellar")
    water = course(room, [0.0, 3600.0], spilled={"A3": [0.0, 0.4 * L]}, floor={"cellar": [0.0, 0.4 * L]})
    assert floor_harms(Study(room=room), room, water) == ()


def test_water_out_of_an_open_line_counts_though_the_floor_drain_takes_it() -> None:
    room = broken_room(example("cellar"), (Broken(kind="feed line", what="drip", at="inlet"),))
    # 0.2 L/s from the tap, none of it reaches a tank, the gully takes it all
    water = course(
        room, [0.0, 100.0], sources=("tap",), came=np.array([[0.0], [20 * L]]), backwards=np.zeros((2, 1)),
        by_feed={"drip": np.zeros((1, len(room.tanks)))},
    )  # fmt: skip
    (harm,) = floor_harms(Study(room=room), room, water)
    assert (harm.kind, harm.where, harm.time) == ("floor", "laundry", pytest.approx(2.5))


def test_water_that_reached_its_tanks_is_not_on_the_floor() -> None:
    room = broken_room(example("cellar"), (Broken(kind="feed line", what="drip", at="inlet"),))
    into = np.zeros((1, len(room.tanks)))
    into[0, 0] = 0.2 * L
    water = course(
        room, [0.0, 100.0], sources=("tap",), came=np.array([[0.0], [20 * L]]), backwards=np.zeros((2, 1)),
        by_feed={"drip": into},
    )  # fmt: skip
    assert floor_harms(Study(room=room), room, water) == ()


def test_a_loose_board_on_the_floor_is_reached_once_the_floor_is_wet_all_over() -> None:
    room = with_board(example("cellar"), "air", height=known(0.0))
    filled = least_depth(room) * floor_area(room, "cellar")
    water = course(room, [0.0, 1000.0], floor={"cellar": [0.0, 2 * filled]})
    harm = next(one for one in floor_harms(Study(room=room), room, water) if one.kind == "plug")
    assert (harm.where, harm.time) == ("air", pytest.approx(500.0))
    assert harm.earliest == pytest.approx(1000.0 * 1e-5 / (2 * filled))
    assert harm.latest == harm.time


def test_water_that_leaves_under_the_door_does_not_reach_a_board_above_the_threshold() -> None:
    room = with_board(example("cellar"), "air", height=known(0.02))
    water = course(room, [0.0, 1000.0], floor={"cellar": [0.0, 5.0]})
    assert not [one for one in floor_harms(Study(room=room), room, water) if one.kind == "plug"]


def test_without_a_door_it_rises_to_any_board() -> None:
    room = with_board(example("cellar"), "air", height=known(0.3))
    room = replace(room, spaces=tuple(replace(one, openings=()) for one in room.spaces))
    volume = 0.3 * floor_area(room, "cellar")
    water = course(room, [0.0, 1000.0], floor={"cellar": [0.0, 2 * volume]})
    harm = next(one for one in floor_harms(Study(room=room), room, water) if one.where == "air")
    assert harm.time == pytest.approx(500.0)


@pytest.mark.parametrize(("loop", "reached"), [(True, False), (False, True), (None, True)])
def test_a_board_below_a_spilling_rim_of_its_rack_is_run_down_on(loop: bool | None, reached: bool) -> None:
    room = with_board(example("cellar"), "A lights", height=known(0.9), drip_loop=loop)
    water = course(room, [0.0, 1000.0], spilled={"A6": [0.0, 1 * L]}, floor={"cellar": [0.0, 1 * L]})
    plugs = [one for one in floor_harms(Study(room=room), room, water) if one.kind == "plug"]
    assert [one.where for one in plugs] == (["A lights"] if reached else [])
    assert all(one.latest == math.inf for one in plugs), "whether it takes that way nobody knows"


def test_a_board_above_the_rim_or_on_another_rack_stays_dry() -> None:
    room = example("cellar")
    water = course(room, [0.0, 1000.0], spilled={"A1": [0.0, 9 * L]}, floor={"cellar": [0.0, 9 * L]})
    for name in ("A lights", "B lights"):
        low = with_board(room, name, height=known(1.0), drip_loop=False)
        assert not [one for one in floor_harms(Study(room=low), low, water) if one.kind == "plug"]


# --- what it leads to -------------------------------------------------------------------------------------------


def test_a_wet_plug_trips_the_device_of_its_circuit() -> None:
    room = with_board(example("cellar"), "air", height=known(0.0))
    filled = least_depth(room) * floor_area(room, "cellar")
    water = course(room, [0.0, 1000.0], floor={"cellar": [0.0, 2 * filled]})
    study = Study(room=room)
    assert consequences(study, room, water) == (
        (pytest.approx(500.0), Broken(kind="device", what="one RCD")),
    )
    dark = broken_room(room, (Broken(kind="power", what=""),))
    assert consequences(study, dark, water) == (), "nothing trips that has no power"


def test_nothing_trips_where_no_device_would() -> None:
    room = with_board(example("cellar"), "air", height=known(0.0))
    assert room.power is not None
    circuits = tuple(replace(one, rcd=None) for one in room.power.circuits)
    room = replace(room, power=replace(room.power, circuits=circuits))
    water = course(room, [0.0, 1000.0], floor={"cellar": [0.0, 1.0]})
    assert consequences(Study(room=room), room, water) == ()
    assert [one.kind for one in floor_harms(Study(room=room), room, water) if one.where == "air"] == ["plug"]


def test_an_air_pump_on_the_floor_drowns() -> None:
    room = example("cellar")
    room = replace(room, pumps=tuple(replace(one, height=known(0.004)) for one in room.pumps))
    water = course(room, [0.0, 1000.0], floor={"cellar": [0.0, 0.008 * floor_area(room, "cellar")]})
    assert consequences(Study(room=room), room, water) == (
        (pytest.approx(500.0), Broken(kind="air pump", what="piston80")),
    )


def test_a_backup_that_took_over_runs_empty() -> None:
    room = example("cellar_mended")
    study = Study(room=room)
    cut = broken_room(room, (Broken(kind="power", what=""),))
    still = course(room, [0.0, 86_400.0])
    ((time, part),) = consequences(study, cut, still)
    assert part == EMPTY
    assert 2 * 3600.0 < time < 24 * 3600.0
    assert consequences(study, cut, still, begun=3600.0)[0][0] == pytest.approx(time - 3600.0)
    assert consequences(study, broken_room(room, (Broken(kind="power", what=""), EMPTY)), still) == ()
    assert consequences(study, room, still) == ()


def test_a_course_that_starts_there_crosses_at_once() -> None:
    assert crossing(np.array([0.0, 1.0]), np.array([2.0, 3.0]), 1.0) == 0.0
    assert crossing(np.array([0.0, 1.0]), np.array([0.0, 0.5]), 1.0) == math.inf
