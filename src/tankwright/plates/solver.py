"""A plate solved: rectangles where it is whole, triangles where it has holes."""

from __future__ import annotations

import math
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from tankwright.plates.bending import strip_stress, tension, tension_along_x
from tankwright.plates.checking import check_plate, trouble_with_holes
from tankwright.plates.mesh import NotMeshedError, mesh_with_holes
from tankwright.plates.model import Floats, HoleStress, Ints, Plate, PlateSolution
from tankwright.plates.push import whole_push
from tankwright.plates.quads import bent_quads
from tankwright.plates.spacing import hold_ends, spacing_of
from tankwright.plates.system import Bent, held_nodes, keeps_its_place
from tankwright.plates.triangles import bent_triangles

QUADS: Final = "Bogner-Fox-Schmit rectangle"
TRIANGLES: Final = "discrete Kirchhoff triangle"

COARSE: Final = 1
"""For maps of many places: within about 1.5 % of the finest."""

FULL: Final = 2
"""For one pane: within about 1 % of the finest."""

FINEST: Final = 4

LEFT_OVER: Final = 1e-5
"""More than this share of the loads left over is no answer."""


def solve_plate(plate: Plate, *, fineness: int = FULL) -> PlateSolution:
    """How `plate` bends and what is in it, as thin plates do: linear, right while it moves less than about half its
    thickness, blind to what happens within about a thickness of a hole's rim through the glass.

    `fineness` is 1 (coarse) to 4 (finest). What cannot be meshed or held in place comes back with that status and a
    reason. Raises ValueError for a plate that is none: no thickness, a head above its top.

    >>> square = Plate(length=1.0, height=1.0, thickness=0.01, stiffness=70e9, poisson=0.3, pressure=1e3, top="held")
    >>> round(solve_plate(square).worst / 1e6, 2)  # MPa; Timoshenko's table 8 has a moment of 0.0479 q a²: 2.87
    2.87
    """
    check_plate(plate)
    if fineness not in range(COARSE, FINEST + 1):
        raise ValueError(f"fineness is {COARSE} to {FINEST}, not {fineness!r}")
    element = TRIANGLES if plate.holes else QUADS
    if not keeps_its_place(plate, _corners(plate), held_nodes(plate, _corners(plate))):
        return _unsolved(
            plate, element, "singular", "nothing keeps the plate from moving or turning as a whole"
        )
    trouble = trouble_with_holes(plate)
    if trouble:
        return _unsolved(plate, element, "not meshed", trouble)
    spacing = spacing_of(plate, fineness)
    try:
        bent = (
            bent_triangles(plate, mesh_with_holes(plate, spacing))
            if plate.holes
            else bent_quads(plate, spacing)
        )
    except NotMeshedError as why:
        return _unsolved(plate, element, "not meshed", str(why))
    except RuntimeError:
        return _unsolved(plate, element, "singular", "the equations have no one answer")
    if not bent.residual < LEFT_OVER:
        return _unsolved(plate, element, "singular", "the equations have no one answer")
    return _solution(plate, bent, element)


def _corners(plate: Plate) -> Floats:
    """The corners and every point where a hold begins or ends: enough to say whether the plate is held."""
    ends = {end for hold in plate.holds for end in (hold.start, hold.end)}
    top = sorted({0.0, plate.length, *ends})
    return np.array([(0.0, 0.0), (plate.length, 0.0), *((x, plate.height) for x in top)])


def _solution(plate: Plate, bent: Bent, element: str) -> PlateSolution:
    stress = tension(plate, bent.curvature)
    looked_at = np.where(_near_hold_ends(plate, bent.nodes, 1.0), -1.0, stress)
    worst = _first_largest(looked_at)
    sag = _first_largest(np.abs(bent.deflection))
    top = np.flatnonzero(bent.nodes[:, 1] >= plate.height * (1.0 - 1e-9))
    by_a_hold = _near_hold_ends(plate, bent.nodes[top], 2.0)
    along = np.where(by_a_hold, stress[top], tension_along_x(plate, bent.curvature[top]))
    return PlateSolution(
        status="solved",
        element=element,
        unknowns=bent.unknowns,
        residual=bent.residual,
        nodes=bent.nodes,
        triangles=bent.triangles,
        deflection=bent.deflection,
        stress=stress,
        worst=float(stress[worst]),
        worst_at=_place(bent.nodes, worst),
        top_edge=float(along[looked_at[top] >= 0.0].max()) if plate.top == "free" else 0.0,
        sag=float(abs(bent.deflection[sag])),
        sag_at=_place(bent.nodes, sag),
        holes=tuple(_at_hole(bent.nodes, stress, rim) for rim in bent.rims),
        load=whole_push(plate),
        reaction=bent.reaction,
        strip=float(strip_stress(plate, bent.curvature[top[looked_at[top] >= 0.0], 0]).max()),
    )


def _first_largest(values: Floats) -> int:
    """Where the largest is; of places that differ by rounding alone, the first, so that a mirror image has its own."""
    return int(np.argmax(values >= values.max() - 1e-7 * abs(values.max())))


def _near_hold_ends(plate: Plate, nodes: Floats, thicknesses: float) -> NDArray[np.bool_]:
    near = np.zeros(len(nodes), dtype=bool)
    for end in hold_ends(plate):
        near |= np.hypot(nodes[:, 0] - end, nodes[:, 1] - plate.height) < thicknesses * plate.thickness * (
            1.0 - 1e-6
        )
    return near


def _at_hole(nodes: Floats, stress: Floats, rim: Ints) -> HoleStress:
    worst = int(rim[_first_largest(stress[rim])])
    x, y = _place(nodes, worst)
    return HoleStress(stress=float(stress[worst]), x=x, y=y)


def _place(nodes: Floats, node: int) -> tuple[float, float]:
    return float(nodes[node, 0]), float(nodes[node, 1])


def _unsolved(
    plate: Plate, element: str, status: Literal["singular", "not meshed"], reason: str
) -> PlateSolution:
    nowhere = (math.nan, math.nan)
    return PlateSolution(
        status=status,
        element=element,
        unknowns=0,
        residual=math.nan,
        nodes=np.zeros((0, 2)),
        triangles=np.zeros((0, 3), dtype=np.int64),
        deflection=np.zeros(0),
        stress=np.zeros(0),
        worst=math.nan,
        worst_at=nowhere,
        top_edge=math.nan,
        sag=math.nan,
        sag_at=nowhere,
        holes=(),
        load=whole_push(plate),
        reaction=math.nan,
        strip=math.nan,
        reason=reason,
    )
