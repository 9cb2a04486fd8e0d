"""Tanks for fry: how many a need takes, by the loop of `fry_kernel`, interpreted or compiled."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import cache
from statistics import median
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from tankwright.compiling import compile_loop
from tankwright.husbandry import fry_kernel

Numbers = NDArray[np.float64]
INTERPRETED_ROWS: Final = 40_000
"""Rows times cohorts up to which interpreting is sooner than loading the compiler (measured: about 0.4 s each)."""
TYPICAL: Final = 0.04
"""m3 of a tank that is counted beyond those there are, when there is none at all. Own choice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Packed:
    """Tanks needed, and water (m3) that found no tank, by draw and week."""

    needed: Numbers
    short: Numbers

    @property
    def is_out(self) -> NDArray[np.bool_]:
        """Where there were too few tanks."""
        result: NDArray[np.bool_] = self.short > 0.0
        return result


def packed(
    volume: Numbers, groups: Sequence[str], tanks: Iterable[float], *, without: Iterable[int] = ()
) -> Packed:
    """How many tanks (m3 each) the cohorts of every draw and week take, those of one group together.

    `volume` is by draw, week and cohort; cohorts in `without` count as not there.

    >>> two = np.array([[[0.030, 0.020]]])
    >>> packed(two, ("a", "b"), (0.05,)).needed.tolist(), packed(two, ("a", "a"), (0.05,)).needed.tolist()
    ([[2.0]], [[1.0]])
    """
    draws, weeks, cohorts = volume.shape
    sizes = np.array(sorted(tanks), dtype=np.float64)
    names = {name: number for number, name in enumerate(dict.fromkeys(groups))}
    left_out = np.zeros(cohorts, dtype=np.int64)
    left_out[list(without)] = 1
    needed, short = np.zeros(draws * weeks), np.zeros(draws * weeks)
    arguments = (
        np.ascontiguousarray(volume).reshape(-1), np.array([names[one] for one in groups], dtype=np.int64), left_out,
        sizes, float(median(sizes)) if len(sizes) else TYPICAL, np.zeros(max(cohorts, 1)),
        np.zeros(max(cohorts, 1), dtype=np.int64), np.zeros(max(len(sizes), 1), dtype=np.int64), needed, short,
    )  # fmt: skip
    _run(arguments, compiled=volume.size > INTERPRETED_ROWS or _compiled.cache_info().currsize > 0)
    return Packed(needed=needed.reshape(draws, weeks), short=short.reshape(draws, weeks))


def _run(arguments: tuple[Any, ...], *, compiled: bool) -> None:
    if compiled:
        _compiled()(*arguments)
        return
    lists = [item.tolist() if isinstance(item, np.ndarray) else item for item in arguments]
    fry_kernel.pack_all(*lists)
    for array, filled in zip(arguments, lists, strict=True):
        if isinstance(array, np.ndarray):
            array[:] = filled


_HELPERS: Final = (
    fry_kernel.place_group, fry_kernel.sum_groups, fry_kernel.largest_first, fry_kernel.place_some,
    fry_kernel.tanks_beyond,
)  # fmt: skip


@cache
def _compiled() -> Callable[..., None]:
    return compile_loop(fry_kernel.pack_all, _HELPERS, (fry_kernel,))
