"""The stress over a pane as filled contours: its numbers, its colour bar, a hole's surroundings enlarged."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tankwright.display import words
from tankwright.drawing.colour import INK, PAPER, QUIET, USE, step_for
from tankwright.drawing.isobands import Floats, Ints, isobands, thinned
from tankwright.drawing.model import (
    Bounds,
    Circle,
    Group,
    Look,
    Point,
    Polyline,
    Rectangle,
    Shape,
    Text,
    line,
    text_width,
)
from tankwright.drawing.pane_view import PaneView
from tankwright.drawing.svg import identifier
from tankwright.finding import Number
from tankwright.systems.glass_model import PaneHole, Strengths
from tankwright.units import Pascal

_EDGE: Final = 0.1  # mm
_THIN: Final = 0.04  # mm by which a contour may leave its true line
_LEAST: Final = 0.05  # mm2; smaller spots are left out
_STEP: Final = 5.2  # mm; a step of the bar
_SPOT: Final = 1.9
_CELL: Final = 1.5  # mm; how finely a field is looked through for places for its numbers
BAR: Final = 42.0  # mm right of a pane for the bar and what stands under it
INSET: Final = 34.0
_AROUND: Final = 1.8  # diameters of a hole shown on each side of its middle
_TRIED: Final = 400


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """Stress over a pane's own frame: nodes (n, 2), triangles (m, 3), a stress a node."""

    nodes: Floats
    triangles: Ints
    stress: Floats


def grid_field(tension: Floats, across: Floats, up: Floats) -> Field:
    """A field from stresses on a grid, one row for each height.

    >>> len(grid_field(np.zeros((2, 3)), np.arange(3.0), np.arange(2.0)).triangles)
    4
    """
    x, y = np.meshgrid(across, up)
    wide = len(across)
    corner = (np.arange(len(up) - 1)[:, None] * wide + np.arange(wide - 1)[None, :]).reshape(-1)
    low = np.stack([corner, corner + 1, corner + wide + 1], axis=1)
    high = np.stack([corner, corner + wide + 1, corner + wide], axis=1)
    return Field(
        nodes=np.stack([x.reshape(-1), y.reshape(-1)], axis=1),
        triangles=np.concatenate([low, high]),
        stress=tension.reshape(-1),
    )


def bands(view: PaneView, field: Field, strength: Pascal) -> tuple[Group, ...]:
    """The field as filled contours, the largest first."""
    parts = tuple(
        Polyline(points=_pairs(thinned(points, _THIN)), closed=True, look=_filled(band))
        for band, points in _loops(view, field, strength)
    )
    case = view.case
    name = identifier("field", case.kind, case.pane, *case.tanks[:1])
    return (Group(parts=parts, id=name, title="stress in the pane"),)


def _filled(band: int) -> Look:
    return Look(fill=USE[band].fill, stroke=INK, width=_EDGE)


def _pairs(points: Floats) -> tuple[Point, ...]:
    return tuple((float(x), float(y)) for x, y in points)


def _loops(view: PaneView, field: Field, strength: Pascal) -> Iterator[tuple[int, Floats]]:
    """Contours on the page, in the order they are painted."""
    page = np.array([view.at(0.0, 0.0), view.at(1.0, 0.0), view.at(0.0, 1.0)])
    nodes = page[0] + field.nodes @ (page[1:] - page[0])
    levels = tuple(step.below * strength for step in USE[:-1])
    for loop in isobands(nodes, field.triangles, field.stress, levels):
        if loop.area >= _LEAST:
            yield loop.band, loop.points


def enlarged(view: PaneView, field: Field, strength: Pascal, hole: PaneHole, at: Point) -> tuple[Shape, ...]:
    """A hole's surroundings in a square whose upper left corner lies at a point, and how much larger that is."""
    half = hole.diameter.value * _AROUND
    scale = 2.0 * half * 1000.0 / INSET
    near = replace(view, left=0.0, top=0.0, scale=scale)
    middle = near.at(hole.x, hole.y)
    moved = replace(near, left=at[0] + INSET / 2 - middle[0], top=at[1] + INSET / 2 - middle[1])
    window = (at[0], at[1], at[0] + INSET, at[1] + INSET)
    parts: list[Shape] = [Rectangle(x=at[0], y=at[1], width=INSET, height=INSET, look=Look(fill=PAPER))]
    for band, points in _loops(moved, _about(field, hole, 3.0 * half), strength):
        cut = clipped(points, window)
        if len(cut) > 2:
            parts.append(Polyline(points=_pairs(thinned(cut, _THIN)), closed=True, look=_filled(band)))
    radius = moved.mm(hole.diameter.value) / 2
    centre = (at[0] + INSET / 2, at[1] + INSET / 2)
    parts.append(Circle(centre=centre, radius=radius, look=Look(fill=PAPER, stroke=INK, width=0.3)))
    frame = Look(stroke=INK, width=0.35)
    parts.append(Rectangle(x=at[0], y=at[1], width=INSET, height=INSET, look=frame))
    return tuple(parts)


def _about(field: Field, hole: PaneHole, far: float) -> Field:
    """The triangles that reach into a square about a hole."""
    off = np.abs(field.nodes - np.array([hole.x, hole.y])).max(axis=1)
    kept = (off[field.triangles] <= far).any(axis=1)
    return replace(field, triangles=field.triangles[kept])


def clipped(points: Floats, window: Bounds) -> Floats:
    """What of a closed loop lies in an upright rectangle.

    Source: Sutherland and Hodgman (1974), Communications of the ACM 17(1), 32-42, from memory.

    >>> square = np.array([[0.0, 0.0], [2.0, 0.0], [2.0, 2.0], [0.0, 2.0]])
    >>> clipped(square, (1.0, 1.0, 3.0, 3.0)).tolist()
    [[2.0, 1.0], [2.0, 2.0], [1.0, 2.0], [1.0, 1.0]]
    """
    for axis, edge, sign in ((0, window[0], 1), (1, window[1], 1), (0, window[2], -1), (1, window[3], -1)):
        if not len(points):
            break
        off = sign * (points[:, axis] - edge)
        kept: list[Floats] = []
        for here, there, point, onward in zip(
            off.tolist(), np.roll(off, -1).tolist(), points, np.roll(points, -1, axis=0), strict=True
        ):
            if here >= 0.0:
                kept.append(point)
            if (here >= 0.0) != (there >= 0.0):
                kept.append(point + (onward - point) * (here / (here - there)))
        points = np.array(kept).reshape(-1, 2)
    return points


def values(
    view: PaneView, field: Field, strength: Pascal, display: str, taken: list[Bounds]
) -> Iterator[Shape]:
    """In every step that has room for it the stress at one place, so that a print in grey can be read."""
    low, high = field.nodes.min(axis=0), field.nodes.max(axis=0)
    wide, tall = (max(int(view.mm(float(side)) / _CELL) + 1, 4) for side in high - low)
    x, y = np.linspace(low[0], high[0], wide), np.linspace(low[1], high[1], tall)
    grid = _sampled(field, x, y)
    steps = np.digitize(grid / strength, [step.below for step in USE[:-1]])
    steps[np.isnan(grid)] = -1
    cell = min(view.mm(float(x[1] - x[0])), view.mm(float(y[1] - y[0])))
    for step in range(len(USE)):
        room = _depth(steps == step)
        for spot in np.argsort(-room, axis=None, kind="stable")[:_TRIED:3].tolist():
            row, column = divmod(spot, wide)
            label = told(float(grid[row, column]), display)
            half = text_width(label, _SPOT) / 2 + 0.3
            if room[row, column] * cell < half:
                break
            across, down = view.at(float(x[column]), float(y[row]))
            box = (across - half, down - 1.2, across + half, down + 1.2)
            if not any(hits(box, other) for other in taken):
                taken.append(box)
                yield Text(
                    at=(across, down + 0.7), text=label, size=_SPOT, colour=USE[step].text, anchor="middle"
                )
                break


def told(stress: Pascal, display: str) -> str:
    """A stress without its unit."""
    return words(Number(stress, "stress"), display).split()[0]


def hits(box: Bounds, other: Bounds) -> bool:
    """Two boxes lie over each other."""
    return box[0] < other[2] and other[0] < box[2] and box[1] < other[3] and other[1] < box[3]


def _sampled(field: Field, x: Floats, y: Floats) -> Floats:
    """The field on a grid, one row for each y; not a number where nothing is meshed (in a hole)."""
    grid = np.full((len(y), len(x)), np.nan)
    corners = field.nodes[field.triangles]
    stress = field.stress[field.triangles]
    first = np.stack(
        [np.searchsorted(axis, corners[:, :, n].min(axis=1) - 1e-9) for n, axis in enumerate((x, y))]
    )
    last = np.stack(
        [np.searchsorted(axis, corners[:, :, n].max(axis=1) + 1e-9) for n, axis in enumerate((x, y))]
    )
    for one in np.nonzero((first < last).all(axis=0))[0].tolist():  # most triangles hold no point of the grid
        columns, rows = slice(first[0, one], last[0, one]), slice(first[1, one], last[1, one])
        shares = _shares(corners[one], x[None, columns], y[rows, None])
        inside = np.minimum.reduce(shares) >= -1e-9
        here = sum(share * value for share, value in zip(shares, stress[one].tolist(), strict=True))
        grid[rows, columns] = np.where(inside, here, grid[rows, columns])
    return grid


def _shares(points: Floats, x: Floats, y: Floats) -> tuple[Floats, Floats, Floats]:
    """How much of each corner places in a triangle have; negative outside."""
    (ax, ay), (bx, by), (cx, cy) = points.tolist()
    whole = (bx - ax) * (cy - ay) - (by - ay) * (cx - ax) or np.inf
    second = ((x - ax) * (cy - ay) - (y - ay) * (cx - ax)) / whole
    third = ((bx - ax) * (y - ay) - (by - ay) * (x - ax)) / whole
    return 1.0 - second - third, second, third


def _depth(inside: NDArray[np.bool_]) -> NDArray[np.int64]:
    """How many cells each cell lies within its region, by taking its rim off again and again."""
    depth = np.zeros(inside.shape, dtype=np.int64)
    left = np.pad(inside, 1)
    while left.any():
        core = left.copy()
        core[1:-1, 1:-1] &= left[:-2, 1:-1] & left[2:, 1:-1] & left[1:-1, :-2] & left[1:-1, 2:]
        depth += core[1:-1, 1:-1]
        left = core
    return depth


def bar(at: Point, most: Pascal, strengths: Strengths, display: str) -> tuple[tuple[Shape, ...], float]:
    """The steps of colour from the least up to the one over the largest stress, what the glass is worked with marked
    on them; and the page height they end at."""
    surface, edge = strengths.working_surface.value, strengths.working_edge.value
    shown = max(USE.index(step_for(most / surface, USE)) + 1, USE.index(step_for(1.0, USE)) + 1)
    x, top = at[0], at[1] + 5.0
    unit = words(Number(surface, "stress"), display).split()[-1]
    shapes: list[Shape] = [
        Text(at=(x, at[1] + 2.2), text=unit, size=2.2, colour=INK, bold=True),
        Text(at=(x + 13.5, at[1] + 2.2), text=f"of {told(surface, display)}", size=2.2, colour=QUIET),
    ]
    bottom = top + shown * _STEP
    for number, step in enumerate(USE[:shown]):
        y = bottom - (number + 1) * _STEP
        look = Look(fill=step.fill, stroke=INK, width=0.2)
        shapes.append(Rectangle(x=x, y=y, width=5.0, height=_STEP, look=look))
        if number < shown - 1:
            shapes.append(
                Text(at=(x + 6.0, y + 0.75), text=told(step.below * surface, display), size=2.1, colour=INK)
            )
            share = words(Number(step.below, "share"), display)
            shapes.append(Text(at=(x + 13.5, y + 0.75), text=share, size=2.1, colour=QUIET))
    marks = ((edge, "edge, hole"), (surface, "surface"))
    return (*shapes, *_strengths(x, marks, lambda stress: bottom - _STEP * _on_bar(stress / surface))), bottom


def _on_bar(share: float) -> float:
    """How many steps up a share of the strength lies, evenly within its step."""
    low = 0.0
    for number, step in enumerate(USE[:-1]):
        if share < step.below:
            return number + (share - low) / (step.below - low)
        low = step.below
    return len(USE) - 0.5


def _strengths(
    x: float, marks: Sequence[tuple[Pascal, str]], height: Callable[[Pascal], float]
) -> Iterator[Shape]:
    """A heavy tick across the bar at each strength, and its name."""
    last = -10.0
    for stress, name in sorted(marks, key=lambda one: -one[0]):
        y = height(stress)
        yield line((x - 1.4, y), (x + 5.0, y), Look(stroke=INK, width=0.8))
        last = max(y, last + 2.7)
        yield Text(at=(x + 21.5, last + 0.75), text=name, size=2.1, colour=INK, bold=True)
