"""The long-section on a page: both scales of height, water of the chosen case, names that are links."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

import pytest

from tankwright.drawing.layers import draw_results, with_case, worst_case
from tankwright.drawing.results import DrawnResults
from tankwright.drawing.section_parts import SectionFrame
from tankwright.drawing.section_screen import WIDTH, ScreenSection, draw_screen_section
from tankwright.room.model import DrainRun
from tankwright.workspace.opened import Opened, open_plan

EXAMPLES = Path(__file__).parent.parent.parent / "examples"
NAMES = ("cellar", "cellar_mended", "garage", "hall")


@cache
def opened(name: str) -> Opened:
    return open_plan(EXAMPLES / f"{name}.toml")


def drawn(name: str, run: DrainRun, case: str | None = None) -> ScreenSection:
    of = opened(name)
    assert of.room is not None
    assert of.study is not None
    assert of.study.drain is not None
    results = draw_results(of.study, of.findings, "drain")
    if case is not None:
        solved = next(one for one in of.study.drain.runs if one.run == run.id)
        results = with_case(results, solved, case, of.room.display)
    return draw_screen_section(of.room, run, results, link=lambda tank: f"/?at={tank}")


def runs(name: str) -> tuple[DrainRun, ...]:
    room = opened(name).room
    assert room is not None
    return room.drains


def box_of(section: ScreenSection) -> tuple[float, float]:
    found = re.search(r'viewBox="0 0 ([\d.]+) ([\d.]+)"', section.svg)
    assert found is not None
    return float(found[1]), float(found[2])


@pytest.mark.parametrize("name", NAMES)
def test_every_coordinate_lies_on_the_page(name: str) -> None:
    for run in runs(name):
        section = drawn(name, run)
        wide, tall = box_of(section)
        assert wide == pytest.approx(section.width, abs=0.01)
        for x, y in re.findall(r'<text x="(-?[\d.]+)" y="(-?[\d.]+)"', section.svg):
            assert 0 <= float(x) <= wide
            assert 0 <= float(y) <= tall


@pytest.mark.parametrize("name", NAMES)
def test_every_tank_of_the_run_is_a_link(name: str) -> None:
    for run in runs(name):
        svg = drawn(name, run).svg
        for tank in (tank for node in run.nodes for tank in node.tanks):
            assert svg.count(f'href="/?at={tank}"') == 1


def test_the_water_is_that_of_the_case() -> None:
    run = runs("cellar")[0]
    study = opened("cellar").study
    assert study is not None
    assert study.drain is not None
    solved = study.drain.runs[0]
    worst = worst_case(solved)
    assert worst is not None
    assert drawn("cellar", run) == drawn("cellar", run, worst.name)
    assert len({drawn("cellar", run, case.name).svg for case in solved.cases}) == len(solved.cases)
    assert drawn("cellar", run, "no such case") == drawn("cellar", run)


def test_fall_and_depth_are_drawn_large_and_tanks_small() -> None:
    section = drawn("cellar", runs("cellar")[0])
    assert section.larger > 5
    assert section.larger_above is not None
    assert section.larger_above < section.larger


def test_a_drain_without_results_is_drawn_dry() -> None:
    room = opened("cellar").room
    assert room is not None
    svg = draw_screen_section(room, room.drains[0], DrawnResults(layer="drain"), link=str).svg
    assert "var(--d-flow)" not in svg
    assert "var(--d-flow)" in drawn("cellar", room.drains[0]).svg


def test_a_drain_with_many_joints_gets_wider_than_the_page() -> None:
    assert all(drawn("hall", run).width > WIDTH for run in runs("hall"))


def test_a_line_that_passes_the_knee_bends_there() -> None:
    frame = SectionFrame(left=0, bottom=100, lowest=0.0, along=100, up=10, knee=0.5, up_above=50)
    assert frame.way((0.0, 0.0), (1.0, 1.0)) == (frame.at(0.0, 0.0), frame.at(0.5, 0.5), frame.at(1.0, 1.0))
    assert frame.way((0.0, 0.0), (1.0, 0.4)) == (frame.at(0.0, 0.0), frame.at(1.0, 0.4))
    assert frame.way((0.0, 0.6), (1.0, 0.9)) == (frame.at(0.0, 0.6), frame.at(1.0, 0.9))


def test_the_section_of_one_example_stays_small() -> None:
    assert all(len(drawn("cellar_mended", run).svg) < 40_000 for run in runs("cellar_mended"))
