"""The water tests in short, and in full for JSON: how each stands, how it goes, and why."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from tankwright.finding import Finding, Number, Severity
from tankwright.husbandry.calendar_words import days_words
from tankwright.husbandry.water_alkalinity import AlkalinityFall
from tankwright.husbandry.water_limits import Standing
from tankwright.husbandry.water_sentences import findings_beside, trend_words, verdict_finding
from tankwright.husbandry.water_verdicts import WaterVerdict
from tankwright.report.finding import json_finding, json_number
from tankwright.systems.water_life_model import Span

STANDING_WORDS: Final[dict[Standing, str]] = {
    "past hazard": "past what harms", "past want": "past what is wanted", "may be past": "may be past its limit",
    "not judged": "not judged", "no limit": "no limit known", "inside": "within its limits",
}  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class TrendRow:
    """One quantity of one tank as a row: what was read, how long ago, how it stands and goes, its sentence."""

    tank: str
    key: str
    quantity: str
    value: Number
    low: Number
    high: Number
    age: float
    ago: str
    severity: Severity
    stands: str
    goes: str
    sentence: Finding


def trend_row(one: WaterVerdict) -> TrendRow:
    """The row of a verdict."""
    last, dimension = one.series.last, one.quantity.dimension
    sentence = verdict_finding(one)
    stands = STANDING_WORDS[one.judged.standing]
    if one.old:
        stands = f"was {stands}, long ago"
    return TrendRow(
        tank=one.tank, key=one.quantity.key, quantity=one.quantity.name, value=Number(last.value, dimension),
        low=Number(last.low, dimension), high=Number(last.high, dimension), age=one.age, ago=days_words(one.age),
        severity=sentence.severity, stands=stands, goes=trend_words(one), sentence=sentence,
    )  # fmt: skip


def trend_rows(verdicts: Iterable[WaterVerdict]) -> tuple[TrendRow, ...]:
    """The rows of verdicts, in their order.

    >>> trend_rows(())
    ()
    """
    return tuple(trend_row(one) for one in verdicts)


def json_trends(
    verdicts: Sequence[WaterVerdict], unread: Sequence[Finding], never: Sequence[str]
) -> dict[str, object]:
    """Every verdict with its tests, what could not be read, and the tanks that were never tested.

    >>> json_trends((), (), ("A1",))
    {'verdicts': [], 'unread': [], 'never_tested': ['A1']}
    """
    return {
        "verdicts": [_verdict(one) for one in verdicts],
        "unread": [json_finding(one) for one in unread],
        "never_tested": list(never),
    }


def _verdict(one: WaterVerdict) -> dict[str, object]:
    dimension = one.quantity.dimension
    return {
        "tank": one.tank,
        "quantity": one.quantity.key,
        "standing": one.judged.standing,
        "trend": one.trend,
        "worse": one.worse,
        "age_days": one.age,
        "old": one.old,
        "sentence": json_finding(verdict_finding(one)),
        "beside": [json_finding(found) for found in findings_beside(one)],
        "limits": [
            {"kind": limit.kind, "low": limit.low, "high": limit.high, "says": limit.says, "source": limit.source}
            for limit in one.limits
        ],
        "usual": None if one.usual is None else {
            "tests": one.usual.count, "centre": json_number(Number(one.usual.centre, dimension)),
            "spread": one.usual.spread, "single": list(one.usual.single), "mean": list(one.usual.mean),
            "false_alarm_chance": one.usual.chance,
        },
        "fall": None if one.fall is None else _fall(one.fall),
        "expected": None if one.compared is None else {
            "expected": _span(one.compared.expected), "seen": _span(one.compared.seen),
            "ratio": _span(one.compared.ratio),
        },
        "since": None if one.since is None else {"at": one.since.at.isoformat(), "what": one.since.says},
        "tests": [
            {"at": read.at.isoformat(), "value": json_number(Number(read.value, dimension)), "low": read.low,
             "high": read.high, "method": read.method, "event": read.event}
            for read in one.series.readings
        ],
    }  # fmt: skip


def _fall(fall: AlkalinityFall) -> dict[str, object]:
    slow, fast = fall.rate
    return {
        "proved": fall.proved, "slow_a_day": _finite(slow), "fast_a_day": _finite(fast), "limit": fall.limit,
        "soonest_days": _finite(fall.soonest), "latest_days": _finite(fall.latest), "warns": fall.warns,
        "test_again": fall.again.isoformat(), "double_sample": fall.double,
        "ph_down": None if fall.ph_down is None else list(fall.ph_down),
        "nitrification_uses_a_day": None if fall.used is None else list(fall.used),
    }  # fmt: skip


def _span(span: Span) -> dict[str, float | None]:
    return {"low": _finite(span.low), "value": _finite(span.value), "high": _finite(span.high)}


def _finite(value: float) -> float | None:
    """A number JSON can say; None for one that has no end."""
    return value if math.isfinite(value) else None
