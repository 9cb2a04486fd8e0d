"""Whether every rack of an answer can be walked to, and if not, which few racks stand in the way."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from tankwright.arranging.model import Place
from tankwright.arranging.places import doors_of, front_of
from tankwright.room.model import Box, RackPlace, Space
from tankwright.room.ways import widest_ways
from tankwright.systems.layout import STANDING_ROOM
from tankwright.units import Metre

_LIKE: Final = 12
"""Neighbouring places looked at that stand in the way as well, to either side."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Walking:
    """The room one walks in, and how wide a way is wanted from a door to every rack, those that stay included."""

    space: Space
    kept: tuple[RackPlace, ...]
    way: Metre
    places: tuple[Place, ...]

    def blocks(self, racks: Sequence[int]) -> list[tuple[int, ...]]:
        """Groups of places that, all with a rack, leave no such way: none when every rack can be walked to."""
        found = [self._least(racks, goal) for goal in self._out_of_reach(racks)]
        return [more for one in dict.fromkeys(found) for more in self._alike(one)]

    def _out_of_reach(self, racks: Sequence[int]) -> list[Box]:
        """The floor before each rack that no way leads to."""
        return self._short(
            racks,
            [self._front(number) for number in racks]
            + [_standing(rack.box, rack.facing) for rack in self.kept],
        )

    def _short(self, racks: Iterable[int], goals: list[Box]) -> list[Box]:
        doors = [(door.start, door.end) for door in doors_of(self.space)]
        if not doors or not goals:
            return []
        solids = [self.places[number].box for number in racks]
        solids += [rack.box for rack in self.kept] + [box for _, box in self.space.obstacles]
        ways = widest_ways(self.space.box, solids, doors, goals)
        return [
            goal
            for goal, width in zip(goals, ways.widths, strict=True)
            if (width + ways.cell if width else 0.0) < self.way
        ]

    def _front(self, number: int) -> Box:
        return _standing(self.places[number].box, self.places[number].facing)

    def _least(self, racks: Sequence[int], goal: Box) -> tuple[int, ...]:
        """The fewest of the racks with which that floor is still out of reach; fewer only widen the ways."""
        left = list(racks)
        for number in racks:
            if self._front(number) == goal:
                continue
            fewer = [one for one in left if one != number]
            if self._short(fewer, [goal]):
                left = fewer
        return tuple(left)

    def _alike(self, block: tuple[int, ...]) -> list[tuple[int, ...]]:
        """The block, and blocks of the same racks with one of them a little to the side."""
        found = [block]
        for position, number in enumerate(block):
            row = [
                other for other, place in enumerate(self.places)
                if (place.kind, place.wall, place.facing) == _how(self.places[number])
                and (place.wall is not None or _line(place) == _line(self.places[number]))
            ]  # fmt: skip
            at = row.index(number)
            for side in (row[at + 1 : at + 1 + _LIKE], row[max(at - _LIKE, 0) : at][::-1]):
                for other in side:
                    moved = (*block[:position], other, *block[position + 1 :])
                    if other in block or not self._short(moved, [self._front(one) for one in moved]):
                        break
                    found.append(moved)
        return found


def _how(place: Place) -> tuple[str, str | None, str]:
    return place.kind, place.wall, place.facing


def _line(place: Place) -> Metre:
    return place.box.y0 if place.facing in ("north", "south") else place.box.x0


def _standing(box: Box, facing: str) -> Box:
    return front_of(box, facing, STANDING_ROOM)  # type: ignore[arg-type]
