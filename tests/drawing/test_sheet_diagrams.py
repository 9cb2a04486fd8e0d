"""Cut sheets on paper: to scale, nothing outside, no text over another, every piece and every cut told."""

from __future__ import annotations

from collections import Counter
from xml.etree import ElementTree as ET

import pytest

from tankwright.drawing.model import Drawing, Group, Rectangle, Text, bounds, walk
from tankwright.drawing.paper import HUNDRED, PAPERS
from tankwright.drawing.sheet_diagrams import sheet_diagrams
from tankwright.drawing.svg import to_svg
from tankwright.takeoff.sheets import SheetPiece, SheetPlan, SheetStock, cut_sheets

FOAM = cut_sheets(
    [
        SheetPiece(width=0.59, height=0.29, count=8, label="side"),
        SheetPiece(width=0.59, height=0.36, count=6, label="front A1"),
        SheetPiece(width=0.36, height=0.29, count=5, label="end"),
        SheetPiece(width=0.59, height=0.395, count=4, label="base"),
        SheetPiece(width=0.35, height=0.35, count=2, label="lid"),
    ],
    [SheetStock(width=2.4, height=1.2, name="foam 20 mm")], kerf=0.003, trim=0.003,
)  # fmt: skip
STRIPS = cut_sheets(
    [
        SheetPiece(
            width=0.05 + 0.013 * n,
            height=0.03 + 0.011 * (n % 9),
            count=3,
            label=f"a very long mark of strip number {n}",
        )
        for n in range(26)
    ],
    [SheetStock(width=1.22, height=2.44, name="glass 6 mm")],
    kerf=0.0,
)
LARGE = cut_sheets(
    [SheetPiece(width=5.0, height=2.0, label="x" * 200)], [SheetStock(width=6.0, height=3.21)], kerf=0.0
)
PLANS = {"foam": FOAM, "strips": STRIPS, "large": LARGE}


def _drawn() -> list[tuple[str, Drawing]]:
    made = []
    for name, plan in PLANS.items():
        for paper in PAPERS:
            for number, page in enumerate(sheet_diagrams(plan, title=f"Cellar {name}", paper=paper)):
                made.append((f"{name} {paper} {number}", page))
        made += [
            (f"{name} US {n}", page)
            for n, page in enumerate(
                sheet_diagrams(plan, title=name * 40, display="US", paper="Letter", notes=("today", "rev 1"))
            )
        ]
    return made


DRAWN = _drawn()
each = pytest.mark.parametrize("drawing", [one for _, one in DRAWN], ids=[name for name, _ in DRAWN])


@each
def test_nothing_lies_outside_the_page(drawing: Drawing) -> None:
    for shape in walk(drawing.parts):
        left, top, right, bottom = bounds(shape)
        assert left >= -1e-6, shape
        assert top >= -1e-6, shape
        assert right <= drawing.width + 1e-6, shape
        assert bottom <= drawing.height + 1e-6, shape


@each
def test_no_text_lies_over_another(drawing: Drawing) -> None:
    boxes = [(bounds(one), one.text) for one in walk(drawing.parts) if isinstance(one, Text) and one.text]
    for number, ((x0, y0, x1, y1), text) in enumerate(boxes):
        for (u0, v0, u1, v1), other in boxes[:number]:
            apart = x1 <= u0 + 1e-6 or u1 <= x0 + 1e-6 or y1 <= v0 + 1e-6 or v1 <= y0 + 1e-6
            assert apart, (text, other)


@each
def test_the_file_is_xml_with_unique_ids_and_a_bar_of_100_mm(drawing: Drawing) -> None:
    root = ET.fromstring(to_svg(drawing))
    ids = Counter(element.get("id") for element in root.iter() if element.get("id"))
    assert [name for name, count in ids.items() if count > 1] == []
    (bar,) = (one for one in walk(drawing.parts) if isinstance(one, Group) and one.id == "hundred")
    assert bar.parts[0].width == HUNDRED  # type: ignore[union-attr] # a rectangle


def texts(pages: tuple[Drawing, ...]) -> list[str]:
    return [one.text for page in pages for one in walk(page.parts) if isinstance(one, Text)]


@pytest.mark.parametrize("plan", [FOAM, STRIPS], ids=["foam", "strips"])
def test_every_piece_and_every_cut_is_told(plan: SheetPlan) -> None:
    said = texts(sheet_diagrams(plan, title="x", paper="A4"))
    whole = "\n".join(said)
    for sheet in plan.sheets:
        for piece in sheet.pieces:
            assert piece.label in whole
        for number, cut in enumerate(sheet.cuts, 1):
            assert f"{number}: {'upright' if cut.upright else 'level'} at " in whole


def test_a_sheet_is_drawn_to_its_scale() -> None:
    page = sheet_diagrams(FOAM, title="Foam")[0]
    assert page.scale == 10
    (group,) = (one for one in walk(page.parts) if isinstance(one, Group) and one.id == "sheet-1")
    frames = [one for one in group.parts if isinstance(one, Rectangle)]
    assert max(one.width for one in frames) == pytest.approx(240.0)
    first = FOAM.sheets[0].pieces[0]
    assert any(
        (one.width, one.height) == pytest.approx((first.width * 100, first.height * 100)) for one in frames
    )


def test_sheets_cut_alike_are_drawn_once() -> None:
    plan = cut_sheets(
        [SheetPiece(width=1.2, height=1.2, count=6, label="lid")],
        [SheetStock(width=2.4, height=1.2)],
        kerf=0.0,
    )
    pages = sheet_diagrams(plan, title="Lids")
    assert len(pages) == 1
    assert any(text.startswith("Sheet 1: 3 × 2400 × 1200") for text in texts(pages))


def test_a_plan_without_sheets_has_no_page() -> None:
    assert sheet_diagrams(SheetPlan(), title="x") == ()
