"""Ways along the walls of a room: the loop just inside them, and lines of straight pieces."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Iterable
from itertools import pairwise

from tankwright.room.frames import Flat
from tankwright.room.model import Box, Space, Wall
from tankwright.units import Metre

SAME_PLACE = 1e-3
"""m below which two corners of a run are one."""

DOORWAY = 100.0
"""m that a way across a doorway counts longer, so that a derived pipe goes the other way round if it can."""

WALLS: tuple[Wall, ...] = ("south", "east", "north", "west")


class Loop:
    """The way round a room a little inside its walls, from its south-west corner against the clock.

    >>> loop = Loop(Box(x0=0, y0=0, z0=0, x1=4, y1=3, z1=2), {"south": 0.5, "north": 0.5})
    >>> loop.length, loop.point(4.5), loop.nearest(3.9, 2.0)
    (12.0, (4.0, 1.0), 5.5)
    """

    def __init__(self, room: Box, inset: dict[Wall, Metre], doors: Iterable[tuple[Flat, Flat]] = ()) -> None:
        wide, deep = room.x1 - room.x0, room.y1 - room.y0
        x0 = room.x0 + min(inset.get("west", 0.0), 0.45 * wide)
        x1 = room.x1 - min(inset.get("east", 0.0), 0.45 * wide)
        y0 = room.y0 + min(inset.get("south", 0.0), 0.45 * deep)
        y1 = room.y1 - min(inset.get("north", 0.0), 0.45 * deep)
        self.corners: tuple[Flat, ...] = ((x0, y0), (x1, y0), (x1, y1), (x0, y1))
        self.starts = (0.0, x1 - x0, (x1 - x0) + (y1 - y0), 2.0 * (x1 - x0) + (y1 - y0))
        self.length: Metre = 2.0 * ((x1 - x0) + (y1 - y0))
        self._doors = [self.nearest((a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0) for a, b in doors]

    def point(self, place: Metre) -> Flat:
        """The point at a distance along the loop."""
        place %= self.length
        side = bisect_right(self.starts, place) - 1
        (ax, ay), (bx, by) = self.corners[side], self.corners[(side + 1) % 4]
        step = place - self.starts[side]
        if side in (0, 2):
            return (ax + math.copysign(step, bx - ax), ay)
        return (ax, ay + math.copysign(step, by - ay))

    def on_wall(self, wall: Wall, x: Metre, y: Metre) -> Metre:
        """The place on the loop beside a wall that is level with a point."""
        (x0, y0), (x1, y1) = self.corners[0], self.corners[2]
        x, y = min(max(x, x0), x1), min(max(y, y0), y1)
        if wall == "south":
            return x - x0
        if wall == "east":
            return self.starts[1] + y - y0
        if wall == "north":
            return self.starts[2] + x1 - x
        return self.starts[3] + y1 - y

    def nearest(self, x: Metre, y: Metre) -> Metre:
        """The place on the loop nearest to a point, inside or outside of it."""
        best, best_distance = 0.0, math.inf
        for wall in WALLS:
            place = self.on_wall(wall, x, y)
            px, py = self.point(place)
            distance = math.hypot(px - x, py - y)
            if distance < best_distance - 1e-12:
                best, best_distance = place, distance
        return best

    def distance(self, start: Metre, end: Metre, direction: int) -> Metre:
        """How far it is from one place to another, against the clock (1) or with it (-1)."""
        return (end - start) % self.length if direction > 0 else (start - end) % self.length

    def shorter(self, start: Metre, end: Metre) -> int:
        """The better way round: the shorter one that crosses no doorway, when there is one."""
        costs = {}
        for direction in (1, -1):
            whole = self.distance(start, end, direction)
            crossed = sum(self.distance(start, door, direction) < whole for door in self._doors)
            costs[direction] = whole + DOORWAY * crossed
        return 1 if costs[1] <= costs[-1] else -1

    def way(self, start: Metre, end: Metre, direction: int) -> list[Flat]:
        """The corners passed on the way, then the end."""
        whole = self.distance(start, end, direction)
        passed = sorted(
            (step, corner)
            for place, corner in zip(self.starts, self.corners, strict=True)
            if 0.0 < (step := self.distance(start, place, direction)) < whole
        )
        return [corner for _, corner in passed] + [self.point(end)]


def loop_of(space: Space, inset: Metre, special: dict[Wall, Metre] | None = None) -> Loop:
    """The loop inside a room's walls, `inset` from each unless a wall has its own distance."""
    insets: dict[Wall, Metre] = dict.fromkeys(WALLS, inset)
    insets.update(special or {})
    doors = [(one.start, one.end) for one in space.openings if one.kind == "door"]
    return Loop(space.box, insets, doors)


class Line:
    """Straight pieces one after another on the floor plan, measured by the distance from their start."""

    def __init__(self, points: Iterable[Flat]) -> None:
        kept: list[Flat] = []
        for point in points:
            if kept and math.dist(kept[-1], point) <= SAME_PLACE:
                continue
            if len(kept) > 1 and _straight_on(kept[-2], kept[-1], point):
                kept[-1] = point
            else:
                kept.append(point)
        self.points: tuple[Flat, ...] = tuple(kept)
        along = [0.0]
        for one, other in pairwise(kept):
            along.append(along[-1] + math.dist(one, other))
        self.along: tuple[Metre, ...] = tuple(along)
        self.length: Metre = along[-1]

    def point(self, place: Metre) -> Flat:
        """The point at a distance from the start."""
        if len(self.points) == 1:
            return self.points[0]
        piece = min(max(bisect_right(self.along, place) - 1, 0), len(self.points) - 2)
        (ax, ay), (bx, by) = self.points[piece], self.points[piece + 1]
        share = (place - self.along[piece]) / (self.along[piece + 1] - self.along[piece])
        share = min(max(share, 0.0), 1.0)
        return (ax + share * (bx - ax), ay + share * (by - ay))

    def nearest(self, x: Metre, y: Metre) -> tuple[Metre, Metre]:
        """The place on the line nearest to a point, and how far off it is.

        >>> Line(((0.0, 0.0), (4.0, 0.0), (4.0, 3.0))).nearest(1.0, 0.5)
        (1.0, 0.5)
        """
        points, along = self.points, self.along
        if len(points) == 1:
            return 0.0, math.dist(points[0], (x, y))
        best, best_square = 0.0, math.inf
        for piece in range(len(points) - 1):
            ax, ay = points[piece]
            bx, by = points[piece + 1]
            dx, dy = bx - ax, by - ay
            whole = along[piece + 1] - along[piece]
            step = ((x - ax) * dx + (y - ay) * dy) / whole
            step = 0.0 if step < 0.0 else (whole if step > whole else step)
            ox, oy = ax + dx * step / whole - x, ay + dy * step / whole - y
            square = ox * ox + oy * oy
            if square < best_square:
                best, best_square = along[piece] + step, square
        return best, math.sqrt(best_square)

    def between(self, start: Metre, end: Metre) -> tuple[Flat, ...]:
        """The points of a piece of the line, both ends and the corners between them."""
        inner = [
            point
            for point, place in zip(self.points, self.along, strict=True)
            if start + SAME_PLACE < place < end - SAME_PLACE
        ]
        return (self.point(start), *inner, self.point(end))


def _straight_on(one: Flat, two: Flat, three: Flat) -> bool:
    """Whether the way through three points goes on in one direction, so that the middle one is no corner."""
    ax, ay, bx, by = two[0] - one[0], two[1] - one[1], three[0] - two[0], three[1] - two[1]
    return abs(ax * by - ay * bx) < 1e-9 * math.hypot(ax, ay) and ax * bx + ay * by > 0.0
