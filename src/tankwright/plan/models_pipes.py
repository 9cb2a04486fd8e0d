"""What the plan says of drains, feeds and air."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import AliasChoices, Field

from tankwright.plan.fields import ClockTime, Name, Size0, about, needed
from tankwright.plan.models_tanks import Hose
from tankwright.plan.quantities import (
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
    Slope,
    Volume,
)

# --- drain ---------------------------------------------------------------------------------------------------


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


# --- feed ----------------------------------------------------------------------------------------------------


class Filter(PlanTable):
    name: Name = needed("what it is")
    loss: Annotated[Pressure, NotNegative] | None = about("pressure it takes at the flow below")
    at_flow: Annotated[Flow, Positive] | None = about("the flow that loss was stated for")
    carbon: bool = about("takes chlorine out", False)
    takes: Annotated[Mass, Positive] | None = about(
        "chlorine a new carbon filling takes up before it is spent"
    )
    fitting: Name | None = about('what it has at both ends: "3/4 in BSP G female"')


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
    air_gap: Annotated[Length, NotNegative] | None = about("distance of the outlet's end from the rim")
    check_valve: bool = about("keeps water from running back", False)
    limit: Annotated[Flow, Positive] | None = about("a flow limiter before the manifold lets no more through")
    shuts_after: Annotated[Duration, Positive] | None = about(
        "a valve that shuts by itself after running so long at a stretch"
    )
    shuts_after_volume: Annotated[Volume, Positive] | None = about(
        "a valve that shuts by itself after so much water at a stretch"
    )
    off_without_power: bool | None = about("its valve shuts when its power goes; yes when not said")
    shuts_on_floor_water: bool = about("a leak sensor shuts it when water stands on the floor", False)
    program: tuple[Program, ...] = about("when it runs", ())
    zones: tuple[Name, ...] = about("zones it feeds; all when not said", ())
    racks: tuple[Name, ...] = about("racks it feeds; all when not said", ())
    tanks: str | None = about('tanks it feeds, "A1..A4"; all when not said')
    fitting: Name | None = about('what stands in its line has at both ends: "3/4 in BSP G female"')


# --- air -----------------------------------------------------------------------------------------------------


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
    fitting: Name | None = about('what its port is: "3/4 in BSP G female", "18 mm barb"')


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
