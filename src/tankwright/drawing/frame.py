"""From metres in the room to millimetres on the page, and the dimension lines drawn there."""

from __future__ import annotations

from dataclasses import dataclass

from tankwright.display import words
from tankwright.drawing.colour import INK, QUIET
from tankwright.drawing.model import Look, Point, Shape, Text, line, text_width
from tankwright.finding import Number
from tankwright.room.model import Box

DIMENSION = Look(stroke=QUIET, width=0.18)


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """Where a view stands on the page: the room point (`west`, `north`) lies at page point (`left`, `top`).

    `readable` is the smallest writing in mm that is worth its place, where that is more than a print needs.

    >>> Frame(left=10, top=20, west=0.0, north=3.4, scale=25).at(0.5, 3.4)
    (30.0, 20.0)
    """

    left: float
    top: float
    west: float
    north: float
    scale: float
    readable: float = 0.0

    def mm(self, metres: float) -> float:
        """A length on the page."""
        return metres * 1000 / self.scale

    def at(self, x: float, y: float) -> Point:
        """A point of the plan, or of a front with y as height, on the page."""
        return self.left + self.mm(x - self.west), self.top + self.mm(self.north - y)

    def corner(self, box: Box) -> tuple[float, float, float, float]:
        """Left, top, width, height on the page of a block seen from above."""
        x, y = self.at(box.x0, box.y1)
        return x, y, self.mm(box.x1 - box.x0), self.mm(box.y1 - box.y0)


def length_words(metres: float, display: str) -> str:
    """A length for a dimension line."""
    return words(Number(metres, "length"), display)


def dimension(
    start: Point, end: Point, label: str, *, size: float = 2.4, at: float = 0.5
) -> tuple[Shape, ...]:
    """A dimension line, level or upright, with slanting ticks, its length written at a share of its way."""
    (x0, y0), (x1, y1) = start, end
    level = abs(y1 - y0) < abs(x1 - x0)
    tick = 0.9
    look = Look(stroke=INK, width=0.3)
    ticks = tuple(line((x - tick, y + tick), (x + tick, y - tick), look) for x, y in (start, end))
    middle = (x0 + (x1 - x0) * at, y0 + (y1 - y0) * at)
    room = max(abs(x1 - x0), abs(y1 - y0))
    fits = text_width(label, size) + 2 < room
    if level:
        spot = (middle[0], middle[1] - 0.8)
        text = Text(at=spot, text=label, size=size, colour=INK, anchor="middle")
    else:
        spot = (middle[0] - 0.8, middle[1])
        text = Text(at=spot, text=label, size=size, colour=INK, anchor="middle", turn=270)
    if not fits:
        text = Text(at=(middle[0] + 1.2, middle[1] - 0.8), text=label, size=size, colour=INK)
    return (line(start, end, DIMENSION), *ticks, text)
