"""Checks on the shared drain: its fall, what it carries, what backs up, where it ends, and who shares it."""

from __future__ import annotations

import math
from collections.abc import Iterator

from tankwright.checks.drain_events import NEARLY_FULL, check_drain_events
from tankwright.checks.drain_floor import runs_lie_on_the_floor
from tankwright.checks.drain_tanks import check_drain_tanks, count, keys_of, subject_of, tank_by_name
from tankwright.finding import Finding, Number, Severity
from tankwright.room.model import DrainRun, OutfallPlace, Room
from tankwright.systems.drain import DrainResult, DrainRunResult

HALF_FULL = 0.5
"""Depth over bore up to which a drain vents itself along its top. Source: EN 12056-2:2000 system I (50 %), as
summarised in print."""

SELF_CLEANSING = 0.6
"""m/s, speed that keeps sewage solids moving. Source: common sewer practice, 0.6 to 0.75 m/s, from memory; no
figure for the mulm and snail shells of a fish room was found."""

LEAST_FALLS = ((0.0635, 1 / 48), (0.1524, 1 / 96), (float("inf"), 1 / 192))
"""(bore up to, least fall): 1/4, 1/8 and 1/16 inch in a foot. Source: IPC table 704.1 as printed in the
Chicago Plumbing Code, table 18-29-704.1."""

MANNING = "Manning's formula, V. T. Chow (1959), Open-Channel Hydraulics"


def check_drain(room: Room, result: DrainResult) -> tuple[Finding, ...]:
    """Everything there is to say about the drain, tanks first."""
    checks = (
        runs_fall,
        falls_are_enough_for_a_code,
        outfalls_lie_below_the_run,
        other_outfalls_can_be_reached,
        feed_runs_part_full,
        runs_breathe,
        outfalls_take_what_comes,
        sewers_are_named,
        quarantine_keeps_its_own_drain,
        feed_carries_mulm_along,
        runs_lie_on_the_floor,
    )
    findings = [*check_drain_tanks(room, result)]
    findings += [finding for check in checks for finding in check(room, result)]
    findings += check_drain_events(room, result)
    findings += [
        Finding(
            code="DRAIN-90",
            severity=Severity.NOT_COMPUTED,
            subject=subject,
            text=f"not worked out: {reason}",
            reason="a part of the drain is left out of the result, so nothing may be concluded for it",
            remedy="complete or correct this part of the plan",
        )
        for subject, reason in result.not_computed
    ]
    return tuple(findings)


def _pairs(room: Room, result: DrainResult) -> Iterator[tuple[DrainRun, DrainRunResult]]:
    runs = {run.id: run for run in room.drains}
    for solved in result.runs:
        yield runs[solved.run], solved


def _rests(run: DrainRun) -> tuple[str, ...]:
    return keys_of(run.bore, run.manning_n, run.fall)


def runs_fall(room: Room, result: DrainResult) -> Iterator[Finding]:
    """Every piece of every run falls towards its outfall."""
    for run, solved in _pairs(room, result):
        bad = [one for one in solved.cases[0].segments if one.length > 0.0 and one.slope < 1e-4]
        if not bad:
            continue
        worst = min(bad, key=lambda one: one.invert_start - one.invert_end)
        rise = worst.invert_end - worst.invert_start
        yield Finding(
            code="DRAIN-20",
            severity=Severity.PROBLEM,
            subject=f"drain {run.id}",
            text=("rises {rise}" if rise > 0.0 else "lies level") + f" from {worst.start} to {worst.end}",
            numbers=(
                ("rise", Number(rise, "length")),
                ("length", Number(worst.length, "length")),
                ("count", count(bad)),
            ),
            value=Number(worst.slope, "slope"),
            limit=Number(0.0, "slope"),
            reason="water stands in the low part, mulm settles and the pipe has no part-full capacity there",
            remedy="re-hang this piece so that it falls all the way, or lower the outfall",
            source=MANNING,
            line=run.line,
            places=(run.id, *(one.start for one in bad)),
            rests_on=_rests(run),
        )


def falls_are_enough_for_a_code(room: Room, result: DrainResult) -> Iterator[Finding]:
    """The fall is at least what one plumbing code asks of a drain of this size."""
    short: dict[Severity, list[tuple[float, float, float, DrainRun]]] = {}
    for run, solved in _pairs(room, result):
        slope = solved.least_slope
        least = next(fall for bore, fall in LEAST_FALLS if run.bore.value <= bore)
        if slope is None or slope < 1e-4 or slope >= least * (1.0 - 1e-3):
            continue
        severity = Severity.WARNING if slope < 0.5 * least else Severity.NOTE
        short.setdefault(severity, []).append((slope / least, slope, least, run))
    for severity, found in short.items():
        found.sort(key=lambda one: one[0])
        _, slope, least, run = found[0]
        yield Finding(
            code="DRAIN-21",
            severity=severity,
            subject=", ".join(f"drain {one[3].id}" for one in found),
            text="falls {slope} where it is flattest; one plumbing code asks for {least} at this bore",
            numbers=(
                ("slope", Number(slope, "slope")),
                ("least", Number(least, "slope")),
                ("count", count(found)),
            ),
            value=Number(slope, "slope"),
            limit=Number(least, "slope"),
            reason="a code's least fall is for waste water; a flat drain also shows every sag in its hangers",
            remedy="more fall if there is height for it; your local code and plumber decide",
            source="IPC table 704.1 as printed in the Chicago Plumbing Code, table 18-29-704.1",
            line=run.line,
            places=tuple(one[3].id for one in found),
            rests_on=_rests(run),
        )


def outfalls_lie_below_the_run(room: Room, result: DrainResult) -> Iterator[Finding]:
    """The outfall is no higher than the end of its run, and below every lip."""
    outfalls = {outfall.id: outfall for outfall in room.outfalls}
    tanks = tank_by_name(room)
    for run, solved in _pairs(room, result):
        outfall = outfalls.get(run.outfall)
        if outfall is None:
            continue
        rise = outfall.place[2] - run.nodes[-1].place[2]
        lips = [(overflow.lip, name) for name in solved.tanks if (overflow := tanks[name].overflow)]
        lowest = min(lips, default=None)
        if lowest is not None and outfall.place[2] >= lowest[0]:
            yield _outfall_too_high(
                run, outfall, code="DRAIN-23", limit=lowest[0], place=lowest[1],
                text="outfall {outfall} at {height} is not below the lip of {tank} at {limit}",
            )  # fmt: skip
        elif rise > 1e-3:
            yield _outfall_too_high(
                run, outfall, code="DRAIN-22", limit=run.nodes[-1].place[2], place=run.nodes[-1].id,
                text="ends at {limit}, below its outfall {outfall} at {height}",
            )  # fmt: skip


def _outfall_too_high(
    run: DrainRun, outfall: OutfallPlace, *, code: str, limit: float, place: str, text: str
) -> Finding:
    return Finding(
        code=code,
        severity=Severity.PROBLEM,
        subject=f"drain {run.id}",
        text=text.replace("{outfall}", outfall.id).replace("{tank}", place),
        numbers=(
            ("height", Number(outfall.place[2], "length")),
            ("limit", Number(limit, "length")),
        ),
        value=Number(outfall.place[2], "length"),
        limit=Number(limit, "length"),
        reason="water does not rise by itself to an outfall above it",
        remedy="a lower outfall, a higher drain, or a sump with a pump and a high-water alarm",
        line=outfall.line if outfall.line is not None else run.line,
        places=(run.id, outfall.id, place),
        rests_on=_rests(run),
    )


def other_outfalls_can_be_reached(room: Room, result: DrainResult) -> Iterator[Finding]:
    """DRAIN-36: the outfall a run can be turned to lies below the last point where all its water has come together.

    The way there is taken straight from that point, the last tee or corner before the run's own outfall.
    """
    outfalls = {outfall.id: outfall for outfall in room.outfalls}
    for run, _ in _pairs(room, result):
        other = outfalls.get(run.turned_to or "")
        if other is None:
            continue
        last = run.nodes[-2] if len(run.nodes) > 1 else run.nodes[-1]
        drop = last.place[2] - other.place[2]
        way = math.dist(last.place[:2], other.place[:2])
        least = next(fall for bore, fall in LEAST_FALLS if run.bore.value <= bore)
        if drop > 1e-3 and drop >= least * way * (1.0 - 1e-3):
            continue
        rises = drop <= 1e-3
        text = (
            f"cannot be turned to {other.id}: it lies at {{height}}, the drain at {{limit}} where the way parts"
            if rises
            else f"falls {{drop}} over {{way}} when it is turned to {other.id}; one plumbing code asks for {{least}}"
        )
        limit = last.place[2] if rises else last.place[2] - least * way
        yield Finding(
            code="DRAIN-36",
            severity=Severity.PROBLEM if rises else Severity.WARNING,
            subject=f"drain {run.id}",
            text=text,
            numbers=(
                ("height", Number(other.place[2], "length")),
                ("limit", Number(limit, "length")),
                ("drop", Number(drop, "length")),
                ("way", Number(way, "length")),
                ("least", Number(least, "slope")),
            ),
            value=Number(other.place[2], "length"),
            limit=Number(limit, "length"),
            reason="water does not rise by itself; turned that way it stands in the pipe and comes up elsewhere",
            remedy="a lower outfall, turn it off higher up the run, or a sump with a pump and a high-water alarm",
            source="geometry; least fall: IPC table 704.1 as printed in the Chicago Plumbing Code",
            line=run.line,
            places=(run.id, last.id, other.id),
            rests_on=_rests(run),
        )


def feed_runs_part_full(room: Room, result: DrainResult) -> Iterator[Finding]:
    """The feed at full flow fills no more than half the pipe."""
    for run, solved in _pairs(room, result):
        case = solved.cases[0]
        falling = [one for one in case.segments if one.slope >= 1e-4]
        full = [one for one in falling if one.surcharged]
        share = max((1.0 if one.share is None else one.share for one in falling), default=0.0)
        if share <= HALF_FULL:
            continue
        worst = max(falling, key=lambda one: 1.0 if one.share is None else one.share)
        text = (
            f"runs full while the feed is on: {{flow}} at {worst.start}, where it carries {{capacity}}"
            if full
            else f"stands {{share}} full at {worst.start} while the feed is on: {{flow}} of {{capacity}}"
        )
        yield Finding(
            code="DRAIN-24",
            severity=Severity.PROBLEM if full or share > NEARLY_FULL else Severity.WARNING,
            subject=f"drain {run.id}",
            text=text,
            numbers=(
                ("flow", Number(worst.flow, "flow")),
                ("capacity", Number(worst.greatest_flow, "flow")),
                ("share", Number(share, "share")),
            ),
            value=Number(share, "share"),
            limit=Number(HALF_FULL, "share"),
            reason="above half full, air no longer passes freely over the water, and hoses gulp and siphon",
            remedy="the next size of pipe, more fall, or feeding the racks one after another",
            source=MANNING,
            line=run.line,
            places=(run.id, worst.start),
            rests_on=_rests(run),
        )


def runs_breathe(room: Room, result: DrainResult) -> Iterator[Finding]:
    """Every run is open to the air at its top."""
    for run, solved in _pairs(room, result):
        if run.vented or not solved.tanks:
            continue
        shut = run.vented is False
        yield Finding(
            code="DRAIN-29",
            severity=Severity.WARNING if shut else Severity.NOTE,
            subject=f"drain {run.id}",
            text="has no vent at its top" if shut else "does not say whether its top is open to the air",
            numbers=(("count", count(solved.tanks)),),
            reason="a shut drain that runs full once sucks at every hose: one overflow siphons another",
            remedy="leave the top end open above the highest lip it serves, or the hoses loose in their tees",
            source="common practice, no source",
            line=run.line,
            places=(run.id, run.nodes[0].id),
        )


def outfalls_take_what_comes(room: Room, result: DrainResult) -> Iterator[Finding]:
    """Each outfall takes the feed, and the worst event, of all runs that end in it."""
    places = {outfall.id: outfall for outfall in room.outfalls}
    for load in result.outfalls:
        if load.capacity is None or load.worst_flow <= load.capacity:
            continue
        by_feed = load.feed_flow > load.capacity
        flow = load.feed_flow if by_feed else load.worst_flow
        yield Finding(
            code="DRAIN-30",
            severity=Severity.PROBLEM if by_feed else Severity.WARNING,
            subject=f"outfall {load.outfall}",
            text="takes {capacity} and gets {flow}" + ("" if by_feed else f" ({load.worst_case})"),
            numbers=(("capacity", Number(load.capacity, "flow")), ("flow", Number(flow, "flow"))),
            value=Number(flow, "flow"),
            limit=Number(load.capacity, "flow"),
            reason="what it does not take stands back into the drain and then onto the floor",
            remedy="feed the runs one after another, or lead one of them to another outfall",
            line=places[load.outfall].line,
            places=(load.outfall,),
            rests_on=keys_of(places[load.outfall].capacity),
        )


def sewers_are_named(room: Room, result: DrainResult) -> Iterator[Finding]:
    """A run to the sewer has a trap between the room and sewer air; every outfall says where it leads."""
    used = {name for run, _ in _pairs(room, result) for name in (run.outfall, run.turned_to)}
    outfalls = [outfall for outfall in room.outfalls if outfall.id in used]
    untrapped = [outfall for outfall in outfalls if _is_untrapped_sewer(outfall.to)]
    unsaid = [outfall for outfall in outfalls if outfall.to.lower() == "not said"]
    for found, severity, text in (
        (untrapped, Severity.WARNING, "leads to the sewer and no trap is named"),
        (unsaid, Severity.NOTE, "does not say where it leads"),
    ):
        if found:
            yield Finding(
                code="DRAIN-31",
                severity=severity,
                subject=", ".join(f"outfall {outfall.id}" for outfall in found),
                text=text,
                numbers=(("count", count(found)),),
                reason="sewer gas comes back through an open drain; salt and medicine harm a garden",
                remedy="a trap that stays wet, with an air gap before it; your local code and plumber decide",
                source="common practice, no source",
                line=found[0].line,
                places=tuple(outfall.id for outfall in found),
            )


def _is_untrapped_sewer(words: str) -> bool:
    words = words.lower()
    trapped = "trap" in words and not any(no in words for no in ("untrap", "no trap", "not trap"))
    return "sewer" in words and not trapped


def quarantine_keeps_its_own_drain(room: Room, result: DrainResult) -> Iterator[Finding]:
    """No quarantine tank shares a drain with others."""
    quarantines = {zone.id for zone in room.zones if zone.quarantine}
    tanks = tank_by_name(room)
    for run, solved in _pairs(room, result):
        inside = [name for name in solved.tanks if tanks[name].zone in quarantines]
        zones = {tanks[name].zone for name in solved.tanks}
        if not inside or len(zones) < 2:
            continue
        yield Finding(
            code="DRAIN-32",
            severity=Severity.WARNING,
            subject=f"drain {run.id}",
            text=f"takes quarantine ({subject_of(inside)}) together with other zones",
            numbers=(("count", count(inside)),),
            reason="a drain that backs up or splashes carries water from one tank's hose to another's",
            remedy="a drain of its own to the outfall, or its hoses last before the outfall, loose in tees",
            source="common practice, no source",
            line=run.line,
            places=(run.id, *inside),
        )


def feed_carries_mulm_along(room: Room, result: DrainResult) -> Iterator[Finding]:
    """The water moves fast enough somewhere in the day to carry solids."""
    slow = []
    for _, solved in _pairs(room, result):
        speeds = [
            max((case.segments[i].velocity or 0.0) for case in solved.cases)
            for i in range(len(solved.cases[0].segments))
        ]
        wet = [speed for speed in speeds if speed > 0.0]
        if wet and min(wet) < SELF_CLEANSING:
            slow.append((min(wet), solved.run))
    if slow:
        least = min(slow)
        yield Finding(
            code="DRAIN-33",
            severity=Severity.NOTE,
            subject=", ".join(f"drain {name}" for _, name in slow),
            text="the water never passes {speed} in its slowest piece; sewers are laid for {wanted}",
            numbers=(("speed", Number(least[0], "speed")), ("wanted", Number(SELF_CLEANSING, "speed"))),
            value=Number(least[0], "speed"),
            limit=Number(SELF_CLEANSING, "speed"),
            reason="mulm and snail shells stay lying; for aquarium water no published limit was found",
            remedy="a plug at the top end to flush it, and a bucket down it now and then",
            source="common sewer practice, from memory",
            places=tuple(name for _, name in slow),
        )
