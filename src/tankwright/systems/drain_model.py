"""What the drain came to: numbers only, tank by tank and run by run."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from tankwright.units import (
    CubicMetre,
    CubicMetrePerSecond,
    Dimensionless,
    Metre,
    MetrePerSecond,
    Second,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class TankDrain:
    """How water leaves one tank, and what happens when it cannot.

    `inflow` is the feed at full flow. `head` is the water over the lip at that flow (None without an
    overflow, or when the mouth cannot take it). `freeboard` is rim less lip. `mouth_flow` is what the mouth
    takes with water at the rim, `hose_flow` what the hose takes running full from the rim to its end,
    `capacity` the lesser. `fall` is lip less hose end, `bulkhead_fall` hose start less hose end.
    `fill_between_looks` is what comes in between two looks, `fill_in_absence` in the longest absence;
    `spill_run` counts the program runs from the first one after a blockage to the one that spills (1 is the
    first), None when nothing comes in or the feed has no program; `seconds_to_spill_by_program` is the time
    until then, waiting included. `second_flow` is what a second overflow takes with water at the rim, None
    without one; `second_holds` is True where that, or a float that shuts the feed, keeps the water off the floor.
    """

    tank: str
    drain: str | None
    node: str | None
    inflow: CubicMetrePerSecond
    freeboard: Metre
    freeboard_volume: CubicMetre
    head: Metre | None
    mouth_flow: CubicMetrePerSecond | None
    hose_flow: CubicMetrePerSecond | None
    capacity: CubicMetrePerSecond | None
    self_venting: CubicMetrePerSecond | None
    hose_froude: Dimensionless | None
    fall: Metre | None
    bulkhead_fall: Metre | None
    seconds_to_spill: Second | None
    fill_between_looks: CubicMetre
    fill_in_absence: CubicMetre | None
    volume_per_run: CubicMetre | None
    spill_run: int | None
    seconds_to_spill_by_program: Second | None
    second_flow: CubicMetrePerSecond | None = None
    second_holds: bool = False

    @property
    def spills_before_look(self) -> bool:
        """True when a blocked overflow runs over before somebody sees it."""
        return not self.second_holds and self.fill_between_looks > self.freeboard_volume

    @property
    def spills_in_absence(self) -> bool:
        """True when a blocked overflow runs over during the longest absence."""
        if self.second_holds or self.fill_in_absence is None:
            return False
        return self.fill_in_absence > self.freeboard_volume


@dataclass(frozen=True, slots=True, kw_only=True)
class SegmentState:
    """One segment of a run in one case. `start` is its upper node.

    `even_depth` is the depth of even flow by Manning, None where the flow cannot run under an open surface;
    `colebrook_depth` the same by Colebrook and White, None where that formula does not reach (slow or
    overfull). `depth` is the depth at the upper end: the even one, or more where water stands back from
    below, None where the pipe is drowned (then `surcharged`); `share`, `velocity` and `froude` go with it.
    `level_start` and `level_end` are heights of the water, or of the pressure line where the pipe is drowned.
    """

    start: str
    end: str
    length: Metre
    slope: Dimensionless
    invert_start: Metre
    invert_end: Metre
    flow: CubicMetrePerSecond
    full_flow: CubicMetrePerSecond
    greatest_flow: CubicMetrePerSecond
    even_depth: Metre | None
    depth: Metre | None
    share: Dimensionless | None
    velocity: MetrePerSecond | None
    colebrook_depth: Metre | None
    critical_depth: Metre | None
    froude: Dimensionless | None
    level_start: Metre
    level_end: Metre
    surcharged: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Spill:
    """Water that a tank cannot pass on and that runs over its rim to the floor."""

    tank: str
    flow: CubicMetrePerSecond
    inflow: CubicMetrePerSecond


@dataclass(frozen=True, slots=True, kw_only=True)
class Emptying:
    """A tank whose standpipe is pulled: first and greatest flow, time and volume until the hole runs dry.

    `seconds` is None when the hose end stands too high for the tank to empty.
    """

    tank: str
    peak: CubicMetrePerSecond
    volume: CubicMetre
    seconds: Second | None


@dataclass(frozen=True, slots=True, kw_only=True)
class DrainCase:
    """A run under one load.

    `reaching` is what each tank sends into the run; `surcharge` the most the pressure line stands above the
    pipe's crown and `surcharge_node` where; `backed_up` are tanks whose lip the pressure line reaches.
    `settled` is False when flows and levels did not come to agree (then `residual`, m3/s).
    """

    name: str
    kind: Literal["feed", "dump", "feed and dump"]
    reaching: tuple[tuple[str, CubicMetrePerSecond], ...]
    segments: tuple[SegmentState, ...]
    outfall_flow: CubicMetrePerSecond
    spills: tuple[Spill, ...]
    emptying: tuple[Emptying, ...]
    surcharge: Metre
    surcharge_node: str
    backed_up: tuple[str, ...]
    settled: bool
    residual: CubicMetrePerSecond

    @property
    def greatest_share(self) -> float:
        """Depth over bore of the fullest segment; 1 when one is drowned, 0 when dry."""
        return max((1.0 if one.share is None else one.share for one in self.segments), default=0.0)

    @property
    def spilled(self) -> float:
        """Flow to the floor, all tanks together."""
        return sum(spill.flow for spill in self.spills)


@dataclass(frozen=True, slots=True, kw_only=True)
class FirstSpill:
    """The flow at which the first tank of a run runs over.

    `dump_in` is the tank the extra water runs into ("" when every tank gets the same extra), `flow` what runs
    into that tank (or the total into the run), `spills` the tank that spills, `by_drain` True when the backed
    up drain decides and False when the tank's own overflow does.
    """

    dump_in: str
    flow: CubicMetrePerSecond
    spills: str
    by_drain: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class DrainRunResult:
    """One shared drain: its cases, and the flows at which the first tank spills."""

    run: str
    tanks: tuple[str, ...]
    length: Metre
    least_slope: Dimensionless | None
    half_full_flow: CubicMetrePerSecond | None
    half_full_flow_colebrook: CubicMetrePerSecond | None
    full_flow: CubicMetrePerSecond | None
    cases: tuple[DrainCase, ...]
    first_spill: FirstSpill | None
    first_spill_evenly: FirstSpill | None


@dataclass(frozen=True, slots=True, kw_only=True)
class OutfallLoad:
    """All runs that end at one outfall, together. `worst_case` names the case that brings the most."""

    outfall: str
    feed_flow: CubicMetrePerSecond
    worst_flow: CubicMetrePerSecond
    worst_case: str
    capacity: CubicMetrePerSecond | None


@dataclass(frozen=True, slots=True, kw_only=True)
class DrainResult:
    """Every tank, run and outfall; `not_computed` are (subject, reason) of what could not be worked out."""

    tanks: tuple[TankDrain, ...]
    runs: tuple[DrainRunResult, ...]
    outfalls: tuple[OutfallLoad, ...]
    not_computed: tuple[tuple[str, str], ...] = ()
