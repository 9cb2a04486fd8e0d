"""What the faults mean: those whose harm comes before anybody notices are problems, those within an absence warnings.

A screening: it follows what the plan says and assumes, and no plan knows everything that can break.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from typing import Final

from tankwright.checks.grouping import count, listed, verb
from tankwright.faults.model import Faults, HarmKind, Outcome, Tried
from tankwright.finding import Finding, Number, Severity
from tankwright.room.model import Room

SCREENING: Final = (
    "a screening: things break in more ways than a plan knows, and nobody's eyes or alarms see everything"
)
TOLD: Final = "simulation of this room in time; see docs/explanation/faults.md"

CODES: Final[Mapping[HarmKind, str]] = {
    "floor": "FAULT-01",
    "plug": "FAULT-02",
    "oxygen": "FAULT-03",
    "cold": "FAULT-04",
    "hot": "FAULT-05",
    "ammonia": "FAULT-06",
    "chlorine": "FAULT-07",
    "dry": "FAULT-08",
}

A_TRACE: Final = 1e-3
"""m3 on a floor under which litres are not worth telling."""

WORDS: Final[Mapping[HarmKind, str]] = {
    "floor": "water on the floor",
    "plug": "water at a plug",
    "oxygen": "oxygen down to the trouble level",
    "cold": "water too cold",
    "hot": "water too warm",
    "ammonia": "ammonia over its limit",
    "chlorine": "chlorine over its limit",
    "dry": "no water to swim in",
}

RULES: Final[Mapping[str, str]] = {
    "FAULT-01": "No single fault puts water on the floor before anybody notices.",
    "FAULT-02": "No single fault brings water to a plug or board before anybody notices.",
    "FAULT-03": "No single fault takes a tank's oxygen to the trouble level before anybody notices.",
    "FAULT-04": "No single fault makes a tank too cold before anybody notices.",
    "FAULT-05": "No single fault makes a tank too warm before anybody notices.",
    "FAULT-06": "No single fault brings ammonia over its limit before anybody notices.",
    "FAULT-07": "No single fault brings chlorine over its limit before anybody notices.",
    "FAULT-08": "No single fault leaves fish without water before anybody notices.",
    "FAULT-09": "The plan says when somebody looks, so that faults are held against a stated gap.",
    "FAULT-10": "Every fault could be simulated.",
    "FAULT-11": "Every fault comes to an end of its own: what runs, runs out.",
    "FAULT-12": "Every fault of the room as it is now has been tried.",
}
"""Each code of a fault's finding, and the sentence that holds when all is well."""


def judge_faults(
    room: Room, faults: Faults, tried: Mapping[str, tuple[Tried, ...]] | None = None
) -> tuple[Finding, ...]:
    """Findings of the faults, one for each group of alike faults and kind of harm. `tried` are remedies by the
    group of the fault."""
    return tuple(_all(room, faults, tried or {}))


def not_tried(count: int) -> Finding:
    """What to say of a room whose faults nobody has worked out."""
    return Finding(
        code="FAULT-12",
        severity=Severity.NOT_COMPUTED,
        subject="faults",
        text="{count} faults of this room were not tried: what fails, and how long there is then, is not known",
        numbers=(("count", Number(float(count), "number")),),
        reason="to break everything takes a minute or more, so it is done when it is asked for; what it finds is kept"
        " and told here until the room changes",
        remedy="run tankwright faults PLAN, or check with --faults",
        source=TOLD,
    )


def cure_words(tried: Iterable[Tried]) -> tuple[str, tuple[tuple[str, Number], ...]] | None:
    """The cheapest change that was tried and helped, with what it gives; None when none did."""
    best = min(
        (one for one in tried if one.helps),
        key=lambda one: (not (one.removes or one.in_time), one.cost, not one.removes),
        default=None,
    )
    if best is None:
        return None
    then = best.after.first
    if then is None:
        return f"{best.words}: then no harm is left", best.numbers
    noticed = ", and somebody notices before" if best.in_time else ""
    first = best.before.first
    if first is not None and then.time <= 1.5 * first.time and not noticed:  # what it gains is not time
        if best.before.floor > A_TRACE and best.after.floor < 0.5 * best.before.floor:
            litres = (("less", best.after.floor), ("litres", best.before.floor))
            return (
                f"{best.words}: then {{less}} on the floor when it is noticed, not {{litres}}",
                (*best.numbers, *((name, Number(value, "volume")) for name, value in litres)),
            )
        if best.after.finite and not best.before.finite:
            return f"{best.words}: then it comes to an end of its own", best.numbers
    text = f"{best.words}: then {WORDS[then.kind]} after {{then}}{noticed}"
    return text, (*best.numbers, ("then", Number(then.time, "duration")))


def _all(room: Room, faults: Faults, tried: Mapping[str, tuple[Tried, ...]]) -> Iterator[Finding]:
    if not faults.stated_gap:
        gap = max((one.gap for one in faults.outcomes), default=86_400.0)
        yield Finding(
            code="FAULT-09",
            severity=Severity.WARNING,
            subject="people",
            text="the plan does not say when somebody looks; {gap} is assumed between two looks",
            numbers=(("gap", Number(gap, "duration")),),
            reason="whether a fault does harm hangs on how soon somebody sees it",
            remedy='write looks = ["07:00", "19:00"] under [people], and longest_absence = "48 h"',
            rests_on=("people.look_gap",),
        )
    for severity, chosen in (
        (Severity.PROBLEM, [one for one in faults.outcomes if one.before_look]),
        (Severity.WARNING, [one for one in faults.outcomes if not one.before_look and one.in_absence]),
    ):
        for (group, kind), alike in _grouped(chosen).items():
            yield _harmful(room, severity, group, kind, alike, tried.get(group, ()))
    yield from _endless(faults)
    yield from _unknown(faults)


def _unknown(faults: Faults) -> Iterator[Finding]:
    """One finding for each reason why faults, or a side of them, could not be simulated."""
    reasons: dict[str, dict[str, None]] = {}
    every = (
        *faults.failed,
        *faults.not_computed,
        *(pair for one in faults.outcomes for pair in one.not_computed),
    )
    for subject, reason in every:
        reasons.setdefault(reason, {})[subject] = None
    for reason, subjects in reasons.items():
        hit = sum(1 for one in faults.outcomes if any(why == reason for _, why in one.not_computed))
        yield Finding(
            code="FAULT-10",
            severity=Severity.NOT_COMPUTED,
            subject=listed(list(subjects), kind="", plural=" ").strip(),
            text=f"could not be simulated{' in {count} faults' if hit else ''}: {reason}",
            numbers=(("count", count(hit)),) if hit else (),
            reason="what was not worked out is not fine, it is not known",
            remedy="say in the plan what is missing, then run it again",
        )


def _endless(faults: Faults) -> Iterator[Finding]:
    """One finding for all that goes on for as long as nobody comes, the wettest first."""
    endless = sorted((one for one in faults.outcomes if not one.finite), key=_wet, reverse=True)
    if not endless:
        return
    names = [one.fault for one in endless]
    litres = _wet(endless[0])
    wet = f": {names[0]} puts {{litres}} on the floor" if litres > A_TRACE else ""
    yield Finding(
        code="FAULT-11",
        severity=Severity.WARNING,
        subject=listed(names, kind="fault:", plural="faults:"),
        text=verb(names, "goes", "go") + f" on for as long as nobody comes{wet}",
        numbers=(("litres", Number(litres, "volume")), ("count", count(len(endless)))),
        reason="what has no end of its own does harm without a limit, however small its flow",
        remedy="give it an end: a tank of so much water as its source, a timer that shuts by itself, a float, a"
        " second way out",
        source=TOLD,
        places=_tanks(endless),
    )


def _wet(one: Outcome) -> float:
    return max(one.floor, one.floor_absence or 0.0)


def _grouped(chosen: Iterable[Outcome]) -> dict[tuple[str, HarmKind], list[Outcome]]:
    found: dict[tuple[str, HarmKind], list[Outcome]] = {}
    for one in chosen:
        if one.first is not None:
            found.setdefault((one.kind, one.first.kind), []).append(one)
    return found


def _harmful(
    room: Room, severity: Severity, group: str, kind: HarmKind, alike: list[Outcome], tried: tuple[Tried, ...]
) -> Finding:
    worst = min(alike, key=lambda one: one.first.time if one.first is not None else 0.0)
    first = worst.first
    assert first is not None
    names = [one.fault for one in alike]
    before = severity is Severity.PROBLEM
    banded = first.earliest < first.time * 0.99 or first.latest > first.time * 1.01
    band = ""
    numbers = [
        ("time", Number(first.time, "duration")),
        ("seen", Number(worst.seen, "duration")),
        ("litres", Number(worst.floor, "volume")),
        ("count", count(len(alike))),
    ]
    if banded:
        numbers.append(("early", Number(first.earliest, "duration")))
        late = first.latest
        if late < float("inf"):
            numbers.append(("late", Number(late, "duration")))
            band = " ({early} to {late})"
        else:
            band = " ({early} at the least)"
    cure, cure_numbers = cure_words(tried) or ("", ())
    cure = re.sub(r"\{(\w+)\}", r"{cure_\1}", cure)  # its numbers beside those of the finding
    numbers += [(f"cure_{name}", number) for name, number in cure_numbers]
    if worst.absence is not None:
        numbers.append(("absence", Number(worst.absence, "duration")))
    more = f"; {{count}} faults of this kind, the soonest {worst.fault}" if len(alike) > 1 else ""
    text = f"{WORDS[kind]}{_at(room, kind, first.where)} after {{time}}{band}"
    late_words = (
        ", and nobody notices before {seen}" if before else ", within the longest absence of {absence}"
    )
    water = "; {litres} on the floor by then" if before and worst.floor > A_TRACE else ""
    return Finding(
        code=CODES[kind],
        severity=severity,
        subject=group if len(alike) > 1 else names[0],
        text=text + late_words + water + more,
        numbers=tuple(numbers),
        value=Number(first.time, "duration"),
        limit=Number(worst.seen if before else (worst.absence or 0.0), "duration"),
        reason=(f"they share one cause: {worst.cause}; " if worst.cause else "")
        + f"begun at its worst moment of those tried; {SCREENING}",
        remedy=cure
        or ("nothing that was tried helps" if tried else "what would mend it is tried when you ask")
        + f': tankwright fault PLAN "{worst.fault}" tells the story of it',
        source=TOLD,
        places=_tanks(alike),
    )


def _at(room: Room, kind: HarmKind, name: str) -> str:
    tank = any(one.id == name for one in room.tanks)
    where = f"tank {name}" if tank else name
    if kind == "plug":
        return f", {where}"
    return f" from {where}" if kind == "floor" and tank else f" of {where}"


def _tanks(outcomes: Iterable[Outcome]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(name for one in outcomes for name in (*one.tanks, *one.tanks_absence)))
