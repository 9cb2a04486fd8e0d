"""The pipe of one drain as places where water can stand and links between them, as tables to be read at once.

Each stretch of pipe belongs to its lower end: what stands there fills it from below, level. A link runs by Manning's
formula with the depth at the end the water comes from, down the pipe's own fall or, where water stands back from below,
down what is left of it; a full pipe has its friction slope. Waves and velocity heads are left out, as in
`systems.drain_levels`, whose levels a steady flow settles to.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from typing import Final

import numpy as np

from tankwright.faults.model import Array
from tankwright.physics.channels import part_full_area, part_full_flow, part_full_width
from tankwright.physics.constants import STANDARD_GRAVITY
from tankwright.physics.orifices import blockage_loss
from tankwright.physics.pool_arrays import pool_volumes
from tankwright.systems.drain_levels import FLATTEST, STEEPEST, Sloped

SHARES: Final = 256
"""Steps of depth over bore in the tables."""

VOLUMES: Final = 240
"""Steps of what stands in one place; finer towards nothing."""

SHAFT: Final = 1e-4
"""m2, plan area of a joint and what stands up from it beside the bores of hoses: a square centimetre."""

SHORTEST: Final = 0.05
"""m, length at least between two places; a joint of no length costs next to nothing."""

GENTLE: Final = 1e-5
"""Slope of the water below which flow is in proportion to it rather than to its root."""

WIDE_OPEN: Final = 0.98
"""More of the way left than this is no blockage."""

SHUT: Final = 0.02
"""Less of the way left than this is shut: the law of part-blocked pipes goes no further."""

HIGHEST: Final = 5.0
"""m of water over the end of a drain, as far as its table goes."""

BRIM: Final = 1e-3
"""m over the water of the outfall at which it takes what the pipe's end gives."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Where water can stand: a node, or the lower side of a node that is partly blocked."""

    node: int
    bottom: float
    shaft: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Pipe:
    """The places of a drain, upper end first, and the links below them; the last place leads to the outfall."""

    standing: Standing
    links: Links
    mouth: Mouth


@dataclass(frozen=True, slots=True, eq=False)
class Standing:
    """How high water stands for what there is of it, place by place."""

    capacities: Array
    volumes: Array
    heights: Array
    rises: Array

    def levels(self, stored: Array) -> tuple[Array, Array]:
        """Heights, and how they grow with the water."""
        share = np.sqrt(np.minimum(np.maximum(stored / self.capacities, 0.0), 1.0))
        at = (VOLUMES * share).astype(np.intp), np.arange(len(stored))
        rise = self.rises[at]
        rise = np.where(stored < 0.0, self.rises[-1], rise)
        return self.heights[at] + (stored - self.volumes[at]) * rise, rise

    def volume(self, place: int, height: float) -> float:
        """The water that stands up to a height in one place."""
        heights = self.heights[:, place]
        if height >= heights[-1]:
            return float(self.capacities[place] + (height - heights[-1]) / self.rises[-1, place])
        return float(np.interp(height, heights, self.volumes[:, place]))


@dataclass(frozen=True, slots=True, eq=False)
class Links:
    """What runs between neighbours: flow is `factors` times the table's conveyance times the root of the slope."""

    up: Array
    down: Array
    sills: Array
    steep: Array
    back: Array
    lengths: Array
    factors: Array
    rows: Array
    table: Array
    bore: float

    def flows(self, levels: Array) -> tuple[Array, Array, Array]:
        """Flow of each link, and its slope with the level above and below it."""
        above, below = levels[:-1], levels[1:]
        forward = above >= below
        mine, other = np.maximum(above, below), np.minimum(above, below)
        bed, falls = np.where(forward, self.down, self.up), np.where(forward, self.steep, self.back)
        scaled = (mine - self.sills) * (SHARES / self.bore)
        inside = (scaled > 0.0) & (scaled < SHARES)
        scaled = np.minimum(np.maximum(scaled, 0.0), float(SHARES))
        at = np.minimum(scaled.astype(np.intp), SHARES - 1)
        low, grows = self.table[self.rows, at], self.table[self.rows + 2, at]
        carried = low + (scaled - at) * grows
        own = bed + falls * scaled * (self.bore / SHARES)
        free = other <= own
        slope = np.maximum(mine - np.where(free, own, other), 0.0) / self.lengths
        squared = slope * slope + GENTLE * GENTLE
        quarter = squared**-0.25
        rooted = slope * quarter
        by_slope = carried * quarter * (1.0 - 0.5 * slope * slope / squared) / self.lengths
        flow = self.factors * carried * rooted
        by_depth = np.where(inside, grows * (SHARES / self.bore) * rooted, 0.0)
        by_mine = self.factors * (by_depth + by_slope * (1.0 - np.where(free & inside, falls, 0.0)))
        by_other = -self.factors * by_slope * np.where(free, 0.0, 1.0)
        return (
            np.where(forward, flow, -flow),
            np.where(forward, by_mine, -by_other),
            np.where(forward, by_other, -by_mine),
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Mouth:
    """What leaves at the lower end over the height it stands there."""

    heights: Array
    flows: Array
    most: float

    def flow(self, level: float) -> tuple[float, float]:
        """Flow and its slope. Above the table it goes on as steeply as it ends, up to the outfall's most."""
        heights, flows = self.heights, self.flows
        at = min(max(int(heights.searchsorted(level, side="right")), 1), len(heights) - 1)
        slope = float((flows[at] - flows[at - 1]) / (heights[at] - heights[at - 1]))
        if level <= heights[0]:
            return 0.0, 0.0
        flow = float(flows[at - 1]) + slope * (level - float(heights[at - 1]))
        return (flow, slope) if flow < self.most else (self.most, 0.0)


def pipe_of(
    run: Sloped, *, left: Sequence[float], hoses: Sequence[float], outfall: float, most: float
) -> tuple[Pipe, tuple[int, ...]]:
    """The tables of a run, and the place of each node. `left` is the share of the way out of each node, `hoses` the
    bores' area of those that end there, `outfall` the share left at the very end. Raises OutsideValidRange."""
    places: list[Place] = []
    place_of: list[int] = []
    for node, (share, hose) in enumerate(zip(left, hoses, strict=True)):
        place_of.append(len(places))
        places.append(Place(node=node, bottom=run.inverts[node], shaft=SHAFT + hose))
        if SHUT <= share <= WIDE_OPEN and node < len(left) - 1:
            places.append(Place(node=node, bottom=run.inverts[node], shaft=SHAFT))
    end = min(left[-1], outfall)
    links = _links(run, places, left)
    pipe = Pipe(standing=_standing(run, places), links=links, mouth=_mouth(run, end, most))
    return pipe, tuple(place_of)


def _standing(run: Sloped, places: Sequence[Place]) -> Standing:
    """Tables with the same number of entries each, so that all places are read at once."""
    owned: list[list[tuple[float, float]]] = [[] for _ in places]
    first: dict[int, int] = {}
    last: dict[int, int] = {}
    for index, place in enumerate(places):
        first.setdefault(place.node, index)
        last[place.node] = index
    for segment, length in enumerate(run.lengths):
        fall = run.inverts[segment] - run.inverts[segment + 1]
        owner = first[segment + 1] if fall >= 0.0 else last[segment]
        owned[owner].append((length, abs(fall)))
    shares = (np.arange(VOLUMES + 1) / VOLUMES) ** 2
    columns = [
        _column(run.bore, place, segments, shares) for place, segments in zip(places, owned, strict=True)
    ]
    volumes, heights = np.array([c[0] for c in columns]).T, np.array([c[1] for c in columns]).T
    rises = np.diff(heights, axis=0) / np.diff(volumes, axis=0)
    rises = np.vstack([rises, [1.0 / place.shaft for place in places]])
    return Standing(volumes[-1].copy(), volumes, heights, rises)


def _column(
    bore: float, place: Place, segments: Sequence[tuple[float, float]], shares: Array
) -> tuple[Array, Array]:
    top = bore + max((fall for _, fall in segments), default=0.0)
    fine = top * (np.arange(4 * VOLUMES + 1) / (4 * VOLUMES)) ** 2
    volume = place.shaft * fine
    for length, fall in segments:
        volume = volume + pool_volumes(fine, bore, length, fall)
    volumes = volume[-1] * shares
    return volumes, place.bottom + np.interp(volumes, volume, fine)


def _links(run: Sloped, places: Sequence[Place], left: Sequence[float]) -> Links:
    up, down, lengths, factors, rows, steep, back = [], [], [], [], [], [], []
    for above, below in pairwise(places):
        up.append(above.bottom)
        down.append(below.bottom)
        if above.node == below.node:
            lost = blockage_loss(open_share=left[above.node])
            factors.append(math.sqrt(2.0 * STANDARD_GRAVITY / lost))
            lengths.append(1.0)
            rows.append(1)
            steep.append(0.0)
            back.append(0.0)
            continue
        fall = above.bottom - below.bottom
        length = max(run.lengths[above.node], SHORTEST)
        factors.append(0.0 if left[above.node] < SHUT else 1.0)
        lengths.append(max(length, abs(fall) / STEEPEST))
        rows.append(0)
        steep.append(float(fall >= FLATTEST * length))
        back.append(float(-fall >= FLATTEST * length))
    conveyance = _conveyance(run.bore, run.manning_n)
    area = _areas(run.bore)
    table = np.zeros((4, SHARES + 1))
    table[0], table[1] = conveyance, area
    table[2, :-1], table[3, :-1] = np.diff(conveyance), np.diff(area)
    ups, downs = np.array(up), np.array(down)
    return Links(
        ups, downs, np.maximum(ups, downs), np.array(steep), np.array(back), np.array(lengths), np.array(factors),
        np.array(rows, dtype=np.intp), table, run.bore,
    )  # fmt: skip


@lru_cache(maxsize=64)
def _conveyance(bore: float, manning_n: float) -> Array:
    """Even flow over the root of the slope; no more than the full pipe's, so that more water never carries less."""
    flows = [
        part_full_flow(inner_diameter=bore, slope=0.01, depth_share=k / SHARES, manning_n=manning_n) / 0.1
        for k in range(SHARES + 1)
    ]
    return np.minimum(flows, flows[-1])


@lru_cache(maxsize=64)
def _areas(bore: float) -> Array:
    return np.array([part_full_area(inner_diameter=bore, depth_share=k / SHARES) for k in range(SHARES + 1)])


def _mouth(run: Sloped, left: float, most: float) -> Mouth:
    """A free end runs at the lesser of even and critical depth; water of the outfall that stands higher holds it up;
    what blocks the end lets through what the head on it drives."""
    bottom, bore = run.inverts[-1], run.bore
    begins = max(run.outlet_level, bottom)
    shares = np.arange(SHARES) / SHARES
    slope = min(max(run.slopes[-1], 0.0), STEEPEST) if run.slopes else 0.0
    even = _conveyance(bore, run.manning_n)[:-1] * math.sqrt(slope)
    free = np.maximum([_critical(bore, float(share)) for share in shares], even)
    own = bottom + bore * shares
    heads = np.concatenate([[0.0, BRIM], np.geomspace(2.0 * BRIM, HIGHEST, SHARES)])
    heights = np.union1d(own[own > begins + BRIM], begins + heads)
    if left < SHUT:
        return Mouth(heights=heights, flows=np.zeros_like(heights), most=0.0)
    over = np.maximum(heights - own[-1], 0.0) * (free[-1] - free[-2]) / (own[-1] - own[-2])
    flows = np.interp(heights, own, free) + over
    flows[0] = 0.0
    if left <= WIDE_OPEN:
        area = np.interp(heights - bottom, own - bottom, _areas(bore)[:-1])
        per_head = 2.0 * STANDARD_GRAVITY / blockage_loss(open_share=left)
        flows = np.minimum(flows, area * np.sqrt(per_head * (heights - begins)))
    return Mouth(heights=heights, flows=flows, most=most)


def _critical(bore: float, share: float) -> float:
    """The flow for which a depth is critical."""
    if share <= 0.0:
        return 0.0
    area = part_full_area(inner_diameter=bore, depth_share=share)
    width = part_full_width(inner_diameter=bore, depth_share=share)
    return math.sqrt(STANDARD_GRAVITY * area**3 / width)
