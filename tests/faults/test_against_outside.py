"""Faults beside what others work out: EPANET in time, balances of every fault, and facts of the trade."""

from __future__ import annotations

import math
import warnings
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from epanet import toolkit

from tankwright.faults.breaking import broken_room
from tankwright.faults.floor import floor_area, floor_depth
from tankwright.faults.listing import all_faults, find_fault
from tankwright.faults.model import Setting, WaterCourse
from tankwright.faults.simulate import outcome_of, settings_of, story_of
from tankwright.faults.water import water_course
from tankwright.room.model import Tank
from tankwright.room.model_broken import Broken
from tankwright.study import Study
from tankwright.verify.epanet import EPANET_FLOW_UNIT, EpanetFile, epanet_file

from .whole_room import by_gravity, everything

HOUR = 3600.0
LITRE = 1e-3


def follow(study: Study, *broken: Broken, clock: float = 12.0, hours: float = 8.0) -> WaterCourse:
    setting = Setting(clock=clock * HOUR, horizon=hours * HOUR)
    return water_course(study, broken_room(study.room, broken), setting)


# --- EPANET, over time --------------------------------------------------------------------------------------------


def with_a_tank(file: EpanetFile, tank: Tank, lift: float, hours: float, step: int) -> str:
    """The file with its reservoir made a tank that empties, run over hours. Heights of the file are ours times a lift,
    so its surface is smaller by it for the same litres."""
    head = next(line.split() for line in file.text.splitlines() if line.startswith(" n7 "))
    low = tank.floor_inside * lift
    width = math.sqrt(4.0 / math.pi * tank.inside_area / lift)
    line = f" n7 {low!r} {float(head[1]) - low!r} 0 10 {width!r} 0"
    kept = [one for one in file.text.splitlines() if not one.startswith((" n7 ", " DURATION"))]
    text = "\n".join(kept).replace("[PIPES]", f"[TANKS]\n{line}\n\n[PIPES]", 1)
    return text.replace("[TIMES]", f"[TIMES]\n DURATION {hours:g}\n HYDRAULIC TIMESTEP 0:00:{step:02d}", 1)


def run_in_time(text: str, folder: Path, outlet: str) -> tuple[list[float], list[float], list[float]]:
    """Times, heads in the tank, and flows of an outlet, m3/s."""
    (folder / "run.inp").write_text(text, encoding="utf-8")
    project = toolkit.createproject()
    times, heads, flows = [], [], []
    try:
        toolkit.open(project, *(str(folder / f"run.{ending}") for ending in ("inp", "rpt", "out")))
        toolkit.openH(project)
        toolkit.initH(project, 0)
        nodes = range(1, toolkit.getcount(project, toolkit.NODECOUNT) + 1)
        index = {toolkit.getnodeid(project, i): i for i in nodes}
        tank, end = index["n7"], index[outlet]
        while True:
            with warnings.catch_warnings():
                warnings.simplefilter("ignore")  # "negative pressures": answers all the same
                times.append(float(toolkit.runH(project)))
            heads.append(toolkit.getnodevalue(project, tank, toolkit.HEAD))
            flows.append(toolkit.getnodevalue(project, end, toolkit.EMITTERFLOW) * EPANET_FLOW_UNIT)
            if toolkit.nextH(project) <= 0:
                return times, heads, flows
    finally:
        toolkit.deleteproject(project)


def test_a_valve_stuck_on_a_tank_that_empties_fills_the_one_below_as_in_epanet(tmp_path: Path) -> None:
    study = by_gravity()
    assert study.feed is not None
    upper, lower = study.room.tank("U1"), study.room.tank("L1")
    file = epanet_file(study.feed.runs[0].network, "stuck")
    lift = next(height / upper.level for name, height in file.heights.items() if name == "source")
    text = with_a_tank(file, upper, lift, 3.0, 20)
    times, heads, flows = run_in_time(text, tmp_path, file.outlet_nodes["down.L1"])
    ours = follow(
        study, Broken(kind="feed valve", what="down"), Broken(kind="overflow", what="L1"), hours=3.0
    )
    level = np.interp(times, ours.times, ours.level[:, ours.tanks.index("U1")])
    fallen = upper.level - heads[-1] / lift
    assert fallen > 0.1
    # 1 % of the fall: ours is straight between seven levels at which the network was solved, EPANET's step is 20 s
    np.testing.assert_allclose(level, np.array(heads) / lift, rtol=0.0, atol=0.01 * fallen)
    filled = np.concatenate([[0.0], np.cumsum(np.array(flows[:-1]) * np.diff(times))])
    spills = float(np.interp(lower.freeboard_volume, filled, times))
    found = next(one.time for one in ours.events if one.what == "spill begins" and one.where == "L1")
    assert found == pytest.approx(spills, rel=0.01)


# --- nothing is won or lost ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("room", "season"), [(everything, "coldest"), (everything, "hottest"), (by_gravity, "coldest")]
)
def test_water_and_heat_are_kept_in_every_fault_of_a_room_with_everything(
    room: Callable[[], Study], season: str
) -> None:
    study = room()
    faults = all_faults(study)
    assert len(faults) > 20
    for fault in faults:
        for setting in [one for one in settings_of(study, fault) if one.season in (season, "usual")][:1]:
            story = story_of(study, fault, setting)
            water = story.water
            moved = water.volume[0].sum() + water.came[-1].sum()
            assert water.imbalance() < 1e-9 * moved, fault.name
            assert water.floor.min() >= -1e-12, fault.name  # m3, rounding
            assert (np.diff(water.times) > 0.0).all(), fault.name
            if story.warmth is not None:
                assert story.warmth.imbalance < 1e-6, fault.name
                assert np.isfinite(story.warmth.water).all(), fault.name


# --- the floor ----------------------------------------------------------------------------------------------------


def test_a_pane_that_fails_puts_the_tanks_water_on_the_floor_as_deep_as_volume_over_area() -> None:
    """Volume over area: geometry."""
    study = everything()
    tank = study.room.tank("U1")
    water = follow(study, Broken(kind="pane", what="U1", at="front"), hours=0.5)
    # 1 %: in the seconds it takes, a little still goes over the lip
    assert water.floor[-1].sum() == pytest.approx(tank.water_volume, rel=0.01)
    area = floor_area(study.room, "cellar")
    assert floor_depth(study.room, "cellar", 0.1 * area) == pytest.approx(0.1, rel=1e-6) or (
        floor_depth(study.room, "cellar", 0.1 * area) < 0.1  # it left under the door
    )


# --- facts of the trade: common practice, no source ---------------------------------------------------------------


def test_a_top_up_of_an_hour_or_two_overflows_no_tank_whose_overflow_is_clear() -> None:
    """Common practice, no source."""
    study = everything()
    water = follow(study, clock=1.5, hours=24.0)
    assert water.spilled[-1].sum() == 0.0
    assert water.floor[-1].sum() == 0.0
    assert water.came[-1].sum() > 5 * LITRE
    for tank, levels in zip(study.room.tanks, water.level.T, strict=True):
        assert levels.max() < tank.rim - 0.5 * tank.freeboard


def test_a_tank_as_reservoir_above_another_proves_its_overflow() -> None:
    """Once settled, what leaves the lower tanks is what comes into them. Common practice, no source."""
    study = by_gravity()
    water = follow(study, Broken(kind="feed valve", what="down"), hours=1.0)
    late = water.times[:-1] > 0.5 * HOUR
    gone = np.diff(water.gone.sum(1))[late] / np.diff(water.times)[late]
    fed = water.by_feed["down"].sum(1)[late]
    # 0.5 %: the level over the lips still sinks with the flow
    np.testing.assert_allclose(gone, fed, rtol=5e-3)
    assert water.spilled[-1].sum() == 0.0


@pytest.mark.parametrize("litres_a_minute", [10.0, 20.0])
def test_a_washing_machine_hose_left_in_a_tank_runs_over_within_minutes(litres_a_minute: float) -> None:
    """10 to 20 L/min by hand: more than a 13 mm hose takes, so the freeboard is over in minutes. Common practice, no
    source."""
    study = by_gravity()
    tank = study.room.tank("L1")
    flow = litres_a_minute * LITRE / 60.0
    water = follow(study, Broken(kind="hand hose", what="L1", flow=flow), hours=1.0)
    drain = study.drain
    assert drain is not None
    takes = next(one.capacity for one in drain.tanks if one.tank == "L1")
    assert takes is not None
    spilled = water.spilled[-1].sum()
    if flow < takes:
        assert spilled == 0.0
        return
    begins = next(one.time for one in water.events if one.what == "spill begins")
    assert tank.freeboard_volume / flow <= begins <= tank.freeboard_volume / (flow - takes)
    # the overflow goes on taking what it takes with water at the rim
    assert spilled == pytest.approx((flow - takes) * (HOUR - begins), rel=0.02)
    outcome = outcome_of(study, find_fault(all_faults(study), "hand hose left in L1"))
    assert outcome.first is not None
    assert outcome.before_look


def test_the_more_a_hose_gives_the_sooner_it_runs_over() -> None:
    times = []
    for litres in (12.0, 16.0, 20.0, 30.0):
        flow = litres * LITRE / 60.0
        water = follow(by_gravity(), Broken(kind="hand hose", what="L1", flow=flow), hours=1.0)
        times.append(next((one.time for one in water.events if one.what == "spill begins"), math.inf))
    assert all(later <= sooner for sooner, later in pairwise(times))
