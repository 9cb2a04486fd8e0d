"""How broods differ: the brood is the unit, so few broods say little, however many fish were in them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from tankwright.husbandry.survival import USUAL_LEVEL

DRAWS: Final = 4000
"""Times the broods are drawn anew: the ends of a 95 % interval then wander by less than a hundredth. Own choice."""
FEWEST: Final = 2
"""Broods below which nothing can be said of how they differ."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BroodShare:
    """Of so many fish of a brood so many were alive. Both may be halves of bounds; `of` above nothing."""

    alive: float
    of: float

    @property
    def share(self) -> float:
        """The share alive."""
        return self.alive / self.of


@dataclass(frozen=True, slots=True, kw_only=True)
class AcrossBroods:
    """The share alive over several broods. `low` and `high` are None for one brood alone: nothing is known then.

    `design_effect` is how many times the variance is that of as many fish drawn one by one.
    """

    broods: int
    share: float
    low: float | None = None
    high: float | None = None
    standard_error: float | None = None
    design_effect: float | None = None


def ratio_estimate(broods: Sequence[BroodShare], *, level: float = USUAL_LEVEL) -> AcrossBroods:
    """All alive over all there were, with an interval by Student's t on broods - 1 degrees.

    Variance m / (m - 1) sum w^2 (p - mean)^2, w the part of all fish a brood had. The ends are held within 0 to 1.
    Raises ValueError for no brood, or one of no fish. Source: ratio estimator over clusters of unequal size (Cochran
    1977), from memory.

    >>> seen = ratio_estimate([BroodShare(alive=30, of=100), BroodShare(alive=60, of=100), BroodShare(alive=45, of=90)])
    >>> round(seen.share, 3), round(seen.low, 2), round(seen.high, 2)
    (0.466, 0.07, 0.86)
    >>> ratio_estimate([BroodShare(alive=30, of=100)]).low is None
    True
    """
    share, fish = _pooled(broods)
    many = len(broods)
    if many < FEWEST:
        return AcrossBroods(broods=many, share=share)
    spread = sum((one.of / fish) ** 2 * (one.share - share) ** 2 for one in broods)
    error = math.sqrt(many / (many - 1) * spread)
    from scipy.special import stdtrit  # noqa: PLC0415 - slow to load, and not always needed

    wide = float(stdtrit(many - 1, (1.0 + level) / 2.0)) * error
    alone = share * (1.0 - share) / fish
    return AcrossBroods(
        broods=many, share=share, low=max(share - wide, 0.0), high=min(share + wide, 1.0), standard_error=error,
        design_effect=error**2 / alone if alone > 0.0 else None,
    )  # fmt: skip


def drawn_broods(
    broods: Sequence[BroodShare], seed: int, *, level: float = USUAL_LEVEL, draws: int = DRAWS
) -> AcrossBroods:
    """The same by drawing whole broods anew with their fish, `draws` times from the seed that is handed in.

    Narrower than `ratio_estimate` for few broods: it knows nothing of broods unlike those seen. Raises ValueError like
    it. Source: cluster bootstrap (Davison and Hinkley 1997), from memory.

    >>> seen = drawn_broods([BroodShare(alive=n, of=100) for n in (20, 40, 50, 60, 75, 80)], 1)
    >>> 0.3 < seen.low < seen.share < seen.high < 0.75
    True
    """
    share, fish = _pooled(broods)
    many = len(broods)
    if many < FEWEST:
        return AcrossBroods(broods=many, share=share)
    import numpy as np  # noqa: PLC0415 - slow to load, and not always needed

    chosen = np.random.default_rng(seed).integers(0, many, size=(draws, many))
    alive = np.array([one.alive for one in broods])[chosen].sum(axis=1)
    of = np.array([one.of for one in broods])[chosen].sum(axis=1)
    again = alive / of
    low, high = np.quantile(again, [(1.0 - level) / 2.0, (1.0 + level) / 2.0])
    error, alone = float(again.std(ddof=1)), share * (1.0 - share) / fish
    return AcrossBroods(
        broods=many, share=share, low=float(low), high=float(high), standard_error=error,
        design_effect=error**2 / alone if alone > 0.0 else None,
    )  # fmt: skip


def _pooled(broods: Sequence[BroodShare]) -> tuple[float, float]:
    if not broods:
        raise ValueError("no brood, no share")
    if any(not one.of > 0.0 or not 0.0 <= one.alive <= one.of for one in broods):
        raise ValueError("of each brood there are fish, and no more of them alive than there were")
    fish = sum(one.of for one in broods)
    return sum(one.alive for one in broods) / fish, fish
