"""The charts and the layer of warmth."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tankwright.drawing.chart import draw_chart
from tankwright.drawing.chart_model import Chart
from tankwright.drawing.colour import step_for
from tankwright.drawing.heat_charts import cut_chart, ends_of_rack, heat_charts, week_chart
from tankwright.drawing.layer_heat import draw_heat, share_of, strays
from tankwright.study import work_out
from tankwright.systems.heat import solve_heat
from tankwright.systems.heat_model import TankHeat

from ..systems.heat_rooms import shed, weather

ROOM = shed(climate='heat_to = "24 °C"\nheater = { power = "3000 W" }')
YEAR = weather(-5.0, 28.0, swing=4.0)
RESULT = solve_heat(ROOM, YEAR, {})
SPACE = RESULT.spaces[0]


def named(chart: Chart) -> list[str]:
    return [line.name for line in chart.lines]


def test_a_week_shows_outdoors_air_top_and_bottom_row() -> None:
    chart = week_chart(RESULT, SPACE, "coldest")
    assert named(chart) == ["outdoors", "air of the room", "bottom row (L1)", "top row (H1)"]
    assert all(len(line.points) == 168 for line in chart.lines)
    assert (chart.bands[0].low, chart.bands[0].high) == (23.0 + 273.15, 27.0 + 273.15)
    assert draw_chart(chart, 150.0, 90.0).parts


def test_the_cut_begins_where_the_week_ended_and_lasts_three_days() -> None:
    chart = cut_chart(RESULT, SPACE)
    assert chart.lines[0].points[0].x == 0.0
    assert chart.lines[0].points[-1].x == 72 * 3600.0
    assert chart.lines[0].points[0].y == pytest.approx(24.0 + 273.15, abs=0.1)


def test_tanks_of_one_row_are_drawn_once() -> None:
    row = [one for one in RESULT.tanks if one.tank.startswith("L")]
    assert [name for name, _ in ends_of_rack(SPACE, replace(RESULT, tanks=tuple(row)))] == ["bottom row (L1)"]


def test_every_space_with_tanks_has_three_files() -> None:
    assert [name for name, _ in heat_charts(RESULT)] == [
        "shed_coldest_week",
        "shed_hottest_week",
        "shed_power_cut",
    ]


def strayed(cold: float, hot: float) -> TankHeat:
    return replace(RESULT.tanks[0], coldest=cold + 273.15, hottest=hot + 273.15)


# wanted 23 to 27 °C
@pytest.mark.parametrize(
    ("cold", "hot", "off", "step"),
    [
        (24.0, 26.0, 0.0, "pale"), (22.5, 26.0, -0.5, "teal"), (19.0, 26.0, -4.0, "deep blue"),
        (24.0, 27.5, 0.5, "sand"), (24.0, 29.0, 2.0, "clay"), (24.0, 31.0, 4.0, "plum"), (20.0, 31.0, 4.0, "plum"),
    ],
)  # fmt: skip
def test_colours_tell_how_far_a_tank_strays(cold: float, hot: float, off: float, step: str) -> None:
    row = strayed(cold, hot)
    if (cold, hot) != (20.0, 31.0):
        assert strays(row) == pytest.approx(off)
    assert step_for(share_of(row)).name == step


def test_the_layer_has_a_colour_for_every_tank_and_figures_with_workings() -> None:
    drawn = draw_heat(work_out(ROOM, frozenset({"heat"}), weather=YEAR))
    assert {one.id for one in drawn.tanks} == {tank.id for tank in ROOM.tanks}
    assert len(drawn.figures) == len(drawn.workings) == 3
    assert all(one.share is not None for one in drawn.tanks)
