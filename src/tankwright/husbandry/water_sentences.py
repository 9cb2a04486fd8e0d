"""A verdict on water in a sentence: is this bad, is it getting worse, what to do; and what is said beside it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from typing import Final

from tankwright.finding import Finding, Number, Severity
from tankwright.husbandry.calendar_words import date_words, days_range, days_words
from tankwright.husbandry.water_alkalinity import AlkalinityFall
from tankwright.husbandry.water_ammonia import HARM, AmmoniaJudged
from tankwright.husbandry.water_limits import WaterLimit
from tankwright.husbandry.water_readings import DAY, WaterReading
from tankwright.husbandry.water_verdicts import Trend, WaterVerdict, level_changes

PAST_HAZARD: Final = "TREND-01"
PAST_WANT: Final = "TREND-02"
FALL_SOON: Final = "TREND-03"
FALL: Final = "TREND-04"
JUMPED: Final = "TREND-05"
DRIFTS: Final = "TREND-06"
NOT_JUDGED: Final = "TREND-07"
AMMONIA: Final = "TREND-08"
NITRATE: Final = "TREND-09"
NO_LIMIT: Final = "TREND-10"
OLD: Final = "TREND-11"
CHANGED: Final = "TREND-12"
INSIDE: Final = "TREND-13"
MAY_BE_PAST: Final = "TREND-14"

CAUTION: Final = (
    "A screening of the water, not of the fish. Test again before anything is dosed, change water in small steps, and "
    "where fish are ill ask someone licensed to treat them."
)

_STEPS: Final = {
    "no2": "feed nothing, change part of the water, test every day until it is gone",
    "no3": "change more water, or feed less", "nh4": "feed nothing, change part of the water, test every day",
    "ph": "test again; change it slowly, over days", "temperature": "look at heater, thermostat and room",
    "oxygen": "look at the air now", "chlorine": "stop the feed, test its carbon, treat the water as its label says",
}  # fmt: skip
"""What to do about each quantity first. Common practice, no source."""

TREND_WORDS: Final[dict[Trend, str]] = {
    "falls": "falling", "rises": "rising", "jumped down": "suddenly lower than usual",
    "jumped up": "suddenly higher than usual", "drifts down": "drifting below its usual",
    "drifts up": "drifting above its usual", "steady": "no rise or fall is shown",
    "too few tests": "too few tests for a trend",
}  # fmt: skip


def trend_words(one: WaterVerdict) -> str:
    """What the tests say of the way it goes, in a few words."""
    said = TREND_WORDS[one.trend]
    return f"{said}, towards its limit" if one.worse else said


def verdict_finding(one: WaterVerdict) -> Finding:
    """The one sentence of a tank and quantity: how it stands, and how it goes."""
    if one.ammonia is not None and one.judged.limit is None and one.ammonia.standing.startswith("past"):
        return _gas(one, one.ammonia)
    standing = one.judged.standing
    if one.ammonia is not None and standing.startswith("past") and one.ammonia.gas is not None:
        return _gas(one, one.ammonia)
    if standing.startswith("past"):
        return _past(one)
    if one.fall is not None and one.fall.warns:
        return _fall(one, one.fall)
    if standing == "not judged" and one.ammonia is not None:
        return _not_judged(one, one.ammonia)
    if standing == "may be past":
        return _may_be_past(one)
    if one.old:
        return _plain(
            one, OLD, Severity.NOT_COMPUTED, f"was {{value}} {days_words(one.age)} ago: nothing is known of today",
            remedy="test it again",
        )  # fmt: skip
    if standing == "no limit":
        return _plain(
            one, NO_LIMIT, Severity.NOTE, f"is {{value}}; no limit is known for it; {trend_words(one)}"
        )
    return _plain(
        one, INSIDE, Severity.NOTE, f"is {{value}}, within its limits; {trend_words(one)}", _between(one)
    )


def findings_beside(one: WaterVerdict) -> tuple[Finding, ...]:
    """What is worth saying beside the verdict: a fall, a jump, a change, the plan's figures against the tests."""
    return tuple(_beside(one))


def water_findings(verdicts: Iterable[WaterVerdict]) -> tuple[Finding, ...]:
    """Every verdict's sentence and what stands beside it, in the order of the verdicts.

    >>> water_findings(())
    ()
    """
    return tuple(found for one in verdicts for found in (verdict_finding(one), *findings_beside(one)))


def _beside(one: WaterVerdict) -> Iterator[Finding]:
    if one.fall is not None and one.fall.proved:
        told = _fall(one, one.fall)
        if told.code == FALL or one.judged.standing.startswith("past"):
            yield told
    if one.departure is not None and one.usual is not None and (one.departure.jump or one.departure.drift):
        yield _left(one)
    once = one.departure is not None and one.departure.jump != 0 and not one.departure.lasting
    changed = level_changes(one)[-1:] if one.trend not in {"falls", "rises"} and not once else ()
    for moment in changed:
        days = (one.taken[-1].at - moment).total_seconds() / DAY
        yield _plain(
            one, CHANGED, Severity.NOTE,
            f"took a new level on {date_words(moment)}, {days_words(days)} before the newest test",
            reason="no cause that is noted explains it" if one.since is None else "",
            remedy="note what was done that day, so that the next look knows it",
        )  # fmt: skip
    if one.compared is not None and one.compared.apart:
        yield _nitrate(one)
    if one.ammonia is not None and one.ammonia.missing and one.judged.standing != "not judged":
        yield _not_judged(one, one.ammonia)


def _number(one: WaterVerdict, value: float) -> Number:
    return Number(value, one.quantity.dimension)


def _plain(  # noqa: PLR0913 - the parts of one finding
    one: WaterVerdict, code: str, severity: Severity, text: str, limit: float | None = None, *, reason: str = "",
    remedy: str = "", source: str = "", numbers: tuple[tuple[str, Number], ...] = (),
) -> Finding:  # fmt: skip
    value = _number(one, one.series.last.value)
    return Finding(
        code=code, severity=severity, subject=f"{one.tank}, {one.quantity.name}", text=text,
        numbers=(("value", value), *numbers), value=value, limit=None if limit is None else _number(one, limit),
        reason=reason, remedy=remedy, source=source, places=(one.tank,),
    )  # fmt: skip


def _between(one: WaterVerdict) -> float | None:
    """The limit nearest to what was read."""
    bounds = [end for limit in one.limits for end in (limit.low, limit.high) if end is not None]
    return min(bounds, key=lambda bound: abs(bound - one.series.last.middle), default=None)


def _past(one: WaterVerdict) -> Finding:
    limit, side = one.judged.limit, one.judged.side
    assert limit is not None  # what is past has a limit
    hazard = limit.kind == "hazard"
    bound = one.judged.bound
    way = "below" if side == "low" else "above"
    meant = {"hazard": "", "wanted": " that its zone wants", "usual": " that is usual"}[limit.kind]
    text = f"is {{value}}{_ago(one)}, {way} the {{limit}}{meant}; {trend_words(one)}"
    return _plain(
        one, PAST_HAZARD if hazard else PAST_WANT, Severity.PROBLEM if hazard else Severity.WARNING, text, bound,
        reason=limit.says, remedy=_what_to_do(one, limit), source=limit.source,
        numbers=(("limit", _number(one, bound if bound is not None else math.nan)),),
    )  # fmt: skip


def _ago(one: WaterVerdict) -> str:
    return f" ({days_words(one.age)} ago)" if one.old else ""


def _what_to_do(one: WaterVerdict, limit: WaterLimit) -> str:
    """A careful next step; common practice, no source."""
    key = one.quantity.key
    if key in {"kh", "gh"}:
        way = "harder" if one.judged.side == "low" else "softer"
        does = f"test again; change part of the water for {way}, over days, never at once"
    else:
        does = _STEPS.get(key, "test again, then change part of the water")
    return f"{does}. {CAUTION}" if limit.kind == "hazard" else does


def _may_be_past(one: WaterVerdict) -> Finding:
    limit, bound = one.judged.limit, one.judged.bound
    hazard = limit is not None and limit.kind == "hazard"
    way = "below" if one.judged.side == "low" else "above"
    finer = "with twice the sample" if one.quantity.way == "drops" else "by a finer test"
    source = limit.source if limit is not None else ""
    if limit is None or bound is None:  # ammonia: by the gas
        gas = one.ammonia.gas if one.ammonia is not None else None
        return _plain(
            one, MAY_BE_PAST, Severity.WARNING, f"is {{value}}{_ago(one)}: at its pH and temperature that may be as "
            "much as {gas} of NH3, and {harm} harms", remedy=f"test again {finer}, with pH and temperature",
            numbers=(("gas", Number(gas[2] if gas else math.nan, "concentration")),
                     ("harm", Number(HARM, "concentration"))),
        )  # fmt: skip
    return _plain(
        one, MAY_BE_PAST, Severity.WARNING if hazard else Severity.NOTE,
        f"is {{value}}{_ago(one)} as it was read, and may really be {way} {{limit}}; {trend_words(one)}", bound,
        reason=f"such a test tells between {{low}} and {{high}}{'; ' + limit.says if limit.says else ''}",
        remedy=f"test again {finer}", source=source,
        numbers=(("limit", _number(one, bound)), ("low", _number(one, one.series.last.low)),
                 ("high", _number(one, one.series.last.high))),
    )  # fmt: skip


def _fall(one: WaterVerdict, fall: AlkalinityFall) -> Finding:
    slow, fast = fall.rate
    numbers = [("slow", _number(one, max(slow, 0.0))), ("fast", _number(one, fast))]
    rates = (
        "{fast}" if fast - slow < 0.01 * fast else "{slow} to {fast}"
    )  # one line alone fits through all tests
    text = f"is {{value}}{_ago(one)} and falls {rates} a day"
    if fall.limit is not None:
        numbers.append(("limit", _number(one, fall.limit)))
        text += (
            f"; {{limit}} in {days_range(fall.soonest, fall.latest)}"
            if fall.latest > 0.0
            else ", by that perhaps past {limit} already"
        )
    text += f"; test again on {date_words(fall.again)}" + (" with a double sample" if fall.double else "")
    reason = "pH follows late: half the alkalinity costs it only 0.3"
    if fall.ph_down is not None:
        numbers += [("ph_low", Number(fall.ph_down[0], "ph")), ("ph_high", Number(fall.ph_down[1], "ph"))]
        alike = fall.ph_down[1] - fall.ph_down[0] < 0.01
        reason += (
            f"; so far {'{ph_high}' if alike else '{ph_low} to {ph_high}'}, were the carbon dioxide the same"
        )
    if fall.used is not None:
        numbers += [("used_low", _number(one, fall.used[0])), ("used_high", _number(one, fall.used[1]))]
        reason += (
            "; making nitrate of what is fed uses {used_low} to {used_high} of it a day, before new water"
        )
    return _plain(
        one, FALL_SOON if fall.warns else FALL, Severity.WARNING if fall.warns else Severity.NOTE, text, fall.limit,
        reason=reason, remedy="change part of the water or feed less, and raise it slowly if it is low already",
        source="every straight line through the readings as ranges; 7.14 mg of alkalinity a mg of nitrogen",
        numbers=tuple(numbers),
    )  # fmt: skip


def _left(one: WaterVerdict) -> Finding:
    usual, left = one.usual, one.departure
    assert usual is not None  # asked only where there is one
    assert left is not None
    jumped = left.jump != 0
    limits = usual.single if jumped else usual.mean
    up = (left.jump or left.drift) > 0
    since = one.taken[left.since].at if left.since is not None else one.taken[-1].at
    what = "is {value}" if jumped else "is {value}, and the mean of its last tests {mean}"
    return _plain(
        one, JUMPED if jumped else DRIFTS, Severity.WARNING if one.worse else Severity.NOTE,
        f"{what}: {'above' if up else 'below'} its usual {{low}} to {{high}}"
        + (f", since {date_words(since)}" if left.lasting else ", this once so far"),
        reason=f"usual is what its first {usual.count} tests since the last change show; such limits are passed by "
        "chance {chance} of the time",
        remedy="test again; if it is so, look what was done since",
        source="robust centre and spread, limits by a budget of false alarms a year; NIST/SEMATECH e-Handbook 6.3.2",
        numbers=(("low", _number(one, _floor(one, limits[0]))), ("high", _number(one, limits[1])),
                 ("mean", _number(one, left.means[-1] if left.means else one.taken[-1].middle)),
                 ("chance", Number(usual.chance, "share"))),
    )  # fmt: skip


def _floor(one: WaterVerdict, value: float) -> float:
    return value if one.quantity.dimension == "temperature" else max(value, 0.0)


def _nitrate(one: WaterVerdict) -> Finding:
    compared = one.compared
    assert compared is not None  # asked only where there is one
    more = compared.apart == "above"
    return _plain(
        one, NITRATE, Severity.NOTE,
        "by the tests is {seen}, {low} to {high} times the {expected} the plan's figures lead to",
        reason="more is fed, or less water changed, than the plan says" if more
        else "less is fed or more water changed than the plan says, or plants take some",
        remedy="look at feed, drip and stock in the plan; then its figures fit this tank",
        source="mass balance of the plan's feed and drip, as the page of the water has it",
        numbers=(("seen", _number(one, compared.seen.value)), ("expected", _number(one, compared.expected.value)),
                 ("low", Number(compared.ratio.low, "number")), ("high", Number(compared.ratio.high, "number"))),
    )  # fmt: skip


def _not_judged(one: WaterVerdict, ammonia: AmmoniaJudged) -> Finding:
    return _plain(
        one, NOT_JUDGED, Severity.NOT_COMPUTED,
        f"is {{value}}{_ago(one)}; how much of it is poisonous is not known: {ammonia.missing}",
        reason="from pH 7 to 8 the poisonous share grows tenfold",
        remedy="test pH and temperature with it",
    )  # fmt: skip


def _gas(one: WaterVerdict, ammonia: AmmoniaJudged) -> Finding:
    gas, ph, warmth = ammonia.gas, ammonia.ph, ammonia.temperature
    assert gas is not None  # judged
    assert ph is not None
    assert warmth is not None
    hazard = ammonia.standing == "past hazard"
    numbers = [
        ("gas", Number(gas[1], "concentration")), ("least", Number(gas[0], "concentration")),
        ("most", Number(gas[2], "concentration")), ("harm", Number(HARM, "concentration")),
        ("ph", Number(ph.value, "ph")), ("warmth", Number(warmth.value, "temperature")),
    ]  # fmt: skip
    text = (
        f"is {{value}}{_ago(one)}: {{gas}} ({{least}} to {{most}}) of poisonous NH3 at pH {{ph}} ({_apart(one, ph)}) "
        f"and {{warmth}} ({_apart(one, warmth)})"
    )
    if ammonia.chronic is not None and ammonia.acute is not None:
        numbers += [("nitrogen", Number(ammonia.nitrogen[1], "concentration")),
                    ("chronic", Number(ammonia.chronic, "concentration")),
                    ("acute", Number(ammonia.acute, "concentration"))]  # fmt: skip
        text += "; as nitrogen {nitrogen} of all ammonia, where {chronic} is the most for weeks and {acute} for an hour"
    return Finding(
        code=AMMONIA, severity=Severity.PROBLEM if hazard else Severity.WARNING,
        subject=f"{one.tank}, {one.quantity.name}", text=f"{text}; {trend_words(one)}",
        numbers=(("value", _number(one, one.series.last.value)), *numbers),
        value=Number(gas[1], "concentration"), limit=Number(HARM, "concentration"),
        reason="{harm} of NH3 harms; the limits of all ammonia are set by mussels and snails, careful for fish",
        remedy=f"feed nothing, change part of the water with water of the same pH, test every day. {CAUTION}",
        source="Emerson and others (1975); IFAS FA-16; US EPA 822-R-13-001", places=(one.tank,),
    )  # fmt: skip


def _apart(one: WaterVerdict, reading: WaterReading) -> str:
    """When another test was made, seen from this one."""
    days = (reading.at - one.series.last.at).total_seconds() / DAY
    if abs(days) < 0.5:
        return "tested with it"
    return f"tested {days_words(abs(days))} {'before' if days < 0 else 'after'} it"
