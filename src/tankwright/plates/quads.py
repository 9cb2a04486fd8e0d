"""A plate without holes, by the rectangles of Bogner, Fox and Schmit: cubic both ways, with the twist as an unknown.

A grid of them is the product of two rows of cubic beams, and so are its equations: every integral over the plate is
one along times one up. That is exact however long and thin a rectangle is.

Source: F. K. Bogner, R. L. Fox, L. A. Schmit, "The generation of inter-element-compatible stiffness and mass matrices
by the use of interpolation formulas", Conf. Matrix Methods in Structural Mechanics (1965).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from tankwright.plates.bending import bending_stiffness, second_along, strip_stiffness
from tankwright.plates.model import Floats, Ints, Plate
from tankwright.plates.push import pressure_at
from tankwright.plates.spacing import Spacing, apart, divided, hold_ends, top_breaks
from tankwright.plates.system import Bent, System, held_nodes, reaction_of, solved


def bent_quads(plate: Plate, spacing: Spacing) -> Bent:
    """How `plate`, which has no holes, bends.

    Raises RuntimeError where the equations have no one answer.
    """
    x, y = _lines(plate, spacing)
    nodes = np.column_stack([np.tile(x, len(y)), np.repeat(y, len(x))])
    system = _system(plate, _Row.of(x), _Row.of(y))
    first = (4 * len(x) * np.arange(len(y))[:, None] + 2 * np.arange(len(x))).ravel()
    deflection, slope_x, slope_y, twist = first, first + 1, first + 2 * len(x), first + 2 * len(x) + 1
    held = held_nodes(plate, nodes)
    nought = np.concatenate([deflection[held.nodes], slope_x[held.along_x], slope_y[held.along_y]])
    values, residual = solved(system, np.unique(nought))
    return Bent(
        nodes=nodes,
        triangles=_halves(len(x), len(y)),
        rims=(),
        deflection=values[deflection],
        curvature=_curvature(plate, x, y, values[np.stack([deflection, slope_x, slope_y, twist])]),
        reaction=reaction_of(system, values, deflection),
        unknowns=len(values),
        residual=residual,
    )


def _lines(plate: Plate, spacing: Spacing) -> tuple[Floats, Floats]:
    """Lines up and across: one at the water line, where the pressure has a bend, and close ones where a hold ends,
    with one at the distance from which on stresses are looked at.
    """
    ends = hold_ends(plate)
    x = divided(top_breaks(plate), tuple((end, spacing.hold) for end in ends), spacing.open)
    below = [plate.height - plate.thickness] if ends else []
    breaks = apart([0.0, plate.height, plate.head, *below], plate.height)
    narrow = [(plate.height, spacing.hold)] if ends else []
    if plate.head > 0.0:
        narrow += [(place, max(plate.head / 6.0, spacing.open / 6.0)) for place in (0.0, plate.head)]
    y = divided(breaks, tuple(narrow), spacing.open)
    return x, y


@dataclass(frozen=True, slots=True, kw_only=True)
class _Row:
    """Integrals along a row of cubic beams between places; unknowns 2i and 2i+1 are value and slope at place i.

    `plain` is of value by value, `slopes` of slope by slope, `bends` of second derivative by second derivative,
    `mixed` of second derivative by value. `at` (m, 4) are points, `weights` (m, 4) their lengths, `shapes` (m, 4, 4)
    what each of a beam's unknowns is worth there.
    """

    plain: Any
    slopes: Any
    bends: Any
    mixed: Any
    at: Floats
    weights: Floats
    shapes: Floats

    @staticmethod
    def of(places: Floats) -> _Row:
        points, weights = np.polynomial.legendre.leggauss(4)
        share = (points + 1.0) / 2.0
        lengths = np.diff(places)
        weights = lengths[:, None] * weights / 2.0
        values, first, second = _cubics(share, lengths)

        def summed(one: Floats, two: Floats) -> Any:
            return _along(np.einsum("mg,mgi,mgj->mij", weights, one, two))

        return _Row(
            plain=summed(values, values),
            slopes=summed(first, first),
            bends=summed(second, second),
            mixed=summed(second, values),
            at=places[:-1, None] + share * lengths[:, None],
            weights=weights,
            shapes=values,
        )

    def push(self, pressure: Floats) -> Floats:
        """Loads on the unknowns of a pressure (m, 4) at the points."""
        loads = np.zeros(2 * (len(self.at) + 1))
        own = 2 * np.arange(len(self.at))[:, None] + np.arange(4)
        np.add.at(loads, own, np.einsum("mg,mg,mgi->mi", self.weights, pressure, self.shapes))
        return loads


def _cubics(share: Floats, lengths: Floats) -> tuple[Floats, Floats, Floats]:
    """The four cubics of a beam, and their first and second derivatives: (beams, points, 4) each."""
    s, one = share, np.ones_like(share)
    values = np.stack(
        [1 - 3 * s**2 + 2 * s**3, s - 2 * s**2 + s**3, 3 * s**2 - 2 * s**3, s**3 - s**2], axis=-1
    )
    first = np.stack([6 * s**2 - 6 * s, 1 - 4 * s + 3 * s**2, 6 * s - 6 * s**2, 3 * s**2 - 2 * s], axis=-1)
    second = np.stack([12 * s - 6 * one, 6 * s - 4 * one, 6 * one - 12 * s, 6 * s - 2 * one], axis=-1)
    long = lengths[:, None, None]
    scale = np.concatenate([np.ones_like(long), long, np.ones_like(long), long], axis=-1)
    return values * scale, first * scale / long, second * scale / long**2


def _along(blocks: Floats) -> Any:
    """Blocks (m, 4, 4) of beams in a row, put together."""
    from scipy.sparse import coo_array  # noqa: PLC0415 - heavy, and most plans have no use for it

    own = 2 * np.arange(len(blocks))[:, None] + np.arange(4)
    rows = np.broadcast_to(own[:, :, None], blocks.shape).ravel()
    columns = np.broadcast_to(own[:, None, :], blocks.shape).ravel()
    size = 2 * (len(blocks) + 1)
    return coo_array((blocks.ravel(), (rows, columns)), shape=(size, size)).tocsr()


def _system(plate: Plate, x: _Row, y: _Row) -> System:
    from scipy.sparse import kron  # noqa: PLC0415 - heavy

    poisson = plate.poisson
    across = kron(y.mixed.T, x.mixed)
    matrix = kron(y.plain, x.bends) + kron(y.bends, x.plain) + poisson * (across + across.T)
    matrix = bending_stiffness(plate) * (matrix + 2.0 * (1.0 - poisson) * kron(y.slopes, x.slopes))
    bed = (plate.bed or 0.0) * kron(y.plain, x.plain)
    loads = np.asarray(
        np.kron(y.push(pressure_at(plate, y.at)), x.push(np.ones_like(x.at))), dtype=np.float64
    )
    return System(matrix=(matrix + bed + _strip(plate, x, y)).tocsr(), loads=loads, bed=bed.tocsr())


def _strip(plate: Plate, x: _Row, y: _Row) -> Any:
    """The strip along the top edge follows the plate's own cubics there."""
    from scipy.sparse import coo_array, kron  # noqa: PLC0415 - heavy

    size = 2 * (len(y.at) + 1)
    top = coo_array(([1.0], ([size - 2], [size - 2])), shape=(size, size))
    return strip_stiffness(plate) * kron(top, x.bends)


def _curvature(plate: Plate, x: Floats, y: Floats, values: Floats) -> Floats:
    """At the nodes; nothing bends the plate about an edge, and in a corner, with two of them, there is but twist."""
    deflection, slope_x, slope_y, twist = values.reshape(4, len(y), len(x))
    along = second_along(x, deflection, slope_x)
    up = second_along(y, deflection.T, slope_y.T).T
    for row in (0, -1):
        along[row, [0, -1]] = 0.0
        up[row] = -plate.poisson * along[row]
        along[1:-1, row] = -plate.poisson * up[1:-1, row]
    return np.column_stack([along.ravel(), up.ravel(), twist.ravel()])


def _halves(columns: int, rows: int) -> Ints:
    """Each rectangle as two triangles, for drawing."""
    first = (np.arange(rows - 1)[:, None] * columns + np.arange(columns - 1)).ravel()
    lower = np.column_stack([first, first + 1, first + columns + 1])
    upper = np.column_stack([first, first + columns + 1, first + columns])
    return np.concatenate([lower, upper])
