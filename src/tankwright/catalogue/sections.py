"""Sections of timber and boards as people write them, and what a rack is made of, read off its sentence."""

from __future__ import annotations

import re
from dataclasses import dataclass, fields
from fractions import Fraction
from typing import Final

from tankwright.catalogue.size_names import INCH, size_name
from tankwright.units import Metre

UNITS: Final = {"mm": 0.001, "cm": 0.01, "in": INCH, '"': INCH, "inch": INCH}
NOMINAL: Final = {
    Fraction(1): 0.75, Fraction(2): 1.5, Fraction(3): 2.5, Fraction(4): 3.5, Fraction(5): 4.5, Fraction(6): 5.5,
    Fraction(8): 7.25, Fraction(10): 9.25, Fraction(12): 11.25,
}  # fmt: skip
"""Inches that a nominal inch size of planed North American timber has. Source: PS 20, from memory."""

_NUMBER: Final = r"(\d+(?:[.,]\d+)?(?:\s+\d+/\d+)?|\d+/\d+)"
_UNIT: Final = r'\s*(mm|cm|inch|in|")?'
_SECTION: Final = re.compile(rf"\s*{_NUMBER}{_UNIT}\s*[x×]\s*{_NUMBER}{_UNIT}(?![\d.])\s*(.*)", re.IGNORECASE)
_BOARD: Final = re.compile(rf'\s*{_NUMBER}\s*(mm|cm|inch|in|")\s*(\S.*)', re.IGNORECASE)
_ROLES: Final = (
    ("uprights", r"uprights?|posts?|legs?"),
    ("bearers", r"bearers?|beams?|rails?|joists?"),
    ("cross", r"cross|slats?|rungs?"),
    ("brace", r"braces?|diagonals?"),
)
_BOARDS: Final = r"ply(wood)?|osb|mdf|boards?|shel(f|ves)"


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """A section of timber, or of steel tube where `wall` is not 0: `thin` and `wide` are its two sizes.

    `name` is what a shop calls it, `grade` what is written after its sizes ("C24", "SPF No.2", "S235").
    """

    name: str
    thin: Metre
    wide: Metre
    wall: Metre = 0.0
    grade: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardName:
    """A board: its thickness, and what a shop calls it."""

    name: str
    thickness: Metre


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """What a rack is built of, in its owner's words."""

    uprights: str = ""
    bearers: str = ""
    cross: str = ""
    board: str = ""
    brace: str = ""

    @property
    def empty(self) -> bool:
        """Nothing is said."""
        return not any(getattr(self, field.name) for field in fields(self))


def _number(text: str) -> Fraction:
    return sum((Fraction(part.replace(",", ".")) for part in text.split()), start=Fraction(0))


def read_section(text: str) -> Section | None:
    """A section with or without units and grade, None when it cannot be read.

    Without a unit, two numbers up to 12 are nominal inches and larger ones millimetres.

    >>> read_section("45x95 C24"), read_section("2x4 SPF").wide
    (Section(name='timber 45x95 mm C24', thin=0.045, wide=0.095), 0.0889)
    """
    found = _SECTION.match(text)
    if found is None:
        return None
    first, unit_1, second, unit_2, grade = found.groups()
    unit = (unit_2 or unit_1 or "").lower()
    numbers = [_number(first), _number(second)]
    if min(numbers) <= 0:
        return None
    inches = not unit and max(numbers) <= max(NOMINAL)
    if inches and not all(number in NOMINAL for number in numbers):
        return None
    if inches:
        sizes = sorted(NOMINAL[number] * INCH for number in numbers)
        called = f"{first}x{second}"
    else:
        own = [(unit_1 or unit or "mm").lower(), unit or "mm"]
        sizes = sorted(float(number) * UNITS[one] for number, one in zip(numbers, own, strict=True))
        display = "US" if UNITS[own[1]] == INCH else "metric"
        thin, wide = (size_name(size, display) for size in sizes)
        called = f"{thin.removesuffix(' mm')}x{wide}" if display == "metric" else f"{thin} x {wide}"
    return Section(
        name=f"timber {called} {grade.strip()}".strip(), thin=round(sizes[0], 6), wide=round(sizes[1], 6)
    )


def read_board(text: str) -> BoardName | None:
    """A board by its thickness and its kind, None when it cannot be read.

    >>> read_board("18 mm plywood")
    BoardName(name='plywood 18 mm', thickness=0.018)
    """
    found = _BOARD.match(text)
    if found is None or _SECTION.match(text):
        return None
    number, unit, kind = found.groups()
    scale = UNITS[unit.lower()]
    thickness = round(float(_number(number)) * scale, 6)
    if thickness <= 0.0:
        return None
    return BoardName(
        name=f"{kind.strip()} {size_name(thickness, 'US' if scale == INCH else 'metric')}",
        thickness=thickness,
    )


def read_made_of(text: str) -> Said:
    """What a sentence about a rack says of its parts; a section without a word of its place is for all of the frame.

    >>> read_made_of("45x95 C24 uprights, 45x70 bearers and 18 mm plywood")
    Said(uprights='45x95 C24', bearers='45x70', cross='', board='18 mm plywood', brace='')
    """
    said: dict[str, str] = {}
    words = "|".join([its for _, its in _ROLES] + ["frame", "timber", "pieces", "of"])
    for clause in re.split(r"[,;+&]|\band\b|\bwith\b", text):
        role = next((name for name, its in _ROLES if re.search(rf"\b({its})\b", clause, re.IGNORECASE)), "")
        bare = " ".join(re.sub(rf"\b({words})\b", "", clause, flags=re.IGNORECASE).split())
        if read_section(bare):
            for name in (role,) if role else ("uprights", "bearers"):
                said.setdefault(name, bare)
        elif read_board(bare) and re.search(rf"\b({_BOARDS})\b", clause, re.IGNORECASE):
            said.setdefault("brace" if role == "brace" else "board", bare)
    return Said(**said)


def is_bought(text: str) -> bool:
    """Whether a sentence about a rack says it is bought as it stands.

    >>> is_bought("bought steel shelving"), is_bought("45x95 C24")
    (True, False)
    """
    return re.search(r"\b(bought|shelving|boltless|ready[- ]made)\b", text, re.IGNORECASE) is not None
