"""Watts, amperes, kilowatt-hours, and what stops with what."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given as hypothesis_given
from hypothesis import settings
from hypothesis import strategies as st

from tankwright.physics.circuits import continuous_share
from tankwright.room.model import PumpPlace, Room
from tankwright.systems.power import Stop, solve_power

from .plain_rooms import given, make_board, make_circuit, make_load, make_room, powered


def test_a_plan_without_power_is_not_described_and_never_fine():
    result = solve_power(make_room())
    assert result.described is False
    assert result.not_computed == (("power", "the plan names no circuits, boards or loads"),)


@pytest.mark.parametrize(
    ("breaker", "voltage", "whole_watts", "lasting_watts"),
    [
        (15.0, 120.0, 1800.0, 1440.0),
        (20.0, 120.0, 2400.0, 1920.0),
    ],  # NEC 210.20(A): 125 % of continuous loads
)
def test_us_circuits_carry_eighty_per_cent_of_their_rating_for_hours(
    breaker, voltage, whole_watts, lasting_watts
):
    circuits = (make_circuit("life", breaker),)
    lasting = make_board("a", make_load(power=lasting_watts, hours=3.0))
    (circuit,) = solve_power(powered(lasting, voltage=voltage, circuits=circuits)).circuits
    assert circuit.draw.weighted_share == pytest.approx(1.0)
    brief = make_board("a", make_load(power=whole_watts, hours=2.9))
    (circuit,) = solve_power(powered(brief, voltage=voltage, circuits=circuits)).circuits
    assert circuit.draw.weighted_share == circuit.draw.share == pytest.approx(1.0)


@pytest.mark.parametrize(("voltage", "watts"), [(230.0, 2300.0), (240.0, 2400.0)])  # 10 A board, P = U I
def test_a_ten_ampere_board_is_full_at_ten_amperes(voltage, watts):
    (board,) = solve_power(powered(make_board("a", make_load(power=watts)), voltage=voltage)).boards
    assert (board.draw.current, board.draw.share) == (pytest.approx(10.0), pytest.approx(1.0))


def test_the_weighted_share_is_the_formula_of_the_shelf():
    board = make_board("a", make_load(power=1000.0, hours=10), make_load(power=300.0, hours=1))
    (circuit,) = solve_power(powered(board)).circuits
    expected = continuous_share(
        continuous_current=1000 / 230, other_current=300 / 230, rated_current=10.0, continuous_factor=1.25
    )
    assert circuit.draw.weighted_share == pytest.approx(expected)


def test_a_day_of_six_lights_and_a_pump():
    board = make_board("a", make_load(count=6), make_load("pump", 71.0, hours=24.0, does="air"))
    (draw,) = [board.draw for board in solve_power(powered(board)).boards]
    assert draw.energy_a_day / 3.6e6 == pytest.approx(6 * 0.018 * 10 + 0.071 * 24)


def test_boards_add_up_to_their_circuit_and_circuits_to_their_device():
    circuits = (make_circuit("life", device="one"), make_circuit("light", device="one"))
    boards = (
        make_board("a", make_load(power=100.0)),
        make_board("b", make_load(power=40.0)),
        make_board("c", make_load(power=7.0), circuit="light"),
    )
    result = solve_power(powered(*boards, circuits=circuits))
    assert [circuit.draw.power for circuit in result.circuits] == [140.0, 7.0]
    (device,) = result.devices
    assert (device.circuit, device.draw.power, device.draw.share) == ("one", 147.0, None)
    assert result.total is not None
    assert result.total.power == 147.0


def stops_of(room: Room) -> dict[tuple[str, str], Stop]:
    return {(stop.kind, stop.id): stop for stop in solve_power(room).stops}


def test_a_device_stops_everything_behind_it_and_a_board_only_itself():
    circuits = (make_circuit("life", device="one"), make_circuit("light", device="one"))
    air = make_board("a", make_load("pump", does="air", serves=("A1", "A3")))
    light = make_board("b", make_load(), circuit="light")
    stops = stops_of(powered(air, light, circuits=circuits))
    assert dict(stops["device", "one"].does) == {"air": ("A1", "A3"), "light": ("A1", "A2", "A3", "A4")}
    assert dict(stops["breaker", "life"].does) == {"air": ("A1", "A3")}
    assert dict(stops["board", "b"].does) == {"light": ("A1", "A2", "A3", "A4")}
    assert not stops["board", "b"].stops("air")


def test_tanks_nobody_named_are_those_of_the_boards_rack_or_none():
    stops = stops_of(powered(make_board("a", make_load(serves=())), make_board("b", make_load(), rack=None)))
    assert dict(stops["board", "a"].does) == {"light": ("A1", "A2", "A3", "A4")}
    assert dict(stops["board", "b"].does) == {"light": ()}


def test_the_highest_wet_place_of_a_rack_is_its_top_rim():
    (board,) = solve_power(powered(make_board("a", make_load()))).boards
    assert (board.highest_wet, board.wettest) == (pytest.approx(1.25), "A4")
    assert board.lowest_wet == pytest.approx(0.40 + 0.30 - 0.07)  # the centre of the lowest hole


def test_a_board_on_no_rack_knows_of_no_water():
    (board,) = solve_power(powered(make_board("a", make_load(), rack=None))).boards
    assert board.highest_wet is None


def test_an_unknown_circuit_and_a_dead_supply_are_named():
    room = powered(make_board("a", make_load(), circuit="nowhere"), voltage=0.0)
    result = solve_power(room)
    assert {subject for subject, _ in result.not_computed} == {"board a", "power"}
    assert result.boards[0].draw.share is None


def test_a_rating_of_nothing_gives_no_share():
    (board,) = solve_power(powered(make_board("a", make_load(), rating=given(0.0)))).boards
    assert board.draw.share is None


@settings(max_examples=40, deadline=None)
@hypothesis_given(st.lists(st.tuples(st.floats(0, 3000), st.integers(1, 20), st.floats(0.1, 24)), max_size=6))
def test_order_is_of_no_matter_and_another_load_never_draws_less(loads):
    made = [
        make_load(f"load {n}", watts, count=many, hours=hours) for n, (watts, many, hours) in enumerate(loads)
    ]
    one = solve_power(powered(make_board("a", *made))).boards[0].draw
    other = solve_power(powered(make_board("a", *reversed(made)))).boards[0].draw
    more = solve_power(powered(make_board("a", *made, make_load()))).boards[0].draw
    assert one.power == pytest.approx(other.power)
    assert more.current >= one.current
    assert one.continuous_current <= one.current + 1e-9
    assert one.energy_a_day <= one.power * 86400 + 1e-6


def test_a_pump_that_hangs_on_no_board_is_named():
    room = powered(make_board("a", make_load()))
    pump = make_pump()
    assert solve_power(replace(room, pumps=(pump,))).unpowered == ("piston",)
    plugged = powered(make_board("a", make_load("pump", 71.0, does="air", pump="piston")))
    assert solve_power(replace(plugged, pumps=(pump,))).unpowered == ()


def make_pump() -> PumpPlace:
    return PumpPlace(
        id="piston", place=None, height=given(2.0), curve=((0.0, 0.001),), lowest_pressure=None,
        highest_pressure=None, power=given(71.0), reserve=False,
    )  # fmt: skip
