"""What can be entered at a tank with a tap or a number: the kinds, their units and ranges, and numbers as people type
them."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import datetime
from typing import Final, Literal, get_args

from tankwright.finding import Finding
from tankwright.units import clip
from tankwright.workspace.outcomes import trouble

EntryKind = Literal[
    "ph", "gh", "kh", "no2", "no3", "nh4", "temperature", "fed", "looked", "spawn", "dead", "note"
]
BAD_VALUE: Final = "BOOK-03"


@dataclass(frozen=True, slots=True, kw_only=True)
class Scale:
    """What a kind of entry counts in: its units, the first the usual one; and what no keeper ever reads.

    Without units it has no number; with "" alone a bare one. `needed`: an entry without a number says nothing.
    """

    units: tuple[str, ...] = ()
    low: float = 0.0
    high: float = math.inf
    needed: bool = False
    whole: bool = False


# Ranges: what a test kit or thermometer of the trade can show at all; common practice, no source.
SCALES: Final[dict[EntryKind, Scale]] = {
    "ph": Scale(units=("",), low=0.0, high=14.0, needed=True),
    "gh": Scale(units=("°dH",), high=100.0, needed=True),
    "kh": Scale(units=("°dH",), high=100.0, needed=True),
    "no2": Scale(units=("mg/L",), high=1000.0, needed=True),
    "no3": Scale(units=("mg/L",), high=1000.0, needed=True),
    "nh4": Scale(units=("mg/L",), high=1000.0, needed=True),
    "temperature": Scale(units=("°C", "°F"), low=-5.0, high=120.0, needed=True),
    "fed": Scale(),
    "looked": Scale(),
    "spawn": Scale(units=("",), high=1e6, whole=True),
    "dead": Scale(units=("",), high=1e6, whole=True),
    "note": Scale(),
}
KINDS_BY_NAME: Final[dict[object, EntryKind]] = {kind: kind for kind in get_args(EntryKind)}
LONGEST: Final = {"tank": 40, "note": 2000, "who": 80, "key": 200}


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One entry. `undoes` is the id of the entry it takes back, which then counts as if it had never been made."""

    id: int
    key: str
    tank: str
    kind: EntryKind
    value: float | None
    unit: str
    note: str
    happened: datetime
    recorded: datetime
    who: str
    undoes: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Stored:
    """The entry stands in the book. `repeated`: its key had come before, and this is what was stored then."""

    entry: Entry
    repeated: bool = False


def read_value(kind: EntryKind, typed: str) -> tuple[float | None, str] | Finding:
    """A value as a person types it, with or without its unit, and the unit; or what is wrong with it.

    Comma and point are both taken. Nothing typed is no value.

    >>> read_value("ph", "7,2"), read_value("temperature", "76 °F"), read_value("dead", "2")
    ((7.2, ''), (76.0, '°F'), (2.0, ''))
    >>> read_value("ph", "72").text
    'ph of 72 is beyond what can be read'
    """
    scale = SCALES[kind]
    text = typed.strip()
    unit = next((one for one in scale.units if one and text.casefold().endswith(one.casefold())), "")
    number = text[: len(text) - len(unit)].strip().replace(",", ".").replace("−", "-")
    if not number and not unit:
        return checked_value(kind, None, "")
    try:
        value = float(number)
    except ValueError:
        wanted = " or ".join(f'"7.2 {one}"'.replace(' "', '"') for one in scale.units) or "no number here"
        return trouble(BAD_VALUE, kind, f'"{clip(text)}" is no number', wanted=wanted, found=clip(text))
    return checked_value(kind, value, unit or (scale.units[0] if scale.units else ""))


def checked_value(kind: EntryKind, value: float | None, unit: str) -> tuple[float | None, str] | Finding:
    """A value and its unit, when both can be; or what is wrong with them."""
    scale = SCALES[kind]
    if value is None:
        if scale.needed:
            return trouble(BAD_VALUE, kind, "has no number", wanted="the number that was read")
        return None, ""
    if not scale.units:
        return trouble(BAD_VALUE, kind, "takes no number", wanted="the entry alone, or a note")
    if unit not in scale.units:
        units = " or ".join(one or "no unit" for one in scale.units)
        return trouble(BAD_VALUE, kind, f'cannot be in "{clip(unit)}"', wanted=units, found=clip(unit))
    if not scale.low <= value <= scale.high:  # false for what is not a number, too
        high = "" if math.isinf(scale.high) else f" to {scale.high:g}"
        return trouble(
            BAD_VALUE, kind, f"{kind} of {value:g} is beyond what can be read", found=f"{value:g}",
            wanted=f"{scale.low:g}{high} {unit}".strip(),
        )  # fmt: skip
    if scale.whole and value != int(value):
        return trouble(BAD_VALUE, kind, f"{value:g} is no count", wanted="a whole number", found=f"{value:g}")
    return value, unit
