"""The years that come with the program: those that stand in pvlib's own package, under short names.

They are found without importing pvlib, which takes more than a second.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from importlib.metadata import PackageNotFoundError, distribution
from pathlib import Path
from types import MappingProxyType
from typing import Final

from tankwright.finding import Finding
from tankwright.weather.model import WeatherYear
from tankwright.weather.reading import read_weather


@dataclass(frozen=True, slots=True, kw_only=True)
class Shipped:
    """A year that comes with the program: the words for its place, what it is like, and its file in pvlib."""

    place: str
    like: str
    file: str


SHIPPED: Final = MappingProxyType(
    {
        "Greensboro": Shipped(place="Greensboro NC", like="mild winters, warm summers", file="723170TYA.CSV"),
        "Sand Point": Shipped(place="Sand Point AK", like="cool all year, never hot", file="703165TY.csv"),
        "Miami": Shipped(place="Miami FL", like="hot and damp, hardly a winter", file="12839.tm2"),
    }
)
DEFAULT: Final = "Greensboro"


def shipped_year(name: str = DEFAULT) -> tuple[WeatherYear | None, tuple[Finding, ...]]:
    """A shipped year by its short name (a key of SHIPPED); findings when pvlib's file is not there any more."""
    one = SHIPPED[name]
    year, findings = read_weather(_folder() / one.file)
    if year is None:
        return None, findings
    words = f"typical year of {one.place}, {year.kind}, US public data, shipped with pvlib; not your town"
    return replace(year, place=one.place, source=words), findings


def _folder() -> Path:
    try:
        return Path(str(distribution("pvlib").locate_file("pvlib/data")))
    except PackageNotFoundError:
        return Path("pvlib/data")
