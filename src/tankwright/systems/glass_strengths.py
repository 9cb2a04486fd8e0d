"""What annealed glass of a pane may bear for years: the working values, and two published routes beside them."""

from __future__ import annotations

from typing import Final

from tankwright.physics.glass_strength import (
    EN_PERMANENT,
    EN_PERMANENT_LOAD,
    SHORT_EDGE,
    SHORT_SURFACE,
    glass_design_strength_duration,
    glass_design_strength_en,
    glass_duration_factor_en,
)
from tankwright.room.model import Room
from tankwright.systems.glass_model import PaneCase, Strengths
from tankwright.systems.glass_panes import laws_of
from tankwright.units import Dimensionless

EDGE_FACTORS: Final[dict[str, Dimensionless]] = {"polished": 1.0, "seamed": 0.9, "as cut": 0.8}
"""How an edge was worked. Source: EN 16612:2019, read at second hand; an edge nobody described is taken as cut."""

A_WEEK: Final = 7 * 86400.0  # s that water may stand at the rim before somebody looks

DRILLED: Final = 0.8
"""The rim of a drilled hole is worked no better than an edge as cut. Source: common practice, no source."""


def strengths_of(room: Room, case: PaneCase) -> Strengths:
    """What a pane of this room may bear, as tensions to compare with those of water as it weighs.

    A pane with a hole has the lower of its edges and the hole's rim as its edge.
    """
    laws = laws_of(room)
    edge = EDGE_FACTORS.get(case.edges or "as cut", DRILLED)
    if case.holes:
        edge = min(edge, DRILLED)
    return Strengths(
        en_surface=glass_design_strength_en(load_factor=EN_PERMANENT_LOAD),
        en_edge=glass_design_strength_en(edge_factor=edge, load_factor=EN_PERMANENT_LOAD),
        duration_surface=glass_design_strength_duration(short_strength=SHORT_SURFACE),
        duration_edge=glass_design_strength_duration(short_strength=SHORT_EDGE),
        working_surface=laws.working_surface,
        working_edge=laws.working_edge,
        week=glass_duration_factor_en(duration=A_WEEK) / EN_PERMANENT,
    )
