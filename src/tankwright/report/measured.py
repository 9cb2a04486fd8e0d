"""Test points, readings and what they come to, for JSON: SI values, each with its unit."""

from __future__ import annotations

from collections.abc import Iterable

from tankwright.building.comparing import Comparison
from tankwright.building.fitted import Fitted
from tankwright.building.point import TestPoint
from tankwright.finding import Number
from tankwright.report.finding import json_number


def json_points(points: Iterable[TestPoint]) -> list[dict[str, object]]:
    """Every test point, before anything is read."""
    return [
        {
            "point": one.id,
            "kind": one.kind,
            "what": one.what,
            "how": list(one.how),
            "expected": json_number(Number(one.value, one.dimension)),
            "at_most": one.ceiling,
            "band": None if one.band is None else list(one.band),
            "tolerance": one.tolerance,
            "write_in": one.unit,
            "when": one.when,
            "needs": one.needs,
            "caution": one.caution,
            "source": one.source,
            "places": list(one.places),
            "rests_on": list(one.rests_on),
        }
        for one in points
    ]


def json_comparisons(comparisons: Iterable[Comparison]) -> list[dict[str, object]]:
    """Every point with what was read there."""
    return [
        {
            "point": one.point.id,
            "outcome": one.outcome.value,
            "expected": json_number(Number(one.point.value, one.point.dimension)),
            "read": None if one.reading is None else one.reading.value,
            "difference": None if one.reading is None else one.difference,
            "tolerances": None if one.reading is None else one.times,
            "within_what_is_assumed": one.assumed,
        }
        for one in comparisons
    ]


def json_fitted(fitted: Fitted | None) -> dict[str, object] | None:
    """The values the readings determine, with their uncertainty, and those they do not."""
    if fitted is None:
        return None
    return {
        "converged": fitted.converged,
        "why_not": fitted.why_not,
        "values": [
            {
                "key": one.row.key,
                "before": json_number(Number(one.before, one.row.dimension)),
                "value": json_number(Number(one.value, one.row.dimension)),
                "standard_uncertainty": one.standard,
                "interval_95": [one.low, one.high],
                "in_band": one.in_band,
            }
            for one in fitted.values
        ],
        "kept_as_assumed": [
            {"key": one.row.key, "beside": one.beside, "would_tell": one.would, "measure": one.row.measure}
            for one in fitted.kept
        ],
        "readings": fitted.readings,
        "set_aside": list(fitted.set_aside),
        "chi_square": fitted.chi_square,
        "degrees_of_freedom": fitted.freedom,
        "widened": fitted.widened,
        "misfit_before": fitted.misfit[0],
        "misfit_after": fitted.misfit[1],
    }
