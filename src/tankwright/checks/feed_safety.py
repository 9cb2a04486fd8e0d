"""Judgement on what the feed can do wrong: backflow, siphons, a quarantine joined, water not treated.

Backflow can hurt people who drink from the same pipe. What is said here is a screening: the local water
authority and a licensed plumber decide.
"""

from __future__ import annotations

from collections.abc import Iterator

from tankwright.finding import Finding, Number, Severity
from tankwright.room.model import FeedRun, Room
from tankwright.systems.feed_model import FeedRunResult

US_GAP = 0.025
"""1 in, without the half millimetre that no ruler over a rim shows."""

GAP_SOURCE = (
    "20 mm or twice the bore: UK water regulations, by waterregsuk.co.uk's glossary; 1 in up to half an "
    "inch: "
    "IRC 2003 P2902.2.1 as quoted on an inspectors' forum"
)
DEFER = "your local water authority and a licensed plumber decide what is allowed"


def check_feed_safety(room: Room, run: FeedRun, solved: FeedRunResult) -> Iterator[Finding]:
    """What one feed can do wrong."""
    yield from outlets_end_above_the_rim(run, solved)
    yield from nothing_siphons_back(run, solved)
    yield from tap_water_is_known(room, run)
    yield from quarantine_has_its_own_feed(room, run, solved)


def outlets_end_above_the_rim(run: FeedRun, solved: FeedRunResult) -> Iterator[Finding]:
    """FEED-05: every outlet ends above the rim by the air gap that is asked for."""
    low = [outlet for outlet in solved.outlets if outlet.gap < outlet.needed_gap]
    tight = [outlet for outlet in solved.outlets if outlet.gap < US_GAP] if not low else []
    if not low and not tight:
        return
    worst = min(low or tight, key=lambda outlet: outlet.gap - outlet.needed_gap)
    below = worst.gap <= 0.0
    mains = run.source_kind == "water point"
    limit = worst.needed_gap if low else US_GAP
    worse = Severity.PROBLEM if below and mains else Severity.WARNING
    severity = worse if low else Severity.NOTE
    keys = {outlet.gap.key for outlet in run.outlets if outlet.gap.is_assumed and outlet.gap.key}
    yield Finding(
        code="FEED-05",
        severity=severity,
        subject=f"feed {run.id}",
        text=(
            f"{{count}} outlets end below the rim, at {worst.tank} by {{depth}}: there is no air gap"
            if below
            else f"{{count}} outlets end {{gap}} above the rim (least at {worst.tank}); asked for is "
            f"{{needed}}"
        ),
        numbers=(
            ("count", Number(len(low or tight), "number")),
            ("gap", Number(worst.gap, "length")),
            ("depth", Number(-worst.gap, "length")),
            ("needed", Number(limit, "length")),
        ),
        value=Number(worst.gap, "length"),
        limit=Number(limit, "length"),
        reason="when the supply loses pressure, tank water can be drawn into the pipe people drink from; "
        "the gap "
        "counts to the rim, not to the usual water level",
        remedy=f"end the outlets at least {{needed}} above the rim, or feed from a vat with an air gap; "
        f"{DEFER}",
        source=GAP_SOURCE,
        line=run.line,
        places=tuple(dict.fromkeys(outlet.tank for outlet in (low or tight))),
        rests_on=tuple(sorted(keys)),
    )


def nothing_siphons_back(run: FeedRun, solved: FeedRunResult) -> Iterator[Finding]:
    """FEED-06: no tank drains through its outlet when the supply stops."""
    if not solved.siphons:
        return
    worst = max(solved.siphons, key=lambda one: one.volume)
    numbers = [
        ("count", Number(len(solved.siphons), "number")),
        ("volume", Number(worst.volume, "volume")),
        ("all", Number(sum(one.volume for one in solved.siphons), "volume")),
    ]
    pace = ""
    if worst.flow is not None:
        numbers.append(("flow", Number(worst.flow, "flow")))
        pace = " at first at {flow}"
    to = f"tank {worst.exit_tank}" if worst.exit_tank else worst.exit
    yield Finding(
        code="FEED-06",
        severity=Severity.PROBLEM,
        subject=f"feed {run.id}",
        text=f"when the supply stops, {{count}} tanks can drain back through outlets that end under water; "
        f"{worst.tank} up to {{volume}} towards {to}{pace}, {{all}} in all",
        numbers=tuple(numbers),
        value=Number(worst.head, "length"),
        limit=Number(0.0, "length"),
        reason="the manifold stays full and works as a siphon towards the lowest way out",
        remedy=f"end every outlet above the rim; a check valve is a second line only; {DEFER}",
        source="hydrostatics; how fast it runs through drippers is not known",
        line=run.line,
        places=tuple(dict.fromkeys(one.tank for one in solved.siphons)),
    )


def tap_water_is_known(room: Room, run: FeedRun) -> Iterator[Finding]:
    """FEED-11: the plan says what is in the source; what chlorine does in the tanks is then judged as water."""
    if run.source_kind != "water point" or any(run.source in water.comes_from for water in room.waters):
        return
    if any(one.carbon for one in run.filters):
        yield Finding(
            code="FEED-11",
            severity=Severity.NOT_COMPUTED,
            subject=f"feed {run.id}",
            text="has a carbon filter; how long it lasts is not computed: the plan does not say what its water holds",
            reason="carbon that breaks through is noticed in every tank at once",
            remedy=f"test the tap for total chlorine and write it under [water.{run.source}]",
            line=run.line,
        )
        return
    yield Finding(
        code="FEED-11",
        severity=Severity.NOT_COMPUTED,
        subject=f"feed {run.id}",
        text="has no carbon filter; what chlorine does in the tanks is not computed: the plan does not say"
        " what its water holds",
        reason="with 2 mg/L in the tap a tank fed a tenth of its volume a day passes 0.02 mg/L within hours if "
        "nothing uses it up",
        remedy=f"test the tap for total chlorine and write it under [water.{run.source}]",
        source="mass balance; 0.02 mg/L and more is called toxic to aquatic life in WEF MOP 8, secondary",
        line=run.line,
    )


def quarantine_has_its_own_feed(room: Room, run: FeedRun, solved: FeedRunResult) -> Iterator[Finding]:
    """FEED-14: a quarantine shares no feed with other zones."""
    quarantine = {zone.id for zone in room.zones if zone.quarantine}
    served = {outlet.tank for outlet in run.outlets}
    if run.source_kind == "tank":
        served.add(run.source)
    inside = tuple(tank.id for tank in room.tanks if tank.id in served and tank.zone in quarantine)
    others = [tank.id for tank in room.tanks if tank.id in served and tank.zone not in quarantine]
    if not inside or not others:
        return
    drowned = any(outlet.gap <= 0.0 for outlet in solved.outlets)
    yield Finding(
        code="FEED-14",
        severity=Severity.PROBLEM if drowned else Severity.WARNING,
        subject=f"feed {run.id}",
        text=("joins" if run.source_kind == "tank" else "serves")
        + " {count} quarantine tanks together with {others} others",
        numbers=(("count", Number(len(inside), "number")), ("others", Number(len(others), "number"))),
        reason="outlets that end under water join the tanks; even dry ones are handled from tank to tank",
        remedy="a feed of its own for the quarantine",
        source="common practice, no source",
        line=run.line,
        places=inside,
    )
