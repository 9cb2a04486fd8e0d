"""The drill sheet of a kind of tank: its drilled pane seen from outside, measured from two finished edges.

Where the pane fits the paper it is drawn 1:1, so that the sheet can be laid on the glass to check by; else the corner
with the hole is 1:1 and the pane small beside it. A diameter nobody measured is left open to be filled in.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from tankwright.drawing.colour import GLASS, INK, LINE, PAPER, QUIET, TEAL, WINE
from tankwright.drawing.dimensions import chain, leader, overall
from tankwright.drawing.drill_stress import DrillStress
from tankwright.drawing.drill_words import NOTES_GAP, NOTES_WIDE, both, diameter_words, notes_beside
from tankwright.drawing.measured import MEASURED_IN, measured_off
from tankwright.drawing.model import (
    Circle,
    Drawing,
    Look,
    Point,
    Polyline,
    Rectangle,
    Shape,
    Text,
    fitting_size,
    line,
)
from tankwright.drawing.page import NO_NOTES, Notes, Page
from tankwright.drawing.paper import Paper
from tankwright.drawing.sheet import SCALES
from tankwright.room.model import Pane, Room
from tankwright.takeoff.panes import LEFT_EDGE, LOWER_EDGE, TankPane, finished_pane, kinds_of

_CENTRE: Final = Look(stroke=QUIET, width=0.15, dash=(3.0, 0.8, 0.6, 0.8))
_FLANGE: Final = Look(stroke=TEAL, width=0.25, dash=(1.4, 0.8))
_EDGE: Final = Look(fill=GLASS, stroke=LINE, width=0.5)
_ROOM: Final = (28.0, 24.0)  # mm left of and under a pane for its dimension lines
_WINDOW: Final = 150.0  # mm, the most of a corner that is shown


def drill_sheets(
    room: Room,
    *,
    paper: Paper = "A4",
    plan_name: str = "",
    notes: Notes = NO_NOTES,
    stresses: Mapping[tuple[str, Pane], DrillStress] | None = None,
) -> tuple[Drawing, ...]:
    """One sheet for each hole of each kind of tank that is drilled here, in the order they stand.

    `stresses` is what is known of the stress at each hole, by kind of tank and pane.
    """
    made = []
    for tank in kinds_of(room):
        tanks = sum(one.kind == tank.kind for one in room.tanks)
        many = max((hole.number for hole in tank.holes), default=0)
        for hole in tank.holes:
            if hole.to_order:
                continue
            pane = finished_pane(tank, hole.pane, room.assumed).at_hole(hole.number)
            stress = (stresses or {}).get((tank.kind, hole.pane))
            which = f", hole {hole.number} of {many}" if many > 1 else ""
            made.append(
                drill_sheet(
                    pane, tanks, room.display, room.title, paper, plan_name, notes, stress=stress, which=which
                )
            )
    return tuple(made)


def drill_sheet(  # noqa: PLR0913 - one argument for each thing that is said of a sheet
    pane: TankPane,
    tanks: int,
    display: str,
    title: str = "",
    paper: Paper = "A4",
    plan_name: str = "",
    notes: Notes = NO_NOTES,
    *,
    stress: DrillStress | None = None,
    which: str = "",
) -> Drawing:
    """The sheet of one drilled pane; ValueError when it has no hole. `which` tells it from the tank's other holes."""
    if pane.hole is None:
        raise ValueError(f"the {pane.pane} pane of {pane.kind} has no hole")
    page = Page(
        paper=paper,
        notes=notes,
        title=f"{title}: drill sheet, {pane.kind}, {pane.pane} pane{which}".removeprefix(": "),
        said=(
            f"seen from OUTSIDE the tank, {_stand(pane)}; {MEASURED_IN.get(display, MEASURED_IN['metric'])}, from two "
            f"finished outside edges: the lower one (the tank's {LOWER_EDGE[pane.pane]}) and the left one (the tank's "
            f"{LEFT_EDGE[pane.pane]}, named as from its front)"
            + (f"; from {plan_name}" if plan_name else ""),
        ),
    )
    words, under = notes_beside(pane, tanks, display, page, stress)
    area = (page.left, page.top, page.right - NOTES_WIDE - NOTES_GAP, page.bottom - 2.0)
    wide, tall = pane.width * 1000, pane.height * 1000
    room = (area[2] - area[0] - _ROOM[0] - 6.0, area[3] - area[1] - _ROOM[1] - 6.0)
    if wide <= room[0] and tall <= room[1]:
        shapes = [*_whole(pane, display, area, 1.0)]
        return page.drawn((*words, *shapes), scale=1.0, bar=True)
    free = page.bottom - 4.0 - under - 4.0
    scale = _scale(pane, display, (NOTES_WIDE - _ROOM[0], free - _ROOM[1] - 3.0))
    small = (page.right - NOTES_WIDE - 4.0, under + 4.0, page.right, page.bottom)
    shapes = [
        *_whole(pane, display, small, scale, said=f"the whole pane, 1:{scale:g}"),
        *_corner(pane, display, area),
    ]
    return page.drawn((*words, *shapes), scale=1.0, bar=True)


def _stand(pane: TankPane) -> str:
    if pane.pane == "base":
        return "from underneath, turned over forwards onto its rim"
    return {
        "back": "standing behind it",
        "left": "standing at its left end",
        "right": "standing at its right end",
    }.get(pane.pane, "standing before it") + (
        ", so left and right are swapped against the front" if pane.pane == "back" else ""
    )


def _scale(pane: TankPane, display: str, room: tuple[float, float]) -> float:
    usual = (2, 5, *SCALES.get(display, SCALES["metric"]))
    return next(
        (n for n in sorted(usual) if pane.width * 1000 / n <= room[0] and pane.height * 1000 / n <= room[1]),
        usual[-1],
    )


def _whole(
    pane: TankPane, display: str, area: tuple[float, float, float, float], scale: float, said: str = ""
) -> Iterator[Shape]:
    """The whole pane with its four measures from the datum edges."""
    hole = pane.hole
    assert hole is not None
    wide, tall = pane.width * 1000 / scale, pane.height * 1000 / scale
    x0, y0 = area[0] + _ROOM[0], area[1] + 8.0
    y1 = y0 + tall
    if said:
        yield Text(
            at=(x0, y0 - 2.5),
            text=said,
            size=fitting_size(said, area[2] - x0, most=2.6),
            colour=INK,
            bold=True,
        )
    yield Rectangle(x=x0, y=y0, width=wide, height=tall, look=_EDGE)
    yield from _datum((x0, y0), (x0, y1), (x0 + wide, y1))
    centre = (x0 + hole.across * 1000 / scale, y1 - hole.up * 1000 / scale)
    radius = hole.diameter.value * 500 / scale
    yield from _circles(pane, centre, radius, scale)
    rings = [
        (x0 + one.across * 1000 / scale, y1 - one.up * 1000 / scale, one.diameter.value * 500 / scale)
        for one in pane.others
    ]
    yield from _others(pane, rings, (x0, y0, x0 + wide, y1))
    level = (hole.across, pane.width - hole.across)
    yield from chain(
        (x0, centre[0], x0 + wide), [measured_off(one, display, fine=True) for one in level], y1 + 8.0, "under",
        reach=y1, arrows=True, within=(area[0], area[2]),
    ).parts  # fmt: skip
    yield from overall(
        x0, x0 + wide, measured_off(pane.width, display, fine=True), y1 + 17.0, "under", arrows=True
    ).parts
    yield from chain(
        (y1, centre[1], y0), [measured_off(one, display, fine=True) for one in (hole.up, pane.height - hole.up)],
        x0 - 9.0, "left", reach=x0, arrows=True,
    ).parts  # fmt: skip
    yield from overall(
        y1, y0, measured_off(pane.height, display, fine=True), x0 - 19.0, "left", arrows=True
    ).parts
    if not said:
        size = (radius + 12.0, radius + 8.0)
        elbow, right = _elbow(centre, size, centre[0] < x0 + wide / 2, rings)
        tip = _on_ring(centre, elbow, radius)
        yield from leader(tip, elbow, diameter_words(pane, display), size=3.0, rightwards=right, bold=True)


def _datum(top: Point, corner: Point, right: Point) -> Iterator[Shape]:
    """The two edges everything is measured from, drawn heavy."""
    yield Polyline(points=(top, corner, right), look=Look(stroke=INK, width=1.0))


def _circles(pane: TankPane, centre: Point, radius: float, scale: float) -> Iterator[Shape]:
    hole = pane.hole
    assert hole is not None
    (x, y) = centre
    far = radius + 4.0
    look = Look(fill=PAPER, stroke=INK, width=0.4, dash=(2.0, 1.0) if hole.diameter.is_assumed else ())
    if hole.flange is not None:
        flange = hole.flange.value * 500 / scale
        far = max(far, flange + 2.0)
        yield Circle(centre=centre, radius=flange, look=_FLANGE)
    yield Circle(centre=centre, radius=radius, look=look)
    yield line((x - far, y), (x + far, y), _CENTRE)
    yield line((x, y - far), (x, y + far), _CENTRE)


def _others(
    pane: TankPane, rings: list[tuple[float, float, float]], within: tuple[float, float, float, float]
) -> Iterator[Shape]:
    """The further holes of the pane where they lie wholly in the picture, each with its number: not for this sheet."""
    for hole, (x, y, radius) in zip(pane.others, rings, strict=True):
        if not (within[0] <= x - radius and x + radius <= within[2]):
            continue
        if not (within[1] <= y - radius and y + radius <= within[3]):
            continue
        yield Circle(
            centre=(x, y), radius=radius, look=Look(fill=PAPER, stroke=QUIET, width=0.25, dash=(1.0, 0.8))
        )
        for said in (f"hole {hole.number}", f"{hole.number}"):
            size = fitting_size(said, 1.6 * radius, most=min(2.4, 0.8 * radius), least=1.2)
            if size:
                yield Text(at=(x, y + 0.36 * size), text=said, size=size, colour=QUIET, anchor="middle")
                break


_SAID: Final = (34.0, 9.0)  # mm taken by what is written at the end of a leader


def _elbow(
    centre: Point, away: tuple[float, float], right: bool, rings: list[tuple[float, float, float]]
) -> tuple[Point, bool]:
    """Where a leader bends and whether it goes on to the right: as it is wished, or else where no further hole is in
    its way."""
    choices = [(right, 1.0), (right, -1.0), (not right, 1.0), (not right, -1.0)]
    for rightwards, turn in choices:
        elbow = (centre[0] + (away[0] if rightwards else -away[0]), centre[1] + turn * away[1])
        x0, x1 = (centre[0], elbow[0] + _SAID[0]) if rightwards else (elbow[0] - _SAID[0], centre[0])
        y0, y1 = sorted((centre[1], elbow[1] + (_SAID[1] if turn * away[1] > 0 else -_SAID[1])))
        if all(
            math.hypot(x - min(max(x, x0), x1), y - min(max(y, y0), y1)) > radius for x, y, radius in rings
        ):
            return elbow, rightwards
    return (centre[0] + (away[0] if right else -away[0]), centre[1] + away[1]), right


def _on_ring(centre: Point, towards: Point, radius: float) -> Point:
    dx, dy = towards[0] - centre[0], towards[1] - centre[1]
    run = (dx * dx + dy * dy) ** 0.5 or 1.0
    return centre[0] + dx / run * radius, centre[1] + dy / run * radius


@dataclass(frozen=True, slots=True)
class _Part:
    """How much of a pane is shown 1:1 along one axis: from its low or its high edge where the hole is near enough to
    it, else a piece about the hole."""

    low: float
    high: float
    edge: float | None


def _shown(at: float, whole: float, room: float, around: float) -> _Part:
    if min(at, whole - at) + around > room:
        return _Part(at - room / 2, at + room / 2, None)
    if at <= whole - at:
        return _Part(0.0, min(room, whole), 0.0)
    return _Part(max(whole - room, 0.0), whole, whole)


def _corner(pane: TankPane, display: str, area: tuple[float, float, float, float]) -> Iterator[Shape]:
    """The corner of the pane with the hole, 1:1, measured from the edges it shows."""
    hole = pane.hole
    assert hole is not None
    radius = hole.diameter.value * 500
    around = max(radius, hole.flange.value * 500 if hole.flange else 0.0) + 6.0
    room = (min(area[2] - area[0] - 26.0, _WINDOW), min(area[3] - area[1] - 30.0, _WINDOW))
    across = _shown(hole.across * 1000, pane.width * 1000, room[0], around)
    up = _shown(hole.up * 1000, pane.height * 1000, room[1], around)
    x0, y0 = area[0] + 13.0, area[1] + 17.0
    wide, tall = across.high - across.low, up.high - up.low
    x1, y1 = x0 + wide, y0 + tall
    said = "the hole, 1:1; heavy edges are finished edges, wavy ones run on"
    yield Text(at=(area[0] + 13.0, area[1] + 5.5), text=said, size=2.6, colour=INK, bold=True)
    yield Rectangle(x=x0, y=y0, width=wide, height=tall, look=Look(fill=GLASS))
    edges: list[tuple[Point, Point, bool]] = [
        ((x0, y0), (x0, y1), across.edge == 0.0), ((x1, y0), (x1, y1), across.edge not in (None, 0.0)),
        ((x0, y1), (x1, y1), up.edge == 0.0), ((x0, y0), (x1, y0), up.edge not in (None, 0.0)),
    ]  # fmt: skip
    for start, end, finished in edges:
        if finished:
            yield line(start, end, Look(stroke=INK, width=1.0))
        else:
            yield _torn(start, end)
    if pane.toughened:
        yield Polyline(points=((x0, y0), (x1, y1)), look=Look(stroke=WINE, width=0.8))
        yield Polyline(points=((x0, y1), (x1, y0)), look=Look(stroke=WINE, width=0.8))
    centre = (x0 + hole.across * 1000 - across.low, y1 - (hole.up * 1000 - up.low))
    yield from _circles(pane, centre, radius, 1.0)
    if across.edge is not None:
        ends = (x0, centre[0]) if across.edge == 0.0 else (centre[0], x1)
        far = hole.across if across.edge == 0.0 else pane.width - hole.across
        above = up.edge not in (None, 0.0)
        yield from overall(
            *ends, both(far, display), y0 - 5.0 if above else y1 + 6.0,
            "over" if above else "under", reach=y0 if above else y1, size=2.8, arrows=True,
        ).parts  # fmt: skip
    if up.edge is not None:
        ends = (y1, centre[1]) if up.edge == 0.0 else (y0, centre[1])
        far = hole.up if up.edge == 0.0 else pane.height - hole.up
        leftwards = across.edge in (None, 0.0)
        yield from overall(
            *ends, both(far, display), x0 - 6.0 if leftwards else x1 + 6.0,
            "left" if leftwards else "right", reach=x0 if leftwards else x1, size=2.8, arrows=True,
        ).parts  # fmt: skip
    below = y1 - centre[1] >= centre[1] - y0
    rightwards = x1 - centre[0] >= centre[0] - x0
    rings = [
        (x0 + one.across * 1000 - across.low, y1 - (one.up * 1000 - up.low), one.diameter.value * 500)
        for one in pane.others
    ]
    yield from _others(pane, rings, (x0, y0, x1, y1))
    drop = around + 5.0 if below else -around - 5.0
    elbow, rightwards = _elbow(centre, (10.0, drop), rightwards, rings)
    below = elbow[1] > centre[1]
    tip = _on_ring(centre, elbow, radius)
    yield from leader(tip, elbow, diameter_words(pane, display), size=3.0, rightwards=rightwards, bold=True)
    if hole.flange is not None:
        said = f"flange ⌀ {both(hole.flange.value, display)}"
        ring = hole.flange.value * 500
        elbow = (elbow[0] - (4.0 if rightwards else -4.0), elbow[1] + (6.0 if below else -6.0))
        yield from leader(_on_ring(centre, elbow, ring), elbow, said, size=2.4, rightwards=rightwards)


def _torn(start: Point, end: Point) -> Polyline:
    """A broken edge: the pane goes on."""
    (x0, y0), (x1, y1) = start, end
    run = max(abs(x1 - x0), abs(y1 - y0))
    count = max(int(run // 4), 2)
    level = abs(x1 - x0) >= abs(y1 - y0)
    points = []
    for index in range(count + 1):
        share = index / count
        aside = 0.0 if index in (0, count) else 0.7 if index % 2 else -0.7
        x, y = x0 + (x1 - x0) * share, y0 + (y1 - y0) * share
        points.append((x, y + aside) if level else (x + aside, y))
    return Polyline(points=tuple(points), look=Look(stroke=QUIET, width=0.2))
