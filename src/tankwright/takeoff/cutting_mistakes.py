"""What is wrong with a job of cutting, all of it at once, and what is to be said of a plan that was made."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import ceil, isfinite
from typing import Final

from tankwright.finding import Finding, Number, Severity
from tankwright.takeoff.cutting_model import CutPlan, Piece, Stock, in_ten_thousandths, on_grid
from tankwright.units import Metre

MOST_PIECES: Final = 100_000
MOST_LENGTHS: Final = 2_000
MOST_STOCKS: Final = 200
LONGEST: Final = 1_000.0
"""Metres of one stick at most: longer is no stick."""

DEAREST: Final = 1e6
_PIECES_OF_ONE: Final = 50  # a joint every so often is no remedy any more


def mistakes_of(
    pieces: Sequence[Piece], stocks: Sequence[Stock], kerf: Metre, trim: Metre
) -> tuple[Finding, ...]:
    """Every mistake of a job; with a problem among them nothing is cut.

    >>> [one.code for one in mistakes_of([Piece(length=7.0)], [Stock(length=6.0)], 0.003, 0.0)]
    ['CUT-01']
    """
    found = [*_of_widths(kerf, trim), *_of_stocks(stocks, trim), *_of_pieces(pieces)]
    usable = [one for one in stocks if _is_length(one.length) and one.count != 0]
    if usable and _is_width(kerf) and _is_width(trim):
        found += _too_long([one for one in pieces if _is_length(one.length)], usable, trim)
        found += _thin(pieces, kerf)
    return tuple(found)


def _of_widths(kerf: Metre, trim: Metre) -> Iterator[Finding]:
    for name, width in (("saw cut", kerf), ("trim", trim)):
        if not _is_width(width):
            yield _problem(
                "CUT-06",
                name,
                "is no width that can be cut away",
                reason="it must be nothing or more, and no stick",
            )


def _of_stocks(stocks: Sequence[Stock], trim: Metre) -> Iterator[Finding]:
    if not stocks:
        yield _problem(
            "CUT-06", "stock", "no length to cut from is given", remedy="say which lengths can be bought"
        )
    if len(stocks) > MOST_STOCKS:
        yield _problem("CUT-05", "stock", f"is more than {MOST_STOCKS} different sticks")
    for one in stocks:
        subject = one.name or ("offcut" if one.offcut else "stock")
        if not _is_length(one.length):
            yield _problem("CUT-06", subject, f"is no length of a stick: over 0 and at most {LONGEST:g} m")
        elif not one.offcut and _is_width(trim) and trim >= one.length:
            yield _problem("CUT-06", subject, "nothing of it is left after the trim")
        if one.count is not None and one.count < 0:
            yield _problem("CUT-06", subject, "there cannot be fewer than none of it")
        price = one.price
        if price is not None and not (isfinite(price) and price <= DEAREST and in_ten_thousandths(price) > 0):
            yield _problem(
                "CUT-06", subject, f"its price must be over 0 and at most {DEAREST:,.0f}".replace(",", " "),
                remedy="say what is free as an offcut on hand",
            )  # fmt: skip
    bought = [one for one in stocks if not one.offcut]
    bare = [one for one in bought if one.price is None]
    if bare and len(bare) < len(bought):
        names = ", ".join(one.name or f"{one.length:g} m" for one in bare)
        yield _problem(
            "CUT-07", "stock", f"some have a price and some have none: {names}",
            reason="the cheapest plan is only known when every length has its price",
            remedy="give every stock a price, or none",
        )  # fmt: skip


def _of_pieces(pieces: Sequence[Piece]) -> Iterator[Finding]:
    if not pieces:
        yield _problem("CUT-02", "pieces", "there is nothing to cut")
    for one in pieces:
        if not _is_length(one.length):
            yield _problem("CUT-03", _named(one), f"is no length of a piece: over 0 and at most {LONGEST:g} m",
                           line=one.line)  # fmt: skip
        if one.count < 1:
            yield _problem("CUT-04", _named(one), f"is wanted {one.count} times", line=one.line,
                           remedy="a whole number from 1 up; leave out what is not wanted")  # fmt: skip
    many = sum(max(one.count, 0) for one in pieces)
    if many > MOST_PIECES:
        yield _problem(
            "CUT-05", "pieces", f"are {many}, of at most {MOST_PIECES}", remedy="cut it in several jobs"
        )
    lengths = len({one.length for one in pieces})
    if lengths > MOST_LENGTHS:
        yield _problem("CUT-05", "pieces", f"are of {lengths} lengths, of at most {MOST_LENGTHS}",
                       remedy="cut it in several jobs")  # fmt: skip


def _too_long(pieces: Sequence[Piece], stocks: Sequence[Stock], trim: Metre) -> Iterator[Finding]:
    """Each piece that no stick holds, with a joint that would do."""
    room = max(on_grid(one.length) - (0 if one.offcut else on_grid(trim)) for one in stocks)
    longest = max(one.length - (0.0 if one.offcut else trim) for one in stocks)
    if room <= 0:
        return
    for one in pieces:
        if on_grid(one.length) <= room:
            continue
        parts = ceil(one.length / longest)
        remedy = f"join {parts} pieces of {{part}} with {_couplings(parts)}, less what the joint takes up"
        if parts > _PIECES_OF_ONE:
            remedy = "look at its unit"
        yield Finding(
            code="CUT-01", severity=Severity.PROBLEM, subject=_named(one), line=one.line,
            text="{length} long, which is {over} more than the longest stick holds",
            numbers=(
                ("length", Number(one.length, "length")), ("over", Number(one.length - longest, "length")),
                ("part", Number(one.length / parts, "length")),
            ),
            value=Number(one.length, "length"), limit=Number(longest, "length"),
            reason="a piece is cut from one stick", remedy=remedy,
        )  # fmt: skip


def _couplings(parts: int) -> str:
    return "a coupling in the middle" if parts == 2 else f"{parts - 1} couplings"


def _thin(pieces: Sequence[Piece], kerf: Metre) -> Iterator[Finding]:
    thin = [one for one in pieces if 0 < one.length <= kerf]
    if thin:
        yield Finding(
            code="CUT-12", severity=Severity.WARNING, subject=_named(thin[0]), line=thin[0].line,
            text="{length} long, no more than the saw cut of {kerf}",
            numbers=(("length", Number(thin[0].length, "length")), ("kerf", Number(kerf, "length"))),
            reason="such a slice can hardly be held while it is cut",
            remedy="look at its unit, and at that of the saw cut",
        )  # fmt: skip


# --- of a plan that was made ------------------------------------------------------------------------------------


def not_enough(stock: Stock, more: int) -> Finding:
    """The stock on hand does not hold all pieces."""
    return _problem(
        "CUT-08", "stock", f"what there is does not hold all pieces: {more} more of {{length}} would do",
        numbers=(("length", Number(stock.length, "length")),),
        remedy="say a length that can be bought, as many as wanted",
    )  # fmt: skip


def not_proved(plan: CutPlan) -> Finding:
    """The plan may not be the best one, by so much at most."""
    return Finding(
        code="CUT-10", severity=Severity.NOTE, subject="cuts",
        text="not proved to be the best: at most {gap} over what no plan can be under",
        numbers=(("gap", Number(plan.gap, "share")),),
        reason="the time ran out, or the job is too large for the last search", remedy="give it more time",
    )  # fmt: skip


def told_rounding(unit: Metre) -> Finding:
    """Lengths that fit no common grid were rounded, each piece up and each stick down."""
    return Finding(
        code="CUT-11", severity=Severity.NOTE, subject="cuts",
        text="pieces were taken up to {unit} longer and sticks so much shorter than said",
        numbers=(("unit", Number(unit, "length")),),
        reason="the lengths have no common measure that is large enough to count in; what is proved is proved of these",
    )  # fmt: skip


def _problem(
    code: str,
    subject: str,
    text: str,
    *,
    reason: str = "",
    remedy: str = "",
    line: int | None = None,
    numbers: tuple[tuple[str, Number], ...] = (),
) -> Finding:
    return Finding(
        code=code, severity=Severity.PROBLEM, subject=subject, text=text, reason=reason, remedy=remedy, line=line,
        numbers=numbers,
    )  # fmt: skip


def _named(piece: Piece) -> str:
    return f"piece {piece.label}" if piece.label else "piece"


def _is_length(length: Metre) -> bool:
    return isfinite(length) and 0 < length <= LONGEST and on_grid(length) > 0


def _is_width(width: Metre) -> bool:
    return isfinite(width) and 0 <= width <= LONGEST
