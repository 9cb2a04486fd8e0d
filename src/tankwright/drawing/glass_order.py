"""What to order from whoever cuts the glass: every pane and strip of the tanks glued here, and the panes of bought ones
that the seller drills. Tanks that stand take none; a hole that is drilled here is on the drill sheet, not in the order.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from tankwright.drawing.measured import MEASURED_IN, measured_off
from tankwright.drawing.model import Drawing
from tankwright.drawing.page import NO_NOTES, Notes
from tankwright.drawing.paper import PAPERS, Paper
from tankwright.drawing.table_sheet import Column, PrintTable, draw_tables, with_foot
from tankwright.room.assumed import assumed
from tankwright.room.model import Room, Tank
from tankwright.takeoff.glued import strips_of
from tankwright.takeoff.panes import LEFT_EDGE, LOWER_EDGE, TankPane, cut_panes, finished_pane, kinds_of

BOUGHT: Final = "bought whole"
EDGES: Final = (
    "all four edges ground flat, sharp corners off; edges that are seen and touched polished if wished"
)
HOW_GLUED: Final = (
    "panes are for a base under the walls, front and back over the whole length, the ends between them; nothing is "
    "taken off for silicone: say if you glue otherwise"
)
_COLUMNS: Final = (
    Column(name="kind"), Column(name="pane"), Column(name="how many", number=True), Column(name="width", number=True),
    Column(name="height", number=True), Column(name="thick", number=True), Column(name="glass"),
    Column(name="hole ⌀", number=True), Column(name="from its left edge", number=True),
    Column(name="from its lower edge", number=True), Column(name="its left and lower edge are the tank's", wrap=40.0),
)  # fmt: skip


def glass_table(room: Room, glued_here: frozenset[str]) -> PrintTable:
    """The panes as a table: those of kinds in `glued_here` to be cut, of the others only a pane drilled to order.

    Every pane and hole is seen from outside the tank.
    """
    coming = [tank for tank in room.tanks if tank.state != "stands"]
    counts = Counter(tank.kind for tank in coming)
    rows = tuple(
        row
        for tank in kinds_of(replace(room, tanks=tuple(coming)))
        for row in _rows(room, tank, counts[tank.kind], glued=tank.kind in glued_here)
    )
    return PrintTable(
        title=f"glass, {MEASURED_IN.get(room.display, MEASURED_IN['metric'])}", columns=_COLUMNS, rows=rows
    )


def _rows(room: Room, tank: Tank, count: int, *, glued: bool) -> Iterator[tuple[str, ...]]:
    if glued:
        for pane in cut_panes(tank, room.assumed):
            yield from _holed(pane, count, room.display, glued=True)
        yield from _strips(room, tank, count)
        return
    for name in dict.fromkeys(hole.pane for hole in tank.holes if hole.to_order):
        pane = finished_pane(tank, name, room.assumed)
        holes = [hole for hole in pane.holes if hole.to_order]
        ordered = replace(pane, hole=holes[0], others=tuple(holes[1:]))
        yield from _holed(ordered, count, room.display, glued=False)


def _holed(pane: TankPane, count: int, display: str, *, glued: bool) -> Iterator[tuple[str, ...]]:
    """A row of the pane with its first hole, and one for each further hole there is something to say of."""
    first = _row(pane, count, display, glued=glued)
    yield first
    said = {first[-4:]}
    for other in pane.others:
        row = _row(pane.at_hole(other.number), count, display, glued=glued)
        if row[-4:] not in said:  # "drilled here" is said once of a pane
            said.add(row[-4:])
            yield (row[0], f"{row[1]}, in the same pane", "", *row[3:])


def _strips(room: Room, tank: Tank, count: int) -> Iterator[tuple[str, ...]]:
    width = assumed(room, "buy.brace_width")
    for strip in strips_of(tank, width.value):
        long, wide, thick = (
            measured_off(one, room.display, fine=True)
            for one in (strip.length, strip.width, tank.glass_side.value)
        )
        yield (
            tank.kind, strip.name, f"{count * strip.count}", long, wide + (" (assumed)" if width.is_assumed else ""),
            thick + (" (measure)" if tank.glass_side.is_assumed else ""), "annealed", "", "", "", "",
        )  # fmt: skip


def _row(pane: TankPane, count: int, display: str, *, glued: bool) -> tuple[str, ...]:
    def m(metres: float) -> str:
        return measured_off(metres, display, fine=True)

    hole = pane.hole
    glass = "toughened" if pane.toughened else pane.temper if pane.temper != "toughened" else "annealed"
    if hole is not None and pane.toughened:
        glass = "toughened: drilled BEFORE it is toughened" if glued else "toughened: NOT to be drilled"
    holes = ("", "", "", "")
    if hole is not None and not hole.to_order and not pane.toughened:
        holes = ("drilled here", "", "", "")
    elif hole is not None:
        across = "measure your fitting" if hole.diameter.is_assumed else m(hole.diameter.value)
        guess = " (assumed)" if hole.guessed else ""
        holes = (
            across,
            m(hole.across) + guess,
            m(hole.up) + guess,
            f"{LEFT_EDGE[pane.pane]}, {LOWER_EDGE[pane.pane]}",
        )
    thick = m(pane.thickness.value) + (" (measure)" if pane.thickness.is_assumed else "")
    kind = pane.kind if glued else f"{pane.kind}, {BOUGHT}"
    return (kind, pane.pane, f"{count}", m(pane.width), m(pane.height), thick, glass, *holes)


def glass_order(
    room: Room, glued_here: frozenset[str] = frozenset(), *, paper: Paper = "A4", notes: Notes = NO_NOTES
) -> tuple[Drawing, ...]:
    """The order's sheets; none where there is neither a pane to cut nor one to drill."""
    table = glass_table(room, glued_here)
    if not table.rows:
        return ()
    terms = PrintTable(
        title="to be said with the order", columns=(Column(name="what", wrap=30.0), Column(name="how", wrap=200.0)),
        rows=(
            ("seen from", "every pane from OUTSIDE the tank, the base from underneath, the tank turned over forwards"),
            ("edges", EDGES),
            ("panes", HOW_GLUED if glued_here else "bought tanks: measured on the outside of the finished tank"),
            ("tolerance", "sizes ±1 mm and square; hole centres ±1 mm, diameters +1/−0 mm (common practice)"),
            ("glass", "annealed float; no pane that gets a hole here may be toughened: it bursts when it is drilled"),
            ("thickness", "as the plan says, a screening only: ask the glazier or the maker if it bears the water"),
        ),
    )  # fmt: skip
    title = f"{room.title}: glass order"
    return tuple(
        with_foot(one, notes) for one in draw_tables((table, terms), title=title, size=PAPERS[paper])
    )


__all__ = ["glass_order", "glass_table"]
