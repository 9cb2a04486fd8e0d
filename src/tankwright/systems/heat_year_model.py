"""What a year of a room comes to: energy, cost, and what each measure would save. Frozen; made by `tankwright.year`."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from tankwright.systems.heat_energy import Use
from tankwright.systems.heat_measure import Measure
from tankwright.systems.heat_year import RoomYear, Strain
from tankwright.units import CubicMetre, Dimensionless, Joule
from tankwright.weather.model import HOURS

KWH: Final[Joule] = 3.6e6

METHOD: Final = (
    "hour by hour with thermostats that give just what holds, by the five links of EN ISO 13790 for energy; a"
    " heater's size is told by U times area, which asks for some five per cent more"
)
INTERACTION: Final = "what measures save does not add up: each changes what there is left for the others"

MANY: Final = 0.01 * HOURS
"""Hours of a year, 88, a row may lie outside what is wanted before it is said. Source: common practice, no source."""

STRAIN: Final = 88.0
"""K h a year more outside what is wanted from which on a measure spoils it: 88 hours by a kelvin. Source: common
practice, no source."""

HARDLY: Final[Dimensionless] = 0.01
"""Share of the year's energy under which a saving is hardly noticed. Source: common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Saving:
    """What one measure saves in a year against the room as it is; less than nothing where it costs.

    `worth` is money, None without an energy price. `low` and `high` are what it saves inside the bands of the
    assumptions that were tried, None where they were not tried for it. `damp` is how many more hours the air is over
    80 %, `strain` what it does to the row that suffers most, `evaporated` kg more.
    """

    measure: Measure
    saved: Joule
    uses: tuple[tuple[Use, Joule], ...]
    water: CubicMetre
    worth: float | None
    damp: float
    strain: Strain
    evaporated: float
    low: Joule | None = None
    high: Joule | None = None

    @property
    def spoils(self) -> bool:
        """Whether some row is much further or longer outside what it is to have: then it saves by letting it be so."""
        return self.strain.kelvin_hours > STRAIN


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """The year's energy at both ends of one assumption's band."""

    key: str
    low: Joule
    high: Joule


@dataclass(frozen=True, slots=True, kw_only=True)
class YearResult:
    """A year of a room. `base` is None where it could not be worked out; `not_computed` then says why, and what to
    write.

    `fine` is the same year with thermostats that switch, None unless asked for. `layered` are the years at both ends of
    the assumed difference between warm air above and cool air below, none where it is said. `savings` are all measures
    that make sense, the one that saves most first; `pair` the best two at once, `together` all that are worth it: what
    they save does not add up. `not_computed` holds (subject, reason, remedy).
    """

    place: str = ""
    source: str = ""
    currency: str = ""
    energy_price: float | None = None
    water_price: float | None = None
    base: RoomYear | None = None
    fine: RoomYear | None = None
    spreads: tuple[Spread, ...] = ()
    layered: tuple[RoomYear, ...] = ()
    savings: tuple[Saving, ...] = ()
    pair: Saving | None = None
    together: Saving | None = None
    not_computed: tuple[tuple[str, str, str], ...] = ()

    @property
    def energy_cost(self) -> float | None:
        """What the year's energy costs; None without a price: it is not known, not nothing."""
        return self.cost_of(self.base.total) if self.base is not None else None

    @property
    def water_cost(self) -> float | None:
        """What the year's fresh water costs; None without a price."""
        if self.base is None or self.water_price is None:
            return None
        return self.base.fresh_water * self.water_price

    def cost_of(self, energy: Joule) -> float | None:
        """What so much energy costs at the tariff of the plan."""
        return None if self.energy_price is None else energy / KWH * self.energy_price

    @property
    def band(self) -> tuple[Joule, Joule] | None:
        """The lowest and highest year inside the bands that were tried, one at a time."""
        if not self.spreads or self.base is None:
            return None
        ends = [self.base.total, *(end for one in self.spreads for end in (one.low, one.high))]
        return min(ends), max(ends)

    def is_worth_it(self, saving: Saving) -> bool:
        """Whether it saves more than one would hardly notice, and not by letting the fish go cold or hot."""
        return self.base is not None and saving.saved > HARDLY * self.base.total and not saving.spoils
