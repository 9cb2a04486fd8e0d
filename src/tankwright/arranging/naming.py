"""Names for the racks and tanks of an answer: what is there already keeps its name and moves, the rest is new.

A tank keeps its name when a tank of its kind is in the answer, so that its fish, its log and its label go with it. A
rack takes the name of one that goes, of the same kind if there is one.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from tankwright.arranging.model import Place, PlacedRack, Row, State, TankRow, TankSize
from tankwright.plan.models import Plan
from tankwright.room.model import Box, RackPlace, Room, Space, Tank
from tankwright.units import Metre

_LETTERS: Final = "ABCDEFGHIJKLMNOPRSTUVWXYZ"  # without Q, which people keep for quarantine
_SAME: Final = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class Named:
    """The racks with their names, in the order of these, and where every tank came from."""

    racks: tuple[PlacedRack, ...]
    places: tuple[Place, ...]
    moved: tuple[str, ...]
    comes: tuple[str, ...]
    goes: tuple[str, ...]


def named(
    plan: Plan,
    room: Room,
    space: Space,
    out: Sequence[RackPlace],
    racks: Sequence[tuple[Place, tuple[Row, ...]]],
) -> Named:
    """Name the racks of an answer that stand instead of the racks `out`."""
    names = _rack_names(room, out, [place for place, _ in racks])
    order = sorted(range(len(racks)), key=lambda number: _order(names[number]))
    leaving = {rack.id for rack in out}
    stock = [tank for tank in room.tanks if tank.rack in leaving]
    pool = _Pool(room, stock)
    slots = [
        (names[number], shelf, size)
        for number in order for shelf, row in enumerate(racks[number][1]) for size, _ in row.tanks
    ]  # fmt: skip
    ids = pool.deal(slots)
    tables = {table.id: table for table in plan.rack}
    zones = {tables[rack.id].zone for rack in out if rack.id in tables}
    along_walls = [tables[rack.id] for rack in out if rack.id in tables and not rack.island]
    tied = True if along_walls and all(one.tied_to_wall for one in along_walls) else None
    states: dict[str, State] = {tank.id: _state(tank) for tank in stock}
    found = []
    for number in order:
        place, rows = racks[number]
        name = names[number]
        own = tables.get(name) if name in leaving else None
        shelves = tuple(tuple(_tank_rows(row, ids, states)) for row in rows)
        found.append(PlacedRack(
            id=name, kind=place.kind, room=space.id, wall=place.wall, along=place.along, off_wall=place.off_wall,
            zone=own.zone if own is not None else next(iter(zones)) if len(zones) == 1 else None,
            at=None if place.wall else (place.box.x0 - space.box.x0, place.box.y0 - space.box.y0), facing=place.facing,
            tied=tied if place.wall else None, shelves=shelves,
        ))  # fmt: skip
    stays = {name for name in pool.used if name in states}
    return Named(
        racks=tuple(found), places=tuple(racks[number][0] for number in order),
        moved=tuple(tank.id for tank in stock if tank.id in stays),
        comes=tuple(name for name in pool.used if name not in states),
        goes=tuple(tank.id for tank in stock if tank.id not in stays),
    )  # fmt: skip


def _rack_names(room: Room, out: Sequence[RackPlace], places: Sequence[Place]) -> list[str]:
    """A name for each place: of a rack of its kind that stood nearest, then of any that goes, then a new one."""
    names: list[str | None] = [None] * len(places)
    left = {rack.id: rack for rack in out}
    for same_kind in (True, False):
        pairs = sorted(
            (_apart(rack.box, place.box), number, rack.id)
            for number, place in enumerate(places) for rack in left.values()
            if names[number] is None and (rack.kind == place.kind or not same_kind)
        )  # fmt: skip
        for _, number, name in pairs:
            if names[number] is None and name in left:
                names[number] = name
                del left[name]
    fresh = _fresh({rack.id for rack in room.racks})
    return [name if name is not None else next(fresh) for name in names]


def _fresh(taken: set[str]) -> Iterator[str]:
    singles = iter(_LETTERS)
    doubles = (first + second for first in _LETTERS for second in _LETTERS)
    triples = (f"R{number}" for number in range(1, 10_000))
    for source in (singles, doubles, triples):
        yield from (name for name in source if name not in taken)


def _apart(first: Box, second: Box) -> Metre:
    return round(math.dist(first.middle[:2], second.middle[:2]), 4)


def _order(name: str) -> tuple[int, str]:
    return len(name), name


class _Pool:
    """Tanks that are there by kind, given out again to the places of an answer."""

    def __init__(self, room: Room, stock: Sequence[Tank]) -> None:
        self._taken = {tank.id for tank in room.tanks} | {rack.id for rack in room.racks}
        self._left: dict[str, list[Tank]] = {}
        for tank in stock:
            self._left.setdefault(tank.kind, []).append(tank)
        self.used: list[str] = []

    def deal(self, slots: Sequence[tuple[str, int, TankSize]]) -> Iterator[str]:
        """A name for each place (rack, shelf, kind), in their order."""
        names: list[str | None] = [None] * len(slots)
        for same_rack in (True, False):
            for number, (rack, _, size) in enumerate(slots):
                if names[number] is not None:
                    continue
                left = self._left.get(size.kind, [])
                one = next((tank for tank in left if tank.rack == rack or not same_rack), None)
                if one is not None:
                    left.remove(one)
                    names[number] = one.id
        counters: dict[str, int] = {}
        for number, (rack, _, _) in enumerate(slots):
            if names[number] is None:
                names[number] = self._new(rack, counters)
        self.used = [name for name in names if name is not None]
        return iter(self.used)

    def _new(self, rack: str, counters: dict[str, int]) -> str:
        joint = "." if rack[-1:].isdigit() else ""
        while True:
            counters[rack] = counters.get(rack, 0) + 1
            name = f"{rack}{joint}{counters[rack]}"
            if name not in self._taken:
                self._taken.add(name)
                return name


def _state(tank: Tank) -> State:
    return tank.state if tank.state in ("stands", "ordered", "wished") else "wished"  # type: ignore[return-value] # one of the three


def _tank_rows(row: Row, ids: Iterator[str], states: dict[str, State]) -> Iterator[TankRow]:
    """The row as a plan says it: tanks alike and evenly apart together, each such row with its own beginning."""
    group: list[tuple[TankSize, Metre, str]] = []
    for size, left in row.tanks:
        name = next(ids)
        if group and not _goes_on(group, size, left, name, states):
            yield _told(group, states)
            group = []
        group.append((size, left, name))
    if group:
        yield _told(group, states)


def _goes_on(
    group: list[tuple[TankSize, Metre, str]], size: TankSize, left: Metre, name: str, states: dict[str, State]
) -> bool:
    last, at, before = group[-1]
    if last != size or states.get(before, "wished") != states.get(name, "wished"):
        return False
    return len(group) == 1 or abs((left - at) - (at - group[-2][1])) < _SAME


def _told(group: list[tuple[TankSize, Metre, str]], states: dict[str, State]) -> TankRow:
    size, left, name = group[0]
    return TankRow(
        kind=size.kind, ids=tuple(one for _, _, one in group), from_left=left, wide=size.wide,
        end_on=size.end_on,
        gap=group[1][1] - left - size.wide if len(group) > 1 else None, state=states.get(name, "wished"),
    )  # fmt: skip
