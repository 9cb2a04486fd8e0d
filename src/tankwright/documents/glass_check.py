"""The glass sheet: every pane under its water, screened and in full side by side, and pictures of those that matter."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from tankwright.documents.model import Block, Cell, Measured, Paragraph, Sheet, Table, columns
from tankwright.drawing.hole_map import draw_hole_map
from tankwright.drawing.pane_view import CAUTION, pane_name
from tankwright.drawing.paper import Paper
from tankwright.drawing.stacked import stacked
from tankwright.drawing.strength_sheets import telling
from tankwright.drawing.stress_picture import draw_plain_stress, draw_stress
from tankwright.finding import Number
from tankwright.study import Study
from tankwright.systems.glass_full_model import FullPane, HoleMap
from tankwright.systems.glass_model import GlassResult, PaneCase, PaneScreen
from tankwright.units import Dimensionless, Metre, Pascal

_WHERE = {
    "surface": "away from edges", "edge": "free top edge", "strip": "strip along its top", "hole": "rim of its hole",
}  # fmt: skip


def glass_sheet(
    study: Study, full: Sequence[FullPane] = (), maps: Sequence[HoleMap] = (), *, paper: Paper = "A4"
) -> Sheet | None:
    """All panes of a study; None where no pane was looked at. `full` are those worked out by finite elements."""
    result = study.glass
    if result is None or not (result.panes or result.not_computed or result.bedded):
        return None
    blocks = (*_tables(result, full), *_pictures(study, result, full, maps, paper))
    return Sheet(name="glass-check", title="Glass under its water", part="glass", blocks=blocks)


def _tables(result: GlassResult, full: Sequence[FullPane]) -> Iterator[Block]:
    yield Paragraph(text=CAUTION, caution=True)
    known = {_key(one.case): one for one in full}
    if result.panes:
        yield Table(
            title="Panes",
            note="Quick: by Levy's series and the published raiser of stress at a hole. In full: by finite elements, "
            "with holes and braces where they are. Shares are of the strength worked with for years; needs: the least "
            "thickness by whichever asks for more; beside a strip of glass all round it is not told.",
            columns=columns(
                "pane*", "glass", "quick", "share", "in full", "of strength", "where it is most*", "to the rim",
                "bends", "needs",
            ),
            rows=tuple(_row(one, known.get(_key(one.case))) for one in result.panes),
            file="panes",
        )  # fmt: skip
        yield Table(
            title="What they are worked with, and by two published routes",
            note="EN 16612 with the load factor of a permanent load taken off; American practice for 50 years and one "
            "pane in a thousand. Edge: a free edge or the rim of a hole.",
            columns=columns("pane*", "worked with", "at an edge", "EN 16612", "EN, edge", "50 years", "50 years, edge"),
            rows=tuple(_strengths(result.panes)),
            file="glass-strengths",
        )  # fmt: skip
    for case in result.bedded:
        yield Paragraph(text=f"{pane_name(case)}: lies on its bed; no bending while board and mat are flat.")
    if result.not_computed:
        yield Table(
            title="Not computed",
            columns=columns("pane", "why*", "what to do*"),
            rows=tuple(result.not_computed),
        )


def _key(case: PaneCase) -> tuple[str, str, tuple[str, ...]]:
    return case.kind, case.pane, case.tanks


def _row(screen: PaneScreen, full: FullPane | None) -> tuple[Cell, ...]:
    done = full if full is not None and full.solved else None
    needed = screen.needed if done is None else done.needed
    return (
        pane_name(screen.case), Measured((screen.case.thickness.value,)), _stress(screen.worst), _share(screen.use),
        None if done is None else _stress(done.worst), None if done is None else _share(done.use),
        _WHERE[screen.governs if done is None else done.where], _share(screen.brim_use),
        _length(screen.deflection if done is None else done.sag),
        None if needed is None else _length(needed),
    )  # fmt: skip


def _strengths(panes: Sequence[PaneScreen]) -> Iterator[tuple[Cell, ...]]:
    """What panes are worked with, those alike in it in one row."""
    alike: dict[tuple[Pascal, ...], list[str]] = {}
    for one in panes:
        mine = one.strengths
        values = (
            mine.working_surface.value, mine.working_edge.value, mine.en_surface, mine.en_edge,
            mine.duration_surface, mine.duration_edge,
        )  # fmt: skip
        alike.setdefault(values, []).append(pane_name(one.case))
    for shown, names in alike.items():
        yield ("every pane" if len(alike) == 1 else "; ".join(names), *(_stress(value) for value in shown))


def _stress(value: Pascal) -> Number:
    return Number(value, "stress")


def _share(value: Dimensionless) -> Number:
    return Number(value, "share")


def _length(value: Metre) -> Number:
    return Number(value, "length")


def _pictures(
    study: Study, result: GlassResult, full: Sequence[FullPane], maps: Sequence[HoleMap], paper: Paper
) -> Iterator[Block]:
    """The worst pane of each kind and those with holes, in full where they are, then the maps that were made."""
    display = study.room.display
    known = {_key(one.case): one for one in full}
    drawings = []
    for screen in telling(result.panes):
        done = known.get(_key(screen.case))
        drawings.append(
            draw_plain_stress(screen, display=display) if done is None else draw_stress(done, display=display)
        )
    drawings += [draw_hole_map(one, display=display) for one in maps]
    yield from stacked(drawings, title=f"{study.room.title}: panes under water", paper=paper)
