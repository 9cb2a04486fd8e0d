"""Kinds of tank and rack in the plan, the racks that stand, and single tanks that are not as their kind."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from tankwright.plan.fields import Name, Size0, Wall, about, needed
from tankwright.plan.models_climate import TankHeater
from tankwright.plan.models_water import Wants
from tankwright.plan.quantities import (
    Angle,
    Area,
    Box,
    Density,
    Duration,
    Length,
    Mass,
    NotNegative,
    PlanTable,
    Point,
    Positive,
    SecondMoment,
    SectionModulus,
    Share,
    Stress,
    Volume,
)


class Glass(PlanTable):
    sides: Size0 | None = about("thickness of front, back and ends")
    base: Size0 | None = about("thickness of the base")
    temper: Literal["annealed", "toughened", "unknown"] = about("toughened glass is never drilled", "unknown")
    toughened_panes: tuple[Literal["front", "back", "left", "right", "base"], ...] = about("single ones", ())
    edges: Literal["polished", "seamed", "as cut"] | None = about("how the edges of its panes were worked")


class Brace(PlanTable):
    """Glass glued along or across the top of a tank, so that its long panes do not bow."""

    kind: Literal["cross", "euro"] = needed(
        "cross: strips from front to back; euro: strips along the rim, all round", '"cross"'
    )
    count: int = Field(default=1, ge=1, le=6, description="of cross strips, evenly spaced along the length")
    width: Size0 = needed("of a strip")
    thickness: Size0 | None = about("of a strip; the sides' thickness when not said")


class Hole(PlanTable):
    pane: Literal["back", "left", "right", "base"] = needed("the pane it is drilled in")
    diameter: Size0 | None = about("of the hole; measure your fitting")
    from_left: Size0 | None = about(
        "centre from the left outside edge, seen from the front (from the front, on an end)"
    )
    below_rim: Size0 | None = about("centre below the top edge, for a back or end pane")
    from_back: Size0 | None = about("centre from the back outside edge, for a base pane")
    flange: Size0 | None = about("outside diameter of the fitting's flange")
    fitting: Name | None = about('what the bulkhead takes on its dry side: "1/2 in BSP female", "13 mm barb"')
    drilled: Literal["here", "to order"] = about("by you, or by whoever sells the glass", "here")


class Overflow(PlanTable):
    kind: Literal["elbow", "standpipe"] = about("what sets the water level", "elbow")
    elbow_reach: Size0 | None = about("from the hole's centre to the middle of the elbow's mouth")
    angle: Angle | None = about("how far the elbow is turned from straight up")
    water_below_rim: Size0 | None = about("water level below the top edge; instead of an angle")
    bore: Size0 | None = about("inner diameter of the mouth")
    strainer_open: Annotated[Share, Positive] | None = about("open share of the strainer; 1 without one")


class SecondOverflow(PlanTable):
    """A second way out of a tank, for when the first is blocked."""

    bore: Size0 | None = about("inner diameter of its narrowest part")
    above_lip: Size0 | None = about("its lip above the water the first one holds")
    to: Literal["own hose", "drain", "floor"] = about(
        "a hose of its own to the outfall, a hose of its own into the same drain, or the floor", "drain"
    )


class Substrate(PlanTable):
    depth: Size0 = needed("depth of the bed")
    density: Annotated[Density, Positive] | None = about("of the wet bed, bulk")


class Hose(PlanTable):
    bore: Size0 | None = about("inner diameter of the hose or its barb, whichever is less")
    length: Size0 | None = about("from the bulkhead to the drain")


class TankKind(PlanTable):
    outside: Box = needed("outside length, depth (front to back) and height")
    glass: Glass | None = about("thickness of its panes")
    made: Literal["bought", "glued here"] = about("bought whole, or glued from ordered panes", "bought")
    top: Literal["open", "rim", "braced"] = about("open top edge, full rim, or cross brace", "open")
    brace: Brace | None = about("the glass that braces its top; needed to work a braced tank out")
    base_on: Literal["bed", "edges"] | None = about(
        "what carries its base: a flat bed with a mat, or its edges only"
    )
    lid: str | None = about("what covers it")
    hole: Hole | None = about("the drilled hole; none means not drilled")
    more_holes: tuple[Hole, ...] = about("further holes of the same tank, which set no level", ())
    overflow: Overflow | None = about("what stands in the hole")
    hose: Hose | None = about("its own overflow hose, if different from the drain's")
    second_overflow: SecondOverflow | None = about("a second way out, above the first")
    float_cutoff: Size0 | None = about(
        "a float shuts its feed when water stands this far above the lip; none when not said"
    )
    substrate: Substrate | None = about("gravel or sand")
    empty_mass: Annotated[Mass, Positive] | None = about("weighed empty")
    heater: TankHeater | None = about("the heater in each tank of this kind")
    filter_media: Annotated[Volume, Positive] | None = about("sponge or other media of its filter")
    air_outlets: int | None = Field(default=None, ge=0, le=20, description="taps for each tank of this kind")


class Timber(PlanTable):
    """What a rack of timber is built of. A section is written as it is bought: "45 mm x 95 mm C24", "2x4 SPF"."""

    uprights: Name | None = about('section and grade of the uprights, "45 mm x 95 mm C24"')
    bearers: Name | None = about("section and grade of what a shelf rests on")
    bearers_under: int | None = Field(
        default=None, ge=2, le=10, description="under each shelf, those in front and at the back counted in"
    )
    cross: Name | None = about("section of the pieces between front and back")
    cross_every: Size0 | None = about("clear distance of cross pieces at most")
    board: Name | None = about('of a shelf, "18 mm plywood"')
    brace: Name | None = about('across the back: a section for a diagonal, "9 mm plywood" for a board')
    service_class: Literal[1, 2, 3] | None = about(
        "how damp the timber gets: 1 heated and dry, 2 damp air, 3 wet; a fish room is 2 or 3"
    )
    bearers_rest: Literal["bracket", "notch", "block"] | None = about(
        "what carries a bearer's end: screws through a bracket, a notch in the upright, or a block under it"
    )


class Steel(PlanTable):
    """What a rack of steel tube is built of. A tube is written as it is bought: "40 mm x 40 mm x 2 mm S235"."""

    uprights: Name | None = about('tube and grade of the uprights, "40 mm x 40 mm x 2 mm S235"')
    bearers: Name | None = about("tube and grade of what a shelf rests on")
    bearers_under: int | None = Field(
        default=None, ge=2, le=10, description="under each shelf, those in front and at the back counted in"
    )
    board: Name | None = about('of a shelf, "18 mm plywood"')
    brace: Name | None = about("across the back: a tube or a flat bar for a diagonal")


class OwnSection(PlanTable):
    """A section the catalogue does not have, named where a rack says its uprights and bearers."""

    wide: Size0 = needed("its height as a bearer lies", '"70 mm"')
    thin: Size0 = needed("its other side", '"45 mm"')
    area: Annotated[Area, Positive] | None = about("of its section; wide times thin when not said")
    second_moment: Annotated[SecondMoment, Positive] | None = about("about the axis it bends on as a bearer")
    section_modulus: Annotated[SectionModulus, Positive] | None = about("about the same axis")
    grade: Name | None = about('a grade of the catalogue: "C24"; what is said below beats it')
    stiffness: Annotated[Stress, Positive] | None = about("its modulus of elasticity, mean")
    bending: Annotated[Stress, Positive] | None = about("characteristic bending strength")
    shear: Annotated[Stress, Positive] | None = about("characteristic shear strength")
    compression: Annotated[Stress, Positive] | None = about(
        "characteristic strength along it, in compression"
    )
    compression_across: Annotated[Stress, Positive] | None = about("and across its grain")
    source: Name | None = about("where its strengths are from")


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
    timber: Timber | None = about("what it is built of, if you build it of timber")
    steel: Steel | None = about("what it is built of, if you build it of steel tube")
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


class MeasuredSag(PlanTable):
    """How far a bearer has sagged, read with a straight edge along it; the worst in the middle of its span."""

    shelf: int = Field(ge=1, le=99, description="which shelf, 1 is the lowest")
    bearer: Literal["front", "middle", "back"] = about("which bearer of it", "front")
    sag: Annotated[Length, NotNegative] = needed("in the middle", '{ value = "3 mm", measured = 2026-11-20 }')
    carries: Annotated[Mass, Positive] | None = about(
        "on the shelf that day; the plan's own weight when not said"
    )
    days: Annotated[Duration, NotNegative] | None = about("how long it had carried that")


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
    sag: tuple[MeasuredSag, ...] = about("what a straight edge showed", ())


class TankOverflow(PlanTable):
    """What is otherwise at one tank's overflow; whether it is an elbow or a standpipe its kind says."""

    elbow_reach: Size0 | None = about("from the hole's centre to the middle of the elbow's mouth")
    angle: Angle | None = about("how far its elbow is turned from straight up; beats its kind's level")
    water_below_rim: Size0 | None = about("water level below the top edge; beats its kind's angle")
    bore: Size0 | None = about("inner diameter of the mouth")
    strainer_open: Annotated[Share, Positive] | None = about("open share of the strainer; 1 without one")


class TankException(PlanTable):
    """One tank, named as on its shelf, where it is not as its kind: what is said here is taken for it alone."""

    state: Literal["stands", "ordered", "wished"] | None = about("how real it is, instead of its row's")
    lid: str | None = about("what covers it, instead of its kind's")
    overflow: TankOverflow | None = about("what is otherwise at its overflow; the rest is as its kind says")
    hose: Hose | None = about("its overflow hose, instead of its kind's or the drain's")
    second_overflow: SecondOverflow | None = about("its second way out, instead of its kind's")
    float_cutoff: Size0 | None = about("a float shuts its feed this far above the lip, instead of its kind's")
    heater: TankHeater | None = about("its heater, instead of its kind's")
    filter_media: Annotated[Volume, Positive] | None = about("media of its filter, instead of its kind's")
    air_opening: Share | None = about("how far its air tap is open, as a share of the open area; 0 is shut")
    note: str | None = about("what to remember of it")


class Zone(PlanTable):
    quarantine: bool = about("nothing may be shared with other zones", False)
    wants: Wants | None = about("the water its tanks are meant to have")
    note: str | None = about("what it is for")
