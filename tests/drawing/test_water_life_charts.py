"""Charts of the water's life: bands as bands, worst tanks, nothing where nothing is known."""

from __future__ import annotations

from tankwright.drawing.chart import chart_table, draw_chart
from tankwright.drawing.svg import to_svg
from tankwright.drawing.water_life_charts import chlorine_chart, nitrate_chart, water_life_charts
from tankwright.systems.water import solve_water
from tankwright.systems.water_life_model import WaterLife

from ..systems.water_rooms import DRIP, TAP, carbon_room, wants, water_room

STOCK = '[[stock]]\ntanks = "A1..A3"\nfeed = "0.8 g/day"\n[[stock]]\ntanks = "A4"\ncount = 10\neach = "1 g"\n'


def life_of(room) -> WaterLife:
    life = solve_water(room, DRIP).life
    assert life is not None
    return life


def test_all_four_charts_are_drawn_and_told_in_words():
    room = carbon_room(TAP, STOCK, wants('nitrate = "40 mg/L"'))
    charts = dict(water_life_charts(room, life_of(room)))
    assert list(charts) == ["nitrate", "chlorine", "first_weeks_ammonia", "first_weeks_nitrite"]
    for chart in charts.values():
        drawing = draw_chart(chart)
        assert to_svg(drawing).startswith("<")
        assert len(chart_table(chart)[1]) > 20


def test_the_worst_tank_has_a_band_and_alike_tanks_are_one_line():
    room = water_room(TAP, STOCK, wants('nitrate = "40 mg/L"'))
    chart = nitrate_chart(room, life_of(room))
    assert len(chart.lines) == 2
    assert chart.lines[0].points[-1].low is not None
    assert chart.lines[1].points[-1].low is None
    assert chart.bands[0].high == 0.040
    assert len(chart.lines[0].points) == 27


def test_fresh_and_spent_carbon_stand_side_by_side_over_the_clock():
    room = carbon_room(TAP, STOCK)
    chart = chlorine_chart(room, life_of(room))
    assert [line.name for line in chart.lines] == ["carbon spent", "carbon fresh"]
    assert (chart.x.least, chart.x.most) == (0.0, 86_400.0)
    assert chart.bands[0].high == 2e-5


def test_a_room_without_water_or_fish_has_no_chart():
    room = water_room()
    assert list(water_life_charts(room, life_of(room))) == []
