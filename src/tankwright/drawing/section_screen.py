"""The long-section of a drain for a page: large enough to read the water in it, its tanks as links.

Heights have two scales. Round the pipe they are drawn large, so that fall and depth can be seen; above a break, where
only tanks and their hoses are, they are drawn small. Heading, legend and tables are the page's own.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from math import inf
from typing import Final

from tankwright.drawing.colour import FAINT, FLOW, INK, PAPER, QUIET, TEAL, WINE, mark
from tankwright.drawing.legend import LegendItem
from tankwright.drawing.model import (
    Circle,
    Drawing,
    Group,
    Look,
    Polyline,
    Rectangle,
    Shape,
    Text,
    line,
    text_width,
)
from tankwright.drawing.results import DrawnResults
from tankwright.drawing.screen_svg import to_screen_svg
from tankwright.drawing.section_parts import (
    KEY,
    SectionFrame,
    falls,
    heights,
    outfall_sign,
    pipe,
    segments_of,
    table,
)
from tankwright.drawing.svg import identifier
from tankwright.room.model import DrainRun, Room, Tank
from tankwright.units import Metre, convert

WIDTH: Final = 200.0
"""The page's width in mm, as of the room's drawing."""

_LEFT: Final = 17.0  # mm for the heights
_RIGHT: Final = 20.0  # mm for the outfall's name
_NODE: Final = 4.4  # mm a joint needs beside the next
_LOW: Final = 66.0  # mm the part under the break may take
_HIGH: Final = 46.0  # mm the part above it may take
_LARGEST: Final = 4.0  # 1:4 in height; a short drain is not blown up beyond it
_OVER: Final = 0.09  # m over the highest crown that still belong to the pipe
_ROWS: Final = {"US": 14.0}  # mm, a row of the table under the section; feet and inches are long
_ROW: Final = 11.0
_APART: Final = 6.0  # mm between two lines of height, at least
_NAME: Final = 2.4
_STEPS: Final = {
    "metric": (0.02, 0.05, 0.10, 0.25, 0.50, 1.0, 2.0),
    "US": tuple(convert(inches, "in", "m") for inches in (1, 2, 4, 6, 12, 24, 48)),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class ScreenSection:
    """The section as SVG text, its legend, and by how much heights are drawn larger than lengths: round the
    pipe, and above the break (None when there is none). `width` is in mm."""

    svg: str
    legend: tuple[LegendItem, ...]
    larger: float
    larger_above: float | None
    width: float


def draw_screen_section(
    room: Room, run: DrainRun, results: DrawnResults, *, link: Callable[[str], str]
) -> ScreenSection:
    """The section of one drain with the water the results' pieces say; `link` gives a tank's address.

    >>> from tankwright.origin import derived
    >>> run = DrainRun(id="d", outfall="", nodes=(), bore=derived(0.05), manning_n=derived(0.009),
    ...     fall=derived(0.02), vented=True, derived=True)
    >>> empty = Room(title="", display="metric", spaces=(), racks=(), tanks=())
    >>> draw_screen_section(empty, run, DrawnResults(layer="drain"), link=str).width
    200.0
    """
    tanks = {tank.id: tank for tank in room.tanks if tank.hose is not None and tank.hose.drain == run.id}
    pieces = segments_of(run, results)
    inverts = [node.place[2] for node in run.nodes] or [0.0]
    lowest, crown = min(*inverts, 0.0) - 0.03, max(inverts) + run.bore.value
    levels = [level for one in pieces.values() for level in (one.levels or ())]
    highest = max([crown, *levels, *(tank.rim for tank in tanks.values())]) + 0.05
    joints = sum(bool(node.tanks) for node in run.nodes)
    width = max(WIDTH, _LEFT + _RIGHT + _NODE * joints)
    length = max((node.chainage for node in run.nodes), default=0.0)
    along = max(length * 1000 / (width - _LEFT - _RIGHT), 1.0)
    frame = _frame(lowest, crown, highest, along)
    row = _ROWS.get(room.display, _ROW)
    wide = length * 1000 / along
    drawing = Drawing(
        width=width,
        height=frame.bottom + 4 + 2 * row,
        scale=along,
        title=f"Long-section of drain {run.id}",
        description="",
        parts=(
            *_height_lines(room.display, frame, wide, (lowest, highest)),
            *_break(frame, wide, highest),
            *_hoses(run, tanks, frame),
            *_names(run, tanks, results, frame, link),
            Group(parts=_in_layers(pipe(run, pieces, frame)), place=run.id, title=f"drain {run.id}"),
            *_joint_dots(run, frame),
            *_told(run, results, frame),
            *falls(run, room.display, frame),
            *outfall_sign(room, run, frame),
            *table(room.display, run, frame, (0.0, frame.bottom + 3), row),
        ),
    )
    return ScreenSection(
        svg=to_screen_svg(drawing, classes=("section",), name=identifier("section", run.id)),
        legend=_legend(), larger=along / frame.up, width=width,
        larger_above=along / frame.up_above if highest > frame.knee else None,
    )  # fmt: skip


def _frame(lowest: Metre, crown: Metre, highest: Metre, along: float) -> SectionFrame:
    """Both scales of height, so that pipe and tanks each keep to their part of the page."""
    knee = crown + _OVER
    if highest <= knee + _OVER:
        knee = highest
    up = max((knee - lowest) * 1000 / _LOW, _LARGEST)
    above = max((highest - knee) * 1000 / _HIGH, up)
    tall = (knee - lowest) * 1000 / up + (highest - knee) * 1000 / above
    return SectionFrame(
        left=_LEFT, bottom=2.0 + tall, lowest=lowest, along=along, up=up, knee=knee, up_above=above
    )


def _height_lines(
    display: str, frame: SectionFrame, wide: float, span: tuple[Metre, Metre]
) -> Iterator[Shape]:
    lowest, highest = span
    steps = _STEPS.get(display, _STEPS["metric"])
    for low, high, scale in ((lowest, frame.knee, frame.up), (frame.knee, highest, frame.up_above)):
        step = next((one for one in steps if one * 1000 / scale >= _APART), steps[-1])
        yield from heights(display, frame, wide, (low, high), step)


def _break(frame: SectionFrame, wide: float, highest: Metre) -> Iterator[Shape]:
    """A saw line across the section where the scale of height changes."""
    if highest <= frame.knee:
        return
    x0, y = frame.at(0.0, frame.knee)
    count = int((wide + 6) // 2)
    points = tuple((x0 - 2 + 2 * index, y + (0.7 if index % 2 else -0.7)) for index in range(count + 1))
    yield Polyline(points=points, look=Look(stroke=FAINT, width=0.3))


def _in_layers(shapes: Iterable[Shape]) -> tuple[Shape, ...]:
    """All beds, then all water, then all lines: water of neighbours then is one shape without seams."""
    every = tuple(shapes)
    looks = list(dict.fromkeys(shape.look for shape in every if isinstance(shape, Polyline)))
    ordered = sorted(looks, key=lambda look: (not look.fill, look.fill == FLOW))
    return tuple(shape for look in ordered for shape in every if getattr(shape, "look", None) == look)


def _hoses(run: DrainRun, tanks: dict[str, Tank], frame: SectionFrame) -> Iterator[Shape]:
    """Every hose from its tank's lip to its joint, with lip and rim as short lines."""
    lips: list[Shape] = []
    for node in run.nodes:
        foot = frame.at(node.chainage, node.place[2] + run.bore.value)
        for tank in (tanks[name] for name in node.tanks if name in tanks):
            lip, rim = frame.at(node.chainage, tank.level), frame.at(node.chainage, tank.rim)
            yield line(lip, foot, Look(stroke=QUIET, width=0.3))
            lips += [
                line((lip[0] - 1.5, lip[1]), (lip[0] + 1.5, lip[1]), Look(stroke=TEAL, width=0.5)),
                line((rim[0] - 1.0, rim[1]), (rim[0] + 1.0, rim[1]), Look(stroke=INK, width=0.25)),
            ]
    yield from sorted(lips, key=lambda one: isinstance(one, Polyline) and one.look.stroke == TEAL)


def _names(
    run: DrainRun,
    tanks: dict[str, Tank],
    results: DrawnResults,
    frame: SectionFrame,
    link: Callable[[str], str],
) -> Iterator[Shape]:
    """Each tank's name as a link under its lip; tanks of one joint at one height stand in a row."""
    for node in run.nodes:
        here = sorted((tanks[name] for name in node.tanks if name in tanks), key=lambda tank: tank.level)
        x, y = 0.0, inf
        for tank in here:
            lip = frame.at(node.chainage, tank.level)
            if abs(y - lip[1]) >= _NAME:
                x, y = lip[0] + 1.0, lip[1]
            yield _name(tank, results, (x, y), link)
            x += text_width(tank.id, _NAME, bold=True) + 1.0
            flag = results.mark(tank.id)
            if flag is not None:
                yield mark(flag.severity, (lip[0] - 2.8, lip[1] - 0.2), 2.0, flag.title)


def _name(tank: Tank, results: DrawnResults, at: tuple[float, float], link: Callable[[str], str]) -> Group:
    drawn = results.tank(tank.id)
    said = f"{tank.id}, {drawn.title}" if drawn is not None and drawn.title else tank.id
    x, y = at
    wide = text_width(tank.id, _NAME, bold=True)
    return Group(
        parts=(
            Rectangle(x=x - 0.3, y=y + 0.7, width=wide + 0.3, height=_NAME + 0.5, look=Look(fill=PAPER)),
            Text(at=(x, y + 3.0), text=tank.id, size=_NAME, colour=INK, bold=True),
        ),
        classes=("name",), place=tank.id, link=link(tank.id), title=said,
    )  # fmt: skip


def _joint_dots(run: DrainRun, frame: SectionFrame) -> Iterator[Shape]:
    for node in run.nodes:
        if node.tanks:
            centre = frame.at(node.chainage, node.place[2] + run.bore.value)
            yield Circle(centre=centre, radius=0.7, look=Look(fill=PAPER, stroke=INK, width=0.3))


def _told(run: DrainRun, results: DrawnResults, frame: SectionFrame) -> Iterator[Shape]:
    """How full its fullest piece is, written over it."""
    nodes = {node.id: node for node in run.nodes}
    for piece in segments_of(run, results).values():
        if not piece.label or piece.start not in nodes or piece.end not in nodes:
            continue
        first, second = nodes[piece.start], nodes[piece.end]
        middle = (first.chainage + second.chainage) / 2
        x, y = frame.at(middle, max(first.place[2], second.place[2]) + run.bore.value)
        text = piece.label if piece.full is None or piece.label == "drowned" else f"{piece.label} full"
        colour = WINE if piece.label == "drowned" else INK
        wide = text_width(text, 2.8, bold=True)
        ground = Look(fill=PAPER)
        yield Polyline(
            points=((x - wide / 2, y - 5.2), (x + wide / 2, y - 5.2), (x + wide / 2, y - 1.6), (x - wide / 2, y - 1.6)),
            closed=True, look=ground,
        )  # fmt: skip
        yield Text(at=(x, y - 2.4), text=text, size=2.8, colour=colour, anchor="middle", bold=True)


def _legend() -> tuple[LegendItem, ...]:
    """What the lines mean, each with a sample."""
    joint = Circle(centre=(5.0, 2.0), radius=1.4, look=Look(fill=PAPER, stroke=INK, width=0.5))
    samples: list[tuple[Shape, str]] = [
        (line((0.0, 2.0), (10.0, 2.0), replace(look, width=look.width * 2)), name) for look, name in KEY
    ]
    samples.append((joint, "joint of hoses"))
    items = []
    for sample, name in samples:
        drawing = Drawing(width=10, height=4, scale=1, title=name, description="", parts=(sample,))
        swatch = to_screen_svg(drawing, classes=("swatch",), hidden=True)
        items.append(LegendItem(kind="line", words=name, swatch=swatch))
    return tuple(items)


__all__ = ["ScreenSection", "draw_screen_section"]
