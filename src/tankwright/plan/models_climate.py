"""What the plan says of warmth and damp: the shell of a room, its set points and machines, weather and tariffs."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from tankwright.plan.fields import Name, Size0, about, needed
from tankwright.plan.quantities import (
    AirChange,
    AirTemperature,
    Flow,
    Length,
    NotNegative,
    PlanTable,
    Positive,
    Power,
    Share,
    TemperatureDifference,
    ThermalConductivity,
    ThermalTransmittance,
    WaterTemperature,
    mistake,
)

Beyond = Literal["outside", "ground", "indoors"]


class Layer(PlanTable):
    """One layer of a wall, roof or floor."""

    material: Name = needed("a material of the table, or your own name for it")
    thickness: Size0 = needed("of the layer", '"12 cm"')
    conductivity: Annotated[ThermalConductivity, Positive] | None = about(
        "for a material the table does not have"
    )


class ShellPart(PlanTable):
    """A wall, the roof or the floor of a room: what is beyond it, and its layers or its heat transmittance."""

    to: Beyond | None = about("what is beyond it; walls and roof: outside, floor: ground, when not said")
    layers: tuple[Layer, ...] = about("from the inside outwards", ())
    transmittance: Annotated[ThermalTransmittance, Positive] | None = about("instead of layers: its U-value")

    @model_validator(mode="after")
    def _one_of_both(self) -> ShellPart:
        if self.layers and self.transmittance is not None:
            raise mistake(
                "PLAN-024",
                "says its layers and its transmittance: which of the two?",
                keys=("layers", "transmittance"),
                wanted="layers, or transmittance",
            )
        return self


class Shell(PlanTable):
    """What a room loses its warmth through. A part that is not said is assumed, and told so."""

    walls: ShellPart | None = about("every wall that is not named below")
    north: ShellPart | None = about("the north wall, if it differs")
    south: ShellPart | None = about("the south wall, if it differs")
    east: ShellPart | None = about("the east wall, if it differs")
    west: ShellPart | None = about("the west wall, if it differs")
    roof: ShellPart | None = about("the ceiling or roof")
    floor: ShellPart | None = about("the floor")
    air_change: Annotated[AirChange, NotNegative] | None = about(
        "air that leaks in, volumes of the room an hour"
    )


class Heater(PlanTable):
    """A heater of a room, held by a thermostat."""

    power: Annotated[Power, Positive] = needed("of one", '"1500 W"')
    count: int = Field(default=1, ge=1, le=100, description="how many")


class Cooler(PlanTable):
    """An air conditioner or heat pump that cools."""

    cooling: Annotated[Power, Positive] = needed("heat it takes out at its rating")
    per_power: float | None = Field(
        default=None, gt=0.3, lt=12, description="heat moved for each unit of power"
    )


class Ventilation(PlanTable):
    """A fan that changes the air of a room."""

    flow: Annotated[Flow, Positive] = needed("air it moves", '"60 m3/h"')
    recovery: Share | None = about("share of the warmth of the outgoing air it gives back")
    hours: float = Field(default=24.0, gt=0, le=24, description="hours a day")


class Dehumidifier(PlanTable):
    """A machine that dries a room's air."""

    removes: Annotated[Flow, Positive] = needed(
        "water it takes out at its rating, such as 12 L/day", '"12 L/day"'
    )
    holds: Share | None = about("relative humidity it holds")
    power: Annotated[Power, Positive] | None = about("it takes while it runs")


class RoomClimate(PlanTable):
    """How one room is kept."""

    heat_to: AirTemperature | None = about("air temperature the room is heated to")
    cool_to: AirTemperature | None = about("air temperature the room is cooled to")
    night_lower: Annotated[TemperatureDifference, NotNegative] | None = about(
        "how much lower at night, 22 to 6 h"
    )
    heater: Heater | None = about("what heats the room's air")
    cooler: Cooler | None = about("what cools the room's air")
    ventilation: Ventilation | None = about("a fan that changes the air")
    dehumidifier: Dehumidifier | None = about("what dries the air")
    indoors: AirTemperature | None = about("temperature beyond walls to the rest of the house")
    top_up: Annotated[Flow, Positive] | None = about(
        "water topped up with the drip off, such as 2.5 L/day: evaporation is then held to it"
    )
    hours_with_people: float | None = Field(default=None, ge=0, le=24, description="person-hours a day")

    @model_validator(mode="after")
    def _heat_below_cool(self) -> RoomClimate:
        if self.heat_to is not None and self.cool_to is not None and self.heat_to.value > self.cool_to.value:
            raise mistake(
                "PLAN-024",
                "is heated to more than it is cooled to: heater and cooler would work against each other",
                keys=("heat_to", "cool_to"),
                wanted="heat_to at or below cool_to",
            )
        return self


class Climate(PlanTable):
    """Weather, tariffs, and how each room is kept."""

    weather: Name | None = about("a weather file beside the plan (EPW or TMY3), or a shipped year")
    currency: Name | None = about('what prices are in, "EUR"')
    energy_price: float | None = Field(default=None, ge=0, le=1000, description="for a kWh")
    water_price: float | None = Field(
        default=None, ge=0, le=10000, description="for a cubic metre, waste included"
    )
    room: dict[str, RoomClimate] = about("rooms by name", {})


class TankHeater(PlanTable):
    """The heater in a tank."""

    power: Annotated[Power, Positive] = needed("of one", '"50 W"')
    count: int = Field(default=1, ge=1, le=10, description="how many")
    holds: WaterTemperature | None = about("what its thermostat is set to")
    top_above_base: Annotated[Length, Positive] | None = about(
        "its upper end above the inside of the base: lower water lays it bare"
    )
    cuts_out_at: WaterTemperature | None = about("a second thermostat of its own cuts it out there")
