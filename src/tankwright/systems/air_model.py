"""What the air system came to: numbers of every tap, tank, pump and run. No words and no judgement here."""

from __future__ import annotations

from dataclasses import dataclass

from tankwright.networks.model import Network
from tankwright.networks.solution import Solution
from tankwright.units import (
    CubicMetre,
    CubicMetrePerSecond,
    Dimensionless,
    Metre,
    MetrePerSecond,
    Pascal,
    Second,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class TapAir:
    """One open tap with a tank on it, or a spare one left open to the room (`tank` None).

    `flow` is free air, as the plan stands: the tap open by `stands_open`, a share of its full way (1 where the plan
    does not say). `depth_pressure` is the water over the
    diffuser, `needed_pressure` the ring pressure at which a fully open tap just gives what is wanted.
    `tap_loss`, `tube_loss`, `valve_loss` and `diffuser_loss` add up, with the depth, to the ring pressure.
    `opening` is the share of the tap's full way that gives the wanted flow, `set_flow` what then comes
    (solved, not assumed).
    """

    tap: str
    node: str
    tank: str | None
    reached: bool
    flow: CubicMetrePerSecond
    wanted: CubicMetrePerSecond | None = None
    ring_pressure: Pascal | None = None
    depth_pressure: Pascal = 0.0
    needed_pressure: Pascal | None = None
    tap_loss: Pascal = 0.0
    tube_loss: Pascal = 0.0
    valve_loss: Pascal = 0.0
    diffuser_loss: Pascal = 0.0
    opening: Dimensionless | None = None
    set_flow: CubicMetrePerSecond | None = None
    stands_open: Dimensionless = 1.0

    @property
    def share(self) -> float | None:
        """Flow over what is wanted."""
        return self.flow / self.wanted if self.wanted else None


@dataclass(frozen=True, slots=True, kw_only=True)
class PumpWork:
    """Where a running pump works. `lowest` and `highest` are the maker's limits, None when not said."""

    pump: str
    pressure: Pascal
    flow: CubicMetrePerSecond
    extrapolated: bool
    curve_lowest: Pascal
    curve_highest: Pascal
    lowest: Pascal | None
    highest: Pascal | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Scenario:
    """The run with some taps opened or shut. Shares are of what each tank wants; `starved` get nothing."""

    name: str
    pump_pressure: Pascal
    total_flow: CubicMetrePerSecond
    least_share: Dimensionless | None
    least_tank: str | None
    below_half: tuple[str, ...]
    starved: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SettledTaps:
    """The run with spare taps shut and every tank's tap turned to its target.

    `bleed` is the air to let off so that no pump works above `limit_pressure`; `dead_end_pressure` is what
    the pump would climb to with every tap shut and nothing let off.
    """

    pump_pressure: Pascal
    total_flow: CubicMetrePerSecond
    bleed: CubicMetrePerSecond
    limit_pressure: Pascal
    dead_end_pressure: Pascal
    network: Network
    solution: Solution


@dataclass(frozen=True, slots=True, kw_only=True)
class RunBack:
    """One tube through which a tank's water can reach the ring when the air stops.

    `climb` is how far water must rise over the tank's level to pass the crest (the rim or the tap,
    whichever is higher); `head` how far the tap lies below the water. `certain` when the tap lies below the
    water: then `flow` is the start of the siphon, `stops_at` the height it ends at (the diffuser or the
    ring), `time` to within `NEAR` of it. Not certain: only the swing of the water column could carry it
    over.
    """

    tap: str
    tank: str
    certain: bool
    climb: Metre
    head: Metre
    swing: Metre
    flow: CubicMetrePerSecond | None = None
    stops_at: Metre | None = None
    volume: CubicMetre = 0.0
    time: Second | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class RunLosses:
    """Where the pressure goes, and how fast the air runs.

    `lead` is lost between pump and ring, `header` between the best and the worst tap in use. `outlet` is
    the mean loss behind the ring (tap, tube, diffuser; not the depth), None when no tank gets air.
    """

    lead: Pascal
    header: Pascal
    outlet: Pascal | None
    fastest: MetrePerSecond
    fastest_pipe: str


@dataclass(frozen=True, slots=True, kw_only=True)
class AirRunResult:
    """One air run as solved. `network` and `solution` are the plan as it stands."""

    run: str
    network: Network
    solution: Solution
    taps: tuple[TapAir, ...]
    pumps: tuple[PumpWork, ...]
    total_flow: CubicMetrePerSecond
    spare_flow: CubicMetrePerSecond
    relief_flow: CubicMetrePerSecond
    bleed: CubicMetrePerSecond
    limit_pressure: Pascal
    losses: RunLosses
    settled: SettledTaps | None
    more_taps: int | None
    more_taps_unset: int | None
    scenarios: tuple[Scenario, ...]
    run_back: tuple[RunBack, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class TankAir:
    """Air of one tank over all its taps."""

    tank: str
    flow: CubicMetrePerSecond
    wanted: CubicMetrePerSecond
    taps: int

    @property
    def share(self) -> float:
        """Flow over what is wanted."""
        return self.flow / self.wanted if self.wanted > 0 else 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class AirResult:
    """The air of the whole room. `not_computed` holds (subject, reason) of what could not be worked out."""

    runs: tuple[AirRunResult, ...] = ()
    tanks: tuple[TankAir, ...] = ()
    without_air: tuple[str, ...] = ()
    not_computed: tuple[tuple[str, str], ...] = ()

    def tank(self, name: str) -> TankAir | None:
        """The air of a tank, None when none of its taps was computed."""
        return next((tank for tank in self.tanks if tank.tank == name), None)
