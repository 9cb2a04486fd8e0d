"""Floors under racks: every foot where it stands, what the room carries on the whole, and what comes to joists.

Nothing here says that a floor holds: the figures are for someone licensed to judge it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from typing import Literal

from tankwright.origin import Known
from tankwright.physics.beam_solver import simple_beam
from tankwright.physics.constants import STANDARD_GRAVITY
from tankwright.physics.footing import floor_pressure, joist_moment
from tankwright.room.assumed import assumed
from tankwright.room.frames import frame_of
from tankwright.room.model import Box, RackPlace, Room, Space
from tankwright.room.model_structure import JoistsPlace
from tankwright.systems.racks_model import FloorStrength, FootPlace, JoistLoad, Patch, PostResult
from tankwright.systems.racks_posts import deep_of
from tankwright.units import Kilogram, Metre, Pascal

LEAST = 1e-6
SMALLEST = 1e-4
"""m2 of floor or footprint a pressure is told for."""
HEAVIEST = 1e7
"""N/m a beam is worked out for."""
SPANS, SPACINGS = (0.1, 20.0), (0.05, 3.0)
"""m: what joists may span and lie apart to be worked out; the range of `joist_moment`."""


def floors_of(
    room: Room, totals: Mapping[str, Kilogram], posts: Mapping[str, Sequence[PostResult]]
) -> tuple[FloorStrength, ...]:
    """The floor of every room in which a rack stands. `totals` are racks with their tanks, `posts` their uprights."""
    return tuple(
        _floor(room, space, racks, totals, posts)
        for space in room.spaces
        if (racks := [rack for rack in room.racks if rack.room == space.id])
    )


def _floor(
    room: Room,
    space: Space,
    racks: Sequence[RackPlace],
    totals: Mapping[str, Kilogram],
    posts: Mapping[str, Sequence[PostResult]],
) -> FloorStrength:
    area = (space.box.x1 - space.box.x0) * (space.box.y1 - space.box.y0)
    pressures = {
        rack.id: floor_pressure(force=totals[rack.id] * STANDARD_GRAVITY, area=rack.length * rack.depth)
        for rack in racks
        if rack.length * rack.depth >= SMALLEST
    }
    heaviest = max(pressures, key=lambda one: pressures[one], default="")
    weight = sum(totals[rack.id] for rack in racks) * STANDARD_GRAVITY
    feet = tuple(foot for rack in racks for foot in _feet(rack, posts.get(rack.id, ()), space))
    design = space.floor_limit or assumed(room, "racks.floor_design")
    return FloorStrength(
        space=space.id,
        floor=space.floor,
        feet=feet,
        average=floor_pressure(force=weight, area=area) if area >= SMALLEST else 0.0,
        heaviest_footprint=pressures.get(heaviest, 0.0),
        heaviest_rack=heaviest,
        limit=space.floor_limit,
        design=design,
        joists=tuple(_joists(space, space.joists, racks, feet, design)) if space.joists else (),
    )


# --- feet ------------------------------------------------------------------------------------------------------------


def stands_at_its_uprights(rack: RackPlace) -> bool:
    """Whether a rack has one foot under each upright, front and back: only then is it known where its feet are."""
    return bool(rack.uprights) and round(rack.legs.value) == 2 * len(rack.uprights)


def _feet(rack: RackPlace, posts: Sequence[PostResult], space: Space) -> Iterator[FootPlace]:
    if not stands_at_its_uprights(rack):
        return
    for post in posts:
        sole = sole_of(rack, post.upright, post.side)
        over = next((name for name, void in space.voids if _meet(sole, void)), "")
        yield FootPlace(
            rack=rack.id,
            upright=post.upright,
            side=post.side,
            x=(sole.x0 + sole.x1) / 2.0,
            y=(sole.y0 + sole.y1) / 2.0,
            force=post.force,
            over=over,
        )


def sole_of(rack: RackPlace, upright: int, side: Literal["front", "back"]) -> Box:
    """What of the floor the end of an upright covers."""
    frame = frame_of(rack.box.x0, rack.box.y0, rack.box.x1, rack.box.y1, rack.facing)
    start, end = rack.uprights[upright]
    deep = min(deep_of(rack), rack.depth)
    near = 0.0 if side == "back" else rack.depth - deep
    first, second = frame.point(start, near), frame.point(end, near + deep)
    return Box(
        x0=min(first[0], second[0]), y0=min(first[1], second[1]), z0=0.0,
        x1=max(first[0], second[0]), y1=max(first[1], second[1]), z1=0.0,
    )  # fmt: skip


def _meet(sole: Box, void: Box) -> bool:
    return (
        min(sole.x1, void.x1) - max(sole.x0, void.x0) > LEAST
        and min(sole.y1, void.y1) - max(sole.y0, void.y0) > LEAST
    )


# --- joists ----------------------------------------------------------------------------------------------------------


def can_be_worked_out(joists: JoistsPlace) -> bool:
    """Whether span and distance of joists are such as joists have."""
    span, every = joists.end - joists.start, joists.every.value
    return SPANS[0] <= span <= SPANS[1] and SPACINGS[0] <= every <= SPACINGS[1]


def _joists(
    space: Space, joists: JoistsPlace, racks: Sequence[RackPlace], feet: Sequence[FootPlace], design: Known
) -> Iterator[JoistLoad]:
    """Joists that carry a foot; they are counted from the west or the south wall, and the first lies at it.

    Source: statics; the floor's boards bring a foot between two joists to both by the lever rule.
    """
    span, every = joists.end - joists.start, joists.every.value
    if not can_be_worked_out(joists):
        return
    along_y = joists.run == "north-south"
    zero, last = (space.box.x0, space.box.x1) if along_y else (space.box.y0, space.box.y1)
    places = {rack.id: rack for rack in racks}
    carried: dict[int, list[Patch]] = {}
    for foot in feet:
        sole = sole_of(places[foot.rack], foot.upright, foot.side)
        low, high = (sole.y0, sole.y1) if along_y else (sole.x0, sole.x1)
        start, end = max(low - joists.start, 0.0), min(high - joists.start, span)
        if end - start <= LEAST or foot.force <= 0.0:
            continue
        for index, share in _between((foot.x if along_y else foot.y) - zero, every, last - zero):
            load = foot.force * share / (high - low)
            carried.setdefault(index, []).append(Patch(start=start, end=end, load=load, tank=foot.rack))
    member = joists.member
    stiffness = None
    if member.section is not None and member.grade is not None and member.grade.stiffness:
        stiffness = member.grade.stiffness * member.section.second_moment
    for index, patches in sorted(carried.items()):
        if max(one.load for one in patches) > HEAVIEST:
            continue
        yield _joist(space, index, (zero + index * every, span, every), patches, (stiffness, design.value))


def _between(at: Metre, every: Metre, width: Metre) -> Iterator[tuple[int, float]]:
    """Which joists a place lies between, and what share each takes; past the last one that takes all."""
    last = math.floor(width / every + 1e-9)
    left = min(max(math.floor(at / every), 0), last)
    far = min(max(at / every - left, 0.0), 1.0) if left < last else 0.0
    for index, share in ((left, 1.0 - far), (left + 1, far)):
        if share > LEAST:
            yield index, share


def _joist(
    space: Space,
    index: int,
    place: tuple[Metre, Metre, Metre],
    patches: Sequence[Patch],
    known: tuple[float | None, Pascal],
) -> JoistLoad:
    at, span, every = place
    stiffness, design = known
    answer = simple_beam(
        span=span,
        patches=tuple((one.start, one.end, one.load) for one in patches),
        bending_stiffness=stiffness or 1.0,
    )
    return JoistLoad(
        space=space.id,
        index=index,
        at=at,
        span=span,
        patches=tuple(patches),
        moment=answer.moment,
        design_moment=joist_moment(pressure=min(design, 1e6), spacing=every, span=span),
        sag_now=answer.sag if stiffness else None,
    )
