"""A pane on the screen whose hole is taken by hand: seen from outside, as it is drilled.

The colours say what the rim of the hole would bear if it stood there; hatched is where its middle may not be.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final, Literal

from tankwright.drawing.colour import AMBER, FAINT, GLASS, INK, LINE, PAPER, QUIET, TEAL, USE, WINE, step_for
from tankwright.drawing.dimensions import overall
from tankwright.drawing.frame import length_words
from tankwright.drawing.model import (
    Circle,
    Drawing,
    Group,
    Hatching,
    Look,
    Point,
    Polyline,
    Rectangle,
    Shape,
    Text,
    line,
)
from tankwright.drawing.screen_svg import to_screen_svg
from tankwright.room.model import Pane
from tankwright.takeoff.panes import LEFT_EDGE, LOWER_EDGE
from tankwright.units import Dimensionless, Metre

WIDTH: Final = 120.0
"""The page's width in mm; shown 610 dots wide, writing of 3.5 mm is 18 dots tall, on a phone 11."""
TARGET: Final = 8.0  # mm; the least a finger is asked to hit, on a phone of 360 dots 24 of them

_TALLEST: Final = 74.0
_SIDE: Final = 15.0
_OVER: Final = 12.5
_UNDER: Final = 6.5
_TEXT: Final = 3.5
_AWAY: Final = 3.6  # mm from an edge to the dimension line beside it
_OPPOSITE: Final = {"left": "right", "right": "left", "front": "back", "back": "front"}


@dataclass(frozen=True, slots=True, kw_only=True)
class LiveHole:
    """A hole as it is drilled: from the left edge as the plan says it, below the rim (on a base from the back)."""

    across: Metre
    down: Metre
    diameter: Metre
    flange: Metre | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """A piece of the pane, from (`across`, `down`) to the far corner: its colour by `use`, None for none; hatched where
    the hole may not stand."""

    across: tuple[Metre, Metre]
    down: tuple[Metre, Metre]
    use: Dimensionless | None
    kept_out: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class LivePane:
    """What is drawn of a pane. `water` is how far below the rim the still water stands, None for a base. `held` is the
    hole a hand may take, `tried` where it was tried; `others` stay where they are. `worst_at` is where the pane bears
    the most as the plan has it."""

    kind: str
    pane: Pane
    width: Metre
    height: Metre
    water: Metre | None
    cells: tuple[Cell, ...]
    held: LiveHole | None
    number: int = 0
    tried: LiveHole | None = None
    others: tuple[LiveHole, ...] = ()
    worst_at: tuple[Metre, Metre] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class _Frame:
    """From the plan's measures to the page."""

    left: float
    top: float
    width: float
    height: float
    scale: float
    mirrored: bool
    over: bool

    def at(self, across: Metre, down: Metre) -> Point:
        """A place on the page."""
        x = self.left + (self.width - across * self.scale if self.mirrored else across * self.scale)
        y = self.top + (self.height - down * self.scale if self.over else down * self.scale)
        return x, y


def draw_live_pane(pane: LivePane, display: str, *, movable: bool, name: str = "pane") -> str:
    """The pane as inline SVG, its hole with a handle when it is `movable`.

    >>> plain = LivePane(kind="a", pane="front", width=0.6, height=0.3, water=0.04, cells=(), held=None)
    >>> draw_live_pane(plain, "metric", movable=False)[:24]
    '<svg class="drawing pane'
    """
    frame = _frame(pane)
    shapes = [*_glass(pane, frame), *_water(pane, frame), *_worst(pane, frame)]
    shapes += [*_edges(pane, frame)]
    shapes += [Group(parts=tuple(_ring(one, frame, QUIET)), classes=("other",)) for one in pane.others]
    if pane.held is not None:
        shapes += _held(pane, pane.held, frame, display, movable=movable)
    drawing = Drawing(
        width=WIDTH,
        height=frame.top + frame.height + _UNDER,
        scale=1000.0 / frame.scale,
        title=f"The {said_pane(pane.pane)} of {pane.kind}, seen from outside",
        description="",
        parts=tuple(shapes),
    )
    data = (("data-display", display), ("data-scale", f"{frame.scale:.5f}"))
    return to_screen_svg(drawing, classes=("pane",), data=data, name=name)


def said_pane(pane: Pane) -> str:
    """A pane as one calls it.

    >>> said_pane("left"), said_pane("back")
    ('left end', 'back pane')
    """
    return {"left": "left end", "right": "right end", "base": "base"}.get(pane, f"{pane} pane")


def _frame(pane: LivePane) -> _Frame:
    scale = min((WIDTH - 2 * _SIDE) / pane.width, _TALLEST / pane.height)
    width, height = pane.width * scale, pane.height * scale
    return _Frame(
        left=(WIDTH - width) / 2,
        top=_OVER,
        width=width,
        height=height,
        scale=scale,
        mirrored=LEFT_EDGE[pane.pane] in ("right", "back"),
        over=pane.pane == "base",
    )


def _glass(pane: LivePane, frame: _Frame) -> Iterator[Shape]:
    yield Rectangle(x=frame.left, y=frame.top, width=frame.width, height=frame.height, look=Look(fill=GLASS))
    by_look: dict[str, list[Shape]] = {}
    hatched: list[Shape] = []
    for cell in pane.cells:
        (x0, y0), (x1, y1) = frame.at(cell.across[0], cell.down[0]), frame.at(cell.across[1], cell.down[1])
        x, y, wide, tall = min(x0, x1), min(y0, y1), abs(x1 - x0), abs(y1 - y0)
        if cell.kept_out:
            hatched.append(Hatching(x=x, y=y, width=wide, height=tall))
        if cell.use is not None:
            fill = step_for(cell.use, USE).fill
            look = Look(fill=fill, stroke=fill, width=0.12)  # no seams between them
            by_look.setdefault(fill.token, []).append(Rectangle(x=x, y=y, width=wide, height=tall, look=look))
    if by_look:
        cells = tuple(shape for shapes in by_look.values() for shape in shapes)
        yield Group(parts=cells, classes=("field",))
    if hatched:
        yield Group(parts=tuple(hatched), classes=("kept-out",))
    yield Rectangle(
        x=frame.left, y=frame.top, width=frame.width, height=frame.height, look=Look(stroke=LINE, width=0.5)
    )


def _water(pane: LivePane, frame: _Frame) -> Iterator[Shape]:
    if pane.water is None:
        return
    y = frame.at(0.0, pane.water)[1]
    look = Look(stroke=TEAL, width=0.35, dash=(1.6, 1.0))
    yield line((frame.left, y), (frame.left + frame.width, y), look)
    aside = -1.0 if frame.mirrored else 1.0  # on the other side than the measures
    x = frame.left - 0.8 if frame.mirrored else frame.left + frame.width + 0.8
    tip = ((x, y), (x + aside * 1.8, y - 1.6), (x + aside * 1.8, y + 1.6))
    yield Polyline(points=tip, closed=True, look=Look(fill=TEAL))


def _worst(pane: LivePane, frame: _Frame) -> Iterator[Shape]:
    if pane.worst_at is None:
        return
    x, y = frame.at(*pane.worst_at)
    cross = Look(stroke=WINE, width=0.6)
    half = 1.4
    yield Group(
        parts=(
            Circle(centre=(x, y), radius=half + 0.9, look=Look(fill=PAPER, stroke=WINE, width=0.3)),
            line((x - half, y - half), (x + half, y + half), cross),
            line((x - half, y + half), (x + half, y - half), cross),
        ),
        classes=("worst",),
        data=(("data-at", f"{pane.worst_at[0]:.5f} {pane.worst_at[1]:.5f}"),),
        title="Where it bears the most",
    )


def _edges(pane: LivePane, frame: _Frame) -> Iterator[Shape]:
    """Which edge of the tank lies where: as seen from outside left and right may be swapped."""
    lower = LOWER_EDGE[pane.pane]
    upper = "front edge" if pane.pane == "base" else "rim"
    middle = frame.left + frame.width / 2
    yield _note(upper, (middle, frame.top - 8.6))
    yield _note("back edge" if lower == "back" else "base", (middle, frame.top + frame.height + 4.6))
    left = LEFT_EDGE[pane.pane]
    centre = frame.top + frame.height / 2
    names = ((left, frame.left - 9.6), (_OPPOSITE[left], frame.left + frame.width + 12.2))
    for edge, x in names:
        yield Text(
            at=(x, centre), text=f"tank's {edge}", size=_TEXT, colour=QUIET, anchor="middle", turn=270.0
        )


def _note(text: str, at: Point) -> Text:
    return Text(at=at, text=text, size=_TEXT, colour=QUIET, anchor="middle")


def _held(pane: LivePane, hole: LiveHole, frame: _Frame, display: str, *, movable: bool) -> Iterator[Shape]:
    shown = pane.tried or hole
    if pane.tried is not None:
        yield Group(
            parts=tuple(_ring(hole, frame, QUIET)), classes=("was-there",), title="As the plan has it"
        )
    yield Group(parts=tuple(_measures(shown, frame, display)), classes=("measures",))
    x, y = frame.at(shown.across, shown.down)
    ring = tuple(_ring(shown, frame, TEAL if pane.tried is None else AMBER))
    if not movable:
        yield Group(parts=ring, classes=("hole",))
        return
    radius = max(shown.diameter / 2 * frame.scale, TARGET / 2)
    target = Circle(centre=(x, y), radius=radius, look=Look(fill=PAPER, stroke=FAINT, width=0.01))
    place = (
        f"{length_words(shown.across, display)} from the {measured_from(pane.pane)}, "
        f"{length_words(shown.down, display)} {measured_down(pane.pane)}"
    )
    said = f"Hole of {pane.kind}: drag it, or move it with the arrow keys; {place}"
    half = shown.diameter / 2
    yield Group(
        parts=(Group(parts=(target,), classes=("target",)), *ring, *_dots((x, y))),
        classes=("bore",),
        data=(
            ("data-kind", pane.kind),
            ("data-pane", pane.pane),
            ("data-number", str(pane.number)),
            ("data-across", f"{shown.across:.5f}"),
            ("data-down", f"{shown.down:.5f}"),
            ("data-place", f"{hole.across:.5f} {hole.down:.5f}"),
            ("data-room", f"{half:.5f} {pane.width - half:.5f} {half:.5f} {pane.height - half:.5f}"),
            ("data-edges", f"{frame.left:.2f} {frame.top:.2f} {frame.width:.2f} {frame.height:.2f}"),
            ("data-ways", f"{-1 if frame.mirrored else 1} {-1 if frame.over else 1}"),
            ("data-words", f"from the {measured_from(pane.pane)}|{measured_down(pane.pane)}"),
            ("role", "button"),
            ("tabindex", "0"),
            ("aria-label", said),
        ),
    )


def measured_from(pane: Pane) -> str:
    """The edge of the tank the plan measures a hole from, level.

    >>> measured_from("back"), measured_from("right")
    ('left', 'front')
    """
    return "front" if pane in ("left", "right") else "left"


def measured_down(pane: Pane) -> str:
    """And the other way.

    >>> measured_down("back"), measured_down("base")
    ('below the rim', 'from the back')
    """
    return "from the back" if pane == "base" else "below the rim"


def _measures(hole: LiveHole, frame: _Frame, display: str) -> Iterator[Shape]:
    """The two measures the plan says, as dimension lines."""
    x, y = frame.at(hole.across, hole.down)
    edge_x, edge_y = frame.at(0.0, 0.0)
    if abs(x - edge_x) > 1e-6:
        label = length_words(hole.across, display)
        line_at = frame.top - _AWAY
        yield from overall(edge_x, x, label, line_at, "over", reach=frame.top, size=_TEXT, arrows=True).parts
    if abs(y - edge_y) > 1e-6:
        label = length_words(hole.down, display)
        side: Literal["left", "right"] = "right" if frame.mirrored else "left"
        line_at = edge_x + (_AWAY if frame.mirrored else -_AWAY)
        yield from overall(edge_y, y, label, line_at, side, reach=edge_x, size=_TEXT, arrows=True).parts


def _ring(hole: LiveHole, frame: _Frame, colour: str) -> Iterator[Shape]:
    centre = frame.at(hole.across, hole.down)
    if hole.flange is not None:
        yield Circle(
            centre=centre,
            radius=hole.flange / 2 * frame.scale,
            look=Look(stroke=colour, width=0.35, dash=(1.2, 0.7)),
        )
    yield Circle(
        centre=centre,
        radius=hole.diameter / 2 * frame.scale,
        look=Look(fill=PAPER, stroke=colour, width=0.6),
    )


def _dots(centre: Point) -> Iterator[Shape]:
    x, y = centre
    for dx in (-0.6, 0.6):
        yield line(
            (x + dx, y - 0.6),
            (x + dx, y + 0.61),
            Look(stroke=INK, width=0.55, dash=(0.01, 1.19), round_ends=True),
        )
