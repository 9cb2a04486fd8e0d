"""Stocks and sets in few words, and genes dropped through them: the independent way to a kinship."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tankwright.husbandry.register import BreedingSet, Member, OriginShare, Sex, Stock

THEN = datetime(2026, 1, 1, tzinfo=UTC)
SEXES: dict[str, Sex] = {"m": "male", "f": "female", "": ""}


def day(number: float) -> datetime:
    return THEN + timedelta(days=number)


def stock(key: str, *origin: str | tuple[str, float], kind: str = "brood", **more: Any) -> Stock:
    """A stock from sets: "s", or ("s", 0.4) for a part; "=a" for fish taken out of the stock a."""
    shares = tuple(
        OriginShare(founders=name[1:], share=part)
        if name.startswith("=")
        else OriginShare(breeding_set=name, share=part)
        for name, part in ((one, 1.0) if isinstance(one, str) else one for one in origin)
    )
    more = {"line": "l", "opened": THEN, "label": key} | more
    return Stock(id=key, kind=kind, origin=shares, **more)  # type: ignore[arg-type] - a test says any kind


def founder(key: str, kind: str = "individual", **more: Any) -> Stock:
    return stock(key, kind=kind, **more)


def member(stock_id: str, sex: str = "", count: int = 1, **more: Any) -> Member:
    return Member(stock=stock_id, count=count, sex=SEXES[sex], **more)


def made(key: str, *members: Member, at: float = 0.0, until: float | None = None) -> BreedingSet:
    return BreedingSet(
        id=key, label=key, members=members, opened=day(at), ended=None if until is None else day(until)
    )


def born(key: str, *origin: str | tuple[str, float], on: date | None = None, **more: Any) -> Stock:
    return stock(key, *origin, born=on, **more)


Genes = NDArray[np.int32]


class Drop:
    """Genes dropped through certain fish, many times at once: every founder gene is one of its own.

    Fish are drawn as the reader of the test says, one call a fish, so that nothing of the recursion is used.
    """

    def __init__(self, times: int, seed: int) -> None:
        self.times, self.random, self.next = times, np.random.default_rng(seed), 0

    def founder(self) -> Genes:
        genes = np.empty((self.times, 2), dtype=np.int32)
        genes[:, 0], genes[:, 1] = self.next, self.next + 1
        self.next += 2
        return genes

    def gene(self, fish: Genes) -> NDArray[np.int32]:
        return fish[np.arange(self.times), self.random.integers(0, 2, self.times)]

    def one_of(self, fish: list[Genes], shares: list[float] | None = None) -> Genes:
        choice = self.random.choice(len(fish), size=self.times, p=shares)
        return np.stack(fish)[choice, np.arange(self.times)]

    def child(self, fathers: list[Genes], mothers: list[Genes], shares: list[float] | None = None) -> Genes:
        father, mother = self.one_of(fathers, shares), self.one_of(mothers)
        return np.stack([self.gene(father), self.gene(mother)], axis=1)

    def brood(self, number: int, *parents: Any) -> list[Genes]:
        return [self.child(*parents) for _ in range(number)]

    def inbreeding(self, fish: Genes) -> float:
        return float((fish[:, 0] == fish[:, 1]).mean())

    def kinship(self, one: Genes, other: Genes) -> float:
        return float((self.gene(one) == self.gene(other)).mean())
