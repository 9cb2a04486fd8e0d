"""How related batches of fish are: expected inbreeding, kinship within a batch and between batches.

Kinship of two fish is the chance that a gene drawn from one and a gene drawn from the other at the same place are
copies of one gene of a founder (Malécot); inbreeding is the kinship of a fish's parents. Fish of one batch are alike in
what is expected of them, so a batch takes three numbers instead of thousands: its inbreeding F, the kinship W of two of
its fish, and its kinship with every other batch. Kinship is kept between the *members of sets*, which are certain
fish: two broods of one set have the same parents, and fish set to their own young are the parents of their mates. The
working is our own (docs/decisions/0031); a gene drop tries it in the tests.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tankwright.husbandry.kinship_build import Layers, build
from tankwright.husbandry.pedigree import Pedigree
from tankwright.husbandry.register import Sex

SHOP_SIBLINGS = 0.125
"""Kinship taken for fish bought together when it is to be seen what it would mean: that of half brothers and sisters.
A choice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Expected:
    """A kinship or an inbreeding, 0 to 1: as expected, and the least and most it may be over all that is not known of
    parents and their shares. What founders may be to each other is no part of it: that is reckoned twice instead."""

    value: float
    low: float
    high: float

    @property
    def certain(self) -> bool:
        """True when nothing that is not known could change it."""
        return self.high - self.low < 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Kinships:
    """The kinship of stocks and of the young of sets. Ask with ids; None when it stands in a loop or is not known.

    `unknown` is the kinship that was taken for founders of whom nobody knows how they are related.
    """

    unknown: float
    layers: Layers

    def inbreeding(self, stock: str) -> Expected | None:
        """The inbreeding of a fish of a stock."""
        return _of(self.layers.own_inbreeding(stock))

    def within(self, stock: str) -> Expected | None:
        """The kinship of two different fish of a stock; for a stock of one fish, that of another such fish."""
        return _of(self.layers.own_kinship(stock))

    def with_itself(self, stock: str) -> Expected | None:
        """The kinship of a fish of a stock with itself: what it would give its young if it fathered and bore them."""
        own = self.layers.own_inbreeding(stock)
        return None if own is None else _of((1 + own) / 2)

    def between(self, one: str, other: str) -> Expected | None:
        """The kinship of a fish of one stock with a fish of another. For one stock twice it is that within it."""
        return self.within(one) if one == other else _of(self.layers.between(one, other))

    def young_of(self, breeding_set: str) -> Expected | None:
        """The inbreeding of the young of a set, whether there are any or not."""
        return _of(self.layers.young_inbreeding(breeding_set))

    def within_young_of(self, breeding_set: str) -> Expected | None:
        """The kinship of two of the young of a set."""
        return _of(self.layers.young_kinship(breeding_set))

    def between_young_of(self, one: str, other: str) -> Expected | None:
        """The kinship of the young of one set with the young of another."""
        if one == other:
            return self.within_young_of(one)
        return _of(self.layers.between_young(one, other))


def kinships(
    pedigree: Pedigree,
    stocks: Iterable[str] | None = None,
    *,
    sets: Iterable[str] = (),
    unknown: float = 0.0,
) -> Kinships:
    """The kinships of stocks (of all when none are named), of sets, and of all they come from.

    `unknown` is what is taken, 0 to 1, for founders of whom nobody knows how they are related: those of one stock, and
    those of two stocks of one line that came from one place or from nobody knows where. Fish that came from two
    places with different names are taken as unrelated. Work that grows with the square of the batches asked about.

    >>> from datetime import UTC, datetime
    >>> from tankwright.husbandry.pedigree import pedigree_of
    >>> from tankwright.husbandry.register import BreedingSet, Member, OriginShare, Stock
    >>> then = datetime(2026, 1, 1, tzinfo=UTC)
    >>> he, she = (Stock(id=key, label=key, kind="individual", line="l", opened=then) for key in "ab")
    >>> pair = BreedingSet(id="s", opened=then, members=(
    ...     Member(stock="a", count=1, sex="male"), Member(stock="b", count=1, sex="female")))
    >>> brood = Stock(id="c", label="c", kind="brood", line="l", opened=then, origin=(OriginShare(breeding_set="s"),))
    >>> known = kinships(pedigree_of((he, she, brood), (pair,)))
    >>> known.inbreeding("c").value, known.within("c").value, known.between("a", "c").value
    (0.0, 0.25, 0.25)
    """
    asked = tuple(pedigree.stocks) if stocks is None else tuple(stocks)
    also = tuple(pedigree.sets) if stocks is None else tuple(sets)
    return Kinships(unknown=unknown, layers=build(pedigree, asked, also, unknown))


def mates(
    pedigree: Pedigree,
    males: Iterable[tuple[str, Sex]],
    females: Iterable[tuple[str, Sex]],
    *,
    unknown: float = 0.0,
) -> NDArray[np.float64]:
    """The kinship of each male with each female: the inbreeding their young would have; NaN where it is not known.

    Given are stocks with the sex in which their fish would serve. A single fish with itself is not known either.

    >>> from tankwright.husbandry.pedigree import pedigree_of
    >>> mates(pedigree_of((), ()), (), ()).shape
    (0, 0)
    """
    first, second = tuple(males), tuple(females)
    asked = dict.fromkeys(stock for stock, _ in (*first, *second))
    layers = build(pedigree, tuple(asked), (), unknown)
    made = np.full((len(first), len(second)), np.nan)
    for i, (one, _) in enumerate(first):
        for k, (other, _) in enumerate(second):
            if one == other:
                stock = pedigree.stocks.get(one)
                known = None if stock is None or stock.kind == "individual" else layers.own_kinship(one)
            else:
                known = layers.between(one, other)
            if known is not None:
                made[i, k] = known[0]
    return made


def _of(numbers: NDArray[np.float64] | None) -> Expected | None:
    if numbers is None:
        return None
    value, low, high = (min(max(float(one), 0.0), 1.0) for one in numbers)
    return Expected(value=value, low=min(low, value), high=max(high, value))
