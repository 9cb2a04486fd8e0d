"""What is cut from what: stock, pieces, patterns and the plan of the cuts. Frozen, in SI units.

Within the engine a job is whole numbers (`Job`): lengths in units of a grid so fine that a tenth of a millimetre and a
sixty-fourth of an inch are both whole, prices in ten-thousandths. So nothing is lost to rounding, and what is said to
be proved is proved of the very lengths that were asked for.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from tankwright.finding import Finding
from tankwright.units import Metre

Objective = Literal["sticks", "length", "cost"]
"""What is made least: bought sticks (one length, no price), bought length (no prices), or what it costs."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stock:
    """A length that can be bought, or an offcut on hand. `count` is how many there are; None, as many as wanted."""

    length: Metre
    name: str = ""
    price: float | None = None
    count: int | None = None
    offcut: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """So many pieces of one length; `label` is written on each, `line` is that of the owner's text."""

    length: Metre
    count: int = 1
    label: str = ""
    line: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """One piece as it is cut from a stick, with the mark it bears."""

    length: Metre
    label: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pattern:
    """One way to cut a stick, done `times`, the longest piece first.

    `rest` is what is left in one length behind the last cut; `waste` is all of the stick that is in no piece: trim,
    saw cuts and the rest.
    """

    stock: Stock
    pieces: tuple[Cut, ...]
    times: int
    rest: Metre
    waste: Metre


@dataclass(frozen=True, slots=True, kw_only=True)
class CutPlan:
    """The plan of the cuts. `value` is what was made least and `lower_bound` what no plan can be under, both in
    sticks, metres or money as `objective` says.

    `sticks` counts what is bought, `offcuts` what is used of those on hand; `length` is the bought length. `how` says
    which step proved it, or which could not. Without `patterns` the job could not be done; `findings` say why.
    """

    objective: Objective
    kerf: Metre
    trim: Metre
    patterns: tuple[Pattern, ...] = ()
    sticks: int = 0
    offcuts: int = 0
    length: Metre = 0.0
    cost: float | None = None
    value: float = 0.0
    lower_bound: float = 0.0
    proved_optimal: bool = False
    how: str = ""
    findings: tuple[Finding, ...] = ()

    @property
    def gap(self) -> float:
        """By how much the plan may be over the best one, as a share of the bound; 0 when it is proved.

        >>> CutPlan(objective="sticks", kerf=0.0, trim=0.0, value=21.0, lower_bound=20.0).gap
        0.05
        """
        if self.proved_optimal or self.value <= self.lower_bound:
            return 0.0
        return (self.value - self.lower_bound) / self.lower_bound if self.lower_bound > 0 else 1.0


# --- within the engine ------------------------------------------------------------------------------------------

Filled = tuple[tuple[int, int], ...]
"""How many of which length are cut from one stick: (place of the length in the job, how many), in that order."""

Answer = dict[tuple[int, Filled], int]
"""How often each (place of the stock in the job, what is cut from it) is cut."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """A job in whole numbers: each length with its saw cut, longest first, and each stock with one saw cut more.

    One cut a piece: n pieces take n saw cuts unless the last ends where the stick does, so a stick of S holds them
    when their lengths and cuts come to no more than S and one cut. `costs` are what is made least, an offcut 0;
    `counts` are how many there are of a stock, None without end.
    """

    lengths: tuple[int, ...]
    demand: tuple[int, ...]
    sizes: tuple[int, ...]
    costs: tuple[int, ...]
    counts: tuple[int | None, ...]

    def used(self, filled: Filled) -> int:
        """What is cut from a stick, in units of the grid."""
        return sum(self.lengths[place] * many for place, many in filled)

    def cost(self, answer: Mapping[tuple[int, Filled], int]) -> int:
        """What an answer costs."""
        return sum(self.costs[stock] * times for (stock, _), times in answer.items())

    def rank(self, answer: Mapping[tuple[int, Filled], int]) -> tuple[int, int, int]:
        """Answers in order, the best first: cost, then bought sticks, then what is not cut from offcuts."""
        bought = sum(times for (stock, _), times in answer.items() if self.costs[stock])
        from_offcuts = sum(
            self.used(filled) * times for (stock, filled), times in answer.items() if not self.costs[stock]
        )
        return self.cost(answer), bought, -from_offcuts


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """What the steps of one search share: how long they may go on, whom they tell, and who looks at the clock.

    `clock` gives seconds that go by. Without one each step may take the whole of `until` for itself.
    """

    until: float = 0.0
    clock: Callable[[], float] | None = None
    progress: Callable[[str], None] | None = None

    def left(self) -> float:
        """Seconds left.

        >>> Work(until=5.0, clock=lambda: 3.0).left(), Work(until=5.0).left()
        (2.0, 5.0)
        """
        return self.until if self.clock is None else self.until - self.clock()

    def tell(self, what: str) -> None:
        """Say what is done now."""
        if self.progress is not None:
            self.progress(what)


NANOMETRES_A_METRE = 10**9
_GRID = 125  # nanometres: an eighth of a micrometre; a sixty-fourth of an inch is 3175 of them


def on_grid(length: Metre) -> int:
    """A length in units of the grid. Exact for tenths of a millimetre and sixty-fourths of an inch.

    >>> on_grid(0.0001), on_grid(0.0254 / 64)
    (800, 3175)
    """
    return round(Fraction(length) * NANOMETRES_A_METRE / _GRID)


def off_grid(units: int) -> Metre:
    """The length of so many units of the grid.

    >>> off_grid(8_000_000)
    1.0
    """
    return units * _GRID / NANOMETRES_A_METRE


def in_ten_thousandths(price: float) -> int:
    """A price as a whole number.

    >>> in_ten_thousandths(8.20)
    82000
    """
    return int((Decimal(str(price)) * 10_000).to_integral_value())
