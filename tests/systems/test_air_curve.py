"""The pumps' curve and the room's curve of an air run, against the network held at each pressure."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest

from tankwright.networks.model import Source
from tankwright.networks.solver import solve
from tankwright.room.model import Room
from tankwright.systems.air import solve_air
from tankwright.systems.air_curve import air_curves
from tankwright.systems.air_model import AirRunResult
from tankwright.systems.air_network import curve_flow

from .air_rooms import L_PER_MIN, make_pump, make_ring, make_tank, turned

TANKS = tuple(make_tank(f"A{number}", water=0.2 + 0.02 * number) for number in range(6))


def solved(room: Room) -> AirRunResult:
    return solve_air(room).runs[0]


def held_at(result: AirRunResult, pressure: float) -> float:
    """What the run takes when its inlet is held at a pressure: one plain solve."""
    source = Source(id="held", node=result.network.sources[0].node, fixed_pressure=pressure)
    return solve(replace(result.network, sources=(source,))).source_flows["held"]


@pytest.mark.parametrize("spare", [0, 3])
def test_every_point_of_the_rooms_curve_is_what_the_network_takes_at_its_pressure(spare: int) -> None:
    room = make_ring(TANKS, taps=24, open_spare=spare)
    result = solved(room)
    curve = air_curves(result, room.pumps).room
    assert len(curve) > 8
    for pressure, flow in curve[1:]:
        # both are solved to 1e-10 of the whole flow; blocked taps leak less than 1e-9 L/min
        assert flow == pytest.approx(held_at(result, pressure), rel=1e-6, abs=1e-9 * L_PER_MIN)


def test_the_curves_meet_where_the_run_works() -> None:
    room = make_ring(TANKS, taps=24, open_spare=2)
    result = solved(room)
    curves = air_curves(result, room.pumps)
    works = (result.pumps[0].pressure, result.total_flow)
    assert works in curves.room
    assert curve_flow(room.pumps[0].curve, works[0]) == pytest.approx(works[1], rel=1e-6)


def test_both_curves_run_by_rising_pressure_from_none_on() -> None:
    room = turned(make_ring(TANKS, taps=24), {"A1": 0.3, "A2": 0.0})
    curves = air_curves(solved(room), room.pumps)
    for points in (curves.pumps, curves.room):
        assert points[0][0] == 0.0
        assert all(low[0] <= high[0] for low, high in pairwise(points))
    assert all(low[1] <= high[1] * (1 + 1e-9) for low, high in pairwise(curves.room))
    assert curves.pumps[-1][1] == pytest.approx(0.0, abs=1e-9)


def test_pumps_together_give_the_sum_at_every_pressure() -> None:
    pumps = (make_pump("one", highest=22e3, lowest=1e3), make_pump("two", highest=24e3, lowest=2e3),
             make_pump("spare", reserve=True))  # fmt: skip
    room = make_ring(TANKS, taps=24, pumps=pumps)
    curves = air_curves(solved(room), room.pumps)
    assert curves.pumps[0][1] == pytest.approx(2 * 85 * L_PER_MIN)
    assert (curves.lowest, curves.highest) == (2e3, 22e3)


def test_a_ring_with_every_tap_shut_takes_nothing() -> None:
    room = turned(make_ring(TANKS, taps=24), dict.fromkeys((tank.id for tank in TANKS), 0.0))
    curves = air_curves(solved(room), room.pumps)
    assert all(flow == pytest.approx(0.0, abs=1e-6 * L_PER_MIN) for _, flow in curves.room)
