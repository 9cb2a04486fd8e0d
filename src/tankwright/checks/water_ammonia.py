"""Judgement on ammonia: filters that keep up, what settles against what harms, what chloramine adds."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Final

from tankwright.checks.grouping import count, ends, listed, verb
from tankwright.checks.water_nitrogen import FEED_SOURCE, SCREENING, rests_of_nitrogen
from tankwright.finding import Finding, Number, Severity
from tankwright.room.model import Room
from tankwright.systems.water_life_model import TankNitrogen, WaterLife
from tankwright.systems.water_nitrogen import HALF_SATURATION, HARM

EPA: Final = "US EPA 822-R-13-001 (2013), set by mussels and snails, so careful for fish"
SURELY: Final = 1.02
"""By how much more sponge, or less feed, is told than what just does, so that the rounded number does too."""


def filters_keep_up(room: Room, life: WaterLife) -> Iterator[Finding]:
    """WATER-50: every filter can turn over the ammonia its tank makes."""
    over = [one for one in life.nitrogen if one.load.value >= one.capacity.value > 0.0 or _bare(one)]
    if not over:
        return
    worst = max(over, key=lambda one: one.load.value / max(one.capacity.value, 1e-30))
    sure = all(one.load.low >= one.capacity.high for one in over)
    names = [one.tank for one in over]
    sponge, feed = _sponge(over), min(_feed(one) for one in over)
    yield Finding(
        code="WATER-50", severity=Severity.PROBLEM if sure else Severity.WARNING, subject=listed(names),
        text=verb(names, "makes", "make") + " more ammonia than "
        + verb(names, "its filter turns", "their filters turn")
        + f" over: {worst.tank} {{load}} of nitrogen against {{capacity}}"
        + ends(worst.capacity.low, worst.capacity.high),
        numbers=(("load", _rate(worst.load.value)), ("capacity", _rate(worst.capacity.value)),
                 ("low", _rate(worst.capacity.low)), ("high", _rate(worst.capacity.high)),
                 ("lasting", _mg(_lasting(worst))),
                 ("media", Number(sponge, "volume")), ("feed", Number(feed, "mass_per_time"))),
        value=_rate(worst.load.value), limit=_rate(worst.capacity.value),
        reason=f"what is not turned over stays as ammonia until the drip carries it away; {SCREENING}",
        remedy=(f"{{media}} of sponge{_in_each(over)}" if sponge > 0.0 else "a filter")
        + (f", or no more than {{feed}} of feed{_in_each(over)}" if feed > 0.0 else "")
        + f", keeps {worst.tank} below {{lasting}}; a test of ammonia decides, for no sponge's rate is known",
        source=FEED_SOURCE, places=tuple(names), rests_on=rests_of_nitrogen(room, over),
    )  # fmt: skip


def _bare(one: TankNitrogen) -> bool:
    return one.capacity.value <= 0.0 < one.load.value


def ammonia_stays_low(room: Room, life: WaterLife) -> Iterator[Finding]:
    """WATER-51 and WATER-52: ammonia settles below what harms and below what the EPA holds to be too much.

    WATER-51 is a problem above the hour's limit, a warning above the month's or at 0.05 mg/L of NH3; WATER-52 says that
    only the unfriendly end of the band is above, so that a test decides.
    """
    keeping = [one for one in life.nitrogen if one.load.value < one.capacity.value]
    acute, chronic, perhaps = [], [], []
    for one in keeping:
        if one.acute is not None and one.ammonia.value > one.acute:
            acute.append(one)
        elif _above(one, "value"):
            chronic.append(one)
        elif _above(one, "high"):
            perhaps.append(one)
    for severity, tanks in ((Severity.PROBLEM, acute), (Severity.WARNING, chronic)):
        if tanks:
            yield _ammonia(room, tanks, severity)
    if perhaps:
        worst = max(perhaps, key=lambda one: one.ammonia.value)
        names = [one.tank for one in perhaps]
        yield Finding(
            code="WATER-52", severity=Severity.NOTE, subject=listed(names),
            text="may have more ammonia than is held to be good: "
            f"{worst.tank} settles at {{ammonia}} as nitrogen, but the weakest filter that is assumed leaves"
            + (" no end to it" if math.isinf(worst.ammonia.high) else " {high}")
            + f", and {_limit_words(worst)}",
            numbers=(("ammonia", _mg(worst.ammonia.value)), ("high", _mg(worst.ammonia.high)),
                     ("limit", _mg(_lasting(worst))), ("count", count(len(names)))),
            value=_mg(worst.ammonia.value), limit=_mg(_lasting(worst)),
            reason=f"no measured sponge filter at the ammonia of an aquarium was found; {SCREENING}",
            remedy="a test of ammonia some hours after feeding decides, and a dose of ammonia followed for a day in an"
            " empty tank gives the sponge's rate",
            source=f"{EPA}; {FEED_SOURCE}", places=tuple(names), rests_on=rests_of_nitrogen(room, perhaps),
        )  # fmt: skip


def _above(one: TankNitrogen, end: str) -> bool:
    over = one.chronic is not None and getattr(one.ammonia, end) > one.chronic
    return over or (one.unionised is not None and getattr(one.unionised, end) > HARM)


def _lasting(one: TankNitrogen) -> float:
    """kg/m3 of ammonia as nitrogen to stay under: the month's limit, or that at which the poisonous gas harms; where no
    pH is known, as much as leaves a filter at a third of its rate."""
    limits = [limit for limit in (one.chronic, one.harm) if limit is not None]
    return min(limits, default=HALF_SATURATION.value / 2.0)


def _limit_words(one: TankNitrogen) -> str:
    if one.chronic is not None and one.chronic == _lasting(one):
        return "a month's mean is not to pass {limit}"
    return "there the gas harms from {limit} on"


def _share(one: TankNitrogen) -> float:
    """The share of its rate at which a filter is to work at most."""
    lasting = _lasting(one)
    return min(lasting / (HALF_SATURATION.value + lasting), 1.0 / 3.0)


def _sponge(tanks: Sequence[TankNitrogen]) -> float:
    """The sponge that holds each of the tanks, m3; 0 where none is there whose rate one knows."""
    return max(
        (SURELY * one.media.value * one.load.value / (_share(one) * one.capacity.value)
         for one in tanks if one.capacity.value > 0.0),
        default=0.0,
    )  # fmt: skip


def _feed(one: TankNitrogen) -> float:
    """The feed the sponge there is holds, kg/s; 0 where it has no room beside what the water brings."""
    if one.from_feed.value <= 0.0:
        return 0.0
    room_for = _share(one) * one.capacity.value - (one.load.value - one.from_feed.value)
    return max(room_for, 0.0) * one.feed.value / one.from_feed.value / SURELY


def _in_each(tanks: Sequence[TankNitrogen]) -> str:
    return f" in {tanks[0].tank}" if len(tanks) == 1 else " in each"


def _ammonia(room: Room, tanks: Sequence[TankNitrogen], severity: Severity) -> Finding:
    """WATER-51: ammonia settles below what harms and below what the EPA holds to be too much."""
    worst = max(tanks, key=lambda one: one.ammonia.value / (one.chronic or 1.0))
    names = [one.tank for one in tanks]
    poison, lasting = worst.unionised, _lasting(worst)
    acute = severity is Severity.PROBLEM
    limit = worst.acute if acute and worst.acute is not None else lasting
    feed = min(_feed(one) for one in tanks)
    return Finding(
        code="WATER-51", severity=severity, subject=listed(names),
        text=verb(names, "settles", "settle") + f" at too much ammonia: {worst.tank} at {{ammonia}} as nitrogen"
        + (", without a limit at the weak end of its filter" if math.isinf(worst.ammonia.high)
           else ends(worst.ammonia.low, worst.ammonia.high))
        + ", {poison} of it the poisonous gas, at {temperature} and the pH {ph} of its new water in air; "
        + ("an hour's mean is not to pass {limit}" if acute else _limit_words(worst)),
        numbers=(("ammonia", _mg(worst.ammonia.value)), ("low", _mg(worst.ammonia.low)),
                 ("high", _mg(worst.ammonia.high)), ("poison", _mg(poison.value if poison else 0.0)),
                 ("ph", Number(worst.ph.value if worst.ph else 7.0, "ph")),
                 ("temperature", Number(worst.temperature.value, "temperature")), ("limit", _mg(limit)),
                 ("harm", _mg(HARM)),
                 ("lasting", _mg(lasting)), ("media", Number(_sponge(tanks), "volume")),
                 ("feed", Number(feed, "mass_per_time"))),
        value=_mg(worst.ammonia.value), limit=_mg(limit),
        reason=f"ammonia as a gas harms from {{harm}} on, and a filter works the slower the less there is; as hardness"
        f" is used up the pH falls, and less of it is gas; {SCREENING}",
        remedy=f"{{media}} of sponge{_in_each(tanks)}"
        + (f", or no more than {{feed}} of feed{_in_each(tanks)}," if feed > 0.0 else "")
        + f" keeps {worst.tank} below {{lasting}}; a test of ammonia some hours after feeding decides, for the"
        " sponge's rate is assumed",
        source=f"{EPA}; 0.05 mg/L of NH3: University of Florida IFAS, FA-16; {FEED_SOURCE}", places=tuple(names),
        rests_on=rests_of_nitrogen(room, tanks),
    )  # fmt: skip


def chloramine_adds_to_the_load(room: Room, life: WaterLife) -> Iterator[Finding]:
    """WATER-46: ammonia that chloramine leaves behind is a small part of what the filter takes."""
    much = [one for one in life.nitrogen if one.from_chloramine.value > 0.25 * one.load.value > 0.0]
    if not much:
        return
    worst, names = (
        max(much, key=lambda one: one.from_chloramine.value / one.load.value),
        [one.tank for one in much],
    )
    yield Finding(
        code="WATER-46", severity=Severity.NOTE, subject=listed(names),
        text=verb(names, "gets", "get") + f" much of the ammonia from chloramine: {worst.tank} {{released}} of"
        " nitrogen, {share} of all",
        numbers=(("released", _rate(worst.from_chloramine.value)),
                 ("share", Number(worst.from_chloramine.value / worst.load.value, "share"))),
        reason="carbon and thiosulfate take the chlorine out of it and leave 0.198 mg of nitrogen for each mg",
        remedy="count it when you choose the filter; test ammonia after a change of water",
        source="molar masses, 14.007 over 70.906", places=tuple(names), rests_on=rests_of_nitrogen(room, much),
    )  # fmt: skip


CHECKS: Final = (filters_keep_up, ammonia_stays_low, chloramine_adds_to_the_load)


def _mg(value: float) -> Number:
    return Number(value, "concentration")


def _rate(value: float) -> Number:
    return Number(value, "mass_per_time")
