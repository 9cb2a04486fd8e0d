"""What goes dead in a broken room: boards, loads, and the pumps, heaters and coolers that hang on them.

A power cut stops everything electric, whether the plan hangs it on a board or not. With one board, circuit or
protective device off, only what the plan hangs there stops: what hangs nowhere is taken to run on, and
`hangs_nowhere` names it.
"""

from __future__ import annotations

from typing import Final

from tankwright.room.model import BoardPlace, LoadPlace, Room
from tankwright.systems.power import StopKind, boards_behind, served_by_pumps, tanks_served

_STOPS: Final[dict[str, StopKind]] = {"board": "board", "circuit": "breaker", "device": "device"}

Dead = tuple[BoardPlace, LoadPlace]
"""A load that stands still, and the board it is plugged into."""


def power_is_cut(room: Room) -> bool:
    """Whether no mains comes into the room at all."""
    return any(one.kind == "power" for one in room.broken)


def dead_boards(room: Room) -> tuple[BoardPlace, ...]:
    """The boards without power, in the order of the plan."""
    if room.power is None:
        return ()
    if power_is_cut(room):
        return room.power.boards
    dead = {
        board.id
        for one in room.broken
        if one.kind in _STOPS
        for board in boards_behind(room.power, _STOPS[one.kind], one.what)
    }
    return tuple(board for board in room.power.boards if board.id in dead)


def dead_loads(room: Room) -> tuple[Dead, ...]:
    """Every load without power, with its board."""
    return tuple((board, load) for board in dead_boards(room) for load in board.loads)


def dead_pumps(room: Room) -> frozenset[str]:
    """Pumps that stand still: broken themselves or without power. After a power cut all of them do, and air pumps
    the room does not describe too."""
    dead = {one.what for one in room.broken if one.kind == "air pump"}
    dead |= {load.pump for _, load in dead_loads(room) if load.pump}
    if power_is_cut(room):
        dead |= {pump.id for pump in room.pumps}
        dead |= {name for run in room.airs for name in run.pumps}
        dead |= {feed.pump for feed in room.feeds if feed.pump}
    return frozenset(dead)


def dead_heaters(room: Room) -> frozenset[str]:
    """Tanks whose heater has no power. One of several broken heaters in a tank is another matter ("heater off")."""
    heated = {life.tank for life in room.lives if life.heater is not None}
    if power_is_cut(room):
        return frozenset(heated)
    by_pump = served_by_pumps(room)
    return frozenset(
        tank
        for board, load in dead_loads(room)
        if load.does == "heat"
        for tank in tanks_served(room, board, load, by_pump)
        if tank in heated
    )


def dead_room_heaters(room: Room) -> frozenset[str]:
    """Spaces whose own heater has no power or is broken."""
    return _dead_machines(room, "heat")


def dead_room_coolers(room: Room) -> frozenset[str]:
    """Spaces whose cooler has no power or is broken."""
    return _dead_machines(room, "cool")


def dead_lights(room: Room) -> frozenset[str]:
    """Boards whose lights are dark for want of power."""
    return frozenset(board.id for board, load in dead_loads(room) if load.does == "light")


def dead_feeds(room: Room) -> frozenset[str]:
    """Feeds that stand still: their pump is dead, or the load that opens their valve (`does = "feed"`) is.

    A valve that hangs on no board is taken to have a clock with a battery, which runs on in a power cut.
    """
    pumps = dead_pumps(room)
    dead = {feed.id for feed in room.feeds if feed.pump is not None and feed.pump in pumps}
    by_pump = served_by_pumps(room)
    for board, load in dead_loads(room):
        if load.does != "feed" or load.pump is not None:
            continue
        served = set(tanks_served(room, board, load, by_pump))
        dead |= {
            feed.id
            for feed in room.feeds
            if not served or not served.isdisjoint(outlet.tank for outlet in feed.outlets)
        }
    return frozenset(dead)


def hangs_nowhere(room: Room) -> tuple[tuple[str, str], ...]:
    """What needs power and hangs on no board of the plan: (subject, reason) for "not computed"."""
    if room.power is None:
        return (("power", "the plan names no boards, so only a cut to everything is followed"),)
    loads = [(board, load) for board in room.power.boards for load in board.loads]
    plugged = {load.pump for _, load in loads if load.pump}
    running = dict.fromkeys(
        [name for run in room.airs for name in run.pumps]
        + [feed.pump for feed in room.feeds if feed.pump is not None]
    )
    reason = "hangs on no board of the plan, so only a cut to everything stops it"
    found = [(f"pump {name}", reason) for name in running if name not in plugged]
    by_pump = served_by_pumps(room)
    heated = {
        tank
        for board, load in loads
        if load.does == "heat"
        for tank in tanks_served(room, board, load, by_pump)
    }
    found += [
        (f"heater of {life.tank}", reason)
        for life in room.lives
        if life.heater is not None and life.tank not in heated
    ]
    for does, words in (("heat", "heating"), ("cool", "cooling")):
        kept = {
            space for board, load in loads if load.does == does for space in _spaces_of(room, board, load)
        }
        found += [(f"{words} of {space}", reason) for space in _with_machine(room, does) if space not in kept]
    return tuple(found)


def _dead_machines(room: Room, does: str) -> frozenset[str]:
    have = _with_machine(room, does)
    if power_is_cut(room):
        return frozenset(have)
    broken = {
        one.what for one in room.broken if one.kind == ("room heater" if does == "heat" else "room cooler")
    }
    broken |= {
        space
        for board, load in dead_loads(room)
        if load.does == does
        for space in _spaces_of(room, board, load)
    }
    return frozenset(broken)


def _with_machine(room: Room, does: str) -> tuple[str, ...]:
    """Spaces whose air is heated or cooled."""
    if room.climate is None:
        return ()
    return tuple(
        kept.space
        for kept in room.climate.spaces
        if (kept.heat_to if does == "heat" else kept.cool_to) is not None
    )


def _spaces_of(room: Room, board: BoardPlace, load: LoadPlace) -> tuple[str, ...]:
    """The spaces a heating or cooling load keeps: none where it is the heater in a tank. A board on no rack may stand
    anywhere, so that its load is taken for the machine of every space that has one of its power, else of them all."""
    have = _with_machine(room, load.does)
    tanks = load.serves or tanks_served(room, board, load, {})
    heated = {life.tank for life in room.lives if life.heater is not None}
    if load.does == "heat" and not heated.isdisjoint(tanks):
        return ()
    rack = next((rack for rack in room.racks if rack.id == board.rack), None)
    at = {room.tank(tank).room for tank in load.serves if any(one.id == tank for one in room.tanks)}
    at |= {rack.room} if rack is not None and not at else set()
    if at:
        return tuple(space for space in have if space in at)
    alike = tuple(space for space in have if _takes(room, space, load))
    return alike or have


def _takes(room: Room, space: str, load: LoadPlace) -> bool:
    kept = room.climate.space(space) if room.climate is not None else None
    machine = None if kept is None else kept.heater if load.does == "heat" else kept.cooler
    if machine is None:
        return False
    power = machine.power.value if machine.power is not None else machine.rating.value / (
        machine.per_power.value if machine.per_power is not None and machine.per_power.value > 0.0 else 1.0
    )  # fmt: skip
    return abs(power - load.power.value) <= 0.02 * load.power.value
