"""The drain to build by: its long-section with the height of the pipe above the floor at every node, under it a table.

The pipe alone is drawn, as large in height as the sheet allows, with the water that is expected in it; hoses and tanks
stand in `long_section`. A run with more nodes than columns fit goes on to the next sheet.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Final

from tankwright.display import words
from tankwright.drawing.colour import FAINT, INK, QUIET
from tankwright.drawing.measured import MEASURED_IN, measured_off
from tankwright.drawing.model import Circle, Drawing, Group, Look, Polyline, Shape, Text, line, text_width
from tankwright.drawing.page import NO_NOTES, Notes, Page, numbered
from tankwright.drawing.paper import Paper
from tankwright.drawing.results import DrawnSegment
from tankwright.drawing.section_parts import SectionFrame, falls, heights, outfall_sign, pipe
from tankwright.drawing.sheet import SCALES
from tankwright.drawing.svg import identifier
from tankwright.finding import Number
from tankwright.room.model import DrainNode, DrainRun, Room
from tankwright.study import Study
from tankwright.systems.drain import DrainCase
from tankwright.units import Metre, convert

_LEFT: Final = 27.0  # mm for the names of the table's rows
_RIGHT: Final = 22.0
_COLUMN: Final = 4.3  # mm, the least between two nodes of the table
_SIZE: Final = 2.2
_UP: Final = {"metric": (1, 2, 5, 10, 20, 25, 50), "US": (1, 2, 4, 8, 12, 24, 48)}
_STEPS: Final = (0.01, 0.02, 0.05, 0.1, 0.25, 0.5)
_FANNED: Final = 8.0  # mm between the section and the table, where columns are pushed apart
_LEAST_SECTION: Final = 22.0


@dataclass(frozen=True, slots=True)
class _Row:
    name: str
    cells: tuple[str, ...]
    between: bool = False  # said of the piece that begins at a node


def drain_heights(
    study: Study, *, paper: Paper = "A3", plan_name: str = "", notes: Notes = NO_NOTES
) -> tuple[Drawing, ...]:
    """The sheets of every drain, one run after another."""
    return tuple(
        sheet
        for run in study.room.drains
        if run.nodes
        for sheet in _sheets(study, run, paper, plan_name, notes)
    )


def _sheets(study: Study, run: DrainRun, paper: Paper, plan_name: str, notes: Notes) -> Iterator[Drawing]:
    room = study.room
    cases = _cases(study, run)
    said = (
        f"{MEASURED_IN.get(room.display, MEASURED_IN['metric'])}; heights are of the invert, the lowest point inside "
        f"the pipe, above the floor; inner diameter {measured_off(run.bore.value, room.display, fine=True)}"
        + (f", {run.pipe}" if run.pipe else "") + _guesses(run) + (f"; from {plan_name}" if plan_name else "")
    )  # fmt: skip
    title = f"{room.title}: drain {run.id} to {run.outfall}, heights and falls"
    page = Page(paper=paper, title=title, notes=notes, said=("scales", said))
    most = int((page.right - page.left - _LEFT - _RIGHT) // _COLUMN)
    pieces = _pieces(run, most)
    for number, nodes in enumerate(pieces, start=1):
        named = replace(page, title=numbered(title, number, len(pieces)))
        yield _sheet(room, run, nodes, cases, named, said)


def _guesses(run: DrainRun) -> str:
    """What of it the plan does not say."""
    said = "; the way is derived from the racks it passes" if run.derived else ""
    if run.fall.is_assumed:
        said += "; its FALL IS ASSUMED, and so are these heights"
    return said + ("; its inner diameter is assumed" if run.bore.is_assumed else "")


def _pieces(run: DrainRun, most: int) -> list[tuple[DrainNode, ...]]:
    """The nodes of each sheet, the last of one being the first of the next; all about as many."""
    count = len(run.nodes)
    sheets = max(1, -(-(count - 1) // (most - 1)))
    each = -(-(count - 1) // sheets)
    return [run.nodes[start : start + each + 1] for start in range(0, max(count - 1, 1), max(each, 1))]


def _cases(study: Study, run: DrainRun) -> tuple[DrainCase, ...]:
    """What runs in it by the feed alone, and the fullest it gets; none where the drain was not worked out."""
    results = study.drain.runs if study.drain is not None else ()
    cases = next((one.cases for one in results if one.run == run.id), ())
    if not cases:
        return ()
    feed = next((one for one in cases if one.kind == "feed"), cases[0])
    worst = max(cases, key=lambda one: (one.greatest_share, one.outfall_flow))
    return (feed,) if worst is feed else (feed, worst)


def _sheet(
    room: Room,
    run: DrainRun,
    nodes: tuple[DrainNode, ...],
    cases: tuple[DrainCase, ...],
    page: Page,
    said: str,
) -> Drawing:
    part = replace(run, nodes=tuple(replace(one, chainage=one.chainage - nodes[0].chainage) for one in nodes))
    rows = _rows(room, nodes, cases)
    tall = [max([text_width(cell, _SIZE) for cell in row.cells if cell] or [4.0]) + 2.4 for row in rows]
    under = sum(tall) + _FANNED
    bore, inverts = run.bore.value, [one.place[2] for one in nodes]
    lowest, highest = min([*inverts, 0.0]) - 0.01, max(max(inverts) + bore + 0.02, 0.05)
    usual = SCALES.get(room.display, SCALES["metric"])
    wide = page.right - page.left - _LEFT - _RIGHT
    length = part.nodes[-1].chainage
    along = next((one for one in usual if length * 1000 / one <= wide), usual[-1])
    free = max(page.bottom - page.top - under - 8.0, _LEAST_SECTION)
    ups = _UP.get(room.display, _UP["metric"])
    up = next((one for one in ups if (highest - lowest) * 1000 / one <= free and one <= along), along)
    bottom = page.top + 5.0 + (highest - lowest) * 1000 / up
    frame = SectionFrame(left=page.left + _LEFT, bottom=bottom, lowest=lowest, along=along, up=up)
    step = _step(room.display, up)
    segments = {} if not cases else _drawn(run, cases[0])
    shapes: list[Shape] = [
        *heights(room.display, frame, length * 1000 / along, (lowest, highest), step, measured_off),
        Group(parts=tuple(pipe(part, segments, frame)), id=identifier("heights", run.id), place=run.id,
              title=f"drain {run.id}"),
        *falls(part, room.display, frame),
        *_marks(part, frame),
        *_table(rows, tall, part, frame, page, bottom),
    ]  # fmt: skip
    if nodes[-1].id == run.nodes[-1].id:
        shapes.extend(outfall_sign(room, part, frame))
    else:
        x, y = frame.at(length, part.nodes[-1].place[2])
        shapes.append(Text(at=(x + 2.6, y + 0.8), text="goes on", size=2.2, colour=QUIET))
    named = replace(page, said=(f"lengths 1:{along:g}, heights 1:{up:g}; {_water(cases)}", said))
    return named.drawn(shapes, scale=along, bar=True)


def _water(cases: tuple[DrainCase, ...]) -> str:
    if not cases:
        return "the water in it was not computed"
    fullest = f"; at its fullest: {cases[1].name}" if len(cases) > 1 else ""
    return f"water drawn as by the feed alone{fullest}"


def _step(display: str, up: float) -> Metre:
    if display == "US":
        inch = convert(1.0, "in", "m")
        return next((inch * n for n in (1, 2, 6, 12) if inch * n * 1000 / up >= 5.0), 12 * inch)
    return next((one for one in _STEPS if one * 1000 / up >= 5.0), _STEPS[-1])


def _drawn(run: DrainRun, case: DrainCase) -> dict[tuple[str, str], DrawnSegment]:
    return {
        (one.start, one.end): DrawnSegment(
            drain=run.id,
            start=one.start,
            end=one.end,
            full=one.share,
            levels=(one.level_start, one.level_end),
        )
        for one in case.segments
    }


def _marks(run: DrainRun, frame: SectionFrame) -> Iterator[Shape]:
    for node in run.nodes:
        look = Look(fill=INK) if node.tanks else Look(fill="#ffffff", stroke=INK, width=0.25)
        yield Circle(centre=frame.at(node.chainage, node.place[2]), radius=0.55, look=look)


def _rows(room: Room, nodes: Sequence[DrainNode], cases: tuple[DrainCase, ...]) -> tuple[_Row, ...]:
    def m(metres: float, *, fine: bool = False) -> str:
        return measured_off(metres, room.display, fine=fine)

    us = room.display == "US"  # an eighth of an inch is more than a short piece falls

    def each(cell: Callable[[DrainNode], str]) -> tuple[str, ...]:
        return tuple(cell(node) for node in nodes)

    steps = [*pairwise(nodes)]
    rows = [
        _Row("joins here", each(lambda node: ", ".join(node.tanks))),
        _Row("from the top end", each(lambda node: m(node.chainage))),
        _Row("to the next", tuple(m(b.chainage - a.chainage) for a, b in steps), between=True),
        _Row("height above floor", each(lambda node: m(node.place[2], fine=us))),
        _Row(
            "falls to the next", tuple(m(a.place[2] - b.place[2], fine=True) for a, b in steps), between=True
        ),
    ]
    for number, case in enumerate(cases):
        by = {(one.start, one.end): one for one in case.segments}
        found = [by.get((a.id, b.id)) for a, b in steps]
        cells = tuple(
            "" if one is None
            else "drowned" if one.surcharged
            else words(Number(one.level_start - one.invert_start, "length"), room.display)
            for one in found
        )  # fmt: skip
        rows.append(
            _Row("water, by the feed" if number == 0 else "water, at its fullest", cells, between=True)
        )
    return tuple(rows)


def _table(
    rows: tuple[_Row, ...], tall: list[float], run: DrainRun, frame: SectionFrame, page: Page, bottom: float
) -> Iterator[Shape]:
    """A column under each node, pushed apart where nodes are close, read upwards."""
    at = [frame.at(node.chainage, 0.0)[0] for node in run.nodes]
    columns = _spread(at, frame.left, page.right - 2.0)
    top = bottom + _FANNED
    for x, column, node in zip(at, columns, run.nodes, strict=True):
        low = frame.at(0.0, node.place[2])[1]
        ways = ((x, low + 0.8), (x, bottom + 1.0), (column, top - 1.0), (column, top))
        yield Polyline(points=ways, look=Look(stroke=QUIET, width=0.12))
    y = top
    for row, height in zip(rows, tall, strict=True):
        yield line((page.left, y), (columns[-1] + 3.0, y), Look(stroke=FAINT, width=0.2))
        yield Text(at=(page.left, y + height / 2 + 0.8), text=row.name, size=2.2, colour=INK)
        for number, cell in enumerate(row.cells):
            if not cell:
                continue
            middle = (columns[number] + columns[number + 1]) / 2 if row.between else columns[number]
            yield Text(
                at=(middle + 0.36 * _SIZE, y + height - 1.2), text=cell, size=_SIZE, colour=INK, turn=270
            )
        y += height
    yield line((page.left, y), (columns[-1] + 3.0, y), Look(stroke=FAINT, width=0.2))


def _spread(at: Sequence[float], low: float, high: float) -> list[float]:
    """Places in order, none nearer than a column to the next, each as near its own as that allows.

    >>> [round(one, 1) for one in _spread((0.0, 1.0, 20.0), 0.0, 30.0)]
    [0.0, 4.3, 20.0]
    """
    placed: list[float] = []
    for x in at:
        placed.append(max(x, placed[-1] + _COLUMN) if placed else max(x, low))
    edge = high
    for index in range(len(placed) - 1, -1, -1):
        placed[index] = min(placed[index], edge)
        edge = placed[index] - _COLUMN
    return placed


__all__ = ["drain_heights"]
