"""The table of kinships, row by row: founders first, then each stock's fish as they sit in sets, then the young.

Three layers are kept when something is not known: what is expected, the least and the most. All rules add and
multiply numbers that are never below nothing, so the least of what comes in gives the least of what comes out; the
bounds may be wider than what can be, never narrower.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from tankwright.husbandry.kinship_fish import FATHER, MOTHER, Fish, chance_same, fish_of, known_as, phantom_of
from tankwright.husbandry.pedigree import Pedigree, closure
from tankwright.husbandry.register import Stock
from tankwright.husbandry.shares import Part, Sides, least, sides_of

Numbers = NDArray[np.float64]
Shares = tuple[tuple[int, float], ...]


@dataclass(slots=True, kw_only=True)
class Layers:
    """The table while it is made, and what is read from it. `table` is layer, row, column; `inbred` layer, row."""

    table: Numbers
    inbred: Numbers
    used: int = 0
    sources: dict[str, Shares] = field(
        default_factory=dict
    )  # of a stock: rows of founders and young, with shares
    anyone: dict[str, int] = field(default_factory=dict)  # of a stock: the row of one of its fish
    young: dict[str, int] = field(default_factory=dict)  # of a set: the row of its young
    rows: dict[tuple[str, int], int] = field(default_factory=dict)  # of a member of a set
    fish: dict[int, Fish] = field(default_factory=dict)  # what is known of the fish of a row
    of_stock: dict[str, list[int]] = field(default_factory=dict)
    of_identity: dict[tuple[str, ...], list[int]] = field(default_factory=dict)

    def own_inbreeding(self, stock: str) -> Numbers | None:
        """The inbreeding of a fish of a stock, in each layer."""
        shares = self.sources.get(stock)
        return None if shares is None else self._three(_mixed(self.inbred, shares))

    def own_kinship(self, stock: str) -> Numbers | None:
        """The kinship of two different fish of a stock."""
        shares = self.sources.get(stock)
        if shares is None:
            return None
        return self._three(_two(self.table, shares))

    def between(self, one: str, other: str) -> Numbers | None:
        """The kinship of fish of two stocks."""
        if one not in self.anyone or other not in self.anyone:
            return None
        return self._three(self.table[:, self.anyone[one], self.anyone[other]])

    def young_inbreeding(self, breeding_set: str) -> Numbers | None:
        """The inbreeding of the young of a set."""
        row = self.young.get(breeding_set)
        return None if row is None else self._three(self.inbred[:, row])

    def young_kinship(self, breeding_set: str) -> Numbers | None:
        """The kinship of two of the young of a set."""
        return self.between_young(breeding_set, breeding_set)

    def between_young(self, one: str, other: str) -> Numbers | None:
        """The kinship of the young of two sets."""
        if one not in self.young or other not in self.young:
            return None
        return self._three(self.table[:, self.young[one], self.young[other]])

    def _three(self, numbers: Numbers) -> Numbers:
        return np.asarray(numbers if len(numbers) == 3 else np.repeat(numbers, 3))


def build(pedigree: Pedigree, stocks: Sequence[str], sets: Sequence[str], unknown: float) -> Layers:
    """The table for stocks, sets and all they come from; what stands in a loop is not in it.

    >>> from tankwright.husbandry.pedigree import pedigree_of
    >>> build(pedigree_of((), ()), (), (), 0.0).used
    0
    """
    wanted = closure(pedigree, stocks, sets)
    order = [node for node in pedigree.order if node in wanted]
    kept = [key for kind, key in order if kind == "stock"]
    chosen = [key for kind, key in order if kind == "set"]
    fish = fish_of(pedigree, kept, chosen)
    sides = {key: sides_of(pedigree.sets[key]) for key in chosen}
    founders, lone = _founders(pedigree, kept, chosen, sides)
    fish |= lone
    size = len(founders) + sum(len(ones) for ones in fish.values()) + len(chosen)
    layers = Layers(
        table=np.zeros((3 if _unsure(fish, sides) else 1, size, size)), inbred=np.zeros((3, size))
    )
    layers.inbred = layers.inbred[: len(layers.table)]
    _found(layers, founders, unknown)
    for one in (one for key in fish if key.startswith("?") for one in fish[key]):
        _fish(layers, one)
    for kind, key in order:
        if kind == "stock":
            layers.sources[key] = _sources(layers, pedigree, key)
            for one in fish[key]:
                _fish(layers, one)
        else:
            _young(layers, key, sides[key])
    return layers


def _unsure(fish: dict[str, tuple[Fish, ...]], sides: dict[str, Sides]) -> bool:
    """Whether anything is bounded only, so that three layers must be kept."""
    if any(part.said for one in sides.values() for part in (*one.fathers, *one.mothers)):
        return True
    for ones in fish.values():
        for i, one in enumerate(ones):
            for other in ones[:i]:
                expected, low, high = chance_same(one, other)
                if low < expected or high > expected:
                    return True
    return False


def _founders(
    pedigree: Pedigree, stocks: Sequence[str], sets: Sequence[str], sides: dict[str, Sides]
) -> tuple[dict[str, Stock], dict[str, tuple[Fish, ...]]]:
    """The stocks that are founders, those that stand for what nobody knows among them, and fish for unknown parents."""
    made = {key: pedigree.stocks[key] for key in stocks if _from_outside(pedigree, pedigree.stocks[key])}
    lone: dict[str, tuple[Fish, ...]] = {}
    for key in sets:
        breeding_set = pedigree.sets[key]
        for member in breeding_set.members:
            name = known_as(pedigree, member.stock)
            if name.startswith("?") and name not in made:
                made[name] = phantom_of(pedigree, breeding_set, name)
        for place, side in ((FATHER, sides[key].fathers), (MOTHER, sides[key].mothers)):
            if not side:
                name = f"?{key}?{place}"
                made[name] = phantom_of(pedigree, breeding_set, name)
                lone[name] = (
                    Fish(
                        stock=name,
                        kind="individual",
                        number=1.0,
                        identity=("stock", name),
                        names=((key, place),),
                    ),
                )
    return made, lone


def _from_outside(pedigree: Pedigree, stock: Stock) -> bool:
    """True for a stock of which some part at least comes from outside, or from a set of which nothing is known."""
    return not stock.origin or any(
        share.breeding_set not in pedigree.sets
        and (bool(share.breeding_set) or share.founders not in pedigree.stocks)
        for share in stock.origin
    )


def _found(layers: Layers, founders: dict[str, Stock], unknown: float) -> None:
    """A row for each stock of founders; how its fish are related to others is taken, not known."""
    made = tuple(founders.values())
    for row, one in enumerate(made):
        layers.sources[one.id] = ((row, 1.0),)
        layers.table[:, row, row] = one.kinship if one.kinship is not None else unknown
        for place, other in enumerate(made[:row]):
            layers.table[:, row, place] = layers.table[:, place, row] = _bought(one, other, unknown)
    layers.used = len(made)


def _bought(one: Stock, other: Stock, unknown: float) -> float:
    """What is taken for fish of two stocks of founders."""
    if one.line != other.line or (one.came_from and other.came_from and one.came_from != other.came_from):
        return 0.0
    return unknown


def _sources(layers: Layers, pedigree: Pedigree, key: str) -> Shares:
    """The rows a fish of a stock may come from, with their shares, which sum to 1."""
    stock = pedigree.stocks[key]
    if not stock.origin:
        return layers.sources[key]
    whole = sum(share.share for share in stock.origin) or 1.0
    found: dict[int, float] = {}
    for share in stock.origin:
        if share.breeding_set in layers.young:
            parts: Shares = ((layers.young[share.breeding_set], 1.0),)
        elif not share.breeding_set and share.founders in layers.sources:
            parts = layers.sources[share.founders]
        else:
            parts = layers.sources[key]  # a set nothing is known of: founders of their own
        for row, part in parts:
            found[row] = found.get(row, 0.0) + part * share.share / whole
    return tuple(found.items())


def _mixed(numbers: Numbers, shares: Shares) -> Numbers:
    """Rows of numbers (layer, row, ...) mixed by shares."""
    made = np.zeros_like(numbers[:, 0])
    for row, share in shares:
        made += share * numbers[:, row]
    return made


def _two(table: Numbers, shares: Shares) -> Numbers:
    """The kinship of two different fish that come from rows with shares, in each layer."""
    rows, parts = [row for row, _ in shares], np.array([share for _, share in shares])
    return np.asarray(table[:, rows][:, :, rows] @ parts @ parts)


def _fish(layers: Layers, one: Fish) -> None:
    """A row for certain fish of a stock: like any of it, but the very same as in other rows where they are."""
    row, table = layers.used, layers.table
    shares = layers.sources[one.stock]
    inbred = _mixed(layers.inbred, shares)
    itself = (1 + inbred) / 2
    values = _mixed(table[:, :, :row], shares)
    for place in sorted({*layers.of_stock.get(one.stock, ()), *layers.of_identity.get(one.identity, ())}):
        values[:, place] = _same(chance_same(one, layers.fish[place]), itself, values[:, place])
    two = _two(table, shares)
    chance = 1 / one.number
    table[:, row, :row] = table[:, :row, row] = values
    table[:, row, row] = chance * itself + (1 - chance) * two
    layers.inbred[:, row] = inbred
    layers.fish[row] = one
    layers.of_stock.setdefault(one.stock, []).append(row)
    layers.of_identity.setdefault(one.identity, []).append(row)
    if one.anyone:
        layers.anyone[one.stock] = row
    layers.rows.update(dict.fromkeys(one.names, row))
    layers.used += 1


def _same(chances: tuple[float, float, float], itself: Numbers, other: Numbers) -> Numbers:
    """Kinship of fish that may be the very same ones: expected, with the least and the most chance that they are."""
    chance = np.array(chances[: len(itself)])
    return np.asarray(chance * itself + (1 - chance) * other)


def _young(layers: Layers, key: str, sides: Sides) -> None:
    """A row for the young of a set, from the rows of its fathers and mothers."""
    row, table = layers.used, layers.table
    fathers, first = _side(layers, key, sides.fathers, FATHER)
    mothers, second = _side(layers, key, sides.mothers, MOTHER)
    for layer, part in enumerate(table):
        half = (bound(part[first, :row], fathers, layer) + bound(part[second, :row], mothers, layer)) / 2
        part[row, :row] = part[:row, row] = half
        part[row, row] = (bound(half[first], fathers, layer) + bound(half[second], mothers, layer)) / 2
        pairs = part[np.ix_(first, second)]
        itself = (1 + layers.inbred[layer, first]) / 2
        layers.inbred[layer, row] = inbreeding(pairs, itself, fathers, mothers, layer)
    layers.young[key] = row
    layers.used += 1


def bound(values: Numbers, parts: Sequence[Part], layer: int) -> Numbers:
    """Values, one row a part, by the shares that are expected (layer 0), or that give the least (1) or the most (2).

    >>> bound(np.array([0.25, 0.5]), (Part(member=0, fish=1, share=0.6, low=0, high=1),
    ...     Part(member=1, fish=1, share=0.4, low=0, high=1)), 0).round(6).item()
    0.35
    """
    if layer == 0:
        return np.asarray(np.array([one.share for one in parts]) @ values)
    return least(values, parts) if layer == 1 else -least(-values, parts)


def inbreeding(
    pairs: Numbers, itself: Numbers, fathers: Sequence[Part], mothers: Sequence[Part], layer: int
) -> float:
    """The inbreeding of young from the kinship of each father (row) with each mother (column).

    Fish whose sex is not known stand on both sides; none of them is both parents. `itself` is the kinship of each
    father with himself.

    >>> one = (Part(member=0, fish=2, share=1, low=1, high=1),)  # two full brothers or sisters, which is which unknown
    >>> inbreeding(np.array([[0.375]]), np.array([0.5]), one, one, 0)
    0.25
    """
    pairs = pairs.copy()
    chances = np.outer([float(one.share) for one in fathers], [float(one.share) for one in mothers])
    for i, father in enumerate(fathers):
        for k, mother in enumerate(mothers):
            if father.member == mother.member and father.member >= 0:
                alone = 1 / father.fish
                pairs[i, k] = (pairs[i, k] - alone * itself[i]) / (1 - alone) if alone < 1 else np.nan
                chances[i, k] *= 1 - alone
    if layer and any(one.said for one in (*fathers, *mothers)):
        fill = np.nanmin(pairs) if layer == 1 else np.nanmax(pairs)
        pairs = np.where(np.isnan(pairs), fill, pairs)
        return float(bound(bound(pairs.T, mothers, layer), fathers, layer))
    return float(np.nansum(chances * pairs) / chances.sum())


def _side(
    layers: Layers, key: str, parts: tuple[Part, ...], place: int
) -> tuple[tuple[Part, ...], list[int]]:
    """The parts of one side with their rows; a parent nobody knows is one fish of its own."""
    if not parts:
        parts = (Part(member=place, fish=1.0, share=1.0, low=1.0, high=1.0),)
    return parts, [layers.rows[key, one.member] for one in parts]
