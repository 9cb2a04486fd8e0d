"""What is bought for a room and how its lengths and sheets are cut. Frozen."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from tankwright.finding import Finding
from tankwright.takeoff.cutting_model import CutPlan
from tankwright.takeoff.model import Kind, SoldBy, Takeoff
from tankwright.takeoff.offers import Form, Offer, Wanted
from tankwright.takeoff.sheet_model import SheetPlan
from tankwright.units import Metre

OWN_PRICE: Final = "price in the plan"
"""The shop of what [[buy.sold]] prices."""

UNITS: Final[Mapping[SoldBy, str]] = {"metre": "m", "length": "m", "area": "m2", "volume": "L"}
"""In what an article is counted that is not sold in pieces."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CutArticle:
    """How one article is cut from the lengths it is sold in. `assumed`: nobody said in which lengths."""

    article: str
    plan: CutPlan
    assumed: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetArticle:
    """How one article is cut from the sheets it is sold in."""

    article: str
    plan: SheetPlan
    assumed: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One row of the shopping list.

    `article` and, of what is sold in lengths or sheets, its `length` or `size`. `needed` is what the room takes, in
    pieces, sticks, sheets, metres or litres as `unit` says; `spare` is on top of it, `on_hand` is not bought. `buy`
    is in packs of `pack`. `price` is that of a pack, `cost` of all of them; None where nobody said.
    """

    article: str
    kind: Kind
    unit: str
    needed: float
    spare: float
    on_hand: float
    pack: float
    buy: int
    price: float | None
    length: Metre | None = None
    size: tuple[Metre, Metre] | None = None

    @property
    def cost(self) -> float | None:
        """Of all packs."""
        return None if self.price is None else self.price * self.buy

    @property
    def form(self) -> Form:
        """How it is counted in a shop."""
        if self.length is not None or self.size is not None:
            return Form(length=self.length, size=self.size)
        return Form(unit=self.unit if self.unit in UNITS.values() else "")

    @property
    def wanted(self) -> Wanted:
        """What is asked of the shops."""
        return Wanted(
            article=self.article, count=self.needed + self.spare, form=self.form, on_hand=self.on_hand
        )

    @property
    def offer(self) -> Offer | None:
        """The price the plan itself says, as one more shop."""
        if self.price is None:
            return None
        return Offer(
            article=self.article,
            shop=OWN_PRICE,
            price=Decimal(str(self.price)),
            pack=self.pack,
            form=self.form,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Purchase:
    """All that is bought, and how lengths and sheets are cut. `cost` is of the rows that have a price."""

    takeoff: Takeoff
    cuts: tuple[CutArticle, ...]
    sheets: tuple[SheetArticle, ...]
    rows: tuple[Row, ...]
    currency: str
    findings: tuple[Finding, ...]

    @property
    def cost(self) -> float:
        """Of all that has a price."""
        return math.fsum(row.cost for row in self.rows if row.cost is not None)

    @property
    def unpriced(self) -> tuple[str, ...]:
        """Articles to buy that nobody has given a price."""
        return tuple(dict.fromkeys(row.article for row in self.rows if row.buy and row.price is None))
