"""What a search starts from: the room, what stays, what may go, which rows may stand on which shelf, and where."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Final

from tankwright.arranging.formulation import RackClass, Wanted
from tankwright.arranging.model import Effort, Place, Prices, Row, TankSize
from tankwright.arranging.places import Floor, places_for
from tankwright.arranging.rows import rows_for
from tankwright.arranging.trial import on_shelf, tank_sizes, tried, uprights_of
from tankwright.arranging.writing import drains_of
from tankwright.catalogue.assumptions import ASSUMPTIONS
from tankwright.finding import Finding
from tankwright.plan.models import Plan, Wish
from tankwright.room.assumed import assumed
from tankwright.room.model import RackPlace, Room, Space, Tank
from tankwright.units import Dimensionless, Metre

_MILLIMETRE: Final = 0.001
_EIGHTH_INCH: Final = 0.0254 / 8
_SLIP: Final = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class Refusal:
    """Why a kind of tank may stand on no shelf of a kind of rack: too deep, too long, or what the checks said."""

    tank: str
    rack: str
    why: str
    finding: Finding | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """Everything one search rests on. `rows` are those each shelf of a kind of rack may carry, by (kind, shelf)."""

    plan: Plan
    wish: Wish
    room: Room
    space: Space
    kept: tuple[RackPlace, ...]
    out: tuple[RackPlace, ...]
    floor: Floor
    sizes: tuple[TankSize, ...]
    rows: dict[tuple[str, int], tuple[Row, ...]]
    whole: bool
    refused: tuple[Refusal, ...]
    places: tuple[Place, ...]
    step: Metre
    classes: tuple[RackClass, ...]
    wanted: Wanted

    @property
    def kept_tanks(self) -> tuple[Tank, ...]:
        """Tanks on racks that stay."""
        racks = {rack.id for rack in self.kept}
        return tuple(tank for tank in self.room.tanks if tank.rack in racks)


def ground_for(
    plan: Plan, room: Room, space: Space, prices: Prices, effort: Effort, progress: Callable[[], None]
) -> Ground:
    """Gather what a search in a room rests on."""
    wish = plan.wish or Wish()
    here = [rack for rack in room.racks if rack.room == space.id]
    kept = tuple(rack for rack in here if rack.id in wish.keep)
    out = tuple(rack for rack in here if rack.id not in wish.keep)
    floor = _floor(plan, wish, room, space, kept)
    kinds = wish.racks or tuple(plan.rack_kind)
    sizes = tank_sizes(plan, dict.fromkeys(one.kind for one in wish.tanks) if wish.tanks else plan.tank_kind)
    rows, whole, refused = _rows(plan, room, kinds, sizes, floor, progress)
    progress()
    found = places_for(floor, [(kind, plan.rack_kind[kind]) for kind in kinds], effort.places)
    return Ground(
        plan=plan, wish=wish, room=room, space=space, kept=kept, out=out, floor=floor, sizes=sizes, rows=rows,
        whole=whole, refused=refused, places=found.places, step=found.step,
        classes=_classes(plan, room, rows, found.places), wanted=_wanted(wish, room, kept, out, prices),
    )  # fmt: skip


def with_higher_drain(ground: Ground, measured: Sequence[tuple[int, Metre]]) -> Ground:
    """The ground once the drain was found to lie so high behind racks at some places: no lower near by, less its fall
    on the way."""
    places = list(ground.places)
    for number, height in measured:
        there = places[number]
        for other, place in enumerate(places):
            if (place.wall, place.drain is None) != (there.wall, False):
                continue
            apart = math.dist(place.box.middle[:2], there.box.middle[:2])
            places[other] = replace(place, drain=max(place.drain or 0.0, height - ground.floor.fall * apart))
    found = tuple(places)
    return replace(ground, places=found, classes=_classes(ground.plan, ground.room, ground.rows, found))


def _floor(plan: Plan, wish: Wish, room: Room, space: Space, kept: tuple[RackPlace, ...]) -> Floor:
    aisle = wish.aisle or space.aisle or assumed(room, "aisle.least")
    said = Counter(
        one.off_wall.value for one in plan.rack if one.off_wall is not None and one.room == space.id
    )
    off_wall = said.most_common(1)[0][0] if said else assumed(room, "rack.off_wall").value
    drains = drains_of(plan, room, space)
    outfalls = [one for one in room.outfalls if one.id in {plan.drain[name].to for name in drains}]
    return Floor(
        space=space, kept=kept, aisle=aisle.value, off_wall=off_wall,
        quantum=_EIGHTH_INCH if plan.display == "US" else _MILLIMETRE, islands=wish.islands,
        outfall=outfalls[0] if len(outfalls) == 1 else None, fall=_fall(plan, room, drains),
    )  # fmt: skip


def _fall(plan: Plan, room: Room, drains: Sequence[str]) -> Dimensionless:
    """The least fall of these drains, as they are laid out or said."""
    falls = [run.fall.value for run in room.drains if run.id in drains]
    falls += [said.value for name in drains if (said := plan.drain[name].fall) is not None]
    return max(min(falls, default=ASSUMPTIONS["drain.fall"].value), 0.0)


def _rows(
    plan: Plan,
    room: Room,
    kinds: Sequence[str],
    sizes: Sequence[TankSize],
    floor: Floor,
    progress: Callable[[], None],
) -> tuple[dict[tuple[str, int], tuple[Row, ...]], bool, tuple[Refusal, ...]]:
    gap = assumed(room, "tank.gap").value
    asked: list[tuple[str, int, Row]] = []
    refused: list[Refusal] = []
    whole = True
    for name in kinds:
        kind = plan.rack_kind[name]
        fitting = [
            size
            for size in sizes
            if size.deep <= kind.depth.value + _SLIP and size.wide <= kind.length.value + _SLIP
        ]
        for tank in dict.fromkeys(size.kind for size in sizes):
            if not any(size.kind == tank for size in fitting):
                shallow = all(size.deep > kind.depth.value + _SLIP for size in sizes if size.kind == tank)
                refused.append(Refusal(tank=tank, rack=name, why="deep" if shallow else "long"))
        made, all_of_them = rows_for(
            fitting, kind.length.value, uprights_of(plan, name), gap=gap, quantum=floor.quantum
        )
        whole = whole and all_of_them
        asked += [
            (name, shelf, row) for shelf in range(1, len(kind.shelves) + 1) for row in made if row.tanks
        ]
    against = tried(plan, [(name, on_shelf(shelf, row)) for name, shelf, row in asked], progress)
    found: dict[tuple[str, int], list[Row]] = {
        (name, shelf): [Row()] for name in kinds for shelf in range(1, len(plan.rack_kind[name].shelves) + 1)
    }
    alone: dict[tuple[str, str], list[Finding]] = {}
    for (name, shelf, row), findings in zip(asked, against, strict=True):
        if not findings:
            found[name, shelf].append(row)
        elif len(row.tanks) == 1:
            alone.setdefault((row.tanks[0][0].kind, name), []).append(findings[0])
    stands = {(size.kind, name) for (name, _), rows in found.items() for row in rows for size, _ in row.tanks}
    refused += [
        Refusal(tank=tank, rack=name, why="checks", finding=findings[0])
        for (tank, name), findings in alone.items() if (tank, name) not in stands
    ]  # fmt: skip
    return {key: tuple(rows) for key, rows in found.items()}, whole, tuple(refused)


def _classes(
    plan: Plan, room: Room, rows: dict[tuple[str, int], tuple[Row, ...]], places: Sequence[Place]
) -> tuple[RackClass, ...]:
    """Places by what may stand there: under their ceiling and over their drain."""
    need = room.clear_above or ASSUMPTIONS["reach.clear_above"].known()
    clear = need.band[0] if need.band is not None else need.value
    groups: dict[tuple[str, tuple[tuple[Row, ...], ...]], list[int]] = {}
    for number, place in enumerate(places):
        heights = sorted(shelf.value for shelf in plan.rack_kind[place.kind].shelves)
        may = []
        for shelf, height in enumerate(heights, start=1):
            top = place.ceiling - clear if shelf == len(heights) else place.ceiling
            may.append(tuple(
                row for row in rows[place.kind, shelf]
                if not row.tanks or (height + row.height <= top + _SLIP and _drains(row, height, place.drain))
            ))  # fmt: skip
        if any(row.tanks for shelf_rows in may for row in shelf_rows):
            groups.setdefault((place.kind, tuple(may)), []).append(number)
    return tuple(
        RackClass(kind=kind, places=tuple(numbers), rows=may) for (kind, may), numbers in groups.items()
    )


def _drains(row: Row, height: Metre, drain: Metre | None) -> bool:
    """Whether every hole of a row lies over the drain behind it."""
    return drain is None or row.lowest_hole is None or height + row.lowest_hole >= drain - _SLIP


def _wanted(
    wish: Wish, room: Room, kept: Sequence[RackPlace], out: Sequence[RackPlace], prices: Prices
) -> Wanted:
    """The wish less what stays; what stands or is ordered need not be bought again."""
    staying = {rack.id for rack in kept}
    tanks = [tank for tank in room.tanks if tank.rack in staying]
    there = Counter(tank.kind for tank in tanks)
    leaving = {rack.id for rack in out}
    real = [tank for tank in room.tanks if tank.rack in leaving and tank.state != "wished"]
    litres = wish.litres.value if wish.litres is not None else 0.0
    return Wanted(
        least={one.kind: max(one.at_least - there[one.kind], 0) for one in wish.tanks},
        most={one.kind: max(one.at_most - there[one.kind], 0) for one in wish.tanks if one.at_most is not None},
        litres=max(litres - sum(tank.water_volume for tank in tanks), 0.0),
        have_tanks=Counter(tank.kind for tank in real),
        have_racks=Counter(rack.kind for rack in out if any(tank.rack == rack.id for tank in real)),
        prices=prices,
    )  # fmt: skip
