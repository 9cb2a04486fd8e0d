"""The oxygen in short, and in full for JSON. A screening: what fish do at the surface goes before any sum."""

from __future__ import annotations

import math

from tankwright.checks.oxygen import SCREENING
from tankwright.finding import Number
from tankwright.report.model import SummaryLine
from tankwright.room.model import Room
from tankwright.systems.oxygen_model import Banded, OxygenResult, TankOxygen
from tankwright.units import convert

MILLIGRAMS_AN_HOUR = 3.6e9
"""mg/h in a kg/s."""


def summary_oxygen(_room: Room, result: OxygenResult) -> tuple[SummaryLine, ...]:
    """The first tank in trouble, the least level with air on, how many have no time, the caution.

    >>> from tankwright.systems.oxygen import solve_oxygen
    >>> empty = Room(title="", display="metric", spaces=(), racks=(), tanks=())
    >>> [line.text for line in summary_oxygen(empty, solve_oxygen(empty, {}))]
    ['not computed: the plan says nothing of its fish']
    """
    if result.laws is None:
        return (SummaryLine("not computed: the plan says nothing of its fish"),)
    lines: list[SummaryLine] = []
    known = [(one, one.steady, one.trouble) for one in result.in_order if one.steady and one.trouble]
    aired = [(one, time) for one, _, time in known if one.stirring > 0.0]
    if aired:
        first, time = aired[0]
        if math.isfinite(time.low):
            ends = " ({low} to {high})" if math.isfinite(time.high) else " ({low} at the least)"
            told = (
                "{time}" + ends
                if math.isfinite(time.value)
                else "never by the value taken, at the least {low}"
            )
            lines.append(SummaryLine(
                f"first in trouble when the air stops: {first.tank}, {told}",
                tuple((name, Number(value, "duration"))
                      for name, value in (("time", time.value), ("low", time.low), ("high", time.high))
                      if math.isfinite(value)),
            ))  # fmt: skip
        else:
            lines.append(
                SummaryLine("no tank falls to the trouble level when the air stops, over the whole band")
            )
        before = sum(time.value <= result.gap for _, time in aired)
        lines.append(SummaryLine(
            "{count} of {all} tanks with air are in trouble before the next look, {gap} at the most",
            (("count", Number(before, "number")), ("all", Number(len(aired), "number")),
             ("gap", Number(result.gap, "duration"))),
        ))  # fmt: skip
    if known:
        least, steady, _ = min(known, key=lambda one: one[1].value)
        on = "with its air on" if least.stirring > 0.0 else "without air"
        lines.append(SummaryLine(f"least oxygen as it stands: {least.tank} {on}, {{level}} of {{full}}",
                                 (("level", Number(steady.value, "concentration")),
                                  ("full", Number(least.saturation, "concentration")))))  # fmt: skip
    unknown = len(_room.tanks) - len(known)
    if unknown:
        lines.append(SummaryLine("{count} tanks without a time: no fish described, or out of a formula's reach",
                                 (("count", Number(unknown, "number")),)))  # fmt: skip
    lines.append(SummaryLine(SCREENING))
    return tuple(lines)


def json_oxygen(_room: Room, result: OxygenResult) -> dict[str, object]:
    """Every tank, those first in trouble in front; a time that never comes is null, and `falls` says so.

    >>> from tankwright.systems.oxygen import solve_oxygen
    >>> empty = Room(title="", display="metric", spaces=(), racks=(), tanks=())
    >>> json_oxygen(empty, solve_oxygen(empty, {}))["tanks"]
    []
    """
    laws = result.laws
    return {
        "caution": SCREENING,
        "air_pressure_kpa": convert(result.pressure, "Pa", "kPa"),
        "trouble_level_mg_per_l": None if laws is None else laws.trouble.value * 1e3,
        "longest_gap_between_looks_h": result.gap / 3600.0,
        "spans": [{"span": one.name, "duration_h": one.duration / 3600.0} for one in result.spans],
        "tanks": [_tank(one) for one in result.in_order],
        "not_computed": [{"subject": subject, "reason": reason} for subject, reason in result.not_computed],
    }


def _tank(one: TankOxygen) -> dict[str, object]:
    demand = one.demand
    return {
        "tank": one.tank,
        "temperature_k": one.temperature.value,
        "saturation_mg_per_l": one.saturation * 1e3,
        "water_l": one.volume * 1e3,
        "surface_m2": one.surface,
        "lid": one.lid,
        "air_l_per_min": one.air_flow * 6e4,
        "diffuser_depth_m": one.depth,
        "stirring_share": one.stirring,
        "surface_with_air_l_per_h": _banded(one.aired, 3.6e6),
        "bubbles_l_per_h": one.bubbles * 3.6e6,
        "surface_without_air_l_per_h": _banded(one.still, 3.6e6),
        "fish_g": None if demand is None else demand.mass * 1e3,
        "feed_g_per_day": None if demand is None else demand.feed * 86400e3,
        "demand_of_fish_mg_per_h": None if demand is None else demand.fish * MILLIGRAMS_AN_HOUR,
        "demand_of_filter_and_mulm_mg_per_h": None if demand is None else demand.filter * MILLIGRAMS_AN_HOUR,
        "nitrification_in_it_mg_per_h": None if demand is None else demand.nitrifying * MILLIGRAMS_AN_HOUR,
        "demand_mg_per_h": None if demand is None else demand.total * MILLIGRAMS_AN_HOUR,
        "demand_of_a_kg_of_fish_mg_per_h": one.each_kg * MILLIGRAMS_AN_HOUR,
        "fish_are_assumed": one.assumed_fish,
        "fish_take_air": one.breathes_air,
        "level_with_air_mg_per_l": None if one.steady is None else _banded(one.steady, 1e3),
        "settles_without_air_mg_per_l": None if one.settles is None else _banded(one.settles, 1e3),
        "time_to_trouble_h": None if one.trouble is None else _banded(one.trouble, 1 / 3600.0),
        "falls": falls(one),
        "holds": [
            {"span": held.span.name, "duration_h": held.span.duration / 3600.0, "fish_g": _banded(held.mass, 1e3)}
            for held in one.holds
        ],
    }  # fmt: skip


def falls(one: TankOxygen) -> str:
    """Whether a tank comes to the trouble level once its air stops: "yes" over the whole band, "depends" on the
    surface, "no", or "not computed".

    >>> from tankwright.systems.oxygen_model import Banded
    >>> from types import SimpleNamespace as Tank
    >>> falls(Tank(trouble=Banded(low=60.0, value=math.inf, high=math.inf)))
    'depends'
    """
    if one.trouble is None:
        return "not computed"
    if math.isinf(one.trouble.low):
        return "no"
    return "yes" if math.isfinite(one.trouble.high) else "depends"


def _banded(band: Banded, factor: float) -> dict[str, float | None]:
    ends = (("low", band.low), ("value", band.value), ("high", band.high))
    return {name: value * factor if math.isfinite(value) else None for name, value in ends}
