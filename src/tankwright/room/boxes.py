"""Plain geometry of blocks standing square to the walls: overlaps, what lies ahead, a door's swing."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Final

from tankwright.room.frames import OPPOSITE
from tankwright.room.model import Box, Place, Space, Wall
from tankwright.units import Metre

MOST_PAIRS: Final = 5000
"""Pairs that run into each other are looked for up to so many."""


def overlap(first: Box, second: Box) -> Metre:
    """How far two blocks run into each other on the axis where it is least; 0 or less when they do not.

    Source: geometry.

    >>> overlap(Box(x0=0, y0=0, z0=0, x1=1, y1=1, z1=1), Box(x0=0.75, y0=0, z0=0, x1=2, y1=1, z1=1))
    0.25
    """
    return min(
        min(first.x1, second.x1) - max(first.x0, second.x0),
        min(first.y1, second.y1) - max(first.y0, second.y0),
        min(first.z1, second.z1) - max(first.z0, second.z0),
    )


def overlapping_pairs(
    boxes: Sequence[Box], tolerance: Metre = 0.0005, most: int = MOST_PAIRS
) -> list[tuple[int, int, Metre]]:
    """Pairs of blocks that run into each other by more than the tolerance, and by how much.

    A sweep along x: each block is compared only with those that have begun and not yet ended there. It gives up at
    `most` pairs: a plan that puts a thousand things in one place has half a million of them, and nobody reads those.

    Source: geometry, sweep and prune.

    >>> wide = Box(x0=0, y0=0, z0=0, x1=1, y1=1, z1=1)
    >>> overlapping_pairs([wide, Box(x0=2, y0=0, z0=0, x1=3, y1=1, z1=1), wide])
    [(0, 2, 1)]
    """
    found: list[tuple[int, int, Metre]] = []
    live: list[int] = []
    for index in sorted(range(len(boxes)), key=lambda one: boxes[one].x0):
        box = boxes[index]
        live = [other for other in live if boxes[other].x1 - box.x0 > tolerance]
        for other in live:
            against = boxes[other]
            if box.y0 < against.y1 and against.y0 < box.y1:
                depth = overlap(box, against)
                if depth > tolerance:
                    found.append((min(index, other), max(index, other), depth))
                    if len(found) == most:
                        return sorted(found)
        live.append(index)
    return sorted(found)


def span(box: Box, facing: Wall) -> tuple[Metre, Metre]:
    """Where a block begins and ends along its front, in the plan: x, or y when it faces east or west.

    >>> span(Box(x0=1, y0=2, z0=0, x1=3, y1=5, z1=1), "east")
    (2, 5)
    """
    return (box.x0, box.x1) if facing in ("north", "south") else (box.y0, box.y1)


def along(box: Box, facing: Wall, place: Place | tuple[Metre, Metre]) -> Metre:
    """Distance of a point from a block's left end, as one sees it standing in front of it.

    >>> rack = Box(x0=1, y0=2, z0=0, x1=3, y1=5, z1=1)
    >>> along(rack, "south", (1.5, 2)), along(rack, "north", (1.5, 5))
    (0.5, 1.5)
    """
    if facing == "south":
        return place[0] - box.x0
    if facing == "north":
        return box.x1 - place[0]
    if facing == "east":
        return place[1] - box.y0
    return box.y1 - place[1]


def behind_front(box: Box, facing: Wall, place: Place | tuple[Metre, Metre]) -> Metre:
    """Distance of a point behind a block's front; negative when it stands out before it.

    >>> behind_front(Box(x0=1, y0=2, z0=0, x1=3, y1=5, z1=1), "south", (1.5, 2.5))
    0.5
    """
    if facing == "south":
        return place[1] - box.y0
    if facing == "north":
        return box.y1 - place[1]
    if facing == "east":
        return box.x1 - place[0]
    return place[0] - box.x0


def along_span(box: Box, facing: Wall, inner: Box) -> tuple[Metre, Metre]:
    """Where one block begins and ends along another's front, from its left end.

    >>> rack = Box(x0=1, y0=2, z0=0, x1=3, y1=5, z1=1)
    >>> along_span(rack, "north", Box(x0=1, y0=2, z0=0, x1=1.5, y1=3, z1=1))
    (1.5, 2)
    """
    first = along(box, facing, (inner.x0, inner.y0))
    second = along(box, facing, (inner.x1, inner.y1))
    return min(first, second), max(first, second)


def depth_span(box: Box, facing: Wall, inner: Box) -> tuple[Metre, Metre]:
    """Where one block begins and ends behind another's front."""
    first = behind_front(box, facing, (inner.x0, inner.y0))
    second = behind_front(box, facing, (inner.x1, inner.y1))
    return min(first, second), max(first, second)


def gap_ahead(box: Box, direction: Wall, other: Box, tolerance: Metre = 0.001) -> Metre | None:
    """Clear way from one side of a block to another block that lies that way; None when it does not.

    Height is left out: what stands in an aisle stands in it at any height.

    >>> rack = Box(x0=0, y0=0, z0=0, x1=2, y1=0.5, z1=2)
    >>> gap_ahead(rack, "north", Box(x0=1, y0=1.2, z0=0, x1=3, y1=2, z1=2))
    0.7
    """
    low, high = span(box, direction)
    other_low, other_high = span(other, direction)
    if min(high, other_high) - max(low, other_low) <= tolerance:
        return None
    # The near face of the other must lie beyond the middle of this one: a block run into is a gap below zero.
    gap = {
        "south": box.y0 - other.y1,
        "north": other.y0 - box.y1,
        "east": other.x0 - box.x1,
        "west": box.x0 - other.x1,
    }[direction]
    depth = box.y1 - box.y0 if direction in ("north", "south") else box.x1 - box.x0
    return gap if gap > -depth / 2 else None


def gap_to_wall(box: Box, direction: Wall, space: Space) -> Metre:
    """Clear way from one side of a block to the wall of its room; negative when it stands through it.

    >>> room = Space(id="cellar", box=Box(x0=0, y0=0, z0=0, x1=5, y1=3, z1=2), floor="slab")
    >>> gap_to_wall(Box(x0=0, y0=0.5, z0=0, x1=2, y1=1, z1=2), "north", room)
    2
    """
    return {
        "south": box.y0 - space.box.y0,
        "north": space.box.y1 - box.y1,
        "east": space.box.x1 - box.x1,
        "west": box.x0 - space.box.x0,
    }[direction]


def outside(space: Space, box: Box) -> Metre:
    """How far a block stands out through the walls of a room; 0 when it is inside."""
    return max(0.0, *(-gap_to_wall(box, wall, space) for wall in OPPOSITE))


def ceiling_over(space: Space, box: Box) -> tuple[Metre, str]:
    """The lowest thing above a block and its name: the ceiling where it is lowest over it, or a beam.

    A sloping ceiling runs evenly from its low wall to the opposite one.

    Source: geometry.

    >>> room = Space(id="loft", box=Box(x0=0, y0=0, z0=0, x1=4, y1=4, z1=2.4), floor="timber",
    ...              slope_towards="north", slope_height=1.2)
    >>> height, name = ceiling_over(room, Box(x0=0, y0=1, z0=0, x1=1, y1=2, z1=1))
    >>> round(height, 9), name
    (1.8, 'sloping ceiling')
    """
    height, name = space.box.z1, "ceiling"
    if space.slope_towards is not None and space.slope_height is not None:
        whole = space.box.y1 - space.box.y0 if space.slope_towards in ("north", "south") else 0.0
        whole = whole or space.box.x1 - space.box.x0
        low = space.box.z0 + space.slope_height
        share = min(max(gap_to_wall(box, space.slope_towards, space) / whole, 0.0), 1.0) if whole > 0 else 0.0
        sloped = low + (space.box.z1 - low) * share
        if sloped < height:
            height, name = sloped, "sloping ceiling"
    for beam_name, beam in space.beams:
        across = box.x0 < beam.x1 and beam.x0 < box.x1 and box.y0 < beam.y1 and beam.y0 < box.y1
        if across and beam.z0 < height:
            height, name = beam.z0, beam_name
    return height, name


def door_sweeps(
    hinge: tuple[Metre, Metre], free_end: tuple[Metre, Metre], into: Wall, box: Box, tolerance: Metre = 0.005
) -> bool:
    """Whether a door's leaf, opened through a right angle towards a side, sweeps over a block.

    The leaf covers a quarter of a disc about its hinge, from the closed leaf to square with the wall.

    Source: geometry.

    >>> door = {"hinge": (1.0, 0.0), "free_end": (1.8, 0.0), "into": "north"}
    >>> near = Box(x0=1.5, y0=0.5, z0=0, x1=2.5, y1=1, z1=2)
    >>> far = Box(x0=1.7, y0=0.5, z0=0, x1=2.5, y1=1, z1=2)
    >>> door_sweeps(**door, box=near), door_sweeps(**door, box=far)
    (True, False)
    """
    across = into in ("north", "south")  # the closed leaf runs along x
    radius = abs(free_end[0] - hinge[0]) if across else abs(free_end[1] - hinge[1])
    towards = 1.0 if (free_end[0] >= hinge[0] if across else free_end[1] >= hinge[1]) else -1.0
    inward = 1.0 if into in ("north", "east") else -1.0
    low, high = span(box, into)
    origin = hinge[0] if across else hinge[1]
    beside = _ordered((low - origin) * towards, (high - origin) * towards)
    wall = hinge[1] if across else hinge[0]
    near, far = (box.y0, box.y1) if across else (box.x0, box.x1)
    ahead = _ordered((near - wall) * inward, (far - wall) * inward)
    if beside[1] <= tolerance or ahead[1] <= tolerance:
        return False
    nearest = math.hypot(max(beside[0], 0.0), max(ahead[0], 0.0))
    return nearest < radius - tolerance


def hull(boxes: Iterable[Box]) -> Box | None:
    """The smallest block around others; None around nothing."""
    every = tuple(boxes)
    if not every:
        return None
    return Box(
        x0=min(box.x0 for box in every), y0=min(box.y0 for box in every), z0=min(box.z0 for box in every),
        x1=max(box.x1 for box in every), y1=max(box.y1 for box in every), z1=max(box.z1 for box in every),
    )  # fmt: skip


def _ordered(first: float, second: float) -> tuple[float, float]:
    return (first, second) if first <= second else (second, first)
