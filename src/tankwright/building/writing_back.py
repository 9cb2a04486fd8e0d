"""Fitted values as changes of the plan: under [assume], with the day they were measured on and their error."""

from __future__ import annotations

import math
from datetime import date
from typing import Final

from tankwright.building.fitted import Fitted, FittedValue
from tankwright.plan.changes_together import PutTogether
from tankwright.units import DIMENSIONS, convert

FINER: Final = 100.0
"""A value is written so much finer than its standard uncertainty."""


def fitted_changes(fitted: Fitted, on: date) -> tuple[PutTogether, ...]:
    """One change a fitted value, none where the fit gave none; each puts its value into a plan as measured that day.

    The plan then assumes the value no longer: its verdicts rest on the measurement.
    """
    if not fitted.converged:
        return ()
    return tuple(
        PutTogether(
            ((("assume", *one.row.key.split(".")), written(one, on)),), f"{one.row.what} measured {on}"
        )
        for one in fitted.values
    )


def written(one: FittedValue, on: date) -> str:
    """A fitted value as TOML: `{ value = "2.1 mm", measured = 2026-11-28, plus_minus = "0.1 mm" }`."""
    half = max(one.high - one.value, one.value - one.low)
    value = _text(one.value, one.standard / FINER, one.row.dimension)
    error = _text(half, half / FINER, one.row.dimension)
    return f'{{ value = "{value}", measured = {on.isoformat()}, plus_minus = "{error}" }}'


def _text(value: float, finest: float, dimension: str) -> str:
    """A value in the smallest unit people write it in, as finely as it is worth."""
    kind = DIMENSIONS.get(dimension)
    unit = "" if kind is None or kind.plain_number else kind.metric[0]
    if kind is not None and unit:
        value, finest = (
            convert(value, kind.si_unit, unit),
            convert(finest, kind.si_unit, unit, difference=True),
        )
    places = max(0, min(12, math.ceil(-math.log10(finest)))) if finest > 0.0 else 6
    text = f"{value:.{places}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return f"{text} {unit}" if unit else text
