"""A plan of cuts as JSON, in SI units that stand in the names of the keys."""

from __future__ import annotations

from typing import Final

from tankwright.report.finding import json_finding
from tankwright.takeoff.cutting_model import CutPlan, Pattern

UNITS: Final = {"sticks": "sticks", "length": "m", "cost": "price"}


def json_cuts(plan: CutPlan) -> dict[str, object]:
    """The plan as `tankwright cut --json` writes it; `cut.schema.json` describes each key.

    >>> json_cuts(CutPlan(objective="sticks", kerf=0.003, trim=0.0))["patterns"]
    []
    """
    return {
        "sticks": plan.sticks,
        "offcuts_used": plan.offcuts,
        "length_m": plan.length,
        "cost": plan.cost,
        "objective": plan.objective,
        "value": plan.value,
        "lower_bound": plan.lower_bound,
        "lower_bound_unit": UNITS[plan.objective],
        "proved_optimal": plan.proved_optimal,
        "gap_share": plan.gap,
        "proved_by": plan.how,
        "kerf_m": plan.kerf,
        "trim_m": plan.trim,
        "patterns": [_pattern(one) for one in plan.patterns],
        "findings": [json_finding(one) for one in plan.findings],
    }


def _pattern(pattern: Pattern) -> dict[str, object]:
    return {
        "stock": pattern.stock.name or f"{pattern.stock.length:g} m",
        "stock_m": pattern.stock.length,
        "offcut": pattern.stock.offcut,
        "price": pattern.stock.price,
        "times": pattern.times,
        "pieces": [{"length_m": one.length, "label": one.label} for one in pattern.pieces],
        "rest_m": pattern.rest,
        "waste_m": pattern.waste,
    }
