"""Water standing level in a sloping round pipe, at many heights at once."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

LEVEL_PIPE = 1e-4
"""Fall over bore below which a pipe counts as level: its water is as deep at one end as at the other."""


def pool_volumes(heights: Array, bore: float, length: float, fall: float) -> Array:
    """`pools.sloping_pipe_pool` at many heights at once, unchecked.

    Source: see `pools.sloping_pipe_pool`.

    >>> [round(float(one), 5) for one in pool_volumes(np.array([0.025, 0.05, 1.0]), 0.05, 2.0, 0.0)]
    [0.00196, 0.00393, 0.00393]
    """
    if fall < LEVEL_PIPE * bore:
        return length * _area(heights, bore)
    return length / fall * (_area_below(heights, bore) - _area_below(heights - fall, bore))


def _angle(depths: Array, bore: float) -> Array:
    return 2.0 * np.arcsin(np.sqrt(np.clip(depths / bore, 0.0, 1.0)))


def _area(depths: Array, bore: float) -> Array:
    half = _angle(depths, bore)
    return np.asarray(bore**2 / 4.0 * (half - np.sin(half) * np.cos(half)))


def _area_below(depths: Array, bore: float) -> Array:
    """The area of the segment summed over the depth from nothing; above the pipe it grows evenly."""
    half = _angle(depths, bore)
    inside = bore**3 / 8.0 * (np.sin(half) - half * np.cos(half) - np.sin(half) ** 3 / 3.0)
    return np.asarray(inside + np.pi / 4.0 * bore**2 * np.maximum(depths - bore, 0.0))
