"""Boards with lights and cords, the machines that warm and dry the room, alarms; plugged in when the tanks are full."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from tankwright.building.model import Task
from tankwright.building.tasks_racks import stands
from tankwright.building.tasks_shared import Work, after, rests, several
from tankwright.building.tasks_shell import cables, floor_ready
from tankwright.building.tasks_tanks import placed
from tankwright.room.model import BoardPlace

SCREENING: Final = "screening only: local code and the licensed person decide"


def power_tasks(work: Work) -> Iterator[Task]:
    """Every board, the heaters, the machines of each room, and the alarms."""
    for board in work.room.power.boards if work.room.power else ():
        yield _board(work, board)
    yield from _heaters(work)
    yield from _machines(work)
    if work.room.alarms:
        yield Task(
            id="warmth.alarms", group="warmth", title=f"Fit {several(len(work.room.alarms), 'alarm')}",
            labour=work.hours(("build.machine", len(work.room.alarms))), after=after("order.power", *_floors(work)),
            how="Floor water at the lowest place of the floor, warmth in the water, smoke in the room itself. Each "
            "with its battery.", hold_point="Each calls whom the plan names, set off by hand.", rests_on=rests(work,
            "build.machine"),
        )  # fmt: skip


def _board(work: Work, board: BoardPlace) -> Task:
    racks = {rack.id for rack in work.room.racks}
    lamps = sum(load.count for load in board.loads if load.does == "light")
    return Task(
        id=f"power.board:{board.id}", group="power", title=f"Hang board {board.id}"
        + (f" with {several(lamps, 'light')}" if lamps else ""), places=(board.rack,) if board.rack else (),
        labour=work.hours(("build.board", 1)),
        after=after(
            "order.power", *cables(work),
*((stands(board.rack),) if board.rack in racks and board.rack else _floors(work)),
        ),
        how="Above every water line it could meet, sockets not upwards. Each cord hangs lower than its socket before "
        "it rises to it, is labelled at both ends, and is off the floor. No board on a board. Nothing is plugged in "
        "yet.",
        hold_point="Every cord has its drip loop; the labels name circuit and tank.", source=SCREENING,
        licensed=board.fixed, materials=work.articles("power", (board.id,)), rests_on=rests(work, "build.board"),
    )  # fmt: skip


def _heaters(work: Work) -> Iterator[Task]:
    for rack in work.room.racks:
        heated = [
            tank.id for tank in work.on_rack(rack.id)
            if (kind := work.kind_of(tank)) is not None and kind.heater is not None
        ]  # fmt: skip
        if heated:
            yield Task(
                id=f"warmth.heaters:{rack.id}", group="warmth",
                title=f"Heaters of {several(len(heated), 'tank')} at rack {rack.id}",
                places=tuple(heated), labour=work.hours(("build.dripper", len(heated))),
                after=after("order.power", placed(rack.id)),
                how="In the draught of the bubbles, all under the water line, set to their number. They stay "
                "unplugged until water has stood over them for half an hour, and are unplugged before any hand goes "
                "in.",
                source=SCREENING, rests_on=rests(work, "build.dripper"),
            )  # fmt: skip


def _machines(work: Work) -> Iterator[Task]:
    for space in work.room.climate.spaces if work.room.climate else ():
        named = [
            name for name, machine in (
                ("heater", space.heater), ("cooler", space.cooler), ("fan", space.ventilation),
                ("dehumidifier", space.dehumidifier),
            ) if machine is not None
        ]  # fmt: skip
        if named:
            yield Task(
                id=f"warmth.machines:{space.space}", group="warmth",
                title=f"Mount {', '.join(named)} of the {space.space}",
                places=(space.space,), labour=work.hours(("build.machine", len(named))),
                after=after("order.power", floor_ready(space.space), *cables(work)),
                how="Room for its air before and behind; the dehumidifier's water has a way out of its own. What is "
                "wired for good, and what holds a refrigerant, is for whoever may do it where you live.",
                hold_point="It starts, and stops at what it is set to.", source=SCREENING, rests_on=rests(work,
                "build.machine"),
            )  # fmt: skip


def _floors(work: Work) -> tuple[str, ...]:
    return tuple(floor_ready(space.id) for space in work.room.spaces)
