"""Sheets, the pieces cut from them, and a plan of cutting. Frozen, in SI units; prices in the currency of the job."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from tankwright.finding import Finding
from tankwright.units import Metre, SquareMetre

Measure = Literal["sheets", "price", "area"]
"""What a plan has least of: sheets where there is one kind to buy, else their price, or their area without prices."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetPiece:
    """So many equal pieces. `turns` is False where the grain or a foil must run along the sheet."""

    width: Metre
    height: Metre
    count: int = 1
    label: str = ""
    turns: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetStock:
    """A size of sheet. `count` bounds how many there are, None for as many as one buys. An `offcut` is on hand: it
    costs nothing, and its edges are not trimmed."""

    width: Metre
    height: Metre
    name: str = ""
    price: float | None = None
    count: int | None = None
    offcut: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """A piece on a sheet, from the sheet's lower left corner; width and height as it lies there."""

    label: str
    x: Metre
    y: Metre
    width: Metre
    height: Metre
    turned: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetCut:
    """One cut from edge to edge of what is on the bench then: upright at x = `at` from y = `start` to `end`, or
    level at y = `at` from x = `start` to `end`. The saw takes its kerf beyond `at`."""

    upright: bool
    at: Metre
    start: Metre
    end: Metre


@dataclass(frozen=True, slots=True, kw_only=True)
class Offcut:
    """What is left of a sheet and worth keeping."""

    x: Metre
    y: Metre
    width: Metre
    height: Metre


@dataclass(frozen=True, slots=True, kw_only=True)
class CutSheet:
    """One sheet: its pieces, its cuts in the order they are made (after its edges are trimmed), what is left."""

    stock: SheetStock
    trim: Metre
    pieces: tuple[Placed, ...]
    cuts: tuple[SheetCut, ...]
    offcuts: tuple[Offcut, ...]

    @property
    def used(self) -> SquareMetre:
        """The area of its pieces."""
        return sum(one.width * one.height for one in self.pieces)


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetPlan:
    """How pieces are cut from sheets.

    `value` is what the plan has least of, in the words of `measure`; `lower_bound` is what no plan goes under, and
    `gap` how far apart the two are, as a share of `value`. `proved_optimal` only where they meet. `cost` is None
    where a price is missing. `waste` is the share of the sheets that becomes neither piece nor offcut. `unplaced`
    are labels of pieces that no sheet holds.
    """

    sheets: tuple[CutSheet, ...] = ()
    kerf: Metre = 0.0
    cost: float | None = None
    measure: Measure = "sheets"
    value: float = 0.0
    lower_bound: float = 0.0
    gap: float = 0.0
    proved_optimal: bool = False
    how: str = ""
    waste: float = 0.0
    unplaced: tuple[str, ...] = ()
    findings: tuple[Finding, ...] = ()

    @property
    def counts(self) -> tuple[tuple[SheetStock, int], ...]:
        """How many of each size, in the order they are used."""
        kinds = dict.fromkeys(one.stock for one in self.sheets)
        return tuple((kind, sum(one.stock == kind for one in self.sheets)) for kind in kinds)
