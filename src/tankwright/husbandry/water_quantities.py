"""What water is tested for: how each test is called and counted, and how far a reading may be from the truth.

A drop kit tells between which two drops the colour turned, a colour card which field is nearest, a meter its last
digit. So a reading is a range, and what is below the first field is a range too, not nothing.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from typing import Final, Literal

from tankwright.units import DIMENSIONS, QuantityError, convert, parse_quantity

Way = Literal["drops", "card", "meter"]


@dataclass(frozen=True, slots=True, kw_only=True)
class WaterQuantity:
    """One thing that is tested. `unit` is the usual one, in which `step` and `fields` are said.

    `way` is how most people read it: a drop of `step`, the nearest of `fields` of a card, or a meter good to `step`
    either way. `double` and `metered` are the step when twice the sample is taken, and when a meter is used.
    `alike` are other names it comes under.
    """

    key: str
    name: str
    says: str
    dimension: str
    unit: str
    way: Way
    step: float
    double: float | None = None
    metered: float | None = None
    fields: tuple[float, ...] = ()
    alike: tuple[str, ...] = ()

    def to_si(self, value: float) -> float:
        """A number of the usual unit in SI."""
        return in_si(value, self.unit, self.dimension)

    def told(self, value: float) -> float:
        """An SI number in the usual unit."""
        return convert(value, DIMENSIONS[self.dimension].si_unit, self.unit or "1")

    @property
    def reach(self) -> tuple[float, float]:
        """Between what a test of water ever lies, in SI; beyond it is a slip. Common practice, no source."""
        if self.key == "salinity":
            return 0.0, 100.0
        return {
            "ph": (0.0, 14.0), "temperature": (268.0, 333.0), "hardness": (0.0, 2.0), "conductivity": (0.0, 20.0),
        }.get(self.dimension, (0.0, 2.0))  # fmt: skip


# Steps and fields are those of the kits and thermometers of the trade; common practice, no source.
_NITRITE: Final = (0.0, 0.05, 0.1, 0.2, 0.3, 0.5, 0.8, 1.0, 2.0, 3.0, 5.0)
_NITRATE: Final = (0.0, 1.0, 5.0, 10.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0, 60.0, 80.0, 100.0, 150.0, 200.0)
_AMMONIUM: Final = (0.0, 0.05, 0.1, 0.2, 0.3, 0.5, 1.0, 1.5, 2.0, 3.0, 5.0, 10.0)
_PHOSPHATE: Final = (0.0, 0.02, 0.05, 0.1, 0.2, 0.4, 0.6, 1.0, 1.5, 2.0, 5.0, 10.0)
_CHLORINE: Final = (0.0, 0.02, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 3.0)
_OXYGEN: Final = (0.0, 2.0, 4.0, 6.0, 8.0, 10.0, 12.0)

QUANTITIES: Final[Mapping[str, WaterQuantity]] = {
    one.key: one
    for one in (
        WaterQuantity(key="ph", name="pH", says="pH", dimension="ph", unit="", way="meter", step=0.1, metered=0.05),
        WaterQuantity(key="gh", name="GH", says="total hardness", dimension="hardness", unit="°dH", way="drops",
                      step=1.0, double=0.5, metered=0.1, alike=("hardness", "general_hardness")),
        WaterQuantity(key="kh", name="KH", says="carbonate hardness", dimension="hardness", unit="°dH", way="drops",
                      step=1.0, double=0.5, metered=0.1, alike=("alkalinity", "carbonate_hardness")),
        WaterQuantity(key="no2", name="nitrite", says="nitrite, as NO2", dimension="concentration", unit="mg/L",
                      way="card", step=0.05, metered=0.02, fields=_NITRITE, alike=("nitrite",)),
        WaterQuantity(key="no3", name="nitrate", says="nitrate, as NO3", dimension="concentration", unit="mg/L",
                      way="card", step=5.0, metered=1.0, fields=_NITRATE, alike=("nitrate",)),
        WaterQuantity(key="nh4", name="ammonia", says="ammonia in all, as NH4", dimension="concentration",
                      unit="mg/L", way="card", step=0.05, metered=0.02, fields=_AMMONIUM,
                      alike=("ammonia", "ammonium", "nh3", "tan")),
        WaterQuantity(key="temperature", name="temperature", says="temperature", dimension="temperature", unit="°C",
                      way="meter", step=0.5, metered=0.2),
        WaterQuantity(key="conductivity", name="conductivity", says="electrical conductivity",
                      dimension="conductivity", unit="µS/cm", way="meter", step=10.0),
        WaterQuantity(key="salinity", name="salinity", says="salt in the water", dimension="concentration",
                      unit="g/L", way="meter", step=0.5, metered=0.1),
        WaterQuantity(key="phosphate", name="phosphate", says="phosphate, as PO4", dimension="concentration",
                      unit="mg/L", way="card", step=0.02, metered=0.02, fields=_PHOSPHATE, alike=("po4",)),
        WaterQuantity(key="chlorine", name="chlorine", says="total chlorine", dimension="concentration", unit="mg/L",
                      way="card", step=0.02, metered=0.02, fields=_CHLORINE, alike=("cl2",)),
        WaterQuantity(key="oxygen", name="oxygen", says="dissolved oxygen", dimension="concentration", unit="mg/L",
                      way="card", step=2.0, metered=0.2, fields=_OXYGEN, alike=("o2",)),
    )
}  # fmt: skip
"""Every test by its key, in the order they are told."""

_BY_NAME: Final = {
    **{name: one for one in QUANTITIES.values() for name in one.alike}, **QUANTITIES,
}  # fmt: skip


NAMES: Final = frozenset(_BY_NAME)
"""Every name a test of water may come under, in small letters."""


def quantity_called(name: str) -> WaterQuantity | None:
    """The test of a name; None for one that is no test of water.

    >>> quantity_called("Alkalinity").key, quantity_called("count")
    ('kh', None)
    """
    return _BY_NAME.get(name.strip().casefold())


@lru_cache(maxsize=512)
def _line(unit: str, dimension: str) -> tuple[float, float]:
    """What nothing and one of a unit are in SI. Raises QuantityError for a unit of another kind."""
    zero, one = (parse_quantity(f"{number} {unit}".strip(), dimension).value for number in (0, 1))
    return zero, one - zero


def in_si(value: float, unit: str, dimension: str) -> float:
    """A number of a unit in SI. Raises QuantityError for a unit that is unknown or of another kind.

    >>> round(in_si(77.0, "°F", "temperature"), 2), in_si(7.2, "", "ph")
    (298.15, 7.2)
    """
    zero, each = _line(unit, dimension)
    return zero + each * value


def range_of(quantity: WaterQuantity, value: float, unit: str = "", method: str = "") -> tuple[float, float]:
    """At least and at most what a reading may stand for, in its unit; "" is the usual one.

    A drop kit's k drops say more than k - 1 and at most k. A card's field reaches half way to its neighbours, its
    lowest from nothing to the next. A meter is good to a step either way. `method` may say "double" (twice the
    sample), "meter" or "photometer", "drops" or "card". A value between the fields of a card was read by a finer way.

    >>> kh, nitrate = QUANTITIES["kh"], QUANTITIES["no3"]
    >>> range_of(kh, 4.0), range_of(kh, 4.0, method="double sample"), range_of(kh, 4.5)
    ((3.0, 4.0), (3.5, 4.0), (4.0, 4.5))
    >>> range_of(nitrate, 10.0), range_of(nitrate, 0.0), range_of(QUANTITIES["ph"], 7.0, method="meter")
    ((7.5, 12.5), (0.0, 1.0), (6.95, 7.05))
    """
    way, step = _step_of(quantity, value, unit, method)
    if unit and unit != quantity.unit and way != "card":
        step = step * _size(quantity.unit, quantity.dimension) / _size(unit, quantity.dimension)
    if way == "drops":  # none counted: the first turned it, or none was put in
        return (max(value - step, 0.0), value) if value > 0.0 else (0.0, step)
    if way == "card":
        return _field(quantity.fields, value)
    low = value - step
    return (low if quantity.dimension == "temperature" else max(low, 0.0)), value + step


def _step_of(quantity: WaterQuantity, value: float, unit: str, method: str) -> tuple[Way, float]:
    said = method.casefold()
    usual = not unit or unit == quantity.unit
    if "meter" in said or "probe" in said:  # a photometer is one
        return "meter", quantity.metered or quantity.step
    if quantity.way == "drops":
        halves = quantity.double is not None and (
            "double" in said or (usual and not _whole(value / quantity.step))
        )
        step = quantity.double if halves and quantity.double is not None else quantity.step
        if usual and not _whole(value / step):  # no drops fall so
            return "meter", quantity.metered or step
        return "drops", step
    if quantity.way == "card":
        on_card = usual and any(math.isclose(value, field, abs_tol=1e-9) for field in quantity.fields)
        return ("card", quantity.step) if on_card else ("meter", _gap(quantity.fields, value))
    if quantity.key == "ph" and "card" not in said and not _whole(value / 0.5):
        return "meter", quantity.step
    return ("meter", 0.25) if quantity.key == "ph" else ("meter", quantity.step)


def _whole(number: float) -> bool:
    return math.isclose(number, round(number), abs_tol=1e-6)


def _size(unit: str, dimension: str) -> float:
    return _line(unit, dimension)[1]


def _field(fields: tuple[float, ...], value: float) -> tuple[float, float]:
    """From half way to the field below to half way to the next; the lowest field shows nothing below the second."""
    place = min(range(len(fields)), key=lambda index: abs(fields[index] - value))
    if place == 0:
        return 0.0, fields[1]
    low = (fields[place - 1] + fields[place]) / 2.0
    top = place + 1 == len(fields)
    return low, fields[place] + (fields[place] - low if top else (fields[place + 1] - fields[place]) / 2.0)


def _gap(fields: tuple[float, ...], value: float) -> float:
    """Half the distance between the fields a value was read between."""
    for low, high in pairwise(fields):
        if low <= value <= high:
            return (high - low) / 2.0
    return (fields[-1] - fields[-2]) / 2.0 if len(fields) > 1 else 0.0


__all__ = [
    "NAMES",
    "QUANTITIES",
    "QuantityError",
    "WaterQuantity",
    "Way",
    "in_si",
    "quantity_called",
    "range_of",
]
