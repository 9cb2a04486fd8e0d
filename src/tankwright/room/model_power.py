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
class PowerRoom:
    """The supply, its circuits and boards."""

    voltage: Known
    continuous_share: Known
    circuits: tuple[CircuitPlace, ...]
    boards: tuple[BoardPlace, ...]
