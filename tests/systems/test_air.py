"""The air system: what every tap gets, how taps are set, what more can be carried, what runs back."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given as hypothesis_given
from hypothesis import settings
from hypothesis import strategies as st

from tankwright.networks.model import Outlet
from tankwright.networks.solver import solve
from tankwright.systems.air import solve_air
from tankwright.systems.air_network import (
    air_network,
    as_free,
    curve_end,
    curve_flow,
    merge_series,
    orifice_coefficient,
    tap_laws,
)
from tankwright.systems.run_network import nodes_and_pipes

from .air_rooms import L_PER_MIN, given, make_pump, make_ring, make_tank, make_tap

TAP_TABLE = [  # orifice taps, Cd 0.62, air at 20 °C: L/min at 0.5, 1 and 2 kPa, computed beside the sources
    (0.0005, 0.21, 0.29, 0.41),
    (0.0008, 0.53, 0.75, 1.06),
    (0.0010, 0.83, 1.17, 1.65),
    (0.0015, 1.86, 2.63, 3.72),
    (0.0020, 3.3, 4.7, 6.6),
    (0.0030, 7.4, 10.5, 14.9),
]


def test_open_taps_pass_what_the_orifice_table_says():
    for bore, *flows in TAP_TABLE:
        for pressure, printed in zip((500.0, 1000.0, 2000.0), flows, strict=True):
            computed = orifice_coefficient(bore) * math.sqrt(pressure) / L_PER_MIN
            # the table counts air 5 % denser (106 kPa absolute) and its expansion: 2 to 3 % less
            assert computed == pytest.approx(printed, rel=0.04), (bore, pressure)


def test_water_depths_ask_for_the_tabled_pressures():
    # hydrostatics at 998.2 kg/m3: 1.958 kPa at 20 cm, 2.937 at 30, 3.916 at 40, 4.894 at 50
    for depth, printed in ((0.20, 1.958), (0.30, 2.937), (0.40, 3.916), (0.50, 4.894)):
        tank = make_tank("A1", height=0.7, water=depth + 0.03)
        room = make_ring((tank,), taps=4)
        tap = solve_air(room).runs[0].taps[0]
        assert round(tap.depth_pressure / 1000, 3) == pytest.approx(printed, abs=0.0011)  # last printed digit


def test_pressures_along_one_way_add_up_to_the_ring_pressure():
    tanks = tuple(make_tank(f"A{i}", water=0.2 + 0.02 * i) for i in range(6))
    run = solve_air(make_ring(tanks, taps=24, check_valves=True)).runs[0]
    for tap in run.taps:
        total = tap.depth_pressure + tap.valve_loss + tap.tap_loss + tap.tube_loss + tap.diffuser_loss
        assert tap.ring_pressure == pytest.approx(total)
        assert tap.tube_loss > 0.0


def test_the_tube_loses_what_laminar_flow_loses():
    # 4 mm tube: 48 Pa/m per L/min (laminar, air at 20 °C)
    tanks = (make_tank("A1"),)
    room = make_ring(tanks, taps=4, tap={"bore": 0.0006})
    tap = solve_air(room).runs[0].taps[0]
    flow = tap.flow / L_PER_MIN
    reynolds = 4 * tap.flow / (math.pi * 0.004 * 1.506e-5)
    assert reynolds < 2000
    denser = 1 + (tap.depth_pressure / 101325)
    assert tap.tube_loss == pytest.approx(
        48.0 * 1.5 * flow / denser, rel=0.02
    )  # 48 is printed to two figures


def test_what_the_pump_gives_is_what_the_taps_take():
    tanks = tuple(make_tank(f"A{i}") for i in range(10))
    run = solve_air(make_ring(tanks, taps=40, open_spare=3)).runs[0]
    assert sum(tap.flow for tap in run.taps) == pytest.approx(run.total_flow)
    assert run.total_flow == pytest.approx(sum(work.flow for work in run.pumps))
    work = run.pumps[0]
    assert work.flow == pytest.approx(curve_flow(make_pump().curve, work.pressure))


def test_a_deep_tap_gets_nothing_when_the_ring_holds_less_than_its_water():
    tanks = (make_tank("deep", height=0.66, water=0.62), *(make_tank(f"A{i}", water=0.2) for i in range(5)))
    weak = make_pump(curve=((0.0, 20.0), (3000.0, 10.0), (4500.0, 1.0)), highest=None)
    run = solve_air(make_ring(tanks, taps=24, pumps=(weak,))).runs[0]
    deep = next(tap for tap in run.taps if tap.tank == "deep")
    assert deep.flow == 0.0
    assert deep.depth_pressure > deep.ring_pressure
    assert all(tap.flow > 0.0 for tap in run.taps if tap.tank != "deep")


def test_set_taps_give_every_tank_exactly_its_target():
    tanks = tuple(make_tank(f"A{i}", water=0.2 + 0.03 * (i % 5), height=0.4) for i in range(20))
    run = solve_air(make_ring(tanks, taps=80, open_spare=4)).runs[0]
    assert run.settled is not None
    for tap in run.taps:
        if tap.tank:
            assert 0.0 < tap.opening < 1.0
            assert tap.set_flow == pytest.approx(tap.wanted, rel=1e-6)
    deep = max(run.taps, key=lambda tap: tap.depth_pressure)
    shallow = min((tap for tap in run.taps if tap.tank), key=lambda tap: tap.depth_pressure)
    assert deep.opening > shallow.opening


def test_set_taps_with_a_bleed_hold_the_pump_at_its_limit():
    tanks = tuple(make_tank(f"A{i}") for i in range(5))
    run = solve_air(make_ring(tanks, taps=20, pumps=(make_pump(highest=10e3),))).runs[0]
    settled = run.settled
    assert settled.bleed == pytest.approx(70 * L_PER_MIN - 5 * L_PER_MIN, rel=1e-6)
    assert settled.pump_pressure == pytest.approx(10e3, rel=1e-6)
    assert settled.solution.outlet_flows["bleed"] == pytest.approx(settled.bleed, rel=1e-6)
    assert all(tap.set_flow == pytest.approx(tap.wanted, rel=1e-6) for tap in run.taps)
    assert settled.dead_end_pressure == pytest.approx(20e3 + 48 / 22 * 10e3)


def test_the_bleed_brings_a_throttled_pump_down_to_its_limit():
    tanks = tuple(make_tank(f"A{i}") for i in range(3))
    pump = make_pump(highest=6e3)
    run = solve_air(make_ring(tanks, taps=12, pumps=(pump,), tap={"bore": 0.0008})).runs[0]
    assert run.pumps[0].pressure > 6e3
    let_off = Outlet(id="let off", node="pump", coefficient=run.bleed / math.sqrt(6e3))
    with_bleed = solve(replace(run.network, outlets=(*run.network.outlets, let_off)))
    assert with_bleed.source_pressures["piston"] == pytest.approx(6e3, rel=1e-6)


def test_more_taps_can_be_carried_until_the_last_tank_falls_short():
    tanks = tuple(make_tank(f"A{i}") for i in range(30))
    run = solve_air(make_ring(tanks, taps=120)).runs[0]
    # the curve gives about 80 L/min at the 3.1 kPa these tanks need, so some 50 beyond the 30 of 1 L/min
    assert 45 <= run.more_taps <= 52
    assert 0 <= run.more_taps_unset <= run.more_taps


def test_a_pump_that_cannot_feed_what_it_has_carries_no_more():
    tanks = tuple(make_tank(f"A{i}") for i in range(30))
    run = solve_air(make_ring(tanks, taps=60, pumps=(make_pump(curve=((0, 30), (5e3, 10))),))).runs[0]
    assert run.more_taps == 0
    assert run.more_taps_unset == 0


def test_scenarios_tell_what_opening_and_shutting_does():
    tanks = tuple(make_tank(f"A{i}") for i in range(20))
    run = solve_air(make_ring(tanks, taps=60, open_spare=2)).runs[0]
    by_name = {case.name: case for case in run.scenarios}
    now = run.pumps[0].pressure
    assert by_name["every spare tap open"].pump_pressure < now
    assert by_name["one tube fallen off its tap"].pump_pressure < now
    assert by_name["spare taps shut"].pump_pressure > now
    assert by_name["half of the tanks' taps shut"].pump_pressure > now


def test_a_reserve_pump_is_left_out_and_tried_alone():
    tanks = tuple(make_tank(f"A{i}") for i in range(6))
    small = make_pump("small", curve=((0.0, 6.0), (2000.0, 1.0)), reserve=True)
    run = solve_air(make_ring(tanks, taps=24, pumps=(make_pump(), small))).runs[0]
    assert [work.pump for work in run.pumps] == ["piston"]
    reserve = next(case for case in run.scenarios if case.name == "reserve small alone")
    assert len(reserve.starved) == 6


def test_two_pumps_together_give_more_than_one():
    tanks = tuple(make_tank(f"A{i}") for i in range(20))
    one = solve_air(make_ring(tanks, taps=40)).runs[0]
    two = solve_air(make_ring(tanks, taps=40, pumps=(make_pump("a"), make_pump("b")))).runs[0]
    assert two.total_flow > one.total_flow
    assert {case.name for case in two.scenarios} >= {"pump a stopped", "pump b stopped"}


def test_a_relief_valve_holds_the_pressure_down():
    tanks = tuple(make_tank(f"A{i}") for i in range(4))
    run = solve_air(make_ring(tanks, taps=16, relief=5000.0, tap={"bore": 0.0008})).runs[0]
    assert run.relief_flow > 0.0
    assert 5000.0 < run.pumps[0].pressure < 5600.0


def test_a_curve_used_beyond_its_points_says_so():
    tanks = (make_tank("A1"),)
    run = solve_air(
        make_ring(tanks, taps=4, pumps=(make_pump(curve=((0, 85), (1e3, 84))),), tap={"bore": 0.001})
    ).runs[0]
    assert run.pumps[0].extrapolated


# --- common practice as check values ------------------------------------------------------------------------


def test_120_taps_on_one_pump_with_70_open_leave_air_felt_at_every_one():
    # common practice, no source: taps every 8 cm along a 20 mm ring main, some 120 taps on one pump,
    # about 70 of them open, and air still felt at every one
    tanks = tuple(make_tank(f"T{i}", water=0.26 + 0.02 * (i % 3)) for i in range(70))
    room = make_ring(tanks, taps=120, spacing=0.08, ring_bore=0.020, tap={"bore": 0.001, "wanted": 0.7})
    run = solve_air(room).runs[0]
    assert len(run.taps) == 70
    flows = [tap.flow / L_PER_MIN for tap in run.taps]
    assert min(flows) > 0.3  # felt: a bubble stream, taken as 0.3 L/min
    assert run.losses.header < 0.1 * run.losses.outlet


def test_a_24_m_ring_of_60_taps_loses_no_more_than_the_table_says():
    # 24 m ring, one feed point, bore 20.9 mm, 60 taps of 1 L/min: 12 Pa to the farthest tap (computed, tees
    # left out); here taps are set to just 1 L/min
    tanks = tuple(make_tank(f"T{i}") for i in range(60))
    run = solve_air(make_ring(tanks, taps=60, spacing=0.4)).runs[0]
    pressures = [run.settled.solution.node_pressures[tap.node] for tap in run.taps]
    denser = 1 + max(pressures) / 101325  # the table is for free air; pressed air runs slower and loses less
    assert (max(pressures) - min(pressures)) * denser == pytest.approx(12.0, abs=1.0)


# --- running back -------------------------------------------------------------------------------------------


def test_a_ring_below_the_water_lets_it_run_back():
    tank = make_tank("A1", base=1.5, height=0.36, water=0.32)  # level 1.826
    run = solve_air(make_ring((tank,), taps=4, height=1.7)).runs[0]
    (back,) = run.run_back
    assert back.certain
    assert back.head == pytest.approx(0.126)
    assert back.stops_at == pytest.approx(1.7)
    assert back.volume == pytest.approx(0.18 * 0.126)
    assert 0.01 < back.flow / L_PER_MIN < 0.3
    assert back.time > 0.5 * back.volume / back.flow


def test_a_ring_far_below_stops_at_the_diffuser():
    tank = make_tank("A1", base=1.5)
    back = solve_air(make_ring((tank,), taps=4, height=0.9)).runs[0].run_back[0]
    assert back.stops_at == pytest.approx(1.5 + 0.006 + 0.03)
    # 1.5 m of open 4 mm tube under 0.9 m of head moves 0.6 to 0.7 L/min; the tap's 2 mm hole slows it
    assert 0.2 < back.flow / L_PER_MIN < 0.7


@pytest.mark.parametrize("settings_", [{"check_valves": True}, {"height": 2.2}])
def test_check_valves_or_a_ring_above_the_water_keep_it_in(settings_):
    tank = make_tank("A1", base=1.5)
    assert solve_air(make_ring((tank,), taps=4, **{"height": 1.7, **settings_})).runs[0].run_back == ()


def test_a_low_pump_under_a_ring_just_above_the_water_is_named_as_possible():
    tank = make_tank("A1", base=1.5)
    room = make_ring((tank,), taps=4, height=1.9, pumps=(make_pump(height=0.3),))
    (back,) = solve_air(room).runs[0].run_back
    assert not back.certain
    assert back.climb == pytest.approx(1.9 - tank.level)
    assert back.swing == pytest.approx(tank.level - tank.floor_inside - 0.03)


# --- what cannot be computed --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("pumps", "word"),
    [
        ((), "no running pump"),
        ((make_pump(reserve=True),), "no running pump"),
        ((make_pump(curve=((0.0, 10.0),)),), "no curve"),
        ((make_pump(curve=((0.0, 10.0), (5e3, 20.0))),), "does not fall"),
    ],
)
def test_a_run_without_a_usable_pump_is_not_computed(pumps, word):
    result = solve_air(make_ring((make_tank("A1"),), taps=4, pumps=pumps))
    assert result.runs == ()
    ((subject, reason),) = result.not_computed
    assert subject == "air ring"
    assert word in reason


def test_a_tube_outside_the_formulas_is_not_computed_and_nothing_raises():
    room = make_ring((make_tank("A1"),), taps=4)
    run = room.airs[0]
    thread = replace(run.taps[0], tube_bore=given(1e-5))
    result = solve_air(replace(room, airs=(replace(run, taps=(thread, *run.taps[1:])),)))
    assert result.not_computed
    assert result.runs == ()


def test_taps_on_pipe_joined_to_nothing_are_told_apart():
    room = make_ring((make_tank("A1"), make_tank("A2")), taps=8)
    run = room.airs[0]
    lost = replace(run.taps[4], node="island")
    cut = replace(run, nodes=(*run.nodes, ("island", (9, 9, 2))), taps=(*run.taps[:4], lost, *run.taps[5:]))
    taps = {tap.tank: tap for tap in solve_air(replace(room, airs=(cut,))).runs[0].taps}
    assert taps["A1"].reached
    assert not taps["A2"].reached
    assert taps["A2"].flow == 0.0


def test_a_tank_without_a_tap_is_named():
    room = make_ring((make_tank("A1"),), taps=4)
    result = solve_air(replace(room, tanks=(*room.tanks, make_tank("B1"))))
    assert result.without_air == ("B1",)
    assert result.tank("B1") is None
    assert result.tank("A1").share > 1.0


def test_a_run_with_no_tanks_yet_is_still_solved():
    run = solve_air(make_ring((), taps=6, open_spare=2)).runs[0]
    assert run.settled is None
    assert run.more_taps is None
    assert run.spare_flow == pytest.approx(run.total_flow)


# --- the small laws -----------------------------------------------------------------------------------------


def test_pipes_joined_in_a_row_carry_the_same_flow():
    tanks = tuple(make_tank(f"A{i}") for i in range(3))
    room = make_ring(tanks, taps=60)
    run = room.airs[0]
    nodes, pipes = nodes_and_pipes(run)
    busy = {run.inlet, *(tap.node for tap in run.taps if tap.tank)}
    fewer_nodes, fewer_pipes = merge_series(nodes, pipes, busy)
    assert len(fewer_pipes) <= 5
    assert sum(pipe.length for pipe in fewer_pipes) == pytest.approx(sum(pipe.length for pipe in pipes))
    laws = tap_laws(run, 0.0, 1e-9)
    whole = air_network(run, room.pumps, laws)
    kept = {node.id for node in fewer_nodes}
    tubes = tuple(pipe for pipe in whole.pipes if pipe.id.startswith("tube"))
    diffusers = tuple(node for node in whole.nodes if node.id.startswith("diffuser") or node.id in kept)
    small = replace(whole, nodes=diffusers, pipes=(*fewer_pipes, *tubes))
    long, short = solve(whole).outlet_flows, solve(small).outlet_flows
    assert all(short[name] == pytest.approx(long[name], rel=1e-8) for name in long)


@settings(max_examples=40, deadline=None)
@hypothesis_given(
    depth=st.floats(0.05, 0.8), bore=st.floats(0.0005, 0.003), wanted=st.floats(0.1, 4.0), valve=st.booleans()
)
def test_the_needed_pressure_is_the_one_at_which_the_open_tap_gives_the_target(depth, bore, wanted, valve):
    tank = make_tank("A1", height=1.0, water=depth + 0.03)
    room = make_ring((tank,), taps=2, tap={"bore": bore, "wanted": wanted}, check_valves=valve)
    (law,) = tap_laws(room.airs[0], 500.0, 1e-9)
    needed = law.needed(1.5e-6)
    assert law.opening(needed, 1.5e-6) == pytest.approx(1.0, abs=1e-6)
    assert law.opening(needed + 1000.0, 1.5e-6) < 1.0
    assert law.opening(law.standing, 1.5e-6) == 1.0
    network = air_network(room.airs[0], room.pumps, (law,))
    source = replace(network.sources[0], curve=None, fixed_pressure=needed, node=law.tap.node)
    solved = solve(replace(network, sources=(source,)))
    assert solved.outlet_flows[law.tap.id] == pytest.approx(law.wanted, rel=1e-6)


def test_a_curve_is_carried_on_as_a_straight_line_and_never_below_nothing():
    curve = ((0.0, 10.0), (10.0, 5.0))
    assert curve_flow(curve, 15.0) == pytest.approx(2.5)
    assert curve_flow(curve, 50.0) == 0.0
    assert curve_end(curve) == pytest.approx(20.0)
    assert as_free(0.0) == 0.0


def test_a_tap_shut_or_spare_has_no_law():
    tank = make_tank("A1")
    room = make_ring((tank,), taps=2)
    shut = make_tap(0, "n0", (0, 0, 2), tank, is_open=False)
    assert tap_laws(replace(room.airs[0], taps=(shut, room.airs[0].taps[1])), 0.0, 1e-9) == ()


EXTREME = st.sampled_from([1e-200, 1e-6, 0.004, 3.0, 1e200])


@settings(max_examples=60, deadline=None)
@hypothesis_given(
    ring=EXTREME,
    tap=EXTREME,
    tube=EXTREME,
    length=EXTREME,
    wanted=EXTREME,
    loss=EXTREME,
    low=EXTREME,
    flow=EXTREME,
)
def test_no_size_however_odd_raises(ring, tap, tube, length, wanted, loss, low, flow):
    tanks = (make_tank("A1"), make_tank("A2"))
    pump = make_pump(curve=((0.0, 2 * flow), (low, flow), (2 * low, 0.0)), lowest=low, highest=2 * low)
    room = make_ring(
        tanks, taps=4, ring_bore=ring, open_spare=1, pumps=(pump,), tap={"bore": tap, "wanted": wanted}
    )
    taps = tuple(
        replace(one, tube_bore=given(tube), tube_length=given(length), diffuser_loss=given(loss))
        if one.tank
        else one
        for one in room.airs[0].taps
    )
    result = solve_air(replace(room, airs=(replace(room.airs[0], taps=taps),)))
    assert len(result.runs) + len(result.not_computed) == 1
    for run in result.runs:
        assert all(math.isfinite(one.flow) for one in run.taps)
