"""An air run with other openings of its taps, tried on its solved network: what setting taps would come to."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from tankwright.networks.solver import solve
from tankwright.room.model import AirRun
from tankwright.systems.air_model import AirRunResult, TapAir
from tankwright.systems.air_network import LEAST_OPENING
from tankwright.units import Dimensionless, Pascal


@dataclass(frozen=True, slots=True, kw_only=True)
class Tried:
    """The share of what it wants that each tank's tap gets, by tap, and the pressure the hardest pump works at."""

    shares: tuple[tuple[TapAir, Dimensionless], ...]
    pressure: Pascal


def as_it_stands(result: AirRunResult) -> Tried:
    """The solved run itself in the same form."""
    return Tried(
        shares=tuple((tap, tap.share or 0.0) for tap in result.taps if tap.tank is not None),
        pressure=max((work.pressure for work in result.pumps), default=0.0),
    )


def try_openings(
    run: AirRun, result: AirRunResult, openings: Mapping[str, Dimensionless], *, shut_spare: bool = False
) -> Tried | None:
    """A run's network solved with other openings, by tank; a tank not named stays as it is. None when it does not
    settle.

    A tap that passes no air in the solved run, since it is shut, stays shut. The loss of an orifice goes with the
    inverse square of its area.
    """
    taps = {f"tube {tap.tap}": tap for tap in result.taps if tap.tank in openings}
    pipes = tuple(
        replace(pipe, minor_loss=pipe.minor_loss * _turned(taps[pipe.id], openings) ** 2)
        if pipe.id in taps
        else pipe
        for pipe in result.network.pipes
    )
    spare = {tap.id for tap in run.taps if tap.tank is None} if shut_spare else set()
    outlets = tuple(outlet for outlet in result.network.outlets if outlet.id not in spare)
    solution = solve(replace(result.network, pipes=pipes, outlets=outlets))
    if not solution.converged:
        return None
    shares = []
    for tap in result.taps:
        if tap.tank is None:
            continue
        ring = solution.node_pressures.get(tap.node, 0.0)
        flows = ring > tap.depth_pressure + tap.valve_loss
        flow = max(0.0, solution.outlet_flows.get(tap.tap, 0.0)) if flows else 0.0
        shares.append((tap, flow / tap.wanted if tap.wanted else 0.0))
    return Tried(shares=tuple(shares), pressure=max(solution.source_pressures.values(), default=0.0))


def _turned(tap: TapAir, openings: Mapping[str, Dimensionless]) -> float:
    """How much narrower a tap gets."""
    return tap.stands_open / max(LEAST_OPENING, openings[tap.tank or ""])
