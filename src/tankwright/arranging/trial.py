"""Tanks and rows tried out in an empty hall: laid out, weighed and judged by the very checks the room is judged by."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import Any, Final, Literal

from tankwright.arranging.model import Row, TankSize
from tankwright.checks.all import judge
from tankwright.checks.layout_holes import FITTING_ROOM, FLANGE_ROOM
from tankwright.finding import Finding, Severity
from tankwright.origin import Known, Origin
from tankwright.plan.models import Plan, Rack, RackKind, RoomTable, Standing
from tankwright.room.boxes import along
from tankwright.room.layout import lay_out
from tankwright.room.model import Room, Tank
from tankwright.study import work_out
from tankwright.systems.load import solve_load
from tankwright.units import Metre

JUDGED: Final = frozenset({"layout", "load", "racks"})
NOT_TAKEN: Final = frozenset({"LAYOUT-11", "LAYOUT-12", "LAYOUT-13", "LAYOUT-14", "LOAD-04"})
"""Warnings that keep a row from a shelf, as problems do: reach, clear height, way out, uprights, rating at the brim."""

OTHERS: Final = frozenset({
    "LAYOUT-15", "LAYOUT-16", "LAYOUT-17", "LAYOUT-18", "LAYOUT-19", "LAYOUT-20", "LOAD-01", "LOAD-02", "LOAD-03",
    "LOAD-06", "RACKS-05", "RACKS-11", "RACKS-12",
})  # fmt: skip
"""What is of a tank, a floor or a tie, wherever the rack stands: it keeps no row from a shelf."""

_HALL: Final = "hall"
_APART: Final[Metre] = 8.0
_HIGH: Final[Metre] = 12.0
_BATCH: Final = 48
_PRICED: Final = 6
_LEFT: Final[Metre] = 0.2


def tank_sizes(plan: Plan, kinds: Iterable[str]) -> tuple[TankSize, ...]:
    """Every kind as it may stand: along the shelf, and end-on where its hole then looks to the back or is in its
    base."""
    found: list[TankSize] = []
    for name in kinds:
        kind = plan.tank_kind[name]
        long_side, deep_side = kind.outside[0].value, kind.outside[1].value
        ways = [False]
        to_back = kind.hole is None or kind.hole.pane != "back"
        if to_back and long_side > deep_side:
            ways.append(True)
        for end_on in ways:
            found.append(_size_of(plan, name, end_on=end_on))
    return tuple(found)


def uprights_of(plan: Plan, kind: str) -> tuple[tuple[Metre, Metre], ...]:
    """From and to of each upright of a kind of rack, from its left end."""
    return _laid(plan, plan.rack_kind, [(kind, (Row(),))]).racks[0].uprights


def _size_of(plan: Plan, name: str, *, end_on: bool) -> TankSize:
    kind = plan.tank_kind[name]
    wide = kind.outside[1 if end_on else 0].value
    deep = kind.outside[0 if end_on else 1].value
    rack = RackKind.model_validate({
        "length": _m(wide + 2 * _LEFT), "depth": _m(deep), "shelves": [_m(1.0)], "height": _m(1.0),
    })  # fmt: skip
    size = TankSize(kind=name, end_on=end_on, wide=wide, deep=deep, height=0.0, water=0.0, mass=0.0)
    row = Row(tanks=((size, _LEFT),))
    room = _laid(plan, {"sample": rack}, [("sample", (row,))])
    tank = room.tanks[0]
    weight = solve_load(room).tanks[0]
    at, half, beside = _hole(room, tank)
    return TankSize(
        kind=name, end_on=end_on, wide=tank.length, deep=tank.depth, height=tank.height, water=tank.water_volume,
        mass=weight.brim, hole_at=at, hole_half=half, beside=beside,
        hole_up=None if tank.hole is None else tank.hole.centre[2] - tank.box.z0,
    )  # fmt: skip


def _hole(room: Room, tank: Tank) -> tuple[Metre | None, Metre, tuple[Metre, Metre]]:
    """Where the hole is from the tank's left, what it takes to either side of that, and what an end's hole needs."""
    hole = tank.hole
    if hole is None or hole.pane == "base":
        return None, 0.0, (0.0, 0.0)
    at = along(room.racks[0].box, tank.facing, hole.centre) - _LEFT
    if at <= 1e-6:
        return None, 0.0, (FITTING_ROOM, 0.0)
    if at >= tank.length - 1e-6:
        return None, 0.0, (0.0, FITTING_ROOM)
    half = max(hole.diameter.value, hole.flange.value if hole.flange else 0.0) / 2.0
    return at, half + (0.0 if hole.flange else FLANGE_ROOM), (0.0, 0.0)


def tried(
    plan: Plan, racks: Sequence[tuple[str, tuple[Row, ...]]], progress: Callable[[], None] | None = None
) -> list[tuple[Finding, ...]]:
    """What keeps these rows off the shelves (kind of rack, a row for each shelf from the lowest) of racks that are tied
    and have nothing near them; nothing when they may stand.

    Many are looked at together first; a finding names the worst of many, so what one names is looked at alone.
    """
    trials: list[tuple[Finding, ...]] = []
    for start in range(0, len(racks), _BATCH):
        batch = racks[start : start + _BATCH]
        if progress is not None:
            progress()
        together = _against(plan, batch)
        trials += [
            _against(plan, [one])[0] if against else () for one, against in zip(batch, together, strict=True)
        ]
    return trials


def on_shelf(shelf: int, row: Row) -> tuple[Row, ...]:
    """A row on one shelf (from 1), nothing below it."""
    return (*(Row() for _ in range(shelf - 1)), row)


def _against(plan: Plan, racks: Sequence[tuple[str, tuple[Row, ...]]]) -> list[tuple[Finding, ...]]:
    room = _laid(plan, plan.rack_kind, racks)
    findings = [one for one in judge(work_out(room, JUDGED)) if keeps_off(one)]
    found = []
    for number in range(len(racks)):
        mine = {f"r{number}", *(tank.id for tank in room.tanks if tank.rack == f"r{number}")}
        found.append(tuple(one for one in findings if not mine.isdisjoint(one.places)))
    return found


def keeps_off(finding: Finding) -> bool:
    """Whether a finding says that tanks may not stand so on a shelf."""
    if finding.code in OTHERS or not finding.code.startswith(("LAYOUT-", "LOAD-", "RACKS-")):
        return False
    return finding.severity is Severity.PROBLEM or (
        finding.severity is Severity.WARNING and finding.code in NOT_TAKEN
    )


def priced_apart(plan: Plan, what: Literal["tank", "rack"], kind: str) -> tuple[Plan, int]:
    """A plan of nothing but some racks, or tanks, of a kind, none of them there yet, and how many: to price one."""
    if what == "rack":
        return _hall(plan, plan.rack_kind, [(kind, ()) for _ in range(_PRICED)]), _PRICED
    wide, deep = (plan.tank_kind[kind].outside[side].value for side in (0, 1))
    rack = RackKind.model_validate(
        {"length": _m(wide), "depth": _m(deep), "shelves": [_m(1.0)], "height": _m(1.0)}
    )
    size = TankSize(kind=kind, end_on=False, wide=wide, deep=deep, height=0.0, water=0.0, mass=0.0)
    row = Row(tanks=((size, 0.0),))
    return _hall(plan, {"sample": rack}, [("sample", (row,)) for _ in range(_PRICED)]), _PRICED


def _laid(plan: Plan, kinds: dict[str, Any], racks: Sequence[tuple[str, tuple[Row, ...]]]) -> Room:
    room = lay_out(_hall(plan, kinds, racks)).room
    assert room is not None
    return room


def _hall(plan: Plan, kinds: dict[str, Any], racks: Sequence[tuple[str, tuple[Row, ...]]]) -> Plan:
    """Racks with their rows, far apart in a hall."""
    side = _APART * max(len(racks), 2)
    size = {"length": _m(side), "width": _m(2 * _APART), "height": _m(_HIGH)}
    standing = []
    for number, (kind, rows) in enumerate(racks):
        shelves = {
            str(shelf): tuple(
                Standing.model_validate({"kind": tank.kind, "ids": f"t{number}x{shelf}x{place}", "from_left": _m(left),
                                         "end_on": tank.end_on, "state": "wished"})
                for place, (tank, left) in enumerate(row.tanks)
            )
            for shelf, row in enumerate(rows, start=1)
        }  # fmt: skip
        rack = Rack.model_validate({
            "id": f"r{number}", "kind": kind, "room": _HALL, "facing": "south", "tied_to_wall": True,
            "at": [_m(1.0 + number * _APART), _m(_APART)],
        })  # fmt: skip
        standing.append(rack.model_copy(update={"shelf": shelves}))
    return Plan().model_copy(update={
        "display": plan.display, "buy": plan.buy, "assume": plan.assume, "section": plan.section,
        "room": {_HALL: RoomTable.model_validate({"size": size})}, "tank_kind": plan.tank_kind, "rack_kind": kinds,
        "rack": tuple(standing),
    })  # fmt: skip


def _m(length: Metre) -> Known:
    return Known(length, Origin.GIVEN)
