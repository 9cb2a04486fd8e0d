"""Whether every rack of an answer can be walked to; where not, what any answer must leave free.

On the cells of the floor one walks where there is half a way's width clear all round. Where some racks cannot be walked
to, the cells that can be reached from the door end at a line of cells that racks take: whoever wants to reach those
racks must leave one of that line free. The same holds for the line round the cells one is shut into before such a rack.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

from tankwright.arranging.model import Place
from tankwright.arranging.places import doors_of, front_of
from tankwright.room.model import Box, RackPlace, Space, Wall
from tankwright.room.ways import FloorCells, floor_cells
from tankwright.systems.layout import STANDING_ROOM
from tankwright.units import Metre

Flags = npt.NDArray[np.bool_]
_ROUNDING = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Opening:
    """If any of these places has a rack (`always`: in any case), one of `gaps` is free: of that one no place has a
    rack. Without gaps none of the places ever has one."""

    needing: tuple[int, ...]
    gaps: tuple[tuple[int, ...], ...]
    always: bool = False


@dataclass(frozen=True, kw_only=True)
class Walking:
    """The room one walks in, the racks that stay, the places, and how wide a way is wanted from a door to every rack.

    A way may be short by one cell, as the check of the layout gives it that.
    """

    space: Space
    kept: tuple[RackPlace, ...]
    way: Metre
    places: tuple[Place, ...]

    def openings(self, racks: Sequence[int]) -> list[Opening]:
        """What is wrong with an answer: nothing when every rack of it, and every one that stays, can be walked to."""
        if not self._cells.starts:
            return []
        free = self._free_of_what_stays & ~self._taken[list(racks)].any(axis=0)
        reached = self._spread(self._cells.starts, free)
        shut = [number for number in racks if not self._fronts[number] & reached]
        shut_kept = [goal for goal in self._kept_fronts if not goal & reached]
        if not shut and not shut_kept:
            return []
        from_door = self._gaps(self._edge(reached) | (self._cells.starts - reached))
        needing = tuple(number for number, goal in enumerate(self._fronts) if not goal & reached)
        found = [Opening(needing=needing, gaps=from_door, always=bool(shut_kept))]
        for number in shut:
            found.append(self._round(self._fronts[number], free))
        for goal in shut_kept:
            one = self._round(goal, free)
            found.append(Opening(needing=one.needing, gaps=one.gaps, always=True))
        return list(dict.fromkeys(found))

    def most_walkable(self, racks: Sequence[int]) -> tuple[int, ...]:
        """The racks less those it takes, one after the other, until the rest can be walked to."""
        left = list(racks)
        while left and self._shut(left):
            left = min(
                ([one for one in left if one != out] for out in left), key=lambda rest: len(self._shut(rest))
            )
        return tuple(left)

    def along_ways_to(self, racks: Sequence[int]) -> frozenset[int]:
        """The places that stand off the shortest ways to these racks, and on one of them with their front: however many
        of them have a rack, all can be walked to."""
        free = self._free_of_what_stays & ~self._taken[list(racks)].any(axis=0)
        goals = [*(self._fronts[number] for number in racks), *self._kept_fronts]
        cells = self._ways(goals, free)
        off = (
            ~self._taken[:, sorted(cells)].any(axis=1)
            if cells
            else np.zeros(len(self.places), dtype=np.bool_)
        )
        return frozenset(number for number in np.flatnonzero(off).tolist() if self._fronts[number] & cells)

    def shuts(self, racks: Sequence[int]) -> bool:
        """Whether any of these racks, or one that stays, cannot be walked to."""
        return bool(self._shut(racks))

    def _shut(self, racks: Sequence[int]) -> list[int]:
        """Those of the racks that cannot be walked to; one more for every rack that stays and cannot."""
        if not self._cells.starts:
            return []
        free = self._free_of_what_stays & ~self._taken[list(racks)].any(axis=0)
        reached = self._spread(self._cells.starts, free)
        shut = [number for number in racks if not self._fronts[number] & reached]
        return shut + [-1 for goal in self._kept_fronts if not goal & reached]

    def _ways(self, goals: Sequence[frozenset[int]], free: Flags) -> set[int]:
        """The cells of a shortest way from the doors to each of the goals."""
        flags: list[bool] = free.tolist()
        before = {index: -1 for index in sorted(self._cells.starts) if flags[index]}
        left = deque(before)
        while left:
            index = left.popleft()
            for other in self._beside(index):
                if flags[other] and other not in before:
                    before[other] = index
                    left.append(other)
        nearest = {index: number for number, index in enumerate(before)}  # in the order they were come to
        cells: set[int] = set()
        for goal in goals:
            index = min((one for one in goal if one in nearest), key=nearest.__getitem__, default=-1)
            while index >= 0 and index not in cells:
                cells.add(index)
                index = before[index]
        return cells

    def _round(self, goal: frozenset[int], free: Flags) -> Opening:
        """What shuts in the cells before a rack."""
        inside = self._spread(goal, free)
        within = inside | goal
        needing = tuple(number for number, other in enumerate(self._fronts) if other <= within)
        return Opening(needing=needing, gaps=self._gaps(self._edge(inside) | (goal - inside)))

    # --- cells ---

    @cached_property
    def _cells(self) -> FloorCells:
        return floor_cells(self.space.box, [(door.start, door.end) for door in doors_of(self.space)])

    @cached_property
    def _least(self) -> Metre:
        """How far a cell one walks over is from anything that stands."""
        return (self.way - self._cells.cell) / 2.0 - _ROUNDING

    @cached_property
    def _free_of_what_stays(self) -> Flags:
        still = [
            *self._cells.walls,
            *(box for _, box in self.space.obstacles),
            *(rack.box for rack in self.kept),
        ]
        return np.asarray(self._cells.clearance(still).ravel() >= self._least)

    @cached_property
    def _taken(self) -> Flags:
        """For each place the cells one does not walk over when it has a rack."""
        taken = np.zeros((len(self.places), self._cells.x.size * self._cells.y.size), dtype=np.bool_)
        for number, place in enumerate(self.places):
            taken[number] = self._cells.clearance([place.box]).ravel() < self._least
        return taken

    @cached_property
    def _fronts(self) -> list[frozenset[int]]:
        return [frozenset(self._cells.inside(_standing(place.box, place.facing))) for place in self.places]

    @cached_property
    def _kept_fronts(self) -> list[frozenset[int]]:
        """Of racks that stay, those that can be walked to while nothing else stands."""
        fronts = [frozenset(self._cells.inside(_standing(rack.box, rack.facing))) for rack in self.kept]
        reached = self._spread(self._cells.starts, self._free_of_what_stays)
        return [goal for goal in fronts if goal & reached]

    def _spread(self, starts: Iterable[int], free: Flags) -> set[int]:
        """The cells one walks to from those of the starts that are free."""
        flags: list[bool] = free.tolist()
        reached = {index for index in starts if flags[index]}
        left = deque(reached)
        while left:
            for other in self._beside(left.popleft()):
                if flags[other] and other not in reached:
                    reached.add(other)
                    left.append(other)
        return reached

    def _beside(self, index: int) -> list[int]:
        columns = self._cells.x.size
        column, last = index % columns, columns * self._cells.y.size
        found = [index - columns, index + columns]
        if column:
            found.append(index - 1)
        if column < columns - 1:
            found.append(index + 1)
        return [one for one in found if 0 <= one < last]

    def _edge(self, cells: Collection[int]) -> set[int]:
        """The cells beside these."""
        return {other for index in cells for other in self._beside(index) if other not in cells}

    def _gaps(self, cells: Iterable[int]) -> tuple[tuple[int, ...], ...]:
        """Which places must have no rack for a cell to be free, for each of the cells that can be; the least of them,
        for who frees many frees the few as well."""
        able = [index for index in sorted(cells) if self._free_of_what_stays[index]]
        sets = {frozenset(np.flatnonzero(self._taken[:, index]).tolist()) for index in able}
        least: list[frozenset[int]] = []
        for one in sorted(sets, key=lambda places: (len(places), sorted(places))):
            if not any(other <= one for other in least):
                least.append(one)
        return tuple(tuple(sorted(one)) for one in least)


def _standing(box: Box, facing: Wall) -> Box:
    return front_of(box, facing, STANDING_ROOM)
