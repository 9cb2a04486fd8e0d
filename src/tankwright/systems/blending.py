"""Waters poured together: what the blend is, what its pH is at once and after standing, and the cheapest blend
that meets a target.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import combinations
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tankwright.physics.carbonate_balance import (
    inorganic_carbon,
    ph_in_equilibrium_with_air,
    ph_of_closed_water,
)
from tankwright.physics.ranges import require
from tankwright.physics.water_mix import ionic_strength_from_conductivity
from tankwright.units import Dimensionless, Kelvin, KilogramPerCubicMetre, MolePerCubicMetre, SiemensPerMetre

KEPT: Final = ("hardness", "alkalinity", "conductivity")
MOST_WATERS: Final = 4
_SLACK: Final = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Water:
    """A water as a keeper measures it; hardness and alkalinity as CaCO3, conductivity at 25 °C."""

    temperature: Kelvin
    ph: Dimensionless
    hardness: KilogramPerCubicMetre
    alkalinity: KilogramPerCubicMetre
    conductivity: SiemensPerMetre

    @property
    def carbon(self) -> MolePerCubicMetre:
        """All carbon of carbonic acid and its ions."""
        return inorganic_carbon(
            ph=self.ph,
            alkalinity=self.alkalinity,
            temperature=self.temperature,
            ionic_strength=ionic_strength_from_conductivity(self.conductivity),
            hardness=self.hardness,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Blend:
    """A blend: `water` as it is when just poured together, `standing_ph` once it has settled with the air."""

    water: Water
    carbon: MolePerCubicMetre
    standing_ph: Dimensionless


def blend(
    waters: Sequence[Water],
    shares: Sequence[Dimensionless],
    *,
    standing_temperature: Kelvin | None = None,
    carbon_dioxide_share: Dimensionless = 420e-6,
) -> Blend:
    """Waters poured together in shares that add up to 1.

    Hardness, alkalinity, carbon and heat add up. Conductivity is taken as if it did: the true one is up to
    6 % higher at equal shares, 11 % for a little very hard water in pure. The pH at once is that of a closed
    vessel; a blend over-rich in lime keeps it all. It stands at its own temperature when no other is said.

    >>> tap = Water(temperature=288.15, ph=7.4, hardness=0.3, alkalinity=0.25, conductivity=0.06)
    >>> pure = Water(temperature=288.15, ph=6.0, hardness=0.002, alkalinity=0.003, conductivity=0.001)
    >>> half = blend((tap, pure), (0.5, 0.5))
    >>> round(half.water.ph, 2), round(half.standing_ph, 2)
    (7.3, 8.48)
    """
    require("shares", sum(shares), 1.0 - _SLACK, 1.0 + _SLACK, "1")
    for share in shares:
        require("share", share, 0.0, 1.0, "1")

    def mean(values: Sequence[float]) -> float:
        return math.fsum(share * value for share, value in zip(shares, values, strict=True))

    temperature = mean([water.temperature for water in waters])
    carbon = mean([water.carbon for water in waters])
    kept = {name: mean([getattr(water, name) for water in waters]) for name in KEPT}
    strength = ionic_strength_from_conductivity(kept["conductivity"])
    ph = ph_of_closed_water(
        alkalinity=kept["alkalinity"], carbon=carbon, temperature=temperature, ionic_strength=strength,
        hardness=kept["hardness"],
    )  # fmt: skip
    standing = ph_in_equilibrium_with_air(
        alkalinity=kept["alkalinity"],
        temperature=temperature if standing_temperature is None else standing_temperature,
        carbon_dioxide_share=carbon_dioxide_share, ionic_strength=strength, hardness=kept["hardness"],
    )  # fmt: skip
    return Blend(water=Water(temperature=temperature, ph=ph, **kept), carbon=carbon, standing_ph=standing)


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """From where to where a quantity of the blend may lie."""

    low: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Miss:
    """A bound the blend nearest to the target breaks: `by` is how far `value` lies beyond `limit`."""

    quantity: str
    bound: str
    limit: float
    value: float
    by: float


class BlendStatus(StrEnum):
    """Whether the target can be reached with these waters."""

    REACHED = "reached"
    OUT_OF_REACH = "out of reach"


@dataclass(frozen=True, slots=True, kw_only=True)
class BestBlend:
    """Shares in the order of the waters, cost of a m3 and what the blend has.

    Out of reach, it is the blend whose worst miss is smallest, then the sum of its misses (each quantity
    measured by how far the waters differ in it), then its cost; `misses` tells every bound it breaks.
    """

    status: BlendStatus
    shares: tuple[Dimensionless, ...]
    cost: float
    values: Mapping[str, float]
    misses: tuple[Miss, ...]


def best_blend(waters: Sequence[Water], costs: Sequence[float], target: Mapping[str, Band]) -> BestBlend:
    """The cheapest blend of one to four waters whose hardness, alkalinity and conductivity lie in bands.

    `costs` are per m3; `target` has a band for any of the names in `KEPT`. Of blends that cost the same the one
    with most of the water named first is taken.

    >>> tap = Water(temperature=288.15, ph=7.4, hardness=0.3, alkalinity=0.25, conductivity=0.06)
    >>> pure = Water(temperature=288.15, ph=6.0, hardness=0.0, alkalinity=0.0, conductivity=0.0)
    >>> best_blend((tap, pure), (2.0, 12.0), {"hardness": Band(low=0.06, high=0.09)}).shares
    (0.3, 0.7)
    """
    require("waters", len(waters), 1, MOST_WATERS, "1")
    for name, band in target.items():
        require(name, band.low, 0.0, band.high, "1")
    bounds = [_Bound.of(waters, name, bound, band) for name, band in target.items() for bound in _BOUNDS]
    cost = np.array(costs, dtype=float)
    movable = [bound for bound in bounds if np.ptp(bound.row) > 0.0]  # where all are alike no share helps
    shares = _cheapest(cost, movable, allowed=_smallest_miss(len(waters), movable))
    values = {name: float(shares @ [getattr(water, name) for water in waters]) for name in KEPT}
    misses = tuple(bound.miss(values[bound.quantity]) for bound in bounds if bound.broken(values))
    return BestBlend(
        status=BlendStatus.OUT_OF_REACH if misses else BlendStatus.REACHED,
        shares=tuple(float(f"{share:.12g}") for share in shares),
        cost=float(shares @ cost),
        values=values,
        misses=misses,
    )


_BOUNDS: Final = ("low", "high")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Bound:
    """One end of a band as `row` . shares <= `most`, in units of how far the waters differ."""

    quantity: str
    bound: str
    limit: float
    spread: float
    row: NDArray[np.float64]
    most: float

    @classmethod
    def of(cls, waters: Sequence[Water], quantity: str, bound: str, band: Band) -> _Bound:
        values = np.array([getattr(water, quantity) for water in waters])
        limit = band.low if bound == "low" else band.high
        # waters all alike in it: no blend changes it, so any measure serves
        spread = float(np.ptp(values)) or max(float(values[0]), limit) or 1.0
        sign = -1.0 if bound == "low" else 1.0
        return cls(
            quantity=quantity, bound=bound, limit=limit, spread=spread, row=sign * values / spread,
            most=sign * limit / spread,
        )  # fmt: skip

    def broken(self, values: Mapping[str, float]) -> bool:
        return self._beyond(values[self.quantity]) > 10.0 * _SLACK * self.spread

    def miss(self, value: float) -> Miss:
        return Miss(
            quantity=self.quantity, bound=self.bound, limit=self.limit, value=value, by=self._beyond(value)
        )

    def _beyond(self, value: float) -> float:
        return self.limit - value if self.bound == "low" else value - self.limit


def _cheapest(cost: NDArray[np.float64], bounds: Sequence[_Bound], *, allowed: float) -> NDArray[np.float64]:
    """Of the shares that break no bound by more than is allowed: least broken in sum, then cheapest."""
    count = len(cost)
    rows = np.array([bound.row for bound in bounds]).reshape(-1, count)
    most = np.array([bound.most for bound in bounds])
    # the sum of the misses bends where a bound is just met, so those lines make corners too
    corners = _corners(np.vstack([rows, rows]), np.concatenate([most + allowed, most]), count, len(bounds))
    missed = np.maximum(corners @ rows.T - most, 0.0).sum(axis=1)
    corners = corners[missed <= missed.min() + 10.0 * _SLACK]
    prices = corners @ cost
    near = corners[prices <= prices.min() + _SLACK * max(1.0, float(np.abs(cost).max()))]
    return np.array(max(near.tolist()))


def _smallest_miss(count: int, bounds: Sequence[_Bound]) -> float:
    """The least by which every bound must be let out for some blend to meet them all."""
    if not bounds:
        return 0.0
    rows = np.array([np.append(bound.row, -1.0) for bound in bounds] + [[0.0] * count + [-1.0]])
    most = np.array([bound.most for bound in bounds] + [0.0])
    return max(0.0, float(_corners(rows, most, count, len(rows))[:, -1].min()))


def _corners(
    rows: NDArray[np.float64], most: NDArray[np.float64], shares: int, binding: int
) -> NDArray[np.float64]:
    """Every point where enough lines rows . x = most cross and the first `shares` numbers are shares of a whole,
    if it also keeps rows . x <= most for the first `binding` rows.

    Few waters and few bounds: all corners are tried, which is exact and needs no solver.
    """
    size = rows.shape[1]
    whole = (np.arange(size) < shares).astype(float)
    lines = np.vstack([-np.eye(shares, size), rows])
    ends = np.concatenate([np.zeros(shares), most])
    crossing = list(combinations(range(len(lines)), size - 1))
    chosen = np.array(crossing, dtype=int).reshape(len(crossing), size - 1)
    systems = np.concatenate([np.broadcast_to(whole, (len(chosen), 1, size)), lines[chosen]], axis=1)
    right = np.concatenate([np.ones((len(chosen), 1)), ends[chosen]], axis=1)
    solvable = np.abs(np.linalg.det(systems)) > 1e-12
    found = np.linalg.solve(systems[solvable], right[solvable][..., None])[..., 0]
    kept = shares + binding
    inside = (found @ lines[:kept].T <= ends[:kept] + _SLACK).all(axis=1)
    corners = found[inside]
    return np.where((whole > 0.0) & (corners < 1e-12), 0.0, corners)  # no trace of a water left by rounding
