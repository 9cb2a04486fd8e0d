"""Pictures of panes for the page of glass: the pane a hand moves its hole in, a full check, the map of places."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby

from markupsafe import Markup

from tankwright.drawing.colour import USE, step_for
from tankwright.drawing.hole_map import draw_hole_map
from tankwright.drawing.pane_live import Cell, LiveHole, LivePane, draw_live_pane
from tankwright.drawing.screen_svg import to_screen_svg
from tankwright.drawing.stress_picture import draw_stress
from tankwright.room.model import Pane, Room
from tankwright.systems.glass_field import FieldCell
from tankwright.systems.glass_full_model import FullPane, HoleMap
from tankwright.systems.glass_model import PaneCase, PaneScreen
from tankwright.web.page import View
from tankwright.workspace.glass_try import HoleTried, screened_field, water_below


@dataclass(frozen=True, slots=True, kw_only=True)
class Chosen:
    """The pane one looks at closely. `number` is its hole's as the plan counts them, None without a hole."""

    screen: PaneScreen
    kind: str
    pane: Pane
    number: int | None
    index: int
    numbers: tuple[int, ...]


def live_picture(view: View, room: Room, chosen: Chosen, tried: HoleTried | None) -> Markup:
    """The pane with its colours and its hole, where it was tried when it was."""
    field = view.made_once.keep(
        view.snapshot,
        ("glass field", chosen.kind, chosen.pane, chosen.number),
        lambda _: _cells(room, chosen),
    )
    case = chosen.screen.case
    holes = [_live(case, number) for number in range(len(case.holes))]
    held = holes[chosen.index] if holes else None
    there = tried if tried is not None and tried.screen is not None else None
    screen = there.screen if there is not None and there.screen is not None else chosen.screen
    pane = LivePane(
        kind=chosen.kind,
        pane=chosen.pane,
        width=case.outside[0],
        height=case.outside[1],
        water=None if chosen.pane == "base" else water_below(screen.case),
        cells=field or (),
        held=held,
        number=chosen.number or 0,
        tried=_live(screen.case, chosen.index) if there is not None else None,
        others=tuple(one for number, one in enumerate(holes) if number != chosen.index),
        worst_at=worst_place(screen),
    )
    return Markup(draw_live_pane(pane, view.display, movable=view.may("edit")))


def worst_place(screen: PaneScreen) -> tuple[float, float]:
    """Where a screened pane bears the most, as it is drilled."""
    case = screen.case
    if screen.governs == "hole":
        worst = max(screen.holes, key=lambda one: one.stress).hole
        return case.as_drilled(worst.x, worst.y)
    if screen.governs == "edge":
        return case.as_drilled(case.length / 2.0, case.height)
    return case.as_drilled(*screen.plain_at)


def _cells(room: Room, chosen: Chosen) -> tuple[Cell, ...]:
    """The pieces of a pane, neighbours of one height and colour as one."""
    case = chosen.screen.case
    found = screened_field(room, chosen.screen, chosen.index if chosen.number is not None else None)
    cells: list[Cell] = []
    for (low, high), row in groupby(found, key=lambda one: one.y):
        for (step, kept), run in groupby(row, key=_alike):
            pieces = list(run)
            (x0, y0), (x1, y1) = case.as_drilled(pieces[0].x[0], low), case.as_drilled(pieces[-1].x[1], high)
            use = None if step is None else pieces[0].use
            cells.append(Cell(across=(x0, x1), down=(y1, y0), use=use, kept_out=kept))
    return tuple(cells)


def _alike(cell: FieldCell) -> tuple[str | None, bool]:
    """What a cell looks like."""
    return (None if cell.use is None else step_for(cell.use, USE).name), cell.kept_out


def _live(case: PaneCase, index: int) -> LiveHole:
    hole = case.holes[index]
    across, down = case.as_drilled(hole.x, hole.y)
    return LiveHole(
        across=across, down=down, diameter=hole.diameter.value,
        flange=hole.flange.value if hole.flange is not None else None,
    )  # fmt: skip


def full_picture(view: View, full: FullPane | None) -> Markup:
    """The stress of a pane that was checked in full; nothing for none."""
    if full is None:
        return Markup()
    drawn = view.made_once.keep(
        view.snapshot,
        ("glass full", full.case.kind, full.case.pane, view.display),
        lambda _: to_screen_svg(draw_stress(full, display=view.display), classes=("stress",), name="stress"),
    )
    return Markup(drawn or "")


def map_picture(view: View, made: HoleMap | None) -> Markup:
    """The map of the places of a hole; nothing for none."""
    if made is None:
        return Markup()
    drawn = view.made_once.keep(
        view.snapshot,
        ("hole map", made.case.kind, made.case.pane, made.index, view.display),
        lambda _: to_screen_svg(draw_hole_map(made, display=view.display), classes=("map",), name="map"),
    )
    return Markup(drawn or "")
