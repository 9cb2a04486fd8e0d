"""The fall of the oxygen as a chart, a file and a layer: what was solved, in its band, worst first."""

from __future__ import annotations

import math
from functools import cache
from pathlib import Path

import pytest

from tankwright.drawing.chart import chart_table, draw_chart
from tankwright.drawing.chart_sheet import chart_sheet
from tankwright.drawing.layers import draw_results
from tankwright.drawing.model import bounds, walk
from tankwright.drawing.oxygen_charts import NOTES, fall_chart, first_falls_chart, last_shown
from tankwright.study import Study
from tankwright.systems.oxygen import solve_oxygen
from tankwright.systems.oxygen_model import OxygenResult
from tankwright.workspace.opened import open_plan

from ..systems.oxygen_rooms import oxygen_room

EXAMPLES = Path(__file__).parents[2] / "examples"


@cache
def study(name: str = "cellar") -> Study:
    made = open_plan(EXAMPLES / f"{name}.toml").study
    assert made is not None
    return made


def solved(name: str = "cellar") -> OxygenResult:
    result = study(name).oxygen
    assert result is not None
    return result


def test_the_line_meets_the_trouble_level_at_the_time_that_was_solved():
    result = solved()
    one = next(one for one in result.in_order if one.stirring > 0.0)
    chart = fall_chart(result, one, "metric")
    assert one.trouble is not None
    assert result.laws is not None
    assert {mark.x for mark in chart.marks} >= {one.trouble.low, one.trouble.value}
    line = chart.lines[0]
    before = [point for point in line.points if point.x <= one.trouble.value]
    after = [point for point in line.points if point.x > one.trouble.value]
    level = result.laws.trouble.value
    assert all(point.y >= level for point in before if point.y is not None)
    assert all(point.y < level for point in after if point.y is not None)
    for point in line.points:
        assert point.low is not None
        assert point.y is not None
        assert point.high is not None
        assert point.low <= point.y <= point.high


def test_a_measured_surface_is_drawn_without_a_band():
    result = solve_oxygen(oxygen_room(assume='"oxygen.still" = "0.6 m/day"'), {"A1": 2e-5})
    chart = fall_chart(result, result.tanks[0], "metric")
    assert all(point.low is None for point in chart.lines[0].points)


def test_a_tank_without_fish_says_so_instead_of_a_line():
    result = solve_oxygen(oxygen_room(stock='[[stock]]\ntanks = "A1"\ncount = 5\n'), {})
    chart = fall_chart(result, result.tanks[1], "metric")
    assert chart.lines == ()
    assert "no fish" in chart.empty


@pytest.mark.parametrize("name", ["cellar", "cellar_mended", "garage"])
def test_the_first_in_trouble_come_first_and_alike_tanks_once(name: str):
    result = solved(name)
    chart = first_falls_chart(result, study(name).room.display)
    assert 1 <= len(chart.lines) <= 3
    times = [one.trouble for one in result.in_order if one.tank in {line.place for line in chart.lines}]
    low = [time.low for time in times if time is not None]
    assert low == sorted(low)
    assert len(chart_table(chart)[0]) >= 2


def test_the_axis_reaches_past_the_look_and_past_every_time_it_marks():
    result = solved()
    one = next(one for one in result.in_order if one.stirring > 0.0)
    assert one.trouble is not None
    last = last_shown(result, (one,))
    met = [time for time in (one.trouble.low, one.trouble.value) if math.isfinite(time)]
    assert last > max(result.gap, *met)


def test_a_file_of_a_chart_keeps_title_chart_and_notes_on_its_page():
    sheet = chart_sheet(first_falls_chart(solved(), "metric"), NOTES)
    for shape in walk(sheet.parts):
        left, top, right, bottom = bounds(shape)
        assert left >= -0.5
        assert top >= -0.5
        assert right <= sheet.width + 0.5
        assert bottom <= sheet.height + 0.5
    assert (
        draw_chart(first_falls_chart(OxygenResult(), "metric")).description
        == "no tank with air and described fish"
    )


def test_the_layer_colours_by_time_over_the_gap_and_hatches_what_is_not_known():
    results = draw_results(study(), (), "oxygen")
    result = solved()
    for one in result.tanks:
        drawn = results.tank(one.tank)
        assert drawn is not None
        assert one.trouble is not None
        if one.stirring > 0.0 and math.isfinite(one.trouble.value):
            assert drawn.share == pytest.approx(one.trouble.value / result.gap)
    assert len(results.figures) == len(results.workings) == 3
    silent = draw_results(study("hall"), (), "oxygen")
    assert silent.tanks == ()
    assert silent.figures == ()
