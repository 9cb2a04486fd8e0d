"""Where the fish of a stock have been and when, as those of the stocks they were counted with before."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime

from tankwright.husbandry.balance_sheet import Moved


@dataclass(frozen=True, slots=True, kw_only=True)
class Stay:
    """Fish of `stock` were in a place from `begin` until `end` (None: still)."""

    stock: str
    place: str
    begin: datetime
    end: datetime | None = None

    def at(self, begin: datetime, end: datetime) -> bool:
        """Whether any of that time lies within the stay."""
        return self.begin <= end and (self.end is None or begin < self.end)


@dataclass(frozen=True, slots=True, kw_only=True)
class Stays:
    """All stays by stock, and of which other stocks fish came into one, with the moment."""

    by_stock: Mapping[str, tuple[Stay, ...]]
    came_of: Mapping[str, tuple[tuple[str, datetime], ...]]

    def came_from(self, stock: str, until: datetime) -> dict[str, datetime]:
        """The stocks that fish of a stock may have been counted with up to a moment, each with the last moment that is
        of these fish: of other stocks the one at which they came from there."""
        seen = {stock: until}
        waiting = [(stock, until)]
        while waiting:
            name, last = waiting.pop()
            for other, at in self.came_of.get(name, ()):
                if at <= last and (other not in seen or seen[other] < at):
                    seen[other] = at
                    waiting.append((other, at))
        return seen

    def of(self, stock: str, until: datetime) -> tuple[Stay, ...]:
        """The stays of fish of a stock up to a moment, those before they were counted with it too."""
        found = [
            one if name == stock or (one.end is not None and one.end <= last) else replace(one, end=last)
            for name, last in self.came_from(stock, until).items()
            for one in self.by_stock.get(name, ())
            if one.begin <= last
        ]
        return tuple(sorted(found, key=lambda one: (one.begin, one.stock, one.place)))


def stays(moved: Iterable[Moved]) -> Stays:
    """Stays out of everything that flowed and what follows from counts, in the order it happened.

    >>> from datetime import UTC
    >>> day = [datetime(2026, 8, n, tzinfo=UTC) for n in (1, 5)]
    >>> def flow(event, account, quantity, place="", at=day[0]):
    ...     return Moved(event=event, stock="s", place=place, account=account, quantity=quantity, happened=at)
    >>> made = stays([flow("e", "held", 3, "a1"), flow("e", "born", -3), flow("f", "held", -3, "a1", day[1])])
    >>> [(one.place, one.end.day) for one in made.of("s", day[1])]
    [('a1', 5)]
    """
    held: defaultdict[tuple[str, str], int] = defaultdict(int)
    open_: dict[tuple[str, str], datetime] = {}
    closed: defaultdict[str, list[Stay]] = defaultdict(list)
    came_of: defaultdict[str, list[tuple[str, datetime]]] = defaultdict(list)
    for event in _events(moved):
        for one in event:
            change = -one.quantity if one.derived else one.quantity if one.account == "held" else 0
            if not change or not one.place:
                continue
            key = one.stock, one.place
            held[key] += change
            if held[key] > 0 and key not in open_:
                open_[key] = one.happened
            elif held[key] <= 0 and key in open_:
                closed[one.stock].append(
                    Stay(stock=one.stock, place=one.place, begin=open_.pop(key), end=one.happened)
                )
        _regrouped(event, came_of)
    for (stock, place), begin in open_.items():
        closed[stock].append(Stay(stock=stock, place=place, begin=begin))
    return Stays(
        by_stock={stock: tuple(some) for stock, some in closed.items()},
        came_of={stock: tuple(some) for stock, some in came_of.items()},
    )


def _events(moved: Iterable[Moved]) -> list[list[Moved]]:
    of: defaultdict[str, list[Moved]] = defaultdict(list)
    for one in moved:
        of[one.event].append(one)
    return sorted(of.values(), key=lambda event: event[0].happened)


def _regrouped(event: list[Moved], came_of: defaultdict[str, list[tuple[str, datetime]]]) -> None:
    """Stocks that lost fish to others in one event: theirs are the fish the others gained."""
    net: defaultdict[str, int] = defaultdict(int)
    for one in event:
        if not one.derived:
            net[one.stock] += one.quantity
    gave = [stock for stock, fish in net.items() if fish < 0]
    for stock, fish in net.items():
        if fish > 0:
            came_of[stock] += [(other, event[0].happened) for other in gave]
