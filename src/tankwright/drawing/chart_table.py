"""The numbers of a chart as words, for the table under it."""

from __future__ import annotations

from typing import Final

from tankwright.drawing.chart_model import Axis, Bars, Chart, ChartPoint
from tankwright.drawing.chart_scale import usable, value_words

ChartTable = tuple[tuple[str, ...], tuple[tuple[str, ...], ...]]
"""Heads, and rows as wide as they."""

_UNKNOWN: Final = "not known"
MOST_ROWS: Final = 30
"""Rows of a course that are enough to read."""


def to_read(table: ChartTable, most: int = MOST_ROWS) -> ChartTable:
    """Of a long table every second row, or every third ..., and those with a note: about `most` of them.

    >>> head, rows = to_read((("time", "air"), tuple((str(n), "20 °C") for n in range(61))))
    >>> [row[0] for row in rows[:3]], len(rows)
    (['0', '3', '6'], 21)
    """
    head, rows = table
    step = -(-len(rows) // most) if rows else 1
    noted = head[-1:] == ("note",)
    return head, tuple(row for number, row in enumerate(rows) if number % step == 0 or (noted and row[-1]))


def chart_table(chart: Chart | Bars) -> ChartTable:
    """Heads and rows of the table under a chart, in words: a row for every x that reads differently, a column for
    every line.

    "not known" stands where a line has a gap, nothing where it has no point. Marks make a column of their own.

    >>> from tankwright.drawing.chart_model import line_through
    >>> flow = Axis(label="flow", dimension="air_flow")
    >>> chart = Chart(title="", x=flow, y=Axis(label="pressure", dimension="pressure"),
    ...               lines=(line_through("pump", ((0.0, 2e4), (1e-3, None))),))
    >>> chart_table(chart)
    (('flow', 'pump'), (('0 L/min', '20 kPa'), ('60 L/min', 'not known')))
    """
    if isinstance(chart, Bars):
        heads = (chart.x, *chart.parts, "all" if chart.parts else chart.y.label)
        return heads, tuple(
            (bar.name, *(_cell(part, chart.y) for part in bar.parts), _cell(bar.value, chart.y))
            for bar in chart.bars
        )
    cells: dict[float, dict[int, str]] = {}
    for column, line in enumerate(chart.lines):
        for point in line.points:
            if usable(point.x, chart.x):
                cells.setdefault(point.x, {})[column] = _banded(point, chart.y)
    last = len(chart.lines)
    for mark in chart.marks:
        if usable(mark.x, chart.x):
            told = mark.name if mark.y is None else f"{mark.name}, {_cell(mark.y, chart.y)}"
            row = cells.setdefault(mark.x, {})
            row[last] = "; ".join(part for part in (row.get(last, ""), told) if part)
    head = [chart.x.label, *(line.name or chart.y.label for line in chart.lines)]
    if chart.marks:
        head.append("note")
    met = {x: number for number, x in enumerate(cells)}
    alike: dict[str, list[float]] = {}
    for x in sorted(cells):
        alike.setdefault(value_words(x, chart.x), []).append(x)
    rows: list[tuple[str, dict[int, str]]] = []
    for told, xs in alike.items():
        start = len(rows)
        for x in sorted(xs, key=lambda one: met[one]):  # numbers that read alike are one to the reader
            if len(rows) > start and not rows[-1][1].keys() & cells[x].keys():
                rows[-1][1].update(cells[x])
            else:
                rows.append((told, dict(cells[x])))
    columns = range(len(head) - 1)
    return tuple(head), tuple((told, *(row.get(column, "") for column in columns)) for told, row in rows)


def _banded(point: ChartPoint, axis: Axis) -> str:
    """A value with its band, where it has one."""
    told = _cell(point.y, axis)
    if point.low is None or point.high is None:
        return told
    return f"{told} ({_cell(point.low, axis)} to {_cell(point.high, axis)})"


def _cell(value: float | None, axis: Axis) -> str:
    return value_words(value, axis) if value is not None and usable(value, axis) else _UNKNOWN
