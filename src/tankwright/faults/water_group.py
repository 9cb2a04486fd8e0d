"""Tanks whose shared drain stands full: they run into it, it runs back into the lowest of them, and all are followed
together.

The right side is stiff (a drain finds its level in a fraction of a second, a tank in hours), so steps are implicit:
Rosenbrock's method RODAS3 of third order, L-stable, with a step held to what its embedded second order differs by.
Source: A. Sandu and others (1997), Atmospheric Environment 31, 3459-3472; coefficients from memory, order checked by
test. What spilled and what ran elsewhere are unknowns of the same steps, so that nothing is lost or won.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Final, Protocol

import numpy as np

from tankwright.faults.model import Array, Event
from tankwright.faults.water_follow import Followed, Inflow
from tankwright.faults.water_ways import Vessel
from tankwright.physics.numerics import root
from tankwright.units import Metre, Second

GAMMA: Final = 0.5
_FROM: Final = ((), (0.0,), (2.0, 0.0), (2.0, 0.0, 1.0))
_PULL: Final = ((), (4.0,), (1.0, -1.0), (1.0, -1.0, -8.0 / 3.0))
_NEW: Final = (True, False, True, True)
_SUM: Final = (2.0, 0.0, 1.0, 1.0)

LEVEL_ERROR: Final[Metre] = 1e-6
VOLUME_ERROR: Final = 1e-6
LEAST_STEP: Final[Second] = 1e-3
MOST_STEPS: Final = 20_000

OVER_RIM: Final = 2.0
"""m1.5/s: water over the rim leaves with the power 1.5 of how far it stands over it, as over a weir some metre long. A
hand hose's flow stands a millimetre over; what counts is only that no more stays than came."""

OVER: Final[Metre] = 1e-5
"""So far over the rim is spilling: a drop a second."""

FLOAT_BAND: Final[Metre] = 1e-4
"""Over so much height a float goes from open to shut."""

RUNS_BACK: Final = 1e-9
"""m3/s out of a drain into a tank that counts as running back."""


class Flows(Protocol):
    """What one drain does at a moment: m3/s out of each tank (less than nothing: back into it), gone, onto the floor,
    and into each pool that stands in it."""

    @property
    def hoses(self) -> Array: ...
    @property
    def to_floor(self) -> float: ...
    @property
    def change(self) -> Array: ...


class SharedDrain(Protocol):
    """A drain as tanks that are followed together need it. `marks` are (pool, volume, word) of events of its own."""

    @property
    def run(self) -> str: ...
    @property
    def space(self) -> str: ...
    @property
    def marks(self) -> tuple[tuple[int, float, str], ...]: ...
    def at(self, surfaces: Array, stored: Array) -> Flows: ...
    def slopes(self, surfaces: Array, stored: Array) -> Array: ...


@dataclass(slots=True, eq=False)
class Group:
    """The tanks of one drain, followed together. `indices` are their columns."""

    flows: SharedDrain
    indices: tuple[int, ...]
    vessels: tuple[Vessel, ...]
    levels: Array
    stored: Array
    events: list[Event] = field(default_factory=list)
    _times: list[float] = field(default_factory=list)
    _states: list[Array] = field(default_factory=list)
    _slopes: list[Array] = field(default_factory=list)
    _hoses: list[Array] = field(default_factory=list)
    _to_floor: list[float] = field(default_factory=list)
    _inflows: tuple[Inflow, ...] = ()
    _others: list[tuple[int, int]] = field(default_factory=list)
    _table: tuple[Array, Array, Array] | None = None

    def follow(self, inflows: Sequence[Inflow]) -> None:
        """From the first edge to the last, each stretch begun afresh."""
        self._inflows = tuple(inflows)
        self._others = [
            (i, k)
            for i, one in enumerate(self.vessels)
            for k, sink in enumerate(one.sinks)
            if sink.to != "drain"
        ]
        count = len(self.vessels)
        state = np.concatenate([self.levels, self.stored, np.zeros(2 * count + len(self._others))])
        edges = inflows[0].edges
        for at in range(len(edges) - 1):
            system = _System(self, at)
            state = self._stretch(system, state, float(edges[at]), float(edges[at + 1]))
        self._tell()

    def _stretch(self, system: _System, state: Array, begin: Second, end: Second) -> Array:
        time, step = begin, min(1.0, end - begin)
        slope = system.slope(state)
        self._keep(time, state, slope, system)
        for _ in range(MOST_STEPS):
            if time >= end:
                break
            last = time + step >= end * (1.0 - 1e-15)
            step = end - time if last else step
            fresh, error = _rosenbrock(system, state, slope, step)
            far = max(
                float(np.max(np.abs(error[: system.count]), initial=0.0)) / LEVEL_ERROR,
                float(np.max(np.abs(error[system.count :]), initial=0.0)) / VOLUME_ERROR,
            )
            if far > 1.0 and step > LEAST_STEP:
                step = max(step * max(0.9 * far ** (-1.0 / 3.0), 0.1), LEAST_STEP)
                continue
            time = end if last else time + step
            state, slope = fresh, system.slope(fresh)
            self._keep(time, state, slope, system)
            step *= min(max(0.9 * max(far, 1e-9) ** (-1.0 / 3.0), 0.2), 4.0)
        return state

    def _keep(self, time: Second, state: Array, slope: Array, system: _System) -> None:
        self._times.append(time)
        self._states.append(state)
        self._slopes.append(slope)
        self._hoses.append(system.hoses)
        self._to_floor.append(system.to_floor)

    # --- what it came to ----------------------------------------------------------------------------------------

    def states(self, times: Array) -> Array:
        """The whole state at some times, by the cubic through both ends of the step they lie in."""
        if self._table is None or len(self._table[0]) != len(self._times):
            self._table = (np.array(self._times), np.array(self._states), np.array(self._slopes))
        at, known, slopes = self._table
        k = np.clip(np.searchsorted(at, times, side="right") - 1, 0, len(at) - 2)
        step = np.where(at[k + 1] > at[k], at[k + 1] - at[k], 1.0)[:, None]
        s = np.clip((times - at[k])[:, None] / step, 0.0, 1.0)
        return np.asarray(
            known[k] * (1 + 2 * s) * (1 - s) ** 2
            + known[k + 1] * s**2 * (3 - 2 * s)
            + step * (slopes[k] * s * (1 - s) ** 2 - slopes[k + 1] * s**2 * (1 - s))
        )

    def counted(self, rows: Array) -> tuple[Followed, ...]:
        """Every tank's levels and volumes between rows; what its hose took is what is left of the balance."""
        states, gaps = self.states(rows), np.diff(rows)
        count, pools = len(self.vessels), len(self.stored)
        moved = np.diff(states, axis=0)
        found = []
        for i, vessel in enumerate(self.vessels):
            inflow = self._inflows[i]
            at = np.clip(np.searchsorted(inflow.edges, rows[:-1], side="right") - 1, 0, len(inflow.edges) - 2)
            spilled = moved[:, count + pools + i]
            fed = inflow.fed[at] * gaps - moved[:, 2 * count + pools + i]
            other = inflow.other[at] * gaps
            sinks = np.zeros((len(vessel.sinks), len(gaps)))
            for j, (owner, k) in enumerate(self._others):
                if owner == i:
                    sinks[k] = moved[:, 3 * count + pools + j]
            hose = next(k for k, sink in enumerate(vessel.sinks) if sink.to == "drain")
            sinks[hose] = fed + other - vessel.area * moved[:, i] - spilled - sinks.sum(0)
            found.append(Followed(level=states[:, i], fed=fed, other=other, sinks=sinks, spilled=spilled))
        return tuple(found)

    def standing(self, rows: Array) -> Array:
        """What stands in the drain at rows."""
        count = len(self.vessels)
        return np.asarray(self.states(rows)[:, count : count + len(self.stored)].sum(1))

    def onto_floor(self, rows: Array) -> Array:
        """What came out of the drain onto the floor between rows."""
        times, flow = np.array(self._times), np.array(self._to_floor)
        total = np.concatenate([[0.0], np.cumsum(0.5 * (flow[1:] + flow[:-1]) * np.diff(times))])
        return np.diff(np.interp(rows, times, total))

    def _tell(self) -> None:
        """Events, found on the course itself."""
        times, states = self._times, np.array(self._states)
        count = len(self.vessels)
        for i, vessel in enumerate(self.vessels):
            self._spills(states[:, i] - vessel.tank.rim, i, vessel)
            back = np.flatnonzero(np.array([one[i] for one in self._hoses]) < -RUNS_BACK)
            if len(back):
                time = self._first_back(int(back[0]), i)
                self.events.append(Event(time=time, what="drain runs back", where=vessel.tank.id))
        for pool, mark, what in self.flows.marks:
            full = states[:, count + pool] >= mark
            if full.any() and not full[0]:
                self._crossing(int(np.argmax(full)) - 1, count + pool, mark, what, self.flows.run)
        if len(times) >= MOST_STEPS:
            self.events.append(Event(time=times[-1], what="not followed further", where=self.flows.run))

    def _spills(self, over: Array, i: int, vessel: Vessel) -> None:
        """When a tank runs over its rim: more than `OVER` to begin with, and next to nothing when it ends, so that no
        wavering between steps counts."""
        spilling = False
        for k in np.flatnonzero((over[:-1] < OVER) != (over[1:] < OVER)):
            up = bool(over[k] < OVER)
            later = np.flatnonzero((over[k + 1 :] < 0.1 * OVER) | (over[k + 1 :] >= OVER))
            ends = not up and (not len(later) or over[k + 1 + later[0]] < OVER)
            if up and not spilling:
                self._crossing(int(k), i, vessel.tank.rim + OVER, "spill begins", vessel.tank.id)
                spilling = True
            elif ends and spilling:
                self._crossing(int(k), i, vessel.tank.rim + OVER, "spill ends", vessel.tank.id)
                spilling = False

    def _crossing(self, k: int, column: int, mark: float, what: str, where: str) -> None:
        begin, end = float(self._times[k]), float(self._times[k + 1])
        time = begin
        if end > begin:
            time = root(lambda at: float(self.states(np.array([at]))[0, column]) - mark, begin, end)
        self.events.append(Event(time=time, what=what, where=where, value=mark))

    def _first_back(self, k: int, i: int) -> Second:
        """When the flow in a hose turns: between the step that found it running back and the one before."""
        if k == 0 or self._times[k] == self._times[k - 1]:
            return self._times[k]

        def hose(time: float) -> float:
            state = self.states(np.array([time]))[0]
            count = len(self.vessels)
            flows = self.flows.at(state[:count], state[count : count + len(self.stored)])
            return float(flows.hoses[i]) + RUNS_BACK

        begin, end = self._times[k - 1], self._times[k]
        if not hose(begin) > 0.0 > hose(end):
            return end
        return root(hose, begin, end)


class _System:
    """The right side in one stretch of constant inflow, and how it changes with the state."""

    def __init__(self, group: Group, at: int) -> None:
        vessels = group.vessels
        self.flows, self.vessels, self.others = group.flows, vessels, group._others
        self.count, self.pools = len(vessels), len(group.stored)
        self.area = np.array([one.area for one in vessels])
        self.rim = np.array([one.tank.rim for one in vessels])
        self.bottom = np.array([one.bottom for one in vessels])
        self.fed = np.array([one.fed[at] for one in group._inflows])
        self.other = np.array([one.other[at] for one in group._inflows])
        shut = [one.shut[at] if one.shut else frozenset() for one in group._inflows]
        self.works = [k not in shut[i] for i, k in self.others]
        cuts = [one.tank.float_cutoff for one in vessels]
        self.cut = np.array([
            np.inf if cut is None else one.tank.level + cut.value
            for one, cut in zip(vessels, cuts, strict=True)
        ])  # fmt: skip
        self.hoses = np.zeros(self.count)
        self.to_floor = 0.0

    def slope(self, state: Array) -> Array:
        """How fast the whole state changes."""
        n, p = self.count, self.pools
        level = state[:n]
        within = np.maximum(level, self.bottom)
        drain = self.flows.at(within, state[n : n + p])
        spill = OVER_RIM * np.maximum(level - self.rim, 0.0) ** 1.5
        refused = self.fed * np.clip((level - self.cut) / FLOAT_BAND, 0.0, 1.0)
        elsewhere = self._elsewhere(level)
        out = drain.hoses + spill + refused
        for (i, _), flow in zip(self.others, elsewhere, strict=True):
            out[i] += flow
        self.hoses, self.to_floor = drain.hoses, drain.to_floor
        return np.concatenate([
            (self.fed + self.other - out) / self.area, drain.change, spill, refused, elsewhere
        ])  # fmt: skip

    def _elsewhere(self, level: Array) -> Array:
        return np.array([
            float(self.vessels[i].sinks[k].law.flow(float(level[i]))) if works else 0.0
            for (i, k), works in zip(self.others, self.works, strict=True)
        ])  # fmt: skip

    def changes(self, state: Array) -> tuple[Array, Array]:
        """Slopes of the levels and pools by themselves, and of all that is only added up by them."""
        n, p, m = self.count, self.pools, len(self.others)
        level = state[:n]
        within = np.maximum(level, self.bottom)
        core = self.flows.slopes(within, state[n : n + p]).copy()
        core[:, :n] *= within == level  # an empty tank drives its hose no less
        added = np.zeros((2 * n + m, n + p))
        at = np.arange(n)
        added[at, at] = 1.5 * OVER_RIM * np.sqrt(np.maximum(level - self.rim, 0.0))
        shutting = (level > self.cut) & (level < self.cut + FLOAT_BAND)
        added[n + at, at] = np.where(shutting, self.fed / FLOAT_BAND, 0.0)
        for j, ((i, k), works) in enumerate(zip(self.others, self.works, strict=True)):
            added[2 * n + j, i] = float(self.vessels[i].sinks[k].law.slope(float(level[i]))) if works else 0.0
        core[:n] += added[:n] + added[n : 2 * n]
        for j, (i, _) in enumerate(self.others):
            core[i] += added[2 * n + j]
        core[:n] /= -self.area[:, None]
        return core, added


def _rosenbrock(system: _System, state: Array, slope: Array, step: Second) -> tuple[Array, Array]:
    """One step: the state after it, and by how much levels and pools differ from the embedded lower order."""
    size = system.count + system.pools
    core, added = system.changes(state)
    solved = _solver(np.eye(size) / (GAMMA * step) - core, system.count)
    stages: list[Array] = []
    right = slope
    for number in range(4):
        if number and _NEW[number]:
            at = state.copy()
            for factor, stage in zip(_FROM[number], stages, strict=True):
                at += factor * stage
            right = system.slope(at)
        whole = right.copy()
        for factor, stage in zip(_PULL[number], stages, strict=True):
            whole += factor / step * stage
        inner = solved(whole[:size])
        stages.append(np.concatenate([inner, GAMMA * step * (whole[size:] + added @ inner)]))
    fresh = state.copy()
    for factor, stage in zip(_SUM, stages, strict=True):
        fresh += factor * stage
    return fresh, stages[3][:size]


def _solver(matrix: Array, tanks: int) -> Callable[[Array], Array]:
    """What solves a system of tanks and pools. Tanks that meet in pools alone leave a small system of the pools."""
    own = np.diagonal(matrix)[:tanks]
    if np.count_nonzero(matrix[:tanks, :tanks]) > np.count_nonzero(own):
        inverse = np.linalg.inv(matrix)
        return lambda right: np.asarray(inverse @ right)
    to_pools, from_pools = matrix[:tanks, tanks:], matrix[tanks:, :tanks] / own
    pools = np.linalg.inv(matrix[tanks:, tanks:] - from_pools @ to_pools)

    def solved(right: Array) -> Array:
        stand = pools @ (right[tanks:] - from_pools @ right[:tanks])
        return np.concatenate([(right[:tanks] - to_pools @ stand) / own, stand])

    return solved
