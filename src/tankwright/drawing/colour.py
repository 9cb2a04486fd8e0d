"""Colours and marks of a drawing: near-white paper, green-black ink, and colour only for results.

The result scale diverges around "just enough" = 100 %. Its numbers and colours are our choice, no source;
that text stays readable on every step (contrast at least 4.5:1, as WCAG 2.1 asks of small text) is a test.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from tankwright.drawing.model import Circle, Group, Look, Point, Polyline, Rectangle, Shape, line
from tankwright.finding import Severity

PAPER: Final = "#fbfbf8"
INK: Final = "#14241f"
QUIET: Final = "#5a6a64"
FAINT: Final = "#c9d0cc"
TEAL: Final = "#0f6e6e"
WALL: Final = "#2b3a35"
WOOD: Final = "#efe9dc"
GLASS: Final = "#ffffff"
WATER: Final = "#dfeaf0"

AMBER: Final = "#c77700"
WINE: Final = "#8e1b36"
GREY: Final = "#6a706d"


@dataclass(frozen=True, slots=True)
class Step:
    """One step of a scale: everything below `below`, its fill, the text colour on it, its words."""

    below: float
    name: str
    fill: str
    text: str
    words: str


ENOUGH: Final = (
    Step(0.50, "plum", "#64274d", "#ffffff", "under 50 %"),
    Step(0.80, "clay", "#a8502f", "#ffffff", "50 to 80 %"),
    Step(0.95, "sand", "#e9c98c", INK, "80 to 95 %"),
    Step(1.15, "pale", "#e8efe2", INK, "95 to 115 %: just right"),
    Step(1.60, "teal", "#7fc0b8", INK, "115 to 160 %"),
    Step(float("inf"), "deep blue", "#1d4f7c", "#ffffff", "over 160 %"),
)
"""The scale of results told as a share of what is needed."""

AMOUNT: Final = (
    Step(0.25, "lightest", "#eef3f1", INK, "up to a quarter of the largest"),
    Step(0.50, "light", "#c9dedb", INK, "a quarter to a half"),
    Step(0.75, "middle", "#8fbdb8", INK, "a half to three quarters"),
    Step(float("inf"), "dark", "#1f6f6d", "#ffffff", "three quarters and more"),
)
"""The scale of plain amounts, as a share of the largest in the room: more is not better or worse."""


def step_for(share: float, scale: tuple[Step, ...] = ENOUGH) -> Step:
    """The step of a scale that a share falls in.

    >>> step_for(0.87).name, step_for(1.0).name, step_for(7.0).name
    ('sand', 'pale', 'deep blue')
    """
    return next((step for step in scale if share < step.below), scale[-1])


def contrast(first: str, second: str) -> float:
    """Contrast ratio of two "#rrggbb" colours, 1 to 21.

    Source: W3C, Web Content Accessibility Guidelines 2.1, relative luminance and contrast ratio; from memory.

    >>> round(contrast("#000000", "#ffffff"), 1)
    21.0
    """
    dark, light = sorted((_luminance(first), _luminance(second)))
    return (light + 0.05) / (dark + 0.05)


def _luminance(colour: str) -> float:
    parts = (int(colour[index : index + 2], 16) / 255 for index in (1, 3, 5))
    red, green, blue = (
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def hatch(x: float, y: float, width: float, height: float, spacing: float = 1.6) -> tuple[Shape, ...]:
    """Slanting lines over a rectangle: "no data". Drawn as lines, so that every writer can show them."""
    look = Look(stroke=FAINT, width=0.25)
    lines: list[Shape] = []
    offset = spacing
    while offset < width + height:
        start = (x + min(offset, width), y + max(0.0, offset - width))
        end = (x + max(0.0, offset - height), y + min(offset, height))
        lines.append(line(start, end, look))
        offset += spacing
    return tuple(lines)


def mark(severity: Severity, centre: Point, size: float, title: str = "") -> Group:
    """The sign of a severity: wine-red square with a cross, amber triangle, ink dot, grey ring."""
    x, y = centre
    half = size / 2
    parts: tuple[Shape, ...]
    if severity is Severity.PROBLEM:
        cross = Look(stroke="#ffffff", width=size * 0.14, round_ends=True)
        arm = half * 0.5
        parts = (
            Rectangle(x=x - half, y=y - half, width=size, height=size, look=Look(fill=WINE)),
            line((x - arm, y - arm), (x + arm, y + arm), cross),
            line((x - arm, y + arm), (x + arm, y - arm), cross),
        )
    elif severity is Severity.WARNING:
        points = ((x, y - half), (x + half, y + half), (x - half, y + half))
        parts = (
            Polyline(points=points, closed=True, look=Look(fill=AMBER, stroke="#ffffff", width=size * 0.08)),
        )
    elif severity is Severity.NOTE:
        parts = (Circle(centre=centre, radius=half * 0.5, look=Look(fill=QUIET)),)
    else:
        parts = (
            Circle(centre=centre, radius=half * 0.8, look=Look(stroke=GREY, width=size * 0.2, fill=PAPER)),
        )
    return Group(parts=parts, classes=("mark", severity.value.replace(" ", "-")), title=title)
