"""Cut diagrams: everything on the paper, nothing over anything else, every piece told."""

from __future__ import annotations

from itertools import combinations, pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tankwright.drawing.cut_diagrams import cut_diagrams
from tankwright.drawing.model import Drawing, Group, Hatching, Rectangle, Text, bounds, walk
from tankwright.drawing.paper import PAPERS, Paper
from tankwright.takeoff.cutting import cut
from tankwright.takeoff.cutting_model import CutPlan, Piece, Stock

LONG = "a mark that is far longer than any piece it could be written on, and says so at length"
PIECES = [
    Piece(length=1.24, count=4, label="main"), Piece(length=0.86, count=6, label="riser <b>"),
    Piece(length=0.4, count=7, label=LONG), Piece(length=0.012, count=30, label="slice"),
    Piece(length=0.0313, count=9), Piece(length=2.3, count=2, label="Fallrohr zur Rückwand"),
]  # fmt: skip


def plan(**fields: float) -> CutPlan:
    stocks = [Stock(length=6.0), Stock(length=2.5), Stock(length=1.2, count=2, offcut=True)]
    return cut(PIECES, stocks, kerf=fields.get("kerf", 0.003), trim=fields.get("trim", 0.01), seconds=0.5)


def texts(page: Drawing) -> list[Text]:
    return [one for one in walk(page.parts) if isinstance(one, Text)]


def check_page(page: Drawing) -> None:
    for shape in walk(page.parts):
        left, top, right, bottom = bounds(shape)
        assert left >= -1e-6
        assert top >= -1e-6
        assert right <= page.width + 1e-6
        assert bottom <= page.height + 1e-6
    for one, other in combinations(texts(page), 2):
        a, b = bounds(one), bounds(other)
        apart = a[2] <= b[0] + 1e-6 or b[2] <= a[0] + 1e-6 or a[3] <= b[1] + 1e-6 or b[3] <= a[1] + 1e-6
        assert apart, (one.text, other.text)
    for upper, lower in pairwise(
        one for one in page.parts if isinstance(one, Group) and one.classes == ("cut",)
    ):
        assert bounds(upper)[3] <= bounds(lower)[1]


@pytest.mark.parametrize("paper", ["A4", "Letter", "A3"])
@pytest.mark.parametrize("display", ["metric", "US"])
def test_nothing_lies_outside_the_paper_or_over_another_text(paper: Paper, display: str) -> None:
    pages = cut_diagrams(plan(), title="Pipes", paper=paper, display=display)
    for page in pages:
        assert (page.width, page.height) == PAPERS[paper]
        check_page(page)


@settings(max_examples=15, deadline=None)
@given(
    st.lists(
        st.tuples(st.integers(8, 2400), st.integers(1, 12), st.text(max_size=12)), min_size=1, max_size=12
    ),
    st.integers(0, 6),
)
def test_that_holds_for_any_pieces(rows: list[tuple[int, int, str]], kerf: int) -> None:
    pieces = [Piece(length=length / 1000, count=count, label=label) for length, count, label in rows]
    made = cut(pieces, [Stock(length=2.5)], kerf=kerf / 1000, seconds=0.2)
    for page in cut_diagrams(made, title="x"):
        check_page(page)


def test_each_way_to_cut_is_one_bar_to_scale() -> None:
    made = plan()
    pages = cut_diagrams(made, title="Pipes")
    bars = [one for page in pages for one in page.parts if isinstance(one, Group) and one.classes == ("cut",)]
    assert len(bars) == len(made.patterns)
    scale = pages[0].scale
    for bar, pattern in zip(bars, made.patterns, strict=True):
        left, _, right, _ = bounds(Group(parts=tuple(one for one in bar.parts if isinstance(one, Rectangle))))
        assert right - left == pytest.approx(pattern.stock.length * 1000 / scale, abs=0.01)
        assert f"{pattern.times} × " in next(one.text for one in bar.parts if isinstance(one, Text))
        hatched = [one for one in bar.parts if isinstance(one, Hatching)]
        if pattern.rest > 0.01:
            assert hatched[0].width == pytest.approx(pattern.rest * 1000 / scale, abs=0.01)


def test_every_piece_is_told_in_its_bar_or_under_it() -> None:
    made = cut([Piece(length=1.2, label="main"), Piece(length=0.012, count=5, label="slice")], [Stock(length=6.0)],
               kerf=0.003)  # fmt: skip
    (page,) = cut_diagrams(made, title="Pipes")
    told = [one.text for one in texts(page)]
    assert "1200" in told
    assert "main" in told
    assert "2 to 6: 12 slice" in told


def test_a_long_plan_goes_over_pages_that_are_numbered() -> None:
    made = cut(
        [Piece(length=0.3 + place / 1000, label=str(place)) for place in range(90)],
        [Stock(length=1.0)],
        kerf=0.0,
    )
    pages = cut_diagrams(made, title="Pipes")
    assert len(pages) > 1
    for number, page in enumerate(pages, 1):
        assert f"page {number} of {len(pages)}" in [one.text for one in texts(page)]


def test_sticks_cut_at_the_same_places_are_one_bar_with_all_their_marks_when_asked_for() -> None:
    made = cut(
        [Piece(length=2.0, count=1, label="A1"), Piece(length=2.0, count=1, label="B1")],
        [Stock(length=2.5)],
        kerf=0.003,
    )
    (page,) = cut_diagrams(made, title="Pipes", together=True)
    said = [one.text for one in walk(page.parts) if isinstance(one, Text)]
    assert "Cut 1: 2 × 2500, rest 497" in said
    assert "A1, B1" in said
