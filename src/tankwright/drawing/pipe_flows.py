"""Which pressure pipe carries how much, and which of them tell it in the drawing."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Final

from tankwright.display import words
from tankwright.drawing.results import DrawnPipe
from tankwright.finding import Number
from tankwright.room.model import PipeRun
from tankwright.units import CubicMetrePerSecond

_MOST_TOLD: Final = 16  # in one run; a drawing is no table
_LEAST_TOLD: Final = 1e-3  # of the largest flow of the run


def drawn_pipes(
    pipes: Sequence[PipeRun],
    flows: Mapping[str, CubicMetrePerSecond],
    inlet: str,
    display: str = "metric",
    dimension: str = "flow",
) -> tuple[DrawnPipe, ...]:
    """The pipes whose flow is known, each with its share of the largest flow of the run.

    Told are, the largest flow first, the pipes at the inlet, those behind a branching, the last ones of a
    dead end, and those behind a corner of a line without branches.

    >>> one = drawn_pipes((), {}, "pump")
    >>> one
    ()
    """
    known = [pipe for pipe in pipes if pipe.id in flows]
    most = max((abs(flows[pipe.id]) for pipe in known), default=0.0)
    if most <= 0.0:
        return tuple(DrawnPipe(id=pipe.id, share=0.0) for pipe in known)
    worth = [name for name in _worth(known, flows, inlet) if abs(flows[name]) > _LEAST_TOLD * most]
    worth.sort(key=lambda name: -abs(flows[name]))
    told = set(worth[:_MOST_TOLD])
    made = [
        DrawnPipe(
            id=pipe.id, share=flows[pipe.id] / most, told=pipe.id in told,
            label=words(Number(abs(flows[pipe.id]), dimension), display),
        )
        for pipe in known
    ]  # fmt: skip
    return tuple(sorted(made, key=lambda pipe: -abs(pipe.share)))


def _worth(pipes: Sequence[PipeRun], flows: Mapping[str, CubicMetrePerSecond], inlet: str) -> Iterator[str]:
    at: dict[str, list[PipeRun]] = {}
    for pipe in pipes:
        if _is_flat(pipe):
            at.setdefault(pipe.start, []).append(pipe)
            at.setdefault(pipe.end, []).append(pipe)
    ends = [node for node, here in at.items() if len(here) == 1 and node != inlet]
    for pipe in pipes:
        if not _is_flat(pipe):
            continue
        upstream, downstream = (pipe.start, pipe.end) if flows[pipe.id] >= 0 else (pipe.end, pipe.start)
        others = [other for other in at[upstream] if other.id != pipe.id]
        turns = len(others) == 1 and _way(others[0]) != _way(pipe)
        if upstream == inlet or len(others) != 1 or turns or downstream in ends:
            yield pipe.id


def _is_flat(pipe: PipeRun) -> bool:
    """True when it can be seen from above."""
    (x0, y0, _), (x1, y1, _) = pipe.path[0], pipe.path[-1]
    return abs(x1 - x0) + abs(y1 - y0) > 1e-3


def _way(pipe: PipeRun) -> bool:
    """True for a pipe that runs more east and west than north and south."""
    (x0, y0, _), (x1, y1, _) = pipe.path[0], pipe.path[-1]
    return abs(x1 - x0) >= abs(y1 - y0)
