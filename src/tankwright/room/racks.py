"""Racks where they stand: along a wall with their back to it, or as an island."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from tankwright.origin import Known, Origin, derived
from tankwright.plan.models import Plan, Rack, RackKind
from tankwright.room.defaults import Defaults, scaled
from tankwright.room.frames import OPPOSITE, Frame, frame_of
from tankwright.room.members import Members
from tankwright.room.mistakes import (
    NAME_USED_TWICE,
    PLACE_TAKEN,
    RACK_OUTSIDE_ROOM,
    RACK_PLACE_NOT_SAID,
    UPRIGHT_OUTSIDE_RACK,
    UPRIGHTS_TOO_SHORT,
    WRONG_WAY_ALONG_WALL,
    Mistakes,
    metres,
)
from tankwright.room.model import Box, RackBuilt, RackPlace, Space, Wall
from tankwright.room.rack_builds import Builds
from tankwright.units import Metre

MAIN_ZONE = "main"
TOLERANCE = 1e-3
"""m by which a rack may be over the edge of its room before it is said."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stand:
    """A rack, its own directions, and how far its back is from the wall behind it (None for an island)."""

    place: RackPlace
    frame: Frame
    space: Space
    table: Rack
    kind: RackKind
    wall: Wall | None
    behind: Metre


@dataclass(frozen=True, slots=True, kw_only=True)
class _Laying:
    builds: Builds
    built: dict[str, RackBuilt | None]


def lay_racks(
    plan: Plan,
    spaces: Mapping[str, Space],
    defaults: Defaults,
    mistakes: Mistakes,
    members: Members | None = None,
) -> dict[str, Stand]:
    """Every rack that can be placed, by its name and in the plan's order."""
    stands: dict[str, Stand] = {}
    laying = _Laying(
        builds=Builds(
            members=members or Members(plan.section, mistakes), defaults=defaults, mistakes=mistakes
        ),
        built={},
    )
    ends: dict[tuple[str, Wall], Metre] = {}
    for table in plan.rack:
        subject = f"rack {table.id}"
        if table.id in stands:
            mistakes.say(
                NAME_USED_TWICE,
                subject,
                "has a name another rack has",
                line=table.line,
                reason="only the first is laid out",
                remedy="give it a name of its own",
            )
            continue
        kind = plan.rack_kind.get(table.kind)
        if kind is None:
            close = mistakes.unknown(subject, "kind of rack", table.kind, tuple(plan.rack_kind), table.line)
            kind = plan.rack_kind.get(close)
        space = spaces.get(table.room)
        if space is None:
            close = mistakes.unknown(subject, "room", table.room, tuple(spaces), table.line)
            space = spaces.get(close) or (next(iter(spaces.values())) if len(spaces) == 1 else None)
        if kind is None or space is None:
            continue
        stand = _stand(table, kind, space, ends, defaults, mistakes)
        stands[table.id] = replace(stand, place=_as_built(stand, laying))
    return stands


def _stand(
    table: Rack,
    kind: RackKind,
    space: Space,
    ends: dict[tuple[str, Wall], Metre],
    defaults: Defaults,
    mistakes: Mistakes,
) -> Stand:
    length, depth = kind.length.value, kind.depth.value
    wall = table.wall
    if table.at is not None:
        wall = None
        facing: Wall = table.facing or (OPPOSITE[table.wall] if table.wall else "south")
        if table.facing is None and table.wall is None:
            mistakes.note(
                PLACE_TAKEN,
                f"rack {table.id}",
                "is taken to be worked from the south",
                line=table.line,
                remedy='write facing = "south" or another side',
            )
        x0, y0 = space.box.x0 + table.at[0].value, space.box.y0 + table.at[1].value
        behind = 0.0
    else:
        if wall is None:
            wall = _wall_in_place(table, mistakes)
        facing = OPPOSITE[wall]
        behind = defaults.take("rack.off_wall", table.off_wall).value
        x0, y0 = _against(wall, table, space, length, depth, behind, ends, mistakes)
    along_x = facing in ("north", "south")
    wide, deep = (length, depth) if along_x else (depth, length)
    heights = tuple(sorted(shelf.value for shelf in kind.shelves))
    top = kind.height.value if kind.height else (heights[-1] if heights else 0.0)
    box = Box(x0=x0, y0=y0, z0=0.0, x1=x0 + wide, y1=y0 + deep, z1=top)
    _say_outside(table, box, space, mistakes)
    uprights = _uprights(kind, length, defaults)
    _say_wrong_uprights(table.kind, kind, length, mistakes)
    shelf_area = length * depth * max(len(heights), 1)
    legs = kind.legs
    place = RackPlace(
        id=table.id,
        kind=table.kind,
        room=space.id,
        zone=table.zone or MAIN_ZONE,
        box=box,
        facing=facing,
        length=length,
        depth=depth,
        shelves=heights,
        uprights=uprights,
        mass=kind.mass or scaled(defaults.take("rack.mass"), shelf_area),
        legs=_given_count(legs, kind.line) if legs else derived(2.0 * len(uprights), "two to an upright"),
        shelf_rating=kind.shelf_rating,
        shelf_thickness=kind.shelf_thickness,
        tied_to_wall=table.tied_to_wall,
        island=wall is None,
        line=table.line,
    )
    frame = frame_of(box.x0, box.y0, box.x1, box.y1, facing)
    return Stand(place=place, frame=frame, space=space, table=table, kind=kind, wall=wall, behind=behind)


def _as_built(stand: Stand, laying: _Laying) -> RackPlace:
    """The rack with what it is built of, read once a kind, and the sags read off it."""
    name = stand.place.kind
    if name not in laying.built:
        laying.built[name] = laying.builds.built(name, stand.kind)
    built = laying.built[name]
    return replace(stand.place, built=built, sag=laying.builds.sags(stand.table, stand.kind, built))


def _given_count(number: int, line: int | None) -> Known:
    return Known(float(number), Origin.GIVEN, line=line)


def _wall_in_place(table: Rack, mistakes: Mistakes) -> Wall:
    mistakes.say(
        RACK_PLACE_NOT_SAID,
        f"rack {table.id}",
        "has no place: neither a wall nor a corner of its own is said",
        line=table.line,
        reason="it is drawn along the north wall, which need not be true",
        remedy='write wall = "north" and from_west, or at = ["1 m", "1 m"] and facing for an island',
    )
    return "north"


def _against(
    wall: Wall,
    table: Rack,
    space: Space,
    length: Metre,
    depth: Metre,
    behind: Metre,
    ends: dict[tuple[str, Wall], Metre],
    mistakes: Mistakes,
) -> tuple[Metre, Metre]:
    room = space.box
    along_x = wall in ("north", "south")
    said = table.from_west if along_x else table.from_south
    other = table.from_south if along_x else table.from_west
    right_key, wrong_key = ("from_west", "from_south") if along_x else ("from_south", "from_west")
    if other is not None:
        mistakes.say(
            WRONG_WAY_ALONG_WALL,
            f"rack {table.id}",
            f"says {wrong_key}, but its wall runs the other way",
            line=table.line,
            reason=f"along a {wall} wall a place is measured {right_key.replace('_', ' ')}",
            remedy=f"write {right_key} instead",
            found=wrong_key,
            wanted=right_key,
        )
    if said is None:
        start = ends.get((space.id, wall), 0.0)
        mistakes.note(
            PLACE_TAKEN,
            f"rack {table.id}",
            f"has no {right_key}: it is stood against what comes before it",
            line=table.line,
            remedy=f'write {right_key} = "..."',
        )
    else:
        start = said.value
    ends[(space.id, wall)] = max(ends.get((space.id, wall), 0.0), start + length)
    if wall == "north":
        return room.x0 + start, room.y1 - behind - depth
    if wall == "south":
        return room.x0 + start, room.y0 + behind
    if wall == "east":
        return room.x1 - behind - depth, room.y0 + start
    return room.x0 + behind, room.y0 + start


def _say_outside(table: Rack, box: Box, space: Space, mistakes: Mistakes) -> None:
    room = space.box
    over = {
        "west": room.x0 - box.x0,
        "east": box.x1 - room.x1,
        "south": room.y0 - box.y0,
        "north": box.y1 - room.y1,
    }
    side, most = max(over.items(), key=lambda one: one[1])
    if most > TOLERANCE:
        mistakes.say(
            RACK_OUTSIDE_ROOM,
            f"rack {table.id}",
            f"stands {{over}} outside the {side} wall of {space.id}",
            line=table.line,
            numbers=(("over", metres(most)),),
            places=(table.id,),
            reason="it does not fit where the plan puts it",
            remedy="move it, turn it, or measure the room again",
        )


def _uprights(kind: RackKind, length: Metre, defaults: Defaults) -> tuple[tuple[Metre, Metre], ...]:
    """From and to of each upright along the front; one at each end when the plan does not say."""
    width = min(defaults.take("rack.upright_width", kind.upright_width).value, length)
    starts = [one.value for one in kind.uprights_at] or [0.0, length - width]
    placed = sorted({min(start, length - width) for start in starts})
    return tuple((start, start + width) for start in placed)


def _say_wrong_uprights(name: str, kind: RackKind, length: Metre, mistakes: Mistakes) -> None:
    """Uprights that stand past the rack's end, or end below its highest shelf."""
    farthest = max((one.value for one in kind.uprights_at), default=0.0)
    if farthest > length + TOLERANCE:
        mistakes.say(
            UPRIGHT_OUTSIDE_RACK,
            f"rack kind {name}",
            "has an upright {at} from its left end, and is {length} long",
            line=kind.line,
            numbers=(("at", metres(farthest)), ("length", metres(length))),
            reason="it is put at the rack's end, so spans and feet are not as they were written",
            remedy="measure uprights_at from the rack's left end to the left side of each upright",
        )
    highest = max((shelf.value for shelf in kind.shelves), default=0.0)
    if kind.height is not None and kind.height.value < highest - TOLERANCE:
        mistakes.say(
            UPRIGHTS_TOO_SHORT,
            f"rack kind {name}",
            "has uprights {height} high, and a shelf at {shelf}",
            line=kind.line,
            numbers=(("height", metres(kind.height.value)), ("shelf", metres(highest))),
            reason="nothing carries that shelf",
            remedy="measure height and shelves again, both from the floor",
        )
