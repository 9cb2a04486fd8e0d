"""An air run under other settings: taps turned to their targets, shut, opened, fallen off, added; pumps
stopped.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, replace

from tankwright.networks.model import Network, Outlet, Source
from tankwright.networks.solution import Solution
from tankwright.networks.solver import compile_network, resolve, solve
from tankwright.room.model import AirRun, PumpPlace
from tankwright.systems.air_model import Scenario, SettledTaps, TapAir
from tankwright.systems.air_network import (
    TapLaw,
    air_network,
    curve_end,
    curve_flow,
    orifice_coefficient,
    pump_sources,
    spare_outlets,
    target_network,
)
from tankwright.units import CubicMetrePerSecond, Pascal

LEAST_WANTED: CubicMetrePerSecond = 1e-3 / 60_000
"""What a tank wants at the least, 1 mL/min: a plan that asks for none still has a law for its diffuser."""

ENOUGH = 0.99
"""A tank keeps its air when this share of it is left: the corner of the target law is rounded by 0.5 %."""

MOST_EXTRA = 4096
SPREAD = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class Setup:
    """One run with what it takes to solve it again and again; no pump is to work above `limit`."""

    run: AirRun
    pumps: tuple[PumpPlace, ...]
    laws: tuple[TapLaw, ...]
    limit: Pascal

    def pump_flow(self, pressure: Pascal) -> CubicMetrePerSecond:
        """What all running pumps together give at a pressure."""
        return sum(curve_flow(pump.curve, pressure) for pump in self.pumps)


def bleed_needed(setup: Setup, network: Network, solution: Solution) -> CubicMetrePerSecond:
    """Air to let off beside the open taps so that no pump works above the limit."""
    if max(solution.source_pressures.values()) <= setup.limit:
        return 0.0
    held = replace(network, sources=(Source(id="held", node=setup.run.inlet, fixed_pressure=setup.limit),))
    taken = solve(held).source_flows.get("held", 0.0)
    return max(0.0, setup.pump_flow(setup.limit) - taken)


# --- every tap turned to its target -------------------------------------------------------------------------


def settle(setup: Setup) -> tuple[SettledTaps | None, dict[str, float]]:
    """Openings that give each tank its target, found in one solve of target outlets, then solved for real."""
    run, laws = setup.run, setup.laws
    if not laws:
        return None, {}
    from_pumps = pump_sources(run, setup.pumps)
    target = solve(target_network(run, laws, sources=from_pumps))
    bleed = 0.0
    if target.converged and max(target.source_pressures.values()) > setup.limit:
        held = (Source(id="held", node=run.inlet, fixed_pressure=setup.limit),)
        target = solve(target_network(run, laws, sources=held))
        bleed = max(0.0, setup.pump_flow(setup.limit) - target.source_flows.get("held", 0.0))
    if not target.converged:
        return None, {}
    openings = {
        law.tap.id: law.opening(target.node_pressures[law.tap.node], run.roughness.value)
        for law in laws
        if not math.isnan(target.node_pressures.get(law.tap.node, math.nan))
    }
    network = air_network(run, setup.pumps, laws, openings)
    if bleed > 0.0:
        let_off = Outlet(id="bleed", node=run.inlet, coefficient=bleed / math.sqrt(setup.limit))
        network = replace(network, outlets=(*network.outlets, let_off))
    solution = solve(network)
    if not solution.converged:
        return None, {}
    settled = SettledTaps(
        pump_pressure=max(solution.source_pressures.values()),
        total_flow=sum(solution.source_flows.values()),
        bleed=bleed,
        limit_pressure=setup.limit,
        dead_end_pressure=run.relief.value if run.relief else max(curve_end(p.curve) for p in setup.pumps),
        network=network,
        solution=solution,
    )
    return settled, openings


# --- more taps ----------------------------------------------------------------------------------------------


def _most(fits: Callable[[int], bool], ceiling: int) -> int:
    """The largest count that still fits, by bisection; 0 when not even one does."""
    low, high = 0, min(MOST_EXTRA, ceiling) + 1
    while high - low > 1:
        middle = (low + high) // 2
        if fits(middle):
            low = middle
        else:
            high = middle
    return low


def _spread_nodes(laws: Sequence[TapLaw]) -> list[str]:
    nodes = list(dict.fromkeys(law.tap.node for law in laws))
    step = max(1, len(nodes) // SPREAD)
    return nodes[::step][:SPREAD]


def more_taps_set(setup: Setup) -> int | None:
    """Average taps that can be added, spread round the ring, with every tap turned to its target and each
    tank still getting what it wants.
    """
    run, laws = setup.run, setup.laws
    if not laws:
        return None
    wanted = sum(law.wanted for law in laws) / len(laws)
    standing = sum(law.standing for law in laws) / len(laws)
    needed = sum(law.needed(run.roughness.value) for law in laws) / len(laws)
    nodes = _spread_nodes(laws)
    extra = tuple(
        Outlet(
            id=f"extra {node}",
            node=node,
            compensating_flow=wanted / len(nodes),
            back_pressure=standing,
            minimum_pressure=needed - standing,
        )
        for node in nodes
    )
    sources = pump_sources(run, setup.pumps)
    ready = compile_network(target_network(run, laws, sources=sources, extra=extra))

    before = resolve(ready, [1.0] * len(laws) + [0.0] * len(extra))

    def fits(count: int) -> bool:
        scales = [1.0] * len(laws) + [float(count)] * len(extra)
        solution = resolve(ready, scales, start=before)
        return (
            solution.converged
            and all(solution.outlet_flows[law.tap.id] >= ENOUGH * law.wanted for law in laws)
            and _above_lowest(setup, solution)
        )

    return _most(fits, math.ceil(setup.pump_flow(0.0) / wanted)) if fits(0) else 0


def more_taps_unset(
    setup: Setup, network: Network, solution: Solution, taps: tuple[TapAir, ...]
) -> int | None:
    """Average taps that can be added and left as open as the others, no tank short of what it wants."""
    fed = [tap for tap in taps if tap.tank is not None]
    if not fed:
        return None
    if any((tap.share or 0.0) < 1.0 for tap in fed):
        return 0
    mean_flow = sum(tap.flow for tap in fed) / len(fed)
    standing = sum(tap.depth_pressure + tap.valve_loss for tap in fed) / len(fed)
    driving = sum((tap.ring_pressure or 0.0) for tap in fed) / len(fed) - standing
    if driving <= 0.0:
        return 0
    nodes = _spread_nodes(setup.laws)
    extra = tuple(
        Outlet(
            id=f"extra {node}",
            node=node,
            coefficient=mean_flow / math.sqrt(driving) / len(nodes),
            back_pressure=standing,
        )
        for node in nodes
    )
    ready = compile_network(replace(network, outlets=(*network.outlets, *extra)))

    def fits(count: int) -> bool:
        solved = resolve(ready, [1.0] * len(network.outlets) + [float(count)] * len(extra), start=solution)
        return (
            solved.converged
            and all(solved.outlet_flows[tap.tap] >= ENOUGH * (tap.wanted or 0.0) for tap in fed)
            and _above_lowest(setup, solved)
        )

    return _most(fits, math.ceil(setup.pump_flow(0.0) / max(mean_flow, LEAST_WANTED)))


def _above_lowest(setup: Setup, solution: Solution) -> bool:
    return all(
        pump.lowest_pressure is None or solution.source_pressures[pump.id] >= pump.lowest_pressure.value
        for pump in setup.pumps
    )


# --- taps opened and shut -----------------------------------------------------------------------------------


def scenarios(
    setup: Setup, network: Network, before: Solution, named: list[PumpPlace]
) -> tuple[Scenario, ...]:
    """What the other taps get when a tube falls off, and when taps are opened or shut; () without taps."""
    run, laws = setup.run, setup.laws
    if not laws:
        return ()
    spare = spare_outlets(run, only_open=False)
    widest = max(laws, key=lambda law: law.tap.bore.value**2 * law.stands_open)
    way = orifice_coefficient(widest.tap.bore.value) * widest.stands_open
    fallen = Outlet(id="fallen tube", node=widest.tap.node, coefficient=way)
    ids = {outlet.id for outlet in spare}
    own = tuple(outlet for outlet in network.outlets if outlet.id not in ids)
    outlets = (*own, *spare, fallen)
    ready = compile_network(replace(network, outlets=outlets))
    now = {outlet.id for outlet in network.outlets}
    every_other = {law.tap.id for law in laws[1::2]}
    cases: list[tuple[str, set[str]]] = [
        ("one tube fallen off its tap", (now | {"fallen tube"}) - {widest.tap.id}),
        ("half of the tanks' taps shut", now - every_other),
    ]
    if now & ids:
        cases.append(("spare taps shut", now - ids))
    if ids - now:
        cases.append(("every spare tap open", now | ids))
    made = []
    for name, opened in cases:
        scales = [float(outlet.id in opened) for outlet in outlets]
        solution = resolve(ready, scales, start=before)
        made.append(_scenario(name, [law for law in laws if law.tap.id in opened], solution))
    if len(setup.pumps) > 1:
        for pump in setup.pumps:
            others = tuple(other for other in setup.pumps if other is not pump)
            made.append(_scenario(f"pump {pump.id} stopped", laws, solve(air_network(run, others, laws))))
    for pump in named:
        if pump.reserve and len(pump.curve) > 1:
            made.append(_scenario(f"reserve {pump.id} alone", laws, solve(air_network(run, (pump,), laws))))
    return tuple(scenario for scenario in made if scenario is not None)


def _scenario(name: str, laws: Collection[TapLaw], solution: Solution) -> Scenario | None:
    if not solution.converged:
        return None
    shares = {law.tap.id: law.flow_in(solution) / law.wanted for law in laws}
    least = min(laws, key=lambda law: shares[law.tap.id], default=None)
    return Scenario(
        name=name,
        pump_pressure=max(solution.source_pressures.values()),
        total_flow=sum(solution.source_flows.values()),
        least_share=shares[least.tap.id] if least else None,
        least_tank=least.tank if least else None,
        below_half=tuple(law.tank for law in laws if shares[law.tap.id] < 0.5),
        starved=tuple(law.tank for law in laws if shares[law.tap.id] <= 0.0),
    )
