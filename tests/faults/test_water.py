"""Water of a broken room: what is spilled, when, and that none of it is won or lost."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from tankwright.faults.breaking import broken_room
from tankwright.faults.model import Setting, WaterCourse
from tankwright.faults.water import water_course
from tankwright.faults.water_ledger import HAND
from tankwright.origin import Known, derived
from tankwright.room.model import Room, Tank
from tankwright.room.model_broken import Broken
from tankwright.study import Study, work_out

from .life_rooms import study_of

EVENING = 18.5 * 3600.0
DAYS = 216_000.0
PROGRAM = 7.5 * 3600.0
"""From half past six in the evening to two in the morning, when the drip of the cellar begins."""


def follow(study: Study, *broken: Broken, clock: float = EVENING, horizon: float = DAYS) -> WaterCourse:
    ill = broken_room(study.room, broken)
    return water_course(study, ill, Setting(clock=clock, horizon=horizon))


def cellar() -> Study:
    return study_of("cellar.toml")


def garage() -> Study:
    return study_of("garage.toml")


def first(course: WaterCourse, what: str) -> float:
    return next(event.time for event in course.events if event.what == what)


def column(course: WaterCourse, tank: str) -> int:
    return course.tanks.index(tank)


def inflow(study: Study, tank: str) -> float:
    assert study.feed is not None
    return study.feed.inflows()[tank]


def changed(study: Study, tank: str, **fields: object) -> Study:
    """The study of a room whose one tank is another."""
    tanks = tuple(replace(one, **fields) if one.id == tank else one for one in study.room.tanks)  # type: ignore[arg-type]
    return replace(study, room=replace(study.room, tanks=tanks))


def test_a_healthy_room_spills_nothing_and_drains_what_drips() -> None:
    study = cellar()
    course = follow(study)
    assert study.feed is not None
    assert course.spilled.max() == 0.0
    # All but the film that still stands over the lips.
    assert course.gone[-1].sum() == pytest.approx(course.came[-1].sum(), abs=1e-3)
    assert course.came[-1].sum() == pytest.approx(3.0 * study.feed.runs[0].total_flow * 3600.0, rel=1e-12)
    assert course.events == ()


def test_a_blocked_overflow_spills_when_the_drip_has_filled_the_freeboard() -> None:
    study = cellar()
    tank = study.room.tanks[0]
    course = follow(study, Broken(kind="overflow", what=tank.id))
    film = course.level[0, column(course, tank.id)] - tank.level
    fill = (tank.freeboard_volume - film * tank.inside_area) / inflow(study, tank.id)
    whole, left = divmod(fill, 3600.0)
    assert first(course, "spill begins") == pytest.approx(PROGRAM + whole * 86_400.0 + left, rel=1e-9)


def test_a_valve_stuck_open_on_a_blocked_overflow_spills_after_freeboard_over_inflow() -> None:
    study = cellar()
    tank = study.room.tanks[0]
    stuck = Broken(kind="feed valve", what="drip")
    course = follow(study, Broken(kind="overflow", what=tank.id), stuck)
    film = course.level[0, column(course, tank.id)] - tank.level
    seconds = (tank.freeboard_volume - film * tank.inside_area) / inflow(study, tank.id)
    assert first(course, "spill begins") == pytest.approx(seconds, rel=1e-9)
    spilled = inflow(study, tank.id) * (DAYS - seconds)
    assert course.spilled[-1, column(course, tank.id)] == pytest.approx(spilled, rel=1e-9)


def test_a_half_blocked_overflow_stands_higher_and_spills_nothing() -> None:
    study = cellar()
    tank = study.room.tanks[0].id
    whole, half = follow(study), follow(study, Broken(kind="overflow", what=tank, left=0.5))
    assert half.level[:, column(half, tank)].max() > whole.level[:, column(whole, tank)].max()
    assert half.spilled.max() == 0.0


def test_a_vat_with_its_valve_stuck_is_empty_after_its_water_over_its_flow() -> None:
    study = garage()
    run = study.room.feeds[0]
    assert study.feed is not None
    assert run.vat_volume is not None
    course = follow(study, Broken(kind="feed valve", what=run.id))
    seconds = run.vat_volume.value / study.feed.runs[0].total_flow
    assert first(course, "vat empty") == pytest.approx(seconds, rel=1e-12)
    assert course.vats[-1, 0] == pytest.approx(0.0, abs=1e-12)
    assert course.came[-1].sum() == 0.0


def test_a_vat_with_a_low_level_switch_keeps_what_it_is_set_to() -> None:
    study = garage()
    run = replace(study.room.feeds[0], low_level_cutoff=derived(0.05))
    study = replace(study, room=replace(study.room, feeds=(run,)))
    course = follow(study, Broken(kind="vat pump", what=run.id))
    assert course.vats[-1, 0] == pytest.approx(0.05, rel=1e-9)


def test_a_vat_pump_without_power_brings_nothing() -> None:
    course = follow(garage(), Broken(kind="power", what=""))
    assert all(flow.max() == 0.0 for flow in course.by_feed.values())


@pytest.mark.parametrize("pane", ["base", "front"])
def test_a_broken_pane_lets_all_its_water_on_the_floor_within_seconds(pane: str) -> None:
    study = cellar()
    tank = study.room.tanks[0]
    course = follow(study, Broken(kind="pane", what=tank.id, at=pane), horizon=3600.0)
    assert first(course, "tank dry") < 6.0
    # For a moment its overflow still takes the film above its lip; all else is on the floor.
    assert course.spilled[-1, column(course, tank.id)] == pytest.approx(tank.water_volume, rel=5e-3)
    assert course.volume[-1, column(course, tank.id)] == pytest.approx(0.0, abs=1e-9)


def test_a_hose_off_its_barb_sends_the_whole_drip_to_the_floor() -> None:
    study = cellar()
    tank = study.room.tanks[0].id
    course = follow(study, Broken(kind="hose", what=tank))
    held = course.volume[-1] - course.volume[0]
    came = 3 * 3600.0 * inflow(study, tank)
    assert course.spilled[-1, column(course, tank)] == pytest.approx(
        came - held[column(course, tank)], rel=1e-9
    )
    assert course.spilled[-1].sum() == course.spilled[-1, column(course, tank)]


def test_a_hose_left_in_a_tank_runs_until_somebody_comes() -> None:
    study = cellar()
    tank = study.room.tanks[0].id
    course = follow(study, Broken(kind="hand hose", what=tank, flow=2e-4))
    assert course.came[-1, course.sources.index(HAND)] == pytest.approx(2e-4 * DAYS, rel=1e-12)
    assert course.spilled[-1, column(course, tank)] > 0.0


def test_a_line_off_its_fitting_starves_the_tanks_and_wets_its_space() -> None:
    study = cellar()
    course = follow(study, Broken(kind="feed line", what="drip", at="inlet"))
    whole = follow(study)
    assert course.spilled.max() == 0.0
    assert sum(flow.sum() for flow in course.by_feed.values()) < sum(
        flow.sum() for flow in whole.by_feed.values()
    )
    assert course.came[-1].sum() > 2.0 * whole.came[-1].sum()


def test_an_outlet_fallen_off_brings_its_tank_more_and_the_others_no_more() -> None:
    study = cellar()
    outlet = study.room.feeds[0].outlets[0]
    course = follow(study, Broken(kind="feed outlet", what="drip", at=outlet.id))
    flows, whole = course.by_feed["drip"].max(0), follow(study).by_feed["drip"].max(0)
    here = column(course, outlet.tank)
    assert flows[here] > 3.0 * whole[here]
    assert (np.delete(flows, here) <= np.delete(whole, here) * (1 + 1e-9)).all()


def test_twice_the_pressure_brings_no_less_and_the_mains_off_nothing() -> None:
    study = cellar()
    point = study.room.feeds[0].source
    whole = follow(study).came[-1].sum()
    assert follow(study, Broken(kind="mains pressure", what=point, left=2.0)).came[-1].sum() >= whole * (
        1 - 1e-9
    )
    assert follow(study, Broken(kind="mains off", what=point)).came[-1].sum() == 0.0


def test_a_ring_below_the_water_drains_its_tank_to_the_ring_when_the_pump_dies() -> None:
    study = cellar()
    assert study.air is not None
    back = next(one for one in study.air.runs[0].run_back if one.certain)
    run = next(run for run in study.room.airs if run.id == study.air.runs[0].run)
    assert back.time is not None
    assert back.stops_at is not None
    dead = [Broken(kind="air pump", what=pump) for pump in run.pumps]
    course = follow(study, *dead, horizon=back.time)
    here = column(course, back.tank)
    level = study.room.tank(back.tank).level
    begin = course.level[0, here]
    reached = course.level[-1, here]
    # The closed time is from still water to a centimetre above the ring; the evening's film adds a trace.
    assert reached == pytest.approx(back.stops_at + 0.01, abs=1e-6 + (begin - level))
    course = follow(study, *dead, horizon=7.0 * 3600.0)
    assert course.spilled[-1, here] > 0.9 * (begin - back.stops_at) * study.room.tank(back.tank).inside_area


# --- what shuts a feed ------------------------------------------------------------------------------------------------


def limited(study: Study, **fields: object) -> Study:
    feeds = tuple(replace(one, **fields) for one in study.room.feeds)  # type: ignore[arg-type]
    return replace(study, room=replace(study.room, feeds=feeds))


def test_a_valve_that_shuts_after_a_time_makes_a_stuck_one_finite() -> None:
    study = limited(cellar(), shuts_after=derived(5400.0))
    assert study.feed is not None
    course = follow(study, Broken(kind="feed valve", what="drip"))
    assert course.came[-1].sum() == pytest.approx(5400.0 * study.feed.runs[0].total_flow, rel=1e-12)


def test_a_valve_that_shuts_after_a_volume_lets_no_more_through() -> None:
    study = limited(cellar(), shuts_after_volume=derived(0.1))
    course = follow(study, Broken(kind="feed valve", what="drip"))
    assert course.came[-1].sum() == pytest.approx(0.1, rel=1e-12)


def test_a_leak_sensor_shuts_the_feed_when_a_litre_is_on_the_floor() -> None:
    study = limited(cellar(), shuts_on_floor_water=True)
    tank = study.room.tanks[0].id
    hose, stuck = Broken(kind="hose", what=tank), Broken(kind="feed valve", what="drip")
    dry = replace(study, room=replace(study.room, outfalls=()))
    course = follow(dry, hose, stuck)
    assert any(event.what == "leak sensor shuts the feed" for event in course.events)
    assert 0.9e-3 < course.floor[-1].sum() < 2.0e-3


def test_a_float_shuts_the_feed_of_its_tank_and_of_no_other() -> None:
    study = changed(cellar(), cellar().room.tanks[0].id, float_cutoff=derived(0.01))
    tank = study.room.tanks[0]
    course = follow(study, Broken(kind="overflow", what=tank.id), Broken(kind="feed valve", what="drip"))
    here = column(course, tank.id)
    assert course.spilled.max() == 0.0
    assert course.level[-1, here] == pytest.approx(tank.level + 0.01, abs=1e-9)
    assert course.by_feed["drip"][-1, here] == 0.0
    assert course.by_feed["drip"][-1, here + 1] > 0.0


# --- nothing is won or lost -------------------------------------------------------------------------------------------


def every_kind(room: Room) -> list[Broken]:
    tank, feed, air = room.tanks[0], room.feeds[0], room.airs[0]
    drain = room.drains[0]
    device = room.power.circuits[0].device or room.power.circuits[0].id if room.power else ""
    return [
        Broken(kind="overflow", what=tank.id),
        Broken(kind="overflow", what=tank.id, left=0.5),
        Broken(kind="drain", what=drain.id, at=drain.nodes[len(drain.nodes) // 2].id),
        Broken(kind="outfall", what=room.outfalls[0].id),
        Broken(kind="feed valve", what=feed.id),
        Broken(kind="feed line", what=feed.id, at="inlet"),
        Broken(kind="feed line", what=feed.id, at=feed.nodes[-1][0]),
        Broken(kind="feed outlet", what=feed.id, at=feed.outlets[0].id),
        Broken(kind="hand hose", what=tank.id, flow=2e-4),
        Broken(kind="mains pressure", what=feed.source, left=2.0),
        Broken(kind="mains off", what=feed.source),
        Broken(kind="vat pump", what=feed.id),
        Broken(kind="air pump", what=air.pumps[0]),
        Broken(kind="ring pipe", what=air.id, at=air.nodes[0][0]),
        Broken(kind="air tap", what=air.id, at=air.taps[0].id),
        Broken(kind="diffuser", what=air.id, at=air.taps[0].id),
        Broken(kind="power", what=""),
        Broken(kind="device", what=device),
        Broken(kind="pane", what=tank.id, at="base"),
        Broken(kind="hose", what=tank.id),
    ]


@pytest.mark.parametrize("number", range(20))
@pytest.mark.parametrize("plan", ["cellar.toml", "garage.toml"])
def test_water_is_neither_won_nor_lost(plan: str, number: int) -> None:
    study = study_of(plan)
    broken = every_kind(study.room)[number]
    course = follow(study, broken)
    moved = course.came[-1].sum() + course.gone[-1].sum() + course.spilled[-1].sum() + course.volume[0].sum()
    assert course.imbalance() <= 1e-9 * moved
    assert (np.diff(course.times) > 0.0).all()
    # A group's implicit steps may waver by their own error, a few millilitres.
    assert (np.diff(course.spilled, axis=0) >= -1e-5).all()
    assert (np.diff(course.gone, axis=0) >= -1e-5).all()
    assert (course.floor >= 0.0).all()
    assert (course.level <= np.array([tank.rim for tank in study.room.tanks]) + 1e-3).all()


def test_a_run_that_goes_on_from_another_ends_where_one_run_ends() -> None:
    study = cellar()
    tank = study.room.tanks[0].id
    ill = broken_room(
        study.room, (Broken(kind="overflow", what=tank), Broken(kind="feed valve", what="drip"))
    )
    whole = water_course(study, ill, Setting(clock=EVENING, horizon=100_000.0))
    half = water_course(study, ill, Setting(clock=EVENING, horizon=40_000.0))
    rest = water_course(study, ill, Setting(clock=EVENING + 40_000.0, horizon=60_000.0), start=half)
    np.testing.assert_allclose(rest.level[-1], whole.level[-1], atol=1e-9)
    np.testing.assert_allclose(rest.spilled[-1], whole.spilled[-1], atol=1e-9)
    np.testing.assert_allclose(rest.gone[-1], whole.gone[-1], atol=1e-9)
    assert rest.imbalance() < 1e-9


def test_what_is_not_known_is_said() -> None:
    study = replace(cellar(), feed=None)
    course = follow(study)
    assert ("feed drip", "its flow is not known") in course.not_computed


def siphoning(study: Study) -> tuple[Study, Tank]:
    """The room with one outlet's tube hung into its tank's water, and worked out again."""
    run = study.room.feeds[0]
    place = run.outlets[0]
    tank = study.room.tank(place.tank)
    x, y, _ = place.place
    deep = tank.level - 0.10
    known = Known(0.004, derived(0.0).origin)
    hung = replace(place, place=(x, y, deep), kind="small tube", bore=known, length=derived(1.0))
    others = tuple(
        replace(one, place=(*one.place[:2], max(one.place[2], deep - 0.3))) for one in run.outlets[1:]
    )
    feeds = (replace(run, outlets=(hung, *others)),)
    room = replace(study.room, feeds=feeds)
    return work_out(room, frozenset({"feed"})), tank


def test_an_outlet_under_water_siphons_back_and_stops_at_its_end() -> None:
    study, tank = siphoning(cellar())
    assert study.feed is not None
    back = next(one for one in study.feed.runs[0].siphons if one.tank == tank.id)
    course = follow(study, Broken(kind="mains off", what=study.room.feeds[0].source))
    here = column(course, tank.id)
    assert course.level[-1, here] == pytest.approx(back.stops_at, abs=2e-3)
    assert first(course, "siphon breaks") > 0.0
    lost = course.volume[0, here] - course.volume[-1, here]
    assert course.backwards[-1].sum() + course.gone[-1].sum() + (
        course.volume[-1].sum() - course.volume[0].sum() + lost
    ) == pytest.approx(lost, abs=1e-9)
