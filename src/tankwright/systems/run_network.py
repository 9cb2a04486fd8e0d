"""The piping of a laid-out run, of air or of water, as the flow solver takes it."""

from __future__ import annotations

from tankwright.networks.model import Node, Pipe
from tankwright.room.model import AirRun, FeedRun
from tankwright.units import Metre

LEAST_LENGTH: Metre = 1e-3
"""A pipe said to have no length still has this, so that its law has a slope."""


def nodes_and_pipes(run: AirRun | FeedRun) -> tuple[tuple[Node, ...], tuple[Pipe, ...]]:
    """Nodes and pipes of the run itself, without what hangs on it."""
    nodes = tuple(Node(id=name, height=place[2]) for name, place in run.nodes)
    pipes = tuple(
        Pipe(
            id=pipe.id,
            start=pipe.start,
            end=pipe.end,
            length=max(LEAST_LENGTH, pipe.length),
            inner_diameter=pipe.bore.value,
            roughness=run.roughness.value,
            minor_loss=pipe.minor_loss,
            check_valve=pipe.check_valve,
        )
        for pipe in run.pipes
    )
    return nodes, pipes
