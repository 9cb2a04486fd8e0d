"""What a forecast of fry space, and the rhythm of the pairs, have to say to the keeper."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Final

from tankwright.finding import Finding, Number, Severity
from tankwright.husbandry.calendar_words import date_words, days_words
from tankwright.husbandry.fry_backtest import AIMED, Backtest
from tankwright.husbandry.fry_model import FryAsk, FryForecast, in_ten
from tankwright.husbandry.spawning import SetRhythm

RUNS_OUT: Final = "FRY-01"
HOLD: Final = "FRY-02"
FISH_MUST_GO: Final = "FRY-03"
NO_TANKS: Final = "FRY-04"
WATER_UNKNOWN: Final = "FRY-05"
ON_DEFAULTS: Final = "FRY-06"
USUAL_RULE: Final = "FRY-07"
BAND_OFF: Final = "FRY-08"
QUIET: Final = "FRY-09"
NOT_READ: Final = "FRY-10"
NOT_KEPT: Final = "FRY-11"
_SPACE: Final = "fry space"
_MANY: Final = 6


def fry_findings(
    told: FryForecast, *, unknown: Sequence[str] = (), past: Backtest | None = None,
    lines: Iterable[tuple[str, str]] = (),
) -> tuple[Finding, ...]:  # fmt: skip
    """What there is to say of a forecast. `unknown` are labels of tanks whose water nobody knows, `lines` the ids and
    names of lines."""
    return tuple(_findings(told, unknown, past, dict(lines)))


def _findings(
    told: FryForecast, unknown: Sequence[str], past: Backtest | None, lines: dict[str, str]
) -> Iterator[Finding]:
    ask = told.ask
    if not ask.tanks and (ask.standing or ask.coming):
        yield Finding(
            code=NO_TANKS, severity=Severity.WARNING, subject=_SPACE, text="no tank is free for fry",
            reason="what fry will need is told, and nothing is there to hold it against",
            remedy="say which tanks may be used for fry",
        )  # fmt: skip
    elif told.chance > ask.rules.limit and told.out_week is not None:
        yield _runs_out(told)
    yield from _what_to_do(told)
    if unknown:
        yield Finding(
            code=WATER_UNKNOWN, severity=Severity.NOT_COMPUTED, subject=_SPACE,
            text=f"the water of {_listed(unknown)} is not known, so {'it is' if len(unknown) == 1 else 'they are'} not"
            " counted as free for fry", remedy="give their litres in the register, or their sizes in the plan",
        )  # fmt: skip
    yield from _assumed(ask, lines)
    if past is not None and past.is_as_aimed is False:
        within = past.within or 0.0
        yield Finding(
            code=BAND_OFF, severity=Severity.NOTE, subject=_SPACE,
            text=f"of {len(past.weeks)} past weeks {{within}} lay in the band that should hold eight in ten",
            numbers=(("within", Number(within, "share")),),
            reason="the band is too narrow for this room" if within < AIMED[0] else "the band is wider than it need be",
            remedy="read it with that in mind; counts on more days and more broods mend it",
        )  # fmt: skip


def _runs_out(told: FryForecast) -> Finding:
    week = told.weeks[told.out_week or 0]
    decide = f"decide by {date_words(told.decide)}: " if told.decide is not None else ""
    cause = told.causes[0] if told.causes else None
    named = f"; {cause.label} makes the greatest difference" if cause is not None else ""
    return Finding(
        code=RUNS_OUT, severity=Severity.PROBLEM if told.chance > 0.5 else Severity.WARNING, subject=_SPACE,
        text=f"tanks for fry run out in {in_ten(told.chance)} of the ways the weeks may go, most of them in the week of"
        f" {date_words(week.begins)}{named}",
        reason=f"more than {in_ten(told.ask.rules.limit)}, which is what was said to be put up with",
        remedy=f"{decide}sell or give some away, split a brood into tanks that stand empty, or part a pair",
    )  # fmt: skip


def _what_to_do(told: FryForecast) -> Iterator[Finding]:
    labels = {one.id: one.label for one in told.ask.coming}
    if told.hold:
        names = _listed(tuple(dict.fromkeys(labels[one] for one in told.hold)))
        many = len(told.hold)
        yield Finding(
            code=HOLD, severity=Severity.NOTE, subject=_SPACE,
            text=f"{'' if told.enough_held else 'even '}without raising {many} of the coming spawns ({names}) the"
            f" chance to run out stays {'within' if told.enough_held else 'above'} the limit",
            reason="spawns were taken in the order they come, each that still leaves room is raised",
            remedy="take their eggs out, or part those pairs meanwhile",
        )  # fmt: skip
    if not told.enough_held and told.ask.tanks:
        yield Finding(
            code=FISH_MUST_GO, severity=Severity.WARNING, subject=_SPACE,
            text="broods that are there already need more tanks than there are, whatever spawns",
            remedy="find them homes, or more tanks", reason="no spawn held back mends that",
        )  # fmt: skip


def _assumed(ask: FryAsk, lines: dict[str, str]) -> Iterator[Finding]:
    used = dict.fromkeys([*(one.line for one in ask.standing), *(one.line for one in ask.coming)])
    bare = [
        lines.get(line, "fish of no line")
        for line in used
        if not any(r.own for r in ask.rates_of(line).rates.values())
    ]
    if bare:
        yield Finding(
            code=ON_DEFAULTS, severity=Severity.NOTE, subject=_SPACE,
            text=f"{_listed(bare)}: no own brood tells how many hatch, live and grow; the wide default is taken",
            remedy="count a brood at some days and measure a few: each one makes the forecast narrower",
        )  # fmt: skip
    if not ask.rules.density:
        yield Finding(
            code=USUAL_RULE, severity=Severity.NOTE, subject=_SPACE,
            text="how many fry a litre holds is a common rule without a source, not your own",
            remedy="write down what has gone well in your tanks",
        )  # fmt: skip


def quiet_finding(rhythm: SetRhythm, label: str) -> Finding | None:
    """A set that has gone quiet; None for one that has not, or of which that cannot be said.

    >>> from datetime import datetime
    >>> told = SetRhythm(breeding_set="a", spawns=6, intervals=(7, 8, 6, 7, 9), since=92.0, last=datetime(2026, 5, 1),
    ...                  usual=7.0, late=12.0, rhythm="quiet")
    >>> quiet_finding(told, "pair in B7").text
    'has not spawned for 3.0 months; its own usual interval is 7 days'
    """
    if rhythm.rhythm != "quiet" or rhythm.usual is None:
        return None
    return Finding(
        code=QUIET, severity=Severity.NOTE, subject=label,
        text=f"has not spawned for {rhythm.months:.1f} months; its own usual interval is {days_words(rhythm.usual)}",
        reason="longer than its intervals so far let expect in nineteen cases of twenty",
        remedy="look at what changed since it last spawned: food, water, tank, age, company",
    )  # fmt: skip


def _listed(names: Sequence[str]) -> str:
    shown = ", ".join(names[:_MANY])
    return shown if len(names) <= _MANY else f"{shown} and {len(names) - _MANY} more"
