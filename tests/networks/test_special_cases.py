"""No flow, one tap, everything closed, nothing there, no convergence: values, never exceptions."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from tankwright.networks.mistakes import mistakes
from tankwright.networks.model import WATER_20, Network, Node, Outlet, Pipe, Source, air_at
from tankwright.networks.solver import SolverStatus, compile_network, solve, solve_many

from .shapes import drawn_by_lot, even_ring

CURVE = ((0.0, 1e-3), (3000.0, 6e-4), (5000.0, 0.0))


def with_curve(network: Network) -> Network:
    return replace(network, sources=(Source(id="pump", node="n0", curve=CURVE),))


@pytest.mark.parametrize("curve", [False, True])
def test_with_every_tap_closed_the_source_stands_at_its_highest_pressure(curve: bool) -> None:
    ring = even_ring(10)
    network = replace(ring, outlets=tuple(replace(o, closed=True) for o in ring.outlets))
    solution = solve(with_curve(network) if curve else network)
    assert solution.converged
    assert set(solution.outlet_flows.values()) == {0.0}
    expected = 5000.0 if curve else 4000.0
    assert list(solution.node_pressures.values()) == pytest.approx([expected] * 10, rel=1e-9)
    assert abs(solution.source_flows["pump"]) < 1e-15


@pytest.mark.parametrize("curve", [False, True])
def test_taps_too_deep_for_the_pressure_give_nothing_and_take_nothing(curve: bool) -> None:
    ring = even_ring(10, back_pressure=6000.0)
    solution = solve(with_curve(ring) if curve else ring)
    assert solution.converged
    assert max(map(abs, solution.outlet_flows.values())) < 1e-15


def test_a_deep_tap_stays_dry_while_the_others_flow() -> None:
    ring = even_ring(10)
    deep = tuple(replace(o, back_pressure=4500.0) if o.id == "o4" else o for o in ring.outlets)
    solution = solve(replace(ring, outlets=deep))
    assert abs(solution.outlet_flows["o4"]) < 1e-15
    assert min(q for name, q in solution.outlet_flows.items() if name != "o4") > 1e-5


def test_one_tap_on_one_node_with_no_pipe_at_all() -> None:
    network = Network(
        fluid=air_at(293.15),
        nodes=(Node(id="a"),),
        outlets=(Outlet(id="o", node="a", coefficient=1e-6, back_pressure=2000.0),),
        sources=(Source(id="s", node="a", fixed_pressure=2400.0),),
    )
    assert solve(network).outlet_flows["o"] == pytest.approx(2e-5, rel=1e-12)
    assert solve(network).source_flows["s"] == pytest.approx(2e-5, rel=1e-12)


@pytest.mark.parametrize("network", [Network(fluid=WATER_20, nodes=()), replace(even_ring(4), sources=())])
def test_without_a_source_nothing_flows_and_the_status_says_so(network: Network) -> None:
    solution = solve(network)
    assert solution.status is SolverStatus.NO_SOURCE
    assert set(solution.outlet_flows.values()) <= {0.0}
    assert solution.unreached_nodes == tuple(n.id for n in network.nodes)
    assert (solve_many(compile_network(network), np.ones((3, len(network.outlets)))) == 0.0).all()


def test_a_source_alone_is_solved() -> None:
    network = Network(
        fluid=WATER_20, nodes=(Node(id="a"),), sources=(Source(id="s", node="a", fixed_pressure=7.0),)
    )
    solution = solve(network)
    assert solution.converged
    assert solution.node_pressures == {"a": 7.0}
    pump = replace(network, sources=(Source(id="s", node="a", curve=CURVE),))
    assert solve(pump).node_pressures["a"] == pytest.approx(5000.0, rel=1e-9)


def test_parts_cut_off_from_every_source_are_named_and_still() -> None:
    ring = even_ring(8)
    shut = {"p2", "p5"}  # cuts n3, n4, n5 off
    network = replace(ring, pipes=tuple(replace(p, closed=p.id in shut) for p in ring.pipes))
    solution = solve(network)
    assert solution.converged
    assert solution.unreached_nodes == ("n3", "n4", "n5")
    assert all(math.isnan(solution.node_pressures[name]) for name in solution.unreached_nodes)
    assert {solution.outlet_flows[name] for name in ("o3", "o4", "o5")} == {0.0}
    assert {solution.pipe_flows[name] for name in ("p2", "p3", "p4", "p5")} == {0.0}


def two_ways(check_valve: bool, start: str, end: str) -> Network:
    return Network(
        fluid=WATER_20,
        nodes=(Node(id="a"), Node(id="b"), Node(id="c")),
        pipes=(
            Pipe(id="v", start=start, end=end, length=1.0, inner_diameter=0.01, check_valve=check_valve),
            Pipe(id="w", start="b", end="c", length=1.0, inner_diameter=0.01),
        ),
        outlets=(Outlet(id="o", node="a", coefficient=1e-6),),
        sources=(Source(id="s", node="c", fixed_pressure=1e4), Source(id="t", node="a", fixed_pressure=5e3)),
    )


def test_a_check_valve_passes_one_way_and_holds_the_other() -> None:
    free = solve(two_ways(False, "a", "b")).pipe_flows["v"]
    assert free < -1e-5
    assert solve(two_ways(True, "b", "a")).pipe_flows["v"] == pytest.approx(-free, rel=1e-9)
    held = solve(two_ways(True, "a", "b"))
    assert held.converged
    assert abs(held.pipe_flows["v"]) < 1e-15
    assert held.node_pressures["b"] == pytest.approx(1e4, rel=1e-9)


def test_behind_a_check_valve_that_points_at_the_only_source_nothing_is_reached() -> None:
    network = Network(
        fluid=WATER_20,
        nodes=(Node(id="a"), Node(id="b")),
        pipes=(Pipe(id="v", start="b", end="a", length=1.0, inner_diameter=0.01, check_valve=True),),
        outlets=(Outlet(id="o", node="b", coefficient=1e-6),),
        sources=(Source(id="s", node="a", fixed_pressure=1e4),),
    )
    assert solve(network).unreached_nodes == ("b",)


def test_too_few_iterations_are_a_status_and_not_an_answer() -> None:
    solution = solve(drawn_by_lot(7), max_iterations=1)
    assert solution.status is SolverStatus.NOT_CONVERGED
    assert not solution.converged
    assert solution.iterations == 1
    assert solution.residual > 1e-10
    compiled = compile_network(even_ring(6))
    assert np.isnan(solve_many(compiled, np.full((2, 6), 0.3), max_iterations=1)).all()


def test_numbers_too_large_to_compute_with_are_a_status_too() -> None:
    ring = even_ring(4)
    wild = replace(ring, outlets=tuple(replace(o, coefficient=1e300, exponent=4.0) for o in ring.outlets))
    assert solve(wild).status is SolverStatus.NOT_CONVERGED


A_TO_B = Pipe(id="p", start="a", end="b", length=1.0, inner_diameter=0.01)
TAP = Outlet(id="o", node="b", coefficient=1e-6)
PUMP = Source(id="s", node="a", fixed_pressure=1e3)
GOOD = Network(
    fluid=WATER_20, nodes=(Node(id="a"), Node(id="b")), pipes=(A_TO_B,), outlets=(TAP,), sources=(PUMP,)
)


@pytest.mark.parametrize(
    ("network", "words"),
    [
        (replace(GOOD, fluid=replace(WATER_20, density=0.0)), "density must be above zero"),
        (replace(GOOD, nodes=(*GOOD.nodes, Node(id="a"))), 'two nodes are called "a"'),
        (replace(GOOD, nodes=(Node(id="a"), Node(id="b", height=math.nan))), "has no height"),
        (replace(GOOD, pipes=(A_TO_B, A_TO_B)), 'two pipes are called "p"'),
        (replace(GOOD, pipes=(replace(A_TO_B, end="z"),)), 'ends at "z", which is not a node'),
        (replace(GOOD, pipes=(replace(A_TO_B, end="a"),)), "begins and ends at the same node"),
        (replace(GOOD, pipes=(replace(A_TO_B, length=-1.0),)), "length above zero"),
        (replace(GOOD, pipes=(replace(A_TO_B, inner_diameter=0.0),)), "inner diameter above zero"),
        (replace(GOOD, pipes=(replace(A_TO_B, roughness=-1.0),)), "roughness of zero or more"),
        (replace(GOOD, pipes=(replace(A_TO_B, roughness=0.005),)), "rougher than a tenth"),
        (replace(GOOD, pipes=(replace(A_TO_B, minor_loss=math.inf),)), "minor loss of zero or more"),
        (replace(GOOD, outlets=(replace(TAP, node="z"),)), 'stands at "z"'),
        (replace(GOOD, outlets=(replace(TAP, coefficient=-1.0),)), "coefficient of zero or more"),
        (replace(GOOD, outlets=(replace(TAP, exponent=0.0),)), "exponent between"),
        (replace(GOOD, outlets=(replace(TAP, back_pressure=math.nan),)), "pressure that is not a number"),
        (replace(GOOD, outlets=(replace(TAP, minimum_pressure=-1.0),)), "minimum pressure of zero or more"),
        (replace(GOOD, outlets=(replace(TAP, compensating_flow=1e-6),)), "from which minimum pressure on"),
        (
            replace(GOOD, outlets=(replace(TAP, compensating_flow=-1.0, minimum_pressure=1.0),)),
            "flow of zero",
        ),
        (replace(GOOD, sources=(replace(PUMP, node="z"),)), 'stands at "z"'),
        (replace(GOOD, sources=(replace(PUMP, curve=CURVE),)), "either a curve or a fixed pressure"),
        (replace(GOOD, sources=(replace(PUMP, fixed_pressure=None),)), "either a curve or a fixed pressure"),
        (replace(GOOD, sources=(replace(PUMP, fixed_pressure=math.inf),)), "not a number"),
        (replace(GOOD, sources=(PUMP, replace(PUMP, id="t"))), "both fix the pressure"),
        (replace(GOOD, sources=(Source(id="s", node="a", curve=((0.0, 1.0),)),)), "at least two points"),
        (replace(GOOD, sources=(Source(id="s", node="a", curve=((0.0, 1.0), (1.0, 2.0))),)), "does not fall"),
        (
            replace(GOOD, sources=(Source(id="s", node="a", curve=((0.0, 1.0), (0.0, 2.0))),)),
            "two curve points",
        ),
        (
            replace(GOOD, sources=(Source(id="s", node="a", curve=((0.0, 1.0), (9.0, -1.0))),)),
            "flow below zero",
        ),
        (
            replace(GOOD, sources=(Source(id="s", node="a", curve=((0.0, math.nan), (9.0, 1.0))),)),
            "not a number",
        ),
    ],
)
def test_a_mistake_is_a_sentence_and_the_solver_refuses_politely(network: Network, words: str) -> None:
    said = mistakes(network)
    assert any(words in text for text in said), said
    solution = solve(network)
    assert solution.status is SolverStatus.INVALID
    assert solution.mistakes == said


def test_a_good_network_has_no_mistakes() -> None:
    assert mistakes(GOOD) == ()
