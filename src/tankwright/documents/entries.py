"""Every sheet a book may hold, in its order: what each is called, what it is for, how it is made.

A sheet is made when it is asked for. Where its subject is not in the plan there is none: a room without power has no
circuit schedule.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Final

from tankwright.building.points import expected_points
from tankwright.documents.basket import basket_table, basket_tables
from tankwright.documents.build_order import build_sheet
from tankwright.documents.circuits import circuit_sheet
from tankwright.documents.cover import cover_sheet
from tankwright.documents.glass_check import glass_sheet
from tankwright.documents.loads import load_sheet
from tankwright.documents.model import Sheet
from tankwright.documents.parts import parts_sheets
from tankwright.documents.rack_loads import rack_sheet
from tankwright.documents.source import Book
from tankwright.documents.test_sheets import test_sheet
from tankwright.drawing.air_schematic import air_schematics
from tankwright.drawing.build_chart import build_charts
from tankwright.drawing.cut_diagrams import cut_diagrams
from tankwright.drawing.drain_heights import drain_heights
from tankwright.drawing.drill_sheet import drill_sheets
from tankwright.drawing.drill_stress import drill_stresses
from tankwright.drawing.feed_schematic import feed_schematics
from tankwright.drawing.fronts_dimensioned import dimensioned_fronts
from tankwright.drawing.glass_order import glass_order
from tankwright.drawing.labels import tank_cards, tank_labels
from tankwright.drawing.model import Drawing, shifted
from tankwright.drawing.page import Page, numbered
from tankwright.drawing.plan_dimensioned import dimensioned_plans
from tankwright.drawing.sheet_diagrams import sheet_diagrams
from tankwright.drawing.valve_map import valve_map
from tankwright.room.model import Room

_LEFT, _UNDER_HEAD = 13.0, 21.0  # mm; where a timeline begins on its page

PARTS: Final = {
    "cover": "Cover", "drawings": "Plan and fronts", "pipes": "Pipes", "glass": "Glass and drilling", "cuts": "Cutting",
    "parts": "Parts", "power": "Electrician", "loads": "Engineer", "build": "Build order", "tests": "Tests",
    "valves": "Valves", "labels": "Labels and cards",
}  # fmt: skip
"""Parts of the book by their key, in its order."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """A sheet that can be made: its key, which is its file's name too, what it is called, and what it is for."""

    name: str
    title: str
    part: str
    purpose: str
    make: Callable[[Book], tuple[Sheet, ...]] = field(compare=False, repr=False)


def entries(room: Room) -> tuple[Entry, ...]:
    """Every sheet a room may have, in the order of the book; one whose subject is missing turns out empty."""
    return tuple(one for one in ENTRIES if room.tanks or one.name in ("cover", "plan"))


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
    stresses = drill_stresses(book.study.glass, book.panes, book.maps)
    return _drawn(
        "drill", "Drill sheets", "glass",
        drill_sheets(book.room, paper=book.small, plan_name=book.name, stresses=stresses),
    )  # fmt: skip


def _glass(book: Book) -> tuple[Sheet, ...]:
    glued = frozenset(name for name, kind in book.plan.tank_kind.items() if kind.made == "glued here")
    return _drawn("glass", "Glass order", "glass", glass_order(book.room, glued, paper=book.small))


def _glass_check(book: Book) -> tuple[Sheet, ...]:
    return _one(glass_sheet(book.study, book.panes, book.maps, paper=book.small))


def _cuts(book: Book) -> tuple[Sheet, ...]:
    bought = book.worked.purchase
    pages = [
        page
        for one in bought.cuts
        if one.plan.patterns
        for page in cut_diagrams(
            one.plan, title=one.article, paper=book.small, display=book.display, notes=None, together=True
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
    return _one(load_sheet(book.study, paper=book.large))


def _racks(book: Book) -> tuple[Sheet, ...]:
    return _one(rack_sheet(book.study, paper=book.small))


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
    Entry(
        name="cover",
        title="Cover",
        part="cover",
        make=_cover,
        purpose="the state of the plan and what is still open, first thing in the binder",
    ),
    Entry(
        name="plan",
        title="Plan with measures",
        part="drawings",
        make=_plan,
        purpose="to mark out the room: every rack, door and outfall from the walls",
    ),
    Entry(
        name="fronts",
        title="Rack fronts with measures",
        part="drawings",
        make=_fronts,
        purpose="to build the racks: every height and width",
    ),
    Entry(
        name="drain",
        title="Drain, lengthwise with heights",
        part="pipes",
        make=_drain,
        purpose="to lay the pipe: height and fall at every joint",
    ),
    Entry(
        name="air",
        title="Air, with how each tap is set",
        part="pipes",
        make=_air,
        purpose="to drill the ring and set each tap",
    ),
    Entry(
        name="feed",
        title="Feed, from source to outlets",
        part="pipes",
        make=_feed,
        purpose="to lay the feed and set its outlets",
    ),
    Entry(
        name="drill",
        title="Drill sheets",
        part="glass",
        make=_drill,
        purpose="one a kind of tank, at true scale, to lay on the pane",
    ),
    Entry(
        name="glass",
        title="Glass order",
        part="glass",
        make=_glass,
        purpose="for the glazier: panes, thickness, edges, holes",
    ),
    Entry(
        name="glass-check",
        title="Glass under its water",
        part="glass",
        make=_glass_check,
        purpose="what every pane comes to with its hole, screened and in full; a screening",
    ),
    Entry(
        name="cuts",
        title="Cut diagrams",
        part="cuts",
        make=_cuts,
        purpose="at the saw: which piece from which stick or sheet",
    ),
    Entry(
        name="parts",
        title="Parts by shop and by place",
        part="parts",
        make=_parts,
        purpose="what to carry out of the shop, and where each piece goes",
    ),
    Entry(
        name="basket",
        title="Basket by shop",
        part="parts",
        make=_basket,
        purpose="what to buy where, with freight",
    ),
    Entry(
        name="circuits",
        title="Circuit schedule for the electrician",
        part="power",
        make=_circuits,
        purpose="to ask the electrician; not for wiring by oneself",
    ),
    Entry(
        name="loads",
        title="Load sheet for an engineer",
        part="loads",
        make=_loads,
        purpose="to ask an engineer whether the floor bears it",
    ),
    Entry(
        name="rack-loads",
        title="Racks under their tanks",
        part="loads",
        make=_racks,
        purpose="to ask whoever is licensed whether the racks bear it: bearers, uprights, sags, tipping",
    ),
    Entry(
        name="build-order",
        title="Build order",
        part="build",
        make=_build,
        purpose="what is done when, what must be seen before one goes on, how",
    ),
    Entry(
        name="test-sheets",
        title="Test sheets",
        part="tests",
        make=_tests,
        purpose="what to measure and what should come, with room to write",
    ),
    Entry(
        name="valves",
        title="Valve map",
        part="valves",
        make=_valves,
        purpose="for the wall: where to turn water, air and power off",
    ),
    Entry(name="labels", title="Tank labels", part="labels", make=_labels, purpose="to stick on the tanks"),
    Entry(
        name="cards",
        title="Tank cards",
        part="labels",
        make=_cards,
        purpose="to hang on the tanks, with lines to write on",
    ),
)
