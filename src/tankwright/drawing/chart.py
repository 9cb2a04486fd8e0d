"""Small charts on the drawing model, and the same numbers as words for the table under them.

A chart is told in SI; axes choose round numbers in the reader's unit. It reads in grey: lines differ by dash and
weight too. Names stand at the ends of lines where they fit, in rows over the plot where they do not.
"""

from __future__ import annotations

import math
from typing import Final

from tankwright.drawing.chart_bars import draw_bars
from tankwright.drawing.chart_frame import (
    SMALL,
    TEXT,
    Plot,
    draw_bands,
    heading,
    labels_width,
    level_axis,
    overlaps,
    upright_axis,
)
from tankwright.drawing.chart_lines import (
    DOT,
    FEW,
    covered,
    direct_labels,
    draw_bars_of,
    draw_line,
    draw_marks,
    draw_points,
    draw_ribbons,
    hidden,
    legend,
    placed,
)
from tankwright.drawing.chart_model import (
    TIME,
    Axis,
    Band,
    Bar,
    Bars,
    Chart,
    ChartPoint,
    Line,
    Mark,
    line_in_band,
    line_through,
)
from tankwright.drawing.chart_scale import Scale, limits, scale_for, usable
from tankwright.drawing.chart_table import ChartTable, chart_table
from tankwright.drawing.chart_time import moment_words
from tankwright.drawing.colour import PAPER, QUIET
from tankwright.drawing.model import (
    Bounds,
    Drawing,
    Look,
    Rectangle,
    Shape,
    Text,
    bounds,
    fitting_size,
    text_width,
)

__all__ = [
    "ON_PAGE",
    "TIME",
    "Axis",
    "Band",
    "Bar",
    "Bars",
    "Chart",
    "ChartPoint",
    "ChartTable",
    "Line",
    "Mark",
    "chart_table",
    "draw_chart",
    "line_in_band",
    "line_through",
    "moment_words",
]

ON_PAGE: Final = (73.0, 56.0)
"""mm of a chart on a page of the app: narrow enough that its smallest writing is 11 dots high on a phone 360 wide, and
two of them stand side by side on a desk."""

_LEAST_WIDTH = 50.0  # mm
_LEAST_HEIGHT = 30.0
_WIDE = 100.0  # from here on names may take a third of the width


def draw_chart(chart: Chart | Bars, width: float = 160.0, height: float = 72.0) -> Drawing:
    """A chart on a page of that many mm; a smaller page than 50 by 30 mm is made so large. Raises nothing.

    Each value one can point at is a group of class "point" with its words as title, its number in its line as
    `data-at` (and the line's as `data-line`), its `place`. The heading of the page is left to the page.

    >>> axis = Axis(label="flow", dimension="flow")
    >>> draw_chart(Chart(title="nothing", x=axis, y=axis)).description
    'no values yet'
    """
    width = max(width, _LEAST_WIDTH) if math.isfinite(width) else 160.0
    height = max(height, _LEAST_HEIGHT) if math.isfinite(height) else 72.0
    if _is_empty(chart):
        return _nothing(chart, width, height)
    parts = draw_bars(chart, width, height) if isinstance(chart, Bars) else _lines(chart, width, height)
    paper = Rectangle(x=0, y=0, width=width, height=height, look=Look(fill=PAPER))
    return Drawing(
        width=width,
        height=height,
        scale=1.0,
        title=chart.title,
        description=_described(chart),
        parts=(paper, *parts),
    )


def _is_empty(chart: Chart | Bars) -> bool:
    if isinstance(chart, Bars):
        return not chart.bars
    known = any(
        usable(point.x, chart.x) and usable(point.y, chart.y) for line in chart.lines for point in line.points
    )
    return not known and not any(usable(mark.x, chart.x) for mark in chart.marks)


def _nothing(chart: Chart | Bars, width: float, height: float) -> Drawing:
    size = fitting_size(chart.empty, width - 8, most=3.4)
    parts: tuple[Shape, ...] = (
        Rectangle(x=0, y=0, width=width, height=height, look=Look(fill=PAPER)),
        Text(at=(width / 2, height / 2), text=chart.empty, size=size, colour=QUIET, anchor="middle"),
    )
    return Drawing(
        width=width, height=height, scale=1.0, title=chart.title, description=chart.empty, parts=parts
    )


def _described(chart: Chart | Bars) -> str:
    """What a chart shows, in a sentence for those who do not see it."""
    if isinstance(chart, Bars):
        return f"{chart.y.label} for each of {len(chart.bars)} {chart.x}".rstrip()
    names = ", ".join(line.name for line in chart.lines if line.name)
    over = chart.x.label or ("time" if chart.x.dimension == TIME else "")
    return f"{chart.y.label} over {over}" + (f": {names}" if names else "")


def _lines(chart: Chart, width: float, height: float) -> tuple[Shape, ...]:
    top = TEXT + 1.8 + (SMALL + 2.2 if any(mark.y is None for mark in chart.marks) else 1.2)
    bottom = height - (8.6 if chart.x.label else 4.8)
    longest = max(
        (text_width(line.name, TEXT, bold=index == 0) for index, line in enumerate(chart.lines)), default=0.0
    )
    beside = longest + 2.4
    direct = beside <= (0.34 if width >= _WIDE else 0.25) * width
    x, y, plot = _frame(chart, width, (top, bottom), beside if direct else 3.0)
    drawn = placed(chart, x, y)
    names = direct_labels(drawn, plot, width - 0.2) if direct else None
    over: tuple[Shape, ...] = ()
    if names is None:
        _, tall = legend(drawn, 0.0, most=width - 1.0)
        x, y, plot = _frame(chart, width, (top + tall, bottom), 3.0)
        drawn = placed(chart, x, y)
        over, _ = legend(drawn, TEXT + 3.0, most=width - 1.0)
        names = ()
    taken: list[Bounds] = [bounds(shape) for shape in names if isinstance(shape, Text)]
    ribbons, sides = draw_ribbons(drawn, x, y)

    def hides(box: Bounds) -> float:
        """What a name of a band would cover: lines, edges of their bands, and names most of all."""
        crossed = sum(covered(box, side.points) for side in sides)
        return hidden(box, drawn) + crossed + 100.0 * any(overlaps(box, one) for one in taken)

    grounds, edges = draw_bands(chart.bands, x, y, plot, hides)
    taken.extend(bounds(part) for edge in edges for part in edge.parts if isinstance(part, Text))
    longest_line = max((len(line.points) for line in chart.lines), default=0)
    dots = sum(len(line.points) for line in chart.lines) <= FEW and longest_line * DOT <= plot.width
    return (
        *grounds,
        *ribbons,
        level_axis(x, plot, width),
        upright_axis(y, plot),
        *edges,
        heading(y, 0.3, TEXT, width - 1.0),
        *over,
        *sides,
        *(bar for one in drawn for bar in draw_bars_of(one, x, y)),
        *(draw_line(one) for one in drawn),
        *names,
        *draw_marks(chart.marks, drawn, x, y, plot, taken),
        *(point for one in drawn for point in draw_points(one, x, y, dots=dots)),
    )


def _frame(chart: Chart, width: float, ends: tuple[float, float], right: float) -> tuple[Scale, Scale, Plot]:
    """Both scales and the plot between them, its left edge clear of the numbers on it."""
    top, bottom = ends
    across, up = _shown(chart.x), limits(chart.y)
    points = [
        (point.x, point.y) for line in chart.lines for point in line.points
        if point.y is not None and across[0] <= point.x <= across[1] and up[0] <= point.y <= up[1]
    ]  # fmt: skip
    xs, ys = [x for x, _ in points], [y for _, y in points]
    ys.extend(
        end for line in chart.lines for point in line.points for end in (point.low, point.high)
        if end is not None and math.isfinite(end) and up[0] <= end <= up[1] and across[0] <= point.x <= across[1]
    )  # fmt: skip
    xs.extend(mark.x for mark in chart.marks)
    ys.extend(mark.y for mark in chart.marks if mark.y is not None and across[0] <= mark.x <= across[1])
    for band in chart.bands:
        (ys if band.along == "y" else xs).extend(end for end in (band.low, band.high) if end is not None)
    y = scale_for(chart.y, ys, bottom, top, max(2, round((bottom - top) / 10)))
    left = labels_width(y) + 2.4
    apart = 19.0 if chart.x.dimension == TIME else 13.0  # mm between ticks, of which dates need more
    x = scale_for(chart.x, xs, left, width - right, max(2, round((width - right - left) / apart)))
    return x, y, Plot(left=left, top=top, right=width - right, bottom=bottom)


def _shown(axis: Axis) -> tuple[float, float]:
    """Between which numbers something is shown on an axis, which may be clipped."""
    low, high = limits(axis)
    if axis.clipped:
        low = low if axis.least is None else max(low, axis.least)
        high = high if axis.most is None else min(high, axis.most)
    return low, high
