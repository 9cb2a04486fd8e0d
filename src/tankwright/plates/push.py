"""What pushes on a plate: water that stands to a line, and a pressure all over."""

from __future__ import annotations

import numpy as np

from tankwright.physics.constants import STANDARD_GRAVITY, WATER_DENSITY
from tankwright.plates.model import Floats, Ints, Plate
from tankwright.units import Newton

_CORNERS = np.array([[4.0, 1.0, 1.0], [1.0, 4.0, 1.0], [1.0, 1.0, 4.0]]) / 6.0
"""Three points in a triangle, each with a third of its area: exact for a square of the place."""


def whole_push(plate: Plate) -> Newton:
    """The push on the whole plate, holes and all: what stops a hole is pushed as glass would be."""
    water = WATER_DENSITY * STANDARD_GRAVITY * plate.head**2 / 2.0 * plate.length
    return water + plate.pressure * plate.length * plate.height


def pressure_at(plate: Plate, y: Floats) -> Floats:
    """The pressure at heights `y` above the lower edge."""
    return np.asarray(WATER_DENSITY * STANDARD_GRAVITY * np.maximum(plate.head - y, 0.0) + plate.pressure)


def push_on_nodes(plate: Plate, nodes: Floats, triangles: Ints, rims: tuple[Ints, ...]) -> Floats:
    """The push as forces on the nodes (n,): each triangle's handed to its corners as a flat sheet would, and what
    pushes on the stopper of a hole evenly to the nodes of its rim."""
    forces = np.zeros(len(nodes))
    np.add.at(forces, triangles, _on_corners(plate, nodes[triangles]))
    for rim in rims:
        forces[rim] += _on_stopper(plate, nodes[rim]) / len(rim)
    return forces


def _on_stopper(plate: Plate, rim: Floats) -> Newton:
    middle = np.broadcast_to(rim.mean(axis=0), rim.shape)
    fan = np.stack([middle, rim, np.roll(rim, -1, axis=0)], axis=1)
    return float(_on_corners(plate, fan).sum())


def _on_corners(plate: Plate, corners: Floats) -> Floats:
    """Forces (m, 3) on the corners (m, 3, 2) of triangles. A triangle that the water line crosses is cut along it,
    since the pressure has a bend there."""
    heights = corners[:, :, 1]
    crossed = (heights.min(axis=1) < plate.head) & (heights.max(axis=1) > plate.head)
    forces = _smooth(plate, corners, np.broadcast_to(np.eye(3), (len(corners), 3, 3)))
    for number in np.flatnonzero(crossed).tolist():
        shares = _cut(heights[number] - plate.head)
        pieces = np.einsum("pij,jk->pik", shares, corners[number])
        forces[number] = _smooth(plate, pieces, shares).sum(axis=0)
    return forces


def _smooth(plate: Plate, corners: Floats, shares: Floats) -> Floats:
    """Forces (m, 3) of pieces over which the pressure is one straight slope; `shares` (m, 3, 3) has for each corner
    of a piece how it lies between the corners of its triangle."""
    one, two = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    area = np.abs(one[:, 0] * two[:, 1] - one[:, 1] * two[:, 0]) / 2.0
    at = np.einsum("gi,mij->mgj", _CORNERS, corners)
    pressure = pressure_at(plate, at[:, :, 1])
    weights = np.einsum("gi,mij->mgj", _CORNERS, shares)
    return np.asarray(np.einsum("m,mg,mgj->mj", area / 3.0, pressure, weights))


def _cut(above: Floats) -> Floats:
    """The three pieces of a triangle whose corners lie `above` the water line (or below: negative), as shares of its
    corners: one on the side of the odd corner, two on the other."""
    low = above < 0.0
    odd = int(np.flatnonzero(low)[0]) if low.sum() == 1 else int(np.flatnonzero(~low)[0])
    first, second = (odd + 1) % 3, (odd + 2) % 3
    unit = np.eye(3)
    toward_first = _crossing(unit, above, odd, first)
    toward_second = _crossing(unit, above, odd, second)
    return np.array([
        [unit[odd], toward_first, toward_second],
        [toward_first, unit[first], unit[second]],
        [toward_first, unit[second], toward_second],
    ])  # fmt: skip


def _crossing(unit: Floats, above: Floats, here: int, there: int) -> Floats:
    share = above[here] / (above[here] - above[there])
    return np.asarray(unit[here] * (1.0 - share) + unit[there] * share)
