"""The room's loop, interpreted or compiled, whichever answers sooner."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from typing import Any

import numpy as np

from tankwright.compiling import compile_loop
from tankwright.thermal import climate, laws, step

INTERPRETED_VESSEL_STEPS = 60_000
"""Steps times vessels up to which interpreting wins over loading the compiler when the
evaporation takes its usual three passes (measured: 0.4 s each)."""

_HELPERS = (
    laws.saturation_pressure,
    laws.saturation_growth,
    laws.vapour_pressure,
    laws.humidity_line,
    climate.free_air,
    climate.held_air,
    climate.free_climate,
    climate.held_climate,
    climate.settled_climate,
    climate.switched,
)


def compiled_is_worth_it(vessel_steps: int) -> bool:
    """Whether a job is large enough to load the compiler for, or the compiler is loaded already.

    >>> compiled_is_worth_it(10**6)
    True
    """
    return vessel_steps > INTERPRETED_VESSEL_STEPS or compiled_steps.cache_info().currsize > 0


def run_loop(arguments: tuple[Any, ...], *, compiled: bool) -> None:
    """Run `step.run_steps` and leave the answer in the arrays among the arguments.

    Interpreted, the arrays are turned into lists for the run: element access is several times faster there.
    """
    if compiled:
        compiled_steps()(*arguments)
        return
    lists = [item.tolist() if isinstance(item, np.ndarray) else item for item in arguments]
    step.run_steps(*lists)
    for array, filled in zip(arguments, lists, strict=True):
        if isinstance(array, np.ndarray):
            array[:] = filled


@cache
def compiled_steps() -> Callable[..., None]:
    """The loop as machine code."""
    return compile_loop(step.run_steps, _HELPERS, (laws, climate, step))
