"""Pipes of a feed that nobody drew: a trunk along the walls, a riser at each rack, a manifold a shelf."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from tankwright.origin import Known
from tankwright.room.frames import Flat
from tankwright.room.model import PipeRun, Place, Space, Tank
from tankwright.room.racks import Stand
from tankwright.room.walls import Loop, loop_of
from tankwright.units import Metre

INSET = 0.04
"""m from the walls to the trunk. Source: common practice, no source."""

ELBOW_LOSS = 0.9
"""Loss coefficient of a 90 degree elbow. Source: Crane TP-410, 30 f_T in small pipe, from memory."""

TEE_LOSS = 1.5
"""Loss coefficient of the branch of a tee. Source: Crane TP-410, 60 f_T in small pipe, from memory."""

SHORTEST = 0.01
"""m, the shortest pipe that is laid between two nodes."""


@dataclass(frozen=True, slots=True)
class _Turn:
    """Where the trunk of a room reaches a rack: which way round, how far, and at which end of the rack."""

    direction: int
    distance: Metre
    place: Metre
    stand: Stand
    end: Metre


class Manifolds:
    """Nodes and pipes of one feed, laid from its source outwards."""

    def __init__(self, *, name: str, bore: Known, source: Place, home: str) -> None:
        self.name = name
        self.bore = bore
        self.home = home
        self.inlet = f"{name}.source"
        self.nodes: dict[str, Place] = {self.inlet: source}
        self.pipes: list[PipeRun] = []

    def lay(
        self, served: Sequence[Tank], stands: Mapping[str, Stand], spaces: Mapping[str, Space], above: Metre
    ) -> dict[str, str]:
        """Lay everything to the tanks served; the node of each tank."""
        by_room: dict[str, dict[str, list[Tank]]] = {}
        for tank in served:
            by_room.setdefault(tank.room, {}).setdefault(tank.rack, []).append(tank)
        found: dict[str, str] = {}
        for room, racks in by_room.items():
            loop = loop_of(spaces[room], INSET)
            x, y, z = self.nodes[self.inlet]
            entry = loop.nearest(x, y)
            door = self._node(f"{self.name}.{room}", (*loop.point(entry), z))
            self._pipe(
                self.inlet,
                door,
                (self.nodes[self.inlet], self.nodes[door]),
                0.0 if room == self.home else ELBOW_LOSS,
            )
            turns = sorted(
                (_turn(loop, entry, stands[rack]) for rack in racks),
                key=lambda turn: (turn.direction, turn.distance),
            )
            self._trunk(loop, entry, door, turns, racks, above, found)
        return found

    def _trunk(
        self,
        loop: Loop,
        entry: Metre,
        door: str,
        turns: Sequence[_Turn],
        racks: Mapping[str, Sequence[Tank]],
        above: Metre,
        found: dict[str, str],
    ) -> None:
        height = self.nodes[door][2]
        here, node, direction = entry, door, 0
        for turn in turns:
            if turn.direction != direction:
                here, node, direction = entry, door, turn.direction
            rack = turn.stand.place.id
            way = loop.way(here, turn.place, turn.direction) if turn.place != here else [loop.point(here)]
            end = turn.stand.frame.point(turn.end, 0.0)
            tee = self._node(f"{self.name}.{rack}", (*way[-1], height))
            path: tuple[Place, ...] = (self.nodes[node], *((x, y, height) for x, y in way))
            self._pipe(node, tee, path, ELBOW_LOSS * max(len(way) - 1, 0))
            self._rack(turn, tee, end, racks[rack], above, found)
            here, node = turn.place, tee

    def _rack(
        self,
        turn: _Turn,
        tee: str,
        end: Flat,
        tanks: Sequence[Tank],
        above: Metre,
        found: dict[str, str],
    ) -> None:
        """Riser and manifolds of one rack, its shelves one after the other from the trunk's height."""
        shelves: dict[int, list[Tank]] = {}
        for tank in tanks:
            shelves.setdefault(tank.shelf, []).append(tank)
        trunk_height = self.nodes[tee][2]
        tops = {shelf: max(tank.rim for tank in row) + above for shelf, row in shelves.items()}
        upward = sorted((shelf for shelf in tops if tops[shelf] >= trunk_height), key=tops.__getitem__)
        downward = sorted((shelf for shelf in tops if tops[shelf] < trunk_height), key=lambda one: -tops[one])
        for order in (upward, downward):
            before = tee
            for shelf in order:
                riser = self._node(f"{tee}.shelf {shelf}", (*end, tops[shelf]))
                corner = (*end, self.nodes[before][2])
                loss = TEE_LOSS + ELBOW_LOSS if before == tee else 0.0
                self._pipe(before, riser, (self.nodes[before], corner, self.nodes[riser]), loss)
                self._manifold(turn, riser, shelves[shelf], found)
                before = riser

    def _manifold(self, turn: _Turn, riser: str, row: Sequence[Tank], found: dict[str, str]) -> None:
        """A node for each tank along the back of its shelf, from the end where the riser stands."""
        frame, height = turn.stand.frame, self.nodes[riser][2]
        middles = sorted(
            (
                (abs(along - turn.end), along, tank.id)
                for tank in row
                for along in (
                    frame.along((tank.box.x0 + tank.box.x1) / 2.0, (tank.box.y0 + tank.box.y1) / 2.0),
                )
            ),
        )
        before, loss = riser, TEE_LOSS
        for _, along, tank in middles:
            node = self._node(f"{self.name}.{tank}", (*frame.point(along, 0.0), height))
            self._pipe(before, node, (self.nodes[before], self.nodes[node]), loss)
            found[tank] = node
            before, loss = node, 0.0

    def _node(self, wanted: str, place: Place) -> str:
        """Add a node; its name is made different when a rack and a tank share theirs."""
        name = wanted
        number = 2
        while name in self.nodes:
            name = f"{wanted} ({number})"
            number += 1
        self.nodes[name] = place
        return name

    def _pipe(self, start: str, end: str, path: tuple[Place, ...], loss: float) -> None:
        length = sum(math.dist(one, other) for one, other in pairwise(path))
        self.pipes.append(
            PipeRun(
                id=f"{self.name}.pipe {len(self.pipes) + 1}",
                start=start,
                end=end,
                path=path,
                length=max(length, SHORTEST),
                bore=self.bore,
                minor_loss=loss,
            )
        )


def _turn(loop: Loop, entry: Metre, stand: Stand) -> _Turn:
    length = stand.place.length
    ends = []
    for end in (0.0, length):
        x, y = stand.frame.point(end, 0.0)
        place = loop.on_wall(stand.wall, x, y) if stand.wall else loop.nearest(x, y)
        ends.append((place, end))
    if stand.wall is None:
        ends.sort(key=lambda one: _short(loop, entry, one[0]))
        place, end = ends[0]
        direction = loop.shorter(entry, place)
        return _Turn(direction, loop.distance(entry, place, direction), place, stand, end)
    (low, low_end), (high, high_end) = sorted(ends)
    if low <= entry <= high:
        end = low_end if entry - low <= high - entry else high_end
        return _Turn(1, 0.0, entry, stand, end)
    direction = loop.shorter(entry, (low + high) / 2.0)
    place, end = (low, low_end) if direction > 0 else (high, high_end)
    return _Turn(direction, loop.distance(entry, place, direction), place, stand, end)


def _short(loop: Loop, one: Metre, other: Metre) -> Metre:
    return min(loop.distance(one, other, 1), loop.distance(one, other, -1))
