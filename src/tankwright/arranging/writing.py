"""An answer as a change of the plan: its racks as TOML, and which rack each drain passes in which order."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from tankwright.arranging.model import Place, PlacedRack, TankRow
from tankwright.plan.changes_arrange import TakeArrangement
from tankwright.plan.changes_moves import written_length
from tankwright.plan.editing import quoted
from tankwright.plan.ids import ids_text
from tankwright.plan.models import Plan
from tankwright.room.frames import OPPOSITE, frame_of
from tankwright.room.model import Box, RackPlace, Room, Space, Wall
from tankwright.room.walls import Loop, loop_of
from tankwright.units import Metre, parse_quantity

_EXACT: Metre = 1e-4


def change_for(
    plan: Plan,
    room: Room,
    space: Space,
    out: Sequence[RackPlace],
    racks: Sequence[tuple[PlacedRack, Place]],
    words: str,
) -> TakeArrangement:
    """The change that puts these racks in the place of the racks `out`."""
    return TakeArrangement(
        out=tuple(rack.id for rack in out), put=tuple(_rack_toml(rack, plan.display) for rack, _ in racks),
        behind=tuple(_behind(plan, room, space, out, racks)), words=words,
    )  # fmt: skip


def drains_of(plan: Plan, room: Room, space: Space) -> list[str]:
    """The drains that pass racks of a room; without any the ones that end in it."""
    here = {rack.id for rack in room.racks if rack.room == space.id}
    passing = [name for name, drain in plan.drain.items() if not here.isdisjoint(drain.behind)]
    if passing:
        return passing
    rooms = {one.id: one.room for one in room.outfalls}
    return [
        name for name, drain in plan.drain.items() if not drain.behind and rooms.get(drain.to) == space.id
    ]


def _rack_toml(rack: PlacedRack, display: str) -> str:
    like = "1 in" if display == "US" else "1 cm"

    def long(length: Metre) -> str:
        return quoted(written_length(length, like, display))

    parts = [f"id = {quoted(rack.id)}", f"kind = {quoted(rack.kind)}", f"room = {quoted(rack.room)}"]
    if rack.wall is not None:
        key = "from_west" if rack.wall in ("north", "south") else "from_south"
        parts += [
            f"wall = {quoted(rack.wall)}",
            f"{key} = {long(rack.along or 0.0)}",
            f"off_wall = {long(rack.off_wall)}",
        ]
    elif rack.at is not None:
        parts += [f"at = [{long(rack.at[0])}, {long(rack.at[1])}]", f"facing = {quoted(rack.facing)}"]
    if rack.zone is not None:
        parts.append(f"zone = {quoted(rack.zone)}")
    if rack.tied is not None:
        parts.append(f"tied_to_wall = {str(rack.tied).lower()}")
    for number, shelf in enumerate(rack.shelves, start=1):
        rows = ", ".join(
            _row_toml(row, like, display) for one in shelf for row in _as_written(one, like, display)
        )
        parts.append(f"shelf.{number} = [{rows}]")
    return "{ " + ", ".join(parts) + " }"


def _as_written(row: TankRow, like: str, display: str) -> Iterator[TankRow]:
    """The row, or each of its tanks by itself where the gap between them cannot be written exactly."""
    if (
        row.gap is None
        or abs(parse_quantity(written_length(row.gap, like, display), "length").value - row.gap) < _EXACT
    ):
        yield row
        return
    step = row.gap + row.wide
    for number, name in enumerate(row.ids):
        yield replace(row, ids=(name,), from_left=row.from_left + number * step, gap=None)


def _row_toml(row: TankRow, like: str, display: str) -> str:
    parts = [f"kind = {quoted(row.kind)}", f"ids = {quoted(ids_text(row.ids))}"]
    if row.gap is not None:
        parts.append(f"gap = {quoted(written_length(row.gap, like, display))}")
    parts.append(f"from_left = {quoted(written_length(row.from_left, like, display))}")
    if row.end_on:
        parts.append("end_on = true")
    if row.state != "stands":
        parts.append(f"state = {quoted(row.state)}")
    return "{ " + ", ".join(parts) + " }"


# --- drains ------------------------------------------------------------------------------------------------------


def _behind(
    plan: Plan, room: Room, space: Space, out: Sequence[RackPlace], racks: Sequence[tuple[PlacedRack, Place]]
) -> Iterator[tuple[str, tuple[str, ...]]]:
    """For each drain that names its racks, those it now passes: a rack joins the drain that passed nearest to it."""
    leaving = {rack.id: rack for rack in out}
    naming = [name for name in drains_of(plan, room, space) if plan.drain[name].behind]
    if not naming:
        return
    loop = loop_of(space, 0.0)
    standing = {rack.id: rack for rack in room.racks}
    passed = [
        (_back(loop, standing[rack].box, standing[rack].facing), name)
        for name in naming for rack in plan.drain[name].behind if rack in standing
    ]  # fmt: skip
    joins: dict[str, dict[str, Metre]] = {name: {} for name in naming}
    for name in naming:
        for rack in plan.drain[name].behind:
            if rack in standing and rack not in leaving:
                joins[name][rack] = _back(loop, standing[rack].box, standing[rack].facing)
    for rack_put, place in racks:
        here = _back(loop, place.box, place.facing)
        nearest = min(passed, key=lambda one: (_round(loop, here, one[0]), one[1]), default=(0.0, naming[0]))[
            1
        ]
        joins[nearest][rack_put.id] = here
    for name in naming:
        ends = [one.place for one in room.outfalls if one.id == plan.drain[name].to]
        end = loop.nearest(*ends[0][:2]) if ends else 0.0
        yield name, _from_far_to_near(joins[name], loop, end)


def _back(loop: Loop, box: Box, facing: Wall) -> Metre:
    """Where on the loop round the walls the middle of a rack's back is."""
    frame = frame_of(box.x0, box.y0, box.x1, box.y1, facing)
    length = box.x1 - box.x0 if OPPOSITE[facing] in ("north", "south") else box.y1 - box.y0
    return loop.nearest(*frame.point(length / 2.0, 0.0))


def _round(loop: Loop, first: Metre, second: Metre) -> Metre:
    apart = abs(first - second)
    return round(min(apart, loop.length - apart), 6)


def _from_far_to_near(racks: dict[str, Metre], loop: Loop, end: Metre) -> tuple[str, ...]:
    """In the order of the water, the way round on which the farthest is nearer."""
    ways = []
    for direction in (1, -1):
        steps = {name: loop.distance(place, end, direction) for name, place in racks.items()}
        ways.append((max(steps.values(), default=0.0), sorted(racks, key=lambda name: -steps[name])))
    return tuple(min(ways, key=lambda way: way[0])[1])
