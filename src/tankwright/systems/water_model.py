"""What the waters came to: numbers of every water, tank, blend and change. No words and no judgement here.

Concentrations are kg/m3, hardness and alkalinity as calcium carbonate. What is None is not known.
"""

from __future__ import annotations

from dataclasses import dataclass

from tankwright.origin import Known
from tankwright.systems.water_life_model import WaterLife
from tankwright.units import (
    CubicMetre,
    CubicMetrePerSecond,
    Dimensionless,
    Kelvin,
    KilogramPerCubicMetre,
    Second,
)

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
    carbon_dioxide: KilogramPerCubicMetre | None = None
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
    """What the tanks of one zone that get the same water want and get.

    Where the water settles at a pH above the wanted one, `kept_for_ph` is the carbonate hardness that would settle at
    it in fresh air, and `dioxide_for_ph` the carbon dioxide that holds it at the hardness it has.
    """

    zone: str
    water: str
    tanks: tuple[str, ...]
    wishes: tuple[Wish, ...]
    kept_for_ph: KilogramPerCubicMetre | None = None
    dioxide_for_ph: KilogramPerCubicMetre | None = None


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

    `left_out` are wants no blend could be held to, as one of the waters does not say it of itself.
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
    left_out: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One way of changing a tank's water in one season: what it does to its temperature.

    `kind` is "drip" or "batch", `share` the volume over the tank's own, `taking` how long it takes, 0 for a batch.
    `drop` is the whole fall (below nought where it warms), `in_an_hour` the most of it within an hour and `band` that
    over the band of an assumed temperature. `warm_after` is from its end until a tenth of the fall is left; None
    where that takes longer than a month.
    """

    kind: str
    season: str
    share: Dimensionless
    taking: Second
    water: Kelvin
    after: Kelvin
    drop: Kelvin
    in_an_hour: Kelvin
    band: Band
    warm_after: Second | None


@dataclass(frozen=True, slots=True, kw_only=True)
class ColdFill:
    """What new water does to the temperature of one tank.

    `rests` are the temperatures of the water, of winter and summer, it was worked out with. `most_share` is for each
    season the most of the tank's water that may be changed at a stroke within the limit.
    """

    tank: str
    water: str
    before: Known
    rests: tuple[Known, Known]
    changes: tuple[Change, ...]
    most_share: tuple[tuple[str, Dimensionless], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Gas:
    """Pressure of the gas in cold water over that of the air, once warmed in these tanks and none has left.

    `most_share` is the share of a tank that may be changed at a stroke before its water as a whole is at the limit.
    """

    tanks: tuple[str, ...]
    water: str
    season: str
    cold: Known
    warm: Kelvin
    ratio: Dimensionless
    most_share: Dimensionless


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """Tanks fed one from the other, the first one first, and what of the old water is left in the last after
    one, two and three turnovers; `alone` is the same for a tank fed by itself."""

    tanks: tuple[str, ...]
    remaining: tuple[tuple[Dimensionless, Dimensionless], ...]
    alone: tuple[tuple[Dimensionless, Dimensionless], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Fit:
    """What one species is said to keep in, against what some tanks have: outside `low` to `high` by `by`, 0 inside.

    `sure` is false where the verdict changes inside the band of what the tanks have.
    """

    species: str
    tanks: tuple[str, ...]
    quantity: str
    low: float
    high: float
    source: str
    from_memory: bool
    found: Known
    by: float
    sure: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Unfit:
    """What could not be compared, and why. `species` is "" where the plan names none, `quantity` "" for everything."""

    species: str
    quantity: str
    why: str
    tanks: tuple[str, ...]


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
    not_compared: tuple[Unfit, ...] = ()
    life: WaterLife | None = None
    not_computed: tuple[tuple[str, str], ...] = ()

    def tank(self, name: str) -> TankWater | None:
        """The water of a tank, None when nothing is known of it."""
        return next((one for one in self.tanks if one.tank == name), None)
