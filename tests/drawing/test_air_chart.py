"""The chart of an air run shows what was solved, in the reader's units."""

from __future__ import annotations

from pathlib import Path

import pytest

from tankwright.drawing.air_chart import air_chart
from tankwright.drawing.chart import chart_table, draw_chart
from tankwright.workspace.opened import open_plan

EXAMPLES = Path(__file__).parents[2] / "examples"


@pytest.mark.parametrize("name", ["cellar", "cellar_mended", "garage", "hall"])
def test_the_working_point_lies_on_both_lines(name: str) -> None:
    opened = open_plan(EXAMPLES / f"{name}.toml")
    assert opened.room is not None
    assert opened.study is not None
    assert opened.study.air is not None
    for run in opened.study.air.runs:
        chart = air_chart(run, opened.room.pumps, opened.room.display)
        mark = chart.marks[0]
        assert (mark.x, mark.y) == (run.total_flow, pytest.approx(run.pumps[0].pressure))
        assert any((point.x, point.y) == (mark.x, mark.y) for point in chart.lines[1].points)
        heads, rows = chart_table(chart)
        assert len(heads) == 4
        assert any("works here" in row[-1] for row in rows)
        assert draw_chart(chart).parts


def test_the_band_is_what_the_maker_allows() -> None:
    opened = open_plan(EXAMPLES / "cellar.toml")
    assert opened.room is not None
    assert opened.study is not None
    assert opened.study.air is not None
    chart = air_chart(opened.study.air.runs[0], opened.room.pumps, "metric")
    assert [(band.low, band.high) for band in chart.bands] == [(None, 25e3)]
