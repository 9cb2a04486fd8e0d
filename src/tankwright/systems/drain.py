"""The drain of a room: from every lip through its hose and the shared sloped pipe to the outfall.

Tanks are worked out one by one (`drain_tanks`), each run under every load its owner named (`drain_cases`,
`drain_levels`), and all runs of an outfall together. Inflows are continuous and at the same time, so they are
added; the root-sum rules for household fixtures do not apply to a timer that opens every dripper at once.
"""

from __future__ import annotations

from collections.abc import Mapping

from tankwright.physics.channels import part_full_flow_colebrook
from tankwright.physics.ranges import OutsideValidRange
from tankwright.room.model import DrainRun, DumpEvent, Room
from tankwright.systems.drain_cases import Load, Run, first_spill, first_spill_evenly, run_of, solve_case
from tankwright.systems.drain_levels import CLEAN_PLASTIC_ROUGHNESS, FLATTEST, STEEPEST, Sloped, sloped
from tankwright.systems.drain_model import (
    DrainCase,
    DrainResult,
    DrainRunResult,
    Emptying,
    FirstSpill,
    OutfallLoad,
    SegmentState,
    Spill,
    TankDrain,
)
from tankwright.systems.drain_tanks import (
    Filling,
    Way,
    hose_end,
    overflow_head,
    programs_by_tank,
    tank_drain,
    way_out,
)
from tankwright.units import CubicMetre, CubicMetrePerSecond

__all__ = ["DrainCase", "DrainResult", "DrainRunResult", "Emptying", "FirstSpill", "OutfallLoad",
           "SegmentState", "Spill", "TankDrain", "solve_drain"]  # fmt: skip

FEED = "feed at full flow"
_Missing = list[tuple[str, str]]


def solve_drain(
    room: Room,
    inflows: Mapping[str, CubicMetrePerSecond],
    fill_between_looks: Mapping[str, CubicMetre],
) -> DrainResult:
    """Work out every overflow, hose, drain run and outfall.

    Args:
        inflows: flow into each tank while the feed runs at full, m3/s; tanks not named get nothing.
        fill_between_looks: volume that comes into each tank between two looks, m3.

    Raises nothing: what cannot be worked out is named in `not_computed`.

    Source: see `physics.channels`, `physics.mouths`, `physics.pipes`.

    >>> solve_drain(Room(title="", display="metric", spaces=(), racks=(), tanks=()), {}, {}).runs
    ()
    """
    missing: _Missing = []
    inflows = {tank: flow for tank, flow in inflows.items() if flow > 0.0}
    ways: dict[str, Way] = {}
    tanks = _tanks(room, inflows, fill_between_looks, ways, missing)
    heights = {outfall.id: outfall.place[2] for outfall in room.outfalls}
    by_drain: dict[str, list[Way]] = {}
    for way in ways.values():
        by_drain.setdefault(way.drain, []).append(way)
    runs = []
    for run in room.drains:
        here = by_drain.get(run.id, [])
        elsewhere = frozenset(ways) - {way.tank for way in here}
        result = _run(run, heights.get(run.outfall), here, elsewhere, inflows, missing)
        if result is not None:
            runs.append(result)
    return DrainResult(
        tanks=tanks, runs=tuple(runs), outfalls=_outfalls(room, runs), not_computed=tuple(missing)
    )


def _tanks(
    room: Room,
    inflows: Mapping[str, float],
    between: Mapping[str, float],
    ways: dict[str, Way],
    missing: _Missing,
) -> tuple[TankDrain, ...]:
    programs = programs_by_tank(room)
    crowns = {(run.id, node.id): node.place[2] + run.bore.value for run in room.drains for node in run.nodes}
    absence = room.longest_absence.value if room.longest_absence is not None else None
    found = []
    for tank in room.tanks:
        filling = Filling(
            inflow=inflows.get(tank.id, 0.0),
            between_looks=between.get(tank.id, 0.0),
            programs=programs.get(tank.id, ()),
            absence=absence,
        )
        way = head = None
        end = hose_end(tank, crowns)
        try:
            way = way_out(tank, end)
            if way is not None:
                way.capacity()  # outside the range of the hose formula, the tank has no way out
                ways[tank.id] = way
            head = overflow_head(tank, filling.inflow)
            result = tank_drain(tank, way, filling, head=head, end=end)
        except OutsideValidRange as outside:
            missing.append((f"tank {tank.id}", f"its overflow: {outside}"))
            ways.pop(tank.id, None)
            result = tank_drain(tank, None, filling, head=None, end=end)
        found.append(result)
    return tuple(found)


def _run(
    run: DrainRun,
    outfall_height: float | None,
    ways: list[Way],
    elsewhere: frozenset[str],
    inflows: Mapping[str, float],
    missing: _Missing,
) -> DrainRunResult | None:
    subject = f"drain {run.id}"
    if len(run.nodes) < 2:
        missing.append((subject, "it has no pipe: fewer than two points are known"))
        return None
    if outfall_height is None:
        missing.append((subject, f'its outfall "{run.outfall}" is not in the plan; a free end is taken'))
        outfall_height = float("-inf")
    try:
        pipe = sloped(run, outfall_height)
        whole = run_of(pipe, ways)
        for way in ways:
            if way.node not in whole.index:
                missing.append((f"tank {way.tank}", f"its hose ends at no point of {subject}"))
        return _solve_run(run, whole, elsewhere, inflows, missing)
    except OutsideValidRange as outside:
        missing.append((subject, str(outside)))
        return None


def _solve_run(
    run: DrainRun,
    whole: Run,
    elsewhere: frozenset[str],
    inflows: Mapping[str, float],
    missing: _Missing,
) -> DrainRunResult:
    pipe = whole.pipe
    own = {way.tank: inflows[way.tank] for way in whole.ways if way.tank in inflows}
    cases = [solve_case(whole, Load(name=FEED, kind="feed", inflows=own))]
    for event in run.events:
        if event.hose_in in elsewhere:
            reason = f'"{event.name}": the hose of tank {event.hose_in} runs into another drain'
            missing.append((f"drain {run.id}", reason))
            continue
        cases += _event_cases(run, event, whole, own, missing)
    for case in cases:
        if not case.settled:
            missing.append((f"drain {run.id}", f'"{case.name}": flows and levels did not come to agree'))
    falling = [slope for slope, length in zip(pipe.slopes, pipe.lengths, strict=True) if length > 0.0]
    least = min(falling, default=None)
    half, half_colebrook, full = _capacities(pipe, least)
    return DrainRunResult(
        run=run.id,
        tanks=tuple(way.tank for way in whole.ways),
        length=sum(pipe.lengths),
        least_slope=least,
        half_full_flow=half,
        half_full_flow_colebrook=half_colebrook,
        full_flow=full,
        cases=tuple(cases),
        first_spill=first_spill(whole, own),
        first_spill_evenly=first_spill_evenly(whole),
    )


def _event_cases(
    run: DrainRun, event: DumpEvent, whole: Run, feed: Mapping[str, float], missing: _Missing
) -> list[DrainCase]:
    """An event by itself, and together with the feed."""
    subject = f"drain {run.id}"
    extra: dict[str, float] = {}
    if event.hose_in is not None:
        if event.hose_flow is None:
            missing.append((subject, f'"{event.name}": what the hose gives is not said'))
            return []
        extra[event.hose_in] = event.hose_flow.value
    connected = {way.tank for way in whole.ways}
    pulled = frozenset(tank for tank in event.pulled if tank in connected)
    for tank in event.pulled:
        if tank not in connected:
            missing.append((subject, f'"{event.name}": tank {tank} has no hose into this drain'))
    if not extra and not pulled:
        return []
    both = {tank: feed.get(tank, 0.0) + extra.get(tank, 0.0) for tank in {**feed, **extra}}
    loads = [Load(name=event.name, kind="dump", inflows=extra, pulled=pulled)]
    if feed:
        name = f"{event.name}, {FEED}"
        loads.append(Load(name=name, kind="feed and dump", inflows=both, pulled=pulled))
    return [solve_case(whole, load) for load in loads]


def _capacities(pipe: Sloped, least: float | None) -> tuple[float | None, float | None, float | None]:
    """Flow of the flattest piece half full by Manning and by Colebrook, and full; None when it does not
    fall."""
    if least is None or least < FLATTEST:
        return None, None, None
    index = pipe.slopes.index(least)
    half: float | None = None
    try:
        half = part_full_flow_colebrook(
            inner_diameter=pipe.bore,
            slope=min(least, STEEPEST),
            depth_share=0.5,
            roughness=CLEAN_PLASTIC_ROUGHNESS,
        )
    except OutsideValidRange:
        half = None
    return 0.5 * pipe.full[index], half, pipe.full[index]


def _outfalls(room: Room, runs: list[DrainRunResult]) -> tuple[OutfallLoad, ...]:
    """All runs of each outfall, together: feeds added, and the worst single event on top."""
    ends = {run.id: run.outfall for run in room.drains}
    loads = []
    for outfall in room.outfalls:
        here = [run for run in runs if ends.get(run.run) == outfall.id]
        feed = sum(run.cases[0].outfall_flow for run in here)
        worst, name = feed, FEED
        for run in here:
            for case in run.cases[1:]:
                others = feed - run.cases[0].outfall_flow
                total = case.outfall_flow + (others if case.kind == "feed and dump" else 0.0)
                if total > worst:
                    worst, name = total, case.name
        loads.append(
            OutfallLoad(
                outfall=outfall.id,
                feed_flow=feed,
                worst_flow=worst,
                worst_case=name,
                capacity=outfall.capacity.value if outfall.capacity is not None else None,
            )
        )
    return tuple(loads)
