"""From a feed of the room to a network: source, filters in series, regulator, manifold, outlets."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Final

from numpy import interp

from tankwright.networks.model import WATER_20, Network, Node, Outlet, Pipe, Source
from tankwright.networks.solution import Solution
from tankwright.networks.solver import solve
from tankwright.physics.constants import STANDARD_GRAVITY
from tankwright.physics.hydrostatics import SMALL_TUBE_MINOR_LOSS
from tankwright.room.model import FeedOutletPlace, FeedRun, PumpPlace, Room, Tank
from tankwright.systems.run_network import LEAST_LENGTH, nodes_and_pipes
from tankwright.units import CubicMetrePerSecond, Metre, Pascal

SOURCE_POINTS = 24
SOURCE = "source"
WEIGHT = WATER_20.density * STANDARD_GRAVITY


@dataclass(frozen=True, slots=True, kw_only=True)
class SolvedFeed:
    """A feed solved with its regulator where it belongs. `upstream` is the pressure before the regulator."""

    network: Network
    solution: Solution
    source_pressure: Pascal
    upstream: Pascal
    filter_loss: Pascal
    inlet: Pascal
    regulated: bool
    extrapolated: bool


def solve_feed_network(room: Room, run: FeedRun) -> SolvedFeed | str:
    """Solve one feed, or say why it cannot be solved.

    The regulator is tried wide open first. When more than its setting then stands behind the filters, the
    manifold is fed at the setting, and the source and filters carry the flow it takes.
    """
    tanks = {tank.id: tank for tank in room.tanks}
    source = _source(room, run)
    if isinstance(source, str):
        return source
    network = feed_network(run, source, tanks)
    solution = solve(network)
    if solution.converged and run.limit and solution.source_flows[SOURCE] > run.limit.value:
        network = replace(network, sources=(_limited(source, run.limit.value, run.source_place[2]),))
        solution = solve(network)
    if not solution.converged:
        return _why(solution)
    upstream = solution.node_pressures[run.inlet]
    setting = run.regulated_to.value if run.regulated_to else None
    if setting is None or not upstream > setting:
        return SolvedFeed(
            network=network,
            solution=solution,
            source_pressure=solution.source_pressures[SOURCE],
            upstream=upstream,
            filter_loss=_filter_loss(solution, network),
            inlet=upstream,
            regulated=False,
            extrapolated=SOURCE in solution.extrapolated_sources,
        )
    held = replace(
        network,
        nodes=tuple(node for node in network.nodes if not _is_before(node.id)),
        pipes=tuple(pipe for pipe in network.pipes if not _is_before(pipe.start)),
        sources=(Source(id="regulator", node=run.inlet, fixed_pressure=setting),),
    )
    behind = solve(held)
    if not behind.converged:
        return _why(behind)
    taken = behind.source_flows["regulator"]
    before = replace(
        network,
        nodes=(*(node for node in network.nodes if _is_before(node.id) or node.id == run.inlet),),
        pipes=tuple(pipe for pipe in network.pipes if _is_before(pipe.start)),
        outlets=(
            Outlet(id="taken", node=run.inlet, compensating_flow=taken, minimum_pressure=0.5 * setting),
        ),
    )
    upstream_solution = solve(before)
    if not upstream_solution.converged:
        return _why(upstream_solution)
    return SolvedFeed(
        network=held,
        solution=behind,
        source_pressure=upstream_solution.source_pressures[SOURCE],
        upstream=upstream_solution.node_pressures[run.inlet],
        filter_loss=_filter_loss(upstream_solution, before),
        inlet=setting,
        regulated=True,
        extrapolated=SOURCE in upstream_solution.extrapolated_sources,
    )


def _filter_loss(solution: Solution, network: Network) -> Pascal:
    """What filters and valve take, height not counted."""
    heights = {node.id: node.height for node in network.nodes}
    pressures = solution.node_pressures
    return sum(
        pressures[pipe.start] - pressures[pipe.end] + WEIGHT * (heights[pipe.start] - heights[pipe.end])
        for pipe in network.pipes
        if _is_before(pipe.start)
    )


def feed_network(run: FeedRun, source: Source, tanks: dict[str, Tank]) -> Network:
    """The feed as a network, its regulator wide open."""
    places = dict(run.nodes)
    height = run.source_place[2]
    nodes = [Node(id=SOURCE, height=height)]
    pipes: list[Pipe] = []
    bore = run.pipes[0].bore.value if run.pipes else 0.0136
    at = SOURCE
    for i, one in enumerate(run.filters):
        last = i == len(run.filters) - 1
        end = run.inlet if last else f"behind {i + 1} {one.name}"
        if not last:
            nodes.append(Node(id=f"{_BEFORE}{end}", height=height))
            end = f"{_BEFORE}{end}"
        pipes.append(_filter(f"{i + 1} {one.name}", at, end, bore, one.loss.value, one.at_flow.value))
        at = end
    if not run.filters:
        pipes.append(Pipe(id="inlet", start=SOURCE, end=run.inlet, length=LEAST_LENGTH, inner_diameter=bore))
    own_nodes, own_pipes = nodes_and_pipes(run)
    nodes += own_nodes
    pipes += own_pipes
    outlets = []
    for place in run.outlets:
        end_height = outlet_height(place, tanks.get(place.tank))
        start_height = places.get(place.node, place.place)[2]
        if place.kind == "small tube" and place.bore is not None and place.length is not None:
            end = f"end {place.id}"
            nodes.append(Node(id=end, height=end_height))
            pipes.append(
                Pipe(
                    id=f"tube {place.id}",
                    start=place.node,
                    end=end,
                    length=max(LEAST_LENGTH, place.length.value),
                    inner_diameter=place.bore.value,
                    roughness=run.roughness.value,
                    minor_loss=SMALL_TUBE_MINOR_LOSS,
                )
            )
            outlets.append(Outlet(id=place.id, node=end, coefficient=_open_end(place.bore.value)))
        else:
            outlets.append(_outlet(place, WEIGHT * (end_height - start_height)))
    return Network(
        fluid=WATER_20, nodes=tuple(nodes), pipes=tuple(pipes), outlets=tuple(outlets), sources=(source,)
    )


def outlet_height(place: FeedOutletPlace, tank: Tank | None) -> Metre:
    """Height against which an outlet works: its end, or the water that drowns it."""
    return max(place.place[2], tank.level) if tank is not None else place.place[2]


_BEFORE = "before regulator: "


def _is_before(node: str) -> bool:
    return node == SOURCE or node.startswith(_BEFORE)


def _outlet(place: FeedOutletPlace, back_pressure: Pascal) -> Outlet:
    rate, at_pressure = place.rate.value, max(1.0, place.at_pressure.value)
    if place.kind == "compensating dripper":
        return Outlet(
            id=place.id,
            node=place.node,
            compensating_flow=rate,
            minimum_pressure=at_pressure,
            back_pressure=back_pressure,
        )
    exponent = max(0.02, place.exponent.value)
    return Outlet(
        id=place.id,
        node=place.node,
        coefficient=rate / at_pressure**exponent,
        exponent=exponent,
        back_pressure=back_pressure,
    )


def _open_end(bore: Metre) -> float:
    """The velocity head lost at a tube's open end, as an outlet law."""
    return math.pi / 4.0 * bore**2 * math.sqrt(2.0 / WATER_20.density)


def _filter(name: str, start: str, end: str, bore: Metre, loss: Pascal, at_flow: float) -> Pipe:
    """A filter or valve as a loss with the square of flow, through its one stated point."""
    velocity = at_flow / (math.pi / 4.0 * bore**2)
    minor = loss / (0.5 * WATER_20.density * velocity**2) if velocity > 0.0 else 0.0
    return Pipe(
        id=f"filter {name}", start=start, end=end, length=LEAST_LENGTH, inner_diameter=bore, minor_loss=minor
    )


def _source(room: Room, run: FeedRun) -> Source | str:
    if run.source_kind != "water point":
        if run.pump is None:
            return Source(id=SOURCE, node=SOURCE, fixed_pressure=0.0)
        pump = next((one for one in room.pumps if one.id == run.pump), None)
        return _pump(pump, run.pump)
    static = run.source_pressure.value
    most = run.source_flow.value if run.source_flow else None
    if not static > 0.0:
        return "the source has no pressure"
    if most is None or not most > 0.0:
        return Source(id=SOURCE, node=SOURCE, fixed_pressure=static)
    return Source(id=SOURCE, node=SOURCE, curve=tap_curve(static, most))


def _limited(source: Source, limit: CubicMetrePerSecond, height: Metre) -> Source:
    """A source behind a flow limiter: what it gives up to the limit, and there it holds. A limiter takes whatever
    pressure is left over, so its curve ends a thousandth below the limit where the pressure is highest."""
    if source.curve is None:
        top = source.fixed_pressure or 0.0
        least = -WEIGHT * (abs(height) + 10.0)
        return Source(
            id=source.id, node=source.node, curve=((least, limit), (top - 1.0, limit * LEAK), (top, 0.0))
        )
    highest = source.curve[-1][0]
    shares = [point / SOURCE_POINTS for point in range(SOURCE_POINTS + 1)]
    held = [
        (highest * share, min(_flow_at(source.curve, highest * share), limit * (1 - (1 - LEAK) * share)))
        for share in shares
    ]
    return Source(id=source.id, node=source.node, curve=tuple(held))


def _flow_at(curve: tuple[tuple[Pascal, float], ...], pressure: Pascal) -> float:
    return float(interp(pressure, [one for one, _ in curve], [flow for _, flow in curve]))


LEAK: Final = 0.999
"""What a limiter still passes at the highest pressure, as a share of the limit, so that its curve falls."""


def _pump(pump: PumpPlace | None, name: str) -> Source | str:
    if pump is None:
        return f"pump {name} of its vat is not in the plan"
    if len(pump.curve) < 2:
        return f"pump {name} has no curve of at least two points"
    return Source(id=SOURCE, node=SOURCE, curve=pump.curve)


def tap_curve(static: Pascal, most: float) -> tuple[tuple[Pascal, float], ...]:
    """What a water point gives at a pressure, from its pressure with nothing running and its most when open.

    The pressure falls with the square of flow, as turbulent losses in the house pipe do. A model choice, no
    source.

    >>> tap_curve(3e5, 2e-4)[0], tap_curve(3e5, 2e-4)[-1]
    ((0.0, 0.0002), (300000.0, 0.0))
    """
    shares = [1.0 - i / SOURCE_POINTS for i in range(SOURCE_POINTS + 1)]
    return tuple((static * (1.0 - share**2), most * share) for share in shares)


def _why(solution: Solution) -> str:
    reason = solution.why_not
    return f"the network could not be solved: {reason}"
