"""What the quick screening says over a whole pane: of the plain glass, or of its hole were it elsewhere.

For pictures a hand moves in; the full check and its map (`systems.glass_full`) say it with the hole in the pane.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tankwright.physics.hole_stress import hole_edge_factor, hole_stress_factor
from tankwright.physics.levy_series import principal_stresses
from tankwright.physics.ranges import OutsideValidRange
from tankwright.systems.glass import plate_of
from tankwright.systems.glass_full_model import HoleSurroundings
from tankwright.systems.glass_model import PaneCase, Strengths
from tankwright.systems.glass_places import kept_out
from tankwright.units import Dimensionless, Metre

FINEST: Final = 0.012  # m; a picture needs no finer cells
MOST: Final = 34
NO_GLASS: Final = 1e-4  # m left beside a hole, below which the raiser of a free edge near by has no value
ROUND_A_HOLE: Final = 16
"""Places of a rim that are looked at, as the screening of one place does."""

Floats = NDArray[np.float64]
_Piece = tuple[Metre, Metre]


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldCell:
    """A piece of the pane in its own frame and the share of the working strength there; None where the formula does not
    reach. `kept_out` where a hole may not have its middle."""

    x: tuple[Metre, Metre]
    y: tuple[Metre, Metre]
    use: Dimensionless | None
    kept_out: bool = False


def hole_field(
    case: PaneCase, strengths: Strengths, around: HoleSurroundings, index: int
) -> tuple[FieldCell, ...]:
    """The share of an edge's strength the rim of one of the pane's holes would use, were its middle in each cell."""
    hole = case.holes[index]
    across, up = _pieces(case.length), _pieces(case.height)
    found = None if hole.diameter.is_assumed else _rims(case, across, up, hole.diameter.value)
    radius, edge = hole.diameter.value / 2.0, strengths.working_edge.value
    cells = []
    for row, y in enumerate(up):
        for column, x in enumerate(across):
            at = (_middle(x), _middle(y))
            inside = radius <= at[0] <= case.length - radius and radius <= at[1] <= case.height - radius
            use = float(found[row, column]) / edge if found is not None and inside else None
            no = bool(kept_out(case, around, *at, index))
            cells.append(FieldCell(x=x, y=y, use=use, kept_out=no))
    return tuple(cells)


def plain_field(case: PaneCase, strengths: Strengths) -> tuple[FieldCell, ...]:
    """The share of the strength of a surface the plain pane uses in each cell."""
    plate, surface = plate_of(case, case.head), strengths.working_surface.value
    across, up = _pieces(case.length), _pieces(case.height)
    found = plate.tension(_middles(across), _middles(up)) / surface
    return tuple(
        FieldCell(x=x, y=y, use=float(found[row, column]))
        for row, y in enumerate(up)
        for column, x in enumerate(across)
    )


def _rims(case: PaneCase, across: list[_Piece], up: list[_Piece], diameter: Metre) -> Floats | None:
    """The largest tension at the rim of a hole in the middle of each cell; None where the raiser does not reach.

    Source: as `physics.plates_levy.LevyPlate.hole_tension`, all places at once.
    """
    try:
        factor = hole_stress_factor(diameter=diameter, thickness=case.thickness.value)
        plate = plate_of(case, case.head)
    except OutsideValidRange:
        return None
    xs, ys, radius = _middles(across), _middles(up), diameter / 2.0
    worst: Floats = np.zeros((len(up), len(across)))
    for turn in range(ROUND_A_HOLE):
        angle = 2.0 * math.pi * turn / ROUND_A_HOLE
        there = np.clip(xs + radius * math.cos(angle), 0.0, case.length)
        high = np.clip(ys + radius * math.sin(angle), 0.0, case.height)
        one, other = principal_stresses(plate.series, there, high)
        for first, second in ((one, other), (other, one)):
            worst = np.maximum(worst, np.abs(factor * first + (2.0 - factor) * second))
    if plate.series.shape.top == "free":
        clear = np.maximum(case.height - ys - radius, NO_GLASS)
        worst *= np.array([[hole_edge_factor(clear=one, diameter=diameter)] for one in clear.tolist()])
    return worst


def _pieces(size: Metre) -> list[_Piece]:
    count = min(max(round(size / FINEST), 8), MOST)
    return [(size * at / count, size * (at + 1) / count) for at in range(count)]


def _middle(piece: _Piece) -> Metre:
    return (piece[0] + piece[1]) / 2.0


def _middles(pieces: list[_Piece]) -> Floats:
    return np.array([_middle(piece) for piece in pieces])
