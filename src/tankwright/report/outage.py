"""A power cut of so many hours: what to keep on, with what battery or generator, and which tanks to serve first."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Final

from tankwright.faults.backup import CAUTIONS, Choice, PowerCutPlan, TankTime
from tankwright.finding import Number
from tankwright.report.model import SummaryLine
from tankwright.systems.water_life_model import Span
from tankwright.units import convert

NAMED: Final = 5
"""Loads that are named; the others are counted."""


def choice_lines(plan: PowerCutPlan, choice: Choice) -> Iterator[SummaryLine]:
    """What keeping those loads on takes."""
    named = tuple(dict.fromkeys(load.name for load in choice.loads))
    names = ", ".join(named[:NAMED]) + (f" and {len(named) - NAMED} more" if len(named) > NAMED else "")
    yield SummaryLine(
        f"{choice.name}: {{running}} running, {{mean}} on average ({names})",
        (("running", Number(choice.running, "power")), ("mean", Number(choice.mean, "power"))),
    )
    yield _banded(
        "battery: {value} at {volt} on the label",
        choice.capacity,
        "charge",
        ("volt", Number(plan.voltage, "voltage")),
    )
    if choice.lasts is not None:
        yield _banded("the battery of the plan lasts {value}", choice.lasts, "duration")
    told = {True: ", which the plan's gives", False: ", more than the plan's gives", None: ""}[choice.enough]
    yield _banded(f"generator: {{value}} lasting{told}", choice.generator, "power")
    yield _banded("fuel: {value} of petrol for the cut", choice.fuel, "volume")


def tank_line(one: TankTime) -> SummaryLine:
    """When one tank is in trouble, and by what."""
    if math.isinf(one.first):
        return SummaryLine(f"{one.tank}: no trouble found")
    by = {"oxygen": "oxygen", "cold": "cold"}.get(one.reason, one.reason)
    return SummaryLine(f"{one.tank}: {by} after {{time}}", (("time", Number(one.first, "duration")),))


def _banded(text: str, span: Span, dimension: str, *more: tuple[str, Number]) -> SummaryLine:
    numbers = [("value", Number(span.value, dimension)), *more]
    if span.low < 0.99 * span.value or span.high > 1.01 * span.value:
        text += " ({low} to {high})"
        numbers += [("low", Number(span.low, dimension)), ("high", Number(span.high, dimension))]
    return SummaryLine(text, tuple(numbers))


def json_outage(plan: PowerCutPlan) -> dict[str, object]:
    """Everything; a time that never comes is null."""
    return {
        "cautions": list(CAUTIONS),
        "duration_s": plan.duration,
        "battery_voltage_V": plan.voltage,
        "comes_on_by_itself": plan.by_itself,
        "choices": [
            {
                "keeps": one.name,
                "loads": [
                    {"name": load.name, "board": load.board or None, "power_W": load.power}
                    for load in one.loads
                ],
                "running_W": one.running,
                "mean_W": one.mean,
                "battery_Ah": _span(one.capacity, "A*s", "Ah"),
                "battery_of_plan_lasts_s": None if one.lasts is None else _span(one.lasts, "s", "s"),
                "generator_W": _span(one.generator, "W", "W"),
                "generator_of_plan_is_enough": one.enough,
                "fuel_L": _span(one.fuel, "m**3", "L"),
            }
            for one in plan.choices
        ],
        "serve_first": [
            {
                "tank": one.tank,
                "trouble_after_s": one.first if math.isfinite(one.first) else None,
                "by": one.reason,
                "oxygen_s": one.oxygen if one.oxygen is not None and math.isfinite(one.oxygen) else None,
                "cold_s": one.cold if one.cold is not None and math.isfinite(one.cold) else None,
            }
            for one in plan.tanks
        ],
        "rests_on": list(plan.rests_on),
        "not_computed": [{"subject": subject, "reason": reason} for subject, reason in plan.not_computed],
    }


def _span(span: Span, si_unit: str, unit: str) -> dict[str, float | None]:
    ends = {"low": span.low, "value": span.value, "high": span.high}
    return {name: convert(end, si_unit, unit) if math.isfinite(end) else None for name, end in ends.items()}
