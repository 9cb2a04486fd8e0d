"""What each zone wants against what its tanks get, and the cheapest blend of the plan's waters that would do."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import combinations
from typing import Final

from tankwright.origin import Known
from tankwright.physics.carbonate_balance import co2_from_ph_and_alkalinity, ph_in_equilibrium_with_air
from tankwright.physics.numerics import root
from tankwright.physics.ranges import OutsideValidRange
from tankwright.physics.water_mix import ionic_strength_from_conductivity
from tankwright.room.model import Room, ZonePlace
from tankwright.room.model_water import WantedWater
from tankwright.systems.blending import KEPT, MOST_WATERS, BestBlend, Water, best_blend
from tankwright.systems.blending import Band as Limits
from tankwright.systems.water_model import BlendMiss, SourceWater, TankWater, Wish, ZoneBlend, ZoneWater
from tankwright.systems.water_sources import FRESH_AIR, Waters, as_water, fresh_parts, pour, settle
from tankwright.units import Kelvin, KilogramPerCubicMetre

WATERS_TRIED: Final = 6
"""More waters than these are not tried in all combinations; no keeper mixes more."""

DAYS_A_YEAR: Final = 365.25
_NAMES: Final = {
    "hardness": "general_hardness",
    "alkalinity": "carbonate_hardness",
    "conductivity": "conductivity",
}
_RANGES: Final = ("general_hardness", "carbonate_hardness", "conductivity")


def zones_of(room: Room, tanks: Sequence[TankWater]) -> tuple[ZoneWater, ...]:
    """Every zone that wants something, once for each different water its tanks get."""
    found = []
    temperatures = {life.tank: life.wanted_temperature.value for life in room.lives}
    for zone in room.zones:
        if zone.wants is None:
            continue
        alike: dict[tuple[float | None, ...], list[TankWater]] = {}
        for row in tanks:
            if row.zone == zone.id:
                alike.setdefault(_told(row), []).append(row)
        for rows in alike.values():
            name = rows[0].water.name if rows[0].water else ""
            wishes = tuple(_wishes(zone.wants, rows[0].water, tank_ph(rows[0])))
            ph = next((wish for wish in wishes if wish.quantity == "ph"), None)
            kept = dioxide = None
            if (
                ph is not None
                and ph.by
                and ph.value is not None
                and ph.value.value > ph.high
                and rows[0].water
            ):
                kept, dioxide = _how_to_hold(rows[0].water, ph.high, temperatures[rows[0].tank])
            found.append(ZoneWater(
                zone=zone.id, water=name, tanks=tuple(row.tank for row in rows), wishes=wishes,
                kept_for_ph=kept, dioxide_for_ph=dioxide,
            ))  # fmt: skip
    return tuple(found)


def _told(row: TankWater) -> tuple[float | None, ...]:
    """What a zone's wants are set beside; water that came through another tank may be the same water."""
    water = row.water
    if water is None:
        return ()
    kept = [getattr(water, name) for name in (*_RANGES, "nitrate")]
    return (
        *(None if known is None else round(known.value, 6) for known in kept),
        *(None if known is None else round(known.value, 1) for known in (row.settled_ph, water.ph)),
    )


def _wishes(wants: WantedWater, water: SourceWater | None, settled: Known | None) -> list[Wish]:
    found = []
    if wants.ph is not None:
        found.append(_wish("ph", wants.ph[0].value, wants.ph[1].value, settled))
    for name in _RANGES:
        wanted = getattr(wants, name)
        if wanted is not None:
            found.append(_wish(name, wanted[0].value, wanted[1].value, getattr(water, name, None)))
    if wants.nitrate is not None:
        found.append(_wish("nitrate", None, wants.nitrate.value, getattr(water, "nitrate", None)))
    return found


def tank_ph(row: TankWater) -> Known | None:
    """The pH a tank settles at, with a band down to the pH its water came with: fish breathe carbon dioxide out."""
    settled, came = row.settled_ph, row.water.ph if row.water is not None else None
    if settled is None or settled.band is None or came is None:
        return settled
    return replace(settled, band=(min(settled.band[0], came.value), max(settled.band[1], came.value)))


def _wish(quantity: str, low: float | None, high: float, value: Known | None) -> Wish:
    by = None if value is None else outside(value.value, low, high)
    ends = (value.band or (value.value, value.value)) if value is not None else ()
    verdicts = {outside(end, low, high) > 0.0 for end in ends} | ({by > 0.0} if by is not None else set())
    return Wish(quantity=quantity, low=low, high=high, value=value, by=by, sure=len(verdicts) == 1)


def outside(value: float, low: float | None, high: float) -> float:
    """How far a value lies outside a range; 0 inside, and within a millionth of its ends.

    >>> outside(5.0, 6.0, 8.0), outside(7.0, 6.0, 8.0), outside(9.5, None, 8.0)
    (1.0, 0.0, 1.5)
    """
    beyond = max(value - high, (low - value) if low is not None else 0.0, 0.0)
    return beyond if beyond > 1e-6 * max(abs(high), 1e-9) else 0.0


def _how_to_hold(
    water: SourceWater, ph: float, temperature: Kelvin
) -> tuple[KilogramPerCubicMetre | None, KilogramPerCubicMetre | None]:
    """The carbonate hardness that settles at a pH in fresh air, and the dioxide that holds it with what there is."""
    known = as_water(water)
    if known is None:
        return None, None
    strength = ionic_strength_from_conductivity(known.conductivity)

    def settled(kept: float) -> float:
        return ph_in_equilibrium_with_air(
            alkalinity=kept, temperature=temperature, carbon_dioxide_share=FRESH_AIR, ionic_strength=strength,
            hardness=known.hardness,
        )  # fmt: skip

    try:
        kept = root(lambda kept: settled(kept) - ph, 0.0, known.alkalinity) if settled(0.0) < ph else None
        dioxide = co2_from_ph_and_alkalinity(
            ph=ph, alkalinity=known.alkalinity, temperature=temperature, ionic_strength=strength,
            hardness=known.hardness,
        )  # fmt: skip
    except OutsideValidRange:
        return None, None
    return kept, dioxide


# --- blends --------------------------------------------------------------------------------------------------


def blends_of(
    room: Room, waters: Waters, tanks: Sequence[TankWater], zones: Sequence[ZoneWater]
) -> tuple[ZoneBlend, ...]:
    """The cheapest blend for every zone that wants a hardness or a conductivity."""
    drawn = {place.id for place in room.waters if place.comes_from}
    general = room.climate.water_price if room.climate is not None else None
    found = []
    for zone in room.zones:
        if zone.wants is not None and any(getattr(zone.wants, name) is not None for name in _RANGES):
            made = _blend(zone, zone.wants, room, waters, tanks, zones, drawn, general)
            if made is not None:
                found.append(made)
    return tuple(found)


def _blend(
    zone: ZonePlace, wants: WantedWater, room: Room, waters: Waters, tanks: Sequence[TankWater],
    zones: Sequence[ZoneWater], drawn: set[str], general: float | None,
) -> ZoneBlend | None:  # fmt: skip
    parts = [
        waters.by_name[place.id] for place in room.waters if not place.mix and place.id in waters.by_name
    ]
    chosen = [(water, known) for water in parts if (known := as_water(water)) is not None][:WATERS_TRIED]
    mine = [row for row in tanks if row.zone == zone.id]
    if not chosen or not mine:
        return None
    prices = {
        water.name: water.price if water.price is not None else general if water.name in drawn else None
        for water, _ in chosen
    }
    target = _target(wants, [water for water, _ in chosen])
    left_out = tuple(
        _NAMES[name] for name in KEPT if getattr(wants, _NAMES[name]) is not None and name not in target
    )
    if not target:
        return None
    best, names = _best(
        [known for _, known in chosen], [prices[water.name] or 0.0 for water, _ in chosen], target
    )
    shares = [(chosen[place][0], share) for place, share in names if share > 0.0]
    unpriced = tuple(water.name for water, _ in shares if prices[water.name] is None)
    volume = sum(row.volume_a_day * share for row in mine for _, share in fresh_parts(row))
    water = settle(replace(pour("blend", shares, waters.missing), mixed=True), waters.missing)
    needed = any(
        wish.by is None or wish.by > 0.0
        for one in zones if one.zone == zone.id for wish in one.wishes if wish.quantity in _RANGES
    )  # fmt: skip
    return ZoneBlend(
        zone=zone.id, tanks=tuple(row.tank for row in mine), reached=not best.misses, needed=needed,
        shares=tuple((water.name, share) for water, share in shares), volume_a_day=volume,
        cost=None if unpriced else best.cost,
        cost_a_year=None if unpriced else best.cost * volume * DAYS_A_YEAR,
        cost_now=_cost_now(mine, waters, prices), water=water, unpriced=unpriced, left_out=left_out,
        misses=tuple(BlendMiss(quantity=_NAMES[miss.quantity], bound=miss.bound, limit=miss.limit, value=miss.value,
                               by=miss.by) for miss in best.misses),
    )  # fmt: skip


def _target(wants: WantedWater, waters: Sequence[SourceWater]) -> dict[str, Limits]:
    """What the blend shall keep to; a conductivity only where every water's was measured."""
    target = {}
    for name in KEPT:
        wanted = getattr(wants, _NAMES[name])
        known = name != "conductivity" or all(water.conductivity is not None for water in waters)
        if wanted is not None and known:
            target[name] = Limits(low=wanted[0].value, high=wanted[1].value)
    return target


def _best(
    waters: Sequence[Water], costs: Sequence[float], target: Mapping[str, Limits]
) -> tuple[BestBlend, list[tuple[int, float]]]:
    """The best blend and its shares by the place of each water.

    A best blend needs no more waters than it has bounds that bind and one, so at most four of any number.
    """
    tried = []
    for places in combinations(range(len(waters)), min(MOST_WATERS, len(waters))):
        found = best_blend([waters[place] for place in places], [costs[place] for place in places], target)
        worst = max((miss.by / (miss.limit or 1.0) for miss in found.misses), default=0.0)
        tried.append(((worst, found.cost), found, places))
    _, best, places = min(tried, key=lambda one: one[0])
    return best, list(zip(places, best.shares, strict=True))


def _cost_now(rows: Sequence[TankWater], waters: Waters, prices: Mapping[str, float | None]) -> float | None:
    """What the water that runs now costs in a year; None where a price is not known. A tank's water is paid for."""
    total = 0.0
    for row in rows:
        for name, share in fresh_parts(row):
            water = waters.by_name.get(name)
            price = prices.get(name) if water is None or not water.mixed else water.price
            if price is None:
                return None
            total += price * share * row.volume_a_day
    return total * DAYS_A_YEAR
