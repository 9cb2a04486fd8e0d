"""Directions in a room: what is left and right of someone who stands before a rack."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from tankwright.room.model import Box, Wall
from tankwright.units import Metre

Flat = tuple[Metre, Metre]

OUTWARD: Final[dict[Wall, Flat]] = {
    "north": (0.0, 1.0),
    "south": (0.0, -1.0),
    "east": (1.0, 0.0),
    "west": (-1.0, 0.0),
}
OPPOSITE: Final[dict[Wall, Wall]] = {"north": "south", "south": "north", "east": "west", "west": "east"}


@dataclass(frozen=True, slots=True)
class Frame:
    """A rack's own directions, from its left back corner: to the right along the front, and to the front."""

    corner: Flat
    right: Flat
    front: Flat

    def point(self, along: Metre, from_back: Metre) -> Flat:
        """A point of the rack in the frame of the plan.

        >>> frame_of(0.0, 0.0, 2.0, 0.5, "south").point(0.3, 0.1)
        (0.3, 0.4)
        """
        corner, right, front = self.corner, self.right, self.front
        return (
            corner[0] + along * right[0] + from_back * front[0],
            corner[1] + along * right[1] + from_back * front[1],
        )

    def along(self, x: Metre, y: Metre) -> Metre:
        """How far a point lies from the left end, measured along the front."""
        return (x - self.corner[0]) * self.right[0] + (y - self.corner[1]) * self.right[1]

    def from_back(self, x: Metre, y: Metre) -> Metre:
        """How far a point lies in front of the back edge."""
        return (x - self.corner[0]) * self.front[0] + (y - self.corner[1]) * self.front[1]


def frame_of(x0: Metre, y0: Metre, x1: Metre, y1: Metre, facing: Wall) -> Frame:
    """The frame of a rack that stands on a rectangle and is worked from the side it faces.

    Someone before a rack that faces south looks north, so its left end is the western one; facing north it is
    the eastern one, facing west the northern one, facing east the southern one.

    >>> [frame_of(0.0, 0.0, 2.0, 1.0, wall).corner for wall in ("south", "north", "west", "east")]
    [(0.0, 1.0), (2.0, 0.0), (2.0, 1.0), (0.0, 0.0)]
    """
    front = OUTWARD[facing]
    right = (-front[1], front[0])  # looking against `front`, the right hand is a quarter turn to the right
    corner = (x0 if right[0] + front[0] > 0 else x1, y0 if right[1] + front[1] > 0 else y1)
    return Frame(corner, right, front)


def box_between(first: Flat, second: Flat, bottom: Metre, top: Metre) -> Box:
    """The block over two opposite corners."""
    (ax, ay), (bx, by) = first, second
    return Box(
        x0=ax if ax < bx else bx,
        y0=ay if ay < by else by,
        z0=bottom,
        x1=bx if ax < bx else ax,
        y1=by if ay < by else ay,
        z1=top,
    )
