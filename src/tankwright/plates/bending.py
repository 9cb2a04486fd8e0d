"""From how a plate and its strip are bent to what is in them, and how bent a line of nodes is.

Nodes know their deflection and their slopes; second derivatives are read from those, which is an order better than
from the element beside them. At a free edge, round a hole too, nothing bends the plate about the edge, and at a held
one only twisting is left: both are put in, not hoped for.
"""

from __future__ import annotations

import numpy as np

from tankwright.plates.model import Floats, Plate


def bending_stiffness(plate: Plate) -> float:
    """D of the plate in N·m."""
    return plate.stiffness * plate.thickness**3 / 12.0 / (1.0 - plate.poisson**2)


def strip_stiffness(plate: Plate) -> float:
    """E·I of the strip along the top edge in N·m², bent in its own plane; 0 without one. The plate it is glued to is
    not counted as part of it."""
    if plate.strip is None:
        return 0.0
    return plate.stiffness * plate.strip.thickness * plate.strip.width**3 / 12.0


def strip_stress(plate: Plate, bent_along: Floats) -> Floats:
    """The tension in the outer face of the strip where it is bent by `bent_along` (1/m)."""
    width = 0.0 if plate.strip is None else plate.strip.width
    return np.asarray(plate.stiffness * np.abs(bent_along) * width / 2.0)


def tension(plate: Plate, curvature: Floats) -> Floats:
    """The larger principal tension of the two faces at curvatures xx, yy, xy (n, 3)."""
    xx, yy, xy = curvature.T
    poisson = plate.poisson
    mean = (1.0 + poisson) * (xx + yy) / 2.0
    apart = (1.0 - poisson) * np.hypot((xx - yy) / 2.0, xy)
    return np.asarray(6.0 / plate.thickness**2 * bending_stiffness(plate) * (np.abs(mean) + apart))


def tension_along_x(plate: Plate, curvature: Floats) -> Floats:
    """The larger tension of the two faces along x, as flaws of a cut edge meet it: the twist that a thin plate has at
    a free edge dies out within a thickness of a real one, and is not in it."""
    bent = curvature[:, 0] + plate.poisson * curvature[:, 1]
    return np.asarray(6.0 / plate.thickness**2 * bending_stiffness(plate) * np.abs(bent))


def second_along(places: Floats, values: Floats, slopes: Floats, *, reach: int = 1) -> Floats:
    """The second derivative at each of `places` in a row, of a curve known by its values and slopes (last axis): of
    the curve of fifth degree that goes by each place and its neighbours as far as `reach`; through them at reach 1.
    """
    count = len(places)
    reach = min(reach, (count - 1) // 2)
    middle = np.clip(np.arange(count), reach, count - 1 - reach)
    taken = middle[:, None] + np.arange(-reach, reach + 1)
    away = places[taken] - places[:, None]
    unit = np.abs(away).max(axis=1)
    away = away / unit[:, None]
    powers = np.arange(6)
    table = np.concatenate([
        away[:, :, None] ** powers,
        powers * away[:, :, None] ** np.maximum(powers - 1, 0),
    ], axis=1)  # fmt: skip
    weights = 2.0 * np.linalg.pinv(table)[:, 2, :] / unit[:, None] ** 2
    known = np.concatenate([values[..., taken], slopes[..., taken] * unit[:, None]], axis=-1)
    return np.asarray((weights * known).sum(axis=-1))


def first_along(places: Floats, values: Floats) -> Floats:
    """The first derivative at each of three or more `places`: of the parabola through it and its two neighbours."""
    return np.asarray(np.gradient(values, places, edge_order=2))


def round_a_rim(deflection: Floats, outward: Floats, along: Floats, radius: float) -> tuple[Floats, Floats]:
    """Curvature along a round rim and twist across it, from deflection, slope away from the middle and slope along
    the rim at points evenly round it, anticlockwise."""
    step = 2.0 * np.pi / len(deflection)
    ahead, back = np.roll(deflection, -1), np.roll(deflection, 1)
    turned = along * radius
    bend = 2.0 * (ahead - 2.0 * deflection + back) / step**2
    bend -= (np.roll(turned, -1) - np.roll(turned, 1)) / (2.0 * step)
    change = 8.0 * (np.roll(outward, -1) - np.roll(outward, 1)) - (np.roll(outward, -2) - np.roll(outward, 2))
    return outward / radius + bend / radius**2, change / (12.0 * step * radius) - along / radius


def turned_to_axes(along: Floats, across: Floats, twist: Floats, direction: Floats) -> Floats:
    """Curvatures xx, yy, xy (n, 3) of curvatures along and across a `direction` (n, 2) and the twist between; across
    is to the left of along."""
    x, y = direction.T
    xx = along * x**2 + across * y**2 - 2.0 * twist * x * y
    yy = along * y**2 + across * x**2 + 2.0 * twist * x * y
    xy = (along - across) * x * y + twist * (x**2 - y**2)
    return np.column_stack([xx, yy, xy])
