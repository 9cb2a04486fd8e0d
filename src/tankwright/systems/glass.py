"""Every pane of every kind of tank under its water, screened with Levy's series and the published strengths.

Quick enough for every edit: one exact series a pane, and the published raiser of stress at a hole. What holds only a
part of an edge is left to the full check (`systems.glass_full`).
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Final, Literal

from tankwright.physics.constants import STANDARD_GRAVITY, WATER_DENSITY
from tankwright.physics.hole_stress import hole_stress_factor
from tankwright.physics.plates_levy import LevyPlate, levy_plate
from tankwright.physics.ranges import OutsideValidRange
from tankwright.room.model import Room
from tankwright.systems.glass_full_model import STEP, HoleSurroundings
from tankwright.systems.glass_model import (
    BetterPlace,
    GlassResult,
    HoleScreen,
    PaneCase,
    PaneHole,
    PaneScreen,
    Strengths,
)
from tankwright.systems.glass_panes import name_of, on_pane, panes_of
from tankwright.systems.glass_places import glass_to_edge, kept_out, uprights_before
from tankwright.systems.glass_strengths import strengths_of
from tankwright.units import Dimensionless, Metre, Pascal

__all__ = ["GlassResult", "screen_pane", "solve_glass", "strengths_of"]

LEFT_LINEAR: Final = 0.5  # of the thickness; beyond it a plate also pulls in its plane (common practice)
ASK_FROM: Final = 0.6  # use of a hole from which another place is looked for
MARKEDLY: Final = 0.85  # of the present stress at most, for a place to be worth naming
PLACES: Final = 17  # tried along a pane

Governs = Literal["surface", "edge", "hole"]


def solve_glass(room: Room) -> GlassResult:
    """Every pane of the room.

    >>> solve_glass(Room(title="", display="metric", spaces=(), racks=(), tanks=())).panes
    ()
    """
    found = panes_of(room)
    missing = list(found.not_computed)
    screens: list[PaneScreen] = []
    for case in found.cases:
        if case.held == "bed":
            continue
        try:
            screens.append(_with_better(room, screen_pane(case, strengths_of(room, case))))
        except OutsideValidRange as outside:
            remedy = "measure it again; a pane of that shape is for an engineer"
            missing.append(
                (name_of(case.kind, case.pane), f"the series does not reach so far: {outside}", remedy)
            )
    kinds = {kind: number for number, kind in enumerate(dict.fromkeys(tank.kind for tank in room.tanks))}
    screens.sort(key=lambda one: (kinds[one.case.kind], -one.use))
    return GlassResult(
        panes=tuple(screens),
        bedded=tuple(case for case in found.cases if case.held == "bed"),
        not_computed=tuple(missing),
    )


def screen_pane(case: PaneCase, strengths: Strengths) -> PaneScreen:
    """One pane under its still water, and with water to the rim. Raises OutsideValidRange for a shape, a hole or a
    thickness the published formulas do not reach.

    A pane braced in part (`held` cross or euro) is taken as if nothing held its top; `held_use` is its other end.
    """
    plate = plate_of(case, case.head)
    holes = _holes(case, plate, strengths)
    use, governs, worst = _governing(plate, holes, strengths)
    plain = _governing(plate, (), strengths)[0]
    full, held = _brim_use(case, strengths, use), None
    if case.held in ("cross", "euro"):
        held = _use_of(replace(case, held="held"), case.head, strengths)
    deflection, at = plate.deflection, plate.deflection_at
    return PaneScreen(
        case=case,
        strengths=strengths,
        plain=plate.worst,
        plain_at=plate.worst_at,
        edge=plate.top_edge,
        holes=holes,
        worst=worst,
        governs=governs,
        use=use,
        brim_use=full,
        held_use=held,
        deflection=deflection,
        deflection_at=at,
        linear=deflection <= LEFT_LINEAR * case.thickness.value,
        needed=needed_thickness(case, holes, plain),
        needed_plain=needed_thickness(case, (), plain),
    )


def plate_of(case: PaneCase, head: Metre) -> LevyPlate:
    """The plain pane under water that stands `head` above its lower edge, or over it where it is a base."""
    base = case.pane == "base"
    return levy_plate(
        length=case.length,
        height=case.height,
        thickness=case.thickness.value,
        stiffness=case.stiffness.value,
        poisson=case.poisson.value,
        head=0.0 if base else min(max(head, 0.0), case.height),
        pressure=case.pressure + (WATER_DENSITY * STANDARD_GRAVITY * max(head, 0.0) if base else 0.0),
        top="held" if base or case.held == "held" else "free",
    )


def needed_thickness(case: PaneCase, holes: tuple[HoleScreen, ...], plain: Dimensionless) -> Metre | None:
    """The least thickness at which the pane uses no more than its strength, to a tenth of a millimetre.

    Stress goes with 1/t2; only the raiser of a hole changes with the thickness besides, so a few rounds settle it.
    None where the raiser's formula does not reach the thickness it comes to.
    """
    now = case.thickness.value
    needed = now * math.sqrt(plain)
    try:
        for _ in range(6):
            shares = [plain]
            for one in holes:
                factor = hole_stress_factor(diameter=one.hole.diameter.value, thickness=needed)
                shares.append(one.use * factor / one.factor)
            needed = now * math.sqrt(max(shares))
    except OutsideValidRange:
        return None
    return math.ceil(needed / STEP - 1e-9) * STEP


def _holes(case: PaneCase, plate: LevyPlate, strengths: Strengths) -> tuple[HoleScreen, ...]:
    return tuple(
        hole_screen(hole, plate, strengths)
        for hole in case.holes
        if not hole.diameter.is_assumed and on_pane(case, hole)
    )


def hole_screen(hole: PaneHole, plate: LevyPlate, strengths: Strengths) -> HoleScreen:
    """The stresses of the plain pane round the hole's rim, and what the published raiser makes of the worst of them."""
    there = plate.hole_tension(hole.x, hole.y, diameter=hole.diameter.value)
    use = there.stress / strengths.working_edge.value
    return HoleScreen(
        hole=hole,
        along=there.first,
        across=there.second,
        factor=there.factor,
        edge_factor=there.edge_factor,
        stress=there.stress,
        use=use,
    )


def _governing(
    plate: LevyPlate, holes: tuple[HoleScreen, ...], strengths: Strengths
) -> tuple[Dimensionless, Governs, Pascal]:
    """The largest use, what it is of, and the stress there."""
    surface, edge = strengths.working_surface.value, strengths.working_edge.value
    found: list[tuple[Dimensionless, Governs, Pascal]] = [
        (plate.worst / surface, "surface", plate.worst),
        (plate.top_edge / edge, "edge", plate.top_edge),
    ]
    for one in holes:
        found.append((one.use, "hole", one.stress))
    return max(found, key=lambda one: one[0])


def _use_of(case: PaneCase, head: Metre, strengths: Strengths) -> Dimensionless:
    plate = plate_of(case, head)
    return _governing(plate, _holes(case, plate, strengths), strengths)[0]


def _brim_use(case: PaneCase, strengths: Strengths, still: Dimensionless) -> Dimensionless:
    """The use with water to the rim; an even load only grows, so a base needs no second series."""
    if case.pane != "base":
        return _use_of(case, case.brim, strengths)
    gradient = WATER_DENSITY * STANDARD_GRAVITY
    now = gradient * case.head + case.pressure
    return still * (gradient * max(case.brim, case.head) + case.pressure) / now if now > 0.0 else still


def _with_better(room: Room, screen: PaneScreen) -> PaneScreen:
    """The screening with a better place for the hole that governs, at the height at which its elbow holds the water."""
    case = screen.case
    if screen.governs != "hole" or screen.use < ASK_FROM:
        return screen
    now = max(screen.holes, key=lambda one: one.stress)
    index = case.holes.index(now.hole)
    around = HoleSurroundings(uprights=uprights_before(room, case), level=case.head)
    radius = now.hole.diameter.value / 2.0
    plate = plate_of(case, case.head)
    clear = radius + glass_to_edge(case, radius)
    found: list[tuple[Pascal, Metre]] = []
    for step in range(PLACES // 2 + 1):
        x = clear + (case.length - 2.0 * clear) * step / (PLACES - 1)
        open_at = [at for at in (x, case.length - x) if not kept_out(case, around, at, now.hole.y, index)]
        moved = replace(now.hole, x=x)
        if open_at and on_pane(case, moved):
            stress = hole_screen(moved, plate, screen.strengths).stress  # the same at either end
            found += [(stress, at) for at in open_at]
    if not found:
        return screen
    least = min(found)[0]
    # among places as good as the best, the one that moves the hole least
    stress, x = min(
        (one for one in found if one[0] <= 1.02 * least), key=lambda one: abs(one[1] - now.hole.x)
    )
    worst = max(stress / screen.strengths.working_edge.value, _plain_use(screen))
    if stress > MARKEDLY * now.stress:
        return screen
    from_left, below = case.as_drilled(x, now.hole.y)
    return replace(screen, better=BetterPlace(from_left=from_left, below_rim=below, stress=stress, use=worst))


def _plain_use(screen: PaneScreen) -> Dimensionless:
    strengths = screen.strengths
    return max(screen.plain / strengths.working_surface.value, screen.edge / strengths.working_edge.value)
