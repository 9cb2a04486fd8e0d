"""One shared drain in trouble: its pipe, what blocks it, and what runs through the hoses of its tanks.

A hose takes what its mouth and its own fall allow; where the drain stands above the surface of a tank and above its
lip, the same hose and mouth let water back in. A vent is taken to end above every lip: nothing leaves the drain itself.
What the drain does is worked out by `water_still` where it is shut, by `drain_running` where it is not.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tankwright.faults.drain_pipe import Standing, standing_of
from tankwright.faults.model import Array
from tankwright.faults.water_laws import LEAST_HEAD, Law, hose_law, mouth_law
from tankwright.room.model import DrainRun, Room
from tankwright.systems.drain_levels import Sloped, sloped
from tankwright.systems.drain_tanks import Way

Indices = NDArray[np.intp]

WIDE_OPEN = 0.98
"""More of the way left than this is no blockage."""

SHUT = 0.02
"""Less of the way left than this is shut: the law of part-blocked pipes goes no further."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DrainState:
    """Flows at one moment, m3/s: out of each tank (less than nothing: back into it), gone at the outfall, onto the
    floor, and what each pool gains. The hoses' sum is what leaves and what is gained."""

    hoses: Array
    leaves: float
    to_floor: float
    change: Array


@dataclass(frozen=True, slots=True, eq=False)
class Tables:
    """Laws of several tanks over the head on each, read at once; `rows` says which law is whose.

    The heads are those of `water_laws`: nothing, then a geometric row.
    """

    rows: Indices
    heads: Array
    flows: Array
    rises: Array
    per_log: float

    def read(self, heads: Array) -> tuple[Array, Array]:
        """Flow and its slope; nothing below no head, no more above the last."""
        last = len(self.heads) - 1
        at = np.log(np.maximum(heads, LEAST_HEAD * 0.999) / LEAST_HEAD) * self.per_log + 1.0
        at = np.minimum(np.maximum(at, 0.0), last).astype(np.intp)
        rise = np.where(heads > 0.0, self.rises[self.rows, at], 0.0)
        return self.flows[self.rows, at] + rise * (heads - self.heads[at]) * (heads > 0.0), rise

    def one(self, tank: int, head: float) -> float:
        """Flow of a single tank."""
        if head <= 0.0:
            return 0.0
        at = 0 if head < LEAST_HEAD else int(math.log(head / LEAST_HEAD) * self.per_log + 1.0)
        at, row = min(at, len(self.heads) - 1), self.rows[tank]
        return float(self.flows[row, at] + self.rises[row, at] * (head - self.heads[at]))


def _tables(laws: list[Law]) -> Tables:
    known: dict[int, int] = {}
    rows = np.array([known.setdefault(id(law), len(known)) for law in laws], dtype=np.intp)
    unique = list({id(law): law for law in laws}.values())
    heads, flows = unique[0].heights, np.array([law.flows for law in unique])
    rises = np.concatenate([np.diff(flows) / np.diff(heads), np.zeros((len(flows), 1))], axis=1)
    return Tables(rows, heads, flows, rises, 1.0 / math.log(heads[2] / heads[1]))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DrainFlows:
    """A drain and the tanks whose hoses end in it, in the order of `tanks`.

    `nodes` is where each hose ends, `lips` and `ends` the heights of its two ends. `left` is the share of the way out
    of each node, the outfall's at the last; `shut` are nodes with none. `most` is what the outfall takes of this drain.
    """

    run: str
    outfall: str
    space: str
    tanks: tuple[str, ...]
    pipe: Sloped
    left: tuple[float, ...]
    shut: tuple[int, ...]
    most: float
    nodes: Indices
    lips: Array
    ends: Array
    standing: Standing
    _mouths: Tables
    _hoses: Tables

    def through(self, surfaces: Array, drain: Array) -> tuple[Array, Array, Array]:
        """Flow of each hose with the drain at some level at its end, and how it changes with the tank's surface and
        with that level."""
        over = np.maximum(surfaces, self.lips)
        back = drain > over
        into = self._mouths.read(np.where(back, drain, surfaces) - self.lips)
        end = np.maximum(drain, self.ends)
        along = self._hoses.read(np.where(back, drain - over, surfaces - end))
        narrow = along[0] < into[0]
        flow = np.where(narrow, along[0], into[0])
        rise = np.where(narrow, along[1], into[1])
        by_surface = np.where(back, np.where(narrow & (surfaces > self.lips), rise, 0.0), rise)
        by_level = np.where(back | (narrow & (drain > self.ends)), -rise, 0.0)
        return np.where(back, -flow, flow), by_surface, by_level

    def one(self, tank: int, surface: float, drain: float) -> float:
        """Flow of a single hose; the same as in `through`."""
        lip = float(self.lips[tank])
        over = max(surface, lip)
        if drain > over:
            return -min(self._mouths.one(tank, drain - lip), self._hoses.one(tank, drain - over))
        into = self._mouths.one(tank, surface - lip)
        return min(into, self._hoses.one(tank, surface - max(drain, float(self.ends[tank])))) if into else 0.0


def drain_flows(room: Room, run: DrainRun, ways: Mapping[str, Way]) -> DrainFlows:
    """A drain of a room with what is broken in it. Raises OutsideValidRange for a bore or hose no formula takes."""
    outfall = next((one for one in room.outfalls if one.id == run.outfall), None)
    pipe = sloped(run, outfall.place[2] if outfall is not None else -math.inf)
    index = {node: at for at, node in enumerate(pipe.nodes)}
    mine = tuple(way for way in ways.values() if way.drain == run.id and way.node in index)
    bores = [0.0] * len(pipe.nodes)
    for way in mine:
        bores[index[way.node]] += math.pi / 4.0 * way.hose_bore**2
    left = _shares_left(room, run, index)
    top = next((node for node, bore in enumerate(bores) if bore > 0.0), 0)
    left[:top] = [1.0] * top  # nothing comes from above the uppermost hose
    return DrainFlows(
        run=run.id,
        outfall=run.outfall,
        space=outfall.room if outfall is not None else "",
        tanks=tuple(way.tank for way in mine),
        pipe=pipe,
        left=tuple(left),
        shut=tuple(node for node, share in enumerate(left) if share < SHUT),
        most=_share_of_outfall(room, run),
        nodes=np.array([index[way.node] for way in mine], dtype=np.intp),
        lips=np.array([way.lip for way in mine]),
        ends=np.array([way.hose_end for way in mine]),
        standing=standing_of(pipe, bores),
        _mouths=_tables([mouth_law(way.bore, way.angle, way.open_share) for way in mine]),
        _hoses=_tables([hose_law(way) for way in mine]),
    )


def _shares_left(room: Room, run: DrainRun, index: Mapping[str, int]) -> list[float]:
    """The share of the way left below each node, at the last one the outfall's."""
    left = [1.0] * len(index)
    for one in room.broken:
        if one.kind == "drain" and one.what == run.id and one.at in index:
            left[index[one.at]] = min(left[index[one.at]], one.left)
        elif one.kind == "outfall" and one.what == run.outfall:
            left[-1] = min(left[-1], one.left)
    return left


def _share_of_outfall(room: Room, run: DrainRun) -> float:
    """What the outfall takes of this drain: shared among its drains by the number of their tanks."""
    outfall = next((one for one in room.outfalls if one.id == run.outfall), None)
    if outfall is None or outfall.capacity is None:
        return math.inf
    tanks = {
        one.id: sum(len(node.tanks) for node in one.nodes)
        for one in room.drains
        if one.outfall == run.outfall
    }
    return outfall.capacity.value * tanks[run.id] / max(sum(tanks.values()), 1)
