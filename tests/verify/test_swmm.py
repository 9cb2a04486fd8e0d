"""The drain beside SWMM: the same network, solved with the full equations."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

import pytest

from tankwright.finding import Finding, Severity
from tankwright.plan.reading import read_plan_file
from tankwright.room.layout import lay_out
from tankwright.systems.drain import solve_drain
from tankwright.verify.run_swmm import DrainComparison, compare_with_swmm, run_swmm
from tankwright.verify.swmm import swmm_file, swmm_input

from ..systems.drain_rooms import LITRE_PER_MINUTE, make_room, make_run, make_tank, pulled, with_events


def solved(count, flow, **keys):
    run = make_run(count, **keys)
    tanks = tuple(
        make_tank(f"T{i + 1}", x=0, node=f"main.{i + 1}", bore=0.032, hose_bore=0.02) for i in range(count)
    )
    room = make_room(count, run=run, tanks=tanks)
    return run, solve_drain(room, {tank.id: flow for tank in room.tanks}, {}).runs[0].cases[0]


def compared(run, case, **keys):
    comparison = compare_with_swmm(run, case, **keys)
    assert isinstance(comparison, DrainComparison), comparison
    return comparison


def test_swmm_stands_at_the_even_depth_of_the_six_node_drain():
    # 22.73 mm, printed with SWMM 5.2 for 40 mm, 1 %, n 0.009 and four inflows of 0.1 L/s
    run, case = solved(4, 1e-4, spacing=4.0)
    file = swmm_file(run, case)
    answer = run_swmm(file.text)
    level = answer.node_level[dict(file.nodes)["main.4"]] - case.segments[-1].invert_start
    assert round(case.segments[-1].even_depth * 1000, 2) == 22.73
    assert level * 1000 == pytest.approx(22.73, abs=0.02)


@pytest.mark.parametrize(
    ("count", "flow", "keys"),
    [
        (4, 5.4, {}),
        (12, 0.9, {"spacing": 0.5, "bore": 0.0466, "fall": 1 / 60}),
        (30, 0.07, {"spacing": 0.4, "bore": 0.0466, "fall": 1 / 60, "top": 0.4}),
        (6, 4.0, {"spacing": 3.0, "bore": 0.0525, "fall": 0.01, "top": 0.4}),
    ],
)
def test_an_open_drain_agrees_with_swmm(count, flow, keys):
    run, case = solved(count, flow * LITRE_PER_MINUTE, **keys)
    comparison = compared(run, case)
    assert comparison.segments == count
    assert comparison.flow_difference * 60000 < 1e-4  # L/min
    # 0.5 mm: SWMM's level bends at each tee and ours steps
    assert comparison.level_difference * 1000 < 0.5
    assert comparison.depth_difference * 1000 < 0.5


def test_a_drowned_drain_agrees_with_swmm_and_errs_high():
    run, case = solved(8, 5.4 * LITRE_PER_MINUTE, fall=0.005)
    assert case.surcharge > 0.02
    file = swmm_file(run, case)
    answer = run_swmm(file.text)
    for segment in case.segments:
        theirs = answer.node_level[dict(file.nodes)[segment.start]]
        # 8 mm of 80: ours takes the free end of a full pipe as drowned to the crown, SWMM as drawn down
        assert theirs - 0.0005 < segment.level_start < theirs + 0.008


def test_pulled_standpipes_agree_with_swmm():
    run = make_run(4, bore=0.0525, spacing=3.0)
    room = with_events(make_room(4, run=run), pulled("T1", "T3"))
    case = solve_drain(room, {}, {}).runs[0].cases[1]
    comparison = compared(run, case)
    assert comparison.flow_difference * 60000 < 1e-3
    assert comparison.level_difference * 1000 < 0.5  # as above


def test_the_derived_drains_of_the_cellar_agree_with_swmm():
    plan = read_plan_file(Path(__file__).parents[2] / "examples" / "cellar.toml").plan
    room = lay_out(plan).room
    inflows = {outlet.tank: outlet.rate.value for feed in room.feeds for outlet in feed.outlets}
    runs = {run.id: run for run in room.drains}
    result = solve_drain(room, inflows, {})
    assert len(result.runs) == 3
    for solved_run in result.runs:
        for case in solved_run.cases:
            comparison = compared(runs[solved_run.run], case)
            # 0.1 L/min and 1 mm: tees a few centimetres apart, where SWMM's level bends and still swings a little
            assert comparison.flow_difference * 60000 < 0.1
            assert comparison.level_difference * 1000 < 1.0


def test_an_outfall_held_high_agrees_with_swmm():
    run = make_run(4)
    height = run.nodes[0].place[2] + 0.02
    room = make_room(4, run=run, outfall_height=height)
    case = solve_drain(room, {tank.id: 5e-5 for tank in room.tanks}, {}).runs[0].cases[0]
    comparison = compared(run, case, outfall_height=height)
    # 4 mm of 60 (the friction of the drowned lower end against SWMM's slot)
    assert comparison.level_difference * 1000 < 4


def test_the_file_sets_a_small_surface_at_its_nodes():
    run, case = solved(2, 1e-5)
    text = swmm_input(run, case)
    assert "MIN_SURFAREA 0.001" in text  # the default of 1.167 m2 is made for manholes
    for heading in ("OPTIONS", "JUNCTIONS", "OUTFALLS", "CONDUITS", "XSECTIONS", "INFLOWS"):
        assert f"[{heading}]" in text


def test_odd_names_and_joints_make_a_file_that_swmm_takes():
    run, case = solved(3, 1e-5, name="küche; [nord] \n 1", spacing=0.0)
    assert swmm_file(run, case).text.isascii()
    run, case = solved(4, 1e-5)
    nodes = list(run.nodes)
    nodes[1] = replace(nodes[1], chainage=nodes[0].chainage)
    twin = replace(run, nodes=tuple(nodes), id="a b;c")
    room = make_room(4, run=twin)
    case = solve_drain(room, {tank.id: 1e-5 for tank in room.tanks}, {}).runs[0].cases[0]
    file = swmm_file(twin, case)
    assert len(file.conduits) == 3
    assert any("no length" in text for text in file.left_out)
    assert not isinstance(run_swmm(file.text), Finding)


def test_a_file_swmm_refuses_is_a_finding():
    finding = run_swmm("[OPTIONS]\nFLOW_UNITS NONSENSE\n")
    assert isinstance(finding, Finding)
    assert finding.severity is Severity.NOT_COMPUTED


def test_without_the_extra_a_finding_says_how_to_get_it(monkeypatch):
    monkeypatch.setitem(sys.modules, "swmm", None)
    monkeypatch.setitem(sys.modules, "swmm.toolkit", None)
    finding = run_swmm("")
    assert isinstance(finding, Finding)
    assert "pip install swmm-toolkit" in finding.remedy
