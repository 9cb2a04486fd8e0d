"""Rooms in one frame: where each stands, its doors and windows, its obstacles and its ceiling."""

from __future__ import annotations

from collections.abc import Mapping

from tankwright.plan.models import Door, RoomTable, Window
from tankwright.plan.quantities import Point
from tankwright.room.defaults import Defaults
from tankwright.room.frames import Flat
from tankwright.room.model import Box, Opening, Space, Wall
from tankwright.units import Metre

WALL_BETWEEN_ROOMS = 0.3
"""m between two rooms whose places are not said. Source: common practice, no source."""

DOOR_HEIGHT = 2.0
"""m, the plan asks for none. Source: common practice, no source."""


def lay_spaces(rooms: Mapping[str, RoomTable], defaults: Defaults) -> tuple[Space, ...]:
    """Every room: the first with its south-west corner at the origin, others where said or further east."""
    spaces: list[Space] = []
    zero: Flat | None = None
    east = 0.0
    for name, table in rooms.items():
        if table.at is None:
            corner = (east, 0.0)
        else:
            said = (table.at[0].value, table.at[1].value)
            zero = zero or (said if not spaces else (0.0, 0.0))
            corner = (said[0] - zero[0], said[1] - zero[1])
        space = _space(name, table, corner, defaults)
        spaces.append(space)
        east = max(east, space.box.x1 + WALL_BETWEEN_ROOMS)
    return tuple(spaces)


def place_in(space: Space, point: Point) -> Flat:
    """A point the owner measured from a room's south-west corner, in the frame of the plan."""
    return (space.box.x0 + point[0].value, space.box.y0 + point[1].value)


def ceiling_over(space: Space, box: Box) -> Metre:
    """The lowest height of the ceiling over a block, beams not counted.

    >>> room = Space(id="loft", box=Box(x0=0, y0=0, z0=0, x1=4, y1=4, z1=2.4), floor="slab",
    ...              slope_towards="west", slope_height=1.6)
    >>> round(ceiling_over(room, Box(x0=1, y0=0, z0=0, x1=2, y1=1, z1=1)), 3)
    1.8
    """
    high = space.box.z1
    if space.slope_towards is None or space.slope_height is None:
        return high
    room = space.box
    away = {
        "west": box.x0 - room.x0,
        "east": room.x1 - box.x1,
        "south": box.y0 - room.y0,
        "north": room.y1 - box.y1,
    }[space.slope_towards]
    along_x = space.slope_towards in ("west", "east")
    whole = room.x1 - room.x0 if along_x else room.y1 - room.y0
    return space.slope_height + (high - space.slope_height) * min(max(away / whole, 0.0), 1.0)


def _space(name: str, table: RoomTable, corner: Flat, defaults: Defaults) -> Space:
    x, y = corner
    size = table.size
    box = Box(x0=x, y0=y, z0=0.0, x1=x + size.length.value, y1=y + size.width.value, z1=size.height.value)
    slope = table.ceiling_slope
    openings = [_door(box, door) for door in table.doors] + [_window(box, one) for one in table.windows]
    obstacles = tuple((one.name, _block(box, one.at, one.size, 0.0)) for one in table.obstacles)
    beams = tuple((one.name, _block(box, one.at, one.size, one.underside.value)) for one in table.beams)
    return Space(
        id=name,
        box=box,
        floor=table.floor,
        openings=tuple(openings),
        obstacles=obstacles,
        beams=beams,
        slope_towards=slope.towards if slope else None,
        slope_height=slope.height.value if slope else None,
        aisle=defaults.take("aisle.least", table.aisle),
        line=table.line,
    )


def _block(room: Box, at: Point, size: Point, bottom: Metre) -> Box:
    x, y = room.x0 + at[0].value, room.y0 + at[1].value
    top = max(room.z1, bottom)
    return Box(x0=x, y0=y, z0=bottom, x1=x + size[0].value, y1=y + size[1].value, z1=top)


def _run(room: Box, wall: Wall, first: Metre | None, width: Metre) -> tuple[Flat, Flat]:
    """An opening's run along its wall, from west to east or south to north; in the middle when not said."""
    if wall in ("north", "south"):
        y = room.y1 if wall == "north" else room.y0
        start = room.x0 + ((room.x1 - room.x0 - width) / 2.0 if first is None else first)
        return (start, y), (start + width, y)
    x = room.x1 if wall == "east" else room.x0
    start = room.y0 + ((room.y1 - room.y0 - width) / 2.0 if first is None else first)
    return (x, start), (x, start + width)


def _said(opening: Door | Window) -> Metre | None:
    said = opening.from_west if opening.wall in ("north", "south") else opening.from_south
    return None if said is None else said.value


def _door(room: Box, door: Door) -> Opening:
    start, end = _run(room, door.wall, _said(door), door.width.value)
    return Opening(
        kind="door",
        wall=door.wall,
        start=start,
        end=end,
        height=min(DOOR_HEIGHT, room.z1),
        swing=door.swing,
        hinge=(end if door.hinged in ("east", "north") else start) if door.swing != "slides" else None,
        line=door.line,
    )


def _window(room: Box, window: Window) -> Opening:
    width, height = window.size
    start, end = _run(room, window.wall, _said(window), width.value)
    return Opening(
        kind="window",
        wall=window.wall,
        start=start,
        end=end,
        sill=window.sill.value,
        height=height.value,
        line=window.line,
    )
