"""Cuts for a page: each way to cut a stick as one bar, each sheet with its pieces, to one scale an article.

A piece too narrow for its writing has only its outline: the page lists every piece beside the picture.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from tankwright.display import printable
from tankwright.drawing.colour import FAINT, INK, WOOD
from tankwright.drawing.measured import measured_off
from tankwright.drawing.model import Drawing, Hatching, Look, Rectangle, Shape, Text, fitting_size
from tankwright.takeoff.cutting_model import CutPlan, Pattern
from tankwright.takeoff.sheet_model import CutSheet, Placed, SheetPlan
from tankwright.units import Metre

WIDTH: Final = 200.0
"""How wide the longest stick is drawn, in mm of a page 1000 dots wide."""

_BAR: Final = 9.0
_SIZE, _LEAST = 2.8, 2.1
_SHEET: Final = 100.0
_EDGE: Final = 0.25


def cut_bars(plan: CutPlan, display: str = "metric") -> tuple[Drawing, ...]:
    """A bar for each way to cut a stick, in the order of the plan.

    >>> cut_bars(CutPlan(objective="sticks", kerf=0.003, trim=0.0))
    ()
    """
    longest = max((one.stock.length for one in plan.patterns), default=1.0)
    return tuple(_bar(plan, one, longest, display) for one in plan.patterns)


def _bar(plan: CutPlan, pattern: Pattern, longest: Metre, display: str) -> Drawing:
    def wide(length: Metre) -> float:
        return length / longest * (WIDTH - 2 * _EDGE)

    stock = pattern.stock
    parts: list[Shape] = []
    x, end = _EDGE, _EDGE + wide(stock.length)
    if plan.trim and not stock.offcut:
        parts.append(Rectangle(x=x, y=_EDGE, width=wide(plan.trim), height=_BAR, look=Look(fill=FAINT)))
        x += wide(plan.trim)
    for piece in pattern.pieces:
        width = min(wide(piece.length), end - x)
        parts.append(
            Rectangle(x=x, y=_EDGE, width=width, height=_BAR, look=Look(fill=WOOD, stroke=INK, width=0.15))
        )
        parts += _written(measured_off(piece.length, display, fine=True), piece.label, x, _EDGE, width, _BAR)
        x = min(x + width + wide(plan.kerf), end)
    if end - x > 0.4:
        parts.append(Hatching(x=x, y=_EDGE, width=end - x, height=_BAR))
    whole = Look(stroke=INK, width=0.35)
    parts.append(Rectangle(x=_EDGE, y=_EDGE, width=end - _EDGE, height=_BAR, look=whole))
    return Drawing(
        width=WIDTH, height=_BAR + 2 * _EDGE, scale=1.0, title=f"{len(pattern.pieces)} pieces", description="",
        parts=tuple(parts),
    )  # fmt: skip


def cut_sheet_views(plan: SheetPlan, display: str = "metric") -> tuple[tuple[CutSheet, int, Drawing], ...]:
    """Each sheet that is cut otherwise than the others, how often, and its picture.

    >>> cut_sheet_views(SheetPlan())
    ()
    """
    longest = max((one.stock.width for one in plan.sheets), default=1.0)
    counts: dict[CutSheet, int] = {}
    for one in plan.sheets:
        counts[one] = counts.get(one, 0) + 1
    return tuple((one, times, _sheet(one, longest, display)) for one, times in counts.items())


def _sheet(sheet: CutSheet, longest: Metre, display: str) -> Drawing:
    scale = (_SHEET - 2 * _EDGE) / longest
    wide, tall = sheet.stock.width * scale, sheet.stock.height * scale

    def level(y: Metre, height: Metre) -> float:
        return _EDGE + tall - (y + height) * scale  # a sheet is measured from its lower corner

    parts: list[Shape] = [Hatching(x=_EDGE, y=_EDGE, width=wide, height=tall)]
    for piece in sheet.pieces:
        x, y = _EDGE + piece.x * scale, level(piece.y, piece.height)
        width, height = piece.width * scale, piece.height * scale
        parts.append(
            Rectangle(x=x, y=y, width=width, height=height, look=Look(fill=WOOD, stroke=INK, width=0.2))
        )
        parts += _written(sides_words(piece, display), piece.label, x, y, width, height)
    parts.append(Rectangle(x=_EDGE, y=_EDGE, width=wide, height=tall, look=Look(stroke=INK, width=0.35)))
    return Drawing(
        width=_SHEET, height=tall + 2 * _EDGE, scale=1.0, title=f"{len(sheet.pieces)} pieces", description="",
        parts=tuple(parts),
    )  # fmt: skip


def sides_words(piece: Placed, display: str) -> str:
    """The two sides of a piece as it lies.

    >>> sides_words(Placed(label="", x=0, y=0, width=1.2, height=0.45), "metric")
    '1200 × 450'
    """
    return " × ".join(measured_off(side, display, fine=True) for side in (piece.width, piece.height))


def _written(said: str, label: str, x: float, y: float, width: float, height: float) -> Iterator[Shape]:
    """What a piece measures, over its mark, as far as they fit."""
    label, middle = printable(label), x + width / 2
    size = fitting_size(said, width - 1.2, most=_SIZE, least=_LEAST, bold=True)
    if not size or height < 3.2:
        return
    small = fitting_size(label, width - 1.2, most=2.4, least=_LEAST) if label and height >= 7.0 else 0.0
    centre = y + height / 2
    yield Text(at=(middle, centre + (-0.5 if small else 1.0)), text=said, size=size, colour=INK, anchor="middle",
               bold=True)  # fmt: skip
    if small:
        yield Text(at=(middle, centre + 3.0), text=label, size=small, colour=INK, anchor="middle")
