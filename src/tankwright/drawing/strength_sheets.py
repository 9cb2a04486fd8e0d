"""What holds and what it comes to, as sheets: panes under water, racks under their tanks, floors under racks."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from tankwright.drawing.floor_feet import draw_floor_feet
from tankwright.drawing.model import Drawing
from tankwright.drawing.page import NO_NOTES, Notes, Page
from tankwright.drawing.paper import Paper
from tankwright.drawing.rack_front_loads import draw_rack_loads
from tankwright.drawing.stacked import is_upright, stacked
from tankwright.drawing.stress_picture import draw_plain_stress
from tankwright.room.model import Room
from tankwright.study import Study
from tankwright.systems.glass_model import PaneScreen
from tankwright.systems.racks_model import FloorStrength

_SMALLEST: Final = 50  # 1:N; a floor drawn smaller gets a sheet of its own
_WORDS: Final = 62.0  # mm for what stands over and under it


def pane_sheets(
    study: Study, *, paper: Paper = "A4", plan_name: str = "", notes: Notes = NO_NOTES
) -> tuple[Drawing, ...]:
    """The screened panes that matter: of every kind of tank the one that uses the most, and every pane with a hole."""
    if study.glass is None:
        return ()
    drawings = [draw_plain_stress(one, display=study.room.display) for one in telling(study.glass.panes)]
    title = f"{study.room.title}: panes under water, screened"
    return stacked(drawings, title=title, paper=paper, said=_from(plan_name), notes=notes)


def rack_sheets(
    study: Study, *, paper: Paper = "A4", plan_name: str = "", notes: Notes = NO_NOTES
) -> tuple[Drawing, ...]:
    """Every rack under its tanks."""
    title = f"{study.room.title}: racks under their tanks"
    return stacked(rack_pictures(study), title=title, paper=paper, said=_from(plan_name), notes=notes)


def floor_sheets(
    study: Study, *, paper: Paper = "A4", plan_name: str = "", notes: Notes = NO_NOTES
) -> tuple[Drawing, ...]:
    """Every floor that racks stand on, from above."""
    if study.racks is None:
        return ()
    title = f"{study.room.title}: what comes down on the floor"
    page = Page(paper=paper, title=title, upright=is_upright(paper))
    drawings = [_floor(study.room, one, page) for one in study.racks.floors]
    return stacked(drawings, title=title, paper=paper, said=_from(plan_name), notes=notes)


def _floor(room: Room, floor: FloorStrength, page: Page) -> Drawing:
    """A floor in a column; a hall takes all of its sheet."""
    drawn = draw_floor_feet(room, floor)
    if drawn.scale <= _SMALLEST:
        return drawn
    tallest = page.bottom - page.top - _WORDS
    return draw_floor_feet(room, floor, width=page.right - page.left, tallest=tallest)


def rack_pictures(study: Study) -> tuple[Drawing, ...]:
    """Every rack under its tanks, a drawing each; none where racks were not worked out."""
    if study.racks is None:
        return ()
    masses = {one.tank: one.total for one in study.load.tanks} if study.load is not None else {}
    places = {rack.id: rack for rack in study.room.racks}
    return tuple(
        draw_rack_loads(study.room, places[one.rack], one, masses)
        for one in study.racks.racks
        if one.rack in places
    )


def telling(panes: Iterable[PaneScreen]) -> tuple[PaneScreen, ...]:
    """Of panes with the worst first in each kind: that one, and those with a hole.

    >>> telling(())
    ()
    """
    kept: list[PaneScreen] = []
    for one in panes:
        first = all(other.case.kind != one.case.kind for other in kept)
        if first or one.case.holes:
            kept.append(one)
    return tuple(kept)


def _from(plan_name: str) -> tuple[str, ...]:
    return (f"from {plan_name}",) if plan_name else ()


__all__ = ["floor_sheets", "pane_sheets", "rack_pictures", "rack_sheets", "telling"]
