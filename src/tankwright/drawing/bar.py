"""One lying bar for a cell of a table: how far a number reaches on a scale that all rows of the table share."""

from __future__ import annotations

import math
from typing import Final

from tankwright.drawing.colour import BLOCK, FAINT, FLOW, INK, QUIET, TEAL
from tankwright.drawing.model import Drawing, Look, Rectangle, Shape, line

WIDTH: Final = 60.0
HEIGHT: Final = 4.6
_BAR: Final = 3.2


def draw_bar(share: float, *, mark: float | None = None) -> Drawing:
    """A bar over `share` of its length, 0 to 1; `mark` is a share to be compared with, such as what is needed.

    >>> draw_bar(0.5, mark=0.8).width, len(draw_bar(0.5).parts), len(draw_bar(math.nan).parts)
    (60.0, 2, 1)
    """
    middle = (HEIGHT - _BAR) / 2
    parts: list[Shape] = [line((0.0, HEIGHT - 0.3), (WIDTH, HEIGHT - 0.3), Look(stroke=FAINT, width=0.3))]
    if math.isfinite(share):
        wide = WIDTH * min(1.0, max(0.0, share))
        parts.append(
            Rectangle(x=0.0, y=middle, width=wide, height=_BAR, look=Look(fill=FLOW, stroke=TEAL, width=0.2))
        )
    if mark is not None and math.isfinite(mark):
        x = WIDTH * min(1.0, max(0.0, mark))
        parts.append(line((x, 0.0), (x, HEIGHT), Look(stroke=INK, width=0.6)))
    return Drawing(width=WIDTH, height=HEIGHT, scale=1.0, title="bar", description="", parts=tuple(parts))


def draw_bar_about(value: float, low: float, high: float) -> Drawing:
    """A bar from zero to a value, to the left where it is below; `low` to `high`, with zero inside, is the whole width.

    >>> [part.width for part in draw_bar_about(-5.0, -5.0, 10.0).parts if isinstance(part, Rectangle)]
    [20.0]
    """
    span = (high - low) or 1.0
    zero, end = (WIDTH * (at - low) / span for at in (0.0, min(max(value, low), high)))
    middle = (HEIGHT - _BAR) / 2
    fill, edge = (FLOW, TEAL) if value >= 0.0 else (BLOCK, QUIET)
    look = Look(fill=fill, stroke=edge, width=0.2)
    bar = Rectangle(x=min(zero, end), y=middle, width=abs(end - zero), height=_BAR, look=look)
    parts = (bar, line((zero, 0.0), (zero, HEIGHT), Look(stroke=INK, width=0.3)))
    return Drawing(width=WIDTH, height=HEIGHT, scale=1.0, title="bar", description="", parts=parts)
