"""The workings behind chlorine, ammonia, hardness and nitrate of a tank, carbon, doses and the first weeks."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Final

from tankwright.explain.model import Input, Working
from tankwright.finding import Number
from tankwright.physics.disinfectants import NITROGEN_OF_CHLORAMINE
from tankwright.physics.nitrification import ALKALINITY_OF_NITROGEN, AMMONIA_OF_PROTEIN, NITRATE_OF_NITROGEN
from tankwright.room.model import Room
from tankwright.systems.water_life_model import (
    ChlorineDose,
    FirstWeeks,
    NitrateWant,
    RunCarbon,
    RunNitrate,
    Span,
    TankChlorine,
    TankNitrogen,
    WaterLife,
)

SCREENING: Final = "a screening: test the water in the tank"
STIRRED: Final = "mass balance of a stirred tank, closed form"
LIMIT: Final = "limit 0.02 mg/L: WEF Manual of Practice 8 / ASCE 76, by a secondary source"
STOICHIOMETRY: Final = "stoichiometry, molar masses"


def workings_water_life(room: Room, life: WaterLife) -> Iterator[Working]:
    """The workings of every tank and feed: "A3.chlorine", "A3.ammonia", "A3.nitrate", "water.carbon.drip".

    >>> from tankwright.systems.water_life import solve_water_life
    >>> empty = Room(title="", display="metric", spaces=(), racks=(), tanks=())
    >>> list(workings_water_life(empty, solve_water_life(empty, {}, {}, {})))
    []
    """
    for one in life.chlorine:
        yield from _chlorine(room, life, one)
    for carbon in life.carbons:
        yield _carbon(carbon)
    for dose in life.doses:
        yield from _dose(dose)
    for tank in life.nitrogen:
        yield from _nitrogen(room, tank)
    yield from _over_wanted(life)
    for want in life.wants:
        yield from _want(want)
    for program in life.programs:
        if math.isfinite(program.needed.value):
            yield _program(program)
    if life.first_weeks is not None:
        yield _weeks(life.first_weeks)


def _chlorine(room: Room, life: WaterLife, one: TankChlorine) -> Iterator[Working]:
    decay = room.laws.chlorine_decay if room.laws is not None else None
    inputs: list[Input] = []
    for feed, turnover in zip(one.feeds, one.turnovers, strict=True):
        water = life.water_of(feed)
        if water is not None and water.chlorine is not None:
            inputs.append(
                Input(name=f"chlorine of {feed}", number=_level(water.chlorine.value), known=water.chlorine)
            )
        inputs.append(Input(name=f"turnover while {feed} is open", number=Number(turnover, "frequency")))
    inputs.append(Input(name="first opens", number=Number(one.begins, "clock")))
    inputs.append(Input(name="begins again after", number=Number(one.every, "duration")))
    if decay is not None:
        inputs.append(
            Input(name="chlorine lost in the tank", number=Number(decay.value, "frequency"), known=decay)
        )
    note = "" if one.steady else "a program that runs less often is taken as if it ran every time; "
    for name, title, case in (
        (f"{one.tank}.chlorine", "as its carbon is now" if one.fresh else "as it is fed", one.now),
        (f"{one.tank}.chlorine_bare", "with no carbon, or all of it spent", one.bare),
    ):
        yield Working(
            name=name, title=f"most chlorine of a day in {one.tank}, {title}", number=_level(case.peak.value),
            formula="open: turnover x (chlorine of the feed - chlorine) - lost; shut: lost; until it repeats itself",
            inputs=(*inputs, *_ends(case.peak, "concentration")), source=f"{STIRRED}; {LIMIT}", note=note + SCREENING,
        )  # fmt: skip
        if math.isfinite(case.harm.low):
            sure = math.isfinite(case.harm.value)
            yield Working(
                name=f"{name}_harm", title=f"time from clean water until {one.tank} passes the limit, {title}",
                number=Number(case.harm.value if sure else case.harm.low, "duration"),
                formula="the same from nought, until the limit is met",
                inputs=(*inputs, Input(name="limit", number=_level(life.limit)),
                        Input(name="drip open by then",
                              number=Number(case.opened.value if sure else case.opened.low, "duration")),
                        *_ends(case.harm, "duration")),
                source=f"{STIRRED}; {LIMIT}",
                note=("" if sure else "never at the usual decay; this is where it hardly fades; ") + SCREENING,
            )  # fmt: skip


def _carbon(one: RunCarbon) -> Working:
    return Working(
        name=f"water.carbon.{one.run}", title=f"how long the carbon of {one.run} lasts",
        number=Number(one.lasts.value, "duration"), formula="what it takes / (litres a day x chlorine)",
        inputs=(Input(name="takes", number=Number(one.takes.value, "mass"), known=one.takes),
                Input(name="water a day", number=Number(one.volume_a_day, "volume")),
                Input(name="chlorine", number=_level(one.chlorine.value), known=one.chlorine),
                *_ends(one.lasts, "duration")),
        source="mass balance", note="of chloramine it takes far less; change it at half the time, and test behind it",
    )  # fmt: skip


def _dose(one: ChlorineDose) -> Iterator[Working]:
    where = f"vat {one.vat}" if one.vat else f"100 L of {one.water}"
    inputs = (
        Input(name="volume", number=Number(one.volume, "volume")),
        Input(name="chlorine", number=_level(one.chlorine.value), known=one.chlorine),
    )
    base = f"water.dose.{one.vat or one.water}"
    yield Working(
        name=f"{base}.thiosulfate", title=f"sodium thiosulfate for {where}", number=_mass(one.thiosulfate.value),
        formula="volume x chlorine x 1.9; 0.875 if it goes all the way, 7.0 if not far",
        inputs=(*inputs, *_ends(one.thiosulfate, "mass")),
        source="AWWA field guide, Disinfection of Pipelines and Storage Facilities, Table 7-2; bounds by molar masses",
        note=f"{SCREENING} after dosing; slow with chloramine, of which it leaves the ammonia",
    )  # fmt: skip
    yield Working(
        name=f"{base}.ascorbate", title=f"sodium ascorbate for {where}", number=_mass(one.ascorbate.value),
        formula="volume x chlorine x 2.8", inputs=(*inputs, *_ends(one.ascorbate, "mass")),
        source="AWWA field guide, Disinfection of Pipelines and Storage Facilities, Table 7-2",
        note=f"{SCREENING} after dosing; it hardly works on chloramine",
    )  # fmt: skip


def _nitrogen(room: Room, one: TankNitrogen) -> Iterator[Working]:
    rate = room.laws.filter_rate if room.laws is not None else None
    fed = Input(name="feed", number=_rate(one.feed.value), known=one.feed)
    warmth = Input(
        name="temperature", number=Number(one.temperature.value, "temperature"), known=one.temperature
    )
    drip = Input(name="new water, mean over the week", number=Number(one.inflow, "flow"))
    yield Working(
        name=f"{one.tank}.nitrogen", title=f"ammonia nitrogen made in {one.tank}", number=_rate(one.load.value),
        formula=f"feed x protein x {AMMONIA_OF_PROTEIN} + chloramine x {NITROGEN_OF_CHLORAMINE:.3f} + that of the"
        " new water",
        inputs=(fed, Input(name="protein", number=Number(one.protein.value, "share"), known=one.protein),
                Input(name="from chloramine", number=_rate(one.from_chloramine.value)),
                Input(name="from the new water", number=_rate(one.from_source.value)),
                *_ends(one.load, "mass_per_time")),
        source="Timmons and Ebeling, Recirculating Aquaculture, from memory; molar masses",
    )  # fmt: skip
    yield Working(
        name=f"{one.tank}.filter", title=f"ammonia nitrogen the filter of {one.tank} turns over at most",
        number=_rate(one.capacity.value), formula="media x rate at 25 °C x 1.03 ^ (temperature - 25 °C)",
        inputs=(Input(name="media", number=Number(one.media.value, "volume"), known=one.media),
                *((Input(name="rate, kg a m3 and second", number=Number(rate.value, "number"), known=rate),)
                  if rate else ()), warmth, *_ends(one.capacity, "mass_per_time")),
        source="sponge rates assumed, no measured one at the ammonia of an aquarium was found",
        note="what glass and gravel turn over is left out and helps",
    )  # fmt: skip
    if math.isfinite(one.ammonia.value):
        yield Working(
            name=f"{one.tank}.ammonia", title=f"ammonia, as N, at which {one.tank} settles",
            number=_level(one.ammonia.value), formula="made = filter x ammonia / (1 mg/L + ammonia) + drip x ammonia",
            inputs=(Input(name="made", number=_rate(one.load.value), see=f"{one.tank}.nitrogen"),
                    Input(name="filter", number=_rate(one.capacity.value), see=f"{one.tank}.filter"), drip,
                    *_ends(one.ammonia, "concentration")),
            source="Monod's law, half saturation of the activated sludge models, from memory", note=SCREENING,
        )  # fmt: skip
        if one.unionised is not None and one.ph is not None:
            yield Working(
                name=f"{one.tank}.poison", title=f"un-ionised ammonia, NH3, in {one.tank}",
                number=_level(one.unionised.value), formula="ammonia x 17.03 / 14.01 / (1 + 10 ^ (pKa - pH))",
                inputs=(Input(name="ammonia, as N", number=_level(one.ammonia.value), see=f"{one.tank}.ammonia"),
                        Input(name="pH", number=Number(one.ph.value, "ph"), known=one.ph), warmth,
                        *((Input(name="hour's limit, as nitrogen", number=_level(one.acute)),) if one.acute else ()),
                        *((Input(name="month's limit, as nitrogen", number=_level(one.chronic)),)
                          if one.chronic else ()), *_ends(one.unionised, "concentration")),
                source="Emerson and others (1975); limits US EPA 822-R-13-001 (2013); harm from 0.05 mg/L, IFAS FA-16",
                note="at the pH of the new water once it stands in air: the more hardness is used up, the lower it is",
            )  # fmt: skip
    if one.hardness is not None and one.source_hardness is not None and math.isfinite(one.hardness.value):
        yield Working(
            name=f"{one.tank}.hardness", title=f"carbonate hardness left in {one.tank}",
            number=_hard(one.hardness.value),
            formula=f"what the new water has - turned over x {ALKALINITY_OF_NITROGEN:.2f} / new water",
            inputs=(Input(name="of the new water", number=_hard(one.source_hardness.value), known=one.source_hardness),
                    Input(name="turned over", number=_rate(one.nitrified.value), see=f"{one.tank}.nitrogen"), drip,
                    *_ends(one.hardness, "hardness")),
            source=STOICHIOMETRY, note="below nought: all is used up and the pH falls until the filter stops",
        )  # fmt: skip
    if one.nitrate is not None and one.source_nitrate is not None and math.isfinite(one.nitrate.value):
        yield Working(
            name=f"{one.tank}.nitrate", title=f"nitrate at which {one.tank} settles",
            number=_level(one.nitrate.value),
            formula=f"what the new water has + turned over x {NITRATE_OF_NITROGEN:.3f} / new water",
            inputs=(Input(name="of the new water", number=_level(one.source_nitrate.value), known=one.source_nitrate),
                    Input(name="turned over", number=_rate(one.nitrified.value), see=f"{one.tank}.nitrogen"), drip,
                    *_ends(one.nitrate, "concentration")),
            source=f"{STIRRED}; {STOICHIOMETRY}", note="plants, and what the bed turns to gas, are left out and help",
        )  # fmt: skip


def _over_wanted(life: WaterLife) -> Iterator[Working]:
    wanted = {want.tank: want.wanted.value for want in life.wants}
    known = [(one.nitrate.value, one.tank) for one in life.nitrogen if one.nitrate and one.tank in wanted]
    if not known:
        return
    over = [tank for nitrate, tank in known if nitrate > wanted[tank]]
    finite = [one for one in known if math.isfinite(one[0])]
    yield Working(
        name="water.nitrate_over", title="tanks that settle over the nitrate their zone wants, or the usual limit",
        number=Number(float(len(over)), "number"), formula="tanks whose nitrate is over what is wanted",
        inputs=(Input(name="tanks whose nitrate is known", number=Number(float(len(known)), "number")),
                *(Input(name=f"nitrate of {tank}", number=_level(nitrate), see=f"{tank}.nitrate")
                  for nitrate, tank in sorted(finite, reverse=True)[:1])),
        source="count", note=", ".join(over),
    )  # fmt: skip


def _want(one: NitrateWant) -> Iterator[Working]:
    wanted = Input(name="wanted nitrate", number=_level(one.wanted.value), known=one.wanted)
    if math.isfinite(one.passes.value):
        yield Working(
            name=f"{one.tank}.nitrate_passes", title=f"time from new water until {one.tank} passes its wanted nitrate",
            number=Number(one.passes.value, "duration"), formula="course of nitrate solved for the time",
            inputs=(wanted, *_ends(one.passes, "duration")), source=STIRRED,
        )  # fmt: skip
    if math.isfinite(one.weekly.value):
        yield Working(
            name=f"{one.tank}.weekly", title=f"new water a week that holds the nitrate of {one.tank}",
            number=Number(one.weekly.value, "volume"), formula="made a week / (wanted - what the new water has)",
            inputs=(wanted, Input(name="of its water", number=Number(one.share.value, "share"),
                                  see=f"{one.tank}.nitrogen"),
                    *_ends(one.weekly, "volume")),
            source=f"{STIRRED}; the same share holds the peak of a weekly change, geometric series",
        )  # fmt: skip


def _program(one: RunNitrate) -> Working:
    return Working(
        name=f"water.program.{one.run}", title=f"how long {one.run} must be open a day for every wanted nitrate",
        number=Number(one.needed.value, "duration"), formula="new water a week / 7 / flow while open, the most of all",
        inputs=(Input(name="open now", number=Number(one.minutes_now, "duration")),
                *((Input(name=f"new water a week, {one.worst}", number=Number(one.needed.value, "duration"),
                         see=f"{one.worst}.weekly"),) if one.worst else ()), *_ends(one.needed, "duration")),
        source=STIRRED, note=f"no program holds {', '.join(one.beyond)}" if one.beyond else "",
    )  # fmt: skip


def _weeks(one: FirstWeeks) -> Working:
    return Working(
        name="water.first_weeks", title=f"time until a new filter of {one.tank} has grown in under full feed",
        number=Number(one.days.value, "duration"), formula="two steps of Monod growth, until both are below the limit",
        inputs=(Input(name="seed", number=_level(one.seed.value), known=one.seed),
                Input(name="ammonia nitrogen a day in its water", number=_level(one.dose * 86_400.0)),
                Input(name="temperature", number=Number(one.temperature, "temperature")),
                Input(name="limit", number=_level(one.limit)), *_ends(one.days, "duration")),
        source="Blackburne and others (2007), Water Environment Research 79, 2437; the temperature of that growth was"
        " not seen: 20 and 30 °C are the ends, 25 °C between",
        note="a band, not a date; tests of ammonia and nitrite say when it is ready",
    )  # fmt: skip


def _ends(span: Span, dimension: str) -> tuple[Input, ...]:
    """Both ends of a band as inputs; none where there is no band, and an end that never comes is left out."""
    if span.low == span.high:
        return ()
    ends = (("at the least", span.low), ("at the most", span.high))
    return tuple(
        Input(name=name, number=Number(value, dimension)) for name, value in ends if math.isfinite(value)
    )


def _level(value: float) -> Number:
    return Number(value, "concentration")


def _hard(value: float) -> Number:
    return Number(value, "hardness")


def _rate(value: float) -> Number:
    return Number(value, "mass_per_time")


def _mass(value: float) -> Number:
    return Number(value, "mass")
