"""Laying pieces on sheets so that every cut goes from edge to edge: a portfolio of rules, the best of them kept.

Each rule is a way to choose the place of a piece and a way to split what is left of it (the guillotine variants of
rectpack), with an order of the pieces. Sizes are whole tenths of a millimetre, the kerf added to pieces and sheets
alike. The same pieces always give the same plan: nothing here is drawn by chance or cut off by a clock.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from itertools import product
from typing import Any, Final, NamedTuple

from tankwright.takeoff.sheet_cuts import Box, Parted, part

_PLACES: Final = ("Bssf", "Baf", "Blsf")
_SPLITS: Final = ("Slas", "Minas", "Sas", "Las")
"""Best first, as tried on forty jobs of 15 to 80 pieces; the two left out never won alone."""
_WORK: Final = 120_000
"""Pieces tried in all while searching; about a second."""


class Item(NamedTuple):
    """One piece, and which of the owner's it is."""

    of: int
    width: int
    height: int
    turns: bool


class Bin(NamedTuple):
    """A kind of sheet: what it costs (in whatever is to be least), and how many there are."""

    of: int
    width: int
    height: int
    cost: float
    limit: int | None


class Laid(NamedTuple):
    """A sheet with pieces on it, and the cuts that part them."""

    bin: Bin
    items: tuple[Item, ...]
    boxes: tuple[Box, ...]
    parted: Parted


class Packing(NamedTuple):
    """Sheets with all that could be laid, and what could not."""

    sheets: tuple[Laid, ...]
    left: tuple[Item, ...]

    @property
    def cost(self) -> float:
        """What the sheets cost together."""
        return sum(sheet.bin.cost for sheet in self.sheets)

    @property
    def rank(self) -> tuple[int, float, int, int]:
        """Less is better: pieces left out, cost, sheets; then what is used of each squared, so that what is left
        is left in one."""
        used = (sum(box.width * box.height for box in sheet.boxes) for sheet in self.sheets)
        return len(self.left), round(self.cost, 6), len(self.sheets), -sum(area * area for area in used)


def fits(item: Item, kind: Bin) -> bool:
    """True when a piece lies on an empty sheet of that kind."""
    upright = item.width <= kind.width and item.height <= kind.height
    return upright or (item.turns and item.height <= kind.width and item.width <= kind.height)


_ORDERS: Final[tuple[Callable[[Item], tuple[int, ...]], ...]] = (
    lambda one: (one.width + one.height,),
    lambda one: (max(one.width, one.height), min(one.width, one.height)),
    lambda one: (min(one.width, one.height), max(one.width, one.height)),
    lambda one: (one.width * one.height,),
    lambda one: (one.width, one.height),
    lambda one: (one.height, one.width),
)


class _Rule(NamedTuple):
    maker: Any  # a class of rectpack, which has no types
    merge: bool


def _rules() -> list[_Rule]:
    from rectpack import guillotine  # noqa: PLC0415 - only who cuts sheets waits for it

    return [
        _Rule(getattr(guillotine, f"Guillotine{place}{split}"), merge)
        for merge, split, place in product((True, False), _SPLITS, _PLACES)
    ]


class _Search:
    """What was tried, and the best of it."""

    def __init__(self, items: Sequence[Item], bins: Sequence[Bin]) -> None:
        self.items, self.bins = items, bins
        self.work = 0
        self.best: Packing | None = None
        self.ways: list[tuple[tuple[int, float, int, int], _Rule, tuple[Bin, ...]]] = []

    def offer(self, made: Packing) -> None:
        if self.best is None or made.rank < self.best.rank:
            self.best = made

    def run(self, rule: _Rule, order: Sequence[Item], bins: Sequence[Bin]) -> Packing:
        """Sheet after sheet, each of the kind whose used area costs the least."""
        rest, sheets = list(order), []
        taken: Counter[int] = Counter()
        while rest:
            made = [
                laid
                for kind in bins
                if (kind.limit is None or taken[kind.of] < kind.limit)
                and (laid := self.fill(rule, rest, kind)) is not None
            ]
            if not made:
                break
            chosen = min(made, key=_rate)
            taken[chosen.bin.of] += 1
            sheets.append(chosen)
            gone = Counter(chosen.items)
            kept = []
            for item in rest:
                if gone[item]:
                    gone[item] -= 1
                else:
                    kept.append(item)
            rest = kept
        return Packing(tuple(sheets), tuple(rest))

    def fill(self, rule: _Rule, order: Sequence[Item], kind: Bin) -> Laid | None:
        """One sheet: each piece in turn where the rule puts it. None when nothing fits, or when merging of what is
        left over made a layout that cannot be cut from edge to edge."""
        sheet = rule.maker(kind.width, kind.height, merge=rule.merge)
        items, boxes = [], []
        refused: set[tuple[int, int, bool]] = set()  # sizes: what is left of a sheet only gets smaller
        for item in order:
            if item[1:] in refused:
                continue
            self.work += 1
            sheet.rot = item.turns
            laid = sheet.add_rect(item.width, item.height)
            if laid is None:
                refused.add(item[1:])
            else:
                items.append(item)
                boxes.append(Box(laid.x, laid.y, laid.width, laid.height))
        if not items:
            return None
        parted = part(Box(0, 0, kind.width, kind.height), boxes)
        return None if parted is None else Laid(kind, tuple(items), tuple(boxes), parted)


def _rate(laid: Laid) -> tuple[float, int]:
    used = sum(box.width * box.height for box in laid.boxes)
    return laid.bin.cost / used, -used


def pack(items: Sequence[Item], bins: Sequence[Bin], enough: float) -> Packing:
    """The best plan of the portfolio. It stops at a cost of `enough`: no plan can be better.

    >>> halves = [Item(0, 10, 5, True)] * 4
    >>> pack(halves, [Bin(0, 10, 10, 1.0, None)], 2.0).cost
    2.0
    """
    if not items:
        return Packing((), ())
    search = _Search(items, bins)
    rules = _rules()
    for rule, order, chosen in product(rules, _ORDERS, _choices(bins, items)):
        made = search.run(rule, _sorted(items, order), chosen)
        search.offer(made)
        search.ways.append((made.rank, rule, chosen))
        if _done(search, enough):
            break
    search.ways.sort(key=lambda way: way[0])
    for made in () if _done(search, enough) else _reordered(search):
        search.offer(made)
        if _done(search, enough):
            break
    _smaller(search, rules)
    return _best(search)


def _sorted(items: Sequence[Item], order: Callable[[Item], tuple[int, ...]]) -> list[Item]:
    return sorted(items, key=lambda one: (*(-size for size in order(one)), one.of))


def _best(search: _Search) -> Packing:
    return search.best or Packing((), tuple(search.items))


def _done(search: _Search, enough: float) -> bool:
    best = search.best
    return best is not None and ((not best.left and best.cost <= enough + 1e-6) or search.work > _WORK)


def _choices(bins: Sequence[Bin], items: Sequence[Item]) -> Iterator[tuple[Bin, ...]]:
    """All kinds of sheet together; then, of those one buys, each alone with what is on hand."""
    yield tuple(bins)
    bought = [kind for kind in bins if kind.limit is None]
    if len(bought) > 1:
        for kind in bought:
            if all(fits(item, kind) for item in set(items)):
                yield (*(one for one in bins if one.limit is not None), kind)


def _reordered(search: _Search) -> Iterator[Packing]:
    """Pieces that came last come earlier the next time: what is hard to place is placed while there is room."""
    for _, rule, chosen in search.ways[:8]:
        weight = {item: float(item.width * item.height) for item in search.items}
        for _ in range(12):
            queue = sorted(search.items, key=lambda one: (-weight[one], one.of))
            made = search.run(rule, queue, chosen)
            if not made.sheets:
                break
            yield made
            emptiest = min(made.sheets, key=lambda sheet: sum(box.width * box.height for box in sheet.boxes))
            for item in {*emptiest.items, *made.left}:
                weight[item] *= 1.3


def _smaller(search: _Search, rules: Sequence[_Rule]) -> None:
    """Each sheet of the best plan changed for the cheapest kind on which its pieces still lie."""
    best = search.best
    if best is None or len(search.bins) == 1:
        return
    taken = Counter(sheet.bin.of for sheet in best.sheets)
    sheets = list(best.sheets)
    for number, sheet in enumerate(sheets):
        for kind in sorted(search.bins, key=lambda one: (one.cost, one.of)):
            if kind.cost >= sheet.bin.cost:
                break
            if kind.limit is not None and taken[kind.of] >= kind.limit:
                continue
            found = next((laid for laid in _ways(search, rules, sheet, kind)), None)
            if found is not None:
                taken[sheet.bin.of] -= 1
                taken[kind.of] += 1
                sheets[number] = found
                break
    search.offer(Packing(tuple(sheets), best.left))


def _ways(search: _Search, rules: Sequence[_Rule], sheet: Laid, kind: Bin) -> Iterator[Laid]:
    if sum(box.width * box.height for box in sheet.boxes) > kind.width * kind.height:
        return
    for order in _ORDERS[:3]:
        queue = _sorted(sheet.items, order)
        for rule in rules:
            laid = search.fill(rule, queue, kind)
            if laid is not None and len(laid.items) == len(sheet.items):
                yield laid
