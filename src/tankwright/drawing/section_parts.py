"""What a long-section of a drain is made of: heights, pipe with its water, hoses, falls, the table under it.

Shared by the sheet (`long_section`) and the page (`section_screen`). Heights may have two scales: from the knee
upwards they can be drawn smaller, so that tanks high above a drain leave room for its fall.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import pairwise
from math import inf
from typing import Final

from tankwright.display import words
from tankwright.drawing.colour import FAINT, FLOW, GLASS, INK, PAPER, QUIET, TEAL, WINE, mark
from tankwright.drawing.frame import length_words
from tankwright.drawing.model import (
    Circle,
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
from tankwright.finding import Number
from tankwright.room.model import DrainRun, Room, Tank
from tankwright.units import Metre

_CLOSEST: Final = 3.4  # mm between two columns of the table
_OUTFALL: Final = 20.0  # mm beside the outfall for its name
PRESSURE: Final = Look(stroke=WINE, width=0.4, dash=(1.6, 0.8))
KEY: Final = (
    (Look(stroke=INK, width=0.25), "rim"),
    (Look(stroke=TEAL, width=0.5), "water in the tank, at its overflow's lip"),
    (Look(stroke=QUIET, width=0.3), "hose"),
    (Look(stroke=FLOW, width=1.2), "water in the drain"),
    (PRESSURE, "pressure line where it is drowned"),
)
"""What the lines of a section mean."""


@dataclass(frozen=True, slots=True)
class SectionFrame:
    """Where a chainage and a height lie on the page: 1:`along` and 1:`up`, over the knee 1:`up_above`.

    >>> frame = SectionFrame(left=20, bottom=100, lowest=0.0, along=50, up=10, knee=0.5, up_above=50)
    >>> frame.at(1.0, 0.2), frame.at(1.0, 1.0)
    ((40.0, 80.0), (40.0, 40.0))
    """

    left: float
    bottom: float
    lowest: Metre
    along: float
    up: float
    knee: Metre = inf
    up_above: float = 1.0

    def at(self, chainage: Metre, height: Metre) -> Point:
        """A point of the section on the page."""
        low, high = min(height, self.knee) - self.lowest, max(height - self.knee, 0.0)
        return (
            self.left + chainage * 1000 / self.along,
            self.bottom - low * 1000 / self.up - high * 1000 / self.up_above,
        )

    def way(self, start: tuple[Metre, Metre], end: tuple[Metre, Metre]) -> tuple[Point, ...]:
        """A straight line of the section on the page, bent where it passes the knee."""
        (x0, z0), (x1, z1) = start, end
        if (z0 - self.knee) * (z1 - self.knee) >= 0:
            return self.at(x0, z0), self.at(x1, z1)
        middle = x0 + (x1 - x0) * (self.knee - z0) / (z1 - z0)
        return self.at(x0, z0), self.at(middle, self.knee), self.at(x1, z1)


def segments_of(run: DrainRun, results: DrawnResults) -> dict[tuple[str, str], DrawnSegment]:
    """The run's pieces by the names of their two nodes, as far as the results know them."""
    return {(one.start, one.end): one for one in results.segments if one.drain == run.id}


def key_row(x: float, y: float) -> Iterator[Shape]:
    """What the short lines mean, on one row under the heading."""
    for look, name in KEY:
        yield line((x, y), (x + 3.2, y), look)
        yield Text(at=(x + 4.2, y + 0.7), text=name, size=2.2, colour=QUIET)
        x += 4.2 + text_width(name, 2.2) + 3.0


def heights(
    display: str,
    frame: SectionFrame,
    wide: float,
    span: tuple[Metre, Metre],
    step: Metre,
    told: Callable[[Metre, str], str] = length_words,
) -> Iterator[Shape]:
    """A line at every whole `step` of height within the span, the floor stronger; `told` writes a height."""
    lowest, highest = span
    for index in range(int(lowest // step), int(highest // step) + 1):
        height = index * step
        if not lowest <= height <= highest:
            continue
        x, y = frame.at(0.0, height)
        floor = index == 0
        look = Look(stroke=INK if floor else FAINT, width=0.4 if floor else 0.15)
        yield line((x - 2, y), (x + wide + 4, y), look)
        label = "floor" if floor else told(height, display)
        yield Text(at=(x - 3, y + 0.8), text=label, size=2.2, colour=INK if floor else QUIET, anchor="end")


def pipe(
    run: DrainRun, segments: dict[tuple[str, str], DrawnSegment], frame: SectionFrame
) -> Iterator[Shape]:
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
                start, end = ((at, level) for (at, _), level in zip(ends, known.levels, strict=True))
                yield Polyline(points=frame.way(start, end), look=PRESSURE)
        yield line(lower[0], lower[1], edge)
        yield line(upper[0], upper[1], Look(stroke=INK, width=0.2))


def hoses(run: DrainRun, tanks: list[Tank], results: DrawnResults, frame: SectionFrame) -> Iterator[Shape]:
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


def falls(run: DrainRun, display: str, frame: SectionFrame) -> Iterator[Shape]:
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
        steep = abs(frame.at(end, height)[1] - frame.at(start, height + slope * (end - start))[1]) / (x1 - x0)
        middle = (middle[0], middle[1] + half * steep)  # clear of the pipe at both ends of the label
        yield Rectangle(
            x=middle[0] - half, y=middle[1] + 1.2, width=2 * half, height=3.0, look=Look(fill=PAPER)
        )
        yield Text(
            at=(middle[0], middle[1] + 3.6), text=label, size=2.6, colour=colour, anchor="middle", bold=True
        )


def outfall_sign(room: Room, run: DrainRun, frame: SectionFrame) -> Iterator[Shape]:
    """The outfall as a circle at its height, with its name beside it."""
    outfall = next((one for one in room.outfalls if one.id == run.outfall), None)
    if outfall is None or not run.nodes:
        return
    x, y = frame.at(run.nodes[-1].chainage, outfall.place[2])
    yield Circle(centre=(x, y), radius=1.3, look=Look(fill=PAPER, stroke=INK, width=0.4))
    size = fitting_size(outfall.id, _OUTFALL, most=2.4)
    yield Text(at=(x + 2.6, y + 3.2), text=outfall.id, size=size, colour=INK)


def table(
    display: str, run: DrainRun, frame: SectionFrame, corner: Point, row_height: float
) -> Iterator[Shape]:
    """Chainage and invert under the nodes, read upwards, leaving out what would not be legible."""
    left, top = corner
    for row, name in enumerate(("along", "invert")):
        y = top + row * row_height
        yield Text(at=(left, y + row_height / 2), text=name, size=2.4, colour=INK, bold=True)
        last = -1e9
        for index, node in enumerate(run.nodes):
            x = frame.at(node.chainage, 0.0)[0]
            end = index == len(run.nodes) - 1
            if x - last < _CLOSEST or (not end and frame.at(run.nodes[-1].chainage, 0.0)[0] - x < _CLOSEST):
                continue
            last = x
            value = node.chainage if row == 0 else node.place[2]
            label = length_words(value, display)
            size = fitting_size(label, row_height - 2, most=2.2)
            yield Text(at=(x + 0.8, y + row_height - 1), text=label, size=size, colour=INK, turn=270)
            if row == 0:
                yield line((x, top - 2.0), (x, top), Look(stroke=QUIET, width=0.15))
    wide = frame.at(run.nodes[-1].chainage, 0.0)[0] if run.nodes else frame.left
    for row in range(3):
        y = top + row * row_height
        yield line((left, y), (wide + 4, y), Look(stroke=FAINT, width=0.2))
