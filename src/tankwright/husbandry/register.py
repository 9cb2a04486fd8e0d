"""What the logbook knows of: places, lines, stocks, breeding sets, tasks. All of it follows from events."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Literal

PlaceKind = Literal["tank", "rack", "vat", "outside"]
StockKind = Literal["individual", "pair", "group", "brood"]
Sex = Literal["male", "female", ""]


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Somewhere fish or water can be. Its id stays when its label changes; a label may be used again once closed.

    `order` is its place in walking order; `litres` its water, None when nobody knows.
    """

    id: str
    label: str
    kind: PlaceKind
    opened: datetime
    closed: datetime | None = None
    rack: str = ""
    shelf: int | None = None
    zone: str = ""
    litres: float | None = None
    order: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A strain that is kept apart. `may_mix` are ids of lines it may knowingly be mixed with; `most_inbreeding` is
    how much may be added a generation, None for the usual limit."""

    id: str
    name: str
    species: str
    opened: datetime
    source: str = ""
    locality: str = ""
    protocol: str = ""
    least_breeders: int | None = None
    most_inbreeding: float | None = None
    regenerate_days: int | None = None
    may_mix: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class OriginShare:
    """Where part of a stock comes from: the breeding set that had it. Shares of one stock sum to 1.

    `founders` is for fish that no set here had, but that were split off or merged from a stock of founders: its id,
    and no set. So fish bought together stay related when they are parted.
    """

    breeding_set: str = ""
    share: float = 1.0
    founders: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stock:
    """Fish that are counted together: one, a pair, a group, a brood. `label` is what its keeper calls it; `line` the id
    of its line, "" when it is of none.

    `origin` is empty for fish that were bought, caught or given: founders. `kinship` is then how related they are
    taken to be among each other, None when nobody knows. `born` is the day they were hatched or dropped.
    """

    id: str
    label: str
    kind: StockKind
    opened: datetime
    line: str = ""
    closed: datetime | None = None
    sex: Sex = ""
    born: date | None = None
    origin: tuple[OriginShare, ...] = ()
    kinship: float | None = None
    came_from: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Member:
    """Fish of one stock in a breeding set. `share_low` and `share_high` bound the part of the young they have, of
    all that their sex has; equal shares when not said. `same_as` is an earlier set of which these are the very fish,
    for fish drawn again from a stock of many."""

    stock: str
    count: int
    sex: Sex
    share_low: float | None = None
    share_high: float | None = None
    same_as: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class BreedingSet:
    """Fish put together to breed: a pair, a harem, a group. A set remembers its members for ever."""

    id: str
    members: tuple[Member, ...]
    opened: datetime
    ended: datetime | None = None
    label: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Holding:
    """How many of a stock are in a place now. `low` and `high` bound a number that stands on an estimate; for one
    that was counted all three are the same."""

    stock: str
    place: str
    held: int
    low: int
    high: int
    estimated: bool = False
    since: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """Work that comes again: what, where ("" for the room), how often, and what it wants to know.

    `quantity` is what is read when it is done ("" for nothing), with its usual range in `unit`. On other days than
    `weekdays` (0 is Monday; none named: any) it is not due. `by` is who does it, "" anyone. Of the tasks of one
    `rotation` one is done at a time, and no other within `rest_days`: filters of one water, say. What is used up by
    litres is due after `litres` of the feed `feed` too, whichever comes first.
    """

    id: str
    label: str
    place: str = ""
    every_days: float = 1.0
    window_days: float = 0.0
    quantity: str = ""
    unit: str = ""
    low: float | None = None
    high: float | None = None
    kind: str = ""
    weekdays: tuple[int, ...] = ()
    by: str = ""
    rotation: str = ""
    rest_days: float = 0.0
    litres: float | None = None
    feed: str = ""
    opened: datetime | None = None
    stopped: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class DueTask:
    """A task and when it is due next. `last` is when it was done last, None for never."""

    task: Task
    due: datetime
    last: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Tool:
    """A net, a siphon, a bucket, hands: what goes from tank to tank. It stays wet, and so infective, for `wet_hours`;
    `zone` is where alone it may be used, "" anywhere."""

    id: str
    label: str
    wet_hours: float
    zone: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Quarantine:
    """Places shut off until `least_days` have gone by since the last arrival on their water."""

    id: str
    places: tuple[str, ...]
    opened: datetime
    least_days: float
    restarted: datetime | None = None
    released: datetime | None = None
    reason: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ConflictFound:
    """What cannot have been: fewer than no fish in a place, from `since` until `until` (None: still so)."""

    stock: str
    place: str
    since: datetime
    until: datetime | None
    least: int
    event: str = ""
