"""Plan, fronts and drill sheets as DXF: one unit is one real millimetre, dimensions are true dimension entities.

The measures are those of the paper sheets (`measures`, `takeoff.panes`), so that paper and file cannot disagree.
"""

from __future__ import annotations

import io
from collections.abc import Iterable, Sequence
from dataclasses import replace
from itertools import pairwise
from textwrap import wrap
from typing import TYPE_CHECKING, Any, Final

from tankwright.drawing.drill_words import DO_NOT_DRILL, GUESSED, TOLERANCE
from tankwright.drawing.fronts import SHELF, walking_order
from tankwright.drawing.measured import measured_off
from tankwright.drawing.measures import Measures, front_measures, plan_measures, tank_stops
from tankwright.room.boxes import along
from tankwright.room.model import RackPlace, Room, Space, Tank, Wall
from tankwright.takeoff.panes import LEFT_EDGE, LOWER_EDGE, PaneHole, TankPane, finished_pane, kinds_of
from tankwright.units import Metre, convert

if TYPE_CHECKING:
    from ezdxf.document import Drawing as Document

LAYERS: Final = {
    "walls": 7, "openings": 8, "obstacles": 8, "racks": 30, "shelves": 30, "tanks": 5, "water": 4, "holes": 1,
    "panes": 7, "dimensions": 3, "text": 7,
}  # fmt: skip
"""Layer by subject, and its colour in the colour index of AutoCAD."""

STYLE: Final = "tankwright"
UNIT: Final = "1 unit = 1 mm"
_OFF: Final = 250.0  # mm of the room between a wall and its first chain
_LETTERS: Final = 64  # of a line of notes
_TIER: Final = 220.0
_OF_PANE: Final = 30.0  # mm between the chains of a drilled pane
_APART: Final = 3000.0  # mm between two rooms
_BETWEEN: Final = 900.0  # mm between two fronts side by side


def plan_dxf(room: Room) -> str:
    """Walls, openings, racks and what stands in the way, with the chains of `plan_measures`: room beside room, each
    with its south-west corner on y = 0, since chains of rooms that adjoin would lie over each other."""
    doc = _document(text=60.0)
    x = 0.0
    for space in room.spaces:
        _space(doc, room, space, (x - _to(space.box.x0), -_to(space.box.y0)))
        x += _to(space.box.x1 - space.box.x0) + _APART
    said = UNIT if len(room.spaces) < 2 else f"{UNIT}; the rooms are set apart"
    _text(doc, said, (0.0, -_OFF - 6 * _TIER), 60.0)
    return _written(doc)


def _space(doc: Document, room: Room, space: Space, by: tuple[float, float]) -> None:
    """One room moved on the drawing by so much."""

    def at(x: Metre, y: Metre) -> tuple[float, float]:
        return _to(x) + by[0], _to(y) + by[1]

    box = space.box
    _rectangle(doc, at(box.x0, box.y0), at(box.x1, box.y1), "walls")
    for opening in space.openings:
        _line(doc, at(*opening.start), at(*opening.end), "openings")
    for name, block in space.obstacles:
        _rectangle(doc, at(block.x0, block.y0), at(block.x1, block.y1), "obstacles")
        x, y, _ = block.middle
        _text(doc, name, at(x, y), 50.0)
    for rack in room.racks:
        if rack.room == space.id:
            _rectangle(doc, at(rack.box.x0, rack.box.y0), at(rack.box.x1, rack.box.y1), "racks")
            x, y, _ = rack.box.middle
            _text(doc, rack.id, at(x, y), 100.0)
    x, y = at(box.x0, box.y1)
    _text(doc, space.id, (x, y + 60.0), 100.0)
    edges: dict[Wall, Metre] = {"north": box.y1, "south": box.y0, "west": box.x0, "east": box.x1}
    for one in plan_measures(room, space):
        _chain(doc, one, edges, by)


def fronts_dxf(room: Room) -> str:
    """All fronts side by side in the order one walks past them, on one floor line."""
    doc = _document(text=40.0)
    x = 0.0
    for rack in walking_order(room):
        _front(doc, room, rack, x)
        x += _to(rack.length) + _BETWEEN
    _text(doc, UNIT, (0.0, -_OFF - 4 * _TIER), 60.0)
    return _written(doc)


def drill_dxf(room: Room) -> str:
    """The panes drilled here, of each kind, side by side, seen from outside; their lower left corners are on y = 0."""
    doc = _document(text=8.0)
    x = 0.0
    most = 1
    for tank in kinds_of(room):
        for name in dict.fromkeys(hole.pane for hole in tank.holes if not hole.to_order):
            pane = finished_pane(tank, name, room.assumed)
            holes = [hole for hole in pane.holes if not hole.to_order]
            x += _OF_PANE * (len(holes) - 1)
            _pane(doc, replace(pane, hole=holes[0], others=tuple(holes[1:])), x)
            x += _to(pane.width) + 300.0
            most = max(most, len(holes))
    _text(doc, UNIT, (0.0, -100.0 - _OF_PANE * (most - 1)), 8.0)
    return _written(doc)


def _front(doc: Document, room: Room, rack: RackPlace, x: float) -> None:
    ground, tall = rack.box.z0, rack.box.z1 - rack.box.z0
    tanks = {tank.id: tank for tank in room.tanks if tank.rack == rack.id}
    for start, end in rack.uprights:
        _rectangle(doc, (x + _to(start), 0.0), (x + _to(end), _to(tall)), "racks")
    for shelf in rack.shelves:
        thick = rack.shelf_thickness.value if rack.shelf_thickness is not None else SHELF
        _rectangle(doc, (x, _to(shelf - min(thick, shelf))), (x + _to(rack.length), _to(shelf)), "shelves")
    _line(doc, (x - 100.0, 0.0), (x + _to(rack.length) + 100.0, 0.0), "walls")
    for row in tank_stops(room, rack).values():
        for name, start, end in row:
            _tank(doc, rack, tanks[name], (x + _to(start), x + _to(end)), x)
        low = min(tanks[name].box.z0 for name, _, _ in row) - ground
        ends = sorted({round(_to(edge), 3) for _, start, end in row for edge in (start, end)} | {0.0})
        _level(doc, [x + end for end in ends], _to(low), _to(low) - 60.0)
    edges: dict[Wall, Metre] = {"north": tall, "south": 0.0, "west": 0.0, "east": rack.length}
    for one in front_measures(rack):
        _chain(doc, one, edges, (x, 0.0))
    _text(doc, f"{rack.id}  {rack.kind}", (x, _to(tall) + 80.0), 80.0)


def _tank(doc: Document, rack: RackPlace, tank: Tank, ends: tuple[float, float], x: float) -> None:
    ground = rack.box.z0
    low, high, water = (_to(height - ground) for height in (tank.box.z0, tank.rim, tank.level))
    _rectangle(doc, (ends[0], low), (ends[1], high), "tanks")
    _line(doc, (ends[0], water), (ends[1], water), "water")
    _text(doc, tank.id, (ends[0] + 20.0, low + 20.0), 60.0)
    for hole in tank.holes:
        if hole.pane in ("back", "front"):
            centre = (x + _to(along(rack.box, rack.facing, hole.centre)), _to(hole.centre[2] - ground))
            _circle(doc, centre, _to(hole.diameter.value) / 2, "holes")


def _pane(doc: Document, pane: TankPane, x: float) -> None:
    """A pane with all its holes, each with a chain of measures of its own, the first one's nearest the glass."""
    if pane.hole is None:
        return
    wide, tall = _to(pane.width), _to(pane.height)
    _rectangle(doc, (x, 0.0), (x + wide, tall), "panes")
    for tier, hole in enumerate(pane.holes, start=1):
        centre = _drilled(doc, hole, x)
        _level(doc, [x, centre[0], x + wide], 0.0, -_OF_PANE * tier)
        _upright(doc, [0.0, centre[1], tall], x, x - _OF_PANE * tier)
    outer = _OF_PANE * (len(pane.holes) + 1)
    _level(doc, [x, x + wide], 0.0, -outer)
    _upright(doc, [0.0, tall], x, x - outer)
    rows = [
        f"{pane.kind}, {pane.pane} pane, seen from OUTSIDE",
        f"left edge here: the tank's {LEFT_EDGE[pane.pane]}; lower edge: its {LOWER_EDGE[pane.pane]}",
        *wrap(TOLERANCE, _LETTERS),
    ]
    if len(pane.holes) > 1:
        rows.extend(wrap(_each_hole(pane.holes), _LETTERS))
    if any(hole.diameter.is_assumed for hole in pane.holes):
        rows.append("hole not measured: measure your fitting, body OD = ______; the circle is only a picture")
    if any(hole.guessed for hole in pane.holes):
        rows.extend(wrap(GUESSED, _LETTERS))
    if pane.toughened:
        rows.insert(0, f"{DO_NOT_DRILL}: toughened")
    elif pane.temper != "annealed":
        rows.append("make sure that this pane is annealed before you drill it")
    for number, row in enumerate(rows):
        _text(doc, row, (x, tall + 14.0 * (len(rows) - number)), 8.0)


def _each_hole(holes: Sequence[PaneHole]) -> str:
    """The same in words, in millimetres, so that no hole is taken for another."""
    return "centres from left, lower edge: " + "; ".join(
        f"hole {hole.number}: {measured_off(hole.across, fine=True)}, {measured_off(hole.up, fine=True)}"
        + (" (not measured)" if hole.diameter.is_assumed else "")
        for hole in holes
    )


def _drilled(doc: Document, hole: PaneHole, x: float) -> tuple[float, float]:
    """The circles of a hole and what it measures across; its centre."""
    centre, radius = (x + _to(hole.across), _to(hole.up)), _to(hole.diameter.value) / 2
    _circle(doc, centre, radius, "holes")
    if hole.flange is not None:
        _circle(doc, centre, _to(hole.flange.value) / 2, "holes")
    if not hole.diameter.is_assumed:
        style: Any = doc.modelspace().add_diameter_dim(
            center=centre, radius=radius, angle=45.0, dimstyle=STYLE, dxfattribs={"layer": "dimensions"}
        )
        style.render()
    return centre


def _chain(doc: Document, one: Measures, edges: dict[Wall, Metre], origin: tuple[float, float]) -> None:
    """One chain as linear dimensions, its line outside the thing by its tier."""
    level = one.side in ("north", "south")
    out = _OFF + one.tier * _TIER
    edge = _to(edges[one.side]) + (origin[1] if level else origin[0])
    line_at = edge + (out if one.side in ("north", "east") else -out)
    stops = [_to(stop) + (origin[0] if level else origin[1]) for stop in one.stops]
    (_level if level else _upright)(doc, stops, edge, line_at)


def _level(doc: Document, stops: list[float], edge: float, line_at: float) -> None:
    for start, end in pairwise(stops):
        made: Any = doc.modelspace().add_linear_dim(
            base=(start, line_at), p1=(start, edge), p2=(end, edge), angle=0.0, dimstyle=STYLE,
            dxfattribs={"layer": "dimensions"},
        )  # fmt: skip
        made.render()


def _upright(doc: Document, stops: list[float], edge: float, line_at: float) -> None:
    for start, end in pairwise(stops):
        made: Any = doc.modelspace().add_linear_dim(
            base=(line_at, start), p1=(edge, start), p2=(edge, end), angle=90.0, dimstyle=STYLE,
            dxfattribs={"layer": "dimensions"},
        )  # fmt: skip
        made.render()


def _document(*, text: float) -> Document:
    """An empty drawing in millimetres with our layers, one text style and one dimension style."""
    from ezdxf.filemanagement import new  # noqa: PLC0415 - only who asks for a DXF needs it

    doc = new("R2010", setup=True, units=4)
    for name, colour in LAYERS.items():
        doc.layers.add(name, color=colour)
    doc.styles.add(STYLE, font="DejaVuSans.ttf")
    made = doc.dimstyles.duplicate_entry("EZDXF", STYLE)
    made.dxf.dimtxsty = STYLE
    made.dxf.dimtxt = text
    made.dxf.dimasz = text * 0.6
    made.dxf.dimexo = text * 0.3
    made.dxf.dimexe = text * 0.4
    made.dxf.dimgap = text * 0.3
    made.dxf.dimtad = 1
    made.dxf.dimdec = 1
    made.dxf.dimrnd = 0.0
    made.dxf.dimlfac = 1.0
    made.dxf.dimscale = 1.0
    return doc


def _written(doc: Document) -> str:
    stream = io.StringIO()
    doc.write(stream)
    return stream.getvalue()


def _to(metres: Metre) -> float:
    """Millimetres."""
    return convert(metres, "m", "mm")


def _rectangle(doc: Document, low: tuple[float, float], high: tuple[float, float], layer: str) -> None:
    (x0, y0), (x1, y1) = low, high
    _polyline(doc, ((x0, y0), (x1, y0), (x1, y1), (x0, y1)), layer)


def _polyline(doc: Document, points: Iterable[tuple[float, float]], layer: str) -> None:
    doc.modelspace().add_lwpolyline(points, close=True, dxfattribs={"layer": layer})


def _line(doc: Document, start: tuple[float, float], end: tuple[float, float], layer: str) -> None:
    doc.modelspace().add_line(start, end, dxfattribs={"layer": layer})


def _circle(doc: Document, centre: tuple[float, float], radius: float, layer: str) -> None:
    doc.modelspace().add_circle(centre, radius, dxfattribs={"layer": layer})


def _text(doc: Document, text: str, at: tuple[float, float], height: float) -> None:
    doc.modelspace().add_text(
        text, height=height, dxfattribs={"layer": "text", "style": STYLE}
    ).set_placement(at)


__all__ = ["LAYERS", "drill_dxf", "fronts_dxf", "plan_dxf"]
