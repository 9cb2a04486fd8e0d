"""The laid-out room: every tank, hole, lip, hose, pipe, tap and load with its position and height. Frozen.

All positions are in one frame for the whole plan: x east, y north, z up, metres, from the south-west floor
corner of the first room. Every run that the owner did not draw is derived and says so. Each thing keeps its
line of the plan.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from tankwright.origin import Known
from tankwright.units import CubicMetre, Kilogram, Metre, Radian, SquareMetre

Wall = Literal["north", "south", "east", "west"]
Pane = Literal["front", "back", "left", "right", "base"]
Place = tuple[Metre, Metre, Metre]


@dataclass(frozen=True, slots=True, kw_only=True)
class Box:
    """A block standing square to the walls: south-west-bottom corner and north-east-top corner."""

    x0: Metre
    y0: Metre
    z0: Metre
    x1: Metre
    y1: Metre
    z1: Metre

    @property
    def middle(self) -> Place:
        """Its centre."""
        return ((self.x0 + self.x1) / 2, (self.y0 + self.y1) / 2, (self.z0 + self.z1) / 2)


@dataclass(frozen=True, slots=True, kw_only=True)
class Opening:
    """A door or window: its run along the wall in the frame of the plan."""

    kind: Literal["door", "window"]
    wall: Wall
    start: tuple[Metre, Metre]
    end: tuple[Metre, Metre]
    sill: Metre = 0.0
    height: Metre = 2.0
    swing: str = ""
    hinge: tuple[Metre, Metre] | None = None
    line: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Space:
    """One room."""

    id: str
    box: Box
    floor: str
    openings: tuple[Opening, ...] = ()
    obstacles: tuple[tuple[str, Box], ...] = ()
    beams: tuple[tuple[str, Box], ...] = ()
    slope_towards: Wall | None = None
    slope_height: Metre | None = None
    aisle: Known | None = None
    line: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class HolePlace:
    """A drilled hole. `edge_distances` are clear glass from the hole's edge to each edge of its pane."""

    pane: Pane
    centre: Place
    diameter: Known
    edge_distances: tuple[tuple[str, Metre], ...]
    pane_thickness: Known
    flange: Known | None = None
    line: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class OverflowPlace:
    """What sets the water level. `lip` is the lowest point of its mouth: the height of still water.

    `angle` is how far an elbow is turned from straight up (0 up, pi/2 sideways); 0 for a standpipe.
    """

    kind: Literal["elbow", "standpipe"]
    lip: Metre
    angle: Radian
    reach: Known
    bore: Known
    open_share: Known
    level_known: Known
    line: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class HosePlace:
    """The hose from a tank's overflow down to its node of a drain."""

    drain: str
    node: str
    bore: Known
    length: Known
    start: Place
    end: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class Tank:
    """One tank where it stands.

    `length` runs along the front edge of the rack, `depth` from front to back, as it stands (an end-on tank has
    them swapped). `level` is the height of still water: the lip, or an undrilled tank's fill.
    `water_volume` is the water over the bed; `substrate_mass` is the wet bed with the water in its pores.
    `clear_above` is from the rim to what `under` names: the next shelf's lowest part, a beam, the ceiling.
    """

    id: str
    kind: str
    room: str
    rack: str
    shelf: int
    zone: str
    state: str
    box: Box
    facing: Wall
    end_on: bool
    length: Metre
    depth: Metre
    height: Metre
    glass_side: Known
    glass_base: Known
    toughened: tuple[Pane, ...]
    temper: str
    top: str
    lid: str | None
    inside_area: SquareMetre
    floor_inside: Metre
    rim: Metre
    level: Metre
    level_known: Known
    water_volume: CubicMetre
    freeboard: Metre
    freeboard_volume: CubicMetre
    empty_mass: Known
    fittings_mass: Known
    substrate_depth: Metre
    substrate_mass: Kilogram
    clear_above: Metre
    under: str
    hole: HolePlace | None = None
    overflow: OverflowPlace | None = None
    hose: HosePlace | None = None
    line: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class RackPlace:
    """One rack where it stands. `uprights` are (from, to) along its front, from its left end.

    `shelf_thickness` is None where it is not said, so that an assumption stands in for it.
    """

    id: str
    kind: str
    room: str
    zone: str
    box: Box
    facing: Wall
    length: Metre
    depth: Metre
    shelves: tuple[Metre, ...]
    uprights: tuple[tuple[Metre, Metre], ...]
    mass: Known
    legs: Known
    shelf_rating: Known | None
    tied_to_wall: bool | None
    island: bool
    shelf_thickness: Known | None = None
    line: int | None = None


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
    diffuser_kind: str = ""
    diffuser_loss: Known | None = None
    water_depth: Metre = 0.0
    flow_wanted: Known | None = None


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
    """An air ring or header: pumps, pipes, taps. `nodes` gives the place of every node by name."""

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
    """A filter, valve or regulator on the feed: loss grows with the square of flow, from one stated point."""

    name: str
    loss: Known
    at_flow: Known
    carbon: bool = False


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
    pipe: str = ""
    line: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CircuitPlace:
    """A circuit and its protection. Circuits with the same `device` go off together."""

    id: str
    breaker: Known
    rcd: Known | None
    device: str
    line: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadPlace:
    """A load on a board."""

    name: str
    power: Known
    count: int
    does: str
    hours: float
    serves: tuple[str, ...]
    pump: str | None
    line: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardPlace:
    """A power board, the circuit it hangs on, and its loads. `fixed`: sockets on the wall, not a loose board."""

    id: str
    circuit: str
    outlets: int
    rating: Known
    switched: bool
    rack: str | None
    height: Known
    drip_loop: bool | None
    loads: tuple[LoadPlace, ...]
    fixed: bool = False
    line: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PowerRoom:
    """The supply, its circuits and boards."""

    voltage: Known
    continuous_share: Known
    circuits: tuple[CircuitPlace, ...]
    boards: tuple[BoardPlace, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ZonePlace:
    """A zone and whether it is a quarantine."""

    id: str
    quarantine: bool
    line: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """The whole laid-out room, possibly several spaces.

    `looks` are seconds after midnight, `longest_absence` seconds. `arm`, `clear_above` and `glass_density` are what
    tanks are reached and weighed with (None: the defaults). `assumed` holds each assumption once.
    """

    title: str
    display: str
    spaces: tuple[Space, ...]
    racks: tuple[RackPlace, ...]
    tanks: tuple[Tank, ...]
    outfalls: tuple[OutfallPlace, ...] = ()
    drains: tuple[DrainRun, ...] = ()
    feeds: tuple[FeedRun, ...] = ()
    airs: tuple[AirRun, ...] = ()
    pumps: tuple[PumpPlace, ...] = ()
    power: PowerRoom | None = None
    zones: tuple[ZonePlace, ...] = ()
    looks: tuple[float, ...] = ()
    longest_absence: Known | None = None
    arm: Known | None = None
    clear_above: Known | None = None
    glass_density: Known | None = None
    assumed: tuple[Known, ...] = ()

    def tank(self, name: str) -> Tank:
        """The tank of that name; KeyError when there is none."""
        for tank in self.tanks:
            if tank.id == name:
                return tank
        raise KeyError(name)
