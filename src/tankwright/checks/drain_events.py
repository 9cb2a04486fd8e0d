"""Checks on what the drain does in the events its owner named, and how far it is from the first spill."""

from __future__ import annotations

from collections.abc import Iterator

from tankwright.checks.drain_tanks import (
    HOSE_SOURCE,
    OVERFLOW_SOURCE,
    count,
    keys_of,
    narrow_place,
    subject_of,
)
from tankwright.finding import Finding, Number, Severity
from tankwright.room.model import DrainRun, Room
from tankwright.systems.drain import DrainCase, DrainResult, DrainRunResult

NEARLY_FULL = 0.8
"""Depth over bore above which a ripple closes the pipe. Common practice; a pipe carries most at 0.94."""

BACKING_SOURCE = (
    "Manning's friction slope of the full pipe, V. T. Chow (1959); tees and velocity heads left out"
)


def check_drain_events(room: Room, result: DrainResult) -> tuple[Finding, ...]:
    """Everything there is to say about dump events and backing up."""
    checks = (
        events_fit_the_overflow,
        drains_do_not_back_up,
        events_run_part_full,
        pulled_standpipes_told,
        first_spill_told,
    )
    return tuple(finding for check in checks for finding in check(room, result))


def worst_cases(solved: DrainRunResult) -> tuple[DrainCase, ...]:
    """The heaviest case of each event: with the feed where there is a feed, alone where there is none."""
    loads = solved.cases[1:]
    with_feed = tuple(case for case in loads if case.kind == "feed and dump")
    return with_feed or loads


def _runs(room: Room, result: DrainResult) -> Iterator[tuple[DrainRun, DrainRunResult]]:
    runs = {run.id: run for run in room.drains}
    for solved in result.runs:
        yield runs[solved.run], solved


def _event_line(run: DrainRun, case: DrainCase) -> int | None:
    lines = [event.line for event in run.events if case.name.startswith(event.name)]
    return next((line for line in lines if line is not None), run.line)


def _rests(run: DrainRun) -> tuple[str, ...]:
    return keys_of(run.bore, run.manning_n, run.fall)


def events_fit_the_overflow(room: Room, result: DrainResult) -> Iterator[Finding]:
    """What a forgotten hose pours into a tank goes out by its overflow."""
    capacities = {one.tank: one for one in result.tanks}
    tanks = {tank.id: tank for tank in room.tanks}
    for run, solved in _runs(room, result):
        for case in worst_cases(solved):
            for spill in case.spills:
                own = capacities.get(spill.tank)
                takes = own.capacity if own is not None and own.capacity is not None else 0.0
                if spill.inflow <= takes * (1.0 + 1e-6):
                    continue  # its overflow would take it: then it is the drain that backs up
                narrow = own is not None and (own.mouth_flow or 0.0) <= (own.hose_flow or 0.0)
                tank = tanks.get(spill.tank)
                values = [tank.overflow.bore, tank.overflow.open_share] if tank and tank.overflow else []
                yield Finding(
                    code="DRAIN-26",
                    severity=Severity.PROBLEM,
                    subject=f"tank {spill.tank}",
                    text=f"{case.name}: of {{inflow}} it passes {{capacity}}; {{flow}} goes on the floor",
                    numbers=(
                        ("inflow", Number(spill.inflow, "flow")),
                        ("capacity", Number(takes, "flow")),
                        ("flow", Number(spill.flow, "flow")),
                    ),
                    value=Number(spill.inflow, "flow"),
                    limit=Number(takes, "flow"),
                    reason=narrow_place(narrow),
                    remedy="throttle the filling hose to what the overflow takes, or a wider mouth and hose",
                    source=OVERFLOW_SOURCE if narrow else HOSE_SOURCE,
                    line=_event_line(run, case),
                    places=(spill.tank, run.id),
                    rests_on=keys_of(*values, tank.hose.bore if tank and tank.hose else None),
                )


def drains_do_not_back_up(room: Room, result: DrainResult) -> Iterator[Finding]:
    """No drain stands so high that a tank cannot pass on what it gets, or that drain water enters a tank."""
    takes = {one.tank: one.capacity or 0.0 for one in result.tanks}
    for run, solved in _runs(room, result):
        for case in (solved.cases[0], *worst_cases(solved)):
            spilt = [one for one in case.spills if one.inflow <= takes.get(one.tank, 0.0) * (1.0 + 1e-6)]
            flow = sum(one.flow for one in spilt)
            if spilt:
                names = [one.tank for one in sorted(spilt, key=lambda one: -one.flow)]
                yield Finding(
                    code="DRAIN-25",
                    severity=Severity.PROBLEM,
                    subject=f"drain {run.id}",
                    text=f"{case.name}: backs up {{surcharge}} over the pipe; {{flow}} runs over the rim of "
                    + subject_of(names),
                    numbers=(
                        ("surcharge", Number(case.surcharge, "length")),
                        ("flow", Number(flow, "flow")),
                        ("count", count(names)),
                    ),
                    reason="the full pipe needs that height to push the flow through, and the hoses lose it",
                    remedy="the next size of pipe, more fall, or two runs instead of one",
                    source=BACKING_SOURCE,
                    line=_event_line(run, case),
                    places=(run.id, *names),
                    rests_on=_rests(run),
                )
            entered = [name for name in case.backed_up if name not in {one.tank for one in spilt}]
            if entered:
                yield Finding(
                    code="DRAIN-28",
                    severity=Severity.PROBLEM,
                    subject=f"drain {run.id}",
                    text=f"{case.name}: stands above the lip of {subject_of(entered)} and runs in",
                    numbers=(("surcharge", Number(case.surcharge, "length")), ("count", count(entered))),
                    reason="a drain that backs up carries one tank's water into another",
                    remedy="the next size of pipe, more fall, or a run of its own for the lowest tanks",
                    source=BACKING_SOURCE,
                    line=_event_line(run, case),
                    places=(run.id, *entered),
                    rests_on=_rests(run),
                )


def events_run_part_full(room: Room, result: DrainResult) -> Iterator[Finding]:
    """Under the worst event named, the drain keeps air above its water."""
    for run, solved in _runs(room, result):
        cases = [case for case in worst_cases(solved) if any(one.slope >= 1e-4 for one in case.segments)]
        shares = [
            (max(1.0 if one.share is None else one.share for one in case.segments if one.slope >= 1e-4), case)
            for case in cases
        ]
        if not shares:
            continue
        share, case = max(shares, key=lambda pair: (pair[0], pair[1].surcharge))
        if share <= NEARLY_FULL:
            continue
        drowned = share >= 1.0
        yield Finding(
            code="DRAIN-27",
            severity=Severity.WARNING,
            subject=f"drain {run.id}",
            text=f"{case.name}: runs full, {{surcharge}} over the pipe at most"
            if drowned
            else f"{case.name}: stands {{share}} full",
            numbers=(
                ("surcharge", Number(case.surcharge, "length")),
                ("share", Number(share, "share")),
                ("flow", Number(case.outfall_flow, "flow")),
            ),
            value=Number(share, "share"),
            limit=Number(NEARLY_FULL, "share"),
            reason="a full drain shuts off the air of every hose; water may come out at a loose hose",
            remedy="the next size of pipe, more fall, or one standpipe at a time",
            source=BACKING_SOURCE,
            line=_event_line(run, case),
            places=(run.id, *((case.surcharge_node,) if case.surcharge_node else ())),
            rests_on=_rests(run),
        )


def pulled_standpipes_told(room: Room, result: DrainResult) -> Iterator[Finding]:
    """What pulling standpipes brings: the first rush, the litres, the time."""
    for run, solved in _runs(room, result):
        for case in worst_cases(solved):
            if not case.emptying:
                continue
            seconds = [one.seconds for one in case.emptying]
            known = [one for one in seconds if one is not None]
            stuck = [one.tank for one in case.emptying if one.seconds is None]
            text = f"{case.name}: {{peak}} at first, {{volume}} in all"
            numbers = [
                ("peak", Number(sum(one.peak for one in case.emptying), "flow")),
                ("volume", Number(sum(one.volume for one in case.emptying), "volume")),
                ("count", count(case.emptying)),
            ]
            if known:
                text += ", {time} until the slowest is down to its hole"
                numbers.append(("time", Number(max(known), "duration")))
            if stuck:
                text += f"; {subject_of(stuck)} cannot run down to its hole, the drain is too high"
            yield Finding(
                code="DRAIN-34",
                severity=Severity.NOTE,
                subject=f"drain {run.id}",
                text=text,
                numbers=tuple(numbers),
                reason="a pulled standpipe runs its hose full, many times the feed",
                remedy="pull one at a time, and none while the drain is already loaded",
                source=HOSE_SOURCE,
                line=_event_line(run, case),
                places=(run.id, *(one.tank for one in case.emptying)),
                rests_on=_rests(run),
            )


def first_spill_told(room: Room, result: DrainResult) -> Iterator[Finding]:
    """How much may run into one tank before something spills, on the run where that is least."""
    spilling = [
        (solved.first_spill, solved.first_spill_evenly, run)
        for run, solved in _runs(room, result)
        if solved.first_spill is not None and solved.first_spill_evenly is not None
    ]
    if not spilling:
        return
    spill, evenly, run = min(spilling, key=lambda one: one[0].flow)
    if spill.by_drain:
        first = f"at {{one}} into {spill.dump_in} the drain backs up and {spill.spills} runs over first"
    else:
        first = f"{spill.spills} spills first, by its own overflow, at {{one}} running into it"
    yield Finding(
        code="DRAIN-35",
        severity=Severity.NOTE,
        subject=f"drain {run.id}",
        text=first
        + "; shared evenly by all its tanks, at {all}"
        + ("; the other runs take more" if len(spilling) > 1 else ""),
        numbers=(("one", Number(spill.flow, "flow")), ("all", Number(evenly.flow, "flow"))),
        value=Number(spill.flow, "flow"),
        reason="more than this, from a filling hose say, puts water on the floor; and sooner where a hose is "
        "loose in its tee",
        remedy="never leave a filling hose that gives more than this",
        source=f"{OVERFLOW_SOURCE}; {HOSE_SOURCE}; {BACKING_SOURCE}",
        line=run.line,
        places=(run.id, *dict.fromkeys((spill.dump_in, spill.spills))),
        rests_on=_rests(run),
    )
