"""Judgement on nitrogen: filters that keep up, ammonia, the hardness they use, nitrate and what holds it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Final

from tankwright.checks.grouping import count, ends, listed, rests_of_all, verb
from tankwright.finding import Finding, Number, Severity
from tankwright.origin import Known
from tankwright.room.model import Room
from tankwright.systems.water_life_model import NitrateWant, TankNitrogen, WaterLife

DAY: Final = 86_400.0
HARM: Final = 5.0e-5
"""kg/m3 (0.05 mg/L) of NH3, above which it harms. Source: University of Florida IFAS, FA-16."""

LEAST_HARDNESS: Final = 0.050
"""kg/m3 (50 mg/L as calcium carbonate, 2.8 °dH), kept where filters work. Source: fish farms keep 50 to 100 mg/L,
from memory."""

EPA: Final = "US EPA 822-R-13-001 (2013), set by mussels and snails, so careful for fish"
FEED_SOURCE: Final = (
    "feed x protein x 0.092, Timmons and Ebeling, from memory; sponge rates assumed, Monod's law"
)
SCREENING: Final = "a screening of the water, not of the fish: measure"
HELPS: Final = "plants, and what the bed turns to gas, help and are not counted"


def filters_keep_up(room: Room, life: WaterLife) -> Iterator[Finding]:
    """WATER-50: every filter can turn over the ammonia its tank makes."""
    over = [one for one in life.nitrogen if one.load.value >= one.capacity.value > 0.0 or _bare(one)]
    if not over:
        return
    worst = max(over, key=lambda one: one.load.value / max(one.capacity.value, 1e-30))
    sure = all(one.load.low >= one.capacity.high for one in over)
    names = [one.tank for one in over]
    media = (
        worst.media.value * 3.0 * worst.load.value / worst.capacity.value if worst.capacity.value > 0 else 0.0
    )
    yield Finding(
        code="WATER-50", severity=Severity.PROBLEM if sure else Severity.WARNING, subject=listed(names),
        text=verb(names, "makes", "make") + " more ammonia than "
        + verb(names, "its filter turns", "their filters turn")
        + f" over: {worst.tank} {{load}} of nitrogen against {{capacity}}"
        + ends(worst.capacity.low, worst.capacity.high),
        numbers=(("load", _rate(worst.load.value)), ("capacity", _rate(worst.capacity.value)),
                 ("low", _rate(worst.capacity.low)), ("high", _rate(worst.capacity.high)),
                 ("media", Number(media, "volume")), ("feed", Number(worst.feed.value, "mass_per_time"))),
        value=_rate(worst.load.value), limit=_rate(worst.capacity.value),
        reason=f"what is not turned over stays as ammonia until the drip carries it away; {SCREENING}",
        remedy=(f"{{media}} of sponge for {worst.tank}, three times what just keeps up, or less feed than {{feed}};"
                if media > 0.0 else f"a filter for {worst.tank}, or less feed than {{feed}};")
        + " a test of ammonia decides, for no sponge's rate is known",
        source=FEED_SOURCE, places=tuple(names), rests_on=_rests(room, over),
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
            + (", and {limit} is the month's limit" if worst.chronic else ", and it harms from {limit} on there"),
            numbers=(("ammonia", _mg(worst.ammonia.value)), ("high", _mg(worst.ammonia.high)),
                     ("limit", _mg(_lasting(worst))), ("count", count(len(names)))),
            value=_mg(worst.ammonia.value), limit=_mg(_lasting(worst)),
            reason=f"no measured sponge filter at the ammonia of an aquarium was found; {SCREENING}",
            remedy="a test of ammonia some hours after feeding decides, and a dose of ammonia followed for a day in an"
            " empty tank gives the sponge's rate",
            source=f"{EPA}; {FEED_SOURCE}", places=tuple(names), rests_on=_rests(room, perhaps),
        )  # fmt: skip


def _above(one: TankNitrogen, end: str) -> bool:
    over = one.chronic is not None and getattr(one.ammonia, end) > one.chronic
    return over or (one.unionised is not None and getattr(one.unionised, end) > HARM)


def _lasting(one: TankNitrogen) -> float:
    """kg/m3 of ammonia as nitrogen to stay under: the month's limit, or where the criteria end, at a high pH, that at
    which the poisonous gas harms."""
    if one.chronic:
        return one.chronic
    poison = one.unionised.value if one.unionised else 0.0
    return HARM * one.ammonia.value / poison if poison > 0.0 else HARM


def _ammonia(room: Room, tanks: Sequence[TankNitrogen], severity: Severity) -> Finding:
    """WATER-51: ammonia settles below what harms and below what the EPA holds to be too much."""
    worst = max(tanks, key=lambda one: one.ammonia.value / (one.chronic or 1.0))
    names = [one.tank for one in tanks]
    poison, lasting = worst.unionised, _lasting(worst)
    acute = severity is Severity.PROBLEM
    limit = worst.acute if acute and worst.acute is not None else lasting
    kept = lasting / (1e-3 + lasting)
    mean = "an hour's mean" if acute else "a month's mean"
    return Finding(
        code="WATER-51", severity=severity, subject=listed(names),
        text=verb(names, "settles", "settle") + f" at too much ammonia: {worst.tank} at {{ammonia}} as nitrogen"
        + (", without a limit at the weak end of its filter" if math.isinf(worst.ammonia.high)
           else ends(worst.ammonia.low, worst.ammonia.high))
        + ", {poison} of it the poisonous gas, at {temperature} and the pH {ph} of its new water in air; "
        + (f"{mean} is not to pass {{limit}}" if worst.chronic else "there it harms from {limit} on"),
        numbers=(("ammonia", _mg(worst.ammonia.value)), ("low", _mg(worst.ammonia.low)),
                 ("high", _mg(worst.ammonia.high)), ("poison", _mg(poison.value if poison else 0.0)),
                 ("ph", Number(worst.ph.value if worst.ph else 7.0, "ph")),
                 ("temperature", Number(worst.temperature.value, "temperature")), ("limit", _mg(limit)),
                 ("harm", _mg(HARM)),
                 ("media", Number(worst.media.value * worst.load.value / kept / worst.capacity.value, "volume")),
                 ("feed", Number(worst.feed.value * kept * worst.capacity.value / worst.load.value, "mass_per_time"))),
        value=_mg(worst.ammonia.value), limit=_mg(limit),
        reason=f"ammonia as a gas harms from {{harm}} on, and a filter works the slower the less there is; as hardness"
        f" is used up the pH falls, and less of it is gas; {SCREENING}",
        remedy=f"{{media}} of sponge in {worst.tank}, or no more than {{feed}} of feed, keeps it at that limit;"
        " a test of ammonia some hours after feeding decides, for the sponge's rate is assumed",
        source=f"{EPA}; 0.05 mg/L of NH3: University of Florida IFAS, FA-16; {FEED_SOURCE}", places=tuple(names),
        rests_on=_rests(room, tanks),
    )  # fmt: skip


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
        more = used * worst.inflow * DAY * 7.0 / max(source - least, 1e-9)
        yield Finding(
            code="WATER-53", severity=severity if sure else Severity.WARNING, subject=listed(names),
            text=verb(names, "uses", "use") + (" up all the carbonate hardness the drip brings" if severity is
            Severity.PROBLEM else " most of the carbonate hardness the drip brings")
            + f": of {{source}} {worst.tank} wants {{used}}"
            + ("" if severity is Severity.PROBLEM else " and keeps {left}"),
            numbers=(("source", _hard(source)), ("used", _hard(used)), ("left", _hard(left)), ("least", _hard(least)),
                     ("weekly", Number(more, "volume")),
                     ("now", Number(worst.inflow * DAY * 7.0, "volume"))),
            value=_hard(left), limit=_hard(least),
            reason="a milligram of nitrogen turned over in a litre costs 0.40 °dH; once it is used up the pH falls and"
            f" the filter stops; {SCREENING}",
            remedy=f"{{weekly}} of new water a week in {worst.tank} instead of {{now}} keeps {{least}}, or less feed,"
            " or lime in the filter; watch KH before pH" + flips,
            source="stoichiometry, 7.14 of calcium carbonate for 1 of nitrogen, by mass;"
            " 50 mg/L kept in farms, from memory",
            places=tuple(names), rests_on=_rests(room, tanks, *(one.source_hardness for one in tanks)),
        )  # fmt: skip


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
    beyond, above, perhaps = [], [], []
    for one in dripped:
        if math.isinf(wants[one.tank].weekly.value):
            beyond.append(one)
        elif _nitrate(one) > wants[one.tank].wanted.value:
            above.append(one)
        elif one.wanted_nitrate is not None and _nitrate(one, "high") > one.wanted_nitrate.value:
            perhaps.append(one)
    if beyond:
        worst, names = beyond[0], [one.tank for one in beyond]
        source = worst.source_nitrate.value if worst.source_nitrate else 0.0
        yield Finding(
            code="WATER-57", severity=Severity.WARNING, subject=listed(names),
            text="cannot be held at {wanted} of nitrate by any program: the new water has {source} itself",
            numbers=(("wanted", _mg(wants[worst.tank].wanted.value)), ("source", _mg(source))),
            value=_mg(source), limit=_mg(wants[worst.tank].wanted.value),
            reason="new water can bring a tank no lower than it is itself",
            remedy="a water with less nitrate in the blend, such as rain or what a membrane leaves, or a higher want",
            source="mass balance of a stirred tank", places=tuple(names),
            rests_on=rests_of_all([*(one.source_nitrate for one in beyond)]),
        )  # fmt: skip
    for severity, tanks in (
        (Severity.WARNING, [one for one in above if one.wanted_nitrate is not None]),
        (Severity.NOTE, [one for one in above if one.wanted_nitrate is None]),
    ):
        if tanks:
            yield _nitrated(room, life, tanks, wants, severity)
    if perhaps:
        worst = max(perhaps, key=lambda one: _nitrate(one, "high"))
        names = [one.tank for one in perhaps]
        yield Finding(
            code="WATER-56", severity=Severity.NOTE, subject=listed(names),
            text=f"may settle above the wanted nitrate of {{wanted}}: {worst.tank} at {{nitrate}}, or at {{high}} with"
            " the most feed and protein that is assumed",
            numbers=(("wanted", _mg(wants[worst.tank].wanted.value)), ("nitrate", _mg(_nitrate(worst))),
                     ("high", _mg(_nitrate(worst, "high")))),
            value=_mg(_nitrate(worst)), limit=_mg(wants[worst.tank].wanted.value),
            reason="the weight of a week's feed and the protein on its label decide which it is",
            remedy="weigh a week's feed and say it, or follow nitrate over four weeks",
            source=FEED_SOURCE, places=tuple(names), rests_on=_rests(room, perhaps),
        )  # fmt: skip


def _nitrated(
    room: Room,
    life: WaterLife,
    tanks: Sequence[TankNitrogen],
    wants: dict[str, NitrateWant],
    severity: Severity,
) -> Finding:
    """WATER-55: nitrate of dripped tanks settles below what their zone wants."""
    worst = max(tanks, key=lambda one: wants[one.tank].weekly.value / one.inflow)
    names, want = [one.tank for one in tanks], wants[worst.tank]
    program = next((one for one in life.programs if one.worst == worst.tank), None)
    fits = program is not None and program.needed.value <= DAY
    settled = worst.nitrate
    weekly = ends(want.weekly.low, want.weekly.high, "{least} to {most}")
    remedy = f"{{weekly}} of new water a week in {worst.tank}{weekly} instead of {{now}}"
    if program is not None:
        remedy += f": {program.run} open {{needed}} a day instead of {{minutes}}"
        remedy += "" if fits else ", which no day has: wider drippers, or less feed"
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
                 ("needed", Number(program.needed.value if program else 0.0, "duration")),
                 ("minutes", Number(program.minutes_now if program else 0.0, "duration"))),
        value=_mg(_nitrate(worst)), limit=_mg(want.wanted.value),
        reason=f"what is fed leaves only with the water; {HELPS}",
        remedy=remedy + ", or less feed; a nitrate test over some weeks shows how much",
        source=FEED_SOURCE, places=tuple(names),
        rests_on=_rests(room, tanks, *(one.source_nitrate for one in tanks)),
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
        text=verb(names, "has", "have") + f" no drip: in {worst.tank} nitrate rises by {{rise}} a week without end and"
        " passes {wanted} after {passes}" + ends(want.passes.low, want.passes.high, "{soonest} to {latest}"),
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
        rests_on=_rests(room, still, *(one.source_nitrate for one in still)),
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
        source="molar masses, 14.007 over 70.906", places=tuple(names), rests_on=_rests(room, much),
    )  # fmt: skip


CHECKS: Final = (
    filters_keep_up,
    ammonia_stays_low,
    hardness_is_left,
    nitrate_is_held,
    tanks_without_a_drip_are_changed,
    chloramine_adds_to_the_load,
)


def _nitrate(one: TankNitrogen, end: str = "value") -> float:
    return float(getattr(one.nitrate, end)) if one.nitrate is not None else 0.0


def _mg(value: float) -> Number:
    return Number(value, "concentration")


def _hard(value: float) -> Number:
    return Number(value, "hardness")


def _rate(value: float) -> Number:
    return Number(value, "mass_per_time")


def _rests(room: Room, tanks: Sequence[TankNitrogen], *more: Known | None) -> tuple[str, ...]:
    laws = room.laws
    each = [known for one in tanks for known in (one.feed, one.protein, one.media, one.temperature)]
    return rests_of_all([*each, laws.filter_rate if laws else None, *more])
