"""What broods do in the mean and how they differ: from one's own broods, drawn towards a wide default while few.

A mean is that of the defaults, counted as two broods, and of one's own; so is the spread. With no own broods it is the
default alone, and said to be so.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final, Literal

RateKey = Literal["eggs", "hatch", "hatch_days", "early", "late", "gain"]
WEIGHT: Final = 2.0
"""Broods that a default counts as, beside one's own. Own choice: after six own broods three quarters are one's own."""
EARLY_DAYS: Final = 14.0
"""Days of age up to which most die: yolk used up, first food found. Common practice, no source."""
LATE_DAYS: Final = 30.0
"""Days that survival after that is told over."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RateKind:
    """A number that broods differ in. `scale` is where it is about normal: its logarithm, or as it is."""

    key: RateKey
    says: str
    scale: Literal["log", "share"]
    middle: float
    spread: float
    unit: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Rate:
    """How a number varies from brood to brood: a middle and a spread on its scale, and how many own broods told it."""

    kind: RateKind
    middle: float
    spread: float
    own: int = 0

    @property
    def told(self) -> str:
        """Whence it is: "default, wide", or from so many own broods."""
        if not self.own:
            return "default, wide"
        return f"{self.own} own brood{'' if self.own == 1 else 's'} and the default"

    def ends(self) -> tuple[float, float]:
        """Between what eight broods in ten lie, about."""
        wide = 1.2816 * self.spread
        if self.kind.scale == "log":
            return self.middle * math.exp(-wide), self.middle * math.exp(wide)
        return max(self.middle - wide, 0.0), min(self.middle + wide, 1.0)


KINDS_OF_RATE: Final[Mapping[RateKey, RateKind]] = {
    one.key: one
    for one in (
        RateKind(key="eggs", says="eggs or young of a spawn", scale="log", middle=80.0, spread=0.9, unit="",
                 source="20 to 200 over small aquarium fish as FishBase tells them; the middle is an own choice"),
        RateKind(key="hatch", says="share of eggs that hatch", scale="share", middle=0.6, spread=0.25, unit="share",
                 source="common practice, no source"),
        RateKind(key="hatch_days", says="days from spawn to hatching", scale="log", middle=3.0, spread=0.6, unit="d",
                 source="1 to 5 days for most; 48 to 72 h for zebrafish at 28.5 °C (Kimmel et al. 1995)"),
        RateKind(key="early", says="share alive at 14 days", scale="share", middle=0.6, spread=0.25, unit="share",
                 source="common practice, no source"),
        RateKind(key="late", says="share alive over 30 days after that", scale="share", middle=0.9, spread=0.08,
                 unit="share", source="zebrafish, 22.5 to 2.5 a litre, 84 days: 72 to 100 % (thesis, Univ. Dhaka)"),
        RateKind(key="gain", says="growth in length", scale="log", middle=0.3e-3, spread=0.4, unit="m/d",
                 source="zebrafish at the lowest density: 0.385 mm a day (Hazlerigg et al. 2012)"),
    )
}  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class FryRates:
    """All rates of a species. Lengths in m: at hatching, and of the grown fish, towards which growth slows."""

    rates: Mapping[RateKey, Rate] = field(
        default_factory=lambda: {key: default_rate(key) for key in KINDS_OF_RATE}
    )
    hatched_length: float = 4e-3
    grown_length: float = 35e-3

    def of(self, key: RateKey) -> Rate:
        """One of them."""
        return self.rates[key]


def default_rate(key: RateKey) -> Rate:
    """The default alone.

    >>> default_rate("eggs").told
    'default, wide'
    """
    kind = KINDS_OF_RATE[key]
    return Rate(kind=kind, middle=kind.middle, spread=_predicted(kind.spread, 0))


def certain(key: RateKey, value: float) -> Rate:
    """A number that is known: for live-bearers every young is hatched.

    >>> certain("hatch", 1.0).ends()
    (1.0, 1.0)
    """
    return Rate(kind=KINDS_OF_RATE[key], middle=value, spread=0.0)


def shrunk(key: RateKey, own: Sequence[float]) -> Rate:
    """The rate from own broods drawn towards the default. Values that cannot be (a share above 1) are held within.

    The spread is that of the next brood: it holds what is not known of the mean too. Source: normal mean and variance
    with a prior worth `WEIGHT` broods, from memory.

    >>> shrunk("early", []) == default_rate("early")
    True
    >>> many = shrunk("early", [0.8, 0.82, 0.78, 0.8, 0.79, 0.81, 0.8, 0.8])
    >>> round(many.middle, 2), many.told
    (0.76, '8 own broods and the default')
    """
    kind = KINDS_OF_RATE[key]
    if not own:
        return default_rate(key)
    values = [_scaled(kind, one) for one in own]
    base, many = _scaled(kind, kind.middle), len(values)
    mean = sum(values) / many
    middle = (WEIGHT * base + many * mean) / (WEIGHT + many)
    within = sum((one - mean) ** 2 for one in values)
    apart = WEIGHT * many / (WEIGHT + many) * (mean - base) ** 2
    variance = (WEIGHT * kind.spread**2 + within + apart) / (WEIGHT + many)
    told = math.exp(middle) if kind.scale == "log" else middle
    return Rate(kind=kind, middle=told, spread=_predicted(math.sqrt(variance), many), own=many)


def _scaled(kind: RateKind, value: float) -> float:
    return math.log(max(value, 1e-9)) if kind.scale == "log" else min(max(value, 0.0), 1.0)


def _predicted(spread: float, own: int) -> float:
    """Spread of the next brood when the middle itself is known from so many."""
    return spread * math.sqrt(1.0 + 1.0 / (WEIGHT + own)) if own else spread
