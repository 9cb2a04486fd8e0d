"""Two small tools of the trade, so that no heavy library is needed at run time: a root and an integral."""

from __future__ import annotations

import math
from collections.abc import Callable


def root(function: Callable[[float], float], low: float, high: float) -> float:
    """Where a continuous function crosses zero between two points of opposite sign.

    Bracketed regula falsi with the Anderson-Bjorck weight and a bisection whenever it dawdles, so it always
    ends. Raises ValueError when both ends have the same sign.

    Source: N. Anderson and A. Bjorck (1973), BIT 13, 253-264; the bisection guard is our own.

    >>> round(root(lambda x: x * x - 2.0, 0.0, 2.0), 12)
    1.414213562373
    """
    a, b = low, high
    at_a, at_b = function(a), function(b)
    if at_a == 0.0:
        return a
    if at_b == 0.0:
        return b
    if (at_a > 0.0) == (at_b > 0.0):
        raise ValueError("no sign change between the two ends")
    width = abs(b - a)
    for step in range(200):
        middle = b - at_b * (b - a) / (at_b - at_a)
        if not min(a, b) <= middle <= max(a, b):  # rounding may carry the chord just past an end
            middle = 0.5 * (a + b)
        if step % 3 == 2:
            if abs(b - a) > 0.25 * width:
                middle = 0.5 * (a + b)
            width = abs(b - a)
        at_middle = function(middle)
        if at_middle == 0.0:
            return middle
        if (at_middle > 0.0) != (at_b > 0.0):
            a, at_a = b, at_b
        else:
            weight = 1.0 - at_middle / at_b
            at_a *= weight if weight > 0.0 else 0.5
        b, at_b = middle, at_middle
        if abs(b - a) <= 4e-16 * (abs(a) + abs(b)) or abs(b - a) < 1e-300:
            break
    return b


def _gauss_legendre(count: int) -> tuple[tuple[float, float], ...]:
    """Points and weights on -1..1, by Newton on the Legendre polynomial (DLMF 3.5(v))."""
    pairs = []
    for index in range(count):
        x = math.cos(math.pi * (index + 0.75) / (count + 0.5))
        slope = 1.0
        for _ in range(100):
            before, here = 1.0, x
            for order in range(2, count + 1):
                before, here = here, ((2 * order - 1) * x * here - (order - 1) * before) / order
            slope = count * (x * here - before) / (x * x - 1.0)
            change = here / slope
            x -= change
            if abs(change) < 1e-15:
                break
        pairs.append((x, 2.0 / ((1.0 - x * x) * slope * slope)))
    return tuple(pairs)


_POINTS = _gauss_legendre(24)


def integral(function: Callable[[float], float], low: float, high: float) -> float:
    """Integral of a smooth function between two points, by 24-point Gauss-Legendre quadrature.

    >>> round(integral(math.sin, 0.0, math.pi), 12)
    2.0
    """
    half, middle = 0.5 * (high - low), 0.5 * (high + low)
    return half * sum(weight * function(middle + half * x) for x, weight in _POINTS)
