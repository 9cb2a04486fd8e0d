"""What a forecast of fry space is asked, and what it answers. Frozen; lengths in m, water in m3."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Final, Literal

from tankwright.husbandry.fry_rates import FryRates
from tankwright.units import convert

Apart = Literal["brood", "line"]
WEEKS: Final = 12
DRAWS: Final = 2000
"""Runs of chance: a chance of 3 in 10 then wanders by a hundredth."""
SEED: Final = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class DensityBand:
    """Fish up to a length (m; None for all longer ones) are kept at so many a litre at most."""

    up_to: float | None
    per_litre: float


@dataclass(frozen=True, slots=True, kw_only=True)
class FryTank:
    """A tank that fry may be put in, with its water in m3."""

    id: str
    label: str
    volume: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """A brood that is there: its age in days, how many between `low` and `high`, how long when that was measured (m).

    `shut` names the quarantine it is in; fish of one never share a tank with others.
    """

    id: str
    label: str
    line: str
    age: float
    held: float
    low: float
    high: float
    length: float | None = None
    shut: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Coming:
    """A spawn that is expected, or has happened and not hatched: in `day` days (below 0: ago), give or take `give`.

    `eggs` bounds what was seen of a spawn that has happened.
    """

    id: str
    label: str
    line: str
    day: float
    give: float = 0.0
    chance: float = 1.0
    eggs: tuple[float, float] | None = None
    shut: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class FryRules:
    """The keeper's own rules. Defaults are common practice without a source, and shown as such.

    `gone_days` is the age at which young leave the fry tanks; `limit` the chance of running out that is put up with;
    `lead_days` how long it takes to find fish a home; `apart` whether broods of a line may share a tank.
    """

    density: tuple[DensityBand, ...] = ()
    gone_days: float = 90.0
    limit: float = 0.1
    lead_days: float = 14.0
    apart: Apart = "brood"


USUAL_DENSITY: Final = (
    DensityBand(up_to=8e-3, per_litre=10.0),
    DensityBand(up_to=15e-3, per_litre=3.0),
    DensityBand(up_to=25e-3, per_litre=1.0),
    DensityBand(up_to=None, per_litre=0.25),
)
"""Fish a litre by length, common practice, no source: zebrafish grew slower and 28 % died at 22.5 a litre, none at 2.5
(84 days, still water; thesis, Univ. Dhaka)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FryAsk:
    """All a forecast rests on. `rates` are by line; a line that is not in it has the defaults."""

    start: date
    standing: tuple[Standing, ...] = ()
    coming: tuple[Coming, ...] = ()
    tanks: tuple[FryTank, ...] = ()
    rules: FryRules = field(default_factory=FryRules)
    rates: Mapping[str, FryRates] = field(default_factory=dict)
    weeks: int = WEEKS
    draws: int = DRAWS
    seed: int = SEED

    @property
    def density(self) -> tuple[DensityBand, ...]:
        """The keeper's rule, or the usual one."""
        return self.rules.density or USUAL_DENSITY

    def rates_of(self, line: str) -> FryRates:
        """What is known of broods of a line."""
        return self.rates.get(line) or FryRates()


@dataclass(frozen=True, slots=True, kw_only=True)
class FryWeek:
    """One week: tanks needed by nine, five and one in ten, litres likewise, and how often there were too few tanks.

    `number` 0 is this week. Volumes in m3.
    """

    number: int
    begins: date
    low: float
    middle: float
    high: float
    volume_low: float
    volume_middle: float
    volume_high: float
    chance_out: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Cause:
    """A spawn to come or a brood that is there, and the chance to run out if it were not."""

    id: str
    label: str
    without: float
    day: float | None = None
    """Days until it spawns; None for a brood that is there."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FryForecast:
    """The answer. `chance` is that of running out in any week; `out_week` the first in which it is worst.

    `decide` is the last day on which selling, splitting or parting a pair still helps; None when nothing must be
    decided. `causes` stand by how much the chance falls without them; `hold` are spawns not to raise, in their order,
    so that the chance stays within the keeper's limit, as far as spawns can do that.
    """

    ask: FryAsk
    weeks: tuple[FryWeek, ...]
    chance: float
    out_week: int | None = None
    decide: date | None = None
    causes: tuple[Cause, ...] = ()
    hold: tuple[str, ...] = ()
    enough_held: bool = True
    """Whether holding those brings the chance within the limit."""

    def begins(self, week: int) -> date:
        """The first day of a week."""
        return self.ask.start + timedelta(days=7 * week)


def per_litre(band: DensityBand) -> float:
    """Fish per m3 of a band.

    >>> round(per_litre(DensityBand(up_to=None, per_litre=2.0)))
    2000
    """
    return band.per_litre * convert(1.0, "m**3", "L")


def in_ten(chance: float) -> str:
    """A chance as so many in ten, as people weigh it.

    >>> [in_ten(one) for one in (0.0, 0.03, 0.3, 0.96, 1.0)]
    ['none', 'less than 1 in 10', '3 in 10', 'more than 9 in 10', 'all']
    """
    if chance <= 0.0:
        return "none"
    if chance >= 1.0:
        return "all"
    if chance < 0.05:
        return "less than 1 in 10"
    return "more than 9 in 10" if chance > 0.95 else f"{round(10 * chance)} in 10"
