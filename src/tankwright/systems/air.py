"""The air system: pumps, ring, taps, tubes and diffusers solved as one network for every run of the room.

`solve_air` solves each run as it stands (taps as far open as the plan says, fully where it does not), then with
every tap turned to what its tank wants, then with taps opened, shut and added, and looks at what runs back when
the air stops.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from tankwright.catalogue.assumptions import ASSUMPTIONS
from tankwright.networks.solution import Solution
from tankwright.networks.solver import solve
from tankwright.physics.ranges import OutsideValidRange
from tankwright.room.model import AirRun, PumpPlace, Room
from tankwright.systems.air_cases import (
    LEAST_WANTED,
    Setup,
    bleed_needed,
    more_taps_set,
    more_taps_unset,
    scenarios,
    settle,
)
from tankwright.systems.air_model import (
    AirResult,
    AirRunResult,
    PumpWork,
    RunLosses,
    SettledTaps,
    TankAir,
    TapAir,
)
from tankwright.systems.air_network import air_network, spare_outlets, tap_laws
from tankwright.systems.air_runback import run_back
from tankwright.units import Pascal

__all__ = ["AirResult", "AirRunResult", "solve_air"]


def solve_air(room: Room, *, walk_through: bool = True) -> AirResult:
    """Air of every run and tank. Raises nothing: what cannot be computed is named in `not_computed`.

    Without `walk_through` the costly what-ifs are left out (more taps, taps shut, a tube fallen off): the room as it
    stands is all a trial of an assumption needs.

    >>> solve_air(Room(title="", display="metric", spaces=(), racks=(), tanks=())).runs
    ()
    """
    runs: list[AirRunResult] = []
    missing: list[tuple[str, str]] = []
    for run in room.airs:
        try:
            solved = _solve_run(room, run, walk_through)
        except OutsideValidRange as outside:
            solved = f"a published formula does not reach that far: {outside}"
        except ArithmeticError:
            solved = "a size in it is too small or too large to compute with"
        if isinstance(solved, str):
            missing.append((f"air {run.id}", solved))
        else:
            runs.append(solved)
    served = {tap.tank for run in room.airs for tap in run.taps if tap.tank is not None and tap.open}
    return AirResult(
        runs=tuple(runs),
        tanks=_by_tank(runs),
        without_air=tuple(tank.id for tank in room.tanks if tank.id not in served),
        not_computed=tuple(missing),
    )


def check_valve_pressure(room: Room) -> Pascal:
    """Opening pressure of a check valve: the one the room rests on, else the stated assumption."""
    key = "air.check_valve_loss"
    return next((known.value for known in room.assumed if known.key == key), ASSUMPTIONS[key].value)


def _solve_run(room: Room, run: AirRun, walk_through: bool) -> AirRunResult | str:
    named = [pump for pump in room.pumps if pump.id in run.pumps]
    pumps = tuple(pump for pump in named if not pump.reserve)
    if not pumps:
        return "no running pump is named, so there is no curve to work along"
    without = [pump.id for pump in pumps if len(pump.curve) < 2]
    if without:
        return f"pump {without[0]} has no curve of at least two points"
    laws = tap_laws(run, check_valve_pressure(room), LEAST_WANTED)
    network = air_network(run, pumps, laws)
    solution = solve(network)
    if not solution.converged:
        why = solution.why_not
        return f"the network could not be solved: {why}"
    highest = [pump.highest_pressure.value for pump in pumps if pump.highest_pressure]
    ends = [max(pump.curve) for pump in pumps]
    known = [pressure for pressure, flow in ends if flow > 0.0]  # one that ends at no flow needs no holding
    limit = min([*highest, min(known) if known else max(pressure for pressure, _ in ends)])
    setup = Setup(run=run, pumps=pumps, laws=laws, limit=limit)
    settled, openings = settle(setup)
    tanks = {tank.id: tank for tank in room.tanks}
    taps = _taps(setup, solution, settled, openings)
    places = dict(run.nodes)
    heights = [pump.height.value for pump in named]
    lowest_pump = min(heights) if heights else places.get(run.inlet, (0.0, 0.0, math.inf))[2]
    return AirRunResult(
        run=run.id,
        network=network,
        solution=solution,
        taps=taps,
        pumps=tuple(_work(pump, solution, alone=len(pumps) == 1) for pump in pumps),
        total_flow=max(0.0, sum(solution.source_flows.values())),
        spare_flow=sum(tap.flow for tap in taps if tap.tank is None),
        relief_flow=solution.outlet_flows.get("relief", 0.0),
        bleed=bleed_needed(setup, network, solution),
        limit_pressure=limit,
        losses=_losses(setup, solution, taps),
        settled=settled,
        more_taps=more_taps_set(setup) if walk_through else None,
        more_taps_unset=more_taps_unset(setup, network, solution, taps) if walk_through else None,
        scenarios=scenarios(setup, network, solution, named) if walk_through else (),
        run_back=run_back(laws, tanks, lowest_pump),
    )


# --- the plan as it stands ----------------------------------------------------------------------------------


def _taps(
    setup: Setup, solution: Solution, settled: SettledTaps | None, openings: dict[str, float]
) -> tuple[TapAir, ...]:
    unreached = set(solution.unreached_nodes)
    made = []
    for law in setup.laws:
        node = law.tap.node
        reached = node not in unreached and node in solution.node_pressures
        flow = law.flow_in(solution)
        ring = solution.node_pressures[node] if reached else None
        diffuser = law.diffuser_drop(flow)
        tube = law.tube_drop(flow, setup.run.roughness.value)
        tap_loss = max(0.0, (ring or 0.0) - law.standing - diffuser - tube) if flow > 0.0 else 0.0
        made.append(
            TapAir(
                tap=law.tap.id,
                node=node,
                tank=law.tank,
                reached=reached,
                flow=flow,
                wanted=law.wanted,
                ring_pressure=ring,
                depth_pressure=law.depth_pressure,
                needed_pressure=law.needed(setup.run.roughness.value),
                tap_loss=tap_loss,
                tube_loss=tube,
                valve_loss=law.valve_pressure,
                diffuser_loss=diffuser,
                opening=openings.get(law.tap.id),
                set_flow=law.flow_in(settled.solution) if settled else None,
                stands_open=law.stands_open,
            )
        )
    for outlet in spare_outlets(setup.run, only_open=True):
        reached = outlet.node not in unreached and outlet.node in solution.node_pressures
        made.append(
            TapAir(
                tap=outlet.id,
                node=outlet.node,
                tank=None,
                reached=reached,
                flow=solution.outlet_flows.get(outlet.id, 0.0),
                ring_pressure=solution.node_pressures[outlet.node] if reached else None,
            )
        )
    return tuple(made)


def _work(pump: PumpPlace, solution: Solution, *, alone: bool) -> PumpWork:
    pressures = [pressure for pressure, _ in pump.curve]
    pressure = solution.source_pressures[pump.id]
    # with every tap shut a pump gives nothing, at a pressure its curve was carried on to; another may hold it there
    past_the_end = alone and pressure > max(pressures) * (1.0 + 1e-9)
    return PumpWork(
        pump=pump.id,
        pressure=pressure,
        flow=max(0.0, solution.source_flows[pump.id]),
        extrapolated=past_the_end or pump.id in solution.extrapolated_sources,
        curve_lowest=min(pressures),
        curve_highest=max(pressures),
        lowest=pump.lowest_pressure.value if pump.lowest_pressure else None,
        highest=pump.highest_pressure.value if pump.highest_pressure else None,
    )


def _losses(setup: Setup, solution: Solution, taps: tuple[TapAir, ...]) -> RunLosses:
    at_inlet = solution.node_pressures[setup.run.inlet]
    rings = [tap.ring_pressure for tap in taps if tap.ring_pressure is not None and tap.flow > 0.0]
    outlets = [
        tap.tap_loss + tap.tube_loss + tap.diffuser_loss
        for tap in taps
        if tap.tank is not None and tap.flow > 0.0
    ]
    own = {pipe.id for pipe in setup.run.pipes}
    speeds = {name: abs(speed) for name, speed in solution.pipe_velocities.items() if name in own}
    fastest = max(speeds, key=speeds.__getitem__, default="")
    return RunLosses(
        lead=at_inlet - max(rings) if rings else 0.0,
        header=max(rings) - min(rings) if rings else 0.0,
        outlet=sum(outlets) / len(outlets) if outlets else None,
        fastest=speeds.get(fastest, 0.0),
        fastest_pipe=fastest,
    )


# --- sums ---------------------------------------------------------------------------------------------------


def _by_tank(runs: Sequence[AirRunResult]) -> tuple[TankAir, ...]:
    flows: dict[str, list[TapAir]] = {}
    for run in runs:
        for tap in run.taps:
            if tap.tank is not None:
                flows.setdefault(tap.tank, []).append(tap)
    return tuple(
        TankAir(
            tank=name,
            flow=sum(tap.flow for tap in taps),
            wanted=sum(tap.wanted or 0.0 for tap in taps),
            taps=len(taps),
        )
        for name, taps in flows.items()
    )
