"""The electrical side in short, and in full for JSON. Every output carries the caution."""

from __future__ import annotations

from tankwright.finding import Number
from tankwright.report.model import SummaryLine
from tankwright.room.model import Room
from tankwright.systems.power import Draw, PowerResult

CAUTION = "mains near water can kill: a screening; the local code and a licensed electrician decide"


def summary_power(_room: Room, result: PowerResult) -> tuple[SummaryLine, ...]:
    """Three to six lines: the whole, the fullest board and circuit, what stops with what, the caution.

    >>> from tankwright.systems.power import solve_power
    >>> empty = Room(title="", display="metric", spaces=(), racks=(), tanks=())
    >>> [line.text for line in summary_power(empty, solve_power(empty))][0]
    'not computed: the plan names no circuits, boards or loads'
    """
    if not result.described or result.total is None:
        reason = result.not_computed[0][1] if result.not_computed else "the plan does not describe it"
        return (SummaryLine(f"not computed: {reason}"), SummaryLine(CAUTION))
    lines = [SummaryLine("{power} with everything on ({current}), {energy} a day", (
        ("power", Number(result.total.power, "power")), ("current", Number(result.total.current, "current")),
        ("energy", Number(result.total.energy_a_day, "energy")),
    ))]  # fmt: skip
    boards = [board for board in result.boards if board.draw.share is not None]
    if boards:
        board = max(boards, key=lambda one: one.draw.share or 0.0)
        lines.append(
            SummaryLine(f"fullest board {board.board}: {{current}}, {{share}} of its rating", _of(board.draw))
        )
    circuits = [circuit for circuit in result.circuits if circuit.draw.share is not None]
    if circuits:
        circuit = max(circuits, key=lambda one: one.draw.share or 0.0)
        text = f"fullest circuit {circuit.circuit}: {{current}}, {{share}} of its breaker"
        lines.append(SummaryLine(text, _of(circuit.draw)))
    air = [stop for stop in result.stops if stop.kind == "device" and stop.stops("air")]
    for stop in air[:1]:
        others = [what for what, _ in stop.does if what != "air"]
        text = f"the air stops when device {stop.id} trips" + (
            f", with {', '.join(others)}" if others else ""
        )
        lines.append(SummaryLine(text))
    lines.append(SummaryLine(CAUTION))
    return tuple(lines)


def json_power(_room: Room, result: PowerResult) -> dict[str, object]:
    """Every draw and every stop; watts, amperes, kilowatt-hours, units in the key names.

    >>> from tankwright.systems.power import solve_power
    >>> empty = Room(title="", display="metric", spaces=(), racks=(), tanks=())
    >>> json_power(empty, solve_power(empty))["described"]
    False
    """
    return {
        "caution": CAUTION,
        "described": result.described,
        "total": _draw(result.total) if result.total else None,
        "boards": [
            {"board": board.board, "circuit": board.circuit, "device": board.device, **_draw(board.draw),
             "plugs": board.plugs, "height_m": board.height, "lowest_wet_joint_m": board.lowest_wet,
             "highest_wet_joint_m": board.highest_wet, "highest_wet_tank": board.wettest or None}
            for board in result.boards
        ],
        "circuits": [
            {"circuit": circuit.circuit, "device": circuit.device, "boards": list(circuit.boards),
             **_draw(circuit.draw)}
            for circuit in result.circuits
        ],
        "devices": [
            {"device": device.circuit, "boards": list(device.boards), **_draw(device.draw)}
            for device in result.devices
        ],
        "stops": [
            {"kind": stop.kind, "id": stop.id, "loads": list(stop.loads),
             "stops": [{"what": what, "tanks": list(tanks)} for what, tanks in stop.does]}
            for stop in result.stops
        ],
        "pumps_on_no_board": list(result.unpowered),
        "not_computed": [{"subject": subject, "reason": reason} for subject, reason in result.not_computed],
    }  # fmt: skip


def _draw(draw: Draw) -> dict[str, object]:
    return {
        "power_w": draw.power, "current_a": draw.current, "continuous_current_a": draw.continuous_current,
        "energy_kwh_per_day": draw.energy_a_day / 3.6e6, "share_of_rating": draw.share,
        "share_of_rating_weighted_for_hours": draw.weighted_share,
    }  # fmt: skip


def _of(draw: Draw) -> tuple[tuple[str, Number], ...]:
    return (("current", Number(draw.current, "current")), ("share", Number(draw.share or 0.0, "share")))
