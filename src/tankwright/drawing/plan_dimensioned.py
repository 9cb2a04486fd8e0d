"""The floor plan to build by: a sheet for each room, with racks, aisles, doors and windows measured from its walls."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from tankwright.drawing.colour import INK, LINE, PAPER, QUIET, WOOD
from tankwright.drawing.frame import Frame, dimension
from tankwright.drawing.legend import scale_bar
from tankwright.drawing.measured import MEASURED_IN, measured_off
from tankwright.drawing.measures import draw_measures, plan_measures
from tankwright.drawing.model import (
    Bounds,
    Circle,
    Drawing,
    Group,
    Look,
    Point,
    Rectangle,
    Shape,
    Text,
    bounds,
    fitting_size,
    line,
    shifted,
    text_width,
    union,
)
from tankwright.drawing.page import NO_NOTES, Notes, Page, written
from tankwright.drawing.paper import Paper
from tankwright.drawing.plan_view import WALL_THICKNESS, door_swings, draw_shell
from tankwright.drawing.sheet import SCALES
from tankwright.drawing.svg import identifier
from tankwright.room.model import Box, RackPlace, Room, Space, Wall
from tankwright.study import Study
from tankwright.systems.layout import Aisle

_LIST: Final = 62.0  # mm for the places beside the plan
_GAP: Final = 6.0
_BAR: Final = 10.0
_LAST_BAR: Final = 100  # 1:N; a bar of a metre is too short for its figures at a smaller scale
_SIZE: Final = 2.4


def dimensioned_plans(
    study: Study, *, paper: Paper = "A3", plan_name: str = "", notes: Notes = NO_NOTES
) -> tuple[Drawing, ...]:
    """One sheet for each room of a study, at the largest usual scale that fits; the smallest when none does."""
    return tuple(_plan(study, space, paper, plan_name, notes) for space in study.room.spaces)


def _plan(study: Study, space: Space, paper: Paper, plan_name: str, notes: Notes) -> Drawing:
    room = study.room
    title = f"{room.title}: {space.id}, plan with measures"
    points = _places(room, space)
    usual = SCALES.get(room.display, SCALES["metric"])
    for scale in usual:
        page = Page(
            paper=paper, title=title, notes=notes,
            said=(
                f"1:{scale:g} when printed at full size; {MEASURED_IN.get(room.display, MEASURED_IN['metric'])}, from "
                "the finished faces of the walls; of a chain and its whole, the whole holds"
                + (f"; from {plan_name}" if plan_name else ""),
            ),
        )  # fmt: skip
        area = (page.left, page.top, page.right - _LIST - _GAP, page.bottom - _BAR)
        parts = tuple(_drawn(study, space, scale))
        left, top, right, bottom = union(tuple(bounds(one) for one in parts))
        spare = (area[2] - area[0] - (right - left), area[3] - area[1] - (bottom - top))
        if min(spare) >= 0.0 or scale == usual[-1]:
            break
    x, y = area[0] - left + max(spare[0], 0.0) / 2, area[1] - top
    moved = Group(parts=tuple(shifted(one, x, y) for one in parts), id=identifier("plan", space.id))
    bar = (scale_bar(page.left, page.bottom - 5.0, scale, room.display),) if scale <= _LAST_BAR else ()
    return page.drawn((moved, *_list(points, space, page, room.display), *bar), scale=scale, bar=True)


def _drawn(study: Study, space: Space, scale: float) -> Iterator[Shape]:
    room, box = study.room, space.box
    frame = Frame(left=0.0, top=0.0, west=box.x0, north=box.y1, scale=scale)
    only = replace(room, spaces=(space,), racks=tuple(one for one in room.racks if one.room == space.id))
    yield from draw_shell(only, frame, named=False)
    taken: list[Bounds] = []
    for rack in only.racks:
        yield from _rack(rack, frame, room.display, taken)
    aisles = [one for one in study.layout.aisles if one.space == space.id] if study.layout is not None else []
    for aisle in _each_once(aisles):
        yield from _aisle(aisle, frame, room.display, taken)
    for number, (_, place) in enumerate(_places(room, space), start=1):
        yield from _point(number, frame.at(box.x0 + place[0], box.y0 + place[1]), taken)
    (x0, y0), (x1, y1) = frame.at(box.x0, box.y1), frame.at(box.x1, box.y0)
    wall = frame.mm(WALL_THICKNESS)
    edges: dict[Wall, float] = {"north": y0 - wall, "south": y1 + wall, "west": x0 - wall, "east": x1 + wall}
    off: dict[Wall, float] = {}
    for swing in door_swings(only):
        for side, far in _beyond(swing, box).items():
            if far > WALL_THICKNESS + 0.01:
                off[side] = max(off.get(side, 0.0), frame.mm(far) - wall)

    def along(side: Wall, stop: float) -> float:
        return frame.at(stop, 0.0)[0] if side in ("north", "south") else frame.at(0.0, stop)[1]

    yield from draw_measures(plan_measures(room, space), room.display, edges, along, off=off)


def _beyond(swing: Box, box: Box) -> dict[Wall, float]:
    """How far a door that opens outwards reaches past each wall."""
    return {
        "north": swing.y1 - box.y1, "south": box.y0 - swing.y0, "west": box.x0 - swing.x0, "east": swing.x1 - box.x1,
    }  # fmt: skip


def _rack(rack: RackPlace, frame: Frame, display: str, taken: list[Bounds]) -> Iterator[Shape]:
    """A rack with its name, size and height in it, a bar along its front."""
    x, y, wide, tall = frame.corner(rack.box)
    parts: list[Shape] = [
        Rectangle(x=x, y=y, width=wide, height=tall, look=Look(fill=WOOD, stroke=LINE, width=0.4))
    ]
    front = {
        "south": ((x, y + tall), (x + wide, y + tall)), "north": ((x, y), (x + wide, y)),
        "west": ((x, y), (x, y + tall)), "east": ((x + wide, y), (x + wide, y + tall)),
    }[rack.facing]  # fmt: skip
    parts.append(line(*front, Look(stroke=INK, width=0.9)))
    size_words = (
        f"{measured_off(rack.length, display)} × {measured_off(rack.depth, display)}, "
        f"{measured_off(rack.box.z1 - rack.box.z0, display)} high"
    )
    run, across = (wide, tall) if wide >= tall else (tall, wide)
    rest = fitting_size(size_words, run * 0.92, most=min(_SIZE, across * 0.24), least=1.3)
    most = min(3.4, across * 0.38) if rest else min(4.2, across * 0.62)
    name = fitting_size(rack.id, run * 0.9, most=most, bold=True)
    rows = [(rack.id, name, True)] + ([(size_words, rest, False)] if rest else [])
    total = sum(size * 1.3 for _, size, _ in rows)
    at = -total / 2
    for text, size, bold in rows:
        at += size * 1.3
        upright = tall > wide
        middle = (
            (x + wide / 2 + at - 0.35 * size, y + tall / 2)
            if upright
            else (x + wide / 2, y + tall / 2 + at - 0.35 * size)
        )
        written_ = Text(at=middle, text=text, size=size, colour=INK, anchor="middle", bold=bold,
                        turn=270.0 if upright else 0.0)  # fmt: skip
        parts.append(written_)
        taken.append(bounds(written_))
    taken.append((x, y, x + wide, y + tall))
    yield Group(
        parts=tuple(parts), id=identifier("measured", rack.id), place=rack.id, title=f"rack {rack.id}"
    )


def _each_once(aisles: list[Aisle]) -> Iterator[Aisle]:
    """One aisle of those that run the same way and are as wide: a row of racks shares one."""
    seen: set[tuple[bool, int]] = set()
    for aisle in aisles:
        key = (
            abs(aisle.end[0] - aisle.start[0]) > abs(aisle.end[1] - aisle.start[1]),
            round(aisle.width * 1000),
        )
        if key not in seen:
            seen.add(key)
            yield aisle


def _aisle(aisle: Aisle, frame: Frame, display: str, taken: list[Bounds]) -> Iterator[Shape]:
    """The clear way as a dimension line in the room, its figure where nothing else is written."""
    start, end = frame.at(*aisle.start), frame.at(*aisle.end)
    figure = measured_off(aisle.width, display)
    if math.dist(start, end) < 3.0:
        return
    found = next((text for text in _figures(start, end, figure) if not _hits(bounds(text), taken)), None)
    if (
        found is not None
    ):  # a figure over another thing could not be read: the chains round the room hold it too
        taken.append(bounds(found))
        yield from (one for one in dimension(start, end, "") if not isinstance(one, Text))
        yield found


def _figures(start: Point, end: Point, figure: str) -> Iterator[Text]:
    """An aisle's figure at one place of its line after another, at last without its word."""
    upright = abs(end[1] - start[1]) > abs(end[0] - start[0])
    for label in (f"aisle {figure}", figure):
        room = math.dist(start, end) / 2 - text_width(label, _SIZE) / 2 - 1.0
        for share in (0.0, 0.5, -0.5, 0.9, -0.9):
            move = share * max(room, 0.0)
            x, y = (start[0] + end[0]) / 2, (start[1] + end[1]) / 2
            at = (x - 0.8, y + move) if upright else (x + move, y - 0.8)
            turn = 270.0 if upright else 0.0
            yield Text(at=at, text=label, size=_SIZE, colour=INK, anchor="middle", turn=turn)


def _hits(box: Bounds, taken: list[Bounds]) -> bool:
    return any(
        min(box[2], other[2]) - max(box[0], other[0]) > 0
        and min(box[3], other[3]) - max(box[1], other[1]) > 0
        for other in taken
    )


def _places(room: Room, space: Space) -> tuple[tuple[str, tuple[float, float]], ...]:
    """What is set out from the west and the south wall: outfalls, sources, pumps, what stands in the way."""
    box = space.box
    found: dict[str, tuple[float, float]] = {}
    for name, block in space.obstacles:
        found[f"{name}, its south-west corner"] = (block.x0, block.y0)
    for outfall in room.outfalls:
        if outfall.room == space.id:
            found[f"outfall {outfall.id}"] = outfall.place[:2]
    for run in room.feeds:
        found[f"{run.source_kind} {run.source}"] = run.source_place[:2]
    for pump in room.pumps:
        if pump.place is not None:
            found[f"pump {pump.id}"] = pump.place[:2]
    return tuple(
        (name, (place[0] - box.x0, place[1] - box.y0))
        for name, place in found.items()
        if box.x0 - 0.01 <= place[0] <= box.x1 + 0.01 and box.y0 - 0.01 <= place[1] <= box.y1 + 0.01
    )  # fmt: skip


def _point(number: int, at: tuple[float, float], taken: list[Bounds]) -> Iterator[Shape]:
    """A small cross at a place, and its number in a ring where there is room."""
    x, y = at
    look = Look(stroke=INK, width=0.3)
    yield line((x - 1.2, y), (x + 1.2, y), look)
    yield line((x, y - 1.2), (x, y + 1.2), look)
    for far in (3.2, 5.5, 8.5, 12.0):
        for dx, dy in ((1, -1), (1, 1), (-1, -1), (-1, 1), (0, -1.4), (0, 1.4), (1.4, 0), (-1.4, 0)):
            centre = (x + dx * far, y + dy * far)
            box = (centre[0] - 2.0, centre[1] - 2.0, centre[0] + 2.0, centre[1] + 2.0)
            if _hits(box, taken):
                continue
            taken.append(box)
            yield line((x, y), centre, Look(stroke=QUIET, width=0.15))
            yield Circle(centre=centre, radius=1.8, look=Look(fill=PAPER, stroke=INK, width=0.3))
            yield Text(
                at=(centre[0], centre[1] + 0.75),
                text=str(number),
                size=2.1,
                colour=INK,
                anchor="middle",
                bold=True,
            )
            return


def _heights(space: Space, display: str) -> Iterator[str]:
    """What a plan cannot show: how high things are."""

    def m(metres: float) -> str:
        return measured_off(metres, display)

    for one in space.openings:
        wide = m(math.dist(one.start, one.end))
        sill = f", sill at {m(one.sill)}" if one.kind == "window" else ""
        yield f"{one.kind} in the {one.wall} wall: {wide} wide, {m(one.height)} high{sill}"
    low = "" if space.slope_height is None else f", {m(space.slope_height)} at the {space.slope_towards} wall"
    yield f"ceiling at {m(space.box.z1 - space.box.z0)}{low}"
    for name, beam in space.beams:
        yield f"{name}: its underside at {m(beam.z0 - space.box.z0)}"


def _list(
    points: tuple[tuple[str, tuple[float, float]], ...], space: Space, page: Page, display: str
) -> Iterator[Shape]:
    """The numbered places with their distances from the west and the south wall."""
    x, y = page.right - _LIST, page.top + 3.0
    shapes, y = written("Places, from the room's walls" if points else "", (x, y), _LIST, size=2.8, bold=True)
    yield from shapes
    for number, (name, place) in enumerate(points, start=1):
        y += 1.6
        rows, y = written(f"{number}  {name}", (x, y), _LIST, bold=True)
        yield from rows
        rows, y = written(f"{measured_off(place[0], display)} from west, {measured_off(place[1], display)} from south",
                          (x + 4.0, y), _LIST - 4.0)  # fmt: skip
        yield from rows
    y += 2.0
    rows, y = written("Doors, windows, ceiling", (x, y), _LIST, size=2.8, bold=True)
    yield from rows
    for said in _heights(space, display):
        rows, y = written(said, (x, y + 0.8), _LIST)
        yield from rows
    y += 2.0
    for said in (
        "The heavy edge of a rack is its front.",
        "Walls are drawn 10 cm thick for the picture alone.",
        "A rack's place is to its outside; check the floor is level before it is fixed.",
    ):
        rows, y = written(said, (x, y), _LIST, size=2.2, colour=QUIET)
        yield from rows
        y += 1.0


__all__ = ["dimensioned_plans"]
