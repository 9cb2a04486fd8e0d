"""What the oxygen came to: numbers of every tank, with air and without. No words and no judgement here."""

from __future__ import annotations

import math
from dataclasses import dataclass

from tankwright.origin import Known
from tankwright.room.model_water import LifeLaws
from tankwright.units import (
    CubicMetre,
    CubicMetrePerSecond,
    Dimensionless,
    Kilogram,
    KilogramPerCubicMetre,
    KilogramPerSecond,
    Metre,
    Pascal,
    PerSecond,
    Second,
    SquareMetre,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Banded:
    """A number for the transfer through the surface that is taken, and for both ends of its band.

    `low` goes with the least transfer. All three are alike where the owner has said or measured it.
    """

    low: float
    value: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """A time a tank may have to stand without air, unseen: "between looks", "night", "absence"."""

    name: str
    duration: Second


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """The fish a tank can hold for a span without air and still end it at the trouble level."""

    span: Span
    mass: Banded


@dataclass(frozen=True, slots=True, kw_only=True)
class Demand:
    """Oxygen used in one tank. `filter` is by filter and mulm; `nitrifying` is the part of it that turns the feed's
    ammonia to nitrate, named and not added. `mass` is the fish, `feed` kg/s of dry feed."""

    mass: Kilogram
    feed: KilogramPerSecond
    fish: KilogramPerSecond
    filter: KilogramPerSecond
    nitrifying: KilogramPerSecond

    @property
    def total(self) -> float:
        """All of it, kg/s."""
        return self.fish + self.filter


@dataclass(frozen=True, slots=True, kw_only=True)
class TankOxygen:
    """The oxygen of one tank.

    Transfers are volumes of water brought to saturation a second: `aired` through the surface the air stirs,
    `bubbles` by the bubbles themselves, `still` through the surface once the air is off. `stirring` is how much of
    the stirring there is, 0 without air and 1 with all the air that is wanted. `depth` is the water over the diffuser.

    `rate` is the oxygen fish breathe and `each_kg` what a kg of fish uses with its feed's filter and mulm, both 1/s;
    `assumed_fish` when they are of fish nobody has named. `demand` is None where the plan does not say what lives
    there; then so are `steady` (the level with air on), `settles` (where the level ends with the air off) and
    `trouble` (time from the stop of the air to the trouble level: 0 when it is there already, infinite when never).
    """

    tank: str
    temperature: Known
    saturation: KilogramPerCubicMetre
    volume: CubicMetre
    surface: SquareMetre
    lid: bool
    air_flow: CubicMetrePerSecond
    depth: Metre | None
    stirring: Dimensionless
    still: Banded
    aired: Banded
    bubbles: CubicMetrePerSecond
    rate: PerSecond
    each_kg: PerSecond
    assumed_fish: bool
    breathes_air: bool
    demand: Demand | None
    steady: Banded | None
    settles: Banded | None
    trouble: Banded | None
    holds: tuple[Held, ...]

    def held(self, span: str) -> Banded | None:
        """The fish it can hold for the span of that name."""
        return next((one.mass for one in self.holds if one.span.name == span), None)


@dataclass(frozen=True, slots=True, kw_only=True)
class OxygenResult:
    """The oxygen of the room. `laws` is None where the plan describes no life. `gap` is the longest time between two
    looks, `not_computed` holds (subject, reason)."""

    laws: LifeLaws | None = None
    pressure: Pascal = 0.0
    gap: Second = 0.0
    spans: tuple[Span, ...] = ()
    tanks: tuple[TankOxygen, ...] = ()
    not_computed: tuple[tuple[str, str], ...] = ()

    def tank(self, name: str) -> TankOxygen | None:
        """The oxygen of a tank, None when it was not computed."""
        return next((one for one in self.tanks if one.tank == name), None)

    def span(self, name: str) -> Span | None:
        """The span of that name."""
        return next((one for one in self.spans if one.name == name), None)

    @property
    def in_order(self) -> tuple[TankOxygen, ...]:
        """The tanks as they come into trouble, those to serve first in front; those without a time last."""
        return tuple(sorted(self.tanks, key=_urgency))


def _urgency(one: TankOxygen) -> tuple[float, float, float, float]:
    if one.trouble is None or one.settles is None:
        return (math.inf, math.inf, math.inf, math.inf)
    return (one.trouble.value, one.trouble.low, one.trouble.high, one.settles.value)
