"""The empty frame of a chart: its plot, its axes with round numbers, the bands that are aimed at."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final, Literal

from tankwright.drawing.chart_model import Band
from tankwright.drawing.chart_scale import Scale
from tankwright.drawing.colour import ENOUGH, FAINT, INK, PAPER, QUIET
from tankwright.drawing.model import (
    Bounds,
    Group,
    Look,
    Rectangle,
    Shape,
    Text,
    bounds,
    fitting_size,
    line,
    text_width,
)

TEXT: Final = 2.7  # mm
SMALL: Final = 2.4
GRID: Final = Look(stroke=FAINT, width=0.15)
AXIS: Final = Look(stroke=INK, width=0.3)
_BAND: Final = ENOUGH[3].fill  # the quiet colour of what is just right
_BAND_EDGE: Final = Look(stroke=QUIET, width=0.3, dash=(0.8, 0.8))


@dataclass(frozen=True, slots=True, kw_only=True)
class Plot:
    """Where lines and bars stand on the page."""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def width(self) -> float:
        """Its width in mm."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """Its height in mm."""
        return self.bottom - self.top


def ground(text: Text) -> Rectangle:
    """Paper under a text that may cross a line; bounds are those of a wide face, of which some four fifths are used."""
    left, top, right, bottom = bounds(text)
    spare = 0.2 * (right - left)
    left += {"start": 0.0, "middle": spare / 2, "end": spare}[text.anchor]
    right -= {"start": spare, "middle": spare / 2, "end": 0.0}[text.anchor]
    return Rectangle(
        x=left - 0.3, y=top, width=right - left + 0.6, height=bottom - top, look=Look(fill=PAPER)
    )


def overlaps(first: Bounds, second: Bounds) -> bool:
    """Whether two boxes on the page share more than an edge."""
    return first[0] < second[2] and second[0] < first[2] and first[1] < second[3] and second[1] < first[3]


def heading(scale: Scale, x: float, y: float, width: float) -> Text:
    """What the axis upwards shows, over its upper end."""
    told = scale.heading
    return Text(at=(x, y), text=told, size=fitting_size(told, width, most=TEXT), colour=INK)


def level_axis(scale: Scale, plot: Plot, width: float) -> Group:
    """The axis along x: ticks that do not run into each other, and what it shows under them."""
    parts: list[Shape] = []
    last = -1e9
    for value, label in scale.ticks:
        x = scale.at(value)
        parts.append(line((x, plot.top), (x, plot.bottom), GRID))
        half = text_width(label, SMALL) / 2
        middle = min(max(x, half + 0.3), width - half - 0.3)
        if middle - half < last:
            continue
        last = middle + half + 1.5
        parts.append(line((x, plot.bottom), (x, plot.bottom + 1.0), AXIS))
        parts.append(
            Text(at=(middle, plot.bottom + 3.6), text=label, size=SMALL, colour=QUIET, anchor="middle")
        )
    parts.append(line((plot.left, plot.bottom), (plot.right, plot.bottom), AXIS))
    told = scale.heading
    if told:
        size = fitting_size(told, plot.width, most=TEXT)
        parts.append(Text(at=(plot.right, plot.bottom + 7.6), text=told, size=size, colour=INK, anchor="end"))
    return Group(parts=tuple(parts), classes=("axis",))


def upright_axis(scale: Scale, plot: Plot) -> Group:
    """The axis upwards: level lines, their numbers to the left."""
    parts: list[Shape] = []
    for value, label in scale.ticks:
        y = scale.at(value)
        parts.append(line((plot.left, y), (plot.right, y), GRID))
        size = fitting_size(label, plot.left - 1.6, most=SMALL)
        parts.append(Text(at=(plot.left - 1.2, y + 0.9), text=label, size=size, colour=QUIET, anchor="end"))
    return Group(parts=tuple(parts), classes=("axis",))


def labels_width(scale: Scale) -> float:
    """How wide the numbers of an axis are, in mm."""
    return max((text_width(label, SMALL) for _, label in scale.ticks), default=0.0)


def draw_bands(
    bands: Sequence[Band],
    x: Scale | None,
    y: Scale,
    plot: Plot,
    hides: Callable[[Bounds], float] = lambda _: 0.0,
) -> tuple[tuple[Shape, ...], tuple[Group, ...]]:
    """What is aimed at: quiet grounds, to be painted under the axes, and their dashed edges with their names, each
    where it `hides` the fewest millimetres of lines."""
    grounds: list[Shape] = []
    edges: list[Group] = []
    for band in bands:
        scale = y if band.along == "y" else x
        if scale is None:
            continue
        low = scale.low if band.low is None else max(band.low, scale.low)
        high = scale.high if band.high is None else min(band.high, scale.high)
        if not low <= high:
            continue
        first, last = sorted((scale.at(low), scale.at(high)))
        box = (
            (plot.left, first, plot.right, last)
            if band.along == "y"
            else (first, plot.top, last, plot.bottom)
        )
        wide, tall = box[2] - box[0], box[3] - box[1]
        grounds.append(Rectangle(x=box[0], y=box[1], width=wide, height=tall, look=Look(fill=_BAND)))
        parts: list[Shape] = []
        for end in (band.low, band.high):
            if end is not None and scale.holds(end):
                at = scale.at(end)
                ends = (
                    ((plot.left, at), (plot.right, at))
                    if band.along == "y"
                    else ((at, plot.top), (at, plot.bottom))
                )
                parts.append(line(*ends, _BAND_EDGE))
        size = fitting_size(band.name, wide - 2, most=SMALL, least=1.4)
        if size and band.name:
            parts.append(_band_name(band.name, size, box, plot, hides))
        edges.append(Group(parts=tuple(parts), classes=("band",), title=band.name))
    return tuple(grounds), tuple(edges)


def _band_name(name: str, size: float, box: Bounds, plot: Plot, hides: Callable[[Bounds], float]) -> Text:
    """A band's name in, over or under it, at its left end, its right one or amid; of alike places the first."""
    left, over, right, under = box
    inside = (over + size + 0.5, under - 0.8) if under - over > size * 1.3 else ()
    heights = [
        height
        for height in (*inside, over - 0.8, under + size + 0.5)
        if plot.top + size <= height <= plot.bottom - 0.6
    ]
    across: tuple[tuple[float, Literal["start", "middle", "end"]], ...] = (
        (left + 1.2, "start"), (right - 1.2, "end"), ((left + right) / 2, "middle"),
    )  # fmt: skip
    told = [
        Text(at=(at, height), text=name, size=size, colour=QUIET, anchor=anchor)
        for height in heights or [min(max(over + size, plot.top + size), plot.bottom - 0.6)]
        for at, anchor in across
    ]
    return min(told, key=lambda text: hides(bounds(text)))
