"""Values that remember their line: what the TOML reader hands to the models.

A placed value is an ordinary text, number or table to everyone else; `line_of` asks any value for its line
and answers None for one that was made in code.
"""

from __future__ import annotations

from datetime import date


class PlacedText(str):
    """A text of the plan and its line.

    >>> PlacedText("54 L", 42) == "54 L", PlacedText("54 L", 42).line
    (True, 42)
    """

    __slots__ = ("line",)
    line: int

    def __new__(cls, text: str, line: int) -> PlacedText:
        made = super().__new__(cls, text)
        made.line = line
        return made


class MeasuredText(PlacedText):
    """A text of the plan whose table says when it was measured, and how far off it may be."""

    __slots__ = ("measured", "plus_minus")
    measured: date
    plus_minus: str | None

    def __new__(cls, text: str, line: int, measured: date, plus_minus: str | None = None) -> MeasuredText:
        made = str.__new__(cls, text)
        made.line = line
        made.measured = measured
        made.plus_minus = plus_minus
        return made


class PlacedInteger(int):
    """A whole number of the plan and its line."""

    line: int

    def __new__(cls, number: int, line: int) -> PlacedInteger:
        made = super().__new__(cls, number)
        made.line = line
        return made


class PlacedNumber(float):
    """A number with a decimal point and its line."""

    __slots__ = ("line",)
    line: int

    def __new__(cls, number: float, line: int) -> PlacedNumber:
        made = super().__new__(cls, number)
        made.line = line
        return made


class PlacedTable(dict[str, object]):
    """A table of the plan, the line it starts on, and the line of every key."""

    __slots__ = ("key_lines", "line")

    def __init__(self, line: int) -> None:
        super().__init__()
        self.line = line
        self.key_lines: dict[str, int] = {}


class PlacedList(list[object]):
    """An array of the plan and the line it starts on."""

    __slots__ = ("line",)

    def __init__(self, line: int) -> None:
        super().__init__()
        self.line = line


def line_of(value: object) -> int | None:
    """The line of the plan a value was read from, or None.

    >>> line_of(PlacedText("54 L", 42)), line_of("54 L")
    (42, None)
    """
    line = getattr(value, "line", None)
    return line if isinstance(line, int) else None
