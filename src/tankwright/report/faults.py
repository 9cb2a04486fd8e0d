"""Every fault in a row, worst first, and in full for JSON."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from tankwright.faults.judging import SCREENING, WORDS, cure_words
from tankwright.faults.model import Faults, Harm, Outcome, Tried
from tankwright.finding import Finding, Number
from tankwright.report.finding import json_finding
from tankwright.report.model import SummaryLine
from tankwright.room.model import Room
from tankwright.units import CubicMetre, convert

SEASONS = {"coldest": "on the coldest day", "hottest": "on the hottest day", "usual": "on a usual day"}


@dataclass(frozen=True, slots=True, kw_only=True)
class FaultRow:
    """One fault as a table shows it: what happens first, when, against when somebody notices, and the way out."""

    outcome: Outcome
    harm: SummaryLine
    verdict: str
    remedy: SummaryLine | None


def fault_rows(faults: Faults, tried: Mapping[str, tuple[Tried, ...]] | None = None) -> tuple[FaultRow, ...]:
    """A row for every fault, in their order. `tried` are remedies by the fault's name, or by its group."""
    known = tried or {}
    return tuple(
        FaultRow(
            outcome=one,
            harm=harm_line(one),
            verdict=verdict(one),
            remedy=remedy_line(known.get(one.fault) or known.get(one.kind, ())),
        )
        for one in faults.outcomes
    )


def verdict(one: Outcome) -> str:
    """In few words how a fault stands against the time nobody looks.

    "not known" where what it does could not be worked out in full and no harm was found.
    """
    if one.before_look:
        return "before anybody notices"
    if one.in_absence:
        return "in the longest absence"
    if one.first is not None:
        return "noticed in time"
    return "not known in full" if one.not_computed else "no harm while followed"


def harm_line(one: Outcome) -> SummaryLine:
    """The first harm in words. A band is told where the time hangs on one by more than a hundredth."""
    first = one.first
    if first is None:
        return SummaryLine("no harm found")
    text, numbers = (
        f"{WORDS[first.kind]}, {first.where}: after {{time}}",
        [("time", Number(first.time, "duration"))],
    )
    if first.earliest < 0.99 * first.time or first.latest > 1.01 * first.time:
        numbers.append(("early", Number(first.earliest, "duration")))
        if math.isfinite(first.latest):
            text += " ({early} to {late})"
            numbers.append(("late", Number(first.latest, "duration")))
        else:
            text += " ({early} at the least)"
    return SummaryLine(text, tuple(numbers))


def remedy_line(tried: Iterable[Tried]) -> SummaryLine | None:
    """The cheapest change that was tried and helped, with what it gives."""
    found = cure_words(tried)
    return None if found is None else SummaryLine(*found)


def summary_faults(faults: Faults) -> tuple[SummaryLine, ...]:
    """How many faults there are, how many do harm before anybody notices, and the worst."""
    every = faults.outcomes
    before = [one for one in every if one.before_look]
    absent = [one for one in every if not one.before_look and one.in_absence]
    lines = [SummaryLine(
        "{all} faults tried: {before} do harm before anybody notices, {absent} more within the longest absence",
        (("all", Number(float(len(every)), "number")), ("before", Number(float(len(before)), "number")),
         ("absent", Number(float(len(absent)), "number"))),
    )]  # fmt: skip
    if before:
        soonest = min(before, key=lambda one: one.first.time if one.first else math.inf)
        harm = harm_line(soonest)
        lines.append(SummaryLine(f"soonest: {soonest.fault}: {harm.text}", harm.numbers))
        wettest = max(every, key=lambda one: one.floor)
        if wettest.floor > 1e-3:
            lines.append(SummaryLine(
                f"most water on the floor when it is noticed: {wettest.fault}, {{litres}}",
                (("litres", Number(wettest.floor, "volume")),),
            ))  # fmt: skip
    unknown = sum(1 for one in every if one.not_computed) + len(faults.failed)
    if unknown:
        lines.append(SummaryLine("{count} of them could not be simulated in full",
                                 (("count", Number(float(unknown), "number")),)))  # fmt: skip
    lines.append(SummaryLine(SCREENING))
    return tuple(lines)


# --- JSON -------------------------------------------------------------------------------------------------------


def json_faults(
    room: Room,
    faults: Faults,
    findings: tuple[Finding, ...],
    tried: Mapping[str, tuple[Tried, ...]] | None = None,
) -> dict[str, object]:
    """Everything: units in the names of the keys; a time that never comes is null."""
    return {
        "title": room.title,
        "caution": SCREENING,
        "looks_are_stated": faults.stated_gap,
        "faults": json_fault_list(faults, tried),
        "failed": [{"fault": name, "why": why} for name, why in faults.failed],
        "not_computed": [{"subject": subject, "reason": reason} for subject, reason in faults.not_computed],
        "findings": [json_finding(finding) for finding in findings],
    }  # fmt: skip


def json_fault_list(
    faults: Faults, tried: Mapping[str, tuple[Tried, ...]] | None = None
) -> list[dict[str, object]]:
    """Every fault, worst first, with what was tried on the worst of its group."""
    known = tried or {}
    return [json_outcome(one, known.get(one.fault) or known.get(one.kind, ())) for one in faults.outcomes]


def json_outcome(one: Outcome, tried: Iterable[Tried] = ()) -> dict[str, object]:
    """One fault with every number of it."""
    return {
        "fault": one.fault,
        "group": one.group,
        "shared_cause": one.cause or None,
        "begins_after_midnight_s": one.clock,
        "season": one.season,
        "verdict": verdict(one),
        "first_harm": None if one.first is None else json_harm(one.first),
        "noticed_after_s": _finite(one.seen),
        "noticed_by": one.told or "look",
        "look_gap_s": one.gap,
        "longest_absence_s": one.absence,
        "before_anybody_notices": one.before_look,
        "within_absence": one.in_absence,
        "ends_by_itself": one.finite,
        "floor_when_noticed_l": _litres(one.floor),
        "floor_after_absence_l": None if one.floor_absence is None else _litres(one.floor_absence),
        "floor_depth_when_noticed_mm": convert(one.depth, "m", "mm"),
        "tanks_harmed_when_noticed": list(one.tanks),
        "tanks_harmed_in_absence": list(one.tanks_absence),
        "fish_harmed_when_noticed_g": convert(one.fish, "kg", "g"),
        "coldest_water_c": None
        if one.coldest is None or math.isnan(one.coldest)
        else convert(one.coldest, "K", "°C"),
        "hottest_water_c": None
        if one.hottest is None or math.isnan(one.hottest)
        else convert(one.hottest, "K", "°C"),
        "tank_times_s": {tank: _finite(time) for tank, time in one.tank_times},
        "remedies": [json_tried(each) for each in tried],
        "not_computed": [{"subject": subject, "reason": reason} for subject, reason in one.not_computed],
    }


def json_harm(harm: Harm) -> dict[str, object]:
    """One harm; `earliest_s` and `latest_s` are the ends of the band it rests on."""
    return {
        "kind": harm.kind,
        "where": harm.where,
        "time_s": _finite(harm.time),
        "earliest_s": _finite(harm.earliest),
        "latest_s": _finite(harm.latest),
    }


def json_tried(one: Tried) -> dict[str, object]:
    """A change that was tried, and what the fault then does."""
    return {
        "change": one.words,
        "numbers": {name: {"value": number.value, "kind": number.dimension} for name, number in one.numbers},
        "write": one.attempt,
        "cost_rank": one.cost,
        "removes_the_harm": one.removes,
        "noticed_before_harm": one.in_time,
        "first_harm_then": None if one.after.first is None else json_harm(one.after.first),
        "floor_when_noticed_then_l": _litres(one.after.floor),
    }


def _finite(value: float) -> float | None:
    return value if math.isfinite(value) else None


def _litres(volume: CubicMetre) -> float:
    return convert(volume, "m**3", "L")
