"""What the water becomes in the tanks, in short and in full for JSON. What has no end or never comes is null."""

from __future__ import annotations

import math
from collections.abc import Iterator

from tankwright.checks.water_chlorine import when
from tankwright.finding import Number
from tankwright.report.model import SummaryLine
from tankwright.room.model import Room
from tankwright.systems.water_life_model import (
    ChlorineCase,
    ChlorineDose,
    FirstWeeks,
    NitrateWant,
    RunCarbon,
    Span,
    TankChlorine,
    TankNitrogen,
    WaterLife,
)

CAUTION = "screening figures: tests of the water in the tank decide, before and after fish are in it"
_A_DAY, _A_WEEK = 86_400.0, 604_800.0
_MG, _MG_A_DAY, _LITRES = 1e3, 86_400.0e6, 1e3


def summary_water_life(_room: Room, life: WaterLife) -> Iterator[SummaryLine]:
    """A few lines: chlorine, carbon, ammonia, nitrate.

    >>> from tankwright.systems.water_life import solve_water_life
    >>> empty = Room(title="", display="metric", spaces=(), racks=(), tanks=())
    >>> list(summary_water_life(empty, solve_water_life(empty, {}, {}, {})))
    []
    """
    if life.chlorine:
        worst = max(life.chlorine, key=lambda one: one.now.peak.value)
        yield SummaryLine(f"most chlorine in a day: {worst.tank}, {{peak}}, {{limit}} being the limit",
                          (("peak", _level(worst.now.peak.value)), ("limit", _level(life.limit))))  # fmt: skip
        sure = [one for one in life.chlorine if one.fresh and math.isfinite(one.bare.harm.value)]
        if sure:
            first = min(sure, key=lambda one: one.bare.harm.value)
            told, numbers = when(first.begins, first.bare.harm.value)
            yield SummaryLine(f"were the carbon spent, {first.tank} would pass it {told}", numbers)
    for carbon in life.carbons:
        if math.isfinite(carbon.lasts.high):
            yield SummaryLine(f"carbon of {carbon.run} is spent after {{low}} to {{high}}",
                              (("low", Number(carbon.lasts.low, "duration")),
                               ("high", Number(carbon.lasts.high, "duration"))))  # fmt: skip
    known = [one for one in life.nitrogen if one.nitrate is not None and one.inflow > 0.0]
    if known:
        most = max(known, key=lambda one: one.nitrate.value if one.nitrate else 0.0)
        yield SummaryLine(f"most nitrate under a drip: {most.tank} settles at {{nitrate}}",
                          (("nitrate", _level(most.nitrate.value if most.nitrate else 0.0)),))  # fmt: skip


def json_water_life(_room: Room, life: WaterLife) -> dict[str, object]:
    """Every number of every tank; mg/L, mg a day, litres, hours; each band as [low, value, high].

    >>> from tankwright.systems.water_life import solve_water_life
    >>> empty = Room(title="", display="metric", spaces=(), racks=(), tanks=())
    >>> json_water_life(empty, solve_water_life(empty, {}, {}, {}))["nitrogen"]
    []
    """
    return {
        "caution": CAUTION,
        "chlorine_limit_mg_per_l": life.limit * _MG,
        "chlorine": [_chlorine(one) for one in life.chlorine],
        "carbon": [_carbon(one) for one in life.carbons],
        "doses": [_dose(one) for one in life.doses],
        "nitrogen": [_nitrogen(one) for one in life.nitrogen],
        "nitrate_wants": [_want(one) for one in life.wants],
        "programs": [
            {"feed": one.run, "minutes_a_day": one.minutes_now / 60.0,
             "needed_minutes_a_day": _span(one.needed, 1.0 / 60.0), "tank_that_asks_most": one.worst or None,
             "beyond_any_program": list(one.beyond)}
            for one in life.programs
        ],
        "first_weeks": _weeks(life.first_weeks) if life.first_weeks is not None else None,
        "without_stock": list(life.without_stock),
        "not_computed": [{"subject": subject, "reason": reason} for subject, reason in life.not_computed],
    }  # fmt: skip


def _chlorine(one: TankChlorine) -> dict[str, object]:
    return {
        "tank": one.tank, "feeds": list(one.feeds), "first_opens_h": one.begins / 3600.0,
        "opens_every_h": one.every / 3600.0,
        "carbon_fresh": _case(one.fresh) if one.fresh is not None else None, "without_carbon": _case(one.bare),
    }  # fmt: skip


def _case(case: ChlorineCase) -> dict[str, object]:
    return {
        "highest_of_a_day_mg_per_l": _span(case.peak, _MG), "harm_after_h": _span(case.harm, 1.0 / 3600.0),
        "harm_after_open_min": _span(case.opened, 1.0 / 60.0),
    }  # fmt: skip


def _carbon(one: RunCarbon) -> dict[str, object]:
    return {
        "feed": one.run, "filters": list(one.filters), "takes_g": one.takes.value * 1e3,
        "chlorine_mg_per_l": one.chlorine.value * _MG, "disinfectant": one.disinfectant,
        "litres_a_day": one.volume_a_day * _LITRES, "lasts_days": _span(one.lasts, 1.0 / _A_DAY),
        "tanks": list(one.tanks),
    }  # fmt: skip


def _dose(one: ChlorineDose) -> dict[str, object]:
    return {
        "water": one.water, "vat": one.vat or None, "litres": one.volume * _LITRES,
        "chlorine_mg_per_l": one.chlorine.value * _MG, "disinfectant": one.disinfectant,
        "sodium_thiosulfate_g": _span(one.thiosulfate, 1e3), "sodium_ascorbate_g": _span(one.ascorbate, 1e3),
    }  # fmt: skip


def _nitrogen(one: TankNitrogen) -> dict[str, object]:
    return {
        "tank": one.tank, "water_l": one.volume * _LITRES, "feed_g_per_day": one.feed.value * _A_DAY * 1e3,
        "protein_share": one.protein.value, "new_water_l_per_day": one.inflow * _A_DAY * _LITRES,
        "media_l": one.media.value * _LITRES, "ammonia_from_feed_mg_n_per_day": _span(one.from_feed, _MG_A_DAY),
        "ammonia_from_chloramine_mg_n_per_day": _span(one.from_chloramine, _MG_A_DAY),
        "ammonia_from_source_mg_n_per_day": _span(one.from_source, _MG_A_DAY),
        "filter_turns_over_mg_n_per_day": _span(one.capacity, _MG_A_DAY),
        "nitrified_mg_n_per_day": _span(one.nitrified, _MG_A_DAY),
        "ammonia_mg_n_per_l": _span(one.ammonia, _MG), "ph": one.ph.value if one.ph is not None else None,
        "unionised_ammonia_mg_per_l": _span(one.unionised, _MG),
        "acute_limit_mg_n_per_l": None if one.acute is None else one.acute * _MG,
        "chronic_limit_mg_n_per_l": None if one.chronic is None else one.chronic * _MG,
        "carbonate_hardness_left_mg_per_l": _span(one.hardness, _MG),
        "carbonate_hardness_lasts_days": _span(one.hardness_lasts, 1.0 / _A_DAY),
        "nitrate_rise_mg_per_l_a_week": _span(one.rise, _A_WEEK * _MG), "nitrate_mg_per_l": _span(one.nitrate, _MG),
        "wanted_nitrate_mg_per_l": None if one.wanted_nitrate is None else one.wanted_nitrate.value * _MG,
    }  # fmt: skip


def _want(one: NitrateWant) -> dict[str, object]:
    return {
        "tank": one.tank, "wanted_mg_per_l": one.wanted.value * _MG,
        "passed_after_days": _span(one.passes, 1.0 / _A_DAY),
        "new_water_l_per_week": _span(one.weekly, _LITRES), "weekly_change_share": _span(one.share, 1.0),
    }  # fmt: skip


def _weeks(weeks: FirstWeeks) -> dict[str, object]:
    return {
        "tank": weeks.tank, "dose_mg_n_per_l_a_day": weeks.dose * _A_DAY * _MG, "limit_mg_n_per_l": weeks.limit * _MG,
        "grown_in_after_days": _span(weeks.days, 1.0 / _A_DAY),
        "highest_ammonia_mg_n_per_l": _span(weeks.ammonia_peak, _MG),
        "highest_nitrite_mg_n_per_l": _span(weeks.nitrite_peak, _MG),
    }  # fmt: skip


def _span(span: Span | None, by: float) -> list[float | None] | None:
    if span is None:
        return None
    return [value * by if math.isfinite(value) else None for value in (span.low, span.value, span.high)]


def _level(value: float) -> Number:
    return Number(value, "concentration")
