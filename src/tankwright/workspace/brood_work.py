"""The life of one brood out of the logbook: parents, spawn, numbers at 30 and 60 days, survival, growth, its kin."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING, Final

from tankwright.husbandry.between_broods import AcrossBroods, BroodShare, ratio_estimate
from tankwright.husbandry.brood_counts import HatchShare, NumberAt, hatch_share, numbers_at
from tankwright.husbandry.brood_course import DAY, Bounded, BroodCourse, brood_course, survival
from tankwright.husbandry.fry_broods import HATCHES_WITHIN, origin_of, spawn_of
from tankwright.husbandry.growth import GrowthFit, Sized, daily_gain, growth_fit, sizes_of
from tankwright.husbandry.records import Event, Kind
from tankwright.husbandry.register import Stock
from tankwright.husbandry.spawning import set_of
from tankwright.workspace.fry_work import FRY_KINDS

if TYPE_CHECKING:
    from tankwright.logbook.store import Logbook

_KINDS: Final[tuple[Kind, ...]] = (*FRY_KINDS, "noted")
_SPAWNED: Final[tuple[Kind, ...]] = ("spawned",)
MOST_KIN: Final = 60
"""Broods of the same line that are looked at beside one, the newest."""
REPORTED: Final = 30.0
"""Days of age at which broods of a line are compared."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BroodLife:
    """All that is known of a brood's life. `parents` are labels; `photos` names of pictures kept beside the book.

    `kin` is the share alive at 30 days over the broods of its line, the brood as the unit; None where fewer than one
    was counted so long.
    """

    stock: Stock
    line: str
    species: str
    now: datetime
    origin: datetime
    parents: tuple[str, ...]
    spawn: Event | None
    hatched: HatchShare | None
    course: BroodCourse
    table: tuple[Bounded, ...]
    numbers: tuple[NumberAt, ...]
    sizes: tuple[Sized, ...]
    fit: GrowthFit | str
    gain: float | None
    photos: tuple[str, ...] = ()
    kin: AcrossBroods | None = None

    @property
    def born(self) -> date:
        """The day it was born."""
        return self.stock.born or self.origin.date()

    @property
    def age(self) -> float:
        """Days of age now."""
        return (self.now - self.origin).total_seconds() / DAY


def brood_life(book: Logbook, stock: Stock, now: datetime, *, kin: bool = True) -> BroodLife | None:
    """The life of a brood as far as it was seen; None for a stock that is none, or of which no fish was seen."""
    if stock.kind != "brood":
        return None
    events = brood_events(book, stock)
    origin = origin_of(stock, events)
    course = brood_course(events, stock.id, origin=origin) if origin is not None else None
    if origin is None or course is None:
        return None
    sets = {one.id: one for one in book.sets()}
    ways = [sets[share.breeding_set] for share in stock.origin if share.breeding_set in sets]
    members = tuple(dict.fromkeys(member.stock for one in ways for member in one.members))
    parents = tuple(parent.label for name in members if (parent := book.stock(name)) is not None)
    spawns = [
        event
        for event in book.events(
            kinds=_SPAWNED,
            since=origin - timedelta(days=HATCHES_WITHIN),
            until=origin + timedelta(days=1),
        )
        if set_of(event) in {one.id for one in ways}
    ]
    spawn = spawn_of(origin, spawns)
    born = next((one for one in events if one.kind == "born"), None)
    sizes = sizes_of(events, stock.id, origin)
    line = book.line(stock.line) if stock.line else None
    return BroodLife(
        stock=stock, line=line.name if line is not None else "", species=line.species if line is not None else "",
        now=now, origin=origin, parents=parents, spawn=spawn,
        hatched=hatch_share(spawn, born) if spawn is not None and born is not None else None, course=course,
        table=survival(course), numbers=numbers_at(events, stock.id, origin=origin, until=now), sizes=sizes,
        fit=growth_fit(sizes), gain=daily_gain(sizes), photos=_photos(events),
        kin=line_survival(book, stock.line) if kin and stock.line else None,
    )  # fmt: skip


def brood_events(book: Logbook, stock: Stock) -> tuple[Event, ...]:
    """What happened to a brood, with the splits and merges that are told of other stocks."""
    own = book.events(stock=stock.id, kinds=_KINDS)
    known = {one.id for one in own}
    moved = {one.event for one in book.moved(stock=stock.id) if not one.derived} - known
    others = [one for name in sorted(moved) if (one := book.event(name)) is not None]
    return tuple(sorted((*own, *others), key=lambda one: (one.happened, one.recorded, one.id)))


def _photos(events: Sequence[Event]) -> tuple[str, ...]:
    told = (event.details.get("photo") for event in events)
    return tuple(one for one in told if isinstance(one, str) and one)


def line_survival(book: Logbook, line: str) -> AcrossBroods | None:
    """How many of a line's broods are alive at 30 days, halfway between both ends of what nobody saw; None for none
    that was counted so long."""
    broods = [one for one in book.stocks(line=line, closed=True) if one.kind == "brood"]
    shares = []
    for one in sorted(broods, key=lambda one: one.opened)[-MOST_KIN:]:
        events = brood_events(book, one)
        origin = origin_of(one, events)
        course = brood_course(events, one.id, origin=origin) if origin is not None else None
        table = survival(course) if course is not None else ()
        if course is None or not table or table[-1].day < REPORTED:
            continue
        at = next((row for row in reversed(table) if row.day <= REPORTED), None)
        of = sum(course.start) / 2.0
        if at is not None and of > 0.0:
            shares.append(BroodShare(alive=of * (at.worst.share + at.best.share) / 2.0, of=of))
    return ratio_estimate(shares) if shares else None
