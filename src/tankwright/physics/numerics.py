"""Two small tools of the trade, so that no heavy library is needed at run time: a root and an integral."""

from __future__ import annotations

import math
from collections.abc import Callable


def root(function: Callable[[float], float], low: float, high: float) -> float:
    """Where a continuous function crosses zero between two points of opposite sign.

    Chandrupatla's method: inverse quadratic steps where they can be trusted, bisection elsewhere, never outside the
    bracket. Raises ValueError when both ends have the same sign.

    Source: T. R. Chandrupatla (1997), Advances in Engineering Software 28(3), 145-149.

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
    share = 0.5
    for _ in range(300):
        here = min(max(a + share * (b - a), min(a, b)), max(a, b))
        at_here = function(here)
        if (at_here > 0.0) == (at_a > 0.0):
            old, at_old = a, at_a
        else:
            old, at_old, b, at_b = b, at_b, a, at_a
        a, at_a = here, at_here
        best, at_best = (a, at_a) if abs(at_a) < abs(at_b) else (b, at_b)
        closest = (4e-16 * abs(best) + 1e-300) / max(abs(b - a), 1e-300)
        if at_best == 0.0 or closest > 0.5:
            return best
        share = _trusted_share((a, b, old), (at_a, at_b, at_old))
        share = min(1.0 - closest, max(closest, share))
    return best


def _trusted_share(x: tuple[float, float, float], y: tuple[float, float, float]) -> float:
    """How far along the bracket the next try lies: the inverse quadratic's answer where it is monotone, else half."""
    (a, b, old), (at_a, at_b, at_old) = x, y
    if at_old in (at_b, at_a) or at_a == at_b or old == b:
        return 0.5
    place, value = (a - b) / (old - b), (at_a - at_b) / (at_old - at_b)
    if not (value * value < place and (1.0 - value) ** 2 < 1.0 - place):
        return 0.5
    first = at_a / (at_b - at_a) * at_old / (at_b - at_old)
    return first + (old - a) / (b - a) * at_a / (at_old - at_a) * at_b / (at_old - at_b)


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

    Source: NIST Digital Library of Mathematical Functions, section 3.5(v); from memory.

    >>> round(integral(math.sin, 0.0, math.pi), 12)
    2.0
    """
    half, middle = 0.5 * (high - low), 0.5 * (high + low)
    return half * sum(weight * function(middle + half * x) for x, weight in _POINTS)
