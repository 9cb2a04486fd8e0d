"""A healthy room made a broken one: pure, nothing else changed.

What a field of the room can say is set there; every `Broken` stands in `Room.broken` too, in an order of its own, so
that two things broken one after the other give the same room either way round. What no field can say (water that
leaves at a cut pipe, a hose off its barb, a heater whose thermostat sticks) stands in `Room.broken` alone.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Final

from tankwright.faults.breakable import can_break
from tankwright.faults.electric import dead_pumps
from tankwright.origin import Known, derived
from tankwright.room.model import ProgramRun, Room, Tank, TapPlace
from tankwright.room.model_broken import Broken, BrokenKind
from tankwright.room.model_climate import SpaceClimate
from tankwright.room.model_runs import AirRun, FeedRun
from tankwright.room.model_water import TankLife
from tankwright.systems.feed_time import DAY

WITHOUT_END: Final = ProgramRun(start=0.0, duration=DAY, runs_a_week=7.0)
"""The program of a valve that does not shut."""

Change = Callable[[Room, Broken], Room]


def broken_room(room: Room, broken: tuple[Broken, ...]) -> Room:
    """The room with these things broken too. What is not there, or is broken already, changes nothing.

    >>> from tankwright.room.model import Room
    >>> empty = Room(title="", display="metric", spaces=(), racks=(), tanks=())
    >>> broken_room(empty, (Broken(kind="power", what=""),)).broken[0].kind
    'power'
    """
    fresh = [one for one in dict.fromkeys(broken) if one not in room.broken and can_break(room, one) is None]
    ill = replace(room, broken=tuple(sorted((*room.broken, *fresh), key=_order)))
    for one in fresh:
        ill = _CHANGES.get(one.kind, _unchanged)(ill, one)
    return ill


def _order(one: Broken) -> tuple[str, str, str, float, float]:
    return (one.kind, one.what, one.at, one.left, -1.0 if one.flow is None else one.flow)


def _unchanged(room: Room, _broken: Broken) -> Room:
    return room


def _comes_from(feed: FeedRun, point: str) -> bool:
    return feed.source_kind == "water point" and feed.source == point


# --- what fields can say ----------------------------------------------------------------------------------------


def _scaled(known: Known, factor: float, reason: str) -> Known:
    return derived(known.value * factor, reason)


def _tank(room: Room, name: str, change: Callable[[Tank], Tank]) -> Room:
    return replace(room, tanks=tuple(change(one) if one.id == name else one for one in room.tanks))


def _feeds(room: Room, wanted: Callable[[FeedRun], bool], change: Callable[[FeedRun], FeedRun]) -> Room:
    return replace(room, feeds=tuple(change(one) if wanted(one) else one for one in room.feeds))


def _air(room: Room, name: str, change: Callable[[AirRun], AirRun]) -> Room:
    return replace(room, airs=tuple(change(one) if one.id == name else one for one in room.airs))


def _life(room: Room, name: str, change: Callable[[TankLife], TankLife]) -> Room:
    return replace(room, lives=tuple(change(one) if one.tank == name else one for one in room.lives))


def _overflow(room: Room, broken: Broken) -> Room:
    def change(tank: Tank) -> Tank:
        way = tank.overflow
        if way is None:
            return tank
        left = _scaled(way.open_share, broken.left, "as much of it as is not blocked")
        return replace(tank, overflow=replace(way, open_share=left))

    return _tank(room, broken.what, change)


def _outfall(room: Room, broken: Broken) -> Room:
    if broken.left > 0.0:
        return room
    shut = derived(0.0, "it is blocked")
    return replace(
        room,
        outfalls=tuple(
            replace(one, capacity=shut) if one.id == broken.what else one for one in room.outfalls
        ),
    )


def _endless_feed(room: Room, broken: Broken) -> Room:
    return _feeds(
        room, lambda feed: feed.id == broken.what, lambda feed: replace(feed, programs=(WITHOUT_END,))
    )


def _mains_pressure(room: Room, broken: Broken) -> Room:
    def change(feed: FeedRun) -> FeedRun:
        more = _scaled(feed.source_pressure, broken.left, "the mains gives another pressure")
        return replace(feed, source_pressure=more)

    return _feeds(room, lambda feed: _comes_from(feed, broken.what), change)


def _mains_off(room: Room, broken: Broken) -> Room:
    nothing = derived(0.0, "the mains is off")
    return _feeds(
        room,
        lambda feed: _comes_from(feed, broken.what),
        lambda feed: replace(feed, source_flow=nothing),
    )


def _stopped_pumps(room: Room, _broken: Broken) -> Room:
    dead = dead_pumps(room)
    return replace(
        room,
        airs=tuple(
            replace(run, pumps=tuple(name for name in run.pumps if name not in dead))
            if not dead.isdisjoint(run.pumps)
            else run
            for run in room.airs
        ),
    )


def _air_tap(room: Room, broken: Broken) -> Room:
    def change(tap: TapPlace) -> TapPlace:
        return replace(
            tap, open=True, opening=None, tank=None, tube_bore=None, tube_length=None, check_valve=False,
            diffuser=None, diffuser_loss=None, water_depth=0.0, flow_wanted=None,
        )  # fmt: skip

    return _taps(room, broken, change)


def _diffuser(room: Room, broken: Broken) -> Room:
    def change(tap: TapPlace) -> TapPlace:
        if tap.diffuser_loss is None:  # nothing hangs on it to clog
            return tap
        if broken.left <= 0.0:
            return replace(tap, open=False)
        loss = _scaled(tap.diffuser_loss, broken.left**-2, "its loss grows with the square of what is shut")
        return replace(tap, diffuser_loss=loss)

    return _taps(room, broken, change)


def _taps(room: Room, broken: Broken, change: Callable[[TapPlace], TapPlace]) -> Room:
    return _air(
        room,
        broken.what,
        lambda run: replace(run, taps=tuple(change(one) if one.id == broken.at else one for one in run.taps)),
    )


def _heater_off(room: Room, broken: Broken) -> Room:
    """One heater of the tank is dead; its others go on."""

    def change(life: TankLife) -> TankLife:
        heater = life.heater
        if heater is None or heater.count <= 1:
            return replace(life, heater=None)
        return replace(life, heater=replace(heater, count=heater.count - 1))

    return _life(room, broken.what, change)


def _room_heater(room: Room, broken: Broken) -> Room:
    return _kept(room, broken.what, lambda kept: replace(kept, heat_to=None, heater=None))


def _room_cooler(room: Room, broken: Broken) -> Room:
    return _kept(room, broken.what, lambda kept: replace(kept, cool_to=None, cooler=None))


def _kept(room: Room, space: str, change: Callable[[SpaceClimate], SpaceClimate]) -> Room:
    climate = room.climate
    if climate is None:
        return room
    spaces = tuple(change(kept) if kept.space == space else kept for kept in climate.spaces)
    return replace(room, climate=replace(climate, spaces=spaces))


def _lights(room: Room, broken: Broken) -> Room:
    power = room.power
    if power is None:
        return room
    boards = tuple(
        replace(
            board,
            loads=tuple(replace(load, hours=24.0) if load.does == "light" else load for load in board.loads),
        )
        if board.id == broken.what
        else board
        for board in power.boards
    )
    return replace(room, power=replace(power, boards=boards))


def _carbon(room: Room, broken: Broken) -> Room:
    def change(feed: FeedRun) -> FeedRun:
        filters = tuple(replace(one, carbon=False, takes=None) if one.carbon else one for one in feed.filters)
        return replace(feed, filters=filters)

    return _feeds(room, lambda feed: feed.id == broken.what, change)


def _chloramine(room: Room, broken: Broken) -> Room:
    waters = tuple(
        replace(one, disinfectant="chloramine") if one.id == broken.what else one for one in room.waters
    )
    return replace(room, waters=waters)


_CHANGES: Final[Mapping[BrokenKind, Change]] = {
    "overflow": _overflow,
    "outfall": _outfall,
    "feed valve": _endless_feed,
    "vat pump": _endless_feed,
    "mains pressure": _mains_pressure,
    "mains off": _mains_off,
    "air pump": _stopped_pumps,
    "power": _stopped_pumps,
    "board": _stopped_pumps,
    "circuit": _stopped_pumps,
    "device": _stopped_pumps,
    "air tap": _air_tap,
    "diffuser": _diffuser,
    "heater off": _heater_off,
    "room heater": _room_heater,
    "room cooler": _room_cooler,
    "lights": _lights,
    "carbon": _carbon,
    "chloramine": _chloramine,
}
