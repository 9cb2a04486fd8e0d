"""One tank followed through time: a path for every stretch of constant inflow, cut where something of its own happens
(a siphon draws air, a float shuts), and what went which way meanwhile."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tankwright.faults.model import Array, Event
from tankwright.faults.water_laws import Law, added
from tankwright.faults.water_path import Path, path
from tankwright.faults.water_ways import FILM, Vessel
from tankwright.units import CubicMetrePerSecond, Metre, Second

NEAR: Final[Metre] = 1e-9
"""A level this near to the rim stands at it."""

BELOW_LIP: Final[Metre] = 1e-6
"""Water that stood so much below its lip begins to overflow when it reaches it; the usual film does not."""

Mask = NDArray[np.bool_]

MOST_PIECES: Final = 10_000

# Gauss and Legendre's four points on 0..1, which share what ran out between several ways.
_AT: Final = np.array([0.06943184420297371, 0.33000947820757187, 0.6699905217924281, 0.9305681557970262])
_WEIGHT: Final = np.array(
    [0.17392742256872692, 0.32607257743127307, 0.32607257743127307, 0.17392742256872692]
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Inflow:
    """What runs into one tank between edges of time: by the feeds, which a float can shut, and otherwise.
    `shut` are the ways out that do not work in a stretch (a feed out of this tank that is not running)."""

    edges: Array
    fed: Array
    other: Array
    shut: tuple[frozenset[int], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Piece:
    """One path from a time on. `fed` is how much of the feed the float lets in, m3/s; `open` the ways that work."""

    begin: Second
    path: Path
    fed: CubicMetrePerSecond
    other: CubicMetrePerSecond
    open: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Followed:
    """One tank's course and what went where between the rows asked for: m3 in each, by way."""

    level: Array
    fed: Array
    other: Array
    sinks: Array
    spilled: Array


def siphons_begun(followers: Iterable[Follower]) -> Iterator[Event]:
    """What runs back out of tanks as soon as what feeds them has stopped, by the way it takes."""
    for one in followers:
        for sink in one.vessel.sinks:
            if sink.back and one.level > (sink.ends or 0.0) and float(sink.law.flow(one.level)) > 0.0:
                what = "air line runs back" if sink.to == "floor" else "feed runs back"
                yield Event(time=0.0, what=what, where=one.vessel.tank.id, to=sink.where)


@dataclass(slots=True)
class Follower:
    """Follows one tank."""

    vessel: Vessel
    level: Metre
    ended: set[int] = field(default_factory=set)
    events: list[Event] = field(default_factory=list)
    pieces: list[Piece] = field(default_factory=list)
    _laws: dict[tuple[int, ...], Law] = field(default_factory=dict)
    _spilling: bool = False

    def follow(self, inflow: Inflow) -> None:
        """All the way from the first edge to the last."""
        for index in range(len(inflow.edges) - 1):
            shut = inflow.shut[index] if inflow.shut else frozenset()
            begin, end = float(inflow.edges[index]), float(inflow.edges[index + 1])
            while begin < end and len(self.pieces) < MOST_PIECES:
                begin = self._piece(begin, end, float(inflow.fed[index]), float(inflow.other[index]), shut)

    def _piece(self, begin: Second, end: Second, fed: float, other: float, shut: Iterable[int]) -> Second:
        """Add the next piece; where it ends."""
        vessel, level, name = self.vessel, self.level, self.vessel.tank.id
        ways = tuple(i for i in range(len(vessel.sinks)) if i not in self.ended and i not in shut)
        law = self.law(ways)
        cut = self._cutoff()
        if cut is not None and level >= cut - NEAR:
            taken = float(law.flow(level))
            standing = level <= cut + NEAR
            fed = min(fed, max(taken - other, 0.0)) if standing else 0.0
        way = path(law, vessel.area, level, fed + other)
        marks = [(way.when(end_level), i) for i in ways if (end_level := vessel.sinks[i].ends) is not None]
        marks = [one for one in marks if math.isfinite(one[0])]
        if cut is not None and abs(level - cut) > NEAR:
            marks.append((way.when(cut), -1))
        after, which = min(marks, default=(math.inf, -2))
        stops = min(end, begin + after)
        self.pieces.append(Piece(begin=begin, path=way, fed=fed, other=other, open=ways))
        self._tell(begin, stops, way, float(law.flow(vessel.tank.rim)) < fed + other)
        self.level = float(way.level(stops - begin))
        if begin + after <= end and which >= 0:
            self.ended.add(which)
            self.events.append(Event(time=stops, what="siphon breaks", where=name, value=self.level))
        if begin + after <= end and which == -1 and cut is not None:
            self.level = cut
            if level < cut:
                self.events.append(Event(time=stops, what="float shuts", where=name, value=cut))
        return stops

    def law(self, ways: tuple[int, ...]) -> Law:
        """All ways that work together."""
        if ways not in self._laws:
            vessel = self.vessel
            parts = [vessel.sinks[i].law for i in ways]
            self._laws[ways] = added(parts, vessel.bottom, vessel.tank.rim)
        return self._laws[ways]

    def _cutoff(self) -> Metre | None:
        float_cutoff = self.vessel.tank.float_cutoff
        return None if float_cutoff is None else self.vessel.tank.level + float_cutoff.value

    def _tell(self, begin: Second, stops: Second, way: Path, too_much: bool) -> None:
        tank, level = self.vessel.tank, float(way.heights[0])

        def tell(time: Second, what: str, value: float) -> None:
            if time <= stops - begin:
                self.events.append(Event(time=begin + time, what=what, where=tank.id, value=value))

        if level >= tank.rim - NEAR:
            if too_much != self._spilling:
                tell(0.0, "spill begins" if too_much else "spill ends", tank.rim)
            self._spilling = too_much
        elif (reached := way.when(tank.rim)) <= stops - begin:
            tell(reached, "spill begins", tank.rim)
            self._spilling = True
        lip = tank.overflow.lip if tank.overflow is not None else None
        if lip is not None and level < lip - BELOW_LIP:
            tell(way.when(lip), "overflow begins", lip)
        dry = self.vessel.bottom + FILM
        if level > dry:
            tell(way.when(dry), "tank dry", dry)

    # --- what it came to -----------------------------------------------------------------------------------------

    def levels(self, times: Array) -> Array:
        """The level at some times."""
        begins = np.array([one.begin for one in self.pieces])
        which = np.clip(np.searchsorted(begins, times, side="right") - 1, 0, len(begins) - 1)
        levels = np.empty(len(times))
        for k in np.unique(which):
            here = which == k
            levels[here] = self.pieces[k].path.level(times[here] - begins[k])
        return levels

    def counted(self, rows: Array) -> Followed:
        """Levels at rows of time, and what went where between them."""
        rim, area = self.vessel.tank.rim, self.vessel.area
        begins = np.array([one.begin for one in self.pieces])
        reached = begins + np.array([one.path.when(rim) for one in self.pieces])
        times = np.unique(np.concatenate([rows, begins, reached[np.isfinite(reached)]]))
        times = times[(times >= rows[0]) & (times <= rows[-1])]
        level, which = self.levels(times), np.searchsorted(begins, times[:-1], side="right") - 1
        gaps = np.diff(times)
        fed = np.array([one.fed for one in self.pieces])[which] * gaps
        other = np.array([one.other for one in self.pieces])[which] * gaps
        out = fed + other - area * np.diff(level)
        full = (level[:-1] >= rim - NEAR) & (level[1:] >= rim - NEAR)
        sinks = np.zeros((len(self.vessel.sinks), len(gaps)))
        for ways in {one.open for one in self.pieces}:
            mine = np.array([self.pieces[k].open == ways for k in which])
            sinks[:, mine] = self._shares(ways, times, mine, out, full)
        spilled = np.where(full, out - sinks.sum(0), 0.0)
        first = np.searchsorted(times, rows)[:-1]
        return Followed(
            level=level[np.searchsorted(times, rows)],
            fed=np.add.reduceat(fed, first),
            other=np.add.reduceat(other, first),
            sinks=np.add.reduceat(sinks, first, axis=1),
            spilled=np.add.reduceat(spilled, first),
        )

    def _shares(self, ways: Sequence[int], times: Array, mine: Mask, out: Array, full: Mask) -> Array:
        """What ran out by each way: all of it where there is one, else by the flow of each at the very levels."""
        begin, gaps = times[:-1][mine], np.diff(times)[mine]
        shares = np.zeros((len(self.vessel.sinks), len(gaps)))
        if not ways:
            return shares
        full, out = full[mine], out[mine]
        if len(ways) == 1:
            at_rim = float(self.vessel.sinks[ways[0]].law.flow(self.vessel.tank.rim))
            shares[ways[0]] = np.where(full, at_rim * gaps, out)
            return shares
        inside = self.levels((begin[:, None] + gaps[:, None] * _AT).ravel()).reshape(-1, len(_AT))
        for way in ways:
            shares[way] = gaps * (self.vessel.sinks[way].law.flow(inside) @ _WEIGHT)
        total = shares.sum(0)
        scale = np.where(full | (total <= 0.0), 1.0, out / np.where(total > 0.0, total, 1.0))
        shares *= scale
        shares[ways[0]] += np.where(full, 0.0, out - shares.sum(0))
        return shares
