"""The drain of small rooms: overflows, hoses, events, backing up, the first spill, the blocked overflow."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given as given_values
from hypothesis import settings
from hypothesis import strategies as st

from tankwright.physics.weirs import lip_head, sideways_head
from tankwright.systems.drain import FEED, solve_drain

from .drain_rooms import (
    LITRE_PER_HOUR,
    LITRE_PER_MINUTE,
    SIDEWAYS,
    given,
    hose_left_in,
    make_feed,
    make_room,
    make_run,
    make_tank,
    pulled,
    with_events,
)


def fed(room, flow):
    return {tank.id: flow for tank in room.tanks}


def solve(room, flow=4 * LITRE_PER_HOUR, between=0.0):
    return solve_drain(room, fed(room, flow), fed(room, between))


# --- one tank ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("litres_per_hour", "minutes"), [(4, 81), (8, 40)])
def test_a_blocked_overflow_runs_over_after_its_freeboard(litres_per_hour, minutes):
    # 3 cm of freeboard on 60 x 30 cm is 5.4 L: 81 min at 4 L/h, 40 min at 8 L/h (computed; common practice)
    tank = solve(make_room(1), litres_per_hour * LITRE_PER_HOUR).tanks[0]
    assert tank.freeboard_volume == pytest.approx(5.4e-3)
    assert math.floor(tank.seconds_to_spill / 60) == minutes


def test_four_litres_a_day_into_a_blocked_tank_spill_on_the_second_day():
    # 5.4 L of freeboard, 4 L a day: the second run spills (computed; common practice)
    room = make_room(1, feed=make_feed(("T1",), minutes=60.0))
    tank = solve(room).tanks[0]
    assert tank.volume_per_run == pytest.approx(4e-3)
    assert tank.spill_run == 2
    assert tank.seconds_to_spill_by_program == pytest.approx(86400 + (5.4 - 4.0) / 4.0 * 3600)


@given_values(st.floats(0.5, 60.0), st.floats(5.0, 300.0))
def test_the_spilling_run_is_the_first_whose_water_no_longer_fits(litres_per_hour, minutes):
    room = make_room(1, feed=make_feed(("T1",), minutes=minutes))
    tank = solve(room, litres_per_hour * LITRE_PER_HOUR).tanks[0]
    assert tank.spill_run * tank.volume_per_run >= tank.freeboard_volume * (1 - 1e-9)
    assert (tank.spill_run - 1) * tank.volume_per_run < tank.freeboard_volume * (1 + 1e-9)


def test_two_programs_take_turns():
    feed = make_feed(("T1",), minutes=60.0)
    first = feed.programs[0]
    feed = replace(feed, programs=(replace(first, start=64800.0, duration=600.0), first))
    tank = solve(make_room(1, feed=feed)).tanks[0]
    assert tank.spill_run == 3  # 4.0 L, 4.67 L, and over in the third
    assert tank.seconds_to_spill_by_program == pytest.approx(86400 + (5.4 - 4.0 - 4 / 6) / 4 * 3600)


def test_the_longest_absence_counts_every_run_that_may_fall_in_it():
    room = make_room(1, feed=make_feed(("T1",), minutes=60.0), absence=60 * 3600.0)
    tank = solve(room).tanks[0]
    assert tank.fill_in_absence == pytest.approx(12e-3)  # 60 h may hold three daily runs of 4 L
    assert tank.spills_in_absence
    still = solve(make_room(1, absence=3600.0)).tanks[0]  # a drip that never stops
    assert still.fill_in_absence == pytest.approx(4e-3)
    assert not still.spills_in_absence


def test_what_comes_between_looks_is_held_against_the_freeboard():
    assert not solve(make_room(1), between=5.3e-3).tanks[0].spills_before_look
    assert solve(make_room(1), between=5.5e-3).tanks[0].spills_before_look


def test_head_over_an_upward_and_a_sideways_mouth():
    flow = 2.0 * LITRE_PER_MINUTE
    for angle, head in (
        (0.0, lip_head(flow=flow, diameter=0.02)),
        (SIDEWAYS, sideways_head(flow=flow, diameter=0.02)),
    ):
        room = make_room(1, tanks=(make_tank("T1", x=0, node="main.1", angle=angle),))
        assert solve(room, flow).tanks[0].head == pytest.approx(head, rel=1e-9)


def test_the_hose_is_the_narrow_place_of_a_wide_mouth():
    # 13 mm hose, 1.5 m, from the rim 1.06 m down; the table of hoses says 13.6 L/min at 1.0 m of head
    room = make_room(1, tanks=(make_tank("T1", x=0, node="main.1", bore=0.032, end=0.26),))
    tank = solve(room).tanks[0]
    assert tank.capacity == tank.hose_flow < tank.mouth_flow
    assert round(tank.hose_flow * 60000, 1) == 13.6


def test_a_hose_ends_no_lower_than_the_top_of_its_pipe():
    deep = make_tank("T1", x=0, node="main.1", end=0.0)
    tank = solve(make_room(1, tanks=(deep,))).tanks[0]
    assert tank.fall == pytest.approx(deep.overflow.lip - (0.15 + 0.040))


def test_a_tank_without_overflow_has_no_way_out_and_no_capacity():
    room = make_room(1, tanks=(make_tank("T1", x=0, node=None),))
    tank = solve(room).tanks[0]
    assert tank.capacity is None
    assert tank.head is None
    assert tank.seconds_to_spill is not None


def test_a_drain_above_the_lip_takes_nothing():
    room = make_room(1, tanks=(make_tank("T1", x=0, node="main.1", base=0.0, end=0.5),))
    result = solve(room)
    assert result.tanks[0].capacity == 0.0
    assert result.tanks[0].fall < 0
    assert result.runs[0].cases[0].spills[0].flow == pytest.approx(4 * LITRE_PER_HOUR)


# --- a run and its events ---------------------------------------------------------------------------------


def test_the_feed_reaches_the_outfall_whole():
    result = solve(make_room(6))
    case = result.runs[0].cases[0]
    assert case.name == FEED
    assert case.outfall_flow == pytest.approx(24 * LITRE_PER_HOUR)
    assert [round(one.flow / LITRE_PER_HOUR, 6) for one in case.segments] == [4, 8, 12, 16, 20, 24]
    assert not case.spills


def test_forty_drippers_bring_five_litres_a_minute():
    # 40 tanks x 8 L/h = 5.3 L/min (computed; common practice: a dump and not the drip sizes a drain)
    case = solve(make_room(40, run=make_run(40, spacing=0.3, top=0.3)), 8 * LITRE_PER_HOUR).runs[0].cases[0]
    assert round(case.outfall_flow * 60000, 1) == 5.3


def test_a_hose_left_in_a_tank_spills_what_its_overflow_does_not_take():
    room = with_events(make_room(4), hose_left_in("T2", 13 * LITRE_PER_MINUTE))
    result = solve(room)
    alone, both = result.runs[0].cases[1:]
    capacity = result.tanks[1].capacity
    assert alone.kind == "dump"
    assert both.kind == "feed and dump"
    assert [spill.tank for spill in alone.spills] == ["T2"]
    assert alone.spills[0].flow == pytest.approx(13 * LITRE_PER_MINUTE - capacity)
    assert alone.outfall_flow == pytest.approx(capacity)
    assert both.spills[0].flow == pytest.approx(13 * LITRE_PER_MINUTE + 4 * LITRE_PER_HOUR - capacity)


def test_a_hose_left_in_an_undrilled_tank_goes_on_the_floor_whole():
    tanks = (make_tank("T1", x=0, node="main.1"), make_tank("U1", x=2, node=None))
    room = with_events(make_room(1, run=make_run(1), tanks=tanks), hose_left_in("U1", 1e-4))
    case = solve_drain(room, {}, {}).runs[0].cases[1]
    assert [(spill.tank, spill.flow) for spill in case.spills] == [("U1", 1e-4)]
    assert case.outfall_flow == 0.0


def test_pulled_standpipes_run_their_hoses_full_and_empty_in_minutes():
    room = with_events(make_room(4, run=make_run(4, bore=0.0525)), pulled("T1", "T2"))
    case = solve_drain(room, {}, {}).runs[0].cases[1]
    assert [one.tank for one in case.emptying] == ["T1", "T2"]
    one = case.emptying[0]
    assert case.outfall_flow == pytest.approx(sum(each.peak for each in case.emptying))
    assert one.volume == pytest.approx(0.18 * (0.36 - 0.03 - 0.006))
    assert one.volume / one.peak < one.seconds < 1.5 * one.volume / one.peak  # the flow only falls off


def test_an_event_without_a_flow_or_in_another_drain_is_said_not_to_be_computed():
    unsaid = replace(hose_left_in("T1", 1.0), hose_flow=None)
    result = solve(with_events(make_room(2), unsaid, pulled("X9")))
    assert len(result.runs[0].cases) == 1
    assert len(result.not_computed) == 2


def test_a_drain_too_small_backs_up_and_flows_and_levels_agree():
    names = tuple(f"T{i + 1}" for i in range(8))
    room = with_events(make_room(8, run=make_run(8, fall=0.005)), pulled(*names))
    result = solve(room)
    case = result.runs[0].cases[1]
    assert case.settled
    assert case.surcharge > 0.1
    assert case.surcharge_node
    assert all(segment.surcharged for segment in case.segments[2:])
    by_node = {segment.start: segment.level_start for segment in case.segments}
    for one in case.emptying:
        tank = room.tank(one.tank)
        head = tank.level - max(by_node[tank.hose.node], tank.hose.end[2])
        assert 0 < head < tank.level - tank.hose.end[2]
    alone = solve(with_events(make_room(8), pulled("T1"))).runs[0].cases[1]
    assert case.emptying[0].peak < alone.emptying[0].peak


@settings(max_examples=25, deadline=None)
@given_values(st.integers(1, 12), st.floats(0.004, 0.03), st.floats(0.02, 0.06))
def test_what_runs_in_either_leaves_or_spills(count, fall, bore):
    room = make_room(count, run=make_run(count, fall=fall, bore=bore, top=0.7))
    flow = 5.0 * LITRE_PER_MINUTE
    case = solve(room, flow).runs[0].cases[0]
    assert case.settled
    assert case.outfall_flow + case.spilled == pytest.approx(count * flow, abs=1e-7)


# --- the first spill --------------------------------------------------------------------------------------


def test_a_roomy_drain_leaves_the_first_spill_to_the_tanks_own_overflow():
    result = solve(make_room(4, run=make_run(4, bore=0.0525)))
    spill = result.runs[0].first_spill
    assert not spill.by_drain
    assert spill.spills == spill.dump_in
    assert spill.flow == pytest.approx(min(tank.capacity for tank in result.tanks))


def test_a_tight_drain_makes_a_low_tank_spill_first():
    tanks = (
        make_tank("T1", x=0.0, node="main.1", base=0.9, bore=0.032, hose_bore=0.025),
        make_tank("T2", x=2.0, node="main.2", base=0.0, end=0.2, bore=0.032, hose_bore=0.025),
    )  # T2's rim stands 0.36 m over the floor, the drain's top at 0.17 m
    run = make_run(2, spacing=8.0, bore=0.026, fall=0.002, top=0.15)
    room = make_room(2, run=run, tanks=tanks)
    spill = solve(room).runs[0].first_spill
    assert spill.by_drain
    assert spill.flow < solve(room).tanks[0].capacity
    # a little less and nothing spills, a little more and it does
    for factor, spills in ((0.97, False), (1.05, True)):
        dumped = with_events(room, hose_left_in(spill.dump_in, spill.flow * factor))
        case = solve(dumped).runs[0].cases[2]
        assert bool(case.spills) is spills


def test_shared_evenly_the_first_spill_is_no_more_than_every_tank_at_its_own_limit():
    result = solve(make_room(6))
    evenly = result.runs[0].first_spill_evenly
    assert evenly.flow <= 6 * min(tank.capacity for tank in result.tanks) * (1 + 1e-9)
    roomy = solve(make_room(6, run=make_run(6, bore=0.1)))
    assert roomy.runs[0].first_spill_evenly.flow >= evenly.flow


# --- outfalls and refusals --------------------------------------------------------------------------------


def test_runs_of_one_outfall_are_added():
    first = make_run(2, name="main")
    second = make_run(2, name="south")
    tanks = tuple(
        make_tank(f"{name}{i}", x=2.0 * i, node=f"{name}.{i + 1}", drain=name)
        for name in ("main", "south")
        for i in range(2)
    )
    room = replace(make_room(2, run=first, tanks=tanks), drains=(first, second))
    room = replace(room, drains=(first, replace(second, events=(hose_left_in("south0", 1e-4),))))
    (load,) = solve(room).outfalls
    assert load.feed_flow == pytest.approx(16 * LITRE_PER_HOUR)
    assert load.worst_flow == pytest.approx(16 * LITRE_PER_HOUR + 1e-4)
    assert load.worst_case.startswith("hose left in")


def test_odd_rooms_are_answered_and_never_refused():
    base = make_room(2)
    tank = base.tanks[0]
    odd = [
        replace(base, drains=(replace(base.drains[0], nodes=base.drains[0].nodes[:1]),)),
        replace(base, drains=(replace(base.drains[0], bore=given(0.0)),)),
        replace(base, drains=(replace(base.drains[0], manning_n=given(9.0)),)),
        replace(base, outfalls=()),
        replace(base, drains=()),
        replace(base, tanks=(replace(tank, overflow=replace(tank.overflow, bore=given(9.0))), base.tanks[1])),
        replace(base, tanks=(replace(tank, hose=replace(tank.hose, node="nowhere")), base.tanks[1])),
        replace(base, tanks=(replace(tank, hose=replace(tank.hose, bore=given(0.0))), base.tanks[1])),
        replace(base, tanks=(replace(tank, hose=replace(tank.hose, length=given(1e6))), base.tanks[1])),
    ]
    for room in odd[:4] + odd[5:]:
        result = solve_drain(room, fed(base, 1e-5), {})
        assert result.not_computed
    assert not solve_drain(odd[4], fed(base, 1e-5), {}).runs


def test_extreme_heights_and_falls_are_answered():
    base = make_room(2)
    for fall in (-0.05, 0.0, 0.9, 5.0):
        run = make_run(2, fall=fall)
        result = solve(make_room(2, run=run))
        assert result.runs or result.not_computed
    assert solve(replace(base, tanks=())).runs[0].first_spill is None


def test_a_valve_that_shuts_by_itself_brings_no_more_than_until_then():
    feed = make_feed(("T1",), minutes=60.0)
    short = replace(feed, shuts_after=given(600.0))
    absence = 60 * 3600.0
    long, cut = (solve(make_room(1, feed=one, absence=absence)).tanks[0] for one in (feed, short))
    assert cut.fill_in_absence == pytest.approx(long.fill_in_absence / 6.0)
    assert cut.volume_per_run == pytest.approx(long.volume_per_run / 6.0)
    assert not cut.spills_in_absence
    assert replace(feed, shuts_after=given(7200.0)).openings == feed.programs
