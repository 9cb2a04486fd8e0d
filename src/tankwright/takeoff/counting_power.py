"""Boards, what is plugged in and what stands by: lights, machines, sensors, battery, cables and clips.

For asking an electrician and for the shop, never for wiring: mains near water is work for a licensed person and the
local code. What the plan names twice, as a load and as a pump, a tank's heater or a machine of a room, is counted once.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Final

from tankwright.finding import Finding, Number, Severity
from tankwright.origin import Known
from tankwright.plan.models import Plan
from tankwright.room.assumed import assumed
from tankwright.room.model import BoardPlace, LoadPlace, Place, PowerRoom, Room
from tankwright.room.model_climate import MachinePlace
from tankwright.takeoff.counted import Counted
from tankwright.takeoff.counting_tanks import heater_of
from tankwright.takeoff.gathering import Line, gathered
from tankwright.takeoff.model import Article, Kind, Need, SoldBy
from tankwright.takeoff.tally import listed
from tankwright.units import Metre, convert

PRACTICE: Final = "common practice, no source"
LOOPED: Final = "cords hang lower than its outlets before they rise to them"
KINDS: Final[dict[str, Kind]] = {"light": "light", "heat": "heater", "air": "pump", "pump": "pump"}


def count_power(plan: Plan, room: Room) -> Counted:
    """Everything that hangs on the supply, once."""
    return gathered(_lines(plan, room))


def _lines(plan: Plan, room: Room) -> Iterator[Line]:
    yield from _pumps(room)
    yield from _machines(room)
    yield from _sensors(room)
    power = room.power
    if power is None:
        yield Finding(
            code="PART-61", severity=Severity.NOT_COMPUTED, subject="power",
            text="is not counted: the plan names no boards, lights or circuits",
            reason="the parts list is short of them", remedy="write [power] with its circuits and boards",
        )  # fmt: skip
        return
    same: list[str] = []
    for board in power.boards:
        yield from _board(board)
        for load in board.loads:
            if _is_counted_elsewhere(plan, room, load):
                same.append(load.name)
            else:
                kind = KINDS.get(load.does, "machine")
                yield from _thing(
                    load.name, kind, load.count, f"board {board.id}", (board.id,), line=load.line
                )
    yield from _protection(power)
    yield from _reserve(power)
    yield from _cables(plan, room, power)
    yield from _said(plan, room, power, same)


def _thing(  # noqa: PLR0913 - an article and a need have as many sides
    key: str,
    kind: Kind,
    count: int,
    where: str,
    places: tuple[str, ...] = (),
    *,
    sold_by: SoldBy = "piece",
    length: Metre | None = None,
    note: str = "",
    mark: str = "",
    rests_on: tuple[str, ...] = (),
    line: int | None = None,
) -> Iterator[Line]:
    if count:
        yield Article(key=key, kind=kind, sold_by=sold_by, note=note, source=PRACTICE, rests_on=rests_on)
        yield Need(
            article=key, count=count, system="power", where=where, places=places, length=length, mark=mark,
            rests_on=rests_on, line=line,
        )  # fmt: skip


# --- machines ---------------------------------------------------------------------------------------------------------


def _pumps(room: Room) -> Iterator[Line]:
    of_air = {name for run in room.airs for name in run.pumps}
    for pump in room.pumps:
        note = "kept in reserve" if pump.reserve else ""
        yield from _thing(
            f"pump {pump.id}", "pump", 1, f"pump {pump.id}", (pump.id,), note=note, line=pump.line
        )
        if pump.id in of_air:
            yield Article(
                key=f"diaphragm kit for pump {pump.id}", kind="pump", sold_by="piece",
                note="or what else of it wears: read its manual",
            )  # fmt: skip


def _machines(room: Room) -> Iterator[Line]:
    for space in room.climate.spaces if room.climate else ():
        where, us = f"room {space.space}", room.display == "US"
        for name, machine in (
            ("room heater", space.heater),
            ("cooler", space.cooler),
            ("fan", space.ventilation),
            ("dehumidifier", space.dehumidifier),
        ):
            if machine is not None:
                kind: Kind = "heater" if name == "room heater" else "machine"
                yield from _thing(
                    f"{name} {_size(name, machine, us)}", kind, machine.count, where, (space.space,),
                    line=machine.line, note="off the floor, out of reach of splashes",
                )  # fmt: skip


def _size(name: str, machine: MachinePlace, us: bool) -> str:
    """What is written on a machine, so that two of one name are told apart."""
    rating = machine.rating.value
    if name == "fan":
        unit = "ft**3/min" if us else "m**3/h"
        return f"{round(convert(rating, 'm**3/s', unit)):g} {'cfm' if us else 'm3/h'}"
    if name == "dehumidifier":
        return f"{round(rating * 86400.0, 1):g} L/day"
    return f"{round(rating):g} W"


def _sensors(room: Room) -> Iterator[Line]:
    for alarm in room.alarms:
        yield from _thing(
            f"{alarm.watches} alarm", "sensor", max(len(alarm.names), 1), f"alarm {alarm.id}", alarm.names,
            note="one for each place it watches; one box may take several sensors", line=alarm.line,
        )  # fmt: skip


def _is_counted_elsewhere(plan: Plan, room: Room, load: LoadPlace) -> bool:
    """Whether a load is a pump, a tank's heater, a valve of a feed or a machine of a room that is counted as such."""
    name = load.name.lower()
    if load.pump is not None and any(pump.id == load.pump for pump in room.pumps):
        return True
    if any(one.name.lower() == name for feed in room.feeds for one in feed.filters):
        return True
    spaces = room.climate.spaces if room.climate else ()
    if load.does == "heat":
        in_tanks = any(
            tank.id in load.serves and tank.kind in plan.tank_kind
            and heater_of(tank, plan.tank_kind[tank.kind], plan.tank.get(tank.id))
            for tank in room.tanks
        )  # fmt: skip
        return in_tanks or any(space.heater for space in spaces)
    if load.does == "cool":
        return any(space.cooler for space in spaces)
    if "humidif" in name:
        return any(space.dehumidifier for space in spaces)
    return any(word in name for word in ("fan", "ventil")) and any(space.ventilation for space in spaces)


# --- boards, protection, reserve --------------------------------------------------------------------------------------


def _board(board: BoardPlace) -> Iterator[Line]:
    where = f"rack {board.rack}" if board.rack else f"board {board.id}"
    key = f"outlets on the wall, {board.outlets}" if board.fixed else f"power board, {board.outlets} outlets"
    note = f"an electrician fits them; {LOOPED}" if board.fixed else f"above every water line; {LOOPED}"
    yield from _thing(key, "board outlet", 1, where, (board.id,), note=note, mark=board.id, line=board.line)
    if board.switched:
        yield from _thing("timer switch", "other", 1, where, (board.id,), mark=board.id, line=board.line)


def _protection(power: PowerRoom) -> Iterator[Line]:
    devices: dict[str, tuple[str, tuple[str, ...], int | None]] = {}
    for circuit in power.circuits:
        residual = f" with residual current device {_milli(circuit.rcd)}" if circuit.rcd else ""
        key = f"breaker {circuit.breaker.value:g} A{residual}"
        before = devices.get(circuit.device)
        devices[circuit.device] = (before[0], (*before[1], circuit.id), before[2]) if before else (
            key, (circuit.id,), circuit.line
        )  # fmt: skip
    for key, names, line in devices.values():
        yield from _thing(
            key,
            "other",
            1,
            f"panel, for {listed(names)}",
            names,
            note="an electrician chooses and fits it",
            line=line,
        )


def _milli(current: Known) -> str:
    return f"{round(current.value * 1000.0, 1):g} mA"


def _reserve(power: PowerRoom) -> Iterator[Line]:
    backup = power.backup
    if backup is None:
        return
    if backup.battery is not None:
        cell = backup.battery
        key = f"battery {round(cell.capacity.value / 3600.0, 1):g} Ah {cell.voltage.value:g} V"
        yield from _thing(key, "machine", cell.count, "reserve of power", line=backup.line)
        yield from _thing(
            "inverter with charger", "machine", 1, "reserve of power", line=backup.line,
            note="its lasting power above all it keeps running; a fuse close to the battery",
        )  # fmt: skip
    if backup.generator is not None:
        yield from _thing(
            f"generator {round(backup.generator.value):g} W", "machine", 1, "reserve of power", line=backup.line,
            note="runs outdoors only; joined to the house by an electrician alone",
        )  # fmt: skip


# --- cables -----------------------------------------------------------------------------------------------------------


def _cables(plan: Plan, room: Room, power: PowerRoom) -> Iterator[Line]:
    """From the panel to the first board of a circuit and on to the next, in the plan's order, square along walls."""
    start = _panel(plan, room)
    if start is None:
        said = plan.power.panel if plan.power else None
        yield Finding(
            code="PART-62", severity=Severity.NOT_COMPUTED, subject="cables", line=said.line if said else None,
            text="are not counted: " + ("the panel's room is no room of the plan" if said else
                                        "nothing says where the circuits come from"),
            reason="how long a cable is follows from where it begins; its section is for an electrician in any case",
            remedy='write panel = { room = "...", at = ["1 m", "1 m"], height = "1.5 m" } under [power]',
            found=f'"{said.room}"' if said else "",
            wanted=listed(space.id for space in room.spaces) if said else "",
        )  # fmt: skip
        return
    slack, every = assumed(room, "buy.cable_slack"), assumed(room, "buy.clip_every")
    at: dict[str, tuple[str, Place]] = {}
    lost: list[str] = []
    for board in power.boards:
        end = _board_place(board, room)
        if end is None:
            lost.append(board.id)
            continue
        begins, begin = at.get(board.circuit, ("the panel", start))
        length = slack.value * math.fsum(abs(one - other) for one, other in zip(begin, end, strict=True))
        at[board.circuit] = (f"board {board.id}", end)
        breaker = next((one.breaker.value for one in power.circuits if one.id == board.circuit), None)
        key = "cable" if breaker is None else f"cable for a circuit of {breaker:g} A"
        where = f"circuit {board.circuit}, from {begins} to board {board.id}"
        yield from _thing(
            key, "cable", 1, where, (board.id,), sold_by="metre", length=length, rests_on=_rests(slack),
            note="an electrician chooses its kind and section and lays it", line=board.line,
        )  # fmt: skip
        clips = math.ceil(length / every.value - 1e-9)
        yield from _thing("cable clip", "clip", clips, where, (board.id,), rests_on=_rests(slack, every))
    if lost:
        yield Finding(
            code="PART-63", severity=Severity.NOT_COMPUTED, subject="cables", places=tuple(lost),
            text=f"to {listed(lost)} are not counted: the plan does not say on which rack they are",
            reason="how long a cable is follows from where it ends", remedy='write rack = "..." at the board',
        )  # fmt: skip


def _panel(plan: Plan, room: Room) -> Place | None:
    said = plan.power.panel if plan.power else None
    space = next((one for one in room.spaces if said and one.id == said.room), None)
    if said is None or space is None:
        return None
    return (space.box.x0 + said.at[0].value, space.box.y0 + said.at[1].value, said.height.value)


def _board_place(board: BoardPlace, room: Room) -> Place | None:
    rack = next((one for one in room.racks if one.id == board.rack), None)
    return None if rack is None else (*rack.box.middle[:2], board.height.value)


def _rests(*values: Known) -> tuple[str, ...]:
    return tuple(dict.fromkeys(one.key for one in values if one.is_assumed))


# --- what the list has to say -----------------------------------------------------------------------------------------


def _said(plan: Plan, room: Room, power: PowerRoom, same: list[str]) -> Iterator[Finding]:
    yield Finding(
        code="PART-64", severity=Severity.NOTE, subject="power",
        text="is listed for asking and for the shop, not for wiring",
        reason="mains near water is work for a licensed electrician and the local code",
        remedy="show the list to one before anything is bought", places=tuple(board.id for board in power.boards),
    )  # fmt: skip
    if same:
        yield Finding(
            code="PART-65", severity=Severity.NOTE, subject="power",
            text=f"has loads that are counted as the pump, heater or machine they are: {listed(same)}",
            reason="one thing is bought once, however often a plan names it",
            remedy="if one of them is a further machine, give it another name and another use",
        )  # fmt: skip
    heaters = {
        tank.id: heater.count
        for tank in room.tanks
        if tank.kind in plan.tank_kind
        and (heater := heater_of(tank, plan.tank_kind[tank.kind], plan.tank.get(tank.id))) is not None
    }
    plugged = {
        name for board in power.boards for load in board.loads if load.does == "heat" for name in load.serves
    }
    bare = {name: count for name, count in heaters.items() if name not in plugged}
    free = sum(board.outlets - sum(load.count for load in board.loads) for board in power.boards)
    if sum(bare.values()) > max(free, 0):
        yield Finding(
            code="PART-66", severity=Severity.WARNING, subject="power", places=tuple(bare),
            text="has {heaters} heaters of tanks that hang on no board, and {free} outlets free",
            numbers=(("heaters", _count(sum(bare.values()))), ("free", _count(max(free, 0)))),
            reason="boards for them are not on the list, and their load is in no check of a circuit",
            remedy='write them as loads of a board: does = "heat", serves = "A1..A4"',
        )  # fmt: skip


def _count(value: int) -> Number:
    return Number(float(value), "number")
