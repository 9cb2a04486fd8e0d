"""Sheets for paper: chosen layers at one stated scale, long-sections, tables; printed one a page by the browser."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from markupsafe import Markup

from tankwright.display import printable
from tankwright.drawing.layers import draw_results
from tankwright.drawing.legend import LAYER_WORDS
from tankwright.drawing.long_section import section_on
from tankwright.drawing.model import Drawing
from tankwright.drawing.paper import PAPERS, Paper
from tankwright.drawing.results import LAYERS, Layer
from tankwright.drawing.screen_svg import to_screen_svg
from tankwright.drawing.sheet import SCALES, sheets_at
from tankwright.drawing.table_sheet import PrintTable, draw_tables, with_foot
from tankwright.web.page import Page, View
from tankwright.web.print_tables import findings_table, tables_of
from tankwright.workspace.opened import Opened

_USUAL: Final[Mapping[str, tuple[Paper, Paper]]] = {"metric": ("A4", "A1"), "US": ("Letter", "ANSI C")}
_A_HALL: Final = 150  # tanks; on the paper of a home printer they would be specks


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What is to be printed. `scale` is the N of 1:N, None for the largest that fits."""

    paper: Paper
    scale: int | None
    layers: tuple[Layer, ...]
    sections: bool
    tables: bool
    findings: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintSheet:
    """One sheet: its picture, what it is in words, and the name of its size, as the style sheet has it."""

    svg: Markup
    words: str
    size: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Printed:
    """The sheets in their order, the scale of the room's, and what could not be done as asked."""

    sheets: tuple[PrintSheet, ...]
    scale: float | None
    troubles: tuple[str, ...]


def asked_by(query: Mapping[str, str], display: str, layer: Layer, *, tanks: int = 0) -> Asked:
    """What an address asks for; one that says nothing gets the layout and the layer it came from.

    >>> asked_by({"paper": "A3", "scale": "1:20"}, "metric", "air").layers
    ('layout', 'air')
    >>> asked_by({"set": "1", "drain": "1", "scale": "0"}, "US", "air")
    Asked(paper='Letter', scale=None, layers=('drain',), sections=False, tables=False, findings=False)
    """
    said = "set" in query
    paper = next(
        (one for one in PAPERS if one == query.get("paper")),
        _USUAL.get(display, _USUAL["metric"])[tanks > _A_HALL],
    )
    digits = query.get("scale", "").replace(" ", "").removeprefix("1:")
    scale = int(digits) if digits.isascii() and digits.isdigit() and len(digits) < 5 else 0
    layers = tuple(one for one in LAYERS if (one in query if said else one in ("layout", layer)))
    return Asked(
        paper=paper, scale=scale if 1 <= scale <= 1000 else None, layers=layers, sections="sections" in query,
        tables="tables" in query, findings="findings" in query,
    )  # fmt: skip


def show(view: View) -> Mapping[str, object]:
    """The sheets an address asks for, and the form that asks."""
    asked = asked_by(view.query, view.display, view.layer, tanks=len(view.room.tanks) if view.room else 0)
    number, at = view.snapshot.good_number, view.snapshot.at
    today = datetime.now().astimezone().strftime("%Y-%m-%d")
    revision = f"{view.live.path.name}, plan {number} of {at:%Y-%m-%d %H:%M} UTC"
    if not view.is_current:
        revision = f"{view.live.path.name}, plan {number}, not the newest"
    notes = (f"printed {today}", printable(revision))

    def make(opened: Opened) -> Printed:
        return printed(opened, asked, notes)

    made = view.made_once.keep(view.snapshot, ("print", asked, notes), make)
    return {
        "asked": asked,
        "papers": tuple(PAPERS),
        "scales": SCALES.get(view.display, SCALES["metric"]),
        "layers": tuple((layer, LAYER_WORDS[layer]) for layer in LAYERS),
        "printed": made,
        "has_drains": bool(view.room and view.room.drains),
    }


def printed(opened: Opened, asked: Asked, notes: tuple[str, str]) -> Printed:
    """All sheets of a worked-out plan, with page x of y."""
    room, study = opened.room, opened.study
    if room is None or study is None:
        return Printed(sheets=(), scale=None, troubles=())
    troubles: list[str] = []
    drawings: list[Drawing] = []
    rooms, scale = _rooms(opened, asked, troubles)
    drawings += rooms
    if asked.sections:
        results = draw_results(study, opened.findings, "drain")
        for run in room.drains:
            section = section_on(room, run, results, PAPERS[asked.paper], plan_name=opened.path.name)
            if section is None:
                troubles.append(f"The long-section of {run.id} fits {asked.paper} at no usual scale.")
            else:
                drawings.append(section)
    size = PAPERS[asked.paper]
    if rooms and rooms[0].height > rooms[0].width:
        size = size[::-1]
    drawings += draw_tables(tuple(_tables(opened, asked)), title=room.title, size=size)
    sheets = tuple(
        _sheet(one, asked.paper, (*notes, f"page {number} of {len(drawings)}"), number)
        for number, one in enumerate(drawings, start=1)
    )
    return Printed(sheets=sheets, scale=scale, troubles=tuple(troubles))


def _tables(opened: Opened, asked: Asked) -> Iterator[PrintTable]:
    study = opened.study
    if study is None:
        return
    if asked.findings and opened.findings:
        yield findings_table(opened.findings, study.room.display)
    for layer in asked.layers if asked.tables else ():
        yield from tables_of(study, layer)


def _rooms(opened: Opened, asked: Asked, troubles: list[str]) -> tuple[list[Drawing], float | None]:
    """The room's sheets, all at one scale."""
    room, study = opened.room, opened.study
    if room is None or study is None or not asked.layers:
        return [], None
    results = [draw_results(study, opened.findings, layer) for layer in asked.layers]

    def at(scale: float) -> list[Drawing]:
        made: list[Drawing] = []
        for one in results:
            drawn = sheets_at(room, one, scale, asked.paper, plan_name=opened.path.name)
            if not drawn:
                return []
            made.extend(drawn)
        return made

    if asked.scale is not None:
        drawings = at(asked.scale)
        if drawings:
            return drawings, asked.scale
    for scale in SCALES.get(room.display, SCALES["metric"]):
        if asked.scale is not None and scale <= asked.scale:
            continue  # smaller than what did not fit
        drawings = at(scale)
        if drawings:
            if asked.scale is not None:
                troubles.append(
                    f"At 1:{asked.scale} the room does not fit {asked.paper}: drawn at 1:{scale}, the largest usual "
                    "scale that does. A larger paper, or fewer racks in a row, would do it."
                )
            return drawings, scale
    troubles.append(f"The room fits {asked.paper} at no usual scale: choose a larger paper.")
    return [], None


def _sheet(drawing: Drawing, paper: Paper, notes: tuple[str, str, str], number: int) -> PrintSheet:
    drawing = with_foot(drawing, notes)
    lying = drawing.width >= drawing.height
    scale = f", 1:{drawing.scale:g}" if drawing.scale != 1 else ""
    svg = to_screen_svg(drawing, label=f"{notes[2]}: {drawing.title}{scale}", name=f"sheet-{number}")
    return PrintSheet(
        svg=Markup(svg),
        words=f"{notes[2]}: {drawing.title}{scale}",
        size=f"{paper.lower().replace(' ', '-')}-{'lying' if lying else 'upright'}",
    )


PAGE = Page(name="print", path="/print", title="Print", template="print.html", show=show, group="plan")
