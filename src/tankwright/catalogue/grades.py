"""Grades of timber, boards and steel: what a code lets them carry, with its edition and source.

The table is `timber.csv`. A value "from memory" could not be read in print; the stamp and the maker's sheet go
before any.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from difflib import SequenceMatcher, get_close_matches
from functools import cache
from typing import Final, Literal, get_args

from tankwright.catalogue.tables import Cells, TableError, read_table
from tankwright.units import Dimensionless, KilogramPerCubicMetre, Metre, Pascal, parse_in_unit

Route = Literal["EN 338", "AS 1720.1", "NDS", "steel", "board", "own"]
Family = Literal["solid", "plywood", "OSB", "particleboard", "dry particleboard", "MDF", "steel"]

MOST_WORDS: Final = 4
"""Longest run of words in which a grade is looked for."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Grade:
    """One grade. Strengths are characteristic (5 %) values for EN 338 and AS 1720.1, yield for steel, and
    reference design values of allowable-stress design for NDS; `route` says which. None: not known, not computed.

    `family` is what creeps and swells alike. `stiffness_low` is the 5 % value (Emin for NDS). `up_to` is the deepest
    section, or thickest board, these strengths are for. `note` is what its owner should know of the reading.
    """

    name: str
    route: Route
    bending: Pascal | None = None
    shear: Pascal | None = None
    compression: Pascal | None = None
    compression_across: Pascal | None = None
    stiffness: Pascal | None = None
    stiffness_low: Pascal | None = None
    density: KilogramPerCubicMetre | None = None
    source: str = ""
    family: Family = "solid"
    shear_stiffness: Pascal | None = None
    capacity_factor: Dimensionless | None = None
    up_to: Metre | None = None
    other_names: tuple[str, ...] = ()
    note: str = ""

    @property
    def from_memory(self) -> bool:
        """True when its values could not be read in print and must not pass as facts."""
        return "from memory" in self.source


def find_grade(text: str) -> Grade | None:
    """The grade a text names, in capitals or not, however spaced, with other words around it.

    None when it names none, or two: nothing is guessed.

    >>> find_grade("c 24, planed").bending, find_grade("SPF #2").name, find_grade("C24 or C16")
    (24000000.0, 'SPF No.2', None)
    """
    whole = _by_key().get(_key(text))
    if whole is not None:
        return whole
    words = [word for word in re.split(r"[\s,;()]+", text) if word]
    for count in range(min(MOST_WORDS, len(words)), 0, -1):
        runs = (words[at : at + count] for at in range(len(words) - count + 1))
        found = {one.name: one for run in runs if (one := _by_key().get(_key("".join(run)))) is not None}
        if found:
            return next(iter(found.values())) if len(found) == 1 else None
    return None


def known_grades() -> tuple[str, ...]:
    """Names of every grade of the table, in its order.

    >>> known_grades()[:3]
    ('C14', 'C16', 'C18')
    """
    return tuple(name for name, rows in _by_base().items() if rows)


def nearest_grades(text: str, *, count: int = 3) -> tuple[str, ...]:
    """The grades most like a text that names none, the likest first and of two alike the one nearer in number; empty
    when none is near.

    >>> nearest_grades("C25", count=2)
    ('C24', 'C27')
    """
    keys = {_key(name): one.name for one in all_grades() for name in (one.name, *one.other_names)}
    wanted = _key(text)[:80]
    near = get_close_matches(wanted, sorted(keys), n=3 * count, cutoff=0.5)
    near.sort(
        key=lambda one: (-round(SequenceMatcher(None, one, wanted).ratio(), 6), _apart(one, wanted), one)
    )
    names = [name for name in dict.fromkeys(keys[one] for one in near) if name in known_grades()]
    return tuple(names[:count])


def _apart(one: str, other: str) -> int:
    """How far the numbers of two grades lie apart."""
    numbers = [int("".join(filter(str.isdecimal, text)) or 0) for text in (one, other)]
    return abs(numbers[0] - numbers[1])


def grade_at(grade: Grade, depth: Metre) -> Grade | None:
    """The grade as it is for a section this deep or a board this thick; None beyond what its table holds.

    >>> mgp = find_grade("MGP10")
    >>> mgp.bending, grade_at(mgp, 0.190).bending, grade_at(mgp, 0.300)
    (17000000.0, 16000000.0, None)
    """
    if grade.up_to is None or depth <= grade.up_to:
        return grade
    rows = _by_base().get(grade.name, ())
    return next((one for one in rows if one.up_to is None or depth <= one.up_to), None)


def all_grades() -> tuple[Grade, ...]:
    """Every line of the table, in its order.

    >>> len(all_grades()) > 25
    True
    """
    return tuple(grade for _, grade in _rows())


def grade_of(cells: Cells) -> tuple[str, Grade]:
    """A line of the table as a grade, with the name its owner calls it by; raises ValueError when it cannot be."""
    if cells["route"] not in get_args(Route) or cells["family"] not in get_args(Family):
        raise ValueError(f"unknown route or family: {cells['route']}, {cells['family']}")
    if not cells["name"] or not cells["source"]:
        raise ValueError("a grade without a name or a source")
    one = parse_in_unit(f"1 {cells['unit']}", "Pa")
    number = {name: _number(cells[name]) for name in _STRESSES}
    if number["stiffness"] is None:
        raise ValueError("a grade without a stiffness")
    up_to = _number(cells["up_to_mm"])
    made = Grade(
        name=cells["name"],
        route=cells["route"],  # type: ignore[arg-type]  # held above to be one of them
        family=cells["family"],  # type: ignore[arg-type]  # likewise
        density=_number(cells["density_kg_m3"]),
        capacity_factor=_number(cells["capacity_factor"]),
        up_to=None if up_to is None else round(up_to / 1000.0, 6),
        other_names=tuple(filter(None, cells["other_names"].split("; "))),
        source=cells["source"],
        note=cells["note"],
        **{name: None if value is None else value * one for name, value in number.items()},
    )
    return cells["of"] or made.name, made


_STRESSES: Final = (
    "bending", "shear", "compression", "compression_across", "stiffness", "stiffness_low", "shear_stiffness",
)  # fmt: skip


def _number(cell: str) -> float | None:
    if not cell:
        return None
    value = float(cell)
    if not 0.0 < value < 1e9:
        raise ValueError(f"{cell} cannot be")
    return value


def _key(text: str) -> str:
    """A grade as grades are compared: "SPF #2", "spf no. 2" and "SPF No.2" are one."""
    return re.sub(r"[^a-z0-9]", "", text.casefold().replace("#", "no"))


@cache
def _rows() -> tuple[tuple[str, Grade], ...]:
    return read_table("timber.csv", grade_of)


@cache
def _by_base() -> dict[str, tuple[Grade, ...]]:
    """The lines of each grade, shallowest first."""
    lines: dict[str, tuple[Grade, ...]] = {}
    for base, grade in _rows():
        lines[base] = (*lines.get(base, ()), grade)
    return {base: tuple(sorted(one, key=lambda grade: grade.up_to or 0.0)) for base, one in lines.items()}


@cache
def _by_key() -> dict[str, Grade]:
    index: dict[str, Grade] = {}
    for base, grade in _rows():
        for name in (grade.name, *grade.other_names) if base == grade.name else ():
            if index.setdefault(_key(name), grade) is not grade:
                raise TableError(f'two grades are called "{name}"')
    return index
