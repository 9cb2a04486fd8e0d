"""Does everything fit: walls and ceilings, overlaps, doors, aisles, the way in, reach, lifting out, holes.

Only lengths and which thing is nearest; what they mean is said in `checks.layout`. Lengths are in metres, a
negative clearance means that two things run into each other.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Final, Literal

from tankwright.catalogue.assumptions import ASSUMPTIONS
from tankwright.origin import Known
from tankwright.room.boxes import (
    ceiling_over,
    door_sweeps,
    gap_ahead,
    gap_to_wall,
    outside,
    overlapping_pairs,
    span,
)
from tankwright.room.frames import OPPOSITE
from tankwright.room.model import Box, Opening, RackPlace, Room, Space, Wall
from tankwright.room.places import HoleFit, TankFit, hole_fits, tank_fit
from tankwright.room.ways import widest_ways
from tankwright.units import Metre, SquareMetre

ClashKind = Literal["racks", "rack and obstacle", "tanks", "tank and obstacle"]

STANDING_ROOM: Final[Metre] = 0.6
"""How far in front of a rack one stands to work it. Source: common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Aisle:
    """The clear way in front of a rack, to what is nearest, as a dimension line on the floor.

    `needed` is what the owner accepts, or the assumption. Two racks that face each other share one aisle.
    """

    racks: tuple[str, ...]
    space: str
    to: str
    start: tuple[Metre, Metre]
    end: tuple[Metre, Metre]
    width: Metre
    needed: Known


@dataclass(frozen=True, slots=True, kw_only=True)
class RackFit:
    """One rack in its room.

    `way` is the widest way from a door to its front (None: no door is known), short by up to `way_step`.
    `outside` and `past_ceiling` are how far it stands through walls and ceiling, 0 when it does not.
    """

    rack: str
    outside: Metre
    past_ceiling: Metre
    ceiling: str
    way: Metre | None
    way_step: Metre


@dataclass(frozen=True, slots=True, kw_only=True)
class DoorFit:
    """One door. `swept` are the ids its leaf strikes whichever side it is hinged on, `perhaps_swept` those it
    strikes on one side only while the side is not known. `carried` is the least width its widest tank needs.
    """

    name: str
    space: str
    width: Metre
    swept: tuple[str, ...]
    perhaps_swept: tuple[str, ...]
    widest_tank: str | None
    carried: Metre | None
    line: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Clash:
    """Two things that run into each other, and by how much on the axis where it is least."""

    kind: ClashKind
    first: str
    second: str
    depth: Metre


@dataclass(frozen=True, slots=True, kw_only=True)
class SpaceFit:
    """How full a room is."""

    space: str
    area: SquareMetre
    tanks: int
    tanks_per_area: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LayoutResult:
    """Everything that decides whether the room can be built and worked in. `clear_needed` and `arm` are the
    assumptions the checks compare with. `not_computed` holds (subject, reason).
    """

    racks: tuple[RackFit, ...]
    tanks: tuple[TankFit, ...]
    holes: tuple[HoleFit, ...]
    doors: tuple[DoorFit, ...]
    aisles: tuple[Aisle, ...]
    clashes: tuple[Clash, ...]
    spaces: tuple[SpaceFit, ...]
    clear_needed: Known
    arm: Known
    not_computed: tuple[tuple[str, str], ...] = ()


def solve_layout(room: Room) -> LayoutResult:
    """How everything in the room fits.

    Source: geometry; the least measures it is compared with are in `checks.layout`.

    >>> solve_layout(Room(title="", display="metric", spaces=(), racks=(), tanks=())).clashes
    ()
    """
    spaces = {space.id: space for space in room.spaces}
    racks = {rack.id: rack for rack in room.racks}
    missing: list[tuple[str, str]] = []
    ways = _ways(room, missing)
    rack_fits = tuple(_rack_fit(rack, spaces.get(rack.room), ways) for rack in room.racks)
    ahead = {rack.id: _things_ahead(rack, room, spaces.get(rack.room)) for rack in room.racks}
    for tank in room.tanks:
        if tank.rack not in racks:
            missing.append(
                (f"tank {tank.id}", "its rack is not in the room, so its reach and its uprights are unknown")
            )
        if tank.room not in spaces:
            missing.append((f"tank {tank.id}", "its room is not described, so walls and ceiling are unknown"))
    return LayoutResult(
        racks=rack_fits,
        tanks=tuple(
            tank_fit(tank, racks.get(tank.rack), spaces.get(tank.room), ahead.get(tank.rack, ()))
            for tank in room.tanks
        ),
        holes=hole_fits(room, racks, spaces),
        doors=tuple(_door_fit(number, opening, space, room)
                    for space in room.spaces
                    for number, opening in enumerate(_doors(space), start=1)),
        aisles=_aisles(room, spaces, ahead),
        clashes=_clashes(room),
        spaces=tuple(_space_fit(space, room) for space in room.spaces),
        clear_needed=room.clear_above or ASSUMPTIONS["reach.clear_above"].known(),
        arm=room.arm or ASSUMPTIONS["reach.arm"].known(),
        not_computed=tuple(missing),
    )  # fmt: skip


# --- racks, aisles and ways ------------------------------------------------------------


def _things_ahead(rack: RackPlace, room: Room, space: Space | None) -> tuple[tuple[str, Box], ...]:
    """Everything that stands ahead of a rack's working side, with its name."""
    others = [
        (f"rack {other.id}", other.box)
        for other in room.racks
        if other is not rack and other.room == rack.room
    ]
    if space is not None:
        others += [(name, box) for name, box in space.obstacles]
    return tuple((name, box) for name, box in others if gap_ahead(rack.box, rack.facing, box) is not None)


def _aisles(
    room: Room, spaces: dict[str, Space], ahead: dict[str, tuple[tuple[str, Box], ...]]
) -> tuple[Aisle, ...]:
    found: dict[frozenset[str], Aisle] = {}
    for rack in room.racks:
        space = spaces.get(rack.room)
        if space is None:
            continue
        width, to, block = gap_to_wall(rack.box, rack.facing, space), "wall", space.box
        for name, box in ahead[rack.id]:
            gap = gap_ahead(rack.box, rack.facing, box)
            if gap is not None and gap < width:
                width, to, block = gap, name, box
        facing_back = to.startswith("rack ") and any(
            f"rack {other.id}" == to and other.facing == OPPOSITE[rack.facing] for other in room.racks
        )
        key = frozenset((f"rack {rack.id}", to if facing_back else f"aisle of {rack.id}"))
        known = space.aisle or ASSUMPTIONS["aisle.least"].known()
        start, end = _dimension_line(rack, block, width)
        if key in found:
            found[key] = replace(found[key], racks=(*found[key].racks, rack.id))
            continue
        found[key] = Aisle(
            racks=(rack.id,), space=space.id, to=to, start=start, end=end, width=width, needed=known
        )
    return tuple(found.values())


def _dimension_line(
    rack: RackPlace, block: Box, width: Metre
) -> tuple[tuple[Metre, Metre], tuple[Metre, Metre]]:
    low, high = span(rack.box, rack.facing)
    other_low, other_high = span(block, rack.facing)
    middle = (max(low, other_low) + min(high, other_high)) / 2
    if rack.facing == "south":
        return (middle, rack.box.y0), (middle, rack.box.y0 - width)
    if rack.facing == "north":
        return (middle, rack.box.y1), (middle, rack.box.y1 + width)
    if rack.facing == "east":
        return (rack.box.x1, middle), (rack.box.x1 + width, middle)
    return (rack.box.x0, middle), (rack.box.x0 - width, middle)


def _ways(room: Room, missing: list[tuple[str, str]]) -> dict[str, tuple[Metre, Metre]]:
    """Width of the widest way to each rack and the step it was searched with."""
    found: dict[str, tuple[Metre, Metre]] = {}
    for space in room.spaces:
        racks = [rack for rack in room.racks if rack.room == space.id]
        if not racks:
            continue
        doors = [(door.start, door.end) for door in _doors(space)]
        if not doors:
            missing.append(
                (f"room {space.id}", "no door is described, so the way to its racks was not searched")
            )
            continue
        solids = [rack.box for rack in racks] + [box for _, box in space.obstacles]
        ways = widest_ways(space.box, solids, doors, [_front(rack) for rack in racks])
        found.update({rack.id: (way, ways.cell) for rack, way in zip(racks, ways.widths, strict=True)})
    return found


def _front(rack: RackPlace) -> Box:
    """The floor one stands on to work a rack."""
    box = rack.box
    x0, y0, x1, y1 = box.x0, box.y0, box.x1, box.y1
    if rack.facing == "south":
        y0, y1 = box.y0 - STANDING_ROOM, box.y0
    elif rack.facing == "north":
        y0, y1 = box.y1, box.y1 + STANDING_ROOM
    elif rack.facing == "east":
        x0, x1 = box.x1, box.x1 + STANDING_ROOM
    else:
        x0, x1 = box.x0 - STANDING_ROOM, box.x0
    return Box(x0=x0, y0=y0, z0=box.z0, x1=x1, y1=y1, z1=box.z1)


def _rack_fit(rack: RackPlace, space: Space | None, ways: dict[str, tuple[Metre, Metre]]) -> RackFit:
    way, step = ways.get(rack.id, (None, 0.0))
    height, name = ceiling_over(space, rack.box) if space else (math.inf, "")
    return RackFit(
        rack=rack.id, outside=outside(space, rack.box) if space else 0.0,
        past_ceiling=max(rack.box.z1 - height, 0.0), ceiling=name, way=way, way_step=step,
    )  # fmt: skip


def _clashes(room: Room) -> tuple[Clash, ...]:
    racks = [(rack.id, rack.box) for rack in room.racks]
    tanks = [(tank.id, tank.box) for tank in room.tanks]
    obstacles = [(name, box) for space in room.spaces for name, box in space.obstacles]
    found: list[tuple[ClashKind, Iterable[tuple[str, str, Metre]]]] = [
        ("racks", _pairs(racks)),
        ("rack and obstacle", _pairs(racks, obstacles)),
        ("tanks", _pairs(tanks)),
        ("tank and obstacle", _pairs(tanks, obstacles)),
    ]
    return tuple(
        Clash(kind=kind, first=first, second=second, depth=depth)
        for kind, pairs in found for first, second, depth in pairs
    )  # fmt: skip


def _pairs(
    things: list[tuple[str, Box]], others: list[tuple[str, Box]] | None = None
) -> Iterable[tuple[str, str, Metre]]:
    every = things + (others or [])
    for first, second, depth in overlapping_pairs([box for _, box in every]):
        between = first < len(things) <= second
        if between or others is None:
            yield every[first][0], every[second][0], depth


# --- doors and spaces ------------------------------------------------------------


def _doors(space: Space) -> tuple[Opening, ...]:
    return tuple(opening for opening in space.openings if opening.kind == "door")


def _door_fit(number: int, door: Opening, space: Space, room: Room) -> DoorFit:
    # Standing on its base and carried lengthwise, a tank passes by the lesser of its two horizontal measures.
    widest = max(room.tanks, key=lambda tank: min(tank.length, tank.depth), default=None)
    swept: set[str] = set()
    perhaps: set[str] = set()
    if not door.swing.startswith("slide"):
        into: Wall = door.wall if door.swing.startswith("out") else OPPOSITE[door.wall]
        things = [(f"rack {rack.id}", rack.box) for rack in room.racks]
        things += [(name, box) for other in room.spaces for name, box in other.obstacles]
        hinges = [door.hinge] if door.hinge is not None else [door.start, door.end]
        struck = [
            {name for name, box in things if door_sweeps(hinge, _other_end(door, hinge), into, box)}
            for hinge in hinges
        ]
        swept = set.intersection(*struck)
        perhaps = set.union(*struck) - swept
    return DoorFit(
        name=f"{door.wall} door of {space.id}" if len(_doors(space)) == 1 else f"door {number} of {space.id}",
        space=space.id,
        width=math.dist(door.start, door.end),
        swept=tuple(sorted(swept)), perhaps_swept=tuple(sorted(perhaps)),
        widest_tank=widest.id if widest else None,
        carried=min(widest.length, widest.depth) if widest else None,
        line=door.line,
    )  # fmt: skip


def _other_end(door: Opening, hinge: tuple[Metre, Metre]) -> tuple[Metre, Metre]:
    return door.end if math.dist(hinge, door.start) <= math.dist(hinge, door.end) else door.start


def _space_fit(space: Space, room: Room) -> SpaceFit:
    area = (space.box.x1 - space.box.x0) * (space.box.y1 - space.box.y0)
    tanks = sum(1 for tank in room.tanks if tank.room == space.id)
    return SpaceFit(space=space.id, area=area, tanks=tanks, tanks_per_area=tanks / area if area > 0 else 0.0)
