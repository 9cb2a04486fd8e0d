"""Checks on how water leaves each tank: a way out, a fall, room under the rim, and time until it spills."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence

from tankwright.finding import Finding, Number, Severity
from tankwright.origin import Known
from tankwright.room.model import Room, SecondOverflow, Tank
from tankwright.systems.drain import DrainResult, TankDrain

CAPILLARY_HEAD = 2.7e-3
"""m, capillary length of water at room temperature: below it a weir formula says less than surface tension
does. Source: textbook, root of surface tension over weight."""

CAPILLARY_BAND = (2e-3, 5e-3)
"""m, how far water stands over a lip before it runs, whatever the flow. Common practice, no source."""

QUIET, FULL = 0.3, 1.0
"""Velocity over the root of g D at which a falling pipe begins to gulp, and to run full. Source: P. D. Hills,
Chemical Engineering, 5 September 1983."""

SECOND_WAY = (
    "a second way out: `second_overflow` with its lip under the rim and a hose of its own, or a float that shuts the "
    "feed (`float_cutoff`); or shorter runs, a lower lip, a guarded mouth, or a look more often"
)
WIDER_SECOND_WAY = (
    "a second overflow wide and low enough for the whole feed that leads into a pipe, or a float that shuts the feed "
    "(`float_cutoff`); or shorter runs, or a look more often"
)

OVERFLOW_SOURCE = "EN 12056-3:2000 outlet formulas, from memory; circular weir integral, textbook"
HOSE_SOURCE = "energy equation with Darcy-Weisbach friction, as in Crane TP-410"


def check_drain_tanks(room: Room, result: DrainResult) -> tuple[Finding, ...]:
    """Everything there is to say about overflows and hoses."""
    checks = (
        every_fed_tank_has_a_way_out,
        every_overflow_has_a_hose,
        hoses_fall,
        overflows_take_the_feed,
        feed_leaves_freeboard,
        water_stands_near_its_lip,
        blocked_overflow_lasts_until_seen,
        blocked_overflow_lasts_the_absence,
        hoses_run_quietly,
    )
    return tuple(finding for check in checks for finding in check(room, result))


def tank_by_name(room: Room) -> dict[str, Tank]:
    """Tanks by their id."""
    return {tank.id: tank for tank in room.tanks}


def keys_of(*values: Known | None) -> tuple[str, ...]:
    """Keys of the assumptions among the values, each once, in order."""
    return tuple(dict.fromkeys(value.key for value in values if value is not None and value.key))


def count(items: Sequence[object]) -> Number:
    """How many."""
    return Number(float(len(items)), "number")


def subject_of(names: Sequence[str]) -> str:
    """The tanks by name: one, up to four, or the first and how many more."""
    if len(names) == 1:
        return f"tank {names[0]}"
    if len(names) <= 4:
        return "tanks " + ", ".join(names)
    return f"tanks {names[0]} and {len(names) - 1} more"


def narrow_place(mouth: bool) -> str:
    """Why an overflow takes no more."""
    if mouth:
        return (
            "the mouth is the narrow place; a hose that has caught a siphon may draw more, do not count on it"
        )
    return "the hose is the narrow place"


def _overflow_keys(room: Room, names: Iterable[str]) -> tuple[str, ...]:
    tanks = tank_by_name(room)
    values: list[Known | None] = []
    for name in names:
        overflow, hose = tanks[name].overflow, tanks[name].hose
        if overflow is not None:
            values += [overflow.bore, overflow.open_share, overflow.level_known, overflow.reach]
        if hose is not None:
            values += [hose.bore, hose.length]
    return keys_of(*values)


def _line(room: Room, name: str) -> int | None:
    return tank_by_name(room)[name].line


def every_fed_tank_has_a_way_out(room: Room, result: DrainResult) -> Iterator[Finding]:
    """No water runs into a tank that has no overflow."""
    tanks = tank_by_name(room)
    shut = [one for one in result.tanks if one.inflow > 0.0 and tanks[one.tank].overflow is None]
    if not shut:
        return
    shut.sort(key=lambda one: (one.seconds_to_spill or 0.0, one.tank))
    worst = shut[0]
    yield Finding(
        code="DRAIN-02",
        severity=Severity.PROBLEM,
        subject=subject_of([one.tank for one in shut]),
        text=f"fed, but with no overflow: {worst.tank} runs over after {{volume}}, {{time}} of feed",
        numbers=(
            ("volume", Number(worst.freeboard_volume, "volume")),
            ("time", Number(worst.seconds_to_spill or 0.0, "duration")),
        ),
        reason="every litre that drips in must be able to leave",
        remedy="drill it and give it an overflow, or take it off the feed and change its water by hose",
        source="volume over flow",
        line=_line(room, worst.tank),
        places=tuple(one.tank for one in shut),
        rests_on=keys_of(tanks[worst.tank].level_known),
    )


def every_overflow_has_a_hose(room: Room, result: DrainResult) -> Iterator[Finding]:
    """Every overflow of a fed tank leads into a drain."""
    tanks = tank_by_name(room)
    loose = [
        one.tank
        for one in result.tanks
        if one.inflow > 0.0 and tanks[one.tank].overflow is not None and one.drain is None
    ]
    if loose:
        total = sum(one.inflow for one in result.tanks if one.tank in set(loose))
        yield Finding(
            code="DRAIN-01",
            severity=Severity.PROBLEM,
            subject=subject_of(loose),
            text="overflows onto the floor: no drain takes its {flow}",
            numbers=(("flow", Number(total, "flow")), ("count", count(loose))),
            reason="the overflow has no hose into any drain of the plan",
            remedy="name its rack under `behind` of a drain, or draw a drain that passes it",
            line=_line(room, loose[0]),
            places=tuple(loose),
        )


def hoses_fall(room: Room, result: DrainResult) -> Iterator[Finding]:
    """The drain lies below the lip, and below the hole the hose starts from."""
    connected = [one for one in result.tanks if one.fall is not None and one.bulkhead_fall is not None]
    high = sorted((one for one in connected if (one.fall or 0.0) <= 0.0), key=lambda one: one.fall or 0.0)
    if high:
        worst = high[0]
        yield Finding(
            code="DRAIN-03",
            severity=Severity.PROBLEM,
            subject=subject_of([one.tank for one in high]),
            text="its hose ends {rise} above its lip: nothing runs off before the tank is over its level",
            numbers=(("rise", Number(-(worst.fall or 0.0), "length")), ("count", count(high))),
            value=Number(-(worst.fall or 0.0), "length"),
            limit=Number(0.0, "length"),
            reason="water leaves only downhill; the drain stands higher than the water",
            remedy="lower the drain behind this shelf, or give these tanks a lower drain of their own",
            line=_line(room, worst.tank),
            places=tuple(one.tank for one in high),
            rests_on=_overflow_keys(room, [worst.tank]),
        )
    bowed = sorted(
        (one for one in connected if (one.fall or 0.0) > 0.0 and (one.bulkhead_fall or 0.0) < 0.0),
        key=lambda one: one.bulkhead_fall or 0.0,
    )
    if bowed:
        worst = bowed[0]
        yield Finding(
            code="DRAIN-04",
            severity=Severity.WARNING,
            subject=subject_of([one.tank for one in bowed]),
            text="its hose has to rise {rise} from the bulkhead to the drain, with {fall} left below the lip",
            numbers=(
                ("rise", Number(-(worst.bulkhead_fall or 0.0), "length")),
                ("fall", Number(worst.fall or 0.0, "length")),
                ("count", count(bowed)),
            ),
            reason="a hose that rises always stands full; mulm settles in it and air locks it",
            remedy="lower the drain below the bulkhead",
            source="common practice, no source",
            line=_line(room, worst.tank),
            places=tuple(one.tank for one in bowed),
            rests_on=_overflow_keys(room, [worst.tank]),
        )


def overflows_take_the_feed(room: Room, result: DrainResult) -> Iterator[Finding]:
    """The feed at full flow fits through every overflow and hose before water reaches the rim."""
    over = [
        one
        for one in result.tanks
        if one.capacity is not None and (one.fall or 0.0) > 0.0 and one.inflow > one.capacity
    ]
    if over:
        over.sort(key=lambda one: (one.capacity or 0.0) - one.inflow)
        worst = over[0]
        mouth = (worst.mouth_flow or 0.0) <= (worst.hose_flow or 0.0)
        yield Finding(
            code="DRAIN-05",
            severity=Severity.PROBLEM,
            subject=subject_of([one.tank for one in over]),
            text="gets {inflow} and its overflow takes only {capacity} before water reaches the rim",
            numbers=(
                ("inflow", Number(worst.inflow, "flow")),
                ("capacity", Number(worst.capacity or 0.0, "flow")),
                ("count", count(over)),
            ),
            value=Number(worst.inflow, "flow"),
            limit=Number(worst.capacity or 0.0, "flow"),
            reason=narrow_place(mouth),
            remedy="a wider mouth or a lower lip" if mouth else "a wider hose, or a drain further down",
            source=OVERFLOW_SOURCE if mouth else HOSE_SOURCE,
            line=_line(room, worst.tank),
            places=tuple(one.tank for one in over),
            rests_on=_overflow_keys(room, [worst.tank]),
        )


def feed_leaves_freeboard(room: Room, result: DrainResult) -> Iterator[Finding]:
    """At full feed at least half the freeboard stays."""
    low = [
        one
        for one in result.tanks
        if one.head is not None and one.head > 0.5 * one.freeboard and one.inflow <= (one.capacity or 0.0)
    ]
    if low:
        low.sort(key=lambda one: -(one.head or 0.0) / max(one.freeboard, 1e-9))
        worst = low[0]
        yield Finding(
            code="DRAIN-06",
            severity=Severity.WARNING,
            subject=subject_of([one.tank for one in low]),
            text="at full feed the water stands {head} over the lip, of {freeboard} up to the rim",
            numbers=(
                ("head", Number(worst.head or 0.0, "length")),
                ("freeboard", Number(worst.freeboard, "length")),
                ("count", count(low)),
            ),
            value=Number(worst.head or 0.0, "length"),
            limit=Number(0.5 * worst.freeboard, "length"),
            reason="a snail shell on the mouth is then enough to bring it to the rim",
            remedy="a wider mouth, a more open strainer, a lower lip or less feed",
            source=OVERFLOW_SOURCE,
            line=_line(room, worst.tank),
            places=tuple(one.tank for one in low),
            rests_on=_overflow_keys(room, [worst.tank]),
        )


def water_stands_near_its_lip(_room: Room, result: DrainResult) -> Iterator[Finding]:
    """Where the flow is a trickle, surface tension and not the formula sets the level."""
    trickle = [
        one for one in result.tanks if one.head is not None and one.inflow > 0.0 and one.head < CAPILLARY_HEAD
    ]
    if trickle:
        worst = max(trickle, key=lambda one: one.head or 0.0)
        yield Finding(
            code="DRAIN-07",
            severity=Severity.NOTE,
            subject=subject_of([one.tank for one in trickle]),
            text="water stands about {low} to {high} over the lip whatever the feed; the formula's {head} is "
            "less than surface tension holds up",
            numbers=(
                ("low", Number(CAPILLARY_BAND[0], "length")),
                ("high", Number(CAPILLARY_BAND[1], "length")),
                ("head", Number(worst.head or 0.0, "length")),
                ("count", count(trickle)),
            ),
            reason="at a trickle surface tension holds water up on the edge, and it leaves in gulps",
            remedy="set the lip by the real water level, a few millimetres lower than you want the water",
            source="common practice, no source",
            places=tuple(one.tank for one in trickle),
        )


def blocked_overflow_lasts_until_seen(room: Room, result: DrainResult) -> Iterator[Finding]:
    """What comes in between two looks is less than the freeboard holds, or there is a second way out."""
    short = [
        one
        for one in result.tanks
        if one.freeboard > 0.0 and one.drain is not None and one.spills_before_look
    ]
    if short:
        yield _blocked(
            room,
            short,
            code="DRAIN-08",
            severity=Severity.WARNING,
            span="between two looks" if room.looks else "in a day (the plan says no time when someone looks)",
            fills=lambda one: one.fill_between_looks,
        )


def blocked_overflow_lasts_the_absence(room: Room, result: DrainResult) -> Iterator[Finding]:
    """What comes in during the longest absence is less than the freeboard holds, or there is a second way out."""
    short = [
        one
        for one in result.tanks
        if one.freeboard > 0.0
        and one.drain is not None
        and one.spills_in_absence
        and not one.spills_before_look
    ]
    if short:
        finding = _blocked(
            room,
            short,
            code="DRAIN-09",
            severity=Severity.NOTE,
            span="during your longest absence",
            fills=lambda one: one.fill_in_absence or 0.0,
        )
        yield finding


def hoses_run_quietly(room: Room, result: DrainResult) -> Iterator[Finding]:
    """The feed runs down each hose with air beside it, without gulping."""
    loud = [one for one in result.tanks if one.hose_froude is not None and one.hose_froude > QUIET]
    if loud:
        loud.sort(key=lambda one: -(one.hose_froude or 0.0))
        worst = loud[0]
        full = (worst.hose_froude or 0.0) > FULL
        yield Finding(
            code="DRAIN-10",
            severity=Severity.NOTE,
            subject=subject_of([one.tank for one in loud]),
            text="the feed of {inflow} is more than its hose passes quietly ({quiet}): it "
            + ("runs full and siphons" if full else "gulps"),
            numbers=(
                ("inflow", Number(worst.inflow, "flow")),
                ("quiet", Number(worst.self_venting or 0.0, "flow")),
                ("count", count(loud)),
            ),
            value=Number(worst.inflow, "flow"),
            limit=Number(worst.self_venting or 0.0, "flow"),
            reason="above that flow air cannot pass the falling water and the hose pulses; a cautious limit",
            remedy="a wider hose, or live with the noise",
            source="P. D. Hills, Chemical Engineering, 5 September 1983",
            line=_line(room, worst.tank),
            places=tuple(one.tank for one in loud),
            rests_on=_overflow_keys(room, [worst.tank]),
        )


def _no_second_way(one: TankDrain, second: SecondOverflow, numbers: list[tuple[str, Number]]) -> str:
    """Why a second overflow does not keep the water off the floor."""
    if second.to == "floor":
        return "its second overflow runs onto the floor"
    if one.second_flow is None or one.second_flow >= one.inflow:
        return "its second overflow leads nowhere"
    numbers += [("second", Number(one.second_flow, "flow")), ("inflow", Number(one.inflow, "flow"))]
    return "its second overflow takes {second} below the rim and {inflow} comes in"


def _blocked(
    room: Room,
    short: Sequence[TankDrain],
    *,
    code: str,
    severity: Severity,
    span: str,
    fills: Callable[[TankDrain], float],
) -> Finding:
    short = sorted(short, key=lambda one: -fills(one) / max(one.freeboard_volume, 1e-12))
    worst = short[0]
    numbers = [
        ("fill", Number(fills(worst), "volume")),
        ("freeboard", Number(worst.freeboard_volume, "volume")),
        ("time", Number(worst.seconds_to_spill or 0.0, "duration")),
        ("count", count(short)),
    ]
    text = f"if its overflow blocks, {{fill}} comes in {span} and {{freeboard}} fits under the rim: over "
    text += "after {time} of feed"
    if worst.spill_run is not None and worst.spill_run > 1:
        numbers.append(("run", Number(float(worst.spill_run), "number")))
        text += ", in run {run} after it blocked"
    second, remedy = tank_by_name(room)[worst.tank].second_overflow, SECOND_WAY
    if second is not None:
        text += "; " + _no_second_way(worst, second, numbers)
        remedy = WIDER_SECOND_WAY
    return Finding(
        code=code,
        severity=severity,
        subject=subject_of([one.tank for one in short]),
        text=text,
        numbers=tuple(numbers),
        value=Number(fills(worst), "volume"),
        limit=Number(worst.freeboard_volume, "volume"),
        reason="a leaf, a snail or a fish in the mouth is enough to block an overflow",
        remedy=remedy,
        source="volume over flow",
        line=_line(room, worst.tank),
        places=tuple(one.tank for one in short),
        rests_on=keys_of(
            tank_by_name(room)[worst.tank].level_known,
            *(place.rate for run in room.feeds for place in run.outlets if place.tank == worst.tank),
            room.longest_absence if code == "DRAIN-09" else None,
        ),
    )
