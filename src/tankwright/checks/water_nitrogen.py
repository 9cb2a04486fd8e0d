"""Judgement on nitrogen: filters that keep up, ammonia, the hardness they use, nitrate and what holds it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from typing import Final

from tankwright.checks.grouping import ends, listed, rests_of_all, verb
from tankwright.finding import Finding, Number, Severity
from tankwright.origin import Known
from tankwright.room.model import Room
from tankwright.systems.water_life_model import NitrateWant, TankNitrogen, WaterLife

DAY: Final = 86_400.0
LEAST_HARDNESS: Final = 0.050
"""kg/m3 (50 mg/L as calcium carbonate, 2.8 °dH), kept where filters work. Source: fish farms keep 50 to 100 mg/L,
from memory."""

FEED_SOURCE: Final = (
    "feed x protein x 0.092, Timmons and Ebeling, from memory; sponge rates assumed, Monod's law"
)
SCREENING: Final = "a screening of the water, not of the fish: measure"
HELPS: Final = "plants, and what the bed turns to gas, help and are not counted"


def hardness_is_left(room: Room, life: WaterLife) -> Iterator[Finding]:
    """WATER-53: the drip brings more carbonate hardness than the filters use."""
    dripped = [one for one in life.nitrogen if one.inflow > 0.0 and one.hardness is not None]
    gone = [one for one in dripped if one.hardness and one.hardness.value <= 0.0]
    little = [one for one in dripped if one.hardness and 0.0 < one.hardness.value < _least(one)]
    for severity, tanks in ((Severity.PROBLEM, gone), (Severity.WARNING, little)):
        if not tanks:
            continue
        worst = min(tanks, key=lambda one: one.hardness.value if one.hardness else 0.0)
        source = worst.source_hardness.value if worst.source_hardness else 0.0
        left = worst.hardness.value if worst.hardness else 0.0
        used, names, least = source - left, [one.tank for one in tanks], _least(worst)
        sure = worst.hardness is not None and worst.hardness.high < least
        flips = "" if sure else "; a KH test of the tank beside one of the tap decides"
        times = max(_times(one) for one in tanks)
        weekly = worst.inflow * DAY * 7.0
        reachable = times * weekly <= 7.0 * worst.volume
        yield Finding(
            code="WATER-53", severity=severity if sure else Severity.WARNING, subject=listed(names),
            text=verb(names, "uses", "use") + (" up all the carbonate hardness the drip brings" if severity is
            Severity.PROBLEM else " most of the carbonate hardness the drip brings")
            + f": of {{source}} {worst.tank} wants {{used}}"
            + ("" if severity is Severity.PROBLEM else " and keeps {left}"),
            numbers=(("source", _hard(source)), ("used", _hard(used)), ("left", _hard(left)), ("least", _hard(least)),
                     ("times", Number(times, "number")), ("weekly", Number(times * weekly, "volume")),
                     ("now", Number(weekly, "volume"))),
            value=_hard(left), limit=_hard(least),
            reason="a milligram of nitrogen turned over in a litre costs 0.40 °dH; once it is used up the pH falls and"
            f" the filter stops; {SCREENING}",
            remedy=(f"{{times}} times the new water, {{weekly}} a week in {worst.tank} instead of {{now}}, keeps"
                    " {least}, or less feed, or lime in the filter" if reachable else
                    "lime in the filter, a water with more of it in the blend, or less feed: new water cannot bring"
                    " what it has not") + "; watch KH before pH" + flips,
            source="stoichiometry, 7.14 of calcium carbonate for 1 of nitrogen, by mass;"
            " 50 mg/L kept in farms, from memory",
            places=tuple(names), rests_on=rests_of_nitrogen(room, tanks, *(one.source_hardness for one in tanks)),
        )  # fmt: skip


def _times(one: TankNitrogen) -> float:
    """How many times the new water it would take to keep what is to be left, rounded up to a tenth; infinite where the
    new water has none."""
    source, left = one.source_hardness, one.hardness
    if source is None or left is None or source.value <= 0.0:
        return math.inf
    return math.ceil(10.0 * (source.value - left.value) / (source.value - _least(one))) / 10.0


def _least(one: TankNitrogen) -> float:
    """What is to be left; of a soft water, half of what it brings."""
    source = one.source_hardness.value if one.source_hardness else 0.0
    return min(LEAST_HARDNESS, source / 2.0)


def nitrate_is_held(room: Room, life: WaterLife) -> Iterator[Finding]:
    """WATER-55, WATER-56 and WATER-57: nitrate of dripped tanks settles below what their zone wants.

    WATER-55 says that it is above, WATER-56 that it may be, WATER-57 that no drip can bring it down.
    """
    wants = {want.tank: want for want in life.wants}
    dripped = [
        one for one in life.nitrogen if one.inflow > 0.0 and one.nitrate is not None and one.tank in wants
    ]
    beyond: list[TankNitrogen] = []
    above: list[TankNitrogen] = []
    perhaps: list[TankNitrogen] = []
    for one in dripped:
        if math.isinf(wants[one.tank].weekly.value):
            beyond.append(one)
        elif _nitrate(one) > wants[one.tank].wanted.value:
            above.append(one)
        elif one.wanted_nitrate is not None and _nitrate(one, "high") > one.wanted_nitrate.value:
            perhaps.append(one)
    for tanks in _alike(beyond, wants):
        yield _unreachable(room, tanks, wants)
    for severity, above_it in (
        (Severity.WARNING, [one for one in above if one.wanted_nitrate is not None]),
        (Severity.NOTE, [one for one in above if one.wanted_nitrate is None]),
    ):
        for tanks in _alike(above_it, wants):
            yield _nitrated(room, life, tanks, wants, severity)
    for tanks in _alike(perhaps, wants):
        yield _perhaps(room, tanks, wants)


def _alike(tanks: Sequence[TankNitrogen], wants: Mapping[str, NitrateWant]) -> list[list[TankNitrogen]]:
    """The tanks by what is wanted of them, the strictest first, so that a verdict names one limit."""
    groups: dict[float, list[TankNitrogen]] = {}
    for one in tanks:
        groups.setdefault(wants[one.tank].wanted.value, []).append(one)
    return [groups[wanted] for wanted in sorted(groups)]


def _unreachable(room: Room, tanks: Sequence[TankNitrogen], wants: Mapping[str, NitrateWant]) -> Finding:
    """WATER-57: every wanted nitrate can be held with the new water there is."""
    worst = max(tanks, key=lambda one: one.source_nitrate.value if one.source_nitrate else 0.0)
    source = worst.source_nitrate.value if worst.source_nitrate else 0.0
    names, wanted = [one.tank for one in tanks], wants[worst.tank].wanted.value
    return Finding(
        code="WATER-57", severity=Severity.WARNING, subject=listed(names),
        text="cannot be held at {wanted} of nitrate by any program: the new water"
        + (" has {source} itself" if len(tanks) == 1 else f" of {worst.tank} has {{source}} itself"),
        numbers=(("wanted", _mg(wanted)), ("source", _mg(source))), value=_mg(source), limit=_mg(wanted),
        reason="new water can bring a tank no lower than it is itself",
        remedy=("feed it from a source instead of out of another tank" if _out_of_a_tank(room, worst.tank) else
                "a water with less nitrate in the blend, such as rain or what a membrane leaves")
        + ", or a higher want",
        source="mass balance of a stirred tank", places=tuple(names),
        rests_on=rests_of_all([*(one.source_nitrate for one in tanks)]),
    )  # fmt: skip


def _perhaps(room: Room, tanks: Sequence[TankNitrogen], wants: Mapping[str, NitrateWant]) -> Finding:
    """WATER-56: nitrate settles below what is wanted with the most feed that is assumed too."""
    worst = max(tanks, key=lambda one: _nitrate(one, "high"))
    names, wanted = [one.tank for one in tanks], wants[worst.tank].wanted.value
    return Finding(
        code="WATER-56", severity=Severity.NOTE, subject=listed(names),
        text=f"may settle above the wanted nitrate of {{wanted}}: {worst.tank} at {{nitrate}}, or at {{high}} with"
        " the most feed and protein that is assumed",
        numbers=(("wanted", _mg(wanted)), ("nitrate", _mg(_nitrate(worst))), ("high", _mg(_nitrate(worst, "high")))),
        value=_mg(_nitrate(worst)), limit=_mg(wanted),
        reason="the weight of a week's feed and the protein on its label decide which it is",
        remedy="weigh a week's feed and say it, or follow nitrate over four weeks",
        source=FEED_SOURCE, places=tuple(names), rests_on=rests_of_nitrogen(room, tanks),
    )  # fmt: skip


def _out_of_a_tank(room: Room, tank: str) -> bool:
    return any(
        run.source_kind == "tank" and any(outlet.tank == tank for outlet in run.outlets) for run in room.feeds
    )


def _nitrated(
    room: Room,
    life: WaterLife,
    tanks: Sequence[TankNitrogen],
    wants: Mapping[str, NitrateWant],
    severity: Severity,
) -> Finding:
    """WATER-55: nitrate of dripped tanks settles below what their zone wants."""
    worst = max(tanks, key=lambda one: wants[one.tank].weekly.value / one.inflow)
    names, want = [one.tank for one in tanks], wants[worst.tank]
    fed = {run.id for run in room.feeds if any(outlet.tank in names for outlet in run.outlets)}
    programs = [
        one for one in life.programs if one.run in fed and _minutes(one.needed.value) > one.minutes_now
    ]
    settled = worst.nitrate
    weekly = ends(want.weekly.low, want.weekly.high, "{least} to {most}")
    remedy = f"{{weekly}} of new water a week in {worst.tank}{weekly} instead of {{now}}"
    if programs:
        remedy += ": " + "; ".join(
            f"{one.run} open {{needed{place}}} a day instead of {{minutes{place}}}"
            + ("" if one.needed.value <= DAY else ", which no day has: wider drippers")
            for place, one in enumerate(programs)
        )
    return Finding(
        code="WATER-55", severity=severity, subject=listed(names),
        text=verb(names, "settles", "settle") + " above "
        + ("the wanted nitrate" if severity is Severity.WARNING else "the usual nitrate, its zone wanting none,")
        + f" of {{wanted}}: {worst.tank} at {{nitrate}}" + (ends(settled.low, settled.high) if settled else "")
        + (", passing it after {passes}" if want.passes.value > 0.0 else ""),
        numbers=(("wanted", _mg(want.wanted.value)), ("nitrate", _mg(_nitrate(worst))),
                 ("low", _mg(settled.low if settled else 0.0)), ("high", _mg(settled.high if settled else 0.0)),
                 ("passes", Number(want.passes.value, "duration")),
                 ("weekly", Number(want.weekly.value, "volume")), ("least", Number(want.weekly.low, "volume")),
                 ("most", Number(want.weekly.high, "volume")),
                 ("now", Number(worst.inflow * DAY * 7.0, "volume")),
                 *(number for place, one in enumerate(programs) for number in (
                     (f"needed{place}", Number(_minutes(one.needed.value), "duration")),
                     (f"minutes{place}", Number(one.minutes_now, "duration"))))),
        value=_mg(_nitrate(worst)), limit=_mg(want.wanted.value),
        reason=f"what is fed leaves only with the water; {HELPS}",
        remedy=remedy + ", or less feed; a nitrate test over some weeks shows how much",
        source=FEED_SOURCE, places=tuple(names),
        rests_on=rests_of_nitrogen(room, tanks, *(one.source_nitrate for one in tanks)),
    )  # fmt: skip


def tanks_without_a_drip_are_changed(room: Room, life: WaterLife) -> Iterator[Finding]:
    """WATER-58: no tank that is fed goes without new water, where nitrate would grow without end."""
    wants = {want.tank: want for want in life.wants}
    still = [one for one in life.nitrogen if one.inflow <= 0.0 and one.tank in wants and one.rise.value > 0.0]
    if not still:
        return
    worst = max(still, key=lambda one: wants[one.tank].share.value)
    want, names = wants[worst.tank], [one.tank for one in still]
    reachable = want.share.value <= 1.0
    lasts = worst.hardness_lasts
    yield Finding(
        code="WATER-58", severity=Severity.NOTE, subject=listed(names),
        text=verb(names, "gets", "get") + f" no new water from a feed: in {worst.tank} nitrate rises by {{rise}} a week"
        " without end and passes {wanted} after {passes}"
        + ends(want.passes.low, want.passes.high, "{soonest} to {latest}"),
        numbers=(("rise", _mg(worst.rise.value * 7.0 * DAY)), ("wanted", _mg(want.wanted.value)),
                 ("passes", Number(want.passes.value, "duration")), ("soonest", Number(want.passes.low, "duration")),
                 ("latest", Number(want.passes.high, "duration")), ("share", Number(want.share.value, "share")),
                 ("least", Number(want.share.low, "share")), ("most", Number(want.share.high, "share")),
                 ("lasts", Number(lasts.value if lasts else math.nan, "duration"))),
        value=Number(want.passes.value, "duration"),
        reason=f"what is fed leaves only with the water; {HELPS}"
        + ("; its carbonate hardness lasts {lasts}, after that the pH falls" if lasts else ""),
        remedy=(f"change {{share}} of the water of {worst.tank} once a week"
                + ends(want.share.low, want.share.high, "{least} to {most}") + ", or give it a drip"
                if reachable else "no weekly change holds it: less feed, a drip, or a water with less nitrate"),
        source=f"{FEED_SOURCE}; geometric series of equal changes", places=tuple(names),
        rests_on=rests_of_nitrogen(room, still, *(one.source_nitrate for one in still)),
    )  # fmt: skip


def _minutes(seconds: float) -> float:
    """The next whole minute, for a timer; infinite stays infinite."""
    return 60.0 * math.ceil(seconds / 60.0) if math.isfinite(seconds) else seconds


CHECKS: Final = (
    hardness_is_left,
    nitrate_is_held,
    tanks_without_a_drip_are_changed,
)


def _nitrate(one: TankNitrogen, end: str = "value") -> float:
    return float(getattr(one.nitrate, end)) if one.nitrate is not None else 0.0


def _mg(value: float) -> Number:
    return Number(value, "concentration")


def _hard(value: float) -> Number:
    return Number(value, "hardness")


def _rate(value: float) -> Number:
    return Number(value, "mass_per_time")


def rests_of_nitrogen(room: Room, tanks: Sequence[TankNitrogen], *more: Known | None) -> tuple[str, ...]:
    """What a verdict on the nitrogen of some tanks stands on that nobody has said."""
    laws = room.laws
    each = [known for one in tanks for known in (one.feed, one.protein, one.media, one.temperature)]
    return rests_of_all([*each, laws.filter_rate if laws else None, *more])
