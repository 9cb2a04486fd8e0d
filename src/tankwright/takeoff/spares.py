"""What is bought beyond what is counted, and why: a share of small parts, one of what fails on a Sunday, wastage.

Pieces cut from lengths and sheets get none: what a saw and a shop's lengths take is found by cutting them. What the
keepers of fish rooms say fails when no shop is open: gaskets of bulkheads, diaphragms of pumps, drippers, valves, a
residual current device, carbon. Source: common practice, no source.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from tankwright.origin import Known
from tankwright.plan.models import Plan
from tankwright.room.assumed import assumed
from tankwright.room.model import Room
from tankwright.takeoff.counted import Counted
from tankwright.takeoff.model import Article, Kind, Need, Spare

SMALL: Final[frozenset[Kind]] = frozenset(
    {"fitting", "bulkhead", "tap", "clip", "diffuser", "dripper", "filter", "valve", "screw"}
)
"""Kinds of small part that are lost, split or wrong."""

SUNDAY: Final[dict[Kind, str]] = {
    "bulkhead": "a bulkhead that weeps after it is drilled stops that tank",
    "dripper": "a dripper that clogs is changed, not cleaned",
    "valve": "a valve that sticks is found by the water on the floor",
    "filter": "a cartridge is spent before the shop opens",
    "diffuser": "a diffuser that clogs leaves its tank without air",
    "tap": "a tap whose needle breaks leaves its tank without air",
}
RESIDUAL: Final = "residual current device"
RESIDUAL_REASON: Final = "one that trips for good leaves its circuit dark; an electrician changes it"
KEPT: Final = "kept to be put in the same hour"


@dataclass(slots=True)
class _Sum:
    """What is to be bought of one article."""

    count: int = 0
    length: float = 0.0
    area: float = 0.0
    volume: float = 0.0

    def add(self, need: Need) -> None:
        self.count += need.count
        self.length += need.count * (need.length or 0.0)
        self.area += need.count * (need.area or 0.0)
        self.volume += need.count * (need.volume or 0.0)


def spares_of(counted: Counted, plan: Plan, room: Room) -> tuple[Spare, ...]:
    """Spares and wastage of all that is counted; an article nobody needs is there to be kept as one."""
    said = plan.buy
    small = (said.spares if said else None) or assumed(room, "buy.spares")
    waste = (said.wastage if said else None) or assumed(room, "buy.wastage")
    sums: dict[str, _Sum] = {}
    needed = {need.article for need in counted.needs}
    for need in counted.needs:
        if need.state == "to buy":
            sums.setdefault(need.article, _Sum()).add(need)
    found: list[Spare] = []
    for article in counted.articles:
        total = sums.get(article.key)
        if total is not None:
            spare = _spare(article, total, small, waste)
        else:
            kept = article.sold_by == "piece" and article.key not in needed
            spare = Spare(article=article.key, count=1, reason=KEPT) if kept else None
        if spare is not None:
            found.append(spare)
    return tuple(found)


def _spare(article: Article, total: _Sum, small: Known, waste: Known) -> Spare | None:
    reason = f"cut ends and ways longer than drawn{_of(waste)}"
    if article.sold_by == "metre":
        return _more(article, total.length * waste.value, "length", reason)
    if article.sold_by == "area":
        return _more(article, total.area * waste.value, "area", reason)
    if article.sold_by == "volume":
        left = f"what stays in the tin and on the brush{_of(waste)}"
        return _more(article, total.volume * waste.value, "volume", left) if article.kind == "glue" else None
    if article.sold_by != "piece":
        return None
    if RESIDUAL in article.key:
        return Spare(article=article.key, count=1, reason=RESIDUAL_REASON)
    if article.kind not in SMALL:
        return None
    share = math.ceil(total.count * small.value - 1e-9)
    why = SUNDAY.get(article.kind)
    if why is not None and share <= 1:
        return Spare(article=article.key, count=1, reason=f"at least one: {why}")
    return (
        Spare(article=article.key, count=share, reason=f"lost, split or wrong{_of(small)}") if share else None
    )


def _more(article: Article, amount: float, what: str, reason: str) -> Spare | None:
    if amount <= 0.0:
        return None
    return Spare(
        article=article.key, count=1, reason=reason,
        length=amount if what == "length" else None,
        area=amount if what == "area" else None,
        volume=amount if what == "volume" else None,
    )  # fmt: skip


def _of(share: Known) -> str:
    return ", an assumed share" if share.is_assumed else ", the share of [buy]"
