"""One shared drain in trouble: what runs into it from each tank, what runs back, and how high it stands where.

Water moves as in `drain_pipe`. A hose takes what its mouth and its own fall allow; where the drain stands above the
surface of a tank and above its lip, the same hose and mouth let water back in. A vent is taken to end above every lip,
so that nothing leaves the drain itself.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tankwright.faults.drain_pipe import SHUT, WIDE_OPEN, Pipe, pipe_of
from tankwright.faults.model import Array
from tankwright.faults.water_laws import LEAST_HEAD, Law, hose_law, mouth_law
from tankwright.physics.channels import part_full_area
from tankwright.physics.constants import STANDARD_GRAVITY
from tankwright.physics.numerics import root
from tankwright.physics.orifices import blockage_loss
from tankwright.room.model import DrainRun, Room
from tankwright.systems.drain_cases import Run
from tankwright.systems.drain_levels import add_up, leaving_level, level_above, sloped, water_levels
from tankwright.systems.drain_tanks import Way

Indices = NDArray[np.intp]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DrainState:
    """Flows at one moment, m3/s: out of each tank (less than nothing: back into it), gone at the outfall, and what each
    place gains. The hoses' sum is what leaves and what is gained."""

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

    Water can stand in `pools` places, upper end first; `shut` are those with no way on. `places` is where each hose
    ends, `lips` and `ends` the heights of its two ends. `marks` are (place, volume, word) of what is told when a place
    fills; `restricted` says that something of it is blocked or narrowed.
    """

    run: str
    outfall: str
    space: str
    tanks: tuple[str, ...]
    pools: int
    restricted: bool
    marks: tuple[tuple[int, float, str], ...]
    shut: tuple[int, ...]
    places: Indices
    lips: Array
    ends: Array
    _network: Run
    _most: float
    _left: tuple[float, ...]
    _pipe: Pipe
    _mouths: Tables
    _hoses: Tables

    def free(self, hoses: Array) -> bool:
        """Whether nothing stands back at any hose's end when these flows run."""
        if self.shut or float(hoses.sum()) > self._most:
            return False
        network, into = self._network, self._network.node_flows(hoses.tolist())
        held = [math.inf]
        if not self.restricted:  # open pipes as brim-full: a bound that is quick to find
            held = list(water_levels(network.pipe, add_up(into)))
        if not self._below_hoses(held):
            held = self._held(into)
        return self._below_hoses(held)

    def _below_hoses(self, held: Sequence[float]) -> bool:
        ends = zip(self._network.ways, self.ends, strict=True)
        return len(held) > 1 and all(held[self._network.index[way.node]] <= end + 1e-9 for way, end in ends)

    def _held(self, into: Sequence[float]) -> list[float]:
        """How high steady water stands at every node, upstream of what blocks it."""
        pipe, last = self._network.pipe, len(into) - 1
        flows = add_up(into)
        depths = [pipe.even_depth(segment, flow) for segment, flow in enumerate(flows)]
        level = leaving_level(pipe, flows[-1], depths[-1])
        held = [self._before(last, level, sum(into))]
        for segment in range(last - 1, -1, -1):
            level = level_above(pipe, segment, flows[segment], depths[segment], held[-1])
            held.append(self._before(segment, level, flows[segment]))
        return held[::-1]

    def _before(self, node: int, level: float, flow: float) -> float:
        """The level before a part-blocked node that drives a flow through to the level behind it."""
        share, bore = self._left[node], self._network.pipe.bore
        if flow <= 0.0 or not SHUT <= share <= WIDE_OPEN:
            return level
        per_head = 2.0 * STANDARD_GRAVITY / blockage_loss(open_share=share)
        invert = self._network.pipe.inverts[node]
        full = part_full_area(inner_diameter=bore, depth_share=1.0)

        def short(head: float) -> float:
            depth = min(max((level + head - invert) / bore, 0.0), 1.0)
            return part_full_area(inner_diameter=bore, depth_share=depth) * math.sqrt(per_head * head) - flow

        return level + root(short, 0.0, (flow / full) ** 2 / per_head + bore)

    def at(self, surfaces: Array, stored: Array) -> DrainState:
        """All flows for the surfaces of the tanks and what stands in each place."""
        levels, _ = self._pipe.standing.levels(stored)
        hoses, _, _ = self.through(surfaces, levels[self.places])
        between, _, _ = self._pipe.links.flows(levels)
        leaves, _ = self._pipe.mouth.flow(float(levels[-1]))
        change = np.bincount(self.places, weights=hoses, minlength=self.pools).astype(np.float64)
        change[:-1] -= between
        change[1:] += between
        change[-1] -= leaves
        return DrainState(hoses=hoses, leaves=leaves, to_floor=0.0, change=change)

    def slopes(self, surfaces: Array, stored: Array) -> Array:
        """How the hoses and what each place gains change with the surfaces and with what stands in each place."""
        count, size = len(self.tanks), len(self.tanks) + self.pools
        levels, rises = self._pipe.standing.levels(stored)
        _, by_surface, by_level = self.through(surfaces, levels[self.places])
        _, by_above, by_below = self._pipe.links.flows(levels)
        _, leaving = self._pipe.mouth.flow(float(levels[-1]))
        found = np.zeros((size, size))
        tank, place = np.arange(count), count + self.places
        found[tank, tank] = by_surface
        found[tank, place] = by_level
        found[place, tank] = by_surface
        np.add.at(found, (place, place), by_level)
        up = count + np.arange(self.pools - 1)
        found[up, up] -= by_above
        found[up, up + 1] -= by_below
        found[up + 1, up] += by_above
        found[up + 1, up + 1] += by_below
        found[-1, -1] -= leaving
        found[:, count:] *= rises
        return found

    def standing(self, stored: Array) -> Array:
        """How high water stands in each place, in the frame of the room."""
        return self._pipe.standing.levels(stored)[0]

    def spread(self, total: float) -> Array:
        """A volume in the places as it lies level in the pipe, the lower end shut."""
        if total <= 0.0:
            return np.zeros(self.pools)
        low, high = float(self.standing(np.zeros(self.pools)).min()), float(self.lips.max()) + 1.0
        height = root(lambda level: self.filled(level).sum() - total, low, high)
        found = self.filled(height)
        return np.asarray(found * (total / found.sum()))

    def filled(self, height: float) -> Array:
        standing = self._pipe.standing
        return np.array([standing.volume(place, height) for place in range(self.pools)])

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


def drain_flows(room: Room, run: DrainRun, ways: Mapping[str, Way]) -> DrainFlows:
    """A drain of a room with what is broken in it. Raises OutsideValidRange for a bore or hose no formula takes."""
    outfall = next((one for one in room.outfalls if one.id == run.outfall), None)
    pipe = sloped(run, outfall.place[2] if outfall is not None else -math.inf)
    index = {node: at for at, node in enumerate(pipe.nodes)}
    mine = tuple(way for way in ways.values() if way.drain == run.id and way.node in index)
    left, end = _shares_left(room, run, index)
    most = _share_of_outfall(room, run)
    bores = [0.0] * len(pipe.nodes)
    for way in mine:
        bores[index[way.node]] += math.pi / 4.0 * way.hose_bore**2
    tables, place_of = pipe_of(pipe, left=left, hoses=bores, outfall=end, most=most)
    left[-1] = min(left[-1], end)
    shut = tuple(place_of[node] for node, share in enumerate(left) if share < SHUT)
    return DrainFlows(
        run=run.id,
        outfall=run.outfall,
        space=outfall.room if outfall is not None else "",
        tanks=tuple(way.tank for way in mine),
        pools=len(tables.links.lengths) + 1,
        restricted=min(left) <= WIDE_OPEN,
        marks=(),
        shut=shut,
        places=np.array([place_of[index[way.node]] for way in mine], dtype=np.intp),
        lips=np.array([way.lip for way in mine]),
        ends=np.array([way.hose_end for way in mine]),
        _network=Run(pipe, mine, index),
        _most=most,
        _left=tuple(left),
        _pipe=tables,
        _mouths=_tables([mouth_law(way.bore, way.angle, way.open_share) for way in mine]),
        _hoses=_tables([hose_law(way) for way in mine]),
    )


def _shares_left(room: Room, run: DrainRun, index: Mapping[str, int]) -> tuple[list[float], float]:
    """The share of the way left below each node, and at the outfall."""
    left, end = [1.0] * len(index), 1.0
    for one in room.broken:
        if one.kind == "drain" and one.what == run.id and one.at in index:
            left[index[one.at]] = min(left[index[one.at]], one.left)
        elif one.kind == "outfall" and one.what == run.outfall:
            end = min(end, one.left)
    return left, end


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
