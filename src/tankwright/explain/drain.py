"""The working behind the drain's numbers: heads, capacities, depths, times to spill."""

from __future__ import annotations

from collections.abc import Iterator

from tankwright.explain.model import Input, Working
from tankwright.finding import Number
from tankwright.origin import Known
from tankwright.room.model import DrainRun, Room, Tank
from tankwright.systems.drain import DrainResult, DrainRunResult, TankDrain
from tankwright.systems.drain_tanks import HOSE_LOSSES

MOUTH = "EN 12056-3:2000 outlet formulas, from memory; circular weir integral, textbook"
HOSE = "energy equation with Darcy-Weisbach friction, as in Crane TP-410"
MANNING = "Manning's formula, V. T. Chow (1959), Open-Channel Hydraulics"


def workings_drain(room: Room, result: DrainResult) -> Iterator[Working]:
    """Workings named "A3.overflow_head", "A3.overflow_capacity", "A3.spill", "drain.main.depth" ..."""
    tanks = {tank.id: tank for tank in room.tanks}
    for one in result.tanks:
        yield from _tank(tanks[one.tank], one)
    runs = {run.id: run for run in room.drains}
    for solved in result.runs:
        yield from _run(runs[solved.run], solved)


def _given(name: str, known: Known, dimension: str) -> Input:
    return Input(name=name, number=Number(known.value, dimension), known=known)


def _found(name: str, value: float, dimension: str, see: str = "") -> Input:
    return Input(name=name, number=Number(value, dimension), see=see)


def _tank(tank: Tank, one: TankDrain) -> Iterator[Working]:
    overflow, hose = tank.overflow, tank.hose
    inflow = _found("feed at full flow", one.inflow, "flow", f"{one.tank}.feed")
    if overflow is not None and one.head is not None:
        yield Working(
            name=f"{one.tank}.overflow_head",
            title="water over the lip while the feed is on",
            number=Number(one.head, "length"),
            formula="the head at which the lesser of weir and orifice (turned: the integral over the wetted "
            "mouth), times the open share, equals the feed",
            inputs=(
                inflow,
                _given("bore of the mouth", overflow.bore, "length"),
                _found("turn of the elbow from straight up", overflow.angle, "angle"),
                _given("open share of the strainer", overflow.open_share, "share"),
            ),
            source=MOUTH,
            note="below about 3 mm surface tension holds the water 2 to 5 mm over the lip instead",
        )
    if overflow is not None and hose is not None and one.capacity is not None:
        yield Working(
            name=f"{one.tank}.overflow_capacity",
            title="flow the overflow passes before water reaches the rim",
            number=Number(one.capacity, "flow"),
            formula="the lesser of the mouth with water at the rim, and the full hose: "
            "V^2 / 2g (1 + sum K + f L / d) = rim less hose end",
            inputs=(
                _found("mouth at the rim", one.mouth_flow or 0.0, "flow"),
                _found("full hose", one.hose_flow or 0.0, "flow"),
                _found("freeboard", one.freeboard, "length"),
                _found("rim less hose end", (one.fall or 0.0) + one.freeboard, "length"),
                _given("bore of the hose", hose.bore, "length"),
                _given("length of the hose", hose.length, "length"),
                _found("sum of loss coefficients", HOSE_LOSSES, "number"),
            ),
            source=f"{MOUTH}; {HOSE}",
            note="a siphon that has caught may take more for a while; do not count on it",
        )
    if one.seconds_to_spill is not None:
        yield Working(
            name=f"{one.tank}.spill",
            title="time of feed until it runs over with its overflow blocked",
            number=Number(one.seconds_to_spill, "duration"),
            formula="room under the rim over feed",
            inputs=(
                _found("room under the rim", one.freeboard_volume, "volume"),
                inflow,
                _found("comes in between two looks", one.fill_between_looks, "volume"),
            ),
            source="volume over flow",
        )


def _run(run: DrainRun, solved: DrainRunResult) -> Iterator[Working]:
    pipe = (
        _given("bore", run.bore, "length"),
        _given("Manning's n", run.manning_n, "number"),
    )
    for case in solved.cases:
        wet = [one for one in case.segments if one.flow > 0.0]
        if not wet:
            continue
        worst = max(wet, key=lambda one: 1.0 if one.share is None else one.share)
        kind = "depth" if case.kind == "feed" else f"depth.{case.name}"
        flow = _found("flow", worst.flow, "flow", f"drain.{run.id}.flow")
        slope = _found("fall of this piece", worst.slope, "slope")
        if worst.depth is not None:
            yield Working(
                name=f"drain.{run.id}.{kind}",
                title=f"depth at {worst.start}, the fullest piece ({case.name})",
                number=Number(worst.depth, "length"),
                formula="Q = A R^(2/3) S^(1/2) / n for the depth, or a level pool where water stands back",
                inputs=(flow, slope, *pipe),
                source=MANNING,
                note="by Colebrook and White with a wall of 0.06 mm the depth differs by a few per cent",
            )
        else:
            yield Working(
                name=f"drain.{run.id}.{kind}",
                title=f"height of the pressure line over the pipe's crown at its worst ({case.name})",
                number=Number(case.surcharge, "length"),
                formula="level below, plus (Q n / (A R^(2/3)))^2 L of every drowned piece",
                inputs=(flow, slope, *pipe),
                source=MANNING,
                note="losses at tees and velocity heads are left out",
            )
    feed = solved.cases[0]
    yield Working(
        name=f"drain.{run.id}.flow",
        title="flow at the outfall with the feed at full",
        number=Number(feed.outfall_flow, "flow"),
        formula="sum of what every tank's hose brings",
        inputs=tuple(_found(tank, flow, "flow", f"{tank}.feed") for tank, flow in feed.reaching),
        source="conservation of volume",
    )
    if solved.half_full_flow is not None and solved.least_slope is not None:
        yield Working(
            name=f"drain.{run.id}.half_full",
            title="what its flattest piece carries half full",
            number=Number(solved.half_full_flow, "flow"),
            formula="Q = A R^(2/3) S^(1/2) / n",
            inputs=(_found("least fall", solved.least_slope, "slope"), *pipe),
            source=MANNING,
        )
    spill = solved.first_spill
    if spill is not None:
        yield Working(
            name=f"drain.{run.id}.first_spill",
            title=f"flow into {spill.dump_in} at which {spill.spills} runs over",
            number=Number(spill.flow, "flow"),
            formula="the flow into one tank, the others at their feed, that just reaches a rim (bisection)",
            inputs=pipe,
            source=f"{MANNING}; {HOSE}",
            note="open pieces count as brim-full, which errs to the low side",
        )
