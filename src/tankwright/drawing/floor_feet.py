"""What comes down on a floor, from above: every foot with its force, the joists under it, what is hollow.

For someone licensed to judge it. Nothing here says that a floor holds.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final, Literal

from tankwright.display import words
from tankwright.drawing.colour import AMOUNT, FAINT, INK, LINE, PAPER, QUIET, TEAL, WINE, mark, step_for
from tankwright.drawing.frame import Frame, dimension
from tankwright.drawing.measured import measured_off
from tankwright.drawing.model import (
    Bounds,
    Circle,
    Drawing,
    Group,
    Hatching,
    Look,
    Point,
    Rectangle,
    Shape,
    Text,
    bounds,
    fitting_size,
    line,
    shifted,
    union,
)
from tankwright.drawing.page import written
from tankwright.drawing.plan_view import WALL_THICKNESS, draw_shell
from tankwright.drawing.sheet import SCALES
from tankwright.drawing.stress_field import hits
from tankwright.drawing.svg import identifier
from tankwright.finding import Number, Severity
from tankwright.room.model import RackPlace, Room, Space
from tankwright.systems.racks_model import FloorStrength, FootPlace, JoistLoad
from tankwright.units import Newton

CAUTION: Final = (
    "A screening, not a verdict: span, joists, notches and what else stands there decide, and a structural engineer "
    "and the local code judge them. Water is permanent: it does not go home."
)
WIDTH: Final = 180.0
TALLEST: Final = 150.0
_LARGEST: Final = 2.6  # mm; radius of the heaviest foot
_NEAREST: Final = 0.075  # m; and at a small scale
_SIZE: Final = 2.0
_JOIST: Final = Look(stroke=FAINT, width=0.3, dash=(2.4, 1.2))
_LOADED: Final = Look(stroke=TEAL, width=0.35, dash=(2.4, 1.2))
_MOST: Final = 3  # joists told in words; the load sheet has them all
_BETWEEN: Final = {"metric": (30, 40), "US": (32, 64)}
_AROUND: Final = (
    (1.0, 0.0),
    (0.0, 1.0),
    (1.0, 1.0),
    (0.0, -1.0),
    (1.0, -1.0),
    (-1.0, 0.0),
    (-1.0, 1.0),
    (-1.0, -1.0),
)


def draw_floor_feet(
    room: Room,
    floor: FloorStrength,
    *,
    scale: float | None = None,
    width: float = WIDTH,
    tallest: float = TALLEST,
) -> Drawing:
    """One floor with the feet on it, at the largest usual scale at which its plan is no wider and no taller, or at the
    one that is asked for. Raises ValueError for a floor of no room."""
    space = next((one for one in room.spaces if one.id == floor.space), None)
    if space is None:
        raise ValueError(f"no room is called {floor.space!r}")
    usual = sorted({*SCALES.get(room.display, SCALES["metric"]), *_BETWEEN.get(room.display, ())})
    parts: tuple[Shape, ...] = ()
    for chosen in (scale,) if scale else usual:
        parts = tuple(_drawn(room, space, floor, chosen))
        left, top, right, bottom = union(tuple(bounds(one) for one in parts))
        if right - left <= width and bottom - top <= tallest:
            break
    title = f"{space.id}: what comes down on the floor"
    said = _said(floor, space, room.display, chosen)
    wide = max(width, right - left)
    shapes: list[Shape] = [
        Text(
            at=(0.0, 4.6),
            text=title,
            size=fitting_size(title, wide, most=4.6, bold=True),
            colour=INK,
            bold=True,
        )
    ]
    made, y = written(said, (0.0, 9.2), wide, size=2.4, colour=QUIET)
    shapes += made
    shapes.append(
        Group(
            parts=tuple(shifted(one, -left, y + 1.0 - top) for one in parts),
            id=identifier("feet", space.id), place=space.id, title=title,
        )
    )  # fmt: skip
    y += bottom - top + 6.0
    for told in _told(floor, room.display):
        made, y = written(told, (0.0, y), wide, size=2.6)
        shapes += made
        y += 0.6
    made, y = written(CAUTION, (0.0, y), wide, size=2.3, colour=QUIET)
    shapes += made
    return Drawing(
        width=wide, height=y, scale=chosen, title=title, description=f"{said} {CAUTION}", parts=tuple(shapes)
    )


def _w(value: float, dimension: str, display: str) -> str:
    return words(Number(value, dimension), display)


def _said(floor: FloorStrength, space: Space, display: str, scale: float) -> str:
    joists = ""
    if space.joists is not None:
        every = measured_off(space.joists.every.value, display) + ("" if display == "US" else " mm")
        joists = f" Dashed: joists every {every}, {space.joists.run}; those under racks in teal, with their number."
    hollow = " Hatched: hollow underneath." if space.voids else ""
    return (
        f"1:{scale:g} when printed at full size; the darker and larger a foot, the more comes down there, with the "
        f"tanks filled and furnished. Floor: {floor.floor}.{joists}{hollow}"
    )


def _told(floor: FloorStrength, display: str) -> Iterator[str]:
    heaviest = floor.heaviest_rack or "the heaviest rack"
    yield (
        f"All racks over the whole floor: {_w(floor.average, 'floor_load', display)}. Under the footprint of "
        f"{heaviest}, the most: {_w(floor.heaviest_footprint, 'floor_load', display)}."
    )
    limit = floor.limit
    if limit is None:
        yield "Nobody has said what this floor may carry."
    else:
        yield f"What it may carry, as someone licensed said: {_w(limit.value, 'floor_load', display)}."
    for foot in floor.feet:
        if foot.over:
            yield f"Rack {foot.rack}: the {foot.side} foot of upright {foot.upright + 1} stands over {foot.over}."
    ranked = sorted(floor.joists, key=lambda one: -one.moment / max(one.design_moment, 1e-9))
    if len(ranked) > _MOST:
        yield f"Of {len(ranked)} joists under feet the most is asked of these:"
    for joist in ranked[:_MOST]:
        yield _joist_told(
            joist, display, "that limit" if limit is not None else "what such floors are designed for"
        )


def _joist_told(joist: JoistLoad, display: str, design: str) -> str:
    sag = "" if joist.sag_now is None else f", it sags {_w(joist.sag_now, 'length', display)} under them"
    return (
        f"Joist {joist.index + 1}: the racks alone bend it by {_w(joist.moment, 'bending_moment', display)}{sag}; "
        f"{design} would by {_w(joist.design_moment, 'bending_moment', display)}."
    )


def _drawn(room: Room, space: Space, floor: FloorStrength, scale: float) -> Iterator[Shape]:
    box = space.box
    frame = Frame(left=0.0, top=0.0, west=box.x0, north=box.y1, scale=scale)
    racks = tuple(one for one in room.racks if one.room == space.id)
    yield from draw_shell(replace(room, spaces=(space,), racks=racks), frame, named=False)
    for _, void in space.voids:
        yield from _void(frame.corner(void))
    yield from _joists(space, floor, frame)
    x, y, wide, tall = frame.corner(box)
    sheet = _Sheet(frame=frame, display=room.display, inside=(x, y, x + wide, y + tall), taken=[])
    most = max((foot.force for foot in floor.feet), default=0.0)
    for foot in floor.feet:
        (across, down), radius = frame.at(foot.x, foot.y), sheet.radius(foot, most)
        sheet.taken.append((across - radius, down - radius, across + radius, down + radius))
    for rack in racks:
        parts = tuple(_rack(rack, tuple(foot for foot in floor.feet if foot.rack == rack.id), most, sheet))
        yield Group(parts=parts, id=identifier("feet", "rack", rack.id), place=rack.id,
                    title=f"rack {rack.id} and its feet")  # fmt: skip
    for name, void in space.voids:
        yield from _void_name(name, frame.corner(void), sheet)
    (x0, y0), (x1, y1) = frame.at(box.x0, box.y1), frame.at(box.x1, box.y0)
    off = frame.mm(WALL_THICKNESS) + 3.5
    unit = "" if room.display == "US" else " mm"
    sides = (box.x1 - box.x0, box.y1 - box.y0)
    long, deep = (measured_off(side, room.display) + unit for side in sides)
    yield from dimension((x0, y0 - off), (x1, y0 - off), long)
    yield from dimension((x0 - off, y1), (x0 - off, y0), deep)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Sheet:
    """Where a floor lies on the page, and what is written there already."""

    frame: Frame
    display: str
    inside: Bounds
    taken: list[Bounds]

    def radius(self, foot: FootPlace, most: Newton) -> float:
        """How large the disc of a foot is: by area as its force, never so large that two feet of a rack meet."""
        share = foot.force / most if most > 0.0 else 0.0
        largest = min(_LARGEST, self.frame.mm(_NEAREST))
        return max(largest * math.sqrt(share), 0.4)

    def free(self, text: Text) -> bool:
        """Whether a text lies in the room and over nothing else; then its place is taken."""
        box = bounds(text)
        room = self.inside
        if box[0] < room[0] or box[1] < room[1] or box[2] > room[2] or box[3] > room[3]:
            return False
        if any(hits(box, other) for other in self.taken):
            return False
        self.taken.append(box)
        return True


def _grounded(text: Text) -> Iterator[Shape]:
    """A text on paper of its own, over lines that run through it."""
    left, top, right, bottom = bounds(text)
    yield Rectangle(x=left, y=top, width=right - left, height=bottom - top, look=Look(fill=PAPER))
    yield text


def _void(corner: tuple[float, float, float, float]) -> Iterator[Shape]:
    x, y, wide, tall = corner
    yield Rectangle(x=x, y=y, width=wide, height=tall, look=Look(fill=PAPER))
    yield Hatching(x=x, y=y, width=wide, height=tall)
    yield Rectangle(x=x, y=y, width=wide, height=tall, look=Look(stroke=WINE, width=0.4, dash=(1.6, 0.9)))


def _void_name(name: str, corner: tuple[float, float, float, float], sheet: _Sheet) -> Iterator[Shape]:
    x, y, wide, tall = corner
    size = fitting_size(name, max(wide, 12.0) - 1.0, most=2.2)
    for share in (0.5, 0.8, 0.2, 1.2, -0.2):
        text = Text(
            at=(x + wide / 2, y + tall * share + 0.7), text=name, size=size, colour=INK, anchor="middle"
        )
        if sheet.free(text):
            yield from _grounded(text)
            return


def _joists(space: Space, floor: FloorStrength, frame: Frame) -> Iterator[Shape]:
    """Every joist as a dashed line, counted from the west or the south wall; those that carry feet stand out."""
    joists, box = space.joists, space.box
    if joists is None or joists.every.value <= 0.0:
        return
    along_y = joists.run == "north-south"
    zero, last = (box.x0, box.x1) if along_y else (box.y0, box.y1)
    loaded = {one.index for one in floor.joists}
    count = min(int((last - zero) / joists.every.value + 1e-9), 400)
    for index in range(count + 1):
        at = zero + index * joists.every.value
        ends = ((at, joists.start), (at, joists.end)) if along_y else ((joists.start, at), (joists.end, at))
        start, end = (frame.at(*one) for one in ends)
        yield line(start, end, _LOADED if index in loaded else _JOIST)
        if index in loaded:
            (x, y) = start
            spot = (
                (x, y + frame.mm(WALL_THICKNESS) + 3.0)
                if along_y
                else (x - frame.mm(WALL_THICKNESS) - 1.0, y + 0.7)
            )
            told = str(index + 1)
            anchor: Literal["middle", "end"] = "middle" if along_y else "end"
            yield Text(at=spot, text=told, size=_SIZE, colour=TEAL, anchor=anchor, bold=True)


def _rack(rack: RackPlace, feet: tuple[FootPlace, ...], most: Newton, sheet: _Sheet) -> Iterator[Shape]:
    """A rack's outline, its feet with their forces, its name, and all that comes down under it where there is room."""
    x, y, wide, tall = sheet.frame.corner(rack.box)
    yield Rectangle(x=x, y=y, width=wide, height=tall, look=Look(stroke=LINE, width=0.4))
    middle = (x + wide / 2, y + tall / 2)
    upright = tall > wide
    run, across = (tall, wide) if upright else (wide, tall)
    name = fitting_size(rack.id, run * 0.4, most=min(3.4, across * 0.32), bold=True)
    yield from _written(rack.id, name, middle, upright, sheet, bold=True)
    for foot in feet:
        yield from _foot(foot, most, middle, sheet)
    total = sum(foot.force for foot in feet)
    told = f"{_w(total, 'force', sheet.display)} in all" if feet else "feet not known"
    size = fitting_size(told, run * 0.5, most=min(2.1, across * 0.2), least=1.3)
    if size:
        down = 0.75 * name + 0.7 * size
        for aside in (down, -down):
            at = (middle[0] + aside, middle[1]) if upright else (middle[0], middle[1] + aside)
            made = tuple(_written(told, size, at, upright, sheet))
            if made:
                yield from made
                return


def _written(
    told: str, size: float, middle: Point, upright: bool, sheet: _Sheet, *, bold: bool = False
) -> Iterator[Shape]:
    """A text about a point, along the rack; a name at any price, another only where nothing else is written."""
    for aside in (0.0, 4.0, -4.0, 8.0, -8.0, 12.0, -12.0):
        x, y = middle
        at = (x + 0.36 * size, y + aside) if upright else (x + aside, y + 0.36 * size)
        turn = 270.0 if upright else 0.0
        text = Text(at=at, text=told, size=size, colour=INK, anchor="middle", bold=bold, turn=turn)
        if sheet.free(text):
            yield from _grounded(text)
            return
    if bold:
        yield Text(at=middle, text=told, size=size, colour=INK, anchor="middle", bold=True)


def _foot(foot: FootPlace, most: Newton, middle: Point, sheet: _Sheet) -> Iterator[Shape]:
    """A foot as a disc as large as what comes down there, its force beside it, towards the rack's middle first."""
    (x, y), radius = sheet.frame.at(foot.x, foot.y), sheet.radius(foot, most)
    share = foot.force / most if most > 0.0 else 0.0
    yield Circle(
        centre=(x, y), radius=radius, look=Look(fill=step_for(share, AMOUNT).fill, stroke=INK, width=0.25)
    )
    told = _w(foot.force, "force", sheet.display)
    level = -1.0 if x > middle[0] else 1.0
    down = -1.0 if y > middle[1] else 1.0
    for size in (_SIZE, 1.6):
        for far in (0.5, 2.2, 4.2):
            for dx, dy in _AROUND:
                anchor: Literal["start", "middle", "end"] = (
                    "middle" if dx == 0.0 else "start" if dx * level > 0 else "end"
                )
                off = radius + far
                at = (x + dx * level * off, y + dy * down * (off + 0.4 * size) + 0.3 * size)
                text = Text(at=at, text=told, size=size, colour=INK, anchor=anchor)
                if sheet.free(text):
                    yield from _grounded(text)
                    if foot.over:
                        yield mark(Severity.PROBLEM, (x, y), 2.4, f"over {foot.over}")
                    return
    if foot.over:
        yield mark(Severity.PROBLEM, (x, y), 2.4, f"over {foot.over}")
