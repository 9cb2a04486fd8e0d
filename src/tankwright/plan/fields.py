"""Kinds of field that the tables of the plan share."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import Field, StringConstraints, WrapValidator

from tankwright.plan.placed import PlacedText, line_of
from tankwright.plan.quantities import Length, Positive

Name = Annotated[str, StringConstraints(min_length=1, max_length=80)]
ClockTime = Annotated[str, StringConstraints(pattern=r"^([01]\d|2[0-3]):[0-5]\d$")]
Wall = Literal["north", "south", "east", "west"]
Size0 = Annotated[Length, Positive]


def _with_its_line(raw: Any, read: Any) -> Any:
    """The text as read, with the line it stands on, which a plain text would lose."""
    text, line = read(raw), line_of(raw)
    return text if line is None else PlacedText(text, line)


PlacedName = Annotated[str, WrapValidator(_with_its_line)]


def about(text: str, default: Any = None) -> Any:
    """A field with a description and a default."""
    return Field(default=default, description=text)


def needed(text: str, example: str = "") -> Any:
    """A field that must be given; `example` is a good value as TOML, where that of its dimension would mislead."""
    return Field(description=text, examples=[example] if example else None)
