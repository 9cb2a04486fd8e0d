"""A year of a room in short, and in full for JSON: units stand in the key names, nothing is rounded."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from tankwright.finding import Finding, Number
from tankwright.report.finding import json_finding, json_number
from tankwright.report.model import SummaryLine
from tankwright.room.model import Room
from tankwright.systems.heat_energy import Damp, Months, Warmth
from tankwright.systems.heat_year import RoomYear, RowYear, SpaceYear
from tankwright.systems.heat_year_model import INTERACTION, KWH, METHOD, Saving, YearResult
from tankwright.units import convert

FORMAT: Final = 1

MONTHS: Final = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
    "December",
)  # fmt: skip


def summary_year(year: YearResult) -> tuple[SummaryLine, ...]:
    """The year in a few lines: energy and cost, water, what the tanks lose.

    >>> summary_year(YearResult())
    ()
    """
    base = year.base
    if base is None:
        return ()
    lines = [
        SummaryLine("{energy} in the year" + _cost(year.energy_cost, year.currency), (_energy(base.total),))
    ]
    if year.band is not None:
        low, high = year.band
        lines.append(SummaryLine(
            "{low} to {high} inside the bands of what is assumed of evaporation and leaks",
            (("low", Number(low, "energy")), ("high", Number(high, "energy"))),
        ))  # fmt: skip
    lines.append(SummaryLine(
        "{fresh} of fresh water" + _cost(year.water_cost, year.currency)
        + "; {heat} go into warming it, {share} of all heating",
        (
            ("fresh", Number(base.fresh_water, "volume")), ("heat", Number(base.new_water, "energy")),
            ("share", Number(base.new_water_share, "share")),
        ),
    ))  # fmt: skip
    lines.append(SummaryLine("{lost} evaporate", (("lost", Number(base.evaporated, "mass")),)))
    if year.fine is not None:
        lines.append(SummaryLine(
            "{energy} with thermostats that switch, in steps of five minutes", (_energy(year.fine.total),)
        ))  # fmt: skip
    return tuple(lines)


def _energy(value: float) -> tuple[str, Number]:
    return "energy", Number(value, "energy")


def _cost(cost: float | None, currency: str) -> str:
    return ", cost not computed" if cost is None else f", {money(cost)} {currency}".rstrip()


def money(cost: float) -> str:
    """An amount of money, whole from a hundred on.

    >>> money(1585.37), money(12.345), money(-3.0)
    ('1585', '12.35', '−3.00')
    """
    return (f"{cost:.0f}" if abs(cost) >= 100.0 else f"{cost:.2f}").replace("-", "−")


def verdict_words(year: YearResult, one: Saving) -> str:
    """What is to be said at once of a measure beside its number; nothing of one that is worth it."""
    if one.saved < 0.0:
        return ", costs energy"
    if one.spoils:
        return (
            ", but by letting tanks go cold"
            if one.strain.below > one.strain.above
            else ", but tanks stand too warm for longer"
        )
    return "" if year.is_worth_it(one) else ", hardly worth it"


def side_effects(one: Saving) -> tuple[str, ...]:
    """What else a measure does in the year, in words: hours damp, too warm, too cold; a day of them at least."""
    row = f" ({one.strain.row})" if one.strain.row else ""
    hours = (
        (one.damp, "over 80 % humid"),
        (one.strain.above, f"too warm{row}"),
        (one.strain.below, f"too cold{row}"),
    )
    return tuple(
        f"{abs(change):.0f} {'more' if change > 0 else 'fewer'} hours {what}"
        for change, what in hours
        if abs(change) >= 24.0
    )


def json_year(room: Room, year: YearResult, findings: Iterable[Finding]) -> dict[str, object]:
    """The whole year; kWh, kg and m3, `null` for what was not computed.

    >>> json_year(Room(title="", display="metric", spaces=(), racks=(), tanks=()), YearResult(), ())["energy_kwh"]
    """
    base = year.base
    return {
        "format": FORMAT,
        "title": room.title,
        "weather": {"place": year.place, "source": year.source},
        "method": METHOD,
        "currency": year.currency or None,
        "energy_price_per_kwh": year.energy_price,
        "water_price_per_m3": year.water_price,
        "energy_kwh": _kwh(base.total) if base else None,
        "energy_band_kwh": None if year.band is None else [_kwh(end) for end in year.band],
        "energy_cost": year.energy_cost,
        "fresh_water_m3": base.fresh_water if base else None,
        "water_cost": year.water_cost,
        "fresh_water_heat_kwh": _kwh(base.new_water) if base else None,
        "fresh_water_heat_share": base.new_water_share if base else None,
        "evaporated_kg": base.evaporated if base else None,
        "months": _months(year, base) if base else [],
        "rooms": [_space(one) for one in base.spaces] if base else [],
        "five_minutes": _fine(base, year.fine) if base and year.fine else None,
        "bands": [
            {"assumption": one.key, "low_kwh": _kwh(one.low), "high_kwh": _kwh(one.high)} for one in year.spreads
        ],
        "interaction": INTERACTION,
        "measures": [_saving(year, one) for one in year.savings],
        "best_pair": _saving(year, year.pair) if year.pair else None,
        "all_together": _saving(year, year.together) if year.together else None,
        "findings": [json_finding(one) for one in findings],
        "not_computed": [
            {"subject": subject, "reason": reason, "remedy": remedy}
            for subject, reason, remedy in year.not_computed
        ],
    }  # fmt: skip


def _kwh(energy: float) -> float:
    return energy / KWH


def _uses(year: RoomYear | SpaceYear, month: int | None = None) -> dict[str, float]:
    return {use.value: _kwh(sum(months) if month is None else months[month]) for use, months in year.uses}


def _months(year: YearResult, base: RoomYear) -> list[dict[str, object]]:
    return [
        {
            "month": name,
            "energy_kwh": _kwh(base.months[number]),
            "energy_cost": year.cost_of(base.months[number]),
            "uses_kwh": _uses(base, number),
            "fresh_water_heat_kwh": _kwh(sum(one.new_water[number] for one in base.spaces)),
            "evaporated_kg": sum(one.damp.evaporated[number] for one in base.spaces),
            "dried_kg": sum(one.damp.dried[number] for one in base.spaces),
        }
        for number, name in enumerate(MONTHS)
    ]


def _space(one: SpaceYear) -> dict[str, object]:
    return {
        "room": one.space, "settled": one.settled, "uses_kwh": _uses(one), "air": _warmth(one.air),
        **_damp(one.damp), "rows": [_row(row) for row in one.rows],
        "fresh_water_heat_kwh": _kwh(sum(one.new_water)), "largest_room_heat_w": one.room_peak,
        "largest_tank_heat_w": one.tanks_peak, "heat_unaccounted_w": one.heat_off,
        "moisture_unaccounted_kg_s": one.moisture_off,
    }  # fmt: skip


def _damp(damp: Damp) -> dict[str, object]:
    return {
        "evaporated_kg": sum(damp.evaporated), "dried_kg": sum(damp.dried), "fog_kg": sum(damp.fog),
        "hours_over_75_percent": damp.hours_over[0], "hours_over_80_percent": damp.hours_over[1],
        "highest_humidity_share": damp.most, "mean_humidity_share": damp.mean,
    }  # fmt: skip


def _row(row: RowYear) -> dict[str, object]:
    return {
        "zone": row.zone, "row": row.row, "tanks": list(row.tanks),
        "wanted_low_c": _celsius(row.low), "wanted_high_c": _celsius(row.high), **_warmth(row.water),
        "hours_below": row.water.hours_below, "hours_above": row.water.hours_above,
        "kelvin_hours_below": row.water.degree_hours_below, "kelvin_hours_above": row.water.degree_hours_above,
    }  # fmt: skip


def _warmth(warmth: Warmth) -> dict[str, object]:
    def told(months: Months) -> list[float | None]:
        return [_celsius(one) for one in months]

    return {
        "mean_c": told(warmth.mean),
        "lowest_c": told(warmth.lowest),
        "highest_c": told(warmth.highest),
    }


def _celsius(value: float | None) -> float | None:
    return None if value is None else convert(value, "K", "°C")


def _fine(base: RoomYear, fine: RoomYear) -> dict[str, object]:
    return {
        "energy_kwh": _kwh(fine.total), "difference_kwh": _kwh(fine.total - base.total), "uses_kwh": _uses(fine),
        "evaporated_kg": fine.evaporated, "settled": fine.settled,
    }  # fmt: skip


def _saving(year: YearResult, one: Saving) -> dict[str, object]:
    return {
        "measure": one.measure.key, "name": one.measure.name, "text": one.measure.words,
        "numbers": {name: json_number(number) for name, number in one.measure.numbers},
        "costs_a_habit_only": one.measure.habit, "worth_it": year.is_worth_it(one),
        "spoils_wanted_temperature": one.spoils,
        "saved_kwh": _kwh(one.saved), "saved_low_kwh": None if one.low is None else _kwh(one.low),
        "saved_high_kwh": None if one.high is None else _kwh(one.high), "saved_cost": one.worth,
        "saved_water_m3": one.water, "saved_uses_kwh": {use.value: _kwh(value) for use, value in one.uses},
        "more_hours_over_80_percent": one.damp, "row_that_suffers_most": one.strain.row or None,
        "more_hours_below": one.strain.below, "more_hours_above": one.strain.above,
        "more_kelvin_hours_outside": one.strain.kelvin_hours, "more_evaporated_kg": one.evaporated,
    }  # fmt: skip
