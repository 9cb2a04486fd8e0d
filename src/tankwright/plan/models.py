"""The plan: what the owner wrote, checked key by key, in SI units, not yet laid out.

One class is one table of the plan. Positions are measured from the south-west inner corner of a room: x towards the
east, y towards the north, heights from the floor. What a key means stands in its description; the help and the
reference page are made from these. Values the owner leaves out are None here and are assumed when the room is laid
out (`catalogue.assumptions`), so the plan holds only what was said.
"""

from __future__ import annotations

from typing import Any, Literal

from pydantic import field_validator

from tankwright.plan.fields import Name, OwnAssumption, about
from tankwright.plan.models_alarms import Alarm
from tankwright.plan.models_build import Build, Buy, Delivery, Sold, SoldLength, SoldSheet
from tankwright.plan.models_climate import (
    Climate,
    Cooler,
    Dehumidifier,
    Heater,
    Layer,
    RoomClimate,
    Shell,
    ShellPart,
    TankHeater,
    Ventilation,
)
from tankwright.plan.models_pipes import (
    Adapter,
    Air,
    AirBranch,
    AirTap,
    Diffuser,
    Drain,
    DumpEvent,
    Feed,
    FeedOutlet,
    Filter,
    Program,
    Pump,
    PumpLimits,
)
from tankwright.plan.models_power import Battery, Board, Circuit, Load, Panel, PowerTable, Reserve
from tankwright.plan.models_room import (
    Beam,
    CeilingSlope,
    Door,
    Joists,
    Obstacle,
    Outfall,
    People,
    RoomSize,
    RoomTable,
    Vat,
    Void,
    WaterPoint,
    Window,
)
from tankwright.plan.models_tanks import (
    Brace,
    Glass,
    Hole,
    Hose,
    MeasuredSag,
    Overflow,
    OwnSection,
    Rack,
    RackKind,
    SecondOverflow,
    Standing,
    Steel,
    Substrate,
    TankException,
    TankKind,
    TankOverflow,
    Timber,
    Zone,
)
from tankwright.plan.models_water import OwnSpecies, Stock, Wants, Water
from tankwright.plan.models_wish import Wish, WishedTanks
from tankwright.plan.quantities import PlanTable

__all__ = [  # noqa: RUF022 - the order of the reference page
    "Plan",
    "People",
    "RoomSize",
    "Door",
    "Window",
    "Obstacle",
    "Beam",
    "CeilingSlope",
    "Layer",
    "ShellPart",
    "Shell",
    "Joists",
    "Void",
    "RoomTable",
    "WaterPoint",
    "Vat",
    "Outfall",
    "Glass",
    "Brace",
    "Hole",
    "Overflow",
    "SecondOverflow",
    "Substrate",
    "Hose",
    "TankHeater",
    "TankKind",
    "Timber",
    "Steel",
    "OwnSection",
    "RackKind",
    "Standing",
    "MeasuredSag",
    "Rack",
    "TankOverflow",
    "TankException",
    "Wants",
    "Zone",
    "DumpEvent",
    "Drain",
    "Filter",
    "FeedOutlet",
    "Program",
    "Feed",
    "PumpLimits",
    "Pump",
    "Diffuser",
    "Adapter",
    "AirTap",
    "AirBranch",
    "Air",
    "Circuit",
    "Load",
    "Board",
    "Battery",
    "Reserve",
    "Panel",
    "PowerTable",
    "Alarm",
    "Water",
    "Stock",
    "OwnSpecies",
    "Heater",
    "Cooler",
    "Ventilation",
    "Dehumidifier",
    "RoomClimate",
    "Climate",
    "SoldLength",
    "SoldSheet",
    "Sold",
    "Buy",
    "Delivery",
    "Build",
    "WishedTanks",
    "Wish",
]


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
    section: dict[str, OwnSection] = about("your own sections of timber or steel, by name", {})
    rack: tuple[Rack, ...] = about("racks", ())
    tank: dict[str, TankException] = about("single tanks that are not as their kind, by their id", {})
    zone: dict[str, Zone] = about("zones by name", {})
    drain: dict[str, Drain] = about("drain runs", {})
    feed: dict[str, Feed] = about("feeds", {})
    pump: dict[str, Pump] = about("pumps", {})
    air: dict[str, Air] = about("air rings", {})
    power: PowerTable | None = about("circuits, boards and loads")
    alarm: tuple[Alarm, ...] = about("what calls when nobody looks", ())
    water: dict[str, Water] = about("waters one has, by name", {})
    stock: tuple[Stock, ...] = about("what tanks are meant to hold", ())
    species: dict[str, OwnSpecies] = about("your own facts about species, by scientific name", {})
    climate: Climate | None = about("weather, tariffs, and how each room is kept")
    buy: Buy | None = about("how the parts are bought: saw, spares, stock, price lists")
    build: Build | None = about("who builds it, and when")
    wish: Wish | None = about("what the room should hold, for proposals of how")
    assume: dict[str, OwnAssumption] = about(
        "your own value for an assumption, by its key; a measured one with its date and its error,"
        ' `{ value = "2.1 mm", measured = 2026-11-28, plus_minus = "0.1 mm" }`',
        {},
    )

    @field_validator("assume", mode="before")
    @classmethod
    def _dotted(cls, raw: Any) -> Any:
        """`air.tap_bore = "1.5 mm"` under [assume] is a table in a table to TOML, and one key to its owner."""
        if not isinstance(raw, dict):
            return raw
        flat: dict[str, Any] = {}
        for key, value in raw.items():
            if isinstance(value, dict) and not {"value", "measured"} & value.keys():
                flat.update({f"{key}.{below}": deeper for below, deeper in cls._dotted(value).items()})
            else:
                flat[key] = value
        return flat
