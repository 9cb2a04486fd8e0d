"""Areas of a space's walls, roof and floor, under a level or a sloping ceiling."""

from __future__ import annotations

import math

from tankwright.room.model import Space, Wall
from tankwright.units import Metre, SquareMetre

OPPOSITE: dict[Wall, Wall] = {"north": "south", "south": "north", "east": "west", "west": "east"}


def wall_length(space: Space, wall: Wall) -> Metre:
    """The length of a wall inside.

    >>> from tankwright.room.model import Box
    >>> loft = Space(id="loft", box=Box(x0=0, y0=0, z0=0, x1=4, y1=3, z1=2.4), floor="timber",
    ...              slope_towards="west", slope_height=1.4)
    >>> wall_length(loft, "north"), wall_area(loft, "west"), wall_area(loft, "north")
    (4, 4.2, 7.6)
    """
    box = space.box
    return box.x1 - box.x0 if wall in ("north", "south") else box.y1 - box.y0


def wall_area(space: Space, wall: Wall) -> SquareMetre:
    """The area of a wall inside, its doors and windows in it."""
    high = space.box.z1 - space.box.z0
    towards, low = space.slope_towards, space.slope_height
    if towards is None or low is None or wall == OPPOSITE[towards]:
        height = high
    elif wall == towards:
        height = low
    else:
        height = (high + low) / 2.0
    return round(wall_length(space, wall) * height, 12)


def floor_area(space: Space) -> SquareMetre:
    """The area of the floor."""
    box = space.box
    return (box.x1 - box.x0) * (box.y1 - box.y0)


def roof_area(space: Space) -> SquareMetre:
    """The area of the ceiling, along its slope."""
    towards, low = space.slope_towards, space.slope_height
    if towards is None or low is None:
        return floor_area(space)
    run = wall_length(space, "north" if towards in ("east", "west") else "east")
    rise = space.box.z1 - space.box.z0 - low
    return floor_area(space) * math.hypot(run, rise) / run


def volume(space: Space) -> float:
    """The volume of the space, m3, nothing taken off for what stands in it."""
    towards, low = space.slope_towards, space.slope_height
    high = space.box.z1 - space.box.z0
    mean = high if towards is None or low is None else (high + low) / 2.0
    return floor_area(space) * mean
