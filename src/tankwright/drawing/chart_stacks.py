"""Bars made up of parts, one over the other, and the row that names the parts."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from tankwright.drawing.chart_frame import SMALL
from tankwright.drawing.chart_model import Bar, Bars
from tankwright.drawing.chart_scale import Scale, value_words
from tankwright.drawing.colour import AMOUNT, BLOCK, INK, PAPER, Colour
from tankwright.drawing.model import Group, Look, Rectangle, Shape, Text, fitting_size, text_width

FILLS: Final[tuple[Colour, ...]] = (
    AMOUNT[3].fill,
    AMOUNT[1].fill,
    AMOUNT[2].fill,
    PAPER,
    BLOCK,
    AMOUNT[0].fill,
)
"""Fills of the parts from below: neighbours differ in grey too; a seventh part begins again."""

LEGEND: Final = SMALL + 2.6
"""mm that the row of names takes."""

_EDGE: Final = Look(stroke=INK, width=0.15)


def draw_stack(bars: Bars, bar: Bar, left: float, wide: float, scale: Scale) -> Iterator[Shape]:
    """The parts of a bar from zero up; each says its own amount."""
    below = 0.0
    for number, (name, amount) in enumerate(zip(bars.parts, bar.parts, strict=False)):
        if not amount > 0.0:
            continue
        foot, top = scale.at(below), scale.at(below + amount)
        look = Look(fill=FILLS[number % len(FILLS)], stroke=_EDGE.stroke, width=_EDGE.width)
        yield Group(
            parts=(Rectangle(x=left, y=top, width=wide, height=foot - top, look=look),),
            title=f"{bar.name}, {name}: {value_words(amount, bars.y)}",
        )
        below += amount


def stack_legend(names: tuple[str, ...], left: float, baseline: float, width: float) -> Iterator[Shape]:
    """A sample and a name for each part, in one row, in the order in which they stand from below."""
    box, gap = SMALL, 2.0
    natural = sum(box + 1.0 + text_width(name, SMALL) + gap for name in names)
    size = SMALL * min(1.0, width / natural) if natural else SMALL
    x = left
    for number, name in enumerate(names):
        look = Look(fill=FILLS[number % len(FILLS)], stroke=_EDGE.stroke, width=_EDGE.width)
        yield Rectangle(x=x, y=baseline - size * 0.85, width=size, height=size, look=look)
        told = fitting_size(name, width, most=size)
        yield Text(at=(x + size + 0.8, baseline), text=name, size=told, colour=INK)
        x += size + 1.0 + text_width(name, size) + gap * size / SMALL
