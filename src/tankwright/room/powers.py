"""Circuits, boards and loads as they hang together.

For the owner's own orientation: mains near water is work for an electrician and the local code.
"""

from __future__ import annotations

from collections.abc import Container, Mapping

from tankwright.origin import Known, Origin
from tankwright.plan.ids import IdsError, expand_ids
from tankwright.plan.models import Battery, Board, Load, Plan, Reserve
from tankwright.room.defaults import Defaults
from tankwright.room.mistakes import NAME_USED_TWICE, UNREADABLE_IDS, Mistakes
from tankwright.room.model import (
    BackupPlace,
    BatteryPlace,
    BoardPlace,
    CircuitPlace,
    LoadPlace,
    PowerRoom,
)


def lay_power(plan: Plan, tanks: Container[str], defaults: Defaults, mistakes: Mistakes) -> PowerRoom | None:
    """The supply, or None when the plan has no power."""
    table = plan.power
    if table is None:
        return None
    circuits = tuple(
        CircuitPlace(id=name, breaker=one.breaker, rcd=one.rcd, device=one.device or name, line=one.line)
        for name, one in table.circuits.items()
    )
    boards: dict[str, BoardPlace] = {}
    for board in table.boards:
        if board.id in boards:
            mistakes.say(
                NAME_USED_TWICE,
                f"board {board.id}",
                "has a name another board has",
                line=board.line,
                reason="only the first is counted",
                remedy="give it a name of its own",
            )
            continue
        boards[board.id] = _board(plan, board, tanks, defaults, mistakes)
    return PowerRoom(
        voltage=defaults.take("power.voltage", table.voltage),
        continuous_share=defaults.take("power.continuous_share", table.continuous_share),
        circuits=circuits,
        boards=tuple(boards.values()),
        backup=None if table.backup is None else _backup(table.backup, boards, defaults, mistakes),
    )


def _backup(
    table: Reserve, boards: Mapping[str, BoardPlace], defaults: Defaults, mistakes: Mistakes
) -> BackupPlace:
    loads = {load.name: (board.id, load.name) for board in boards.values() for load in board.loads}
    choices = (*boards, *loads)
    kept = [
        name
        if name in choices
        else mistakes.unknown("power backup", "board or load", name, choices, table.line)
        for name in table.keeps
    ]
    return BackupPlace(
        battery=None if table.battery is None else _battery(table.battery, defaults),
        generator=table.generator,
        by_itself=table.by_itself,
        boards=tuple(name for name in kept if name in boards),
        loads=tuple(loads[name] for name in kept if name in loads and name not in boards),
        line=table.line,
    )


def _battery(table: Battery, defaults: Defaults) -> BatteryPlace:
    exponent = None if table.peukert is None else Known(table.peukert, Origin.GIVEN, line=table.line)
    return BatteryPlace(
        capacity=table.capacity,
        count=table.count,
        at_hours=defaults.take("battery.at_hours", table.at_hours),
        voltage=defaults.take("battery.voltage", table.voltage),
        usable=defaults.take("battery.usable", table.usable),
        peukert=defaults.take("battery.peukert", exponent),
        inverter_efficiency=defaults.take("battery.inverter_efficiency", table.inverter_efficiency),
        inverter_idle=defaults.take("battery.inverter_idle", table.inverter_idle),
        line=table.line,
    )


def _board(
    plan: Plan, board: Board, tanks: Container[str], defaults: Defaults, mistakes: Mistakes
) -> BoardPlace:
    subject = f"board {board.id}"
    circuits = tuple(plan.power.circuits) if plan.power else ()
    circuit = board.circuit
    if circuit not in circuits:
        circuit = mistakes.unknown(subject, "circuit", circuit, circuits, board.line) or circuit
    rack = board.rack
    racks = tuple(one.id for one in plan.rack)
    if rack is not None and rack not in racks:
        rack = mistakes.unknown(subject, "rack", rack, racks, board.line) or None
    height: Known = defaults.take("power.board_height", board.height)
    return BoardPlace(
        id=board.id,
        circuit=circuit,
        outlets=board.outlets,
        rating=defaults.take("power.board_rating", board.rating),
        switched=board.switched,
        fixed=board.fixed,
        rack=rack,
        height=height,
        drip_loop=board.drip_loop,
        loads=tuple(_load(plan, board, load, tanks, mistakes) for load in board.loads),
        line=board.line,
    )


def _load(plan: Plan, board: Board, load: Load, tanks: Container[str], mistakes: Mistakes) -> LoadPlace:
    subject = f"load {load.name} on board {board.id}"
    line = load.line or board.line
    pump = load.pump
    if pump is not None and pump not in plan.pump:
        pump = mistakes.unknown(subject, "pump", pump, tuple(plan.pump), line) or None
    return LoadPlace(
        name=load.name,
        power=load.power,
        count=load.count,
        does=load.does,
        hours=load.hours,
        serves=tanks_named(load.serves, subject, line, tanks, mistakes),
        pump=pump,
        line=line,
    )


def tanks_named(
    text: str | None, subject: str, line: int | None, tanks: Container[str], mistakes: Mistakes
) -> tuple[str, ...]:
    """The tanks of the room that a text names; what cannot be read or is not there is said."""
    if not text:
        return ()
    try:
        names = expand_ids(text)
    except IdsError as error:
        mistakes.say(
            UNREADABLE_IDS,
            subject,
            f'"{text}" {error.text}',
            line=line,
            attempt=error.attempt,
            reason="the tanks it names are left out",
            remedy="name tanks as A1..A4 or A1, A5",
        )
        return ()
    missing = tuple(name for name in names if name not in tanks)
    if missing:
        mistakes.say(
            UNREADABLE_IDS,
            subject,
            "names tanks that stand nowhere in the room",
            line=line,
            reason="they are left out",
            remedy="correct the names, or place the tanks on a shelf",
            found=", ".join(missing[:12]) + (" ..." if len(missing) > 12 else ""),
        )
    return tuple(name for name in names if name in tanks)
