"""How a current came about: board by board, circuit by circuit."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from tankwright.explain.model import Input, Working
from tankwright.finding import Number
from tankwright.room.model import Room
from tankwright.systems.power import CONTINUOUS_HOURS, PowerResult

CAUTION: Final = "mains near water can kill: a screening; the local code and a licensed electrician decide"


def workings_power(room: Room, result: PowerResult) -> Iterator[Working]:
    """The workings of every board's and circuit's current and of a day's energy.

    >>> from tankwright.systems.power import solve_power
    >>> empty = Room(title="", display="metric", spaces=(), racks=(), tanks=())
    >>> list(workings_power(empty, solve_power(empty)))
    []
    """
    power = room.power
    if power is None:
        return
    voltage = Input(name="supply", number=Number(power.voltage.value, "voltage"), known=power.voltage)
    margin = Input(
        name="share kept for loads of hours", number=Number(power.continuous_share.value, "share"),
        known=power.continuous_share,
    )  # fmt: skip
    for board, place in zip(result.boards, power.boards, strict=True):
        yield Working(
            name=f"power.{board.board}.current", title=f"current of board {board.board}, everything on",
            number=Number(board.draw.current, "current"), formula="sum of count x watts, over the voltage",
            inputs=(
                *(Input(name=f"{load.count} x {load.name}",
                        number=Number(load.power.value * load.count, "power"), known=load.power)
                  for load in place.loads),
                voltage,
                Input(name="rating of the board", number=Number(place.rating.value, "current"),
                      known=place.rating),
            ),
            source="P / U, power factor 1: motors and lamp drivers draw more", note=CAUTION,
        )  # fmt: skip
        yield Working(
            name=f"power.{board.board}.energy", title=f"energy of board {board.board} in a day",
            number=Number(board.draw.energy_a_day, "energy"), formula="sum of count x watts x hours",
            inputs=tuple(
                Input(name=f"{load.count} x {load.name}, hours a day",
                      number=Number(load.hours * 3600, "duration"))
                for load in place.loads
            ),
            source="definition of energy", note=CAUTION,
        )  # fmt: skip
    for circuit, wiring in zip(result.circuits, power.circuits, strict=True):
        yield Working(
            name=f"power.circuit.{circuit.circuit}.current",
            title=f"current of circuit {circuit.circuit}, everything on",
            number=Number(circuit.draw.current, "current"), formula="sum of its boards",
            inputs=(
                *(Input(name=f"board {board.board}", number=Number(board.draw.current, "current"),
                        see=f"power.{board.board}.current")
                  for board in result.boards if board.circuit == circuit.circuit),
                Input(name="breaker", number=Number(wiring.breaker.value, "current"), known=wiring.breaker),
            ),
            source="sum", note=CAUTION,
        )  # fmt: skip
        if circuit.draw.weighted_share is not None:
            yield Working(
                name=f"power.circuit.{circuit.circuit}.share",
                title=f"load of circuit {circuit.circuit} on its breaker",
                number=Number(circuit.draw.weighted_share, "share"),
                formula="(lasting current / share kept + the rest) / breaker",
                inputs=(
                    Input(name=f"current of loads of {CONTINUOUS_HOURS:g} h or more",
                          number=Number(circuit.draw.continuous_current, "current")),
                    Input(name="whole current", number=Number(circuit.draw.current, "current"),
                          see=f"power.circuit.{circuit.circuit}.current"),
                    margin,
                    Input(name="breaker", number=Number(wiring.breaker.value, "current"),
                          known=wiring.breaker),
                ),
                source="NEC 210.20(A); elsewhere a margin of ours", note=CAUTION,
            )  # fmt: skip
