"""What the plan says of buying and building: how things are sold, what is on hand, who builds when."""

from __future__ import annotations

from datetime import date
from typing import Annotated

from pydantic import Field

from tankwright.plan.fields import Name, Size0, about, needed
from tankwright.plan.quantities import (
    AirTemperature,
    Duration,
    Length,
    Mass,
    NotNegative,
    PlanTable,
    Positive,
    Share,
    Size,
)


class SoldLength(PlanTable):
    """One length in which a pipe, timber or tube is sold."""

    length: Size0 = needed("as it is sold")
    price: float | None = Field(default=None, ge=0, description="of one, in the currency of [buy]")


class SoldSheet(PlanTable):
    """One size in which a board, foam or glass is sold."""

    size: Size = needed("length and width as it is sold")
    price: float | None = Field(default=None, ge=0, description="of one, in the currency of [buy]")


class Sold(PlanTable):
    """How one article is sold, and what of it is on hand."""

    of: Name = needed("the article, as the parts list names it", '"pipe 50 mm ISO PN6"')
    lengths: tuple[SoldLength, ...] = about("lengths it is sold in", ())
    sheets: tuple[SoldSheet, ...] = about("sheets it is sold in", ())
    pack: int | None = Field(default=None, ge=1, le=100_000, description="pieces in a pack")
    price: float | None = Field(default=None, ge=0, description="of one pack, or of one piece")
    offcuts: tuple[Size0, ...] = about("lengths of it on hand", ())
    sheet_offcuts: tuple[Size, ...] = about("pieces of sheets of it on hand, each length and width", ())
    have: int | None = Field(default=None, ge=0, le=100_000, description="pieces of it on hand")


class Buy(PlanTable):
    """How the parts are bought."""

    currency: Name | None = about("of the prices; that of [climate] when not said")
    prices: tuple[Name, ...] = about("price lists of shops (CSV), beside the plan", ())
    fittings: tuple[Name, ...] = about("fittings a shop has beyond the open table (CSV), beside the plan", ())
    kerf: Annotated[Length, NotNegative] | None = about("width of the saw's cut")
    trim: Annotated[Length, NotNegative] | None = about("cut off a new length before its first piece")
    spares: Share | None = about("of small parts, bought beyond what is counted")
    wastage: Share | None = about("of hose, tube and cable, beyond what is measured")
    sold: tuple[Sold, ...] = about("how single articles are sold, and what is on hand", ())


class Delivery(PlanTable):
    """How long something takes to come."""

    what: Name = needed("a kind of part: tank, glass, timber, pipe, or an article by name")
    takes: Annotated[Duration, Positive] = needed("from the order to the door")


class Build(PlanTable):
    """Who builds, when, and in what weather."""

    begin: date | None = about("the first day")
    evening: Annotated[Duration, NotNegative] | None = about("working time on a weekday evening")
    weekend: Annotated[Duration, NotNegative] | None = about("working time on a Saturday or a Sunday")
    not_on: tuple[date, ...] = about("days without work", ())
    hands: int | None = Field(default=None, ge=1, le=20, description="people who build")
    one_lifts: Annotated[Mass, Positive] | None = about("what one person lifts")
    temperature: AirTemperature | None = about("in the room while things are glued")
    humidity: Share | None = about("relative humidity while things are glued")
    deliveries: tuple[Delivery, ...] = about("how long what is ordered takes to come", ())
