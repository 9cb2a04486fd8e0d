"""A value beside what is wanted of it: the wanted range as a field, the value as a mark, its band as a thin bar."""

from __future__ import annotations

from typing import Final

from tankwright.drawing.colour import ENOUGH, FAINT, INK
from tankwright.drawing.model import Drawing, Look, Rectangle, Shape, line

WIDTH: Final = 60.0  # mm
HEIGHT: Final = 4.0
_MARGIN: Final = 0.12
_WANTED: Final = next(step.fill for step in ENOUGH if "just right" in step.words)


def draw_want(
    title: str, *, low: float, high: float, value: float, band: tuple[float, float] | None = None
) -> Drawing:
    """The range from `low` to `high` with the value on it; what is drawn reaches a little beyond the outermost.

    >>> drawn = draw_want("pH", low=6.0, high=8.0, value=9.0)
    >>> [round(shape.x, 1) for shape in drawn.parts if isinstance(shape, Rectangle)]
    [5.8]
    """
    ends: tuple[float, ...] = (low, high, value, *(band or ()))
    span = (max(ends) - min(ends)) or 1.0
    start, across = min(ends) - _MARGIN * span, (1.0 + 2.0 * _MARGIN) * span

    def at(number: float) -> float:
        return (number - start) / across * WIDTH

    wanted = Rectangle(x=at(low), y=0.3, width=max(at(high) - at(low), 0.6), height=HEIGHT - 0.6,
                       look=Look(fill=_WANTED, stroke=INK, width=0.15))  # fmt: skip
    shapes: list[Shape] = [
        line((0.0, HEIGHT / 2), (WIDTH, HEIGHT / 2), Look(stroke=FAINT, width=0.3)),
        wanted,
    ]
    if band is not None and band[1] > band[0]:
        shapes.append(line((at(band[0]), HEIGHT / 2), (at(band[1]), HEIGHT / 2), Look(stroke=INK, width=0.5)))
    shapes.append(line((at(value), 0.0), (at(value), HEIGHT), Look(stroke=INK, width=0.9)))
    return Drawing(width=WIDTH, height=HEIGHT, scale=1, title=title, description="", parts=tuple(shapes))
