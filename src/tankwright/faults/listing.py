"""Everything that can fail by itself in one room, in an order that is always the same, each with a name of its own.

Every tank is tried. Where alike things do the same (an air line open here or a hand's breadth further), some that
stand for all are: the line's beginning, the nearest and the farthest tap. What cannot be is left out: the heater of a
tank without one, a valve of a feed that runs without end anyway.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from heapq import heappop, heappush
from typing import Final

from tankwright.faults.breakable import INLET, can_break
from tankwright.faults.model import Fault, Season
from tankwright.faults.names import find_fault, tanks_named
from tankwright.faults.pairs import pairs_of
from tankwright.room.model import AirRun, FeedRun, Room, Space, TapPlace
from tankwright.room.model_broken import Broken, BrokenKind
from tankwright.room.model_runs import Place
from tankwright.study import Study

__all__ = ["all_faults", "find_fault", "pairs", "seasons_of"]

COLDEST: Final[tuple[Season, ...]] = ("coldest",)
HOTTEST: Final[tuple[Season, ...]] = ("hottest",)

SEASONS: Final[dict[BrokenKind, tuple[Season, ...]]] = {
    # cold new water is coldest in the coldest week, and a room that nothing warms too
    "feed valve": COLDEST,
    "feed outlet": COLDEST,
    "hand hose": COLDEST,
    "mains pressure": COLDEST,
    "vat pump": COLDEST,
    "room heater": COLDEST,
    "heater off": COLDEST,
    # warm water holds least oxygen, and fish take most of it
    "air pump": HOTTEST,
    "ring pipe": HOTTEST,
    "air tap": HOTTEST,
    "diffuser": HOTTEST,
    "room cooler": HOTTEST,
    "heater on": HOTTEST,
    "lights": HOTTEST,
    "power": (*COLDEST, *HOTTEST),
    "board": (*COLDEST, *HOTTEST),
    "circuit": (*COLDEST, *HOTTEST),
    "device": (*COLDEST, *HOTTEST),
}
"""The weather each thing is tried in; what is not listed does not hang on it."""


def all_faults(study: Study) -> tuple[Fault, ...]:
    """Every single fault of the room: the way out, the way in, air, power, warmth, what is in the water, glass."""
    room = study.room
    found = [
        *_ways_out(room), *_feeds(room), *_hoses(room), *_airs(room), *_supply(room), *_warmth(room),
        *_waters(room), *_glass(room),
    ]  # fmt: skip
    return _told_apart(one for one in found if all(can_break(room, part) is None for part in one.broken))


def pairs(study: Study) -> tuple[Fault, ...]:
    """Faults that come together because one thing causes them, each with its cause."""
    room = study.room
    found = [one for one in pairs_of(room) if all(can_break(room, part) is None for part in one.broken)]
    return _told_apart(found)


def seasons_of(fault: Fault) -> tuple[Season, ...]:
    """The weathers a fault is tried in: where it hurts most.

    >>> seasons_of(Fault(name="power cut", group="power cut", broken=(Broken(kind="power", what=""),)))
    ('coldest', 'hottest')
    """
    wanted = {season for part in fault.broken for season in SEASONS.get(part.kind, ())}
    order: tuple[Season, ...] = (*COLDEST, *HOTTEST)
    return tuple(season for season in order if season in wanted) or ("usual",)


def _told_apart(faults: Iterable[Fault]) -> tuple[Fault, ...]:
    """Each under a name of its own: what bears a name already is told apart by where it is, then by a number."""
    named: dict[str, Fault] = {}
    for fault in faults:
        at = next((part.at for part in fault.broken if part.at), "")
        name, number = fault.name, 1
        if name in named and at:
            name = f"{fault.name} ({at})"
        while name in named:
            number += 1
            name = f"{fault.name} ({number})"
        named[name] = Fault(name=name, group=fault.group, broken=fault.broken, cause=fault.cause)
    return tuple(named.values())


def _one(name: str, group: str, kind: BrokenKind, what: str, at: str = "", left: float = 0.0) -> Fault:
    return Fault(name=name, group=group, broken=(Broken(kind=kind, what=what, at=at, left=left),))


# --- the way out ------------------------------------------------------------------------------------------------


def _ways_out(room: Room) -> Iterator[Fault]:
    for tank in room.tanks:
        yield _one(f"overflow of {tank.id} blocked", "overflow blocked", "overflow", tank.id)
        yield _one(
            f"overflow of {tank.id} half blocked", "overflow half blocked", "overflow", tank.id, left=0.5
        )
        yield _one(
            f"second overflow of {tank.id} blocked", "second overflow blocked", "second overflow", tank.id
        )
        yield _one(f"hose of {tank.id} off its barb", "hose off its barb", "hose", tank.id)
    for run in room.drains:
        for node in run.nodes:
            # where no tank joins, a block does what one at the last joining tank above it does
            if node.tanks:
                where = tanks_named(node.tanks)
                yield _one(f"drain {run.id} blocked at {where}", "drain blocked", "drain", run.id, node.id)
    for outfall in room.outfalls:
        yield _one(f"outfall {outfall.id} blocked", "outfall blocked", "outfall", outfall.id)


# --- the way in -------------------------------------------------------------------------------------------------


def _feeds(room: Room) -> Iterator[Fault]:
    for feed in room.feeds:
        if feed.programs and feed.pump is None:
            yield _one(f"feed {feed.id} stuck open", "feed stuck open", "feed valve", feed.id)
        if feed.programs and feed.pump is not None:
            words = "vat pump" if feed.source_kind == "vat" else "pump"
            yield _one(f"{words} of {feed.id} runs on", "feed pump runs on", "vat pump", feed.id)
        yield from _lines_off(room, feed)
        for outlet in feed.outlets:
            name = f"feed outlet of {outlet.tank} fallen off"
            yield _one(name, "feed outlet fallen off", "feed outlet", feed.id, outlet.id)
    points = dict.fromkeys(feed.source for feed in room.feeds if feed.source_kind == "water point")
    for point in points:
        yield _one(
            f"mains pressure doubled at {point}", "mains pressure doubled", "mains pressure", point, left=2.0
        )
        yield _one(f"mains off at {point}", "mains off", "mains off", point)


def _lines_off(room: Room, feed: FeedRun) -> Iterator[Fault]:
    """Off its fitting where it begins, and where it comes into each other space: the water is on another floor."""
    places = dict(feed.nodes)
    name = f"feed {feed.id} off its fitting"
    yield _one(name, "feed off its fitting", "feed line", feed.id, INLET)
    begins = places.get(feed.inlet)
    seen = {_space_of(room, begins)} if begins is not None else set()
    for node, place in feed.nodes:
        space = _space_of(room, place)
        if space is not None and space not in seen:
            seen.add(space)
            yield _one(f"{name} in {space}", "feed off its fitting", "feed line", feed.id, node)


def _space_of(room: Room, place: Place) -> str | None:
    return next((space.id for space in room.spaces if _within(space, place)), None)


def _within(space: Space, place: Place) -> bool:
    box = space.box
    return box.x0 <= place[0] <= box.x1 and box.y0 <= place[1] <= box.y1


def _hoses(room: Room) -> Iterator[Fault]:
    flows = {
        event.hose_in: event.hose_flow.value
        for run in room.drains
        for event in run.events
        if event.hose_in is not None and event.hose_flow is not None
    }
    for tank in room.tanks:
        part = Broken(kind="hand hose", what=tank.id, flow=flows.get(tank.id))
        yield Fault(name=f"hand hose left in {tank.id}", group="hand hose left", broken=(part,))


# --- air --------------------------------------------------------------------------------------------------------


def _airs(room: Room) -> Iterator[Fault]:
    for pump in dict.fromkeys(name for run in room.airs for name in run.pumps):
        yield _one(f"air pump {pump} dead", "air pump dead", "air pump", pump)
    for run in room.airs:
        yield from _openings(run)
        fed = [tap for tap in run.taps if tap.tank is not None]
        spare = next((tap for tap in run.taps if tap.tank is None), None)
        for tap in fed:
            yield _one(f"tap of {tap.tank} fallen out", "tap fallen out", "air tap", run.id, tap.id)
        if spare is not None:
            yield _one(f"spare tap of {run.id} fallen out", "tap fallen out", "air tap", run.id, spare.id)
        for tap in fed:
            if tap.diffuser is not None:
                yield _one(f"diffuser of {tap.tank} clogged", "diffuser clogged", "diffuser", run.id, tap.id)


def _openings(run: AirRun) -> Iterator[Fault]:
    """The line open where it begins, at the tap nearest to that and at the farthest: in between it does no more."""
    yield _one(f"air line {run.id} open at its pump", "air line open", "ring pipe", run.id, run.inlet)
    for tap in _ends(run):
        yield _one(f"air line {run.id} open at {tap.tank}", "air line open", "ring pipe", run.id, tap.node)


def _ends(run: AirRun) -> tuple[TapPlace, ...]:
    """The tanks' taps that are nearest to the beginning and farthest from it, along the pipe."""
    away = _along(run)
    fed = [tap for tap in run.taps if tap.tank is not None and tap.node in away]
    if not fed:
        return ()
    nearest = min(fed, key=lambda tap: away[tap.node])
    farthest = max(fed, key=lambda tap: away[tap.node])
    return (nearest,) if nearest.node == farthest.node else (nearest, farthest)


def _along(run: AirRun) -> dict[str, float]:
    joined: dict[str, list[tuple[str, float]]] = {}
    for pipe in run.pipes:
        joined.setdefault(pipe.start, []).append((pipe.end, pipe.length))
        joined.setdefault(pipe.end, []).append((pipe.start, pipe.length))
    away: dict[str, float] = {}
    heap = [(0.0, run.inlet)]
    while heap:
        length, node = heappop(heap)
        if node in away:
            continue
        away[node] = length
        for other, more in joined.get(node, ()):
            if other not in away:
                heappush(heap, (length + more, other))
    return away


# --- power ------------------------------------------------------------------------------------------------------


def _supply(room: Room) -> Iterator[Fault]:
    yield _one("power cut", "power cut", "power", "")
    power = room.power
    if power is None:
        return
    loaded = {board.circuit for board in power.boards if board.loads}
    for circuit in power.circuits:
        if circuit.id in loaded:
            yield _one(f"circuit {circuit.id} dead", "circuit dead", "circuit", circuit.id)
    # a device that bears no name of its own goes off with its one circuit
    devices = {circuit.device: circuit.id for circuit in power.circuits if circuit.device}
    for device in devices:
        if any(circuit.device == device and circuit.id in loaded for circuit in power.circuits):
            yield _one(f"device {device} tripped", "device tripped", "device", device)
    for board in power.boards:
        if board.loads:
            yield _one(f"board {board.id} dead", "board dead", "board", board.id)
    for board in power.boards:
        if any(load.does == "light" and load.hours < 24.0 for load in board.loads):
            yield _one(f"lights of board {board.id} stuck on", "lights stuck on", "lights", board.id)


# --- warmth, water, glass ---------------------------------------------------------------------------------------


def _warmth(room: Room) -> Iterator[Fault]:
    for life in room.lives:
        if life.heater is not None:
            yield _one(f"heater of {life.tank} stuck on", "heater stuck on", "heater on", life.tank)
            yield _one(f"heater of {life.tank} stuck off", "heater stuck off", "heater off", life.tank)
    for kept in room.climate.spaces if room.climate is not None else ():
        yield _one(f"room heating of {kept.space} fails", "room heating fails", "room heater", kept.space)
        yield _one(f"cooling of {kept.space} fails", "cooling fails", "room cooler", kept.space)


def _waters(room: Room) -> Iterator[Fault]:
    for feed in room.feeds:
        yield _one(f"carbon of {feed.id} spent", "carbon spent", "carbon", feed.id)
    for water in room.waters:
        if not water.mix and water.disinfectant in {"chlorine", "not known"}:
            yield _one(f"chloramine in {water.id} water", "chloramine", "chloramine", water.id)


def _glass(room: Room) -> Iterator[Fault]:
    for tank in room.tanks:
        # every side stands on the base: whichever pane goes, all the water does
        yield _one(f"pane of {tank.id} fails", "pane fails", "pane", tank.id, "front")
