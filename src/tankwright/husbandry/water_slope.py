"""How fast readings that are ranges rise or fall: every straight line that passes through all of them.

A drop kit gives no numbers but ranges, and averages of rounded numbers show a slow fall late. Here a fall counts as
proved once no level line passes through all ranges: the set of lines through ranges is a small linear program, and its
two variables are few enough to be eliminated by hand.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

Range = tuple[float, float, float]
"""When (days), at least, at most."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Slopes:
    """The slopes a day of all straight lines through some ranges; `fit` False: no line passes through all of them.

    `ranges` are those it rests on. With fewer than two moments every slope is possible.
    """

    ranges: tuple[Range, ...]
    low: float
    high: float

    @property
    def fit(self) -> bool:
        """Whether any straight line passes through all ranges."""
        return self.low <= self.high and _overlap(self.ranges)

    @property
    def proved(self) -> Literal["falls", "rises", ""]:
        """What every line says."""
        if not self.fit:
            return ""
        return "falls" if self.high < 0.0 else "rises" if self.low > 0.0 else ""

    def at(self, day: float) -> tuple[float, float]:
        """At least and at most what the lines reach on a day that is not before the last range.

        >>> slopes_through(((0.0, 10.0, 11.0), (10.0, 5.0, 6.0))).at(20.0)
        (-1.0, 2.0)
        """
        if not self.ranges:
            return -math.inf, math.inf
        least = max(low + _grown(self.low, day - at) for at, low, _ in self.ranges)
        most = min(high + _grown(self.high, day - at) for at, _, high in self.ranges)
        return least, most

    def reaches(self, limit: float) -> tuple[float, float]:
        """The earliest and the latest day on which a line reaches a limit below or above; infinite where it never does.

        Days count as those of the ranges; a line that is past the limit already reaches it on the last of them.

        >>> soonest, latest = slopes_through(((0.0, 10.0, 11.0), (10.0, 5.0, 6.0))).reaches(1.0)
        >>> round(soonest, 2), round(latest, 2)
        (16.67, 22.5)
        """
        if not self.ranges:
            return math.inf, math.inf
        last = max(at for at, _, _ in self.ranges)
        least, most = self.at(last)
        falling = limit <= (least + most) / 2.0
        if falling:
            return _crossed(last, least, self.low, limit), _crossed(last, most, self.high, limit)
        return (
            _crossed(last, -most, -self.high, -limit),
            _crossed(last, -least, -self.low, -limit),
        )


def slopes_through(ranges: Sequence[Range]) -> Slopes:
    """All straight lines through some ranges, as the least and the most they rise a day.

    A line a + b t stays in every range when low <= a + b t <= high. Eliminating a leaves, for each earlier range i and
    later j, (low_j - high_i) / (t_j - t_i) <= b <= (high_j - low_i) / (t_j - t_i): the two ends of b.

    Source: Fourier-Motzkin elimination of a linear program of two variables, textbook; set-membership estimation.

    >>> found = slopes_through(((0.0, 10.0, 11.0), (10.0, 5.0, 6.0)))
    >>> found.low, found.high, found.proved
    (-0.6, -0.4, 'falls')
    """
    ordered = tuple(sorted(ranges))
    low, high = -math.inf, math.inf
    for number, (at, least, most) in enumerate(ordered):
        for later, least_later, most_later in ordered[number + 1 :]:
            apart = later - at
            if apart > 0.0:
                low = max(low, (least_later - most) / apart)
                high = min(high, (most_later - least) / apart)
    return Slopes(ranges=ordered, low=low, high=high)


def longest_straight(ranges: Sequence[Range], most: int = 60) -> Slopes:
    """The lines through as many of the newest ranges as one line passes through, `most` of them at the most.

    >>> longest_straight(((0.0, 20.0, 21.0), (1.0, 0.0, 1.0), (2.0, 19.0, 20.0), (3.0, 18.0, 19.0))).ranges[0][0]
    2.0
    """
    ordered = tuple(sorted(ranges))[-most:]
    low, high = -math.inf, math.inf
    first = len(ordered)
    while first > 0:
        at, least, top = ordered[first - 1]
        new_low, new_high, meets = low, high, True
        for later, least_later, most_later in ordered[
            first:
        ]:  # plain comparisons: a hall has millions of pairs
            apart = later - at
            if apart > 0.0:
                slow, fast = (least_later - top) / apart, (most_later - least) / apart
                if slow > new_low:  # noqa: PLR1730 - half the time of a call
                    new_low = slow
                if fast < new_high:  # noqa: PLR1730 - likewise
                    new_high = fast
            elif least_later > top or least > most_later:
                meets = False
        if new_low > new_high or not meets:
            break
        low, high, first = new_low, new_high, first - 1
    return Slopes(ranges=ordered[first:], low=low, high=high)


def _overlap(ranges: Sequence[Range]) -> bool:
    """Whether ranges of one moment have something in common."""
    at_once: dict[float, tuple[float, float]] = {}
    for at, low, high in ranges:
        known = at_once.get(at, (-math.inf, math.inf))
        at_once[at] = (max(known[0], low), min(known[1], high))
    return all(low <= high for low, high in at_once.values())


def _grown(slope: float, days: float) -> float:
    return 0.0 if days == 0.0 else slope * days


def _crossed(last: float, level: float, slope: float, limit: float) -> float:
    """When a line that is at a level on the last day falls to a limit."""
    if level <= limit:
        return last
    return last + (limit - level) / slope if slope < 0.0 else math.inf
