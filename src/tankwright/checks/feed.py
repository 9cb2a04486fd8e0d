"""Judgement on the feed: pressure at every outlet, evenness, the source, what is truly replaced, backflow."""

from __future__ import annotations

from collections.abc import Iterator

from tankwright.checks.feed_safety import check_feed_safety
from tankwright.finding import Finding, Number, Severity
from tankwright.origin import Known
from tankwright.room.model import FeedRun, Room
from tankwright.systems.feed_model import FeedResult, FeedRunResult

GOOD = 0.9
FAIR = 0.8
MISLEADING = 0.05
SOLVED = "pipe network from the source's pressure, Darcy-Weisbach, by Newton's method"
UNIFORMITY = "Keller and Karmeli (1974); ASABE EP405.1, as two public pages give it"
MIXING = "mass balance of a stirred tank, 1 - exp(-inflow / volume)"


def check_feed(room: Room, result: FeedResult) -> tuple[Finding, ...]:
    """Everything there is to say about the feed of a room.

    >>> check_feed(Room(title="", display="metric", spaces=(), racks=(), tanks=()), FeedResult())
    ()
    """
    return tuple(_all(room, result))


def _all(room: Room, result: FeedResult) -> Iterator[Finding]:
    yield from every_feed_is_computed(room, result)
    yield from every_tank_is_fed(room, result)
    runs = {run.id: run for run in room.feeds}
    for solved in result.runs:
        run = runs[solved.run]
        yield from every_outlet_gives(run, solved)
        yield from drippers_have_their_pressure(run, solved)
        yield from outlets_give_evenly(run, solved)
        yield from source_stays_on_its_curve(run, solved)
        yield from program_is_given(run, solved)
        yield from check_feed_safety(room, run, solved)
    yield from source_gives_the_peak(room, result)
    yield from source_is_measured(room, result)
    yield from vat_lasts(room, result)
    yield from replaced_water_is_counted_as_mixed(result)
    yield from fed_tanks_overflow(room, result)


def every_feed_is_computed(room: Room, result: FeedResult) -> Iterator[Finding]:
    """FEED-10: no feed was left out."""
    lines = {f"feed {run.id}": run.line for run in room.feeds}
    for subject, reason in result.not_computed:
        yield Finding(
            code="FEED-10",
            severity=Severity.NOT_COMPUTED,
            subject=subject,
            text=f"was not computed: {reason}",
            reason="what is not computed is not fine; its tanks, the drain and the litres are not judged",
            remedy="give the source a pressure or a pump with its curve, and at least one outlet",
            line=lines.get(subject),
        )


def every_tank_is_fed(room: Room, result: FeedResult) -> Iterator[Finding]:
    """FEED-08: every tank has fresh water, if any has."""
    if room.feeds and result.without_feed:
        names = ", ".join(result.without_feed[:6])
        more = len(result.without_feed) - 6
        yield Finding(
            code="FEED-08",
            severity=Severity.NOTE,
            subject="feed",
            text=f"reaches all tanks but {{count}}: {names}" + (f" and {more} more" if more > 0 else ""),
            numbers=(("count", Number(len(result.without_feed), "number")),),
            reason="these tanks are changed by hand",
            remedy="leave it, or give them an outlet",
            places=result.without_feed,
        )


def every_outlet_gives(run: FeedRun, solved: FeedRunResult) -> Iterator[Finding]:
    """FEED-03: water comes out of every outlet."""
    dry = [outlet for outlet in solved.outlets if not outlet.reached or outlet.flow <= 0.0]
    if dry:
        yield Finding(
            code="FEED-03",
            severity=Severity.PROBLEM,
            subject=f"feed {run.id}",
            text="{count} of its outlets give nothing at all",
            numbers=(("count", Number(len(dry), "number")),),
            reason="the pressure at the manifold does not lift water there, or no pipe leads there",
            remedy="more pressure, a higher vat, or join the pipe",
            source=SOLVED,
            line=run.line,
            places=tuple(dict.fromkeys(outlet.tank for outlet in dry)),
            rests_on=rests_on(run),
        )


def drippers_have_their_pressure(run: FeedRun, solved: FeedRunResult) -> Iterator[Finding]:
    """FEED-02: every compensating dripper has the least pressure it needs."""
    weak = [
        outlet
        for outlet in solved.outlets
        if outlet.pressure is not None
        and outlet.needed_pressure is not None
        and outlet.flow > 0.0
        and outlet.ratio < 0.985
    ]
    if not weak:
        return
    worst = min(weak, key=lambda outlet: outlet.ratio)
    pressure, needed = worst.pressure or 0.0, worst.needed_pressure or 0.0
    yield Finding(
        code="FEED-02",
        severity=Severity.PROBLEM if worst.ratio < 0.5 else Severity.WARNING,
        subject=f"feed {run.id}",
        text=f"{{count}} compensating drippers have too little pressure; the one at {worst.tank} has "
        f"{{pressure}} "
        "of the {needed} it needs and gives {share} of its rate",
        numbers=(
            ("count", Number(len(weak), "number")),
            ("pressure", Number(pressure, "pressure")),
            ("needed", Number(needed, "pressure")),
            ("share", Number(worst.ratio, "share")),
        ),
        value=Number(pressure, "pressure"),
        limit=Number(needed, "pressure"),
        reason="below its least pressure such a dripper no longer evens anything out",
        remedy="more pressure at the regulator, fewer drippers at once, or drippers that work from less",
        source=SOLVED,
        line=run.line,
        places=tuple(dict.fromkeys(outlet.tank for outlet in weak)),
        rests_on=rests_on(run),
    )


def outlets_give_evenly(run: FeedRun, solved: FeedRunResult) -> Iterator[Finding]:
    """FEED-01: the outlets give nearly the same, making and pressure counted."""
    value = solved.uniformity
    if value is None or value >= GOOD or len(solved.outlets) < 2:
        return
    flows = [outlet.flow for outlet in solved.outlets]
    yield Finding(
        code="FEED-01",
        severity=Severity.WARNING if value < FAIR else Severity.NOTE,
        subject=f"feed {run.id}",
        text="gives unevenly: emission uniformity {value}; at mean making the outlets give {low} to {high}",
        numbers=(
            ("value", Number(value, "share")),
            ("low", Number(min(flows), "flow")),
            ("high", Number(max(flows), "flow")),
        ),
        value=Number(value, "share"),
        limit=Number(FAIR if value < FAIR else GOOD, "share"),
        reason="90 % is called excellent and 80 % good; below that some tanks get much less than the plan "
        "says",
        remedy="compensating drippers of one batch, or a wider manifold; measure ten of them with a jug",
        source=UNIFORMITY,
        line=run.line,
        rests_on=rests_on(run),
    )


def source_stays_on_its_curve(run: FeedRun, solved: FeedRunResult) -> Iterator[Finding]:
    """FEED-15: the source works between the points of its curve."""
    if solved.extrapolated:
        yield Finding(
            code="FEED-15",
            severity=Severity.WARNING,
            subject=f"feed {run.id}",
            text=f"{run.source} works at {{pressure}}, outside its curve: the result is extrapolated",
            numbers=(("pressure", Number(solved.source_pressure, "pressure")),),
            reason="beyond its last point a curve is carried on as a straight line, which is a guess",
            remedy="ask the maker for the missing point",
            line=run.line,
            rests_on=rests_on(run),
        )


def program_is_given(run: FeedRun, solved: FeedRunResult) -> Iterator[Finding]:
    """FEED-13: the plan says when the feed runs."""
    if solved.seconds_a_week <= 0.0:
        yield Finding(
            code="FEED-13",
            severity=Severity.NOT_COMPUTED,
            subject=f"feed {run.id}",
            text="has no program, so litres and shares replaced were not computed; all open it takes {flow}",
            numbers=(("flow", Number(solved.total_flow, "flow")),),
            reason="how much water is new depends on how long it runs",
            remedy="give a program: when it opens and for how many minutes",
            line=run.line,
        )


def source_gives_the_peak(room: Room, result: FeedResult) -> Iterator[Finding]:
    """FEED-04: what is drawn at once is less than the source gives."""
    for peak in result.peaks:
        if peak.most is None or peak.flow <= 0.8 * peak.most:
            continue
        run = next(run for run in room.feeds if run.source == peak.source)
        yield Finding(
            code="FEED-04",
            severity=Severity.PROBLEM if peak.flow > 0.95 * peak.most else Severity.WARNING,
            subject=f"source {peak.source}",
            text="up to {flow} are drawn at once, of the {most} it gives fully open",
            numbers=(("flow", Number(peak.flow, "flow")), ("most", Number(peak.most, "flow"))),
            value=Number(peak.flow, "flow"),
            limit=Number(peak.most, "flow"),
            reason="near its most a tap has no pressure left, and the house notices",
            remedy="let the feeds run one after the other, or fewer outlets at once",
            source="by the programs' clock, as if all days were alike",
            line=run.line,
            rests_on=rests_on(run),
        )


def source_is_measured(room: Room, result: FeedResult) -> Iterator[Finding]:
    """FEED-16: the plan says how much a water point gives, so that the peak can be set against it."""
    for peak in result.peaks:
        run = next(run for run in room.feeds if run.source == peak.source)
        if run.source_kind != "water point" or peak.most is not None:
            continue
        yield Finding(
            code="FEED-16",
            severity=Severity.NOT_COMPUTED,
            subject=f"source {peak.source}",
            text="has no flow in the plan: whether it gives the {flow} drawn at once was not judged, and its "
            "pressure was taken not to fall",
            numbers=(("flow", Number(peak.flow, "flow")),),
            reason="a tap loses pressure as it runs, down to none when it is fully open",
            remedy="time a bucket under it fully open and write the flow",
            line=run.line,
        )


def vat_lasts(room: Room, result: FeedResult) -> Iterator[Finding]:
    """FEED-09: a vat holds at least a day's program, and the longest absence."""
    absence = room.longest_absence
    for peak in result.peaks:
        if peak.stored is None or peak.volume_a_day <= 0.0:
            continue
        days = peak.stored / peak.volume_a_day
        away = absence.value / 86_400.0 if absence else 0.0
        if days >= max(1.0, away):
            continue
        run = next(run for run in room.feeds if run.source == peak.source)
        keys = rests_on(run) + ((absence.key,) if absence and absence.key else ())
        yield Finding(
            code="FEED-09",
            severity=Severity.PROBLEM if days < 1.0 else Severity.WARNING,
            subject=f"{run.source_kind} {peak.source}",
            text="holds {stored}; the programs take {daily} a day, so it lasts {time}",
            numbers=(
                ("stored", Number(peak.stored, "volume")),
                ("daily", Number(peak.volume_a_day, "volume")),
                ("time", Number(days * 86_400.0, "duration")),
            ),
            value=Number(days * 86_400.0, "duration"),
            limit=Number(max(1.0, away) * 86_400.0, "duration"),
            reason="its own fish are left dry, and the tanks below get no more water"
            if run.source_kind == "tank"
            else "an empty vat means no fresh water, and a pump that runs dry",
            remedy="a larger vat, shorter programs, or a filling valve with its own air gap",
            line=run.line,
            rests_on=tuple(dict.fromkeys(keys)),
        )


def replaced_water_is_counted_as_mixed(result: FeedResult) -> Iterator[Finding]:
    """FEED-07: what the tanks really change in a week, beside the number people say."""
    told = [tank for tank in result.tanks if tank.replaced_a_week and tank.naive_a_week > 0.0]
    wide = [tank for tank in told if tank.naive_a_week - (tank.replaced_a_week or 0.0) > MISLEADING]
    if not wide:
        return
    worst = max(wide, key=lambda tank: tank.naive_a_week)
    least = min(told, key=lambda tank: tank.replaced_a_week or 0.0)
    yield Finding(
        code="FEED-07",
        severity=Severity.NOTE,
        subject="feed",
        text=f"replaces between {{least}} ({least.tank}) and {{most}} of the water in a week; litres over "
        f"litres "
        f"would say {{naive}} for {worst.tank}, truly it is {{real}}",
        numbers=(
            ("least", Number(least.replaced_a_week or 0.0, "share")),
            ("most", Number(max(tank.replaced_a_week or 0.0 for tank in told), "share")),
            ("naive", Number(worst.naive_a_week, "share")),
            ("real", Number(worst.replaced_a_week or 0.0, "share")),
        ),
        reason="new water mixes in and part of it leaves again by the overflow, so a drip of a tank's "
        "volume is "
        "not a whole change",
        remedy="plan by the share truly replaced",
        source=MIXING,
        places=(least.tank, worst.tank),
    )


def fed_tanks_overflow(room: Room, result: FeedResult) -> Iterator[Finding]:
    """FEED-12: every fed tank has an overflow."""
    closed = [tank for tank in result.tanks if not tank.overflows]
    if not closed:
        return
    first = min(closed, key=lambda tank: _time_to_fill(room, tank.tank, tank.inflow))
    yield Finding(
        code="FEED-12",
        severity=Severity.PROBLEM,
        subject="feed",
        text=f"{{count}} fed tanks have no overflow; {first.tank} runs over its rim after {{time}} of "
        f"running",
        numbers=(
            ("count", Number(len(closed), "number")),
            ("time", Number(_time_to_fill(room, first.tank, first.inflow), "duration")),
        ),
        reason="what comes in must be able to go out",
        remedy="drill them or give them a standpipe, or take them off the feed",
        source="freeboard over flow",
        places=tuple(tank.tank for tank in closed),
    )


def _time_to_fill(room: Room, name: str, inflow: float) -> float:
    return room.tank(name).freeboard_volume / inflow if inflow > 0.0 else float("inf")


def rests_on(run: FeedRun) -> tuple[str, ...]:
    """Keys of the assumptions a verdict on a feed stands on."""
    known: list[Known | None] = [run.source_pressure, run.source_flow, run.regulated_to, run.roughness]
    known += [pipe.bore for pipe in run.pipes]
    known += [part for one in run.filters for part in (one.loss, one.at_flow)]
    for outlet in run.outlets:
        known += [outlet.rate, outlet.at_pressure, outlet.variation, outlet.bore, outlet.length]
        if outlet.kind != "compensating dripper":
            known.append(outlet.exponent)
    return tuple(dict.fromkeys(one.key for one in known if one is not None and one.is_assumed and one.key))
