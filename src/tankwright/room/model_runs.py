"""Whatever carries water or air through the laid-out room: drains, pressure pipes, taps, pumps, feed programs."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from tankwright.origin import Known
from tankwright.units import Metre

Place = tuple[Metre, Metre, Metre]
"""A point of the room: x east, y north, z up; see `tankwright.room.model`."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OutfallPlace:
    """Where water leaves."""

    id: str
    room: str
    place: Place
    to: str
    capacity: Known | None
    line: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class DrainNode:
    """A point of a drain: where hoses join, a corner, the top end or the outfall. `place` z is the invert."""

    id: str
    place: Place
    chainage: Metre
    tanks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class DumpEvent:
    """More water than the feed: a hose left running, standpipes pulled."""

    name: str
    hose_in: str | None
    hose_flow: Known | None
    pulled: tuple[str, ...]
    line: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class DrainRun:
    """A shared drain. `nodes` run from its top end to the outfall; segment i joins node i to node i + 1.

    `turned_to` is another outfall it can be turned to; no node lies on the way there.
    """

    id: str
    outfall: str
    nodes: tuple[DrainNode, ...]
    bore: Known
    manning_n: Known
    fall: Known
    vented: bool | None
    derived: bool
    events: tuple[DumpEvent, ...] = ()
    turned_to: str | None = None
    pipe: str = ""
    line: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PipeRun:
    """A piece of pressure pipe, straight or with corners, between two named nodes."""

    id: str
    start: str
    end: str
    path: tuple[Place, ...]
    length: Metre
    bore: Known
    minor_loss: float = 0.0
    check_valve: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class TapPlace:
    """A tap on the air ring and what hangs on it: a tank's tube and diffuser, or nothing.

    `water_depth` is the water standing above the diffuser. `diffuser` is its place. A spare tap has no tank.
    `opening` is how far the plan says the tap is open, as a share of the open area; None is fully, 0 is not `open`.
    """

    id: str
    node: str
    place: Place
    open: bool
    bore: Known
    tank: str | None = None
    tube_bore: Known | None = None
    tube_length: Known | None = None
    check_valve: bool = False
    diffuser: Place | None = None
    diffuser_loss: Known | None = None
    water_depth: Metre = 0.0
    flow_wanted: Known | None = None
    opening: Known | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PumpPlace:
    """A pump. `curve` is (pressure, flow) in SI, free flow first."""

    id: str
    place: Place | None
    height: Known
    curve: tuple[tuple[float, float], ...]
    lowest_pressure: Known | None
    highest_pressure: Known | None
    power: Known | None
    reserve: bool
    line: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class AirRun:
    """An air ring or header: pumps, pipes, taps. `nodes` gives the place of every node by name.

    `branch_pipes` is what each branch is made of, in the order in which its nodes are numbered.
    """

    id: str
    pumps: tuple[str, ...]
    inlet: str
    nodes: tuple[tuple[str, Place], ...]
    pipes: tuple[PipeRun, ...]
    taps: tuple[TapPlace, ...]
    roughness: Known
    height: Known
    relief: Known | None
    derived: bool
    closed_ring: bool
    pipe: str = ""
    branch_pipes: tuple[str, ...] = ()
    line: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class FeedOutletPlace:
    """A feed outlet over a tank. `gap` is its end above the rim (negative below)."""

    id: str
    node: str
    tank: str
    place: Place
    gap: Known
    kind: str
    rate: Known
    at_pressure: Known
    exponent: Known
    variation: Known
    bore: Known | None = None
    length: Known | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class FilterPlace:
    """A filter, valve or regulator on the feed: loss grows with the square of flow, from one stated point.

    A carbon filling `takes` so many kg of chlorine before it is spent.
    """

    name: str
    loss: Known
    at_flow: Known
    carbon: bool = False
    takes: Known | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ProgramRun:
    """When a feed runs: start in seconds after midnight, seconds long, runs a week."""

    start: float
    duration: float
    runs_a_week: float
    line: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class FeedRun:
    """A feed: source, filters in series, manifold pipes, outlets, program.

    A tank as its source feeds by gravity from its still water; `vat_volume` is then the water in that tank.
    No more than `limit` passes. Its valve shuts by itself after running `shuts_after` or after `shuts_after_volume`,
    without power where `off_without_power`, and where `shuts_on_floor_water` when a sensor finds the floor wet.
    `low_level_cutoff` is what is left in the vat when its pump is stopped.
    """

    id: str
    source: str
    source_kind: Literal["water point", "vat", "tank"]
    source_place: Place
    source_pressure: Known
    source_flow: Known | None
    regulated_to: Known | None
    vat_volume: Known | None
    pump: str | None
    filters: tuple[FilterPlace, ...]
    inlet: str
    nodes: tuple[tuple[str, Place], ...]
    pipes: tuple[PipeRun, ...]
    outlets: tuple[FeedOutletPlace, ...]
    roughness: Known
    programs: tuple[ProgramRun, ...]
    check_valve: bool
    derived: bool
    limit: Known | None = None
    shuts_after: Known | None = None
    shuts_after_volume: Known | None = None
    off_without_power: bool = True
    shuts_on_floor_water: bool = False
    low_level_cutoff: Known | None = None
    pipe: str = ""
    line: int | None = None

    @property
    def openings(self) -> tuple[ProgramRun, ...]:
        """When water truly runs: each program no longer than the valve lets it."""
        if self.shuts_after is None:
            return self.programs
        longest = self.shuts_after.value
        return tuple(replace(one, duration=min(one.duration, longest)) for one in self.programs)
