"""What the solver gives back: a status and the answer, never an exception."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from tankwright.units import CubicMetrePerSecond, MetrePerSecond, Pascal


class SolverStatus(StrEnum):
    """How a solve ended. Only `CONVERGED` is an answer to rely on."""

    CONVERGED = "converged"
    NOT_CONVERGED = "not converged"
    NO_SOURCE = "no source"
    INVALID = "invalid"


@dataclass(frozen=True, slots=True, kw_only=True)
class Solution:
    """A solved network: gauge pressures in Pa, flows in m3/s (a gas: at ambient pressure), velocities in m/s.

    `residual` is the estimated share of the total flow that is still wrong. `imbalance` is the largest flow,
    m3/s, by which what enters a node differs from what leaves it. Nodes that no source reaches stand in
    `unreached_nodes`; their pressure is NaN and nothing flows there. Sources working outside the points of
    their curve stand in `extrapolated_sources`. `mistakes` says why a network was `INVALID`.

    >>> Solution(status=SolverStatus.NO_SOURCE).converged
    False
    """

    status: SolverStatus
    iterations: int = 0
    residual: float = 0.0
    imbalance: CubicMetrePerSecond = 0.0
    node_pressures: Mapping[str, Pascal] = field(default_factory=dict)
    pipe_flows: Mapping[str, CubicMetrePerSecond] = field(default_factory=dict)
    pipe_velocities: Mapping[str, MetrePerSecond] = field(default_factory=dict)
    outlet_flows: Mapping[str, CubicMetrePerSecond] = field(default_factory=dict)
    source_flows: Mapping[str, CubicMetrePerSecond] = field(default_factory=dict)
    source_pressures: Mapping[str, Pascal] = field(default_factory=dict)
    extrapolated_sources: tuple[str, ...] = ()
    unreached_nodes: tuple[str, ...] = ()
    mistakes: tuple[str, ...] = ()

    @property
    def converged(self) -> bool:
        """Whether the numbers may be relied on."""
        return self.status is SolverStatus.CONVERGED

    @property
    def why_not(self) -> str:
        """Why there is no answer, in a few words: the first mistakes of the network, or how the solve ended.

        >>> Solution(status=SolverStatus.INVALID, mistakes=("a", "b", "c", "d")).why_not
        'a; b; and 2 more'
        """
        if not self.mistakes:
            return f"the solver ended with: {self.status.value}"
        more = len(self.mistakes) - 2
        return "; ".join((*self.mistakes[:2], *((f"and {more} more",) if more > 0 else ())))
