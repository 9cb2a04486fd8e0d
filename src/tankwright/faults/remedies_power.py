"""What may mend a fault of air, power or warmth: a pump more, a board of its own, a battery, smaller heaters.

Mains near water is work for a licensed electrician and the local code: what is tried here is a screening.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from tankwright.catalogue.assumptions import ASSUMPTIONS
from tankwright.faults.model import Outcome, Story
from tankwright.faults.noticing import longest_gap
from tankwright.faults.remedies_alarm import POWER_KINDS
from tankwright.faults.remedy import (
    AFTERNOON,
    EQUIPMENT,
    SMALL_PART,
    Puts,
    Remedy,
    free_name,
    given,
    said,
    stepped,
)
from tankwright.finding import Number
from tankwright.physics.batteries import battery_capacity, inverter_input
from tankwright.physics.ranges import OutsideValidRange
from tankwright.plan.changes_together import ROW
from tankwright.plan.editing import quoted
from tankwright.room.assumed import assumed
from tankwright.room.model import (
    BackupPlace,
    BatteryPlace,
    BoardPlace,
    CircuitPlace,
    PowerRoom,
    Room,
)
from tankwright.room.model_water import HeaterPlace
from tankwright.study import Study
from tankwright.units import Second, Volt, convert

CUT_OUT_ABOVE: Final = 2.0
"""K above what its thermostat holds at which a second thermostat cuts a heater out. A choice, no source."""

BATTERY_VOLTAGE: Final[Volt] = 12.0


def power_remedies(study: Study, story: Story, before: Outcome) -> Iterator[Remedy]:
    """What may help against dead pumps, dead boards and heaters that stick."""
    room = study.room
    kinds = {part.kind for part in story.fault.broken}
    if kinds & {"heater on", "heater off"}:
        for part in story.fault.broken:
            yield from _heaters(room, part.what)
    if kinds & {"board", "circuit", "device"} and room.power is not None:
        yield from _apart(room, room.power)
    if kinds & POWER_KINDS and room.power is not None and room.power.backup is None:
        gap = longest_gap(room.looks) or assumed(room, "people.look_gap").value
        yield from _battery(room, room.power, max(before.seen, gap))


# --- warmth -------------------------------------------------------------------------------------------------------


def _heaters(room: Room, tank: str) -> Iterator[Remedy]:
    """Two heaters of half the power, so that one that sticks does half the harm; and one that cuts itself out."""
    heater = next((life.heater for life in room.lives if life.tank == tank), None)
    if heater is None:
        return
    half, count = stepped(0.5 * heater.power.value, "W", "W", up=True), 2 * heater.count
    yield Remedy(
        words=f"{count} heaters of {{half}} in {tank} instead of {heater.count} of {{power}}",
        numbers=(("half", Number(half, "power")), ("power", Number(heater.power.value, "power"))),
        puts=_heater_puts(tank, replace(heater, power=given(half), count=count)),
        cost=SMALL_PART,
        change=lambda changed: _with_heater(changed, tank, half, count, None),
        again=frozenset({"heat"}),
    )
    if heater.cuts_out_at is None:
        out = heater.holds.value + CUT_OUT_ABOVE
        yield Remedy(
            words=f"a second thermostat that cuts the heater of {tank} out at {{out}}",
            numbers=(("out", Number(out, "temperature")),),
            puts=_heater_puts(tank, replace(heater, cuts_out_at=given(out))),
            cost=SMALL_PART,
            change=lambda changed: _with_heater(changed, tank, heater.power.value, heater.count, out),
        )


def _heater_puts(tank: str, heater: HeaterPlace) -> Puts:
    """The whole heater of one tank: what it does not say is not taken from its kind's."""
    keys = [f"power = {said(heater.power.value, 'W', 'W')}", f"count = {heater.count}"]
    keys.append(f"holds = {said(heater.holds.value, '°C', 'K')}")
    if heater.top is not None:
        keys.append(f"top_above_base = {said(heater.top.value, 'mm', 'm')}")
    if heater.cuts_out_at is not None:
        keys.append(f"cuts_out_at = {said(heater.cuts_out_at.value, '°C', 'K')}")
    return ((("tank", tank, "heater"), f"{{ {', '.join(keys)} }}"),)


def _with_heater(room: Room, tank: str, power: float, count: int, out: float | None) -> Room:
    lives = tuple(
        replace(
            life,
            heater=replace(
                life.heater,
                power=given(power),
                count=count,
                cuts_out_at=life.heater.cuts_out_at if out is None else given(out),
            ),
        )
        if life.tank == tank and life.heater is not None
        else life
        for life in room.lives
    )
    return replace(room, lives=lives)


# --- power --------------------------------------------------------------------------------------------------------


def _apart(room: Room, power: PowerRoom) -> Iterator[Remedy]:
    """The air pump on a circuit of its own behind a device of its own, or, if it has both, on a board of its own."""
    pumps = {name for run in room.airs for name in run.pumps}
    for board in power.boards:
        carried = [load for load in board.loads if load.pump in pumps]
        circuit = next((one for one in power.circuits if one.id == board.circuit), None)
        if not carried or circuit is None:
            continue
        shared = len([one for one in power.circuits if one.device == circuit.device]) > 1
        crowded = len([one for one in power.boards if one.circuit == circuit.id]) > 1
        if shared or crowded:
            yield _own_circuit(power, board, circuit)
        if len(board.loads) > len(carried):
            yield _own_board(room, power, board, circuit)


def _own_circuit(power: PowerRoom, board: BoardPlace, circuit: CircuitPlace) -> Remedy:
    name = free_name("air", {one.id for one in power.circuits} | {one.device for one in power.circuits})
    own = replace(circuit, id=name, device=name)
    rcd = "" if circuit.rcd is None else f", rcd = {said(circuit.rcd.value, 'mA', 'A')}"
    toml = f"{{ breaker = {said(circuit.breaker.value, 'A', 'A')}{rcd} }}"

    def change(room: Room) -> Room:
        if room.power is None:
            return room
        boards = tuple(replace(one, circuit=name) if one.id == board.id else one for one in room.power.boards)
        return replace(room, power=replace(room.power, circuits=(*room.power.circuits, own), boards=boards))

    return Remedy(
        words=f"board {board.id} with the air pump on a circuit of its own, behind a device of its own",
        numbers=(),
        puts=(
            (("power", "circuits", name), toml),
            (("power", "boards", f"id={board.id}", "circuit"), quoted(name)),
        ),
        cost=EQUIPMENT,
        change=change,
        again=frozenset({"power"}),
    )


def _own_board(room: Room, power: PowerRoom, board: BoardPlace, circuit: CircuitPlace) -> Remedy:
    pumps = {name for run in room.airs for name in run.pumps}
    moved = tuple(load for load in board.loads if load.pump in pumps)
    name = free_name("air alone", {one.id for one in power.boards})
    own_circuit = free_name(
        "air", {one.id for one in power.circuits} | {one.device for one in power.circuits}
    )
    circuit_toml = f"{{ breaker = {said(circuit.breaker.value, 'A', 'A')}"
    circuit_toml += " }" if circuit.rcd is None else f", rcd = {said(circuit.rcd.value, 'mA', 'A')} }}"
    new_circuit = replace(circuit, id=own_circuit, device=own_circuit)
    new_board = replace(board, id=name, circuit=own_circuit, outlets=max(len(moved), 1), loads=moved)

    def change(changed: Room) -> Room:
        if changed.power is None:
            return changed
        boards = tuple(
            replace(one, loads=tuple(load for load in one.loads if load not in moved))
            if one.id == board.id
            else one
            for one in changed.power.boards
        )
        circuits = (*changed.power.circuits, new_circuit)
        return replace(changed, power=replace(changed.power, circuits=circuits, boards=(*boards, new_board)))

    loads = ", ".join(_load_toml(load.name, load.power.value, load.pump or "") for load in moved)
    height = said(board.height.value, "cm", "m")
    rack = "" if board.rack is None else f", rack = {quoted(board.rack)}"
    loop = "" if board.drip_loop is None else f", drip_loop = {str(board.drip_loop).lower()}"
    row = (
        f"{{ id = {quoted(name)}, circuit = {quoted(own_circuit)}, outlets = {max(len(moved), 1)},"
        f" height = {height}{rack}{loop}, loads = [{loads}] }}"
    )
    kept = [load for load in board.loads if load not in moved]
    rest = [place for place, load in enumerate(board.loads) if load in moved]
    gone: Puts = tuple(
        (("power", "boards", f"id={board.id}", "loads", place), "") for place in reversed(rest)
    )
    assert kept
    return Remedy(
        words=f"the air pump on a board and circuit of its own instead of board {board.id}",
        numbers=(),
        puts=(
            (("power", "circuits", own_circuit), circuit_toml),
            *gone,
            (("power", "boards", ROW), row),
        ),
        cost=AFTERNOON,
        change=change,
        again=frozenset({"power"}),
    )


def _load_toml(name: str, power: float, pump: str) -> str:
    return (
        f'{{ name = {quoted(name)}, power = {said(power, "W", "W")}, does = "air", pump = {quoted(pump)} }}'
    )


def _battery(room: Room, power: PowerRoom, lasts: Second) -> Iterator[Remedy]:
    """A battery that keeps the air running until somebody looks, with a quarter in hand."""
    pumps = {name for run in room.airs for name in run.pumps}
    boards = [board for board in power.boards if any(load.pump in pumps for load in board.loads)]
    kept = [(board, load) for board in boards for load in board.loads if load.pump in pumps]
    names = [load.name for _, load in kept]
    every = [load.name for board in power.boards for load in board.loads]
    if not kept or any(every.count(name) > 1 for name in names):
        return
    rows = {key: ASSUMPTIONS[f"battery.{key}"].value
            for key in ("at_hours", "usable", "peukert", "inverter_efficiency", "inverter_idle")}  # fmt: skip
    try:
        drawn = inverter_input(
            load=sum(load.power.value * load.count for _, load in kept),
            efficiency=rows["inverter_efficiency"],
            idle=rows["inverter_idle"],
        )
        needed = battery_capacity(
            duration=1.25 * lasts,
            rated_time=rows["at_hours"],
            current=drawn / BATTERY_VOLTAGE,
            peukert_exponent=rows["peukert"],
            usable_share=rows["usable"],
        )
    except OutsideValidRange:
        return
    capacity = stepped(needed, "Ah", "A*s", step=10.0, up=True)
    battery = BatteryPlace(
        capacity=given(capacity), count=1, at_hours=given(rows["at_hours"]), voltage=given(BATTERY_VOLTAGE),
        usable=given(rows["usable"]), peukert=given(rows["peukert"]),
        inverter_efficiency=given(rows["inverter_efficiency"]), inverter_idle=given(rows["inverter_idle"]),
    )  # fmt: skip
    backup = BackupPlace(
        battery=battery, generator=None, by_itself=True, boards=(),
        loads=tuple((board.id, load.name) for board, load in kept),
    )  # fmt: skip
    keeps = ", ".join(quoted(name) for name in names)
    toml = (
        f"{{ battery = {{ capacity = {said(capacity, 'Ah', 'A*s')}, voltage = {said(BATTERY_VOLTAGE, 'V', 'V')},"
        f' at_hours = {said(rows["at_hours"], "h", "s")}, usable = "{convert(rows["usable"], "1", "percent"):g} %",'
        f" peukert = {rows['peukert']:g},"
        f' inverter_efficiency = "{convert(rows["inverter_efficiency"], "1", "percent"):g} %",'
        f" inverter_idle = {said(rows['inverter_idle'], 'W', 'W')} }}, by_itself = true, keeps = [{keeps}] }}"
    )

    def change(changed: Room) -> Room:
        if changed.power is None:
            return changed
        return replace(changed, power=replace(changed.power, backup=backup))

    yield Remedy(
        words="a battery of {capacity} at 12 V with an inverter that takes the air pump over by itself",
        numbers=(("capacity", Number(capacity, "charge")),),
        puts=((("power", "backup"), toml),),
        cost=EQUIPMENT,
        change=change,
    )
