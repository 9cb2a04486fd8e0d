"""Sections of timber and boards as people write them, and what a rack is made of, read off its sentence."""

from __future__ import annotations

import re
from dataclasses import dataclass, fields
from fractions import Fraction
from typing import Final

from tankwright.catalogue import rounded_tubes
from tankwright.catalogue.size_names import INCH, size_name
from tankwright.units import CubicMetre, Metre, MetreToTheFourth, SquareMetre

UNITS: Final = {"mm": 0.001, "cm": 0.01, "in": INCH, '"': INCH, "inch": INCH}
NOMINAL: Final = {
    Fraction(1): 0.75, Fraction(2): 1.5, Fraction(3): 2.5, Fraction(4): 3.5, Fraction(5): 4.5, Fraction(6): 5.5,
    Fraction(8): 7.25, Fraction(10): 9.25, Fraction(12): 11.25,
}  # fmt: skip
"""Inches that a nominal inch size of planed North American timber has. Source: PS 20, from memory."""

_NUMBER: Final = r"(\d+(?:[.,]\d+)?(?:\s+\d+/\d+)?|\d+/\d+)"
_UNIT: Final = r'\s*(mm|cm|inch|in|")?'
_SECTION: Final = re.compile(rf"\s*{_NUMBER}{_UNIT}\s*[x×]\s*{_NUMBER}{_UNIT}(?![\d.])\s*(.*)", re.IGNORECASE)
_WALL: Final = re.compile(rf"[x×]\s*{_NUMBER}{_UNIT}(?![\d./])\s*(.*)", re.IGNORECASE)
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

    `name` is what a shop calls it, `grade` what is written after its sizes ("C24", "SPF No.2", "S235"). On edge it is
    bent over its wide side, as a bearer lies; on the flat over its thin one. `own_...` is what its owner knows of a
    section the catalogue has not: it goes before what the sizes give.
    """

    name: str
    thin: Metre
    wide: Metre
    wall: Metre = 0.0
    grade: str = ""
    own_area: SquareMetre | None = None
    own_second_moment: MetreToTheFourth | None = None
    own_section_modulus: CubicMetre | None = None

    @property
    def is_tube(self) -> bool:
        """A hollow section."""
        return self.wall > 0.0

    @property
    def area(self) -> SquareMetre:
        """Of its material, cut square.

        >>> round(read_section("45x95").area * 1e6), round(read_section("100x50x2 S235").area * 1e6)
        (4275, 574)
        """
        if self.own_area is not None:
            return self.own_area
        return rounded_tubes.area(self.thin, self.wide, self.wall) if self.is_tube else self.thin * self.wide

    @property
    def second_moment(self) -> MetreToTheFourth:
        """Of area, bent on edge.

        >>> round(read_section("45x95").second_moment * 1e8, 1)  # cm4
        321.5
        """
        return self.own_second_moment or self._second_moment(self.thin, self.wide)

    @property
    def second_moment_flat(self) -> MetreToTheFourth:
        """Of area, bent on the flat: what a post buckles over where nothing holds it."""
        return self._second_moment(self.wide, self.thin)

    @property
    def section_modulus(self) -> CubicMetre:
        """Bent on edge, elastic.

        >>> round(read_section("45x95").section_modulus * 1e6, 1)  # cm3
        67.7
        """
        return self.own_section_modulus or self.second_moment / (self.wide / 2.0)

    @property
    def section_modulus_flat(self) -> CubicMetre:
        """Bent on the flat, elastic."""
        return self.second_moment_flat / (self.thin / 2.0)

    @property
    def shear_area(self) -> SquareMetre:
        """Area that, with an even stress, would take the shear as the section's worst-stressed fibre does.

        Two thirds of a full rectangle; the two upright walls of a tube. Source: beam theory; EN 1993-1-1 6.2.6.
        """
        share = self.wide / (self.thin + self.wide) if self.is_tube else 2.0 / 3.0
        return self.area * share

    def _second_moment(self, breadth: Metre, depth: Metre) -> MetreToTheFourth:
        if self.is_tube:
            return rounded_tubes.second_moment(breadth, depth, self.wall)
        return breadth * depth**3 / 12.0


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
    """A section with or without units and grade, None when it cannot be read; a third size is a tube's wall.

    Without a unit, two numbers up to 12 are nominal inches and larger ones millimetres.

    >>> read_section("45x95 C24").name, read_section("2x4 SPF").wide
    ('timber 45x95 mm C24', 0.0889)
    >>> tube = read_section("40 mm x 40 mm x 2 mm S235")
    >>> tube.name, tube.wall, tube.grade
    ('steel tube 40x40x2 mm S235', 0.002, 'S235')
    """
    found = _SECTION.match(text)
    if found is None:
        return None
    first, unit_1, second, unit_2, rest = found.groups()
    unit = (unit_2 or unit_1 or "").lower()
    numbers = [_number(first), _number(second)]
    if min(numbers) <= 0:
        return None
    inches = not unit and max(numbers) <= max(NOMINAL)
    if inches and not all(number in NOMINAL for number in numbers):
        return None
    if inches:
        sizes = sorted(NOMINAL[number] * INCH for number in numbers)
        return _section(f"timber {first}x{second}", sizes, grade=rest)
    wall = _WALL.match(rest)
    if wall is not None:
        unit = (wall[2] or unit).lower()
    own = [(unit_1 or unit or "mm").lower(), (unit_2 or unit or "mm").lower()]
    sizes = sorted(float(number) * UNITS[one] for number, one in zip(numbers, own, strict=True))
    if wall is None:
        return _section(f"timber {_called(sizes, own[1])}", sizes, grade=rest)
    thickness = float(_number(wall[1])) * UNITS[unit or "mm"]
    if not 0.0 < 2.0 * thickness < sizes[0]:
        return None
    called = _called([*sizes, thickness], unit or "mm")
    return _section(f"steel tube {called}", sizes, wall=thickness, grade=wall[3])


def _called(sizes: list[float], unit: str) -> str:
    """Sizes as a shop says them: "45x95 mm" or "1 1/2 in x 3 1/2 in"."""
    display = "US" if UNITS[unit] == INCH else "metric"
    *others, last = (size_name(size, display) for size in sizes)
    if display == "US":
        return " x ".join([*others, last])
    return "x".join([*(one.removesuffix(" mm") for one in others), last])


def _section(name: str, sizes: list[float], *, wall: float = 0.0, grade: str) -> Section:
    return Section(
        name=f"{name} {grade.strip()}".strip(),
        thin=round(sizes[0], 6),
        wide=round(sizes[1], 6),
        wall=round(wall, 6),
        grade=grade.strip(),
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
