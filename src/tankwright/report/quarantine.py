"""Quarantines in sentences: how far each is and why, tonight's order of work, and what a sample could say."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Final

from tankwright.finding import Number
from tankwright.husbandry.freedom import CouldStillBe, Sample
from tankwright.husbandry.quarantine import WHY, Clock, Restart
from tankwright.husbandry.round_order import RoundOrder, Stop, Wash
from tankwright.husbandry.zones import WORDS
from tankwright.report.model import SummaryLine

NO_PROOF: Final = (
    "Nothing proves that fish are free of an illness; a sample only says how much could still be there. Killing fish "
    "to test them is your decision, with your vet: fish kept on the water that leaves the others show much of the same."
)
"""What stands beside every number of fish to test."""

Called = Callable[[str], str]
_DAY: Final = 86_400.0
_HOUR: Final = 3600.0


def clock_lines(clock: Clock, called: Called) -> tuple[SummaryLine, ...]:
    """How far a quarantine is, and what could make it longer.

    >>> from datetime import UTC, datetime
    >>> from tankwright.husbandry.quarantine import quarantine_clock
    >>> from tankwright.husbandry.register import Quarantine
    >>> shut = Quarantine(id="q", places=("p",), opened=datetime(2026, 8, 1, tzinfo=UTC), least_days=30.0)
    >>> clock_lines(quarantine_clock(shut, (), (), datetime(2026, 8, 11, tzinfo=UTC)), {}.get)[0].text
    '{gone} of {least} gone, {left} to go'
    """
    numbers = (
        ("gone", Number(clock.days_gone * _DAY, "duration")),
        ("least", Number(clock.quarantine.least_days * _DAY, "duration")),
        ("left", Number(clock.days_left * _DAY, "duration")),
    )
    gone = "{gone} of {least} gone" if clock.days_gone * _DAY >= _HOUR else "just begun"
    lines = [
        SummaryLine(f"{gone}; it may be opened" if clock.is_over else f"{gone}, {{left}} to go", numbers)
    ]
    if clock.water:
        few = ", ".join(called(one) or one for one in clock.water[:6])
        lines.append(
            SummaryLine(f"water comes in from {few}" + (" and others" if len(clock.water) > 6 else ""))
        )
    later = (clock.ends_if_unlucky - clock.ends).total_seconds()
    if later > 0:
        lines.append(SummaryLine(
            "{later} longer if water went a way it goes when something goes wrong",
            (("later", Number(later, "duration")),),
        ))  # fmt: skip
    return tuple(lines)


def restart_line(one: Restart, called: Called) -> SummaryLine:
    """Why a clock began, or began again.

    >>> from datetime import UTC, datetime
    >>> restart_line(Restart(at=datetime(2026, 8, 1, tzinfo=UTC), kind="arrived", place="p"), {"p": "Q1"}.get).text
    'fish arrived: Q1'
    """
    place = (called(one.place) or one.place) if one.place else ""
    return SummaryLine(WHY[one.kind] + (f": {place}" if place else ""))


def order_line(part: Stop | Wash) -> SummaryLine:
    """A part of the order of work: a stop with what it is, or the step in between.

    >>> order_line(Stop(id="1", place="A1", grade="fry")).text
    'A1: fry and eggs'
    """
    if isinstance(part, Wash):
        why = f"after {part.after.place}, " if part.after is not None else ""
        return SummaryLine(
            f"{why}before {part.before.place}: wash hands and arms, wash and disinfect what was wet, wait; {{minutes}}",
            (("minutes", Number(part.minutes * 60.0, "duration")),),
        )
    return SummaryLine(f"{part.place}: {WORDS.get(part.grade, part.grade)}")


def order_summary(order: RoundOrder) -> tuple[SummaryLine, ...]:
    """How many stops and washings, and how long the walk is."""
    washings = len(order.parts) - len(order.stops)
    lines = [SummaryLine(
        "{stops} stops, {washings} washings in between",
        (("stops", Number(len(order.stops), "number")), ("washings", Number(washings, "number"))),
    )]  # fmt: skip
    if order.metres is not None and order.stops:
        lines.append(SummaryLine(
            "about {walk} to walk" + ("" if order.exact else ", perhaps a little less another way"),
            (("walk", Number(order.metres, "length")),),
        ))  # fmt: skip
    return tuple(lines)


def sample_lines(sample: Sample) -> tuple[SummaryLine, ...]:
    """How many fish to test, and what to know about that number.

    >>> from tankwright.husbandry.freedom import fish_to_test
    >>> sample_lines(fish_to_test(100, share=0.05))[0].text
    'test {fish} of {group}: if {ill} or more of them are ill, at least one is found {confidence} of the time'
    """
    numbers = (
        ("fish", Number(sample.fish or 0, "number")), ("group", Number(sample.group, "number")),
        ("ill", Number(sample.ill, "number")), ("confidence", Number(sample.confidence, "share")),
        ("all", Number(sample.detects, "share")), ("asked", Number(sample.asked_share or 0.0, "share")),
        ("missed", Number(1.0 - sample.sensitivity, "share")),
    )  # fmt: skip
    if sample.fish is None:
        lines = [SummaryLine(
            "no number of fish will do: with all {group} tested, {ill} ill ones would be found only {all} of the time",
            numbers,
        )]  # fmt: skip
    else:
        lines = [SummaryLine(
            "test {fish} of {group}: if {ill} or more of them are ill, at least one is found {confidence} of the time",
            numbers,
        )]  # fmt: skip
    if sample.rounded:
        lines.append(SummaryLine("{asked} of {group} is no whole number of fish; {ill} was taken", numbers))
    if sample.number_instead:
        lines.append(
            SummaryLine("in so small a group ask for a number of ill fish, not for a share", numbers)
        )
    if sample.sensitivity < 1.0:
        lines.append(SummaryLine("the test is taken to miss {missed} of the ill", numbers))
    return tuple(lines)


def could_line(could: CouldStillBe) -> SummaryLine:
    """What could still be so after a sample.

    >>> from tankwright.husbandry.freedom import could_still_be
    >>> could_line(could_still_be(30)).text
    'with {positive} of {tested} ill, up to {share} could still be ill ({confidence} sure)'
    """
    numbers = (
        ("positive", Number(could.positive, "number")), ("tested", Number(could.tested, "number")),
        ("share", Number(could.share, "share")), ("confidence", Number(could.confidence, "share")),
        ("ill", Number(could.ill or 0, "number")), ("group", Number(could.group or 0, "number")),
    )  # fmt: skip
    if could.ill is not None:
        return SummaryLine(
            "with {positive} of {tested} ill, up to {ill} of the {group} could still be ill ({confidence} sure)",
            numbers,
        )
    return SummaryLine(
        "with {positive} of {tested} ill, up to {share} could still be ill ({confidence} sure)", numbers
    )


def clock_json(clock: Clock, called: Called) -> dict[str, Any]:
    """A quarantine as JSON: days, moments in UTC, places by name."""
    one = clock.quarantine
    return {
        "id": one.id, "places": [called(place) or place for place in one.places], "opened": one.opened.isoformat(),
        "least_days": one.least_days, "days_gone": clock.days_gone, "days_left": clock.days_left,
        "ends": clock.ends.isoformat(), "over": clock.is_over,
        "released": one.released.isoformat() if one.released else None,
        "restarts": [
            {"at": step.at.isoformat(), "kind": step.kind, "place": called(step.place) or step.place}
            for step in clock.restarts
        ],
        "could_restart": [
            {"at": step.at.isoformat(), "kind": step.kind, "place": called(step.place) or step.place}
            for step in clock.maybe
        ],
    }  # fmt: skip
