"""Rack fronts to scale, in the order one walks past them: shelves, uprights, tanks, water, holes."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

from tankwright.drawing.cells import fill_of, has_no_data, spoken
from tankwright.drawing.colour import GLASS, INK, LINE, PAPER, QUIET, TEAL, WATER, WOOD, mark
from tankwright.drawing.frame import Frame, dimension, length_words
from tankwright.drawing.model import (
    Circle,
    Group,
    Hatching,
    Look,
    Point,
    Polyline,
    Rectangle,
    Shape,
    Text,
    fitting_size,
    line,
    text_width,
)
from tankwright.drawing.results import DrawnResults, Layer
from tankwright.drawing.svg import identifier
from tankwright.room.boxes import along, along_span, ceiling_over
from tankwright.room.model import BoardPlace, HolePlace, RackPlace, Room, Space, Tank

GUTTER: Final = 15.0  # mm left of a front, for the heights of its shelves
BELOW: Final = 9.0  # mm under the floor line, for length and name
ABOVE: Final = 5.0  # mm over the tallest thing
BETWEEN: Final = 5.0
SHELF: Final = 0.05  # m, drawn thickness of a shelf; the plan does not say it
_LEAST_ID: Final = 0.6
_LINE: Final = 0.35  # mm, the outline of a tank
_CEILING: Final = "sloping ceiling"


def walking_order(room: Room) -> tuple[RackPlace, ...]:
    """Racks room by room, clockwise (seen from above) from its first door; a row of racks stays together.

    A row are racks that face the same way with their fronts in one line; it is walked from its left end.
    """
    ordered: list[RackPlace] = []
    for space in room.spaces:
        rows: dict[tuple[str, int], list[RackPlace]] = {}
        for rack in (rack for rack in room.racks if rack.room == space.id):
            rows.setdefault(_front_line(rack), []).append(rack)
        start = _door_angle(space)
        for row in sorted(rows.values(), key=lambda row: _clockwise(space, row, start)):
            ordered.extend(sorted(row, key=_from_left))
    known = {rack.id for rack in ordered}
    return (*ordered, *(rack for rack in room.racks if rack.id not in known))


def _front_line(rack: RackPlace) -> tuple[str, int]:
    """Racks with the same answer stand in one row (within 5 cm)."""
    box = rack.box
    front = {"south": box.y0, "north": box.y1, "west": box.x0, "east": box.x1}[rack.facing]
    return rack.facing, round(front / 0.05)


def _from_left(rack: RackPlace) -> float:
    box = rack.box
    return {"south": box.x0, "north": -box.x1, "west": -box.y1, "east": box.y0}[rack.facing]


def front_size(room: Room, rack: RackPlace, scale: float, layer: Layer) -> tuple[float, float]:
    """Width and height in mm that a front takes on the page, all its writing counted in."""
    return GUTTER + rack.length * 1000 / scale, ABOVE + _top(room, rack, layer) * 1000 / scale + BELOW


def draw_front(
    room: Room,
    rack: RackPlace,
    results: DrawnResults,
    left: float,
    floor: float,
    scale: float,
    *,
    readable: float = 0.0,
) -> Group:
    """One rack as one sees it. `left` is the left edge of its gutter on the page, `floor` its floor line."""
    ground = rack.box.z0
    frame = Frame(left=left + GUTTER, top=floor, west=0.0, north=ground, scale=scale, readable=readable)
    parts: list[Shape] = [*_timber(rack, frame)]
    for tank in room.tanks:
        if tank.rack == rack.id:
            parts.append(_tank(rack, tank, results, frame))
    parts.extend(_ceiling(room, rack, frame))
    parts.extend(_heights(room, rack, frame))
    x0, y0 = frame.at(0.0, ground)
    x1 = x0 + frame.mm(rack.length)
    parts.append(line((x0 - 2, y0), (x1 + 2, y0), Look(stroke=LINE, width=0.6)))
    parts.extend(dimension((x0, y0 + 4.6), (x1, y0 + 4.6), length_words(rack.length, room.display), size=2.3))
    parts.append(Text(at=(x0 - GUTTER + 1, y0 + 6.0), text=rack.id, colour=INK, bold=True,
                      size=fitting_size(rack.id, GUTTER - 4, most=5.0, bold=True)))  # fmt: skip
    parts.extend(_boards(room, rack, results, frame))
    if results.layer == "feed":
        parts.extend(_outlets(room, rack, frame))
    flag = results.mark(rack.id)
    if flag is not None:
        parts.append(mark(flag.severity, (x0 - 3.6, y0 - 2.2), 3.0, flag.title))
    title = f"front of rack {rack.id}"
    return Group(parts=tuple(parts), id=identifier("front", "rack", rack.id), place=rack.id, title=title)


def _top(room: Room, rack: RackPlace, layer: Layer) -> float:
    tops = [tank.box.z1 for tank in room.tanks if tank.rack == rack.id]
    if layer == "power" and room.power is not None:
        tops += [rack.box.z0 + board.height.value for board in room.power.boards if board.rack == rack.id]
    return max([rack.box.z1, *tops, *(height for _, height in _slope(room, rack))]) - rack.box.z0


def _slope(room: Room, rack: RackPlace) -> tuple[tuple[float, float], ...]:
    """A sloping ceiling over a rack, where it is lowest over its depth: how far along its front, and how high,
    at both ends; nothing where the ceiling is level."""
    space = next((space for space in room.spaces if space.id == rack.room), None)
    if space is None or space.slope_towards is None or space.slope_height is None:
        return ()
    box = rack.box
    level = rack.facing in ("south", "north")
    ends = (
        (replace(box, x1=box.x0), replace(box, x0=box.x1)) if level
        else (replace(box, y1=box.y0), replace(box, y0=box.y1))
    )  # fmt: skip
    bare = replace(space, beams=())
    return tuple((along_span(box, rack.facing, end)[0], ceiling_over(bare, end)[0]) for end in ends)


def _ceiling(room: Room, rack: RackPlace, frame: Frame) -> Iterator[Shape]:
    """The line of a sloping ceiling, and its name on it."""
    ends = sorted(_slope(room, rack))
    if len(ends) != 2:
        return
    (x0, y0), (x1, y1) = (frame.at(*end) for end in ends)
    yield line((x0, y0), (x1, y1), Look(stroke=LINE, width=0.4, dash=(2.0, 1.0)))
    size = fitting_size(_CEILING, x1 - x0, most=2.1)
    yield Text(
        at=((x0 + x1) / 2, (y0 + y1) / 2 - 1.0), text=_CEILING, size=size, colour=QUIET, anchor="middle"
    )


def _door_angle(space: Space) -> float:
    for opening in space.openings:
        if opening.kind == "door":
            middle = ((opening.start[0] + opening.end[0]) / 2, (opening.start[1] + opening.end[1]) / 2)
            return _angle(space, middle)
    return _angle(space, (space.box.x0, space.box.y0))


def _angle(space: Space, point: tuple[float, float]) -> float:
    x, y, _ = space.box.middle
    return math.atan2(point[1] - y, point[0] - x)


def _clockwise(space: Space, row: list[RackPlace], start: float) -> float:
    """How far clockwise from the door the middle of a row stands, about the middle of its room."""
    middles = [rack.box.middle for rack in row]
    x, y = (sum(place[axis] for place in middles) / len(middles) for axis in (0, 1))
    return (start - _angle(space, (x, y))) % math.tau


def _timber(rack: RackPlace, frame: Frame) -> Iterator[Shape]:
    look = Look(fill=WOOD, stroke=LINE, width=0.3)
    ground = rack.box.z0
    top = max(rack.box.z1, max((ground + shelf for shelf in rack.shelves), default=ground))
    for start, end in rack.uprights:
        x, y = frame.at(start, top)
        yield Rectangle(x=x, y=y, width=frame.mm(end - start), height=frame.mm(top - ground), look=look)
    for shelf in rack.shelves:
        x, y = frame.at(0.0, _height(rack, shelf))
        yield Rectangle(x=x, y=y, width=frame.mm(rack.length), height=frame.mm(SHELF), look=look)


def _height(rack: RackPlace, shelf: float) -> float:
    """Height in the frame of the plan of a shelf given above the rack's floor."""
    return rack.box.z0 + shelf


def _heights(room: Room, rack: RackPlace, frame: Frame) -> Iterator[Shape]:
    places = [(shelf, *frame.at(0.0, _height(rack, shelf))) for shelf in rack.shelves]
    for _, x, y in places:
        yield line((x - 2.0, y), (x, y), Look(stroke=QUIET, width=0.18))
    for shelf, x, y in places:
        label = length_words(shelf, room.display)
        size = fitting_size(label, GUTTER - 3.0, most=2.1)
        yield Text(at=(x - 2.4, y + 0.7), text=label, size=size, colour=QUIET, anchor="end")


def _tank(rack: RackPlace, tank: Tank, results: DrawnResults, frame: Frame) -> Group:
    start, end = along_span(rack.box, rack.facing, tank.box)
    x, y = frame.at(start, tank.box.z1)
    width, height = frame.mm(end - start), frame.mm(tank.box.z1 - tank.box.z0)
    drawn = results.tank(tank.id)
    step = fill_of(results, drawn)
    plain = WATER if results.scale == "none" else GLASS
    fill, ink = (step.fill, step.text) if step else (plain, INK)
    surface = frame.at(0.0, tank.level)[1]
    bed = min(frame.at(0.0, tank.floor_inside)[1], y + height)
    dash = () if tank.state == "stands" else (1.4, 0.9)
    inset = min(_LINE / 2, width / 4)  # the water stands between the lines of the glass
    water = (x + inset, surface, width - 2 * inset, max(bed - surface, 0.0))
    parts: list[Shape] = [
        Rectangle(
            x=x, y=y, width=width, height=height, look=Look(fill=GLASS, stroke=LINE, width=_LINE, dash=dash)
        ),
        Hatching(x=water[0], y=water[1], width=water[2], height=water[3])
        if has_no_data(results, drawn)
        else Rectangle(x=water[0], y=water[1], width=water[2], height=water[3], look=Look(fill=fill)),
    ]
    parts.append(line((x + inset, surface), (x + width - inset, surface), Look(stroke=TEAL, width=_LINE)))
    parts.extend(_mouth(rack, tank, frame))
    for hole in tank.holes:
        parts.extend(_hole(rack, hole, frame))
    under = surface
    for hole in tank.holes:
        x_hole, y_hole = frame.at(along(rack.box, rack.facing, hole.centre), hole.centre[2])
        if abs(x_hole - x - width / 2) < width * 0.26 and y_hole < y + height * 0.45:
            under = max(under, y_hole + frame.mm(hole.diameter.value) / 2 + 0.1)  # keep clear of the ring
    parts.extend(_writing(tank.id, drawn.figure if drawn else "", drawn.detail if drawn else "",
                          (x, under, width, max(bed - under, 1.0)), ink, frame.readable))  # fmt: skip
    flag = results.mark(tank.id)
    if flag is not None:
        size = min(3.0, width * 0.3)
        parts.append(mark(flag.severity, (x + width - size * 0.75, y + size * 0.2), size, flag.title))
    return Group(
        parts=tuple(parts), id=identifier("front", tank.id), classes=("tank",), place=tank.id,
        title=spoken(tank, results),
    )  # fmt: skip


def _hole(rack: RackPlace, hole: HolePlace, frame: Frame) -> Iterator[Shape]:
    """A hole in the back pane, as a ring; in another pane it is seen edge on, as a tick on its side."""
    centre = frame.at(along(rack.box, rack.facing, hole.centre), hole.centre[2])
    radius = max(frame.mm(hole.diameter.value) / 2, 0.25)
    look = Look(stroke=LINE, width=0.2, fill=PAPER)
    if hole.pane in ("back", "front"):
        yield Circle(centre=centre, radius=radius, look=look)
    else:
        x, y = centre
        wide, tall = (radius, 0.35) if hole.pane == "base" else (0.35, radius)
        yield Polyline(
            points=((x - wide, y - tall), (x + wide, y - tall), (x + wide, y + tall), (x - wide, y + tall)),
            closed=True, look=look,
        )  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Elbow:
    """An overflow in a front: the hole's centre, and the way its arm points on the page; `aside` is 1 where it
    is turned to the right, -1 to the left, which the plan does not say: towards the middle of the tank."""

    centre: Point
    angle: float
    aside: int

    def at(self, distance: float) -> Point:
        """A point so far from the hole along the arm."""
        (x, y) = self.centre
        return x + self.aside * distance * math.sin(self.angle), y - distance * math.cos(self.angle)


def elbow_of(rack: RackPlace, tank: Tank, frame: Frame) -> Elbow | None:
    """The elbow of a tank seen from the front; None where it has none, or where it is seen edge on."""
    hole, overflow = tank.hole, tank.overflow
    if hole is None or overflow is None or overflow.kind != "elbow" or hole.pane not in ("back", "front"):
        return None
    start, end = along_span(rack.box, rack.facing, tank.box)
    across = along(rack.box, rack.facing, hole.centre)
    aside = -1 if across - start > 0.6 * (end - start) else 1
    return Elbow(centre=frame.at(across, hole.centre[2]), angle=overflow.angle, aside=aside)


def _mouth(rack: RackPlace, tank: Tank, frame: Frame) -> Iterator[Shape]:
    """What sets the water level: the elbow's arm as it is turned, or the standpipe up to its lip."""
    overflow, elbow = tank.overflow, elbow_of(rack, tank, frame)
    if overflow is None or tank.hole is None:
        return
    look = Look(stroke=INK, width=max(frame.mm(overflow.bore.value), 0.5))
    if elbow is not None:
        tip = elbow.at(frame.mm(overflow.reach.value))
        yield line(elbow.centre, tip, look)
    elif overflow.kind == "standpipe":
        x, y = frame.at(along(rack.box, rack.facing, tank.hole.centre), tank.hole.centre[2])
        yield line((x, y), (x, frame.at(0.0, overflow.lip)[1]), look)


def _writing(
    name: str, figure: str, detail: str, cell: tuple[float, float, float, float], ink: str, readable: float
) -> Iterator[Shape]:
    """Id, figure and detail under each other, in the middle of the water, as large as they fit."""
    x, y, width, height = cell
    room = width * 0.88
    spacing, largest = 1.25, 4.0
    if readable > 0.0 and figure:  # a smaller name, so that the figure has its place under it
        spacing = 1.1
        under = fitting_size(figure, width * 0.98, most=min(2.6, height * 0.45), least=readable, bold=True)
        beside = height * 0.97 / spacing - under
        largest = min(largest, beside) if under and beside >= readable else largest
    rows = [
        (name, largest, True, 0.6),
        (
            figure,
            3.0 if readable == 0.0 else min(2.6, max(height * 0.45, readable)),
            True,
            max(1.7, readable),
        ),
        (detail, 2.2, False, max(1.5, readable)),
    ]
    sized: list[tuple[str, float, bool]] = []
    left = height * (0.92 if readable == 0.0 else 0.97)
    for text, most, bold, least in rows:
        if not text:
            continue
        wide = width * 0.98 if readable > 0.0 and text is figure else room
        size = fitting_size(text, wide, most=min(most, left / spacing), least=least, bold=bold)
        if not size and text is name:
            size = _LEAST_ID
        if size:
            sized.append((text, size, bold))
            left -= size * spacing
    total = sum(size * spacing for _, size, _ in sized)
    baseline = y + (height - total) / 2
    for text, size, bold in sized:
        baseline += size * spacing
        at = (x + width / 2, baseline - size * (spacing - 0.95))
        yield Text(at=at, text=text, size=size, colour=ink, anchor="middle", bold=bold)


def _outlets(room: Room, rack: RackPlace, frame: Frame) -> Iterator[Shape]:
    """Feed outlets at their height over (or in) their tanks, as drops on a short stem."""
    here = {tank.id for tank in room.tanks if tank.rack == rack.id}
    for outlet in (outlet for run in room.feeds for outlet in run.outlets if outlet.tank in here):
        x, y = frame.at(along(rack.box, rack.facing, outlet.place), outlet.place[2])
        yield line((x, y - 2.6), (x, y), Look(stroke=TEAL, width=0.5))
        yield Circle(centre=(x, y), radius=0.65, look=Look(fill=TEAL, stroke=PAPER, width=0.15))


def _boards(room: Room, rack: RackPlace, results: DrawnResults, frame: Frame) -> Iterator[Shape]:
    """Power boards on this rack at the height of their sockets, only in the power layer."""
    if results.layer != "power" or room.power is None:
        return
    told = dict(results.boards)
    boards: list[BoardPlace] = [board for board in room.power.boards if board.rack == rack.id]
    for index, board in enumerate(boards):
        width = min(0.4, rack.length)
        x, y = frame.at(
            max(0.0, min(0.05 + index * 0.45, rack.length - width)), rack.box.z0 + board.height.value
        )
        look = Look(fill=PAPER, stroke=TEAL, width=0.4)
        text = f"{board.id}  {told.get(board.id, '')}".strip()
        flag = results.mark(board.id)
        size = fitting_size(text, max(frame.mm(rack.length - width) - 8, 8.0), most=2.2)
        parts: list[Shape] = [
            Rectangle(x=x, y=y - 1.5, width=frame.mm(width), height=3.0, look=look, radius=0.6),
            *(Circle(centre=(x + 2 + 3 * socket, y), radius=0.7, look=Look(stroke=TEAL, width=0.25))
              for socket in range(min(board.outlets, max(int((frame.mm(width) - 1) // 3), 1)))),
            Rectangle(
                x=x + frame.mm(width) + 3.8, y=y - 1.3, width=text_width(text, size) + 0.8, height=2.8,
                look=Look(fill=PAPER),
            ),
            Text(at=(x + frame.mm(width) + 4.2, y + 0.8), text=text, size=size, colour=INK),
        ]  # fmt: skip
        if flag is not None:
            parts.append(mark(flag.severity, (x + frame.mm(width) + 2.2, y), 2.8, flag.title))
        yield Group(
            parts=tuple(parts), id=identifier("board", board.id), place=board.id, title=f"board {text}"
        )
