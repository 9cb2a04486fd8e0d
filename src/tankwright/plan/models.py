"""The plan: what the owner wrote, checked key by key, in SI units, not yet laid out.

One class is one table of the plan. Positions are measured from the south-west inner corner of a room: x towards the
east, y towards the north, heights from the floor. What a key means stands in its description; the help and the
reference page are made from these. Values the owner leaves out are None here and are assumed when the room is laid
out (`catalogue.assumptions`), so the plan holds only what was said.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import AliasChoices, Field, StringConstraints, WrapValidator, field_validator

from tankwright.plan.placed import PlacedText, line_of
from tankwright.plan.quantities import (
    Angle,
    Box,
    Current,
    Density,
    Duration,
    Flow,
    Length,
    Mass,
    NotNegative,
    PlanTable,
    Point,
    Positive,
    Power,
    Pressure,
    Share,
    Size,
    Slope,
    Voltage,
    Volume,
)

Name = Annotated[str, StringConstraints(min_length=1, max_length=80)]
ClockTime = Annotated[str, StringConstraints(pattern=r"^([01]\d|2[0-3]):[0-5]\d$")]
Wall = Literal["north", "south", "east", "west"]
Size0 = Annotated[Length, Positive]


def _with_its_line(raw: Any, read: Any) -> Any:
    """The text as read, with the line it stands on, which a plain text would lose."""
    text, line = read(raw), line_of(raw)
    return text if line is None else PlacedText(text, line)


PlacedName = Annotated[str, WrapValidator(_with_its_line)]


def about(text: str, default: Any = None) -> Any:
    """A field with a description and a default."""
    return Field(default=default, description=text)


def needed(text: str) -> Any:
    """A field that must be given."""
    return Field(description=text)


# --- people ---------------------------------------------------------------------------------------------------


class People(PlanTable):
    looks: tuple[ClockTime, ...] = about("times of day when someone sees every tank", ())
    longest_absence: Annotated[Duration, Positive] | None = about("the longest time nobody looks")


# --- rooms ----------------------------------------------------------------------------------------------------


class RoomSize(PlanTable):
    length: Size0 = needed("inside, west to east")
    width: Size0 = needed("inside, south to north")
    height: Size0 = needed("floor to ceiling")


class Door(PlanTable):
    wall: Wall = needed("the wall it is in")
    from_west: Annotated[Length, NotNegative] | None = about("for a north or south wall: corner to opening")
    from_south: Annotated[Length, NotNegative] | None = about("for an east or west wall: corner to opening")
    width: Size0 = needed("clear opening")
    swing: Literal["in", "out", "slides"] = about("which way it opens", "in")
    hinged: Wall | None = about("the side its hinges are on")


class Window(PlanTable):
    wall: Wall = needed("the wall it is in")
    from_west: Annotated[Length, NotNegative] | None = about("for a north or south wall")
    from_south: Annotated[Length, NotNegative] | None = about("for an east or west wall")
    size: Size = needed("width and height")
    sill: Length = needed("height of its lower edge")


class Obstacle(PlanTable):
    name: Name = needed("what it is")
    at: Point = needed("its south-west corner")
    size: Size = needed("along x and along y")


class Beam(PlanTable):
    name: Name = needed("what it is")
    at: Point = needed("its south-west corner")
    size: Size = needed("along x and along y")
    underside: Size0 = needed("height of its underside")


class CeilingSlope(PlanTable):
    towards: Wall = needed("the wall where the ceiling is lowest")
    height: Size0 = needed("height at that wall")


class RoomTable(PlanTable):
    size: RoomSize = needed("inside size")
    at: Point | None = about("where it stands beside the other rooms, for the drawing")
    floor: Literal["slab", "timber", "tiles on slab", "other"] = about("what the floor is", "slab")
    doors: tuple[Door, ...] = about("doors", ())
    windows: tuple[Window, ...] = about("windows", ())
    obstacles: tuple[Obstacle, ...] = about("chimney, post, cupboard: full height", ())
    beams: tuple[Beam, ...] = about("low beams and ducts", ())
    ceiling_slope: CeilingSlope | None = about("for a sloping ceiling; size.height is its high side")
    aisle: Size0 | None = about("the narrowest aisle you will accept")


# --- water in and out -----------------------------------------------------------------------------------------


class WaterPoint(PlanTable):
    room: Name = needed("the room it is in")
    at: Point | None = about("where it is")
    height: Length | None = about("height of the tap")
    pressure: Annotated[Pressure, Positive] | None = about("pressure with nothing running")
    flow: Annotated[Flow, Positive] | None = about("the most it gives, fully open")


class Vat(PlanTable):
    room: Name = needed("the room it is in")
    at: Point | None = about("where it stands")
    height: Length | None = about("height of the water in it")
    volume: Annotated[Volume, Positive] = needed("usable litres")
    pump: Name | None = about("the pump in it; without one it feeds by gravity")


class Outfall(PlanTable):
    room: Name = needed("the room it is in")
    at: Point = needed("where it is")
    height: Length = needed("height of the point the drain must reach (invert); below the floor is negative")
    to: Name = about("sewer, garden, soakaway; trapped or not", "not said")
    capacity: Annotated[Flow, Positive] | None = about("the most it takes")


# --- tanks ----------------------------------------------------------------------------------------------------


class Glass(PlanTable):
    sides: Size0 | None = about("thickness of front, back and ends")
    base: Size0 | None = about("thickness of the base")
    temper: Literal["annealed", "toughened", "unknown"] = about("toughened glass is never drilled", "unknown")
    toughened_panes: tuple[Literal["front", "back", "left", "right", "base"], ...] = about("single ones", ())


class Hole(PlanTable):
    pane: Literal["back", "left", "right", "base"] = needed("the pane it is drilled in")
    diameter: Size0 | None = about("of the hole; measure your fitting")
    from_left: Size0 | None = about(
        "centre from the left outside edge, seen from the front (from the front, on an end)"
    )
    below_rim: Size0 | None = about("centre below the top edge, for a back or end pane")
    from_back: Size0 | None = about("centre from the back outside edge, for a base pane")
    flange: Size0 | None = about("outside diameter of the fitting's flange")


class Overflow(PlanTable):
    kind: Literal["elbow", "standpipe"] = about("what sets the water level", "elbow")
    elbow_reach: Size0 | None = about("from the hole's centre to the middle of the elbow's mouth")
    angle: Angle | None = about("how far the elbow is turned from straight up")
    water_below_rim: Size0 | None = about("water level below the top edge; instead of an angle")
    bore: Size0 | None = about("inner diameter of the mouth")
    strainer_open: Annotated[Share, Positive] | None = about("open share of the strainer; 1 without one")


class Substrate(PlanTable):
    depth: Size0 = needed("depth of the bed")
    density: Annotated[Density, Positive] | None = about("of the wet bed, bulk")


class Hose(PlanTable):
    bore: Size0 | None = about("inner diameter of the hose or its barb, whichever is less")
    length: Size0 | None = about("from the bulkhead to the drain")


class TankKind(PlanTable):
    outside: Box = needed("outside length, depth (front to back) and height")
    glass: Glass | None = about("thickness of its panes")
    top: Literal["open", "rim", "braced"] = about("open top edge, full rim, or cross brace", "open")
    lid: str | None = about("what covers it")
    hole: Hole | None = about("the drilled hole; none means not drilled")
    overflow: Overflow | None = about("what stands in the hole")
    hose: Hose | None = about("its own overflow hose, if different from the drain's")
    substrate: Substrate | None = about("gravel or sand")
    empty_mass: Annotated[Mass, Positive] | None = about("weighed empty")
    air_outlets: int | None = Field(default=None, ge=0, le=20, description="taps for each tank of this kind")


class RackKind(PlanTable):
    length: Size0 = needed("along the front")
    depth: Size0 = needed("front to back")
    shelves: tuple[Annotated[Length, NotNegative], ...] = needed(
        "height of each shelf's upper face, lowest first"
    )
    uprights_at: tuple[Annotated[Length, NotNegative], ...] = about(
        "distance of each upright from the left end", ()
    )
    upright_width: Size0 | None = about("width of an upright seen from the front")
    height: Size0 | None = about("of the uprights")
    mass: Annotated[Mass, Positive] | None = about("of the empty rack")
    made_of: str | None = about("what it is made of")
    shelf_rating: Annotated[Mass, Positive] | None = about("the maker's rating per shelf")
    shelf_thickness: Size0 | None = about("from a shelf's upper face to its lowest bearer")
    legs: int | None = Field(default=None, ge=1, le=40, description="number of feet on the floor")


class Standing(PlanTable):
    """Tanks of one kind, side by side on a shelf, from the left."""

    kind: Name = needed("a tank kind")
    ids: Name = needed('"A1..A4" makes four, "A1, A5" makes two')
    gap: Annotated[Length, NotNegative] | None = about("between neighbours")
    from_left: Annotated[Length, NotNegative] | None = about("of the first, from the rack's left end")
    off_back: Annotated[Length, NotNegative] | None = about("from the rack's back edge")
    end_on: bool = about("turned with its short side to the aisle", False)
    state: Literal["stands", "ordered", "wished"] = about("how real it is", "stands")


class Rack(PlanTable):
    id: Name = needed("its name")
    kind: Name = needed("a rack kind")
    room: Name = needed("the room it stands in")
    wall: Wall | None = about("the wall its back is to")
    from_west: Annotated[Length, NotNegative] | None = about("along a north or south wall")
    from_south: Annotated[Length, NotNegative] | None = about("along an east or west wall")
    off_wall: Annotated[Length, NotNegative] | None = about("gap behind it")
    at: Point | None = about("for an island: its south-west corner")
    facing: Wall | None = about("for an island: the side one works it from")
    zone: Name | None = about("the zone of its tanks")
    shelf: dict[str, tuple[Standing, ...]] = about("which tanks stand on which shelf, 1 is the lowest", {})
    tied_to_wall: bool | None = about("fixed against tipping")


class Zone(PlanTable):
    quarantine: bool = about("nothing may be shared with other zones", False)
    note: str | None = about("what it is for")


# --- drain ----------------------------------------------------------------------------------------------------


class DumpEvent(PlanTable):
    name: Name = needed("what happens")
    hose_in: Name | None = about("a tank with a filling hose left in it")
    flow: Annotated[Flow, Positive] | None = about("what that hose gives")
    standpipes_pulled: str | None = about('tanks whose standpipe is pulled at once, "A1, A2"')


class Drain(PlanTable):
    to: Name = needed("an outfall")
    or_to: Name | None = about(
        "another outfall it can be turned to; what is worked out is the run to the first"
    )
    behind: tuple[Name, ...] = about("racks in the order the water passes them", ())
    room: Name | None = about("the room a drawn path is in; the outfall's when not said")
    path: tuple[Point, ...] = about(
        "corners of the run, highest first, if not along the walls behind the racks", ()
    )
    pipe: str | None = about('size and standard, "50 mm EN 1329"')
    bore: Size0 | None = about("inner diameter, if the standard is not known")
    fall: Annotated[Slope, Positive] | None = about("fall of the run")
    roughness_n: float | None = Field(default=None, gt=0, lt=0.1, description="Manning's n")
    top_height: Length | None = about("invert at its highest end, if it is already built")
    vented: bool | None = about("open to air at its top")
    hose: Hose | None = about("the hose from every overflow, unless a kind says otherwise")
    tees: tuple[str, ...] = about(
        'tanks that join in one tee, ["A1..A3", "A4..A8"]; others have a tee of their own', ()
    )
    dump: tuple[DumpEvent, ...] = about("events it must take", ())


# --- feed -----------------------------------------------------------------------------------------------------


class Filter(PlanTable):
    name: Name = needed("what it is")
    loss: Annotated[Pressure, NotNegative] | None = about("pressure it takes at the flow below")
    at_flow: Annotated[Flow, Positive] | None = about("the flow that loss was stated for")
    carbon: bool = about("takes chlorine out", False)


class FeedOutlet(PlanTable):
    kind: Literal["compensating dripper", "dripper", "small tube", "tap"] = needed("what ends over each tank")
    rate: Annotated[Flow, Positive] | None = about("nominal flow")
    at_pressure: Annotated[Pressure, Positive] | None = about(
        "the pressure that rate is for; a compensating one: from"
    )
    exponent: float | None = Field(default=None, ge=0, le=1.2, description="of flow on pressure")
    variation: Annotated[Share, NotNegative] | None = about("maker's coefficient of variation")
    bore: Size0 | None = about("of a small tube")
    length: Size0 | None = about("of a small tube")


class Program(PlanTable):
    start: ClockTime = needed("when it opens")
    minutes: float = Field(gt=0, le=1440, description="how long")
    days: Literal["daily", "weekdays", "weekends", "every second day", "weekly"] = about(
        "which days", "daily"
    )


class Feed(PlanTable):
    source: Name = Field(
        validation_alias=AliasChoices("from", "source"),
        description="a water point, a vat, or a tank that stands higher",
    )
    pipe: str | None = about("size and standard of the manifold")
    bore: Size0 | None = about("inner diameter, if the standard is not known")
    height: Size0 | None = about("height of the manifold above each shelf's tanks")
    regulated_to: Annotated[Pressure, Positive] | None = about("pressure behind a regulator")
    filters: tuple[Filter, ...] = about("in the order the water passes", ())
    valve: Filter | None = about("the timer valve")
    outlet: FeedOutlet = needed("one for each tank")
    ends: Literal["above rim", "below rim"] = about("where the outlet ends", "above rim")
    air_gap: Annotated[Length, NotNegative] | None = about("outlet end above the rim")
    check_valve: bool = about("keeps water from running back", False)
    program: tuple[Program, ...] = about("when it runs", ())
    zones: tuple[Name, ...] = about("zones it feeds; all when not said", ())
    racks: tuple[Name, ...] = about("racks it feeds; all when not said", ())
    tanks: str | None = about('tanks it feeds, "A1..A4"; all when not said')


# --- air ------------------------------------------------------------------------------------------------------


class PumpLimits(PlanTable):
    lowest: Annotated[Pressure, NotNegative] | None = Field(
        default=None, validation_alias=AliasChoices("from", "lowest"), description="least pressure"
    )
    highest: Annotated[Pressure, Positive] | None = Field(
        default=None, validation_alias=AliasChoices("to", "highest"), description="most pressure"
    )


class Pump(PlanTable):
    curve: tuple[tuple[Pressure, Flow], ...] = Field(
        description="pressure and flow, from free flow upwards",
        examples=['[["0 kPa", "60 L/min"], ["20 kPa", "25 L/min"]]'],
    )
    allowed: PumpLimits | None = about("pressures the maker allows for long running")
    power: Annotated[Power, Positive] | None = about("electrical")
    height: Length | None = about("where it stands")
    room: Name | None = about("the room it is in")
    at: Point | None = about("where it stands")
    reserve: bool = about("stands by; does not run", False)


class Diffuser(PlanTable):
    kind: Literal["sponge", "stone", "open tube"] = about("what the air leaves through", "sponge")
    above_base: Annotated[Length, NotNegative] | None = about(
        "height of its outlet above the inside of the base"
    )
    flow_wanted: Annotated[Flow, Positive] | None = about("what each needs")
    loss: Annotated[Pressure, NotNegative] | None = about(
        "pressure it takes beyond the depth, at the flow wanted"
    )


class Adapter(PlanTable):
    bore: Size0 = needed("its narrowest inner diameter")
    note: str | None = about("what it joins")


class AirTap(PlanTable):
    bore: Size0 | None = about("of the fully open tap, as an orifice")


class AirBranch(PlanTable):
    path: tuple[Point, ...] = needed("corners; the first is where it leaves the ring")
    pipe: str | None = about("size and standard, if different")


class Air(PlanTable):
    pump: Name | None = about("the pump")
    pumps: tuple[Name, ...] = about("several pumps", ())
    pipe: str | None = about('size and standard, "25 mm ISO PN10"')
    bore: Size0 | None = about("inner diameter, if the standard is not known")
    height: Size0 | None = about("of the ring")
    around: Name | None = about("the room whose walls it follows")
    room: Name | None = about("the room a drawn path is in")
    path: tuple[Point, ...] = about("corners, if it does not follow the walls", ())
    closed_ring: bool = about("both ends joined", True)
    branches: tuple[AirBranch, ...] = about("dead-end arms off the ring", ())
    adapters: tuple[Adapter, ...] = about("between pump and ring", ())
    lead: Size0 | None = about("length of pipe between pump and ring")
    tap_every: Size0 | None = about("spacing of the taps")
    taps: int | None = Field(default=None, ge=1, le=5000, description="number of taps, instead of a spacing")
    isolated: tuple[Name, ...] = about("racks whose taps are shut off", ())
    open_spare_taps: int = Field(default=0, ge=0, le=5000, description="taps left open to the room")
    tap: AirTap | None = about("one tap")
    tube: Hose | None = about("from tap to diffuser")
    check_valves: bool = about("one in every tube", False)
    per_tank: int = Field(default=1, ge=0, le=20, description="taps for each tank")
    diffuser: Diffuser = about("at the end of each tube", Diffuser())
    relief: Annotated[Pressure, Positive] | None = about("pressure at which a relief valve opens")
    zones: tuple[Name, ...] = about("zones it serves; all when not said", ())
    racks: tuple[Name, ...] = about("racks it serves; all when not said", ())


# --- power ----------------------------------------------------------------------------------------------------


class Circuit(PlanTable):
    breaker: Annotated[Current, Positive] = needed("rating of its overcurrent device")
    rcd: Annotated[Current, Positive] | None = about("trip current of its residual-current device")
    device: Name | None = about("the protective device it shares with other circuits")


class Load(PlanTable):
    name: Name = needed("what it is")
    power: Annotated[Power, Positive] = needed("of one")
    count: int = Field(default=1, ge=1, le=1000, description="how many")
    does: Literal["light", "air", "heat", "cool", "feed", "pump", "other"] = about(
        "what stops when it stops", "other"
    )
    hours: float = Field(default=24.0, gt=0, le=24, description="hours a day")
    serves: str | None = about('tanks it serves, "A1..A4"')
    pump: Name | None = about("the pump of the plan this load is")


class Board(PlanTable):
    id: Name = needed("its name")
    circuit: Name = needed("the circuit it hangs on")
    outlets: int = Field(ge=1, le=100, description="number of sockets")
    rating: Annotated[Current, Positive] | None = about("of the board")
    fixed: bool = about("sockets fixed to the wall by an electrician, not a loose power board", False)
    switched: bool = about("on a timer or switch", False)
    rack: Name | None = Field(default=None, description="the rack it is on")
    height: Length | None = about("of its sockets")
    drip_loop: bool | None = about("cords hang lower than the sockets")
    loads: tuple[Load, ...] = about("what is plugged in", ())


class PowerTable(PlanTable):
    voltage: Annotated[Voltage, Positive] | None = about("of the supply")
    continuous_share: Annotated[Share, Positive] | None = about("how much of a rating you load for hours")
    circuits: dict[str, Circuit] = about("and their protection", {})
    boards: tuple[Board, ...] = about("boards and what hangs on them", ())


# --- the whole ------------------------------------------------------------------------------------------------


class Plan(PlanTable):
    """The whole plan file."""

    title: Name = about("the room's name", "Fish room")
    display: Literal["metric", "US"] = about("the units of what you read", "metric")
    people: People = about("who looks, and when", People())
    room: dict[str, RoomTable] = about("rooms by name", {})
    water_point: dict[str, WaterPoint] = about("where water comes in", {})
    vat: dict[str, Vat] = about("vats of stored water", {})
    outfall: dict[str, Outfall] = about("where water can leave", {})
    tank_kind: dict[str, TankKind] = about("kinds of tank", {})
    rack_kind: dict[str, RackKind] = about("kinds of rack", {})
    rack: tuple[Rack, ...] = about("racks", ())
    zone: dict[str, Zone] = about("zones by name", {})
    drain: dict[str, Drain] = about("drain runs", {})
    feed: dict[str, Feed] = about("feeds", {})
    pump: dict[str, Pump] = about("pumps", {})
    air: dict[str, Air] = about("air rings", {})
    power: PowerTable | None = about("circuits, boards and loads")
    assume: dict[str, PlacedName] = about("your own value for an assumption, by its key", {})

    @field_validator("assume", mode="before")
    @classmethod
    def _dotted(cls, raw: Any) -> Any:
        """`air.tap_bore = "1.5 mm"` under [assume] is a table in a table to TOML, and one key to its owner."""
        if not isinstance(raw, dict):
            return raw
        flat: dict[str, Any] = {}
        for key, value in raw.items():
            if isinstance(value, dict):
                flat.update({f"{key}.{below}": deeper for below, deeper in cls._dotted(value).items()})
            else:
                flat[key] = value
        return flat
