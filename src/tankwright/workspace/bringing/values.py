"""A value of a water test out of a cell, in the units people write over such columns."""

from __future__ import annotations

from typing import Final

from tankwright.finding import Finding
from tankwright.husbandry.records import Observed
from tankwright.workspace.entries import SCALES, EntryKind, read_value


class UnclearError(Exception):
    """A cell that is not understood: of which column, what it says, why not, what would be."""

    def __init__(self, column: str, found: str, text: str, wanted: str) -> None:
        super().__init__(text)
        self.column, self.found, self.text, self.wanted = column, found, text, wanted


# Sources: mg/L of CaCO3 to a German degree: DIN 38409-6, 1 °dH is 10 mg/L CaO, 17.85 mg/L CaCO3; a French degree is 10.
_PER_DEGREE: Final = {
    "ppm": 17.848,
    "mg/l": 17.848,
    "mg/l caco3": 17.848,
    "°fh": 1.7848,
    "mmol/l": 0.17832,
    "meq/l": 0.35663,
}


def read_cell(role: EntryKind, typed: str, unit: str) -> Observed:
    """A value of a test as its column and its unit say. Raises UnclearError for what is none.

    >>> read_cell("kh", "90", "ppm").value, read_cell("no2", "<0.05", "").high
    (5.043, 0.05)
    """
    below = typed.startswith("<")
    text = typed.lstrip("<>~ ").strip()
    hard = role in {"gh", "kh"} and unit.casefold() in _PER_DEGREE
    as_typed = f"{text} {unit}" if unit in SCALES[role].units and not hard else text
    read = read_value(role, as_typed)
    if isinstance(read, Finding):
        raise UnclearError(role, typed, f"has a {role} that cannot be read", read.wanted)
    value, own = read
    if value is None:
        raise UnclearError(role, typed, f"has a {role} that cannot be read", "a number")
    if hard:
        return Observed(
            quantity=role,
            value=round(value / _PER_DEGREE[unit.casefold()], 3),
            unit="°dH",
            method=f"{typed} {unit}",
        )
    if below:
        return Observed(quantity=role, value=value, unit=own, low=0.0, high=value)
    return Observed(quantity=role, value=value, unit=own)
