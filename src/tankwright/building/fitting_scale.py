"""On what scale a fit moves each value: one on which what is read follows it nearly in a straight line, and on which it
cannot become impossible; in units of how far off the plan's value may be.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Final

from tankwright.catalogue.assumption import Assumption
from tankwright.catalogue.assumptions import ASSUMPTIONS
from tankwright.origin import Known, Origin
from tankwright.room.model import Room
from tankwright.units import DIMENSIONS

BEYOND: Final = 3.0
"""Times its band a value may be fitted beyond the band: a band is usual, not all that can be."""

SHARES: Final[Mapping[str, str]] = {"feed.rate_share": "feed.rate", "air.tap_share": "air.tap_bore"}
"""Shares that correct what a plan gives, by the assumption that stands in where it gives nothing."""

_ORIFICES: Final = ("air.tap_bore", "air.tap_share")
"""Widths whose loss goes with the fourth power: a wide one hardly shows; its band's widest stands for wider ones."""

_SAMPLES: Final = 33


@dataclass(frozen=True, slots=True, kw_only=True)
class Scale:
    """Place 0 is the value as the plan has it, 1 the usual distance of what it may be from there.

    `power` is the power of the value that the scale is even in, 0 for its logarithm: losses of pressure add up.
    `ends` says of each of the `bounds` whether a value may well lie there: a mouth without any strainer, a wide tap.
    """

    row: Assumption
    centre: float
    spread: float
    power: float
    bounds: tuple[float, float]
    ends: tuple[bool, bool]
    band: tuple[float, float]

    def value(self, place: float) -> float:
        """The value at a place, or at the nearest that can be."""
        return _back(self.centre + self.spread * self.inside(place), self.power)

    def inside(self, place: float) -> float:
        """A place, or the nearest that can be."""
        return min(max(place, self.bounds[0]), self.bounds[1])

    def narrower(self, low: float, high: float) -> float:
        """How many times narrower an interval is than the band, by ratios where the band has some."""
        if self.band[0] > 0.0 and low > 0.0:
            return math.log(self.band[1] / self.band[0]) / max(math.log(high / low), 1e-12)
        return (self.band[1] - self.band[0]) / max(high - low, 1e-300)


def scales_of(room: Room, keys: Iterable[str]) -> list[Scale]:
    """The scale of each value a room assumes, or its owner corrected before, in the order of the table."""
    wanted = set(keys)
    known = {one.key: one for one in (*room.assumed, *room.own)}
    made = []
    for key, row in ASSUMPTIONS.items():
        if key not in wanted:
            continue
        if key in SHARES or key == "pump.flow_share":
            if SHARES.get(key) in known and key not in known:
                continue  # the value itself is fitted
            made.append(_scale(row, known.get(key) or row.known()))
        elif key in known:
            made.append(_scale(row, known[key]))
    return made


def _scale(row: Assumption, known: Known) -> Scale:
    """A band is taken as equally likely all along; one that a measurement gave, as its 95 %."""
    measured = known.origin is Origin.MEASURED and known.band is not None and known.band[0] > 0.0
    band = known.band if measured and known.band else (row.low, row.high)
    power = -4.0 if row.key in _ORIFICES else 1.0 if row.dimension == "pressure" or band[0] <= 0.0 else 0.0
    centre = _on(known.value, power)
    steps = [index / (_SAMPLES - 1) for index in range(_SAMPLES)]
    if band[0] <= 0.0:
        samples = [band[0] + (band[1] - band[0]) * step for step in steps]
    else:
        samples = [band[0] * (band[1] / band[0]) ** step for step in steps]
    spread = math.sqrt(sum((_on(one, power) - centre) ** 2 for one in samples) / _SAMPLES)
    spread = max(spread * (math.sqrt(3.0) / 2.0 if measured else 1.0), 1e-9 * max(abs(centre), 1e-3))
    least = row.low / BEYOND if row.low > 0.0 else 0.0
    most = max(row.high, known.value) if row.key in _ORIFICES else row.high * BEYOND
    full = row.dimension == "share" and most >= DIMENSIONS["share"].most
    most = DIMENSIONS["share"].most if full else most
    ends = sorted((_on(end, power) - centre) / spread for end in (least, most))
    return Scale(
        row=row,
        centre=centre,
        spread=spread,
        power=power,
        bounds=(min(ends[0], -1e-3), max(ends[1], 1e-3)),
        ends=(row.key in _ORIFICES, full),
        band=band,
    )


def _on(value: float, power: float) -> float:
    return math.log(value) if power == 0.0 else value**power


def _back(moved: float, power: float) -> float:
    return math.exp(moved) if power == 0.0 else moved ** (1.0 / power)
