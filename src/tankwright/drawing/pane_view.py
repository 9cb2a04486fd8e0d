"""A pane on a page as one sees it from outside: where its points lie, its edges, its water line, its holes.

The back pane and the left end are mirrored against the tank's front, the base is seen from underneath with its back
edge below: the same way round as the drill sheets.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from tankwright.drawing.colour import INK, LINE, PAPER, QUIET, TEAL
from tankwright.drawing.dimensions import overall
from tankwright.drawing.measured import measured_off
from tankwright.drawing.model import (
    Bounds,
    Circle,
    Look,
    Point,
    Polyline,
    Rectangle,
    Shape,
    Text,
    fitting_size,
    line,
)
from tankwright.systems.glass_model import PaneCase
from tankwright.takeoff.panes import LEFT_EDGE, LOWER_EDGE
from tankwright.units import Metre

CAUTION: Final = (
    "A screening. Drilled annealed glass lies outside the published standards of glass; flange clamping, the weight on "
    "a fitting, scratches, chips of the drill and silicone are not in it. The maker's rating of the tank, the local "
    "code and an engineer stand before it."
)
SCALES: Final = (1, 2, 2.5, 4, 5, 6, 7.5, 10, 12.5, 15, 20, 25, 30, 40, 50)
_MIRRORED: Final = ("back", "left")
_WIDER: Final = {"left": "left end", "right": "right end"}
_OPPOSITE: Final = {"left": "right", "right": "left", "front": "back", "back": "front", "top": "bottom"}
_CENTRE: Final = Look(stroke=INK, width=0.15, dash=(2.4, 0.7, 0.5, 0.7))

SIDE: Final = 15.0  # mm left of a pane for its height and the water's name
UNDER: Final = 9.5  # mm under it for its width and the names of its ends


@dataclass(frozen=True, slots=True, kw_only=True)
class PaneView:
    """A pane's outside edges on the page, at 1:`scale`; `left` and `top` are the page's corner of the pane."""

    case: PaneCase
    left: float
    top: float
    scale: float

    @property
    def width(self) -> float:
        """Its width on the page."""
        return self.case.outside[0] * 1000.0 / self.scale

    @property
    def height(self) -> float:
        """Its height on the page."""
        return self.case.outside[1] * 1000.0 / self.scale

    @property
    def box(self) -> Bounds:
        """Left, top, right, bottom."""
        return self.left, self.top, self.left + self.width, self.top + self.height

    @property
    def mirrored(self) -> bool:
        """True where left and right are swapped against the front of the tank."""
        return self.case.pane in _MIRRORED

    def mm(self, length: Metre) -> float:
        """A length on the page."""
        return length * 1000.0 / self.scale

    def at(self, x: Metre, y: Metre) -> Point:
        """A point of the pane's own frame on the page."""
        across, up = self.mm(x + self.case.offset[0]), self.mm(y + self.case.offset[1])
        level = self.left + (self.width - across if self.mirrored else across)
        return level, self.top + (up if self.case.pane == "base" else self.height - up)


def scale_for(case: PaneCase, room: tuple[float, float]) -> float:
    """The largest usual scale at which a pane fits so many mm.

    >>> from tankwright.drawing.pane_view import SCALES
    >>> SCALES[0], SCALES[-1]
    (1, 50)
    """
    least = max(case.outside[0] * 1000.0 / room[0], case.outside[1] * 1000.0 / room[1])
    return next((one for one in SCALES if one >= least), least)


def pane_name(case: PaneCase) -> str:
    """A pane in words: "long90, back pane", "cube, left end"."""
    return f"{case.kind}, {_WIDER.get(case.pane) or f'{case.pane} pane' if case.pane != 'base' else 'base'}"


def how_held(case: PaneCase) -> str:
    """How its edges are held, in words."""
    if case.pane == "base":
        return "lies on its bed" if case.held == "bed" else "held along its four edges"
    top = {
        "free": "free along the top",
        "held": "held along the top",
        "cross": "its top held where strips of glass cross the tank",
        "euro": "a strip of glass along its top",
    }.get(case.held, "")
    return f"held at both ends and below, {top}" if top else "held at both ends and below"


def outline(view: PaneView, display: str) -> Iterator[Shape]:
    """The pane's edges and size, and which ends of the tank they are."""
    case = view.case
    left, top, right, bottom = view.box
    yield Rectangle(
        x=left, y=top, width=view.width, height=view.height, look=Look(stroke=LINE, width=0.45)
    )  # fmt: skip
    wide, tall = (measured_off(one, display) for one in case.outside)
    ends = LEFT_EDGE[case.pane], _OPPOSITE[LEFT_EDGE[case.pane]]
    if display != "US":
        wide, tall = f"{wide} mm", f"{tall} mm"
    yield from overall(left, right, wide, bottom + 4.6, "under", reach=bottom, size=2.2).parts
    yield from overall(bottom, top, tall, left - 9.5, "left", reach=left, size=2.2).parts
    room = view.width / (3 if case.pane == "base" else 2) - 1.0
    for end, x in zip(ends, (left, right), strict=True):
        said = f"the tank's {end}"
        size = fitting_size(said, room, most=2.1)
        yield Text(
            at=(x, bottom + 8.6), text=said, size=size, colour=QUIET, anchor="start" if x == left else "end"
        )
    if case.pane == "base":
        lower = f"the tank's {LOWER_EDGE[case.pane]}"
        size = fitting_size(lower, room, most=2.1)
        yield Text(
            at=((left + right) / 2, bottom + 8.6), text=lower, size=size, colour=QUIET, anchor="middle"
        )


def water_line(view: PaneView) -> Iterator[Shape]:
    """Still water, as a line over the pane and its name beside it; none on a base."""
    case = view.case
    if case.pane == "base" or not 0.0 < case.head < case.height + case.offset[1]:
        return
    left, _, right, _ = view.box
    y = view.at(0.0, case.head)[1]
    yield line((left, y), (right, y), Look(stroke=PAPER, width=0.9))
    yield line((left - 1.5, y), (right, y), Look(stroke=TEAL, width=0.4))
    yield Text(at=(left - 2.0, y + 0.7), text="water", size=1.9, colour=TEAL, anchor="end")


def drilled(
    view: PaneView, holes: Sequence[tuple[Metre, Metre, Metre, Metre | None, bool]]
) -> Iterator[Shape]:
    """Holes as rings of paper with their centre lines: x, y, diameter, flange (None: not said), guessed size."""
    for x, y, diameter, flange, guessed in holes:
        centre, radius = view.at(x, y), view.mm(diameter) / 2
        if flange is not None:
            look = Look(stroke=TEAL, width=0.25, dash=(1.2, 0.7))
            yield Circle(centre=centre, radius=view.mm(flange) / 2, look=look)
        dash = (1.0, 0.6) if guessed else ()
        yield Circle(
            centre=centre, radius=max(radius, 0.3), look=Look(fill=PAPER, stroke=INK, width=0.3, dash=dash)
        )
        far = max(radius + 1.2, 1.6)
        (cx, cy) = centre
        yield line((cx - far, cy), (cx + far, cy), _CENTRE)
        yield line((cx, cy - far), (cx, cy + far), _CENTRE)


def braces(view: PaneView) -> Iterator[Shape]:
    """Where strips of glass hold the top edge: heavy stretches on it, or all along it."""
    case = view.case
    if case.brace is None or case.pane == "base" or case.held not in ("cross", "euro"):
        return
    left, top, right, _ = view.box
    look = Look(stroke=INK, width=1.3)
    if case.held == "euro":
        yield line((left, top), (right, top), look)
        return
    width, count = case.brace.width.value, case.brace.count
    for number in range(1, count + 1):
        middle = case.length * number / (count + 1)
        ends = (view.at(middle - width / 2, 0.0)[0], view.at(middle + width / 2, 0.0)[0])
        yield line((ends[0], top), (ends[1], top), look)


def ring(number: int, centre: Point) -> Iterator[Shape]:
    """A number in a ring."""
    yield Circle(centre=centre, radius=1.75, look=Look(fill=PAPER, stroke=INK, width=0.3))
    yield Text(
        at=(centre[0], centre[1] + 0.75), text=str(number), size=2.1, colour=INK, anchor="middle", bold=True
    )


def cross(at: Point, size: float = 1.1) -> tuple[Polyline, ...]:
    """A small slanting cross at the very place."""
    x, y = at
    look = Look(stroke=INK, width=0.35)
    return (
        line((x - size, y - size), (x + size, y + size), look),
        line((x - size, y + size), (x + size, y - size), look),
    )
