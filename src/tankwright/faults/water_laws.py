"""Outflow over the height of the water, as tables: monotone, straight between close nodes, so that a level follows
them in closed form.

Nodes stand in a geometric row above the height at which a way begins, each some 0.5 % further than the last; a
straight line between them misses a weir's power law by less than 5e-6 of its flow.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np

from tankwright.faults.model import Array
from tankwright.physics.mouths import HIGHEST_HEAD, tilted_overflow
from tankwright.physics.pipes import hose_drain_flow
from tankwright.systems.drain_tanks import HOSE_LOSSES, Way
from tankwright.units import CubicMetrePerSecond, Dimensionless, Metre, Radian

LEAST_HEAD: Final[Metre] = 1e-6
"""Below a thousandth of a millimetre every way is taken to give in proportion to its head."""

SAMPLED: Final = 180
NODES: Final = 3000

STEP: Final[Metre] = 1e-7
"""Over this height a way that stops of a sudden (a tube's end out of the water) loses its flow."""

LEAST_SHARE: Final = 1e-3
"""Less of a mouth open than this is shut: the formulas go no further."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Law:
    """Flow over the height of a surface; nothing below the first height, no more above the last."""

    heights: Array
    flows: Array

    def flow(self, surface: Array | float) -> Array:
        """What runs out with the surface at some heights."""
        return np.asarray(np.interp(surface, self.heights, self.flows))

    def slope(self, surface: Array | float) -> Array:
        """How the flow grows with the surface."""
        at = np.clip(np.searchsorted(self.heights, surface, side="right"), 1, len(self.heights) - 1)
        rise = (self.flows[at] - self.flows[at - 1]) / (self.heights[at] - self.heights[at - 1])
        inside = (np.asarray(surface) >= self.heights[0]) & (np.asarray(surface) < self.heights[-1])
        return np.where(inside, rise, 0.0)

    def raised(self, height: Metre) -> Law:
        """The same law with its heads counted from a height."""
        return Law(heights=self.heights + height, flows=self.flows)


def added(laws: Sequence[Law], bottom: Metre, top: Metre) -> Law:
    """All ways of a tank together, from its bottom to its rim, with every node of each."""
    inside = [law.heights[(law.heights > bottom) & (law.heights < top)] for law in laws]
    heights = np.unique(np.concatenate([np.array([bottom, top]), *inside]))
    heights = heights[np.concatenate([np.diff(heights) > 1e-12, [True]])]
    flows = np.zeros_like(heights)
    for law in laws:
        flows += law.flow(heights)
    return Law(heights=heights, flows=np.maximum.accumulate(flows))


def overflow_law(way: Way) -> Law:
    """What a tank's overflow and hose take, the hose ending free, over the height of its surface."""
    mouth = mouth_law(way.bore, way.angle, way.open_share).raised(way.lip)
    hose = hose_law(way).raised(way.hose_end)
    heights = np.union1d(mouth.heights, hose.heights) if way.hose_end > way.lip - 0.02 else mouth.heights
    return Law(heights=heights, flows=np.minimum(mouth.flow(heights), hose.flow(heights)))


def hose_law(way: Way) -> Law:
    """What a tank's hose takes running full, over the head on its end."""
    return tube_law(way.hose_bore, way.hose_length, HOSE_LOSSES)


@lru_cache(maxsize=512)
def mouth_law(bore: Metre, angle: Radian, open_share: Dimensionless) -> Law:
    """What a mouth takes over the head on its lowest point. Raises OutsideValidRange."""
    return _table(
        lambda head: tilted_overflow(head=head, diameter=bore, angle=angle, open_share=open_share),
        HIGHEST_HEAD,
    )


@lru_cache(maxsize=512)
def tube_law(bore: Metre, length: Metre, minor_loss: Dimensionless) -> Law:
    """What gravity drives through a full tube over the head on its end. Raises OutsideValidRange."""
    return _table(
        lambda head: hose_drain_flow(head=head, inner_diameter=bore, length=length, minor_loss=minor_loss),
        10.0,
    )


def siphon_law(law: Law, exit_height: Metre, stops_at: Metre) -> Law:
    """A tube that leads out below the water, over the height of the surface: it takes the head on its far end, and
    nothing once its own end is out of the water."""
    over = law.raised(exit_height)
    if stops_at <= exit_height + STEP:
        return over
    kept = over.heights > stops_at + 2.0 * STEP
    heights = np.concatenate([[stops_at, stops_at + STEP], over.heights[kept]])
    flows = np.concatenate([[0.0, float(over.flow(stops_at + STEP))], over.flows[kept]])
    return Law(heights=heights, flows=flows)


def root_law(flow: CubicMetrePerSecond, at: Metre, exit_height: Metre, most: Metre) -> Law:
    """Flow with the root of the head on an exit, through one known point: `flow` with the surface at a height."""
    heads = _heads(max(most - exit_height, 2.0 * LEAST_HEAD), NODES)
    flows = flow * np.sqrt(heads / (at - exit_height))
    return Law(heights=exit_height + np.concatenate([[0.0], heads]), flows=np.concatenate([[0.0], flows]))


def _heads(most: Metre, count: int) -> Array:
    return np.geomspace(LEAST_HEAD, most, count)


def _table(law: Callable[[float], float], most: Metre) -> Law:
    """The law worked out at some heads and drawn smoothly, on logarithmic scales, through many."""
    coarse = _heads(most, SAMPLED)
    fine = _heads(most, NODES)
    x, y = np.log(coarse), np.log([max(law(float(head)), 1e-30) for head in coarse])
    flows = np.maximum.accumulate(np.exp(_monotone(x, y, np.log(fine))))
    return Law(heights=np.concatenate([[0.0], fine]), flows=np.concatenate([[0.0], flows]))


def _monotone(x: Array, y: Array, at: Array) -> Array:
    """A smooth curve through points that turns nowhere between them.

    Source: F. N. Fritsch and J. Butland (1984), harmonic mean of the slopes on both sides; from memory.
    """
    step = np.diff(x)
    rise = np.diff(y) / step
    slope = np.concatenate([rise[:1], np.zeros(len(x) - 2), rise[-1:]])
    same = rise[:-1] * rise[1:] > 0.0
    left, right = rise[:-1][same], rise[1:][same]
    slope[1:-1][same] = 2.0 * left * right / (left + right)
    k = np.clip(np.searchsorted(x, at, side="right") - 1, 0, len(step) - 1)
    s = (at - x[k]) / step[k]
    return np.asarray(
        y[k] * (1 + 2 * s) * (1 - s) ** 2
        + y[k + 1] * s**2 * (3 - 2 * s)
        + step[k] * (slope[k] * s * (1 - s) ** 2 - slope[k + 1] * s**2 * (1 - s))
    )
