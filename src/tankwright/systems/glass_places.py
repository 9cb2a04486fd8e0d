"""Where a hole may be in its pane: what it must clear, and the water its elbow then holds. Geometry alone."""

from __future__ import annotations

import math
from typing import Final

from tankwright.physics.hole_stress import (
    least_hole_to_corner,
    least_hole_to_edge,
    least_hole_to_hole,
    usual_hole_to_edge,
)
from tankwright.room.boxes import along_span
from tankwright.room.braces import brace_strips
from tankwright.room.model import RackPlace, Room, Tank
from tankwright.room.places import hole_fits
from tankwright.systems.glass_full_model import HoleSurroundings, KeptOut
from tankwright.systems.glass_model import PaneCase
from tankwright.units import Metre

FLANGE_ROOM: Final = 0.015  # past the hole's rim for a flange nobody measured; common practice, no source
FILLET: Final = (
    0.008  # leg of the silicone along an inner corner, where no flange lies flat; common practice, no source
)
HOSE_LEAST: Final = (
    0.030  # outside a pane, for a nut and the first bend of a hose; common practice, no source
)
FREEBOARD: Final = 0.015  # least that an elbow should leave below the rim; common practice, no source
NEAR: Final = 1e-6  # m, so that what was laid out at a limit is not judged short of it


def surroundings(room: Room, case: PaneCase, index: int = 0) -> HoleSurroundings:
    """What stands round the pane of these tanks: uprights before any of them, the elbow, the room behind.

    `index` is which hole of the case; only the one the overflow stands in has an elbow.
    """
    tanks = [tank for tank in room.tanks if tank.id in set(case.tanks)]
    racks = {rack.id: rack for rack in room.racks}
    fits = {fit.tank: fit for fit in hole_fits(room, racks, {space.id: space for space in room.spaces})}
    rooms = [
        fits[tank.id].room_at_hole
        for tank in tanks
        if tank.id in fits and tank.hole is not None and tank.hole.pane == case.pane
    ]
    known = [gap for gap in rooms if gap is not None]
    first = tanks[0] if tanks else None
    elbow = None
    if index == 0 and first is not None and first.hole is not None and first.hole.pane == case.pane:
        elbow = first.overflow if first.overflow is not None and first.overflow.kind == "elbow" else None
    return HoleSurroundings(
        uprights=uprights_before(room, case),
        uprights_known=all(tank.rack in racks for tank in tanks),
        reach=elbow.reach.value if elbow else None,
        bore=elbow.bore.value if elbow else None,
        floor=first.substrate_depth if first is not None and case.pane != "base" else 0.0,
        level=case.head,
        hose=min(known) if known else None,
    )


def uprights_before(room: Room, case: PaneCase) -> tuple[tuple[Metre, Metre], ...]:
    """From and to along the pane's x of every upright that stands before it, over all tanks of the case."""
    names = set(case.tanks)
    racks = {rack.id: rack for rack in room.racks}
    shadows: dict[tuple[Metre, Metre], None] = {}
    for tank in room.tanks:
        if tank.id in names:
            for start, end in _uprights_before(tank, racks.get(tank.rack), case):
                shadows[round(start, 4), round(end, 4)] = None
    return tuple(sorted(shadows))


def kept_out(
    case: PaneCase, around: HoleSurroundings, x: Metre, y: Metre, index: int = 0
) -> tuple[KeptOut, ...]:
    """Every reason why the case's hole may not have its centre there; none when it may.

    A case without a hole is asked with no size of one, and so only the corner, uprights and hose speak.
    """
    hole = case.holes[index] if index < len(case.holes) else None
    radius = hole.diameter.value / 2.0 if hole else 0.0
    flange = radius + FLANGE_ROOM
    if hole is not None and hole.flange is not None:
        flange = max(radius, hole.flange.value / 2.0)
    reasons: list[KeptOut] = []
    if min(_to_edges(case, x, y)) - radius < glass_to_edge(case, radius) - NEAR:
        reasons.append("edge")
    if _to_corner(case, x, y) - radius < least_hole_to_corner(thickness=case.thickness.value) - NEAR:
        reasons.append("corner")
    if any(start < x + flange - NEAR and x - flange + NEAR < end for start, end in around.uprights):
        reasons.append("upright")
    if _in_brace(case, x, y, flange):
        reasons.append("brace")
    if min(_to_silicone(case, x, y)) < flange - NEAR:
        reasons.append("flange")
    if around.hose is not None and around.hose < HOSE_LEAST:
        reasons.append("hose")
    for number, other in enumerate(case.holes):
        apart = math.hypot(other.x - x, other.y - y)
        both = radius + other.diameter.value / 2.0
        if number != index and apart - both < max(
            2.0 * radius, least_hole_to_hole(thickness=case.thickness.value)
        ):
            reasons.append("another hole")
            break
    levels = levels_at(case, around, y)
    if levels is not None and (
        levels[0] < FREEBOARD or case.height - levels[1] <= around.floor or levels[1] > case.height
    ):
        reasons.append("level")
    return tuple(reasons)


def levels_at(case: PaneCase, around: HoleSurroundings, y: Metre) -> tuple[Metre, Metre] | None:
    """The lowest and the highest still water an elbow in a hole at that height can hold, as depths below the rim: the
    larger number first. None where no elbow stands in it.

    Source: `physics.elbows`: its mouth lies sideways, or straight up.
    """
    if around.reach is None or around.bore is None or case.pane == "base":
        return None
    return case.height - (y - around.bore / 2.0), case.height - (y + around.reach)


def holds_the_level(case: PaneCase, around: HoleSurroundings, y: Metre) -> bool:
    """Whether the wanted still water can be held from there; anything can where no elbow sets it."""
    levels = levels_at(case, around, y)
    below = case.height - around.level
    return levels is None or levels[1] - NEAR <= below <= levels[0] + NEAR


def glass_to_edge(case: PaneCase, radius: Metre) -> Metre:
    """The glass to leave between a hole's rim and the nearest edge: its diameter, and no less than can be made."""
    made = least_hole_to_edge(thickness=case.thickness.value)
    return max(usual_hole_to_edge(diameter=2.0 * radius), made) if radius > 0.0 else made


def nearest_and_farthest(case: PaneCase, radius: Metre) -> tuple[Metre, Metre, Metre, Metre]:
    """From and to of x, from and to of y, within which one diameter of glass stands all round a hole."""
    clear = radius + glass_to_edge(case, radius)
    left, right, lower, upper = _to_edges(case, 0.0, 0.0)
    return clear - left, right - clear, clear - lower, upper - clear


def _to_edges(case: PaneCase, x: Metre, y: Metre) -> tuple[Metre, Metre, Metre, Metre]:
    """From a place to the pane's own left, right, lower and upper edge: front, back and base reach past what holds
    them, by half a glass; ends stand between front and back."""
    past = 0.0 if case.pane in ("left", "right") else case.offset[0]
    under = case.offset[1] if case.pane == "base" else 0.0
    return x + past, case.length + past - x, y + under, case.height + under - y


def _to_corner(case: PaneCase, x: Metre, y: Metre) -> Metre:
    left, right, lower, upper = _to_edges(case, x, y)
    return math.hypot(min(left, right), min(lower, upper))


def _to_silicone(case: PaneCase, x: Metre, y: Metre) -> tuple[Metre, ...]:
    """From a place to the silicone in the inner corners, and to the upper edge of a wall."""
    stands = 0.0 if case.pane in ("left", "right") else case.offset[0]
    sides = (x - stands - FILLET, case.length - stands - FILLET - x)
    if case.pane == "base":
        return *sides, y - case.offset[1] - FILLET, case.height - case.offset[1] - FILLET - y
    return *sides, y - FILLET, case.height - y


def _in_brace(case: PaneCase, x: Metre, y: Metre, flange: Metre) -> bool:
    brace = case.brace
    if brace is None or case.pane == "base" or y + flange <= case.height - brace.thickness.value + NEAR:
        return False
    if brace.kind == "euro":
        return True
    at = x + case.offset[0]
    strips = brace_strips(brace, case.outside[0])
    return any(start - flange < at < end + flange for start, end in strips)


def _uprights_before(tank: Tank, rack: RackPlace | None, case: PaneCase) -> list[tuple[Metre, Metre]]:
    """From and to along the pane's x of each upright that stands before it, in front of or behind the rack.

    An end-on tank has its drilled end behind, its front to the left of someone at the rack's front for the left end and
    to the right for the right one; the back of a tank that is not turned runs along its rack.
    """
    if rack is None or case.pane in ("base", "front"):
        return []
    turned = case.pane in ("left", "right")
    if turned is not tank.end_on:
        return []  # it looks along the rack, at its neighbour
    low, high = along_span(rack.box, rack.facing, tank.box)
    found = []
    for start, end in rack.uprights:
        if end <= low or start >= high:
            continue
        near, far = (high - end, high - start) if case.pane == "right" else (start - low, end - low)
        found.append((near - case.offset[0], far - case.offset[0]))
    return found
