"""The same hole at many places in a plate: the numbers of a map."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Final

import numpy as np

from tankwright.plates.model import Floats, Plate, RoundHole
from tankwright.plates.solver import COARSE, solve_plate
from tankwright.units import Metre

ANYWHERE: Final = 0
AT_RIM: Final = 1
TOP_EDGE: Final = 2
"""The columns of what `worst_over_places` returns."""


def worst_over_places(
    plate: Plate,
    diameter: Metre,
    places: Sequence[tuple[Metre, Metre]],
    *,
    fineness: int = COARSE,
    progress: Callable[[int, int], None] | None = None,
) -> Floats:
    """The worst tensions in Pa with one more hole of `diameter` at each of `places` (x, y), a row for each: anywhere in
    the plate, at the rim of that hole, along the free top edge or, where that is more, in the strip along it. Holes
    that the plate has stay in it. A row is nan where the hole cannot be meshed there: it reaches over an edge or
    another hole.

    Each place stands for itself, so a list may be cut into pieces. `progress` is told how many of how many are done
    after each; what it raises ends the work.

    >>> pane = Plate(length=0.6, height=0.38, thickness=0.006, stiffness=70e9, poisson=0.23, head=0.38)
    >>> worst = worst_over_places(pane, 0.035, [(0.3, 0.335), (0.06, 0.335), (0.3, 0.37)])
    >>> [[round(float(one) / 1e6, 1) for one in row] for row in worst]  # MPa; the middle of the top is the bad place
    [[10.2, 10.2, 7.2], [5.5, 5.5, 5.5], [nan, nan, nan]]
    """
    rows = np.full((len(places), 3), math.nan)
    for number, (x, y) in enumerate(places):
        hole = RoundHole(x=x, y=y, diameter=diameter)
        solution = solve_plate(replace(plate, holes=(*plate.holes, hole)), fineness=fineness)
        if solution.status == "solved":
            edge = max(solution.top_edge, solution.strip)
            rows[number] = solution.worst, solution.holes[-1].stress, edge
        if progress is not None:
            progress(number + 1, len(places))
    return rows
