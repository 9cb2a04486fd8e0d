"""The feed: pressure from the source to every outlet, litres by the programs, and how much water is truly
new.

`solve_feed` solves each feed with everything open, then counts by the clock.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from statistics import fmean, pstdev

from tankwright.physics.emitters import emission_uniformity
from tankwright.physics.hydrostatics import siphon_back_flow
from tankwright.physics.mixing import inflow_for_replacement, water_replaced
from tankwright.physics.ranges import OutsideValidRange
from tankwright.room.model import FeedOutletPlace, FeedRun, Room, Tank
from tankwright.systems.feed_model import (
    FeedResult,
    FeedRunResult,
    OutletFeed,
    SiphonBack,
    SourcePeak,
    TankFeed,
)
from tankwright.systems.feed_network import WEIGHT, SolvedFeed, outlet_height, solve_feed_network
from tankwright.systems.feed_time import between_looks, in_absence, longest_run, most_at_once, seconds_a_week
from tankwright.units import CubicMetre, CubicMetrePerSecond, Dimensionless, Metre, Second

__all__ = ["FeedResult", "FeedRunResult", "run_time_for_share", "solve_feed"]

LEAST_GAP: Metre = 0.020
"""Air gap of at least 20 mm or twice the bore. Source: UK water regulations, by waterregsuk.co.uk's
glossary.
"""

DRAWN: Metre = 1e-4


def solve_feed(room: Room) -> FeedResult:
    """Feed of every run and tank. Raises nothing: what cannot be computed is named in `not_computed`.

    >>> solve_feed(Room(title="", display="metric", spaces=(), racks=(), tanks=())).inflows()
    {}
    """
    runs: list[FeedRunResult] = []
    missing: list[tuple[str, str]] = []
    for run in room.feeds:
        try:
            solved = _solve_run(room, run)
        except OutsideValidRange as outside:
            solved = f"a published formula does not reach that far: {outside}"
        except ArithmeticError:
            solved = "a size in it is too small or too large to compute with"
        if isinstance(solved, str):
            missing.append((f"feed {run.id}", solved))
        else:
            runs.append(solved)
    fed = {outlet.tank for run in room.feeds for outlet in run.outlets}
    return FeedResult(
        runs=tuple(runs),
        tanks=_tanks(room, runs),
        peaks=_peaks(room, runs),
        without_feed=tuple(tank.id for tank in room.tanks if tank.id not in fed),
        not_computed=tuple(missing),
    )


def run_time_for_share(
    *,
    weekly_share: Dimensionless,
    tank_volume: CubicMetre,
    inflow: CubicMetrePerSecond,
    runs_a_week: float = 7.0,
) -> Second | None:
    """How long each run must last so that a share of a tank's water is new after a week; None if it never is.

    Raises OutsideValidRange for a share of one or more.

    Source: mass balance of a stirred tank, solved for the inflow (`physics.mixing.inflow_for_replacement`).

    >>> seconds = run_time_for_share(weekly_share=0.5, tank_volume=0.05, inflow=4 / 3.6e6)
    >>> round(seconds / 60)  # a 4 L/h dripper on 50 L, minutes a day
    74
    """
    volume = inflow_for_replacement(replaced_share=weekly_share, tank_volume=tank_volume)
    if not (inflow > 0.0 and runs_a_week > 0.0):
        return None
    each = volume / inflow / runs_a_week
    return each if each * runs_a_week <= 7 * 86_400.0 else None


# --- one feed ---------------------------------------------------------------------------------------------


def _solve_run(room: Room, run: FeedRun) -> FeedRunResult | str:
    if not run.outlets:
        return "it has no outlets"
    solved = solve_feed_network(room, run)
    if isinstance(solved, str):
        return solved
    tanks = {tank.id: tank for tank in room.tanks}
    outlets = tuple(_outlet(run, place, solved, tanks.get(place.tank)) for place in run.outlets)
    total = sum(outlet.flow for outlet in outlets)
    week = seconds_a_week(run.openings)
    uniformity, statistical = _uniformity(run, outlets)
    return FeedRunResult(
        run=run.id,
        source=run.source,
        network=solved.network,
        solution=solved.solution,
        outlets=outlets,
        total_flow=total,
        source_pressure=solved.source_pressure,
        upstream_pressure=solved.upstream,
        filter_loss=solved.filter_loss,
        inlet_pressure=solved.inlet,
        regulated=solved.regulated,
        extrapolated=solved.extrapolated,
        uniformity=uniformity,
        statistical=statistical,
        seconds_a_week=week,
        volume_a_run=total * longest_run(run.openings),
        volume_a_week=total * week,
        siphons=_siphons(run, tanks),
    )


def _outlet(run: FeedRun, place: FeedOutletPlace, solved: SolvedFeed, tank: Tank | None) -> OutletFeed:
    heights = {name: spot[2] for name, spot in run.nodes}
    at_node = solved.solution.node_pressures.get(place.node, math.nan)
    reached = not math.isnan(at_node)
    above = WEIGHT * (heights.get(place.node, place.place[2]) - outlet_height(place, tank))
    pressure = at_node + above if reached else None
    bore = place.bore.value if place.bore else 0.0
    flow = solved.solution.outlet_flows.get(place.id, 0.0)
    return OutletFeed(
        outlet=place.id,
        tank=place.tank,
        kind=place.kind,
        reached=reached,
        flow=max(0.0, flow) if pressure is not None and pressure > 0.0 else 0.0,
        rate=place.rate.value,
        pressure=pressure,
        needed_pressure=place.at_pressure.value if place.kind == "compensating dripper" else None,
        gap=place.gap.value,
        needed_gap=max(LEAST_GAP, 2.0 * bore),
    )


def _uniformity(
    run: FeedRun, outlets: Sequence[OutletFeed]
) -> tuple[Dimensionless | None, Dimensionless | None]:
    """Emission uniformity (weakest over mean, with the spread of making), and the statistical uniformity,
    one less the coefficient of variation of pressure and making together.

    Sources: Keller and Karmeli (1974), ASABE EP405.1; statistical uniformity after Wilcox and Swailes, from
    memory.
    """
    tubes = any(outlet.kind == "small tube" for outlet in outlets)
    ratios = [outlet.flow if tubes else outlet.ratio for outlet in outlets]
    mean = fmean(ratios)
    if not mean > 0.0:
        return None, None
    making = fmean(place.variation.value for place in run.outlets)
    scale = 1.0 if tubes else fmean(outlet.rate for outlet in outlets) / mean  # a tube has no rated flow
    try:
        uniformity = emission_uniformity(
            coefficient_of_variation=making,
            minimum_flow=min(*ratios, mean) * scale,
            mean_flow=mean * scale,
        )
    except OutsideValidRange:
        return None, None
    return uniformity, max(0.0, 1.0 - math.hypot(making, pstdev(ratios) / mean))


def _siphons(run: FeedRun, tanks: dict[str, Tank]) -> tuple[SiphonBack, ...]:
    """Outlets that end in the water, each with the lowest way out of the pipe when the supply stops."""
    ways: list[tuple[Metre, str, str | None]] = []
    for place in run.outlets:
        tank = tanks.get(place.tank)
        if tank is not None:
            ways.append((outlet_height(place, tank), place.id, place.tank))
    if not run.check_valve:
        ways.append((run.source_place[2], f"source {run.source}", None))
    found = []
    for place in run.outlets:
        tank = tanks.get(place.tank)
        if tank is None or place.place[2] >= tank.level:
            continue
        others = [way for way in ways if way[1] != place.id]
        if not others:
            continue
        height, name, other = min(others)
        stops = max(height, place.place[2], tank.floor_inside)
        if tank.level - stops <= DRAWN:
            continue
        found.append(
            SiphonBack(
                outlet=place.id,
                tank=place.tank,
                exit=name,
                exit_tank=other,
                head=tank.level - height,
                stops_at=stops,
                volume=tank.inside_area * (tank.level - stops),
                flow=_tube_siphon(place, tank.level - height),
            )
        )
    return tuple(found)


def _tube_siphon(place: FeedOutletPlace, head: Metre) -> CubicMetrePerSecond | None:
    if place.kind != "small tube" or place.bore is None or place.length is None:
        return None
    try:
        return siphon_back_flow(head=head, inner_diameter=place.bore.value, length=place.length.value)
    except OutsideValidRange:
        return None


# --- by tank and by source ----------------------------------------------------------------------------------


def _tanks(room: Room, runs: Sequence[FeedRunResult]) -> tuple[TankFeed, ...]:
    programs = {run.id: run.openings for run in room.feeds}
    absence = room.longest_absence.value if room.longest_absence else None
    shares: dict[str, list[tuple[FeedRunResult, CubicMetrePerSecond]]] = {}
    for run in runs:
        flows: dict[str, float] = {}
        for outlet in run.outlets:
            flows[outlet.tank] = flows.get(outlet.tank, 0.0) + outlet.flow
        for name, flow in flows.items():
            shares.setdefault(name, []).append((run, flow))
    made = []
    for tank in room.tanks:
        if tank.id not in shares:
            continue
        parts = shares[tank.id]
        week = sum(flow * run.seconds_a_week for run, flow in parts)
        made.append(
            TankFeed(
                tank=tank.id,
                inflow=sum(flow for _, flow in parts),
                seconds_a_day=max(run.seconds_a_week for run, _ in parts) / 7.0,
                volume_a_day=week / 7.0,
                volume_a_week=week,
                replaced_a_day=_replaced(week / 7.0, tank),
                replaced_a_week=_replaced(week, tank),
                naive_a_week=week / tank.water_volume if tank.water_volume > 0.0 else 0.0,
                between_looks=sum(flow * between_looks(programs[run.run], room.looks) for run, flow in parts),
                in_absence=None
                if absence is None
                else sum(flow * in_absence(programs[run.run], absence) for run, flow in parts),
                overflows=tank.overflow is not None,
            )
        )
    return tuple(made)


def _replaced(volume: CubicMetre, tank: Tank) -> Dimensionless | None:
    try:
        return water_replaced(inflow_volume=volume, tank_volume=tank.water_volume)
    except OutsideValidRange:
        return None


def _peaks(room: Room, runs: Sequence[FeedRunResult]) -> tuple[SourcePeak, ...]:
    plans = {run.id: run for run in room.feeds}
    made = []
    for source in dict.fromkeys(run.source for run in runs):
        drawn = [run for run in runs if run.source == source]
        plan = plans[drawn[0].run]
        flow = most_at_once([(plans[run.run].openings, run.total_flow) for run in drawn])
        most = plan.source_flow if plan.source_kind == "water point" else None
        made.append(
            SourcePeak(
                source=source,
                flow=flow or max(run.total_flow for run in drawn),
                most=most.value if most else None,
                volume_a_day=sum(run.volume_a_day for run in drawn),
                volume_a_week=sum(run.volume_a_week for run in drawn),
                stored=plan.vat_volume.value if plan.vat_volume else None,
            )
        )
    return tuple(made)
