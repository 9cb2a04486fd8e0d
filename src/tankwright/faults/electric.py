"""What goes dead in a broken room: boards, loads, and the pumps, heaters and coolers that hang on them.

A power cut stops everything electric, whether the plan hangs it on a board or not. With one board, circuit or
protective device off, only what the plan hangs there stops: what hangs nowhere is taken to run on, and
`hangs_nowhere` names it. What a backup takes over by itself runs on until its battery is empty, which is a thing of
its own that breaks (`EMPTY`).
"""

from __future__ import annotations

from math import isclose
from typing import Final, Literal

from tankwright.room.model import BoardPlace, LoadPlace, Room
from tankwright.room.model_broken import Broken
from tankwright.systems.power import StopKind, boards_behind, served_by_pumps, tanks_served

EMPTY: Final = Broken(kind="power", what="", at="backup empty")
"""The battery of the backup is empty: whatever it kept running stops."""

_STOPS: Final[dict[str, StopKind]] = {"board": "board", "circuit": "breaker", "device": "device"}

Unplugged = Literal["pump", "heater", "heating", "cooling"]

Dead = tuple[BoardPlace, LoadPlace]
"""A load that stands still, and the board it is plugged into."""


def power_is_cut(room: Room) -> bool:
    """Whether no mains comes into the room at all."""
    return any(one.kind == "power" and one != EMPTY for one in room.broken)


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
    kept = {(board.id, load.name) for board, load in kept_loads(room)}
    return tuple(one for one in _without_mains(room) if (one[0].id, one[1].name) not in kept)


def kept_loads(room: Room) -> tuple[Dead, ...]:
    """Loads whose board is dead and which the backup keeps running; none where somebody has to start it."""
    backup = room.power.backup if room.power is not None else None
    if backup is None or not backup.by_itself or EMPTY in room.broken:
        return ()
    return tuple(
        (board, load)
        for board, load in _without_mains(room)
        if board.id in backup.boards or (board.id, load.name) in backup.loads
    )


def _without_mains(room: Room) -> tuple[Dead, ...]:
    return tuple((board, load) for board in dead_boards(room) for load in board.loads)


def dead_pumps(room: Room) -> frozenset[str]:
    """Pumps that stand still: broken themselves or without power. After a power cut all of them do, and air pumps
    the room does not describe too."""
    dead = {one.what for one in room.broken if one.kind == "air pump"}
    dead |= {load.pump for _, load in dead_loads(room) if load.pump}
    if power_is_cut(room):
        every = {pump.id for pump in room.pumps}
        every |= {name for run in room.airs for name in run.pumps}
        every |= {feed.pump for feed in room.feeds if feed.pump}
        dead |= every - {load.pump for _, load in kept_loads(room)}
    return frozenset(dead)


def dead_heaters(room: Room) -> frozenset[str]:
    """Tanks whose heater has no power. One of several broken heaters in a tank is another matter ("heater off")."""
    heated = frozenset(life.tank for life in room.lives if life.heater is not None)
    if power_is_cut(room):
        return heated - _heated_by(room, kept_loads(room))
    return heated & _heated_by(room, dead_loads(room))


def _heated_by(room: Room, loads: tuple[Dead, ...]) -> frozenset[str]:
    """Tanks whose own heater is among the loads."""
    return frozenset(
        tank
        for board, load in loads
        if load.does == "heat" and not _is_rooms(room, board, load)
        for tank in tanks_served(room, board, load, {})
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
    """Feeds that stand still: their pump is dead, or their valve has no power and shuts without it: the load that opens
    it (`does = "feed"`) is dead, or all power is cut."""
    pumps = dead_pumps(room)
    dead = {feed.id for feed in room.feeds if feed.pump is not None and feed.pump in pumps}
    shuts = [feed for feed in room.feeds if feed.pump is None and feed.programs and feed.off_without_power]
    if power_is_cut(room):
        kept = _fed_by(room, kept_loads(room))
        return frozenset(dead | {feed.id for feed in shuts if feed.id not in kept})
    return frozenset(dead | ({feed.id for feed in shuts} & _fed_by(room, dead_loads(room))))


def _fed_by(room: Room, loads: tuple[Dead, ...]) -> frozenset[str]:
    """Feeds whose valve one of the loads opens: those into the tanks it serves, all where it names none."""
    by_pump = served_by_pumps(room)
    found: set[str] = set()
    for board, load in loads:
        if load.does != "feed" or load.pump is not None:
            continue
        served = set(tanks_served(room, board, load, by_pump))
        found |= {
            feed.id
            for feed in room.feeds
            if not served or not served.isdisjoint(outlet.tank for outlet in feed.outlets)
        }
    return frozenset(found)


def hangs_nowhere(room: Room) -> tuple[tuple[str, str], ...]:
    """What needs power and hangs on no board of the plan: (subject, reason) for "not computed"."""
    if room.power is None:
        return (("power", "the plan names no boards, so only a cut to everything is followed"),)
    reason = "hangs on no board of the plan, so only a cut to everything stops it"
    words = {
        "pump": "pump {}",
        "heater": "heater of {}",
        "heating": "heating of {}",
        "cooling": "cooling of {}",
    }
    return tuple((words[kind].format(name), reason) for kind, name in unplugged(room))


def unplugged(room: Room) -> tuple[tuple[Unplugged, str], ...]:
    """Pumps that run, heaters in tanks, and heating and cooling of spaces that hang on no board: (kind, its name)."""
    loads = [(board, load) for board in room.power.boards for load in board.loads] if room.power else []
    plugged = {load.pump for _, load in loads if load.pump}
    running = dict.fromkeys(
        [name for run in room.airs for name in run.pumps]
        + [feed.pump for feed in room.feeds if feed.pump is not None]
    )
    found: list[tuple[Unplugged, str]] = [("pump", name) for name in running if name not in plugged]
    heated = _heated_by(room, tuple(loads))
    found += [
        ("heater", life.tank) for life in room.lives if life.heater is not None and life.tank not in heated
    ]
    machines: tuple[tuple[str, Unplugged], ...] = (("heat", "heating"), ("cool", "cooling"))
    for does, kind in machines:
        kept = {
            space for board, load in loads if load.does == does for space in _spaces_of(room, board, load)
        }
        found += [(kind, space) for space in _with_machine(room, does) if space not in kept]
    return tuple(found)


def _dead_machines(room: Room, does: str) -> frozenset[str]:
    have = frozenset(_with_machine(room, does))
    kind = "room heater" if does == "heat" else "room cooler"
    broken = frozenset(one.what for one in room.broken if one.kind == kind)
    if power_is_cut(room):
        return broken | (have - _kept_by(room, kept_loads(room), does))
    return broken | _kept_by(room, dead_loads(room), does)


def _kept_by(room: Room, loads: tuple[Dead, ...], does: str) -> frozenset[str]:
    """Spaces whose heater or cooler is among the loads."""
    return frozenset(
        space for board, load in loads if load.does == does for space in _spaces_of(room, board, load)
    )


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
    """The spaces a heating or cooling load keeps. A board on no rack may stand anywhere: its load is then taken for the
    machine of every space that has one of its power, else of them all."""
    if not _is_rooms(room, board, load):
        return ()
    have = _with_machine(room, load.does)
    alike = tuple(space for space in have if _takes(room, space, load))
    rack = next((rack for rack in room.racks if rack.id == board.rack), None)
    at = {tank.room for tank in room.tanks if tank.id in load.serves} or ({rack.room} if rack else set())
    here = tuple(space for space in alike or have if space in at)
    return here or alike or have


def _is_rooms(room: Room, board: BoardPlace, load: LoadPlace) -> bool:
    """Whether a heating or cooling load is a space's machine and not the heater in a tank: it has that machine's power,
    or serves no tank with a heater."""
    if any(_takes(room, space, load) for space in _with_machine(room, load.does)):
        return True
    heated = {life.tank for life in room.lives if life.heater is not None}
    return load.does != "heat" or heated.isdisjoint(tanks_served(room, board, load, {}))


def _takes(room: Room, space: str, load: LoadPlace) -> bool:
    """Whether a load has the power of a space's machine: of one of them or of all together."""
    kept = room.climate.space(space) if room.climate is not None else None
    machine = None if kept is None else kept.heater if load.does == "heat" else kept.cooler
    if machine is None:
        return False
    if machine.power is not None:
        one = machine.power.value
    else:
        one = machine.rating.value / (machine.per_power.value if machine.per_power is not None else 1.0)
    watts = (load.power.value, load.power.value * load.count)
    return any(isclose(mine, its, rel_tol=0.02) for mine in watts for its in (one, one * machine.count))
