"""The level of one tank while the same flow runs in: in closed form at any time, and when it reaches a height.

What runs out is straight in the level between the nodes of its law, so between two nodes the level goes as an
exponential, and node follows node by adding times up. There is no step to choose and nothing to go wrong near balance.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from tankwright.faults.model import Array
from tankwright.faults.water_laws import Law
from tankwright.units import CubicMetrePerSecond, Metre, Second, SquareMetre

BALANCED = 1e-16
"""m3/s below which nothing moves: a litre in three hundred thousand years."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Path:
    """Where a level goes: heights of the nodes it passes, when it passes them, and the net inflow there.

    The last time is infinite where the level comes to rest between two nodes.
    """

    area: SquareMetre
    heights: Array
    nets: Array
    times: Array

    def level(self, time: Array | float) -> Array:
        """The level some time after the path began."""
        if len(self.heights) == 1:
            return np.full(np.shape(time), self.heights[0])
        time = np.asarray(time, dtype=float)
        k = np.clip(np.searchsorted(self.times, time, side="right") - 1, 0, len(self.heights) - 2)
        net, gap = self.nets[k], self.heights[k + 1] - self.heights[k]
        since = np.minimum(time, self.times[k + 1]) - self.times[k]
        rate = (self.nets[k + 1] - net) / (self.area * gap)
        return np.asarray(self.heights[k] + net / self.area * since * _grown(rate * since))

    def when(self, height: Metre) -> Second:
        """When the level is first at a height; infinite when it never is."""
        begin = float(self.heights[0])
        if height == begin:
            return 0.0
        if len(self.heights) == 1 or (height > begin) != (self.nets[0] > 0.0):
            return math.inf
        rising = self.nets[0] > 0.0
        ordered = self.heights if rising else -self.heights
        k = int(np.searchsorted(ordered, height if rising else -height, side="left")) - 1
        if k >= len(self.heights) - 1:
            return math.inf
        net, gap = float(self.nets[k]), float(self.heights[k + 1] - self.heights[k])
        there = net + (float(self.nets[k + 1]) - net) * (height - float(self.heights[k])) / gap
        if there * net <= 0.0:
            return math.inf
        return float(self.times[k]) + _passing(self.area, height - float(self.heights[k]), net, there)


def path(law: Law, area: SquareMetre, level: Metre, inflow: CubicMetrePerSecond) -> Path:
    """Follow a level from where it stands. `law` reaches from the bottom of the tank to its rim: there it stays."""
    begin = min(max(level, float(law.heights[0])), float(law.heights[-1]))
    net = inflow - float(law.flow(begin))
    alone = np.array([begin])
    if abs(net) <= BALANCED:
        return Path(area=area, heights=alone, nets=np.zeros(1), times=np.zeros(1))
    if net > 0.0:
        first = int(np.searchsorted(law.heights, begin, side="right"))
        heights, flows = law.heights[first:], law.flows[first:]
    else:
        last = int(np.searchsorted(law.heights, begin, side="left"))
        heights, flows = law.heights[:last][::-1], law.flows[:last][::-1]
    nets = np.concatenate([[net], inflow - flows])
    balanced = np.flatnonzero(nets[1:] * net <= 0.0)
    count = int(balanced[0]) + 2 if len(balanced) else len(nets)
    nets = nets[:count]
    heights = np.concatenate([alone, heights])[:count]
    if len(heights) == 1:
        return Path(area=area, heights=alone, nets=np.zeros(1), times=np.zeros(1))
    with np.errstate(divide="ignore", invalid="ignore"):
        change = np.diff(nets) / nets[:-1]
        slowing = np.where(
            np.abs(change) < 1e-9, 1.0 - 0.5 * change, np.log1p(np.maximum(change, -1.0)) / change
        )
        passing = area * np.diff(heights) / nets[:-1] * slowing
    if len(balanced):
        passing[-1] = math.inf
    return Path(area=area, heights=heights, nets=nets, times=np.concatenate([[0.0], np.cumsum(passing)]))


def _passing(area: float, gap: float, net: float, there: float) -> float:
    change = (there - net) / net
    slowing = 1.0 - 0.5 * change if abs(change) < 1e-9 else math.log1p(change) / change
    return area * gap / net * slowing


def _grown(share: Array) -> Array:
    """(exp(x) - 1) / x."""
    small = np.abs(share) < 1e-9
    safe = np.where(small, 1.0, share)
    return np.where(small, 1.0 + 0.5 * share, np.expm1(safe) / safe)
