"""Judgement on what the air can do wrong: water coming back, a tube falling off, a quarantine joined."""

from __future__ import annotations

from collections.abc import Iterator

from tankwright.finding import Finding, Number, Severity
from tankwright.room.model import AirRun, Room
from tankwright.systems.air_model import AirRunResult

PRACTICE = "common practice, no source"
SIPHON = "hydrostatics and laminar flow in small tubes, good to some 20 %; a primed tube is taken"


def check_air_safety(room: Room, run: AirRun, solved: AirRunResult) -> Iterator[Finding]:
    """What one run can do wrong."""
    yield from water_stays_in_the_tanks(run, solved)
    yield from swing_stays_below_the_crest(run, solved)
    yield from one_fallen_tube_is_survived(run, solved)
    yield from stopped_pump_is_survived(run, solved)
    yield from quarantine_has_its_own_air(room, run)


def water_stays_in_the_tanks(run: AirRun, solved: AirRunResult) -> Iterator[Finding]:
    """AIR-07: when the air stops, no tank can empty itself into the ring."""
    running = [one for one in solved.run_back if one.certain]
    if not running:
        return
    worst = max(running, key=lambda one: one.volume)
    numbers = [
        ("count", Number(len(running), "number")),
        ("head", Number(worst.head, "length")),
        ("volume", Number(worst.volume, "volume")),
        ("all", Number(sum(one.volume for one in running), "volume")),
    ]
    pace = ""
    if worst.flow is not None:
        numbers.append(("flow", Number(worst.flow, "flow")))
        pace = ", at {flow} to begin with"
        if worst.time is not None:
            numbers.append(("time", Number(worst.time, "duration")))
            pace += ", most of it within {time}"
    keys = [
        law.key for tap in run.taps for law in (tap.tube_bore, tap.tube_length, tap.bore) if law and law.key
    ]
    yield Finding(
        code="AIR-07",
        severity=Severity.PROBLEM,
        subject=f"air {run.id}",
        text=f"water can run back through {{count}} tubes when the air stops: at {worst.tank} the tap "
        f"lies {{head}} "
        f"below the water and {{volume}} can leave{pace}; {{all}} in all",
        numbers=tuple(numbers),
        value=Number(worst.head, "length"),
        limit=Number(0.0, "length"),
        reason="the air leaves the tube, water fills it, and with the ring lower than the water it runs "
        "into the "
        "ring, the pump and whatever else is open",
        remedy="lift the ring above the highest water, pump likewise; a check valve in each tube is the "
        "second line",
        source=SIPHON + "; ring and pump above the water: " + PRACTICE,
        line=run.line,
        places=tuple(one.tank for one in running),
        rests_on=tuple(dict.fromkeys([*([run.height.key] if run.height.key else []), *keys])),
    )


def swing_stays_below_the_crest(run: AirRun, solved: AirRunResult) -> Iterator[Finding]:
    """AIR-17: with a pump below the water, the ring stands higher than the water can swing."""
    marginal = [one for one in solved.run_back if not one.certain]
    if not marginal:
        return
    worst = max(marginal, key=lambda one: one.swing - one.climb)
    yield Finding(
        code="AIR-17",
        severity=Severity.WARNING,
        subject=f"air {run.id}",
        text=f"a pump stands below the water and the ring only {{climb}} above it at {worst.tank}; when "
        f"the air "
        "stops, water swings up in the tube, by {swing} at the very most",
        numbers=(("climb", Number(worst.climb, "length")), ("swing", Number(worst.swing, "length"))),
        value=Number(worst.climb, "length"),
        limit=Number(worst.swing, "length"),
        reason="once a tube is full over its crest it siphons down to the pump; friction usually stops "
        "the swing "
        "before that, but nothing here proves it",
        remedy="a check valve in each of these tubes, or the pump above the water",
        source="frictionless column in a U-tube, an upper bound",
        line=run.line,
        places=tuple(one.tank for one in marginal),
        rests_on=tuple(key for key in (run.height.key,) if key),
    )


def one_fallen_tube_is_survived(run: AirRun, solved: AirRunResult) -> Iterator[Finding]:
    """AIR-18: a tube that falls off its tap does not take the air of the others."""
    fallen = next((case for case in solved.scenarios if case.name.startswith("one tube fallen")), None)
    before = {tap.tank for tap in solved.taps if tap.tank and (tap.share or 0.0) >= 0.5}
    hit = [name for name in fallen.below_half if name in before] if fallen else []
    if fallen is None or not hit:
        return
    yield Finding(
        code="AIR-18",
        severity=Severity.WARNING,
        subject=f"air {run.id}",
        text="one tube fallen off its tap brings {count} more tanks below half of their air; the pump falls "
        "to {pressure}",
        numbers=(
            ("count", Number(len(hit), "number")),
            ("pressure", Number(fallen.pump_pressure, "pressure")),
        ),
        reason="the open tap takes the easy way out of the ring",
        remedy="turn the taps back so that each lets only a little through, or fit a small fixed orifice "
        "before each tube",
        source="fixed orifices limit a broken outlet: a water-technology maker's learning pages",
        line=run.line,
        places=tuple(dict.fromkeys(hit)),
    )


def stopped_pump_is_survived(run: AirRun, solved: AirRunResult) -> Iterator[Finding]:
    """AIR-19: with one of several pumps stopped, or on the reserve, every tank still bubbles."""
    for case in solved.scenarios:
        if not case.name.startswith(("pump ", "reserve ")) or not case.starved:
            continue
        yield Finding(
            code="AIR-19",
            severity=Severity.WARNING,
            subject=f"air {run.id}, {case.name}",
            text="leaves {count} tanks without air",
            numbers=(("count", Number(len(case.starved), "number")),),
            reason="a second pump is there for the day the first one stops",
            remedy="a stronger reserve, or know which taps to shut on that day",
            line=run.line,
            places=tuple(dict.fromkeys(case.starved)),
        )


def quarantine_has_its_own_air(room: Room, run: AirRun) -> Iterator[Finding]:
    """AIR-12: a quarantine shares no air with other zones."""
    quarantine = {zone.id for zone in room.zones if zone.quarantine}
    served = {tap.tank for tap in run.taps if tap.tank is not None}
    inside = tuple(tank.id for tank in room.tanks if tank.id in served and tank.zone in quarantine)
    outside = [tank.id for tank in room.tanks if tank.id in served and tank.zone not in quarantine]
    if not inside or not outside:
        return
    yield Finding(
        code="AIR-12",
        severity=Severity.PROBLEM,
        subject=f"air {run.id}",
        text="serves {count} quarantine tanks together with {others} others",
        numbers=(("count", Number(len(inside), "number")), ("others", Number(len(outside), "number"))),
        reason="water that runs back, and wet air, go from tank to tank through a shared ring",
        remedy="a small pump of its own for the quarantine",
        source=PRACTICE,
        line=run.line,
        places=inside,
    )
