"""Watts and amperes per board, circuit and protective device, and what stops when each one goes off.

Screening figures only. Mains near water can kill: the local code and a licensed electrician decide what may
be built. Powers in watts, currents in amperes at unity power factor, energies in joules.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final, Literal

from tankwright.origin import Known
from tankwright.room.model import BoardPlace, CircuitPlace, LoadPlace, PowerRoom, Room, Tank
from tankwright.units import Ampere, Dimensionless, Joule, Metre, Watt

CONTINUOUS_HOURS: Final = 3.0
"""A load is continuous from three hours on. Source: NEC article 100, as quoted with 210.20(A)."""

StopKind = Literal["board", "breaker", "device"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Draw:
    """What hangs on one thing: everything running at once.

    `share` is current over rating; `weighted_share` counts what runs three hours or more at current over the
    continuous share, so 1 is the most a house margin (or a code with such a rule) allows.
    """

    power: Watt
    current: Ampere
    continuous_current: Ampere
    energy_a_day: Joule
    share: Dimensionless | None = None
    weighted_share: Dimensionless | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardDraw:
    """One board.

    `plugs` counts what is plugged in. `lowest_wet` and `highest_wet` are heights of the wet joints and mouths
    on its rack (hole, lip, hose, feed end, rim), None when its rack or the rack's tanks are not known.
    """

    board: str
    circuit: str
    device: str
    draw: Draw
    plugs: int
    height: Metre
    lowest_wet: Metre | None
    highest_wet: Metre | None
    wettest: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CircuitDraw:
    """One circuit and the boards on it."""

    circuit: str
    device: str
    boards: tuple[str, ...]
    draw: Draw


@dataclass(frozen=True, slots=True, kw_only=True)
class Stop:
    """What goes off with one board (unplugged or switched), breaker or residual-current device.

    `does` holds (what, tanks it serves); a load whose tanks nobody named serves ().
    """

    kind: StopKind
    id: str
    loads: tuple[str, ...]
    does: tuple[tuple[str, tuple[str, ...]], ...]

    def stops(self, what: str) -> bool:
        """Whether anything of that kind goes off.

        >>> Stop(kind="board", id="A", loads=("pump",), does=(("air", ("A1",)),)).stops("air")
        True
        """
        return any(name == what for name, _ in self.does)


@dataclass(frozen=True, slots=True, kw_only=True)
class PowerResult:
    """The electrical side.

    `described` is False when the plan says nothing of it. `unpowered` are pumps of the plan that hang on no
    board. `not_computed` holds (subject, reason).
    """

    described: bool
    boards: tuple[BoardDraw, ...] = ()
    circuits: tuple[CircuitDraw, ...] = ()
    devices: tuple[CircuitDraw, ...] = ()
    stops: tuple[Stop, ...] = ()
    unpowered: tuple[str, ...] = ()
    total: Draw | None = None
    not_computed: tuple[tuple[str, str], ...] = ()


def solve_power(room: Room) -> PowerResult:
    """The load on every board, circuit and device, and what stops with each.

    Source: definition, P / U; continuous loads as in NEC 210.20(A), elsewhere a house margin.

    >>> solve_power(Room(title="", display="metric", spaces=(), racks=(), tanks=())).described
    False
    """
    pumps = tuple(pump.id for pump in room.pumps if not pump.reserve)
    if room.power is None:
        reason = "the plan names no circuits, boards or loads"
        return PowerResult(described=False, unpowered=pumps, not_computed=(("power", reason),))
    power = room.power
    missing: list[tuple[str, str]] = []
    by_id = {circuit.id: circuit for circuit in power.circuits}
    for board in power.boards:
        if board.circuit not in by_id:
            missing.append((f"board {board.id}", f'its circuit "{board.circuit}" is not described'))
    if power.voltage.value <= 0:
        missing.append(("power", "the supply voltage must be above zero, so no current was worked out"))
    powered = {load.pump for board in power.boards for load in board.loads if load.pump}
    devices: dict[str, list[CircuitPlace]] = {}
    for circuit in power.circuits:
        devices.setdefault(circuit.device or circuit.id, []).append(circuit)
    return PowerResult(
        described=True,
        boards=tuple(_board_draw(board, by_id.get(board.circuit), power, room) for board in power.boards),
        circuits=tuple(_circuit_draw(circuit.id, [circuit], power) for circuit in power.circuits),
        devices=tuple(_circuit_draw(name, circuits, power) for name, circuits in devices.items()),
        stops=_stops(room, power, devices),
        unpowered=tuple(pump for pump in pumps if pump not in powered),
        total=_draw(_loads(power.boards), power, None),
        not_computed=tuple(missing),
    )


def _loads(boards: Iterable[BoardPlace]) -> tuple[LoadPlace, ...]:
    return tuple(load for board in boards for load in board.loads)


def _draw(loads: Iterable[LoadPlace], power: PowerRoom, rating: Known | None) -> Draw:
    every = tuple(loads)
    voltage = power.voltage.value
    watts = sum((load.power.value * load.count for load in every), 0.0)
    lasting = sum((load.power.value * load.count for load in every if load.hours >= CONTINUOUS_HOURS), 0.0)
    current = watts / voltage if voltage > 0 else 0.0
    continuous = lasting / voltage if voltage > 0 else 0.0
    share = weighted = None
    if rating is not None and rating.value > 0 and voltage > 0:
        margin = power.continuous_share.value
        share = current / rating.value
        weighted = (continuous / margin + current - continuous) / rating.value if margin > 0 else None
    return Draw(
        power=watts, current=current, continuous_current=continuous,
        energy_a_day=sum((load.power.value * load.count * load.hours * 3600.0 for load in every), 0.0),
        share=share, weighted_share=weighted,
    )  # fmt: skip


def _board_draw(board: BoardPlace, circuit: CircuitPlace | None, power: PowerRoom, room: Room) -> BoardDraw:
    rack = next((rack for rack in room.racks if rack.id == board.rack), None)
    wet = _wet_heights(room, board.rack) if rack else []
    top = max(wet, default=None)
    return BoardDraw(
        board=board.id, circuit=board.circuit, device=(circuit.device or circuit.id) if circuit else "",
        draw=_draw(board.loads, power, board.rating), plugs=sum(load.count for load in board.loads),
        height=board.height.value + (rack.box.z0 if rack else 0.0),
        lowest_wet=min(wet)[0] if wet else None, highest_wet=top[0] if top else None,
        wettest=top[1] if top else "",
    )  # fmt: skip


def _wet_heights(room: Room, rack: str | None) -> list[tuple[Metre, str]]:
    """Heights water can come out at on a rack, each with the tank it belongs to."""
    tanks = {tank.id: tank for tank in room.tanks if tank.rack == rack}
    found: list[tuple[Metre, str]] = []
    for tank in tanks.values():
        found.append((tank.rim, tank.id))
        if tank.hole is not None:
            found.append((tank.hole.centre[2], tank.id))
        if tank.overflow is not None:
            found.append((tank.overflow.lip, tank.id))
        if tank.hose is not None:
            found += [(tank.hose.start[2], tank.id), (tank.hose.end[2], tank.id)]
    found += [
        (outlet.place[2], outlet.tank)
        for feed in room.feeds
        for outlet in feed.outlets
        if outlet.tank in tanks
    ]
    return found


def _circuit_draw(name: str, circuits: list[CircuitPlace], power: PowerRoom) -> CircuitDraw:
    ids = {circuit.id for circuit in circuits}
    boards = [board for board in power.boards if board.circuit in ids]
    # Several breakers behind one residual-current device have no common rating here.
    rating = circuits[0].breaker if len(circuits) == 1 else None
    return CircuitDraw(
        circuit=name, device=circuits[0].device or circuits[0].id, boards=tuple(board.id for board in boards),
        draw=_draw(_loads(boards), power, rating),
    )  # fmt: skip


def boards_behind(power: PowerRoom, kind: StopKind, name: str) -> tuple[BoardPlace, ...]:
    """The boards that go off with one board, breaker or residual-current device, in the order of the plan."""
    if kind == "board":
        return tuple(board for board in power.boards if board.id == name)
    ids = {
        circuit.id
        for circuit in power.circuits
        if name == (circuit.id if kind == "breaker" else circuit.device or circuit.id)
    }
    return tuple(board for board in power.boards if board.circuit in ids)


def tanks_served(
    room: Room, board: BoardPlace, load: LoadPlace, by_pump: dict[str, tuple[str, ...]]
) -> tuple[str, ...]:
    """The tanks a load is there for: those it names, those of its pump (`served_by_pumps`), else those of its rack."""
    return load.serves or by_pump.get(load.pump or "", ()) or _of_rack(room.tanks, board.rack)


def _stops(room: Room, power: PowerRoom, devices: dict[str, list[CircuitPlace]]) -> tuple[Stop, ...]:
    by_pump = served_by_pumps(room)
    groups: list[tuple[StopKind, str]] = [("board", board.id) for board in power.boards]
    groups += [("breaker", circuit.id) for circuit in power.circuits]
    groups += [("device", name) for name in devices]
    return tuple(_stop(kind, name, boards_behind(power, kind, name), room, by_pump) for kind, name in groups)


def _stop(
    kind: StopKind, name: str, boards: tuple[BoardPlace, ...], room: Room,
    by_pump: dict[str, tuple[str, ...]],
) -> Stop:  # fmt: skip
    does: dict[str, set[str]] = {}
    for board in boards:
        for load in board.loads:
            does.setdefault(load.does, set()).update(tanks_served(room, board, load, by_pump))
    order = {tank.id: number for number, tank in enumerate(room.tanks)}
    return Stop(
        kind=kind, id=name, loads=tuple(load.name for load in _loads(boards)),
        does=tuple(
            (what, tuple(sorted(tanks, key=lambda tank: order.get(tank, len(order)))))
            for what, tanks in does.items()
        ),
    )  # fmt: skip


def _of_rack(tanks: tuple[Tank, ...], rack: str | None) -> tuple[str, ...]:
    return tuple(tank.id for tank in tanks if rack is not None and tank.rack == rack)


def served_by_pumps(room: Room) -> dict[str, tuple[str, ...]]:
    """The tanks of each pump that works an air run or a feed."""
    found: dict[str, tuple[str, ...]] = {}
    for run in room.airs:
        tanks = tuple(dict.fromkeys(tap.tank for tap in run.taps if tap.tank))
        found.update(dict.fromkeys(run.pumps, tanks))
    for feed in room.feeds:
        if feed.pump:
            found[feed.pump] = tuple(dict.fromkeys(outlet.tank for outlet in feed.outlets))
    return found
