"""What no plan of cutting sheets goes under: by area, by pieces that do not share a sheet, by the cheapest mix.

With one kind of sheet the sides of the pieces are first rounded by dual feasible functions: maps of 0 to 1 under
which what fits together still sums to no more than 1 (Fekete and Schepers 2004, from memory), so that the sum of the
rounded areas bounds the number of sheets too. Sizes are whole numbers with the kerf added, as in `sheet_packing`.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Sequence
from typing import Final

from tankwright.takeoff.sheet_packing import Bin, Item, fits

_TINY: Final = 1e-6  # under any share that counts; sums of floats are taken down by it, never up
_STEPS: Final = 16  # thresholds tried for each side
_SECONDS: Final = 2.0

_Round = Callable[[int, int], float]


def least(items: Sequence[Item], bins: Sequence[Bin]) -> tuple[float, str]:
    """The least that any plan can cost, and what shows it. Every piece must fit on some sheet.

    >>> least([Item(0, 6, 6, True)] * 3, [Bin(0, 10, 10, 1.0, None)])
    (3.0, 'no two of 3 pieces lie on one sheet')
    >>> least([Item(0, 5, 5, True)] * 5, [Bin(0, 10, 10, 1.0, None)])
    (2.0, 'the area of the pieces fills more than 1 sheet')
    """
    if not items:
        return 0.0, "there is nothing to cut"
    apart = len(_none_together(items, bins))
    if len(bins) > 1 or bins[0].limit is not None:
        return _mix(items, bins, apart)
    kind = bins[0]
    area = sum(one.width * one.height for one in items) / (kind.width * kind.height)
    known = [
        (math.ceil(area - _TINY), "the area of the pieces fills more than {} sheet{}"),
        (apart, f"no two of {apart} pieces lie on one sheet"),
        (_rounded(items, kind), "the pieces with the room beside them that none can use fill more than {} sheet{}"),
    ]  # fmt: skip
    count, how = max(known, key=lambda one: one[0])
    return count * kind.cost, how.format(count - 1, "" if count == 2 else "s")


def _rounded(items: Sequence[Item], kind: Bin) -> int:
    sizes = Counter((one.width, one.height, one.turns) for one in items)
    across = _rounds({side for w, h, turns in sizes for side in ((w, h) if turns else (w,))}, kind.width)
    up = _rounds({side for w, h, turns in sizes for side in ((w, h) if turns else (h,))}, kind.height)
    best = 0
    for first in across:
        for second in up:
            total = 0.0
            for (width, height, turns), count in sizes.items():
                ways = [(width, height), (height, width)] if turns else [(width, height)]
                total += count * min(
                    first(w, kind.width) * second(h, kind.height)
                    for w, h in ways
                    if w <= kind.width and h <= kind.height
                )
            best = max(best, math.ceil(total - _TINY))
    return best


def _rounds(sides: set[int], whole: int) -> list[_Round]:
    """The maps worth trying: as it is; to the halves, thirds ...; small ones dropped and their partners made whole."""
    small = sorted(side for side in sides if 2 * side <= whole)
    step = max(1, len(small) // _STEPS)
    dropped = [_drop(side + 1) for side in small[::step] if 2 * (side + 1) <= whole]
    return [lambda side, of: side / of, *(_parts(parts) for parts in (1, 2, 3, 4)), *dropped]


def _parts(parts: int) -> _Round:
    def rounded(side: int, whole: int) -> float:
        times, over = divmod((parts + 1) * side, whole)
        return side / whole if over == 0 else times / parts

    return rounded


def _drop(least_side: int) -> _Round:
    def rounded(side: int, whole: int) -> float:
        if side < least_side:
            return 0.0
        return 1.0 if side > whole - least_side else side / whole

    return rounded


def _none_together(items: Sequence[Item], bins: Sequence[Bin]) -> list[Item]:
    """Pieces no two of which share a sheet, collected from the largest on."""
    found: list[Item] = []
    for item in sorted(items, key=lambda one: (-min(one.width, one.height), -one.width * one.height, one.of)):
        if not all(_apart(item, other, bins) for other in found):
            break  # the smaller ones after it will hardly do better
        found.append(item)
    return found


def _apart(one: Item, other: Item, bins: Sequence[Bin]) -> bool:
    """True when no sheet holds both: two rectangles in one always lie beside or over each other."""
    for w1, h1 in ((one.width, one.height), (one.height, one.width))[: 2 if one.turns else 1]:
        for w2, h2 in ((other.width, other.height), (other.height, other.width))[: 2 if other.turns else 1]:
            for kind in bins:
                beside = w1 + w2 <= kind.width and max(h1, h2) <= kind.height
                if beside or (h1 + h2 <= kind.height and max(w1, w2) <= kind.width):
                    return False
    return True


def _mix(items: Sequence[Item], bins: Sequence[Bin], apart: int) -> tuple[float, str]:
    """The cheapest mix of sheets whose area holds the pieces, those that fit on few kinds held by these alone."""
    import numpy as np  # noqa: PLC0415 - only who cuts sheets of several sizes waits for it
    from scipy.optimize import Bounds, LinearConstraint, milp  # noqa: PLC0415 - as above

    areas: Counter[frozenset[int]] = Counter()
    for item in items:
        on = frozenset(number for number, kind in enumerate(bins) if fits(item, kind))
        areas[on] += item.width * item.height
    sheet = np.array([kind.width * kind.height for kind in bins], dtype=float)
    unit = float(sheet.max())
    groups = [*areas, frozenset(range(len(bins)))]
    rows = [np.where([number in group for number in range(len(bins))], sheet / unit, 0.0) for group in groups]
    wanted = [sum(area for on, area in areas.items() if on <= group) / unit - _TINY for group in groups]
    limits = [math.inf if kind.limit is None else float(kind.limit) for kind in bins]
    answer = milp(
        np.array([kind.cost for kind in bins]),
        constraints=LinearConstraint(np.array([*rows, np.ones(len(bins))]), lb=[*wanted, float(apart)]),
        bounds=Bounds(0.0, np.array(limits)),
        integrality=np.ones(len(bins)),
        options={"time_limit": _SECONDS, "mip_rel_gap": 0.0},
    )
    bound = answer.mip_dual_bound
    if bound is None or not math.isfinite(bound):
        return 0.0, "no bound was found"
    return max(0.0, float(bound)), "no cheaper mix of sheets has the area of the pieces"
