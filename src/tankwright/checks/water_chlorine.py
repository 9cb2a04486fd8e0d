"""Judgement on chlorine and chloramine in the drip: when it harms, how long carbon lasts, what a vat is dosed with."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Final

from tankwright.checks.grouping import ends, listed, rests, verb
from tankwright.finding import Finding, Number, Severity
from tankwright.room.model import Room
from tankwright.systems.water_life_model import Span, TankChlorine, WaterLife

DAY: Final = 86_400.0
SCREENING: Final = (
    "a screening: fish differ, and only a test of total chlorine in the tank shows what they live in"
)
LIMIT_SOURCE: Final = (
    "WEF Manual of Practice 8 / ASCE 76, by a secondary source: below 0.02 mg/L already toxic to aquatic life"
)
MIXING: Final = "mass balance of a stirred tank by the programs' clock, decay of the first order"
SOON: Final = 30.0 * DAY
"""A carbon filling that may be spent sooner is a warning: it was to be changed every 28 days in one published room."""


CHANGED: Final = 180.0 * DAY
"""No filling is told to last longer, whatever it still takes: it clogs and grows over. Common practice, no source."""


def drips_bring_no_chlorine(room: Room, life: WaterLife) -> Iterator[Finding]:
    """WATER-40 and WATER-41: no tank comes to the harmful level of chlorine in the course of a day.

    WATER-40 is a problem where it holds over the whole band, a warning where it holds for the value taken; WATER-41
    says that it holds only where chlorine hardly fades.
    """
    limit = life.limit
    groups: dict[tuple[str, Severity], list[TankChlorine]] = {}
    for one in life.chlorine:
        peak = one.now.peak
        if peak.low > limit:
            groups.setdefault(("WATER-40", Severity.PROBLEM), []).append(one)
        elif peak.value > limit:
            groups.setdefault(("WATER-40", Severity.WARNING), []).append(one)
        elif peak.high > limit:
            groups.setdefault(("WATER-41", Severity.WARNING), []).append(one)
    for (code, severity), tanks in groups.items():
        yield _chlorinated(room, life, tanks, code, severity)


def _chlorinated(
    room: Room, life: WaterLife, tanks: Sequence[TankChlorine], code: str, severity: Severity
) -> Finding:
    may = code == "WATER-41"
    worst = min(tanks, key=lambda one: one.now.harm.low if may else one.now.harm.value)
    case, names = worst.now, [one.tank for one in tanks]
    water = life.water_of(worst.feeds[0])
    after = case.harm.low if may else case.harm.value
    opened = case.opened.low if may else case.opened.value
    told, numbers = when(worst.begins, after)
    carbon, each = worst.fresh is not None, "each day" if worst.every == DAY else "each time"
    through = " although there is carbon" if carbon else ""
    if may:
        text = (
            f"may come to too much chlorine{through}: where it hardly fades, {worst.tank} passes {{limit}} {told}"
            f" and comes to {{high}} {each}; at the usual decay it stays at {{peak}}"
        )
    else:
        text = (
            f"{verb(names, 'gets', 'get')} chlorine with the drip{through}: {worst.tank} passes {{limit}} {told}, after"
            f" {{opened}} of drip, and comes to {{peak}} {each}"
            + ends(case.peak.low, case.peak.high, "{low} to {high} by how fast it fades")
        )
    pace = (
        "within hours, not days"
        if after < DAY
        else "from run to run as long as it fades too little between them"
    )
    laws, poorly = room.laws, carbon or (water is not None and water.disinfectant == "chloramine")
    return Finding(
        code=code, severity=severity, subject=listed(names), text=text,
        numbers=(("limit", _mg(life.limit)), *numbers, ("opened", Number(opened, "duration")),
                 ("peak", _mg(case.peak.value)), ("low", _mg(case.peak.low)), ("high", _mg(case.peak.high)),
                 *((("chlorine", _mg(water.chlorine.value)),) if water and water.chlorine else ())),
        value=_mg(case.peak.high if may else case.peak.value), limit=_mg(life.limit),
        reason=f"a drip of water with {{chlorine}} builds up {pace}; {SCREENING}",
        remedy=("a test of total chlorine in the tank an hour after the drip decides; until then treat the water"
                if may else "treat the water before it drips")
        + (": common carbon is poor at chloramine, so let the water through slowly over catalytic carbon, or treat it"
           " in a vat" if poorly else ": carbon in the feed (chloramine passes it), or a vat that is dosed and tested"),
        source=f"{LIMIT_SOURCE}; {MIXING}", line=_line(room, worst.feeds[0]), places=tuple(names),
        rests_on=rests(*(water.chlorine,) if water else (), laws.chlorine_decay if laws else None,
                       laws.chloramine if laws and carbon else None),
    )  # fmt: skip


def when(begins: float, after: float) -> tuple[str, tuple[tuple[str, Number], ...]]:
    """When something comes that long after the first opening: its clock, of the first night or of a later day.

    >>> when(7200.0, 4200.0)[0], when(7200.0, 2 * DAY)[0]
    ('by {clock} of the first night', 'by {clock} of day {day}')
    """
    clock = (begins + after) % DAY
    day = math.floor((begins + after) / DAY) + 1
    numbers = (("clock", Number(clock, "clock")), ("day", Number(float(day), "number")))
    if after < DAY:
        night = clock < 6 * 3600.0 or clock >= 21 * 3600.0
        return f"by {{clock}} of the first {'night' if night else 'day'}", numbers
    return "by {clock} of day {day}", numbers


def carbon_is_changed_in_time(room: Room, life: WaterLife) -> Iterator[Finding]:
    """WATER-42: no carbon filling is spent within a month; when it is, and what follows, is always told."""
    by_tank = {one.tank: one for one in life.chlorine}
    for one in life.carbons:
        if not math.isfinite(one.lasts.value):
            continue
        fed = [by_tank[name] for name in one.tanks if name in by_tank]
        hit = [tank for tank in fed if tank.bare.peak.high > life.limit]
        worst = min(hit, key=lambda tank: (tank.bare.harm.value, tank.bare.harm.low), default=None)
        told = ""
        numbers: tuple[tuple[str, Number], ...] = ()
        if worst is not None:
            sure = math.isfinite(worst.bare.harm.value)
            said, numbers = when(worst.begins, worst.bare.harm.value if sure else worst.bare.harm.low)
            told = (
                f"; from then on {worst.tank} {'passes' if sure else 'may pass'} {{limit}} of chlorine {said}"
            )
        yield Finding(
            code="WATER-42",
            severity=Severity.WARNING if one.lasts.low < SOON else Severity.NOTE,
            subject=f"feed {one.run}",
            text="wears its carbon out in {lasts}" + ends(one.lasts.low, one.lasts.high)
            + ", at {volume} a day with {chlorine}" + told,
            numbers=(*_days(one.lasts), ("volume", Number(one.volume_a_day, "volume")),
                     ("chlorine", _mg(one.chlorine.value)), ("limit", _mg(life.limit)),
                     ("half", Number(min(one.lasts.low / 2.0, CHANGED), "duration")),
                     ("takes", Number(one.takes.value, "mass")),
                     *numbers),
            value=Number(one.lasts.value, "duration"),
            reason="spent carbon gives no sign, and the whole room gets what comes through"
            + ("; for chloramine it is spent far sooner than that" if one.disinfectant != "chlorine" else "")
            + f"; {SCREENING}",
            remedy="test total chlorine behind the filter every week and change it at the first trace, or every"
            " {half}, "
            + ("half the shortest" if one.lasts.low / 2.0 <= CHANGED else "as any filling clogs and grows over")
            + "; what its maker says it takes makes the span narrower",
            source=f"litres x chlorine over what the filling takes; {LIMIT_SOURCE}", line=_line(room, one.run),
            places=tuple(tank.tank for tank in hit),
            rests_on=rests(one.takes, one.chlorine, room.laws.chlorine_decay if room.laws and hit else None),
        )  # fmt: skip


def disinfectant_is_known(room: Room, life: WaterLife) -> Iterator[Finding]:
    """WATER-43 and WATER-44: carbon is not asked to stop chloramine, and the supplier was asked which it is."""
    asked: set[str] = set()
    for run in room.feeds:
        water = life.water_of(run.id)
        if (
            run.source_kind == "tank"
            or water is None
            or water.chlorine is None
            or water.chlorine.value <= 0.0
        ):
            continue
        carbon = any(one.carbon for one in run.filters)
        share = Number(room.laws.chloramine.value, "share") if room.laws else Number(0.0, "share")
        if water.disinfectant == "chloramine" and carbon:
            yield Finding(
                code="WATER-43", severity=Severity.WARNING, subject=f"feed {run.id}",
                text="has carbon against chloramine, which it takes out poorly: even fresh, {share} is taken to pass",
                numbers=(("share", share),),
                reason=f"chloramine wants minutes beside common carbon and a cartridge has seconds; {SCREENING}",
                remedy="test total chlorine behind the filter while the drip runs; catalytic carbon with a slow flow,"
                " or a vat dosed with thiosulfate, whose ammonia the filter must take",
                source="common practice, no source", line=run.line,
                rests_on=rests(room.laws.chloramine if room.laws else None),
            )  # fmt: skip
        elif water.disinfectant == "not known" and water.name not in asked:
            asked.add(water.name)
            yield Finding(
                code="WATER-44", severity=Severity.NOTE, subject=f"water {water.name}",
                text="may hold chlorine or chloramine: the plan does not say what the supplier adds",
                reason="carbon and standing help against chlorine, hardly against chloramine, which leaves ammonia too",
                remedy='ask the supplier, and say disinfectant = "chlorine" or "chloramine"; they may change it'
                " without a word",
                line=next((one.line for one in room.waters if one.id == water.name), None),
            )  # fmt: skip


def vats_are_dosed(room: Room, life: WaterLife) -> Iterator[Finding]:
    """WATER-45: the water of a vat holds no chlorine, or the dose that takes it out is told."""
    for one in life.doses:
        if not one.vat:
            continue
        chloramine = one.disinfectant in ("chloramine", "not known")
        yield Finding(
            code="WATER-45", severity=Severity.WARNING, subject=f"vat {one.vat}",
            text="holds {volume} of water with {chlorine} of chlorine, and feeds from it",
            numbers=(("volume", Number(one.volume, "volume")), ("chlorine", _mg(one.chlorine.value)),
                     ("thiosulfate", Number(one.thiosulfate.value, "mass")),
                     ("least", Number(one.thiosulfate.low, "mass")), ("most", Number(one.thiosulfate.high, "mass")),
                     ("ascorbate", Number(one.ascorbate.value, "mass"))),
            value=_mg(one.chlorine.value), limit=_mg(life.limit),
            reason="how fast chlorine goes from a standing vat nobody has measured here, so none is counted as gone;"
            f" {SCREENING}",
            remedy="dose a full vat with {thiosulfate} of sodium thiosulfate crystals ({least} to {most} by how far it"
            " reacts)"
            + (", stir, wait and test: it is slow with chloramine and leaves its ammonia" if chloramine
               else " or {ascorbate} of sodium ascorbate, stir, and test before it drips")
            + "; where the plan's chlorine is that of the tap and the vat is treated, say 0 mg/L for the vat's water",
            source="AWWA field guide Disinfection of Pipelines and Storage Facilities, Table 7-2, at pH 7; bounds by"
            " molar masses",
            line=next((run.line for run in room.feeds if run.source == one.vat), None), rests_on=rests(one.chlorine),
        )  # fmt: skip


CHECKS: Final = (drips_bring_no_chlorine, carbon_is_changed_in_time, disinfectant_is_known, vats_are_dosed)


def _mg(value: float) -> Number:
    return Number(value, "concentration")


def _days(span: Span) -> tuple[tuple[str, Number], ...]:
    return (
        ("lasts", Number(span.value, "duration")),
        ("low", Number(span.low, "duration")),
        ("high", Number(span.high, "duration")),
    )


def _line(room: Room, feed: str) -> int | None:
    return next((run.line for run in room.feeds if run.id == feed), None)
