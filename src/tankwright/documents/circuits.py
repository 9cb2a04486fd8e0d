"""The circuit schedule: what the room asks of its electrician. It is for asking, not for wiring."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from tankwright.documents.model import Block, Paragraph, Sheet, Table, columns
from tankwright.finding import Number
from tankwright.room.model import BoardPlace, PowerRoom, Room
from tankwright.study import Study
from tankwright.systems.power import BoardDraw

CAUTION: Final = (
    "Mains near water can kill. This is what the plan asks for, a screening; a licensed electrician and the local code"
    " decide what is built, and only they open the installation. Keep plugs and boards above every wet joint, with a"
    " drip loop in each cord."
)


def circuit_sheet(study: Study) -> Sheet | None:
    """Circuits, boards, loads and what goes off together; None where the plan says nothing of them."""
    power, room = study.power, study.room
    if power is None or not power.described or room.power is None:
        return None
    return Sheet(
        name="circuits", title="Circuit schedule for the electrician", part="power",
        blocks=tuple(_blocks(study, room, room.power)),
    )  # fmt: skip


def _blocks(study: Study, room: Room, supply: PowerRoom) -> Iterator[Block]:
    power = study.power
    assert power is not None
    yield Paragraph(text=CAUTION, caution=True)
    if power.total is not None:
        yield Table(
            title="All of it, everything on at once",
            columns=columns("supply", "power", "current", "a day"),
            rows=(
                (
                    Number(supply.voltage.value, "voltage"), Number(power.total.power, "power"),
                    Number(power.total.current, "current"), Number(power.total.energy_a_day, "energy"),
                ),
            ),
        )  # fmt: skip
    draws = {one.circuit: one.draw for one in power.circuits}
    yield Table(
        title="Circuits",
        columns=columns(
            "circuit", "breaker", "residual current", "device", "boards*", "power", "current", "of its breaker"
        ),
        rows=tuple(
            (
                one.id, Number(one.breaker.value, "current"),
                None if one.rcd is None else Number(one.rcd.value, "current"), one.device,
                ", ".join(board.id for board in supply.boards if board.circuit == one.id),
                Number(draws[one.id].power, "power") if one.id in draws else None,
                Number(draws[one.id].current, "current") if one.id in draws else None,
                _share(draws[one.id].share) if one.id in draws else None,
            )
            for one in supply.circuits
        ),
        file="circuits",
    )  # fmt: skip
    by_board = {one.board: one for one in power.boards}
    yield Table(
        title="Boards and sockets",
        columns=columns(
            "board", "circuit", "kind", "where", "height", "outlets", "plugs", "highest wet joint", "power",
            "of its rating",
        ),
        rows=tuple(_board(board, by_board, room) for board in supply.boards),
        file="boards",
    )  # fmt: skip
    yield Table(
        title="What hangs on each",
        columns=columns("board", "what*", "count", "each", "hours a day", "does"),
        rows=tuple(
            (board.id, load.name, load.count, Number(load.power.value, "power"), float(load.hours), load.does)
            for board in supply.boards
            for load in board.loads
        ),
        file="loads",
    )
    yield Table(
        title="What goes off together",
        columns=columns("what trips", "name", "stops*"),
        rows=tuple(
            (stop.kind, stop.id, "; ".join(_stopped(*one) for one in stop.does) or "nothing described")
            for stop in power.stops
        ),
        file="what-goes-off-together",
    )


def _share(value: float | None) -> Number | None:
    return None if value is None else Number(value, "share")


def _board(
    board: BoardPlace, by_board: dict[str, BoardDraw], room: Room
) -> tuple[str | int | Number | None, ...]:
    drawn = by_board.get(board.id)
    kind = "wall sockets" if board.fixed else "switched board" if board.switched else "board"
    rack = next((one for one in room.racks if one.id == board.rack), None)
    return (
        board.id, board.circuit, kind, f"rack {rack.id}, {rack.room}" if rack else None,
        Number(board.height.value, "length"), board.outlets, None if drawn is None else drawn.plugs,
        None if drawn is None or drawn.highest_wet is None else Number(drawn.highest_wet, "length"),
        None if drawn is None else Number(drawn.draw.power, "power"),
        None if drawn is None else _share(drawn.draw.share),
    )  # fmt: skip


def _stopped(what: str, tanks: tuple[str, ...]) -> str:
    return f"{what} of {', '.join(tanks)}" if tanks else what
