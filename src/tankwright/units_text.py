"""Numbers and units as people write them: "3 ft 2 1/2 in", "2,5 cm", "1:60", "14 US gal", "W/(m2 K)".

`units` asks this file for a magnitude in SI and its exponents of the base units. A text it cannot read
becomes a `QuantityError` with what to try, a unit it cannot read a `UnitError`. No other exception leaves
it.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from difflib import get_close_matches
from fractions import Fraction
from functools import cache, lru_cache
from pathlib import Path
from typing import Final

LONGEST_TEXT: Final = 100
_LAST_UNIT: Final = "stokes"
Exponents = tuple[Fraction, ...]
BASE_UNITS: Final = ("m", "kg", "s", "A", "K", "mol", "rad")
NO_EXPONENTS: Final[Exponents] = (Fraction(0),) * len(BASE_UNITS)

_PREFIXES: Final = {
    "µ": (1e-6, "micro"), "u": (1e-6, "micro"), "m": (1e-3, "milli"), "c": (1e-2, "centi"),
    "d": (1e-1, "deci"), "h": (1e2, "hecto"), "k": (1e3, "kilo"), "M": (1e6, "mega"), "G": (1e9, "giga"),
}  # fmt: skip
_FRACTIONS: Final = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅓": "1/3", "⅔": "2/3", "⅛": "1/8", "⅜": "3/8",
                     "⅝": "5/8", "⅞": "7/8"}  # fmt: skip
_SAME: Final = (
    ("'", "′’´"), ('"', "″”“"), ("-", "−"), ("µ", "μ"), ("°", "º"), ("*", "·⋅×"),
    (" ", "\u00a0\u2009\u202f\t"),
)  # fmt: skip
_LOOKALIKES: Final = str.maketrans(
    {sign: plain for plain, signs in _SAME for sign in signs}
    | {sign: f" {plain}" for sign, plain in _FRACTIONS.items()}
)
# Behind a letter alone: nobody who types "15² cm" means 152 cm.
_POWER: Final = re.compile(r"(?<=[^\W\d_])[²³]")
_NUMBER: Final = (
    r"(?:\d+(?:\ +|-)\d+/\d+|\d+/\d+|\d{1,3}(?:\ \d{3})+(?!\d)(?:[.,]\d+)?"
    r"|(?:\d[\d.,]*|[.,]\d+)(?:[eE][+-]?\d+)?)"
)
_ONE: Final = re.compile(rf"([+-]?)\ *({_NUMBER})\ *(.*)", re.ASCII | re.DOTALL)
_RATIO: Final = re.compile(rf"([+-]?)\ *({_NUMBER})\ *(?::|\ in\ |/)\ *({_NUMBER})", re.ASCII)
_FEET_INCHES: Final = re.compile(
    rf"([+-]?)\ *({_NUMBER})\ *(?:'|ft\.?|foot|feet)\ *[-,]?\ *({_NUMBER})\ *(?:\"|''|in\.?|inch|inches)",
    re.ASCII,
)
_PART: Final = re.compile(rf"({_NUMBER})\ *([A-Za-z]+\.?)\ *", re.ASCII)
_PARTS: Final = re.compile(rf"([+-]?)\ *((?:{_NUMBER}\ *[A-Za-z]+\.?\ *){{2,4}})", re.ASCII)


class QuantityError(ValueError):
    """A text that is no quantity of the wanted kind; `text` says why, `found` repeats it, quoted."""

    def __init__(self, code: str, text: str, *, found: str, wanted: str = "", attempt: str = "") -> None:
        super().__init__(text)
        self.code = code
        self.text = text
        self.found = found
        self.wanted = wanted
        self.attempt = attempt


class UnitError(Exception):
    """A unit that is unknown or has several meanings (`choices`)."""

    def __init__(self, unit_text: str, choices: tuple[str, ...] = ()) -> None:
        super().__init__(unit_text)
        self.unit_text = unit_text
        self.choices = choices


@dataclass(frozen=True, slots=True)
class UnitMeaning:
    """A unit: its size in SI, its exponents of the base units, and where its zero lies (temperatures)."""

    size: float
    exponents: Exponents
    zero: float = 0.0
    choices: tuple[str, ...] = ()


def clip(text: str, longest: int = 40) -> str:
    r"""A user's text made short and printable, for a message.

    >>> clip("9" * 50, 10), clip("a\nb")
    ('999999999…', 'a\\nb')
    """
    head = text[: longest + 1]
    shown = "".join(sign if sign.isprintable() else sign.encode("unicode_escape").decode() for sign in head)
    return shown if len(shown) <= longest else shown[: longest - 1] + "…"


def straighten(text: str) -> str:
    """Typographic quotes, spaces, minus signs, powers and fractions replaced by plain ones; spaces collapsed.

    >>> straighten("2½ m²"), straighten("15² cm")
    ('2 1/2 m2', '15² cm')
    """
    plain = _POWER.sub(lambda power: "2" if power[0] == "²" else "3", text)
    return " ".join(plain.translate(_LOOKALIKES).split(" ")).replace("  ", " ").strip(" ")


@cache
def unit_table() -> dict[str, UnitMeaning]:
    """Every spelling of every unit in `units_definitions.txt`."""
    table = {name: UnitMeaning(1.0, _unit_vector(place)) for place, name in enumerate(BASE_UNITS)}
    table["1"] = UnitMeaning(1.0, NO_EXPONENTS)
    source = Path(__file__).with_name("units_definitions.txt").read_text(encoding="utf-8")
    for row in source.splitlines():
        if row and not row.startswith("#"):
            _add_row(table, row)
    return table


def _unit_vector(place: int) -> Exponents:
    return tuple(Fraction(int(place == other)) for other in range(len(BASE_UNITS)))


def _add_row(table: dict[str, UnitMeaning], row: str) -> None:
    _, size, spellings, *rest = (cell.strip() for cell in row.split("|"))
    prefixes = rest[0].split() if rest else []
    number, _, unit = size.partition(" ")
    if number == "?":
        meaning = UnitMeaning(0.0, NO_EXPONENTS, choices=tuple(unit.split(", ")))
    else:
        unit, _, zero = unit.rpartition(" ") if unit.startswith("K ") else (unit, "", "0")
        base = UnitMeaning(1.0, NO_EXPONENTS) if unit == "1" else _product(unit, table)
        meaning = UnitMeaning(float(number) * base.size, base.exponents, float(zero))
    if "µ" in prefixes:
        prefixes.append("u")
    for spelling in spellings.split(", "):
        table[spelling] = meaning
        for prefix in prefixes:
            scale, word = _PREFIXES[prefix]
            longer = prefix + spelling if len(spelling) <= 3 or not spelling.isalpha() else word + spelling
            table.setdefault(longer, UnitMeaning(scale * meaning.size, meaning.exponents))


@cache
def _folded_table() -> dict[str, UnitMeaning | None]:
    """Spellings in small letters; None where two units differ only by capitals (mPa, MPa)."""
    folded: dict[str, UnitMeaning | None] = {}
    for spelling, meaning in unit_table().items():
        if len(spelling) > 1:
            small = spelling.lower()
            folded[small] = meaning if folded.get(small, meaning) == meaning else None
    return folded


@lru_cache(maxsize=2048)
def read_unit(unit_text: str) -> UnitMeaning:
    """The meaning of a unit as written; raises UnitError.

    >>> read_unit("m3/h").size == 1 / 3600, read_unit("US gal").size
    (True, 0.003785411784)
    """
    table = unit_table()
    text = straighten(unit_text)
    if text in table:
        return _sure(text, table[text])
    if len(text) > LONGEST_TEXT:
        raise UnitError(unit_text)
    text = re.sub(r"\s+per\s+", "/", text).replace("^", "**")
    text = re.sub(r"\*\*\((-?\d+)/(\d+)\)", r"**\1|\2", text, flags=re.ASCII)
    return _product(text, table)


def _sure(text: str, meaning: UnitMeaning) -> UnitMeaning:
    if meaning.choices:
        raise UnitError(text, meaning.choices)
    return meaning


def nearest_unit(unit_text: str, exponents: Exponents | None) -> str:
    """The spelling nearest to a misspelt one, among units of the same kind; "" when none is near.

    >>> nearest_unit("fet", read_unit("m").exponents)
    'feet'
    """
    if len(unit_text) > 20:
        return ""
    same_kind = [
        spelling
        for spelling, meaning in unit_table().items()
        if not meaning.choices and exponents in (None, meaning.exponents)
    ]
    near = get_close_matches(unit_text, same_kind, n=1, cutoff=0.6)
    return near[0] if near else ""


def _product(text: str, table: dict[str, UnitMeaning]) -> UnitMeaning:
    bracket = re.fullmatch(r"([^()]*)/\(([^()]*)\)", text)
    numerator, denominators = text, [""]
    if bracket:
        numerator, denominators = bracket[1], [bracket[2]]
    else:
        numerator, *denominators = text.split("/")
    size, exponents = 1.0, NO_EXPONENTS
    for part, sign in [(numerator, 1), *((one, -1) for one in denominators if one or not bracket)]:
        for factor in re.split(r"(?<!\*)\*(?!\*)", part):
            meaning = _factor(factor.strip(), table)
            size *= meaning.size**sign
            exponents = tuple(a + sign * b for a, b in zip(exponents, meaning.exponents, strict=True))
    return UnitMeaning(size, exponents)


def _factor(text: str, table: dict[str, UnitMeaning]) -> UnitMeaning:
    if text in table:
        return _sure(text, table[text])
    power = re.fullmatch(r"([^\d*| ]+?)\ ?(?:\*\*)?(-?\d)(?:\|(\d))?", text, re.ASCII)
    if power:
        exponent = Fraction(int(power[2]), int(power[3] or 1) or 1)
        base = _factor(power[1].rstrip(), table)
        return UnitMeaning(base.size ** float(exponent), tuple(exponent * one for one in base.exponents))
    pieces = text.split(" ")
    if len(pieces) == 1:
        inner = re.fullmatch(r"([^\d*|]+\d)([^\d*|]+.*)", text, re.ASCII)
        pieces = [inner[1], inner[2]] if inner else []
    if 1 < len(pieces) <= 4:
        first, *others = (_factor(piece, table) for piece in pieces)
        for other in others:
            exponents = tuple(a + b for a, b in zip(first.exponents, other.exponents, strict=True))
            first = UnitMeaning(first.size * other.size, exponents)
        return first
    folded = _folded_table().get(text.lower()) if _LAST_UNIT in table else None  # not while the table is read
    if folded is not None:
        return _sure(text, folded)
    raise UnitError(text)


@dataclass(frozen=True, slots=True)
class Magnitude:
    """A number in SI, the exponents of its unit, and the unit as written ("" for a bare number)."""

    value: float
    exponents: Exponents
    unit_text: str
    zero: float = 0.0


@lru_cache(maxsize=8192)
def read_magnitude(text: str) -> Magnitude:
    """A text read as number and unit; a ratio such as 1:60 is a pure number.

    Raises QuantityError or UnitError.

    >>> read_magnitude("3 ft 2 1/2 in").unit_text
    'ft in'
    """
    if len(text) > LONGEST_TEXT:
        raise _unreadable(text, "is too long to be a quantity")
    plain = straighten(text)
    if not plain:
        raise _unreadable(text, "is empty")
    ratio = _RATIO.fullmatch(plain)
    if ratio:
        below = _decimal(ratio[3], text)
        if below == 0:
            raise _unreadable(text, "divides by zero")
        return Magnitude(_signed(ratio[1], _decimal(ratio[2], text) / below), NO_EXPONENTS, ":")
    feet = _FEET_INCHES.fullmatch(plain)
    if feet:
        return _sum(text, feet[1], [(feet[2], "ft"), (feet[3], "in")])
    one = _ONE.fullmatch(plain)
    if one is None:
        raise _unreadable(text, "is not a number with a unit")
    if not one[3]:
        return Magnitude(_signed(one[1], _decimal(one[2], text)), NO_EXPONENTS, "")
    several = None if one[3] in unit_table() else _PARTS.fullmatch(plain)
    if several:
        return _sum(text, several[1], _PART.findall(several[2]))
    unit = read_unit(one[3])
    value = _signed(one[1], _decimal(one[2], text) * unit.size)
    return Magnitude(value, unit.exponents, one[3], unit.zero)


def _unreadable(text: str, why: str) -> QuantityError:
    return QuantityError("PLAN-011", f'"{clip(text)}" {why}', found=f'"{clip(text)}"')


def _signed(sign: str, value: float) -> float:
    return -value if sign == "-" else value


def _sum(text: str, sign: str, parts: list[tuple[str, str]]) -> Magnitude:
    """Several parts of one quantity, each smaller than one of the unit before: 3 ft 2 in, 1 h 30 min."""
    total, before, exponents = 0.0, float("inf"), NO_EXPONENTS
    for number, unit_text in parts:
        unit = read_unit(unit_text)
        part = _decimal(number, text) * unit.size
        if unit.zero or (total and unit.exponents != exponents) or part >= before:
            raise _unreadable(text, "does not read as one quantity")
        total, before, exponents = total + part, unit.size, unit.exponents
    return Magnitude(_signed(sign, total), exponents, " ".join(unit for _, unit in parts))


def _decimal(number: str, text: str) -> float:
    mixed = re.fullmatch(r"(?:(\d+)(?:\ +|-))?(\d+)/(\d+)", number, re.ASCII)
    if mixed:
        if int(mixed[3]) == 0:
            raise _unreadable(text, "divides by zero")
        return float(Fraction(int(mixed[1] or 0)) + Fraction(int(mixed[2]), int(mixed[3])))
    digits = number.replace(" ", "")
    separators = digits.count(".") + digits.count(",")
    if separators > 1 or re.fullmatch(r"[1-9]\d{0,2},\d{3}", digits, re.ASCII):
        raise _two_readings(digits, text)
    try:
        value = float(digits.replace(",", "."))
    except ValueError:
        raise _unreadable(text, "is not a number with a unit") from None
    if value in (float("inf"), 0.0) and re.search(r"[1-9]", digits.lower().partition("e")[0]):
        raise QuantityError(
            "PLAN-016", f'"{clip(text)}" is no number a computer can hold', found=f'"{clip(text)}"'
        )
    return value


def _two_readings(digits: str, text: str) -> QuantityError:
    unit = text.strip()[len(digits) :] if text.strip().startswith(digits) else ""
    joined = digits.replace(",", "").replace(".", "")
    head, _, tail = digits.replace(",", ".").rpartition(".")
    pointed = head.replace(".", "") + "." + tail
    attempt = f'"{clip(joined + unit)}" or "{clip(pointed + unit)}"'
    return QuantityError(
        "PLAN-019", f'"{clip(text)}" can be read in two ways', found=f'"{clip(text)}"', attempt=attempt,
        wanted="digits without a separator between thousands",
    )  # fmt: skip
