"""Boards, circuits and protection: a screening, never an approval.

Mains near water can kill. Every finding here defers to the local code and to a licensed electrician, and none
says that a wiring is in order.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Final

from tankwright.checks.grouping import count, listed, rests, verb
from tankwright.finding import Finding, Number, Severity
from tankwright.origin import Known
from tankwright.room.model import BoardPlace, CircuitPlace, PowerRoom, Room
from tankwright.systems.power import Draw, PowerResult

CAUTION: Final = "Mains near water: a screening; the local code and a licensed electrician decide"

REGULATORS: Final = "advice of Australian state regulators (South Australia, Tasmania) on power boards"
RCD_SOURCE: Final = (
    "BS 7671 411.3.3 and AS/NZS 3000 2.6.3.2.3, by secondary sources: 30 mA for sockets up to 32 A"
)
PRACTICE: Final = "common practice, no source"

PERSONS: Final = 0.030  # A, residual current that protects people
LIFE_SUPPORT: Final = ("air", "heat", "cool", "pump")
PIPED: Final = ("air", "feed", "pump")
SWITCH_DRIVERS: Final = 15
"""Lamp drivers on one switch from which inrush is worth a look: a 10 A type B breaker and 10 W drivers.
Source: BEAMA guide (2021), as quoted second-hand."""

Check = Callable[[Room, PowerRoom, PowerResult], Iterator[Finding]]


def check_power(room: Room, result: PowerResult) -> tuple[Finding, ...]:
    """Everything there is to say about the electrical side, the caution always among it.

    >>> from tankwright.systems.power import solve_power
    >>> empty = Room(title="", display="metric", spaces=(), racks=(), tanks=())
    >>> [finding.code for finding in check_power(empty, solve_power(empty))]
    ['POWER-16']
    """
    found = list(what_was_not_worked_out(result))
    if room.power is not None:
        found += [finding for check in CHECKS for finding in check(room, room.power, result)]
        found.append(Finding(
            code="POWER-14", severity=Severity.NOTE, subject="power",
            text="is worked out from the plan only, and nobody has seen the wiring",
            reason="mains near water can kill; what is said here is a screening",
            remedy="let a licensed electrician plan it and test it; the local code decides",
            source="the local code",
        ))  # fmt: skip
    return tuple(found)


def boards_keep_to_their_rating(_room: Room, power: PowerRoom, result: PowerResult) -> Iterator[Finding]:
    """POWER-01: what hangs on a board draws no more than the board's rating."""
    for board, place in zip(result.boards, power.boards, strict=True):
        if board.draw.share is not None and board.draw.share > 1.0 + 1e-9:
            yield _over(
                "POWER-01", f"board {board.board}", board.draw, place.rating, place, what="its rating",
                reason="the board overheats before anything trips",
                remedy="spread its loads over more boards",
                source="its label", rests_on=rests(place.rating, power.voltage),
            )  # fmt: skip


def circuits_keep_to_their_breaker(_room: Room, power: PowerRoom, result: PowerResult) -> Iterator[Finding]:
    """POWER-02: all boards of a circuit together draw no more than its breaker."""
    for circuit, place in zip(result.circuits, power.circuits, strict=True):
        if circuit.draw.share is not None and circuit.draw.share > 1.0 + 1e-9:
            yield _over(
                "POWER-02", f"circuit {circuit.circuit}", circuit.draw, place.breaker, place,
                what="its breaker",
                reason="the breaker trips, and everything on it stops",
                remedy="move loads to another circuit",
                source="design current within the device's rating: BS 7671 433.1.1",
                rests_on=rests(place.breaker, power.voltage),
            )  # fmt: skip


def what_runs_for_hours_leaves_a_margin(
    _room: Room, power: PowerRoom, result: PowerResult
) -> Iterator[Finding]:
    """POWER-03: loads of three hours or more take no more than the continuous share of a rating."""
    places: dict[str, BoardPlace | CircuitPlace] = {f"board {board.id}": board for board in power.boards}
    places |= {f"circuit {circuit.id}": circuit for circuit in power.circuits}
    draws = [(f"circuit {circuit.circuit}", circuit.draw) for circuit in result.circuits]
    draws += [(f"board {board.board}", board.draw) for board in result.boards]
    for subject, draw in draws:
        if draw.weighted_share is None or draw.share is None:
            continue
        if draw.weighted_share > 1.0 + 1e-9 and draw.share <= 1.0 + 1e-9:
            place = places[subject]
            rating = place.breaker if isinstance(place, CircuitPlace) else place.rating
            yield Finding(
                code="POWER-03", severity=Severity.WARNING, subject=subject,
                text="draws {current} for hours on {rating}; {share} of a rating is kept for that",
                numbers=(("current", _ampere(draw.continuous_current)), ("rating", _ampere(rating.value)),
                         ("share", Number(power.continuous_share.value, "share"))),
                value=Number(draw.weighted_share, "share"), limit=Number(1.0, "share"),
                reason="contacts and cords that are warm for hours age; a house margin, and a rule in the US."
                f" {CAUTION}",
                remedy="move a load to another circuit or board",
                source="NEC 210.20(A) for loads of 3 h or more; elsewhere a margin of ours",
                line=place.line, places=(place.id,),
                rests_on=rests(rating, power.voltage, power.continuous_share),
            )  # fmt: skip


def every_plug_has_an_outlet(_room: Room, power: PowerRoom, result: PowerResult) -> Iterator[Finding]:
    """POWER-04: a board has an outlet for each thing plugged in."""
    for board, place in zip(result.boards, power.boards, strict=True):
        if board.plugs > place.outlets:
            yield Finding(
                code="POWER-04", severity=Severity.PROBLEM, subject=f"board {board.board}",
                text="has {outlets} outlets for {plugs} plugs",
                numbers=(("outlets", count(place.outlets)), ("plugs", count(board.plugs))),
                value=count(board.plugs), limit=count(place.outlets),
                reason=f"double adaptors and boards hung on boards are what burns. {CAUTION}",
                remedy="put in another board on a fixed outlet of its own", source=REGULATORS,
                line=place.line, places=(place.id,),
            )  # fmt: skip


def heaters_have_fixed_outlets(_room: Room, power: PowerRoom, _result: PowerResult) -> Iterator[Finding]:
    """POWER-05: no heater hangs on a loose power board; sockets fixed to the wall are another matter."""
    boards = [
        board
        for board in power.boards
        if not board.fixed and any(load.does == "heat" for load in board.loads)
    ]
    if boards:
        ids = [board.id for board in boards]
        watts = sum(
            load.power.value * load.count for board in boards for load in board.loads if load.does == "heat"
        )
        yield Finding(
            code="POWER-05", severity=Severity.WARNING, subject=listed(ids, "board"),
            text=f"{verb(ids, 'carries', 'carry')} heaters, {{heat}} in all",
            numbers=(("heat", Number(watts, "power")),),
            reason=f"regulators advise against portable heaters on power boards. {CAUTION}",
            remedy="give heaters fixed outlets (fixed = true when an electrician has fitted them), and ask"
            " about small tank heaters",
            source=REGULATORS, line=boards[0].line, places=tuple(ids),
        )  # fmt: skip


def air_and_heat_do_not_stop_together(
    _room: Room, power: PowerRoom, result: PowerResult
) -> Iterator[Finding]:
    """POWER-06 and POWER-07: a tripping heater does not stop the air, nor one device everything."""
    air_devices = {stop.id for stop in result.stops if stop.kind == "device" and stop.stops("air")}
    living = [stop for stop in result.stops if stop.kind == "device" and any(map(stop.stops, LIFE_SUPPORT))]
    for stop in result.stops:
        if stop.kind != "device" or not (stop.stops("air") and stop.stops("heat")):
            continue
        tanks = dict(stop.does)["air"]
        only = len(air_devices) == 1
        yield Finding(
            code="POWER-06", severity=Severity.PROBLEM if only else Severity.WARNING,
            subject=f"protective device {stop.id}",
            text="carries air and heat: when a heater trips it, the air stops"
            + (" in {tanks} tanks" if tanks else ""),
            numbers=(("tanks", count(len(tanks))),) if tanks else (),
            reason="a cracked or wet heater is a usual cause of a trip, and fish last hours without air."
            f" {CAUTION}",
            remedy="give the air pump a circuit and a protective device of its own", source=PRACTICE,
            line=_device_line(power, stop.id), places=tanks,
        )  # fmt: skip
    if len(living) == 1 and sum(len(stop.loads) for stop in living) > 1 and not _one_kind(living[0].does):
        stop = living[0]
        kinds = [what for what, _ in stop.does if what in LIFE_SUPPORT]
        tanks = tuple(dict.fromkeys(tank for _, served in stop.does for tank in served))
        yield Finding(
            code="POWER-07", severity=Severity.WARNING, subject=f"protective device {stop.id}",
            text=f"carries all that keeps the fish alive ({', '.join(kinds)}): one trip stops it all",
            reason=f"keepers who learnt it use three separately protected circuits in one room. {CAUTION}",
            remedy="split life support over two or three protected circuits", source=PRACTICE,
            line=_device_line(power, stop.id), places=tanks,
        )  # fmt: skip


def every_circuit_has_a_residual_current_device(
    _room: Room, power: PowerRoom, _result: PowerResult
) -> Iterator[Finding]:
    """POWER-08 and POWER-09: each circuit has a residual-current device of 30 mA or less."""
    bare = [circuit for circuit in power.circuits if circuit.rcd is None]
    if bare:
        ids = [circuit.id for circuit in bare]
        yield Finding(
            code="POWER-08", severity=Severity.PROBLEM, subject=listed(ids, "circuit"),
            text=f"{verb(ids, 'has', 'have')} no residual-current device in the plan",
            limit=_ampere(PERSONS),
            reason=f"it is what stands between a wet hand and the mains. {CAUTION}",
            remedy='have a 30 mA device fitted (in the US a GFCI), then write rcd = "30 mA"',
            source=RCD_SOURCE, line=bare[0].line, places=tuple(ids),
        )  # fmt: skip
    for circuit in power.circuits:
        if circuit.rcd is not None and circuit.rcd.value > PERSONS + 1e-9:
            yield Finding(
                code="POWER-09", severity=Severity.PROBLEM, subject=f"circuit {circuit.id}",
                text="has a residual-current device of {rcd}; people are protected at {limit} or less",
                numbers=(("rcd", _ampere(circuit.rcd.value)), ("limit", _ampere(PERSONS))),
                value=_ampere(circuit.rcd.value), limit=_ampere(PERSONS),
                reason=f"a larger one protects against fire, not people. {CAUTION}",
                remedy="have it changed", source=RCD_SOURCE, line=circuit.line, places=(circuit.id,),
            )  # fmt: skip


def sockets_are_above_the_water(_room: Room, power: PowerRoom, result: PowerResult) -> Iterator[Finding]:
    """POWER-10: sockets stand above every wet joint of their rack, or the cords hang in drip loops."""
    for board, place in zip(result.boards, power.boards, strict=True):
        if board.highest_wet is None:
            continue
        if board.height > board.highest_wet:
            continue
        severity = Severity.WARNING
        if place.drip_loop is True:
            severity = Severity.NOTE
        elif place.drip_loop is False:
            severity = Severity.PROBLEM
        said = {True: ", with drip loops", False: ", without drip loops", None: ""}[place.drip_loop]
        yield Finding(
            code="POWER-10", severity=severity, subject=f"board {board.board}",
            text=f"is {{below}} below the highest wet joint or rim of its rack (tank {board.wettest}){said}",
            numbers=(("below", Number(board.highest_wet - board.height, "length")),
                     ("height", Number(board.height, "length")),
                     ("wet", Number(board.highest_wet, "length"))),
            value=Number(board.height, "length"), limit=Number(board.highest_wet, "length"),
            reason=f"water runs down a cord into the socket. {CAUTION}",
            remedy="put the board above the water, or beside the rack; let each cord hang below its plug",
            source=PRACTICE, line=place.line, places=(place.id, board.wettest), rests_on=rests(place.height),
        )  # fmt: skip


def boards_without_a_rack_are_not_judged(
    _room: Room, power: PowerRoom, result: PowerResult
) -> Iterator[Finding]:
    """POWER-15: a board whose rack is not told cannot be set against the water near it."""
    ids = [board.board for board in result.boards if board.highest_wet is None]
    if ids:
        yield Finding(
            code="POWER-15", severity=Severity.NOT_COMPUTED, subject=listed(ids, "board"),
            text=f"{verb(ids, 'is', 'are')} on no rack with tanks in the plan, so the sockets' height"
            " was not set against the water",
            reason=f"what is wet near it is not known. {CAUTION}",
            remedy='say where it is: rack = "A", height = "1.9 m"',
            line=next((board.line for board in power.boards if board.id == ids[0]), None), places=tuple(ids),
        )  # fmt: skip


def switched_boards_carry_no_life_support(
    _room: Room, power: PowerRoom, result: PowerResult
) -> Iterator[Finding]:
    """POWER-11: no timer that turns the lights off turns the air off."""
    stops = {stop.id: stop for stop in result.stops if stop.kind == "board"}
    for board in power.boards:
        kinds = [what for what, _ in stops[board.id].does if what in LIFE_SUPPORT]
        if board.switched and kinds:
            yield Finding(
                code="POWER-11", severity=Severity.PROBLEM if "air" in kinds else Severity.WARNING,
                subject=f"board {board.id}",
                text=f"is switched and carries {' and '.join(kinds)}: off with the lights, off with the"
                f" {kinds[0]}",
                reason=f"a timer stops it every night. {CAUTION}",
                remedy="plug it into a board that is always on", source=PRACTICE, line=board.line,
                places=(board.id,),
            )  # fmt: skip


def every_pump_hangs_on_a_board(room: Room, _power: PowerRoom, result: PowerResult) -> Iterator[Finding]:
    """POWER-12: each pump of the plan is plugged in somewhere."""
    if result.unpowered:
        lines = {pump.id: pump.line for pump in room.pumps}
        yield Finding(
            code="POWER-12", severity=Severity.NOT_COMPUTED, subject=listed(result.unpowered, "pump"),
            text=f"{verb(result.unpowered, 'hangs', 'hang')} on no board of the plan, so what stops with it"
            " and what it draws was not worked out",
            reason=f"the worst trip may be the one that is not described. {CAUTION}",
            remedy='add it to a board: { name = "air pump", power = "71 W", does = "air", pump = "..." }',
            line=lines.get(result.unpowered[0]), places=tuple(result.unpowered),
        )  # fmt: skip


def quarantine_has_a_board_of_its_own(room: Room, power: PowerRoom, result: PowerResult) -> Iterator[Finding]:
    """POWER-13: no board, timer or cord is shared between quarantine and the rest.

    What comes through a pipe (air, feed) is left to those systems.
    """
    closed = {zone.id for zone in room.zones if zone.quarantine}
    inside = {tank.id for tank in room.tanks if tank.zone in closed}
    for stop in result.stops:
        tanks = {tank for what, served in stop.does if what not in PIPED for tank in served}
        if stop.kind == "board" and tanks & inside and tanks - inside:
            yield Finding(
                code="POWER-13", severity=Severity.NOTE, subject=f"board {stop.id}",
                text="serves quarantine tanks and others",
                reason=f"what hangs on it is handled with wet hands from both sides. {CAUTION}",
                remedy="give quarantine a board of its own", source=PRACTICE,
                line=next((board.line for board in power.boards if board.id == stop.id), None),
                places=tuple(sorted(tanks & inside)),
            )  # fmt: skip


def lamps_do_not_all_start_at_once(_room: Room, power: PowerRoom, _result: PowerResult) -> Iterator[Finding]:
    """POWER-17: many lamp drivers on one circuit switch on with an inrush their watts do not show."""
    for circuit in power.circuits:
        drivers = sum(
            load.count
            for board in power.boards if board.circuit == circuit.id and board.switched
            for load in board.loads if load.does == "light"
        )  # fmt: skip
        if drivers > SWITCH_DRIVERS:
            yield Finding(
                code="POWER-17", severity=Severity.NOTE, subject=f"circuit {circuit.id}",
                text="switches {drivers} lamps at once", numbers=(("drivers", count(drivers)),),
                value=count(drivers), limit=count(SWITCH_DRIVERS),
                reason="drivers draw many times their running current for some milliseconds, and a breaker"
                f" may trip on it. {CAUTION}",
                remedy="look up the drivers' inrush, stagger the timers, or split the circuit",
                source="BEAMA guide (2021), quoted second-hand: 15 drivers of 10 W on a 10 A type B breaker",
                line=circuit.line, places=(circuit.id,),
            )  # fmt: skip


def what_was_not_worked_out(result: PowerResult) -> Iterator[Finding]:
    """POWER-16: parts of the electrical side that the plan does not describe."""
    for subject, reason in dict.fromkeys(result.not_computed):
        yield Finding(
            code="POWER-16", severity=Severity.NOT_COMPUTED, subject=subject, text="was not worked out",
            reason=f"{reason}. {CAUTION}",
            remedy="describe circuits, boards and loads under [power]",
        )  # fmt: skip


CHECKS: Final[tuple[Check, ...]] = (
    boards_keep_to_their_rating, circuits_keep_to_their_breaker, what_runs_for_hours_leaves_a_margin,
    every_plug_has_an_outlet, heaters_have_fixed_outlets, air_and_heat_do_not_stop_together,
    every_circuit_has_a_residual_current_device, sockets_are_above_the_water,
    boards_without_a_rack_are_not_judged,
    switched_boards_carry_no_life_support, every_pump_hangs_on_a_board, quarantine_has_a_board_of_its_own,
    lamps_do_not_all_start_at_once,
)  # fmt: skip


def _over(  # noqa: PLR0913 - the fields of one finding
    code: str, subject: str, draw: Draw, rating: Known, place: BoardPlace | CircuitPlace, *, what: str,
    reason: str, remedy: str, source: str, rests_on: tuple[str, ...],
) -> Finding:  # fmt: skip
    numbers = (
        ("current", _ampere(draw.current)),
        ("watts", Number(draw.power, "power")),
        ("rating", _ampere(rating.value)),
    )
    return Finding(
        code=code, severity=Severity.PROBLEM, subject=subject,
        text=f"draws {{current}} ({{watts}}) with everything on, above {what} of {{rating}}",
        numbers=numbers, value=_ampere(draw.current), limit=_ampere(rating.value),
        reason=f"{reason}. {CAUTION}", remedy=remedy, source=source,
        line=place.line, places=(place.id,), rests_on=rests_on,
    )  # fmt: skip


def _one_kind(does: tuple[tuple[str, tuple[str, ...]], ...]) -> bool:
    return len({what for what, _ in does if what in LIFE_SUPPORT}) < 2


def _device_line(power: PowerRoom, device: str) -> int | None:
    return next((one.line for one in power.circuits if (one.device or one.id) == device), None)


def _ampere(value: float) -> Number:
    return Number(value, "current")
