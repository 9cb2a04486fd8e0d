"""How many fish of one stock are in one place: what flowed, what was counted, and what follows from both.

A count is something seen. It pins the number held; what it differs by from what flowed is worked out here. As far as
the number before was a guess whose bounds allow it, the difference belongs to `estimate`; what no number within the
bounds explains belongs to `lost` or `found`.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Final, Literal

from tankwright.husbandry.records import Account

StepKind = Literal["flow", "count", "estimate"]

GUESS_LEAST: Final = 0.5
"""A guess without bounds is taken to be right to half: common practice is to double or halve; no source."""
GUESS_MOST: Final = 2.0
"""A guess without bounds is taken to be right to double: our choice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One thing that says something of the number held, in the order of `at`, `recorded`, `event`.

    Times are microseconds since 1970, UTC. Of a flow `quantity` is what comes (above nothing) or goes; of a count or an
    estimate what was seen. `low` and `high` bound a quantity that is a guess; None for one that is exact.
    """

    kind: StepKind
    at: int
    recorded: int
    event: str
    quantity: int
    low: int | None = None
    high: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Derived:
    """What follows from a count: so many fish into an account at that event; the held number moves by the rest."""

    event: str
    at: int
    account: Account
    quantity: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Shortage:
    """From `since` until `until` (None: still) fewer than no fish would have been there; `event` began it."""

    since: int
    until: int | None
    least: int
    event: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Folded:
    """What steps say together. `low` and `high` bound `held`; equal to it when it was counted. `derived` and
    `shortages` are those of these steps only; a shortage that lasts is the last of them."""

    held: int = 0
    low: int = 0
    high: int = 0
    since: int | None = None
    derived: tuple[Derived, ...] = ()
    shortages: tuple[Shortage, ...] = ()

    @property
    def estimated(self) -> bool:
        """True when the number stands on a guess."""
        return self.low != self.high

    @property
    def short(self) -> Shortage | None:
        """The shortage that lasts."""
        return self.shortages[-1] if self.shortages and self.shortages[-1].until is None else None


NOTHING: Final = Folded()
"""No fish, and nothing said of any."""


def guess_bounds(number: int, low: int | None, high: int | None) -> tuple[int, int]:
    """The bounds of a guess, those that were not said put in: half and double the number.

    >>> guess_bounds(200, None, None), guess_bounds(200, 180, None)
    ((100, 400), (180, 400))
    """
    least = int(number * GUESS_LEAST) if low is None else low
    most = round(number * GUESS_MOST) if high is None else high
    return min(least, number), max(most, number)


def in_order(steps: Iterable[Step]) -> list[Step]:
    """Steps as they happened; those of one moment as they were recorded, then by their event."""
    return sorted(steps, key=lambda one: (one.at, one.recorded, one.event))


def fold(steps: Iterable[Step], start: Folded = NOTHING) -> Folded:
    """The number held after all steps of one stock in one place, and all that the counts among them show.

    `start` is what the steps before them say, when these are later than all of those.

    >>> came = Step(kind="flow", at=1, recorded=1, event="a", quantity=40)
    >>> seen = Step(kind="count", at=5, recorded=5, event="b", quantity=38)
    >>> folded = fold([seen, came])
    >>> folded.held, [(one.account, one.quantity) for one in folded.derived]
    (38, [('lost', 2)])
    >>> fold([seen], fold([came])) == folded
    True
    """
    running = Running(start)
    for step in in_order(steps):
        running.take(step.kind, step.at, step.event, step.quantity, step.low, step.high)
    return running.folded()


class Running:
    """The number held while steps are taken one after another, in their order. Made for millions of them."""

    __slots__ = ("derived", "held", "high", "low", "short", "shortages", "since")

    def __init__(self, start: Folded = NOTHING) -> None:
        self.held, self.low, self.high, self.since = start.held, start.low, start.high, start.since
        self.derived: list[Derived] = []
        self.shortages: list[Shortage] = []
        self.short: Shortage | None = start.short

    def take(
        self, kind: StepKind, at: int, event: str, quantity: int, low: int | None, high: int | None
    ) -> None:
        """Take the next step."""
        before = self.held
        if kind == "flow":
            self._flow(at, event, quantity, low, high)
        elif kind == "count":
            self._pin(at, event, quantity, quantity, quantity)
        else:
            least, most = guess_bounds(quantity, low, high)
            # a guess that agrees with a number that is known says nothing new
            if self.low != self.high or not least <= self.held <= most:
                self._pin(at, event, quantity, least, most)
        if self.held <= 0:
            self.since = None
        elif before <= 0:
            self.since = at
        if self.held < 0 or self.short is not None:
            self._look(at, event)

    def _flow(self, at: int, event: str, quantity: int, low: int | None, high: int | None) -> None:
        self.held += quantity
        self.low += quantity if low is None else low
        self.high += quantity if high is None else high
        if self.held < 0 < self.high - self.held:
            # more went than was guessed: the guess was too low, as far as its bounds allow
            more = min(-self.held, self.high - self.held)
            self.derived.append(Derived(event=event, at=at, account="estimate", quantity=-more))
            self.held += more
        if self.held < 0 or (self.held == 0 and quantity < 0):
            self.low = self.high = self.held  # the last of them went: what was guessed is over
        elif self.low < 0:
            self.low = 0

    def _pin(self, at: int, event: str, quantity: int, low: int, high: int) -> None:
        """The number is `quantity`, between bounds. What no numbers within the bounds before and now explain is lost or
        found, the rest of the jump was guessed wrongly."""
        jump = quantity - self.held
        beyond = min(max(low - self.high, 0), high - self.low)
        # `held` moves by the jump, so the other end takes its opposite
        if jump != beyond:
            self.derived.append(Derived(event=event, at=at, account="estimate", quantity=beyond - jump))
        if beyond:
            account: Account = "found" if beyond > 0 else "lost"
            self.derived.append(Derived(event=event, at=at, account=account, quantity=-beyond))
        self.held, self.low, self.high = quantity, low, high

    def _look(self, at: int, event: str) -> None:
        before = self.short
        if self.held < 0:
            since, cause = (before.since, before.event) if before else (at, event)
            least = min(self.held, before.least) if before else self.held
            self.short = Shortage(since=since, until=None, least=least, event=cause)
        elif before is not None:
            if before.since < at:  # within one moment nothing was short
                self.shortages.append(
                    Shortage(since=before.since, until=at, least=before.least, event=before.event)
                )
            self.short = None

    def folded(self) -> Folded:
        """What the steps so far say."""
        lasts = () if self.short is None else (self.short,)
        return Folded(
            held=self.held, low=self.low, high=self.high, since=self.since, derived=tuple(self.derived),
            shortages=(*self.shortages, *lasts),
        )  # fmt: skip


def held_after(steps: Iterable[Step], start: Folded = NOTHING) -> Iterator[tuple[Step, Folded]]:
    """What is held after every step, in their order, with nothing of what followed before it.

    >>> came = Step(kind="flow", at=1, recorded=1, event="a", quantity=3)
    >>> [(one.at, after.held) for one, after in held_after([came])]
    [(1, 3)]
    """
    now = start
    for step in in_order(steps):
        now = fold((step,), now)
        yield step, now
