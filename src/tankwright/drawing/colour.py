"""Colours and marks of a drawing: near-white paper, green-black ink, and colour only for results.

Every colour is a token with a light and a dark value. A file is drawn in the light ones; a screen names the token
(`var(--d-ink)`), so that one drawing follows the reader's theme. `web/static/drawing.css` holds both sets.

The result scale diverges around "just enough" = 100 %. Its numbers and colours are our choice, no source;
that text stays readable on every step in both themes (contrast at least 4.5:1, as WCAG 2.1 asks of small text)
is a test. On dark ground the scale runs the other way: what is just right is quiet, what is far off is bright.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Final

from tankwright.drawing.model import Circle, Group, Look, Point, Polyline, Rectangle, Shape, line
from tankwright.finding import Severity


class Colour(str):
    """A colour of the table: itself the light "#rrggbb", with the token's name and the dark "#rrggbb".

    >>> ink = Colour("ink", "#14241f", "#e6ece8")
    >>> ink == "#14241f", ink.token, ink.dark
    (True, 'ink', '#e6ece8')
    """

    token: str
    dark: str

    def __new__(cls, token: str, light: str, dark: str) -> Colour:
        made = super().__new__(cls, light)
        made.token, made.dark = token, dark
        return made

    def __eq__(self, other: object) -> bool:
        """Two tokens that are both white on paper are not the same colour."""
        return str.__eq__(self, other) is True and getattr(other, "token", self.token) == self.token

    def __ne__(self, other: object) -> bool:
        return not self == other

    __hash__ = str.__hash__


PAPER: Final = Colour("paper", "#fbfbf8", "#111715")
INK: Final = Colour("ink", "#14241f", "#e6ece8")
LINE: Final = Colour("line", "#14241f", "#8fa098")
QUIET: Final = Colour("quiet", "#5a6a64", "#a3b3ac")
FAINT: Final = Colour("faint", "#c9d0cc", "#46534e")
TEAL: Final = Colour("teal", "#0f6e6e", "#5cc4bf")
WALL: Final = Colour("wall", "#2b3a35", "#5b6c65")
WOOD: Final = Colour("wood", "#efe9dc", "#2b2a22")
GLASS: Final = Colour("glass", "#ffffff", "#1b2320")
WATER: Final = Colour("water", "#dfeaf0", "#22363f")
BLOCK: Final = Colour("block", "#dcd9d2", "#383a35")
PANE: Final = Colour("pane", "#ffffff", "#9fb8c4")
FLOW: Final = Colour("flow", "#8fc3cf", "#3d7d8d")

AMBER: Final = Colour("amber", "#c77700", "#f0a83a")
WINE: Final = Colour("wine", "#8e1b36", "#ee6b86")
GREY: Final = Colour("grey", "#6a706d", "#a7aeaa")
CROSS: Final = Colour("cross", "#ffffff", "#1c060c")
RIM: Final = Colour("rim", "#ffffff", "#111715")


@dataclass(frozen=True, slots=True)
class Step:
    """One step of a scale: everything below `below`, its fill, the text colour on it, its words."""

    below: float
    name: str
    fill: Colour
    text: Colour
    words: str


def _step(
    below: float, name: str, light: tuple[str, str], dark: tuple[str, str], words: str, token: str = ""
) -> Step:
    """A step from its (ground, writing) in the light and in the dark theme."""
    token = token or name.replace(" ", "-")
    fill = Colour(token, light[0], dark[0])
    return Step(below, name, fill, Colour(f"on-{token}", light[1], dark[1]), words)


ENOUGH: Final = (
    _step(0.50, "plum", ("#64274d", "#ffffff"), ("#cf8fba", "#1a0c15"), "under 50 %"),
    _step(0.80, "clay", ("#a8502f", "#ffffff"), ("#cf7d55", "#160c07"), "50 to 80 %"),
    _step(0.95, "sand", ("#e9c98c", "#14241f"), ("#846730", "#ffffff"), "80 to 95 %"),
    _step(1.15, "pale", ("#e8efe2", "#14241f"), ("#2d3a33", "#e6ece8"), "95 to 115 %: just right"),
    _step(1.60, "teal", ("#7fc0b8", "#14241f"), ("#2c726a", "#ffffff"), "115 to 160 %", "plenty"),
    _step(float("inf"), "deep blue", ("#1d4f7c", "#ffffff"), ("#86b4e2", "#0b1620"), "over 160 %"),
)
"""The scale of results told as a share of what is needed."""

AMOUNT: Final = (
    _step(0.25, "amount 1", ("#eef3f1", "#14241f"), ("#26312d", "#e6ece8"), "up to a quarter of the largest"),
    _step(0.50, "amount 2", ("#c9dedb", "#14241f"), ("#2d4f4b", "#e6ece8"), "a quarter to a half"),
    _step(0.75, "amount 3", ("#8fbdb8", "#14241f"), ("#3a7671", "#ffffff"), "a half to three quarters"),
    _step(
        float("inf"), "amount 4", ("#1f6f6d", "#ffffff"), ("#93d3cd", "#0a1614"), "three quarters and more"
    ),
)
"""The scale of plain amounts, as a share of the largest in the room: more is not better or worse."""

USE: Final = (
    _step(0.20, "use 1", ("#f1f5f2", "#14241f"), ("#222c28", "#e6ece8"), "under 20 %"),
    _step(0.40, "use 2", ("#d9e8e4", "#14241f"), ("#2a403b", "#e6ece8"), "20 to 40 %"),
    _step(0.60, "use 3", ("#b9d6d0", "#14241f"), ("#31544d", "#e6ece8"), "40 to 60 %"),
    _step(0.80, "use 4", ("#93bdb7", "#14241f"), ("#3d6c63", "#ffffff"), "60 to 80 %"),
    _step(1.00, "use 5", ("#d6964a", "#14241f"), ("#b87d38", "#160c07"), "80 to 100 %"),
    _step(1.25, "use 6", ("#ae542c", "#ffffff"), ("#e0906a", "#160c07"), "100 to 125 %"),
    _step(1.60, "use 7", ("#84313f", "#ffffff"), ("#f2a6a4", "#1c060c"), "125 to 160 %"),
    _step(float("inf"), "use 8", ("#5c2550", "#ffffff"), ("#f6cbe9", "#1a0c15"), "over 160 %"),
)
"""The scale of a share of what a material may bear: quiet below, warm where it comes near, and darker all the way up on
paper (brighter in the dark), so that a print in grey tells it too."""

SCALES: Final[Mapping[str, tuple[Step, ...]]] = {"enough": ENOUGH, "amount": AMOUNT, "use": USE, "none": ()}
"""Every scale by its name."""

TABLE: Final[tuple[Colour, ...]] = (
    PAPER, INK, LINE, QUIET, FAINT, TEAL, WALL, WOOD, GLASS, WATER, BLOCK, PANE, FLOW, AMBER, WINE, GREY, CROSS, RIM,
    *(colour for step in (*ENOUGH, *AMOUNT, *USE) for colour in (step.fill, step.text)),
)  # fmt: skip
"""Every colour a drawing may use."""


def tokens_css(table: Iterable[Colour] = TABLE) -> str:
    """A table as custom properties: light, dark by choice or by the reader's system, and light again for print.

    >>> tokens_css().splitlines()[0][:24]
    ':root{--d-paper:#fbfbf8;'
    """
    colours = tuple(table)
    light = ";".join(f"--d-{colour.token}:{colour!s}" for colour in colours)
    dark = ";".join(f"--d-{colour.token}:{colour.dark}" for colour in colours)
    return (
        f":root{{{light}}}\n"
        f":root[data-theme=dark]{{{dark}}}\n"
        f"@media (prefers-color-scheme:dark){{:root:not([data-theme=light]){{{dark}}}}}\n"
        f"@media print{{:root:root:root{{{light}}}}}\n"
    )


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
        cross = Look(stroke=CROSS, width=size * 0.14, round_ends=True)
        arm = half * 0.5
        parts = (
            Rectangle(x=x - half, y=y - half, width=size, height=size, look=Look(fill=WINE)),
            line((x - arm, y - arm), (x + arm, y + arm), cross),
            line((x - arm, y + arm), (x + arm, y - arm), cross),
        )
    elif severity is Severity.WARNING:
        points = ((x, y - half), (x + half, y + half), (x - half, y + half))
        parts = (Polyline(points=points, closed=True, look=Look(fill=AMBER, stroke=RIM, width=size * 0.08)),)
    elif severity is Severity.NOTE:
        parts = (Circle(centre=centre, radius=half * 0.5, look=Look(fill=QUIET)),)
    else:
        parts = (
            Circle(centre=centre, radius=half * 0.8, look=Look(stroke=GREY, width=size * 0.2, fill=PAPER)),
        )
    return Group(
        parts=parts, classes=("mark", severity.value.replace(" ", "-")), title=title,
        sign=(severity.value, centre, size),
    )  # fmt: skip
