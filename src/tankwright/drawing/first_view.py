"""The drawing of a room before there is a plan: only what is known of it already, to scale."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from tankwright.drawing.colour import FLOW, INK, LINE, PAPER, WATER
from tankwright.drawing.frame import Frame
from tankwright.drawing.legend import FOOT, scale_bar
from tankwright.drawing.model import (
    Circle,
    Drawing,
    Group,
    Look,
    Point,
    Rectangle,
    Shape,
    Text,
    line,
    text_width,
)
from tankwright.drawing.plan_view import (
    WALL_THICKNESS,
    door_swings,
    draw_plan,
    draw_room_dimensions,
    plan_extent,
)
from tankwright.drawing.results import DrawnResults
from tankwright.drawing.screen import WIDTH, draw_screen
from tankwright.drawing.screen_svg import to_screen_svg
from tankwright.room.model import Room

_LARGEST: Final = 20.0
_SIDE: Final = 7.5  # mm outside the west wall for the dimension line
_OVER: Final = 11.5  # mm over the north wall for the room's name and its dimension line
_UNDER: Final = 7.0  # mm under everything for the scale bar
_WRITING: Final = 2.6


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """Something with a place on a wall or on the floor: `kind` picks its sign, `words` stand beside it.

    `at` is in metres from the west and from the south wall of the first room.
    """

    kind: str
    words: str
    at: tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class FirstDrawing:
    """Plan and rack fronts as SVG text; `fronts` is "" while there are no racks."""

    plan: str
    fronts: str


def draw_first(
    room: Room, results: DrawnResults, *, door: bool, tanks: bool, spots: tuple[Spot, ...]
) -> FirstDrawing:
    """What is known of a room: its walls always, doors and racks when asked for, and the spots given.

    >>> empty = Room(title="Shed", display="metric", spaces=(), racks=(), tanks=())
    >>> draw_first(empty, DrawnResults(layer="layout"), door=True, tanks=True, spots=()).plan
    ''
    """
    spaces = room.spaces if door else tuple(replace(space, openings=()) for space in room.spaces)
    racks, standing = (room.racks, room.tanks) if tanks else ((), ())
    known = replace(room, spaces=spaces, racks=racks, tanks=standing)
    extent = plan_extent(known)
    if extent is None:
        return FirstDrawing(plan="", fronts="")
    wall = WALL_THICKNESS
    breadth = extent.x1 - extent.x0 + 2 * wall
    scale = max(breadth * 1000 / (WIDTH - _SIDE - 1.0), _LARGEST)
    left = _SIDE + (WIDTH - _SIDE - 1.0 - breadth * 1000 / scale) / 2
    frame = Frame(
        left=left + wall * 1000 / scale, top=_OVER + wall * 1000 / scale, west=extent.x0, north=extent.y1,
        scale=scale, readable=1.9,
    )  # fmt: skip
    floor = frame.at(0.0, extent.y0)[1] + frame.mm(wall)
    bar = (FOOT * 3 if room.display == "US" else 1.0) * 1000 / scale
    under = any(
        frame.at(swing.x0, swing.y0)[0] < left + bar + 6 and swing.y0 < extent.y0 + 0.05
        for swing in door_swings(known)
    )
    bar_left = WIDTH - bar - 6.0 if under else left
    parts = (
        *draw_plan(known, results if tanks else DrawnResults(layer="layout"), frame),
        *(_spot(spot, known, frame) for spot in spots),
        *draw_room_dimensions(known, frame),
        scale_bar(bar_left, floor + _UNDER - 2.5, scale, room.display),
    )
    drawing = Drawing(
        width=WIDTH, height=floor + _UNDER, scale=scale, title="Plan of the room as far as it is known",
        description="", parts=parts,
    )  # fmt: skip
    fronts = draw_screen(known, results, link=lambda _: "", movable=False).fronts if known.racks else ""
    return FirstDrawing(plan=to_screen_svg(drawing, classes=("plan",), name="plan"), fronts=fronts)


def _spot(spot: Spot, room: Room, frame: Frame) -> Group:
    """A sign with its words, on the side of it where the room is."""
    box = room.spaces[0].box
    x, y = frame.at(box.x0 + spot.at[0], box.y0 + spot.at[1])
    east = frame.at(box.x1, box.y0)[0]
    wide = text_width(spot.words, _WRITING) + 1.2
    over = x + 2.6 + wide > east
    start = x - 2.6 - wide if over else x + 2.6
    low = frame.at(box.x0, box.y0)[1]
    middle = min(max(y, frame.at(box.x0, box.y1)[1] + 2.2), low - 2.2)
    label = (start, middle - 1.9, start + wide, middle + 1.9)
    if any(_meet(label, frame.corner(rack.box)) for rack in room.racks):
        return Group(parts=_sign(spot.kind, (x, y)), title=spot.words)
    text = Text(at=(start + 0.6, middle + 0.9), text=spot.words, size=_WRITING, colour=INK)
    return Group(parts=(*_sign(spot.kind, (x, y)), text), title=spot.words)


def _meet(bounds: tuple[float, float, float, float], corner: tuple[float, float, float, float]) -> bool:
    """True when two rectangles overlap: the first by its sides, the second by a corner and its size."""
    x, y, width, height = corner
    return bounds[0] < x + width and bounds[2] > x and bounds[1] < y + height and bounds[3] > y


def _sign(kind: str, at: Point) -> tuple[Shape, ...]:
    x, y = at
    edge = Look(fill=PAPER, stroke=LINE, width=0.4)
    thin = Look(stroke=LINE, width=0.25)
    if kind == "water":
        return (Circle(centre=at, radius=1.7, look=Look(fill=WATER, stroke=FLOW, width=0.7)),)
    if kind == "drain":
        return (
            Circle(centre=at, radius=1.7, look=edge),
            line((x - 1.2, y - 1.2), (x + 1.2, y + 1.2), thin),
            line((x - 1.2, y + 1.2), (x + 1.2, y - 1.2), thin),
        )
    holes = (Circle(centre=(x + dx, y), radius=0.35, look=Look(fill=LINE)) for dx in (-0.7, 0.7))
    return (Rectangle(x=x - 1.7, y=y - 1.7, width=3.4, height=3.4, radius=0.5, look=edge), *holes)
