"""What a chart shows, in SI numbers: lines with gaps, target bands, marked events and points, or bars. Frozen."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, tzinfo
from typing import Final, Literal

TIME: Final = "time"
"""The dimension of an axis of moments: seconds since the start of 1970 in UTC, shown in the zone of the axis."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Axis:
    """What is measured along a side. `dimension` is that of a `Number`, or `TIME`.

    `least` and `most` are SI ends the axis must reach at least, such as 0 or the range a reader asked for; `clipped`
    makes them its ends, and what lies outside is left out. `zone` is that of the reader, for moments. `names` are
    said instead of the numbers 1, 2, 3 ..., such as months; the axis then shows all of them and nothing else.
    """

    label: str
    dimension: str
    display: str = "metric"
    least: float | None = None
    most: float | None = None
    clipped: bool = False
    zone: tzinfo = UTC
    names: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartPoint:
    """A value in SI; y None (or not finite) is a gap. `title` is what it says when it is asked, `place` what of the
    room it belongs to. `low` and `high` are the band it may really lie in, where it has one."""

    x: float
    y: float | None
    low: float | None = None
    high: float | None = None
    title: str = ""
    place: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """Points joined in their order, but for gaps. The bands of its points are one band along it, or a bar at each:
    readings that are ranges say nothing of the time between them."""

    name: str
    points: tuple[ChartPoint, ...]
    place: str = ""
    ranges: Literal["band", "bars"] = "band"


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """A range that is aimed at, or worked within; an end that is None is open."""

    name: str
    low: float | None
    high: float | None
    along: Literal["x", "y"] = "y"


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """An event at an x, or a point of its own (a working point) where y is given."""

    name: str
    x: float
    y: float | None = None
    title: str = ""
    place: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Chart:
    """Lines over one pair of axes. `empty` is said where there is nothing to show."""

    title: str
    x: Axis
    y: Axis
    lines: tuple[Line, ...] = ()
    bands: tuple[Band, ...] = ()
    marks: tuple[Mark, ...] = ()
    empty: str = "no values yet"


@dataclass(frozen=True, slots=True, kw_only=True)
class Bar:
    """One bar; a value of None is not known and drawn hatched. `share` colours it as the plan colours a tank.

    `parts` are what its value is made up of, one for each of the `parts` of its `Bars`, none below zero.
    """

    name: str
    value: float | None
    share: float | None = None
    parts: tuple[float, ...] = ()
    title: str = ""
    place: str = ""
    link: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Bars:
    """Bars side by side, such as one for each tank; bands along y. `parts` names what each is made up of."""

    title: str
    x: str
    y: Axis
    bars: tuple[Bar, ...] = ()
    parts: tuple[str, ...] = ()
    bands: tuple[Band, ...] = ()
    empty: str = "no values yet"


def line_in_band(name: str, points: Iterable[tuple[float, float, float, float]], place: str = "") -> Line:
    """A line with its band through (x, low, value, high) in SI.

    >>> line_in_band("nitrate", ((0.0, 1.0, 2.0, 3.0),)).points[0].high
    3.0
    """
    made = tuple(ChartPoint(x=x, y=value, low=low, high=high) for x, low, value, high in points)
    return Line(name=name, points=made, place=place)


def line_through(name: str, pairs: tuple[tuple[float, float | None], ...], place: str = "") -> Line:
    """A line through plain pairs of SI numbers.

    >>> line_through("pump", ((0.0, 1.0), (1.0, None))).points[1].y is None
    True
    """
    return Line(name=name, points=tuple(ChartPoint(x=x, y=y) for x, y in pairs), place=place)
