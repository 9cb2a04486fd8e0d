"""Where racks may stand: along each wall and, if wished, free in the room, clear of all that does not move.

Places lie on a grid, and flush with corners, obstacles, doors and with rack after rack from either end of a wall, so
that a row of racks that just fits is among them.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import islice
from typing import Final, NamedTuple

from tankwright.arranging.model import Place
from tankwright.plan.models import RackKind
from tankwright.room.boxes import ceiling_over, door_sweeps, outside
from tankwright.room.frames import OPPOSITE
from tankwright.room.model import Box, Opening, OutfallPlace, RackPlace, Space, Wall
from tankwright.room.walls import loop_of
from tankwright.units import Dimensionless, Metre

WALLS: Final[tuple[Wall, ...]] = ("north", "east", "south", "west")
SIDE_GAP: Final[Metre] = 0.02
"""m between two racks side by side, for uprights that are not plumb. Source: common practice, no source."""

TOUCH: Final[Metre] = 0.0005
_STEPS: Final = (0.05, 0.1, 0.15, 0.2, 0.3, 0.5, 0.75, 1.0, 1.5, 2.0, 3.0, 5.0)
_MOST_FLUSH: Final = 30
"""Flush places of one kind of rack on one wall, from either end."""
_RAW: Final = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class Floor:
    """What racks are placed in: a room, the racks in it that stay, the clear way wanted before each rack, the gap
    behind it, and the drain it is to reach (its outfall with the fall)."""

    space: Space
    kept: tuple[RackPlace, ...]
    aisle: Metre
    off_wall: Metre
    quantum: Metre
    islands: bool = False
    outfall: OutfallPlace | None = None
    fall: Dimensionless = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Places:
    """The places, and the step of the grid along walls."""

    places: tuple[Place, ...]
    step: Metre


def places_for(floor: Floor, kinds: Sequence[tuple[str, RackKind]], most: int) -> Places:
    """All places of these kinds of rack, on the finest grid that has at most `most` of them for each of the two ways
    to stand, along walls and free."""
    site = _Site(floor)
    places, step = _finest(site, lambda step: _along_walls(floor, kinds, step), most)
    if floor.islands:
        places += _finest(site, lambda step: _islands(floor, kinds, step), most)[0]
    return Places(places=places, step=step)


def front_of(box: Box, facing: Wall, deep: Metre) -> Box:
    """The floor before a block on the side it faces."""
    x0, y0, x1, y1 = box.x0, box.y0, box.x1, box.y1
    if facing == "south":
        y0, y1 = y0 - deep, y0
    elif facing == "north":
        y0, y1 = y1, y1 + deep
    elif facing == "east":
        x0, x1 = x1, x1 + deep
    else:
        x0, x1 = x0 - deep, x0
    return Box(x0=x0, y0=y0, z0=0.0, x1=x1, y1=y1, z1=0.0)


def meets(first: Box, second: Box, by: Metre = TOUCH) -> bool:
    """Whether two blocks share floor."""
    return (
        min(first.x1, second.x1) - max(first.x0, second.x0) > by
        and min(first.y1, second.y1) - max(first.y0, second.y0) > by
    )


def door_ways(space: Space, deep: Metre) -> list[Box]:
    """The floor inside each door, as deep as an aisle is wide: nothing stands there."""
    found = []
    for door in doors_of(space):
        (ax, ay), (bx, by) = door.start, door.end
        line = Box(x0=min(ax, bx), y0=min(ay, by), z0=0.0, x1=max(ax, bx), y1=max(ay, by), z1=0.0)
        found.append(front_of(line, OPPOSITE[door.wall], deep))
    return found


def doors_of(space: Space) -> list[Opening]:
    """Its doors."""
    return [one for one in space.openings if one.kind == "door"]


def _finest(
    site: _Site, make: Callable[[Metre], Iterable[_Spot]], most: int
) -> tuple[tuple[Place, ...], Metre]:
    """The places of the finest step of which there are not too many; of the coarsest as many as may be."""
    for step in _STEPS:
        spots = list(islice(make(step), _RAW * most + 1))
        if len(spots) > _RAW * most and step != _STEPS[-1]:
            continue
        found = tuple(place for place in map(site.place, spots) if place is not None)
        if len(found) <= most:
            return found, step
    every = len(found) / most
    return tuple(found[int(number * every)] for number in range(most)), step


# --- along walls -------------------------------------------------------------------------------------------------


def _along_walls(floor: Floor, kinds: Sequence[tuple[str, RackKind]], step: Metre) -> Iterator[_Spot]:
    room = floor.space.box
    lengths = sorted({kind.length.value for _, kind in kinds})
    depths = sorted({kind.depth.value for _, kind in kinds})
    quantum = floor.quantum
    for wall in WALLS:
        whole = room.x1 - room.x0 if wall in ("north", "south") else room.y1 - room.y0
        starts, ends = _anchors(floor, wall, whole, depths)
        for name, kind in kinds:
            last = math.floor((whole - kind.length.value) / quantum + 1e-6)
            if last < 0:
                continue
            wanted = {
                round(number * step / quantum)
                for number in range(math.floor(last * quantum / step + 1e-9) + 1)
            }
            wanted |= _chain(starts, lengths, quantum, last)
            length = kind.length.value
            mirrored = _chain([whole - end for end in ends], lengths, quantum, last)
            wanted |= {math.floor((whole - length) / quantum + 1e-6) - one for one in mirrored}
            for along in sorted(one for one in wanted if 0 <= one <= last):
                yield _Spot(name, kind, wall, OPPOSITE[wall], (along * quantum, 0.0))


def _anchors(
    floor: Floor, wall: Wall, whole: Metre, depths: Sequence[Metre]
) -> tuple[list[Metre], list[Metre]]:
    """Where a first rack may begin, and where a last one may end: walls, racks round the corner and the way before
    them, then whatever stands in the room."""
    room = floor.space.box
    across = wall in ("north", "south")
    reaches = [0.0]
    for depth in depths:
        reaches += [depth + floor.off_wall, depth + floor.off_wall + floor.aisle]
    starts, ends = list(reaches), [whole - reach for reach in reaches]
    things = [box for _, box in floor.space.obstacles]
    for rack in floor.kept:
        things += [rack.box, front_of(rack.box, rack.facing, floor.aisle)]
    for box in (*things, *door_ways(floor.space, floor.aisle)):
        low, high = (box.x0 - room.x0, box.x1 - room.x0) if across else (box.y0 - room.y0, box.y1 - room.y0)
        starts.append(high)
        ends.append(low)
    return starts, ends


def _chain(starts: Sequence[Metre], lengths: Sequence[Metre], quantum: Metre, most: int) -> set[int]:
    """Beginnings of racks that stand one after the other from any of the starts, nearest links first."""
    found: dict[int, None] = {}
    links = [math.ceil(start / quantum - 1e-6) for start in starts]
    while links and len(found) < _MOST_FLUSH:
        links = list(dict.fromkeys(one for one in links if 0 <= one <= most and one not in found))
        found |= dict.fromkeys(links)
        links = [
            math.ceil((one * quantum + length + SIDE_GAP) / quantum - 1e-6)
            for one in links
            for length in lengths
        ]
    return set(list(found)[:_MOST_FLUSH])


# --- free in the room --------------------------------------------------------------------------------------------


def _islands(floor: Floor, kinds: Sequence[tuple[str, RackKind]], step: Metre) -> Iterator[_Spot]:
    """Racks on either side of lines of the grid, so that two of them stand back to back with their pipe between."""
    room = floor.space.box
    half, quantum = floor.off_wall / 2.0, floor.quantum
    for name, kind in kinds:
        length, depth = kind.length.value, kind.depth.value
        for facing in WALLS:
            across = facing in ("north", "south")
            long_way = (room.x1 - room.x0) if across else (room.y1 - room.y0)
            deep_way = (room.y1 - room.y0) if across else (room.x1 - room.x0)
            for number in range(math.floor(max(long_way - length, 0.0) / step + 1e-9) + 1):
                for line in range(1, math.ceil(deep_way / step)):
                    along = round(number * step / quantum) * quantum
                    near = line * step + half if facing in ("north", "east") else line * step - half - depth
                    near = round(near / quantum) * quantum
                    yield _Spot(name, kind, None, facing, (along, near) if across else (near, along))


# --- whether it is free ------------------------------------------------------------------------------------------


class _Spot(NamedTuple):
    """A place not yet looked at: `at` is how far along its wall, or where an island's south-west corner is."""

    name: str
    kind: RackKind
    wall: Wall | None
    facing: Wall
    at: tuple[Metre, Metre]


class _Site:
    """What does not move, gathered once."""

    def __init__(self, floor: Floor) -> None:
        self.floor = floor
        space = floor.space
        self.solid = [block for _, block in space.obstacles] + [rack.box for rack in floor.kept]
        self.free = [front_of(rack.box, rack.facing, floor.aisle) for rack in floor.kept]
        self.free += door_ways(space, floor.aisle)
        self.doors = doors_of(space)

    def place(self, spot: _Spot) -> Place | None:
        """The place, unless something that does not move is in its way."""
        floor, space = self.floor, self.floor.space
        box = _block(floor, spot)
        front = front_of(box, spot.facing, floor.aisle)
        back = None if spot.wall is not None else front_of(box, OPPOSITE[spot.facing], floor.off_wall)
        needs = [one for one in (box, front, back) if one is not None]
        if any(outside(space, need) > TOUCH for need in needs):
            return None
        if any(meets(need, block) for need in needs for block in self.solid):
            return None
        if any(meets(box, way) for way in self.free) or any(_swept(door, box) for door in self.doors):
            return None
        ceiling, _ = ceiling_over(space, box)
        if box.z1 > ceiling + TOUCH:
            return None
        return Place(
            kind=spot.name, wall=spot.wall, facing=spot.facing, box=box, front=front, back=back,
            along=None if spot.wall is None else spot.at[0], off_wall=floor.off_wall, ceiling=ceiling,
            drain=_drain_at(floor, box, spot.facing, spot.wall), walk=_walk(space, front),
        )  # fmt: skip


def _block(floor: Floor, spot: _Spot) -> Box:
    room, kind, off = floor.space.box, spot.kind, floor.off_wall
    length, depth = kind.length.value, kind.depth.value
    top = kind.height.value if kind.height else max((one.value for one in kind.shelves), default=0.0)
    x0, y0 = room.x0 + spot.at[0], room.y0 + spot.at[1]
    if spot.wall == "north":
        y0 = room.y1 - off - depth
    elif spot.wall == "south":
        y0 = room.y0 + off
    elif spot.wall == "east":
        x0, y0 = room.x1 - off - depth, room.y0 + spot.at[0]
    elif spot.wall == "west":
        x0, y0 = room.x0 + off, room.y0 + spot.at[0]
    wide, deep = (length, depth) if spot.facing in ("north", "south") else (depth, length)
    return Box(x0=x0, y0=y0, z0=0.0, x1=x0 + wide, y1=y0 + deep, z1=top)


def _swept(door: Opening, box: Box) -> bool:
    """Whether a door's leaf strikes a block, whichever side it is hinged on when that is not said."""
    if door.swing.startswith("slide"):
        return False
    into: Wall = door.wall if door.swing.startswith("out") else OPPOSITE[door.wall]
    hinges = [door.hinge] if door.hinge is not None else [door.start, door.end]
    return any(
        door_sweeps(hinge, door.end if math.dist(hinge, door.start) <= math.dist(hinge, door.end) else door.start,
                    into, box)
        for hinge in hinges
    )  # fmt: skip


def _walk(space: Space, front: Box) -> Metre:
    middle = ((front.x0 + front.x1) / 2.0, (front.y0 + front.y1) / 2.0)
    doors = [
        ((a + c) / 2.0, (b + d) / 2.0) for (a, b), (c, d) in ((one.start, one.end) for one in doors_of(space))
    ]
    return min((math.dist(middle, door) for door in doors), default=0.0)


def _drain_at(floor: Floor, box: Box, facing: Wall, wall: Wall | None) -> Metre | None:
    """How high the drain's invert lies behind a rack at the least: at its end nearer to the outfall, the shorter way
    round the walls; of an island straight across the floor."""
    outfall = floor.outfall
    if outfall is None:
        return None
    if outfall.room != floor.space.id:
        return outfall.place[2]
    behind = front_of(box, OPPOSITE[facing], 0.0)
    ends = ((behind.x0, behind.y0), (behind.x1, behind.y1))
    if wall is None:
        return outfall.place[2] + floor.fall * min(math.dist(end, outfall.place[:2]) for end in ends)
    loop = loop_of(floor.space, floor.off_wall / 2.0)
    goal = loop.nearest(*outfall.place[:2])
    steps = [abs(loop.on_wall(wall, *end) - goal) for end in ends]
    within = min(steps) + max(steps) <= math.dist(*ends) + TOUCH  # the outfall lies behind the rack itself
    least = 0.0 if within else min(min(step, loop.length - step) for step in steps)
    return outfall.place[2] + floor.fall * least
