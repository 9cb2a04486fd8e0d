"""The supply of the laid-out room: circuits, boards and what is plugged in."""

from __future__ import annotations

from dataclasses import dataclass

from tankwright.origin import Known


@dataclass(frozen=True, slots=True, kw_only=True)
class CircuitPlace:
    """A circuit and its protection. Circuits with the same `device` go off together."""

    id: str
    breaker: Known
    rcd: Known | None
    device: str
    line: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadPlace:
    """A load on a board."""

    name: str
    power: Known
    count: int
    does: str
    hours: float
    serves: tuple[str, ...]
    pump: str | None
    line: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardPlace:
    """A power board, the circuit it hangs on, and its loads. `fixed`: sockets on the wall, not a loose board."""

    id: str
    circuit: str
    outlets: int
    rating: Known
    switched: bool
    rack: str | None
    height: Known
    drip_loop: bool | None
    loads: tuple[LoadPlace, ...]
    fixed: bool = False
    line: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class BatteryPlace:
    """A battery of `count` like ones and its inverter. `capacity` is the charge of one, A s, when it is emptied in
    `at_hours`, s; `usable` the share of it one takes out."""

    capacity: Known
    count: int
    at_hours: Known
    voltage: Known
    usable: Known
    peukert: Known
    inverter_efficiency: Known
    inverter_idle: Known
    line: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class BackupPlace:
    """What keeps loads running in a power cut. `generator` is its power. `boards` are kept whole, `loads` are (board,
    load) kept alone; `by_itself` is False where somebody has to start it."""

    battery: BatteryPlace | None
    generator: Known | None
    by_itself: bool
    boards: tuple[str, ...]
    loads: tuple[tuple[str, str], ...]
    line: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PowerRoom:
    """The supply, its circuits and boards, and what stands by for it."""

    voltage: Known
    continuous_share: Known
    circuits: tuple[CircuitPlace, ...]
    boards: tuple[BoardPlace, ...]
    backup: BackupPlace | None = None
