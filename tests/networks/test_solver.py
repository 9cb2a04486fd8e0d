"""The solver against work by hand, scipy, fluids, and every link's own law."""

from __future__ import annotations

import math
from dataclasses import replace

import fluids
import numpy as np
import pytest
from scipy import optimize

from tankwright.networks.model import WATER_20, Fluid, Network, Node, Outlet, Pipe, Source, air_at
from tankwright.networks.solver import SolverStatus, compile_network, resolve, solve, solve_many
from tankwright.physics.constants import STANDARD_GRAVITY
from tankwright.physics.pipes import friction_factor, pipe_pressure_drop

from .shapes import LITRE_PER_MINUTE, Lot, drawn_by_lot, even_ring

WIDE_OPEN = {"exponent": 1.0, "coefficient": 1.0}  # an end so wide that no pressure is left at it


def line(*pipes: Pipe, fluid: Fluid = WATER_20, pressure: float = 2000.0) -> Network:
    """Pipes from "a" to "b", an open end at "b"."""
    return Network(
        fluid=fluid,
        nodes=(Node(id="a"), Node(id="b")),
        pipes=pipes,
        outlets=(Outlet(id="end", node="b", **WIDE_OPEN),),
        sources=(Source(id="s", node="a", fixed_pressure=pressure),),
    )


def pipe(name: str, bore: float, length: float = 2.0, **more: float) -> Pipe:
    return Pipe(id=name, start="a", end="b", length=length, inner_diameter=bore, **more)  # type: ignore[arg-type]


def test_a_laminar_pipe_follows_hagen_and_poiseuille() -> None:
    solution = solve(line(pipe("p", 0.004), pressure=150.0))
    viscosity = WATER_20.density * WATER_20.kinematic_viscosity
    expected = 150.0 * math.pi * 0.004**4 / (128 * viscosity * 2.0)
    assert solution.pipe_flows["p"] == pytest.approx(expected, rel=1e-6)  # the open end keeps a little


def test_a_turbulent_pipe_loses_what_the_formula_shelf_says() -> None:
    solution = solve(line(pipe("p", 0.02, roughness=5e-5, minor_loss=3.0), pressure=2e4))
    lost = pipe_pressure_drop(
        flow=solution.pipe_flows["p"], inner_diameter=0.02, length=2.0, roughness=5e-5, minor_loss=3.0,
        density=WATER_20.density, kinematic_viscosity=WATER_20.kinematic_viscosity,
    )  # fmt: skip
    assert lost == pytest.approx(2e4, rel=1e-6)


def test_two_parallel_laminar_pipes_share_by_the_fourth_power_of_the_bore() -> None:
    solution = solve(line(pipe("thin", 0.003), pipe("thick", 0.004), pressure=100.0))
    share = solution.pipe_flows["thick"] / solution.pipe_flows["thin"]
    assert share == pytest.approx((4 / 3) ** 4, rel=1e-9)


def test_two_parallel_turbulent_pipes_lose_the_same_and_add_up() -> None:
    solution = solve(line(pipe("thin", 0.013), pipe("thick", 0.02), pressure=3e4))
    single = [
        solve(line(pipe(name, bore), pressure=3e4)) for name, bore in (("thin", 0.013), ("thick", 0.02))
    ]
    assert solution.outlet_flows["end"] == pytest.approx(sum(s.outlet_flows["end"] for s in single), rel=1e-6)


def test_crane_problem_7_1_has_its_published_reynolds_number_and_friction() -> None:
    """Crane TP-410 problem 7-1: 200 L/min of water at 30 °C in smooth 50 mm pipe: Re 1.006e5, f 0.0179."""
    warm = Fluid(
        density=995.6, kinematic_viscosity=0.8385e-6
    )  # water at 30 °C of Crane's tables, from memory
    flow = 200 * LITRE_PER_MINUTE
    network = replace(
        line(Pipe(id="p", start="a", end="b", length=20.0, inner_diameter=0.05, roughness=0.0), fluid=warm),
        sources=(Source(id="s", node="a", curve=((0.0, flow * (1 + 1e-9)), (1e9, flow * (1 - 1e-9)))),),
    )
    solution = solve(network)
    velocity = solution.pipe_velocities["p"]
    assert velocity * 0.05 / warm.kinematic_viscosity == pytest.approx(1.006e5, rel=0.01)  # 101,200 here
    factor = solution.node_pressures["a"] * 0.05 / 20.0 / (0.5 * warm.density * velocity**2)
    assert factor == pytest.approx(0.0179, abs=0.0003)  # read off a chart there; fluids gives 0.0181


def test_water_in_a_riser_loses_its_height() -> None:
    network = replace(line(pipe("p", 0.02)), nodes=(Node(id="a", height=0.2), Node(id="b", height=1.4)))
    closed = replace(network, outlets=(), sources=(Source(id="s", node="a", fixed_pressure=3e4),))
    solution = solve(closed)
    expected = 3e4 - WATER_20.density * STANDARD_GRAVITY * 1.2
    assert solution.node_pressures["b"] == pytest.approx(expected, rel=1e-9)
    assert solution.pipe_flows["p"] == 0.0


def test_heights_of_an_air_network_do_not_matter() -> None:
    ring = even_ring(8)
    raised = replace(ring, nodes=tuple(replace(n, height=float(i)) for i, n in enumerate(ring.nodes)))
    assert solve(raised).outlet_flows == solve(ring).outlet_flows


def test_a_pump_curve_and_an_orifice_meet_where_both_agree() -> None:
    network = Network(
        fluid=air_at(293.15),
        nodes=(Node(id="a"),),
        outlets=(Outlet(id="o", node="a", coefficient=2e-6, back_pressure=1500.0),),
        sources=(Source(id="s", node="a", curve=((0.0, 5e-4), (2000.0, 2e-4), (6000.0, 0.0))),),
    )
    solution = solve(network)
    # 2e-4 (6000 - p) / 4000 = 2e-6 sqrt(p - 1500): with u = sqrt(p - 1500), u^2 + 40 u - 4500 = 0
    u = -20 + math.sqrt(400 + 4500)
    assert solution.node_pressures["a"] == pytest.approx(1500 + u * u, rel=1e-9)
    assert solution.source_flows["s"] == pytest.approx(2e-6 * u, rel=1e-9)
    assert solution.extrapolated_sources == ()


def test_a_pump_driven_beyond_its_points_is_named() -> None:
    network = Network(
        fluid=WATER_20,
        nodes=(Node(id="a"),),
        outlets=(Outlet(id="o", node="a", coefficient=1e-4),),
        sources=(Source(id="weak", node="a", curve=((2e3, 2e-4), (6e3, 1e-4))),),
    )
    solution = solve(network)
    assert solution.converged
    assert solution.node_pressures["a"] < 2e3
    assert solution.extrapolated_sources == ("weak",)


@pytest.mark.parametrize("length", [5.0, 50.0, 500.0])
def test_air_at_high_pressure_follows_the_isothermal_law_of_fluids(length: float) -> None:
    """`fluids.isothermal_gas` keeps the kinetic term 2 ln(p1/p2) that ours leaves out; here it is put back."""
    air = air_at(293.15)
    p1 = 30e3
    solution = solve(line(pipe("p", 0.016, length), fluid=air, pressure=p1))
    mass = solution.pipe_flows["p"] * air.density
    reynolds = 4 * mass / (math.pi * 0.016 * air.density * air.kinematic_viscosity)
    factor = friction_factor(reynolds, 1.5e-6 / 0.016)
    high, low = p1 + air.ambient_pressure, solution.node_pressures["b"] + air.ambient_pressure
    inlet = (
        air.density * high / air.ambient_pressure
    )  # its formula has rho / P1, which is the gas at the inlet
    theirs = fluids.isothermal_gas(rho=inlet, fd=factor, P1=high, P2=low, L=length, D=0.016)
    resistance = factor * length / 0.016
    kinetic = math.sqrt((resistance + 2 * math.log(high / low)) / resistance)
    assert mass == pytest.approx(theirs * kinetic, rel=1e-8)


def test_velocity_of_air_counts_the_room_it_takes_at_its_pressure() -> None:
    air = air_at(293.15)
    solution = solve(line(pipe("p", 0.016, 50.0), fluid=air, pressure=20e3))
    mean = 10e3 + air.ambient_pressure
    expected = solution.pipe_flows["p"] * air.ambient_pressure / mean / (math.pi * 0.008**2)
    assert solution.pipe_velocities["p"] == pytest.approx(
        expected, rel=1e-3
    )  # the open end is not quite at zero


def dense_answer(network: Network, start: dict[str, float]) -> dict[str, float]:
    """Pressures by scipy on the dense system, every pipe turned round by a scalar root search of the shelf's law."""
    fluid = network.fluid
    fixed = {s.node: s.fixed_pressure or 0.0 for s in network.sources}
    free = [n.id for n in network.nodes if n.id not in fixed]

    def flow_of(pipe: Pipe, drop: float) -> float:
        def left(q: float) -> float:
            return abs(drop) - pipe_pressure_drop(
                flow=q, inner_diameter=pipe.inner_diameter, length=pipe.length, roughness=pipe.roughness,
                minor_loss=pipe.minor_loss, density=fluid.density, kinematic_viscosity=fluid.kinematic_viscosity,
            )  # fmt: skip

        return math.copysign(optimize.brentq(left, 0.0, 1e-2, xtol=1e-18, rtol=1e-14), drop)

    def imbalance(values: np.ndarray) -> list[float]:
        pressure = {**fixed, **dict(zip(free, values, strict=True))}
        net = dict.fromkeys(pressure, 0.0)
        for p in network.pipes:
            q = flow_of(p, pressure[p.start] - pressure[p.end])
            net[p.start] -= q
            net[p.end] += q
        for o in network.outlets:
            net[o.node] -= o.coefficient * max(0.0, pressure[o.node] - o.back_pressure) ** o.exponent
        return [net[name] * 1e6 for name in free]

    found = optimize.root(imbalance, [start[name] * 1.02 for name in free], method="hybr", tol=1e-13)
    assert max(map(abs, found.fun)) < 1e-7
    return {**fixed, **dict(zip(free, found.x, strict=True))}


@pytest.mark.parametrize("fluid", [WATER_20, Fluid(density=1.204, kinematic_viscosity=1.51e-5)])
def test_a_ring_has_the_pressures_that_scipy_finds(fluid: Fluid) -> None:
    ring = even_ring(6, fluid=fluid)
    outlets = tuple(replace(o, back_pressure=1500.0 + 100 * i) for i, o in enumerate(ring.outlets))
    network = replace(ring, outlets=outlets)
    solution = solve(network)
    theirs = dense_answer(network, dict(solution.node_pressures))
    for name, pressure in solution.node_pressures.items():
        assert pressure == pytest.approx(theirs[name], rel=1e-7)  # scipy stops about there


def law_of(outlet: Outlet, pressure: float) -> float:
    excess = pressure - outlet.back_pressure
    if outlet.one_way and excess < 0:
        return 0.0
    if outlet.compensating_flow is None:
        return math.copysign(outlet.coefficient * abs(excess) ** outlet.exponent, excess)
    share = min(1.0, math.sqrt(abs(excess) / outlet.minimum_pressure))
    return math.copysign(outlet.compensating_flow * share, excess)


@pytest.mark.parametrize("seed", range(120))
def test_every_link_of_a_network_drawn_by_lot_obeys_its_law(seed: int) -> None:
    network = drawn_by_lot(seed, Lot(exponents=(0.2, 0.5, 0.5, 0.7, 1.0, 1.5), sources=1 + seed % 3))
    solution = solve(network)
    assert solution.status is SolverStatus.CONVERGED
    assert solution.imbalance < 1e-7 * LITRE_PER_MINUTE
    p, fluid = solution.node_pressures, network.fluid
    total = sum(map(abs, solution.outlet_flows.values()))
    heights = {n.id: n.height for n in network.nodes}
    reached = [link for link in network.pipes if not math.isnan(p[link.start] + p[link.end])]
    for link in reached:
        q = solution.pipe_flows[link.id]
        a, b = p[link.start], p[link.end]
        drop = a - b
        if fluid.compressible:
            drop *= 1.0 + 0.5 * (a + b) / fluid.ambient_pressure
        else:
            drop += fluid.density * STANDARD_GRAVITY * (heights[link.start] - heights[link.end])
        if link.check_valve and drop < 1e-6:
            assert abs(q) <= 1e-9 * total + 1e-15
            continue
        area = math.pi * link.inner_diameter**2 / 4
        reynolds = abs(q) / area * link.inner_diameter / fluid.kinematic_viscosity
        lost = 0.0
        if reynolds > 1e-9:
            factor = friction_factor(reynolds, link.roughness / link.inner_diameter)
            kinetic = 0.5 * fluid.density * (q / area) ** 2
            lost = (factor * link.length / link.inner_diameter + link.minor_loss) * math.copysign(kinetic, q)
        # pressures are differences of numbers up to 2e5 Pa, so 1e-8 Pa is the last digit there is
        assert drop == pytest.approx(lost, rel=1e-6, abs=1e-6)
    for outlet in network.outlets:
        if math.isnan(p[outlet.node]):
            assert solution.outlet_flows[outlet.id] == 0.0
            continue
        # the toe below 1 mPa and the rounded corner of a compensating outlet are the model's own
        slack = 1e-9 * total + 1e-15
        if outlet.compensating_flow is not None:
            slack += 0.0065 * outlet.compensating_flow  # 1 - sqrt(1 - 0.02 / 4), and half that again
        elif abs(p[outlet.node] - outlet.back_pressure) < 2e-3:
            slack += outlet.coefficient * 2e-3**outlet.exponent
        flow = solution.outlet_flows[outlet.id]
        # a flow may differ by what 1e-7 Pa of pressure changes in it
        near = [law_of(outlet, p[outlet.node] + d) for d in (-1e-7, 0.0, 1e-7)]
        assert min(near) - slack - 1e-8 * abs(flow) <= flow <= max(near) + slack + 1e-8 * abs(flow)


def test_many_scenarios_are_the_same_as_one_at_a_time() -> None:
    compiled = compile_network(even_ring(12))
    scales = np.random.default_rng(3).uniform(0.0, 1.5, (20, 12))
    scales[3] = 0.0
    flows = solve_many(compiled, scales)
    for row, scale in zip(flows, scales, strict=True):
        single = resolve(compiled, scale)
        assert row == pytest.approx(list(single.outlet_flows.values()), rel=1e-8, abs=1e-15)


def test_a_warm_start_gives_the_same_answer_in_fewer_iterations() -> None:
    compiled = compile_network(drawn_by_lot(7))
    cold = resolve(compiled)
    warm = resolve(compiled, start=cold)
    assert warm.iterations < cold.iterations
    assert warm.outlet_flows == pytest.approx(cold.outlet_flows, rel=1e-8, abs=1e-14)
