"""Judgement on what the water becomes in the tanks: chlorine, nitrogen, the first weeks, and what is not known."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Final

from tankwright.checks import water_ammonia, water_chlorine, water_nitrogen
from tankwright.checks.grouping import count, listed, rests, verb
from tankwright.finding import Finding, Number, Severity
from tankwright.room.model import Room
from tankwright.systems.water_life_model import Span, WaterLife

Check = Callable[[Room, WaterLife], Iterator[Finding]]


def check_water_life(room: Room, life: WaterLife) -> Iterator[Finding]:
    """Everything there is to say about it.

    >>> from tankwright.systems.water_life import solve_water_life
    >>> empty = Room(title="", display="metric", spaces=(), racks=(), tanks=())
    >>> list(check_water_life(empty, solve_water_life(empty, {}, {}, {})))
    []
    """
    for check in CHECKS:
        for finding in check(room, life):
            told = tuple(
                one for one in finding.numbers if math.isfinite(one[1].value)
            )  # "never" is a word, no number
            yield replace(finding, numbers=told)


def what_is_missing_is_named(_room: Room, life: WaterLife) -> Iterator[Finding]:
    """WATER-70: chlorine and nitrogen of every tank could be worked out."""
    reasons: dict[str, list[str]] = {}
    for subject, reason in life.not_computed:
        reasons.setdefault(reason, []).append(subject)
    for reason, subjects in reasons.items():
        tanks = [subject.removeprefix("tank ") for subject in subjects if subject.startswith("tank ")]
        if subjects == ["water"]:
            continue  # said once for all of the water
        yield Finding(
            code="WATER-70", severity=Severity.NOT_COMPUTED,
            subject=listed(tanks) if len(tanks) == len(subjects) else ", ".join(subjects),
            text=f"{verb(subjects, 'was', 'were')} not worked out: {reason}",
            reason="what is not worked out is not fine",
            remedy='say what is missing: [water.X] with its values, [[stock]] with count, mass or feed = "1 g/day"',
            places=tuple(tanks),
        )  # fmt: skip


def tanks_without_stock_are_named(_room: Room, life: WaterLife) -> Iterator[Finding]:
    """WATER-71: every tank has a stock where any has; one without counts as empty."""
    if life.without_stock and life.nitrogen:
        names = list(life.without_stock)
        yield Finding(
            code="WATER-71", severity=Severity.NOTE, subject=listed(names),
            text=f"{verb(names, 'counts', 'count')} as empty: no stock is said, so no nitrogen is worked out there",
            numbers=(("count", count(len(names))),),
            reason="nobody fed, nothing made; a tank that does hold fish is not fine because nothing is said of it",
            remedy="add a row of [[stock]] that names them, when they hold fish",
            places=tuple(names),
        )  # fmt: skip


def ammonia_is_judged(_room: Room, life: WaterLife) -> Iterator[Finding]:
    """WATER-72: the pH of every fed tank is known, so that its ammonia can be judged."""
    unknown = [one.tank for one in life.nitrogen if one.chronic is None]
    if unknown:
        yield Finding(
            code="WATER-72", severity=Severity.NOT_COMPUTED, subject=listed(unknown),
            text="could not be judged by the limits of ammonia: pH unknown, above 9, or water above 30 °C",
            reason="how much of the ammonia is the poisonous gas hangs on pH and warmth",
            remedy="say carbonate_hardness and general_hardness of the water, and test the tank's pH",
            places=tuple(unknown),
        )  # fmt: skip


def first_weeks_are_watched(_room: Room, life: WaterLife) -> Iterator[Finding]:
    """WATER-60: (always told) how long a new filter takes, as a band."""
    weeks = life.first_weeks
    if weeks is None:
        return
    late = weeks.days.high
    yield Finding(
        code="WATER-60", severity=Severity.NOTE, subject=listed([weeks.tank]),
        text="with a new filter under its full feed takes " + _span(weeks.days)
        + " until ammonia and nitrite are below {limit} for good; until then ammonia comes to {ammonia} and nitrite"
        " to {nitrite} of nitrogen at the usual seed",
        numbers=(("soonest", Number(weeks.days.low, "duration")), ("latest", Number(late, "duration")),
                 ("limit", Number(weeks.limit, "concentration")),
                 ("ammonia", Number(weeks.ammonia_peak.value, "concentration")),
                 ("nitrite", Number(weeks.nitrite_peak.value, "concentration"))),
        value=Number(weeks.days.value, "duration") if math.isfinite(weeks.days.value) else None,
        reason="bacteria double in about a day or more, so what the filter is seeded with decides: a band, not a date;"
        " a screening, low pH or little carbonate hardness stops them",
        remedy="start without fish or with a tenth of them, put in an old sponge, and let tests of ammonia and"
        " nitrite say when it is ready",
        source="two-step Monod growth; Blackburne and others (2007), Water Environment Research 79, 2437; the"
        " temperature of that growth was not seen, both ends of it are taken",
        places=(weeks.tank,), rests_on=rests(weeks.seed),
    )  # fmt: skip


def _span(days: Span) -> str:
    if math.isinf(days.high):
        return "{soonest} at the least"
    return "{soonest} to {latest}" if days.low > 0.0 else "up to {latest}"


CHECKS: Final[tuple[Check, ...]] = (
    *water_chlorine.CHECKS,
    *water_ammonia.CHECKS,
    *water_nitrogen.CHECKS,
    first_weeks_are_watched,
    what_is_missing_is_named,
    tanks_without_stock_are_named,
    ammonia_is_judged,
)
