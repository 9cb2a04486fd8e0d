"""The widest way from a door to each place one works at, round whatever stands in between.

The floor is laid out in square cells; each knows how far it is from the nearest wall or block. The width of
a way is twice the least of these along it; the search always goes on from the cell with most room.
"""

from __future__ import annotations

import heapq
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from tankwright.room.model import Box
from tankwright.units import Metre

FINEST_CELL = 0.05
MOST_CELLS = 40_000

Cells = npt.NDArray[np.floating]
Segment = tuple[tuple[Metre, Metre], tuple[Metre, Metre]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Ways:
    """`widths` holds, for each goal, the width of the widest way to it; 0 where there is none.

    A cell's centre may lie half a cell off the middle of an aisle, so a width may be short by up to `cell`.
    """

    cell: Metre
    widths: tuple[Metre, ...]


def widest_ways(floor: Box, solids: Sequence[Box], doors: Sequence[Segment], goals: Sequence[Box]) -> Ways:
    """The widest way from any of the doors to each goal (a stretch of floor).

    Source: bottleneck path by the method of Dijkstra (1959) on a grid.

    >>> floor = Box(x0=0, y0=0, z0=0, x1=3, y1=2, z1=2)
    >>> block = Box(x0=1, y0=0, z0=0, x1=2, y1=1.4, z1=2)  # leaves 60 cm to the north wall
    >>> goal = Box(x0=2.2, y0=0.2, z0=0, x1=2.8, y1=0.8, z1=2)
    >>> ways = widest_ways(floor, [block], [((0.1, 0.0), (0.9, 0.0))], [goal])
    >>> 0.6 - ways.cell <= ways.widths[0] <= 0.6
    True
    """
    return _widest(_flat(floor), tuple(map(_flat, solids)), tuple(doors), tuple(map(_flat, goals)))


@dataclass(frozen=True, slots=True, kw_only=True)
class FloorCells:
    """The floor in square cells: their centres along x and y, the cells in the doorways, and the walls less the doors
    as blocks. A cell's number is its row times the columns plus its column."""

    cell: Metre
    x: Cells
    y: Cells
    starts: frozenset[int]
    walls: tuple[Box, ...]

    def inside(self, area: Box) -> list[int]:
        """The cells whose centre lies in an area."""
        return _inside(self.x, self.y, area)

    def clearance(self, blocks: Sequence[Box]) -> Cells:
        """How far each cell's centre is from the nearest of the blocks, a row of cells after the other."""
        return _clearance(self.x, self.y, blocks)


def floor_cells(floor: Box, doors: Sequence[Segment]) -> FloorCells:
    """A floor laid out in cells, as fine as ways are searched for.

    >>> cells = floor_cells(Box(x0=0, y0=0, z0=0, x1=1, y1=1, z1=2), [((0.1, 0.0), (0.9, 0.0))])
    >>> cells.cell, cells.x.size, len(cells.starts)
    (0.05, 20, 18)
    """
    length, width = floor.x1 - floor.x0, floor.y1 - floor.y0
    cell = max(FINEST_CELL, math.sqrt(max(length * width, 0.0) / MOST_CELLS))
    columns, rows = max(1, math.ceil(length / cell)), max(1, math.ceil(width / cell))
    x = floor.x0 + (np.arange(columns) + 0.5) * (length / columns)
    y = floor.y0 + (np.arange(rows) + 0.5) * (width / rows)
    starts = frozenset(index for door in doors for index in _inside(x, y, _threshold(door, 0.75 * cell)))
    return FloorCells(cell=cell, x=x, y=y, starts=starts, walls=tuple(_walls(floor, doors)))


@lru_cache(maxsize=8)  # most changes of a plan move nothing on the floor
def _widest(floor: Box, solids: tuple[Box, ...], doors: tuple[Segment, ...], goals: tuple[Box, ...]) -> Ways:
    if not goals or not doors or floor.x1 <= floor.x0 or floor.y1 <= floor.y0:
        return Ways(cell=FINEST_CELL, widths=(0.0,) * len(goals))
    cells = floor_cells(floor, doors)
    clear = cells.clearance([*solids, *cells.walls])
    wanted: dict[int, list[int]] = {}
    for number, goal in enumerate(goals):
        for index in cells.inside(goal):
            wanted.setdefault(index, []).append(number)
    widths = _search(clear.ravel().tolist(), cells.x.size, set(cells.starts), wanted, len(goals))
    return Ways(cell=cells.cell, widths=widths)


def _flat(box: Box) -> Box:
    """What a box takes of the floor: its heights make no way wider."""
    return replace(box, z0=0.0, z1=0.0)


def _search(
    clear: list[float], columns: int, starts: set[int], wanted: dict[int, list[int]], goals: int
) -> tuple[Metre, ...]:
    widths = [0.0] * goals
    left = {number for numbers in wanted.values() for number in numbers}
    best = [0.0] * len(clear)
    heap: list[tuple[float, int]] = []
    for index in sorted(starts):
        best[index] = clear[index]
        heapq.heappush(heap, (-clear[index], index))
    while heap and left:
        key, index = heapq.heappop(heap)
        room = -key
        if room < best[index] or room <= 0.0:
            continue
        for number in wanted.get(index, ()):
            if number in left:
                widths[number] = 2.0 * room
                left.discard(number)
        column = index % columns
        for step, allowed in ((-1, column > 0), (1, column < columns - 1), (-columns, True), (columns, True)):
            other = index + step
            if allowed and 0 <= other < len(clear):
                reached = min(room, clear[other])
                if reached > best[other]:
                    best[other] = reached
                    heapq.heappush(heap, (-reached, other))
    return tuple(widths)


def _clearance(x: Cells, y: Cells, blocks: Sequence[Box]) -> Cells:
    nearest = np.full((y.size, x.size), np.inf)
    for block in blocks:
        beside = np.maximum(np.maximum(block.x0 - x, x - block.x1), 0.0)[np.newaxis, :]
        ahead = np.maximum(np.maximum(block.y0 - y, y - block.y1), 0.0)[:, np.newaxis]
        np.minimum(nearest, np.hypot(beside, ahead), out=nearest)
    return nearest


def _inside(x: Cells, y: Cells, area: Box) -> list[int]:
    columns = np.flatnonzero((x >= area.x0) & (x <= area.x1))
    rows = np.flatnonzero((y >= area.y0) & (y <= area.y1))
    return [int(row) * x.size + int(column) for row in rows for column in columns]


def _threshold(door: Segment, margin: Metre) -> Box:
    (x0, y0), (x1, y1) = door
    return Box(
        x0=min(x0, x1) - margin, x1=max(x0, x1) + margin, y0=min(y0, y1) - margin, y1=max(y0, y1) + margin,
        z0=0.0, z1=0.0,
    )  # fmt: skip


def _walls(floor: Box, doors: Sequence[Segment]) -> list[Box]:
    """The four walls less the door openings, as blocks without thickness."""
    pieces: list[Box] = []
    for level in (floor.y0, floor.y1):
        cuts = [_ordered(a[0], b[0]) for a, b in doors if max(abs(a[1] - level), abs(b[1] - level)) < 0.02]
        pieces += [
            Box(x0=low, x1=high, y0=level, y1=level, z0=floor.z0, z1=floor.z1)
            for low, high in _less(floor.x0, floor.x1, cuts)
        ]
    for level in (floor.x0, floor.x1):
        cuts = [_ordered(a[1], b[1]) for a, b in doors if max(abs(a[0] - level), abs(b[0] - level)) < 0.02]
        pieces += [
            Box(x0=level, x1=level, y0=low, y1=high, z0=floor.z0, z1=floor.z1)
            for low, high in _less(floor.y0, floor.y1, cuts)
        ]
    return pieces


def _less(low: Metre, high: Metre, cuts: list[tuple[Metre, Metre]]) -> list[tuple[Metre, Metre]]:
    pieces: list[tuple[Metre, Metre]] = []
    for start, end in sorted(cuts):
        if start > low:
            pieces.append((low, start))
        low = max(low, end)
    return [*pieces, (low, high)] if low < high else pieces


def _ordered(first: float, second: float) -> tuple[float, float]:
    return (first, second) if first <= second else (second, first)
