"""The two curves of an air run: what its pumps give at a pressure, and what the room takes at that pressure.

Where they cross, the run works. The room's curve is solved, not drawn: the run's own network is held at one pressure
after another, with taps, tubes, diffusers, spare taps and relief valve as the plan leaves them.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from tankwright.networks.model import Outlet, Source
from tankwright.networks.solver import compile_network, solve_many
from tankwright.room.model import PumpPlace
from tankwright.systems.air_model import AirRunResult
from tankwright.systems.air_network import curve_end, curve_flow
from tankwright.units import CubicMetrePerSecond, Pascal

POINTS: Final = 10
_BEYOND: Final = 1.15  # the room's curve is followed to this share of the most the pumps give
_STEADY: Final = 0.9  # what is left of the helping source at twice the highest pressure

Point = tuple[Pascal, CubicMetrePerSecond]


@dataclass(frozen=True, slots=True, kw_only=True)
class AirCurves:
    """Points (pressure, flow of free air) by rising pressure. `pumps` is all running pumps together; `room` what
    taps and leaks take. `lowest` and `highest` are the closest limits the makers allow, None where none is said."""

    pumps: tuple[Point, ...]
    room: tuple[Point, ...]
    lowest: Pascal | None
    highest: Pascal | None


def air_curves(result: AirRunResult, pumps: Sequence[PumpPlace], points: int = POINTS) -> AirCurves:
    """Both curves of a solved run from no pressure to a little over where its pumps give nothing.

    `pumps` are the pumps of the room; those the run was solved with are taken. The room's curve is empty when the
    network cannot be solved away from its working point.
    """
    running = {work.pump for work in result.pumps}
    own = tuple(pump for pump in pumps if pump.id in running)
    ends = [curve_end(pump.curve) for pump in own]
    most = max([*ends, *(work.pressure for work in result.pumps)], default=0.0)
    lowest = [work.lowest for work in result.pumps if work.lowest is not None]
    highest = [work.highest for work in result.pumps if work.highest is not None]
    return AirCurves(
        pumps=_together(own, most),
        room=_room(result, own, most, points) if own and most > 0.0 else (),
        lowest=max(lowest, default=None),
        highest=min(highest, default=None),
    )


def _together(pumps: Sequence[PumpPlace], most: Pascal) -> tuple[Point, ...]:
    """All pumps at one pressure: straight lines between the corners of every curve."""
    corners = {0.0, most, *(pressure for pump in pumps for pressure, _ in pump.curve)}
    corners |= {curve_end(pump.curve) for pump in pumps}
    return tuple(
        (pressure, sum(curve_flow(pump.curve, pressure) for pump in pumps))
        for pressure in sorted(corners)
        if 0.0 <= pressure <= most
    )


def _room(result: AirRunResult, pumps: Sequence[PumpPlace], most: Pascal, points: int) -> tuple[Point, ...]:
    """What the network takes, all pressures in one run of the solver; the working point is one of the points.

    A source that gives a little more than the pumps at whatever pressure stands in for them, and a hole at the inlet,
    narrower from case to case, lets off what the room does not take; the pressure follows from what the hole lets off.
    """
    network = result.network
    inlet = network.sources[0].node
    free = _BEYOND * sum(max(flow for _, flow in pump.curve) for pump in pumps)
    works = max(work.pressure for work in result.pumps)
    if free <= 0.0:
        return ()
    steady = Source(id="held", node=inlet, curve=((0.0, free), (2.0 * most, _STEADY * free)))
    hole = Outlet(id="let off", node=inlet, coefficient=free / math.sqrt(most))
    helped = replace(network, sources=(steady,), outlets=(*network.outlets, hole))
    taken = np.linspace(0.0, 0.96, points) * free  # about as much as this each case leaves to the room
    guessed = np.clip(works * taken / max(result.total_flow, 0.1 * free), 0.02 * most, most)
    scales = np.ones((points, len(helped.outlets)))
    scales[:, -1] = (free - taken) / (hole.coefficient * np.sqrt(guessed))
    flows = solve_many(compile_network(helped), scales)
    pressures = (flows[:, -1] / (hole.coefficient * scales[:, -1])) ** 2
    solved = [
        (float(pressure), max(0.0, float(flow)))
        for pressure, flow in zip(pressures, flows[:, :-1].sum(axis=1), strict=True)
        if math.isfinite(pressure) and math.isfinite(flow) and pressure <= most
    ]
    return ((0.0, 0.0), *sorted([*solved, (works, result.total_flow)])) if solved else ()
