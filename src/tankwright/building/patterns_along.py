"""Where along a pipe readings fall: at one place, or more and more towards the far end."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median
from typing import Final

LEAST: Final = 5
"""Readings of one pipe from which an order along it can be told."""
SURE: Final = 16.0
"""By how much the squares must fall for a step or a slope to be believed: four standard deviations."""
CAPPED: Final = 9.0
"""Square of a distance beyond which one reading counts no more: a clogged tap is no step."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """A fall after reading number `before`, from `near` to `far`; `gradual` where an even slope fits better.

    `model` is what the fall makes of each reading.
    """

    before: int
    near: float
    far: float
    gradual: bool
    model: list[float]


def far_end(along: Sequence[float], shares: Sequence[float], sigmas: Sequence[float]) -> Step | None:
    """The fall of readings in the order of their pipe; None where none is sure.

    >>> found = far_end(range(8), [1, 1.01, 0.99, 1, 0.7, 0.71, 0.69, 0.7], [0.02] * 8)
    >>> (found.before, found.gradual, round(found.far, 2)) if found else None
    (3, False, 0.7)
    >>> far_end(range(8), [1, 1.01, 0.2, 1, 0.99, 1, 1.01, 1], [0.02] * 8) is None
    True
    """
    if len(shares) < LEAST or len(set(along)) < LEAST:
        return None

    def cost(model: Sequence[float]) -> float:
        return sum(
            min(((share - one) / sigma) ** 2, CAPPED)
            for share, one, sigma in zip(shares, model, sigmas, strict=True)
        )

    even = cost([median(shares)] * len(shares))
    steps = []
    for after in range(2, len(shares) - 1):
        near, far = median(shares[:after]), median(shares[after:])
        model = [near] * after + [far] * (len(shares) - after)
        steps.append((cost(model), after, near, far, model))
    best, after, near, far, model = min(steps)
    if not far < near:
        return None
    line = _line(along, shares)
    sloped = cost(line)
    if even - min(best, sloped) < SURE:
        return None
    if sloped < best - 4.0:
        near, far, model = line[0], line[-1], line
    return Step(before=after - 1, near=near, far=far, gradual=sloped < best - 4.0, model=model)


def _line(along: Sequence[float], shares: Sequence[float]) -> list[float]:
    """A straight line by the median of all pairs (Theil and Sen)."""
    slopes = [
        (shares[j] - shares[i]) / (along[j] - along[i])
        for i in range(len(along))
        for j in range(i)
        if along[j] != along[i]
    ]
    slope = median(slopes)
    base = median(share - slope * place for share, place in zip(shares, along, strict=True))
    return [base + slope * place for place in along]
