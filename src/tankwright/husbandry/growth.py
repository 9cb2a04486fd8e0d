"""Growth of a brood: curves through what was measured, how fast it grows, and when an asymptote cannot be known."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final, Literal

from tankwright.husbandry.brood_course import DAY
from tankwright.husbandry.records import Event
from tankwright.units import convert

Curve = Literal["von Bertalanffy", "Gompertz", "logistic"]
Spread = Literal["even", "proportional"]
SHORT_OF: Final = 0.6
"""Data that stop below this share of a fitted asymptote do not tell it: it is refused. Own choice."""
PARAMETERS: Final[dict[Curve, tuple[str, str, str]]] = {
    "von Bertalanffy": ("asymptote", "rate", "start"),
    "Gompertz": ("asymptote", "displacement", "base"),
    "logistic": ("asymptote", "middle", "scale"),
}
"""Asymptote L in the unit of the data; others: K per day and the day of size nothing; b2 and b3 of L exp(-b2 b3^t); the
day of half the asymptote and the days from there to 73 % of it."""
FEWEST: Final = 4  # one more than a curve has parameters
_LENGTH: Final = "length"


@dataclass(frozen=True, slots=True, kw_only=True)
class Sized:
    """A size measured at a day (age): a length in m, or a mass in kg. `number` is how many fish it is the mean of."""

    day: float
    size: float
    number: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class GrowthFit:
    """A curve through sizes. `values` are in the order of `PARAMETERS`, `errors` their standard errors.

    `refused` says why the asymptote is not to be believed, "" where it is; the curve then holds for `days` only.
    `scatter` is the residual standard error: in the unit of the data, or a share of the size where spread is
    proportional.
    """

    curve: Curve
    values: tuple[float, float, float]
    errors: tuple[float, float, float]
    scatter: float
    days: tuple[float, float]
    refused: str = ""

    def at(self, day: float) -> float:
        """The size at a day."""
        return float(_CURVES[self.curve](day, *self.values))

    @property
    def asymptote(self) -> float | None:
        """The size it grows to; None where the data do not tell."""
        return None if self.refused else self.values[0]


def growth_fit(
    sizes: Sequence[Sized], curve: Curve = "Gompertz", *, spread: Spread = "proportional"
) -> GrowthFit | str:
    """A curve by least squares through at least four sizes, or why there is none.

    `spread` says how sizes scatter: by the same amount at all ages, or in proportion to size, as fish do.
    Source: von Bertalanffy 1938, Gompertz and logistic curves in the forms of Pinheiro and Bates 2000, from memory.

    >>> growth_fit([Sized(day=0, size=0.004)])
    'a curve needs sizes of at least 4 days; there are 1'
    >>> grown = [Sized(day=d, size=0.03 * (1 - math.exp(-0.02 * (d + 8)))) for d in range(0, 120, 10)]
    >>> round(growth_fit(grown, "von Bertalanffy").asymptote, 4)
    0.03
    """
    points = sorted((one for one in sizes if one.size > 0.0), key=lambda one: one.day)
    days = sorted({one.day for one in points})
    if len(days) < FEWEST:
        return f"a curve needs sizes of at least {FEWEST} days; there are {len(days)}"
    import numpy as np  # noqa: PLC0415 - slow to load, and not always needed
    from scipy.optimize import least_squares  # noqa: PLC0415 - as above

    t = np.array([one.day for one in points])
    y = np.array([one.size for one in points])
    heavy = np.sqrt([float(max(one.number, 1)) for one in points])
    unit, across = float(y.max()), float(t.max() - t.min())

    def away(at: Any) -> Any:
        fitted = _CURVES[curve](t, *at)
        if spread == "proportional":
            return heavy * (np.log(np.maximum(fitted, 1e-9 * unit)) - np.log(y))
        return heavy * (fitted - y) / unit

    best = None
    with np.errstate(all="ignore"):
        for start in _starts(curve, unit, float(t.min()), across):
            try:
                # x_scale "jac": parameters of size 1e-2 and 1e5 stand side by side
                got = least_squares(
                    away, start, method="lm", xtol=1e-13, ftol=1e-13, gtol=1e-13, max_nfev=4000
                )
            except ValueError:
                continue
            if np.all(np.isfinite(got.x)) and (best is None or got.cost < best.cost):
                best = got
    if best is None or not best.success:
        return "no curve of that form goes through these sizes"
    free = max(len(points) - 3, 1)
    scatter = math.sqrt(2.0 * float(best.cost) / free)
    try:
        covered = np.linalg.inv(best.jac.T @ best.jac) * scatter**2
        errors = tuple(float(one) for one in np.sqrt(np.maximum(np.diag(covered), 0.0)))
    except np.linalg.LinAlgError:
        errors = (math.inf, math.inf, math.inf)
    values = tuple(float(one) for one in best.x)
    told = scatter if spread == "proportional" else scatter * unit
    return GrowthFit(
        curve=curve, values=(values[0], values[1], values[2]), errors=(errors[0], errors[1], errors[2]),
        scatter=told, days=(float(t.min()), float(t.max())), refused=_refusal(values[0], errors[0], unit),
    )  # fmt: skip


def _refusal(asymptote: float, error: float, largest: float) -> str:
    if not asymptote > 0.0 or not math.isfinite(error) or largest < SHORT_OF * asymptote:
        share = largest / asymptote if asymptote > 0.0 else 0.0
        return (
            f"the largest size measured is {share:.0%} of the size the curve would end at; below {SHORT_OF:.0%}"
            " the data do not tell where growth ends"
        )
    return ""


def _von_bertalanffy(t: Any, asymptote: float, rate: float, start: float) -> Any:
    import numpy as np  # noqa: PLC0415 - slow to load, and not always needed

    return asymptote * (1.0 - np.exp(-rate * (t - start)))


def _gompertz(t: Any, asymptote: float, displacement: float, base: float) -> Any:
    import numpy as np  # noqa: PLC0415 - as above

    return asymptote * np.exp(-displacement * np.abs(base) ** t)


def _logistic(t: Any, asymptote: float, middle: float, scale: float) -> Any:
    import numpy as np  # noqa: PLC0415 - as above

    return asymptote / (1.0 + np.exp((middle - t) / scale))


_CURVES: Final[dict[Curve, Callable[..., Any]]] = {
    "von Bertalanffy": _von_bertalanffy, "Gompertz": _gompertz, "logistic": _logistic,
}  # fmt: skip


def _starts(
    curve: Curve, largest: float, first: float, across: float
) -> Iterable[tuple[float, float, float]]:
    """Where to begin: asymptotes from just above the largest size to four times it."""
    for more in (1.05, 1.5, 4.0):
        top = largest * more
        for fast in (1.0, 3.0):
            if curve == "von Bertalanffy":
                yield top, fast / across, first - 0.1 * across
            elif curve == "Gompertz":
                yield top, 2.0 * fast, math.exp(-fast / across)
            else:
                yield top, first + across / (1.0 + fast), across / (2.0 + 2.0 * fast)


def specific_rate(first: Sized, last: Sized) -> float:
    """How fast size grows, as a share a day: ln(later / earlier) / days. Raises ValueError for one day or no size.

    Of a mass it is the specific growth rate of fish culture, told in percent a day there. Source: common practice.

    >>> round(100 * specific_rate(Sized(day=0, size=1.0), Sized(day=84, size=4.2)), 2)
    1.71
    """
    if not (last.day > first.day and first.size > 0.0 and last.size > 0.0):
        raise ValueError("two sizes above nothing, on two days in their order")
    return math.log(last.size / first.size) / (last.day - first.day)


def daily_gain(sizes: Sequence[Sized]) -> float | None:
    """How much size grows a day, by a straight line through all sizes; None for fewer than two days.

    Source: least squares. Fry of the first weeks grow about straight; zebrafish at the lowest density grew from
    7.4 to 15.1 mm in 20 days (Hazlerigg et al. 2012).

    >>> round(daily_gain([Sized(day=0, size=7.4e-3), Sized(day=20, size=15.1e-3)]) * 1e3, 3)
    0.385
    """
    weight = float(sum(one.number for one in sizes))
    if len({one.day for one in sizes}) < 2 or weight <= 0.0:
        return None
    middle = sum(one.day * one.number for one in sizes) / weight
    height = sum(one.size * one.number for one in sizes) / weight
    apart = sum(one.number * (one.day - middle) ** 2 for one in sizes)
    return sum(one.number * (one.day - middle) * (one.size - height) for one in sizes) / apart


def sizes_of(
    events: Iterable[Event], stock: str, origin: datetime, quantity: str = _LENGTH
) -> tuple[Sized, ...]:
    """Sizes measured of a stock with their age in days, in the order of age: m or kg.

    `quantity` is "length" (mm when no unit is said) or "mass" (g); what is read in another unit is left out.
    """
    made = []
    for event in events:
        if event.kind != "measured" or event.stock != stock:
            continue
        told = event.details.get("number")
        number = told if isinstance(told, int) and told > 0 else 1
        for seen in event.observed:
            factor = _to_si(quantity, seen.unit) if seen.quantity == quantity else None
            if (
                seen.quantity == quantity
                and seen.value is not None
                and factor is not None
                and seen.value > 0.0
            ):
                age = (event.happened - origin).total_seconds() / DAY
                made.append(Sized(day=age, size=seen.value * factor, number=number))
    return tuple(sorted(made, key=lambda one: one.day))


_UNITS: Final = {
    "length": ("m", "mm", frozenset({"mm", "cm", "m", "in"})),
    "mass": ("kg", "g", frozenset({"mg", "g", "kg"})),
}
"""Of a quantity: its SI unit, the unit it is in when nothing is said, and those that are read."""


def _to_si(quantity: str, unit: str) -> float | None:
    si, usual, read = _UNITS[quantity]
    told = unit.strip().lower() or usual
    return 1.0 / convert(1.0, si, told) if told in read else None
