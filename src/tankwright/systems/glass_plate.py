"""A pane as the plate its engine is spoken to with: what holds it, its water, its holes, its brace."""

from __future__ import annotations

from tankwright.physics.constants import STANDARD_GRAVITY, WATER_DENSITY
from tankwright.physics.hole_stress import hole_stress_factor
from tankwright.plates.model import Plate, RoundHole, TopHold, TopStrip
from tankwright.room.braces import brace_strips
from tankwright.systems.glass_model import PaneCase, PaneHole
from tankwright.systems.glass_panes import on_pane
from tankwright.units import Dimensionless, Metre

BRACE_UNSAID = "its brace is not described, and what it holds depends on it"
BEDDED = "it lies flat on a bed, which carries no bending into it"


def plate_for(case: PaneCase, holes: tuple[PaneHole, ...]) -> Plate:
    """The plate under the case's still water, with these of its holes; see `unplated` for what is none.

    A cross brace holds the top over the width of each of its strips, a strip all round stiffens it as a beam and holds
    it nowhere else: what the strips of the ends give it besides is not counted.
    """
    base = case.pane == "base"
    brace = None if base else case.brace
    holds: tuple[TopHold, ...] = ()
    strip = None
    if brace is not None and case.held == "cross":
        strips = brace_strips(brace, case.outside[0])
        holds = tuple(TopHold(start=a - case.offset[0], end=b - case.offset[0]) for a, b in strips)
    elif brace is not None and case.held == "euro":
        strip = TopStrip(width=brace.width.value, thickness=brace.thickness.value)
    return Plate(
        length=case.length,
        height=case.height,
        thickness=case.thickness.value,
        stiffness=case.stiffness.value,
        poisson=case.poisson.value,
        head=0.0 if base else min(max(case.head, 0.0), case.height),
        pressure=case.pressure + (WATER_DENSITY * STANDARD_GRAVITY * max(case.head, 0.0) if base else 0.0),
        top="held" if base or case.held == "held" else "free",
        holds=holds,
        strip=strip,
        holes=tuple(RoundHole(x=hole.x, y=hole.y, diameter=hole.diameter.value) for hole in holes),
    )


def unplated(case: PaneCase) -> str:
    """Why a case is no plate to be worked out; empty where it is one."""
    if case.held == "bed":
        return BEDDED
    if case.held in ("cross", "euro") and case.brace is None:
        return BRACE_UNSAID
    return ""


def whole_holes(case: PaneCase) -> tuple[PaneHole, ...]:
    """The holes whose size somebody measured and that lie on the pane."""
    return tuple(hole for hole in case.holes if not hole.diameter.is_assumed and on_pane(case, hole))


def thickness_factor(case: PaneCase, diameter: Metre) -> Dimensionless:
    """How much harder the rim of a hole is pulled in this thickness than in the thin plate the engine works with: the
    published raiser over its own value for ever thinner glass. A little much where the pane is bent alike both ways."""
    thin = hole_stress_factor(diameter=1.0, thickness=5e-4)
    return hole_stress_factor(diameter=diameter, thickness=case.thickness.value) / thin
