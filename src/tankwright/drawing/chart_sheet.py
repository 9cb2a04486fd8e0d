"""A chart as a file of its own: its title over it, what it stands on under it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from tankwright.drawing.chart import draw_chart
from tankwright.drawing.chart_model import Bars, Chart
from tankwright.drawing.colour import INK, PAPER, QUIET
from tankwright.drawing.model import Drawing, Look, Rectangle, Text, fitting_size, lines_of, shifted

_MARGIN: Final = 6.0  # mm
_HEAD: Final = 10.0
_ROW: Final = 3.8
_NOTE: Final = 2.6


def chart_sheet(
    chart: Chart | Bars, notes: Sequence[str] = (), *, width: float = 190.0, height: float = 120.0
) -> Drawing:
    """The chart on a page of that many mm with its title and notes, each note a line.

    >>> from tankwright.drawing.chart_model import Axis
    >>> axis = Axis(label="x", dimension="number")
    >>> chart_sheet(Chart(title="nothing yet", x=axis, y=axis)).title
    'nothing yet'
    """
    inner = width - 2 * _MARGIN
    lines = [line for note in notes for line in lines_of(note, inner, _NOTE)]
    below = _ROW * len(lines)
    drawn = draw_chart(chart, inner, height - 2 * _MARGIN - _HEAD - below)
    foot = _MARGIN + _HEAD + drawn.height
    parts = (
        Rectangle(x=0, y=0, width=width, height=height, look=Look(fill=PAPER)),
        Text(at=(_MARGIN, _MARGIN + 5.0), text=chart.title, colour=INK, bold=True,
             size=fitting_size(chart.title, inner, most=5.0, bold=True)),
        *(shifted(part, _MARGIN, _MARGIN + _HEAD) for part in drawn.parts),
        *(
            Text(at=(_MARGIN, foot + _ROW * (number + 1) - 0.6), text=note, colour=QUIET,
                 size=fitting_size(note, inner, most=_NOTE))
            for number, note in enumerate(lines)
        ),
    )  # fmt: skip
    return replace(drawn, width=width, height=height, parts=parts)
