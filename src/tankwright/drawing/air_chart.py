"""The chart of an air run: its pumps' curve, the room's curve, the pressures allowed, and where they meet."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from tankwright.drawing.chart_model import Axis, Band, Chart, Mark, line_through
from tankwright.room.model import PumpPlace
from tankwright.systems.air_curve import Point, air_curves
from tankwright.systems.air_model import AirRunResult

_ROOM_BEYOND = 1.1  # the room's curve is shown up to this share of the most the pumps give


def air_chart(result: AirRunResult, pumps: Sequence[PumpPlace], display: str) -> Chart:
    """Flow along x, pressure along y; `pumps` are those of the room. The room's curve is solved for it."""
    curves = air_curves(result, pumps)
    most = max((flow for _, flow in curves.pumps), default=0.0)
    names = " and ".join(work.pump for work in result.pumps)
    bands: tuple[Band, ...] = ()
    if curves.lowest is not None or curves.highest is not None:
        bands = (Band(name="allowed for long running", low=curves.lowest, high=curves.highest),)
    works = max((work.pressure for work in result.pumps), default=0.0)
    return Chart(
        title=f"{result.run}: what {names} gives and what the room takes",
        x=Axis(label="air", dimension="air_flow", display=display, least=0.0),
        y=Axis(label="pressure", dimension="pressure", display=display, least=0.0),
        lines=(
            line_through(f"{names} gives", _pairs(curves.pumps)),
            line_through("the room takes", _pairs(up_to(curves.room, _ROOM_BEYOND * most))),
        ),
        bands=bands,
        marks=(Mark(name="works here", x=result.total_flow, y=works),),
        empty="no pump with a curve",
    )


def _pairs(points: Sequence[Point]) -> tuple[tuple[float, float | None], ...]:
    return tuple((flow, pressure) for pressure, flow in points)


def up_to(points: Sequence[Point], most: float) -> tuple[Point, ...]:
    """The points of a curve as long as its flow is not over `most`, and the point where it reaches it.

    >>> up_to(((0.0, 0.0), (10.0, 1.0), (20.0, 3.0)), 2.0)
    ((0.0, 0.0), (10.0, 1.0), (15.0, 2.0))
    """
    kept = list(points[:1])
    for (pressure, flow), (next_pressure, next_flow) in pairwise(points):
        if next_flow > most:
            share = (most - flow) / (next_flow - flow)
            kept.append((pressure + share * (next_pressure - pressure), most))
            break
        kept.append((next_pressure, next_flow))
    return tuple(kept)
