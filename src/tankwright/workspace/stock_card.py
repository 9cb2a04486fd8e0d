"""The card of a stock: where it comes from, where it is, and a balance of its fish that comes to the number held."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Final

from tankwright.husbandry.records import SINKS, SOURCES, Account, Event
from tankwright.husbandry.register import ConflictFound, Stock
from tankwright.workspace.census import Lives

if TYPE_CHECKING:
    from tankwright.logbook.store import Logbook

ACCOUNTS: Final[dict[Account, str]] = {
    "born": "born here", "arrived": "came from outside", "found": "found by a count, nobody knows whence",
    "dead": "died", "culled": "culled", "sold": "sold", "given": "given away", "used": "used", "escaped": "escaped",
    "lost": "missing at a count, nobody knows why", "estimate": "guesses put right by later counts",
    "transit": "on the way",
}  # fmt: skip
"""What each account is called in a balance."""

MONTH: Final = timedelta(days=30)


@dataclass(frozen=True, slots=True, kw_only=True)
class BalanceLine:
    """So many fish more (or fewer) by one way; `of` says which."""

    of: str
    number: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Balance:
    """All ways by which fish of a stock came and went; their sum is what is held."""

    lines: tuple[BalanceLine, ...]
    held: int
    lost: int
    """Of them missing, and nobody knows why."""


def balance(book: Logbook, stock: str) -> Balance:
    """The balance of a stock over all its life."""
    ways: Counter[Account] = Counter()
    regrouped = 0
    for one in book.moved(stock=stock):
        if one.account == "held":
            regrouped += one.quantity
        else:
            ways[one.account] -= one.quantity
    held = sum(one.held for one in book.holdings(stock=stock))
    order: tuple[Account, ...] = (*SOURCES, *SINKS, "estimate", "transit")
    lines = [BalanceLine(of=ACCOUNTS[account], number=ways[account]) for account in order if ways[account]]
    other = held - sum(one.number for one in lines)
    if other:
        lines.append(BalanceLine(of="counted with other stocks before or since", number=other))
    return Balance(lines=tuple(lines), held=held, lost=-ways["lost"])


@dataclass(frozen=True, slots=True, kw_only=True)
class StockCard:
    """All that is said of a stock on its page but its history."""

    stock: Stock
    line: str
    came: tuple[str, ...]
    where: tuple[Lives, ...]
    balance: Balance


def stock_card(book: Logbook, stock: Stock) -> StockCard:
    """The card of a stock."""
    line = book.line(stock.line) if stock.line else None
    sets = {one.id: one.label or one.id for one in book.sets()}
    came = [
        f"{sets.get(one.breeding_set, 'a set')}"
        if one.breeding_set else f"founders with {_label(book, one.founders)}" for one in stock.origin
    ]  # fmt: skip
    shares = [f"{name} ({share.share * 100:.0f} %)" if len(came) > 1 else name
              for name, share in zip(came, stock.origin, strict=True)]  # fmt: skip
    here = tuple(
        Lives(place=place, stock=stock, line=line, held=one.held, low=one.low, high=one.high, since=one.since)
        for one in book.holdings(stock=stock.id)
        if (one.held or one.high) and (place := book.place(one.place)) is not None
    )
    return StockCard(stock=stock, line=line.name if line is not None else "", came=tuple(shares), where=here,
                     balance=balance(book, stock.id))  # fmt: skip


def _label(book: Logbook, name: str) -> str:
    stock = book.stock(name)
    return stock.label if stock is not None else "others"


@dataclass(frozen=True, slots=True, kw_only=True)
class Lost:
    """Fish of a stock that were missing at counts since a day, in one place."""

    stock: str
    place: str
    number: int
    last: datetime


def lost_since(book: Logbook, since: datetime) -> tuple[Lost, ...]:
    """What was missing at counts since a moment, the most first, by the names of stock and place."""
    numbers: Counter[tuple[str, str]] = Counter()
    last: dict[tuple[str, str], datetime] = {}
    for one in book.moved(accounts=["lost"], since=since):
        numbers[one.stock, one.place] += one.quantity
        last[one.stock, one.place] = one.happened
    return tuple(
        Lost(stock=_label(book, stock), place=_place(book, place), number=number, last=last[stock, place])
        for (stock, place), number in numbers.most_common() if number > 0
    )  # fmt: skip


def _place(book: Logbook, name: str) -> str:
    place = book.place(name) if name else None
    return place.label if place is not None else ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Clash:
    """A conflict with both its sides: what cannot have been, and the events that say so."""

    stock: Stock | None
    stock_label: str
    place: str
    found: ConflictFound
    sides: tuple[Event, ...]


SIDES: Final = 4


def clashes(book: Logbook, limit: int) -> tuple[Clash, ...]:
    """Conflicts, oldest first, each with what was said of these fish up to the event that cannot have been."""
    from tankwright.logbook.listing import events_named  # noqa: PLC0415 - brings the database along

    found = []
    for one in book.conflicts()[:limit]:
        moved = [flow for flow in book.moved(stock=one.stock, until=one.since) if flow.account == "held"]
        ids = list(
            dict.fromkeys(flow.event for flow in moved if flow.place == one.place and not flow.derived)
        )
        events = events_named(book, [*ids[-SIDES:], one.event])
        sides = sorted(events.values(), key=lambda event: (event.happened, event.serial))
        found.append(Clash(stock=book.stock(one.stock), stock_label=_label(book, one.stock),
                           place=_place(book, one.place), found=one, sides=tuple(sides)))  # fmt: skip
    return tuple(found)
