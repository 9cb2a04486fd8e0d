"""What stands in a room seen from aslant: each thing with the block it fills, and how it is painted."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Final

from tankwright.drawing.cells import fill_of, has_no_data, spoken
from tankwright.drawing.colour import BLOCK, FAINT, GLASS, INK, LINE, QUIET, TEAL, WATER, WOOD, Colour, mark
from tankwright.drawing.fronts import SHELF
from tankwright.drawing.model import Group, Look, Point, Polyline, Shape, Text, fitting_size, line
from tankwright.drawing.orbit_shades import shade_of
from tankwright.drawing.orbit_view import View
from tankwright.drawing.results import DrawnResults
from tankwright.drawing.svg import identifier
from tankwright.room.boxes import along_span, depth_span
from tankwright.room.frames import OUTWARD, box_between, frame_of
from tankwright.room.model import Box, RackPlace, Room, Tank
from tankwright.units import Metre

Link = Callable[[str], str]
Painter = Callable[[Box], tuple[Shape, ...]]

POST: Final[Metre] = 0.045  # drawn depth of an upright; the plan gives only its width along the front
_LEAST_POST: Final[Metre] = 0.006
_LEAST_ID: Final = 0.6
_HATCH: Final = 1.6  # mm between the lines of "no data"
_LEVEL: Final = ("north", "south")  # a tank that faces these runs along x
_FROM_ABOVE: Final = math.sin(math.radians(62.0))  # higher, and the water's surface holds the name better
_FRONT_SEEN: Final = 0.25  # cosine between a front and the viewer, from which on it carries the name

Side = tuple[Point, Point, Point, Point]


@dataclass(frozen=True, slots=True)
class Thing:
    """A block and how a piece of it is painted. One that may be cut is painted piece by piece."""

    box: Box
    paint: Painter
    may_cut: bool = True


def standing_things(
    room: Room, results: DrawnResults, view: View, link: Link | None, chosen: str
) -> Iterator[Thing]:
    """Obstacles, beams, racks and tanks."""
    for space in room.spaces:
        for name, box in space.obstacles:
            yield Thing(box, _obstacle(name, view))
        for name, box in space.beams:
            yield Thing(box, _beam(name, view))
    tanks: dict[str, list[Tank]] = {}
    for tank in room.tanks:
        tanks.setdefault(tank.rack, []).append(tank)
    for rack in room.racks:
        yield from _timber(rack, tanks.get(rack.id, []), view)
    racks = {rack.id: rack for rack in room.racks}
    for tank in room.tanks:
        paint = _tank(tank, racks.get(tank.rack), results, view, link, chosen)
        yield Thing(tank.box, paint, may_cut=False)


def _obstacle(name: str, view: View) -> Painter:
    def paint(box: Box) -> tuple[Shape, ...]:
        return (Group(parts=block(box, view, BLOCK, Look(stroke=LINE, width=0.25)), title=name),)

    return paint


def _beam(name: str, view: View) -> Painter:
    """A beam hangs over everything and would hide it: only its outline, dashed."""

    def paint(box: Box) -> tuple[Shape, ...]:
        look = Look(stroke=QUIET, width=0.2, dash=(2.0, 1.0))
        return (Group(parts=(Polyline(points=view.outline(box), closed=True, look=look),), title=name),)

    return paint


def block(box: Box, view: View, fill: Colour, edge: Look) -> tuple[Shape, ...]:
    """A block by its visible sides: the one seen more squarely plain, the other shaded, the top lit."""
    shade = shade_of(fill)
    (nx, ny), (fx, fy) = view.near(box), view.far(box)
    across_x, across_y = view.sees_across
    square = abs(view.towards[0]) > abs(view.towards[1])
    at, low, high = view.at, box.z0, box.z1
    sides: list[tuple[tuple[Point, ...], Colour]] = []
    if across_x:
        sides.append((_upright((nx, ny), (nx, fy), low, high, view), shade.front if square else shade.side))
    if across_y:
        sides.append((_upright((nx, ny), (fx, ny), low, high, view), shade.side if square else shade.front))
    sides.append(((at(nx, ny, high), at(nx, fy, high), at(fx, fy, high), at(fx, ny, high)), shade.top))
    return tuple(
        Polyline(points=points, closed=True, look=Look(fill=colour, stroke=edge.stroke, width=edge.width))
        for points, colour in sides
    )


def _inner_edges(box: Box, view: View, edge: Look) -> Iterator[Shape]:
    """The edges that meet in the corner nearest to the viewer, and the outline again where fills ran over it."""
    (nx, ny), (fx, fy) = view.near(box), view.far(box)
    across_x, across_y = view.sees_across
    at, high = view.at, box.z1
    if across_x and across_y:
        yield line(at(nx, ny, high), at(nx, ny, box.z0), edge)
    yield Polyline(points=(at(fx, ny, high), at(nx, ny, high), at(nx, fy, high)), look=edge)
    yield Polyline(points=view.outline(box), closed=True, look=edge)


def _timber(rack: RackPlace, tanks: list[Tank], view: View) -> Iterator[Thing]:
    """Shelves, and uprights at the front and the back as posts between them."""
    box, ground = rack.box, rack.box.z0
    thick = rack.shelf_thickness.value if rack.shelf_thickness is not None else SHELF
    tops = sorted(ground + shelf for shelf in rack.shelves)
    title = f"rack {rack.id}"
    edge = Look(stroke=LINE, width=0.2)

    def board(piece: Box) -> tuple[Shape, ...]:
        return (Group(parts=block(piece, view, WOOD, edge), place=rack.id, title=title),)

    def post(piece: Box) -> tuple[Shape, ...]:
        look = Look(fill=shade_of(WOOD).side, stroke=LINE, width=0.15)
        outline = Polyline(points=view.outline(piece), closed=True, look=look)
        return (Group(parts=(outline,), place=rack.id),)

    boards: list[tuple[float, float]] = []
    for top in tops:
        low = max(top - thick, boards[-1][1] if boards else ground)
        if top > low:
            boards.append((low, top))
            yield Thing(Box(x0=box.x0, y0=box.y0, z0=low, x1=box.x1, y1=box.y1, z1=top), board)
    spans: list[tuple[float, float]] = []
    at = ground
    for low, high in [*boards, (max(box.z1, at), math.inf)]:
        if low - at > 1e-6:
            spans.append((at, low))
        at = high
    frame = frame_of(box.x0, box.y0, box.x1, box.y1, rack.facing)
    for start, end in rack.uprights:
        for low, high in spans:
            front, back = _clear(rack, tanks, (start, end), (low, high))
            for near, far in ((0.0, back), (rack.depth - front, rack.depth)):
                first, second = frame.point(start, near), frame.point(end, far)
                yield Thing(box_between(first, second, low, high), post)


def _clear(
    rack: RackPlace, tanks: list[Tank], across: tuple[float, float], up: tuple[float, float]
) -> tuple[Metre, Metre]:
    """How deep posts are drawn at the front and at the back: no deeper than to the tanks that stand behind them."""
    front = back = min(POST, rack.depth / 3)
    for tank in tanks:
        start, end = along_span(rack.box, rack.facing, tank.box)
        if end <= across[0] or start >= across[1] or tank.box.z1 <= up[0] or tank.box.z0 >= up[1]:
            continue
        near, far = depth_span(rack.box, rack.facing, tank.box)
        front, back = min(front, near), min(back, rack.depth - far)
    return max(front, _LEAST_POST), max(back, _LEAST_POST)


# --- tanks --------------------------------------------------------------------------------------------


def _tank(
    tank: Tank, rack: RackPlace | None, results: DrawnResults, view: View, link: Link | None, chosen: str
) -> Painter:
    def paint(box: Box) -> tuple[Shape, ...]:
        classes = ("tank", "chosen") if tank.id == chosen else ("tank",)
        return (
            Group(
                parts=tuple(_glass(tank, rack, box, results, view, chosen=tank.id == chosen)),
                id=identifier("orbit", tank.id), classes=classes, place=tank.id,
                title=spoken(tank, results), link=link(tank.id) if link is not None else "",
                data=(("aria-current", "true"),) if tank.id == chosen else (),
            ),
        )  # fmt: skip

    return paint


def _glass(
    tank: Tank, rack: RackPlace | None, box: Box, results: DrawnResults, view: View, *, chosen: bool
) -> Iterator[Shape]:
    """From back to front: the far panes over the water, the water, the edges of the glass, the name."""
    drawn = results.tank(tank.id)
    step = fill_of(results, drawn)
    fill = step.fill if step else WATER if results.scale == "none" else GLASS
    shade = shade_of(fill)
    at = view.at
    (nx, ny), (fx, fy) = view.near(box), view.far(box)
    rim = box.z1
    level = min(max(tank.level, box.z0), rim)
    across_x, across_y = view.sees_across
    pale = Look(fill=GLASS, stroke=FAINT, width=0.12)
    if across_x:
        yield Polyline(points=_upright((fx, ny), (fx, fy), level, rim, view), closed=True, look=pale)
    if across_y:
        yield Polyline(points=_upright((nx, fy), (fx, fy), level, rim, view), closed=True, look=pale)
    named = _named_side(tank, view)
    surface = (at(nx, ny, level), at(nx, fy, level), at(fx, fy, level), at(fx, ny, level))
    top = Look(fill=shade.front if named == "top" else shade.top, stroke=TEAL, width=0.15)
    yield Polyline(points=surface, closed=True, look=top)
    unknown = has_no_data(results, drawn)
    if unknown and named == "top":
        yield from _hatched(surface)
    for across, seen, far in (("x", across_x, (nx, fy)), ("y", across_y, (fx, ny))):
        if not seen:
            continue
        side = _upright((nx, ny), far, box.z0, level, view)
        yield Polyline(
            points=side, closed=True, look=Look(fill=shade.front if across == named else shade.side)
        )
        if unknown and across == named:
            yield from _hatched(side)
    near = (at(fx, ny, level), at(nx, ny, level), at(nx, fy, level))
    yield Polyline(points=near, look=Look(stroke=TEAL, width=0.3))
    dash = () if tank.state == "stands" else (1.2, 0.8)
    yield from _edges(
        box, view, Look(stroke=INK if chosen else LINE, width=0.65 if chosen else 0.2, dash=dash)
    )
    ink = step.text if step else INK
    if named == "top":
        along = (surface[0], surface[3], surface[2], surface[1]) if tank.facing in _LEVEL else surface
        yield from _writing(tank, results, along, ink)
        yield from _sign(tank, results, along)
        return
    far = (nx, fy) if named == "x" else (fx, ny)
    first, second = _free((nx, ny), far, tank, rack, view)
    yield from _writing(tank, results, _upright(first, second, box.z0, level, view), ink)
    yield from _sign(tank, results, _upright(first, second, box.z0, rim, view))


def _edges(box: Box, view: View, edge: Look) -> Iterator[Shape]:
    """The edges of a block that are not hidden by itself."""
    (nx, ny), (fx, fy) = view.near(box), view.far(box)
    across_x, across_y = view.sees_across
    at, high = view.at, box.z1
    if across_x and across_y:
        yield line(at(nx, ny, high), at(nx, ny, box.z0), edge)
    yield Polyline(points=(at(fx, ny, high), at(nx, ny, high), at(nx, fy, high)), look=edge)
    yield Polyline(points=view.outline(box), closed=True, look=edge)


def _upright(
    first: tuple[float, float], second: tuple[float, float], low: float, high: float, view: View
) -> Side:
    """An upright side on the page: along its lower edge, and back along its upper one."""
    at = view.at
    return at(*first, low), at(*second, low), at(*second, high), at(*first, high)


def _named_side(tank: Tank, view: View) -> str:
    """The side that carries the name: "x" or "y", across that axis; "top" from high above. The front if it is seen,
    else the side seen best."""
    out, towards = OUTWARD[tank.facing], view.towards
    flat = math.hypot(towards[0], towards[1])
    if towards[2] > _FROM_ABOVE:
        return "top"
    if out[0] * towards[0] + out[1] * towards[1] > _FRONT_SEEN * flat:
        return "x" if out[0] else "y"
    return "x" if abs(towards[0]) > abs(towards[1]) else "y"


def _free(
    first: tuple[float, float], second: tuple[float, float], tank: Tank, rack: RackPlace | None, view: View
) -> tuple[tuple[float, float], tuple[float, float]]:
    """The longest run of a tank's upright side, in the plan, that no upright of its rack stands before."""
    axis = 0 if abs(second[0] - first[0]) > abs(second[1] - first[1]) else 1
    low, high = sorted((first[axis], second[axis]))
    across = 1 - axis
    if rack is None or (tank.facing in _LEVEL) != (axis == 0):
        return first, second  # seen from the end of its rack: its uprights stand beside it
    edges = (rack.box.y0, rack.box.y1) if axis == 0 else (rack.box.x0, rack.box.x1)
    toward = view.towards[across]
    before = edges[1] - first[across] if toward > 0 else first[across] - edges[0]
    shift = max(before, 0.0) * view.towards[axis] / abs(toward)  # as one looks past the upright
    frame = frame_of(rack.box.x0, rack.box.y0, rack.box.x1, rack.box.y1, rack.facing)
    posts = sorted(
        tuple(sorted(frame.point(along, 0.0)[axis] - shift for along in upright)) for upright in rack.uprights
    )
    best, at = (low, low), low
    for start, end in [*posts, (high, high)]:
        stop = min(max(start, low), high)
        if stop - at > best[1] - best[0]:
            best = (at, stop)
        at = max(at, min(end, high))
    if best[1] - best[0] < 0.25 * (high - low):
        return first, second
    ends = best if first[axis] <= second[axis] else (best[1], best[0])
    if axis == 0:
        return (ends[0], first[1]), (ends[1], second[1])
    return (first[0], ends[0]), (second[0], ends[1])


def _hatched(side: Side) -> Iterator[Shape]:
    """Slanting lines over a side: "no data"."""
    first, second, _, fourth = side
    along, up = math.dist(first, second), math.dist(first, fourth)
    if along < 0.3 or up < 0.3:
        return
    look = Look(stroke=FAINT, width=0.25)

    def on(a: float, b: float) -> Point:
        a, b = a / along, b / up
        return (
            first[0] + (second[0] - first[0]) * a + (fourth[0] - first[0]) * b,
            first[1] + (second[1] - first[1]) * a + (fourth[1] - first[1]) * b,
        )

    offset = _HATCH
    while offset < along + up:
        start = on(min(offset, along), max(0.0, offset - along))
        yield line(start, on(max(0.0, offset - up), min(offset, up)), look)
        offset += _HATCH


def _writing(tank: Tank, results: DrawnResults, side: Side, ink: Colour) -> Iterator[Shape]:
    """Id and, where there is room, the figure under it, in the middle of a side, along its lower edge."""
    first, second, third, fourth = side
    left, right = (first, second) if first[0] <= second[0] else (second, first)
    run = math.dist(first, second)
    if run <= 0.0:
        return
    slant = math.atan2(right[1] - left[1], right[0] - left[0])
    area = (second[0] - first[0]) * (fourth[1] - first[1]) - (second[1] - first[1]) * (fourth[0] - first[0])
    tall = abs(area) / run  # between the two long edges
    lean = (
        abs((second[0] - first[0]) * (fourth[0] - first[0]) + (second[1] - first[1]) * (fourth[1] - first[1]))
        / run
    )
    drawn = results.tank(tank.id)
    figure = drawn.figure if drawn is not None else ""
    room = max(run - 0.6 * lean, 0.4 * run) * 0.88
    name = max(fitting_size(tank.id, room, most=min(3.2, tall * 0.6), bold=True), _LEAST_ID)
    below = fitting_size(figure, room, most=min(2.5, tall * 0.3), least=1.5) if figure else 0.0
    rows = [(tank.id, name, True)]
    if below:
        rows = [(tank.id, min(name, tall * 0.42), True), (figure, below, False)]
    x, y = (first[0] + third[0]) / 2, (first[1] + third[1]) / 2
    down = (-math.sin(slant), math.cos(slant))
    at = -sum(size * 1.2 for _, size, _ in rows) / 2
    for text, size, bold in rows:
        at += size * 1.2
        off = at - size * 0.32
        yield Text(
            at=(x + down[0] * off, y + down[1] * off), text=text, size=size, colour=ink, anchor="middle",
            bold=bold, turn=math.degrees(slant),
        )  # fmt: skip


def _sign(tank: Tank, results: DrawnResults, side: Side) -> Iterator[Shape]:
    flag = results.mark(tank.id)
    if flag is None:
        return
    right = max(side[2:], key=lambda point: point[0])
    size = min(2.6, math.dist(side[0], side[1]) * 0.3)
    yield mark(flag.severity, (right[0] - size * 0.75, right[1] + size * 0.3), size, flag.title)
