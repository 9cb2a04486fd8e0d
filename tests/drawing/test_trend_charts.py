"""Tests over time: each a range, none joined over a gap, limits and causes there, a proved fall goes on."""

from __future__ import annotations

import math
import xml.etree.ElementTree as ET
from dataclasses import replace
from zoneinfo import ZoneInfo

import pytest

from tankwright.drawing.chart import chart_table, draw_chart
from tankwright.drawing.chart_model import Axis, Chart, ChartPoint, Line
from tankwright.drawing.model import Polyline, walk
from tankwright.drawing.screen_svg import to_screen_svg
from tankwright.drawing.trend_charts import trend_chart
from tankwright.husbandry.water_causes import Cause
from tankwright.husbandry.water_limits import WaterLimit

from ..husbandry.happenings import day
from ..husbandry.waters import noted, verdicts

FALLING = [
    (7.0 * n, value) for n, value in enumerate((5.5, 5.0, 4.5, 4.0, 4.0, 3.5, 3.0, 3.0, 2.5, 2.0, 2.0))
]


def test_each_test_stands_as_it_was_read_in_the_range_it_may_be() -> None:
    one = verdicts(70.5, noted("kh", FALLING, method="double sample"))["kh"]
    line = trend_chart(one).lines[0]
    assert line.ranges == "bars"
    assert [point.y for point in line.points] == [reading.value for reading in one.series.readings]
    for point, reading in zip(line.points, one.series.readings, strict=True):
        assert (point.low, point.high) == (reading.low, reading.high)
        assert point.x == reading.at.timestamp()


def test_tests_far_apart_are_not_joined() -> None:
    one = verdicts(120.5, noted("no3", [(0, 10.0), (7, 10.0), (14, 10.0), (100, 20.0), (107, 20.0)]))["no3"]
    points = trend_chart(one).lines[0].points
    assert [point.y is None for point in points] == [False, False, False, True, False, False]
    assert points[2].x < points[3].x < points[4].x


def test_limits_and_what_is_usual_stand_there_by_name() -> None:
    one = verdicts(24 * 7 + 1.0, noted("no3", [(number * 7, 10.0) for number in range(24)]))["no3"]
    names = [band.name for band in trend_chart(one).bands]
    assert names == ["usual limit", "its usual, least", "its usual, most"]
    assert "below this it harms" in [
        band.name for band in trend_chart(verdicts(1.0, noted("kh", [(0, 4.0)]))["kh"]).bands
    ]


def test_a_proved_fall_goes_on_as_a_band_to_its_limit_and_nothing_else_does() -> None:
    falling = verdicts(70.5, noted("kh", FALLING, method="double sample"))["kh"]
    ahead = trend_chart(falling).lines[-1]
    assert ahead.name == "if it goes on"
    first, last = ahead.points
    assert first.x == falling.taken[-1].at.timestamp()
    assert falling.fall is not None
    assert last.x - first.x == pytest.approx(min(falling.fall.latest, 30.0) * 86400.0)
    assert last.low is not None
    assert last.high is not None
    assert last.low <= 0.020 <= last.high + 1e-3
    steady = verdicts(30.0, noted("kh", [(number * 7, 6.0) for number in range(4)]))["kh"]
    assert [line.name for line in trend_chart(steady).lines] == ["KH"]


def test_causes_since_the_first_test_are_marked_and_earlier_ones_are_not() -> None:
    one = verdicts(70.5, noted("kh", FALLING))["kh"]
    causes = [Cause(at=day(at), place="p", kind="water change", says="water") for at in (-5, 20)]
    marks = trend_chart(one, causes).marks
    assert [mark.x for mark in marks] == [day(20).timestamp()]
    assert "water" in marks[0].title


def test_causes_close_together_are_one_mark_that_names_each() -> None:
    one = verdicts(70.5, noted("kh", FALLING))["kh"]  # 70 days
    causes = [
        Cause(at=day(at), place="p", kind="water change", says=f"water {at}") for at in (20, 21, 22, 40)
    ]
    marks = trend_chart(one, causes).marks
    assert [(mark.name, mark.x) for mark in marks] == [
        ("3 causes", day(20).timestamp()), ("water 40", day(40).timestamp()),
    ]  # fmt: skip
    assert all(f"water {at}" in marks[0].title for at in (20, 21, 22))


def test_a_usual_end_beside_a_limit_is_not_drawn_over_it() -> None:
    one = verdicts(24 * 7 + 1.0, noted("no3", [(number * 7, 10.0) for number in range(24)]))["no3"]
    assert one.usual is not None
    _, high = one.usual.single
    beside = WaterLimit(quantity="no3", kind="wanted", high=1.02 * high, source="the plan")
    names = [band.name for band in trend_chart(replace(one, limits=(beside,))).bands]
    assert names == ["wanted", "its usual, least"]
    apart = replace(beside, high=2.0 * high)
    assert "its usual, most" in [band.name for band in trend_chart(replace(one, limits=(apart,))).bands]


def test_a_chart_is_drawn_in_the_readers_units_and_zone_and_told_as_a_table() -> None:
    one = verdicts(15.0, noted("temperature", [(0, 25.0), (7, 25.0), (14, 26.0)]))["temperature"]
    chart = trend_chart(one, display="US", zone=ZoneInfo("Australia/Sydney"))
    svg = to_screen_svg(draw_chart(chart), name="t", classes=("chart",))
    ET.fromstring(svg)
    assert "°F" in svg
    _, rows = chart_table(chart)
    assert len(rows) == 3
    assert rows[0][1].startswith("77 °F (")


def test_ranges_as_bars_are_drawn_at_their_points_and_make_no_band() -> None:
    axis = Axis(label="y", dimension="number")
    points = tuple(ChartPoint(x=float(n), y=2.0, low=1.0, high=3.0) for n in range(3))

    def shapes(ranges: str) -> list[Polyline]:
        line = Line(name="", points=points, ranges=ranges)  # type: ignore[arg-type] - either
        drawn = draw_chart(Chart(title="", x=axis, y=axis, lines=(line,)))
        return [one for one in walk(drawn.parts) if isinstance(one, Polyline)]

    assert any(one.closed for one in shapes("band"))
    bars = shapes("bars")
    assert not any(one.closed and one.look.fill for one in bars)
    upright = [one for one in bars if len(one.points) == 2 and math.isclose(one.points[0][0], one.points[1][0])
               and one.look.width == 0.3 and one.look.stroke == shapes("bars")[-1].look.stroke]  # fmt: skip
    assert len(upright) >= 3
