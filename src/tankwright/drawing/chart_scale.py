"""A side of a chart: round numbers in the reader's unit, and where they stand on the page."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from tankwright.display import figures, unit_steps, words
from tankwright.drawing.chart_model import TIME, Axis
from tankwright.drawing.chart_time import EARLIEST, LATEST, is_moment, moment_words, time_ticks
from tankwright.finding import Number
from tankwright.units import DIMENSIONS, convert

_DECIMAL: Final = (1.0, 2.0, 5.0)
# Round numbers of things not counted in tens. Own choice.
_BY_UNIT: Final = {
    "s": (1.0, 2.0, 5.0, 10.0, 15.0, 30.0, 60.0), "min": (1.0, 2.0, 5.0, 10.0, 15.0, 30.0, 60.0),
    "h": (1.0, 2.0, 3.0, 6.0, 12.0, 24.0, 48.0), "d": (1.0, 2.0, 7.0, 14.0, 28.0),
}  # fmt: skip
_DURATIONS: Final = (
    (120.0, "s", "s"),
    (7200.0, "min", "min"),
    (3 * 86400.0, "h", "h"),
    (math.inf, "d", "days"),
)
# K, that an axis of temperatures shows at least: less makes much of what no fish feels. Own choice.
_LEAST_SPAN: Final = 4.0
_US_LENGTHS: Final = ((convert(2.0, "ft", "m"), "in", "in"), (math.inf, "ft", "ft"))


@dataclass(frozen=True, slots=True)
class ScaleUnit:
    """The one unit a whole axis is told in: from `si` to `unit`, written as `label`; all "" for plain numbers."""

    si: str = ""
    unit: str = ""
    label: str = ""
    difference: bool = False

    def shown(self, value: float) -> float:
        """An SI number in this unit, not rounded."""
        return convert(value, self.si, self.unit, difference=self.difference) if self.si else value

    def inside(self, shown: float) -> float:
        """The SI number of a number in this unit. Units are proportional, but for a temperature's zero."""
        zero, one = self.shown(0.0), self.shown(1.0)
        return (shown - zero) / (one - zero)


def scale_unit(largest: float, dimension: str, display: str = "metric") -> ScaleUnit:
    """The unit for an axis whose largest number is `largest`: that in which `words` would tell this number.

    Where `words` mixes units (feet and inches) or tells a ratio (slopes), the axis takes one plain unit.

    >>> [scale_unit(n, *what).label for n, *what in ((19500, "pressure"), (0.3, "length", "US"), (9e4, "duration"))]
    ['kPa', 'in', 'h']
    """
    size = abs(largest) if math.isfinite(largest) else 0.0
    if dimension in ("share", "slope"):
        return ScaleUnit("1", "%", "%")
    if dimension.startswith("temperature"):
        difference = dimension != "temperature"
        unit = "°F" if display == "US" else "K" if difference else "°C"
        return ScaleUnit("K", unit, unit, difference)
    steps = unit_steps(dimension, display)
    if dimension == "duration":
        steps = _DURATIONS
    elif dimension == "length" and display == "US":
        steps = _US_LENGTHS
    if not steps:
        return ScaleUnit()
    _, unit, label = next((step for step in steps if size < step[0]), steps[-1])
    return ScaleUnit(DIMENSIONS[dimension].si_unit, unit, label)


@dataclass(frozen=True, slots=True, kw_only=True)
class Scale:
    """From SI numbers between `low` and `high` to the page between `start` and `end`; `ticks` are (SI, label)."""

    axis: Axis
    low: float
    high: float
    start: float
    end: float
    unit: ScaleUnit
    ticks: tuple[tuple[float, str], ...]

    def at(self, value: float) -> float:
        """Where a number stands on the page."""
        share = (value - self.low) / (self.high - self.low)
        return self.start + share * (self.end - self.start)

    @property
    def reach(self) -> tuple[float, float]:
        """Between which numbers something stands on the page, with a hair's breadth for arithmetic."""
        slack = 1e-9 * (self.high - self.low)
        return self.low - slack, self.high + slack

    def holds(self, value: float | None) -> bool:
        """Whether a number stands on the page at all."""
        low, high = self.reach
        return value is not None and low <= value <= high

    @property
    def heading(self) -> str:
        """What the axis shows, with its unit."""
        return f"{self.axis.label}, {self.unit.label}" if self.unit.label else self.axis.label


def value_words(value: float, axis: Axis) -> str:
    """A number of an axis in the reader's words.

    >>> value_words(6200.0, Axis(label="pressure", dimension="pressure"))
    '6.2 kPa'
    """
    if axis.dimension == TIME:
        return moment_words(value, axis.zone) if is_moment(value) else "not known"
    if axis.names:
        return axis.names[min(max(round(value), 1), len(axis.names)) - 1]
    return words(Number(value, axis.dimension), axis.display)


def limits(axis: Axis) -> tuple[float, float]:
    """Between which SI numbers something can stand on an axis; nothing that is no number does.

    >>> limits(Axis(label="", dimension="share"))
    (-1000000000000000.0, 1000000000000000.0)
    """
    if axis.names:
        return 1.0, float(len(axis.names))
    return (EARLIEST, LATEST) if axis.dimension == TIME else (-1e15, 1e15)


def usable(value: float | None, axis: Axis) -> bool:
    """Whether a number can stand on an axis.

    >>> usable(None, Axis(label="", dimension="share")), usable(1.0, Axis(label="", dimension="share"))
    (False, True)
    """
    low, high = limits(axis)
    return value is not None and low <= value <= high


def scale_for(axis: Axis, values: Iterable[float], start: float, end: float, most: int) -> Scale:
    """A scale that covers the values and what the axis asks for, with about `most` ticks at round numbers.

    Its ends are ticks, but for moments and for an axis that is `clipped`.
    """
    least, most_of_all = limits(axis)
    if axis.names:
        named = tuple((float(number), name) for number, name in enumerate(axis.names, start=1))
        last = max(2.0, named[-1][0])
        return Scale(axis=axis, low=1.0, high=last, start=start, end=end, unit=ScaleUnit(), ticks=named)
    known = [value for value in values if least <= value <= most_of_all]
    asked = [value for value in (axis.least, axis.most) if value is not None and usable(value, axis)]
    inside = known
    if axis.clipped:
        inside = [
            value for value in known
            if (axis.least is None or value >= axis.least) and (axis.most is None or value <= axis.most)
        ]  # fmt: skip
    low, high = min((*inside, *asked), default=0.0), max((*inside, *asked), default=1.0)
    if axis.dimension == TIME:
        return _time_scale(axis, low, high, start, end, most)
    if high - low <= 1e-12 * max(abs(low), abs(high)):
        low, high = _widened(low, axis)
    elif axis.dimension == "temperature" and not axis.clipped and high - low < _LEAST_SPAN:
        low, high = (low + high - _LEAST_SPAN) / 2, (low + high + _LEAST_SPAN) / 2
    unit = scale_unit(max(abs(low), abs(high)), axis.dimension, axis.display)
    first, last = unit.shown(low), unit.shown(high)
    step = round_step((last - first) / max(most, 1), unit.unit)
    begin, stop = math.floor(first / step + 1e-9), math.ceil(last / step - 1e-9)
    if stop == begin:
        stop += 1
    if axis.clipped and axis.least is not None:
        begin = math.ceil(first / step - 1e-9)
    if axis.clipped and axis.most is not None:
        stop = math.floor(last / step + 1e-9)
    ticks = tuple(
        (unit.inside(count * step), _tick_words(count * step, step)) for count in range(begin, stop + 1)
    )
    ends = [tick for tick, _ in ticks]
    return Scale(
        axis=axis,
        low=min((low, *ends)),
        high=max((high, *ends)),
        start=start,
        end=end,
        unit=unit,
        ticks=ticks,
    )


def _widened(value: float, axis: Axis) -> tuple[float, float]:
    """A range about a lone value: from 0 where that makes sense, a few degrees for a temperature."""
    if axis.dimension.startswith("temperature"):
        return value - 2.0, value + 2.0
    if value == 0:
        return 0.0, 1.0
    return (0.0, value) if value > 0 else (value, 0.0)


def round_step(rough: float, unit: str = "") -> float:
    """The next round distance between ticks at or above a rough one, in the unit it is told in.

    >>> round_step(3.1), round_step(0.013), round_step(21.0, "min"), round_step(3.0, "d")
    (5.0, 0.02, 30.0, 7.0)
    """
    if not rough > 0 or not math.isfinite(rough):
        return 1.0
    for step in _BY_UNIT.get(unit, ()):
        if rough <= step and rough > 0.5:
            return step
    power = 10.0 ** math.floor(math.log10(rough))
    for step in _DECIMAL:
        if rough <= step * power * (1 + 1e-9):
            return step * power
    return 10.0 * power


def _tick_words(value: float, step: float) -> str:
    """As many figures as tell a tick from its neighbour."""
    size = math.floor(math.log10(abs(value))) if value else 0
    return figures(value, max(3, size - math.floor(math.log10(step)) + 2))


def _time_scale(axis: Axis, low: float, high: float, start: float, end: float, most: int) -> Scale:
    if high - low < 60.0:
        low, high = max(low - 1800.0, EARLIEST), min(low + 1800.0, LATEST)
    ticks = time_ticks(low, high, most, axis.zone)
    return Scale(axis=axis, low=low, high=high, start=start, end=end, unit=ScaleUnit(), ticks=ticks)
