"""What the plan says of circuits, boards and loads."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from tankwright.plan.fields import Name, about, needed
from tankwright.plan.quantities import (
    Charge,
    Current,
    Duration,
    Length,
    NotNegative,
    PlanTable,
    Point,
    Positive,
    Power,
    Share,
    Voltage,
    mistake,
)


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


class Battery(PlanTable):
    """The battery of a reserve, with its inverter."""

    capacity: Annotated[Charge, Positive] = needed("of one, as its label says", '"100 Ah"')
    count: int = Field(default=1, ge=1, le=1000, description="how many, side by side")
    at_hours: Annotated[Duration, Positive] | None = about("the time to empty its label's capacity is for")
    voltage: Annotated[Voltage, Positive] | None = about("of one")
    usable: Annotated[Share, Positive] | None = about("share of it you will take out")
    peukert: float | None = Field(
        default=None,
        ge=1,
        le=1.6,
        description="how much less it gives when emptied faster, Peukert's exponent",
    )
    inverter_efficiency: Annotated[Share, Positive] | None = about(
        "share of its power the inverter passes on"
    )
    inverter_idle: Annotated[Power, NotNegative] | None = about("what the inverter takes with nothing on it")


class Reserve(PlanTable):
    """What keeps loads running in a power cut."""

    battery: Battery | None = about("a battery with an inverter")
    generator: Annotated[Power, Positive] | None = about("what a generator gives for hours")
    by_itself: bool = about("takes over by itself; otherwise somebody has to start it", False)
    keeps: tuple[Name, ...] = about("boards or loads it keeps running", ())

    @model_validator(mode="after")
    def _something_to_run_on(self) -> Reserve:
        if self.battery is None and self.generator is None:
            raise mistake(
                "PLAN-024",
                "has neither a battery nor a generator",
                wanted="battery, or generator",
                attempt='{ generator = "2 kW" }',
            )
        return self


class Panel(PlanTable):
    """Where the circuits come from."""

    room: Name = needed("the room it is in")
    at: Point = needed("from the room's south-west corner")
    height: Annotated[Length, NotNegative] = needed("of its lower edge")


class PowerTable(PlanTable):
    voltage: Annotated[Voltage, Positive] | None = about("of the supply")
    continuous_share: Annotated[Share, Positive] | None = about("how much of a rating you load for hours")
    panel: Panel | None = about("where the circuits come from; cables are then measured from there")
    circuits: dict[str, Circuit] = about("and their protection", {})
    boards: tuple[Board, ...] = about("boards and what hangs on them", ())
    backup: Reserve | None = about("what keeps loads running in a power cut")
