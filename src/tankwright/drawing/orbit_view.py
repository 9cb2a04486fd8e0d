"""From the room to the page when it is seen from aslant: a parallel projection along one direction.

Parallel, not perspective: upright edges stay upright, equal tanks stay equal wherever they stand, one scale holds for
everything square to the view, and whether one block can hide another follows from their sides alone
(`drawing.orbit_order`). Source: descriptive geometry, orthographic axonometry; from memory.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from tankwright.drawing.model import Point
from tankwright.room.model import Box, Place
from tankwright.units import Radian

LOWEST: Final = math.radians(5.0)  # flatter, and a rack hides the one behind it wholly
HIGHEST: Final = math.radians(90.0)
_STRAIGHT: Final = 1e-9  # a side seen more edge-on than this is not seen


@dataclass(frozen=True, slots=True)
class View:
    """A direction of looking and where it lands on the page.

    `towards` points from the room to the viewer; `right` and `up` span the page. Room point (0, 0, 0) lies at
    (`left`, `top`) on the page, and a metre square to the view takes `mm` millimetres.
    """

    towards: Place
    right: Place
    up: Place
    mm: float
    left: float = 0.0
    top: float = 0.0

    def at(self, x: float, y: float, z: float) -> Point:
        """A point of the room on the page."""
        right, up = self.right, self.up
        return (
            self.left + self.mm * (x * right[0] + y * right[1]),
            self.top - self.mm * (x * up[0] + y * up[1] + z * up[2]),
        )

    def depth(self, x: float, y: float, z: float) -> float:
        """How near the viewer a point lies, in metres: more is nearer."""
        towards = self.towards
        return x * towards[0] + y * towards[1] + z * towards[2]

    def near(self, box: Box) -> tuple[float, float]:
        """Of a block's two sides across x, and across y, the one turned to the viewer."""
        return (
            box.x1 if self.towards[0] >= 0 else box.x0,
            box.y1 if self.towards[1] >= 0 else box.y0,
        )

    def far(self, box: Box) -> tuple[float, float]:
        """The sides turned away."""
        return (
            box.x0 if self.towards[0] >= 0 else box.x1,
            box.y0 if self.towards[1] >= 0 else box.y1,
        )

    @property
    def sees_across(self) -> tuple[bool, bool]:
        """Whether sides across x and sides across y are seen at all, or only edge-on."""
        return abs(self.towards[0]) > _STRAIGHT, abs(self.towards[1]) > _STRAIGHT

    def outline(self, box: Box) -> tuple[Point, ...]:
        """The outline of a block on the page: six corners, or four when one looks straight at a side."""
        (nx, ny), (fx, fy) = self.near(box), self.far(box)
        low, high = box.z0, box.z1
        across_x, across_y = self.sees_across
        rim: tuple[Place, ...]
        if across_x and across_y:
            rim = (
                (nx, fy, low),
                (nx, ny, low),
                (fx, ny, low),
                (fx, ny, high),
                (fx, fy, high),
                (nx, fy, high),
            )
        elif across_x:
            rim = ((nx, box.y0, low), (nx, box.y1, low), (fx, box.y1, high), (fx, box.y0, high))
        else:
            rim = ((box.x0, ny, low), (box.x1, ny, low), (box.x1, fy, high), (box.x0, fy, high))
        return tuple(self.at(*corner) for corner in rim)


def view_from(azimuth: Radian, elevation: Radian, mm: float = 1.0) -> View:
    """The view of someone who stands in the direction `azimuth` of the room, a compass bearing clockwise from
    north, and looks down on it at `elevation` over the horizon.

    The elevation is kept between `LOWEST` and straight down; a number that is not finite reads as the usual view.

    >>> from_south = view_from(math.pi, math.radians(30))
    >>> [round(part, 3) + 0.0 for part in from_south.towards]
    [0.0, -0.866, 0.5]
    >>> [round(part, 3) + 0.0 for part in from_south.at(1.0, 0.0, 0.0)]  # east lies to the right
    [1.0, 0.0]
    """
    if not (math.isfinite(azimuth) and math.isfinite(elevation)):
        azimuth, elevation = USUAL
    elevation = min(max(elevation, LOWEST), HIGHEST)
    east, north = _exact(math.sin(azimuth)), _exact(math.cos(azimuth))
    flat, rise = _exact(math.cos(elevation)), math.sin(elevation)
    return View(
        towards=(east * flat, north * flat, rise),
        right=(-north, east, 0.0),
        up=(-east * rise, -north * rise, flat),
        mm=mm,
    )


def _exact(part: float) -> float:
    """Straight along a wall means straight."""
    return 0.0 if abs(part) < _STRAIGHT else part


USUAL: Final[tuple[Radian, Radian]] = (math.radians(150.0), math.radians(32.0))
"""The view one starts with: from the south-south-east, well above the racks. Own choice."""
