"""Bars and sheets for a page: everything to scale, nothing outside, what is left hatched."""

from __future__ import annotations

from itertools import pairwise

import pytest

from tankwright.drawing.cut_screen import WIDTH, cut_bars, cut_sheet_views
from tankwright.drawing.model import Drawing, Hatching, Rectangle, Text
from tankwright.takeoff.cutting import cut
from tankwright.takeoff.cutting_model import Piece, Stock
from tankwright.takeoff.sheets import SheetPiece, SheetStock, cut_sheets


def filled(drawing: Drawing) -> list[Rectangle]:
    """The pieces of a picture: what has a fill and an outline."""
    return [one for one in drawing.parts if isinstance(one, Rectangle) and one.look.fill and one.look.stroke]


def test_a_bar_is_as_long_as_its_stick_and_its_pieces_as_they_are() -> None:
    plan = cut(
        [Piece(length=1.0, count=2, label="a <b>"), Piece(length=0.5)],
        [Stock(length=3.0)],
        kerf=0.003,
        trim=0.01,
    )
    (bar,) = cut_bars(plan)
    scale = (WIDTH - 0.5) / 3.0
    pieces = filled(bar)
    assert [one.width / scale for one in pieces] == pytest.approx([1.0, 1.0, 0.5])
    for one, other in pairwise(pieces):
        assert (other.x - one.x - one.width) / scale == pytest.approx(0.003)
    assert any(isinstance(one, Hatching) for one in bar.parts)
    assert {"1000", "500", "a <b>"} <= {one.text for one in bar.parts if isinstance(one, Text)}


def test_a_shorter_stick_is_drawn_shorter_and_a_piece_too_narrow_has_no_writing() -> None:
    plan = cut([Piece(length=6.0), Piece(length=2.9), Piece(length=0.02, count=3, label="long name")],
               [Stock(length=6.0), Stock(length=3.0)], kerf=0.003, trim=0.0)  # fmt: skip
    bars = cut_bars(plan)
    right = [max(one.x + one.width for one in bar.parts if isinstance(one, Rectangle)) for bar in bars]
    assert sorted(round(one) for one in right) == [100, 200]
    said = {one.text for bar in bars for one in bar.parts if isinstance(one, Text)}
    assert said == {"6000", "2900"}


def test_sheets_cut_alike_are_drawn_once_and_pieces_stay_within() -> None:
    plan = cut_sheets(
        [SheetPiece(width=1.2, height=1.0, count=4, label="x")], [SheetStock(width=2.4, height=1.2)], kerf=0.0
    )
    ((sheet, times, drawing),) = cut_sheet_views(plan)
    assert (times, len(sheet.pieces)) == (2, 2)
    for one in filled(drawing):
        assert 0 <= one.x <= one.x + one.width <= drawing.width
        assert 0 <= one.y <= one.y + one.height <= drawing.height
    assert "1000 × 1200" in {one.text for one in drawing.parts if isinstance(one, Text)}
