"""What stands in the pipe of a drain, and how deep its water runs, as tables.

Each stretch of pipe belongs to its lower end: what stands there fills it from below, level. Hoses standing full and the
joints count with a little plan area of their own.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np

from tankwright.faults.model import Array
from tankwright.physics.channels import FULLEST_DEPTH_SHARE, part_full_area, part_full_flow, part_full_width
from tankwright.physics.constants import STANDARD_GRAVITY
from tankwright.physics.pool_arrays import pool_volumes
from tankwright.systems.drain_levels import Sloped

SHARES: Final = 400
"""Steps of depth over bore in the tables."""

VOLUMES: Final = 240
"""Steps of what stands in one place; finer towards nothing."""

SHAFT: Final = 1e-4
"""m2, plan area of a joint and what stands up from it beside the bores of hoses: a square centimetre."""

FULLEST_CRITICAL: Final = 0.999
"""Depth over bore up to which a flow can be critical; a greater one leaves with the bore full."""


@dataclass(frozen=True, slots=True, eq=False)
class Standing:
    """What stands in each place, a node and the pipe that falls to it, up to a height: columns of a table each, and
    what a metre more takes above it."""

    volumes: Array
    heights: Array
    shafts: Array

    def volume(self, height: float) -> Array:
        """The water of every place with all of them level."""
        columns = zip(self.heights, self.volumes, self.shafts, strict=True)
        return np.array([
            float(np.interp(height, heights, volumes)) + shaft * max(height - float(heights[-1]), 0.0)
            for heights, volumes, shaft in columns
        ])  # fmt: skip

    def bottoms(self) -> Array:
        """The lowest height of every place."""
        return self.heights[:, 0]


def standing_of(run: Sloped, hoses: Sequence[float]) -> Standing:
    """The tables of a run. `hoses` are the bores' area of those that end at each node."""
    owned: list[list[tuple[float, float]]] = [[] for _ in hoses]
    for segment, length in enumerate(run.lengths):
        fall = run.inverts[segment] - run.inverts[segment + 1]
        owned[segment + 1 if fall >= 0.0 else segment].append((length, abs(fall)))
    shafts = [SHAFT + hose for hose in hoses]
    columns = [
        _column(run.bore, bottom, shaft, stretches)
        for bottom, shaft, stretches in zip(run.inverts, shafts, owned, strict=True)
    ]
    return Standing(np.array([c[0] for c in columns]), np.array([c[1] for c in columns]), np.array(shafts))


def _column(
    bore: float, bottom: float, shaft: float, stretches: Sequence[tuple[float, float]]
) -> tuple[Array, Array]:
    top = bore + max((fall for _, fall in stretches), default=0.0)
    heads = top * (np.arange(VOLUMES + 1) / VOLUMES) ** 2
    volumes = shaft * heads
    for length, fall in stretches:
        volumes = volumes + pool_volumes(heads, bore, length, fall)
    return volumes, bottom + heads


@dataclass(frozen=True, slots=True, eq=False)
class Depths:
    """Depth over flow, straight between close points; the lesser of two depths, or the bore beyond the last flow."""

    flows: list[float]
    depths: list[float]

    def at(self, flow: float) -> float | None:
        """The depth, None for more than the last flow."""
        flows, depths = self.flows, self.depths
        if flow > flows[-1]:
            return None
        at = min(max(bisect_right(flows, flow), 1), len(flows) - 1)
        part = (flow - flows[at - 1]) / (flows[at] - flows[at - 1])
        return depths[at - 1] + part * (depths[at] - depths[at - 1])


def _rows(fullest: float) -> list[float]:
    """Shares of the bore; denser towards both ends, where depth turns fast with flow."""
    return [fullest * 0.5 * (1.0 - math.cos(math.pi * k / SHARES)) for k in range(SHARES + 1)]


@lru_cache(maxsize=64)
def even_depths(bore: float, manning_n: float) -> Depths:
    """Even depth over flow divided by the root of the slope."""
    rows = _rows(FULLEST_DEPTH_SHARE)
    flows = [
        part_full_flow(inner_diameter=bore, slope=0.01, depth_share=share, manning_n=manning_n) / 0.1
        for share in rows
    ]
    return Depths(flows, [bore * share for share in rows])


@lru_cache(maxsize=64)
def critical_depths(bore: float) -> Depths:
    """Critical depth over flow."""
    rows = _rows(FULLEST_CRITICAL)
    flows = [0.0]
    for share in rows[1:]:
        area = part_full_area(inner_diameter=bore, depth_share=share)
        width = part_full_width(inner_diameter=bore, depth_share=share)
        flows.append(math.sqrt(STANDARD_GRAVITY * area**3 / width))
    return Depths(flows, [bore * share for share in rows])
