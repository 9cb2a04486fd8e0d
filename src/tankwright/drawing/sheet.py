"""A whole sheet: heading, plan, rack fronts, legend, at one scale."""

from __future__ import annotations

from typing import Final, Literal

from tankwright.drawing.colour import INK, PAPER
from tankwright.drawing.frame import Frame
from tankwright.drawing.fronts import BETWEEN, draw_front, front_size, walking_order
from tankwright.drawing.legend import LAYER_WORDS, Sheet, footer, header
from tankwright.drawing.model import Drawing, Group, Look, Rectangle, Shape, Text
from tankwright.drawing.paper import MARGIN, PAPERS, Paper, foot
from tankwright.drawing.pipes_view import draw_pipes
from tankwright.drawing.plan_view import (
    WALL_THICKNESS,
    door_swings,
    draw_outfalls,
    draw_plan,
    draw_room_dimensions,
    plan_extent,
    walls_extent,
)  # fmt: skip
from tankwright.drawing.results import DrawnResults, Layer
from tankwright.room.model import Box, Room

__all__ = ["MARGIN", "PAPERS", "SCALES", "Paper", "draw_room", "fits_at", "sheets_at"]

SCALES: Final[dict[str, tuple[int, ...]]] = {
    "metric": (10, 20, 25, 50, 100, 200, 500, 1000),
    "US": (12, 24, 48, 96, 192, 480, 960),
}
Views = Literal["both", "plan", "fronts"]
_WHAT: Final[dict[Views, str]] = {"both": "plan and rack fronts", "plan": "plan", "fronts": "rack fronts"}
_PLAN_WIDTH: Final = 330.0  # mm; wider plans get a smaller scale, so that a sheet stays readable on a screen
_ON_PAPER: Final = (
    1.6  # mm; names give way to figures down to this, so that a print in grey still tells its results
)
_SMALLEST: Final = 50  # a hall grows over this width rather than into tanks too small to name
_LEAST_WIDTH: Final = 250.0
_SIDE: Final = 14.0  # mm beside the plan for the upright dimension lines
_OVER: Final = 13.0  # mm over the plan for names and level dimension lines


def draw_room(
    room: Room,
    results: DrawnResults,
    *,
    plan_name: str = "",
    scale: float | None = None,
    paper: Paper | None = None,
    date: str = "",
    revision: str = "",
    page: str = "",
) -> Drawing:
    """The sheet of one layer, its plan and rack fronts at one scale.

    Without a paper the page is as large as it needs to be, at `scale` or, when that is not said, the largest
    usual scale the plan stays handy at. With a paper it is the largest usual scale that fits; what fits none
    grows over the paper rather than being cut. `date`, `revision` and `page` ("page 1 of 3") are written along
    its foot as they are given.

    >>> empty = Room(title="Shed", display="metric", spaces=(), racks=(), tanks=())
    >>> draw_room(empty, DrawnResults(layer="layout")).title
    'Shed: Layout'
    """
    usual = SCALES.get(room.display, SCALES["metric"])
    notes = (date, revision, page)
    if paper is None:
        return _sheet(room, results, plan_name, scale or _handy_scale(room, usual), None, notes)
    for candidate in (scale,) if scale else usual:
        drawn = fits_at(room, results, candidate, paper, plan_name=plan_name, notes=notes)
        if drawn is not None:
            return drawn
    return _sheet(room, results, plan_name, scale or usual[-1], None, notes)


def fits_at(
    room: Room,
    results: DrawnResults,
    scale: float,
    paper: Paper,
    *,
    plan_name: str = "",
    notes: tuple[str, str, str] = ("", "", ""),
    views: Views = "both",
) -> Drawing | None:
    """The sheet of one layer at exactly that scale on that paper, lying or upright; None when it does not fit.

    `notes` are date, revision and page as they are to be written.

    >>> empty = Room(title="Shed", display="metric", spaces=(), racks=(), tanks=())
    >>> fits_at(empty, DrawnResults(layer="layout"), 20, "A3").scale
    20
    """
    wide, tall = PAPERS[paper]
    for size in ((wide, tall), (tall, wide)):
        if not _may_fit(room, results.layer, scale, size, views):
            continue
        drawn = _sheet(room, results, plan_name, scale, size, notes, views)
        if drawn.width <= size[0] and drawn.height <= size[1]:
            return drawn
    return None


def _may_fit(room: Room, layer: Layer, scale: float, size: tuple[float, float], views: Views) -> bool:
    """False when the bare walls and the fronts, without anything around them, are too large already: a hall is not
    drawn at scales that are out of the question."""
    wide, tall = size[0] - 2 * MARGIN, size[1] - 2 * MARGIN
    extent = plan_extent(room)
    if extent is not None and views != "fronts":
        if (extent.x1 - extent.x0) * 1000 / scale > wide:
            return False
        tall -= (extent.y1 - extent.y0) * 1000 / scale
    if views != "plan":
        fronts = [front_size(room, rack, scale, layer) for rack in room.racks]
        rows = -(-sum(across + BETWEEN for across, _ in fronts) // (wide + BETWEEN))
        tall -= rows * min((up for _, up in fronts), default=0.0)
    return tall > 0


def sheets_at(
    room: Room, results: DrawnResults, scale: float, paper: Paper, *, plan_name: str = ""
) -> tuple[Drawing, ...]:
    """One layer at exactly that scale: plan and fronts on one sheet or, where they do not fit, on a sheet each; none
    when even so they do not fit.

    >>> empty = Room(title="Shed", display="metric", spaces=(), racks=(), tanks=())
    >>> len(sheets_at(empty, DrawnResults(layer="layout"), 20, "A4"))
    1
    """
    whole = fits_at(room, results, scale, paper, plan_name=plan_name)
    if whole is not None:
        return (whole,)
    plan = fits_at(room, results, scale, paper, plan_name=plan_name, views="plan")
    fronts = fits_at(room, results, scale, paper, plan_name=plan_name, views="fronts") if plan else None
    return (plan, fronts) if plan and fronts else ()


def _handy_scale(room: Room, usual: tuple[int, ...]) -> int:
    extent = plan_extent(room)
    wide = 0.0 if extent is None else extent.x1 - extent.x0
    usual = tuple(scale for scale in usual[1:] if scale <= _SMALLEST)
    return next((scale for scale in usual if wide * 1000 / scale <= _PLAN_WIDTH), usual[-1])


def _sheet(
    room: Room,
    results: DrawnResults,
    plan_name: str,
    scale: float,
    size: tuple[float, float] | None,
    notes: tuple[str, str, str],
    views: Views = "both",
) -> Drawing:
    extent = plan_extent(room)
    wall = WALL_THICKNESS * 1000 / scale
    plan_width = 0.0 if extent is None else (extent.x1 - extent.x0) * 1000 / scale + 2 * (wall + _SIDE)
    widest = max((front_size(room, rack, scale, results.layer)[0] for rack in room.racks), default=0.0)
    if views == "plan":
        widest = 0.0
    elif views == "fronts":
        plan_width = 0.0
    needed = max(plan_width, widest, _LEAST_WIDTH if size is None else 0.0)
    width = needed if size is None else max(needed, size[0] - 2 * MARGIN)
    sheet = Sheet(title=room.title, plan_name=plan_name, scale=scale, display=room.display, what=_WHAT[views])
    parts, y = header(results, sheet, MARGIN, MARGIN, width)
    shapes: list[Shape] = list(parts)
    indent, doors = 0.0, list[float]()
    if extent is None:
        shapes.append(Text(at=(MARGIN, y + 8), text="No room is described yet.", size=4, colour=INK))
        y += 12
    elif views != "fronts":
        spare = max(width - plan_width, 0.0) / 2
        frame = Frame(left=MARGIN + spare + _SIDE + wall, top=y + _OVER + wall, west=extent.x0,
                      north=extent.y1, scale=scale)  # fmt: skip
        shapes.append(
            Group(
                parts=(
                    *draw_plan(room, results, frame), *draw_pipes(room, results, frame),
                    draw_outfalls(room, results, frame),
                    *draw_room_dimensions(room, frame),
                ),
                id="plan", title=f"plan of {room.title}",
            )
        )  # fmt: skip
        doors = [frame.at(swing.x0, swing.y0)[1] for swing in door_swings(room)]
        y, indent = _under_plan(room, frame, extent, wall, width, results.layer)
    if views == "plan":
        y = max([y, *(low + 6 for low in doors)])
    else:
        readable = 0.0 if size is None else _ON_PAPER
        fronts, y = _fronts(room, results, scale, y, width, indent, readable)
        shapes.extend(fronts)
    parts, y = footer(results, sheet, MARGIN, y + 2, width)
    shapes.extend(parts)
    page = (width + 2 * MARGIN, y + MARGIN)
    if size is not None:
        page = (max(page[0], size[0]), max(page[1], size[1]))
    shapes.extend(foot(notes, page, bar=size is not None))
    ground = Rectangle(x=0, y=0, width=page[0], height=page[1], look=Look(fill=PAPER))
    return Drawing(
        width=page[0], height=page[1], scale=scale, parts=(ground, *shapes),
        title=f"{room.title}: {LAYER_WORDS[results.layer]}" + ("" if views == "both" else f", {_WHAT[views]}"),
        description=f"{_WHAT[views].capitalize()} at 1:{scale:g}. {results.about}".strip(),
    )  # fmt: skip


def _under_plan(
    room: Room, frame: Frame, extent: Box, wall: float, width: float, layer: Layer
) -> tuple[float, float]:
    """Where the fronts begin: under the walls, beside a door that opens down there if the first row fits
    beside it, else under it; and how far in from the left that row starts."""
    standing = walls_extent(room) or extent
    under = frame.at(0.0, standing.y0)[1] + wall + 9
    row = 0.0
    for rack in walking_order(room):
        wide, _ = front_size(room, rack, frame.scale, layer)
        if row > 0 and row + wide > width:
            break
        row += wide + BETWEEN
    row -= BETWEEN
    indent = 0.0
    for swing in sorted(door_swings(room), key=lambda swing: swing.x0):
        (left, bottom), right = frame.at(swing.x0, swing.y0), frame.at(swing.x1, swing.y0)[0]
        if bottom <= under - 4 or left >= MARGIN + indent + row + 2:
            continue
        if right + 3 + row <= MARGIN + width:
            indent = right + 3 - MARGIN
        else:
            return bottom + 9, 0.0
    return under, indent


def _fronts(
    room: Room,
    results: DrawnResults,
    scale: float,
    top: float,
    width: float,
    indent: float = 0.0,
    readable: float = 0.0,
) -> tuple[tuple[Shape, ...], float]:
    """Rack fronts in rows, each row standing on one floor line; a new room's name over its first front.
    The first row starts `indent` further in."""
    shapes: list[Shape] = []
    rows: list[list[tuple[str, float, float]]] = [[]]
    across = indent
    for rack in walking_order(room):
        wide, tall = front_size(room, rack, scale, results.layer)
        if rows[-1] and across + wide > width:
            rows.append([])
            across = 0.0
        rows[-1].append((rack.id, wide, tall))
        across += wide + BETWEEN
    racks = {rack.id: rack for rack in room.racks}
    named = ""
    y = top
    for row in rows:
        if not row:
            continue
        x, floor = MARGIN + (indent if row is rows[0] else 0.0), y + max(tall for _, _, tall in row)
        for name, wide, tall in row:
            rack = racks[name]
            if rack.room != named:
                named = rack.room
                note = f"{named.upper()}: fronts, clockwise from the door"
                shapes.append(Text(at=(x, floor - tall + 1.6), text=note, size=2.5, colour=INK, bold=True))
            shapes.append(draw_front(room, rack, results, x, floor - 9.0, scale, readable=readable))
            x += wide + BETWEEN
        y = floor + 3
    return (Group(parts=tuple(shapes), id="fronts", title="rack fronts"),), y
