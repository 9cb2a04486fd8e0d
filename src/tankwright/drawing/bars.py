"""Bars of stacked parts for a table: how an amount is made up, beside its numbers."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from tankwright.drawing.colour import AMOUNT, FAINT, INK
from tankwright.drawing.model import Drawing, Look, Rectangle, Shape, line

WIDTH: Final = 60.0  # mm for the longest bar of a table
HEIGHT: Final = 4.0
SHADES: Final = tuple(step.fill for step in reversed(AMOUNT))
"""Fills of the parts, from the left; a fifth part begins again."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """One part of a bar: its amount, and how it is said."""

    amount: float
    words: str


def draw_bar(title: str, parts: tuple[Part, ...], *, most: float, limit: float | None = None) -> Drawing:
    """A bar of parts end to end, as long against the page as their sum against `most`.

    `limit` is drawn as an upright line when it lies on the page. An amount that is not above zero has no length.

    >>> drawn = draw_bar("A1", (Part(amount=3.0, words="3 kg"), Part(amount=1.0, words="1 kg")), most=8.0)
    >>> [(shape.x, shape.width) for shape in drawn.parts if isinstance(shape, Rectangle)], drawn.title
    ([(0.0, 22.5), (22.5, 7.5)], 'A1: 3 kg, 1 kg')
    """
    shapes: list[Shape] = []
    x = 0.0
    for number, part in enumerate(parts):
        wide = max(part.amount, 0.0) / most * WIDTH if most > 0 else 0.0
        if wide > 0:
            look = Look(fill=SHADES[number % len(SHADES)], stroke=INK, width=0.15)
            shapes.append(Rectangle(x=x, y=0.4, width=wide, height=HEIGHT - 0.8, look=look))
        x += wide
    shapes.append(line((0.0, 0.0), (0.0, HEIGHT), Look(stroke=FAINT, width=0.3)))
    if limit is not None and most > 0 and limit <= most:
        at = limit / most * WIDTH
        shapes.append(line((at, 0.0), (at, HEIGHT), Look(stroke=INK, width=0.5)))
    said = ", ".join(part.words for part in parts)
    return Drawing(
        width=WIDTH, height=HEIGHT, scale=1, title=f"{title}: {said}", description="", parts=tuple(shapes)
    )


def draw_shade(number: int) -> Drawing:
    """A sample of a part's fill, for a table's head."""
    look = Look(fill=SHADES[number % len(SHADES)], stroke=INK, width=0.3)
    shape = Rectangle(x=0.2, y=0.2, width=9.6, height=3.6, look=look)
    return Drawing(width=10, height=4, scale=1, title="", description="", parts=(shape,))


__all__ = ["Part", "draw_bar", "draw_shade"]
