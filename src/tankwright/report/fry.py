"""Fry space in words and as JSON: tanks week by week, the chance to run out, the day to decide, what it rests on."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from tankwright.finding import Finding, Number
from tankwright.husbandry.calendar_words import date_words
from tankwright.husbandry.fry_backtest import AHEAD, FEWEST, Backtest
from tankwright.husbandry.fry_model import Cause, FryForecast, FryWeek, in_ten
from tankwright.husbandry.fry_rates import KINDS_OF_RATE, FryRates, Rate
from tankwright.report.finding import json_finding
from tankwright.report.model import SummaryLine

CAUTION = (
    "A forecast by chance from the spawns, losses and growth that were written down: so many of ten ways the weeks may"
    " go, not what will come. Density is your own rule, or a common one without a source."
)
_MOST_CAUSES = 5


def summary_fry(told: FryForecast) -> Iterator[SummaryLine]:
    """What matters most first: the chance to run out, the day to decide, the fullest week, what to hold."""
    ask = told.ask
    if not ask.standing and not ask.coming:
        yield SummaryLine("no fry are there, and no pair is expected to spawn: nothing is needed")
        return
    fullest = max(told.weeks, key=lambda week: week.middle)
    if not ask.tanks:
        yield SummaryLine("no tank is free for fry, so nothing can be said of running out")
    elif told.chance <= 0.0:
        yield SummaryLine(f"of the ways the {len(told.weeks)} weeks may go, tanks for fry run out in none")
    else:
        week = told.weeks[told.out_week or 0]
        yield SummaryLine(
            f"tanks for fry run out in {in_ten(told.chance)} of the ways the weeks may go, most of them in the week of"
            f" {date_words(week.begins)}"
        )
    if told.decide is not None:
        yield SummaryLine(f"decide by {date_words(told.decide)}: sell, split, or part a pair")
    yield SummaryLine(
        f"fullest in the week of {date_words(fullest.begins)}: {week_words(fullest)}, of {len(ask.tanks)} that may hold"
        f" fry, with {{water}} in all", (("water", Number(fullest.volume_middle, "volume")),),
    )  # fmt: skip
    yield SummaryLine(
        f"reckoned: {_many(len(ask.standing), 'brood')} there, {_many(len(ask.coming), 'spawn')} to come"
    )


def _many(number: int, what: str) -> str:
    return f"{number} {what}{'' if number == 1 else 's'}"


def week_words(week: FryWeek) -> str:
    """The tanks of a week.

    >>> from datetime import date
    >>> week_words(FryWeek(number=0, begins=date(2026, 5, 1), low=2, middle=3, high=5, volume_low=0, volume_middle=0,
    ...                    volume_high=0, chance_out=0))
    '3 tanks (2 to 5)'
    """
    tanks = _many(round(week.middle), "tank")
    return tanks if week.low == week.high else f"{tanks} ({week.low:.0f} to {week.high:.0f})"


def cause_words(told: FryForecast, cause: Cause) -> str:
    """What a brood or spawn does to the chance."""
    if cause.day is None:
        what = f"{cause.label}, which is there"
    elif cause.day < 0.0:
        what = f"spawn of {cause.label}, not hatched yet"
    else:
        what = f"spawn of {cause.label} expected about {date_words(told.begins(int(cause.day // 7)))}"
    return f"without {what}: {in_ten(cause.without)} instead of {in_ten(told.chance)}"


def main_causes(told: FryForecast) -> tuple[Cause, ...]:
    """The few that make the greatest difference."""
    return told.causes[:_MOST_CAUSES]


def rate_numbers(rates: FryRates) -> Iterator[tuple[str, Rate, Number, Number, Number]]:
    """Every rate: what it says, itself, its middle, and between what eight broods in ten lie."""
    dimensions = {"share": "share", "d": "duration", "m/d": "length", "": "number"}
    for key, kind in KINDS_OF_RATE.items():
        rate = rates.of(key)
        factor = 86400.0 if kind.unit == "d" else 1.0
        low, high = rate.ends()
        of = dimensions[kind.unit]
        yield (
            f"{kind.says}{' a day' if kind.unit == 'm/d' else ''}", rate, Number(rate.middle * factor, of),
            Number(low * factor, of), Number(high * factor, of),
        )  # fmt: skip


def past_words(past: Backtest) -> str:
    """How forecasts of past weeks did."""
    many = len(past.weeks)
    if past.within is None or past.within_a_tank is None:
        return f"{many} past weeks can be looked at; {FEWEST} are needed to say how often the band holds"
    return (
        f"of {many} past weeks, each forecast {AHEAD} weeks before, {past.within:.0%} lay in the band meant to hold"
        f" 80 %; in {past.within_a_tank:.0%} the middle was off by one tank at most"
    )


def json_fry(told: FryForecast, past: Backtest | None, findings: tuple[Finding, ...]) -> Mapping[str, Any]:
    """All of it; days as 2026-05-31, volumes in m3, lengths in m, chances as shares."""
    ask = told.ask
    return {
        "start": ask.start.isoformat(), "draws": ask.draws, "chance_to_run_out": told.chance,
        "worst_week": None if told.out_week is None else told.begins(told.out_week).isoformat(),
        "decide_by": told.decide.isoformat() if told.decide else None,
        "tanks": [{"label": one.label, "volume_m3": one.volume} for one in ask.tanks],
        "weeks": [
            {
                "begins": week.begins.isoformat(), "tanks_low": week.low, "tanks_middle": week.middle,
                "tanks_high": week.high, "volume_low_m3": week.volume_low, "volume_middle_m3": week.volume_middle,
                "volume_high_m3": week.volume_high, "chance_to_run_out": week.chance_out,
            }
            for week in told.weeks
        ],
        "causes": [{"id": one.id, "label": one.label, "chance_without": one.without} for one in told.causes],
        "hold": list(told.hold), "holding_is_enough": told.enough_held,
        "rules": {
            "density": [{"up_to_m": one.up_to, "per_litre": one.per_litre} for one in ask.density],
            "density_is_own": bool(ask.rules.density), "gone_days": ask.rules.gone_days, "limit": ask.rules.limit,
            "lead_days": ask.rules.lead_days, "apart": ask.rules.apart,
        },
        "rates": {
            line: {
                key: {"middle": rate.middle, "spread": rate.spread, "own_broods": rate.own, "told": rate.told}
                for key, rate in rates.rates.items()
            }
            for line, rates in ask.rates.items()
        },
        "past": None if past is None else {
            "within": past.within, "within_one_tank": past.within_a_tank,
            "weeks": [
                {"made": one.made.isoformat(), "begins": one.begins.isoformat(), "low": one.low, "middle": one.middle,
                 "high": one.high, "came": one.came}
                for one in past.weeks
            ],
        },
        "findings": [json_finding(one) for one in findings],
    }  # fmt: skip
