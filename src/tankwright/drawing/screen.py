"""The live drawing of a page: plan and rack fronts as two inline SVGs at one scale, with handles for a script.

Heading, figures and legend are the page's own; here is only what is drawn. The page is thought `WIDTH` mm wide,
and the room is drawn as large as that allows, so that writing has the same size in every room.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Final

from tankwright.drawing.colour import INK
from tankwright.drawing.frame import Frame
from tankwright.drawing.fronts import BETWEEN, GUTTER, draw_front, elbow_of, front_size, walking_order
from tankwright.drawing.handles import GRIP, grip, slide, turner
from tankwright.drawing.legend import FOOT, LegendItem, legend, scale_bar
from tankwright.drawing.model import Drawing, Group, Shape, Text
from tankwright.drawing.pipes_view import draw_pipes
from tankwright.drawing.plan_view import (
    WALL_THICKNESS,
    door_swings,
    draw_outfalls,
    draw_plan,
    draw_room_dimensions,
    front_label,
    plan_extent,
    walls_extent,
)  # fmt: skip
from tankwright.drawing.results import DrawnResults
from tankwright.drawing.screen_svg import to_screen_svg
from tankwright.drawing.svg import identifier
from tankwright.room.frames import OPPOSITE
from tankwright.room.model import Box, Place, RackPlace, Room, Space

WIDTH: Final = 200.0
"""The page's width in mm; shown 1000 dots wide, writing of 2.4 mm is 12 dots tall."""

MOST_PAGES: Final = 6
"""The widest a plan is shown, in pages; one still wider is shown smaller."""

_READABLE: Final = (
    1.9  # mm, 9 to 10 dots; a smaller figure is left to the front, the tables and the tank's name
)
_LARGEST: Final = 20.0  # 1:20; a shed is not blown up beyond it
_SMALLEST: Final = 62.5  # 1:62.5; a hall gets wider than the page rather than into tanks too small to name
_SIDE: Final = 7.5  # mm outside the walls for an upright dimension line and its writing
_OVER: Final = 11.5  # mm over the walls for names and level dimension lines
_UNDER: Final = 7.0  # mm under everything for the scale bar
_HEADING: Final = 2.4  # mm over the fronts for the name of their room


@dataclass(frozen=True, slots=True, kw_only=True)
class ScreenDrawing:
    """Plan and fronts as SVG text, the legend as data, what the colours mean in words.

    `pages` is how many times as wide as the page the plan is: 1, or more for a hall, whose plan then has the class
    "wide" and is to be scrolled; the fronts always fit the page.
    """

    plan: str
    fronts: str
    legend: tuple[LegendItem, ...]
    about: str
    pages: int


def draw_screen(
    room: Room,
    results: DrawnResults,
    *,
    link: Callable[[str], str],
    chosen: str = "",
    movable: bool = True,
    width: float = WIDTH,
) -> ScreenDrawing:
    """The live drawing of one layer.

    `link` gives the address of a tank or rack by its id ("" for none). `chosen` is the id of the tank or rack
    whose sheet is open. Where it is `movable`, racks get a grip and the chosen tank's elbow a handle.

    >>> empty = Room(title="Shed", display="metric", spaces=(), racks=(), tanks=())
    >>> draw_screen(empty, DrawnResults(layer="air"), link=lambda name: f"/?at={name}").fronts
    ''
    """
    hand = _Hand(room=room, link=link, chosen=chosen, movable=movable)
    extent = plan_extent(room)
    if extent is None:
        return ScreenDrawing(plan="", fronts="", legend=(), about=results.about, pages=1)
    sides = 2 * _SIDE if len(room.spaces) > 1 else _SIDE + 1.0
    breadth = extent.x1 - extent.x0 + 2 * WALL_THICKNESS
    scale = min(max(breadth * 1000 / (width - sides), _LARGEST), _SMALLEST)
    pages = math.ceil((breadth * 1000 / scale + sides) / width - 1e-9)
    if pages > 1:  # whole pages, filled
        scale = breadth * 1000 / (pages * width - sides)
    return ScreenDrawing(
        plan=_plan(hand, results, extent, scale, width, pages),
        fronts=_fronts(hand, results, scale, width),
        legend=legend(results),
        about=results.about,
        pages=pages,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Hand:
    """What makes a drawing live: addresses, what is chosen, whether things may be moved."""

    room: Room
    link: Callable[[str], str]
    chosen: str
    movable: bool

    def classes(self, name: str, place: str) -> tuple[str, ...]:
        """The class of a thing, and that it is the chosen one."""
        return (name, "chosen") if place == self.chosen else (name,)

    def current(self, place: str) -> tuple[tuple[str, str], ...]:
        """What tells a screen reader that this one is chosen."""
        return (("aria-current", "true"),) if place == self.chosen else ()

    def tank(self, group: Group) -> Group:
        """A tank's group as a link."""
        return replace(
            group, link=self.link(group.place), classes=self.classes("tank", group.place),
            data=self.current(group.place),
        )  # fmt: skip

    def alive(
        self, parts: tuple[Shape, ...], racks: Mapping[str, Callable[[Group], Group]]
    ) -> tuple[Shape, ...]:
        """Shapes with their tanks as links, and named groups changed."""
        made: list[Shape] = []
        for shape in parts:
            if isinstance(shape, Group):
                if shape.classes == ("tank",):
                    made.append(self.tank(shape))
                    continue
                change = racks.get(shape.id)
                made.append(change(shape) if change is not None else shape)
            else:
                made.append(shape)
        return tuple(made)


def _metres(box: Box) -> str:
    """A block seen from above, as a script reads it: west, south, east, north in metres."""
    return " ".join(f"{round(side, 4):g}" for side in (box.x0, box.y0, box.x1, box.y1))


def _plan(hand: _Hand, results: DrawnResults, extent: Box, scale: float, page: float, pages: int) -> str:
    room, width = hand.room, page * pages
    wall = WALL_THICKNESS * 1000 / scale
    drawn = (extent.x1 - extent.x0) * 1000 / scale + 2 * wall
    left = _SIDE + max(width - drawn - (2 * _SIDE if len(room.spaces) > 1 else _SIDE + 1.0), 0.0) / 2
    frame = Frame(
        left=left + wall, top=_OVER + wall, west=extent.x0, north=extent.y1, scale=scale, readable=_READABLE
    )
    standing = walls_extent(room) or extent
    floor = frame.at(0.0, standing.y0)[1] + wall
    bar = (FOOT * 3 if room.display == "US" else 1.0) * 1000 / scale
    swings = [frame.at(swing.x0, swing.y0) + frame.at(swing.x1, swing.y0)[:1] for swing in door_swings(room)]
    taken = any(low > floor + 1 and west < left + bar + 6 for west, low, _ in swings)
    bar_left = width - bar - 6.0 if taken else left
    height = max([floor + _UNDER, *(low + 1.0 for _, low, _ in swings)])
    changes: dict[str, Callable[[Group], Group]] = {}
    for rack in room.racks:
        changes[identifier("plan", "rack", rack.id)] = _rack_change(hand, rack, frame)
    for space in room.spaces:
        changes[identifier("room", space.id)] = _space_change(space)
    legs = _legs_of(room, results.layer)
    over = {identifier("plan", "rack", rack.id) for rack in room.racks if _crossed(rack, legs)}
    bottom: list[Shape] = []
    top: list[Shape] = []
    for shape in draw_plan(room, results, frame):
        (top if isinstance(shape, Group) and shape.id in over else bottom).append(shape)
    parts = (
        *hand.alive(tuple(bottom), changes),
        Group(parts=draw_pipes(room, results, frame), classes=("pipes",)),
        *hand.alive(tuple(top), changes),
        draw_outfalls(room, results, frame),
        *draw_room_dimensions(room, frame),
        scale_bar(bar_left, floor + _UNDER - 2.5, scale, room.display),
    )
    drawing = Drawing(
        width=width,
        height=height,
        scale=scale,
        title=f"Plan of {room.title}",
        description="",
        parts=parts,
    )
    data = (
        ("data-scale", f"{1000 / scale:.4f}"),
        ("data-x0", f"{frame.west - frame.left * scale / 1000:.4f}"),
        ("data-y1", f"{frame.north + frame.top * scale / 1000:.4f}"),
        ("data-display", room.display),
    )
    wide = ("wide", f"wide-{min(pages, MOST_PAGES)}") if pages > 1 else ()
    return to_screen_svg(drawing, classes=("plan", *wide), data=data, name="plan")


def _legs_of(room: Room, layer: str) -> list[tuple[float, float, float, float]]:
    """Every level leg of the layer's pipes seen from above: west, south, east, north."""
    paths: list[tuple[Place, ...]] = []
    if layer in ("layout", "air"):
        paths.extend(pipe.path for run in room.airs for pipe in run.pipes)
    if layer in ("layout", "feed"):
        paths.extend(pipe.path for run in room.feeds for pipe in run.pipes)
    if layer in ("layout", "drain"):
        paths.extend(tuple(node.place for node in run.nodes) for run in room.drains)
    return [
        (min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1))
        for path in paths
        for (x0, y0, _), (x1, y1, _) in pairwise(path)
        if abs(x1 - x0) + abs(y1 - y0) > 1e-3
    ]


def _crossed(rack: RackPlace, legs: Sequence[tuple[float, float, float, float]]) -> bool:
    """True when a pipe runs through the middle of a rack, where it would hide its tanks' names."""
    box, spare = rack.box, 0.25 * rack.depth
    aside, ahead = (0.0, spare) if rack.facing in ("south", "north") else (spare, 0.0)
    west, south, east, north = box.x0 + aside, box.y0 + ahead, box.x1 - aside, box.y1 - ahead
    return any(x0 < east and x1 > west and y0 < north and y1 > south for x0, y0, x1, y1 in legs)


def _space_change(space: Space) -> Callable[[Group], Group]:
    blocks = ";".join(_metres(box) for _, box in space.obstacles)
    data = (
        ("data-space", space.id),
        ("data-box", _metres(space.box)),
        *((("data-blocks", blocks),) if blocks else ()),
    )
    return lambda group: replace(group, classes=("space",), data=data)


def _rack_change(hand: _Hand, rack: RackPlace, frame: Frame) -> Callable[[Group], Group]:
    """A rack's group with its place as data, its name as a link, its grip."""
    room = hand.room
    label = front_label(rack, room.display, frame)
    data = [("data-rack", rack.id), ("data-box", _metres(rack.box)), ("data-facing", rack.facing)]
    data.append(("data-room", rack.room))
    if not rack.island:
        data.append(("data-wall", OPPOSITE[rack.facing]))

    def changed(group: Group) -> Group:
        name = Group(
            parts=(label.text,), classes=hand.classes("name", rack.id), place=rack.id, link=hand.link(rack.id),
            title=group.title, data=hand.current(rack.id),
        )  # fmt: skip
        parts: list[Shape] = [name if part == label.text else part for part in hand.alive(group.parts, {})]
        if hand.movable:
            parts.append(grip(room, rack, label.before(-2 * label.half - 1.0 - GRIP / 2)))
        return replace(
            group, classes=hand.classes("rack", rack.id), parts=tuple(parts), data=tuple(data), title=""
        )

    return changed


def _fronts(hand: _Hand, results: DrawnResults, scale: float, width: float) -> str:
    """Rack fronts in walking order, in rows no wider than the page; each row stands on one floor line."""
    room = hand.room
    if not room.racks:
        return ""
    rows: list[list[tuple[RackPlace, float, float]]] = [[]]
    across = 0.0
    for rack in walking_order(room):
        wide, tall = front_size(room, rack, scale, results.layer)
        if rows[-1] and across + wide > width:
            rows.append([])
            across = 0.0
        rows[-1].append((rack, wide, tall))
        across += wide + BETWEEN
    shapes: list[Shape] = []
    widest, top, named = width, 0.0, ""
    for row in rows:
        headed = any(rack.room != named for rack, _, _ in row)
        x, floor = 0.0, top + max(tall for _, _, tall in row) + (_HEADING if headed else 0.0)
        for rack, wide, tall in row:
            if rack.room != named:
                named = rack.room
                note = f"{named.upper()}: fronts, clockwise from the door"
                at = (x + 1.0, floor - tall - _HEADING + 2.4)
                shapes.append(Text(at=at, text=note, size=2.4, colour=INK, bold=True))
            shapes.extend(_front(hand, results, rack, (x, floor - 9.0), scale))
            x += wide + BETWEEN
        widest = max(widest, x - BETWEEN)
        top = floor + 2.0
    drawing = Drawing(
        width=widest, height=top, scale=scale, title="Rack fronts", description="", parts=tuple(shapes)
    )
    data = (("data-scale", f"{1000 / scale:.4f}"), ("data-display", room.display))
    return to_screen_svg(drawing, classes=("fronts",), data=data, name="fronts")


def _front(
    hand: _Hand, results: DrawnResults, rack: RackPlace, at: tuple[float, float], scale: float
) -> tuple[Shape, ...]:
    room = hand.room
    group = draw_front(room, rack, results, at[0], at[1], scale, readable=_READABLE)
    parts = list(hand.alive(group.parts, {}))
    name = next(index for index, part in enumerate(parts) if isinstance(part, Text) and part.text == rack.id)
    parts[name] = Group(
        parts=(parts[name],), classes=hand.classes("name", rack.id), place=rack.id, link=hand.link(rack.id),
        title=f"front of rack {rack.id}", data=hand.current(rack.id),
    )  # fmt: skip
    front = replace(group, classes=hand.classes("front", rack.id), parts=tuple(parts), title="", place="")
    tank = next((tank for tank in room.tanks if tank.id == hand.chosen and tank.rack == rack.id), None)
    if tank is None or not hand.movable:
        return (front,)
    frame = Frame(left=at[0] + GUTTER, top=at[1], west=0.0, north=rack.box.z0, scale=scale)
    elbow = elbow_of(rack, tank, frame)
    mover = slide(room, rack, tank, frame)
    return (front, mover) if elbow is None else (front, mover, turner(tank, elbow))
