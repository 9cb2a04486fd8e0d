"""Filled contours over triangles: closed loops that, painted in their order, show between which levels a value lies.

A region over a level is bounded by lines on that level and by the edge of the mesh. Loops of different levels never
cross, so larger ones are painted first and what lies inside them over them; no path needs a hole.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Loop:
    """A closed line, and the band that lies inside it: 0 below the first level. `points` are (n, 2)."""

    band: int
    points: Floats
    area: float


def isobands(nodes: Floats, triangles: Ints, values: Floats, levels: Sequence[float]) -> tuple[Loop, ...]:
    """Loops in the order they are painted, for levels in ascending order; none where nothing is meshed.

    >>> square = np.array([[0.0, 0.0], [2.0, 0.0], [2.0, 2.0], [0.0, 2.0]])
    >>> halves = np.array([[0, 1, 2], [0, 2, 3]])
    >>> [(one.band, one.area) for one in isobands(square, halves, square[:, 0], (1.0,))]
    [(0, 4.0), (1, 2.0)]
    """
    if not len(triangles):
        return ()
    mesh = _Mesh(nodes, triangles)
    found: list[tuple[float, int, Loop]] = []
    for band, level in enumerate((-np.inf, *levels)):
        for points in mesh.over(values, level):
            area = _area(points)
            # round its own region a loop runs anticlockwise; round what lies below the level the other way
            inside = band if area > 0 else max(band - 1, 0)
            found.append((-abs(area), band, Loop(band=inside, points=points, area=abs(area))))
    return tuple(loop for _, _, loop in sorted(found, key=lambda one: one[:2]))


def thinned(points: Floats, within: float) -> Floats:
    """A closed loop with fewer points, none of the left out ones further than `within` from the line.

    Source: Douglas and Peucker (1973), Cartographica 10(2), 112-122, from memory.

    >>> len(thinned(np.array([[0.0, 0.0], [1.0, 0.001], [2.0, 0.0], [1.0, 1.0]]), 0.01))
    3
    """
    if len(points) < 4:
        return points
    far = int(np.argmax(((points - points[0]) ** 2).sum(axis=1)))
    ring = np.vstack([points, points[:1]])
    keep = np.zeros(len(ring), dtype=bool)
    keep[[0, far, len(points)]] = True
    open_ = [(0, far), (far, len(points))]
    while open_:
        first, last = open_.pop()
        if last - first < 2:
            continue
        off = _off_line(ring[first + 1 : last], ring[first], ring[last])
        most = int(np.argmax(off))
        if off[most] > within:
            middle = first + 1 + most
            keep[middle] = True
            open_ += [(first, middle), (middle, last)]
    return points[keep[:-1]]


def _off_line(points: Floats, start: Floats, end: Floats) -> Floats:
    along = end - start
    run = float(np.hypot(*along))
    rest = points - start
    far: Floats = np.hypot(rest[:, 0], rest[:, 1])
    if run > 0.0:
        far = np.abs(along[0] * rest[:, 1] - along[1] * rest[:, 0]) / run
    return far


def _area(points: Floats) -> float:
    x, y = points[:, 0], points[:, 1]
    return float(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) / 2.0


class _Mesh:
    """Triangles turned anticlockwise, with their edges numbered."""

    def __init__(self, nodes: Floats, triangles: Ints) -> None:
        self.nodes = nodes
        a, b, c = (nodes[triangles[:, corner]] for corner in range(3))
        turn = (b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (b[:, 1] - a[:, 1]) * (c[:, 0] - a[:, 0])
        self.triangles = np.where((turn < 0)[:, None], triangles[:, ::-1], triangles)
        sides = np.stack([self.triangles, np.roll(self.triangles, -1, axis=1)], axis=2).reshape(-1, 2)
        low, high = np.minimum(*sides.T), np.maximum(*sides.T)
        keys, self.edge_of, count = np.unique(
            low * len(nodes) + high, return_inverse=True, return_counts=True
        )
        self.edges = np.stack([keys // len(nodes), keys % len(nodes)], axis=1)
        self.edge_of = self.edge_of.reshape(-1)
        rim = count[self.edge_of] == 1
        self.rim, self.rim_edge = sides[rim], self.edge_of[rim]

    def over(self, values: Floats, level: float) -> Iterator[Floats]:
        """The loops round every region where the value is at the level or over it."""
        inside = values >= level
        ways = [*self._through(inside), *self._along(inside)]
        onward: dict[int, list[int]] = {}
        for start, end in ways:
            onward.setdefault(start, []).append(end)
        places = self._places(values, level)
        while onward:
            first = next(iter(onward))
            loop, here = [first], _taken(onward, first)
            while here != first:
                loop.append(here)
                here = _taken(onward, here)
            points = np.array([places(one) for one in loop])
            if len(points) > 2:
                yield points

    def _through(self, inside: NDArray[np.bool_]) -> Iterator[tuple[int, int]]:
        """The lines across triangles whose corners lie on both sides, with the region on their left."""
        corners = inside[self.triangles]
        first = len(self.nodes)
        for alone in (True, False):
            for one in np.nonzero(corners.sum(axis=1) == (1 if alone else 2))[0].tolist():
                corner = int(np.argmax(corners[one] == alone))
                ahead = first + int(self.edge_of[3 * one + corner])
                behind = first + int(self.edge_of[3 * one + (corner + 2) % 3])
                yield (ahead, behind) if alone else (behind, ahead)

    def _along(self, inside: NDArray[np.bool_]) -> Iterator[tuple[int, int]]:
        """What of the mesh's own edge bounds the region."""
        first = len(self.nodes)
        for (start, end), edge in zip(self.rim.tolist(), self.rim_edge.tolist(), strict=True):
            if inside[start] and inside[end]:
                yield start, end
            elif inside[start]:
                yield start, first + edge
            elif inside[end]:
                yield first + edge, end

    def _places(self, values: Floats, level: float) -> _Places:
        return _Places(self, values, level)


class _Places:
    """Where a corner of a loop lies: a node, or the crossing of an edge by the level."""

    def __init__(self, mesh: _Mesh, values: Floats, level: float) -> None:
        self.mesh, self.values, self.level = mesh, values, level

    def __call__(self, key: int) -> Floats:
        nodes = self.mesh.nodes
        if key < len(nodes):
            at: Floats = nodes[key]
            return at
        start, end = self.mesh.edges[key - len(nodes)]
        low, high = self.values[start], self.values[end]
        share = (self.level - low) / (high - low)
        crossing: Floats = nodes[start] + share * (nodes[end] - nodes[start])
        return crossing


def _taken(onward: dict[int, list[int]], here: int) -> int:
    """The next corner, taken off the ways that are left; where two regions meet in one corner, either will do."""
    ends = onward[here]
    end = ends.pop()
    if not ends:
        del onward[here]
    return end
