"""Judgement on the air: does every tank get what it needs, does the pump like it, does water come back."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator

from tankwright.checks.air_ring import air_runs_slowly_enough, ring_loses_little, room_for_more_taps
from tankwright.checks.air_safety import check_air_safety
from tankwright.checks.air_shared import SHORT, SOLVED, fed_taps, rests_on
from tankwright.finding import Finding, Number, Severity
from tankwright.room.model import AirRun, Room
from tankwright.systems.air_model import AirResult, AirRunResult

VERY_SHORT = 0.5
SPARE_SHARE = 0.2
UNEVEN = 2.0


def check_air(room: Room, result: AirResult) -> tuple[Finding, ...]:
    """Everything there is to say about the air of a room.

    >>> check_air(Room(title="", display="metric", spaces=(), racks=(), tanks=()), AirResult())
    ()
    """
    return tuple(_all(room, result))


def _all(room: Room, result: AirResult) -> Iterator[Finding]:
    yield from every_run_is_computed(room, result)
    yield from every_tank_has_a_tap(room, result)
    runs = {run.id: run for run in room.airs}
    for solved in result.runs:
        run = runs[solved.run]
        yield from every_tap_is_reached(run, solved)
        yield from ring_overcomes_the_water(run, solved)
        yield from tanks_get_what_they_need(run, solved)
        yield from pump_stays_within_its_limits(run, solved)
        yield from curve_covers_the_working_point(run, solved)
        yield from every_running_pump_gives_air(run, solved)
        yield from set_taps_leave_the_pump_a_way_out(run, solved)
        yield from little_air_is_let_off(run, solved)
        yield from relief_stays_shut(run, solved)
        yield from taps_share_evenly(run, solved)
        yield from ring_loses_little(run, solved)
        yield from air_runs_slowly_enough(run, solved)
        yield from room_for_more_taps(run, solved)
        yield from check_air_safety(room, run, solved)


def every_run_is_computed(room: Room, result: AirResult) -> Iterator[Finding]:
    """AIR-10: no run was left out."""
    lines = {f"air {run.id}": run.line for run in room.airs}
    for subject, reason in result.not_computed:
        yield Finding(
            code="AIR-10",
            severity=Severity.NOT_COMPUTED,
            subject=subject,
            text=f"was not computed: {reason}",
            reason="what is not computed is not fine; the tanks on this run are not judged",
            remedy="give the pump's curve as pressures and flows, from free flow upwards, and join every "
            "pipe",
            line=lines.get(subject),
        )


def every_tank_has_a_tap(room: Room, result: AirResult) -> Iterator[Finding]:
    """AIR-13: every tank has air, if any has."""
    if room.airs and result.without_air:
        turned = {
            tap.tank for run in room.airs for tap in run.taps if tap.opening is not None and not tap.open
        }
        shut = [name for name in result.without_air if name in turned]
        others = "the others" if shut else "these tanks"
        given = "open the taps that are shut" if shut else ""
        if len(shut) < len(result.without_air):
            given += (", " if shut else "") + f"give {others} a tap"
        yield Finding(
            code="AIR-13",
            severity=Severity.WARNING,
            subject="air",
            text="reaches all tanks but {count}: " + _some(result.without_air),
            numbers=(("count", Number(len(result.without_air), "number")),),
            reason="a tank without air has only its surface and whatever filter hangs in it",
            remedy=f"{given}, or leave it if they are meant to stand still",
            places=result.without_air,
        )


def every_tap_is_reached(run: AirRun, solved: AirRunResult) -> Iterator[Finding]:
    """AIR-14: every tap hangs on pipe that leads to a pump."""
    cut_off = [tap for tap in solved.taps if not tap.reached]
    if cut_off:
        yield Finding(
            code="AIR-14",
            severity=Severity.PROBLEM,
            subject=f"air {run.id}",
            text="no pipe leads from the pump to {count} of its taps",
            numbers=(("count", Number(len(cut_off), "number")),),
            reason="a tap on pipe that is joined to nothing gives nothing",
            remedy="join the pipe",
            places=tuple(tap.tank or tap.tap for tap in cut_off),
            line=run.line,
        )


def ring_overcomes_the_water(run: AirRun, solved: AirRunResult) -> Iterator[Finding]:
    """AIR-02: the ring holds more pressure than the water over every diffuser."""
    silent = [tap for tap in fed_taps(solved) if tap.reached and tap.flow <= 0.0]
    if not silent:
        return
    worst = max(silent, key=lambda tap: tap.depth_pressure + tap.valve_loss - (tap.ring_pressure or 0.0))
    standing = worst.depth_pressure + worst.valve_loss
    ring = worst.ring_pressure or 0.0
    yield Finding(
        code="AIR-02",
        severity=Severity.PROBLEM,
        subject=f"air {run.id}",
        text=f"{{count}} of its tanks get no air at all; at {worst.tank} the ring holds {{ring}} "
        "and the water over the diffuser needs {standing}",
        numbers=(
            ("count", Number(len(silent), "number")),
            ("ring", Number(ring, "pressure")),
            ("standing", Number(standing, "pressure")),
        ),
        value=Number(ring, "pressure"),
        limit=Number(standing, "pressure"),
        reason="air takes the easiest way: open taps and shallow tanks hold the ring below the pressure "
        "of deep water",
        remedy=_remedy_for_pressure(solved),
        source="hydrostatics; " + SOLVED,
        line=run.line,
        places=tuple(dict.fromkeys(tap.tank or "" for tap in silent)),
        rests_on=rests_on(run, solved),
    )


def tanks_get_what_they_need(run: AirRun, solved: AirRunResult) -> Iterator[Finding]:
    """AIR-01: every tank gets at least nine tenths of the air it needs."""
    short = [tap for tap in fed_taps(solved) if tap.flow > 0.0 and (tap.share or 0.0) < SHORT]
    if not short:
        return
    worst = min(short, key=lambda tap: tap.share or 0.0)
    share = worst.share or 0.0
    can_be_set = all(
        (tap.set_flow or 0.0) >= SHORT * (tap.wanted or 0.0) for tap in short if tap.wanted is not None
    )
    remedy = "turn the other taps back: set as listed for this run, the pump gives every tank its share"
    if worst.stands_open < 1.0 and (worst.ring_pressure or 0.0) >= (worst.needed_pressure or 0.0):
        remedy = f"open the tap of {worst.tank} wider: the ring holds what it needs fully open"
    yield Finding(
        code="AIR-01",
        severity=Severity.PROBLEM if share < VERY_SHORT else Severity.WARNING,
        subject=f"air {run.id}",
        text=f"{{count}} of its tanks get less air than they need; {worst.tank} gets {{flow}} of "
        f"{{wanted}}, {{share}}",
        numbers=(
            ("count", Number(len(short), "number")),
            ("flow", Number(worst.flow, "air_flow")),
            ("wanted", Number(worst.wanted or 0.0, "air_flow")),
            ("share", Number(share, "share")),
        ),
        value=Number(share, "share"),
        limit=Number(SHORT, "share"),
        reason="a filter driven by air moves less water with less air, and the fish breathe what it moves",
        remedy=remedy if can_be_set else "fewer or shallower tanks on this pump, or a stronger pump",
        source=SOLVED,
        line=run.line,
        places=tuple(dict.fromkeys(tap.tank or "" for tap in short)),
        rests_on=rests_on(run, solved),
    )


def pump_stays_within_its_limits(run: AirRun, solved: AirRunResult) -> Iterator[Finding]:
    """AIR-03: every pump works at a pressure its maker allows for long running."""
    for work in solved.pumps:
        if work.highest is not None and work.pressure > work.highest:
            yield Finding(
                code="AIR-03",
                severity=Severity.PROBLEM,
                subject=f"pump {work.pump}",
                text="works at {pressure}, above the {highest} its maker allows; let off {bleed} to bring "
                "it down",
                numbers=(
                    ("pressure", Number(work.pressure, "pressure")),
                    ("highest", Number(work.highest, "pressure")),
                    ("bleed", Number(solved.bleed, "air_flow")),
                ),
                value=Number(work.pressure, "pressure"),
                limit=Number(work.highest, "pressure"),
                reason="a pump held above its pressure runs hot and its diaphragm or piston wears",
                remedy="open spare taps or a bleed for {bleed}, or fit a relief valve that opens below "
                "{highest}",
                source="the pump's stated limit; " + SOLVED,
                line=run.line,
                rests_on=rests_on(run, solved),
            )
        if work.lowest is not None and work.pressure < work.lowest:
            yield Finding(
                code="AIR-03",
                severity=Severity.WARNING,
                subject=f"pump {work.pump}",
                text="works at {pressure}, below the {lowest} its maker asks for",
                numbers=(
                    ("pressure", Number(work.pressure, "pressure")),
                    ("lowest", Number(work.lowest, "pressure")),
                ),
                value=Number(work.pressure, "pressure"),
                limit=Number(work.lowest, "pressure"),
                reason="some pumps lean on a least back pressure",
                remedy="turn taps back, shut spare ones",
                source="the pump's stated limit; " + SOLVED,
                line=run.line,
                rests_on=rests_on(run, solved),
            )


def curve_covers_the_working_point(run: AirRun, solved: AirRunResult) -> Iterator[Finding]:
    """AIR-04: the working point lies between the points of the pump's curve."""
    for work in solved.pumps:
        if not work.extrapolated:
            continue
        above = work.pressure > work.curve_highest
        end, word = (work.curve_highest, "ends") if above else (work.curve_lowest, "begins")
        yield Finding(
            code="AIR-04",
            severity=Severity.WARNING,
            subject=f"pump {work.pump}",
            text=f"works at {{pressure}}, outside its curve, which {word} at {{end}}: the result is extrapolated",
            numbers=(("pressure", Number(work.pressure, "pressure")), ("end", Number(end, "pressure"))),
            value=Number(work.pressure, "pressure"),
            limit=Number(end, "pressure"),
            reason="beyond its last point the curve was carried on as a straight line, which is a guess",
            remedy="ask the maker for the missing point, or "
            + ("open" if above else "shut")
            + " taps until the pressure lies on the curve",
            line=run.line,
            rests_on=rests_on(run, solved),
        )


def every_running_pump_gives_air(run: AirRun, solved: AirRunResult) -> Iterator[Finding]:
    """AIR-20: of several pumps on one run none is held shut by the others."""
    for work in solved.pumps:
        if work.flow > 0.0 or len(solved.pumps) < 2:
            continue
        yield Finding(
            code="AIR-20",
            severity=Severity.WARNING,
            subject=f"pump {work.pump}",
            text="gives nothing: the other pumps hold the ring at {pressure}, and its curve ends at {end}",
            numbers=(
                ("pressure", Number(work.pressure, "pressure")),
                ("end", Number(work.curve_highest, "pressure")),
            ),
            value=Number(work.pressure, "pressure"),
            limit=Number(work.curve_highest, "pressure"),
            reason="a weak pump beside a strong one runs hot, and without a check valve the air of the ring "
            "leaves through it",
            remedy="pumps of one kind on one ring, or a ring of its own for each; a check valve at every pump",
            source=SOLVED,
            line=run.line,
            rests_on=rests_on(run, solved),
        )


def set_taps_leave_the_pump_a_way_out(run: AirRun, solved: AirRunResult) -> Iterator[Finding]:
    """AIR-05: with every tap turned to its target, the pump still has somewhere to send its air."""
    settled = solved.settled
    if settled is None or run.relief is not None:
        return
    dead_end = settled.dead_end_pressure
    allowed = min((work.highest for work in solved.pumps if work.highest is not None), default=math.inf)
    if settled.bleed <= 0.0 and dead_end <= allowed:
        return
    needs = settled.bleed > 0.0
    by_curve = settled.limit_pressure < allowed  # the curve ends first: beyond it nobody said anything
    limit = settled.limit_pressure if needs else allowed
    yield Finding(
        code="AIR-05",
        severity=Severity.WARNING if needs else Severity.NOTE,
        subject=f"air {run.id}",
        text="once the taps are set to what the tanks need, {bleed} must be let off to hold the pump at "
        + ("{limit}, where its curve ends; " if by_curve else "{limit}; ")
        + "with all taps shut it would climb towards {dead_end}"
        if needs
        else "with all taps shut the pump would climb towards {dead_end}, above the {limit} it may work at",
        numbers=(
            ("bleed", Number(settled.bleed, "air_flow")),
            ("limit", Number(limit, "pressure")),
            ("dead_end", Number(dead_end, "pressure")),
        ),
        value=Number(settled.bleed, "air_flow"),
        limit=Number(0.0, "air_flow"),
        reason="a diaphragm pump with nowhere to send its air overheats; makers ask for a bleed left open",
        remedy="fit a bleed tap or a relief valve near the pump and leave {bleed} open"
        if needs
        else "never shut them all at once, or fit a relief valve near the pump",
        source="pump makers' instructions; the curve carried on past its last point; " + SOLVED,
        line=run.line,
        rests_on=rests_on(run, solved),
    )


def little_air_is_let_off(run: AirRun, solved: AirRunResult) -> Iterator[Finding]:
    """AIR-06: spare taps left open take little of the air."""
    if solved.total_flow <= 0.0 or solved.spare_flow <= SPARE_SHARE * solved.total_flow:
        return
    share = solved.spare_flow / solved.total_flow
    bleed = solved.settled.bleed if solved.settled else 0.0
    yield Finding(
        code="AIR-06",
        severity=Severity.WARNING,
        subject=f"air {run.id}",
        text="{count} taps left open to the room take {spare}, {share} of all the air",
        numbers=(
            ("count", Number(sum(1 for tap in solved.taps if tap.tank is None), "number")),
            ("spare", Number(solved.spare_flow, "air_flow")),
            ("share", Number(share, "share")),
            ("bleed", Number(bleed, "air_flow")),
        ),
        value=Number(share, "share"),
        limit=Number(SPARE_SHARE, "share"),
        reason="a tap open to the room has no water over it, so it takes many times what a tank takes",
        remedy="shut all but the {bleed} the pump needs let off"
        if bleed > 0.0
        else "shut them; the pump needs no bleed with the tanks' taps as they are",
        source=SOLVED,
        line=run.line,
        rests_on=rests_on(run, solved),
    )


def relief_stays_shut(run: AirRun, solved: AirRunResult) -> Iterator[Finding]:
    """AIR-16: the relief valve is shut in normal work."""
    if solved.relief_flow > 1e-9:
        yield Finding(
            code="AIR-16",
            severity=Severity.NOTE,
            subject=f"air {run.id}",
            text="its relief valve lets off {relief} all the time",
            numbers=(("relief", Number(solved.relief_flow, "air_flow")),),
            reason="air let off is power spent; it does no harm as long as every tank has its share",
            remedy="hang more taps on this run, or take a smaller pump",
            source=SOLVED,
            line=run.line,
        )


def taps_share_evenly(run: AirRun, solved: AirRunResult) -> Iterator[Finding]:
    """AIR-15: as the taps stand no tank takes more than twice another's share."""
    shares = {tap: tap.share or 0.0 for tap in fed_taps(solved) if tap.flow > 0.0}
    if len(shares) < 2:
        return
    most, least = max(shares, key=shares.__getitem__), min(shares, key=shares.__getitem__)
    ratio = shares[most] / shares[least]
    openings = [tap.opening for tap in fed_taps(solved) if tap.opening is not None]
    if ratio <= UNEVEN or not openings:
        return
    all_open = all(tap.stands_open >= 1.0 for tap in fed_taps(solved))
    yield Finding(
        code="AIR-15",
        severity=Severity.NOTE,
        subject=f"air {run.id}",
        text=("with every tap fully open " if all_open else "as the taps stand ")
        + f"{most.tank} gets {{ratio}} times the share of {least.tank}; to "
        f"give each "
        "its target the taps stand "
        + ("between {low} and {high} open" if max(openings) - min(openings) >= 0.01 else "some {high} open"),
        numbers=(
            ("ratio", Number(ratio, "number")),
            ("low", Number(min(openings), "share")),
            ("high", Number(max(openings), "share")),
        ),
        value=Number(ratio, "number"),
        limit=Number(UNEVEN, "number"),
        reason="depth decides: each centimetre of water asks for 98 Pa more"
        if all_open
        else "depth and how far a tap is open decide: each centimetre of water asks for 98 Pa more",
        remedy="set the taps from the deepest tank on; fixed small orifices in the tubes hold such a "
        "setting better",
        source=SOLVED,
        line=run.line,
        places=tuple(name for name in (most.tank, least.tank) if name),
        rests_on=rests_on(run, solved),
    )


def _remedy_for_pressure(solved: AirRunResult) -> str:
    if solved.spare_flow > 0.0:
        return "shut the taps left open to the room, then turn the shallow tanks' taps back"
    if all((tap.set_flow or 0.0) > 0.0 for tap in fed_taps(solved)):
        return "turn the shallow tanks' taps back until the deep ones bubble"
    return "raise the diffusers, or take a pump that holds more pressure"


def _some(names: Iterable[str], most: int = 6) -> str:
    listed = list(names)
    more = len(listed) - most
    return ", ".join(listed[:most]) + (f" and {more} more" if more > 0 else "")
