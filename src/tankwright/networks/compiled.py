"""From a network to the flat arrays of the inner loop: done once, solved many times."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tankwright.networks.laws import BLOCKED
from tankwright.networks.model import Fluid, Network, Outlet, Pipe, Source
from tankwright.networks.pattern import factor_pattern
from tankwright.physics.constants import STANDARD_GRAVITY

Numbers = NDArray[np.float64]
Indices = NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True)
class CompiledNetwork:
    """A network made ready. Only what a source can reach is in the arrays; the rest is named apart.

    `order` gives the reached node ids as the arrays number them: `unknowns` free ones first, then those of
    fixed pressure. `pipes`, `outlets` and `sources` are the active ones in array order (sources: with a
    curve).
    """

    network: Network
    order: tuple[str, ...]
    unknowns: int
    pipes: tuple[Pipe, ...]
    outlets: tuple[Outlet, ...]
    sources: tuple[Source, ...]
    unreached_nodes: tuple[str, ...]
    column_start: Indices
    row: Indices
    target: Indices
    pipe_start: Indices
    pipe_end: Indices
    pipe_slot: Indices
    pipe_one_way: Indices
    pipe_law: Numbers
    outlet_node: Indices
    outlet_kind: Indices
    outlet_law: Numbers
    source_node: Indices
    source_first: Indices
    curve_pressure: Numbers
    curve_flow: Numbers
    lift: Numbers
    squeeze: float
    lowest: float
    highest: float
    start_potential: Numbers
    start_flow: Numbers

    @property
    def links(self) -> int:
        """How many pipes, outlets and sources take part."""
        return len(self.pipes) + len(self.outlets) + len(self.sources)


def compile_network(network: Network) -> CompiledNetwork:
    """Make a network without `mistakes` ready to be solved, once or many times.

    Raises KeyError or ValueError for a network that has mistakes; ask `mistakes` first, or call `solve`.

    >>> from tankwright.networks.model import WATER_20, Node
    >>> ready = compile_network(Network(fluid=WATER_20, nodes=(Node(id="a"),),
    ...                                 sources=(Source(id="s", node="a", fixed_pressure=1e4),)))
    >>> ready.order, ready.unknowns
    (('a',), 0)
    """
    tree = _spread(network)
    reached = tree.parent_pipe
    fixed = {s.node: s.fixed_pressure for s in network.sources if s.fixed_pressure is not None}
    free = [node.id for node in network.nodes if node.id in reached and node.id not in fixed]
    pinned = [node.id for node in network.nodes if node.id in fixed]
    number = {name: i for i, name in enumerate(free)}
    pipes = tuple(p for p in network.pipes if not p.closed and p.start in reached and p.end in reached)
    pairs = [(number[p.start], number[p.end]) for p in pipes if p.start in number and p.end in number]
    pattern = factor_pattern(len(free), pairs)
    place = {name: pattern.place[i] for name, i in number.items()}
    place.update({name: len(free) + i for i, name in enumerate(pinned)})
    order = sorted(place, key=place.__getitem__)
    outlets = tuple(o for o in network.outlets if o.node in reached and not _shut(o))
    sources = tuple(s for s in network.sources if s.curve is not None)
    pipe_start = [place[p.start] for p in pipes]
    pipe_end = [place[p.end] for p in pipes]
    aside = len(pattern.row)  # where entries of pipes to a fixed pressure go to be forgotten
    heights = {node.id: node.height for node in network.nodes}
    weight = 0.0 if network.fluid.compressible else network.fluid.density * STANDARD_GRAVITY
    lift = [weight * heights[name] for name in order]
    squeeze = 0.5 / network.fluid.ambient_pressure if network.fluid.compressible else 0.0
    curves = [sorted(s.curve or ()) for s in sources]
    level = _starting_level(network, squeeze, weight, heights)
    lowest, highest = _bounds(network, outlets, squeeze, weight, heights)
    outlet_law = [number for o in outlets for number in _outlet_numbers(o)]
    potential = [
        fixed[name] + squeeze * fixed[name] ** 2 + lift[place[name]] if name in fixed else level
        for name in order
    ]
    return CompiledNetwork(
        network=network,
        order=tuple(order),
        unknowns=len(free),
        pipes=pipes,
        outlets=outlets,
        sources=sources,
        unreached_nodes=tuple(node.id for node in network.nodes if node.id not in reached),
        column_start=_indices(pattern.column_start),
        row=_indices(pattern.row),
        target=_indices(pattern.target),
        pipe_start=_indices(pipe_start),
        pipe_end=_indices(pipe_end),
        pipe_slot=_indices(
            [
                pattern.slot.get((a, b) if a < b else (b, a), aside)
                for a, b in zip(pipe_start, pipe_end, strict=True)
            ]
        ),
        pipe_one_way=_indices([int(p.check_valve) for p in pipes]),
        pipe_law=_numbers([number for p in pipes for number in _pipe_numbers(p, network.fluid)]),
        outlet_node=_indices([place[o.node] for o in outlets]),
        outlet_kind=_indices([_kind(o) for o in outlets]),
        outlet_law=_numbers(outlet_law),
        source_node=_indices([place[s.node] for s in sources]),
        source_first=_indices(list(np.cumsum([0, *map(len, curves)]))),
        curve_pressure=_numbers([pressure for curve in curves for pressure, _ in curve]),
        curve_flow=_numbers([flow for curve in curves for _, flow in curve]),
        lift=_numbers(lift),
        squeeze=squeeze,
        lowest=lowest,
        highest=highest,
        start_potential=_numbers(potential),
        start_flow=_numbers(_starting_flows(tree, pipes, outlets, level, weight, heights)),
    )


@dataclass(frozen=True, slots=True)
class _Tree:
    """How the flow may spread from the sources: each reached node, in order, with the pipe that reached
    it."""

    parent_pipe: dict[str, Pipe | None]


def _spread(network: Network) -> _Tree:
    ways: dict[str, list[tuple[Pipe, str]]] = {}
    for pipe in network.pipes:
        if pipe.closed:
            continue
        ways.setdefault(pipe.start, []).append((pipe, pipe.end))
        if not pipe.check_valve:
            ways.setdefault(pipe.end, []).append((pipe, pipe.start))
    parent: dict[str, Pipe | None] = {source.node: None for source in network.sources}
    queue = list(parent)
    for name in queue:  # the list grows while it is walked: breadth first
        for pipe, other in ways.get(name, ()):
            if other not in parent:
                parent[other] = pipe
                queue.append(other)
    return _Tree(parent)


def _starting_level(network: Network, squeeze: float, weight: float, heights: dict[str, float]) -> float:
    """A potential to start from: the highest a source holds, or the middle of its curve."""
    levels = []
    for source in network.sources:
        if source.fixed_pressure is not None:
            pressure = source.fixed_pressure
        else:
            points = [pressure for pressure, _ in source.curve or ()]
            pressure = 0.5 * (min(points) + max(points))
        levels.append(pressure + squeeze * pressure**2 + weight * heights[source.node])
    return max(levels, default=0.0)


def _bounds(
    network: Network, outlets: Sequence[Outlet], squeeze: float, weight: float, heights: dict[str, float]
) -> tuple[float, float]:
    """Between which potentials every node must lie, with some room: those at the ends of all flow."""
    ends = []
    for source in network.sources:
        if source.fixed_pressure is not None:
            ends.append((source.node, source.fixed_pressure))
        else:
            (low, more), (high, less) = sorted(source.curve or ())[-2:]
            ends.append((source.node, high + less * (high - low) / (more - less)))
    for outlet in outlets:
        ends.append((outlet.node, outlet.back_pressure))
        ends.append((outlet.node, outlet.back_pressure + outlet.minimum_pressure))
    levels = [pressure + squeeze * pressure**2 + weight * heights[node] for node, pressure in ends]
    room = 1.0 + 0.01 * (max(levels, default=0.0) - min(levels, default=0.0))
    return min(levels, default=0.0) - room, max(levels, default=0.0) + room


def _starting_flows(
    tree: _Tree,
    pipes: Sequence[Pipe],
    outlets: Sequence[Outlet],
    level: float,
    weight: float,
    heights: dict[str, float],
) -> list[float]:
    """Flows that would run along the spreading tree if every outlet saw the starting level undiminished."""
    carried = dict.fromkeys(tree.parent_pipe, 0.0)
    for outlet in outlets:
        excess = level - weight * heights[outlet.node] - outlet.back_pressure
        if outlet.compensating_flow is not None:
            carried[outlet.node] += (
                outlet.compensating_flow * min(1.0, max(0.0, excess / outlet.minimum_pressure)) ** 0.5
            )
        elif excess > outlet.minimum_pressure:
            carried[outlet.node] += outlet.coefficient * (excess - outlet.minimum_pressure) ** outlet.exponent
    flows: dict[str, float] = {}
    for name in reversed(tree.parent_pipe):
        pipe = tree.parent_pipe[name]
        if pipe is not None:
            flow = carried[name]
            upstream = pipe.start if pipe.end == name else pipe.end
            carried[upstream] += flow
            flows[pipe.id] = flow if pipe.end == name else -flow
    return [flows.get(pipe.id, 0.0) for pipe in pipes]


def _pipe_numbers(pipe: Pipe, fluid: Fluid) -> tuple[float, ...]:
    """The eight numbers `kernel.pipe_loss` wants.

    The cubic of the transition is the only one with the value and slope of 64/Re at Re 2000 and of the
    turbulent law at Re 4000. Source: Dunlop (1991) as given in the EPANET manual.
    """
    d, length = pipe.inner_diameter, pipe.length
    per_flow = 4.0 / (math.pi * d * fluid.kinematic_viscosity)
    laminar = 128.0 * fluid.density * fluid.kinematic_viscosity * length / (math.pi * d**4)
    turbulent = 8.0 * fluid.density * length / (math.pi**2 * d**5)
    minor = 8.0 * fluid.density * pipe.minor_loss / (math.pi**2 * d**4)
    rough = pipe.roughness / d / 3.7
    y = 5.74 * 4000.0**-0.9
    root = -2.0 * math.log10(rough + y)
    fa = root**-2
    fb = (2.0 - 1.8 * 2.0 / math.log(10.0) * y / ((rough + y) * root)) * fa
    x2 = 0.128 - 17.0 * fa + 2.5 * fb
    x3 = -0.128 + 13.0 * fa - 2.0 * fb
    x4 = 0.032 - 3.0 * fa + 0.5 * fb
    return per_flow, laminar, turbulent, minor, rough, x2, x3, x4


def _outlet_numbers(outlet: Outlet) -> tuple[float, ...]:
    """The six numbers `kernel.outlet_line` wants."""
    compensating = outlet.compensating_flow
    if compensating is None:
        gain = outlet.coefficient * outlet.exponent * 1e3 ** (outlet.exponent - 1.0)
        threshold = outlet.back_pressure + outlet.minimum_pressure
        return outlet.coefficient, outlet.exponent, threshold, 0.0, 0.0, BLOCKED * gain
    minimum = outlet.minimum_pressure
    return 0.0, 0.5, outlet.back_pressure, compensating, minimum, BLOCKED * compensating / minimum


def _kind(outlet: Outlet) -> int:
    return (0 if outlet.one_way else 1) + (0 if outlet.compensating_flow is None else 2)


def _shut(outlet: Outlet) -> bool:
    size = outlet.coefficient if outlet.compensating_flow is None else outlet.compensating_flow
    return outlet.closed or size == 0.0


def _indices(values: Sequence[int]) -> Indices:
    return np.array(values, dtype=np.int64)


def _numbers(values: Sequence[float]) -> Numbers:
    return np.array(values, dtype=np.float64)
