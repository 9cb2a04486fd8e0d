"""Where fish came from and where they went: of the room, a line, a stock or a tank, between two moments. It adds up."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import UTC, datetime, tzinfo
from typing import Final, Literal

from tankwright.husbandry.records import SINKS, SOURCES, Account

Heading = Account | Literal["moved", "regrouped"]

HEADINGS: Final[tuple[Heading, ...]] = (*SOURCES, *SINKS, "transit", "moved", "regrouped", "estimate")
"""Whence fish come and whither they go, in the order in which it is told."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Moved:
    """So many fish into an account at an event; `derived` when a count shows it and nobody said so. Of what is derived
    the other end is the number held in that place."""

    event: str
    stock: str
    place: str
    account: Account
    quantity: int
    happened: datetime
    derived: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetLine:
    """So many fish that came (above nothing) or went under one heading."""

    heading: Heading
    fish: int


@dataclass(frozen=True, slots=True, kw_only=True)
class BalanceSheet:
    """How many there were, what came, what went, how many there are. `came` and `went` are in the order of
    `HEADINGS`, fish that went below nothing. `estimate` is what guesses were off by: no fish came or went for it."""

    before: int
    came: tuple[SheetLine, ...]
    went: tuple[SheetLine, ...]
    after: int

    @property
    def balances(self) -> bool:
        """True when what came and went explains the numbers: always, or the program is wrong."""
        return self.before + sum(one.fish for one in (*self.came, *self.went)) == self.after

    def fish(self, *headings: Heading) -> int:
        """How many came less how many went under some headings."""
        return sum(one.fish for one in (*self.came, *self.went) if one.heading in headings)


@dataclass(frozen=True, slots=True, kw_only=True)
class UnknownLoss:
    """Fish of a tank that counts of one month miss, or have too many, and of which nobody knows more. The month is the
    one in which it was counted."""

    place: str
    month: str
    lost: int
    found: int


def balance_sheet(
    moved: Iterable[Moved], *, stocks: Collection[str] | None = None, places: Collection[str] | None = None,
    since: datetime | None = None, until: datetime | None = None,
) -> BalanceSheet:  # fmt: skip
    """What became of fish of `stocks` in `places` (of all when not said) after `since` and up to and with `until`.

    `moved` must have all flows of the events that touch them, from the first, and what is derived from their counts.

    >>> at = datetime(2026, 8, 2, tzinfo=UTC)
    >>> def flow(account, quantity, place=""):
    ...     return Moved(event="e", stock="s", place=place, account=account, quantity=quantity, happened=at)
    >>> sheet = balance_sheet([flow("held", 30, "a1"), flow("born", -30)])
    >>> sheet.after, sheet.came, sheet.balances
    (30, (SheetLine(heading='born', fish=30),), True)
    """
    before, after = 0, 0
    came: Counter[Heading] = Counter()
    went: Counter[Heading] = Counter()
    for event in _events(moved):
        at = event[0].happened
        if until is not None and at > until:
            continue
        headings, held = _change(event, stocks, places)
        after += held
        if since is not None and at <= since:
            before += held
            continue
        for heading, fish in headings.items():
            (came if fish > 0 else went)[heading] += fish
    return BalanceSheet(before=before, after=after, came=_lines(came), went=_lines(went))


def _events(moved: Iterable[Moved]) -> Iterable[list[Moved]]:
    of: defaultdict[str, list[Moved]] = defaultdict(list)
    for one in moved:
        of[one.event].append(one)
    return of.values()


def _change(
    event: list[Moved], stocks: Collection[str] | None, places: Collection[str] | None
) -> tuple[Counter[Heading], int]:
    """What one event changes, by heading, and the number held in all."""
    headings: Counter[Heading] = Counter()
    total = 0
    for one in event:
        if one.derived and _within(one, stocks, places):
            headings[one.account] -= one.quantity
            total -= one.quantity
    for stock in {one.stock for one in event if stocks is None or one.stock in stocks}:
        mine = [one for one in event if one.stock == stock and not one.derived]
        held = [one for one in mine if one.account == "held"]
        within = sum(one.quantity for one in held if _within(one, stocks, places))
        total += within
        ends = [one for one in mine if one.account != "held"]
        if all(_within(one, stocks, places) for one in held):
            for one in ends:
                headings[one.account] -= one.quantity
            headings["regrouped"] += sum(one.quantity for one in mine)
        else:  # the other end is of several places: this one has its part of it
            whole = sum(one.quantity for one in held)
            headings[ends[0].account if ends else "regrouped" if whole else "moved"] += within
    # what comes and goes within what is asked about, is of no account
    return Counter({heading: fish for heading, fish in headings.items() if fish}), total


def _within(one: Moved, stocks: Collection[str] | None, places: Collection[str] | None) -> bool:
    return (stocks is None or one.stock in stocks) and (places is None or one.place in places)


def _lines(sums: Counter[Heading]) -> tuple[SheetLine, ...]:
    return tuple(SheetLine(heading=one, fish=sums[one]) for one in HEADINGS if sums[one])


def unknown_losses(moved: Iterable[Moved], zone: tzinfo = UTC) -> tuple[UnknownLoss, ...]:
    """Fish lost and found by tank and month, months of a zone's calendar; the latest first, then by tank.

    >>> at = datetime(2026, 8, 31, 23, 30, tzinfo=UTC)
    >>> seen = Moved(event="e", stock="s", place="a1", account="lost", quantity=6, happened=at, derived=True)
    >>> [(one.place, one.month, one.lost) for one in unknown_losses([seen])]
    [('a1', '2026-08', 6)]
    """
    lost: Counter[tuple[str, str]] = Counter()
    found: Counter[tuple[str, str]] = Counter()
    for one in moved:
        if not one.derived or one.account not in {"lost", "found"}:
            continue
        key = f"{one.happened.astimezone(zone):%Y-%m}", one.place
        if one.account == "lost":
            lost[key] += one.quantity
        else:
            found[key] -= one.quantity
    keys = sorted(lost.keys() | found.keys(), key=lambda key: key[1])
    keys.sort(key=lambda key: key[0], reverse=True)
    return tuple(
        UnknownLoss(place=place, month=month, lost=lost[month, place], found=found[month, place])
        for month, place in keys
    )
