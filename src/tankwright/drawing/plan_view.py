"""The plan: rooms to scale from above, with walls, doors, windows, what stands in the way, racks and tanks.

All shelves of a rack lie above each other; in the plan they are unfolded side by side inside the rack's
footprint, the lowest shelf nearest the aisle, so that every tank is seen, named and coloured where it stands.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from tankwright.drawing.cells import tank_group
from tankwright.drawing.colour import BLOCK, INK, LINE, PANE, PAPER, QUIET, TEAL, WALL, WATER, WOOD, mark
from tankwright.drawing.frame import Frame, dimension, length_words
from tankwright.drawing.model import (
    Arc,
    Circle,
    Group,
    Look,
    Point,
    Polyline,
    Rectangle,
    Shape,
    Text,
    bounds,
    fitting_size,
    line,
    text_width,
)  # fmt: skip
from tankwright.drawing.results import DrawnResults
from tankwright.drawing.svg import identifier
from tankwright.finding import Severity
from tankwright.room.boxes import along_span, hull
from tankwright.room.model import Box, Opening, RackPlace, Room, Space, Wall

WALL_THICKNESS: Final = 0.10  # drawn only; the plan does not say how thick the walls are
_NAME: Final = 5.5  # mm before a rack that its name takes
_THIN: Final = Look(stroke=LINE, width=0.2)
_INTO: Final[dict[Wall, Point]] = {"north": (0, 1), "south": (0, -1), "east": (-1, 0), "west": (1, 0)}


def draw_plan(room: Room, results: DrawnResults, frame: Frame) -> tuple[Shape, ...]:
    """The rooms with all that stands in them, without pipes, in the order they must be painted."""
    shapes = [*draw_shell(room, frame)]
    shapes.extend(_wet_floors(room, results, frame))
    shapes.append(_aisles(results, frame))
    shapes.extend(_rack(room, rack, results, frame) for rack in room.racks)
    return tuple(shapes)


def draw_shell(room: Room, frame: Frame, *, named: bool = True) -> tuple[Shape, ...]:
    """Walls, floors, doors, windows and what stands in the way; `named` with the names of these."""
    t = WALL_THICKNESS
    walls = [
        Rectangle(
            x=frame.at(s.box.x0 - t, s.box.y1 + t)[0], y=frame.at(s.box.x0 - t, s.box.y1 + t)[1],
            width=frame.mm(s.box.x1 - s.box.x0 + 2 * t), height=frame.mm(s.box.y1 - s.box.y0 + 2 * t),
            look=Look(fill=WALL),
        )
        for s in room.spaces
    ]  # fmt: skip
    floors = [_block(space.box, frame, Look(fill=PAPER)) for space in room.spaces]
    shapes: list[Shape] = [Group(parts=(*walls, *floors), id="walls", layer="layout")]
    for space in room.spaces:
        way = (shape for shape in _in_the_way(space, frame) if named or not isinstance(shape, Text))
        parts = (*way, *(s for o in space.openings for s in _opening(o, frame)))
        name = f"{space.id}, {_size_words(space, room.display)}"
        shapes.append(Group(parts=parts, id=identifier("room", space.id), place=space.id, title=name))
    return tuple(shapes)


def _wet_floors(room: Room, results: DrawnResults, frame: Frame) -> Iterator[Shape]:
    """Water on floors: a puddle before the rack it comes from as large as it is, or the whole floor."""
    for floor in results.floors:
        space = next((one for one in room.spaces if one.id == floor.space), None)
        if space is None:
            continue
        box = space.box
        look = Look(fill=WATER, stroke=TEAL, width=0.3)
        area = (box.x1 - box.x0) * (box.y1 - box.y0) * floor.share
        radius = math.sqrt(area / math.pi)
        source = next((tank for tank in room.tanks if tank.id == floor.source), None)
        puddle: Shape = _block(box, frame, look)
        if source is not None and 2.0 * radius < min(box.x1 - box.x0, box.y1 - box.y0):
            x, y, _ = source.box.middle
            centre = (
                min(max(x, box.x0 + radius), box.x1 - radius),
                min(max(y, box.y0 + radius), box.y1 - radius),
            )
            puddle = Circle(centre=frame.at(*centre), radius=max(frame.mm(radius), 1.0), look=look)
        yield Group(parts=(puddle,), id=identifier("floor", space.id), title=floor.label)


def plan_extent(room: Room) -> Box | None:
    """The block around everything the plan shows: rooms, racks, and doors that open outwards."""
    return hull((*_standing(room), *door_swings(room)))


def walls_extent(room: Room) -> Box | None:
    """The block around rooms and racks, without the doors that open outwards."""
    return hull(_standing(room))


def _standing(room: Room) -> tuple[Box, ...]:
    return (*(space.box for space in room.spaces), *(rack.box for rack in room.racks))


def door_swings(room: Room) -> tuple[Box, ...]:
    """What doors that open outwards sweep over."""
    t = WALL_THICKNESS
    swings: list[Box] = []
    for opening in (opening for space in room.spaces for opening in space.openings):
        if opening.kind == "door" and opening.swing == "out":
            (x0, y0), (x1, y1) = opening.start, opening.end
            leaf = max(abs(x1 - x0), abs(y1 - y0)) + t
            dx, dy = _INTO[opening.wall]  # on the page, where y runs down
            far = (x0 - dx * leaf, y0 + dy * leaf)
            swings.append(
                Box(x0=min(x0, x1, far[0]), y0=min(y0, y1, far[1]), z0=0.0,
                    x1=max(x0, x1, far[0]), y1=max(y0, y1, far[1]), z1=0.0)
            )  # fmt: skip
    return tuple(swings)


def draw_room_dimensions(room: Room, frame: Frame) -> tuple[Shape, ...]:
    """Each room's name over it, its length and its width as dimension lines outside its walls."""
    shapes: list[Shape] = []
    off = frame.mm(WALL_THICKNESS) + 3.5
    east_end = max((space.box.x1 for space in room.spaces), default=0.0)
    for space in room.spaces:
        box = space.box
        (x0, y0), (x1, y1) = frame.at(box.x0, box.y1), frame.at(box.x1, box.y0)
        top = y0 - off
        shapes.extend(dimension((x0, top), (x1, top), length_words(box.x1 - box.x0, room.display)))
        side = x1 + off + 2 if box.x1 == east_end and len(room.spaces) > 1 else x0 - off
        shapes.extend(dimension((side, y1), (side, y0), length_words(box.y1 - box.y0, room.display)))
        height = length_words(box.z1 - box.z0, room.display)
        size = fitting_size(space.id.upper(), x1 - x0, most=3.2, bold=True)
        shapes.append(Text(at=(x0, top - 4.2), text=space.id.upper(), size=size, colour=INK, bold=True))
        note = f"{height} high{_slope_words(space, room.display)}, {space.floor}"
        shapes.append(
            Text(at=(x1, top - 4.2), text=note, size=fitting_size(note, (x1 - x0) * 0.6, most=2.3),
                 colour=QUIET, anchor="end")
        )  # fmt: skip
    return tuple(shapes)


def _slope_words(space: Space, display: str) -> str:
    if space.slope_towards is None or space.slope_height is None:
        return ""
    return f", {length_words(space.slope_height, display)} at the {space.slope_towards} wall"


def _size_words(space: Space, display: str) -> str:
    box = space.box
    sides = (box.x1 - box.x0, box.y1 - box.y0, box.z1 - box.z0)
    return " × ".join(length_words(side, display) for side in sides)


def _block(box: Box, frame: Frame, look: Look) -> Rectangle:
    x, y, width, height = frame.corner(box)
    return Rectangle(x=x, y=y, width=width, height=height, look=look)


def _in_the_way(space: Space, frame: Frame) -> Iterator[Shape]:
    for name, box in space.obstacles:
        x, y, width, height = frame.corner(box)
        yield Rectangle(x=x, y=y, width=width, height=height, look=Look(fill=BLOCK, stroke=LINE, width=0.35))
        yield line((x, y), (x + width, y + height), _THIN)
        yield line((x, y + height), (x + width, y), _THIN)
        under = box.y0 - space.box.y0 > frame.scale * 0.004  # room for the name between it and the wall
        yield _label(name, x + width / 2, y + height + 2.6 if under else y - 1.0, max(width, 16.0))
    for name, box in space.beams:
        x, y, width, height = frame.corner(box)
        look = Look(stroke=QUIET, width=0.25, dash=(2.0, 1.0))
        yield Rectangle(x=x, y=y, width=width, height=height, look=look)
        if width >= height:
            yield _label(name, x + width / 2, y + height / 2 + 0.8, max(width, 16.0))
        else:
            size = fitting_size(name, max(height, 16.0), most=2.2)
            at = (x + width / 2 + 0.8, y + height / 2)
            yield Text(at=at, text=name, size=size, colour=QUIET, anchor="middle", turn=270)


def _label(name: str, x: float, y: float, width: float) -> Text:
    size = fitting_size(name, width, most=2.2)
    return Text(at=(x, y), text=name, size=size, colour=QUIET, anchor="middle")


def _opening(opening: Opening, frame: Frame) -> Iterator[Shape]:
    a, b = frame.at(*opening.start), frame.at(*opening.end)
    inward = _INTO[opening.wall]
    t = frame.mm(WALL_THICKNESS)
    outer_a, outer_b = _moved(a, inward, -t), _moved(b, inward, -t)
    gap = (a, b, outer_b, outer_a)
    if opening.kind == "window":
        yield Polyline(points=gap, closed=True, look=Look(fill=PANE, stroke=WALL, width=0.3))
        yield line(_moved(a, inward, -t / 2), _moved(b, inward, -t / 2), Look(stroke=WALL, width=0.3))
        return
    yield Polyline(points=gap, closed=True, look=Look(fill=PAPER, stroke=PAPER, width=0.1))
    for inside, outside in ((a, outer_a), (b, outer_b)):
        yield line(inside, outside, Look(stroke=WALL, width=0.3))
    if opening.swing == "slides":
        yield line(_moved(a, inward, -t / 2), _moved(b, inward, -t / 2), Look(stroke=WALL, width=0.5))
        return
    hinge = a if opening.hinge is None else frame.at(*opening.hinge)
    other = b if _far(hinge, a) <= _far(hinge, b) else a
    leaf = _far(hinge, other)
    into = inward if opening.swing != "out" else (-inward[0], -inward[1])
    if opening.swing == "out":
        hinge, other = _moved(hinge, inward, -t), _moved(other, inward, -t)
    tip = _moved(hinge, into, leaf)
    turn = (tip[0] - hinge[0]) * (other[1] - hinge[1]) - (tip[1] - hinge[1]) * (other[0] - hinge[0])
    yield line(hinge, tip, Look(stroke=LINE, width=0.45))
    yield Arc(start=tip, end=other, radius=leaf, sweep=turn > 0, look=Look(stroke=QUIET, width=0.18))


def _moved(point: Point, direction: Point, distance: float) -> Point:
    return point[0] + direction[0] * distance, point[1] + direction[1] * distance


def _far(first: Point, second: Point) -> float:
    return float(((first[0] - second[0]) ** 2 + (first[1] - second[1]) ** 2) ** 0.5)


def _rack(room: Room, rack: RackPlace, results: DrawnResults, frame: Frame) -> Group:
    x, y, width, height = frame.corner(rack.box)
    parts: list[Shape] = [
        Rectangle(x=x, y=y, width=width, height=height, look=Look(fill=WOOD, stroke=LINE, width=0.5))
    ]
    shelves = max(len(rack.shelves), 1)
    tanks = [tank for tank in room.tanks if tank.rack == rack.id]
    for tank in tanks:
        start, end = along_span(rack.box, rack.facing, tank.box)
        band = _band(rack, tank.shelf, shelves, (start, end), frame)
        upright = rack.facing in ("east", "west")
        parts.append(
            tank_group("plan", tank, results, band, lying=True, upright=upright, readable=frame.readable)
        )
    parts.extend(_front_label(rack, room.display, results, frame))
    title = f"rack {rack.id}, {len(rack.shelves)} shelves, {len(tanks)} tanks"
    return Group(parts=tuple(parts), id=identifier("plan", "rack", rack.id), place=rack.id, title=title)


def _band(
    rack: RackPlace, shelf: int, shelves: int, ends: tuple[float, float], frame: Frame
) -> tuple[float, float, float, float]:
    """The cell of a tank in the unfolded plan: its true run along the rack, its shelf's band across it."""
    box, inset = rack.box, 0.35 if frame.readable == 0.0 else 0.2
    share = min(max(shelf - 1, 0), shelves - 1) / shelves
    band = 1 / shelves
    if rack.facing in ("south", "north"):
        deep = frame.mm(box.y1 - box.y0)
        left = box.x0 + ends[0] if rack.facing == "south" else box.x1 - ends[1]
        x, top = frame.at(left, box.y1)
        y = top + deep * (1 - share - band if rack.facing == "south" else share)
        cell = (x, y, frame.mm(ends[1] - ends[0]), deep * band)
    else:
        deep = frame.mm(box.x1 - box.x0)
        upper = box.y0 + ends[1] if rack.facing == "east" else box.y1 - ends[0]
        left_edge, y = frame.at(box.x0, upper)
        x = left_edge + deep * (1 - share - band if rack.facing == "east" else share)
        cell = (x, y, deep * band, frame.mm(ends[1] - ends[0]))
    x, y, width, height = cell
    return x + inset, y + inset, max(width - 2 * inset, 0.1), max(height - 2 * inset, 0.1)


@dataclass(frozen=True, slots=True, kw_only=True)
class FrontLabel:
    """A rack's name and length on the side one works it from: its text, and how far it reaches from its middle."""

    text: Text
    half: float
    level: bool

    def before(self, distance: float) -> Point:
        """A point on its line, so far before its beginning."""
        (x, y), size = self.text.at, self.text.size
        back = self.half + distance
        return (x - back, y - size * 0.36) if self.level else (x - size * 0.36, y + back)


def front_label(rack: RackPlace, display: str, frame: Frame) -> FrontLabel:
    """Where the rack's name stands, and how large."""
    x, y, width, height = frame.corner(rack.box)
    level = rack.facing in ("south", "north")
    turn, at = {
        "south": (0.0, (x + width / 2, y + height + 4.2)),
        "north": (0.0, (x + width / 2, y - 1.6)),
        "west": (270.0, (x - 1.6, y + height / 2)),
        "east": (270.0, (x + width + 4.2, y + height / 2)),
    }[rack.facing]
    label = f"{rack.id} · {length_words(rack.length, display)}"
    size = fitting_size(label, (width if level else height) * 0.8, most=3.2, bold=True)
    text = Text(at=at, text=label, size=size, colour=INK, anchor="middle", bold=True, turn=turn)
    return FrontLabel(text=text, half=text_width(label, size, bold=True) / 2, level=level)


def _front_label(rack: RackPlace, display: str, results: DrawnResults, frame: Frame) -> Iterator[Shape]:
    """The rack's name and length, and its sign before them."""
    label = front_label(rack, display, frame)
    left, top, right, bottom = bounds(label.text)  # on its own ground, where an aisle's line runs through
    ground = Rectangle(x=left, y=top, width=right - left, height=bottom - top, look=Look(fill=PAPER))
    yield from (ground, label.text)
    flag = results.mark(rack.id)
    if flag is not None:
        yield mark(flag.severity, label.before(2.4), 2.8, flag.title)


def _aisles(results: DrawnResults, frame: Frame) -> Group:
    """Free widths, in the empty middle."""
    parts: list[Shape] = []
    for aisle in results.aisles:
        start, end = frame.at(*aisle.start), frame.at(*aisle.end)
        upright = abs(end[1] - start[1]) > abs(end[0] - start[0])
        share = 0.3 if upright else 0.62  # apart, where two cross
        run = math.dist(start, end)
        clear = (_NAME + text_width(aisle.label, 2.8) / 2) / run if run > 0 else 0.5
        share = min(max(share, clear), max(1 - clear, 0.5))  # and off the racks' names at its ends
        parts.extend(dimension(start, end, aisle.label, size=2.8, at=share))
        if aisle.severity is not None and aisle.severity is not Severity.NOTE:
            middle = (start[0] + (end[0] - start[0]) * share + 3.5, start[1] + (end[1] - start[1]) * share)
            parts.append(mark(aisle.severity, middle, 2.8, aisle.label))
    return Group(parts=tuple(parts), id="aisles", layer="layout")


def draw_outfalls(room: Room, results: DrawnResults, frame: Frame) -> Group:
    """Where water leaves: a ring with a cross-hatch, and its name."""
    parts: list[Shape] = []
    shown = room.outfalls if results.layer in ("layout", "drain") else ()
    for outfall in shown:
        x, y = frame.at(outfall.place[0], outfall.place[1])
        ring: tuple[Shape, ...] = (
            Circle(centre=(x, y), radius=1.6, look=Look(fill=PAPER, stroke=LINE, width=0.4)),
            line((x - 1.1, y - 1.1), (x + 1.1, y + 1.1), _THIN),
            line((x - 1.1, y + 1.1), (x + 1.1, y - 1.1), _THIN),
        )
        flag = results.mark(outfall.id)
        if flag is not None:
            ring = (*ring, mark(flag.severity, (x - 2.6, y - 2.0), 2.4, flag.title))
        title = f"outfall {outfall.id}, to {outfall.to}"
        parts.append(Group(parts=ring, id=identifier("outfall", outfall.id), place=outfall.id, title=title))
    return Group(parts=tuple(parts), id="outfalls", layer="drain")
