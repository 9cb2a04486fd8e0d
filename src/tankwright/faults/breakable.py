"""Whether a thing that is to break is there at all, in words."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Final

from tankwright.room.model import FeedRun, Room
from tankwright.room.model_broken import Broken, BrokenKind

INLET: Final = "inlet"
"""A feed line off its fitting where the manifold begins, whatever that node is called."""


def can_break(room: Room, broken: Broken) -> str | None:
    """Why this cannot break in this room, None where it can.

    >>> empty = Room(title="", display="metric", spaces=(), racks=(), tanks=())
    >>> can_break(empty, Broken(kind="overflow", what="A3"))
    'there is no tank "A3"'
    """
    if not 0.0 <= broken.left < float("inf"):
        return "what is left of its way must be a number, 0 or more"
    return _WHY_NOT[broken.kind](room, broken)


def _missing(kind: str, name: str, there: Iterable[str]) -> str | None:
    return None if name in set(there) else f'there is no {kind} "{name}"'


def _has_tank(room: Room, broken: Broken) -> str | None:
    return _missing("tank", broken.what, (tank.id for tank in room.tanks))


def _has_overflow(room: Room, broken: Broken) -> str | None:
    why = _has_tank(room, broken)
    if why is None and room.tank(broken.what).overflow is None:
        why = f"tank {broken.what} has no overflow"
    return why


def _has_second_overflow(room: Room, broken: Broken) -> str | None:
    why = _has_tank(room, broken)
    if why is None and room.tank(broken.what).second_overflow is None:
        why = f"tank {broken.what} has no second overflow"
    return why


def _has_hose(room: Room, broken: Broken) -> str | None:
    why = _has_tank(room, broken)
    if why is None and room.tank(broken.what).hose is None:
        why = f"tank {broken.what} has no hose"
    return why


def _has_pane(room: Room, broken: Broken) -> str | None:
    panes = ("front", "back", "left", "right", "base")
    return _has_tank(room, broken) or _missing("pane", broken.at, panes)


def _has_drain(room: Room, broken: Broken) -> str | None:
    run = next((one for one in room.drains if one.id == broken.what), None)
    if run is None:
        return f'there is no drain "{broken.what}"'
    return _missing(f"node of drain {run.id}", broken.at, (node.id for node in run.nodes))


def _has_outfall(room: Room, broken: Broken) -> str | None:
    return _missing("outfall", broken.what, (one.id for one in room.outfalls))


def _has_feed(room: Room, broken: Broken) -> str | None:
    return _missing("feed", broken.what, (feed.id for feed in room.feeds))


def _feed(room: Room, broken: Broken) -> FeedRun | str:
    why = _has_feed(room, broken)
    return why if why is not None else next(one for one in room.feeds if one.id == broken.what)


def _has_feed_line(room: Room, broken: Broken) -> str | None:
    feed = _feed(room, broken)
    if isinstance(feed, str):
        return feed
    return _missing(f"node of feed {feed.id}", broken.at, [INLET, *(name for name, _ in feed.nodes)])


def _has_feed_outlet(room: Room, broken: Broken) -> str | None:
    feed = _feed(room, broken)
    if isinstance(feed, str):
        return feed
    return _missing(f"outlet of feed {feed.id}", broken.at, (outlet.id for outlet in feed.outlets))


def _has_vat_pump(room: Room, broken: Broken) -> str | None:
    feed = _feed(room, broken)
    if isinstance(feed, str):
        return feed
    return None if feed.pump is not None else f"feed {feed.id} has no pump"


def _has_carbon(room: Room, broken: Broken) -> str | None:
    feed = _feed(room, broken)
    if isinstance(feed, str):
        return feed
    return None if any(one.carbon for one in feed.filters) else f"feed {feed.id} has no carbon"


def _has_water_point(room: Room, broken: Broken) -> str | None:
    points = (feed.source for feed in room.feeds if feed.source_kind == "water point")
    why = _missing("water point", broken.what, points)
    return None if why is None else f"{why} that feeds a tank"


def _has_pump(room: Room, broken: Broken) -> str | None:
    return _missing("pump", broken.what, [*(pump.id for pump in room.pumps), *_ring_pumps(room)])


def _ring_pumps(room: Room) -> Iterable[str]:
    return (name for run in room.airs for name in run.pumps)


def _has_ring_node(room: Room, broken: Broken) -> str | None:
    run = next((one for one in room.airs if one.id == broken.what), None)
    if run is None:
        return f'there is no air line "{broken.what}"'
    return _missing(f"node of air line {run.id}", broken.at, (name for name, _ in run.nodes))


def _has_tap(room: Room, broken: Broken) -> str | None:
    run = next((one for one in room.airs if one.id == broken.what), None)
    if run is None:
        return f'there is no air line "{broken.what}"'
    return _missing(f"tap of air line {run.id}", broken.at, (tap.id for tap in run.taps))


def _always(_room: Room, _broken: Broken) -> str | None:
    return None


def _has_board(room: Room, broken: Broken) -> str | None:
    boards = room.power.boards if room.power is not None else ()
    return _missing("board", broken.what, (board.id for board in boards))


def _has_lights(room: Room, broken: Broken) -> str | None:
    why = _has_board(room, broken)
    if why is not None or room.power is None:
        return why
    board = next(one for one in room.power.boards if one.id == broken.what)
    return None if any(load.does == "light" for load in board.loads) else f"board {board.id} carries no light"


def _has_circuit(room: Room, broken: Broken) -> str | None:
    circuits = room.power.circuits if room.power is not None else ()
    return _missing("circuit", broken.what, (one.id for one in circuits))


def _has_device(room: Room, broken: Broken) -> str | None:
    circuits = room.power.circuits if room.power is not None else ()
    return _missing("protective device", broken.what, (one.device or one.id for one in circuits))


def _has_heater(room: Room, broken: Broken) -> str | None:
    heated = {life.tank for life in room.lives if life.heater is not None}
    return _has_tank(room, broken) or (None if broken.what in heated else f"tank {broken.what} has no heater")


def _is_heated(room: Room, broken: Broken) -> str | None:
    kept = room.climate.space(broken.what) if room.climate is not None else None
    return None if kept is not None and kept.heat_to is not None else f'nothing heats "{broken.what}"'


def _is_cooled(room: Room, broken: Broken) -> str | None:
    kept = room.climate.space(broken.what) if room.climate is not None else None
    return None if kept is not None and kept.cool_to is not None else f'nothing cools "{broken.what}"'


def _has_water(room: Room, broken: Broken) -> str | None:
    return _missing("water", broken.what, (water.id for water in room.waters))


_WHY_NOT: Final[Mapping[BrokenKind, Callable[[Room, Broken], str | None]]] = {
    "overflow": _has_overflow,
    "second overflow": _has_second_overflow,
    "drain": _has_drain,
    "outfall": _has_outfall,
    "feed valve": _has_feed,
    "feed line": _has_feed_line,
    "feed outlet": _has_feed_outlet,
    "hand hose": _has_tank,
    "mains pressure": _has_water_point,
    "mains off": _has_water_point,
    "vat pump": _has_vat_pump,
    "air pump": _has_pump,
    "ring pipe": _has_ring_node,
    "air tap": _has_tap,
    "diffuser": _has_tap,
    "power": _always,
    "board": _has_board,
    "circuit": _has_circuit,
    "device": _has_device,
    "heater on": _has_heater,
    "heater off": _has_heater,
    "room heater": _is_heated,
    "room cooler": _is_cooled,
    "carbon": _has_carbon,
    "chloramine": _has_water,
    "pane": _has_pane,
    "hose": _has_hose,
    "lights": _has_lights,
}
