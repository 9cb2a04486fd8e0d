"""Defaults of glass under water for years: what it is, and the tension it is let bear.

The two working tensions are the middle of two published routes that nearly agree, neither of which was written for a
drilled tank: EN 16612 (0.29 x 45 MPa / 1.8 = 7.25 MPa polished, over a load factor of 1.35: 5.4 MPa, as-cut edges at
0.8: 4.3 MPa) and the American one by duration (50 years, one pane in a thousand: 4.52 MPa surface, 3.55 MPa edge).
"""

from __future__ import annotations

from typing import Final

from tankwright.catalogue.assumption import MEMORY
from tankwright.catalogue.assumption import row as _a

ROUTES: Final = (
    "EN 16612 by a public calculator; NCSEA design guide and ASTM E1300 by a public package; neither covers a"
    " drilled tank"
)

GLASS_ROWS: Final = (
    _a("glass.stiffness", "modulus of elasticity of glass", 70e9, 69e9, 72e9, "stress", "glass",
       "soda-lime float glass; it moves how far a pane bows, not what it bears", f"EN 572-1, {MEMORY}",
       "not worth measuring"),
    _a("glass.poisson", "Poisson's ratio of glass", 0.23, 0.20, 0.24, "number", "glass",
       "soda-lime float glass", f"EN 16612, {MEMORY}", "not worth measuring"),
    _a("glass.working_surface", "tension a face of annealed glass is let bear for years", 4.5e6, 3.6e6, 5.4e6, "stress",
       "glass", "two published routes with permanent water: 5.4 and 4.5 MPa; a scratched face is no better than an"
       " edge", ROUTES, "look along the pane for scratches; the tank maker's own figure stands before this"),
    _a("glass.working_edge", "tension a free edge or a drilled rim is let bear for years", 3.6e6, 2.9e6, 4.3e6,
       "stress", "glass", "the same routes at an edge: 4.3 and 3.6 MPa; a rim chipped by the drill bears less, how"
       " much nobody has published", ROUTES, "a loupe round the hole: no chip, no shell; a ground rim bears more"),
)  # fmt: skip
