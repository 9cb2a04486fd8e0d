"""The long-section of a shared drain: its way unrolled, its fall, the water in it, and every hose and lip above it.

Lengths along the drain and heights have scales of their own, as is usual for drains: heights are drawn larger, so that
a fall of one in sixty can be seen. Both scales stand in the title block.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from tankwright.drawing.colour import INK, PAPER, QUIET
from tankwright.drawing.legend import scale_bar
from tankwright.drawing.model import Drawing, Group, Look, Rectangle, Shape, Text, fitting_size, line
from tankwright.drawing.paper import fits, laid_on
from tankwright.drawing.results import DrawnResults
from tankwright.drawing.section_parts import (
    SectionFrame,
    falls,
    heights,
    hoses,
    key_row,
    outfall_sign,
    pipe,
    segments_of,
    table,
)
from tankwright.drawing.sheet import SCALES
from tankwright.drawing.svg import identifier
from tankwright.room.model import DrainRun, Room
from tankwright.units import convert

MARGIN: Final = 10.0
HEIGHT_SCALE: Final = 10.0
_UPWARD: Final = {
    "metric": (10, 20, 25, 50, 100),
    "US": (12, 24, 48, 96),
}  # scales of height on a given paper
_BAR: Final = 12.0  # mm for the scale bar under it
_LEFT: Final = 24.0  # mm for the heights and the names of the table's rows
_RIGHT: Final = 26.0
_ROWS: Final = {"US": 19.0}  # mm, a row of the table under the section; feet and inches are long
_ROW: Final = 13.0
_HANDY: Final = 380.0  # mm


def draw_long_section(
    room: Room,
    run: DrainRun,
    results: DrawnResults,
    *,
    plan_name: str = "",
    scale: float | None = None,
    up: float = HEIGHT_SCALE,
) -> Drawing:
    """The section of one drain run, 1:`up` in height and at 1:`scale` along it, as large a page as it needs.

    Without a scale it is the largest usual one at which the page stays handy.

    `results` are those of the drain layer; segments they do not know are drawn without water.
    """
    tanks = [tank for tank in room.tanks if tank.hose is not None and tank.hose.drain == run.id]
    inverts = [node.place[2] for node in run.nodes]
    tops = [*(tank.rim for tank in tanks), *inverts, 0.3]
    segments = segments_of(run, results)
    tops.extend(level for one in segments.values() for level in (one.levels or ()))
    lowest, highest = min([*inverts, 0.0]) - 0.05, max(tops) + 0.08
    length = run.nodes[-1].chainage if run.nodes else 0.0
    usual = SCALES.get(room.display, SCALES["metric"])
    scale = scale or next((one for one in usual if length * 1000 / one <= _HANDY), usual[-1])
    wide = max(length * 1000 / scale, 140.0)
    page_width = 2 * MARGIN + _LEFT + wide + _RIGHT
    top = MARGIN + 24
    bottom = top + (highest - lowest) * 1000 / up
    frame = SectionFrame(left=MARGIN + _LEFT, bottom=bottom, lowest=lowest, along=scale, up=up)
    step = convert(1.0, "ft", "m") if room.display == "US" else 0.25
    height = bottom + 2 * _ROWS.get(room.display, _ROW) + 6 + MARGIN + 2
    how = "derived from the racks it passes" if run.derived else "as drawn in the plan"
    note = f"lengths 1:{scale:g}, heights 1:{up:g}; the way is {how}" + (
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
        *key_row(MARGIN, MARGIN + 16.2),
        *heights(room.display, frame, wide, (lowest, highest), step),
        Group(parts=tuple(hoses(run, tanks, results, frame)), id="hoses", layer="drain"),
        Group(parts=tuple(pipe(run, segments, frame)), id=identifier("section", run.id), layer="drain",
              place=run.id, title=f"drain {run.id}, to {run.outfall}"),
        *falls(run, room.display, frame),
        *outfall_sign(room, run, frame),
        *table(room.display, run, frame, (MARGIN, bottom + 4), _ROWS.get(room.display, _ROW)),
    ]  # fmt: skip
    return Drawing(
        width=page_width, height=height, scale=scale, title=title, description=note, parts=tuple(parts)
    )


def section_on(
    room: Room,
    run: DrainRun,
    results: DrawnResults,
    size: tuple[float, float],
    *,
    plan_name: str = "",
    notes: tuple[str, str, str] = ("", "", ""),
) -> Drawing | None:
    """The section on a sheet of that size in mm, as large as fits, with a scale bar and the foot; None if none does.

    Heights are drawn at a usual scale, and lengths at one no larger.
    """
    usual = SCALES.get(room.display, SCALES["metric"])
    for up in _UPWARD.get(room.display, _UPWARD["metric"]):
        for scale in (one for one in usual if one >= up):
            drawn = draw_long_section(room, run, results, plan_name=plan_name, scale=scale, up=up)
            if not fits(drawn, (size[0], size[1] - _BAR)):
                continue
            bar = scale_bar(MARGIN + _LEFT, drawn.height - MARGIN + 2.0, scale, room.display)
            said = f"along the drain, 1:{scale:g}"
            words = Text(at=(MARGIN + 4, drawn.height - MARGIN + 8.0), text=said, size=2.2, colour=QUIET)
            whole = replace(drawn, height=drawn.height + _BAR, parts=(*drawn.parts, bar, words))
            return laid_on(whole, size, notes)
    return None


__all__ = ["HEIGHT_SCALE", "draw_long_section", "section_on"]
