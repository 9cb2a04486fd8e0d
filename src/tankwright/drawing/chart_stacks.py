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

_ROW: Final = SMALL * 1.5
_BOX, _APART = SMALL + 0.8, 2.4  # mm: a sample with its gap, and what parts a name from the next

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


def stack_rows(names: tuple[str, ...], width: float) -> tuple[tuple[str, ...], ...]:
    """The names of the parts in rows that fit the width.

    >>> stack_rows(("lights", "pumps"), 100.0), stack_rows(("lights", "pumps"), 15.0)
    ((('lights', 'pumps'),), (('lights',), ('pumps',)))
    """
    rows: list[list[str]] = []
    x = width
    for name in names:
        wide = _BOX + text_width(name, SMALL)
        if not rows or x + wide > width:
            rows.append([])
            x = 0.0
        rows[-1].append(name)
        x += wide + _APART
    return tuple(map(tuple, rows))


def legend_height(names: tuple[str, ...], width: float) -> float:
    """mm that the names of the parts take over the plot; nothing where there are none."""
    return _ROW * len(stack_rows(names, width)) + 1.2 if names else 0.0


def stack_legend(names: tuple[str, ...], left: float, baseline: float, width: float) -> Iterator[Shape]:
    """A sample and a name for each part, row by row, in the order in which they stand from below."""
    number = 0
    for row in stack_rows(names, width):
        x = left
        for name in row:
            look = Look(fill=FILLS[number % len(FILLS)], stroke=_EDGE.stroke, width=_EDGE.width)
            yield Rectangle(x=x, y=baseline - SMALL * 0.85, width=SMALL, height=SMALL, look=look)
            told = fitting_size(name, width - _BOX, most=SMALL)
            yield Text(at=(x + _BOX, baseline), text=name, size=told, colour=INK)
            x += _BOX + text_width(name, SMALL) + _APART
            number += 1
        baseline += _ROW
