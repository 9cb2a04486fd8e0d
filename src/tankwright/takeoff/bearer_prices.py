"""What section for a rack's bearers costs least, of those the plan prices and the screening of racks passes.

One rack by itself: in the cut of a whole order an offcut may serve another, and the order is then cheaper than this.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import pairwise

from tankwright.plan.models import Plan, Sold
from tankwright.room.assumed import assumed
from tankwright.room.model import RackPlace, Room
from tankwright.systems.racks_sections import SectionTried, sections_that_hold
from tankwright.units import Kilogram, Metre


@dataclass(frozen=True, slots=True, kw_only=True)
class PricedSection:
    """A section that is sold, as the bearers of one rack: `cost` is of their pieces, cut from the length that comes
    cheapest, in the currency of [buy]; `each` is of one piece, which is `piece` long.
    """

    article: str
    tried: SectionTried
    pieces: int
    piece: Metre
    each: float
    cost: float


def priced_bearers(
    plan: Plan, room: Room, rack: RackPlace, masses: Mapping[str, Kilogram]
) -> tuple[PricedSection, ...]:
    """Every section with a price under [buy] tried in the place of a rack's bearers, those that the screening passes
    first, and of them the cheapest. Empty where nothing is priced, or the rack is not built here.

    Source: the plan's prices; common practice, no source, for how pieces are cut from a length.
    """
    built = rack.built
    if built is None or plan.buy is None:
        return ()
    clear = [after[0] - before[1] for before, after in pairwise(rack.uprights) if after[0] > before[1]]
    if not clear:
        return ()
    count = built.bearers_under * len(rack.shelves) * len(clear)
    found = []
    for sold in plan.buy.sold:
        each = _cheapest_piece(plan, room, sold, max(clear))
        tried = sections_that_hold(room, rack, masses, (_bare(sold.of),)) if each is not None else ()
        if each is not None and tried:
            found.append(
                PricedSection(
                    article=sold.of,
                    tried=tried[0],
                    pieces=count,
                    piece=max(clear),
                    each=each,
                    cost=each * count,
                )
            )
    return tuple(sorted(found, key=lambda one: (not one.tried.holds, one.cost, one.article)))


def _bare(article: str) -> str:
    return article.removeprefix("timber ").removeprefix("steel tube ")


def _cheapest_piece(plan: Plan, room: Room, sold: Sold, piece: Metre) -> float | None:
    """Of the lengths it is sold in, the least that one piece costs; None where none is long enough or priced."""
    return min(_pieces(plan, room, sold, piece), default=None)


def _pieces(plan: Plan, room: Room, sold: Sold, piece: Metre) -> Iterator[float]:
    buy = plan.buy
    kerf = ((buy.kerf if buy else None) or assumed(room, "buy.kerf")).value
    trim = ((buy.trim if buy else None) or assumed(room, "buy.trim")).value
    if not sold.of.startswith(("timber ", "steel tube ")):
        return
    for one in sold.lengths:
        whole = math.floor((one.length.value - trim + kerf) / (piece + kerf) + 1e-9)
        if one.price is not None and whole > 0:
            yield one.price / whole
