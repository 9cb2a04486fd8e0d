"""The terms of Levy's series for a plate under standing water: what `plates_levy` is built of.

Along x every term is a sine that vanishes at both upright edges. Up y it is a particular answer to the load and four
unloaded ones that die away from the lower and the upper edge, so nothing overflows however tall the pane is. The water
line may lie anywhere: the particular answer is smooth through it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from tankwright.units import Dimensionless, Metre, Newton, Pascal

Top = Literal["free", "held"]
"""The top edge of a pane: nothing holds it, or something keeps it in its place along its whole length."""

Floats = NDArray[np.float64]

_TERMS: Final = 40
_MOST_TERMS: Final = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class Shape:
    """A plate held on its upright edges and at its foot."""

    length: Metre
    height: Metre
    thickness: Metre
    stiffness: Pascal
    poisson: Dimensionless
    top: Top

    @property
    def rigidity(self) -> float:
        """N m, how hard a strip of it is to bend."""
        return self.stiffness * self.thickness**3 / (12.0 * (1.0 - self.poisson**2))


@dataclass(frozen=True, slots=True, kw_only=True)
class Water:
    """What pushes: still water up to `head`, `gradient` Pa more for each metre down, and `pressure` all over."""

    head: Metre
    gradient: float
    pressure: Pascal

    def push(self, shape: Shape) -> Newton:
        """All of it on a plate."""
        return shape.length * (self.pressure * shape.height + 0.5 * self.gradient * self.head**2)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Series:
    """The solved terms: `waves` pi m/length of the odd m, `scale` the load of a term over its stiffness, `parts` how
    much there is of the four unloaded answers of each term (terms, 4)."""

    shape: Shape
    water: Water
    waves: Floats
    scale: Floats
    parts: Floats


def solved_series(shape: Shape, water: Water) -> Series:
    """The terms that fit a plate's load and its edges.

    Source: Levy's method, S. Timoshenko and S. Woinowsky-Krieger, Theory of Plates and Shells (1959).

    >>> pane = Shape(length=0.6, height=0.38, thickness=0.006, stiffness=70e9, poisson=0.23, top="held")
    >>> series = solved_series(pane, Water(head=0.38, gradient=9789.0, pressure=0.0))
    >>> round(float(deflections(series, np.array([0.3]), np.array([0.19]))[0, 0]) * 1000, 2)
    0.24
    """
    # a little water at the foot of a long pane needs waves as short as the water is high
    wanted = _TERMS if water.head == 0.0 else min(max(_TERMS, 8.0 * shape.length / water.head), _MOST_TERMS)
    orders = np.arange(1.0, 2.0 * math.floor(wanted), 2.0, dtype=np.float64)
    waves: Floats = math.pi / shape.length * orders
    scale: Floats = 4.0 / (math.pi * shape.rigidity) / (orders * waves**4)
    ends = np.array([0.0, shape.height])
    given = _particular(waves, water, ends)
    free = np.stack([_unloaded(waves, shape.height, ends, one) for one in np.eye(4)], axis=-1)
    rules, missing = _edge_rules(shape, given, free)
    parts: Floats = np.asarray(np.linalg.solve(rules, -missing[..., None])[..., 0], dtype=np.float64)
    return Series(shape=shape, water=water, waves=waves, scale=scale, parts=parts)


def _edge_rules(shape: Shape, given: Floats, free: Floats) -> tuple[Floats, Floats]:
    """Four conditions a term: on the rows of derivatives by wave (0 to 3) at the lower [0] and upper [1] edge."""
    nu = shape.poisson

    def held(rows: Floats, end: int) -> list[Floats]:
        return [rows[0, end], rows[2, end]]

    def loose(rows: Floats, end: int) -> list[Floats]:
        # no bending moment, no push, at an edge nobody holds
        return [rows[2, end] - nu * rows[0, end], rows[3, end] - (2.0 - nu) * rows[1, end]]

    upper = held if shape.top == "held" else loose
    rules = np.stack([*held(free, 0), *upper(free, 1)], axis=1)
    wanted = np.stack([*held(given, 0), *upper(given, 1)], axis=1)
    return rules, wanted


def _particular(waves: Floats, water: Water, y: Floats) -> Floats:
    """The particular answer over its scale and its derivatives by wave*y: (4, heights, terms).

    Below the line the load falls linearly and above it stays: |s| of it is smoothed by (3 + t) exp(-t) / (4 wave),
    t = wave |s|, which solves the unloaded plate on either side and makes all up to the third derivative continuous.
    """
    above = (y - water.head)[:, None]
    side = np.where(above < 0.0, -1.0, 1.0)
    t = waves * np.abs(above)
    soft = water.gradient * np.exp(-t) / (4.0 * waves)
    wet = np.where(above < 0.0, water.gradient, 0.0)
    return np.stack(
        [
            water.pressure - wet * above + soft * (3.0 + t),
            -wet / waves - side * soft * (2.0 + t),
            soft * (1.0 + t),
            -side * soft * t,
        ]
    )


def _unloaded(waves: Floats, height: float, y: Floats, parts: Floats) -> Floats:
    """Two answers that die away from the lower edge and two from the upper one, by `parts`: (4, heights, terms)."""
    up = waves * y[:, None]
    down = waves * height - up
    from_below, from_above = np.exp(-up), np.exp(-down)
    first, second, third, fourth = parts.T
    below, above = (first + second * up) * from_below, (third + fourth * down) * from_above
    # each derivative takes one more of the plain exponential away; from below it turns the sign as well
    less, more = second * from_below, fourth * from_above
    return np.stack(
        [
            below + above,
            less - below + above - more,
            below - 2.0 * less + above - 2.0 * more,
            3.0 * less - below + above - 3.0 * more,
        ]
    )


def _rows(series: Series, y: Floats) -> Floats:
    """The answer up the height and its derivatives by wave*y, in metres: (4, heights, terms)."""
    unloaded = _unloaded(series.waves, series.shape.height, y, series.parts)
    return np.asarray((_particular(series.waves, series.water, y) + unloaded) * series.scale)


def deflections(series: Series, x: Floats, y: Floats) -> Floats:
    """How far the plate bends over a grid, one row for each y; m.

    Source: Levy's method, S. Timoshenko and S. Woinowsky-Krieger, Theory of Plates and Shells (1959).

    >>> pane = Shape(length=0.6, height=0.38, thickness=0.006, stiffness=70e9, poisson=0.23, top="held")
    >>> series = solved_series(pane, Water(head=0.38, gradient=9789.0, pressure=0.0))
    >>> round(float(deflections(series, np.array([0.3]), np.array([0.19]))[0, 0]) * 1000, 2)
    0.24
    """
    return np.asarray(_rows(series, y)[0] @ np.sin(np.outer(series.waves, x)))


def principal_stresses(series: Series, x: Floats, y: Floats) -> tuple[Floats, Floats]:
    """Both principal stresses of the dry face over a grid, the more positive first; Pa.

    Source: Levy's method, S. Timoshenko and S. Woinowsky-Krieger, Theory of Plates and Shells (1959).

    >>> pane = Shape(length=0.6, height=0.38, thickness=0.006, stiffness=70e9, poisson=0.23, top="held")
    >>> series = solved_series(pane, Water(head=0.38, gradient=9789.0, pressure=0.0))
    >>> round(float(principal_stresses(series, np.array([0.3]), np.array([0.15]))[0][0, 0]) / 1e6, 2)
    3.94
    """
    shape = series.shape
    value, slope, bow, _ = _rows(series, y) * series.waves**2
    phase = np.outer(series.waves, x)
    sines, cosines = np.sin(phase), np.cos(phase)
    to_stress = 6.0 * shape.rigidity / shape.thickness**2
    along = (value - shape.poisson * bow) @ sines
    across = (shape.poisson * value - bow) @ sines
    twist = (1.0 - shape.poisson) * (slope @ cosines)
    middle, radius = 0.5 * (along + across), np.hypot(0.5 * (along - across), twist)
    return to_stress * (middle + radius), to_stress * (middle - radius)


def edge_tensions(series: Series, x: Floats) -> Floats:
    """The tension along a free top edge, on the face where it is one; Pa.

    Along the edge, not principal: the twist of thin-plate theory dies out within about a thickness of a free edge, and
    the flaws of a cut edge lie across it.

    Source: Levy's method, S. Timoshenko and S. Woinowsky-Krieger, Theory of Plates and Shells (1959).

    >>> pane = Shape(length=0.6, height=0.38, thickness=0.006, stiffness=70e9, poisson=0.23, top="held")
    >>> series = solved_series(pane, Water(head=0.38, gradient=9789.0, pressure=0.0))
    >>> edge_tensions(series, np.array([0.3])).shape
    (1,)
    """
    shape = series.shape
    value, _, bow, _ = _rows(series, np.array([shape.height])) * series.waves**2
    along = (value - shape.poisson * bow) @ np.sin(np.outer(series.waves, x))
    return np.asarray(6.0 * shape.rigidity / shape.thickness**2 * np.abs(along[0]))


def tensions(series: Series, x: Floats, y: Floats) -> Floats:
    """The larger principal tension of both faces over a grid: what is pressed on one is pulled as hard on the other.

    Source: Levy's method, S. Timoshenko and S. Woinowsky-Krieger, Theory of Plates and Shells (1959).

    >>> pane = Shape(length=0.6, height=0.38, thickness=0.006, stiffness=70e9, poisson=0.23, top="held")
    >>> series = solved_series(pane, Water(head=0.38, gradient=9789.0, pressure=0.0))
    >>> round(float(tensions(series, np.array([0.3]), np.array([0.15]))[0, 0]) / 1e6, 2)
    3.94
    """
    first, second = principal_stresses(series, x, y)
    return np.maximum(first, -second)


def pushes(series: Series) -> tuple[Newton, Newton, Newton, Newton]:
    """What the lower edge, the top, both sides and the corners push back.

    The terms left out are strips that carry their load straight to the sides; they are given to the sides whole.

    Source: Levy's method, S. Timoshenko and S. Woinowsky-Krieger, Theory of Plates and Shells (1959).

    >>> pane = Shape(length=0.6, height=0.38, thickness=0.006, stiffness=70e9, poisson=0.23, top="held")
    >>> series = solved_series(pane, Water(head=0.38, gradient=9789.0, pressure=0.0))
    >>> len(pushes(series))
    4
    """
    shape, waves = series.shape, series.waves
    nu, rigidity = shape.poisson, shape.rigidity
    ends = _rows(series, np.array([0.0, shape.height])) * np.array([waves**n for n in range(4)])[:, None]
    shear = 2.0 * rigidity * (ends[3] - (2.0 - nu) * waves**2 * ends[1]) / waves
    corners = 4.0 * (1.0 - nu) * rigidity * waves * (ends[1, 1] - ends[1, 0])
    area = _area_under(series)
    sides = 2.0 * rigidity * waves * (waves**2 * area - (2.0 - nu) * (ends[1, 1] - ends[1, 0]))
    left_out = series.water.push(shape) * (1.0 - float((8.0 / (waves * shape.length) ** 2).sum()))
    return (
        float(-shear[0].sum()),
        float(shear[1].sum()),
        float(sides.sum()) + left_out,
        float(corners.sum()),
    )


def _area_under(series: Series) -> Floats:
    """The answer of each term summed up the height."""
    waves, head, height = series.waves, series.water.head, series.shape.height
    whole, dry = waves * height, waves * (height - head)
    wet = waves * head
    soft = 8.0 - (4.0 + wet) * np.exp(-wet) - (4.0 + dry) * np.exp(-dry)
    given = series.water.pressure * height + series.water.gradient * (
        0.5 * head * head + soft / (4.0 * waves**2)
    )
    gone = np.exp(-whole)
    plain, rising = (1.0 - gone) / waves, (1.0 - (1.0 + whole) * gone) / waves
    free = series.parts * np.stack([plain, rising, plain, rising], axis=-1)
    return np.asarray((given + free.sum(axis=-1)) * series.scale)
