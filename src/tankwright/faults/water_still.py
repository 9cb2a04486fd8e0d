"""A drain that is shut somewhere: what stands above each stop is level, and tanks run into it and out of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tankwright.faults.drain_flows import DrainFlows, DrainState
from tankwright.faults.model import Array

HEIGHTS: Final = 600
ABOVE: Final = 0.5
"""m over the highest lip up to which water in hoses is counted."""

NOTHING: Final = -1e3
"""m, where the water of a drain that runs free is taken to stand: below every hose."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class StillDrain:
    """A drain as level pools, one above each stop: flow in them is slow. `pool_of` is the pool of each hose's end, one
    beyond the last for those that run free, and each pool has heights and volumes of its own."""

    flows: DrainFlows
    pool_of: NDArray[np.intp]
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
        """A pool is full when it stands at the lowest end of a hose in it."""
        return tuple(
            (pool, float(np.interp(ends.min(), heights, volumes)), "drain full")
            for pool, (heights, volumes) in enumerate(zip(self.heights, self.volumes, strict=True))
            if len(ends := self.flows.ends[self.pool_of == pool])
        )

    def at(self, surfaces: Array, stored: Array) -> DrainState:
        """Flow of every hose, and what each pool gains."""
        levels, _ = self._levels(stored)
        hoses, _, _ = self.flows.through(surfaces, levels[self.pool_of])
        gained = np.bincount(self.pool_of, weights=hoses, minlength=len(stored) + 1)[:-1]
        leaves = float(hoses[self.pool_of == len(stored)].sum())
        return DrainState(hoses=hoses, leaves=leaves, to_floor=0.0, change=gained.astype(np.float64))

    def slopes(self, surfaces: Array, stored: Array) -> Array:
        """How that changes with the surfaces and with what stands in each pool."""
        levels, rises = self._levels(stored)
        _, by_surface, by_level = self.flows.through(surfaces, levels[self.pool_of])
        count, pools = len(surfaces), len(stored)
        tank, pool = np.arange(count), count + self.pool_of
        found = np.zeros((count + pools + 1, count + pools + 1))
        found[tank, tank] = by_surface
        found[tank, pool] = by_level * rises[self.pool_of]
        np.add.at(found, (pool, tank), by_surface)
        np.add.at(found, (pool, pool), by_level * rises[self.pool_of])
        return found[:-1, :-1]

    def spread(self, total: float) -> Array:
        """A volume in its pools, the lowest filled first up to its highest lip."""
        found = np.zeros(len(self.volumes))
        for pool in range(len(found) - 1, -1, -1):
            found[pool] = min(total, float(self.volumes[pool, -1])) if pool else total
            total -= found[pool]
        return found

    def _levels(self, stored: Array) -> tuple[Array, Array]:
        """Of each pool, and how it grows with what stands there; one more for what runs free."""
        levels, rises = np.full(len(stored) + 1, NOTHING), np.zeros(len(stored) + 1)
        for pool, (heights, volumes) in enumerate(zip(self.heights, self.volumes, strict=True)):
            k = min(max(int(volumes.searchsorted(stored[pool], side="right")), 1), len(volumes) - 1)
            rises[pool] = (heights[k] - heights[k - 1]) / (volumes[k] - volumes[k - 1])
            levels[pool] = heights[k - 1] + rises[pool] * (stored[pool] - volumes[k - 1])
        return levels, rises


def still_drain(flows: DrainFlows) -> StillDrain | None:
    """The drain as level pools, None where nothing of it is shut altogether."""
    if not flows.shut:
        return None
    bottoms = flows.standing.bottoms()
    top = float(flows.lips.max()) + ABOVE
    heights, volumes, above = [], [], 0
    for shut in flows.shut:
        here = slice(above, shut + 1)
        rising = np.linspace(
            float(bottoms[here].min()), max(top, float(bottoms[here].max()) + ABOVE), HEIGHTS
        )
        filled = np.array([flows.standing.volume(float(height))[here].sum() for height in rising])
        heights.append(rising)
        volumes.append(filled - filled[0])
        above = shut + 1
    return StillDrain(
        flows=flows,
        pool_of=np.searchsorted(np.array(flows.shut), flows.nodes).astype(np.intp),
        heights=np.array(heights),
        volumes=np.array(volumes),
    )
