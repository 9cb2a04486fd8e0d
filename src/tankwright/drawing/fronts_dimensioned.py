"""Rack fronts to build by: shelves, uprights, where each tank stands along its shelf, the levels of its water."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from tankwright.drawing.colour import GLASS, INK, LINE, PAPER, QUIET, TEAL, WATER, WOOD
from tankwright.drawing.frame import Frame
from tankwright.drawing.fronts import SHELF, walking_order
from tankwright.drawing.legend import scale_bar
from tankwright.drawing.measured import MEASURED_IN, measured_off
from tankwright.drawing.measures import draw_measures, front_measures, tank_stops
from tankwright.drawing.model import (
    Circle,
    Drawing,
    Group,
    Look,
    Rectangle,
    Shape,
    Text,
    bounds,
    fitting_size,
    line,
    shifted,
    union,
)
from tankwright.drawing.page import NO_NOTES, Notes, Page, numbered
from tankwright.drawing.paper import Paper
from tankwright.drawing.sheet import SCALES
from tankwright.drawing.svg import identifier
from tankwright.room.boxes import along
from tankwright.room.model import RackPlace, Room, Tank, Wall
from tankwright.units import Metre

_BAR: Final = 10.0  # mm for the scale bar
_GAP: Final = 8.0
_LEVELS: Final = 2.0  # mm; figures of the levels beside a front
_ROW: Final = 2.7
_LARGEST: Final = {"metric": 20, "US": 24}


def dimensioned_fronts(
    room: Room, *, paper: Paper = "A3", plan_name: str = "", notes: Notes = NO_NOTES
) -> tuple[Drawing, ...]:
    """The fronts of all racks in the order one walks past them, all at one scale, on as many sheets as they need."""
    racks = walking_order(room)
    if not racks:
        return ()
    usual = [
        one for one in SCALES.get(room.display, SCALES["metric"]) if one >= _LARGEST.get(room.display, 20)
    ]
    said = (
        "{scale} when printed at full size; "
        f"{MEASURED_IN.get(room.display, MEASURED_IN['metric'])}; heights above the floor under the rack, lengths from "
        "its left end as one stands before it; in a tank: where it begins and ends; beside it: rim and still water"
        + ("; boards are drawn 50 mm thick where the plan does not say" if _unsaid(racks) else "")
        + (f"; from {plan_name}" if plan_name else "")
    )
    title = f"{room.title}: rack fronts with measures"
    for scale in usual:
        page = Page(paper=paper, title=title, notes=notes, said=(said.format(scale=f"1:{scale:g}"),))
        wide, tall = page.right - page.left, page.bottom - _BAR - page.top
        fronts = [_front(room, rack, scale) for rack in racks]
        boxes = [union(tuple(bounds(one) for one in front)) for front in fronts]
        if all(box[2] - box[0] <= wide and box[3] - box[1] <= tall for box in boxes) or scale == usual[-1]:
            break
    pages: list[list[Shape]] = [[]]
    x, y, row = page.left, page.top, 0.0
    for rack, front, (left, top, right, bottom) in zip(racks, fronts, boxes, strict=True):
        across, up = right - left, bottom - top
        if x > page.left and x + across > page.right:
            x, y, row = page.left, y + row + _GAP, 0.0
        if y > page.top and y + up > page.top + tall:
            pages.append([])
            x, y, row = page.left, page.top, 0.0
        moved = tuple(shifted(one, x - left, y - top) for one in front)
        pages[-1].append(Group(parts=moved, id=identifier("front", rack.id), place=rack.id,
                               title=f"front of rack {rack.id}"))  # fmt: skip
        x, row = x + across + _GAP, max(row, up)
    bar = scale_bar(page.left, page.bottom - 5.0, scale, room.display)
    return tuple(
        Page(paper=paper, title=numbered(title, number, len(pages)), notes=notes, said=page.said).drawn(
            (*shapes, bar), scale=scale, bar=True
        )
        for number, shapes in enumerate(pages, start=1)
    )


def _unsaid(racks: tuple[RackPlace, ...]) -> bool:
    return any(rack.shelf_thickness is None for rack in racks)


def _front(room: Room, rack: RackPlace, scale: float) -> tuple[Shape, ...]:
    """One front about its own floor line, with its chains, its levels and its name."""
    ground = rack.box.z0
    frame = Frame(left=0.0, top=0.0, west=0.0, north=ground, scale=scale)
    parts: list[Shape] = [*_timber(rack, frame)]
    tanks = {tank.id: tank for tank in room.tanks if tank.rack == rack.id}
    for row in tank_stops(room, rack).values():
        for name, start, end in row:
            parts.extend(_tank(rack, tanks[name], (start, end), frame, room.display))
    wide = frame.mm(rack.length)
    top = min([frame.at(0.0, rack.box.z1)[1], *(frame.at(0.0, tank.rim)[1] for tank in tanks.values())])
    parts.append(line((-3.0, 0.0), (wide + 3.0, 0.0), Look(stroke=LINE, width=0.6)))

    def along_page(side: Wall, stop: Metre) -> float:
        return frame.at(stop, 0.0)[0] if side in ("north", "south") else frame.at(0.0, ground + stop)[1]

    edges: dict[Wall, float] = {"north": top, "south": 0.0, "west": 0.0, "east": wide}
    parts.extend(draw_measures(front_measures(rack), room.display, edges, along_page))
    parts.extend(_levels(tuple(tanks.values()), ground, wide, frame, room.display))
    name = f"{rack.id}  {rack.kind}"
    size = fitting_size(name, max(wide, 20.0), most=4.0, bold=True)
    parts.append(Text(at=(0.0, top - 3.0), text=name, size=size, colour=INK, bold=True))
    return tuple(parts)


def _timber(rack: RackPlace, frame: Frame) -> Iterator[Shape]:
    look = Look(fill=WOOD, stroke=LINE, width=0.3)
    thick = rack.shelf_thickness.value if rack.shelf_thickness is not None else SHELF
    top = max(rack.box.z1, max((rack.box.z0 + shelf for shelf in rack.shelves), default=rack.box.z0))
    for start, end in rack.uprights:
        x, y = frame.at(start, top)
        yield Rectangle(x=x, y=y, width=frame.mm(end - start), height=frame.mm(top - rack.box.z0), look=look)
    for shelf in rack.shelves:
        x, y = frame.at(0.0, rack.box.z0 + shelf)
        yield Rectangle(
            x=x, y=y, width=frame.mm(rack.length), height=frame.mm(min(thick, shelf) or SHELF), look=look
        )


def _tank(
    rack: RackPlace, tank: Tank, span: tuple[Metre, Metre], frame: Frame, display: str
) -> Iterator[Shape]:
    """A tank with its water and its hole, its name, and where it begins and ends."""
    x, y = frame.at(span[0], tank.box.z1)
    wide, tall = frame.mm(span[1] - span[0]), frame.mm(tank.box.z1 - tank.box.z0)
    surface = frame.at(0.0, tank.level)[1]
    dash = () if tank.state == "stands" else (1.4, 0.9)
    yield Rectangle(x=x, y=y, width=wide, height=tall, look=Look(fill=GLASS))
    yield Rectangle(x=x, y=surface, width=wide, height=max(y + tall - surface, 0.0), look=Look(fill=WATER))
    yield line((x, surface), (x + wide, surface), Look(stroke=TEAL, width=0.3))
    yield Rectangle(x=x, y=y, width=wide, height=tall, look=Look(stroke=LINE, width=0.35, dash=dash))
    low = surface
    for hole in tank.holes:
        if hole.pane not in ("back", "front"):
            continue
        centre = frame.at(along(rack.box, rack.facing, hole.centre), hole.centre[2])
        radius = max(frame.mm(hole.diameter.value) / 2, 0.3)
        yield Circle(centre=centre, radius=radius, look=Look(fill=PAPER, stroke=LINE, width=0.2))
        if (
            hole is tank.hole or centre[1] < (surface + y + tall) / 2
        ):  # one far down leaves no room under it to write
            low = max(low, centre[1] + radius)
    room, height = wide * 0.94, y + tall - low
    span_words = f"{measured_off(span[0], display)} – {measured_off(span[1], display)}"
    rows = [(tank.id, fitting_size(tank.id, room, most=min(4.2, height * 0.4), bold=True), True)]
    rest = fitting_size(span_words, room, most=min(2.3, height * 0.26), least=1.2)
    if rest:
        rows.append((span_words, rest, False))
    at = low + (height - sum(size * 1.35 for _, size, _ in rows)) / 2
    for text, size, bold in rows:
        at += size * 1.35
        yield Text(at=(x + wide / 2, at - 0.3 * size), text=text, size=size, colour=INK, anchor="middle",
                   bold=bold)  # fmt: skip


def _levels(
    tanks: tuple[Tank, ...], ground: Metre, wide: float, frame: Frame, display: str
) -> Iterator[Shape]:
    """Rims and still waters on the right of a front, each height once, pushed apart where they are close."""
    found: dict[tuple[str, int], tuple[Metre, list[str]]] = {}
    for tank in tanks:
        for what, height in (("rim", tank.rim), ("water", tank.level)):
            found.setdefault((what, round(height * 1000)), (height, []))[1].append(f"{tank.shelf}")
    rows = sorted(((height, what) for (what, _), (height, _) in found.items()), reverse=True)
    places: list[float] = []
    for height, _ in rows:
        y = frame.at(0.0, height)[1]
        places.append(max(y, places[-1] + _ROW) if places else y)
    for (height, what), place in zip(rows, places, strict=True):
        y = frame.at(0.0, height)[1]
        colour = TEAL if what == "water" else QUIET
        yield line((wide + 0.8, y), (wide + 3.0, y), Look(stroke=colour, width=0.25))
        yield line((wide + 3.0, y), (wide + 5.0, place), Look(stroke=colour, width=0.15))
        label = f"{what} {measured_off(height - ground, display)}"
        yield Text(at=(wide + 5.6, place + 0.7), text=label, size=_LEVELS, colour=INK)


__all__ = ["dimensioned_fronts"]
