"""What the waters mean: what arrives against what is wanted, and what to mix where it is not."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Final

from tankwright.catalogue.assumptions import ASSUMPTIONS
from tankwright.checks.grouping import count, listed, rests, verb
from tankwright.checks.water_cold import (
    a_drip_does_not_chill,
    batches_do_not_chill,
    cold_water_does_not_bring_too_much_gas,
    tanks_are_not_fed_in_a_row,
)
from tankwright.checks.water_fish import (
    brackish_fish_have_salt,
    fish_keep_in_the_water_of_their_tank,
    what_could_not_be_compared,
)
from tankwright.checks.water_life import check_water_life
from tankwright.finding import Finding, Number, Severity
from tankwright.origin import Known
from tankwright.room.model import Room
from tankwright.systems.water_model import WaterResult, Wish, ZoneBlend, ZoneWater

Check = Callable[[Room, WaterResult], Iterator[Finding]]

QUANTITIES: Final = {
    "ph": ("pH", "ph"),
    "general_hardness": ("general hardness", "hardness"),
    "carbonate_hardness": ("carbonate hardness", "hardness"),
    "conductivity": ("conductivity", "conductivity"),
    "nitrate": ("nitrate", "concentration"),
}
"""What a zone may want: its name in a sentence and its dimension."""

BLEND_SOURCE: Final = (
    "mass balance of the waters as the plan has them; hardness and alkalinity add up by shares"
)
PH_SOURCE: Final = "equilibrium of carbonic acid with the air, Plummer and Busenberg (1982), Davies' equation"
AS_SAID: Final = "the wants of the zone, by the plan"


def check_water(room: Room, result: WaterResult) -> tuple[Finding, ...]:
    """Everything there is to say about the waters.

    >>> from tankwright.systems.water import solve_water
    >>> empty = Room(title="", display="metric", spaces=(), racks=(), tanks=())
    >>> check_water(empty, solve_water(empty, {}))
    ()
    """
    life = check_water_life(room, result.life) if result.sources and result.life is not None else ()
    return (*(finding for check in CHECKS for finding in check(room, result)), *life)


def the_plan_says_its_waters(room: Room, result: WaterResult) -> Iterator[Finding]:
    """WATER-01: the plan says what comes out of its taps and vats."""
    if room.tanks and not result.sources:
        yield Finding(
            code="WATER-01", severity=Severity.NOT_COMPUTED, subject="water",
            text="was not worked out: the plan names no water",
            reason="what comes out of the tap decides hardness, pH, nitrate, chlorine and how cold a change is; nobody"
            " can guess it for a place",
            remedy='write [water.tap] with winter = "8 °C", summer = "18 °C", ph, general_hardness, carbonate_hardness,'
            " conductivity, chlorine, disinfectant and nitrate from the supplier's sheet or from drop tests",
        )  # fmt: skip


def every_tank_has_a_known_water(room: Room, result: WaterResult) -> Iterator[Finding]:
    """WATER-02 and WATER-03: every tank is fed a water the plan describes; what is changed by hand is told."""
    lost = [row.tank for row in result.tanks if row.water is None]
    if lost:
        sources = sorted(
            {run.source for run in room.feeds for outlet in run.outlets if outlet.tank in set(lost)}
        )
        named = f', for example [water.{sources[0]}] or comes_from = ["{sources[0]}"]' if sources else ""
        yield Finding(
            code="WATER-02", severity=Severity.NOT_COMPUTED, subject=listed(lost),
            text=f"{verb(lost, 'gets', 'get')} a water the plan does not describe, so nothing of it was worked out",
            reason="no [water] says that it comes from the source of the feed"
            if sources else "no feed reaches it, and more than one water could be carried to it",
            remedy=f"say what comes out of the source{named}"
            if sources else "lay a feed to it, or leave one water with a source",
            places=tuple(lost),
        )  # fmt: skip
    carried = [row for row in result.tanks if row.by_hand]
    if carried:
        names = [row.tank for row in carried]
        yield Finding(
            code="WATER-03", severity=Severity.NOTE, subject=listed(names),
            text=f"{verb(names, 'is reached by no feed and is', 'are reached by no feed and are')} taken to be changed"
            f" by hand with water {carried[0].parts[0][0]}",
            reason="it is the only water of the plan that comes from a tap or vat",
            remedy="lay a feed to them if that is not so", places=tuple(names),
        )  # fmt: skip


def a_source_gives_one_water(room: Room, _result: WaterResult) -> Iterator[Finding]:
    """WATER-04: one source gives one water."""
    givers: dict[str, list[str]] = {}
    for water in room.waters:
        for point in water.comes_from:
            givers.setdefault(point, []).append(water.id)
    for point, names in givers.items():
        if len(names) > 1:
            yield Finding(
                code="WATER-04", severity=Severity.WARNING, subject=f"source {point}",
                text=f"gives {len(names)} waters at once ({', '.join(names)}); only {names[0]} was counted",
                reason="one pipe has one water", line=next(one.line for one in room.waters if one.id == names[1]),
                remedy=f'take "{point}" out of comes_from of {names[1]}',
            )  # fmt: skip


def zones_get_what_they_want(room: Room, result: WaterResult) -> Iterator[Finding]:
    """WATER-06: everything a zone wants was measured in the water it gets."""
    for zone in result.zones:
        for wish in zone.wishes:
            if wish.quantity != "ph" and wish.value is not None and (wish.by or not wish.sure):
                yield _wish(room, result, zone, wish, wish.value)
        unknown = [QUANTITIES[wish.quantity][0] for wish in zone.wishes if wish.value is None]
        if unknown and zone.water:
            yield Finding(
                code="WATER-06", severity=Severity.NOT_COMPUTED, subject=f"zone {zone.zone}",
                text=f"wants {' and '.join(unknown)} of which water {zone.water} says nothing, so that was not judged",
                reason="a value nobody measured is not the value wanted", places=zone.tanks,
                line=_line(room, zone.zone),
                remedy=f"measure it and write it under [water.{zone.water}]",
            )  # fmt: skip


def _wish(room: Room, result: WaterResult, zone: ZoneWater, wish: Wish, value: Known) -> Finding:
    """WATER-05: what arrives has the hardness, conductivity and nitrate its zone wants."""
    name, dimension = QUANTITIES[wish.quantity]
    low = wish.low is not None and value.value < wish.low
    limit = wish.low if low and wish.low is not None else wish.high
    blend = next((one for one in result.blends if one.zone == zone.zone), None)
    numbers = [("value", Number(value.value, dimension)), ("limit", Number(limit, dimension)),
               ("by", Number(wish.by or 0.0, dimension))]  # fmt: skip
    remedy = "take another water for it, or change what the zone wants"
    if blend is not None and blend.reached and wish.quantity not in ("nitrate", *blend.left_out):
        shares = _shares(blend)
        numbers += shares[1]
        remedy = f"mix {shares[0]}"
    elif wish.quantity == "nitrate":
        remedy = "mix it with a water that has less, or take the nitrate out before it runs in"
    if not wish.sure:
        remedy = f"measure it first, which decides: {_measure(value)}; then {remedy}"
    met = "does not get" if wish.by else "may not get"
    side = "at least" if low else "at most"
    return Finding(
        code="WATER-05", severity=Severity.WARNING if wish.by else Severity.NOTE, subject=f"zone {zone.zone}",
        text=f"{met} the {name} it wants: water {zone.water} brings {{value}}, wanted is {side} {{limit}}",
        numbers=tuple(numbers), value=Number(value.value, dimension), limit=Number(limit, dimension),
        reason="what runs in for weeks is what the tank comes to"
        if wish.quantity != "nitrate" else "no change of water brings a tank below what the new water has itself",
        remedy=remedy, source=AS_SAID, line=_line(room, zone.zone), places=zone.tanks, rests_on=rests(value),
    )  # fmt: skip


def ph_settles_where_it_is_wanted(room: Room, result: WaterResult) -> Iterator[Finding]:
    """WATER-07: a water settles in the room's air at a pH its zone wants."""
    for zone in result.zones:
        wish = next((one for one in zone.wishes if one.quantity == "ph"), None)
        if wish is None or wish.value is None or (not wish.by and wish.sure):
            continue
        settled = next(row.settled_ph for row in result.tanks if row.tank == zone.tanks[0])
        low, high = (settled.band if settled else None) or (wish.value.value, wish.value.value)
        below = wish.low is not None and wish.value.value < wish.low
        limit = wish.low if below and wish.low is not None else wish.high
        numbers = [
            ("stale", Number(low, "ph")),
            ("fresh", Number(high, "ph")),
            ("limit", Number(limit, "ph")),
        ]
        remedy = (
            "measure the pH of a tank that has run for weeks, in the evening and before the lights come on"
        )
        if zone.kept_for_ph is not None and zone.dioxide_for_ph is not None:
            numbers += [("kept", Number(zone.kept_for_ph, "hardness")),
                        ("dioxide", Number(zone.dioxide_for_ph, "concentration"))]  # fmt: skip
            remedy += (
                "; a water of at most {kept} carbonate hardness settles at {limit} in fresh air, and at the hardness"
                " it has only {dioxide} of carbon dioxide holds it there, day and night"
            )
        elif below:
            remedy += "; more carbonate hardness raises it"
        yield Finding(
            code="WATER-07", severity=Severity.WARNING if wish.by and wish.sure else Severity.NOTE,
            subject=f"zone {zone.zone}",
            text=f"{'wants' if wish.sure else 'may not keep'} a pH of {'at least' if below else 'at most'} {{limit}}"
            + f"{', but' if wish.sure else ':'} water {zone.water} settles at {{stale}} to {{fresh}} in the air of a"
            " room",
            numbers=tuple(numbers), value=Number(wish.value.value, "ph"), limit=Number(limit, "ph"),
            reason="stirred water gives off its carbon dioxide until it agrees with the air, 420 to 1000 ppm here; what"
            " fish and filter breathe out keeps a tank lower, between this and the pH it came with, and a filter wears"
            " carbonate hardness down",
            remedy=remedy, source=PH_SOURCE, line=_line(room, zone.zone), places=zone.tanks,
            rests_on=_water_rests(room, zone.water),
        )  # fmt: skip


def blends_are_told(room: Room, result: WaterResult) -> Iterator[Finding]:
    """WATER-08 and WATER-09: where a water does not do, some blend of the plan's waters does."""
    currency = room.climate.currency if room.climate is not None else ""
    for blend in result.blends:
        if not blend.needed:
            continue
        words, numbers = _shares(blend)
        if blend.misses:
            worst = max(blend.misses, key=lambda miss: miss.by / (miss.limit or 1.0))
            dimension = QUANTITIES[worst.quantity][1]
            told = [worst, *(miss for miss in blend.misses if miss is not worst)]
            missed = []
            for place, miss in enumerate(told):
                name, of = QUANTITIES[miss.quantity]
                side = "at least" if miss.bound == "low" else "at most"
                end = str(place or "")
                missed.append(
                    f"{name} {side} {{limit{end}}}, and the nearest has {{best{end}}}, {{by{end}}} off"
                )
                numbers += [(f"limit{end}", Number(miss.limit, of)), (f"best{end}", Number(miss.value, of)),
                            (f"by{end}", Number(miss.by, of))]  # fmt: skip
            yield Finding(
                code="WATER-09", severity=Severity.WARNING, subject=f"zone {blend.zone}",
                text=f"wants what no blend of the plan's waters has: {'; '.join(missed)}", numbers=tuple(numbers),
                value=Number(worst.value, dimension), limit=Number(worst.limit, dimension),
                reason=f"every share was tried; the nearest is {words}",
                remedy=_other_water(blend),
                source=BLEND_SOURCE, line=_line(room, blend.zone), places=blend.tanks,
                rests_on=_blend_rests(room, blend),
            )  # fmt: skip
            continue
        cost = f", {{year}} {currency} a year".rstrip() if blend.cost_a_year is not None else ""
        if blend.cost_a_year is not None:
            numbers = [*numbers, ("year", Number(blend.cost_a_year, "number"))]
        free = (
            f"; no price is said of {' and '.join(blend.unpriced)}, so it counted as free"
            if blend.unpriced
            else ""
        )
        names = " and ".join(QUANTITIES[quantity][0] for quantity in blend.left_out)
        left_out = f"; not every water says its {names}" if names else ""
        but = f" but for {names}, which was left out," if names else ""
        yield Finding(
            code="WATER-08", severity=Severity.NOTE, subject=f"zone {blend.zone}",
            text=f"gets what it wants{but} from {words}{cost}", numbers=tuple(numbers),
            reason=f"it is the cheapest blend of the plan's waters that keeps to what is wanted{free}{left_out}",
            remedy="mix it in a vat that stands a day in the room before it is fed: it is then warm, and its gas and"
            " its surplus carbon dioxide are gone",
            source=BLEND_SOURCE, line=_line(room, blend.zone), places=blend.tanks, rests_on=_blend_rests(room, blend),
        )  # fmt: skip


def _other_water(blend: ZoneBlend) -> str:
    """What to add where no blend does; waters that miss one bound above and one below want both."""
    high, low = (any(miss.bound == bound for miss in blend.misses) for bound in ("high", "low"))
    softer, harder = (
        "add a softer water to the plan, such as rain or water from a membrane",
        "harden it with salts",
    )
    if high and low:
        return f"{softer}, and {harder} that bring what is short and nothing else, or let the zone want less"
    return softer if high else f"{harder} made for it, or let the zone want less"


def stocked_zones_want_something(room: Room, _result: WaterResult) -> Iterator[Finding]:
    """WATER-10: zones that hold fish say what water they want."""
    wanting = {zone.id for zone in room.zones if zone.wants is not None}
    places = {tank.id: tank.zone for tank in room.tanks}
    names = [
        life.tank
        for life in room.lives
        if life.stock is not None and not life.stock.is_empty and places.get(life.tank) not in wanting
    ]
    if names and room.waters:
        zones = sorted({places[name] for name in names})
        yield Finding(
            code="WATER-10", severity=Severity.NOTE, subject=listed(zones, "zone"),
            text=f"{verb(zones, 'holds', 'hold')} fish in {{count}} tanks but {verb(zones, 'wants', 'want')} no water"
            " in particular, so what arrives was compared with nothing",
            numbers=(("count", count(len(names))),), places=tuple(names),
            reason="without a target no blend, no change rate and no verdict can follow",
            remedy=f"write under [zone.{zones[0]}] what it wants: temperature, ph, general_hardness,"
            " carbonate_hardness, nitrate",
        )  # fmt: skip


def what_was_not_worked_out(_room: Room, result: WaterResult) -> Iterator[Finding]:
    """WATER-11: every water lies within what the published formulas cover."""
    for subject, reason in result.not_computed:
        yield Finding(
            code="WATER-11", severity=Severity.NOT_COMPUTED, subject=subject, text="was not worked out in full",
            reason=reason, remedy="look at the value named: measure it again, or correct it in the plan",
        )  # fmt: skip


CHECKS: Final[tuple[Check, ...]] = (
    the_plan_says_its_waters, every_tank_has_a_known_water, a_source_gives_one_water, zones_get_what_they_want,
    ph_settles_where_it_is_wanted, blends_are_told, stocked_zones_want_something, a_drip_does_not_chill,
    batches_do_not_chill, cold_water_does_not_bring_too_much_gas, tanks_are_not_fed_in_a_row,
    fish_keep_in_the_water_of_their_tank, brackish_fish_have_salt, what_could_not_be_compared, what_was_not_worked_out,
)  # fmt: skip


def _shares(blend: ZoneBlend) -> tuple[str, list[tuple[str, Number]]]:
    """A blend in words, as shares or, where litres are fed, with litres a day."""
    words, numbers = [], []
    for place, (name, share) in enumerate(blend.shares):
        numbers.append((f"share{place}", Number(share, "share")))
        if blend.volume_a_day > 0.0:
            numbers.append((f"day{place}", Number(share * blend.volume_a_day, "volume")))
            words.append(f"{{share{place}}} {name} ({{day{place}}} a day)")
        else:
            words.append(f"{{share{place}}} {name}")
    return " and ".join(words), numbers


def _measure(known: Known) -> str:
    return ASSUMPTIONS[known.key].measure if known.key in ASSUMPTIONS else "measure it"


def _line(room: Room, zone: str) -> int | None:
    found = next((one for one in room.zones if one.id == zone), None)
    return None if found is None else found.wants.line if found.wants is not None else found.line


def _water_rests(room: Room, name: str) -> tuple[str, ...]:
    names = {name, *name.split(" and ")}
    return rests(*(
        known for water in room.waters if water.id in names
        for known in (water.general_hardness, water.carbonate_hardness)
    ))  # fmt: skip


def _blend_rests(room: Room, blend: ZoneBlend) -> tuple[str, ...]:
    found: list[str] = []
    for name, _ in blend.shares:
        found += _water_rests(room, name)
    return tuple(dict.fromkeys(found))
