"""One drain under one load after another: what reaches it, how high it stands, what spills, and at which
flow the first tank runs over."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from tankwright.physics.numerics import root
from tankwright.physics.ranges import OutsideValidRange
from tankwright.systems.drain_levels import (
    Sloped,
    add_up,
    leaving_level,
    level_above,
    segment_states,
    water_levels,
)
from tankwright.systems.drain_model import DrainCase, FirstSpill, Spill
from tankwright.systems.drain_tanks import Way

Kind = Literal["feed", "dump", "feed and dump"]

SETTLED = 1e-9
"""m3/s, disagreement below which flows and levels count as agreed (0.00006 L/min)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """What is asked of a run in one case: flow into each tank, and tanks whose standpipe is pulled."""

    name: str
    kind: Kind
    inflows: Mapping[str, float]
    pulled: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Run:
    """A drain and the tanks whose hoses end in it; `index` gives the place of a node in the pipe."""

    pipe: Sloped
    ways: tuple[Way, ...]
    index: Mapping[str, int]

    def node_flows(self, flows: Sequence[float]) -> list[float]:
        """Flow into each node from the flow of each tank's hose."""
        into = [0.0] * len(self.pipe.nodes)
        for way, flow in zip(self.ways, flows, strict=True):
            into[self.index[way.node]] += flow
        return into

    def levels(self, flows: Sequence[float]) -> tuple[float, ...]:
        """Water level at each node for the flow of each tank's hose."""
        segment_flows = add_up(self.node_flows(flows))
        depths = [self.pipe.even_depth(i, flow) for i, flow in enumerate(segment_flows)]
        return water_levels(self.pipe, segment_flows, depths)


def run_of(pipe: Sloped, ways: Sequence[Way]) -> Run:
    """A run with those of the ways that end in one of its nodes."""
    index = {node: i for i, node in enumerate(pipe.nodes)}
    return Run(pipe, tuple(way for way in ways if way.node in index), index)


def solve_case(run: Run, load: Load) -> DrainCase:
    """A run under one load: flows and levels that agree.

    A backed-up drain takes less from each hose, and so stands lower. The answer is shot for from the outfall:
    for a flow leaving there, levels and hoses are worked out node by node up the run, and what is left over
    at the top must be nothing. More leaving means higher levels and more left over: there is one answer.
    """
    flows = [_taken(way, load, None) for way in run.ways]
    levels = run.levels(flows)
    wanted = [_taken(way, load, levels[run.index[way.node]]) for way in run.ways]
    residual = max((abs(a - b) for a, b in zip(wanted, flows, strict=True)), default=0.0)
    if residual > SETTLED:
        flows, levels, residual = _settle(run, load, sum(flows))
    return _case(run, load, flows, levels, residual)


def _settle(run: Run, load: Load, most: float) -> tuple[list[float], tuple[float, ...], float]:
    """Flows of the hoses, levels of the nodes, and the flow left over, with at most `most` leaving."""
    last = len(run.pipe.nodes) - 1
    at_node: list[list[int]] = [[] for _ in run.pipe.nodes]
    for i, way in enumerate(run.ways):
        at_node[run.index[way.node]].append(i)
    flows, levels = [0.0] * len(run.ways), [0.0] * (last + 1)

    def left_over(leaving: float) -> float:
        above, pipe = leaving, run.pipe
        for node in range(last, -1, -1):
            if node == last:
                level = leaving_level(pipe, leaving, pipe.even_depth(last - 1, leaving))
            else:
                carried = max(above, 0.0)
                level = level_above(pipe, node, carried, pipe.even_depth(node, carried), levels[node + 1])
            levels[node] = level
            for i in at_node[node]:
                flows[i] = _taken(run.ways[i], load, level)
                above -= flows[i] if node < last else 0.0  # what joins at the very end passes no pipe
        return above

    high = most * (1.0 + 1e-9)
    low = 0.0
    between = left_over(low) < 0.0 < left_over(high)
    left = left_over(root(left_over, low, high) if between else high)
    return flows, tuple(levels), abs(left)


def _taken(way: Way, load: Load, backed: float | None) -> float:
    """Flow a tank sends into its hose with the drain standing at a level (None: low)."""
    inflow = load.inflows.get(way.tank, 0.0)
    if way.tank in load.pulled:
        peak = way.hose_flow(way.level) if backed is None else way.hose_flow(way.level, backed)
        return max(peak, 0.0)
    if inflow <= 0.0:
        return 0.0
    return min(inflow, way.capacity() if backed is None else way.capacity(backed))


def _case(
    run: Run, load: Load, flows: Sequence[float], levels: Sequence[float], residual: float
) -> DrainCase:
    segment_flows = add_up(run.node_flows(flows))
    over = [level - invert - run.pipe.bore for level, invert in zip(levels, run.pipe.inverts, strict=True)]
    worst = max(range(len(over)), key=over.__getitem__, default=0)
    connected = {way.tank for way in run.ways}
    spills = [
        Spill(tank=way.tank, flow=load.inflows.get(way.tank, 0.0) - flow, inflow=load.inflows[way.tank])
        for way, flow in zip(run.ways, flows, strict=True)
        if way.tank not in load.pulled and load.inflows.get(way.tank, 0.0) > flow + 10.0 * SETTLED
    ]
    spills += [
        Spill(tank=tank, flow=inflow, inflow=inflow)
        for tank, inflow in load.inflows.items()
        if tank not in connected and inflow > 0.0
    ]
    return DrainCase(
        name=load.name,
        kind=load.kind,
        reaching=tuple((way.tank, flow) for way, flow in zip(run.ways, flows, strict=True)),
        segments=segment_states(run.pipe, segment_flows),
        outfall_flow=sum(flows),
        spills=tuple(spills),
        emptying=tuple(
            way.emptying(levels[run.index[way.node]]) for way in run.ways if way.tank in load.pulled
        ),
        surcharge=max(over[worst], 0.0) if over else 0.0,
        surcharge_node=run.pipe.nodes[worst] if over and over[worst] > 0.0 else "",
        backed_up=tuple(way.tank for way in run.ways if levels[run.index[way.node]] > way.lip),
        settled=residual <= SETTLED,
        residual=residual,
    )


# --- the flow at which the first tank spills ----------------------------------------------------------


def first_spill(run: Run, feed: Mapping[str, float]) -> FirstSpill | None:
    """The least flow into any one tank, the others at their feed, at which a tank of the run spills.

    Open segments count as brim-full here, so the answer errs to the low side by less than the bore in level.
    """
    best: FirstSpill | None = None
    resting = [feed.get(way.tank, 0.0) for way in run.ways]
    ceilings = [way.rim - _hose_head(way, flow) for way, flow in zip(run.ways, resting, strict=True)]
    for k in _scattered(len(run.ways)):
        if best is not None and best.flow == 0.0:  # it spills with the feed alone
            break
        way = run.ways[k]
        limit = way.capacity() if best is None else min(way.capacity(), best.flow * (1.0 - 1e-6))
        own = FirstSpill(dump_in=way.tank, flow=way.capacity(), spills=way.tank, by_drain=False)
        spilt = _spilt(run, resting, ceilings, k, limit)
        if spilt is None:
            if best is None or own.flow < best.flow:
                best = own
            continue
        low, high = 0.0, limit
        for _ in range(40):
            middle = 0.5 * (low + high)
            there = _spilt(run, resting, ceilings, k, middle)
            if there is None:
                low = middle
            else:
                high, spilt = middle, there
        best = FirstSpill(dump_in=way.tank, flow=low, spills=run.ways[spilt].tank, by_drain=True)
    return best


def _scattered(count: int) -> list[int]:
    """0 to count - 1 in an even scatter: along a run each tank tends to spill a little sooner than the one before,
    and taken in turn every one of them would be searched in full."""
    return sorted(range(count), key=lambda k: (k * 0.6180339887498949) % 1.0)


def first_spill_evenly(run: Run) -> FirstSpill | None:
    """The total flow at which a tank of the run spills when the same runs into every one of them."""
    if not run.ways:
        return None
    capacities = [way.capacity() for way in run.ways]
    least = min(range(len(capacities)), key=capacities.__getitem__)
    high, spilt = capacities[least], _spilt_evenly(run, capacities[least])
    if spilt is None:
        total = high * len(run.ways)
        return FirstSpill(dump_in="", flow=total, spills=run.ways[least].tank, by_drain=False)
    low = 0.0
    for _ in range(40):
        middle = 0.5 * (low + high)
        there = _spilt_evenly(run, middle)
        if there is None:
            low = middle
        else:
            high, spilt = middle, there
    return FirstSpill(dump_in="", flow=low * len(run.ways), spills=run.ways[spilt].tank, by_drain=True)


def _hose_head(way: Way, flow: float) -> float:
    try:
        return way.hose_head(flow)
    except OutsideValidRange:
        return float("inf")


def _spilt(run: Run, resting: Sequence[float], ceilings: Sequence[float], k: int, flow: float) -> int | None:
    """Index of a tank that spills with `flow` in tank k and the rest at their feed; None when none does."""
    flows = list(resting)
    flows[k] = flow
    levels = water_levels(run.pipe, add_up(run.node_flows(flows)))
    for i, way in enumerate(run.ways):
        ceiling = ceilings[i] if i != k else way.rim - _hose_head(way, flow) + 1e-9
        if levels[run.index[way.node]] > ceiling:
            return i
    return None


def _spilt_evenly(run: Run, flow: float) -> int | None:
    flows = [flow] * len(run.ways)
    levels = water_levels(run.pipe, add_up(run.node_flows(flows)))
    for i, way in enumerate(run.ways):
        if levels[run.index[way.node]] > way.rim - _hose_head(way, flow) + 1e-9:
            return i
    return None
