"""A drain that is shut: what stands above the place it is shut at is level, and tanks run into it and out of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from tankwright.faults.drain_flows import DrainFlows
from tankwright.faults.model import Array

HEIGHTS: Final = 600
ABOVE: Final = 0.5
"""m over the highest lip up to which water in hoses is counted."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class StillFlows:
    """What it does at a moment."""

    hoses: Array
    to_floor: float
    change: Array


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class StillDrain:
    """A drain as one pool: flow in it is slow, so its level is everywhere the same. `shut_at` is the last of the
    drain's places above the stop; tanks below it run free."""

    flows: DrainFlows
    shut_at: int
    heights: Array
    volumes: Array

    @property
    def run(self) -> str:
        """The drain."""
        return self.flows.run

    @property
    def space(self) -> str:
        """Where it would run onto the floor."""
        return self.flows.space

    @property
    def marks(self) -> tuple[tuple[int, float, str], ...]:
        """It is full when water in it stands at the lowest hose's end."""
        ends = self.flows._ends[self.flows._at <= self.shut_at]
        if not len(ends):
            return ()
        return ((0, float(np.interp(ends.min(), self.heights, self.volumes)), "drain full"),)

    def at(self, surfaces: Array, stored: Array) -> StillFlows:
        """Flow of every hose, and what the pool gains."""
        hoses, _, _ = self._through(surfaces, stored)
        return StillFlows(hoses=hoses, to_floor=0.0, change=np.array([hoses[self._above].sum()]))

    def slopes(self, surfaces: Array, stored: Array) -> Array:
        """How that changes with the surfaces and with what stands in the pool."""
        _, by_surface, by_level = self._through(surfaces, stored)
        count = len(surfaces)
        found = np.zeros((count + 1, count + 1))
        found[np.arange(count), np.arange(count)] = by_surface
        k = int(np.clip(np.searchsorted(self.volumes, stored[0], side="right"), 1, len(self.volumes) - 1))
        rise = (self.heights[k] - self.heights[k - 1]) / (self.volumes[k] - self.volumes[k - 1])
        found[:count, count] = np.where(self._above, by_level * rise, 0.0)
        found[count] = found[:count][self._above].sum(0)
        return found

    @property
    def _above(self) -> Array:
        return np.asarray(self.flows._at <= self.shut_at)

    def _through(self, surfaces: Array, stored: Array) -> tuple[Array, Array, Array]:
        level = float(np.interp(stored[0], self.volumes, self.heights))
        levels = np.full(self.flows.pools, -1e3)
        levels[: self.shut_at + 1] = level
        return self.flows._through(surfaces, levels)


def still_drain(flows: DrainFlows) -> StillDrain | None:
    """The drain as one level pool, None where nothing of it is shut altogether."""
    if not flows.marks:
        return None
    shut_at = max(place for place, _, _ in flows.marks)
    lowest = float(flows.standing(np.zeros(flows.pools))[: shut_at + 1].min())
    heights = np.linspace(lowest, float(flows._lips.max()) + ABOVE, HEIGHTS)
    volumes = np.array([flows._filled(float(height))[: shut_at + 1].sum() for height in heights])
    volumes = np.maximum.accumulate(volumes) + np.arange(HEIGHTS) * 1e-9
    return StillDrain(flows=flows, shut_at=shut_at, heights=heights, volumes=volumes - volumes[0])
