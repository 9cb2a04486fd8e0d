"""How the oxygen of standing water runs over time, for one tank or for arrays of many at once: no ranges.

A tool of `oxygen`, which adds the ranges and puts it on the shelf. Every course obeys one balance:

    volume x dC/dt = transfer x (saturation - C) - demand

with C the oxygen level of the water, stirred, and `transfer` the volume of water a second that is brought
to saturation: transfer velocity x surface, and what bubbles add. All inputs are SI numbers or arrays that
broadcast; the demand is taken as steady, which is on the cautious side, as fish short of oxygen use less.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tankwright.physics.constants import ICE_POINT, STANDARD_PRESSURE

Levels = NDArray[np.float64]


def saturation_of(
    temperature: ArrayLike, *, pressure: ArrayLike = STANDARD_PRESSURE, salinity: ArrayLike = 0.0
) -> Levels:
    """The oxygen water holds when it has settled with moist air.

    Source: see `oxygen.oxygen_saturation`.

    >>> saturation_of([283.15, 293.15]).round(5).tolist()
    [0.01129, 0.00909]
    """
    t, pascal, grams = _floats(temperature, pressure, salinity)
    celsius, p = t - ICE_POINT, pascal / STANDARD_PRESSURE
    fresh = -139.34411 + 1.575701e5 / t - 6.642308e7 / t**2 + 1.243800e10 / t**3 - 8.621949e11 / t**4
    salt = grams * (0.017674 - 10.754 / t + 2140.7 / t**2)
    vapour = np.exp(11.8571 - 3840.70 / t - 216961 / t**2)
    theta = 0.000975 - 1.426e-5 * celsius + 6.436e-8 * celsius**2
    of_pressure = (p - vapour) * (1 - theta * p) / ((1 - vapour) * (1 - theta))
    return np.asarray(1e-3 * np.exp(fresh - salt) * of_pressure)


def steady_level(*, transfer: ArrayLike, saturation: ArrayLike, demand: ArrayLike) -> Levels:
    """The level at which surface and bubbles just cover the demand; 0 where they never do.

    Source: the balance of this file, solved, textbook form.

    >>> steady_level(transfer=2e-6, saturation=8e-3, demand=[0.0, 4e-9, 1.0]).round(4).tolist()
    [0.008, 0.006, 0.0]
    """
    k, cs, r = _floats(transfer, saturation, demand)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        fall = np.where(r > 0.0, r / k, 0.0)
    return np.maximum(cs - fall, 0.0)


def level_after(
    *,
    duration: ArrayLike,
    transfer: ArrayLike,
    volume: ArrayLike,
    saturation: ArrayLike,
    start: ArrayLike,
    demand: ArrayLike,
) -> Levels:
    """The level after a time; 0 once all is used.

    Source: the balance of this file, solved, textbook form.

    >>> tank = {"volume": 0.06, "saturation": 8e-3, "start": 8e-3, "demand": 1e-8}
    >>> level_after(duration=[0.0, 3600.0], transfer=0.0, **tank).tolist()
    [0.008, 0.0074]
    """
    t, k, v, cs, c0, r = _floats(duration, transfer, volume, saturation, start, demand)
    gain_at_start = k * (cs - c0) - r
    return np.maximum(c0 + gain_at_start * t / v * _mean_decay(k * t / v), 0.0)


def time_to_level(
    *,
    level: ArrayLike,
    transfer: ArrayLike,
    volume: ArrayLike,
    saturation: ArrayLike,
    start: ArrayLike,
    demand: ArrayLike,
) -> Levels:
    """Time until the water has fallen to a level: 0 where it is there already, infinite where it never is.

    Source: the balance of this file, solved, textbook form.

    >>> tank = {"volume": 0.06, "saturation": 8e-3, "start": 8e-3, "demand": [1e-8, 0.0]}
    >>> time_to_level(level=2e-3, transfer=0.0, **tank).round().tolist()
    [36000.0, inf]
    """
    c, k, v, cs, c0, r = _floats(level, transfer, volume, saturation, start, demand)
    fall = np.maximum(c0 - c, 0.0)
    loss_at_level = r - k * (cs - c)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        bend = k * fall / loss_at_level
        slowed = np.where(bend > 0.0, np.log1p(bend) / bend, 1.0)
        time = v * fall / loss_at_level * slowed
    return np.where(fall == 0.0, 0.0, np.where(loss_at_level > 0.0, time, np.inf))


def largest_demand(
    *,
    duration: ArrayLike,
    level: ArrayLike,
    transfer: ArrayLike,
    volume: ArrayLike,
    saturation: ArrayLike,
    start: ArrayLike,
) -> Levels:
    """The largest steady demand that leaves at least a level after a time: the other two solved for it.

    The course runs one way, so a level that holds at both ends holds between them. 0 where the water starts
    below the level.

    Source: the balance of this file, solved, textbook form.

    >>> tank = {"volume": 0.06, "saturation": 8e-3, "start": 8e-3}
    >>> round(float(largest_demand(duration=36000.0, level=2e-3, transfer=0.0, **tank)), 15)
    1e-08
    """
    t, c, k, v, cs, c0 = _floats(duration, level, transfer, volume, saturation, start)
    with np.errstate(divide="ignore", over="ignore"):
        spent = v * (c0 - c) / (t * _mean_decay(k * t / v))
    return np.where(c0 < c, 0.0, np.maximum(k * (cs - c0) + spent, 0.0))


def largest_demand_with_air(
    *,
    duration: ArrayLike,
    level: ArrayLike,
    with_air: ArrayLike,
    transfer: ArrayLike,
    volume: ArrayLike,
    saturation: ArrayLike,
) -> Levels:
    """The largest steady demand of water that was long aired and then stands without air for a time, keeping a level.

    Unlike `largest_demand` the start is not given: it is where that demand and the transfer `with_air` settle.

    Source: the balance of this file, solved for the demand, textbook form.

    >>> tank = {"duration": 36000.0, "level": 2e-3, "transfer": 1e-6, "volume": 0.06, "saturation": 8e-3}
    >>> largest_demand_with_air(with_air=[1e-6, 1.0], **tank).round(11).tolist()
    [6e-09, 1.33e-08]
    """
    t, c, on, k, v, cs = _floats(duration, level, with_air, transfer, volume, saturation)
    exponent = k * t / v
    with np.errstate(divide="ignore", over="ignore"):
        fall = np.exp(-exponent) / on + t / v * _mean_decay(exponent)  # of the level, for a unit of demand
        at_end, at_start = (cs - c) / fall, (cs - c) * on
    return np.maximum(np.minimum(at_end, at_start), 0.0)


def _mean_decay(x: Levels) -> Levels:
    """(1 - exp(-x)) / x, and its limit 1 at zero: a tank without a surface is no special case."""
    positive = x > 0.0
    divisor = np.where(positive, x, 1.0)
    return np.where(positive, -np.expm1(-divisor) / divisor, 1.0)


def _floats(*values: ArrayLike) -> tuple[Levels, ...]:
    return tuple(np.asarray(value, dtype=np.float64) for value in values)
