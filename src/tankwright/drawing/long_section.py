"""The long-section of a shared drain: its way unrolled, its fall, the water in it, and every hose and lip above it.

Lengths along the drain and heights have scales of their own, as is usual for drains: heights are drawn larger, so that
a fall of one in sixty can be seen. Both scales stand in the title block.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from tankwright.display import words
from tankwright.drawing.colour import FAINT, FLOW, GLASS, INK, PAPER, QUIET, TEAL, WINE, mark
from tankwright.drawing.frame import length_words
from tankwright.drawing.model import (
    Circle,
    Drawing,
    Group,
    Look,
    Point,
    Polyline,
    Rectangle,
    Shape,
    Text,
    fitting_size,
    line,
    text_width,
)
from tankwright.drawing.results import DrawnResults, DrawnSegment
from tankwright.drawing.sheet import SCALES
from tankwright.drawing.svg import identifier
from tankwright.finding import Number
from tankwright.room.model import DrainRun, Room, Tank
from tankwright.units import convert

MARGIN: Final = 10.0
HEIGHT_SCALE: Final = 10.0
_LEFT: Final = 24.0  # mm for the heights and the names of the table's rows
_RIGHT: Final = 26.0
_ROWS: Final = {"US": 19.0}  # mm, a row of the table under the section; feet and inches are long
_ROW: Final = 13.0
_HANDY: Final = 380.0  # mm
_CLOSEST: Final = 3.4  # mm between two columns of the table


@dataclass(frozen=True, slots=True)
class _Scale:
    left: float
    bottom: float
    lowest: float
    along: float
    up: float

    def at(self, chainage: float, height: float) -> Point:
        return self.left + chainage * 1000 / self.along, self.bottom - (height - self.lowest) * 1000 / self.up


def draw_long_section(
    room: Room, run: DrainRun, results: DrawnResults, *, plan_name: str = "", scale: float | None = None
) -> Drawing:
    """The section of one drain run, 1:10 in height and at 1:`scale` along it, as large a page as it needs.

    Without a scale it is the largest usual one at which the page stays handy.

    `results` are those of the drain layer; segments they do not know are drawn without water.
    """
    tanks = [tank for tank in room.tanks if tank.hose is not None and tank.hose.drain == run.id]
    inverts = [node.place[2] for node in run.nodes]
    tops = [*(tank.rim for tank in tanks), *inverts, 0.3]
    segments = {(one.start, one.end): one for one in results.segments if one.drain == run.id}
    tops.extend(level for one in segments.values() for level in (one.levels or ()))
    lowest, highest = min([*inverts, 0.0]) - 0.05, max(tops) + 0.08
    length = run.nodes[-1].chainage if run.nodes else 0.0
    usual = SCALES.get(room.display, SCALES["metric"])
    scale = scale or next((one for one in usual if length * 1000 / one <= _HANDY), usual[-1])
    wide = max(length * 1000 / scale, 140.0)
    page_width = 2 * MARGIN + _LEFT + wide + _RIGHT
    top = MARGIN + 24
    bottom = top + (highest - lowest) * 1000 / HEIGHT_SCALE
    frame = _Scale(MARGIN + _LEFT, bottom, lowest, scale, HEIGHT_SCALE)
    height = bottom + 2 * _ROWS.get(room.display, _ROW) + 6 + MARGIN + 2
    how = "derived from the racks it passes" if run.derived else "as drawn in the plan"
    note = f"lengths 1:{scale:g}, heights 1:{HEIGHT_SCALE:g}; the way is {how}" + (
        f"; from {plan_name}" if plan_name else ""
    )
    title = f"{room.title}: drain {run.id}, long-section"
    inner = page_width - 2 * MARGIN
    parts: list[Shape] = [
        Rectangle(x=0, y=0, width=page_width, height=height, look=Look(fill=PAPER)),
        Text(at=(MARGIN, MARGIN + 6), text=title, size=fitting_size(title, inner, most=5.5, bold=True),
             colour=INK, bold=True),
        line((MARGIN, MARGIN + 8.6), (MARGIN + inner, MARGIN + 8.6), Look(stroke=INK, width=0.5)),
        Text(at=(MARGIN, MARGIN + 13), text=note, size=fitting_size(note, inner, most=2.6), colour=QUIET),
        *_key(MARGIN + 16.2),
        *_heights(room, frame, wide, lowest, highest),
        Group(parts=tuple(_hoses(run, tanks, results, frame)), id="hoses", layer="drain"),
        Group(parts=tuple(_pipe(run, segments, frame)), id=identifier("section", run.id), layer="drain",
              place=run.id, title=f"drain {run.id}, to {run.outfall}"),
        *_falls(run, room.display, frame),
        *_outfall(room, run, frame),
        *_table(room, run, frame, bottom + 4),
    ]  # fmt: skip
    return Drawing(
        width=page_width, height=height, scale=scale, title=title, description=note, parts=tuple(parts)
    )


def _key(y: float) -> Iterator[Shape]:
    """What the short lines mean, on one row under the heading."""
    samples = (
        (Look(stroke=INK, width=0.25), "rim"),
        (Look(stroke=TEAL, width=0.5), "water in the tank, at its overflow's lip"),
        (Look(stroke=QUIET, width=0.3), "hose"),
        (Look(stroke=FLOW, width=1.2), "water in the drain"),
        (Look(stroke=WINE, width=0.4, dash=(1.6, 0.8)), "pressure line where it is drowned"),
    )
    x = MARGIN
    for look, name in samples:
        yield line((x, y), (x + 3.2, y), look)
        yield Text(at=(x + 4.2, y + 0.7), text=name, size=2.2, colour=QUIET)
        x += 4.2 + text_width(name, 2.2) + 3.0


def _heights(room: Room, frame: _Scale, wide: float, lowest: float, highest: float) -> Iterator[Shape]:
    """Height lines every quarter metre (or foot), the floor stronger."""
    step = convert(1.0, "ft", "m") if room.display == "US" else 0.25
    for index in range(int(lowest // step), int(highest // step) + 1):
        height = index * step
        if not lowest <= height <= highest:
            continue
        x, y = frame.at(0.0, height)
        floor = index == 0
        look = Look(stroke=INK if floor else FAINT, width=0.4 if floor else 0.15)
        yield line((x - 2, y), (x + wide + 4, y), look)
        label = "floor" if floor else length_words(height, room.display)
        yield Text(at=(x - 3, y + 0.8), text=label, size=2.2, colour=INK if floor else QUIET, anchor="end")


def _pipe(run: DrainRun, segments: dict[tuple[str, str], DrawnSegment], frame: _Scale) -> Iterator[Shape]:
    """Invert and crown as lines, the water between them, the pressure line where the pipe is drowned."""
    bore = run.bore.value
    bed = Look(fill=GLASS)
    edge = Look(stroke=INK, width=0.35)
    for first, second in pairwise(run.nodes):
        ends = ((first.chainage, first.place[2]), (second.chainage, second.place[2]))
        lower = [frame.at(*end) for end in ends]
        upper = [frame.at(at, z + bore) for at, z in ends]
        yield Polyline(points=(*lower, *reversed(upper)), closed=True, look=bed)
        known = segments.get((first.id, second.id))
        if known is not None and known.levels is not None:
            wet = [
                frame.at(at, min(max(level, z), z + bore))
                for (at, z), level in zip(ends, known.levels, strict=True)
            ]
            yield Polyline(points=(*lower, *reversed(wet)), closed=True, look=Look(fill=FLOW))
            over = [level > z + bore + 1e-4 for (_, z), level in zip(ends, known.levels, strict=True)]
            if any(over):
                pressure = [frame.at(at, level) for (at, _), level in zip(ends, known.levels, strict=True)]
                yield line(pressure[0], pressure[1], Look(stroke=WINE, width=0.4, dash=(1.6, 0.8)))
        yield line(lower[0], lower[1], edge)
        yield line(upper[0], upper[1], Look(stroke=INK, width=0.2))


def _hoses(run: DrainRun, tanks: list[Tank], results: DrawnResults, frame: _Scale) -> Iterator[Shape]:
    """At each node its tanks' hoses, from lip to pipe, with the tanks' names beside the lips."""
    for node in run.nodes:
        here = sorted((tank for tank in tanks if tank.id in node.tanks), key=lambda tank: tank.level)
        if not here:
            continue
        x, y = frame.at(node.chainage, node.place[2] + run.bore.value)
        rows: list[tuple[float, str]] = []
        for tank in here:
            lip = frame.at(node.chainage, tank.level)
            rim = frame.at(node.chainage, tank.rim)
            yield line(lip, (x, y), Look(stroke=QUIET, width=0.3))
            yield line((lip[0] - 1.6, lip[1]), (lip[0] + 1.6, lip[1]), Look(stroke=TEAL, width=0.5))
            yield line((rim[0] - 1.0, rim[1]), (rim[0] + 1.0, rim[1]), Look(stroke=INK, width=0.25))
            if rows and abs(rows[-1][0] - lip[1]) < 2.6:
                rows[-1] = (rows[-1][0], f"{rows[-1][1]}, {tank.id}")
            else:
                rows.append((lip[1], tank.id))
            flag = results.mark(tank.id)
            if flag is not None:
                yield mark(flag.severity, (lip[0] - 3.0, lip[1] - 0.2), 2.0, flag.title)
        for height, names in rows:
            ground = Look(fill=PAPER)
            wide = text_width(names, 2.3, bold=True)
            yield Rectangle(x=x + 2.0, y=height - 1.1, width=wide, height=2.8, look=ground)
            yield Text(at=(x + 2.0, height + 0.9), text=names, size=2.3, colour=INK, bold=True)


def _falls(run: DrainRun, display: str, frame: _Scale) -> Iterator[Shape]:
    """The fall written under each stretch of equal slope that is long enough to hold it."""
    stretches: list[tuple[float, float, float, float]] = []
    for first, second in pairwise(run.nodes):
        far = second.chainage - first.chainage
        if far <= 0:
            continue
        slope = (first.place[2] - second.place[2]) / far
        if stretches and abs(stretches[-1][3] - slope) < 2e-4:
            start, _, _, known = stretches[-1]
            stretches[-1] = (start, second.chainage, second.place[2], known)
        else:
            stretches.append((first.chainage, second.chainage, second.place[2], slope))
    for start, end, height, slope in stretches:
        label = words(Number(slope if abs(slope) > 1e-9 else 0.0, "slope"), display)
        x0, x1 = frame.at(start, height)[0], frame.at(end, height)[0]
        if text_width(label, 2.6, bold=True) + 2 > x1 - x0:
            continue
        middle = frame.at((start + end) / 2, height + slope * (end - start) / 2)
        colour = WINE if slope <= 0 else TEAL
        half = text_width(label, 2.6, bold=True) / 2
        yield Rectangle(
            x=middle[0] - half, y=middle[1] + 1.2, width=2 * half, height=3.0, look=Look(fill=PAPER)
        )
        yield Text(
            at=(middle[0], middle[1] + 3.6), text=label, size=2.6, colour=colour, anchor="middle", bold=True
        )


def _outfall(room: Room, run: DrainRun, frame: _Scale) -> Iterator[Shape]:
    outfall = next((one for one in room.outfalls if one.id == run.outfall), None)
    if outfall is None or not run.nodes:
        return
    x, y = frame.at(run.nodes[-1].chainage, outfall.place[2])
    yield Circle(centre=(x, y), radius=1.3, look=Look(fill=PAPER, stroke=INK, width=0.4))
    size = fitting_size(outfall.id, _RIGHT - 6, most=2.4)
    yield Text(at=(x + 2.6, y + 3.2), text=outfall.id, size=size, colour=INK)


def _table(room: Room, run: DrainRun, frame: _Scale, top: float) -> Iterator[Shape]:
    """Chainage and invert under the nodes, read upwards, leaving out what would not be legible."""
    row_height = _ROWS.get(room.display, _ROW)
    for row, name in enumerate(("along", "invert")):
        y = top + row * row_height
        yield Text(at=(MARGIN, y + row_height / 2), text=name, size=2.4, colour=INK, bold=True)
        last = -1e9
        for index, node in enumerate(run.nodes):
            x = frame.at(node.chainage, 0.0)[0]
            end = index == len(run.nodes) - 1
            if x - last < _CLOSEST or (not end and frame.at(run.nodes[-1].chainage, 0.0)[0] - x < _CLOSEST):
                continue
            last = x
            value = node.chainage if row == 0 else node.place[2]
            label = length_words(value, room.display)
            size = fitting_size(label, row_height - 2, most=2.2)
            yield Text(at=(x + 0.8, y + row_height - 1), text=label, size=size, colour=INK, turn=270)
            if row == 0:
                yield line((x, top - 2.0), (x, top), Look(stroke=QUIET, width=0.15))
    wide = frame.at(run.nodes[-1].chainage, 0.0)[0] if run.nodes else frame.left
    for row in range(3):
        y = top + row * row_height
        yield line((MARGIN, y), (wide + 4, y), Look(stroke=FAINT, width=0.2))


__all__ = ["HEIGHT_SCALE", "draw_long_section"]
