"""What readings say of the values a plan assumes: fitted, or left as they were and why. Frozen."""

from __future__ import annotations

from dataclasses import dataclass

from tankwright.catalogue.assumption import Assumption
from tankwright.finding import Finding


@dataclass(frozen=True, slots=True, kw_only=True)
class FittedValue:
    """One value the readings determine. `standard` is its standard uncertainty, `low` to `high` the 95 % interval.

    `in_band` is False when the value lies outside the band it was assumed to lie in.
    """

    row: Assumption
    before: float
    value: float
    standard: float
    low: float
    high: float
    in_band: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptValue:
    """One value the readings do not determine, kept as assumed.

    `beside` is the fitted value it cannot be told from, "" where the readings hardly feel it. `would` is the point
    not yet read that would tell most of it, "" where none would tell enough. `beyond`: the
    readings asked for more than it can be.
    """

    row: Assumption
    value: float
    beside: str
    would: str
    beyond: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Fitted:
    """The outcome of a fit. Without `converged` no value is given; `why_not` says what was in the way.

    `chi_square` over `freedom` is near 1 where the readings scatter as their tolerances say; where it is well above,
    uncertainties were widened by its root (`widened`). `set_aside` are readings the rest contradicts, left out.
    `condition` is the ratio of the best to the worst determined direction. `misfit` is the root mean square distance
    of the readings from what is expected, in standard tolerances, before and after.
    """

    values: tuple[FittedValue, ...]
    kept: tuple[KeptValue, ...]
    readings: int
    freedom: int
    chi_square: float
    widened: float
    set_aside: tuple[str, ...]
    condition: float
    misfit: tuple[float, float]
    converged: bool
    why_not: str
    evaluations: int
    findings: tuple[Finding, ...]
