"""The equations of a plate, which unknowns are held, and their answer."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from tankwright.plates.model import Floats, Ints, Plate
from tankwright.units import Dimensionless, Newton


@dataclass(frozen=True, slots=True, kw_only=True)
class System:
    """Sparse `matrix` and `loads` of all unknowns, and the part of the matrix that is its `bed`."""

    matrix: Any
    loads: Floats
    bed: Any


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """Nodes that keep their place, and those of them that keep their slope along x or along y as well, because the
    edge through them does."""

    nodes: Ints
    along_x: Ints
    along_y: Ints


@dataclass(frozen=True, slots=True, kw_only=True)
class Bent:
    """Deflection (n,) and curvatures xx, yy, xy (n, 3) at nodes (n, 2), how it was got, and the triangles between."""

    nodes: Floats
    triangles: Ints
    rims: tuple[Ints, ...]
    deflection: Floats
    curvature: Floats
    reaction: Newton
    unknowns: int
    residual: Dimensionless


def held_nodes(plate: Plate, nodes: Floats) -> Held:
    """Which of the nodes on the edges are held."""
    small = 1e-9 * (plate.length + plate.height)
    x, y = nodes[:, 0], nodes[:, 1]
    top = np.abs(y - plate.height) < small
    flat = (np.abs(y) < small) & (plate.bottom == "held")
    flat |= top & (plate.top == "held")
    points = np.zeros(len(nodes), dtype=bool)
    for hold in plate.holds:
        stretch = top & (x > hold.start - small) & (x < hold.end + small)
        if hold.end - hold.start > small:
            flat |= stretch
        else:
            points |= stretch
    upright = (np.abs(x) < small) & (plate.left == "held")
    upright |= (np.abs(x - plate.length) < small) & (plate.right == "held")
    return Held(
        nodes=np.flatnonzero(flat | upright | points),
        along_x=np.flatnonzero(flat),
        along_y=np.flatnonzero(upright),
    )


def keeps_its_place(plate: Plate, nodes: Floats, held: Held) -> bool:
    """Whether the plate can neither fall nor turn as a whole: three held points off one line, or a bed."""
    if plate.bed is not None and plate.bed > 0.0:
        return True
    if not len(held.nodes):
        return False
    at = nodes[held.nodes] / (plate.length + plate.height)
    return int(np.linalg.matrix_rank(np.column_stack([np.ones(len(at)), at]), tol=1e-6)) == 3


def solved(system: System, nought: Ints) -> tuple[Floats, Dimensionless]:
    """All unknowns, those of `nought` being 0, and what is left over of the equations as a share of the loads.

    Raises RuntimeError where the equations have no one answer.
    """
    from scipy.sparse.linalg import splu  # noqa: PLC0415 - heavy, and most plans have no use for it

    free = np.setdiff1d(np.arange(len(system.loads)), nought)
    matrix = system.matrix.tocsr()[free][:, free].tocsc()
    loads = system.loads[free]
    scale = 1.0 / np.sqrt(matrix.diagonal())
    factors = splu(_scaled(matrix, scale), permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0,
                   options={"SymmetricMode": True})  # fmt: skip
    values = scale * factors.solve(scale * loads)
    values += scale * factors.solve(scale * (loads - matrix @ values))
    left = float(np.linalg.norm(loads - matrix @ values))
    whole = np.zeros(len(system.loads))
    whole[free] = values
    return whole, left / max(float(np.linalg.norm(loads)), 1e-300)


def _scaled(matrix: Any, scale: Floats) -> Any:
    from scipy.sparse import diags_array  # noqa: PLC0415 - heavy

    diagonal = diags_array(scale)
    return (diagonal @ matrix @ diagonal).tocsc()


def reaction_of(system: System, values: Floats, deflections: Ints) -> Newton:
    """What the supports and the bed push back, `deflections` being the unknowns that are deflections."""
    left = system.matrix @ values - system.loads
    return float(-left[deflections].sum() + (system.bed @ values)[deflections].sum())
