"""What must hold for every network, searched for by hypothesis."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tankwright.networks.model import WATER_20, Network, air_at
from tankwright.networks.solver import Solution, compile_network, resolve, solve

from .shapes import LITRE_PER_MINUTE, Lot, drawn_by_lot, even_ring

SEEDS = st.integers(min_value=0, max_value=10**6)
ROOMS = Lot(one_way_only=True, check_valves=False, exponents=(0.5, 0.7, 1.0))
SETTINGS = settings(max_examples=80, deadline=None, derandomize=True)


def solved(network: Network) -> Solution:
    solution = solve(network)
    assert solution.converged
    return solution


@SETTINGS
@given(seed=SEEDS, sources=st.integers(1, 3))
def test_mass_is_conserved_at_every_node_and_over_the_whole(seed: int, sources: int) -> None:
    network = drawn_by_lot(seed, Lot(sources=sources))
    solution = solved(network)
    net = dict.fromkeys(solution.node_pressures, 0.0)
    for pipe in network.pipes:
        net[pipe.start] -= solution.pipe_flows[pipe.id]
        net[pipe.end] += solution.pipe_flows[pipe.id]
    for outlet in network.outlets:
        net[outlet.node] -= solution.outlet_flows[outlet.id]
    for source in network.sources:
        net[source.node] += solution.source_flows[source.id]
    assert max(map(abs, net.values())) < 1e-7 * LITRE_PER_MINUTE
    brought, left = sum(solution.source_flows.values()), sum(solution.outlet_flows.values())
    assert brought == pytest.approx(left, rel=1e-9, abs=1e-7 * LITRE_PER_MINUTE)


@SETTINGS
@given(taps=st.integers(2, 60), water=st.booleans(), back=st.floats(0.0, 3900.0))
def test_a_symmetric_ring_flows_symmetrically(taps: int, water: bool, back: float) -> None:
    fluid = WATER_20 if water else air_at(293.15)
    solution = solved(even_ring(taps, fluid=fluid, back_pressure=back))
    for i in range(1, taps):
        left, right = solution.outlet_flows[f"o{i}"], solution.outlet_flows[f"o{taps - i}"]
        assert left == pytest.approx(right, rel=1e-8)


@SETTINGS
@given(seed=SEEDS, which=st.integers(0, 100), factor=st.floats(1.0, 5.0))
def test_opening_an_outlet_further_never_brings_less_in_all(seed: int, which: int, factor: float) -> None:
    network = drawn_by_lot(seed, ROOMS)
    compiled = compile_network(network)
    before = resolve(compiled)
    scales = [1.0] * len(network.outlets)
    scales[which % len(scales)] = factor
    after = resolve(compiled, scales)
    assert before.converged
    assert after.converged
    total = sum(before.outlet_flows.values())
    # the solver's own tolerance is 1e-10 of the flow
    assert sum(after.outlet_flows.values()) >= total * (1.0 - 1e-9) - 1e-14


@SETTINGS
@given(seed=SEEDS, share=st.floats(0.0, 1.0))
def test_a_closed_link_is_as_if_it_were_removed(seed: int, share: float) -> None:
    network = drawn_by_lot(seed)
    chance = random.Random(seed)
    shut = {link.id for link in (*network.pipes, *network.outlets) if chance.random() < 0.3 * share}
    closed = replace(
        network,
        pipes=tuple(replace(p, closed=p.id in shut) for p in network.pipes),
        outlets=tuple(replace(o, closed=o.id in shut) for o in network.outlets),
    )
    removed = replace(
        network,
        pipes=tuple(p for p in network.pipes if p.id not in shut),
        outlets=tuple(o for o in network.outlets if o.id not in shut),
    )
    one, other = solved(closed), solved(removed)
    assert one.unreached_nodes == other.unreached_nodes
    assert {k: v for k, v in one.outlet_flows.items() if k not in shut} == other.outlet_flows
    assert {k: v for k, v in one.pipe_flows.items() if k not in shut} == other.pipe_flows
    assert all(one.outlet_flows.get(k, 0.0) == 0.0 and one.pipe_flows.get(k, 0.0) == 0.0 for k in shut)
    scales = [0.0 if o.id in shut else 1.0 for o in network.outlets]
    turned = resolve(compile_network(replace(network, pipes=closed.pipes)), scales)
    assert turned.outlet_flows == pytest.approx(one.outlet_flows, rel=1e-7, abs=1e-13)


@SETTINGS
@given(seed=SEEDS)
def test_the_order_and_direction_of_input_do_not_matter(seed: int) -> None:
    network = drawn_by_lot(seed)
    chance = random.Random(seed)

    def shuffled(things: tuple) -> tuple:  # type: ignore[type-arg]
        return tuple(chance.sample(things, len(things)))

    turned = {p.id for p in network.pipes if not p.check_valve and chance.random() < 0.5}
    other = Network(
        fluid=network.fluid,
        nodes=shuffled(network.nodes),
        pipes=shuffled(
            tuple(replace(p, start=p.end, end=p.start) if p.id in turned else p for p in network.pipes)
        ),
        outlets=shuffled(network.outlets),
        sources=shuffled(network.sources),
    )
    one, two = solved(network), solved(other)
    total = sum(map(abs, one.outlet_flows.values())) + 1e-12
    for name, flow in one.outlet_flows.items():
        assert two.outlet_flows[name] == pytest.approx(flow, rel=1e-8, abs=1e-9 * total)
    for name, flow in one.pipe_flows.items():
        sign = -1.0 if name in turned else 1.0
        assert sign * two.pipe_flows[name] == pytest.approx(flow, rel=1e-8, abs=1e-9 * total)
