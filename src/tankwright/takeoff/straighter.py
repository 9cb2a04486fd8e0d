"""A drain with a corner less: which corners can be left out where two fittings have no room for the pipe between."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from tankwright.takeoff.place_words import drain_way
from tankwright.takeoff.shapes import CRANKED, Measures, shape_of
from tankwright.units import Metre, convert

Flat = tuple[Metre, Metre]

ASIDE = 0.15
"""m that a run may be moved aside at its dropped corners and still be called the same run. Common practice, no
source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Straighter:
    """Corners left out, by number along the run, and how far the run then is from the farthest of them."""

    without: tuple[int, ...]
    aside: Metre


def straighter(points: Sequence[Flat], short: int, measures: Measures) -> Straighter | None:
    """The fewest corners left out of a run so that all its fittings have room, when the way from point `short` to
    the next is too short; None where that does not help.

    >>> small = Measures(elbow_90=0.026, elbow_45=0.0115, tee=0.026, socket=0.031)
    >>> hook = [(0.0, 3.0), (5.0, 3.0), (5.0, 0.0), (4.94, 0.0), (4.94, 0.06)]
    >>> straighter(hook, 2, small).without
    (2, 3)
    """
    inner = [one for one in (short, short + 1) if 0 < one < len(points) - 1]
    choices = [(one,) for one in inner] + ([tuple(inner)] if len(inner) > 1 else [])
    found = []
    for without in choices:
        rest = [point for index, point in enumerate(points) if index not in without]
        aside = max(min(_off(points[one], *way) for way in pairwise(rest)) for one in without)
        if aside <= ASIDE and _has_room(rest, measures):
            found.append(Straighter(without=without, aside=aside))
    return min(found, key=lambda one: (len(one.without), one.aside), default=None)


def in_plan(points: Sequence[Flat], origin: Flat, display: str) -> str:
    """Points of a run as a plan has them, to the millimetre, from the corner of their room.

    >>> in_plan([(1.0, 0.5)], (0.0, 0.0), "metric"), in_plan([(2.54, 0.0)], (0.0, 0.0), "US")
    ('[["1000 mm", "500 mm"]]', '[["100.00 in", "0.00 in"]]')
    """
    unit, places = ("in", 2) if display == "US" else ("mm", 0)
    sides = (
        [convert(one - zero, "m", unit) for one, zero in zip(point, origin, strict=True)] for point in points
    )
    shown = (", ".join(f'"{side:.{places}f} {unit}"' for side in point) for point in sides)
    return f"[{', '.join(f'[{point}]' for point in shown)}]"


def _has_room(points: Sequence[Flat], measures: Measures) -> bool:
    reaches = [measures.tee]  # the tee of a vent
    for one, here, other in zip(points, points[1:], points[2:], strict=False):
        ways = [drain_way((*here, 0.0), (*there, 0.0)) for there in (one, other)]
        shape = shape_of(ways, measures)
        if shape.missed > CRANKED:
            return False
        reaches.append(max(shape.reaches))
    reaches.append(-measures.socket)  # the outfall's own socket is not known: a piece fills one
    return all(
        math.dist(one, other) >= before + behind + measures.stub
        for (one, other), (before, behind) in zip(pairwise(points), pairwise(reaches), strict=True)
    )


def _off(point: Flat, one: Flat, other: Flat) -> Metre:
    """How far a point is from a straight way."""
    along = (other[0] - one[0], other[1] - one[1])
    whole = along[0] ** 2 + along[1] ** 2
    share = ((point[0] - one[0]) * along[0] + (point[1] - one[1]) * along[1]) / whole if whole else 0.0
    share = min(max(share, 0.0), 1.0)
    return math.dist(point, (one[0] + share * along[0], one[1] + share * along[1]))
