"""Unit types, and the only conversions in the program. Everything inside is SI.

`Metre`, `Pascal` ... are plain floats to the type checker; the `Unit` in the annotation is what the formula shelf,
the tests and the help read. `DIMENSIONS` lists every kind of quantity a plan may hold.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated


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
Volt = Annotated[float, Unit("V")]
Joule = Annotated[float, Unit("J")]
Newton = Annotated[float, Unit("N")]
Radian = Annotated[float, Unit("rad")]
PerSecond = Annotated[float, Unit("1/s")]
Dimensionless = Annotated[float, Unit("1")]
