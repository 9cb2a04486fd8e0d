"""A drain that runs, but takes less than comes: narrowed, or too small. Little stands in it; its tanks hold back.

Levels and hoses are brought to agree at every moment, as in `systems.drain_cases`: for a flow leaving at the outfall,
levels and hoses follow node by node up the run, and what is left over at the top must be nothing. More leaving means
higher levels and more left over, so there is one answer. An outfall that takes no more lets the level before it rise.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Final

import numpy as np

from tankwright.faults.drain_flows import SHUT, WIDE_OPEN, DrainFlows, DrainState
from tankwright.faults.drain_pipe import critical_depths, even_depths
from tankwright.faults.model import Array
from tankwright.physics.channels import part_full_area
from tankwright.physics.constants import STANDARD_GRAVITY
from tankwright.physics.numerics import root
from tankwright.physics.orifices import blockage_loss
from tankwright.systems.drain_levels import FLATTEST, STEEPEST, TRICKLE, level_above

NUDGE: Final = 1e-9
"""m3/s by which flows are changed to see how levels follow: a thousandth of a drip."""

NEAR: Final = 0.02
"""Share of the last answer within which the next one is looked for first."""

SETTLED: Final = 1e-13
"""m3/s left over at the top that counts as nothing: a drop in a week."""

PRESSED: Final = 100.0
"""m the level before an outfall rises for as much again as it takes: only so that the search has where to go."""


@dataclass(slots=True, eq=False)
class RunningDrain:
    """Nothing stands in it that counts, so it has no pools. `_last` is where the last search ended."""

    flows: DrainFlows
    _at_node: list[list[int]] = field(default_factory=list)
    _last: float = 0.0
    _settled: list[float] = field(default_factory=list)
    _levels: list[float] = field(default_factory=list)
    _carried: list[float] = field(default_factory=list)

    def __post_init__(self) -> None:
        self._at_node = [[] for _ in self.flows.pipe.nodes]
        for tank, node in enumerate(self.flows.nodes):
            self._at_node[int(node)].append(tank)
        self._levels = [0.0] * len(self._at_node)
        self._carried = [0.0] * len(self._at_node)

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
        """None: nothing stands in it."""
        return ()

    def spread(self, total: float) -> Array:
        """What stands in its pools, of which it has none."""
        del total
        return np.zeros(0)

    def free(self, hoses: Array) -> bool:
        """Whether nothing stands back at any hose's end when these flows run."""
        if float(hoses.sum()) > self.flows.most:
            return False
        levels, above = [0.0] * len(self._at_node), float(hoses.sum())
        for node in range(len(levels) - 1, -1, -1):
            levels[node] = self._level(node, above, levels[node + 1] if node + 1 < len(levels) else None)
            above -= float(sum(hoses[tank] for tank in self._at_node[node]))
        return bool(np.all(np.array(levels)[self.flows.nodes] <= self.flows.ends + 1e-9))

    def at(self, surfaces: Array, stored: Array) -> DrainState:
        """Flow of every hose for the surfaces of the tanks; what comes leaves."""
        del stored
        self._settle(surfaces)
        hoses, _, _ = self.flows.through(surfaces, np.array(self._levels)[self.flows.nodes])
        return DrainState(hoses=hoses, leaves=float(hoses.sum()), to_floor=0.0, change=np.zeros(0))

    def slopes(self, surfaces: Array, stored: Array) -> Array:
        """How the hoses change with the surfaces: each by itself, and by the levels that all of them raise."""
        del stored
        self._settle(surfaces)
        drain = np.array(self._levels)[self.flows.nodes]
        _, by_surface, by_level = self.flows.through(surfaces, drain)
        raised = self._raised()[np.ix_(self.flows.nodes, self.flows.nodes)]
        count = len(surfaces)
        return np.asarray(np.linalg.solve(np.eye(count) - by_level[:, None] * raised, np.diag(by_surface)))

    def _raised(self) -> Array:
        """How the level at each node (row) rises with what comes in at each (column)."""
        count = len(self._at_node)
        found = np.zeros((count, count))
        for node in range(count - 1, -1, -1):
            below = self._levels[node + 1] if node + 1 < count else None
            here, carried = self._levels[node], max(self._carried[node], 0.0)
            found[node, : node + 1] = (self._level(node, carried + NUDGE, below) - here) / NUDGE
            if below is not None:
                rises = (self._level(node, carried, below + 1e-7) - here) / 1e-7
                found[node] += min(max(rises, 0.0), 1.0) * found[node + 1]
        return found

    # --- levels and hoses that agree ----------------------------------------------------------------------------

    def _settle(self, surfaces: Array) -> None:
        levels = [float(one) for one in surfaces]
        if levels == self._settled:
            return
        self._settled = levels

        def left_over(leaving: float) -> float:
            left = self._left_over(leaving, levels)
            return left if abs(left) > SETTLED else 0.0

        low, high = self._last * (1.0 - NEAR), self._last * (1.0 + NEAR) + 1e-9
        if not left_over(low) <= 0.0 <= left_over(high):
            low, high = 0.0, self._most(levels)
            if left_over(low) >= 0.0:
                return
            while left_over(high) < 0.0:
                high *= 2.0
        self._last = root(left_over, low, high)
        left_over(self._last)

    def _most(self, surfaces: list[float]) -> float:
        return sum(self.flows.one(tank, surface, -math.inf) for tank, surface in enumerate(surfaces)) + 1e-9

    def _left_over(self, leaving: float, surfaces: list[float]) -> float:
        above, below = leaving, None
        for node in range(len(self._at_node) - 1, -1, -1):
            below = self._level(node, above, below)
            above = min(above, self.flows.most)
            self._levels[node], self._carried[node] = below, above
            for tank in self._at_node[node]:
                above -= self.flows.one(tank, surfaces[tank], below)
        return above

    def _level(self, node: int, flow: float, below: float | None) -> float:
        """The level at a node from which a flow goes on, from the level below (None: at the outfall)."""
        pipe, most, flow = self.flows.pipe, self.flows.most, max(flow, 0.0)
        if below is None:
            over = max(flow - most, 0.0) / most * PRESSED if most < math.inf else 0.0
            flow = min(flow, most)
            level = self._leaving(flow) + over
        else:
            level = level_above(pipe, node, flow, self._even(node, flow), below)
        share = self.flows.left[node]
        return self._before(node, share, level, flow) if share <= WIDE_OPEN and flow > TRICKLE else level

    def _even(self, segment: int, flow: float) -> float | None:
        pipe = self.flows.pipe
        if pipe.slopes[segment] < FLATTEST:
            return None if flow > 0.0 else 0.0
        return even_depths(pipe.bore, pipe.manning_n).at(
            flow / math.sqrt(min(pipe.slopes[segment], STEEPEST))
        )

    def _leaving(self, flow: float) -> float:
        """The lesser of even and critical depth where it drops free, no lower than the water of the outfall."""
        pipe, deep = self.flows.pipe, self.flows.pipe.bore
        even = self._even(len(pipe.slopes) - 1, flow) if pipe.slopes else None
        for depth in (critical_depths(pipe.bore).at(flow), even):
            deep = deep if depth is None else min(deep, depth)
        return max(pipe.inverts[-1] + deep, pipe.outlet_level)

    def _before(self, node: int, share: float, level: float, flow: float) -> float:
        """The level before a part-blocked node that drives a flow through to the level behind it."""
        pipe = self.flows.pipe
        per_head = 2.0 * STANDARD_GRAVITY / blockage_loss(open_share=max(share, SHUT))
        whole = flow / part_full_area(inner_diameter=pipe.bore, depth_share=1.0)
        full = whole * whole / per_head
        invert = pipe.inverts[node]
        if level + full >= invert + pipe.bore:
            return level + full

        def short(head: float) -> float:
            depth = min(max((level + head - invert) / pipe.bore, 0.0), 1.0)
            return (
                part_full_area(inner_diameter=pipe.bore, depth_share=depth) * math.sqrt(per_head * head)
                - flow
            )

        return level + root(short, 0.0, full + pipe.bore)
