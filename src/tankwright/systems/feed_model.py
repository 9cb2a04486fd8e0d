"""What the feed came to: numbers of every outlet, tank, run and source. No words and no judgement here."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from tankwright.networks.model import Network
from tankwright.networks.solution import Solution
from tankwright.units import CubicMetre, CubicMetrePerSecond, Dimensionless, Metre, Pascal, Second


@dataclass(frozen=True, slots=True, kw_only=True)
class OutletFeed:
    """One outlet at full flow. `pressure` is what it works at, counted at its own height.

    `needed_pressure` is the least a compensating dripper needs, None for the others. `needed_gap` is the
    air gap between its end and the rim that is asked for.
    """

    outlet: str
    tank: str
    kind: str
    reached: bool
    flow: CubicMetrePerSecond
    rate: CubicMetrePerSecond
    pressure: Pascal | None
    needed_pressure: Pascal | None
    gap: Metre
    needed_gap: Metre

    @property
    def ratio(self) -> float:
        """Flow over the nominal one."""
        return self.flow / self.rate if self.rate > 0.0 else 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class SiphonBack:
    """An outlet that ends below the water, and what its tank can lose through it when the supply stops.

    `exit` names where the water leaves (another outlet, or the source). `flow` is known for small tubes only.
    """

    outlet: str
    tank: str
    exit: str
    exit_tank: str | None
    head: Metre
    stops_at: Metre
    volume: CubicMetre
    flow: CubicMetrePerSecond | None


@dataclass(frozen=True, slots=True, kw_only=True)
class FeedRunResult:
    """One feed as solved, everything open.

    `regulated` says whether a regulator holds the manifold's pressure; `upstream_pressure` is what stands
    before it (after the filters). `uniformity` counts making and pressure; `statistical` likewise, by
    another rule.
    """

    run: str
    source: str
    network: Network
    solution: Solution
    outlets: tuple[OutletFeed, ...]
    total_flow: CubicMetrePerSecond
    source_pressure: Pascal
    upstream_pressure: Pascal
    filter_loss: Pascal
    inlet_pressure: Pascal
    regulated: bool
    extrapolated: bool
    uniformity: Dimensionless | None
    statistical: Dimensionless | None
    seconds_a_week: Second
    volume_a_run: CubicMetre
    volume_a_week: CubicMetre
    siphons: tuple[SiphonBack, ...]

    @property
    def volume_a_day(self) -> CubicMetre:
        """Mean over the week."""
        return self.volume_a_week / 7.0


@dataclass(frozen=True, slots=True, kw_only=True)
class TankFeed:
    """Fresh water of one tank over all its outlets. Shares replaced are of a well mixed, overflowing tank.

    `volume_a_day` is a mean over the week. `between_looks` is the most that runs in between two looks,
    `in_absence` while nobody comes for the longest time (None when the plan does not say how long).
    """

    tank: str
    inflow: CubicMetrePerSecond
    seconds_a_day: Second
    volume_a_day: CubicMetre
    volume_a_week: CubicMetre
    replaced_a_day: Dimensionless | None
    replaced_a_week: Dimensionless | None
    naive_a_week: Dimensionless
    between_looks: CubicMetre
    in_absence: CubicMetre | None
    overflows: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class SourcePeak:
    """The most that is drawn from a source at once, by the programs' clock, against what it gives."""

    source: str
    flow: CubicMetrePerSecond
    most: CubicMetrePerSecond | None
    volume_a_day: CubicMetre
    volume_a_week: CubicMetre
    stored: CubicMetre | None


@dataclass(frozen=True, slots=True, kw_only=True)
class FeedResult:
    """The feed of the whole room. `not_computed` holds (subject, reason) of what could not be worked out."""

    runs: tuple[FeedRunResult, ...] = ()
    tanks: tuple[TankFeed, ...] = ()
    peaks: tuple[SourcePeak, ...] = ()
    without_feed: tuple[str, ...] = ()
    not_computed: tuple[tuple[str, str], ...] = ()

    def inflows(self) -> Mapping[str, CubicMetrePerSecond]:
        """What runs into each fed tank with every feed open."""
        return {tank.tank: tank.inflow for tank in self.tanks}

    def volume_between_looks(self) -> Mapping[str, CubicMetre]:
        """The most that runs into each fed tank between two looks."""
        return {tank.tank: tank.between_looks for tank in self.tanks}

    def tank(self, name: str) -> TankFeed | None:
        """The feed of a tank, None when none was computed."""
        return next((tank for tank in self.tanks if tank.tank == name), None)
