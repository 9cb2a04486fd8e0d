"""The order of a round: the shortest walk that never goes from dirty to clean without washing in between.

Up to twelve stops the walk is the shortest there is, by dynamic programming over sets of stops; with more it begins
with the nearest next stop and is shortened by turning pieces of it round as long as that helps and keeps the order.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from tankwright.husbandry.disinfection import STEP_MINUTES
from tankwright.husbandry.walk_lengths import Spot, walk_lengths
from tankwright.husbandry.zones import USUAL, ZoneOrder, dirtiest
from tankwright.units import Metre

EXACT: Final = 12
"""Stops up to which the shortest walk is sought among all."""

PASSES: Final = 300
"""How often a longer walk is shortened at most."""

NEAR: Final = 60
"""How many stops ahead a piece that is turned round may end, in walks longer than twice that."""

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Stop:
    """A place to be worked at.

    `grade` is how clean it is (`zones`), `unit` what it is shut off with, "" for what is not shut: two units must not
    meet. `spot` is where one stands, None where nobody knows; `order` is its place in walking order, which also decides
    between ways of one length.
    """

    id: str
    place: str
    grade: str
    unit: str = ""
    spot: Spot | None = None
    order: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Wash:
    """Hands washed, tools disinfected, and time: before `before`, because of what was worked at since the last one.
    `after` is the dirtiest of it, None where one came that way."""

    before: Stop
    after: Stop | None
    minutes: float = STEP_MINUTES


@dataclass(frozen=True, slots=True, kw_only=True)
class RoundOrder:
    """Stops and washings in the order of work. `metres` is the walk, straight from spot to spot and through doors; None
    where no spot is known. `exact` where no shorter one keeps the order."""

    parts: tuple[Stop | Wash, ...]
    metres: Metre | None
    exact: bool

    @property
    def stops(self) -> tuple[Stop, ...]:
        """The stops alone."""
        return tuple(one for one in self.parts if isinstance(one, Stop))


def dirties(dirty: Stop, clean: Stop, order: ZoneOrder = USUAL) -> bool:
    """Whether going from one stop to the other would carry something to where it must not come.

    From dirtier to cleaner it would; out of what is shut off to anything that is not dirtier still; and from one shut
    unit to another in any case.

    >>> one, other = Stop(id="1", place="Q1", grade="quarantine", unit="u"), Stop(id="2", place="A1", grade="normal")
    >>> dirties(one, other), dirties(other, one)
    (True, False)
    """
    if order.cleaner(clean.grade, dirty.grade):
        return True
    if not dirty.unit or dirty.unit == clean.unit:
        return False
    return bool(clean.unit) or not order.cleaner(dirty.grade, clean.grade)


def order_of_work(
    stops: Sequence[Stop],
    order: ZoneOrder = USUAL,
    *,
    start: Spot | None = None,
    been: Sequence[Stop] = (),
    doors: Sequence[Spot] = (),
) -> RoundOrder:
    """The order of a round: cleaner before dirtier, what is shut off together in one go, and the shortest walk of all
    that are so. What is shut off together counts as dirty as the dirtiest of it.

    `been` is where one has worked since hands and tools were washed last. `start` is where one begins, such as the
    door; `doors` join the spaces. ValueError where two stops have one id.

    >>> stops = [Stop(id="q", place="Q1", grade="quarantine", unit="u"), Stop(id="a", place="A1", grade="normal"),
    ...          Stop(id="f", place="F1", grade="fry")]
    >>> [one.place for one in order_of_work(stops).stops]
    ['F1', 'A1', 'Q1']
    """
    if len({one.id for one in stops}) < len(stops):
        raise ValueError("every stop of a round has an id of its own")
    stops = sorted(stops, key=lambda one: (one.order, one.id))
    known = bool(stops) and all(one.spot is not None for one in stops)
    lengths, first = _lengths(stops, start, doors)
    exact = len(stops) <= EXACT
    kinds = _Kinds.of(stops, order)
    route = _shortest(kinds, lengths, first) if exact else _short(kinds, lengths, first)
    metres = None
    if known:
        between = sum(float(lengths[a, b]) for a, b in pairwise(route))
        metres = between + (float(first[route[0]]) if route else 0.0)
    return RoundOrder(parts=_with_washing([stops[i] for i in route], order, been), metres=metres, exact=exact)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Kinds:
    """Stops by what decides their order: `kind` of each stop, the `unit` of each kind (-1 for none), and which kind
    has to come `before` which."""

    kind: NDArray[np.int64]
    unit: NDArray[np.int64]
    before: NDArray[np.bool_]

    @classmethod
    def of(cls, stops: Sequence[Stop], order: ZoneOrder) -> _Kinds:
        names = list(dict.fromkeys((one.grade, one.unit) for one in stops))
        worst = {
            unit: dirtiest([grade for grade, other in names if other == unit], order) for _, unit in names
        }
        units = list(dict.fromkeys(unit for _, unit in names if unit))
        before = np.zeros((len(names), len(names)), dtype=bool)
        for a, (grade, unit) in enumerate(names):
            for b, (other, other_unit) in enumerate(names):
                together = unit == other_unit
                here = grade if together or not unit else worst[unit]
                there = other if together or not other_unit else worst[other_unit]
                before[a, b] = order.cleaner(here, there)
        return cls(
            kind=np.array([names.index((one.grade, one.unit)) for one in stops], dtype=np.int64),
            unit=np.array([units.index(unit) if unit else -1 for _, unit in names], dtype=np.int64),
            before=before,
        )


def _lengths(stops: Sequence[Stop], start: Spot | None, doors: Sequence[Spot]) -> tuple[Floats, Floats]:
    """Metres between all stops, and from the start to each; places in walking order where no spot is known."""
    spots = [one.spot for one in stops if one.spot is not None]
    if stops and len(spots) == len(stops):
        whole = walk_lengths([*spots, *([start] if start is not None else [])], doors)
        count = len(stops)
        return whole[:count, :count], whole[count, :count] if start is not None else np.zeros(count)
    orders = np.array([one.order for one in stops], dtype=float)
    return np.abs(orders[:, None] - orders[None, :]), orders - (orders.min() if len(orders) else 0.0)


def _with_washing(route: Sequence[Stop], order: ZoneOrder, been: Sequence[Stop]) -> tuple[Stop | Wash, ...]:
    """Washings where they are needed and no earlier, which is as few as this order allows."""
    parts: list[Stop | Wash] = []
    since: dict[tuple[str, str], tuple[Stop, bool]] = {}
    for one in been:
        since.setdefault((one.grade, one.unit), (one, True))
    for stop in route:
        dirt = [(one, before) for one, before in since.values() if dirties(one, stop, order)]
        if dirt:
            worst, before = dirt[0]
            for one, came in dirt[1:]:
                if order.cleaner(worst.grade, one.grade):
                    worst, before = one, came
            parts.append(Wash(before=stop, after=None if before else worst))
            since = {}
        parts.append(stop)
        since.setdefault((stop.grade, stop.unit), (stop, False))
    return tuple(parts)


def _shortest(kinds: _Kinds, lengths: Floats, first: Floats) -> list[int]:
    """The best of all orders: costs of every set of stops done with the last of them, sets of one size at a time."""
    count = len(kinds.kind)
    if count == 0:
        return []
    units = [int(one) for one in kinds.unit[kinds.kind]]
    needs = kinds.before[kinds.kind[:, None], kinds.kind[None, :]]
    before = [sum(1 << i for i in range(count) if needs[i, j]) for j in range(count)]
    unit = [sum(1 << i for i in range(count) if units[j] >= 0 and units[i] == units[j]) for j in range(count)]
    cost = np.full((1 << count, count), np.inf)
    came = np.full((1 << count, count), -1, dtype=np.int64)
    for j in range(count):
        if before[j] == 0:
            cost[1 << j, j] = first[j]
    sets = np.arange(1 << count)
    sizes = np.array([int(one).bit_count() for one in sets])
    for size in range(1, count):
        layer = sets[sizes == size]
        for j in range(count):
            ready = layer[((layer >> j) & 1 == 0) & (layer & before[j] == before[j])]
            if not len(ready):
                continue
            costs = cost[ready] + lengths[:, j]
            for i in range(count):
                if unit[i] and not unit[i] >> j & 1:  # what is shut off together is worked at in one go
                    costs[(unit[i] & ~ready) != 0, i] = np.inf
            best = np.argmin(costs, axis=1)
            there = ready | (1 << j)
            cost[there, j] = costs[np.arange(len(ready)), best]
            came[there, j] = best
    done = (1 << count) - 1
    last = int(np.argmin(cost[done]))
    route = []
    while last >= 0:
        route.append(last)
        done, last = done & ~(1 << last), int(came[done, last])
    return route[::-1]


def _short(kinds: _Kinds, lengths: Floats, first: Floats) -> list[int]:
    """The nearest next stop that may come, then pieces turned round."""
    left = np.bincount(kinds.kind, minlength=len(kinds.unit))
    unit = kinds.unit[kinds.kind]
    waiting = np.ones(len(unit), dtype=bool)
    route: list[int] = []
    while len(route) < len(unit):
        waits = np.any(kinds.before & np.asarray(left > 0)[:, None], axis=0)
        ready = waiting & ~np.asarray(waits)[kinds.kind]
        if route and unit[route[-1]] >= 0:
            same = ready & (unit == unit[route[-1]])
            ready = same if same.any() else ready
        here = int(np.argmin(np.where(ready, lengths[route[-1]] if route else first, np.inf)))
        route.append(here)
        waiting[here] = False
        left[kinds.kind[here]] -= 1
    return _turned(route, _blocks([int(kinds.kind[one]) for one in route], kinds), lengths, first)


def _blocks(route: Sequence[int], kinds: _Kinds) -> list[tuple[int, int]]:
    """Pieces of a walk, told by the kinds of its stops, within which any order is allowed."""
    blocks, begin = [], 0
    for end in range(1, len(route) + 1):
        if end == len(route) or any(
            kinds.unit[one] != kinds.unit[route[end]]
            or kinds.before[one, route[end]]
            or kinds.before[route[end], one]
            for one in set(route[begin:end])
        ):
            blocks.append((begin, end))
            begin = end
    return blocks


def _turned(route: list[int], blocks: Sequence[tuple[int, int]], lengths: Floats, first: Floats) -> list[int]:
    """Pieces inside each block turned round while the whole walk gets shorter by it."""
    for _ in range(PASSES):
        best, piece = -1e-9, (0, 0)
        for begin, end in blocks:
            if end - begin > 1:
                gain, found = _best_turn(np.array(route), begin, end, lengths, first)
                if gain < best:
                    best, piece = gain, found
        if piece == (0, 0):
            break
        low, high = piece
        route[low:high] = route[low:high][::-1]
    return route


def _best_turn(
    route: NDArray[np.int64], begin: int, end: int, lengths: Floats, first: Floats
) -> tuple[float, tuple[int, int]]:
    """The turn within a block that saves most: how much the walk changes by it, and from where to where it is."""
    heads = np.arange(begin, end)
    span = end - begin if end - begin <= 2 * NEAR else NEAR
    steps = np.arange(1, span)
    tails = heads[:, None] + steps[None, :]  # the last stop of the piece
    inside = tails < end
    tails = np.minimum(tails, end - 1)
    head_stop, tail_stop = route[heads][:, None], route[tails]
    before = route[np.maximum(heads - 1, 0)][:, None]
    after = route[np.minimum(tails + 1, len(route) - 1)]
    first_one = np.asarray(heads == 0)[:, None]
    last_one = np.asarray(tails == len(route) - 1)
    entry = np.where(
        first_one, first[tail_stop] - first[head_stop], _of(lengths, before, tail_stop, head_stop)
    )
    leave = np.where(last_one, 0.0, lengths[head_stop, after] - lengths[tail_stop, after])
    change = np.where(inside, entry + leave, np.inf)
    if not change.size:
        return 0.0, (0, 0)
    row, column = np.unravel_index(int(np.argmin(change)), change.shape)
    return float(change[row, column]), (int(heads[row]), int(tails[row, column]) + 1)


def _of(lengths: Floats, before: Any, new: Any, old: Any) -> Floats:
    return np.asarray(lengths[before, new] - lengths[before, old], dtype=np.float64)
