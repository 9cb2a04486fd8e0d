"""How many fish of one stock are in one place: what flowed, what was counted, and what follows from both.

A count is something seen. It pins the number held; what it differs by from what flowed is worked out here and belongs
to `lost` or `found`, or to `estimate` as far as the number before was a guess within bounds that allow it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Literal

from tankwright.husbandry.records import Account

StepKind = Literal["flow", "count", "estimate"]


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
    """What all steps together say. `low` and `high` bound `held`; equal to it when it was counted."""

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


def in_order(steps: Iterable[Step]) -> list[Step]:
    """Steps as they happened; those of one moment as they were recorded, then by their event."""
    return sorted(steps, key=lambda one: (one.at, one.recorded, one.event))


def fold(steps: Iterable[Step]) -> Folded:
    """The number held after all steps of one stock in one place, and all that the counts among them show.

    >>> came = Step(kind="flow", at=1, recorded=1, event="a", quantity=40)
    >>> seen = Step(kind="count", at=5, recorded=5, event="b", quantity=38)
    >>> folded = fold([seen, came])
    >>> folded.held, [(one.account, one.quantity) for one in folded.derived]
    (38, [('lost', 2)])
    """
    book = _Book()
    for step in in_order(steps):
        book.take(step)
    return book.closed()


class _Book:
    """The number held while steps are taken one after another."""

    def __init__(self) -> None:
        self.held = 0
        self.below = 0  # how far the true number may lie below `held`, and above
        self.above = 0
        self.since: int | None = None
        self.derived: list[Derived] = []
        self.shortages: list[Shortage] = []
        self.short: Shortage | None = None

    def take(self, step: Step) -> None:
        if step.kind == "flow":
            self._flow(step)
        elif step.kind == "count":
            self._pin(step, step.quantity, step.quantity, step.quantity)
        else:
            self._estimate(step)
        self._look(step)

    def _flow(self, step: Step) -> None:
        before = self.held
        self.held += step.quantity
        low = step.quantity if step.low is None else step.low
        high = step.quantity if step.high is None else step.high
        self.below += step.quantity - low
        self.above += high - step.quantity
        if self.held == 0 and step.quantity < 0:
            self.below = self.above = 0  # the last of them went: what was guessed is over
        if before <= 0 < self.held:
            self.since = step.at

    def _estimate(self, step: Step) -> None:
        low = step.quantity if step.low is None else step.low
        high = step.quantity if step.high is None else step.high
        if not self.below and not self.above and low <= self.held <= high:
            return  # a guess that agrees with a number that is known says nothing new
        self._pin(step, step.quantity, low, high)

    def _pin(self, step: Step, quantity: int, low: int, high: int) -> None:
        """The number is `quantity`, between bounds; what it jumps by is lost or found beyond what was guessed."""
        jump = quantity - self.held
        allowed_low, allowed_high = -self.below - (high - quantity), self.above + (quantity - low)
        guessed = min(max(jump, allowed_low), allowed_high)
        beyond = jump - guessed
        # `held` moves by the jump, so the other end takes its opposite
        accounts: tuple[tuple[Account, int], ...] = (
            ("estimate", -guessed), ("found" if beyond > 0 else "lost", -beyond),
        )  # fmt: skip
        for account, moved in accounts:
            if moved:
                self.derived.append(Derived(event=step.event, at=step.at, account=account, quantity=moved))
        if self.held <= 0 < quantity:
            self.since = step.at
        self.held, self.below, self.above = quantity, quantity - low, high - quantity

    def _look(self, step: Step) -> None:
        if self.held < 0:
            before = self.short
            least = min(self.held, before.least) if before else self.held
            since, event = (before.since, before.event) if before else (step.at, step.event)
            self.short = Shortage(since=since, until=None, least=least, event=event)
        elif self.short is not None:
            began = self.short
            if began.since < step.at:  # within one moment nothing was short
                self.shortages.append(
                    Shortage(since=began.since, until=step.at, least=began.least, event=began.event)
                )
            self.short = None

    def closed(self) -> Folded:
        short = [*self.shortages, *([self.short] if self.short is not None else [])]
        return Folded(
            held=self.held, low=max(self.held - self.below, 0), high=self.held + self.above,
            since=self.since if self.held > 0 else None, derived=tuple(self.derived), shortages=tuple(short),
        )  # fmt: skip


def held_after(steps: Iterable[Step]) -> Iterator[tuple[int, int]]:
    """The number held after every step, with its moment.

    >>> list(held_after([Step(kind="flow", at=1, recorded=1, event="a", quantity=3)]))
    [(1, 3)]
    """
    book = _Book()
    for step in in_order(steps):
        book.take(step)
        yield step.at, book.held
