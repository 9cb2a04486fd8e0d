"""The air each tank gets in a broken room: its ring solved again with what is broken, and only where that is air.

What the level of a tank does to its own air (98 Pa for each centimetre over the diffuser) is left out: a tank filled
to its rim keeps its air within some percent, one that runs dry has other troubles.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Final

from tankwright.faults.electric import dead_pumps
from tankwright.networks.model import Outlet
from tankwright.networks.solver import solve
from tankwright.room.model import AirRun, Room
from tankwright.room.model_broken import Broken
from tankwright.study import Study
from tankwright.systems.air import AirRunResult
from tankwright.systems.air_network import orifice_coefficient
from tankwright.units import CubicMetrePerSecond, Metre

AIR_KINDS: Final = frozenset({"air pump", "ring pipe", "air tap", "diffuser"})
POWER_KINDS: Final = frozenset({"power", "board", "circuit", "device"})

_KEPT: Final = 64
_LEAST_WAY: Final = 1e-9
"""A share of its way below which a diffuser is shut."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Airing:
    """Air of every tank that has taps. `unknown` holds (subject, reason) of what could not be solved; its tanks are
    left out of `flows`. `pressures` is what each ring holds where its pumps blow in."""

    flows: Mapping[str, CubicMetrePerSecond]
    pressures: Mapping[str, float] = field(default_factory=dict)
    unknown: tuple[tuple[str, str], ...] = ()


@dataclass(slots=True)
class _Solved:
    """What was solved for one study, by what was broken: the same fault comes at several hours of the day."""

    study: Study | None = None
    by_broken: dict[frozenset[Broken], Airing] = field(default_factory=dict)


_solved = _Solved()


def healthy_air(study: Study) -> Airing:
    """The air as the study has it."""
    if study.air is None:
        return Airing(flows={})
    return Airing(
        flows={one.tank: one.flow for one in study.air.tanks},
        pressures={
            run.run: max(run.solution.source_pressures.values(), default=0.0) for run in study.air.runs
        },
        unknown=study.air.not_computed,
    )


def broken_air(study: Study, broken: Room) -> Airing:
    """The air of a broken room; that of the study where nothing of it is broken."""
    stopped = dead_pumps(replace(study.room, broken=broken.broken)) & {pump.id for pump in study.room.pumps}
    of_air = [one for one in broken.broken if one.kind in AIR_KINDS and one.kind != "air pump"]
    key = frozenset([*of_air, *(Broken(kind="air pump", what=pump) for pump in stopped)])
    if not key or study.air is None:
        return healthy_air(study)
    if _solved.study is not study:
        _solved.study, _solved.by_broken = study, {}
    kept = _solved.by_broken
    if key not in kept:
        if len(kept) >= _KEPT:
            kept.clear()
        kept[key] = _solve(study, key, stopped)
    return kept[key]


def _solve(study: Study, broken: frozenset[Broken], stopped: frozenset[str]) -> Airing:
    air = study.air
    assert air is not None
    results = {one.run: one for one in air.runs}
    flows: dict[str, float] = {}
    pressures: dict[str, float] = {}
    unknown: list[tuple[str, str]] = []
    lost: set[str] = set()
    for run in study.room.airs:
        mine = [one for one in broken if one.kind != "air pump" and one.what == run.id]
        running = [pump.id for pump in study.room.pumps if pump.id in run.pumps and not pump.reserve]
        left = [pump for pump in running if pump not in stopped]
        result = results.get(run.id)
        if result is None and left:
            unknown.append((f"air {run.id}", "was not worked out when healthy, so it is not when broken"))
            lost |= {tap.tank for tap in run.taps if tap.tank is not None and tap.open}
            continue
        if not left:
            pressures[run.id] = 0.0
            for tap in run.taps:
                if tap.tank is not None and tap.open:
                    flows.setdefault(tap.tank, 0.0)
            continue
        assert result is not None
        if not mine and len(left) == len(running):
            pressures[run.id] = max(result.solution.source_pressures.values(), default=0.0)
            found: Mapping[str, float] | None = {
                tap.tap: tap.flow for tap in result.taps if tap.tank is not None
            }
        else:
            found, pressures[run.id] = _solve_run(run, result, mine, frozenset(left))
        if found is None:
            unknown.append((f"air {run.id}", "the broken ring could not be solved"))
        for one in result.taps:
            if one.tank is None:
                continue
            if found is None:
                lost.add(one.tank)
            else:
                flows[one.tank] = flows.get(one.tank, 0.0) + found[one.tap]
    kept = {tank: flow for tank, flow in flows.items() if tank not in lost}
    return Airing(flows=kept, pressures=pressures, unknown=tuple(unknown))


def _solve_run(
    run: AirRun, healthy: AirRunResult, broken: list[Broken], left: frozenset[str]
) -> tuple[dict[str, float] | None, float]:
    """The flow of each tap and the pressure at the pumps; no flows where the ring does not settle."""
    taps = {tap.id: tap for tap in run.taps}
    outlets = {one.id: one for one in healthy.network.outlets}
    for one in broken:
        if one.kind == "ring pipe":
            way = orifice_coefficient(_bore_at(run, one.at))
            outlets[f"open {one.at}"] = Outlet(id=f"open {one.at}", node=one.at, coefficient=way)
        elif one.kind == "air tap" and one.at in taps:
            tap = taps[one.at]
            outlets[one.at] = Outlet(
                id=one.at, node=tap.node, coefficient=orifice_coefficient(tap.bore.value)
            )
        elif one.kind == "diffuser" and one.at in outlets:
            outlet = outlets[one.at]
            outlets[one.at] = replace(
                outlet, coefficient=outlet.coefficient * one.left, closed=one.left <= _LEAST_WAY
            )
    sources = tuple(source for source in healthy.network.sources if source.id in left)
    solution = solve(replace(healthy.network, outlets=tuple(outlets.values()), sources=sources))
    if not solution.converged:
        return None, 0.0
    out = {one.at for one in broken if one.kind == "air tap"}
    flows: dict[str, float] = {}
    for tap_air in healthy.taps:
        ring = solution.node_pressures.get(tap_air.node, 0.0)
        reached = tap_air.tap not in out and ring > tap_air.depth_pressure + tap_air.valve_loss
        flows[tap_air.tap] = max(0.0, solution.outlet_flows.get(tap_air.tap, 0.0)) if reached else 0.0
    return flows, max(solution.source_pressures.values(), default=0.0)


def _bore_at(run: AirRun, node: str) -> Metre:
    """The widest pipe that meets a node, or the widest of the ring."""
    bores = [pipe.bore.value for pipe in run.pipes if node in (pipe.start, pipe.end)]
    return max(bores or [pipe.bore.value for pipe in run.pipes], default=0.01)
