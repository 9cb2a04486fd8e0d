"""The numbers of a chart as words, for the table under it."""

from __future__ import annotations

from typing import Final

from tankwright.drawing.chart_model import Axis, Bars, Chart
from tankwright.drawing.chart_scale import usable, value_words

ChartTable = tuple[tuple[str, ...], tuple[tuple[str, ...], ...]]
"""Heads, and rows as wide as they."""

_UNKNOWN: Final = "not known"


def chart_table(chart: Chart | Bars) -> ChartTable:
    """Heads and rows of the table under a chart, in words: a row for every x, a column for every line.

    "not known" stands where a line has a gap, nothing where it has no point. Marks make a column of their own.

    >>> from tankwright.drawing.chart_model import line_through
    >>> flow = Axis(label="flow", dimension="air_flow")
    >>> chart = Chart(title="", x=flow, y=Axis(label="pressure", dimension="pressure"),
    ...               lines=(line_through("pump", ((0.0, 2e4), (1e-3, None))),))
    >>> chart_table(chart)
    (('flow', 'pump'), (('0 L/min', '20 kPa'), ('60 L/min', 'not known')))
    """
    if isinstance(chart, Bars):
        return (chart.x, chart.y.label), tuple((bar.name, _cell(bar.value, chart.y)) for bar in chart.bars)
    cells: dict[float, dict[int, str]] = {}
    for column, line in enumerate(chart.lines):
        for point in line.points:
            if usable(point.x, chart.x):
                cells.setdefault(point.x, {})[column] = _cell(point.y, chart.y)
    last = len(chart.lines)
    for mark in chart.marks:
        if usable(mark.x, chart.x):
            told = mark.name if mark.y is None else f"{mark.name}, {_cell(mark.y, chart.y)}"
            row = cells.setdefault(mark.x, {})
            row[last] = "; ".join(part for part in (row.get(last, ""), told) if part)
    head = [chart.x.label, *(line.name or chart.y.label for line in chart.lines)]
    if chart.marks:
        head.append("note")
    rows = tuple(
        (value_words(x, chart.x), *(cells[x].get(column, "") for column in range(len(head) - 1)))
        for x in sorted(cells)
    )
    return tuple(head), rows


def _cell(value: float | None, axis: Axis) -> str:
    return value_words(value, axis) if value is not None and usable(value, axis) else _UNKNOWN
