"""The build book: every sheet of a plan in the order one builds, each also to be had alone; and all its data files.

A sheet is made when it is asked for. Where its subject is not in the plan there is none, and the book says so on no
page: a room without power has no circuit schedule.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property
from typing import Final

from tankwright.building.crew import crew_of
from tankwright.building.ical import calendar_file
from tankwright.building.marks import Mark
from tankwright.building.model import Schedule, Task
from tankwright.building.points import expected_points
from tankwright.building.schedule import schedule
from tankwright.building.tasks import tasks_of
from tankwright.display import printable, sentence
from tankwright.documents.basket import basket_table, basket_tables
from tankwright.documents.build_order import build_sheet
from tankwright.documents.circuits import circuit_sheet
from tankwright.documents.cover import cover_sheet
from tankwright.documents.data_files import csv_of, workbook_of
from tankwright.documents.loads import load_sheet
from tankwright.documents.model import Sheet, Table
from tankwright.documents.parts import parts_sheets
from tankwright.documents.pdf import pdf_of
from tankwright.documents.test_sheets import test_sheet
from tankwright.drawing.air_schematic import air_schematics
from tankwright.drawing.build_chart import build_charts
from tankwright.drawing.cut_diagrams import cut_diagrams
from tankwright.drawing.drain_heights import drain_heights
from tankwright.drawing.drill_sheet import drill_sheets
from tankwright.drawing.feed_schematic import feed_schematics
from tankwright.drawing.fronts_dimensioned import dimensioned_fronts
from tankwright.drawing.glass_order import glass_order
from tankwright.drawing.labels import tank_cards, tank_labels
from tankwright.drawing.model import Drawing, shifted
from tankwright.drawing.page import Page, numbered
from tankwright.drawing.paper import Paper
from tankwright.drawing.plan_dimensioned import dimensioned_plans
from tankwright.drawing.sheet_diagrams import sheet_diagrams
from tankwright.drawing.valve_map import valve_map
from tankwright.plan.models import Plan
from tankwright.room.model import Room
from tankwright.study import Study
from tankwright.workspace.disk import utcnow
from tankwright.workspace.opened import Opened
from tankwright.workspace.parts_work import WorkedParts, worked_out_parts

Progress = Callable[[int, int], None]
_LEFT, _UNDER_HEAD = 13.0, 21.0  # mm; where a timeline begins on its page

PARTS: Final = {
    "cover": "Cover", "drawings": "Plan and fronts", "pipes": "Pipes", "glass": "Glass and drilling", "cuts": "Cutting",
    "parts": "Parts", "power": "Electrician", "loads": "Engineer", "build": "Build order", "tests": "Tests",
    "valves": "Valves", "labels": "Labels and cards",
}  # fmt: skip
"""Parts of the book by their key, in its order."""

_PAPERS: Final[dict[str, tuple[Paper, Paper]]] = {"metric": ("A4", "A3"), "US": ("Letter", "Tabloid")}
"""Paper of tables and of large drawings, by the reader's units."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """How a book is to be made. `today` is its date, `revision` names the state of the plan, `marks` are what of the
    build is done, `address` is where the app is reached in the house, for codes on labels ("" for none). `small` and
    `large` are papers instead of the usual ones."""

    today: date
    revision: str
    marks: tuple[Mark, ...] = ()
    address: str = ""
    small: Paper | None = None
    large: Paper | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """A sheet that can be made: its key, which is its file's name too, and what it is called."""

    name: str
    title: str
    part: str
    make: Callable[[Book], tuple[Sheet, ...]] = field(compare=False, repr=False)


class Book:
    """What the sheets of one plan are made from, each thing worked out once and only when a sheet asks for it."""

    def __init__(self, opened: Opened, asked: Asked, progress: Progress | None = None) -> None:
        if opened.plan is None or opened.room is None or opened.study is None:
            raise ValueError("a plan that was not worked out has no book")
        self.opened, self.asked = opened, asked
        self.plan: Plan = opened.plan
        self.room: Room = opened.room
        self.study: Study = opened.study
        self.name = opened.path.name
        self.progress = progress

    @property
    def display(self) -> str:
        """The reader's units."""
        return self.room.display

    @property
    def small(self) -> Paper:
        """Paper of tables and drill sheets."""
        return self.asked.small or _PAPERS.get(self.display, _PAPERS["metric"])[0]

    @property
    def large(self) -> Paper:
        """Paper of plan, fronts and schematics."""
        return self.asked.large or _PAPERS.get(self.display, _PAPERS["metric"])[1]

    @property
    def foot(self) -> str:
        """What stands along the foot of every page."""
        return printable(
            f"{self.room.title} · {self.name}, {self.asked.revision} · made {self.asked.today:%Y-%m-%d}"
        )

    @cached_property
    def worked(self) -> WorkedParts:
        """Parts, cuts, basket."""
        worked = worked_out_parts(self.opened, self.progress)
        assert worked is not None
        return worked

    @cached_property
    def tasks(self) -> tuple[Task, ...]:
        """The tasks of the build."""
        return tasks_of(self.plan, self.room, self.worked.purchase.takeoff)

    @cached_property
    def schedule(self) -> Schedule:
        """When each is done."""
        return schedule(self.tasks, crew_of(self.plan, self.room), self.asked.today, self.asked.marks)


def entries(room: Room) -> tuple[Entry, ...]:
    """Every sheet a room may have, in the order of the book; one whose subject is missing turns out empty."""
    return tuple(one for one in ENTRIES if room.tanks or one.name in ("cover", "plan"))


def sheets_of(book: Book, wanted: Sequence[str] = (), progress: Progress | None = None) -> tuple[Sheet, ...]:
    """The sheets asked for by their names, all when none is named; `progress` counts them and may raise to stop."""
    chosen = [one for one in entries(book.room) if not wanted or one.name in wanted]
    made: list[Sheet] = []
    for number, entry in enumerate(chosen):
        if progress is not None:
            progress(number, len(chosen))
        made += entry.make(book)
    return tuple(made)


def book_pdf(book: Book, wanted: Sequence[str] = (), progress: Progress | None = None) -> bytes:
    """The book, or the sheets asked for, as one PDF. `progress` counts sheets made, then the pages being set."""
    of = len(entries(book.room)) + 1

    def told(done: int, _of: int) -> None:
        if progress is not None:
            progress(done, of)

    sheets = sheets_of(book, wanted, told)
    told(of - 1, of)
    title = printable(book.room.title)
    pdf = pdf_of(
        sheets, title=title, foot=book.foot, paper=book.small, display=book.display,
        contents=not wanted and bool(sheets),
    )  # fmt: skip
    told(of, of)
    return pdf


def tables_in(sheets: Sequence[Sheet]) -> tuple[Table, ...]:
    """The tables that are data, in the order of the book."""
    return tuple(
        block
        for sheet in sheets
        for block in (*sheet.blocks, *sheet.data)
        if isinstance(block, Table) and block.file
    )


def data_files(book: Book, sheets: Sequence[Sheet]) -> dict[str, bytes]:
    """CSV of every table, one workbook of them all, the calendar, and drawings for CAD, by file name."""
    from tankwright.drawing.dxf import drill_dxf, fronts_dxf, plan_dxf  # noqa: PLC0415 - a library of CAD comes with it

    tables = tables_in(sheets)
    files = {f"tables/{table.file}.csv": csv_of(table, book.display).encode("utf-8") for table in tables}
    files["tables.xlsx"] = workbook_of(tables, book.display)
    if book.schedule.slots:
        files["build.ics"] = calendar_file(
            book.schedule, book.tasks, title=f"{book.room.title}: build order", room=book.opened.path.stem,
            stamp=utcnow(), sequence=len(book.asked.marks),
            say=lambda text, numbers: printable(sentence(text, numbers, book.display)),
        )  # fmt: skip
    files["plan.dxf"] = plan_dxf(book.room).encode("utf-8")
    files["fronts.dxf"] = fronts_dxf(book.room).encode("utf-8")
    if any(tank.hole is not None for tank in book.room.tanks):
        files["drill.dxf"] = drill_dxf(book.room).encode("utf-8")
    return files


# --- one maker a sheet ------------------------------------------------------------------------------------------


def _drawn(name: str, title: str, part: str, drawings: tuple[Drawing, ...]) -> tuple[Sheet, ...]:
    return (Sheet(name=name, title=title, part=part, blocks=drawings),) if drawings else ()


def _one(sheet: Sheet | None) -> tuple[Sheet, ...]:
    return () if sheet is None else (sheet,)


def _cover(book: Book) -> tuple[Sheet, ...]:
    return (
        cover_sheet(
            book.room, book.opened.findings, plan_name=book.name, revision=book.asked.revision,
            date=f"{book.asked.today:%Y-%m-%d}",
        ),
    )  # fmt: skip


def _plan(book: Book) -> tuple[Sheet, ...]:
    return _drawn(
        "plan",
        "Plan with measures",
        "drawings",
        dimensioned_plans(book.study, paper=book.large, plan_name=book.name),
    )


def _fronts(book: Book) -> tuple[Sheet, ...]:
    return _drawn(
        "fronts", "Rack fronts with measures", "drawings",
        dimensioned_fronts(book.room, paper=book.large, plan_name=book.name),
    )  # fmt: skip


def _drain(book: Book) -> tuple[Sheet, ...]:
    return _drawn(
        "drain", "Drain, lengthwise with heights", "pipes",
        drain_heights(book.study, paper=book.large, plan_name=book.name),
    )  # fmt: skip


def _air(book: Book) -> tuple[Sheet, ...]:
    return _drawn(
        "air", "Air, with how each tap is set", "pipes",
        air_schematics(book.study, paper=book.large, plan_name=book.name),
    )  # fmt: skip


def _feed(book: Book) -> tuple[Sheet, ...]:
    return _drawn(
        "feed", "Feed, from source to outlets", "pipes",
        feed_schematics(book.study, paper=book.large, plan_name=book.name),
    )  # fmt: skip


def _drill(book: Book) -> tuple[Sheet, ...]:
    return _drawn(
        "drill", "Drill sheets", "glass", drill_sheets(book.room, paper=book.small, plan_name=book.name)
    )


def _glass(book: Book) -> tuple[Sheet, ...]:
    glued = frozenset(name for name, kind in book.plan.tank_kind.items() if kind.made == "glued here")
    return _drawn("glass", "Glass order", "glass", glass_order(book.room, glued, paper=book.small))


def _cuts(book: Book) -> tuple[Sheet, ...]:
    bought = book.worked.purchase
    pages = [
        page
        for one in bought.cuts
        if one.plan.patterns
        for page in cut_diagrams(
            one.plan, title=one.article, paper=book.small, display=book.display, notes=None
        )
    ]
    pages += [
        page
        for made in bought.sheets
        if made.plan.sheets
        for page in sheet_diagrams(
            made.plan, title=made.article, paper=book.small, display=book.display, notes=None
        )
    ]
    return _drawn("cuts", "Cut diagrams", "cuts", tuple(pages))


def _parts(book: Book) -> tuple[Sheet, ...]:
    return parts_sheets(book.worked.purchase, book.display)


def _basket(book: Book) -> tuple[Sheet, ...]:
    basket = book.worked.basket
    if basket is None:
        return ()
    return (
        Sheet(
            name="basket", title="Basket by shop", part="parts",
            blocks=(*basket_tables(basket), basket_table(basket)),
        ),
    )  # fmt: skip


def _circuits(book: Book) -> tuple[Sheet, ...]:
    return _one(circuit_sheet(book.study))


def _loads(book: Book) -> tuple[Sheet, ...]:
    return _one(load_sheet(book.study))


def _build(book: Book) -> tuple[Sheet, ...]:
    title = f"{book.room.title}: build order"
    charts = build_charts(book.schedule, book.tasks, title=title) if book.tasks else ()
    pages = tuple(
        Page(paper=book.small, title=numbered(title, number, len(charts)), upright=True).drawn(
            [shifted(shape, _LEFT, _UNDER_HEAD) for shape in chart.parts], about=chart.description
        )
        for number, chart in enumerate(charts, start=1)
    )
    return _one(build_sheet(book.tasks, book.schedule, pages, book.display))


def _tests(book: Book) -> tuple[Sheet, ...]:
    return _one(test_sheet(expected_points(book.study, book.plan)))


def _valves(book: Book) -> tuple[Sheet, ...]:
    return _drawn(
        "valves", "Valve map", "valves", valve_map(book.room, paper=book.large, plan_name=book.name)
    )


def _labels(book: Book) -> tuple[Sheet, ...]:
    return _drawn(
        "labels", "Tank labels", "labels",
        tank_labels(book.room, paper=book.small, base_url=book.asked.address),
    )  # fmt: skip


def _cards(book: Book) -> tuple[Sheet, ...]:
    return _drawn(
        "cards", "Tank cards", "labels", tank_cards(book.room, paper=book.small, base_url=book.asked.address)
    )


ENTRIES: Final = (
    Entry(name="cover", title="Cover", part="cover", make=_cover),
    Entry(name="plan", title="Plan with measures", part="drawings", make=_plan),
    Entry(name="fronts", title="Rack fronts with measures", part="drawings", make=_fronts),
    Entry(name="drain", title="Drain, lengthwise with heights", part="pipes", make=_drain),
    Entry(name="air", title="Air, with how each tap is set", part="pipes", make=_air),
    Entry(name="feed", title="Feed, from source to outlets", part="pipes", make=_feed),
    Entry(name="drill", title="Drill sheets", part="glass", make=_drill),
    Entry(name="glass", title="Glass order", part="glass", make=_glass),
    Entry(name="cuts", title="Cut diagrams", part="cuts", make=_cuts),
    Entry(name="parts", title="Parts by shop and by place", part="parts", make=_parts),
    Entry(name="basket", title="Basket by shop", part="parts", make=_basket),
    Entry(name="circuits", title="Circuit schedule for the electrician", part="power", make=_circuits),
    Entry(name="loads", title="Load sheet for an engineer", part="loads", make=_loads),
    Entry(name="build-order", title="Build order", part="build", make=_build),
    Entry(name="test-sheets", title="Test sheets", part="tests", make=_tests),
    Entry(name="valves", title="Valve map", part="valves", make=_valves),
    Entry(name="labels", title="Tank labels", part="labels", make=_labels),
    Entry(name="cards", title="Tank cards", part="labels", make=_cards),
)
