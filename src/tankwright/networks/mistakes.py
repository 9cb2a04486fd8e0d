"""What is wrong with a network before it is solved, in sentences. Nothing here raises."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Iterator
from itertools import pairwise

from tankwright.networks.model import Network, Outlet, Pipe, Source


def mistakes(network: Network) -> tuple[str, ...]:
    """Every reason why a network cannot be solved as written; empty if there is none.

    >>> from tankwright.networks.model import WATER_20, Node
    >>> mistakes(Network(fluid=WATER_20, nodes=(Node(id="a"), Node(id="a"))))
    ('two nodes are called "a"',)
    """
    return tuple(_all(network))


def _all(network: Network) -> Iterator[str]:
    fluid = network.fluid
    for name, value in (("density", fluid.density), ("kinematic viscosity", fluid.kinematic_viscosity)):
        if not _positive(value):
            yield f"the fluid's {name} must be above zero"
    if fluid.compressible and not _positive(fluid.ambient_pressure):
        yield "the ambient pressure of a gas must be above zero"
    for kind, ids in (
        ("nodes", [node.id for node in network.nodes]),
        ("pipes", [pipe.id for pipe in network.pipes]),
        ("outlets", [outlet.id for outlet in network.outlets]),
        ("sources", [source.id for source in network.sources]),
    ):
        yield from (f'two {kind} are called "{repeated}"' for repeated in _repeated(ids))
    known = {node.id for node in network.nodes}
    yield from (f'node "{node.id}" has no height' for node in network.nodes if not math.isfinite(node.height))
    for pipe in network.pipes:
        yield from (f'pipe "{pipe.id}" {text}' for text in _pipe(pipe, known))
    for outlet in network.outlets:
        yield from (f'outlet "{outlet.id}" {text}' for text in _outlet(outlet, known))
    for source in network.sources:
        yield from (f'source "{source.id}" {text}' for text in _source(source, known))
    yield from _clashing_sources(network.sources)


def _pipe(pipe: Pipe, known: set[str]) -> Iterator[str]:
    for end in (pipe.start, pipe.end):
        if end not in known:
            yield f'ends at "{end}", which is not a node'
    if pipe.start == pipe.end:
        yield "begins and ends at the same node"
    if not _positive(pipe.length):
        yield "must have a length above zero"
    if not _positive(pipe.inner_diameter):
        yield "must have an inner diameter above zero"
    if not (math.isfinite(pipe.roughness) and pipe.roughness >= 0):
        yield "must have a roughness of zero or more"
    elif pipe.roughness > 0.1 * pipe.inner_diameter > 0:
        yield "is rougher than a tenth of its bore, where the friction formulas end"
    if not (math.isfinite(pipe.minor_loss) and pipe.minor_loss >= 0):
        yield "must have a minor loss of zero or more"


def _outlet(outlet: Outlet, known: set[str]) -> Iterator[str]:
    if outlet.node not in known:
        yield f'stands at "{outlet.node}", which is not a node'
    if not (math.isfinite(outlet.back_pressure) and math.isfinite(outlet.minimum_pressure)):
        yield "has a pressure that is not a number"
    elif outlet.minimum_pressure < 0:
        yield "must have a minimum pressure of zero or more"
    if outlet.compensating_flow is None:
        if not (math.isfinite(outlet.coefficient) and outlet.coefficient >= 0):
            yield "must have a coefficient of zero or more"
        if not (0.02 <= outlet.exponent <= 4):
            yield "must have an exponent between 0.02 and 4; use a compensating flow for zero"
    else:
        if not (math.isfinite(outlet.compensating_flow) and outlet.compensating_flow >= 0):
            yield "must have a compensating flow of zero or more"
        if outlet.minimum_pressure == 0:
            yield "compensates pressure, so it must say from which minimum pressure on"


def _source(source: Source, known: set[str]) -> Iterator[str]:
    if source.node not in known:
        yield f'stands at "{source.node}", which is not a node'
    if (source.curve is None) == (source.fixed_pressure is None):
        yield "must have either a curve or a fixed pressure"
    if source.fixed_pressure is not None and not math.isfinite(source.fixed_pressure):
        yield "has a fixed pressure that is not a number"
    if source.curve is not None:
        if len(source.curve) < 2:
            yield "must have at least two points on its curve"
        numbers = [number for point in source.curve for number in point]
        if not all(math.isfinite(number) for number in numbers):
            yield "has a curve point that is not a number"
            return
        points = sorted(source.curve)
        if any(flow < 0 for _, flow in points):
            yield "has a curve point with a flow below zero"
        for (low, more), (high, less) in pairwise(points):
            if low == high:
                yield f"has two curve points at {low:g} Pa"
            elif less >= more:
                yield f"has a curve that does not fall between {low:g} and {high:g} Pa"


def _clashing_sources(sources: Iterable[Source]) -> Iterator[str]:
    fixed: dict[str, Source] = {}
    for source in sources:
        if source.fixed_pressure is None:
            continue
        other = fixed.setdefault(source.node, source)
        if other is not source:
            yield f'sources "{other.id}" and "{source.id}" both fix the pressure of node "{source.node}"'


def _repeated(ids: Iterable[str]) -> list[str]:
    return [name for name, count in Counter(ids).items() if count > 1]


def _positive(value: float) -> bool:
    return math.isfinite(value) and value > 0
