"""Which places cannot both have a rack: those that share floor, and those that stand in the way before another.

Told as groups of places of which at most one has a rack, as large as can be found: a search bounds far better by
groups than by pairs. Every pair that cannot be is in some group.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np
import numpy.typing as npt

from tankwright.arranging.model import Place
from tankwright.arranging.places import SIDE_GAP, TOUCH
from tankwright.room.model import Box

_POINTS: Final = 6000
_FINEST: Final = 0.05

Flags = npt.NDArray[np.bool_]
Corners = npt.NDArray[np.float64]


def at_most_one(places: Sequence[Place]) -> list[tuple[int, ...]]:
    """Groups of places (by number) of which at most one has a rack."""
    if not places:
        return []
    boxes = _corners([place.box for place in places])
    needed = [_corners([place.front for place in places])]
    needed.append(_corners([place.back or place.box for place in places]))
    share = _share(boxes, boxes, -SIDE_GAP + TOUCH)
    np.fill_diagonal(share, False)
    in_way = _share(needed[0], boxes, TOUCH) | _share(needed[1], boxes, TOUCH)
    np.fill_diagonal(in_way, False)
    points = _lattice(boxes)
    over = _covers(boxes, points)
    found: set[tuple[int, ...]] = set()
    _by_points(share, over, found)
    before = [_covers(one, points) for one in needed]
    _stars(in_way & ~share, over, before[0] | before[1], found)
    return sorted(found)


def conflict_pairs(places: Sequence[Place]) -> set[tuple[int, int]]:
    """Every pair that cannot be, one by one: what the groups are made from."""
    pairs = set()
    for first, one in enumerate(places):
        for second in range(first + 1, len(places)):
            if clash(one, places[second]):
                pairs.add((first, second))
    return pairs


def clash(one: Place, other: Place) -> bool:
    """Whether two places cannot both have a rack."""
    from_one = [need for need in (one.front, one.back) if need is not None]
    from_other = [need for need in (other.front, other.back) if need is not None]
    return (
        _overlap(one.box, other.box, -SIDE_GAP + TOUCH)
        or any(_overlap(need, other.box, TOUCH) for need in from_one)
        or any(_overlap(need, one.box, TOUCH) for need in from_other)
    )


def _overlap(first: Box, second: Box, by: float) -> bool:
    return (
        min(first.x1, second.x1) - max(first.x0, second.x0) > by
        and min(first.y1, second.y1) - max(first.y0, second.y0) > by
    )


def _corners(boxes: Sequence[Box]) -> Corners:
    return np.array([(box.x0, box.y0, box.x1, box.y1) for box in boxes], dtype=np.float64)


def _share(first: Corners, second: Corners, by: float) -> Flags:
    wide = np.minimum(first[:, None, 2], second[None, :, 2]) - np.maximum(
        first[:, None, 0], second[None, :, 0]
    )
    deep = np.minimum(first[:, None, 3], second[None, :, 3]) - np.maximum(
        first[:, None, 1], second[None, :, 1]
    )
    return np.asarray((wide > by) & (deep > by))


def _lattice(boxes: Corners) -> Corners:
    """Points over the floor, a little off the round figures at which things begin and end."""
    low, high = boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)
    step = max(_FINEST, float(np.sqrt(np.prod(high - low) / _POINTS)))
    x = np.arange(low[0] + 0.31 * step, high[0], step)
    y = np.arange(low[1] + 0.31 * step, high[1], step)
    return np.stack([one.ravel() for one in np.meshgrid(x, y)], axis=1)


def _covers(corners: Corners, points: Corners) -> Flags:
    """Which block lies over which point."""
    x, y = points[:, 0], points[:, 1]
    return np.asarray(
        (corners[:, None, 0] < x)
        & (x < corners[:, None, 2])
        & (corners[:, None, 1] < y)
        & (y < corners[:, None, 3])
    )


def _by_points(share: Flags, over: Flags, found: set[tuple[int, ...]]) -> None:
    """Blocks over one point: a group. Pairs that share floor and no point are groups of two."""
    columns = np.unique(over.T, axis=0)
    sizes = columns.sum(axis=1)
    left = np.triu(share)
    for number in np.argsort(-sizes, kind="stable"):
        group = np.flatnonzero(columns[number])
        if group.size < 2:
            break
        inside = np.ix_(group, group)
        if left[inside].any():
            left[inside] = False
            found.add(tuple(int(one) for one in group))
    for first, second in zip(*np.nonzero(left), strict=True):
        found.add((int(first), int(second)))


def _stars(in_way: Flags, over: Flags, before: Flags, found: set[tuple[int, ...]]) -> None:
    """A place and all that stand over one point of the way before (or behind) it: a group."""
    for number in range(in_way.shape[0]):
        left = in_way[number].copy()
        if not left.any():
            continue
        inside = np.flatnonzero(before[number])
        stacks = over[:, inside] & in_way[number][:, None]
        while left.any() and stacks.shape[1]:
            best = int(np.argmax((stacks & left[:, None]).sum(axis=0)))
            group = stacks[:, best]
            if not (group & left).any():
                break
            found.add(tuple(sorted({number, *(int(one) for one in np.flatnonzero(group))})))
            left &= ~group
        for other in np.flatnonzero(left):
            found.add(tuple(sorted((number, int(other)))))
