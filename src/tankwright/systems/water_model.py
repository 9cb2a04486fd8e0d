"""What the waters came to: numbers of every water, tank, blend and change. No words and no judgement here.

Concentrations are kg/m3, hardness and alkalinity as calcium carbonate. What is None is not known.
"""

from __future__ import annotations

from dataclasses import dataclass

from tankwright.origin import Known
from tankwright.units import CubicMetre, CubicMetrePerSecond, Dimensionless, Kelvin, Second

Band = tuple[float, float]
"""From where to where a value may lie."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SourceWater:
    """One water as it runs, a mix worked out from its parts.

    `conductivity` is None where nobody measured it; `ionic` is then what hardness and alkalinity let expect, good for
    the chemistry of a blend and for no verdict. `standing_ph` is the pH once it has settled with the air of a room,
    from stale air to fresh, at `standing_at`; `carbon_dioxide` is what it brings, `standing_dioxide` what it keeps.
    """

    name: str
    mixed: bool
    winter: Known | None
    summer: Known | None
    ph: Known | None
    general_hardness: Known | None
    carbonate_hardness: Known | None
    conductivity: Known | None
    chlorine: Known | None
    nitrate: Known | None
    ammonia: Known | None
    disinfectant: str
    ionic: Known | None = None
    standing_at: Kelvin | None = None
    standing_ph: Band | None = None
    carbon_dioxide: Band | None = None
    standing_dioxide: Band | None = None
    price: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class TankWater:
    """Which water one tank gets. `parts` are names of waters with their shares of what runs in.

    `by_hand` is true where no feed reaches it and it is taken to get the only water that comes from a tap or vat.
    `through` are the tanks its water has been in before, the first one first; `water` is what arrives, None when it
    is not known. `settled_ph` is the pH its water settles at in the room's air.
    """

    tank: str
    zone: str
    parts: tuple[tuple[str, Dimensionless], ...]
    by_hand: bool
    through: tuple[str, ...]
    inflow: CubicMetrePerSecond
    longest_run: Second
    volume_a_day: CubicMetre
    water: SourceWater | None
    settled_ph: Known | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """One thing a zone wants against what its tanks get. `by` is how far outside, 0 when met, None when not known.

    `value` may be a band (pH by the air); `sure` is false where the verdict changes inside it. `low` is None for a
    mere most (nitrate).
    """

    quantity: str
    low: float | None
    high: float
    value: Known | None
    by: float | None
    sure: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class ZoneWater:
    """What the tanks of one zone that get the same water want and get."""

    zone: str
    water: str
    tanks: tuple[str, ...]
    wishes: tuple[Wish, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class BlendMiss:
    """A bound the nearest blend breaks, and the best that any blend of these waters has."""

    quantity: str
    bound: str
    limit: float
    value: float
    by: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ZoneBlend:
    """The cheapest blend of the plan's waters that meets what a zone wants, or the nearest to it.

    `volume_a_day` is what the feed gives the zone's tanks. `cost` is for a m3, None when a water has no price.
    `needed` is false where what already arrives meets the wants. `ph` is its pH at once, `standing_ph` after standing.
    """

    zone: str
    tanks: tuple[str, ...]
    reached: bool
    needed: bool
    shares: tuple[tuple[str, Dimensionless], ...]
    volume_a_day: CubicMetre
    cost: float | None
    cost_a_year: float | None
    cost_now: float | None
    water: SourceWater
    misses: tuple[BlendMiss, ...]
    unpriced: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One way of changing water in one season: what it does to the tank's temperature.

    `share` is the share of the tank's water; `taking` how long it takes, 0 for a batch. `drop` is the whole fall,
    `in_an_hour` the most of it within an hour. `warm_after` is until only a tenth of the fall is left, counted from
    the end; None where nothing is known to warm it.
    """

    kind: str
    season: str
    share: Dimensionless
    taking: Second
    before: Kelvin
    water: Kelvin
    after: Kelvin
    drop: Kelvin
    in_an_hour: Kelvin
    warm_after: Second | None


@dataclass(frozen=True, slots=True, kw_only=True)
class ColdFill:
    """Cold water into alike tanks, and the most that may be changed at a stroke within the limit."""

    tanks: tuple[str, ...]
    water: str
    changes: tuple[Change, ...]
    most_share: tuple[tuple[str, Dimensionless], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Gas:
    """Pressure of the gas in cold water over that of the air, once warmed in these tanks and none has left.

    `pressure` is the absolute pressure at which the water took up its air: the air's own.
    """

    tanks: tuple[str, ...]
    water: str
    season: str
    cold: Kelvin
    warm: Kelvin
    ratio: Dimensionless


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """Tanks fed one from the other, the first one first, and what of the old water is left in the last after
    one, two and three turnovers; `alone` is the same for a tank fed by itself."""

    tanks: tuple[str, ...]
    remaining: tuple[tuple[Dimensionless, Dimensionless], ...]
    alone: tuple[tuple[Dimensionless, Dimensionless], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Fit:
    """One species against the water of some tanks. `found` is what they have, outside `low` to `high` by `by`.

    `by` is 0 where it fits and None where it could not be compared; `why` then says why.
    """

    species: str
    tanks: tuple[str, ...]
    quantity: str
    low: float
    high: float
    source: str
    from_memory: bool
    found: Known | None
    by: float | None
    why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class WaterResult:
    """The water of the whole room. `not_computed` holds (subject, reason)."""

    sources: tuple[SourceWater, ...] = ()
    tanks: tuple[TankWater, ...] = ()
    zones: tuple[ZoneWater, ...] = ()
    blends: tuple[ZoneBlend, ...] = ()
    cold_fills: tuple[ColdFill, ...] = ()
    gases: tuple[Gas, ...] = ()
    rows: tuple[Row, ...] = ()
    fits: tuple[Fit, ...] = ()
    not_computed: tuple[tuple[str, str], ...] = ()

    def tank(self, name: str) -> TankWater | None:
        """The water of a tank, None when nothing is known of it."""
        return next((one for one in self.tanks if one.tank == name), None)
