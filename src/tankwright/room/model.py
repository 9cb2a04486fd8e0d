"""The laid-out room: every tank, hole, lip, hose, pipe, tap and load with its position and height. Frozen.

All positions are in one frame for the whole plan: x east, y north, z up, metres, from the south-west floor
corner of the first room. Every run that the owner did not draw is derived and says so. Each thing keeps its
line of the plan.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from tankwright.origin import Known
from tankwright.room.model_alarms import AlarmPlace
from tankwright.room.model_broken import Broken
from tankwright.room.model_climate import ClimatePlace
from tankwright.room.model_power import (
    BackupPlace,
    BatteryPlace,
    BoardPlace,
    CircuitPlace,
    LoadPlace,
    PowerRoom,
)
from tankwright.room.model_runs import (
    AirRun,
    DrainNode,
    DrainRun,
    DumpEvent,
    FeedOutletPlace,
    FeedRun,
    FilterPlace,
    OutfallPlace,
    PipeRun,
    Place,
    ProgramRun,
    PumpPlace,
    TapPlace,
)
from tankwright.room.model_structure import BracePlace, GlassLaws, JoistsPlace, RackBuilt, SagReading
from tankwright.room.model_water import LifeLaws, TankLife, WantedWater, WaterPlace
from tankwright.units import CubicMetre, Kilogram, Metre, Radian, SquareMetre

__all__ = [
    "AirRun",
    "AlarmPlace",
    "BackupPlace",
    "BatteryPlace",
    "BoardPlace",
    "Box",
    "BracePlace",
    "CircuitPlace",
    "DrainNode",
    "DrainRun",
    "DumpEvent",
    "FeedOutletPlace",
    "FeedRun",
    "FilterPlace",
    "GlassLaws",
    "HolePlace",
    "HosePlace",
    "JoistsPlace",
    "LoadPlace",
    "Opening",
    "OutfallPlace",
    "OverflowPlace",
    "Pane",
    "PipeRun",
    "Place",
    "PowerRoom",
    "ProgramRun",
    "PumpPlace",
    "RackBuilt",
    "RackPlace",
    "Room",
    "SagReading",
    "SecondOverflow",
    "Space",
    "Tank",
    "TapPlace",
    "Wall",
    "ZonePlace",
]

Wall = Literal["north", "south", "east", "west"]
Pane = Literal["front", "back", "left", "right", "base"]


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
    joists: JoistsPlace | None = None
    voids: tuple[tuple[str, Box], ...] = ()
    floor_limit: Known | None = None
    line: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class HolePlace:
    """A drilled hole. `edge_distances` are clear glass from the hole's edge to each edge of its pane; `to_order` is
    True where whoever sells the glass drills it. `number` counts the holes of a kind as its plan does: 1 is the one
    that sets the level. `fitting` is what its bulkhead takes on its dry side, where that is said."""

    pane: Pane
    centre: Place
    diameter: Known
    edge_distances: tuple[tuple[str, Metre], ...]
    pane_thickness: Known
    flange: Known | None = None
    to_order: bool = False
    number: int = 1
    fitting: str | None = None
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
class SecondOverflow:
    """A second way out, its lip above the first one's. `to` is a hose of its own to the outfall (it works when the
    drain is blocked), a hose of its own into the same drain, or the floor."""

    lip: Metre
    bore: Known
    to: Literal["own hose", "drain", "floor"]
    line: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Tank:
    """One tank where it stands.

    `length` runs along the front edge of the rack, `depth` from front to back, as it stands (an end-on tank has
    them swapped). `level` is the height of still water: the lip, or an undrilled tank's fill.
    `water_volume` is the water over the bed; `substrate_mass` is the wet bed with the water in its pores.
    `clear_above` is from the rim to what `under` names: the next shelf's lowest part, a beam, the ceiling.
    `float_cutoff` is how far above still water a float shuts its feed.
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
    second_overflow: SecondOverflow | None = None
    float_cutoff: Known | None = None
    note: str | None = None
    brace: BracePlace | None = None
    base_on: Literal["bed", "edges"] | None = None
    edges: Literal["polished", "seamed", "as cut"] | None = None
    more_holes: tuple[HolePlace, ...] = ()
    line: int | None = None

    @property
    def holes(self) -> tuple[HolePlace, ...]:
        """Every drilled hole, the one that sets the level first."""
        return (*((self.hole,) if self.hole is not None else ()), *self.more_holes)


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
    built: RackBuilt | None = None
    sag: tuple[SagReading, ...] = ()
    line: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ZonePlace:
    """A zone, whether it is a quarantine, and the water its tanks are meant to have."""

    id: str
    quarantine: bool
    wants: WantedWater | None = None
    line: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """The whole laid-out room, possibly several spaces.

    `looks` are seconds after midnight, `longest_absence` seconds. `arm`, `clear_above`, `glass_density` and
    `glass_laws` are what tanks are reached, weighed and judged with (None: the defaults). `lives` has one row a
    tank, in the order of `tanks`, or none at all where the plan says nothing of climate, water and stock. `assumed`
    holds each assumption once, `own` what the owner says instead of one for the whole room. `helper_looks` are those
    during an absence.
    `broken` is what a fault has broken, none in the room of a plan.
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
    helper_looks: tuple[float, ...] = ()
    alarms: tuple[AlarmPlace, ...] = ()
    arm: Known | None = None
    clear_above: Known | None = None
    glass_density: Known | None = None
    glass_laws: GlassLaws | None = None
    waters: tuple[WaterPlace, ...] = ()
    lives: tuple[TankLife, ...] = ()
    laws: LifeLaws | None = None
    climate: ClimatePlace | None = None
    assumed: tuple[Known, ...] = ()
    own: tuple[Known, ...] = ()
    broken: tuple[Broken, ...] = ()

    def tank(self, name: str) -> Tank:
        """The tank of that name; KeyError when there is none."""
        for tank in self.tanks:
            if tank.id == name:
                return tank
        raise KeyError(name)
