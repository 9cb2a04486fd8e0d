"""Boards, foam and glass cut from sheets, edge to edge: how many sheets, which pieces on which, in which order.

Inside, sizes are whole tenths of a millimetre: pieces, kerf and trim rounded up to them, sheets down, so that what
fits here fits on the bench. Every cut goes from edge to edge, as a score in glass must and a saw on a rail likes it.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from typing import Final

from tankwright.finding import Finding, Number, Severity
from tankwright.takeoff.sheet_bounds import least
from tankwright.takeoff.sheet_model import (
    CutSheet,
    Measure,
    Offcut,
    Placed,
    SheetCut,
    SheetPiece,
    SheetPlan,
    SheetStock,
)
from tankwright.takeoff.sheet_packing import Bin, Item, Laid, fits, pack
from tankwright.units import Metre, clip

__all__ = ["CutSheet", "Offcut", "Placed", "SheetCut", "SheetPiece", "SheetPlan", "SheetStock", "cut_sheets"]

TOO_LARGE: Final = "SHEET-01"
BAD_NUMBER: Final = "SHEET-02"
TOO_FEW: Final = "SHEET-03"
NO_PRICE: Final = "SHEET-04"
NOT_PROVED: Final = "SHEET-05"
MOST_PIECES: Final = 5_000
LEAST_OFFCUT: Final = 0.10
"""Both sides of an offcut worth keeping are at least this, in m. Common practice, no source."""

_TENTHS: Final = 10_000  # in a metre
_LONGEST: Final = 100.0  # m; no sheet is


def cut_sheets(
    pieces: Sequence[SheetPiece], stocks: Sequence[SheetStock], *, kerf: Metre, trim: Metre = 0.0
) -> SheetPlan:
    """The plan with the fewest sheets, or the cheapest mix of them, that the portfolio finds, and how far from proved.

    `kerf` is what a cut takes away (0 where glass is snapped), `trim` what is cut off every edge of a new sheet. What
    is wrong with a number, a piece that fits no sheet, and too few sheets come as findings; the rest is still cut.

    >>> plan = cut_sheets([SheetPiece(width=1.19, height=0.595, count=4, label="lid")],
    ...                   [SheetStock(width=2.4, height=1.2)], kerf=0.003)
    >>> len(plan.sheets), plan.proved_optimal, len(plan.sheets[0].cuts)
    (1, True, 5)
    """
    findings = list(_bad_numbers(pieces, stocks, kerf, trim))
    if findings:
        return SheetPlan(findings=tuple(findings), unplaced=_labels(pieces))
    saw = _up(kerf)
    measure = _measure(stocks)
    if measure == "area" and any(one.price is not None for one in stocks):
        findings.append(_no_price(stocks))
    bins = [_bin(number, one, saw, _up(trim), measure) for number, one in enumerate(stocks)]
    large = [one for one in pieces if not any(fits(_item(0, one, saw), kind) for kind in bins)]
    findings += [_too_large(one, stocks, trim) for one in large]
    items = [
        _item(number, one, saw)
        for number, one in enumerate(pieces)
        if one not in large
        for _ in range(one.count)
    ]
    bound, shown = least(items, bins)
    packing = pack(items, bins, bound)
    sheets = tuple(_drawn(laid, pieces, stocks, saw, trim) for laid in packing.sheets)
    if packing.left:
        findings.append(_too_few(len(packing.left), pieces[packing.left[0].of].label))
        bound, shown = 0.0, "there are too few sheets"
    proved = bool(items) and not packing.left and packing.cost <= bound + 1e-6
    if items and not proved and not packing.left:
        findings.append(_not_proved(packing.cost, bound, measure))
    left = Counter(pieces[one.of].label for one in packing.left)
    return SheetPlan(
        sheets=sheets,
        kerf=saw / _TENTHS,
        cost=_cost(sheets),
        measure=measure,
        value=packing.cost,
        lower_bound=min(bound, packing.cost),
        gap=0.0 if proved or packing.cost == 0 else (packing.cost - bound) / packing.cost,
        proved_optimal=proved,
        how=shown if items else "there is nothing to cut",
        waste=_waste(sheets),
        unplaced=(*_labels(large), *left.elements()),
        findings=tuple(findings),
    )


def _up(metres: float) -> int:
    return math.ceil(metres * _TENTHS - 1e-6)


def _down(metres: float) -> int:
    return math.floor(metres * _TENTHS + 1e-6)


def _item(number: int, piece: SheetPiece, saw: int) -> Item:
    return Item(number, _up(piece.width) + saw, _up(piece.height) + saw, piece.turns)


def _bin(number: int, stock: SheetStock, saw: int, trim: int, measure: Measure) -> Bin:
    off = 0 if stock.offcut else 2 * trim
    limit = 1 if stock.offcut and stock.count is None else stock.count
    worth = {"sheets": 1.0, "price": stock.price or 0.0, "area": stock.width * stock.height}
    cost = 0.0 if stock.offcut else worth[measure]
    return Bin(number, _down(stock.width) - off + saw, _down(stock.height) - off + saw, cost, limit)


def _measure(stocks: Sequence[SheetStock]) -> Measure:
    bought = [one for one in stocks if not one.offcut]
    if len(bought) <= 1:
        return "sheets"
    return "price" if all(one.price is not None for one in bought) else "area"


def _drawn(
    laid: Laid, pieces: Sequence[SheetPiece], stocks: Sequence[SheetStock], saw: int, trim: float
) -> CutSheet:
    stock = stocks[laid.bin.of]
    off = 0 if stock.offcut else _up(trim)

    def metres(tenths: int) -> float:
        return tenths / _TENTHS

    placed = tuple(
        Placed(
            label=pieces[item.of].label, x=metres(box.x + off), y=metres(box.y + off),
            width=metres(box.width - saw), height=metres(box.height - saw),
            turned=(box.width, box.height) != (item.width, item.height),
        )
        for item, box in zip(laid.items, laid.boxes, strict=True)
    )  # fmt: skip
    cuts = tuple(
        SheetCut(
            upright=cut.upright, at=metres(cut.at - saw + off), start=metres(cut.start + off),
            end=metres(cut.end - saw + off),
        )
        for cut in laid.parted.cuts
    )  # fmt: skip
    rest = tuple(
        Offcut(x=metres(box.x + off), y=metres(box.y + off), width=metres(wide), height=metres(tall))
        for box in sorted(laid.parted.rest, key=lambda one: (-one.width * one.height, one))
        if min(wide := box.width - saw, tall := box.height - saw) >= LEAST_OFFCUT * _TENTHS
    )
    return CutSheet(stock=stock, trim=metres(off), pieces=placed, cuts=cuts, offcuts=rest)


def _cost(sheets: Sequence[CutSheet]) -> float | None:
    prices = [0.0 if one.stock.offcut else one.stock.price for one in sheets]
    known = [price for price in prices if price is not None]
    return sum(known) if len(known) == len(prices) else None


def _waste(sheets: Sequence[CutSheet]) -> float:
    whole = sum(one.stock.width * one.stock.height for one in sheets)
    kept = sum(one.used + sum(left.width * left.height for left in one.offcuts) for one in sheets)
    waste = 1.0 - kept / whole if whole > 0 else 0.0
    return max(waste, 0.0)  # sums of tenths of millimetres may round above the whole


def _labels(pieces: Sequence[SheetPiece]) -> tuple[str, ...]:
    return tuple(one.label for one in pieces for _ in range(min(max(one.count, 1), MOST_PIECES)))


def _bad_numbers(
    pieces: Sequence[SheetPiece], stocks: Sequence[SheetStock], kerf: float, trim: float
) -> list[Finding]:
    found = []

    def said(subject: str, text: str, wanted: str) -> None:
        found.append(
            Finding(code=BAD_NUMBER, severity=Severity.PROBLEM, subject=subject, text=text, wanted=wanted)
        )

    for piece in pieces:
        if not (0 < piece.width <= _LONGEST and 0 < piece.height <= _LONGEST):
            said(f"piece {clip(piece.label)}".strip(), "has no size that can be cut", "two lengths above 0")
        if piece.count < 1:
            said(f"piece {clip(piece.label)}".strip(), "is wanted less than once", "a count of 1 or more")
    if sum(one.count for one in pieces) > MOST_PIECES:
        said("the pieces", f"are more than {MOST_PIECES}", "a job at a time")
    if not stocks:
        said("the sheets", "are not named", "at least one size of sheet")
    for name, value in (("kerf", kerf), ("trim", trim)):
        if not 0 <= value < 1:
            said(name, "is no width of a cut", "a length from 0 up, such as 3 mm")
            return found
    for stock in stocks:
        subject = f"sheet {clip(stock.name)}".strip()
        off = 0.0 if stock.offcut else 2 * trim
        if not (
            stock.width - off > 0 and stock.height - off > 0 and max(stock.width, stock.height) <= _LONGEST
        ):
            said(subject, "has no size that can be cut", "two lengths of more than twice the trim")
        if stock.price is not None and not 0 <= stock.price < 1e9:
            said(subject, "has no price that can be", "a number from 0 up")
        if stock.count is not None and stock.count < 0:
            said(subject, "is there less than never", "a count from 0 up")
    return found


def _too_large(piece: SheetPiece, stocks: Sequence[SheetStock], trim: float) -> Finding:
    """By how much it is too large for the sheet on which the least is missing."""
    ways = [(piece.width, piece.height), (piece.height, piece.width)][: 2 if piece.turns else 1]
    over = min(
        max(w - (one.width - off), h - (one.height - off), 0.0)
        for one in stocks
        for off in [0.0 if one.offcut else 2 * trim]
        for w, h in ways
    )
    turned = "either way round" if piece.turns else "the way its grain runs"
    return Finding(
        code=TOO_LARGE, severity=Severity.PROBLEM, subject=f"piece {clip(piece.label)}".strip(),
        text="of {width} by {height} fits on no sheet, " + turned + "; on the best of them {over} is missing",
        numbers=(
            ("width", Number(piece.width, "length")), ("height", Number(piece.height, "length")),
            ("over", Number(over, "length")),
        ),
        remedy="name a larger sheet, have it cut to size where it is bought, or make it of two pieces with a joint",
    )  # fmt: skip


def _too_few(count: int, label: str) -> Finding:
    first = f", the first of them {clip(label)}" if label else ""
    return Finding(
        code=TOO_FEW, severity=Severity.PROBLEM, subject="the sheets",
        text=f"do not hold all: {{count}} pieces found no place{first}",
        numbers=(("count", Number(count, "number")),), remedy="name a size of sheet that can be bought",
    )  # fmt: skip


def _no_price(stocks: Sequence[SheetStock]) -> Finding:
    names = [clip(one.name) or "one size" for one in stocks if one.price is None and not one.offcut]
    return Finding(
        code=NO_PRICE, severity=Severity.NOTE, subject="the sheets",
        text=f"have no price for {', '.join(names)}; the plan has the least area of sheets, not the least price",
        remedy="give every size its price",
    )  # fmt: skip


def _not_proved(value: float, bound: float, measure: Measure) -> Finding:
    what = {"sheets": "sheets", "price": "in price", "area": "m² of sheets"}[measure]
    return Finding(
        code=NOT_PROVED, severity=Severity.NOTE, subject="the sheets",
        text=f"are {{value}} {what}; less was not found, and not ruled out down to {{bound}}",
        numbers=(("value", Number(value, "number")), ("bound", Number(bound, "number"))),
        remedy="other sizes of pieces by a few millimetres often save a sheet",
    )  # fmt: skip
