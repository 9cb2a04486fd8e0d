"""The one drawing model: shapes in millimetres on a page, x to the right, y downwards. Frozen.

A writer (`drawing.svg`) turns it into a file. A shape knows how it looks by plain colours and widths, so no
style sheet is needed to read it; `layer`, `classes` and `place` are handles for whoever shows it alive.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Final, Literal

Point = tuple[float, float]
Bounds = tuple[float, float, float, float]


_MOST_LINES: Final = 14  # of a text that is broken; what is longer is cut, and says so


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """Stroke and fill of a shape; widths and dashes in mm, colours as "#rrggbb" or "" for none."""

    stroke: str = ""
    width: float = 0.0
    fill: str = ""
    dash: tuple[float, ...] = ()
    round_ends: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Polyline:
    """A line through points; closed when it returns to the first."""

    points: tuple[Point, ...]
    look: Look
    closed: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Rectangle:
    """An upright rectangle from its upper left corner."""

    x: float
    y: float
    width: float
    height: float
    look: Look
    radius: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Circle:
    """A circle."""

    centre: Point
    radius: float
    look: Look


@dataclass(frozen=True, slots=True, kw_only=True)
class Arc:
    """A circular arc less than half round, from start to end; `sweep` is clockwise on the page."""

    start: Point
    end: Point
    radius: float
    sweep: bool
    look: Look


@dataclass(frozen=True, slots=True, kw_only=True)
class Hatching:
    """A rectangle hatched with slanting lines `spacing` apart: "no data"."""

    x: float
    y: float
    width: float
    height: float
    spacing: float = 1.6


@dataclass(frozen=True, slots=True, kw_only=True)
class Text:
    """One line of text. `at` is its start, middle or end on its baseline; `turn` is clockwise, in degrees."""

    at: Point
    text: str
    size: float
    colour: str
    anchor: Literal["start", "middle", "end"] = "start"
    bold: bool = False
    turn: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """Shapes that belong together: a layer, a tank, a scale bar.

    `id` is unique on the page. `title` is what a screen reader or a resting pointer says. `place` is the
    id of the thing in the room, the same in every view of it. `link` makes it a link. `data` are further
    attributes (name, value) for a live screen; a file leaves them out. `sign` is the severity, the centre and the
    size of a finding's sign, which a page draws once and shows wherever it stands.
    """

    parts: tuple[Shape, ...]
    id: str = ""
    layer: str = ""
    classes: tuple[str, ...] = ()
    title: str = ""
    place: str = ""
    link: str = ""
    data: tuple[tuple[str, str], ...] = ()
    sign: tuple[str, Point, float] | None = None


Shape = Polyline | Rectangle | Hatching | Circle | Arc | Text | Group


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawing:
    """A page of the given size in mm. `scale` is the N of 1:N for what is drawn to scale."""

    width: float
    height: float
    scale: float
    title: str
    description: str
    parts: tuple[Shape, ...] = field(default=())


def line(start: Point, end: Point, look: Look) -> Polyline:
    """A straight line.

    >>> line((0, 0), (1, 2), Look(stroke="#000000", width=0.2)).points
    ((0, 0), (1, 2))
    """
    return Polyline(points=(start, end), look=look)


# Advance widths in em of a wide sans-serif face, so that what fits here fits in narrower faces too.
# Source: rounded up by hand from a common open face, from memory; only used to judge whether a text fits.
_NARROW = dict.fromkeys("iIjl.,:;'|![]()/ ", 0.40)
_WIDE = dict.fromkeys("mwMW%@—≥≤", 0.98)


def text_width(text: str, size: float, *, bold: bool = False) -> float:
    """An upper estimate of a text's width in mm.

    >>> 4.0 < text_width("B3", 3.0) < 5.0
    True
    """
    return _ems(text) * size * (1.1 if bold else 1.0)


@lru_cache(maxsize=8192)  # the same names and figures are tried at several sizes, in every drawing
def _ems(text: str) -> float:
    return sum(
        _NARROW.get(letter) or _WIDE.get(letter) or (0.70 if letter.isupper() else 0.64) for letter in text
    )


def fitting_size(text: str, width: float, *, most: float, least: float = 0.0, bold: bool = False) -> float:
    """The largest text size up to `most` at which the text is no wider than `width`; 0 when below `least`.

    >>> fitting_size("B3", 100.0, most=3.0), fitting_size("a long name", 3.0, most=3.0, least=1.5)
    (3.0, 0.0)
    """
    natural = text_width(text, 1.0, bold=bold)
    size = most if natural == 0 else min(most, max(width, 0.0) / natural)
    return size if size >= least else 0.0


def lines_of(text: str, width: float, size: float, *, bold: bool = False) -> tuple[str, ...]:
    """A text broken between its words into lines no wider than `width`; a longer word stands alone.

    >>> lines_of("one two three", 12.0, 2.6)
    ('one two', 'three')
    """
    made: list[str] = []
    for word in text.split():
        longer = f"{made[-1]} {word}" if made else word
        if made and text_width(longer, size, bold=bold) <= width:
            made[-1] = longer
        else:
            made.append(word)
    if len(made) > _MOST_LINES:
        made = [*made[: _MOST_LINES - 1], "…"]
    return tuple(made) or ("",)


def shifted(shape: Shape, x: float, y: float) -> Shape:
    """The same shape moved on the page.

    >>> shifted(line((0, 0), (1, 0), Look()), 2, 3).points
    ((2, 3), (3, 3))
    """

    def moved(point: Point) -> Point:
        return point[0] + x, point[1] + y

    if isinstance(shape, Group):
        sign = None if shape.sign is None else (shape.sign[0], moved(shape.sign[1]), shape.sign[2])
        return replace(shape, parts=tuple(shifted(part, x, y) for part in shape.parts), sign=sign)
    if isinstance(shape, Polyline):
        return replace(shape, points=tuple(moved(point) for point in shape.points))
    if isinstance(shape, (Rectangle, Hatching)):
        return replace(shape, x=shape.x + x, y=shape.y + y)
    if isinstance(shape, Circle):
        return replace(shape, centre=moved(shape.centre))
    if isinstance(shape, Arc):
        return replace(shape, start=moved(shape.start), end=moved(shape.end))
    return replace(shape, at=moved(shape.at))


def walk(parts: tuple[Shape, ...]) -> Iterator[Shape]:
    """Every shape and group, outermost first."""
    for part in parts:
        yield part
        if isinstance(part, Group):
            yield from walk(part.parts)


def bounds(shape: Shape) -> Bounds:
    """Left, top, right, bottom of a shape without its groups' titles; the width of its stroke counted in."""
    if isinstance(shape, Group):
        return union(tuple(bounds(part) for part in shape.parts))
    if isinstance(shape, Text):
        return _text_bounds(shape)
    if isinstance(shape, Hatching):
        return shape.x, shape.y, shape.x + shape.width, shape.y + shape.height
    half = shape.look.width / 2 if shape.look.stroke else 0.0
    if isinstance(shape, Rectangle):
        corners: tuple[Point, ...] = ((shape.x, shape.y), (shape.x + shape.width, shape.y + shape.height))
    elif isinstance(shape, Circle):
        (x, y), r = shape.centre, shape.radius
        corners = ((x - r, y - r), (x + r, y + r))
    elif isinstance(shape, Arc):  # a quarter circle or less lies within the box of its ends
        corners = (shape.start, shape.end)
    else:
        corners = shape.points
    xs, ys = [x for x, _ in corners], [y for _, y in corners]
    return min(xs) - half, min(ys) - half, max(xs) + half, max(ys) + half


def union(boxes: tuple[Bounds, ...]) -> Bounds:
    """The box around boxes; (0, 0, 0, 0) around none.

    >>> union(((0, 0, 1, 1), (2, -1, 3, 0)))
    (0, -1, 3, 1)
    """
    if not boxes:
        return 0.0, 0.0, 0.0, 0.0
    left, top, right, bottom = zip(*boxes, strict=True)
    return min(left), min(top), max(right), max(bottom)


def _text_bounds(shape: Text) -> Bounds:
    width = text_width(shape.text, shape.size, bold=shape.bold)
    left = {"start": 0.0, "middle": -width / 2, "end": -width}[shape.anchor]
    box = (left, -0.8 * shape.size, left + width, 0.25 * shape.size)
    x, y = shape.at
    turn = round(shape.turn) % 360
    if turn == 270:  # reads upwards
        box = (box[1], -box[2], box[3], -box[0])
    elif turn == 90:
        box = (-box[3], box[0], -box[1], box[2])
    return x + box[0], y + box[1], x + box[2], y + box[3]
