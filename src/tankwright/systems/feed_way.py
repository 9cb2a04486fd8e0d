"""The pressure on the way from the source to the outlets of a feed, stop by stop."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from tankwright.room.model import FeedRun
from tankwright.systems.feed_model import FeedRunResult
from tankwright.units import Pascal

Kind = Literal["still", "source", "filter", "before regulator", "manifold", "most", "least"]

_SAME: Final[Pascal] = 100.0  # two stops closer than a centimetre of water are one


@dataclass(frozen=True, slots=True, kw_only=True)
class Stop:
    """The pressure at one place of the way, everything open. `name` is the filter's, or the tank's of the outlet that
    has the most or the least. At an outlet it counts at the outlet's own height."""

    kind: Kind
    name: str
    pressure: Pascal


def pressure_way(run: FeedRun, result: FeedRunResult) -> tuple[Stop, ...]:
    """From the still source to the outlets with the most and the least pressure.

    A filter takes its stated loss times the square of flow over the flow that was stated for.
    Source: loss of turbulent flow with the square of flow, a model choice as in the feed's network.
    """
    stops = [
        Stop(kind="still", name=run.source, pressure=run.source_pressure.value),
        Stop(kind="source", name=run.source, pressure=result.source_pressure),
    ]
    left = result.source_pressure
    for one in run.filters:
        left -= one.loss.value * (result.total_flow / one.at_flow.value) ** 2
        stops.append(Stop(kind="filter", name=one.name, pressure=left))
    if result.regulated and abs(result.upstream_pressure - left) > _SAME:
        stops.append(Stop(kind="before regulator", name="", pressure=result.upstream_pressure))
    stops.append(Stop(kind="manifold", name=run.id, pressure=result.inlet_pressure))
    known = [(one.pressure, one.tank) for one in result.outlets if one.pressure is not None]
    if known:
        most, least = max(known), min(known)
        stops.append(Stop(kind="most", name=most[1], pressure=most[0]))
        stops.append(Stop(kind="least", name=least[1], pressure=least[0]))
    return tuple(stops)
