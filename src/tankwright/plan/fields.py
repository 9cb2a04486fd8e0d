"""Kinds of field that the tables of the plan share."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from typing import Annotated, Any, Literal

from pydantic import Field, StringConstraints, WrapValidator

from tankwright.plan.placed import MeasuredText, PlacedText, line_of
from tankwright.plan.quantities import Length, Positive, mistake
from tankwright.units import clip

Name = Annotated[str, StringConstraints(min_length=1, max_length=80)]
ClockTime = Annotated[str, StringConstraints(pattern=r"^([01]\d|2[0-3]):[0-5]\d$")]
Wall = Literal["north", "south", "east", "west"]
Size0 = Annotated[Length, Positive]


def _with_its_line(raw: Any, read: Any) -> Any:
    """The text as read, with the line it stands on, which a plain text would lose."""
    text, line = read(raw), line_of(raw)
    return text if line is None else PlacedText(text, line)


def _own_assumption(raw: Any, read: Any) -> Any:
    """A text, or the value of a table that says when it was measured: still a text, which knows its day."""
    if not isinstance(raw, Mapping):
        return _with_its_line(raw, read)
    wanted = '{ value = "2.1 mm", measured = 2026-11-28, plus_minus = "0.1 mm" }'
    odd = next((str(key) for key in raw if key not in ("value", "measured", "plus_minus")), None)
    if odd is not None:
        found = f"{clip(odd)} = ..."
        raise mistake(
            "PLAN-017", f'has a key "{clip(odd)}" that a quantity does not know', found=found, wanted=wanted
        )
    value, measured, error = raw.get("value"), raw.get("measured"), raw.get("plus_minus")
    if isinstance(measured, datetime):
        measured = measured.date()
    if not isinstance(measured, date):
        raise mistake("PLAN-017", 'has no date under "measured"', found="measured", wanted=wanted)
    for text in (value,) if error is None else (value, error):
        if isinstance(text, bool) or not isinstance(text, (str, int, float)):
            raise mistake("PLAN-018", "is not a text with a unit", found=clip(str(text)), wanted=wanted)
    line = line_of(value) or line_of(raw) or 0
    return MeasuredText(str(value), line, measured, None if error is None else str(error))


OwnAssumption = Annotated[str, WrapValidator(_own_assumption)]


def about(text: str, default: Any = None) -> Any:
    """A field with a description and a default."""
    return Field(default=default, description=text)


def needed(text: str, example: str = "") -> Any:
    """A field that must be given; `example` is a good value as TOML, where that of its dimension would mislead."""
    return Field(description=text, examples=[example] if example else None)
