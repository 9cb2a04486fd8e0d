"""Charts of fry: tanks they need week by week, how many of a brood are alive, how long they are."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime, time
from typing import Final

from tankwright.drawing.chart_model import TIME, Axis, Band, Chart, ChartPoint, Line, Mark, line_in_band
from tankwright.husbandry.brood_course import Bounded
from tankwright.husbandry.fry_model import FryForecast
from tankwright.husbandry.growth import GrowthFit, Sized

_STEPS: Final = 60
"""So many that the curve has no dots: only what was measured has."""
_WIDE: Final = 1.2816
"""Standard deviations on either side that hold eight in ten."""


def fry_space_chart(told: FryForecast) -> Chart:
    """Tanks needed week by week: the middle, the band of eight in ten, and how many there are."""
    points = tuple(
        (datetime.combine(week.begins, time(), UTC).timestamp(), week.low, week.middle, week.high)
        for week in told.weeks
    )
    tanks = len(told.ask.tanks)
    marks: tuple[Mark, ...] = ()
    if told.decide is not None:
        at = datetime.combine(told.decide, time(), UTC).timestamp()
        marks = (Mark(name="decide", x=at, title="last day to decide"),)
    return Chart(
        title="tanks that fry need", x=Axis(label="week beginning", dimension=TIME),
        y=Axis(label="tanks", dimension="number", least=0.0, most=float(tanks)),
        lines=(line_in_band("needed", points),),
        bands=(Band(name=f"{tanks} there are", low=None, high=float(tanks)),), marks=marks, empty="no fry",
    )  # fmt: skip


def survival_chart(table: Sequence[Bounded], title: str = "alive of a brood") -> Chart:
    """The share alive as a staircase, at both ends of what nobody saw; the ground holds chance too."""
    if not table:
        axis = Axis(label="age in days", dimension="number")
        return Chart(title=title, x=axis, y=Axis(label="alive", dimension="share"), empty="no count yet")
    best, worst = [ChartPoint(x=0.0, y=1.0)], [ChartPoint(x=0.0, y=1.0, low=1.0, high=1.0)]
    before = (1.0, 1.0, 1.0, 1.0)
    for one in table:
        now = (one.worst.share, one.best.share, one.low, one.high)
        for share, top, low, high in (before, now):
            worst.append(ChartPoint(x=one.day, y=share, low=low, high=high))
            best.append(ChartPoint(x=one.day, y=top))
        before = now
    same = all(abs(one.worst.share - one.best.share) < 1e-9 for one in table)
    lines = [Line(name="alive" if same else "if all unseen died", points=tuple(worst))]
    if not same:
        lines.append(Line(name="if all unseen left alive", points=tuple(best)))
    return Chart(
        title=title, x=Axis(label="age in days", dimension="number", least=0.0),
        y=Axis(label="alive", dimension="share", least=0.0, most=1.0, clipped=True), lines=tuple(lines),
    )  # fmt: skip


def growth_chart(
    sizes: Sequence[Sized], fit: GrowthFit | None, display: str = "metric", title: str = "growth"
) -> Chart:
    """Lengths as they were measured, and the curve through them with the band that eight fish in ten lie in."""
    lines: list[Line] = []
    if fit is not None:
        first, last = fit.days
        days = [first + (last - first) * step / _STEPS for step in range(_STEPS + 1)]
        curve = []
        for day in days:
            size = fit.at(day)
            curve.append((day, size / (1.0 + _WIDE * fit.scatter), size, size * (1.0 + _WIDE * fit.scatter)))
        lines.append(line_in_band(f"{fit.curve} curve", curve))
    apart = []
    for one in sizes:  # each between two gaps: a dot of its own
        told = f"mean of {one.number}" if one.number > 1 else "one fish"
        apart += [ChartPoint(x=one.day, y=None), ChartPoint(x=one.day, y=one.size, title=told)]
    lines.append(Line(name="measured", points=tuple(apart)))
    return Chart(
        title=title, x=Axis(label="age in days", dimension="number", least=0.0),
        y=Axis(label="length", dimension="length", display=display, least=0.0), lines=tuple(lines),
        empty="nothing measured yet",
    )  # fmt: skip
