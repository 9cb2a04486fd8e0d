"""Rooms of the plan, who looks at them, and where water comes in and goes."""

from __future__ import annotations

from typing import Annotated, Literal

from tankwright.plan.fields import ClockTime, Name, Size0, Wall, about, needed
from tankwright.plan.models_climate import Beyond, Shell
from tankwright.plan.quantities import (
    Duration,
    FloorLoad,
    Flow,
    Length,
    NotNegative,
    PlanTable,
    Point,
    Positive,
    Pressure,
    Share,
    Size,
    ThermalTransmittance,
    Volume,
)

# --- people --------------------------------------------------------------------------------------------------


class People(PlanTable):
    looks: tuple[ClockTime, ...] = about("times of day when someone sees every tank", ())
    longest_absence: Annotated[Duration, Positive] | None = about("the longest time nobody looks")
    helper_looks: tuple[ClockTime, ...] = about("times of day a helper looks while you are away", ())


# --- rooms ---------------------------------------------------------------------------------------------------


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
    kind: Name | None = about('what it is, for its warmth: "timber door", "steel door"')
    transmittance: Annotated[ThermalTransmittance, Positive] | None = about("its U-value, if known")
    to: Beyond | None = about("what is beyond it, if not the same as its wall")


class Window(PlanTable):
    wall: Wall = needed("the wall it is in")
    from_west: Annotated[Length, NotNegative] | None = about("for a north or south wall")
    from_south: Annotated[Length, NotNegative] | None = about("for an east or west wall")
    size: Size = needed("width and height")
    sill: Length = needed("height of its lower edge")
    kind: Name | None = about('what it is, for its warmth: "double glazing", "single glazing"')
    transmittance: Annotated[ThermalTransmittance, Positive] | None = about("its U-value, if known")
    sun_share: Annotated[Share, Positive] | None = about("share of the sun's warmth it lets in, its g-value")
    shaded: Share | None = about("share of the sun kept off it by blinds, walls, trees")


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


class Joists(PlanTable):
    """What carries a floor that hangs: for the load sheet an engineer reads, never for a verdict of this program."""

    section: Name = needed("section and grade of a joist", '"45 mm x 195 mm C24"')
    every: Size0 = needed("from middle to middle", '"40 cm"')
    run: Literal["north-south", "east-west"] = needed("which way they run", '"north-south"')
    span: Size0 | None = about("clear, between what carries them; the room's own size when not said")
    starts: Length | None = about("where the span begins: from the south or the west wall")


class Void(PlanTable):
    """A place a foot may not stand over: a hatch, a pit, a duct under the floor."""

    name: Name = needed("what it is")
    at: Point = needed("its south-west corner")
    size: Size = needed("along x and along y")


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
    joists: Joists | None = about("what carries the floor, where it hangs")
    voids: tuple[Void, ...] = about("what no foot may stand over", ())
    floor_limit: Annotated[FloorLoad, Positive] | None = about(
        "what someone licensed said the floor may carry"
    )
    shell: Shell | None = about("walls, roof and floor, for warmth and damp")


# --- water in and out ----------------------------------------------------------------------------------------


class WaterPoint(PlanTable):
    room: Name = needed("the room it is in")
    at: Point | None = about("where it is")
    height: Length | None = about("height of the tap")
    pressure: Annotated[Pressure, Positive] | None = about("pressure with nothing running")
    flow: Annotated[Flow, Positive] | None = about("the most it gives, fully open")
    fitting: Name | None = about('what is joined to: "3/4 in BSP G male"')


class Vat(PlanTable):
    room: Name = needed("the room it is in")
    at: Point | None = about("where it stands")
    height: Length | None = about("height of the water in it")
    volume: Annotated[Volume, Positive] = needed("usable litres")
    pump: Name | None = about("the pump in it; without one it feeds by gravity")
    low_level_cutoff: Annotated[Volume, Positive] | None = about(
        "litres left in it when a switch stops its pump"
    )
    fitting: Name | None = about('what the bulkhead in its wall takes: "3/4 in BSP G female"')


class Outfall(PlanTable):
    room: Name = needed("the room it is in")
    at: Point = needed("where it is")
    height: Length = needed("height of the point the drain must reach (invert); below the floor is negative")
    to: Name = about("sewer, garden, soakaway; trapped or not", "not said")
    capacity: Annotated[Flow, Positive] | None = about("the most it takes")
