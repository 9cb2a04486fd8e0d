"""The waters in short, and in full for JSON."""

from __future__ import annotations

from tankwright.finding import Number
from tankwright.origin import Known
from tankwright.report.model import SummaryLine
from tankwright.report.water_life import json_water_life, summary_water_life
from tankwright.room.model import Room
from tankwright.systems.water_model import (
    Change,
    ColdFill,
    SourceWater,
    TankWater,
    WaterResult,
    Wish,
    ZoneBlend,
    ZoneWater,
)
from tankwright.units import convert

CAUTION = "a screening: measure what a verdict rests on before fish depend on it"


def summary_water(room: Room, result: WaterResult) -> tuple[SummaryLine, ...]:
    """A few lines: the waters, what is not met, the coldest change.

    >>> from tankwright.systems.water import solve_water
    >>> empty = Room(title="", display="metric", spaces=(), racks=(), tanks=())
    >>> summary_water(empty, solve_water(empty, {}))
    ()
    """
    if room.tanks and not result.sources:
        return (SummaryLine("not computed: the plan names no water"),)
    lines = [_source(water) for water in result.sources]
    wanted = [(zone, wish) for zone in result.zones for wish in zone.wishes]
    if wanted:
        met = sum(wish.by == 0.0 and wish.sure for _, wish in wanted)
        lines.append(SummaryLine("{met} of {wanted} wants of its zones are met by what arrives",
                                 (("met", Number(float(met), "number")),
                                  ("wanted", Number(float(len(wanted)), "number")))))  # fmt: skip
    drips = [(change.in_an_hour, fill, change) for fill in result.cold_fills for change in fill.changes
             if change.kind == "drip"]  # fmt: skip
    if drips:
        drop, fill, change = max(drips, key=lambda one: one[0])
        lines.append(SummaryLine(f"the drip cools {fill.tank} most: {{drop}} in an hour in {change.season}",
                                 (("drop", Number(drop, "temperature_difference")),)))  # fmt: skip
    fish = {fit.species for fit in result.fits if fit.by > 0.0 and fit.sure}
    if result.fits:
        lines.append(SummaryLine("{count} species outside what they are said to keep in",
                                 (("count", Number(float(len(fish)), "number")),)))  # fmt: skip
    if result.life is not None:
        lines.extend(summary_water_life(room, result.life))
    return tuple(lines)


def _source(water: SourceWater) -> SummaryLine:
    said: list[str] = []
    numbers: list[tuple[str, Number]] = []
    for name, known, dimension, word in (
        ("gh", water.general_hardness, "hardness", "general"),
        ("kh", water.carbonate_hardness, "hardness", "carbonate hardness"),
        ("ph", water.ph, "ph", "pH"),
        ("winter", water.winter, "temperature", "in winter"),
        ("summer", water.summer, "temperature", "in summer"),
    ):
        if known is not None:
            said.append(f"pH {{{name}}}" if name == "ph" else f"{{{name}}} {word}")
            numbers.append((name, Number(known.value, dimension)))
    return SummaryLine(f"{water.name}: {', '.join(said) or 'nothing is known of it'}", tuple(numbers))


def json_water(room: Room, result: WaterResult) -> dict[str, object]:
    """Every water, tank, zone, blend and change; mg/L (hardness as calcium carbonate), degrees Celsius, litres.

    What may be of several kinds (wants, misses, species) has its SI unit beside it.

    >>> from tankwright.systems.water import solve_water
    >>> empty = Room(title="", display="metric", spaces=(), racks=(), tanks=())
    >>> json_water(empty, solve_water(empty, {}))["tanks"]
    []
    """
    return {
        "caution": CAUTION,
        "life": json_water_life(room, result.life) if result.life is not None else None,
        "waters": [_water(water) for water in result.sources],
        "tanks": [_tank(row) for row in result.tanks],
        "zones": [_zone(zone) for zone in result.zones],
        "blends": [_blend(blend) for blend in result.blends],
        "cold_fills": [_fill(fill) for fill in result.cold_fills],
        "gas": [
            {"water": gas.water, "season": gas.season, "tanks": list(gas.tanks), "cold_c": _celsius(gas.cold.value),
             "warm_c": _celsius(gas.warm), "gas_over_air_share": gas.ratio, "most_share": gas.most_share}
            for gas in result.gases
        ],
        "in_a_row": [
            {"tanks": list(row.tanks),
             "left": [{"turnovers": x, "share": share} for x, share in row.remaining],
             "left_by_itself": [{"turnovers": x, "share": share} for x, share in row.alone]}
            for row in result.rows
        ],
        "species": [
            {"species": fit.species, "quantity": fit.quantity, "unit": _UNITS[fit.quantity], "tanks": list(fit.tanks),
             "low": fit.low, "high": fit.high, "value": fit.found.value, "by": fit.by, "sure": fit.sure,
             "source": fit.source, "from_memory": fit.from_memory}
            for fit in result.fits
        ],
        "not_compared": [
            {"species": one.species, "quantity": one.quantity, "why": one.why, "tanks": list(one.tanks)}
            for one in result.not_compared
        ],
        "not_computed": [{"subject": subject, "reason": reason} for subject, reason in result.not_computed],
    }  # fmt: skip


_UNITS = {"temperature": "K", "ph": "1", "hardness": "kg/m3", "general_hardness": "kg/m3",
          "carbonate_hardness": "kg/m3", "conductivity": "S/m", "nitrate": "kg/m3"}  # fmt: skip


def _water(water: SourceWater) -> dict[str, object]:
    return {
        "water": water.name, "mixed": water.mixed, "disinfectant": water.disinfectant,
        "winter_c": _known(water.winter, _celsius), "summer_c": _known(water.summer, _celsius), "ph": _known(water.ph),
        "general_hardness_mg_per_l": _known(water.general_hardness, _mg),
        "carbonate_hardness_mg_per_l": _known(water.carbonate_hardness, _mg),
        "conductivity_us_per_cm": _known(water.conductivity, lambda value: convert(value, "S/m", "µS/cm")),
        "chlorine_mg_per_l": _known(water.chlorine, _mg), "nitrate_mg_per_l": _known(water.nitrate, _mg),
        "ammonia_mg_n_per_l": _known(water.ammonia, _mg),
        "standing_ph": list(water.standing_ph) if water.standing_ph else None,
        "carbon_dioxide_mg_per_l": _mg(water.carbon_dioxide) if water.carbon_dioxide is not None else None,
        "standing_carbon_dioxide_mg_per_l": [_mg(one) for one in water.standing_dioxide or ()] or None,
        "price_of_a_m3": water.price,
    }  # fmt: skip


def _tank(row: TankWater) -> dict[str, object]:
    return {
        "tank": row.tank, "zone": row.zone, "waters": [{"water": name, "share": share} for name, share in row.parts],
        "by_hand": row.by_hand, "through": list(row.through), "fed_l_a_day": convert(row.volume_a_day, "m**3", "L"),
        "settled_ph": _known(row.settled_ph),
        "settled_ph_band": list(row.settled_ph.band) if row.settled_ph and row.settled_ph.band else None,
    }  # fmt: skip


def _zone(zone: ZoneWater) -> dict[str, object]:
    return {
        "zone": zone.zone, "water": zone.water, "tanks": list(zone.tanks),
        "wants": [_wish(wish) for wish in zone.wishes],
        "carbonate_hardness_for_ph_mg_per_l": _mg(zone.kept_for_ph) if zone.kept_for_ph is not None else None,
        "carbon_dioxide_for_ph_mg_per_l": _mg(zone.dioxide_for_ph) if zone.dioxide_for_ph is not None else None,
    }  # fmt: skip


def _wish(wish: Wish) -> dict[str, object]:
    return {
        "quantity": wish.quantity, "unit": _UNITS[wish.quantity], "low": wish.low, "high": wish.high,
        "value": _known(wish.value), "by": wish.by, "sure": wish.sure,
    }  # fmt: skip


def _blend(blend: ZoneBlend) -> dict[str, object]:
    return {
        "zone": blend.zone, "reached": blend.reached, "needed": blend.needed,
        "shares": [
            {"water": name, "share": share, "fed_l_a_day": convert(share * blend.volume_a_day, "m**3", "L")}
            for name, share in blend.shares
        ],
        "cost_of_a_m3": blend.cost, "cost_a_year": blend.cost_a_year, "cost_a_year_now": blend.cost_now,
        "without_price": list(blend.unpriced), "blend": _water(blend.water),
        "misses": [
            {"quantity": miss.quantity, "unit": _UNITS[miss.quantity], "bound": miss.bound, "limit": miss.limit,
             "value": miss.value, "by": miss.by}
            for miss in blend.misses
        ],
    }  # fmt: skip


def _fill(fill: ColdFill) -> dict[str, object]:
    return {
        "tank": fill.tank, "water": fill.water, "before_c": _celsius(fill.before.value),
        "changes": [_change(change) for change in fill.changes],
        "winter_most_share": dict(fill.most_share)["winter"],
        "summer_most_share": dict(fill.most_share)["summer"],
    }  # fmt: skip


def _change(change: Change) -> dict[str, object]:
    return {
        "kind": change.kind, "season": change.season, "share": change.share,
        "taking_min": convert(change.taking, "s", "min"),
        "water_c": _celsius(change.water), "after_c": _celsius(change.after), "drop_k": change.drop,
        "drop_in_an_hour_k": change.in_an_hour, "drop_in_an_hour_band_k": list(change.band),
        "warm_after_h": convert(change.warm_after, "s", "h") if change.warm_after is not None else None,
    }  # fmt: skip


def _known(known: Known | None, shown: object = None) -> float | None:
    if known is None:
        return None
    return float(shown(known.value)) if callable(shown) else known.value


def _mg(value: float) -> float:
    return convert(value, "kg/m**3", "mg/L")


def _celsius(value: float) -> float:
    return convert(value, "K", "°C")
