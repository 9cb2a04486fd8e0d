"""How much is known of where fish come from, and their ancestors as they are drawn."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from tankwright.husbandry.pedigree import Pedigree
from tankwright.husbandry.register import Sex
from tankwright.husbandry.shares import sides_of

_SEXES: tuple[Sex, Sex] = ("male", "female")

MOST_BRANCHES = 4_096
"""How many boxes a drawn ancestry has at the most. A choice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Completeness:
    """How much of the ancestry of a stock is known.

    `generations[n]` is the known share of its ancestors n + 1 generations back: parents first. `equivalent` is their
    sum: how many whole generations that is worth. `back` is how many generations it is to the founders at most.
    """

    generations: tuple[float, ...]
    equivalent: float

    @property
    def back(self) -> int:
        """How many generations back anything is known."""
        return len(self.generations)


@dataclass(frozen=True, slots=True, kw_only=True)
class Ancestor:
    """A stock in a drawn ancestry. `share` is what part of the young of its side come from it; `count` how many fish of
    it were in the set; `sets` the sets that had it, with the parents in each. `stock` is "" for one nobody knows.
    `cut` is True when there is more behind it than is drawn.
    """

    stock: str
    sex: Sex = ""
    count: int | None = None
    share: float = 1.0
    sets: tuple[Parents, ...] = ()
    cut: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Parents:
    """A set with its fathers and mothers, and what share of the stock came from it. `breeding_set` is "" when the fish
    were taken out of another stock, which then stands alone among the `fathers`."""

    breeding_set: str
    share: float
    fathers: tuple[Ancestor, ...]
    mothers: tuple[Ancestor, ...]


def completeness(pedigree: Pedigree, stocks: Iterable[str] | None = None) -> dict[str, Completeness]:
    """How much is known of the ancestors of each stock, those in loops left out.

    Source: the sum over generations of the known share is the equivalent of complete generations of Maignel, Boichard
    and Verrier (1996), Interbull Bulletin 14, from memory.

    >>> completeness(Pedigree(stocks={}, sets={}, order=()))
    {}
    """
    shares: dict[tuple[str, str], tuple[float, ...]] = {}
    for kind, key in pedigree.order:
        if kind == "stock":
            shares[kind, key] = _of_stock(pedigree, key, shares)
        else:
            shares[kind, key] = _of_set(pedigree, key, shares)
    wanted = pedigree.stocks if stocks is None else stocks
    return {
        key: Completeness(generations=shares["stock", key], equivalent=sum(shares["stock", key]))
        for key in wanted
        if ("stock", key) in shares
    }


def _of_stock(
    pedigree: Pedigree, key: str, shares: dict[tuple[str, str], tuple[float, ...]]
) -> tuple[float, ...]:
    """The known shares of the ancestors of a stock: its sets', by their share of it."""
    stock = pedigree.stocks[key]
    whole = sum(one.share for one in stock.origin) or 1.0
    made: list[float] = []
    for one in stock.origin:
        if one.breeding_set in pedigree.sets:
            part = shares["set", one.breeding_set]
        elif not one.breeding_set and one.founders in pedigree.stocks:
            part = shares["stock", one.founders]
        else:
            continue
        _add(made, part, one.share / whole)
    return tuple(made)


def _of_set(
    pedigree: Pedigree, key: str, shares: dict[tuple[str, str], tuple[float, ...]]
) -> tuple[float, ...]:
    """The known shares of the ancestors of the young of a set."""
    breeding_set = pedigree.sets[key]
    sides = sides_of(breeding_set)
    made: list[float] = []
    for side in (sides.fathers, sides.mothers):
        for part in side:
            parent = breeding_set.members[part.member].stock
            if parent in pedigree.stocks:
                _add(made, (1.0, *shares["stock", parent]), part.share / 2)
    return tuple(made)


def _add(made: list[float], part: Iterable[float], weight: float) -> None:
    for place, one in enumerate(part):
        if place == len(made):
            made.append(0.0)
        made[place] += weight * one


def ancestry(pedigree: Pedigree, stock: str, *, generations: int = 4, most: int = MOST_BRANCHES) -> Ancestor:
    """A stock with its ancestors, `generations` back, with no more than `most` of them.

    >>> ancestry(Pedigree(stocks={}, sets={}, order=()), "a").stock
    ''
    """
    left = [most]
    return _ancestor(pedigree, stock, generations, left, "", None, 1.0)


def _ancestor(
    pedigree: Pedigree,
    stock: str,
    generations: int,
    left: list[int],
    sex: Sex,
    count: int | None,
    share: float,
) -> Ancestor:
    left[0] -= 1
    one = pedigree.stocks.get(stock)
    if one is None:
        return Ancestor(stock="", sex=sex, count=count, share=share)
    whole = sum(part.share for part in one.origin) or 1.0
    if one.origin and (generations == 0 or left[0] <= 0 or ("stock", stock) in pedigree.unordered):
        return Ancestor(stock=stock, sex=sex or one.sex, count=count, share=share, cut=True)
    sets: list[Parents] = []
    for part in one.origin:
        known = pedigree.sets.get(part.breeding_set)
        if known is not None:
            sides = sides_of(known)
            fathers, mothers = (
                tuple(
                    _ancestor(
                        pedigree,
                        known.members[who.member].stock,
                        generations - 1,
                        left,
                        name,
                        known.members[who.member].count,
                        who.share,
                    )
                    for who in side
                )
                or (Ancestor(stock="", sex=name),)
                for name, side in zip(_SEXES, (sides.fathers, sides.mothers), strict=True)
            )
            sets.append(
                Parents(breeding_set=known.id, share=part.share / whole, fathers=fathers, mothers=mothers)
            )
        elif not part.breeding_set and part.founders in pedigree.stocks:
            taken = _ancestor(pedigree, part.founders, generations - 1, left, "", None, 1.0)
            sets.append(Parents(breeding_set="", share=part.share / whole, fathers=(taken,), mothers=()))
    return Ancestor(stock=stock, sex=sex or one.sex, count=count, share=share, sets=tuple(sets))
