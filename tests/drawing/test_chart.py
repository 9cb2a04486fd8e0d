"""Charts: round numbers that cover the data, gaps, extremes kept, every text on the page, words for the table."""

from __future__ import annotations

import math
import random
from dataclasses import replace
from datetime import UTC, datetime
from itertools import pairwise
from xml.etree import ElementTree as ET
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tankwright.display import words
from tankwright.drawing.chart import (
    TIME,
    Axis,
    Band,
    Bar,
    Bars,
    Chart,
    ChartPoint,
    Line,
    Mark,
    chart_table,
    draw_chart,
    line_in_band,
    line_through,
    moment_words,
)
from tankwright.drawing.chart_lines import look_of
from tankwright.drawing.chart_scale import round_step, scale_for, scale_unit, value_words
from tankwright.drawing.chart_thin import extremes, thinned
from tankwright.drawing.chart_time import LATEST, time_ticks
from tankwright.drawing.colour import TABLE, Colour
from tankwright.drawing.model import Circle, Drawing, Group, Hatching, Polyline, Rectangle, Text, bounds, walk
from tankwright.drawing.screen_svg import to_screen_svg
from tankwright.drawing.svg import to_svg
from tankwright.finding import Number

FLOW = Axis(label="air", dimension="air_flow", least=0.0)
PRESSURE = Axis(label="pressure", dimension="pressure", least=0.0)
BERLIN = ZoneInfo("Europe/Berlin")
WHEN = Axis(label="", dimension=TIME, zone=BERLIN)
WARM = Axis(label="water temperature", dimension="temperature")
START = datetime(2026, 10, 20, tzinfo=UTC).timestamp()


def _pump() -> Chart:
    """A pump's curve that falls, a room's that rises, and where they meet."""
    return Chart(
        title="pump and room", x=FLOW, y=PRESSURE,
        lines=(
            line_through("the pump gives", ((0.0, 42e3), (0.8e-3, 20e3), (1.42e-3, 0.0))),
            line_through("the room takes", ((0.0, 1.7e3), (0.9e-3, 3.6e3), (1.56e-3, 5.6e3))),
        ),
        bands=(Band(name="allowed", low=None, high=25e3),),
        marks=(Mark(name="works here", x=1.3e-3, y=4.7e3),),
    )  # fmt: skip


def _warmth(count: int = 5000, names: tuple[str, ...] = ("A3",)) -> Chart:
    random_ = random.Random(2)
    lines = tuple(
        Line(
            name=name, place="A3",
            points=tuple(
                ChartPoint(x=START + index * 600, y=None if 40 < index % 400 < 60 else 298 + random_.gauss(0, 0.3))
                for index in range(count)
            ),
        )
        for name in names
    )  # fmt: skip
    marks = (Mark(name="heater changed", x=START + 86400 * 9), Mark(name="spawn", x=START + 86400 * 9.1))
    return Chart(title="warmth", x=WHEN, y=WARM, lines=lines, marks=marks,
                 bands=(Band(name="aimed at", low=297.0, high=299.0),))  # fmt: skip


def _bars(count: int = 38) -> Bars:
    bars = tuple(
        Bar(name=name, value=None if number == 4 else 0.2 + number / 40, place=name, link=f"/tank/{name}")
        for number, name in enumerate(f"T{number}" for number in range(count))
    )
    return Bars(title="water", x="tank", y=Axis(label="water exchanged a week", dimension="share"), bars=bars,
                bands=(Band(name="at least", low=0.5, high=None),))  # fmt: skip


MANY = _warmth(60, tuple(f"a tank with a long name, number {number}" for number in range(9)))
CHARTS: list[tuple[str, Chart | Bars, float, float]] = [
    ("pump", _pump(), 160, 72),
    ("small pump", _pump(), 60, 40),
    ("least", _pump(), 1, 1),
    ("US pump", replace(_pump(), y=Axis(label="pressure", dimension="pressure", display="US")), 90, 60),
    ("warmth", _warmth(), 160, 72),
    ("many names", MANY, 160, 90),
    ("many names, small", MANY, 70, 60),
    ("bars", _bars(), 160, 72),
    ("nine bars", _bars(9), 110, 60),
    ("a bar", _bars(1), 50, 30),
    ("600 bars", _bars(600), 160, 72),
    ("no bars", _bars(0), 160, 72),
]  # fmt: skip


@pytest.mark.parametrize(
    ("chart", "width", "height"), [one[1:] for one in CHARTS], ids=[one[0] for one in CHARTS]
)
def test_everything_lies_on_the_page_in_colours_of_the_table(
    chart: Chart | Bars, width: float, height: float
) -> None:
    drawing = draw_chart(chart, width, height)
    tokens = {colour.token for colour in TABLE}
    for shape in walk(drawing.parts):
        left, top, right, bottom = bounds(shape)
        assert left >= -1e-6, shape
        assert top >= -1e-6, shape
        assert right <= drawing.width + 1e-6, shape
        assert bottom <= drawing.height + 1e-6, shape
        used = [shape.colour] if isinstance(shape, Text) else []
        look = getattr(shape, "look", None)
        used += [paint for paint in (look.fill, look.stroke) if paint] if look is not None else []
        assert all(isinstance(paint, Colour) and paint.token in tokens for paint in used), shape
    assert ET.fromstring(to_svg(drawing)).tag.endswith("svg")
    ET.fromstring(to_screen_svg(drawing))


def _texts(drawing: Drawing) -> list[Text]:
    return [one for one in walk(drawing.parts) if isinstance(one, Text)]


def _classed(drawing: Drawing, name: str) -> list[Group]:
    return [one for one in walk(drawing.parts) if isinstance(one, Group) and name in one.classes]


@pytest.mark.parametrize(
    ("chart", "width", "height"), [one[1:] for one in CHARTS], ids=[one[0] for one in CHARTS]
)
def test_numbers_of_an_axis_do_not_run_into_each_other(
    chart: Chart | Bars, width: float, height: float
) -> None:
    for axis in _classed(draw_chart(chart, width, height), "axis"):
        boxes = [bounds(part) for part in axis.parts if isinstance(part, Text)]
        for index, first in enumerate(boxes):
            for second in boxes[index + 1 :]:
                apart = (
                    first[2] <= second[0]
                    or second[2] <= first[0]
                    or first[3] <= second[1]
                    or second[3] <= first[1]
                )
                assert apart


# --- scales -------------------------------------------------------------------------------------------


@given(
    first=st.floats(-1e6, 1e6), second=st.floats(-1e6, 1e6), most=st.integers(2, 12),
    dimension=st.sampled_from(["pressure", "length", "share", "flow", "temperature", "duration", "number", "mass"]),
    display=st.sampled_from(["metric", "US"]),
)  # fmt: skip
@settings(max_examples=300, deadline=None)
def test_ticks_cover_the_data_and_are_evenly_spaced(
    first: float, second: float, most: int, dimension: str, display: str
) -> None:
    axis = Axis(label="", dimension=dimension, display=display)
    scale = scale_for(axis, (first, second), 0.0, 100.0, most)
    ticks = [tick for tick, _ in scale.ticks]
    slack = 1e-6 * (scale.high - scale.low)
    assert ticks[0] <= min(first, second) + slack
    assert ticks[-1] >= max(first, second) - slack
    assert 2 <= len(ticks) <= 2 * most + 3
    gaps = [b - a for a, b in pairwise(ticks)]
    assert max(gaps) == pytest.approx(min(gaps), rel=1e-6)
    assert len({label for _, label in scale.ticks}) == len(ticks)  # each reads differently
    assert scale.at(first) + 1e-6 >= 0.0
    assert scale.at(second) <= 100.0 + 1e-6


def test_ticks_are_round_in_the_readers_unit() -> None:
    def labels(axis: Axis, *values: float) -> tuple[str, list[str]]:
        scale = scale_for(axis, values, 0.0, 100.0, 5)
        return scale.heading, [label for _, label in scale.ticks]

    assert labels(PRESSURE, 0.0, 19_500.0) == ("pressure, kPa", ["0", "5", "10", "15", "20"])
    us = Axis(label="pressure", dimension="pressure", display="US", least=0.0)
    assert labels(us, 0.0, 5000.0) == ("pressure, in of water", ["0", "5", "10", "15", "20", "25"])
    assert labels(Axis(label="t", dimension="temperature"), 297.15, 302.0) == (
        "t, °C",
        ["24", "25", "26", "27", "28", "29"],
    )
    assert labels(Axis(label="t", dimension="temperature", display="US"), 295.0, 299.0) == (
        "t, °F", ["70", "72", "74", "76", "78", "80"]
    )  # fmt: skip
    assert labels(Axis(label="share", dimension="share"), 0.0, 1.2) == ("share, %", ["0", "50", "100", "150"])
    assert labels(Axis(label="after", dimension="duration"), 0.0, 36 * 3600.0) == (
        "after, h",
        ["0", "12", "24", "36"],
    )
    assert labels(Axis(label="n", dimension="number"), 1001.0, 1004.0) == (
        "n",
        ["1001", "1002", "1003", "1004"],
    )
    assert labels(Axis(label="d", dimension="length"), -0.02, 0.013)[1] == ["−20", "−10", "0", "10", "20"]


@pytest.mark.parametrize("display", ["metric", "US"])
@pytest.mark.parametrize(
    "dimension", ["pressure", "length", "flow", "air_flow", "volume", "mass", "share", "temperature", "power"]
)
def test_a_tick_reads_as_the_same_number_in_words(dimension: str, display: str) -> None:
    """The number at the upper end of an axis is what `words` says of it, where both use one unit."""
    axis = Axis(label="", dimension=dimension, display=display)
    low = 290.0 if dimension == "temperature" else 0.0
    for size in (9.0, 30.0, 310.0):
        scale = scale_for(axis, (low, size if dimension != "temperature" else 290.0 + size / 10), 0.0, 1.0, 4)
        tick, label = scale.ticks[-1]
        told = words(Number(tick, dimension), display)
        if told.endswith(f" {scale.unit.label}") and "ft" not in told:
            assert told == f"{label} {scale.unit.label}"


def test_a_tenth_of_a_degree_is_not_drawn_as_a_mountain() -> None:
    scale = scale_for(Axis(label="t", dimension="temperature"), (291.9, 292.2), 0.0, 100.0, 5)
    assert scale.reach[1] - scale.reach[0] >= 4.0
    asked = Axis(label="t", dimension="temperature", least=291.15, most=292.15, clipped=True)
    low, high = scale_for(asked, (291.9, 292.2), 0.0, 100.0, 5).reach
    assert high - low == pytest.approx(1.0)  # a reader who asked for one degree gets one


def test_named_numbers_are_said_by_their_names() -> None:
    months = Axis(label="month", dimension="number", names=("Jan", "Feb", "Mar"))
    scale = scale_for(months, (1.0, 2.0), 0.0, 100.0, 9)
    assert scale.ticks == ((1.0, "Jan"), (2.0, "Feb"), (3.0, "Mar"))
    assert (scale.low, scale.high) == (1.0, 3.0)
    chart = Chart(title="", x=months, y=WARM, lines=(line_through("water", ((1.0, 297.15), (2.0, 298.15))),))
    assert [row[0] for row in chart_table(chart)[1]] == ["Jan", "Feb"]
    assert _classed(draw_chart(chart), "point")[0].title == "water: 24 °C at Jan"


def test_units_that_words_mix_are_one_on_an_axis() -> None:
    assert scale_unit(0.5, "length", "US").unit == "in"
    assert scale_unit(3.0, "length", "US").unit == "ft"
    assert scale_unit(0.02, "slope").label == "%"
    assert scale_unit(5.0, "temperature_difference", "US").shown(5.0) == pytest.approx(9.0)
    assert scale_unit(1.0, "no such dimension").shown(4.0) == 4.0


def test_a_lone_value_and_no_value_still_give_an_axis() -> None:
    for values in ((), (0.0,), (5.0,), (-3.0,), (1e-12,)):
        scale = scale_for(Axis(label="", dimension="pressure"), values, 0.0, 50.0, 4)
        assert scale.high > scale.low
        assert all(0.0 <= scale.at(value) <= 50.0 for value in values)
    assert round_step(math.nan) == 1.0
    assert round_step(0.0) == 1.0


def test_a_clipped_axis_keeps_the_ends_it_was_given() -> None:
    axis = Axis(label="t", dimension="temperature", least=297.2, most=298.6, clipped=True)
    scale = scale_for(axis, (290.0, 310.0, 298.0), 0.0, 100.0, 5)
    assert (scale.low, scale.high) == (297.2, 298.6)
    assert [label for _, label in scale.ticks] == ["24.5", "25"]
    assert not scale.holds(290.0)
    chart = Chart(
        title="", x=Axis(label="x", dimension="number", least=2.0, most=4.0, clipped=True), y=PRESSURE,
        lines=(line_through("l", tuple((float(x), 1000.0 * x) for x in range(10))),),
    )  # fmt: skip
    assert [p.data[1][1] for p in _classed(draw_chart(chart), "point")] == ["2", "3", "4"]


# --- time ---------------------------------------------------------------------------------------------


def test_moments_are_told_by_the_readers_clock() -> None:
    at = datetime(2026, 7, 1, 22, 30, tzinfo=UTC).timestamp()
    assert moment_words(at) == "1 Jul 2026, 22:30"
    assert moment_words(at, BERLIN) == "2 Jul 2026, 00:30"
    assert value_words(at, WHEN) == "2 Jul 2026, 00:30"
    assert value_words(math.inf, WHEN) == "not known"


def test_ticks_of_days_stand_at_local_midnight_across_a_clock_change() -> None:
    low = datetime(2026, 10, 23, tzinfo=UTC).timestamp()  # clocks go back in Berlin on 25 October 2026
    ticks = time_ticks(low, low + 5 * 86400, 6, BERLIN)
    assert [label for _, label in ticks] == ["24 Oct 2026", "25 Oct", "26 Oct", "27 Oct", "28 Oct"]
    assert [moment_words(at, BERLIN)[-5:] for at, _ in ticks] == ["00:00"] * 5
    gaps = [round((b - a) / 3600) for (a, _), (b, _) in pairwise(ticks)]
    assert gaps == [24, 25, 24, 24]


def test_a_skipped_hour_has_no_tick_and_a_repeated_one_only_one() -> None:
    spring = datetime(2026, 3, 29, 0, 0, tzinfo=BERLIN).timestamp()
    labels = [label for _, label in time_ticks(spring, spring + 5 * 3600, 8, BERLIN)]
    assert labels == ["29 Mar 2026", "01:00", "03:00", "04:00", "05:00", "06:00"]
    autumn = datetime(2026, 10, 25, 0, 0, tzinfo=BERLIN).timestamp()
    labels = [label for _, label in time_ticks(autumn, autumn + 5 * 3600, 8, BERLIN)]
    assert labels == ["25 Oct 2026", "01:00", "02:00", "03:00", "04:00"]


@given(
    start=st.floats(-2e9, 1e10), span=st.floats(0.0, 5e9), most=st.integers(1, 12),
    zone=st.sampled_from([UTC, BERLIN, ZoneInfo("America/New_York"), ZoneInfo("Asia/Kathmandu")]),
)  # fmt: skip
@settings(max_examples=150, deadline=None)
def test_time_ticks_rise_lie_inside_and_are_not_too_many(
    start: float, span: float, most: int, zone: ZoneInfo
) -> None:
    high = min(start + span, LATEST)
    ticks = time_ticks(start, high, most, zone)
    moments = [at for at, _ in ticks]
    assert moments == sorted(set(moments))
    assert all(start <= at <= high for at in moments)
    assert len(ticks) <= 2 * max(most, 2) + 2
    assert all(first != second for (_, first), (_, second) in pairwise(ticks))


# --- lines --------------------------------------------------------------------------------------------


def test_a_gap_parts_the_line_and_a_lone_point_is_a_dot() -> None:
    points = tuple(
        ChartPoint(x=float(x), y=y)
        for x, y in enumerate([1.0, 2.0, None, 3.0, math.nan, 4.0, 5.0, math.inf, 2.0, 1.0])
    )
    chart = Chart(
        title="", x=Axis(label="x", dimension="number"), y=PRESSURE, lines=(Line(name="l", points=points),)
    )
    (drawn,) = _classed(draw_chart(chart), "line")
    assert [len(part.points) for part in drawn.parts if isinstance(part, Polyline)] == [2, 2, 2]
    assert len([part for part in drawn.parts if isinstance(part, Circle)]) == 1


@given(
    st.lists(st.tuples(st.floats(0, 100), st.floats(-50, 50)), min_size=1, max_size=400), st.floats(0.2, 5)
)
@settings(max_examples=150, deadline=None)
def test_thinning_keeps_first_last_highest_and_lowest_of_every_column(
    values: list[tuple[float, float]], column: float
) -> None:
    points = [(point, index) for index, point in enumerate(sorted(values, key=lambda one: one[0]))]
    for kept, ends in ((thinned(points, column), True), (extremes(points, column), False)):
        assert [index for _, index in kept] == sorted({index for _, index in kept})
        columns = {int(point[0] // column) for point, _ in points}
        for one in columns:
            before = [point for point, _ in points if int(point[0] // column) == one]
            after = [point for point, _ in kept if int(point[0] // column) == one]
            assert max(y for _, y in after) == max(y for _, y in before)
            assert min(y for _, y in after) == min(y for _, y in before)
            assert len(after) <= 4
            if ends:
                assert (before[0], before[-1]) == (after[0], after[-1])


def test_a_lone_peak_among_a_hundred_thousand_values_is_seen() -> None:
    points = tuple(
        ChartPoint(x=START + index * 30, y=298.0 if index != 61_234 else 305.0) for index in range(100_000)
    )
    chart = Chart(title="", x=WHEN, y=WARM, lines=(Line(name="A3", points=points),))
    drawing = draw_chart(chart)
    (line,) = _classed(drawing, "line")
    (run,) = line.parts
    assert isinstance(run, Polyline)
    assert len(run.points) < 4 * drawing.width / (25.4 / 96)
    peak = min(run.points, key=lambda point: point[1])
    level = max(run.points, key=lambda point: point[1])
    assert level[1] - peak[1] > 0.5 * drawing.height
    assert any("61234" in dict(group.data)["data-at"] for group in _classed(drawing, "point"))


def test_every_spot_says_its_value_at_printed_precision_and_where_it_is_in_its_line() -> None:
    chart = _pump()
    spots = _classed(draw_chart(chart), "point")
    assert len(spots) == 6
    for spot in spots:
        data = dict(spot.data)
        line = chart.lines[int(data["data-line"])]
        point = line.points[int(data["data-at"])]
        pressure, flow = words(Number(point.y or 0.0, "pressure")), words(Number(point.x, "air_flow"))
        assert spot.title == f"{line.name}: {pressure} at {flow}"
    assert "the pump gives: 20 kPa at 48 L/min" in [spot.title for spot in spots]
    assert 'data-at="2"' in to_screen_svg(draw_chart(chart))


def test_a_points_own_title_and_place_are_kept() -> None:
    line = Line(name="l", points=(ChartPoint(x=1.0, y=1.0, title="spawned here", place="B2"),))
    (spot,) = _classed(draw_chart(Chart(title="", x=FLOW, y=PRESSURE, lines=(line,))), "point")
    assert (spot.title, spot.place) == ("spawned here", "B2")


def test_the_working_point_and_events_are_marked_and_named() -> None:
    (spot,) = _classed(draw_chart(_pump()), "spot")
    assert spot.title == "works here: 4.7 kPa at 78 L/min"
    assert [part.text for part in spot.parts if isinstance(part, Text)] == ["works here"]
    events = _classed(draw_chart(_warmth()), "event")
    assert [event.title.split(",")[0] for event in events] == ["heater changed", "spawn"]
    shown = [part.text for event in events for part in event.parts if isinstance(part, Text)]
    assert shown == ["heater changed"]  # the second would run into it; it still says its name when asked


def test_names_stand_at_line_ends_or_else_in_rows() -> None:
    drawing = draw_chart(_pump())
    names = {text.text: text for text in _texts(drawing) if text.text in ("the pump gives", "the room takes")}
    assert len(names) == 2
    lines = {group.title: group for group in _classed(drawing, "line")}
    for name, text in names.items():
        (run,) = lines[name].parts
        assert isinstance(run, Polyline)
        right = max(run.points, key=lambda point: point[0])
        assert (
            0 < text.at[0] - right[0] < 3
        )  # beside its right end, though the pump's curve was told from the left
        assert abs(text.at[1] - right[1]) < 4
    rows = draw_chart(MANY, 160, 90)
    named = [text for text in _texts(rows) if text.text.startswith("a tank with a long name")]
    assert len(named) == 9
    highest = min(
        y
        for group in _classed(rows, "line")
        for run in group.parts
        if isinstance(run, Polyline)
        for _, y in run.points
    )
    assert all(text.at[1] < highest for text in named)


def test_lines_differ_by_more_than_colour() -> None:
    looks = {(look_of(index).width, look_of(index).dash) for index in range(6)}
    assert len(looks) == 6


def test_a_band_is_shown_as_far_as_the_axis_goes() -> None:
    drawing = draw_chart(_pump())
    (band,) = _classed(drawing, "band")
    assert band.title == "allowed"
    assert len([part for part in band.parts if isinstance(part, Polyline)]) == 1  # open below
    upward = Chart(
        title="",
        x=FLOW,
        y=PRESSURE,
        lines=_pump().lines,
        bands=(Band(name="range", low=0.0, high=1e-3, along="x"),),
    )
    (band,) = _classed(draw_chart(upward), "band")
    assert len([part for part in band.parts if isinstance(part, Polyline)]) == 2


@pytest.mark.parametrize(
    "chart",
    [
        Chart(title="t", x=FLOW, y=PRESSURE),
        Chart(title="t", x=FLOW, y=PRESSURE, lines=(Line(name="l", points=()),)),
        Chart(title="t", x=WHEN, y=WARM, lines=(line_through("l", ((START, None), (math.nan, 1.0))),)),
        Bars(title="t", x="tank", y=PRESSURE),
    ],
)
def test_an_empty_chart_says_so(chart: Chart | Bars) -> None:
    drawing = draw_chart(chart)
    assert [text.text for text in _texts(drawing)] == ["no values yet"]
    assert drawing.description == "no values yet"


@given(
    st.lists(st.tuples(st.floats(), st.one_of(st.none(), st.floats())), max_size=20),
    st.sampled_from(["pressure", TIME, "temperature", "nonsense"]), st.floats(), st.floats(),
)  # fmt: skip
@settings(max_examples=200, deadline=None)
def test_no_number_raises(
    pairs: list[tuple[float, float | None]], dimension: str, width: float, height: float
) -> None:
    axis = Axis(label="x", dimension=dimension)
    chart = Chart(
        title="t", x=axis, y=PRESSURE, lines=(line_through("l", tuple(pairs)),),
        marks=tuple(Mark(name="m", x=x, y=y) for x, y in pairs[:3]),
    )  # fmt: skip
    drawing = draw_chart(chart, min(width, 1e4), min(height, 1e4))
    assert math.isfinite(drawing.width)
    chart_table(chart)
    bars = Bars(title="t", x="x", y=axis, bars=tuple(Bar(name="b", value=y) for _, y in pairs))
    draw_chart(bars)
    chart_table(bars)


# --- bars ---------------------------------------------------------------------------------------------


def test_bars_stand_on_zero_as_high_as_their_values_and_unknown_ones_are_hatched() -> None:
    drawing = draw_chart(_bars())
    bars = _classed(drawing, "column")
    assert len(bars) == 38
    heights = {}
    for group in bars:
        solid = [p for p in group.parts if isinstance(p, Rectangle) and p.look.fill]
        if group.place == "T4":
            assert solid == []
            assert any(isinstance(p, Hatching) for p in group.parts)
            assert group.title == "T4: not known"
            continue
        heights[group.place] = solid[0].height
    assert heights["T36"] / heights["T16"] == pytest.approx((0.2 + 36 / 40) / (0.2 + 16 / 40))
    assert bars[16].title == "T16: 60 %"
    assert bars[16].link == "/tank/T16"
    assert dict(bars[16].data) == {"data-at": "16"}


def test_a_negative_bar_hangs_from_zero() -> None:
    bars = Bars(title="", x="", y=Axis(label="change", dimension="pressure"),
                bars=(Bar(name="a", value=-500.0), Bar(name="b", value=500.0)))  # fmt: skip
    down, up = (
        next(p for p in g.parts if isinstance(p, Rectangle)) for g in _classed(draw_chart(bars), "column")
    )
    assert down.y == pytest.approx(up.y + up.height)
    assert down.height == pytest.approx(up.height)


# --- the table ----------------------------------------------------------------------------------------


def test_the_table_has_every_value_in_words() -> None:
    head, rows = chart_table(_pump())
    assert head == ("air", "the pump gives", "the room takes", "note")
    assert rows == (
        ("0 L/min", "42 kPa", "1.7 kPa", ""),
        ("48 L/min", "20 kPa", "", ""),
        ("54 L/min", "", "3.6 kPa", ""),
        ("78 L/min", "", "", "works here, 4.7 kPa"),
        ("85.2 L/min", "0 Pa", "", ""),
        ("93.6 L/min", "", "5.6 kPa", ""),
    )
    assert all(len(row) == len(head) for row in rows)


def test_the_table_tells_a_gap_from_nothing() -> None:
    chart = Chart(
        title="", x=WHEN, y=WARM,
        lines=(line_through("A3", ((START, 298.15), (START + 60, None))), line_through("B1", ((START, 297.15),))),
    )  # fmt: skip
    head, rows = chart_table(chart)
    assert head == ("", "A3", "B1")
    assert rows == (("20 Oct 2026, 02:00", "25 °C", "24 °C"), ("20 Oct 2026, 02:01", "not known", ""))


def test_numbers_that_read_alike_share_a_row_but_lose_none() -> None:
    chart = Chart(
        title="", x=FLOW, y=PRESSURE,
        lines=(line_through("a", ((0.0, 1000.0), (1e-18, 2000.0))), line_through("b", ((2e-18, 3000.0),))),
    )  # fmt: skip
    assert chart_table(chart)[1] == (("0 L/min", "1 kPa", ""), ("0 L/min", "2 kPa", "3 kPa"))


def test_the_table_of_bars() -> None:
    head, rows = chart_table(_bars(6))
    assert head == ("tank", "water exchanged a week")
    assert rows[2] == ("T2", "25 %")
    assert rows[4] == ("T4", "not known")


# --- bands of lines -----------------------------------------------------------------------------------


def _banded(high: float = 3e4) -> Chart:
    points = ((0.0, 1e4, 1e4, 1e4), (1e-3, 5e3, 1.5e4, 2e4), (2e-3, 2e3, 2e4, high))
    return Chart(title="banded", x=FLOW, y=PRESSURE, lines=(line_in_band("likely", points),))


def test_a_line_with_a_band_stands_on_its_ground_and_its_axis_reaches_both_ends():
    drawing = draw_chart(_banded())
    grounds = [shape for shape in walk(drawing.parts) if isinstance(shape, Polyline) and shape.closed]
    assert len(grounds) == 1
    assert len(grounds[0].points) == 6
    top = min(y for _, y in grounds[0].points)
    line = next(
        shape for shape in walk(drawing.parts) if isinstance(shape, Polyline) and len(shape.points) == 3
    )
    assert top < min(y for _, y in line.points)
    assert top > 0.0


def test_the_table_and_the_points_tell_the_band():
    assert chart_table(_banded())[1][1] == ("60 L/min", "15 kPa (5 kPa to 20 kPa)")
    titles = [
        part.title for part in walk(draw_chart(_banded()).parts) if isinstance(part, Group) and part.title
    ]
    assert any("from 5 kPa to 20 kPa" in title for title in titles)


def test_a_band_without_an_end_is_drawn_to_the_edge_of_the_plot():
    drawing = draw_chart(_banded(math.inf))
    for shape in walk(drawing.parts):
        if isinstance(shape, Polyline):
            assert all(math.isfinite(y) and 0.0 <= y <= drawing.height for _, y in shape.points)
