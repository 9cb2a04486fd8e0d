"""Where the hole of a pane could go: the share of its strength a pane uses with the hole at each place of a grid.

Seen from outside, as it is drilled. Places that are kept out are hatched, with a letter for the first reason; where the
hole is and where the least would be asked of the glass are marked.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby, pairwise
from typing import Final

from tankwright.display import words
from tankwright.drawing.colour import GLASS, INK, PAPER, QUIET, TEAL, USE, step_for
from tankwright.drawing.measured import measured_off
from tankwright.drawing.model import (
    Circle,
    Drawing,
    Group,
    Hatching,
    Look,
    Point,
    Rectangle,
    Shape,
    Text,
    fitting_size,
    line,
)
from tankwright.drawing.page import written
from tankwright.drawing.pane_view import (
    CAUTION,
    SIDE,
    UNDER,
    PaneView,
    braces,
    outline,
    pane_name,
    ring,
    scale_for,
    water_line,
)
from tankwright.drawing.stress_field import BAR
from tankwright.finding import Number
from tankwright.systems.glass_full_model import KEPT_OUT_WORDS, HoleMap, HoleSpot, KeptOut

WIDTH: Final = 180.0
_TALLEST: Final = 92.0
_ROW: Final = 4.4
_Box = tuple[float, float, float, float]
LETTERS: Final[dict[KeptOut, str]] = {
    "edge": "e", "corner": "c", "upright": "u", "brace": "b", "flange": "f", "hose": "h", "another hole": "o",
    "level": "l", "not worked out": "?",
}  # fmt: skip
"""How a place that is kept out is marked in the picture, by its first reason."""


def draw_hole_map(found: HoleMap, *, display: str = "metric", width: float = WIDTH) -> Drawing:
    """The map of one hole of a pane."""
    case = found.case
    title = f"{pane_name(case)}: where the hole could go"
    shapes: list[Shape] = [
        Text(at=(0.0, 4.6), text=title, size=fitting_size(title, width, most=4.6, bold=True), colour=INK,
             bold=True)
    ]  # fmt: skip
    said = _said(found, display)
    made, y = written(said, (0.0, 9.2), width, size=2.4, colour=QUIET)
    shapes += made
    scale = scale_for(case, (width - SIDE - BAR, _TALLEST))
    view = PaneView(case=case, left=SIDE, top=y + 1.0, scale=scale)
    shapes.append(
        Rectangle(x=view.left, y=view.top, width=view.width, height=view.height, look=Look(fill=GLASS))
    )
    shapes += water_line(view)
    shapes += _cells(found, view, display)
    shapes += outline(view, display)
    shapes += braces(view)
    rows = tuple(_places(found, display))
    for number, (spot, look, _) in enumerate(rows, start=1):
        shapes += _hole(found, spot, look, number, view)
    reasons = tuple(dict.fromkeys(one.kept_out[0] for one in found.spots if one.kept_out))
    aside, low = _legend(found, reasons, (view.box[2] + 6.0, view.top))
    shapes += aside
    y = max(view.box[3] + UNDER, low) + 5.0
    for number, (_, _, told) in enumerate(rows, start=1):
        shapes += ring(number, (1.9, y - 0.9))
        made, y = written(told, (5.0, y), width - 5.0, size=2.7, bold=number == 1)
        shapes += made
        y += 0.9
    for row in (*_warned(found), CAUTION):
        made, y = written(row, (0.0, y), width, size=2.3, colour=QUIET)
        shapes += made
        y += 0.5
    return Drawing(
        width=width, height=y, scale=scale, title=title, description=f"{said} {CAUTION}", parts=tuple(shapes)
    )  # fmt: skip


def _w(value: float, dimension: str, display: str) -> str:
    return words(Number(value, dimension), display)


def _mm(metres: float, display: str) -> str:
    return measured_off(metres, display, fine=True) + ("" if display == "US" else " mm")


def _said(found: HoleMap, display: str) -> str:
    known = "assumed, not measured" if found.diameter.is_assumed else "as the plan says"
    return (
        f"Seen from OUTSIDE the tank. Each cell: the share of its strength the pane uses with the middle of the hole "
        f"there. Hole of {_mm(found.diameter.value, display)}, {known}. Without it the pane comes to "
        f"{_w(found.plain, 'stress', display)} at the most."
    )


def _warned(found: HoleMap) -> Iterator[str]:
    if found.status != "solved":
        yield f"Not computed: {found.status}."
    elif found.best is None:
        yield "No place of the grid is free of all that keeps a hole out and holds the level that is wanted."
    if not found.around.uprights_known:
        yield "No rack is described behind it: whether an upright stands in the way is not known."
    if found.around.hose is None:
        yield "How much room there is outside for nut, elbow and hose is not known."


def _edges(stops: tuple[float, ...], most: float) -> list[float]:
    """Where the cells of a grid meet: half way between its lines, as far beyond the outer ones."""
    if len(stops) == 1:
        return [0.0, most]
    between = [(one + other) / 2 for one, other in pairwise(stops)]
    first = max(2 * stops[0] - between[0], 0.0)
    last = min(2 * stops[-1] - between[-1], most)
    return [first, *between, last]


def _cells(found: HoleMap, view: PaneView, display: str) -> Iterator[Shape]:
    """Every place of the grid as a cell: its share in its colour, or hatched with the letter of its reason."""
    if not found.spots:
        return
    across, up = _edges(found.across, found.case.length), _edges(found.up, found.case.height)

    def box(row: int, first: int, last: int) -> _Box:
        one, other = view.at(across[first], up[row]), view.at(across[last + 1], up[row + 1])
        x, y = min(one[0], other[0]), min(one[1], other[1])
        return x, y, abs(other[0] - one[0]), abs(other[1] - one[1])

    for row in range(len(found.up)):
        column = 0
        for reason, some in groupby(found.row(row), key=_reason):
            spots = tuple(some)
            last = column + len(spots) - 1
            if reason is not None:
                yield _kept_out(reason, spots, box(row, column, last))
            else:
                yield from (
                    _cell(spot, box(row, column + n, column + n), display) for n, spot in enumerate(spots)
                )
            column = last + 1


def _reason(spot: HoleSpot) -> KeptOut | None:
    """Why there is no hole at a place in the first place; None where there may be one."""
    if spot.kept_out:
        return spot.kept_out[0]
    return "not worked out" if spot.use is None else None


def _kept_out(reason: KeptOut, spots: tuple[HoleSpot, ...], box: _Box) -> Group:
    """Neighbours that are kept out by the same, hatched as one."""
    x, y, wide, tall = box
    middle = (x + wide / 2, y + tall / 2)
    label = LETTERS[reason]
    size = fitting_size(label, wide, most=min(2.4, tall * 0.8))
    every = dict.fromkeys(one for spot in spots for one in spot.kept_out or (reason,))
    parts: tuple[Shape, ...] = (
        Rectangle(x=x, y=y, width=wide, height=tall, look=Look(fill=PAPER)),
        Hatching(x=x, y=y, width=wide, height=tall),
        Circle(centre=middle, radius=size * 0.62, look=Look(fill=PAPER)),
        Text(at=(middle[0], middle[1] + size * 0.33), text=label, size=size, colour=QUIET, anchor="middle"),
    )
    return Group(parts=parts, title="; ".join(KEPT_OUT_WORDS[one] for one in every))


def _cell(spot: HoleSpot, box: _Box, display: str) -> Group:
    """A place where the hole may be, with its share of the strength."""
    x, y, wide, tall = box
    share = spot.use or 0.0
    step, told = step_for(share, USE), _w(share, "share", display)
    label = told.removesuffix(" %")
    size = fitting_size(label, wide * 0.92, most=min(2.4, tall * 0.8))
    at = (x + wide / 2, y + tall / 2 + size * 0.36)
    worst = "" if spot.worst is None else f", {_w(spot.worst, 'stress', display)} at the most"
    return Group(
        parts=(
            Rectangle(x=x, y=y, width=wide, height=tall, look=Look(fill=step.fill, stroke=INK, width=0.08)),
            Text(at=at, text=label, size=size, colour=step.text, anchor="middle"),
        ),
        title=f"{_mm(spot.from_left, display)} from the left, {_mm(spot.below_rim, display)} below the rim: "
        f"{told}{worst}",
    )


def _places(found: HoleMap, display: str) -> Iterator[tuple[HoleSpot, Look, str]]:
    """The hole as it is and the better places, each with how it is drawn and what is said of it."""
    now, best, free = found.present, found.best, found.best_any_level
    if now is not None and best is not None and (now.x, now.y) == (best.x, best.y):
        told = f"The hole now, and nowhere is less asked of the glass: {_told(found, now, display)}"
        yield now, Look(fill=PAPER, stroke=TEAL, width=0.9), told
        return
    if now is not None:
        told = f"The hole now: {_told(found, now, display)}"
        if now.kept_out:
            told += f" Not there: {', '.join(KEPT_OUT_WORDS[one] for one in now.kept_out)}."
        yield now, Look(fill=PAPER, stroke=INK, width=0.4), told
    if best is not None:
        least = "The least is asked of the glass"
        yield best, Look(fill=PAPER, stroke=TEAL, width=0.9), f"{least}: {_told(found, best, display)}"
    if free is not None and (best is None or (free.x, free.y) != (best.x, best.y)):
        told = _told(found, free, display)
        yield (
            free,
            Look(fill=PAPER, stroke=TEAL, width=0.5, dash=(1.2, 0.8)),
            f"At another level of water: {told}",
        )


def _told(found: HoleMap, spot: HoleSpot, display: str) -> str:
    end = "from the front" if found.case.pane in ("left", "right") else "from the left"
    rim = "from the back" if found.case.pane == "base" else "below the rim"
    front = "" if found.case.pane in ("left", "right") else " as seen from the tank's front"
    place = f"{_mm(spot.from_left, display)} {end}{front}, {_mm(spot.below_rim, display)} {rim}"
    if spot.use is None or spot.worst is None:
        return f"{place}; not worked out."
    told = f"{place}; {_w(spot.worst, 'stress', display)}, {_w(spot.use, 'share', display)} of the strength."
    if spot.levels is not None:
        low, high = (_mm(one, display) for one in spot.levels)
        told += f" Its elbow turned holds the water {low} to {high} below the rim."
    return told


def _hole(found: HoleMap, spot: HoleSpot, look: Look, number: int, view: PaneView) -> Iterator[Shape]:
    """The hole at a place in its true size, and the number of the line that tells of it."""
    centre = view.at(spot.x, spot.y)
    radius = max(view.mm(found.diameter.value) / 2, 1.0)
    yield Circle(centre=centre, radius=radius + 0.5, look=Look(stroke=PAPER, width=0.8))
    yield Circle(centre=centre, radius=radius, look=look)
    at = _beside(centre, radius, number, view)
    yield line(centre, at, Look(stroke=INK, width=0.3))
    yield from ring(number, at)


def _beside(centre: Point, radius: float, number: int, view: PaneView) -> Point:
    """Where the number stands: towards the middle of the pane, each number in a direction of its own."""
    left, top, right, bottom = view.box
    level = 1.0 if centre[0] < (left + right) / 2 else -1.0
    down = 1.0 if centre[1] < (top + bottom) / 2 else -1.0
    far = radius + 3.4
    dx, dy = ((0.9, 0.9), (0.2, 1.25), (1.25, 0.2))[(number - 1) % 3]
    return centre[0] + level * dx * far, centre[1] + down * dy * far


def _legend(found: HoleMap, reasons: tuple[KeptOut, ...], at: Point) -> tuple[tuple[Shape, ...], float]:
    """The colours that are used, and the letters of what keeps a hole out."""
    x, y = at
    wide = BAR - 6.0
    shapes: list[Shape] = [Text(at=(x, y + 2.2), text="of its strength", size=2.2, colour=INK, bold=True)]
    y += 4.2
    used = {step_for(one.use, USE) for one in found.spots if one.use is not None and not one.kept_out}
    for step in (one for one in USE if one in used):
        shapes.append(
            Rectangle(x=x, y=y, width=6.0, height=3.2, look=Look(fill=step.fill, stroke=INK, width=0.2))
        )
        shapes.append(Text(at=(x + 7.5, y + 2.4), text=step.words, size=2.2, colour=INK))
        y += _ROW
    if reasons:
        y += 1.0
        shapes.append(Text(at=(x, y + 2.2), text="kept out", size=2.2, colour=INK, bold=True))
        y += 4.6
    for reason in reasons:
        shapes += (
            Rectangle(x=x, y=y - 0.4, width=6.0, height=3.2, look=Look(fill=PAPER, stroke=QUIET, width=0.2)),
            Hatching(x=x, y=y - 0.4, width=6.0, height=3.2),
            Circle(centre=(x + 3.0, y + 1.2), radius=1.4, look=Look(fill=PAPER)),
            Text(at=(x + 3.0, y + 1.9), text=LETTERS[reason], size=2.2, colour=QUIET, anchor="middle"),
        )
        made, low = written(KEPT_OUT_WORDS[reason], (x + 7.5, y + 2.0), wide - 7.5, size=2.1)
        shapes += made
        y = max(y + _ROW, low - 0.6)
    return tuple(shapes), y
