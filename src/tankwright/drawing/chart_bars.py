"""Bars side by side, such as one for each tank: hatched where nothing is known."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from tankwright.drawing.chart_frame import (
    AXIS,
    SMALL,
    TEXT,
    Plot,
    draw_bands,
    heading,
    labels_width,
    upright_axis,
)
from tankwright.drawing.chart_model import Bar, Bars
from tankwright.drawing.chart_scale import Scale, scale_for, usable, value_words
from tankwright.drawing.chart_stacks import draw_stack, legend_height, stack_legend
from tankwright.drawing.colour import AMOUNT, INK, LINE, QUIET, step_for
from tankwright.drawing.model import (
    Group,
    Hatching,
    Look,
    Rectangle,
    Shape,
    Text,
    fitting_size,
    line,
    text_width,
)

_LEAST: Final = 1.5  # mm, of a name under its bar
_LEAST_FIGURE: Final = 1.8  # mm; a smaller one could not be read, and every bar says its own when it is asked
_HEADROOM: Final = 3.2  # mm over the plot that a figure may use
_STUB: Final = 6.0  # mm, of a bar that is not known


def draw_bars(bars: Bars, width: float, height: float) -> tuple[Shape, ...]:
    """The parts of a page of bars."""
    limits = [end for band in bars.bands for end in (band.low, band.high) if end is not None]
    values = [bar.value for bar in bars.bars if bar.value is not None and usable(bar.value, bars.y)]
    top = TEXT + 4.5 + legend_height(bars.parts, width - 1.0)
    rough = scale_for(bars.y, (0.0, *values, *limits), height, top, max(2, round(height / 14)))
    left = labels_width(rough) + 2.4
    pitch = (width - left - 1.0) / max(len(bars.bars), 1)
    longest = max((text_width(bar.name, SMALL) for bar in bars.bars), default=0.0)
    upright = longest > pitch * 0.95
    size = min(SMALL, max(pitch * 0.8, _LEAST)) if upright else SMALL
    depth = min(longest * size / SMALL, height * 0.3) if upright else size
    bottom = height - depth - 3.0 - (TEXT * 1.5 if bars.x else 0.0)
    plot = Plot(left=left, top=top, right=width - 1.0, bottom=bottom)
    scale = scale_for(bars.y, (0.0, *values, *limits), bottom, top, max(2, round(plot.height / 12)))
    every = max(1, -int(-_LEAST * 1.15 // pitch)) if upright else 1
    grounds, edges = draw_bands(bars.bands, None, scale, plot)
    parts: list[Shape] = [
        *grounds,
        upright_axis(scale, plot),
        *edges,
        heading(scale, 0.3, TEXT, width - 1.0),
        *stack_legend(bars.parts, 0.3, TEXT * 2 + 2.2, width - 1.0),
    ]
    for number, bar in enumerate(bars.bars):
        middle = left + (number + 0.5) * pitch
        parts.append(_bar(bars, bar, number, middle, pitch, scale, plot))
        if number % every == 0:
            parts.extend(_name(bar, middle, size, depth, plot, upright=upright))
    zero = scale.at(min(max(0.0, scale.low), scale.high))
    parts.append(line((plot.left, zero), (plot.right, zero), AXIS))
    if bars.x:
        told = fitting_size(bars.x, plot.width, most=TEXT)
        parts.append(Text(at=(plot.right, height - 0.9), text=bars.x, size=told, colour=INK, anchor="end"))
    return tuple(parts)


def _bar(bars: Bars, bar: Bar, number: int, middle: float, pitch: float, scale: Scale, plot: Plot) -> Group:
    wide = min(pitch * 0.72, 12.0)
    zero = scale.at(min(max(0.0, scale.low), scale.high))
    parts: list[Shape] = []
    if bar.value is None or not usable(bar.value, bars.y):
        told = "not known"
        tall = min(_STUB, plot.height / 3)
        parts.append(Hatching(x=middle - wide / 2, y=zero - tall, width=wide, height=tall))
        parts.append(
            Rectangle(x=middle - wide / 2, y=zero - tall, width=wide, height=tall,
                      look=Look(stroke=QUIET, width=0.2, dash=(0.8, 0.6)))
        )  # fmt: skip
    else:
        told = value_words(bar.value, bars.y)
        at = scale.at(min(max(bar.value, scale.low), scale.high))
        fill = step_for(bar.share).fill if bar.share is not None else AMOUNT[2].fill
        if bar.parts:
            parts.extend(draw_stack(bars, bar, middle - wide / 2, wide, scale))
        else:
            parts.append(
                Rectangle(x=middle - wide / 2, y=min(at, zero), width=wide, height=abs(at - zero),
                          look=Look(fill=fill, stroke=LINE, width=0.2))
            )  # fmt: skip
        figure = fitting_size(told, pitch * 0.96, most=SMALL, least=_LEAST_FIGURE)
        if figure and min(at, zero) - figure > plot.top - _HEADROOM:
            parts.append(
                Text(at=(middle, min(at, zero) - 0.7), text=told, size=figure, colour=INK, anchor="middle")
            )
    return Group(
        parts=tuple(parts), classes=("column", "point"), title=bar.title or f"{bar.name}: {told}", place=bar.place,
        link=bar.link, data=(("data-at", str(number)),),
    )  # fmt: skip


def _name(bar: Bar, middle: float, size: float, depth: float, plot: Plot, *, upright: bool) -> Iterator[Text]:
    if not upright:
        yield Text(
            at=(middle, plot.bottom + size + 1.0), text=bar.name, size=size, colour=INK, anchor="middle"
        )
        return
    fitted = fitting_size(bar.name, depth, most=size)
    yield Text(
        at=(middle + fitted * 0.36, plot.bottom + 1.2),
        text=bar.name,
        size=fitted,
        colour=INK,
        anchor="end",
        turn=270,
    )
