"""Warmth and damp in short, and in full for JSON: temperatures in °C, powers in W, every tank and every space."""

from __future__ import annotations

from tankwright.checks.heat_shared import MONTHS
from tankwright.finding import Number
from tankwright.physics.surfaces import CAUTION
from tankwright.report.model import SummaryLine
from tankwright.room.model import Room
from tankwright.systems.heat_model import (
    ColdSurface,
    Drying,
    HeatResult,
    SpaceDay,
    SpaceHeat,
    TankHeat,
    WeekCourse,
    water_lost,
)
from tankwright.units import convert


def summary_heat(_room: Room, result: HeatResult) -> tuple[SummaryLine, ...]:
    """The weather, each space's heater, the coldest and the hottest tank, the cold surfaces.

    >>> from tankwright.systems.heat import solve_heat
    >>> empty = Room(title="", display="metric", spaces=(), racks=(), tanks=())
    >>> summary_heat(empty, solve_heat(empty, None, {}))[0].text[:37]
    'not computed: the plan has no [climat'
    """
    if not result.spaces:
        reason = result.not_computed[0][1] if result.not_computed else "there is no space"
        return (SummaryLine(f"not computed: {reason}"),)
    lines = [SummaryLine(result.weather_source or result.weather)]
    for space in result.spaces:
        if space.heat_need is not None and space.heat_to is not None:
            lines.append(SummaryLine(
                f"{space.space} takes {{need}} to hold {{set}} in the design cold of {{cold}};"
                " its heater gives {has}",
                (("need", _watt(space.heat_need)), ("set", _kelvin(space.heat_to.value)),
                 ("cold", _kelvin(result.winter_design)), ("has", _watt(space.heat_has))),
            ))  # fmt: skip
    if result.tanks:
        coldest = min(result.tanks, key=lambda row: row.coldest)
        hottest = max(result.tanks, key=lambda row: row.hottest)
        lines.append(SummaryLine(
            f"coldest tank {{cold}} ({coldest.tank}) in the coldest week,"
            f" hottest {{hot}} ({hottest.tank}) in the hottest",
            (("cold", _kelvin(coldest.coldest)), ("hot", _kelvin(hottest.hottest))),
        ))  # fmt: skip
    moist = [face for space in result.spaces for face in space.surfaces]
    if moist:
        worst = max(moist, key=lambda face: face.moisture)
        lines.append(SummaryLine(
            f"moistest cold face {{moisture}} humidity ({worst.id}) through the coldest month",
            (("moisture", Number(min(worst.moisture, 1.0), "share")),),
        ))  # fmt: skip
    return tuple(lines)


def json_heat(_room: Room, result: HeatResult) -> dict[str, object]:
    """Everything, hour by hour for the weeks.

    >>> from tankwright.systems.heat import solve_heat
    >>> empty = Room(title="", display="metric", spaces=(), racks=(), tanks=())
    >>> json_heat(empty, solve_heat(empty, None, {}))["rooms"]
    []
    """
    return {
        "weather": result.weather or None,
        "weather_source": result.weather_source or None,
        "weather_named_in_plan": result.named,
        "winter_design_c": _c(result.winter_design) if result.spaces else None,
        "caution": CAUTION,
        "rooms": [_space(space) for space in result.spaces],
        "tanks": [_tank(row) for row in result.tanks],
        "not_computed": [{"subject": subject, "reason": reason} for subject, reason in result.not_computed],
    }


def _space(space: SpaceHeat) -> dict[str, object]:
    ways = space.ways
    cooling = space.cooling
    return {
        "room": space.space,
        "loss_w_per_k": space.loss,
        "store_kwh_per_k": convert(space.store, "J", "kWh"),
        "time_constant_h": convert(space.time_constant, "s", "h"),
        "held_at_c": _c(space.heat_to.value) if space.heat_to is not None else None,
        "heat_needed_w": space.heat_need,
        "heat_needed_band_w": list(space.need_band) if space.heat_need is not None else None,
        "heater_w": space.heat_has,
        "design_days": [_day(day) for day in space.days],
        "cold_surfaces": [_surface(face) for face in space.surfaces],
        "weeks": [_week(week) for week in space.weeks],
        "ways_of_heating": {
            "by_air_w": ways.room_way, "air_c": _c(ways.room_air), "hottest_tank_c": _c(ways.hottest_tank),
            "by_tanks_w": ways.tank_way, "air_with_tank_heaters_c": _c(ways.tank_way_air),
            "by_air_kwh_per_day": ways.room_way * 0.024, "by_tanks_kwh_per_day": ways.tank_way * 0.024,
        } if ways is not None else None,
        "cooling": {
            "holds_c": _c(cooling.holds), "asked": cooling.asked, "sensible_w": cooling.sensible,
            "latent_w": cooling.latent, "cooler_w": cooling.has,
        },
        "drying": [_drying(row) for row in space.drying],
        "airing": [
            {"month": MONTHS[row.month - 1], "outside_c": _c(row.outside_temperature),
             "outside_g_per_kg": 1000.0 * row.outside, "wanted_inside_g_per_kg": 1000.0 * row.inside}
            for row in space.airing
        ],
        "shell_assumed": list(space.assumed_walls),
    }  # fmt: skip


def _day(day: SpaceDay) -> dict[str, object]:
    return {
        "case": day.case, "outside_c": _c(day.outside), "air_c": _c(day.air), "house_c": _c(day.house),
        "relative_humidity_share": day.relative_humidity, "dew_point_c": _c(day.dew_point),
        "room_heating_w": day.room_heating, "cooled_w": day.cooled,
        "evaporation_kg_per_day": water_lost(day.evaporation),
        "losses": [{"part": part.name, "heat_w": part.heat} for part in day.losses],
        "gains": [{"part": part.name, "heat_w": part.heat} for part in day.gains],
        "settled": day.settled,
    }  # fmt: skip


def _surface(face: ColdSurface) -> dict[str, object]:
    return {
        "surface": face.id, "kind": face.kind, "faces": face.faces, "area_m2": face.area,
        "transmittance_w_per_m2_k": face.transmittance.value, "face_in_design_cold_c": _c(face.face),
        "dew_point_c": _c(face.dew_point), "drips": face.drips, "corner_in_coldest_month_c": _c(face.corner),
        "corner_relative_humidity_share": face.moisture, "transmittance_needed_w_per_m2_k": face.needed,
    }  # fmt: skip


def _week(week: WeekCourse) -> dict[str, object]:
    return {
        "week": week.season, "first_hour_of_year": week.first_hour, "mean_outside_c": _c(week.mean_outside),
        "outside_c": [_c(one) for one in week.outside.tolist()], "air_c": [_c(one) for one in week.air.tolist()],
        "relative_humidity_share": week.relative_humidity.tolist(), "settled": week.settled,
    }  # fmt: skip


def _drying(row: Drying) -> dict[str, object]:
    return {
        "case": row.case, "holds_relative_humidity_share": row.holds.value,
        "needed_kg_per_day": water_lost(row.needed),
        "dehumidifier_kg_per_day": water_lost(row.has) if row.has is not None else None,
    }  # fmt: skip


def _tank(row: TankHeat) -> dict[str, object]:
    stuck = row.stuck
    return {
        "tank": row.tank, "room": row.space, "wanted_c": _c(row.wanted.value),
        "wanted_low_c": _maybe(row.low), "wanted_high_c": _maybe(row.high), "covered": row.covered,
        "loss_w_per_k": row.dry_loss, "store_kj_per_k": row.capacity / 1000.0,
        "time_constant_h": convert(row.time_constant, "s", "h"),
        "evaporation_kg_per_day": water_lost(row.evaporation),
        "air_about_it_in_design_cold_c": _c(row.room_air), "at_rest_in_design_cold_c": _c(row.cold_design),
        "lowest_in_coldest_week_c": _c(row.coldest), "highest_in_hottest_week_c": _c(row.hottest),
        "too_hot_in_hottest_week_h": row.hot_hours,
        "heater_w": row.has, "heaters": row.count, "heater_set_to_c": _maybe(row.holds),
        "heat_needed_w": row.need, "heater_size_w": row.size,
        "stuck_heater": {
            "power_w": stuck.power, "rise_at_first_k_per_h": stuck.rate * 3600.0, "ends_at_c": _c(stuck.final),
            "ends_at_with_half_the_power_c": _c(stuck.halved), "limit_c": _c(stuck.limit),
            "to_limit_h": stuck.to_limit / 3600.0 if stuck.to_limit is not None else None,
        } if stuck is not None else None,
        "power_cut_limit_c": _c(row.cut_limit),
        "power_cut_to_limit_h": row.cut_time / 3600.0 if row.cut_time is not None else None,
    }  # fmt: skip


def _c(value: float) -> float:
    return convert(value, "K", "°C")


def _maybe(value: float | None) -> float | None:
    return None if value is None else _c(value)


def _kelvin(value: float) -> Number:
    return Number(value, "temperature")


def _watt(value: float) -> Number:
    return Number(value, "power")
