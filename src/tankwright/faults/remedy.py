"""A change that may mend a fault: of the room, so that it can be tried, and of the plan, so that it can be written.

Both say the same: the room the changed plan lays out is the changed room, in everything a fault hangs on.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from typing import Final

from tankwright.finding import Number
from tankwright.origin import Known, Origin
from tankwright.plan.changes_together import ROW
from tankwright.plan.editing import quoted
from tankwright.plan.values import Path
from tankwright.room.model import Room, Tank
from tankwright.units import convert

SETTING: Final = 0
SMALL_PART: Final = 1
AFTERNOON: Final = 2
EQUIPMENT: Final = 3
"""How much a remedy asks: nothing but a hand, a part of small money, an afternoon's work, new equipment."""

_BARE: Final = re.compile(r"[A-Za-z0-9_-]+")

Puts = tuple[tuple[Path, str], ...]

Numbers = tuple[tuple[str, Number], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Remedy:
    """A change to try. `words` say it, with {name} for its numbers; `puts` are paths of the plan and the TOML to write
    there; `again` are the systems of a study that rest on what it changes."""

    words: str
    numbers: Numbers
    puts: Puts
    cost: int
    change: Callable[[Room], Room]
    again: frozenset[str] = frozenset()

    @property
    def attempt(self) -> str:
        """What to write in the plan, on one line."""
        return "; ".join(_written(path, toml) for path, toml in self.puts)


def _written(path: Path, toml: str) -> str:
    if path[-1] == ROW:
        return f"[[{'.'.join(_key(one) for one in path[:-1])}]] {toml[1:-1].strip()}"
    row = next((number for number, one in enumerate(path) if _names_row(one)), None)
    heading, rest = (path[:-1], path[-1:]) if row is None else (path[: row - 1], path[row - 1 :])
    told = " ".join(_step(one) for one in rest).removesuffix(":")
    return f"[{'.'.join(_key(one) for one in heading)}] {told}{f' = {toml}' if toml else ' taken out'}"


def _names_row(step: str | int) -> bool:
    return isinstance(step, int) or step.startswith("id=")


def _step(step: str | int) -> str:
    """A key of a row, or the row: by its number, or by its id."""
    if isinstance(step, int):
        return f"{step + 1}:"
    return f"{step[3:]}:" if step.startswith("id=") else _key(step)


def _key(step: str | int) -> str:
    text = str(step)
    return text if _BARE.fullmatch(text) else quoted(text)


def given(value: float) -> Known:
    """A value as the plan will say it."""
    return Known(value, Origin.GIVEN)


def said(value: float, unit: str, si_unit: str) -> str:
    """A value as the plan writes it.

    >>> said(0.012, "mm", "m"), said(2.5e-5, "L/min", "m**3/s")
    ('"12 mm"', '"1.5 L/min"')
    """
    return quoted(f"{convert(value, si_unit, unit):.4g} {unit}")


def stepped(value: float, unit: str, si_unit: str, *, step: float = 1.0, up: bool = False) -> float:
    """A value cut down to a step of a unit one can measure, or lifted up to it; in SI.

    >>> round(stepped(0.0127, "mm", "m"), 6), round(stepped(0.0121, "mm", "m", up=True), 6)
    (0.012, 0.013)
    """
    steps = convert(value, si_unit, unit) / step
    whole = math.ceil(steps - 1e-9) if up else math.floor(steps + 1e-9)
    return convert(whole * step, unit, si_unit)


def with_tanks(room: Room, names: Iterable[str], change: Callable[[Tank], Tank]) -> Room:
    """The room with some tanks changed."""
    chosen = frozenset(names)
    return replace(room, tanks=tuple(change(one) if one.id in chosen else one for one in room.tanks))


def listed(names: Iterable[str]) -> str:
    """Names as one reads them, the first few of many."""
    every = tuple(names)
    if len(every) > 4:
        return f"{', '.join(every[:3])} and {len(every) - 3} more"
    return " and ".join([", ".join(every[:-1]), every[-1]] if len(every) > 1 else every)


def free_name(name: str, taken: Iterable[str]) -> str:
    """A name nothing has yet: itself, or with a number behind it.

    >>> free_name("air", ("air", "air 2"))
    'air 3'
    """
    others = frozenset(taken)
    number = 1
    while (chosen := name if number == 1 else f"{name} {number}") in others:
        number += 1
    return chosen
