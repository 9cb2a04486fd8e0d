"""The same inner loop, interpreted or compiled, whichever answers sooner.

Starting the compiler costs about as long as an interpreted solve of twenty thousand links, so a `check` of
one room never loads it; halls and scenario batches do. Both ways run the same text (`kernel`).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tankwright.compiling import compile_loop
from tankwright.networks import kernel, laws
from tankwright.networks.compiled import CompiledNetwork

INTERPRETED_LINKS = 20_000
"""Links times scenarios up to which interpreting wins over loading the compiler (measured: 0.3 s each)."""

_HELPERS = (
    laws.pipe_loss,
    laws.pipe_flow,
    laws.pressure_of,
    laws.outlet_line,
    laws.source_line,
    kernel.solve_linear,
)

Numbers = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Run:
    """One call of the inner loop: its arguments in order, and those of them that will hold the answer."""

    arguments: tuple[Any, ...]
    potential: Numbers
    flow: Numbers
    all_outlet_flows: Numbers
    report: Numbers

    @classmethod
    def of(
        cls,
        compiled: CompiledNetwork,
        scales: Numbers,
        start_potential: Numbers,
        start_flow: Numbers,
        tolerance: float,
        max_iterations: int,
    ) -> Run:
        """Lay out the arguments for `scales`, flat, one number an outlet and scenario."""
        c = compiled
        nodes, links, outlets = len(c.order), c.links, len(c.outlets)
        potential, flow, all_outlet_flows = np.zeros(nodes), np.zeros(links), np.zeros(len(scales))
        report = np.zeros(2 * (len(scales) // outlets if outlets else 1))
        arguments = (
            *(c.unknowns, c.column_start, c.row, c.target),
            *(c.pipe_start, c.pipe_end, c.pipe_slot, c.pipe_one_way, c.pipe_law),
            *(c.outlet_node, c.outlet_kind, c.outlet_law),
            *(c.source_node, c.source_first, c.curve_pressure, c.curve_flow),
            *(c.lift, c.squeeze, scales, c.lowest, c.highest, start_potential, start_flow),
            *(potential, flow, all_outlet_flows),
            *(np.zeros(links), np.zeros(links), np.zeros(links), np.zeros(links, dtype=np.int64)),
            *(np.zeros(nodes), np.zeros(len(c.row) + 1), np.zeros(nodes), np.zeros(nodes), report),
            *(tolerance, max_iterations),
        )
        return cls(arguments, potential, flow, all_outlet_flows, report)


def compiled_is_worth_it(links: int, scenarios: int) -> bool:
    """Whether a job is large enough to load the compiler for, or the compiler is loaded already.

    >>> compiled_is_worth_it(10**6, 1)
    True
    """
    return links * scenarios > INTERPRETED_LINKS or compiled_loop.cache_info().currsize > 0


def run(run: Run, *, compiled: bool) -> None:
    """Run `kernel.solve_scenarios` and leave the answer in the run's arrays.

    Interpreted, the arrays are turned into lists for the run: element access is several times faster there.
    """
    if compiled:
        compiled_loop()(*run.arguments)
        return
    lists = [item.tolist() if isinstance(item, np.ndarray) else item for item in run.arguments]
    kernel.solve_scenarios(*lists)
    for array, filled in zip(run.arguments, lists, strict=True):
        if any(array is answer for answer in (run.potential, run.flow, run.all_outlet_flows, run.report)):
            array[:] = filled


@cache
def compiled_loop() -> Callable[..., None]:
    """The inner loop as machine code, read from numba's cache or compiled now and kept there."""
    return compile_loop(kernel.solve_scenarios, _HELPERS, (laws, kernel))
