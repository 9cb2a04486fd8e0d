"""Readings against what was expected: point by point within tolerance, high, low, or not read."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from tankwright.building.point import Reading, TestPoint
from tankwright.building.readings import in_unit


class Outcome(StrEnum):
    """How a reading stands to what was expected, worst first."""

    LOW = "low"
    HIGH = "high"
    NOT_READ = "not read"
    WITHIN = "within"


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """One point and what was read there.

    `difference` is read less expected, SI; `told` the same in `unit`, the one the reading was told in. `times` is it in
    tolerances. `assumed` is True where a reading beyond the tolerance still lies in the band of what the plan assumes:
    then the plan learns from it, and nothing need be wrong in the room.
    """

    point: TestPoint
    reading: Reading | None
    outcome: Outcome
    difference: float = 0.0
    told: float = 0.0
    unit: str = ""
    times: float = 0.0
    assumed: bool = False

    @property
    def share(self) -> float:
        """Read over expected; NaN where nothing was expected or read."""
        if self.reading is None or self.point.value == 0.0:
            return math.nan
        return self.reading.value / self.point.value


def compare(points: Iterable[TestPoint], readings: Iterable[Reading]) -> tuple[Comparison, ...]:
    """Every point with its reading, in the order of the points.

    >>> compare((), ())
    ()
    """
    read = {reading.point: reading for reading in readings}
    return tuple(_compared(point, read.get(point.id)) for point in points)


def worst_first(comparisons: Iterable[Comparison]) -> tuple[Comparison, ...]:
    """The farthest off in tolerances first, what was not read after what was off, what is within last."""
    order = list(Outcome)
    return tuple(
        sorted(
            comparisons,
            key=lambda one: (one.assumed, max(1, order.index(one.outcome)), -abs(one.times), one.point.id),
        )
    )


def _compared(point: TestPoint, reading: Reading | None) -> Comparison:
    if reading is None:
        return Comparison(point=point, reading=None, outcome=Outcome.NOT_READ)
    difference = reading.value - point.value
    told = in_unit(difference, _difference_of(point.dimension), reading.unit)
    tolerance = max(point.tolerance, 1e-12 * max(1.0, abs(point.value)))
    if abs(difference) <= tolerance or (point.ceiling and difference < 0.0):
        outcome = Outcome.WITHIN
    else:
        outcome = Outcome.HIGH if difference > 0.0 else Outcome.LOW
    low, high = point.band or (point.value, point.value)
    inside = low - tolerance <= reading.value <= high + tolerance
    return Comparison(
        point=point,
        reading=reading,
        outcome=outcome,
        difference=difference,
        told=told,
        unit=reading.unit,
        times=difference / tolerance,
        assumed=outcome is not Outcome.WITHIN and inside and not point.ceiling,
    )


def _difference_of(dimension: str) -> str:
    return "temperature_difference" if dimension == "temperature" else dimension
