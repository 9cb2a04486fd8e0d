"""What lives where, now or at a moment of the past, in words: by tank, by line, by stock."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Final, Literal, get_args

from tankwright.drawing.layer_fish import LivesHere
from tankwright.husbandry.register import Line, Place, Stock

if TYPE_CHECKING:
    from tankwright.logbook.store import Logbook
    from tankwright.room.model import Room
    from tankwright.workspace.log import RoomLog

By = Literal["tank", "line", "stock"]
WAYS: Final[tuple[By, ...]] = get_args(By)


@dataclass(frozen=True, slots=True, kw_only=True)
class Lives:
    """So many of a stock in a place: `held` at best, `low` and `high` when it stands on a guess."""

    place: Place
    stock: Stock
    line: Line | None
    held: int
    low: int
    high: int
    since: datetime | None = None

    @property
    def number(self) -> str:
        """How many, as it is known: "12", "about 200 (150 to 260)"."""
        return number_words(self.held, self.low, self.high)


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """What lives together under one name: all of a tank, of a line, of a stock."""

    name: str
    rows: tuple[Lives, ...]

    @property
    def held(self) -> int:
        """How many in all."""
        return sum(one.held for one in self.rows)

    @property
    def number(self) -> str:
        """How many in all, as it is known."""
        return number_words(self.held, sum(one.low for one in self.rows), sum(one.high for one in self.rows))


def number_words(held: int, low: int, high: int) -> str:
    """A number of fish as it is known.

    >>> number_words(12, 12, 12), number_words(200, 150, 260)
    ('12', 'about 200 (150 to 260)')
    """
    return str(held) if low == high == held else f"about {held} ({low} to {high})"


def census(book: Logbook, at: datetime | None = None) -> tuple[Lives, ...]:
    """All that live in the room, in walking order, now or at a moment as far as is known today."""
    holdings = book.holdings() if at is None else book.holdings_at(at)
    places = {one.id: one for one in book.places(closed=True)}
    stocks = {one.id: one for one in book.stocks(closed=True)}
    lines = {one.id: one for one in book.lines()}
    rows = [
        Lives(place=places[one.place], stock=stocks[one.stock], line=lines.get(stocks[one.stock].line), held=one.held,
              low=one.low, high=one.high, since=one.since)
        for one in holdings if (one.held or one.high) and one.place in places and one.stock in stocks
    ]  # fmt: skip
    return tuple(sorted(rows, key=lambda one: (one.place.order, one.place.label, one.stock.label)))


def grouped(rows: Sequence[Lives], by: By) -> tuple[Group, ...]:
    """The same put together by tank (in walking order), by line or by stock (by name)."""
    groups: defaultdict[str, list[Lives]] = defaultdict(list)
    for one in rows:
        line = one.line.name if one.line is not None else "of no line"
        groups[{"tank": one.place.label, "line": line, "stock": one.stock.label}[by]].append(one)
    names = (
        list(groups)
        if by == "tank"
        else sorted(groups, key=lambda name: (name == "of no line", name.casefold()))
    )
    return tuple(Group(name=name, rows=tuple(groups[name])) for name in names)


def fish_facts(log: RoomLog, _room: Room, _now: datetime) -> tuple[LivesHere, ...]:
    """What the layer of fish is drawn from."""
    book = log.kept
    groups = () if book is None else grouped(census(book), "tank")
    return tuple(
        LivesHere(tank=one.name, held=one.held, number=one.number,
                  stocks=tuple((row.stock.label, row.number) for row in one.rows))
        for one in groups if one.held
    )  # fmt: skip
