"""Unit types, and the only conversions in the program. Everything inside is SI.

`Metre`, `Pascal` ... are plain floats to the type checker; the `Unit` in the annotation is what the
formula shelf, the tests and the help read. `DIMENSIONS` lists every kind of quantity a plan may hold. The
units stand with their sources in `units_definitions.txt`; numbers and units as people write them are read
in `units_text`.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from typing import Annotated, Final

from tankwright.dimensions import DIMENSIONS, Dimension
from tankwright.units_text import (
    NO_EXPONENTS,
    Exponents,
    Magnitude,
    QuantityError,
    UnitError,
    clip,
    nearest_unit,
    read_magnitude,
    read_unit,
)

__all__ = ["DIMENSIONS", "Dimension", "Quantity", "QuantityError", "Unit", "clip", "convert", "parse_in_unit",
           "parse_quantity"]  # fmt: skip


@dataclass(frozen=True, slots=True)
class Unit:
    """The SI unit of an argument or result, written as pint reads it ("m", "m**3/s", "1")."""

    symbol: str


Metre = Annotated[float, Unit("m")]
SquareMetre = Annotated[float, Unit("m**2")]
CubicMetre = Annotated[float, Unit("m**3")]
CubicMetrePerSecond = Annotated[float, Unit("m**3/s")]
MetrePerSecond = Annotated[float, Unit("m/s")]
Second = Annotated[float, Unit("s")]
Kilogram = Annotated[float, Unit("kg")]
KilogramPerCubicMetre = Annotated[float, Unit("kg/m**3")]
Pascal = Annotated[float, Unit("Pa")]
PascalSecond = Annotated[float, Unit("Pa*s")]
SquareMetrePerSecond = Annotated[float, Unit("m**2/s")]
Kelvin = Annotated[float, Unit("K")]
Watt = Annotated[float, Unit("W")]
Ampere = Annotated[float, Unit("A")]
Coulomb = Annotated[float, Unit("A*s")]
Volt = Annotated[float, Unit("V")]
Joule = Annotated[float, Unit("J")]
Newton = Annotated[float, Unit("N")]
NewtonPerMetre = Annotated[float, Unit("N/m")]
NewtonMetre = Annotated[float, Unit("N*m")]
MetreToTheFourth = Annotated[float, Unit("m**4")]
Radian = Annotated[float, Unit("rad")]
SiemensPerMetre = Annotated[float, Unit("S/m")]
MolePerCubicMetre = Annotated[float, Unit("mol/m**3")]
PerSecond = Annotated[float, Unit("1/s")]
PerMetre = Annotated[float, Unit("1/m")]
PerKelvin = Annotated[float, Unit("1/K")]
PerKilogram = Annotated[float, Unit("1/kg")]
KelvinSecond = Annotated[float, Unit("K*s")]
WattPerKelvin = Annotated[float, Unit("W/K")]
WattPerMetreKelvin = Annotated[float, Unit("W/(m*K)")]
WattPerSquareMetre = Annotated[float, Unit("W/m**2")]
WattPerSquareMetreKelvin = Annotated[float, Unit("W/(m**2*K)")]
SquareMetreKelvinPerWatt = Annotated[float, Unit("m**2*K/W")]
JoulePerKelvin = Annotated[float, Unit("J/K")]
JoulePerKilogram = Annotated[float, Unit("J/kg")]
JoulePerCubicMetre = Annotated[float, Unit("J/m**3")]
CubicMetrePerKilogram = Annotated[float, Unit("m**3/kg")]
KilogramPerSecond = Annotated[float, Unit("kg/s")]
KilogramPerCubicMetreSecond = Annotated[float, Unit("kg/(m**3*s)")]
KilogramPerSquareMetreSecond = Annotated[float, Unit("kg/(m**2*s)")]
Dimensionless = Annotated[float, Unit("1")]


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number in SI units and the unit its owner wrote it in."""

    value: float
    unit_text: str


def parse_quantity(text: str, dimension: str) -> Quantity:
    """A text such as "3 ft 2 1/2 in" read as a quantity of the named dimension, in SI.

    Raises QuantityError for whatever else is written, and no other exception.

    >>> parse_quantity("54 L", "volume")
    Quantity(value=0.054, unit_text='L')
    >>> parse_quantity("77 °F", "temperature").value
    298.15
    """
    kind = DIMENSIONS[dimension]
    try:
        magnitude = _with_extra(text, kind) or read_magnitude(text)
        _refuse_other_kind(text, magnitude, kind)
    except UnitError as error:
        raise _unit_mistake(text, error, kind) from None
    except QuantityError as error:
        wanted = error.wanted or kind.wanted
        raise QuantityError(
            error.code, error.text, found=error.found, wanted=wanted, attempt=error.attempt
        ) from None
    value = magnitude.value + (magnitude.zero if dimension == "temperature" else 0.0)
    value = _tidy(value)
    _refuse_impossible(text, value, kind)
    return Quantity(value, magnitude.unit_text)


def parse_in_unit(text: str, si_symbol: str, *, difference: bool = False) -> float:
    """A text read as a number of the given SI unit; "1" also takes plain numbers, per cent and 1:60.

    With `difference` a temperature is a difference, so 9 °F is 5 K. Raises QuantityError.

    >>> parse_in_unit("52 mm", "m"), parse_in_unit("1 %", "1"), parse_in_unit("25 °C", "K")
    (0.052, 0.01, 298.15)
    """
    target = read_unit(si_symbol)
    wanted = (
        f'a number with a unit such as "{si_symbol}"'
        if target.exponents != NO_EXPONENTS
        else "a plain number"
    )
    found = f'"{clip(text)}"'
    try:
        magnitude = read_magnitude(text)
    except UnitError as error:
        raise _unit_mistake(text, error, None, wanted) from None
    except QuantityError as error:
        raise QuantityError(
            error.code, error.text, found=error.found, wanted=error.wanted or wanted, attempt=error.attempt
        ) from None
    if magnitude.exponents != target.exponents:
        if not magnitude.unit_text:
            attempt = f'"{clip(text.strip())} {si_symbol}"'
            raise QuantityError(
                "PLAN-012", f"{found} has no unit", found=found, wanted=wanted, attempt=attempt
            )
        raise QuantityError("PLAN-015", f"{found} is no number of {si_symbol}", found=found, wanted=wanted)
    zero = 0.0 if difference else magnitude.zero
    return _tidy((magnitude.value + zero) / target.size)


def convert(value: float, si_symbol: str, unit_text: str, *, difference: bool = False) -> float:
    """A number in an SI unit told in another unit, not rounded; `difference` as in `parse_in_unit`.

    Raises ValueError when the units are of different kinds or unknown: both are chosen by the program.

    >>> convert(0.054, "m**3", "L"), convert(298.15, "K", "°F")
    (54.0, 77.0)
    """
    size, zero = _scale(si_symbol, unit_text)
    return _tidy((value - (0.0 if difference else zero)) / size)


@lru_cache(maxsize=512)
def _scale(si_symbol: str, unit_text: str) -> tuple[float, float]:
    extra = DIMENSIONS["hardness"].extra.get(unit_text) if si_symbol == "kg/m**3" else None
    if extra is not None:
        return extra, 0.0
    try:
        source, target = read_unit(si_symbol), read_unit(unit_text)
    except UnitError as error:
        raise ValueError(f"unknown unit {error.unit_text!r}") from None
    if source.exponents != target.exponents:
        raise ValueError(f"{si_symbol} and {unit_text} are of different kinds")
    return target.size / source.size, target.zero


def _tidy(value: float) -> float:
    """Drop the last bits of a binary product, so that 54 L is 0.054 m3 and not 0.05400000000000001."""
    return float(f"{value:.15g}")


def _with_extra(text: str, kind: Dimension) -> Magnitude | None:
    """A reading by the spellings that mean something in this dimension alone, if the text ends in one."""
    if not kind.extra or len(text) > 100:
        return None
    bare = text.strip()
    for spelling in sorted(kind.extra, key=len, reverse=True):
        if bare.endswith(spelling):
            plain = read_magnitude(bare[: -len(spelling)])
            if plain.unit_text == "":
                exponents = read_unit(kind.si_unit).exponents
                return Magnitude(plain.value * kind.extra[spelling], exponents, spelling)
    return None


def _refuse_other_kind(text: str, magnitude: Magnitude, kind: Dimension) -> None:
    target = read_unit(kind.si_unit)
    found = f'"{clip(text)}"'
    if magnitude.unit_text == "" and not kind.plain_number:
        bare = clip(text.strip())
        if kind.name == "slope":  # 0.02 was meant as 2 %
            bare = f"{magnitude.value * 100:g}"
        attempt = f'"{bare} {kind.usual_unit}"'
        raise QuantityError(
            "PLAN-012", f"{found} has no unit", found=found, wanted=kind.wanted, attempt=attempt
        )
    other_ratio = kind.name == "ph" and magnitude.unit_text not in ("", "1", *kind.extra)  # 7 % is no pH
    if magnitude.exponents != target.exponents or other_ratio:
        noun = _noun(magnitude.exponents)
        what = f"{noun}, not {kind.noun}" if noun else f"not {kind.noun}"
        raise QuantityError("PLAN-015", f"{found} is {what}", found=found, wanted=kind.wanted)


_TOO_MUCH: Final = {"share": "is more than the whole", "ph": "is more than 14, where the scale ends"}
_WITHIN: Final = {"ph": "a pH from 0 to 14: 6.5 or 7.2"}


def _refuse_impossible(text: str, value: float, kind: Dimension) -> None:
    found = f'"{clip(text)}"'
    if kind.least is not None and value < kind.least:
        why = "is below absolute zero" if kind.name == "temperature" else "must not be negative"
        if kind.name == "slope":
            why = "is steeper than straight down"
        wanted = _WITHIN.get(kind.name, kind.wanted)
        raise QuantityError("PLAN-016", f"{found} {why}", found=found, wanted=wanted)
    if not abs(value) <= kind.most:
        why = _TOO_MUCH.get(kind.name, "is far outside what a room can hold")
        attempt = (
            f'"{clip(text.strip())} %"'
            if kind.name == "share" and 1 < value <= 100 and text.strip()[-1].isdigit()
            else ""
        )
        wanted = _WITHIN.get(kind.name, kind.wanted)
        raise QuantityError("PLAN-016", f"{found} {why}", found=found, wanted=wanted, attempt=attempt)


def _noun(exponents: Exponents) -> str:
    by_exponents = _nouns()
    return by_exponents.get(exponents, "")


@lru_cache(maxsize=1)
def _nouns() -> dict[tuple[Fraction, ...], str]:
    nouns: dict[tuple[Fraction, ...], str] = {NO_EXPONENTS: "a plain ratio"}
    for kind in DIMENSIONS.values():
        nouns.setdefault(read_unit(kind.si_unit).exponents, kind.noun)
    return nouns


def _unit_mistake(text: str, error: UnitError, kind: Dimension | None, wanted: str = "") -> QuantityError:
    found = f'"{clip(text)}"'
    wanted = kind.wanted if kind else wanted
    unit = clip(error.unit_text, 20)
    bare = text.strip()
    meant = read_unit(error.choices[0]).exponents if error.choices else NO_EXPONENTS
    alone = (
        bare.endswith(error.unit_text) and bare[: len(bare) - len(error.unit_text)].rstrip()[-1:].isdigit()
    )
    if error.choices and kind and alone and meant != read_unit(kind.si_unit).exponents:
        return QuantityError(
            "PLAN-015", f"{found} is {_noun(meant)}, not {kind.noun}", found=found, wanted=wanted
        )
    if error.choices:
        tries = [f'"{clip(bare.replace(error.unit_text, choice, 1))}"' for choice in error.choices]
        question = _question(error.choices)
        return QuantityError(
            "PLAN-013", f'{found} has a unit of two meanings: "{unit}"{question}', found=found, wanted=wanted,
            attempt=" or ".join(tries),
        )  # fmt: skip
    attempt = ""
    if bare.endswith(error.unit_text):
        number = bare[: len(bare) - len(error.unit_text)]
        whole = number.rstrip()[-1:].isdigit()
        nearest = nearest_unit(error.unit_text, read_unit(kind.si_unit).exponents if kind and whole else None)
        attempt = f'"{clip(number + nearest)}"' if nearest else ""
    return QuantityError(
        "PLAN-014", f'{found} has an unknown unit "{unit}"', found=found, wanted=wanted, attempt=attempt
    )


def _question(choices: tuple[str, ...]) -> str:
    return ", US or imperial?" if len(choices) == 2 else f", do you mean {choices[0]}?"
