"""Steady flow in a pipe network: `solve` once, `resolve` with outlets turned, `solve_many` for scenarios.

>>> from tankwright.networks.model import Network, Node, Outlet, Pipe, Source, air_at
>>> ring = Network(
...     fluid=air_at(293.15),
...     nodes=(Node(id="pump"), Node(id="tap")),
...     pipes=(Pipe(id="line", start="pump", end="tap", length=2.0, inner_diameter=0.004),),
...     outlets=(Outlet(id="stone", node="tap", coefficient=5e-7, back_pressure=2000.0),),
...     sources=(Source(id="pump", node="pump", fixed_pressure=4000.0),),
... )
>>> solution = solve(ring)
>>> solution.status.value, round(solution.outlet_flows["stone"] * 60_000, 3)  # L/min
('converged', 1.301)
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from tankwright.networks import engine
from tankwright.networks.compiled import CompiledNetwork, compile_network
from tankwright.networks.laws import pressure_of
from tankwright.networks.mistakes import mistakes
from tankwright.networks.model import Network
from tankwright.networks.solution import Solution, SolverStatus

__all__ = ["CompiledNetwork", "Solution", "SolverStatus", "compile_network", "resolve", "solve", "solve_many"]

TOLERANCE = 1e-10
MAX_ITERATIONS = 100


def solve(
    network: Network,
    *,
    tolerance: float = TOLERANCE,
    max_iterations: int = MAX_ITERATIONS,
    compiled_loop: bool | None = None,
) -> Solution:
    """Solve a network for pressures and flows. Never raises for what the network says: read `status`.

    `tolerance` is the share of the total flow that may still be wrong. `compiled_loop` forces the compiled or
    the interpreted inner loop; None takes whichever answers sooner.

    Source: see `tankwright.networks.kernel`.
    """
    wrong = mistakes(network)
    if wrong:
        return Solution(status=SolverStatus.INVALID, mistakes=wrong)
    return resolve(
        compile_network(network),
        tolerance=tolerance,
        max_iterations=max_iterations,
        compiled_loop=compiled_loop,
    )


def resolve(
    compiled: CompiledNetwork,
    outlet_scales: Sequence[float] | NDArray[np.float64] | None = None,
    *,
    start: Solution | None = None,
    tolerance: float = TOLERANCE,
    max_iterations: int = MAX_ITERATIONS,
    compiled_loop: bool | None = None,
) -> Solution:
    """Solve a compiled network, every outlet's size multiplied by `outlet_scales` (in the network's order).

    0 shuts an outlet, 1 leaves it. `start` is an earlier solution of the same network to begin from.
    """
    if not compiled.network.sources:
        return _nothing_flows(compiled, SolverStatus.NO_SOURCE)
    if compiled.links == 0:
        return _nothing_flows(compiled, SolverStatus.CONVERGED)
    if compiled_loop is None:
        compiled_loop = engine.compiled_is_worth_it(compiled.links, 1)
    run = _prepare(compiled, _scales(compiled, outlet_scales), tolerance, max_iterations, start)
    engine.run(run, compiled=compiled_loop)
    return _read(compiled, run)


def solve_many(
    compiled: CompiledNetwork,
    outlet_scales: NDArray[np.float64],
    *,
    tolerance: float = TOLERANCE,
    max_iterations: int = MAX_ITERATIONS,
) -> NDArray[np.float64]:
    """Outlet flows (m3/s), one row a scenario, for `outlet_scales` of shape (scenarios, outlets).

    Columns follow `network.outlets`. A scenario that did not settle has NaN in its whole row.
    """
    scales = np.asarray(outlet_scales, dtype=np.float64)
    flows = np.zeros(scales.shape)
    if not compiled.network.sources or not compiled.outlets or not len(scales):
        return flows
    columns = _columns(compiled)
    chosen = np.ascontiguousarray(scales[:, columns])
    start = resolve(compiled)
    run = _prepare(
        compiled, chosen.reshape(-1), tolerance, max_iterations, start if start.converged else None
    )
    engine.run(run, compiled=engine.compiled_is_worth_it(compiled.links, len(scales)))
    flows[:, columns] = run.all_outlet_flows.reshape(chosen.shape)
    flows[run.report[0::2] < 0] = np.nan
    return flows


def _columns(compiled: CompiledNetwork) -> list[int]:
    position = {outlet.id: i for i, outlet in enumerate(compiled.network.outlets)}
    return [position[outlet.id] for outlet in compiled.outlets]


def _scales(
    compiled: CompiledNetwork, outlet_scales: Sequence[float] | NDArray[np.float64] | None
) -> NDArray[np.float64]:
    if outlet_scales is None:
        return np.ones(len(compiled.outlets))
    return np.asarray(outlet_scales, dtype=np.float64)[_columns(compiled)]


def _prepare(
    compiled: CompiledNetwork,
    scales: NDArray[np.float64],
    tolerance: float,
    max_iterations: int,
    start: Solution | None,
) -> engine.Run:
    potential, flow = compiled.start_potential, compiled.start_flow
    if start is not None and start.converged:
        pressures = np.array([start.node_pressures[name] for name in compiled.order])
        potential = pressures + compiled.squeeze * pressures**2 + compiled.lift
        flow = np.array([start.pipe_flows[pipe.id] for pipe in compiled.pipes], dtype=np.float64)
    return engine.Run.of(compiled, scales, potential, flow, tolerance, max_iterations)


def _read(compiled: CompiledNetwork, run: engine.Run) -> Solution:
    network = compiled.network
    settled = run.report[0] > 0 and bool(np.all(np.isfinite(run.flow)))
    squeeze = compiled.squeeze
    heads = (run.potential - compiled.lift).tolist()
    pressures = dict.fromkeys((node.id for node in network.nodes), math.nan)
    reached = {name: pressure_of(head, squeeze) for name, head in zip(compiled.order, heads, strict=True)}
    pressures.update(reached)
    flows = run.flow.tolist()
    pipes, outlets = len(compiled.pipes), len(compiled.outlets)
    pipe_flows = dict.fromkeys((pipe.id for pipe in network.pipes), 0.0)
    pipe_flows.update(zip((pipe.id for pipe in compiled.pipes), flows, strict=False))
    velocities = dict.fromkeys(pipe_flows, 0.0)
    for pipe, flow in zip(compiled.pipes, flows, strict=False):
        mean = 0.5 * (reached[pipe.start] + reached[pipe.end])
        thinning = 1.0 / (1.0 + 2.0 * squeeze * mean)
        velocities[pipe.id] = 4.0 * flow * thinning / (math.pi * pipe.inner_diameter**2)
    outlet_flows = dict.fromkeys((outlet.id for outlet in network.outlets), 0.0)
    outlet_flows.update(zip((o.id for o in compiled.outlets), flows[pipes:], strict=False))
    net = _net_outflow(compiled, run.flow)
    source_flows = dict.fromkeys((source.id for source in network.sources), 0.0)
    source_flows.update(zip((s.id for s in compiled.sources), flows[pipes + outlets :], strict=True))
    place = {name: i for i, name in enumerate(compiled.order)}
    extrapolated = []
    for source in network.sources:
        if source.fixed_pressure is not None:
            source_flows[source.id] = float(net[place[source.node]])
        elif source_flows[source.id] > 0 and _outside(source.curve or (), reached[source.node]):
            extrapolated.append(source.id)
    return Solution(
        status=SolverStatus.CONVERGED if settled else SolverStatus.NOT_CONVERGED,
        iterations=int(abs(run.report[0])),
        residual=float(run.report[1]),
        imbalance=float(np.max(np.abs(net[: compiled.unknowns]), initial=0.0)),
        node_pressures=pressures,
        pipe_flows=pipe_flows,
        pipe_velocities=velocities,
        outlet_flows=outlet_flows,
        source_flows=source_flows,
        source_pressures={source.id: reached[source.node] for source in network.sources},
        extrapolated_sources=tuple(extrapolated),
        unreached_nodes=compiled.unreached_nodes,
    )


def _net_outflow(compiled: CompiledNetwork, flow: NDArray[np.float64]) -> NDArray[np.float64]:
    """What leaves each node through links, less what its pumps bring: zero at a free node."""
    pipes, outlets = len(compiled.pipes), len(compiled.outlets)
    net: NDArray[np.float64] = np.zeros(len(compiled.order))
    np.add.at(net, compiled.pipe_start, flow[:pipes])
    np.subtract.at(net, compiled.pipe_end, flow[:pipes])
    np.add.at(net, compiled.outlet_node, flow[pipes : pipes + outlets])
    np.subtract.at(net, compiled.source_node, flow[pipes + outlets :])
    return net


def _outside(curve: Sequence[tuple[float, float]], pressure: float) -> bool:
    points = [point for point, _ in curve]
    slack = 1e-6 * (max(points) - min(points))
    return not min(points) - slack <= pressure <= max(points) + slack


def _nothing_flows(compiled: CompiledNetwork, status: SolverStatus) -> Solution:
    network = compiled.network
    fixed = {s.node: s.fixed_pressure for s in network.sources if s.fixed_pressure is not None}
    return Solution(
        status=status,
        node_pressures={node.id: fixed.get(node.id, math.nan) for node in network.nodes},
        pipe_flows={pipe.id: 0.0 for pipe in network.pipes},
        pipe_velocities={pipe.id: 0.0 for pipe in network.pipes},
        outlet_flows={outlet.id: 0.0 for outlet in network.outlets},
        source_flows={source.id: 0.0 for source in network.sources},
        source_pressures={s.id: fixed[s.node] for s in network.sources if s.node in fixed},
        unreached_nodes=compiled.unreached_nodes,
    )
