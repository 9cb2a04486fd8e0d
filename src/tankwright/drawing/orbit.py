"""The room as one sees it standing before it: floor, far walls, racks, tanks with their water, pipes.

Nearer things cover farther ones exactly (`drawing.orbit_order`); the walls towards the viewer are cut at the floor.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import Final

from tankwright.display import figures, words
from tankwright.drawing.colour import INK, PAPER, QUIET
from tankwright.drawing.model import Drawing, Group, Look, Polyline, Rectangle, Shape, Text, line
from tankwright.drawing.orbit_order import paint_order
from tankwright.drawing.orbit_parts import Link, standing_things
from tankwright.drawing.orbit_pipes import piping_things
from tankwright.drawing.orbit_room import draw_names, draw_shell
from tankwright.drawing.orbit_view import HIGHEST, LOWEST, USUAL, View, view_from
from tankwright.drawing.plan_view import WALL_THICKNESS, plan_extent
from tankwright.drawing.results import DrawnResults
from tankwright.finding import Number
from tankwright.room.boxes import hull
from tankwright.room.model import Box, Room
from tankwright.units import Radian

__all__ = ["HIGHEST", "LOWEST", "USUAL", "draw_orbit", "quarter_from"]

_MARGIN: Final = 9.0  # mm; names, signs and the compass stand out over what is drawn to scale
_TALLEST: Final = 0.72  # height of the page as a share of its width, at most
_QUARTERS: Final = (
    "north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west",
)  # fmt: skip


def draw_orbit(
    room: Room,
    results: DrawnResults,
    *,
    azimuth: Radian = USUAL[0],
    elevation: Radian = USUAL[1],
    width: float = 300.0,
    link: Link | None = None,
    chosen: str = "",
) -> Drawing:
    """The room seen from the compass bearing `azimuth` (clockwise from north), `elevation` over the horizon.

    The page is `width` mm wide. Its size and the scale do not change with the azimuth, so that a room can be turned
    without jumping. The elevation is kept between `LOWEST` and `HIGHEST`; a number that is not finite gives the usual
    view. Each tank is a group of its own and each rack's name another, links where `link` gives their address; the
    tank or rack `chosen` is marked as such. `Drawing.scale` holds for lengths square to the view. Raises nothing.

    Source: projection and painter's order as told in `drawing.orbit_view` and `drawing.orbit_order`.

    >>> from tankwright.drawing.results import DrawnResults
    >>> empty = Room(title="", display="metric", spaces=(), racks=(), tanks=())
    >>> draw_orbit(empty, DrawnResults(layer="layout"), azimuth=0.0, elevation=0.5).description
    'nothing to draw: the plan has no room and no rack yet'
    """
    look = view_from(azimuth, elevation)
    if not math.isfinite(width) or width < 6 * _MARGIN:
        width = 6 * _MARGIN
    things = (*standing_things(room, results, look, None, ""),)
    whole = _whole(room, tuple(thing.box for thing in things))
    if whole is None:
        return _nothing(room, width)
    view, height = _placed(look, whole, width)
    things = (
        *standing_things(room, results, view, link, chosen),
        *piping_things(room, results, view),
    )
    boxes = [thing.box for thing in things]
    parts: list[Shape] = [
        Rectangle(x=0, y=0, width=width, height=height, look=Look(fill=PAPER)),
        *draw_shell(room, view),
        *draw_names(room, results, view, boxes, link, chosen),
    ]
    order = paint_order(boxes, view, [thing.may_cut for thing in things])
    parts.extend(_merged(shape for number, piece in order for shape in things[number].paint(piece)))
    parts.append(_compass(view, height))
    scale = 1000 / view.mm
    rise = math.atan2(view.towards[2], math.hypot(view.towards[0], view.towards[1]))
    description = (
        f"seen from the {quarter_from(azimuth)}, {words(Number(rise, 'angle'))} over the horizon, "
        f"1:{figures(scale)} square to the view"
    )
    return Drawing(
        width=width, height=height, scale=scale, title=f"{room.title}: seen from aslant", description=description,
        parts=tuple(parts),
    )  # fmt: skip


def quarter_from(azimuth: Radian) -> str:
    """The quarter of the compass nearest to a bearing.

    >>> quarter_from(math.radians(140)), quarter_from(math.radians(-10)), quarter_from(math.nan)
    ('south-east', 'north', 'south-east')
    """
    if not math.isfinite(azimuth):
        azimuth = USUAL[0] - math.radians(15)
    return _QUARTERS[round(math.degrees(azimuth) / 45) % 8]


def _whole(room: Room, boxes: tuple[Box, ...]) -> Box | None:
    """The block around everything, walls counted in."""
    plan = plan_extent(room)
    if plan is None:
        return None
    t = WALL_THICKNESS
    walls = tuple(
        Box(x0=s.box.x0 - t, y0=s.box.y0 - t, z0=s.box.z0, x1=s.box.x1 + t, y1=s.box.y1 + t, z1=s.box.z1)
        for s in room.spaces
    )  # fmt: skip
    return hull((plan, *walls, *boxes))


def _placed(look: View, whole: Box, width: float) -> tuple[View, float]:
    """The view on a page that holds the block whichever way it is turned, and the height of that page."""
    across = math.hypot(whole.x1 - whole.x0, whole.y1 - whole.y0)
    rise, flat = look.towards[2], math.hypot(look.towards[0], look.towards[1])
    tall = across * rise + (whole.z1 - whole.z0) * flat
    inner = width - 2 * _MARGIN
    mm = min(inner / max(across, 1e-3), inner * _TALLEST / max(tall, 1e-3))
    height = tall * mm + 2 * _MARGIN
    bare = View(look.towards, look.right, look.up, mm)
    x, y = bare.at(*whole.middle)
    return View(look.towards, look.right, look.up, mm, width / 2 - x, height / 2 - y), height


def _merged(shapes: Iterable[Shape]) -> Iterator[Shape]:
    """Groups of one thing that follow on each other, such as the pieces of a pipe, as one group.

    Two filled shapes of one look are kept apart: a writer may make one path of them, whose edges then all lie on top.
    """
    last: Group | None = None
    for shape in shapes:
        if isinstance(shape, Group) and last is not None and not shape.id and _may_join(last, shape):
            last = replace(last, parts=(*last.parts, *shape.parts))
            continue
        if last is not None:
            yield last
            last = None
        if isinstance(shape, Group):
            last = shape
        else:
            yield shape
    if last is not None:
        yield last


def _may_join(last: Group, following: Group) -> bool:
    if replace(last, parts=()) != replace(following, parts=()):
        return False
    end, start = last.parts[-1], following.parts[0]
    alike = isinstance(end, Polyline) and isinstance(start, Polyline) and end.look == start.look
    return not (alike and isinstance(end, Polyline) and end.look.fill)


def _compass(view: View, height: float) -> Group:
    """Where north lies on the floor, in the lower left corner."""
    x, y = _MARGIN, height - _MARGIN
    long = 5.0 / view.mm  # m on the floor
    flat = View(view.towards, view.right, view.up, view.mm, x, y)
    tip, tail = flat.at(0.0, long, 0.0), flat.at(0.0, -long, 0.0)
    sides = (flat.at(long * 0.28, -long * 0.2, 0.0), flat.at(-long * 0.28, -long * 0.2, 0.0))
    name = flat.at(0.0, long * 1.45, 0.0)
    parts: tuple[Shape, ...] = (
        line(tail, tip, Look(stroke=QUIET, width=0.2)),
        Polyline(points=(tip, *sides), closed=True, look=Look(fill=QUIET)),
        Text(at=(name[0], name[1] + 0.9), text="N", size=2.6, colour=INK, anchor="middle", bold=True),
    )
    return Group(parts=parts, id="orbit-north", title="north")


def _nothing(room: Room, width: float) -> Drawing:
    said = "nothing to draw: the plan has no room and no rack yet"
    height = 40.0
    parts: tuple[Shape, ...] = (
        Rectangle(x=0, y=0, width=width, height=height, look=Look(fill=PAPER)),
        Text(at=(width / 2, height / 2), text=said, size=min(4.0, width / 40), colour=QUIET, anchor="middle"),
    )
    return Drawing(width=width, height=height, scale=1.0, title=room.title, description=said, parts=parts)
