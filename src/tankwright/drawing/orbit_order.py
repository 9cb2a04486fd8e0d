"""In which order blocks must be painted so that nearer ones cover farther ones.

For blocks square to the axes and a parallel view the order is exact. Let t point to the viewer. Block B can hide a
part of block A only if some point of A moved along t runs into B. If on an axis where t is positive A begins at or
beyond B's end, no such point exists; likewise, mirrored, where t is negative; and where t is zero, if the two do not
overlap on that axis. So each plane that parts two blocks rules out one of the two hidings, and of two blocks that do
not run into each other at most one can hide the other. Whether their pictures overlap at all is asked exactly too:
both pictures have edges in the same three directions, so they overlap just when they do across each of these.

That gives "paint A before B"; what is wanted is one order that keeps all of them. Three long blocks can cover each
other in a ring, and then there is none: a block that may be cut is cut along a side of its neighbour in the ring.

Source: separating planes as in the painter's algorithm of M. E. Newell, R. G. Newell and T. L. Sancha (1972), from
memory; the rest derived here.
"""

from __future__ import annotations

import heapq
from collections.abc import Sequence
from dataclasses import replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tankwright.drawing.orbit_view import View
from tankwright.room.model import Box, Place
from tankwright.units import Metre

TOUCH: Final[Metre] = 5e-4
"""Blocks that run into each other by no more than this stand side by side: a plan is not drawn to a tenth of a mm."""
_MOST_CUTS: Final = 60

Bools = NDArray[np.bool_]
Floats = NDArray[np.float64]


def paint_order(boxes: Sequence[Box], view: View, may_cut: Sequence[bool] = ()) -> list[tuple[int, Box]]:
    """The blocks as (number, block), farthest first; a block that had to be cut comes in several pieces.

    >>> from tankwright.drawing.orbit_view import view_from
    >>> near, far = (Box(x0=0, y0=y, z0=0, x1=1, y1=y + 1, z1=1) for y in (0, 2))
    >>> [number for number, _ in paint_order([near, far], view_from(3.0, 0.5))]
    [1, 0]
    """
    pieces = list(enumerate(boxes))
    for _ in range(_MOST_CUTS):
        order, ring = _sorted([box for _, box in pieces], view)
        cut = _cut(pieces, ring, may_cut) if ring else None
        if cut is None:
            return [pieces[index] for index in order]
        index, parts = cut
        number = pieces[index][0]
        pieces[index : index + 1] = [(number, part) for part in parts]
    order, _ = _sorted([box for _, box in pieces], view)
    return [pieces[index] for index in order]


def hides(boxes: Sequence[Box], view: View) -> Bools:
    """A square table: true in row A, column B when B can hide a part of A."""
    low, high, middle = _sides(boxes)
    count = len(boxes)
    can = np.ones((count, count), dtype=np.bool_)
    into = np.full((count, count), np.inf)  # how far two blocks run into each other, where that is least
    split = np.zeros((count, count), dtype=np.int8)  # the axis on which it is least
    for axis in range(3):
        along = view.towards[axis]
        begin, end = low[axis], high[axis]
        shared = np.minimum(end[:, None], end[None, :]) - np.maximum(begin[:, None], begin[None, :])
        least = shared < into
        into = np.where(least, shared, into)
        split = np.where(least, np.int8(axis), split)
        if along > 0:
            can &= begin[:, None] < end[None, :] - TOUCH
        elif along < 0:
            can &= end[:, None] > begin[None, :] + TOUCH
        else:
            can &= shared > TOUCH
    can &= _pictures_overlap(low, high, view)
    mixed = into > TOUCH
    np.fill_diagonal(mixed, val=False)
    if mixed.any():  # two things in one place, a mistake in the plan: parted where they overlap least
        signs = np.sign(np.array(view.towards))[split]
        ahead = np.zeros_like(into)
        for axis in range(3):
            ahead = np.where(split == axis, middle[axis][None, :] - middle[axis][:, None], ahead)
        can = np.where(mixed, can & (signs * ahead > 0), can)
    np.fill_diagonal(can, val=False)
    return can


def covered(points: Sequence[Place], boxes: Sequence[Box], view: View) -> list[bool]:
    """For each point whether a block stands between it and the viewer.

    Source: geometry, a ray against the three pairs of planes of each block.

    >>> import math
    >>> from tankwright.drawing.orbit_view import view_from
    >>> wall = Box(x0=-1, y0=-1, z0=0, x1=1, y1=0, z1=2)
    >>> covered([(0.0, 1.0, 0.0), (0.0, -2.0, 0.0)], [wall], view_from(math.pi, 0.5))
    [True, False]
    """
    if not points or not boxes:
        return [False] * len(points)
    low, high, _ = _sides(boxes)
    enter = np.zeros((len(points), len(boxes)))
    leave = np.full((len(points), len(boxes)), np.inf)
    for axis, along in enumerate(view.towards):
        at = np.array([point[axis] for point in points])[:, None]
        if abs(along) < 1e-12:
            leave[(at <= low[axis]) | (at >= high[axis])] = -np.inf
            continue
        ways = (low[axis] - at) / along, (high[axis] - at) / along
        enter = np.maximum(enter, np.minimum(*ways))
        leave = np.minimum(leave, np.maximum(*ways))
    hit: Bools = np.asarray(leave > enter + TOUCH)
    return [bool(row.any()) for row in hit]


def _sides(boxes: Sequence[Box]) -> tuple[Floats, Floats, Floats]:
    low = np.array([(box.x0, box.y0, box.z0) for box in boxes], dtype=np.float64).reshape(-1, 3).T
    high = np.array([(box.x1, box.y1, box.z1) for box in boxes], dtype=np.float64).reshape(-1, 3).T
    return low, high, (low + high) / 2


def _pictures_overlap(low: Floats, high: Floats, view: View) -> Bools:
    """Whether the pictures of two blocks share more than an edge: across each direction of their edges."""
    flat = np.array([view.right, view.up])  # columns: where the axes of the room lie on the page
    count = low.shape[1]
    overlap = np.ones((count, count), dtype=np.bool_)
    for axis in range(3):
        edge = flat[:, axis]
        size = float(np.hypot(edge[0], edge[1]))
        if size < 1e-9:
            continue
        weights = (-edge[1] * flat[0] + edge[0] * flat[1]) / size  # of x, y and z, across that edge
        begin = sum(np.minimum(weights[k] * low[k], weights[k] * high[k]) for k in range(3))
        end = sum(np.maximum(weights[k] * low[k], weights[k] * high[k]) for k in range(3))
        shared = np.minimum(end[:, None], end[None, :]) - np.maximum(begin[:, None], begin[None, :])
        overlap &= shared > TOUCH / 5
    return overlap


def _sorted(boxes: Sequence[Box], view: View) -> tuple[list[int], list[int]]:
    """An order that keeps every "before", and a ring if there is none (then the order is only the best guess)."""
    if not boxes:
        return [], []
    before = hides(boxes, view)
    waits = before.sum(axis=0).tolist()
    rows, columns = np.nonzero(before)
    starts = np.searchsorted(rows, np.arange(len(boxes) + 1)).tolist()
    after = columns.tolist()
    depths = [view.depth(*box.middle) for box in boxes]
    ready = [(depths[index], index) for index, count in enumerate(waits) if count == 0]
    heapq.heapify(ready)
    order: list[int] = []
    left = set(range(len(boxes)))
    ring: list[int] = []
    while left:
        if not ready:
            found = _ring(before, left)
            ring = ring or found
            farthest = min(found, key=lambda index: depths[index])
            ready.append((depths[farthest], farthest))
        _, index = heapq.heappop(ready)
        if index not in left:
            continue
        left.discard(index)
        order.append(index)
        for other in after[starts[index] : starts[index + 1]]:
            waits[other] -= 1
            if waits[other] == 0 and other in left:
                heapq.heappush(ready, (depths[other], other))
    return order, ring


def _ring(before: Bools, left: set[int]) -> list[int]:
    """Blocks each of which must be painted before the next, and the last before the first."""
    open_ones = np.array(sorted(left))
    way: list[int] = [int(open_ones[0])]
    seen = {way[0]: 0}
    while True:
        column = before[open_ones, way[-1]]
        previous = int(open_ones[int(np.argmax(column))])
        if previous in seen:
            return way[seen[previous] :][::-1]
        seen[previous] = len(way)
        way.append(previous)


def _cut(
    pieces: Sequence[tuple[int, Box]], ring: Sequence[int], may_cut: Sequence[bool]
) -> tuple[int, tuple[Box, Box]] | None:
    """The largest piece of the ring that may be cut, in two along a side of another block of the ring."""
    willing = [index for index in ring if pieces[index][0] < len(may_cut) and may_cut[pieces[index][0]]]
    for index in sorted(willing, key=lambda one: -_longest(pieces[one][1])):
        box = pieces[index][1]
        for other in (pieces[one][1] for one in ring if one != index):
            for name in ("x", "y", "z"):
                begin, end = getattr(box, f"{name}0"), getattr(box, f"{name}1")
                for plane in (getattr(other, f"{name}0"), getattr(other, f"{name}1")):
                    if begin + 2 * TOUCH < plane < end - 2 * TOUCH:
                        return index, (
                            replace(box, **{f"{name}1": plane}),
                            replace(box, **{f"{name}0": plane}),
                        )
    return None


def _longest(box: Box) -> float:
    return max(box.x1 - box.x0, box.y1 - box.y0, box.z1 - box.z0)
