"""The tests of one quantity in one tank over time: readings as the ranges they are, limits, what is usual, causes."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from datetime import UTC, datetime, tzinfo
from itertools import pairwise
from typing import Final

from tankwright.drawing.chart_model import TIME, Axis, Band, Chart, ChartPoint, Line, Mark, line_in_band
from tankwright.husbandry.last_tests import OVERDUE, USUAL_DAYS
from tankwright.husbandry.water_causes import Cause
from tankwright.husbandry.water_limits import WaterLimit
from tankwright.husbandry.water_readings import DAY, WaterReading, usual_gap
from tankwright.husbandry.water_verdicts import WaterVerdict

_AHEAD: Final = 30.0  # days a fall is drawn on for at the most
_GAP: Final = 2.0 * OVERDUE  # usual distances between tests after which a line is broken
_MOST_CAUSES: Final = 12
_TOO_CLOSE: Final = 0.04  # of the time shown: marks nearer to each other than that lie on one another
_BESIDE: Final = 0.08  # of the largest number shown: names of lines nearer than that lie on one another
_LIMIT_NAMES: Final = {"hazard": "harms", "wanted": "wanted", "usual": "usual limit"}


def trend_chart(
    one: WaterVerdict, causes: Sequence[Cause] = (), display: str = "metric", zone: tzinfo = UTC
) -> Chart:
    """The chart of a verdict. Tests far apart are not joined: nobody knows what was between them.

    Each test stands as it was read, in the range it may stand for. A proved fall goes on as a band.
    """
    quantity = one.quantity
    readings = one.series.readings
    lines = [Line(name=quantity.name, points=tuple(_points(readings)), place=one.tank, ranges="bars")]
    if one.departure is not None and one.usual is not None and one.departure.means:
        after = one.taken[one.usual.count :]
        lines.append(Line(name="weighted mean", points=tuple(
            ChartPoint(x=read.at.timestamp(), y=mean)
            for read, mean in zip(after, one.departure.means, strict=True)
        ), place=one.tank))  # fmt: skip
    lines += _ahead(one)
    return Chart(
        title=f"{one.tank}: {quantity.says}",
        x=Axis(label="", dimension=TIME, display=display, zone=zone),
        y=Axis(label=quantity.name, dimension=quantity.dimension, display=display),
        lines=tuple(lines),
        bands=(*_bands(one.limits), *_usual(one)),
        marks=tuple(_marks(causes, readings)),
        empty="no tests yet",
    )


def _points(readings: Sequence[WaterReading]) -> Iterator[ChartPoint]:
    gap = _GAP * max(usual_gap(readings) or USUAL_DAYS, 1.0) * DAY
    for earlier, later in pairwise((None, *readings)):
        assert later is not None  # only the first is none
        if earlier is not None and (later.at - earlier.at).total_seconds() > gap:
            between = (later.at.timestamp() + earlier.at.timestamp()) / 2.0
            yield ChartPoint(x=between, y=None)
        yield ChartPoint(x=later.at.timestamp(), y=later.value, low=later.low, high=later.high)


def _bands(limits: Iterable[WaterLimit]) -> Iterator[Band]:
    """A range that is wanted as a band, an end alone as a line."""
    for limit in limits:
        name = _LIMIT_NAMES[limit.kind]
        if limit.kind == "hazard":
            yield from (
                Band(name=f"{way} this it {name}", low=end, high=end)
                for way, end in (("below", limit.low), ("above", limit.high))
                if end is not None
            )
        else:
            yield Band(name=name, low=limit.low, high=limit.high)


def _usual(one: WaterVerdict) -> Iterator[Band]:
    """Where single tests of this tank usually lie, as lines: a band of a colour is for what is wanted. An end that
    lies beside the end of a limit is left out, for nobody could tell the two apart."""
    if one.usual is None:
        return
    low, high = one.usual.single
    floor = one.quantity.dimension != "temperature"
    ends = [end for limit in one.limits for end in (limit.low, limit.high) if end is not None]
    near = _BESIDE * max((*ends, high))

    def alone(end: float) -> bool:
        return all(abs(end - other) > near for other in ends)

    if (not floor or low > 0.0) and alone(low):
        yield Band(name="its usual, least", low=low, high=low)
    if alone(high):
        yield Band(name="its usual, most", low=high, high=high)


def _ahead(one: WaterVerdict) -> Iterator[Line]:
    """How far a proved fall or rise goes on, as a band from the newest test to its limit or a month."""
    slopes = one.slopes if one.fall is None else one.fall.slopes
    if one.trend not in {"falls", "rises"} or not slopes.proved:
        return
    last = slopes.ranges[-1][0]
    reach = _AHEAD
    if one.fall is not None and math.isfinite(one.fall.latest):
        reach = min(max(one.fall.latest, 1.0), _AHEAD)
    start = one.taken[-1].at.timestamp() - last * DAY
    rows = []
    for day in (last, last + reach):  # both edges are straight
        low, high = slopes.at(day)
        low, high = max(low, 0.0), max(high, 0.0)
        rows.append((start + day * DAY, low, (low + high) / 2.0, high))
    yield line_in_band("if it goes on", rows, one.tank)


def _marks(causes: Sequence[Cause], readings: Sequence[WaterReading]) -> Iterator[Mark]:
    """The newest causes; those too close to be told apart are one mark, whose title names each."""
    first = readings[0].at if readings else datetime.min.replace(tzinfo=UTC)
    there = sorted((cause for cause in causes if cause.at >= first), key=lambda cause: cause.at)[
        -_MOST_CAUSES:
    ]
    span = (readings[-1].at - first).total_seconds() if readings else 0.0
    together: list[list[Cause]] = []
    for one in there:
        if together and (one.at - together[-1][0].at).total_seconds() < _TOO_CLOSE * span:
            together[-1].append(one)
        else:
            together.append([one])
    for some in together:
        title = "; ".join(f"{one.says}, {one.at.date().isoformat()}" for one in some)
        name = some[0].says if len(some) == 1 else f"{len(some)} causes"
        yield Mark(name=name, x=some[0].at.timestamp(), title=title)
