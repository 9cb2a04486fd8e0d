"""Who came from whom: stocks and breeding sets in an order in which parents come first, or the loop that forbids it."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Literal

from tankwright.husbandry.register import BreedingSet, Stock

Node = tuple[Literal["stock", "set"], str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Pedigree:
    """Stocks and the sets they came from. `order` has each after all it comes from. What stands in a loop, or came from
    one, is in no order: it is in `unordered`, and each loop found is in `loops`, by the nodes passed.

    `unknown_stocks` and `unknown_sets` are ids that something names and nothing is known of; fish from there are
    taken for founders.
    """

    stocks: Mapping[str, Stock]
    sets: Mapping[str, BreedingSet]
    order: tuple[Node, ...]
    unordered: frozenset[Node] = frozenset()
    loops: tuple[tuple[Node, ...], ...] = ()
    unknown_stocks: frozenset[str] = frozenset()
    unknown_sets: frozenset[str] = frozenset()

    def founders_of(self, stock: str) -> bool:
        """True for fish of which no set here is known to have had them, nor any stock they were split from."""
        one = self.stocks.get(stock)
        return one is None or not any(self._known(share.breeding_set, share.founders) for share in one.origin)

    def _known(self, breeding_set: str, founders: str) -> bool:
        return breeding_set in self.sets or founders in self.stocks


def pedigree_of(stocks: Iterable[Stock], sets: Iterable[BreedingSet]) -> Pedigree:
    """Stocks and sets as one pedigree. A loop is no error: what it touches is left out of the order.

    >>> pedigree_of((), ()).order
    ()
    """
    by_stock = {one.id: one for one in stocks}
    by_set = {one.id: one for one in sets}
    before = _before(by_stock, by_set)
    after: dict[Node, list[Node]] = {node: [] for node in before}
    waits = {node: len(olds) for node, olds in before.items()}
    for node, olds in before.items():
        for old in olds:
            after[old].append(node)
    ready = deque(node for node, count in waits.items() if count == 0)
    order: list[Node] = []
    while ready:
        node = ready.popleft()
        order.append(node)
        for later in after[node]:
            waits[later] -= 1
            if waits[later] == 0:
                ready.append(later)
    left = frozenset(before) - frozenset(order)
    named = {share.breeding_set for one in by_stock.values() for share in one.origin if share.breeding_set}
    members = {member.stock for one in by_set.values() for member in one.members}
    members |= {share.founders for one in by_stock.values() for share in one.origin if share.founders}
    return Pedigree(
        stocks=by_stock,
        sets=by_set,
        order=tuple(order),
        unordered=left,
        loops=_loops(before, left),
        unknown_stocks=frozenset(members - set(by_stock)),
        unknown_sets=frozenset(named - set(by_set)),
    )


def _before(stocks: Mapping[str, Stock], sets: Mapping[str, BreedingSet]) -> dict[Node, tuple[Node, ...]]:
    """What must be known before each stock and set is."""
    before: dict[Node, dict[Node, None]] = {("stock", key): {} for key in stocks}
    before.update({("set", key): {} for key in sets})
    for key, stock in stocks.items():
        for share in stock.origin:
            if share.breeding_set in sets:
                before["stock", key]["set", share.breeding_set] = None
            elif share.founders in stocks and not share.breeding_set:
                before["stock", key]["stock", share.founders] = None
    for key, one in sets.items():
        for member in one.members:
            if member.stock in stocks:
                before["set", key]["stock", member.stock] = None
                # the very fish of an earlier set must be known before the young of that set are
                if member.same_as in sets and member.same_as != key:
                    before["set", member.same_as]["stock", member.stock] = None
    return {node: tuple(olds) for node, olds in before.items()}


def _loops(before: Mapping[Node, tuple[Node, ...]], left: frozenset[Node]) -> tuple[tuple[Node, ...], ...]:
    """One loop for each way back that never ends, each once, from ancestor to descendant."""
    found: list[tuple[Node, ...]] = []
    seen: set[Node] = set()
    for start in before:
        if start not in left:
            continue
        path: list[Node] = []
        place: dict[Node, int] = {}
        node = start
        while node not in seen and node not in place:
            place[node] = len(path)
            path.append(node)
            node = next(old for old in before[node] if old in left)
        if node in place:
            found.append(tuple(reversed(path[place[node] :])))
        seen.update(path)
    return tuple(found)


def closure(pedigree: Pedigree, stocks: Iterable[str], sets: Iterable[str] = ()) -> frozenset[Node]:
    """These stocks and sets with all they come from.

    >>> closure(pedigree_of((), ()), ())
    frozenset()
    """
    before = _before(pedigree.stocks, pedigree.sets)
    todo: list[Node] = [("stock", key) for key in stocks if key in pedigree.stocks]
    todo += [("set", key) for key in sets if key in pedigree.sets]
    found: set[Node] = set()
    while todo:
        node = todo.pop()
        if node not in found:
            found.add(node)
            todo.extend(before[node])
    return frozenset(found)


def descendants(pedigree: Pedigree, stock: str) -> frozenset[str]:
    """Ids of all stocks that come from a stock, itself left out.

    >>> descendants(pedigree_of((), ()), "a")
    frozenset()
    """
    before = _before(pedigree.stocks, pedigree.sets)
    after: dict[Node, list[Node]] = {}
    for node, olds in before.items():
        for old in olds:
            after.setdefault(old, []).append(node)
    todo: list[Node] = [("stock", stock)]
    found: set[Node] = set()
    while todo:
        for later in after.get(todo.pop(), []):
            if later not in found:
                found.add(later)
                todo.append(later)
    return frozenset(key for kind, key in found if kind == "stock") - {stock}
