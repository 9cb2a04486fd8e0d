"""Water on the floor of a space: how wide and how deep it stands, what a floor drain takes of it, whose plugs it
reaches.

The floor is taken as level. Water spreads over it as a film no thinner than its own skin allows
(`physics.puddles.puddle_depth`) until the floor is wet from wall to wall; only then does it grow deeper, until it
runs out under a door. What hollows hold, and where the film runs first, nobody knows beforehand: that a plug on the
floor is reached has the first drop as its earliest time and the wet floor as its latest.

Mains near water can kill. What is said here is a screening; the local code and a licensed electrician decide.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import inf
from typing import Final

import numpy as np

from tankwright.faults.backup import backup_lasts
from tankwright.faults.electric import EMPTY, dead_boards, dead_pumps
from tankwright.faults.model import Array, Harm, WaterCourse
from tankwright.physics.puddles import puddle_depth
from tankwright.room.assumed import assumed
from tankwright.room.model import BoardPlace, Box, CircuitPlace, PumpPlace, Room, Space, Tank
from tankwright.room.model_broken import Broken
from tankwright.room.model_runs import Place
from tankwright.study import Study
from tankwright.units import CubicMetre, CubicMetrePerSecond, Metre, Second, SquareMetre

SPILL: Final[CubicMetre] = 0.5e-3
"""What counts as water on the floor: half a litre, more than a splash. A choice, no source."""

DROP: Final[CubicMetre] = 1.0e-5
"""The first of it: 10 mL."""

ON_FLOOR: Final[Metre] = 0.02
"""What stands within this of the floor stands on it and takes its place."""

NEVER: Final[Second] = inf


# --- how wide, how deep -----------------------------------------------------------------------------------------


def floor_area(room: Room, space: str) -> SquareMetre:
    """The floor that can be wet: without obstacles, rack legs and tanks that stand on it.

    >>> box = Box(x0=0.0, y0=0.0, z0=0.0, x1=3.0, y1=2.0, z1=2.4)
    >>> one = Space(id="cellar", box=box, floor="slab")
    >>> floor_area(Room(title="", display="metric", spaces=(one,), racks=(), tanks=()), "cellar")
    6.0
    """
    here = _space(room, space)
    if here is None:
        return 0.0
    whole = _footprint(here.box, here.box)
    taken = sum(_footprint(box, here.box) for _, box in here.obstacles if _stands(box, here))
    taken += sum(
        _footprint(tank.box, here.box)
        for tank in room.tanks
        if tank.room == space and _stands(tank.box, here)
    )
    for rack in room.racks:
        if rack.room == space and rack.uprights and rack.box.z0 - here.box.z0 <= ON_FLOOR:
            width = sum(end - start for start, end in rack.uprights) / len(rack.uprights)
            taken += rack.legs.value * width**2
    return max(whole - taken, 0.01 * whole)


def least_depth(room: Room) -> Metre:
    """The depth at which a puddle stops spreading."""
    return puddle_depth(contact_angle=assumed(room, "floor.contact_angle").value)


def wet_area(room: Room, space: str, volume: CubicMetre) -> SquareMetre:
    """How much of the floor so much water wets."""
    return min(max(volume, 0.0) / least_depth(room), floor_area(room, space))


def floor_depth(room: Room, space: str, volume: CubicMetre) -> Metre:
    """How deep so much water stands in a space. Under its door the rest runs elsewhere, where nothing is followed."""
    area = floor_area(room, space)
    if volume <= 0.0 or area <= 0.0:
        return 0.0
    return min(
        max(volume / area, least_depth(room)),
        _door_level(room, space, assumed(room, "floor.threshold").value),
    )


def leaves_by_door(room: Room, space: str) -> CubicMetre:
    """The water on a floor beyond which it runs out under a door, infinite for a space without one."""
    return _door_level(room, space, assumed(room, "floor.threshold").value) * floor_area(room, space)


def _door_level(room: Room, space: str, threshold: Metre) -> Metre:
    here = _space(room, space)
    if here is None or not any(one.kind == "door" for one in here.openings):
        return inf
    return max(threshold, least_depth(room))


def floor_takes(room: Room) -> dict[str, CubicMetrePerSecond]:
    """What the floor drains of each space take off its floor. An outfall is one where its mouth is no higher than the
    floor; a blocked one takes nothing, one in part what is left of its way."""
    usual = assumed(room, "floor.gully").value
    left = {one.what: one.left for one in room.broken if one.kind == "outfall"}
    takes = {space.id: 0.0 for space in room.spaces}
    for outfall in room.outfalls:
        here = _space(room, outfall.room)
        if here is None or outfall.place[2] > here.box.z0 + 1e-3:
            continue
        capacity = usual if outfall.capacity is None else min(usual, outfall.capacity.value)
        takes[here.id] += capacity * min(left.get(outfall.id, 1.0), 1.0)
    return takes


# --- what it does -----------------------------------------------------------------------------------------------


def floor_harms(study: Study, broken: Room, water: WaterCourse) -> tuple[Harm, ...]:
    """Water on a floor, by the tank it came out of or by the space where it came from a pipe, and water at plugs."""
    _ = study  # the broken room has the same places; a study is what every step of a story is handed
    return (*_wet_floors(broken, water), *(harm for harm, _ in _wet_plugs(broken, water)))


def consequences(
    study: Study, broken: Room, water: WaterCourse, *, begun: Second = 0.0
) -> tuple[tuple[Second, Broken], ...]:
    """What breaks in its turn: the device of a plug that water on a floor or running down a rack reaches, where the
    plan has one that trips on a fault to earth; an air pump it drowns; a backup whose battery is empty. `begun` is how
    long the power has been off before the course begins."""
    found: list[tuple[Second, Broken]] = []
    lasts = backup_lasts(broken)
    if lasts < NEVER:
        found.append((max(lasts - begun, 0.0), EMPTY))
    dead = {board.id for board in dead_boards(broken)}
    for harm, board in _wet_plugs(broken, water):
        circuit = _circuit(broken, board)
        if board.id not in dead and circuit is not None and circuit.rcd is not None:
            found.append((harm.time, Broken(kind="device", what=circuit.device or circuit.id)))
    stopped = dead_pumps(study.room) | dead_pumps(broken)
    running = {name for run in broken.airs for name in run.pumps}
    for pump in broken.pumps:
        if pump.id in running - stopped:
            time = min((_reached(broken, water, space, _above_floor(broken, pump, space))
                        for space in pump_spaces(broken, pump.id)), default=NEVER)  # fmt: skip
            if time < NEVER:
                found.append((time, Broken(kind="air pump", what=pump.id)))
    return tuple(sorted(found, key=lambda pair: (pair[0], pair[1].kind, pair[1].what)))


def _wet_floors(room: Room, water: WaterCourse) -> Iterator[Harm]:
    for index, tank in enumerate(water.tanks):
        if water.spilled[-1, index] >= SPILL:
            yield _floor_harm(tank, crossing(water.times, water.spilled[:, index], SPILL))
    by_tanks = {space: np.zeros(len(water.times)) for space in water.spaces}
    spaces = {tank.id: tank.room for tank in room.tanks}
    for index, tank in enumerate(water.tanks):
        if spaces.get(tank) in by_tanks:
            by_tanks[spaces[tank]] = by_tanks[spaces[tank]] + water.spilled[:, index]
    for space, poured in _from_pipes(room, water).items():
        by_pipe = np.maximum(poured, water.floor[:, water.spaces.index(space)] - by_tanks[space])
        time = crossing(water.times, by_pipe, SPILL)
        if time < NEVER:
            yield _floor_harm(space, time)


def _floor_harm(where: str, time: Second) -> Harm:
    return Harm(time=time, kind="floor", where=where, earliest=time, latest=time, value=SPILL)


def _from_pipes(room: Room, water: WaterCourse) -> dict[str, Array]:
    """What came out of open ends of feeds in each space, whatever a floor drain took of it: what left their source and
    reached no tank."""
    poured = {space: np.zeros(len(water.times)) for space in water.spaces}
    gaps = np.diff(water.times)
    for one in room.broken:
        feed = next((feed for feed in room.feeds if feed.id == one.what), None)
        if one.kind != "feed line" or feed is None:
            continue
        places = dict(feed.nodes)
        space = space_at(room, places.get(one.at, places.get(feed.inlet, feed.source_place)))
        drawn = _drawn(water, feed.source)
        if space not in poured or drawn is None:
            continue
        arrived = sum(
            (
                water.by_feed[other.id].sum(1) * gaps
                for other in room.feeds
                if other.source == feed.source and other.id in water.by_feed
            ),
            np.zeros(len(gaps)),
        )
        poured[space] = np.maximum(drawn - np.concatenate([[0.0], np.cumsum(arrived)]), 0.0)
    return poured


def _drawn(water: WaterCourse, source: str) -> Array | None:
    """What has left a water point or a vat so far."""
    if source in water.sources:
        at = water.sources.index(source)
        net = water.came[:, at] - water.backwards[:, at]
    elif source in water.vats_named:
        net = -water.vats[:, water.vats_named.index(source)]
    else:
        return None
    drawn: Array = net - net[0]
    return drawn


# --- whose plugs ------------------------------------------------------------------------------------------------


def _wet_plugs(room: Room, water: WaterCourse) -> Iterator[tuple[Harm, BoardPlace]]:
    for board in room.power.boards if room.power is not None else ():
        harms = [*_plug_on_floor(room, water, board), *_plug_run_down(room, water, board)]
        if harms:
            yield min(harms, key=lambda harm: harm.time), board


def _plug_on_floor(room: Room, water: WaterCourse, board: BoardPlace) -> Iterator[Harm]:
    low, high = board.height.band or (board.height.value, board.height.value)
    for space in board_spaces(room, board):
        rise = _rise(room, board, space)
        time = _reached(room, water, space, board.height.value + rise)
        if time < NEVER:
            lies_low = low + rise <= least_depth(room)
            first = crossing(water.times, _on_floor(water, space), DROP)
            yield Harm(
                time=time, kind="plug", where=board.id,
                earliest=first if lies_low else min(_reached(room, water, space, low + rise), time),
                latest=max(_reached(room, water, space, high + rise), time), value=board.height.value + rise,
            )  # fmt: skip


def _plug_run_down(room: Room, water: WaterCourse, board: BoardPlace) -> Iterator[Harm]:
    """Water that leaves a tank of the board's rack above it runs down the rack and the cords. Cords that hang in drip
    loops keep it out of the sockets; whether it takes the way past the board at all is not known."""
    rack = next((rack for rack in room.racks if rack.id == board.rack), None)
    if rack is None or board.drip_loop is True:
        return
    height = rack.box.z0 + board.height.value
    for index, name in enumerate(water.tanks):
        if water.spilled[-1, index] < SPILL:
            continue
        tank = room.tank(name)
        if tank.rack == rack.id and _leaves_at(room, tank) > height:
            spilled = water.spilled[:, index]
            time = crossing(water.times, spilled, SPILL)
            first = crossing(water.times, spilled, DROP)
            yield Harm(time=time, kind="plug", where=board.id, earliest=first, latest=NEVER, value=height)


def _leaves_at(room: Room, tank: Tank) -> Metre:
    """The height water leaves a tank at: its rim, or where a hose is off its barb."""
    off = any(one.kind == "hose" and one.what == tank.id for one in room.broken)
    return tank.hose.start[2] if off and tank.hose is not None else tank.rim


def _reached(room: Room, water: WaterCourse, space: str, height: Metre) -> Second:
    """When water on a floor stands so high above it; a film reaches what lies on the floor once all of it is wet."""
    if space not in water.spaces or height > _door_level(room, space, assumed(room, "floor.threshold").value):
        return NEVER
    depth = max(height, least_depth(room))
    return crossing(water.times, _on_floor(water, space), depth * floor_area(room, space))


def _on_floor(water: WaterCourse, space: str) -> Array:
    column: Array = (
        water.floor[:, water.spaces.index(space)] if space in water.spaces else np.zeros(len(water.times))
    )
    return column


def crossing(times: Array, values: Array, level: float) -> Second:
    """When a course first comes up to a level: on its straight line between two rows, so exactly; infinite if never.

    >>> crossing(np.array([0.0, 10.0, 20.0]), np.array([0.0, 0.0, 4.0]), 1.0)
    12.5
    """
    there = np.flatnonzero(values >= level)
    if not there.size:
        return NEVER
    at = int(there[0])
    if at == 0:
        return float(times[0])
    (t0, t1), (v0, v1) = times[at - 1 : at + 1], values[at - 1 : at + 1]
    return float(t0 + (t1 - t0) * (level - v0) / (v1 - v0))


# --- where things stand -----------------------------------------------------------------------------------------


def space_at(room: Room, place: Place) -> str | None:
    """The space above whose floor a place lies, None for one in a wall."""
    return next(
        (
            space.id
            for space in room.spaces
            if space.box.x0 <= place[0] <= space.box.x1 and space.box.y0 <= place[1] <= space.box.y1
        ),
        None,
    )


def pump_spaces(room: Room, pump: str) -> tuple[str, ...]:
    """The space a pump stands in, by its place or by where its line begins."""
    place = next((one.place for one in room.pumps if one.id == pump and one.place is not None), None)
    for run in room.airs:
        if place is None and pump in run.pumps:
            place = dict(run.nodes).get(run.inlet)
    space = space_at(room, place) if place is not None else None
    return (space,) if space is not None else ()


def board_spaces(room: Room, board: BoardPlace) -> tuple[str, ...]:
    """The spaces a board can stand in: that of its rack, of its pumps, of the tanks it serves; else any of them."""
    rack = next((rack.room for rack in room.racks if rack.id == board.rack), None)
    if rack is not None:
        return (rack,)
    pumps = [space for load in board.loads if load.pump for space in pump_spaces(room, load.pump)]
    served = {tank for load in board.loads for tank in load.serves}
    found = pumps or [tank.room for tank in room.tanks if tank.id in served]
    return tuple(dict.fromkeys(found)) or tuple(space.id for space in room.spaces)


def _rise(room: Room, board: BoardPlace, space: str) -> Metre:
    """How much higher than the floor the foot of its rack stands."""
    rack = next((rack for rack in room.racks if rack.id == board.rack), None)
    here = _space(room, space)
    return rack.box.z0 - here.box.z0 if rack is not None and here is not None else 0.0


def _above_floor(room: Room, pump: PumpPlace, space: str) -> Metre:
    here = _space(room, space)
    floor = here.box.z0 if here is not None else 0.0
    return pump.place[2] - floor if pump.place is not None else pump.height.value


def _circuit(room: Room, board: BoardPlace) -> CircuitPlace | None:
    circuits = room.power.circuits if room.power is not None else ()
    return next((one for one in circuits if one.id == board.circuit), None)


def _space(room: Room, name: str) -> Space | None:
    return next((one for one in room.spaces if one.id == name), None)


def _stands(box: Box, space: Space) -> bool:
    return box.z0 - space.box.z0 <= ON_FLOOR


def _footprint(box: Box, within: Box) -> SquareMetre:
    wide = min(box.x1, within.x1) - max(box.x0, within.x0)
    deep = min(box.y1, within.y1) - max(box.y0, within.y0)
    return max(wide, 0.0) * max(deep, 0.0)
