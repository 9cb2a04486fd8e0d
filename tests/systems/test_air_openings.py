"""Taps turned back or shut by the plan: the others get more, their own tank less, and none is left unsaid."""

from __future__ import annotations

import pytest
from hypothesis import given as hypothesis_given
from hypothesis import settings
from hypothesis import strategies as st

from tankwright.room.model import Room
from tankwright.systems.air import solve_air
from tankwright.systems.air_network import LEAST_OPENING, air_network, tap_laws

from .air_rooms import make_pump, make_ring, make_tank, turned

SOLVED = 1e-9
"""Share by which a solved flow may be off: the solver's own tolerance."""

TANKS = tuple(make_tank(f"A{i}", water=0.2 + 0.02 * i) for i in range(6))
ROOM = make_ring(TANKS, taps=24, tap={"bore": 0.0012})


def flows(room: Room) -> dict[str, float]:
    return {tank.tank: tank.flow for tank in solve_air(room, walk_through=False).tanks}


def test_shutting_one_tap_raises_the_air_of_every_other_tank():
    before = flows(ROOM)
    after = flows(turned(ROOM, {"A2": 0.0}))
    assert set(before) - set(after) == {"A2"}
    assert all(after[name] > before[name] for name in after)


def test_a_tap_half_open_passes_as_an_orifice_of_half_the_area():
    laws = tap_laws(turned(ROOM, {"A2": 0.5}).airs[0], 0.0, 1e-8)
    tubes = {
        pipe.id: pipe for pipe in air_network(turned(ROOM, {"A2": 0.5}).airs[0], (make_pump(),), laws).pipes
    }
    full = {law.tank: law.full_loss for law in laws}
    by_tank = {law.tank: tubes[f"tube {law.tap.id}"].minor_loss for law in laws}
    # the loss of an orifice goes with the inverse square of its area
    assert by_tank["A2"] == pytest.approx(4.0 * full["A2"])
    assert by_tank["A1"] == pytest.approx(full["A1"])


@settings(max_examples=30, deadline=None)
@hypothesis_given(
    st.lists(st.floats(0.1, 0.45), min_size=2, max_size=6),
    st.floats(0.001, 1.0),
    st.floats(0.001, 1.0),
    st.floats(0.0008, 0.003),
)
def test_opening_a_tap_gives_its_tank_more_and_every_other_less(waters, one, other, bore):
    tanks = tuple(make_tank(f"A{i}", height=0.5, water=water) for i, water in enumerate(waters))
    room = make_ring(tanks, taps=4 * len(tanks), tap={"bore": bore})
    less, more = (flows(turned(room, {"A0": share})) for share in sorted((one, other)))
    shut = flows(turned(room, {"A0": 0.0}))
    assert less["A0"] <= more["A0"] * (1.0 + SOLVED)
    for name in shut:
        assert shut[name] * (1.0 + SOLVED) >= less[name]
        assert less[name] * (1.0 + SOLVED) >= more[name]


def test_a_tap_said_to_be_fully_open_is_as_one_of_which_nothing_is_said():
    assert flows(turned(ROOM, {tank.id: 1.0 for tank in TANKS})) == flows(ROOM)


def test_a_shut_tap_is_told_as_no_air_and_not_as_not_computed():
    result = solve_air(turned(ROOM, {"A2": 0.0}))
    assert result.without_air == ("A2",)
    assert result.not_computed == ()
    assert result.tank("A2") is None
    settled = result.runs[0].settled
    assert settled is not None
    assert set(settled.solution.outlet_flows) - {"bleed"} == {tap.tap for tap in result.runs[0].taps}


def test_with_every_tap_shut_the_pump_stands_past_the_end_of_its_curve():
    result = solve_air(turned(ROOM, {tank.id: 0.0 for tank in TANKS}))
    assert result.not_computed == ()
    assert result.without_air == tuple(tank.id for tank in TANKS)
    (work,) = result.runs[0].pumps
    assert work.flow == result.runs[0].total_flow == 0.0
    # 85, 70 and 48 L/min at 0, 10 and 20 kPa: carried on, the last line ends at 20 + 48 / 2.2 kPa
    assert work.pressure == pytest.approx(20e3 + 48 / 2.2 * 1e3)
    assert work.extrapolated


def test_the_least_that_can_be_said_open_still_solves():
    result = solve_air(turned(ROOM, {tank.id: 1e-12 for tank in TANKS}))
    assert result.not_computed == ()
    assert all(0.0 < tap.flow < 1e-3 / 60 for tap in result.runs[0].taps if tap.tank)  # below 1 L/min
    assert {tap.stands_open for tap in result.runs[0].taps if tap.tank} == {LEAST_OPENING}


def test_how_a_tap_is_to_be_set_does_not_depend_on_how_it_stands():
    now = {tap.tank: tap.opening for tap in solve_air(ROOM).runs[0].taps if tap.tank}
    then = {tap.tank: tap.opening for tap in solve_air(turned(ROOM, {"A2": 0.3})).runs[0].taps if tap.tank}
    assert now == then


def test_pressures_along_the_way_of_a_turned_tap_add_up_to_the_ring_pressure():
    for tap in solve_air(turned(ROOM, {"A2": 0.3})).runs[0].taps:
        parts = tap.depth_pressure + tap.valve_loss + tap.tap_loss + tap.tube_loss + tap.diffuser_loss
        if tap.tank:
            assert tap.ring_pressure == pytest.approx(parts)


def test_a_fallen_tube_leaves_its_tap_as_far_open_as_it_stood():
    def fallen(room: Room) -> float:
        (case,) = [one for one in solve_air(room).runs[0].scenarios if one.name.startswith("one tube")]
        return case.pump_pressure

    assert fallen(turned(ROOM, {tank.id: 0.3 for tank in TANKS})) > fallen(ROOM)
