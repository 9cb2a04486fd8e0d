"""Square and rectangular tube with rounded corners, cold formed: its area and second moment of area.

Corners count: taken as sharp, a 40x40x2 mm tube would seem 6 % stiffer than it is.
"""

from __future__ import annotations

import math
from typing import Final

from tankwright.units import Metre, MetreToTheFourth, SquareMetre

OUTER_RADIUS: Final = ((0.006, 2.0), (0.010, 2.5), (math.inf, 3.0))
"""Outer corner radius over wall, by the thickest wall it is for; the inner one is a wall less.
Source: EN 10219-2 clause on dimensions, as the printed properties of its sections bear out."""


def area(breadth: Metre, depth: Metre, wall: Metre) -> SquareMetre:
    """Of the metal.

    >>> round(area(0.05, 0.1, 0.003) * 1e4, 2)  # cm2; printed 8.41
    8.41
    """
    outer = _outer_radius(wall)
    inner = outer - wall
    return (
        breadth * depth
        - (breadth - 2.0 * wall) * (depth - 2.0 * wall)
        - (4.0 - math.pi) * (outer**2 - inner**2)
    )


def second_moment(breadth: Metre, depth: Metre, wall: Metre) -> MetreToTheFourth:
    """Of area, about the axis along the breadth.

    >>> round(second_moment(0.05, 0.1, 0.003) * 1e8, 1)  # cm4; printed 106.46
    106.5
    """
    outer = _outer_radius(wall)
    solid = breadth * depth**3 / 12.0 - 4.0 * _cut_corner(outer, depth)
    hollow_depth = depth - 2.0 * wall
    hollow = (breadth - 2.0 * wall) * hollow_depth**3 / 12.0 - 4.0 * _cut_corner(outer - wall, hollow_depth)
    return solid - hollow


def _outer_radius(wall: Metre) -> Metre:
    return wall * next(share for thickest, share in OUTER_RADIUS if wall <= thickest)


def _cut_corner(radius: Metre, depth: Metre) -> MetreToTheFourth:
    """Second moment, about the middle of the depth, of what rounding takes off one corner.

    The cut is a square less a quarter circle. Source: geometry.
    """
    square, quarter = radius**2, math.pi * radius**2 / 4.0
    # heights of the two shapes' middles above the centre of the rounding, and their own second moments about it
    square_at, quarter_at = radius / 2.0, 4.0 * radius / (3.0 * math.pi)
    square_about, quarter_about = radius**4 / 3.0, math.pi * radius**4 / 16.0
    cut = square - quarter
    if cut == 0.0:
        return 0.0
    middle = (square * square_at - quarter * quarter_at) / cut
    own = square_about - quarter_about - cut * middle**2
    return own + cut * (depth / 2.0 - radius + middle) ** 2
