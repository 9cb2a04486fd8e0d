"""Dimension lines: a chain of measures along one line, level or upright, and a leader to a single thing.

A measure that is too narrow for its figure has it beside the line, lifted clear of its neighbours, with a leader.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final, Literal

from tankwright.drawing.colour import INK, QUIET
from tankwright.drawing.model import Look, Point, Polyline, Shape, Text, line, text_width

Side = Literal["over", "under", "left", "right"]
SIZE: Final = 2.3
"""mm; the figures of a dimension line."""

_THIN: Final = Look(stroke=QUIET, width=0.15)
_LINE: Final = Look(stroke=INK, width=0.18)
_TICK: Final = Look(stroke=INK, width=0.35)
_AIR: Final = 0.8  # mm between line and figure, and between two figures
_ARROW: Final = (1.8, 0.45)  # mm long, half its width
_MOST: Final = 8  # rows of lifted figures


@dataclass(frozen=True, slots=True)
class Drawn:
    """Shapes, and how far they reach out from the line, away from what is measured."""

    parts: tuple[Shape, ...]
    depth: float


def chain(
    stops: Sequence[float],
    labels: Sequence[str],
    line_at: float,
    side: Side,
    *,
    reach: float | None = None,
    size: float = SIZE,
    arrows: bool = False,
    within: tuple[float, float] | None = None,
) -> Drawn:
    """Dimension lines end to end between `stops` (page mm along the line), each with its label.

    `line_at` is where the line lies across; `side` on which side of the measured thing it lies, which is the side
    its narrow figures are lifted to. Extension lines begin a little off `reach`. `within` is how far figures may
    reach along the line.

    >>> made = chain((0.0, 20.0, 22.0), ("400", "40"), 50.0, "over")
    >>> [text.at for text in made.parts if isinstance(text, Text)]
    [(10.0, 49.2), (21.0, 46.095)]
    """
    upright = side in ("left", "right")
    outward = -1.0 if side in ("over", "left") else 1.0

    def at(along: float, across: float) -> Point:
        return (line_at + across, along) if upright else (along, line_at + across)

    parts: list[Shape] = []
    if reach is not None:
        off = 0.8 * outward
        for stop in stops:
            parts.append(line(at(stop, reach + off - line_at), at(stop, 1.2 * outward), _THIN))
    parts.append(line(at(stops[0], 0.0), at(stops[-1], 0.0), _LINE))
    parts.extend(_ends(stops, at, arrows=arrows))
    taken: list[list[tuple[float, float]]] = [[] for _ in range(_MOST + 1)]
    depth = 1.2
    for (start, end), label in zip(pairwise(stops), labels, strict=True):
        wide = text_width(label, size)
        middle = (start + end) / 2
        if wide + _AIR * (5 if arrows else 1) <= abs(end - start):
            parts.append(_figure(label, at(middle, -_AIR), size, upright))
            taken[0].append((middle - wide / 2, middle + wide / 2))
            depth = max(depth, _AIR + size if outward < 0 else 0.0)
            continue
        placed, row = _free(middle, wide, taken, within, first=1)
        taken[row].append((placed - wide / 2 - _AIR / 2, placed + wide / 2 + _AIR / 2))
        step = row * 1.35 * size
        base = -_AIR - step if outward < 0 else _AIR + 0.8 * size + (row - 1) * 1.35 * size
        near = base + 0.3 * size if outward < 0 else base - 0.85 * size
        parts.append(line(at(middle, 0.0), at(_nearest(middle, placed, wide), near), _THIN))
        parts.append(_figure(label, at(placed, base), size, upright))
        depth = max(depth, abs(base) + size)
    return Drawn(tuple(parts), depth)


def _nearest(middle: float, placed: float, wide: float) -> float:
    """Where a leader meets its figure: straight off the line where it can."""
    return min(max(middle, placed - wide / 2), placed + wide / 2)


def _free(
    middle: float,
    wide: float,
    taken: list[list[tuple[float, float]]],
    within: tuple[float, float] | None,
    *,
    first: int,
) -> tuple[float, int]:
    """The first row with room about the middle, or beside it by less than a figure's width."""
    for row in range(first, _MOST + 1):
        for aside in (0.0, 0.55, -0.55, 1.0, -1.0):
            placed = middle + aside * wide
            if within is not None:
                placed = min(max(placed, within[0] + wide / 2), within[1] - wide / 2)
            low, high = placed - wide / 2 - _AIR / 2, placed + wide / 2 + _AIR / 2
            if all(high <= start or low >= end for start, end in taken[row]):
                return placed, row
    return middle, _MOST


def _ends(stops: Sequence[float], at: Callable[[float, float], Point], *, arrows: bool) -> list[Shape]:
    """Slanting ticks at every stop, or arrowheads at both ends of every measure."""
    shapes: list[Shape] = []
    if not arrows:
        for stop in stops:
            x, y = at(stop, 0.0)
            shapes.append(line((x - 0.8, y + 0.8), (x + 0.8, y - 0.8), _TICK))
        return shapes
    long, half = _ARROW
    for start, end in pairwise(stops):
        way = 1.0 if end > start else -1.0
        inside = abs(end - start) > 2.5 * long
        for stop, towards in ((start, way), (end, -way)):
            back = stop + towards * (long if inside else -long)
            points = (at(stop, 0.0), at(back, half), at(back, -half))
            shapes.append(Polyline(points=points, closed=True, look=Look(fill=INK)))
    return shapes


def _figure(label: str, at: Point, size: float, upright: bool) -> Text:
    turn = 270.0 if upright else 0.0
    return Text(at=at, text=label, size=size, colour=INK, anchor="middle", turn=turn)


def overall(
    start: float,
    end: float,
    label: str,
    line_at: float,
    side: Side,
    *,
    reach: float | None = None,
    size: float = SIZE,
    arrows: bool = False,
) -> Drawn:
    """One dimension line.

    >>> len(overall(0.0, 50.0, "1000", 10.0, "left").parts)
    4
    """
    return chain((start, end), (label,), line_at, side, reach=reach, size=size, arrows=arrows)


def leader(
    tip: Point, elbow: Point, text: str, *, size: float = SIZE, rightwards: bool = True, bold: bool = False
) -> tuple[Shape, ...]:
    """An arrow to a thing, and what is said of it, on a level tail to the right or to the left."""
    tail = 3.0 if rightwards else -3.0
    end = (elbow[0] + tail, elbow[1])
    (x0, y0), (x1, y1) = tip, elbow
    run = ((x1 - x0) ** 2 + (y1 - y0) ** 2) ** 0.5 or 1.0
    way = ((x1 - x0) / run, (y1 - y0) / run)
    long, half = _ARROW
    back = (x0 + way[0] * long, y0 + way[1] * long)
    head = (
        tip,
        (back[0] - way[1] * half, back[1] + way[0] * half),
        (back[0] + way[1] * half, back[1] - way[0] * half),
    )
    at = (end[0] + (0.8 if rightwards else -0.8), end[1] + 0.36 * size)
    return (
        Polyline(points=(tip, elbow, end), look=_LINE),
        Polyline(points=head, closed=True, look=Look(fill=INK)),
        Text(at=at, text=text, size=size, colour=INK, anchor="start" if rightwards else "end", bold=bold),
    )
