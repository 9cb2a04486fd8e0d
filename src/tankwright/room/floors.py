"""What is under the floor of a room: joists, voids no foot may stand over, and what someone licensed said of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from tankwright.plan.models import Joists, RoomTable
from tankwright.room.members import Asked, Members
from tankwright.room.mistakes import JOISTS_UNDER_SLAB, VOID_OUTSIDE_ROOM, Mistakes, metres
from tankwright.room.model import Box, Space
from tankwright.room.model_structure import JoistsPlace

TOLERANCE = 1e-3
"""m by which a void may be over the edge of its room before it is said."""


def lay_floors(
    rooms: Mapping[str, RoomTable], spaces: tuple[Space, ...], members: Members, mistakes: Mistakes
) -> tuple[Space, ...]:
    """The same rooms with their joists, voids and limit."""
    return tuple(
        replace(
            space,
            joists=_joists(space, rooms[space.id].joists, members, mistakes),
            voids=_voids(space, rooms[space.id], mistakes),
            floor_limit=rooms[space.id].floor_limit,
        )
        if rooms[space.id].joists or rooms[space.id].voids or rooms[space.id].floor_limit
        else space
        for space in spaces
    )


def _joists(space: Space, table: Joists | None, members: Members, mistakes: Mistakes) -> JoistsPlace | None:
    if table is None:
        return None
    if space.floor in ("slab", "tiles on slab"):
        mistakes.say(
            JOISTS_UNDER_SLAB,
            f"room {space.id}",
            f'has joists under a floor that is said to be "{space.floor}"',
            line=table.line or space.line,
            reason="a slab on the ground has none: one of the two is not so",
            remedy='write floor = "timber", or take the joists out',
            found=f'floor = "{space.floor}"',
            wanted='"timber" or "other"',
        )
    box = space.box
    low, high = (box.y0, box.y1) if table.run == "north-south" else (box.x0, box.x1)
    start = low + (table.starts.value if table.starts else 0.0)
    end = start + table.span.value if table.span else high
    asked = Asked(subject=f"room {space.id}", key="joists", line=table.line or space.line)
    return JoistsPlace(
        member=members.read(table.section, asked),
        every=table.every,
        run=table.run,
        start=start,
        end=max(end, start),
        line=table.line,
    )


def _voids(space: Space, table: RoomTable, mistakes: Mistakes) -> tuple[tuple[str, Box], ...]:
    room, found = space.box, []
    for void in table.voids:
        x, y = room.x0 + void.at[0].value, room.y0 + void.at[1].value
        box = Box(x0=x, y0=y, z0=0.0, x1=x + void.size[0].value, y1=y + void.size[1].value, z1=0.0)
        over = max(room.x0 - box.x0, box.x1 - room.x1, room.y0 - box.y0, box.y1 - room.y1)
        if over > TOLERANCE:
            mistakes.say(
                VOID_OUTSIDE_ROOM,
                f"room {space.id}",
                f"has a void, {void.name}, that lies {{over}} outside its walls",
                line=void.line or space.line,
                numbers=(("over", metres(over)),),
                reason="what of it lies in the room is kept",
                remedy="measure it again from the south-west corner",
            )
        found.append((void.name, box))
    return tuple(found)
