"""What stands behind everything when a room is seen from aslant: floors, the walls one looks at, openings in them.

Walls between the viewer and the room are cut off at the floor, as in a plan; so are walls that would stand before
another room. All of this is painted first: nothing in a room lies behind its floor or its far walls.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from tankwright.drawing.colour import FAINT, GLASS, INK, LINE, PAPER, QUIET, WALL, mark
from tankwright.drawing.model import (
    Circle,
    Group,
    Look,
    Point,
    Polyline,
    Shape,
    Text,
    fitting_size,
    line,
    text_width,
)
from tankwright.drawing.orbit_order import covered
from tankwright.drawing.orbit_shades import FAR_WALL, FLOOR, SIDE_WALL
from tankwright.drawing.orbit_view import View
from tankwright.drawing.plan_view import WALL_THICKNESS
from tankwright.drawing.results import DrawnResults
from tankwright.drawing.svg import identifier
from tankwright.room.boxes import ceiling_over
from tankwright.room.frames import OUTWARD
from tankwright.room.model import Box, Opening, Place, RackPlace, Room, Space, Wall
from tankwright.units import convert

_EDGE: Final = Look(stroke=FAINT, width=0.2)
_FRAME: Final = Look(fill=PAPER, stroke=QUIET, width=0.25)
_ARC_STEPS: Final = 8
_NAME: Final = 3.2  # mm
_BEFORE_FRONT: Final = 0.16  # m before a rack's front its name stands


@dataclass(frozen=True, slots=True)
class _Side:
    """A wall's inner face in the plan, from its start to its end, and the way out through it."""

    wall: Wall
    start: Point
    end: Point
    out: Point

    def along(self, point: tuple[float, float]) -> float:
        """How far along the wall a point lies."""
        axis = 0 if self.wall in ("north", "south") else 1
        return point[axis] - self.start[axis]

    def at(self, along: float, outward: float = 0.0) -> tuple[float, float]:
        """A point so far along the wall and outside its inner face."""
        x, y = self.start
        if self.wall in ("north", "south"):
            return x + along, y + self.out[1] * outward
        return x + self.out[0] * outward, y + along

    @property
    def length(self) -> float:
        """Its length."""
        return math.dist(self.start, self.end)


def draw_shell(room: Room, view: View) -> tuple[Shape, ...]:
    """Floors, walls and openings of all rooms, in the order they must be painted."""
    floors = tuple(shape for space in room.spaces for shape in _floor(space, room.display, view))
    faces: list[Shape] = []
    low: list[Shape] = []
    # the side walls of one room may cover a farther room's far walls, so the farther room comes first
    for space in sorted(room.spaces, key=lambda one: view.depth(*one.box.middle)):
        sides = [_side(space, wall) for wall in OUTWARD]
        # a wall seen more squarely last, so that its edge covers the other's in the corner
        sides.sort(key=lambda side: -_turned_away(side, view))
        for side in sides:
            standing = _turned_away(side, view) > 1e-9 and not _before_another(room, space, side, view)
            if standing:
                faces.extend(_face(space, side, view))
            else:
                low.extend(_cut_off(space, side, view))
            (faces if standing else low).extend(
                shape
                for opening in space.openings
                if opening.wall == side.wall
                for shape in _opening(opening, side, view, standing=standing)
            )
    return (Group(parts=(*floors, *low, *faces), id="orbit-walls", layer="layout"),)


def _side(space: Space, wall: Wall) -> _Side:
    box = space.box
    ends = {
        "north": ((box.x0, box.y1), (box.x1, box.y1)),
        "south": ((box.x0, box.y0), (box.x1, box.y0)),
        "west": ((box.x0, box.y0), (box.x0, box.y1)),
        "east": ((box.x1, box.y0), (box.x1, box.y1)),
    }[wall]
    return _Side(wall, *ends, OUTWARD[wall])


def _turned_away(side: _Side, view: View) -> float:
    """Positive for a wall beyond the room, whose inner face one looks at; the larger the more squarely."""
    return -(side.out[0] * view.towards[0] + side.out[1] * view.towards[1])


def _before_another(room: Room, space: Space, side: _Side, view: View) -> bool:
    """Whether a standing wall would cover a part of another room."""
    picture = [view.at(*side.at(along), z) for along in (0.0, side.length) for z in _span(space)]
    for other in room.spaces:
        if other is space:
            continue
        box = other.box
        corners = [(x, y) for x in (box.x0, box.x1) for y in (box.y0, box.y1)]
        beyond = max(
            (x - side.start[0]) * side.out[0] + (y - side.start[1]) * side.out[1] for x, y in corners
        )
        theirs = [view.at(x, y, z) for x, y in corners for z in (box.z0, box.z1)]
        if beyond > WALL_THICKNESS / 2 and _overlap(picture, theirs, view):
            return True
    return False


def _span(space: Space) -> tuple[float, float]:
    return space.box.z0, space.box.z1


def _overlap(first: list[Point], second: list[Point], view: View) -> bool:
    """Whether two pictures overlap across each direction of the room's edges (see `drawing.orbit_order`)."""
    for axis in range(3):
        across = (-view.up[axis], -view.right[axis])  # on the page y runs down
        spans = [[x * across[0] + y * across[1] for x, y in points] for points in (first, second)]
        if min(map(max, spans)) - max(map(min, spans)) < 1e-6:
            return False
    return True


def _floor(space: Space, display: str, view: View) -> Iterator[Shape]:
    """The floor with a light grid, a metre or three feet wide."""
    box = space.box
    corners = ((box.x0, box.y0), (box.x1, box.y0), (box.x1, box.y1), (box.x0, box.y1))
    points = tuple(view.at(x, y, box.z0) for x, y in corners)
    yield Polyline(points=points, closed=True, look=Look(fill=FLOOR))
    step = convert(3.0, "ft", "m") if display == "US" else 1.0
    look = Look(stroke=FAINT, width=0.12)
    for index in range(1, min(math.ceil((box.x1 - box.x0) / step), 60)):
        x = box.x0 + index * step
        yield line(view.at(x, box.y0, box.z0), view.at(x, box.y1, box.z0), look)
    for index in range(1, min(math.ceil((box.y1 - box.y0) / step), 60)):
        y = box.y0 + index * step
        yield line(view.at(box.x0, y, box.z0), view.at(box.x1, y, box.z0), look)


def _face(space: Space, side: _Side, view: View) -> Iterator[Shape]:
    """The inner face of a standing wall and its cut top."""
    low = space.box.z0
    start, end = side.start, side.end
    tops = [_ceiling(space, point) for point in (start, end)]
    fill = FAR_WALL if side.wall in ("north", "south") else SIDE_WALL
    face = (view.at(*start, low), view.at(*end, low), view.at(*end, tops[1]), view.at(*start, tops[0]))
    yield Polyline(points=face, closed=True, look=Look(fill=fill, stroke=FAINT, width=0.2))
    t = WALL_THICKNESS
    inner = [side.at(0.0), side.at(side.length)]
    outer = [side.at(-t, t), side.at(side.length + t, t)]
    top = (
        view.at(*inner[0], tops[0]), view.at(*inner[1], tops[1]),
        view.at(*outer[1], tops[1]), view.at(*outer[0], tops[0]),
    )  # fmt: skip
    yield Polyline(points=top, closed=True, look=Look(fill=WALL))


def _ceiling(space: Space, point: tuple[float, float]) -> float:
    """Height of the ceiling over a point; beams left out."""
    x, y = point
    bare = Space(
        id=space.id, box=space.box, floor=space.floor, slope_towards=space.slope_towards,
        slope_height=space.slope_height,
    )  # fmt: skip
    return ceiling_over(bare, Box(x0=x, y0=y, z0=space.box.z0, x1=x, y1=y, z1=space.box.z0))[0]


def _cut_off(space: Space, side: _Side, view: View) -> Iterator[Shape]:
    """A wall cut at the floor, with gaps where doors are."""
    low, t = space.box.z0, WALL_THICKNESS
    doors = sorted(
        sorted((side.along(one.start), side.along(one.end)))
        for one in space.openings
        if one.wall == side.wall and one.kind == "door"
    )
    at = -t
    for start, end in [*doors, [side.length + t, side.length + t]]:
        if start > at:
            strip = (side.at(at), side.at(start), side.at(start, t), side.at(at, t))
            points = tuple(view.at(*point, low) for point in strip)
            yield Polyline(points=points, closed=True, look=Look(fill=WALL))
        at = max(at, end)


def _opening(opening: Opening, side: _Side, view: View, *, standing: bool) -> Iterator[Shape]:
    low = opening.sill if opening.kind == "window" else 0.0
    high = low + opening.height
    (x0, y0), (x1, y1) = opening.start, opening.end
    if standing:
        frame = (view.at(x0, y0, low), view.at(x1, y1, low), view.at(x1, y1, high), view.at(x0, y0, high))
        look = Look(fill=GLASS, stroke=QUIET, width=0.3) if opening.kind == "window" else _FRAME
        yield Polyline(points=frame, closed=True, look=look)
        if opening.kind == "window":
            middle = (view.at((x0 + x1) / 2, (y0 + y1) / 2, z) for z in (low, high))
            yield line(next(middle), next(middle), Look(stroke=QUIET, width=0.2))
    behind = standing and opening.swing == "out"  # the wall hides it
    if opening.kind == "door" and opening.swing in ("in", "out") and not behind:
        yield from _swing(opening, side, view)


def _swing(opening: Opening, side: _Side, view: View) -> Iterator[Shape]:
    """The open leaf and its sweep on the floor, as in a plan."""
    hinge = opening.hinge or opening.start
    other = max((opening.start, opening.end), key=lambda end: math.dist(end, hinge))
    leaf = math.dist(hinge, other)
    sign = 1.0 if opening.swing == "out" else -1.0
    way = ((other[0] - hinge[0]) / leaf, (other[1] - hinge[1]) / leaf) if leaf > 0 else (0.0, 0.0)
    points: list[Point] = []
    for step in range(_ARC_STEPS + 1):
        turn = math.pi / 2 * step / _ARC_STEPS
        x = hinge[0] + leaf * (math.cos(turn) * way[0] + math.sin(turn) * sign * side.out[0])
        y = hinge[1] + leaf * (math.cos(turn) * way[1] + math.sin(turn) * sign * side.out[1])
        points.append(view.at(x, y, 0.0))
    yield Polyline(points=tuple(points), look=Look(stroke=QUIET, width=0.15))
    yield line(view.at(*hinge, 0.0), points[-1], Look(stroke=LINE, width=0.35))


def draw_names(
    room: Room,
    results: DrawnResults,
    view: View,
    boxes: Sequence[Box],
    link: Callable[[str], str] | None = None,
    chosen: str = "",
) -> Iterator[Shape]:
    """Where water leaves, and the racks' names on the floor before those fronts that are turned to the viewer.

    A name that one of the `boxes` would cover in part is left out: half a letter helps nobody.
    """
    named: list[tuple[RackPlace, Place]] = []
    for rack in room.racks:
        out = OUTWARD[rack.facing]
        if out[0] * view.towards[0] + out[1] * view.towards[1] > 0.2:
            named.append((rack, _name_spot(rack, out)))
    half = [text_width(rack.id, _NAME, bold=True) / 2 / view.mm for rack, _ in named]
    rise = _NAME / 2 / view.mm
    points = [
        (
            spot[0] + view.right[0] * wide * side + view.up[0] * rise * up,
            spot[1] + view.right[1] * wide * side + view.up[1] * rise * up,
            spot[2] + view.up[2] * rise * up,
        )
        for (_, spot), wide in zip(named, half, strict=True)
        for side in (-1, 1)
        for up in (-1, 1)
    ]
    hidden = covered(points, boxes, view)
    for index, (rack, spot) in enumerate(named):
        if not any(hidden[4 * index : 4 * index + 4]):
            yield _rack_name(rack, spot, results, view, link(rack.id) if link else "", chosen == rack.id)
    if results.layer not in ("layout", "drain"):
        return
    for outfall in room.outfalls:
        x, y = view.at(*outfall.place)
        ring: list[Shape] = [
            Circle(centre=(x, y), radius=1.3, look=Look(fill=PAPER, stroke=INK, width=0.35)),
            line((x - 0.9, y - 0.9), (x + 0.9, y + 0.9), Look(stroke=INK, width=0.2)),
            line((x - 0.9, y + 0.9), (x + 0.9, y - 0.9), Look(stroke=INK, width=0.2)),
        ]
        flag = results.mark(outfall.id)
        if flag is not None:
            ring.append(mark(flag.severity, (x - 2.4, y - 1.6), 2.2, flag.title))
        yield Group(
            parts=tuple(ring), id=identifier("orbit", "outfall", outfall.id), layer="drain", place=outfall.id,
            title=f"outfall {outfall.id}, to {outfall.to}",
        )  # fmt: skip


def _name_spot(rack: RackPlace, out: Point) -> Place:
    box = rack.box
    x, y, _ = box.middle
    half = (box.x1 - box.x0 if out[0] else box.y1 - box.y0) / 2 + _BEFORE_FRONT
    return x + out[0] * half, y + out[1] * half, box.z0


def _rack_name(
    rack: RackPlace, spot: Place, results: DrawnResults, view: View, link: str, chosen: bool
) -> Group:
    x, y = view.at(*spot)
    size = fitting_size(rack.id, rack.length * view.mm * 0.6, most=_NAME, bold=True)
    parts: list[Shape] = [
        Text(at=(x, y + size * 0.36), text=rack.id, size=size, colour=INK, anchor="middle", bold=True)
    ]
    flag = results.mark(rack.id)
    if flag is not None:
        back = text_width(rack.id, size, bold=True) / 2 + size * 0.6
        parts.append(mark(flag.severity, (x - back, y), size * 0.75, flag.title))
    return Group(
        parts=tuple(parts), id=identifier("orbit", "name", rack.id), place=rack.id, title=f"rack {rack.id}",
        link=link, classes=("name", "chosen") if chosen else ("name",),
        data=(("aria-current", "true"),) if chosen else (),
    )  # fmt: skip
