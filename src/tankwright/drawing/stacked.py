"""Drawings of their own size laid on sheets: side by side where two fit, below each other, on as many as they need."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from tankwright.drawing.model import Drawing, Group, Shape, shifted
from tankwright.drawing.page import NO_NOTES, Notes, Page, numbered
from tankwright.drawing.paper import Paper

_GAP: Final = 9.0
_UPRIGHT: Final[tuple[Paper, ...]] = ("A4", "Letter")


def is_upright(paper: Paper) -> bool:
    """Whether drawings of a column's width stand better on such a sheet held upright."""
    return paper in _UPRIGHT


def stacked(
    drawings: Sequence[Drawing],
    *,
    title: str,
    paper: Paper = "A4",
    said: tuple[str, ...] = (),
    notes: Notes = NO_NOTES,
) -> tuple[Drawing, ...]:
    """The drawings in their order on sheets of that paper; one that is larger than a sheet has one of its own.

    >>> stacked((), title="Nothing")
    ()
    """
    page = Page(paper=paper, title=title, said=said, notes=notes, upright=is_upright(paper))
    pages: list[list[Shape]] = []
    x, y, row = page.left, page.bottom, 0.0
    for number, drawing in enumerate(drawings):
        if x > page.left and x + drawing.width > page.right + 1e-6:
            x, y, row = page.left, y + row + _GAP, 0.0
        if not pages or y + drawing.height > page.bottom + 1e-6:
            pages.append([])
            x, y, row = page.left, page.top, 0.0
        parts = tuple(shifted(_unnamed(one), x, y) for one in drawing.parts)
        pages[-1].append(Group(parts=parts, id=f"drawing-{number + 1}", title=drawing.title))
        x, row = x + drawing.width + _GAP, max(row, drawing.height)
    return tuple(
        replace(page, title=numbered(title, number, len(pages))).drawn(shapes, bar=True)
        for number, shapes in enumerate(pages, start=1)
    )


def _unnamed(shape: Shape) -> Shape:
    """Without the ids of its groups, which are those of its own page: a sheet may hold several."""
    if not isinstance(shape, Group):
        return shape
    return replace(shape, id="", parts=tuple(_unnamed(one) for one in shape.parts))
