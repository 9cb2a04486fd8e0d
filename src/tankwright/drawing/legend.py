"""What stands around the views: heading with the live figures, legend, scale bar, title block."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final, Literal

from tankwright.display import SEVERITY_WORDS
from tankwright.drawing.colour import (
    FAINT,
    INK,
    PAPER,
    QUIET,
    SCALES,
    TEAL,
    WATER,
    WOOD,
    Step,
    hatch,
    mark,
)
from tankwright.drawing.flow_view import arrowhead, flow_width
from tankwright.drawing.model import (
    Circle,
    Drawing,
    Group,
    Look,
    Rectangle,
    Shape,
    Text,
    fitting_size,
    line,
    lines_of,
    shifted,
    text_width,
)  # fmt: skip
from tankwright.drawing.pipes_view import AIR_DASH, FEED_DASH
from tankwright.drawing.results import DrawnResults, Layer
from tankwright.drawing.screen_svg import to_screen_svg
from tankwright.finding import Severity
from tankwright.units import convert

FOOT = convert(1.0, "ft", "m")

_MOST_LINES: Final = 5

LAYER_WORDS = {
    "layout": "Layout",
    "air": "Air",
    "feed": "Feed",
    "drain": "Drain",
    "load": "Weight",
    "glass": "Glass",
    "racks": "Racks",
    "power": "Power",
    "water": "Water",
    "oxygen": "Oxygen",
    "heat": "Warmth",
    "fault": "Fault",
    "trace": "Contacts",
    "fish": "Fish",
    "due": "Due",
    "quarantine": "Quarantine",
    "tests": "Last test",
}


STEP_WORDS: dict[Layer, tuple[str, ...]] = {
    "feed": (
        "under 50 %", "50 to 80 %", "80 to 95 %", "95 to 115 %: as nominal", "115 to 160 %", "over 160 %",
    ),
    "drain": (
        "under 50 %: over in half the time", "50 to 80 %", "80 to 95 %: over just before the look",
        "95 to 115 %: just holds", "115 to 160 %", "over 160 %: holds easily",
    ),
    "load": (
        "up to a quarter of the heaviest", "a quarter to a half", "a half to three quarters",
        "three quarters and more",
    ),
    "power": (
        "loses all its air", "loses heat, cooling, feed or a pump, or part of its air",
        "loses light or something else", "loses nothing that is described", "", "",
    ),
    "water": (
        "over twice the nitrate wanted", "a quarter and more over it", "a little over it",
        "95 to 115 %: just as wanted", "below what is wanted", "far below what is wanted",
    ),
    "oxygen": (
        "under 50 %: in trouble in half that time", "50 to 80 %", "80 to 95 %: in trouble just before the look",
        "95 to 115 %: just lasts", "115 to 160 %", "over 160 %, or never by the value taken",
    ),
    "heat": (
        "over 3 K too hot", "1 to 3 K too hot", "a little too hot", "as wanted", "up to 3 K too cold",
        "over 3 K too cold",
    ),
    "due": ("late", "", "due today", "nothing is due", "", ""),
    "quarantine": (
        "shut off, less than half of its days gone", "shut off, more than half gone",
        "may be opened; or its water comes to what is shut", "not shut off", "", "",
    ),
    "trace": ("where it begins", "could be", "only if something goes wrong", "not named", "", ""),
    "tests": (
        "past what harms fish", "past what is wanted", "may be past it, not judged, or tested long ago",
        "within its limits, or no limit is known", "", "",
    ),
    "fault": ("harm has come", "harm comes within an hour", "harm comes later", "no harm found", "", ""),
}  # fmt: skip
"""What the colour steps mean on a layer, where the scale's own words do not say it; "" for a step that has no use."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LegendItem:
    """One line of a page's legend: a colour step or a kind of line, its words, a small SVG as its sample."""

    kind: Literal["colour", "line"]
    words: str
    swatch: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """What the title block says."""

    title: str
    plan_name: str
    scale: float
    display: str
    what: str = "plan and rack fronts"


def header(
    results: DrawnResults, sheet: Sheet, left: float, top: float, width: float
) -> tuple[tuple[Shape, ...], float]:
    """Title, layer and the line of figures; and the page height it ends at."""
    layer = LAYER_WORDS[results.layer]
    layer_width = text_width(layer, 6.0, bold=True)
    size = fitting_size(sheet.title, width - layer_width - 8, most=6.0, bold=True)
    shapes: list[Shape] = [
        Text(at=(left, top + 6), text=sheet.title, size=size, colour=INK, bold=True),
        Text(at=(left + width, top + 6), text=layer, size=6.0, colour=TEAL, bold=True, anchor="end"),
        line((left, top + 8.6), (left + width, top + 8.6), Look(stroke=INK, width=0.5)),
    ]
    y = top + 8.6
    if not results.figures:
        return tuple(shapes), y + 2
    x, y = left, y + 8
    for index, (name, value) in enumerate(results.figures):
        most = 6.5 if index == 0 else 4.2
        big = fitting_size(value, width, most=most, bold=True)
        needed = max(text_width(value, big, bold=True), text_width(name, 2.4)) + 7
        if x > left and x + needed > left + width + 7:
            x, y = left, y + 11
        shapes.append(Text(at=(x, y), text=value, size=big, colour=INK, bold=True))
        shapes.append(
            Text(at=(x, y + 3.6), text=name, size=fitting_size(name, width, most=2.4), colour=QUIET)
        )
        x += needed
    return tuple(shapes), y + 6


def footer(
    results: DrawnResults, sheet: Sheet, left: float, top: float, width: float
) -> tuple[tuple[Shape, ...], float]:
    """Legend, scale bar and title block side by side, wrapped to the width; and where they end."""
    blocks = [
        block for block in (_colours(results), _lines(results), _signs(), _title(results, sheet)) if block
    ]
    shapes: list[Shape] = [line((left, top), (left + width, top), Look(stroke=FAINT, width=0.3))]
    x, y, tallest = left, top + 3, 0.0
    for index, (draw, wide, tall) in enumerate(blocks):
        last = index == len(blocks) - 1
        if x > left and x + wide > left + width:
            x, y, tallest = left, y + tallest + 4, 0.0
        at = left + width - wide if last and left + width - wide > x else x
        shapes.extend(draw(at, y))
        x, tallest = x + wide + 6, max(tallest, tall)
    return tuple(shapes), y + tallest


_HEAD, _HEAD_ROW, _UNDER_HEAD = 2.6, 3.5, 4.6  # mm
_Block = tuple["_Draw", float, float]


def heading_lines(heading: str, width: float) -> tuple[str, ...]:
    """A heading of the legend in as many lines as its block asks.

    >>> heading_lines("Signs", 30.0), len(heading_lines("coldest and hottest hour of each tank", 30.0))
    (('Signs',), 3)
    """
    return lines_of(heading, width, _HEAD, bold=True)


class _Draw:
    """A block of the legend: its rows, each a height and what is drawn there."""

    def __init__(
        self, heading: str, rows: list[tuple[float, tuple[Shape, ...] | None, str]], width: float
    ) -> None:
        self.heading, self.rows, self.width = heading, rows, width

    def __call__(self, x: float, y: float) -> Iterator[Shape]:
        heads = heading_lines(self.heading, self.width)
        for number, head in enumerate(heads):
            size = fitting_size(head, self.width, most=_HEAD, bold=True)
            yield Text(at=(x, y + _HEAD + number * _HEAD_ROW), text=head, size=size, colour=INK, bold=True)
        y += _UNDER_HEAD + _HEAD_ROW * (len(heads) - 1)
        for tall, sample, words in self.rows:
            for shape in sample or ():
                yield (
                    Group(parts=(shifted(shape, x, y),)) if isinstance(shape, Group) else shifted(shape, x, y)
                )
            size = fitting_size(words, self.width - 13, most=2.4)
            yield Text(at=(x + 13, y + tall / 2 + 0.4), text=words, size=size, colour=INK)
            y += tall


def _colours(results: DrawnResults) -> _Block | None:
    if results.scale == "none":
        return None
    edge = Look(stroke=INK, width=0.2)
    rows: list[tuple[float, tuple[Shape, ...] | None, str]] = []
    for step, words in worded_steps(results):
        swatch = Rectangle(
            x=0, y=-1.4, width=10, height=3.6, look=Look(fill=step.fill, stroke=INK, width=0.2)
        )
        rows.append((4.2, (swatch,), words))
    empty = (*hatch(0, -1.4, 10, 3.6), Rectangle(x=0, y=-1.4, width=10, height=3.6, look=edge))
    rows.append((4.2, empty, "no data"))
    rows = [
        (tall, tuple(shifted(shape, 0, 1.5) for shape in sample or ()), words) for tall, sample, words in rows
    ]
    natural = text_width(results.about, _HEAD, bold=True)
    wide = max(62.0, natural) if natural <= 90.0 else 68.0
    heads = len(heading_lines(results.about, wide))
    tall = _UNDER_HEAD + _HEAD_ROW * (heads - 1) + 4.2 * len(rows)
    return _Draw(results.about, rows, wide), wide, tall


def worded_steps(results: DrawnResults) -> tuple[tuple[Step, str], ...]:
    """The steps of a layer's colour scale with what they mean there.

    >>> worded_steps(DrawnResults(layer="drain", scale="enough"))[3][1]
    '95 to 115 %: just holds'
    """
    steps = SCALES[results.scale]
    said = STEP_WORDS.get(results.layer, ())
    if len(said) != len(steps):
        said = tuple(step.words for step in steps)
    return tuple((step, words) for step, words in zip(steps, said, strict=True) if words)


def legend(results: DrawnResults) -> tuple[LegendItem, ...]:
    """A page's legend: the colour steps and "no data", then at most five kinds of line.

    >>> [item.words for item in legend(DrawnResults(layer="power"))]
    ['tank: water level, hole and elbow', 'tank ordered or wished for', 'shelves side by side, the lowest in front']
    """
    edge = Look(stroke=QUIET, width=0.25)
    items: list[LegendItem] = []
    for step, words in worded_steps(results):
        ground = Rectangle(x=0.2, y=0.2, width=9.6, height=3.6, look=replace(edge, fill=step.fill))
        items.append(LegendItem(kind="colour", words=words, swatch=_swatch((ground,), words)))
    if results.scale != "none":
        empty = (*hatch(0.2, 0.2, 9.6, 3.6), Rectangle(x=0.2, y=0.2, width=9.6, height=3.6, look=edge))
        items.append(LegendItem(kind="colour", words="no data", swatch=_swatch(empty, "no data")))
    shelves = (
        Rectangle(x=0.3, y=0.3, width=9.4, height=3.6, look=Look(fill=WOOD, stroke=INK, width=0.3)),
        line((0.3, 1.5), (9.7, 1.5), Look(stroke=INK, width=0.2)),
        line((0.3, 2.7), (9.7, 2.7), Look(stroke=INK, width=0.2)),
    )
    rows = [(sample or (), words) for _, sample, words in _line_rows(results, elbow=True)][: _MOST_LINES - 1]
    for sample, words in (*rows, (shelves, "shelves side by side, the lowest in front")):
        items.append(LegendItem(kind="line", words=words, swatch=_swatch(sample, words)))
    return tuple(items)


def _swatch(sample: tuple[Shape, ...], words: str) -> str:
    drawing = Drawing(width=10, height=4, scale=1, title=words, description="", parts=sample)
    return to_screen_svg(drawing, classes=("swatch",), hidden=True)


def _lines(results: DrawnResults) -> _Block:
    rows = _line_rows(results)
    return _Draw("Lines", rows, 54.0), 54.0, 4.6 + 4.4 * len(rows)


def _line_rows(
    results: DrawnResults, *, elbow: bool = False
) -> list[tuple[float, tuple[Shape, ...] | None, str]]:
    live = results.layer in ("air", "feed", "drain")
    colour = TEAL if live else INK
    drop = Circle(centre=(10, 1.8), radius=0.55, look=Look(fill=colour))
    taps = tuple(line((x, 1.0), (x, 2.6), Look(stroke=colour, width=0.3)) for x in (2.0, 5.0, 8.0))
    surface: tuple[Shape, ...] = (
        Rectangle(x=1, y=0.2, width=8, height=3.4, look=Look(stroke=INK, width=0.35)),
        line((1, 1.2), (9, 1.2), Look(stroke=TEAL, width=0.35)),
        Circle(centre=(3, 2.0), radius=0.55, look=Look(fill=PAPER, stroke=INK, width=0.2)),
    )
    thin, wide = Look(stroke=colour, width=0.6), Look(stroke=colour, width=2.2)
    dashed = Look(stroke=colour, width=0.7, dash=AIR_DASH)
    dotted = Look(stroke=colour, width=0.8, dash=FEED_DASH, round_ends=True)
    wished = Look(stroke=INK, width=0.3, dash=(1.4, 0.9))
    rows: list[tuple[float, tuple[Shape, ...] | None, str]] = []
    if results.layer == "fault":
        puddle = Rectangle(x=1, y=0.4, width=8, height=3.0, look=Look(fill=WATER, stroke=TEAL, width=0.3))
        rows.append((4.4, (puddle,), "water on the floor"))
    if results.layer == "layout":
        rows.append((4.4, (line((0, 1.8), (10, 1.8), thin),), "drain"))
    if results.layer == "drain":
        sample = (line((0, 1.8), (5, 1.8), thin), line((5, 1.8), (10, 1.8), wide))
        rows.append((4.4, sample, "drain, wider where fuller"))
    if results.layer in ("layout", "air"):
        rows.append((4.4, (line((0, 1.8), (10, 1.8), dashed), *taps), "air ring and taps"))
    if results.layer in ("layout", "feed"):
        rows.append((4.4, (line((0, 1.8), (10, 1.8), dotted), drop), "feed and an outlet"))
    if results.layer in ("air", "feed") and results.pipes:
        slim, stout = Look(stroke=colour, width=flow_width(0.0)), Look(stroke=colour, width=flow_width(1.0))
        head = arrowhead((4.4, 1.8), (1.0, 0.0), 1.0, colour)
        flow = (line((0, 1.8), (5, 1.8), slim), line((5, 1.8), (10, 1.8), stout), head)
        rows.append((4.4, flow, "wider where more flows"))
    if elbow:
        surface = (
            *surface[:2], line((3, 2.4), (4.2, 1.4), Look(stroke=INK, width=0.6)),
            Circle(centre=(3, 2.4), radius=0.55, look=Look(fill=PAPER, stroke=INK, width=0.2)),
        )  # fmt: skip
    rows.append(
        (4.4, surface, "tank: water level, hole and elbow" if elbow else "tank: water level and hole")
    )
    rows.append(
        (4.4, (Rectangle(x=1, y=0.4, width=8, height=3.0, look=wished),), "tank ordered or wished for")
    )
    return rows


def _signs() -> _Block:
    rows: list[tuple[float, tuple[Shape, ...] | None, str]] = [
        (4.6, (mark(severity, (8.5, 1.8), 3.0),), SEVERITY_WORDS[severity]) for severity in Severity
    ]
    return _Draw("Signs", rows, 36.0), 36.0, 4.6 + 4.6 * len(rows)


def scale_bar(x: float, y: float, scale: float, display: str) -> Group:
    """A bar of one metre, or of three feet, in true length at the scale; its ground measures exactly that."""
    unit, count, label = (FOOT, 3, "3 ft") if display == "US" else (0.25, 4, "1 m")
    part = unit * 1000 / scale
    thin = Look(fill=PAPER, stroke=INK, width=0.0)
    parts: list[Shape] = [Rectangle(x=x, y=y, width=part * count, height=1.6, look=thin)]
    parts.extend(
        Rectangle(x=x + part * index, y=y, width=part, height=1.6, look=Look(fill=INK))
        for index in range(0, count, 2)
    )
    edge = Look(stroke=INK, width=0.15)
    parts.extend(
        (line((x, y), (x + part * count, y), edge), line((x, y + 1.6), (x + part * count, y + 1.6), edge))
    )
    parts.append(Text(at=(x, y - 0.9), text="0", size=2.2, colour=INK))
    parts.append(Text(at=(x + part * count, y - 0.9), text=label, size=2.2, colour=INK, anchor="middle"))
    return Group(parts=tuple(parts), id="scale-bar", title=f"scale bar, {label}")


def _title(results: DrawnResults, sheet: Sheet) -> _Block:
    bar = (FOOT * 3 if sheet.display == "US" else 1.0) * 1000 / sheet.scale
    wide = max(70.0, bar + 12)
    draw = _TitleBlock(results, sheet, wide)
    return draw, wide, 30.0


class _TitleBlock(_Draw):
    """The box with title, layer, plan and scale."""

    def __init__(self, results: DrawnResults, sheet: Sheet, width: float) -> None:
        super().__init__("", [], width)
        self.results, self.sheet = results, sheet

    def __call__(self, x: float, y: float) -> Iterator[Shape]:
        sheet, inner = self.sheet, self.width - 6
        yield Rectangle(x=x, y=y, width=self.width, height=30.0, look=Look(stroke=INK, width=0.35))
        size = fitting_size(sheet.title, inner, most=3.4, bold=True)
        yield Text(at=(x + 3, y + 5), text=sheet.title, size=size, colour=INK, bold=True)
        what = f"{sheet.what}, " + LAYER_WORDS[self.results.layer].lower()
        yield Text(at=(x + 3, y + 9.2), text=what, size=2.5, colour=INK)
        source = f"from {sheet.plan_name}" if sheet.plan_name else ""
        yield Text(at=(x + 3, y + 13), text=source, size=fitting_size(source, inner, most=2.4), colour=QUIET)
        yield Text(
            at=(x + 3, y + 17.2), text=f"1:{sheet.scale:g} when printed at full size", size=2.5, colour=INK
        )
        yield scale_bar(x + 3, y + 23, sheet.scale, sheet.display)
