"""How each tank and each hole sits in its place: what is over it, how far one reaches, how it comes out."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

from tankwright.origin import Known
from tankwright.room.boxes import (
    along,
    along_span,
    ceiling_over,
    depth_span,
    gap_ahead,
    gap_to_wall,
    outside,
)
from tankwright.room.frames import OPPOSITE
from tankwright.room.model import Box, HolePlace, RackPlace, Room, Space, Tank, Wall
from tankwright.units import Metre

WayOut = Literal["front", "front after neighbours", "up", "tilt", "none", "not known"]


@dataclass(frozen=True, slots=True, kw_only=True)
class TankFit:
    """One tank in its place.

    `past_rack` is the most it stands out over its rack's ends, front or back. `clear_above` is from its rim
    to what is over it, `over_floor` its rim above the floor. `reach_back` is from the rack's front edge to
    the tank's back, `reach_corner` from its front rim down to the inside back corner. `front_clear` is the
    clear floor before it.
    """

    tank: str
    outside: Metre
    past_ceiling: Metre
    ceiling: str
    past_rack: Metre
    clear_above: Metre
    over_floor: Metre
    reach_back: Metre
    reach_corner: Metre
    front_clear: Metre | None
    way_out: WayOut


@dataclass(frozen=True, slots=True, kw_only=True)
class HoleFit:
    """One drilled hole; `number` counts those of a tank, the one that sets its level first.

    `to_next` is the glass from its rim to that of the nearest hole of the same pane, which is hole `next_number` and
    `next_diameter` wide; `flanges_apart` the same between what lies on the glass: flanges, or rims where none is known,
    of which `flanges_unknown` tells how many of the two. None in a pane of one hole.
    `upright_clearance` is from the flange (or the hole, when no flange is known) to the nearest upright along
    the rack, None when the hole faces none; `room_at_hole` is the clear way outside the pane.
    """

    tank: str
    toughened: bool
    temper_known: bool
    least_edge: Metre | None
    least_edge_name: str
    diameter: Known
    thickness: Known
    flange_known: bool
    upright_clearance: Metre | None
    room_at_hole: Metre | None
    number: int = 1
    to_next: Metre | None = None
    next_number: int | None = None
    next_diameter: Known | None = None
    flanges_apart: Metre | None = None
    flanges_unknown: int = 0


def tank_fit(
    tank: Tank, rack: RackPlace | None, space: Space | None, ahead: tuple[tuple[str, Box], ...]
) -> TankFit:
    """One tank against its room, its rack and what stands ahead of it (names and blocks)."""
    ceiling, name = ceiling_over(space, tank.box) if space else (math.inf, "")
    clear = min(tank.clear_above, ceiling - tank.box.z1)
    if rack is not None and 0 < tank.shelf < len(rack.shelves):
        clear = min(clear, rack.shelves[tank.shelf] - tank.box.z1)
    front: Metre | None = gap_to_wall(tank.box, tank.facing, space) if space else None
    for _, box in ahead:
        gap = gap_ahead(tank.box, tank.facing, box)
        if gap is not None:
            front = gap if front is None else min(front, gap)
    past_rack, setback = 0.0, 0.0
    if rack is not None:
        low, high = along_span(rack.box, rack.facing, tank.box)
        near, far = depth_span(rack.box, rack.facing, tank.box)
        past_rack = max(-low, high - rack.length, -near, far - rack.depth, 0.0)
        setback = max(near, 0.0)
    inside_depth = max(tank.depth - 2 * tank.glass_side.value, 0.0)
    return TankFit(
        tank=tank.id,
        outside=outside(space, tank.box) if space else 0.0,
        past_ceiling=max(tank.box.z1 - ceiling, 0.0),
        ceiling=name,
        past_rack=past_rack,
        clear_above=clear,
        over_floor=tank.rim - (space.box.z0 if space else 0.0),
        reach_back=setback + tank.depth,
        reach_corner=math.hypot(setback + inside_depth, tank.rim - tank.floor_inside),
        front_clear=front,
        way_out=_way_out(tank, rack, clear, front),
    )


def _way_out(tank: Tank, rack: RackPlace | None, clear: Metre, front: Metre | None) -> WayOut:
    """How an empty tank leaves its place, the easiest way first.

    Forward between the uprights; forward after its neighbours have made room to push it sideways; straight
    up; or turned onto its back as it comes out, which needs its diagonal in height. Geometry alone: a rail
    before the tank or a light over it is not known here.
    """
    if rack is None or front is None or clear < 0:
        return "not known" if clear >= 0 else "none"
    low, high = along_span(rack.box, rack.facing, tank.box)
    behind = any(min(high, end) - max(low, start) > 0.002 for start, end in rack.uprights)
    edges = [0.0, *(edge for pair in sorted(rack.uprights) for edge in pair), rack.length]
    bays = [edges[i + 1] - edges[i] for i in range(0, len(edges) - 1, 2)]
    if front >= tank.depth and not behind:
        return "front"
    if front >= tank.depth and max(bays) >= tank.length:
        return "front after neighbours"
    if clear >= tank.height:
        return "up"
    if front >= min(tank.depth, tank.height) and clear >= math.hypot(tank.depth, tank.height) - tank.height:
        return "tilt" if not behind or max(bays) >= tank.length else "none"
    return "none"


def hole_fits(room: Room, racks: dict[str, RackPlace], spaces: dict[str, Space]) -> tuple[HoleFit, ...]:
    """Every drilled hole against its pane, the rack's uprights and what stands outside it."""
    shelves: dict[tuple[str, int], list[Tank]] = {}
    for tank in room.tanks:
        shelves.setdefault((tank.rack, tank.shelf), []).append(tank)
    found = []
    drilled = [(tank, hole) for tank in room.tanks for hole in tank.holes]
    for tank, hole in drilled:
        rack, space = racks.get(tank.rack), spaces.get(tank.room)
        side = _side_of(tank, hole)
        edge_name, edge = min(hole.edge_distances, key=lambda pair: pair[1], default=("", None))
        fit = HoleFit(
            tank=tank.id, number=hole.number, toughened=tank.temper == "toughened" or hole.pane in tank.toughened,
            temper_known=tank.temper != "unknown", least_edge=edge, least_edge_name=edge_name,
            diameter=hole.diameter, thickness=hole.pane_thickness,
            flange_known=hole.flange is not None,
            upright_clearance=_upright_clearance(hole, rack, side),
            room_at_hole=_room_at(tank, side, room, space, shelves[tank.rack, tank.shelf]) if side else None,
        )  # fmt: skip
        found.append(_beside_its_next(fit, tank, hole))
    return tuple(found)


def _beside_its_next(fit: HoleFit, tank: Tank, hole: HolePlace) -> HoleFit:
    """The same with the glass left to the nearest other hole of its pane."""

    def rims(other: HolePlace) -> Metre:
        return math.dist(hole.centre, other.centre) - (hole.diameter.value + other.diameter.value) / 2.0

    others = [other for other in tank.holes if other is not hole and other.pane == hole.pane]
    if not others:
        return fit
    beside = min(others, key=rims)
    lying = [max(one.diameter.value, one.flange.value if one.flange else 0.0) for one in (hole, beside)]
    return replace(
        fit,
        to_next=rims(beside),
        next_number=beside.number,
        next_diameter=beside.diameter,
        flanges_apart=math.dist(hole.centre, beside.centre) - sum(lying) / 2.0,
        flanges_unknown=sum(one.flange is None for one in (hole, beside)),
    )


def _side_of(tank: Tank, hole: HolePlace) -> Wall | None:
    """The side of the tank the hole looks out of as it stands; None for a base."""
    if hole.pane == "base":
        return None
    x, y, _ = hole.centre
    box = tank.box
    away: dict[Wall, Metre] = {
        "west": abs(x - box.x0), "east": abs(x - box.x1), "south": abs(y - box.y0), "north": abs(y - box.y1)
    }  # fmt: skip
    return min(away, key=lambda wall: away[wall])


def _upright_clearance(hole: HolePlace, rack: RackPlace | None, side: Wall | None) -> Metre | None:
    if rack is None or side not in (rack.facing, OPPOSITE[rack.facing]) or not rack.uprights:
        return None
    radius = max(hole.diameter.value, hole.flange.value if hole.flange else 0.0) / 2
    at = along(rack.box, rack.facing, hole.centre)
    return min(max(start - (at + radius), (at - radius) - end) for start, end in rack.uprights)


def _room_at(tank: Tank, side: Wall, room: Room, space: Space | None, shelf: list[Tank]) -> Metre | None:
    gaps: list[Metre | None] = [gap_to_wall(tank.box, side, space)] if space else []
    gaps += [gap_ahead(tank.box, side, other.box) for other in shelf if other is not tank]
    gaps += [gap_ahead(tank.box, side, other.box) for other in room.racks if other.id != tank.rack]
    gaps += [gap_ahead(tank.box, side, box) for _, box in (space.obstacles if space else ())]
    known = [gap for gap in gaps if gap is not None]
    return min(known) if known else None
