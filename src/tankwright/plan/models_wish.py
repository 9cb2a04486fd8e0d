"""What the room should hold, for the search that proposes how: `[wish]` of the plan."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from tankwright.plan.fields import Name, Size0, about, needed
from tankwright.plan.quantities import PlanTable, Positive, Volume


class WishedTanks(PlanTable):
    kind: Name = needed("a tank kind")
    at_least: int = Field(default=0, ge=0, le=2000, description="of them")
    at_most: int | None = Field(default=None, ge=0, le=2000, description="of them")


class Wish(PlanTable):
    """What a proposal must hold at least, and what makes one better than another."""

    room: Name | None = about("the room to fill; the first when not said")
    tanks: tuple[WishedTanks, ...] = about("kinds of tank, and how many at least; none means any kind", ())
    litres: Annotated[Volume, Positive] | None = about("of water at least, all together")
    racks: tuple[Name, ...] = about("kinds of rack that may be used; none means any", ())
    keep: tuple[Name, ...] = about("racks that stay as they stand, with their tanks", ())
    islands: bool = about("racks may stand free in the room", False)
    best: Literal["tanks", "litres", "cost", "walking"] = about(
        "what is sought: most, most, least, least", "tanks"
    )
    aisle: Size0 | None = about("clear way before every rack, instead of the room's own")
