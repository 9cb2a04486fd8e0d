"""The full check of a pane: by finite elements, its holes and its brace where they are, beside the quick screening.

Pure and slower than an edit can wait for: a pane takes a fraction of a second, so it is done when it is asked for. The
engine is loaded when it is first needed. A screening as the quick one is.
"""

from __future__ import annotations

import math
from typing import Final, Literal

import numpy as np

from tankwright.plates.model import Floats, HoleStress, PlateSolution
from tankwright.systems.glass_full_model import FullPane, HoleFull
from tankwright.systems.glass_map import hole_map, map_of, map_places, map_spots
from tankwright.systems.glass_model import PaneCase, PaneHole, PaneScreen, Strengths
from tankwright.systems.glass_plate import plate_for, thickness_factor, unplated, whole_holes
from tankwright.units import Dimensionless, Metre, Pascal

__all__ = ["full_check", "hole_map", "map_of", "map_places", "map_spots"]

LEFT_LINEAR: Final = 0.5  # of the thickness, as in the quick screening
AROUND: Final = 2.0  # radii of a hole from its centre within which a pull is the hole's

Governs = Literal["surface", "edge", "hole"]


def full_check(case: PaneCase, strengths: Strengths, screen: PaneScreen | None = None) -> FullPane:
    """One pane under its still water by finite elements; `screen` is kept beside it. To see it with water at the rim,
    ask it of the case with its `head` at the `brim`.

    Never raises for what a plan says: what cannot be worked out comes back with a `status` that says why.
    """
    holes = whole_holes(case)
    why = unplated(case)
    if why:
        return _unsolved(case, strengths, screen, _nothing(why), why)
    from tankwright.plates.solver import solve_plate  # noqa: PLC0415 - the engine is heavy, and asked for seldom

    try:
        solution = solve_plate(plate_for(case, holes))
    except ValueError as wrong:
        return _unsolved(case, strengths, screen, _nothing(str(wrong)), str(wrong))
    if solution.status != "solved":
        return _unsolved(case, strengths, screen, solution, solution.reason or solution.status)
    return _solved(case, strengths, screen, solution, holes)


def _solved(
    case: PaneCase,
    strengths: Strengths,
    screen: PaneScreen | None,
    solution: PlateSolution,
    holes: tuple[PaneHole, ...],
) -> FullPane:
    edge_strength = strengths.working_edge.value
    full = tuple(
        _hole(case, hole, found, edge_strength) for hole, found in zip(holes, solution.holes, strict=True)
    )
    surface, surface_at = _surface(case, solution, holes)
    edge = max(solution.top_edge, solution.strip)
    candidates: list[tuple[Dimensionless, Governs, Pascal, tuple[Metre, Metre]]] = [
        (surface / strengths.working_surface.value, "surface", surface, surface_at),
        (edge / edge_strength, "edge", edge, _top_place(case, solution)),
    ]
    candidates += [(one.use, "hole", one.stress, one.at) for one in full]
    use, governs, worst, worst_at = max(candidates, key=lambda one: one[0])
    return FullPane(
        case=case,
        strengths=strengths,
        screen=screen,
        solution=solution,
        status="solved",
        holes=full,
        surface=surface,
        surface_at=surface_at,
        edge=edge,
        worst=worst,
        worst_at=worst_at,
        governs=governs,
        use=use,
        sag=solution.sag,
        sag_at=solution.sag_at,
        linear=solution.sag <= LEFT_LINEAR * case.thickness.value,
    )


def _hole(case: PaneCase, hole: PaneHole, found: HoleStress, edge_strength: Pascal) -> HoleFull:
    factor = thickness_factor(case, hole.diameter.value)
    stress = factor * found.stress
    return HoleFull(
        hole=hole, stress=stress, at=(found.x, found.y), use=stress / edge_strength, thickness_factor=factor
    )


def _surface(
    case: PaneCase, solution: PlateSolution, holes: tuple[PaneHole, ...]
) -> tuple[Pascal, tuple[Metre, Metre]]:
    """The worst pull away from the holes, and where; the engine's own where there is no hole."""
    if not holes:
        return solution.worst, solution.worst_at
    nodes = solution.nodes
    looked_at: Floats = solution.stress.copy()
    for hole in holes:
        near = np.hypot(nodes[:, 0] - hole.x, nodes[:, 1] - hole.y) < AROUND * hole.diameter.value / 2.0
        looked_at[near] = -1.0
    for hold in plate_for(case, ()).holds:
        for end in (hold.start, hold.end):
            # a thin plate has no bound where a hold ends, a real one has; the engine does not look there either
            near = np.hypot(nodes[:, 0] - end, nodes[:, 1] - case.height) < case.thickness.value
            looked_at[near] = -1.0
    worst = int(looked_at.argmax())
    return max(float(looked_at[worst]), 0.0), (float(nodes[worst, 0]), float(nodes[worst, 1]))


def _top_place(case: PaneCase, solution: PlateSolution) -> tuple[Metre, Metre]:
    """Where along its top a pane is pulled hardest."""
    nodes = solution.nodes
    top = np.flatnonzero(nodes[:, 1] >= case.height * (1.0 - 1e-9))
    worst = top[int(solution.stress[top].argmax())]
    return float(nodes[worst, 0]), float(nodes[worst, 1])


def _unsolved(
    case: PaneCase, strengths: Strengths, screen: PaneScreen | None, solution: PlateSolution, why: str
) -> FullPane:
    nowhere = (0.0, 0.0)
    return FullPane(
        case=case,
        strengths=strengths,
        screen=screen,
        solution=solution,
        status=why,
        holes=(),
        surface=0.0,
        surface_at=nowhere,
        edge=0.0,
        worst=0.0,
        worst_at=nowhere,
        governs="surface",
        use=0.0,
        sag=0.0,
        sag_at=nowhere,
        linear=True,
    )


def _nothing(why: str) -> PlateSolution:
    nowhere = (math.nan, math.nan)
    return PlateSolution(
        status="not meshed",
        element="",
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
        load=math.nan,
        reaction=math.nan,
        strip=math.nan,
        reason=why,
    )
